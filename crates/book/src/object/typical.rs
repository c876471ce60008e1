//! What is usual where nobody has said anything: one line a figure, with where it is taken from.
//!
//! Every one of them can be overruled in the book file, and is shown as typical until it is.
//! The pages named here were read; what they say is common practice and no standard:
//!
//! - `allwaterpurifier.com/article-8250.html`, rules of a bindery for hard cases: squares 2 to 4 mm;
//!   hinge 7 to 10 mm with boards of 1.5 to 3 mm; turn-in 12 to 16 mm; boards 2 to 4 mm narrower
//!   than the block; the strip of a square back as wide as the block and two boards, of a round
//!   back as wide as its arc.
//! - `dingwordinc.blogspot.com/2012/06/how-to-calculate-hard-cover-size-for.html`: squares 3 mm,
//!   boards 3.5 mm narrower than the page, hinge 10 mm, turn-in 17 mm.
//! - `zxcprint.com`, "Common types of hardcover books": the arc of a round back spans 130°, square
//!   backs up to 20 mm, the backing is as deep as the board.
//! - `deprintedbox.com`, "Conversion between the greyboard thickness and grammage": mm = g/m² ×
//!   1.55 / 1000.
//! - `wiltshirebarn.co.uk`, "Bookbinding tips": endpapers 90 to 170, covers 120 to 170 g/m².
//! - `wakefields.co.nz` and `digitalprintingandbinding.com` on jackets: flaps about a third of the
//!   front, or 3.5 in. `qinprinting.com/french-flap`: flaps of soft covers 60 to 90 mm.
//! - `bookhouse.jp/design/obi.html`: a band of 70 mm; panels half a millimetre wider than the
//!   jacket's.
//! - `blogs.brighton.ac.uk`, "Slipcase": board of 2 mm, 2 mm of room.

use measure::{Grammage, Length};

/// A figure that is usual.
#[derive(Debug, Clone, Copy)]
pub(super) struct Typical {
    /// The value of the book file that overrules it.
    pub(super) key: &'static str,
    /// What it is called within its part.
    pub(super) name: &'static str,
    /// Where it is taken from, in words.
    pub(super) source: &'static str,
}

macro_rules! typical {
    ($($constant:ident = $key:literal, $name:literal, $source:literal;)*) => {
        $(pub(super) const $constant: Typical = Typical {
            key: $key,
            name: $name,
            source: $source,
        };)*

        #[cfg(test)]
        pub(super) const ALL: &[Typical] = &[$($constant),*];
    };
}

