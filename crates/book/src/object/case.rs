//! The case: endpapers, boards, spine strip, covering, bands and ribbons.

use measure::{Length, Mass, Size};

use super::block::Block;
use super::bound::{Bound, Closed};
use super::figure::long;
use super::flat::{Allowance, FlatKind, FlatSheet};
use super::reckoning::Reckoning;
use super::soft::{FOLD_CLEAR, SPINE_EDGE, endpapers};
use super::typical::{self, HALF_ARC, um};
use crate::model::Book;
use crate::object_wishes::Back;

/// Two endpapers of two leaves each.
const ENDPAPER_LEAVES: i64 = 4;
/// A band is a strip of woven tape; this is how high it is and what it weighs. Our assumption.
const BAND_HEIGHT: Length = um(12_000);
const BAND_GSM: f64 = 300.0;
/// A ribbon hangs out by this much, beyond the diagonal of the page. Common practice, no source.
const RIBBON_OVER: Length = um(50_000);
const RIBBON_WIDTH: Length = um(6_000);
const RIBBON_GSM: f64 = 120.0;

/// Reckons the case. Gives the spine, the bound book and its sheets.
pub(super) fn reckon(
    book: &Book,
    block: &Block,
    signatures: Vec<u32>,
    reckoning: &mut Reckoning,
) -> (Length, Bound, Vec<FlatSheet>) {
    let wishes = &book.object.case;
    let trim = book.format.trim;
    let endpaper = endpapers_of(book, reckoning);
    let board = reckoning.said(book.object.board, &typical::BOARD, book.binding.board);
    let density = reckoning.said(
        wishes.board_density,
        &typical::DENSITY,
        typical::BOARD_DENSITY,
    );
    let square = reckoning.said(wishes.square, &typical::SQUARE, um(3_000));
    let setback = reckoning.said(wishes.setback, &typical::SETBACK, square + um(3_000));
    let height = trim.height + square * 2;
    reckoning.step(
        "Height of the boards",
        format!("{} + 2 × {}", long(trim.height), long(square)),
        height.into(),
    );
    let width = trim.width + square - setback;
    reckoning.step(
        "Width of the boards",
        format!(
            "{} + {} − {}",
            long(trim.width),
            long(square),
            long(setback)
        ),
        width.into(),
    );
    let mass = reckoning.boards("Boards", 2, Size { width, height }, board, density);
    reckoning.part("boards", mass);

    let (back_words, at_back) = block.at_the_back();
    let inside = at_back + endpaper * ENDPAPER_LEAVES;
    let back = reckoning.said(wishes.back, &typical::BACK, Back::Flat);
    reckoning.step(
        "Block with endpapers",
        format!("{back_words} + 4 leaves × {}", long(endpaper)),
        inside.into(),
    );
    let chord = inside + board * 2;
    let (reckoned, rise, strip) = match back {
        Back::Flat => {
            let strip = reckoning.said(wishes.strip, &typical::STRIP_FLAT, board);
            (chord, Length::ZERO, strip)
        }
        Back::Round => {
            let strip = reckoning.said(wishes.strip, &typical::STRIP_ROUND, um(500));
            reckoning.step(
                "Width of the back between the joints",
                format!("{} + 2 boards × {}", long(inside), long(board)),
                chord.into(),
            );
            let usual = chord.scaled((HALF_ARC.to_radians() / 2.0).tan() / 2.0);
            let rise = reckoning.said(wishes.rise, &typical::RISE, usual);
            (arc(chord, rise), rise, strip)
        }
    };
    let formula = match back {
        Back::Flat => format!("{} + 2 boards × {}", long(inside), long(board)),
        Back::Round => format!("arc over {} that rises {}", long(chord), long(rise)),
    };
    let spine = reckoning.spine(book.object.spine, formula, reckoned);
    let strip_size = Size {
        width: spine,
        height,
    };
    let mass = reckoning.boards("Spine strip", 1, strip_size, strip, density);
    reckoning.part("spine strip", mass);

    let paper = reckoning.said(
        wishes.covering.grammage,
        &typical::COVERING,
        typical::gsm(135.0),
    );
    let covering = reckoning.said(
        wishes.covering.caliper,
        &typical::COVERING_CALIPER,
        typical::coated(paper),
    );
    let hinge = reckoning.said(wishes.hinge, &typical::HINGE, um(8_000));
    let turn_in = reckoning.said(wishes.turn_in, &typical::TURN_IN, um(15_000));
    let wrap = wrap(width, height, spine, hinge, turn_in);
    let mass = reckoning.sheets("Covering", 1, "sheet", wrap.trim, paper);
    reckoning.part("covering", mass);
    bands_and_ribbons(book, at_back, reckoning);

    let stands_out = if back == Back::Flat {
        strip + covering
    } else {
        Length::ZERO
    };
    let face = trim.width + square + covering + stands_out;
    let beyond = if back == Back::Flat {
        Length::ZERO
    } else {
        rise + strip + covering
    };
    let bound = Bound {
        kind: book.binding.kind,
        signatures,
        block: block.thickness,
        swell: block.swell,
        page_width: trim.width,
        flap: Length::ZERO,
        endpapers: endpaper * 2,
        board,
        cover: covering,
        square,
        setback,
        strip,
        back,
        rise,
        closed: Closed {
            width: face + beyond,
            height: height + covering * 2,
            thickness: chord + covering * 2,
            over_spine: spine + covering * 2,
            face,
            edge: board + covering * 2,
        },
    };
    let [front, last] = endpapers(book);
    (spine, bound, vec![wrap, front, last])
}

