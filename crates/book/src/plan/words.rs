//! Where words stand on a page.
//!
//! Proportions after the old canon of ninths: a ninth of the height above the words and two ninths
//! below (from memory; common practice, no source). Across, the block is at most two thirds of the
//! page and no wider than is read with ease, and it stands away from the fold by what the fold
//! swallows.

use measure::{Length, Rect};

use super::{PlacedWords, Reads, Side, WordPart, WordStyle};
use crate::model::{Format, WordInk};

/// No line of prose is longer: about 65 characters of 11 points. Our assumption.
const LONGEST_LINE: Length = Length::from_nm(120_000_000);
/// Height of the line in which a page number stands.
const FOLIO_LINE: Length = Length::from_nm(5_000_000);
/// Clear paper between a page number and whatever stands above it.
const ABOVE_FOLIO: Length = Length::from_nm(3_000_000);
/// Clear paper between a picture and its caption.
pub(super) const ABOVE_CAPTION: Length = Length::from_nm(3_000_000);

impl Format {
    /// Where words may stand: the safe margin inside the trim, and the fold margin at the fold.
    pub(crate) fn live(&self, side: Side) -> Rect {
        let inner = self.safe.max(self.fold);
        let x = match side {
            Side::Left => self.safe,
            Side::Right => inner,
        };
        Rect::new(
            x,
            self.safe,
            self.trim.width - self.safe - inner,
            self.trim.height - self.safe * 2,
        )
    }
}

/// The block of running prose.
pub(super) fn text_block(format: &Format, side: Side) -> Rect {
    let widest = (format.trim.width * 2) / 3;
    block(format, side, widest.min(LONGEST_LINE))
}

/// The block of a title page, wider than prose since its lines are few and large.
pub(super) fn title_block(format: &Format, side: Side) -> Rect {
    block(format, side, (format.trim.width * 2) / 3)
}

/// A block of some width, a ninth of the height from the head and two ninths from the foot,
/// standing half of the fold margin away from the middle of the page, inside the live area.
fn block(format: &Format, side: Side, width: Length) -> Rect {
    let away = format.fold / 2;
    let middle = (format.trim.width - width) / 2;
    let x = match side {
        Side::Left => middle - away,
        Side::Right => middle + away,
    };
    let ninth = format.trim.height / 9;
    let wished = Rect::new(x, ninth, width, format.trim.height - ninth * 3);
    let live = format.live(side);
    wished.shared(live).unwrap_or(live)
}

/// The line of the page number: the same on every page, in the middle of the live area.
pub(super) fn folio_line(format: &Format, side: Side) -> Rect {
    let live = format.live(side);
    let foot = format.safe.max(format.trim.height / 27);
    let y = (format.trim.height - foot - FOLIO_LINE).max(live.y);
    Rect::new(live.x, y, live.width, FOLIO_LINE)
}

/// Above this nothing is in the way of the page number.
pub(super) fn above_folio(format: &Format, side: Side) -> Length {
    folio_line(format, side).y - ABOVE_FOLIO
}

/// The height to keep for a caption of so many characters in lines of a given width.
///
/// Reckoned with 1.9 mm a character and 4.2 mm a line, which is a type of about 9 points: an
/// assumption of ours on the safe side, since nothing is set yet.
pub(super) fn caption_height(caption: &str, width: Length) -> Length {
    let characters = caption.chars().count() as f64;
    let lines = (characters * 1.9 / width.mm().max(1.0)).ceil().max(1.0);
    Length::from_mm(lines * 4.2 + 2.0)
}

/// A page number.
pub(super) fn folio(format: &Format, side: Side, number: u32) -> PlacedWords {
    PlacedWords {
        rect: folio_line(format, side),
        style: WordStyle::Folio,
        heading: number.to_string(),
        paragraphs: Vec::new(),
        ink: WordInk::Black,
        part: WordPart::Whole,
        reads: Reads::Across,
    }
}
