//! The digits of a bar code, set in black ink alone.

use book::plan::{PlacedBarCode, Reads};
use measure::{Length, Rect, Size};
use press::WordsInput;
use words::{Block, Style, WordsError};

/// Height of a digit as a share of the type size: that of the built-in typeface.
const HEIGHT_OF_DIGIT: f64 = 0.65;
/// Width of a digit as a share of the type size; figures of tables are all as wide.
const WIDTH_OF_DIGIT: f64 = 0.5;

/// The digits, each in the middle of its room and as large as the room lets it be.
pub(crate) fn digits(bars: &PlacedBarCode) -> Result<Vec<WordsInput>, WordsError> {
    bars.digits()
        .map(|(digit, room)| set(digit, room))
        .collect()
}

fn set(digit: u8, room: Rect) -> Result<WordsInput, WordsError> {
    // Set where there is room, then brought to its size.
    let mut galley = words::set(&Block {
        size: Size::from_mm(40.0, 20.0),
        style: Style::Colophon,
        heading: String::new(),
        paragraphs: vec![digit.to_string()],
        language: "en".to_owned(),
    })?;
    let size = (room.height.mm() / HEIGHT_OF_DIGIT).min(room.width.mm() / WIDTH_OF_DIGIT);
    let left = (room.width.mm() - size * WIDTH_OF_DIGIT) / 2.0;
    let foot = (room.height.mm() + size * HEIGHT_OF_DIGIT) / 2.0;
    for run in &mut galley.runs {
        run.size = Length::from_mm(size);
        for glyph in &mut run.glyphs {
            glyph.x = Length::from_mm(left);
            glyph.y = Length::from_mm(foot);
        }
    }
    galley.overflow = Length::ZERO;
    Ok(WordsInput {
        galley,
        x: room.x,
        y: room.y,
        paper: false,
        reads: Reads::Across,
    })
}