typical! {
    SWELL = "binding.swell", "Swell of the sewing", "our assumption: pressed flat; the dummy decides";
    BOARD = "binding.board", "Board", "common practice: 2 to 3 mm";
    BACK = "case.back", "Back", "common practice: flat up to 20 mm, round from there";
    RISE = "case.rise", "Rise of the back", "binderies: an arc of 130° over the chord";
    SQUARE = "case.square", "Square", "binderies: 2 to 4 mm, usually 3 mm";
    SETBACK = "case.setback", "Setback of the boards", "binderies: boards 2 to 4 mm narrower than the page, so the square and 3 mm";
    HINGE = "case.hinge", "Hinge", "binderies: 7 to 10 mm";
    TURN_IN = "case.turn_in", "Turn-in", "binderies: 12 to 17 mm";
    STRIP_FLAT = "case.strip", "Thickness of the spine strip", "common practice: the board of the case";
    STRIP_ROUND = "case.strip", "Thickness of the spine strip", "common practice: card of about half a millimetre";
    DENSITY = "case.board_density", "Density of the board", "box makers: 1 ÷ 1.55 g/cm³";
    COVERING = "case.covering", "Paper of the covering", "binderies: 120 to 170 g/m²";
    COVERING_CALIPER = "case.covering_caliper", "Thickness of the covering", "our assumption: coated, 0.9 cm³/g";
    BANDS = "case.bands", "Head and tail bands", "common practice: a sewn case has them";
    RIBBONS = "case.ribbons", "Ribbons", "our assumption: none unless wanted";
    ENDPAPERS = "endpapers.grammage", "Paper of the endpapers", "binderies: 90 to 170 g/m²";
    ENDPAPERS_CALIPER = "endpapers.caliper", "Thickness of the endpapers", "our assumption: uncoated, 1.25 cm³/g";
    JACKET = "jacket.grammage", "Paper of the jacket", "common practice: 135 to 170 g/m²";
    JACKET_CALIPER = "jacket.caliper", "Thickness of the jacket", "our assumption: coated, 0.9 cm³/g";
    JACKET_HEIGHT = "jacket.height", "Height of the jacket", "common practice: as high as the cover";
    JACKET_TURN = "jacket.turn", "Turn at the edge", "our assumption: the board and 1 mm; printers ask for 4 to 7 mm on a case";
    JACKET_FLAP = "jacket.flap", "Flap", "printers: a third of the front; at least 70 mm where the page is wide enough";
    COVER_FLAP = "flaps.width", "Flap", "printers: 60 to 90 mm, about a third of the page";
    FLAP_OVER = "flaps.over", "Over the fore edge", "our assumption: flush with the block";
    BAND = "band.grammage", "Paper of the belly band", "common practice: 120 to 150 g/m²";
    BAND_CALIPER = "band.caliper", "Thickness of the belly band", "our assumption: coated, 0.9 cm³/g";
    BAND_HEIGHT = "band.height", "Height of the belly band", "one maker's example: 70 mm; at most half the book";
    BAND_TUCK = "band.tuck", "Tuck", "our assumption: as the flaps of a jacket";
    BAND_EASE = "band.ease", "Ease", "one maker's example: half a millimetre a panel";
    SLIPCASE_BOARD = "slipcase.board", "Board of the slipcase", "binders' worksheets: 2 mm";
    CLEARANCE = "slipcase.clearance", "Room for the book", "binders' worksheets: 1 to 2 mm";
    SLIPCASE_COVERING = "slipcase.covering", "Paper of the covering", "binderies: 120 to 170 g/m²";
    SLIPCASE_COVERING_CALIPER = "slipcase.covering_caliper", "Thickness of the covering", "our assumption: coated, 0.9 cm³/g";
    SLIPCASE_TURN_IN = "slipcase.turn_in", "Turn-in", "binderies: 12 to 17 mm";
}

/// Boards are this dense, in g/cm³.
pub(super) const BOARD_DENSITY: f64 = 0.645;
/// Half of the angle that the arc of a round back spans, in degrees.
pub(super) const HALF_ARC: f64 = 65.0;
/// Bulk of coated papers that nothing is known about, in cm³/g: the middle of their range.
const COATED_BULK: f64 = 0.9;
/// Bulk of endpapers, which are uncoated, in cm³/g.
const UNCOATED_BULK: f64 = 1.25;

/// A length in micrometres that is usual.
pub(super) const fn um(um: i64) -> Length {
    Length::from_nm(um * 1000)
}

/// A paper weight that is usual.
pub(super) fn gsm(gsm: f64) -> Grammage {
    Grammage::from_gsm(gsm).expect("typical papers lie within 1 to 5,000 g/m²")
}

/// Thickness of a coated paper.
pub(super) fn coated(weight: Grammage) -> Length {
    Length::from_um(weight.gsm() * COATED_BULK)
}

/// Thickness of an uncoated paper.
pub(super) fn uncoated(weight: Grammage) -> Length {
    Length::from_um(weight.gsm() * UNCOATED_BULK)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::key::SECTIONS;

    #[test]
    fn every_typical_figure_has_a_key_and_a_source() {
        for typical in ALL {
            let (section, key) = typical.key.rsplit_once('.').unwrap();
            let section = SECTIONS.iter().find(|known| known.name == section);
            assert!(
                section.is_some_and(|section| section.key(key).is_some()),
                "{}",
                typical.key
            );
            assert!(!typical.source.is_empty());
        }
    }
}