/// Endpapers: their caliper.
fn endpapers_of(book: &Book, reckoning: &mut Reckoning) -> Length {
    let wishes = book.object.endpapers;
    let paper = reckoning.said(wishes.grammage, &typical::ENDPAPERS, typical::gsm(140.0));
    let caliper = reckoning.said(
        wishes.caliper,
        &typical::ENDPAPERS_CALIPER,
        typical::uncoated(paper),
    );
    let mass = reckoning.sheets(
        "Endpapers",
        ENDPAPER_LEAVES,
        "leaf",
        book.format.trim,
        paper,
    );
    reckoning.part("endpapers", mass);
    caliper
}

/// The covering, flat: boards, hinges and strip, turned in on all sides.
fn wrap(board: Length, height: Length, spine: Length, hinge: Length, turn_in: Length) -> FlatSheet {
    let mut wrap = FlatSheet::columns(
        FlatKind::CaseWrap,
        height,
        Allowance::TurnIn(turn_in),
        &[
            ("back", board),
            ("back hinge", hinge),
            ("spine", spine),
            ("front hinge", hinge),
            ("front", board),
        ],
    )
    .turned_in(turn_in);
    for hinge in ["back hinge", "front hinge"] {
        wrap.clear_panel(hinge, SPINE_EDGE, "hinge: pressed into the joint");
    }
    wrap.clear("back hinge", FOLD_CLEAR, Length::ZERO, "edge of the board");
    wrap.clear("front", Length::ZERO, FOLD_CLEAR, "edge of the board");
    wrap
}

fn bands_and_ribbons(book: &Book, back: Length, reckoning: &mut Reckoning) {
    let wishes = &book.object.case;
    let trim = book.format.trim;
    if reckoning.said(wishes.bands, &typical::BANDS, true) {
        let size = Size {
            width: back,
            height: BAND_HEIGHT,
        };
        let mass = reckoning.sheets("Bands", 2, "piece", size, typical::gsm(BAND_GSM));
        reckoning.part("bands", mass);
    } else {
        reckoning.part("bands", Mass::ZERO);
    }
    let count = reckoning.said(wishes.ribbons.map(u32::from), &typical::RIBBONS, 0);
    let mut mass = Mass::ZERO;
    if count > 0 {
        let diagonal = trim.width.mm().hypot(trim.height.mm());
        let length = Length::from_mm(diagonal) + RIBBON_OVER;
        reckoning.step(
            "Length of a ribbon",
            format!("diagonal of the page + {}", long(RIBBON_OVER)),
            length.into(),
        );
        let size = Size {
            width: RIBBON_WIDTH,
            height: length,
        };
        mass = reckoning.sheets(
            "Ribbons",
            i64::from(count),
            "piece",
            size,
            typical::gsm(RIBBON_GSM),
        );
    }
    reckoning.part("ribbons", mass);
}

/// Length of the circular arc over a chord that rises so far in its middle.
///
/// With half an angle θ = 2·atan(2·rise / chord), the radius is chord / (2·sin θ) and the arc
/// 2·radius·θ; a rise of nothing is the chord itself.
pub(super) fn arc(chord: Length, rise: Length) -> Length {
    if rise <= Length::ZERO || chord <= Length::ZERO {
        return chord;
    }
    let half = 2.0 * (2.0 * rise.ratio(chord)).atan();
    chord.scaled(half / half.sin())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_arc_over_its_diameter_is_half_a_circle() {
        let arc = arc(Length::from_mm(20.0), Length::from_mm(10.0));
        assert!((arc.mm() - std::f64::consts::PI * 10.0).abs() < 1e-6);
        assert_eq!(super::arc(um(20_000), Length::ZERO), um(20_000));
    }

    #[test]
    fn the_usual_rise_spans_the_usual_angle() {
        // A chord under a half angle of 65° is 2 r sin 65°, its arc 2 r 65° in radians.
        let chord = Length::from_mm(30.0);
        let rise = chord.scaled((HALF_ARC.to_radians() / 2.0).tan() / 2.0);
        let expected = 30.0 * 65_f64.to_radians() / 65_f64.to_radians().sin();
        assert!((arc(chord, rise).mm() - expected).abs() < 1e-4);
    }
}
