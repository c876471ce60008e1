//! What is painted on a page, as a content stream.
//!
//! From below: the ground, the pictures, tints, the words, plates beside the four inks, marks. Black
//! words overprint, so that a plate out of register leaves no white edge around a letter; words of
//! bare paper knock out, since that is what they are.

use std::io::Write;

use book::plan::Reads;
use measure::Length;
use pdf_writer::{Content, Name, Str};

use super::boxes::{Boxes, Place, length_in_points, points};
use super::file::File;
use super::fonts::{Fonts, UsedFont};
use super::{PressError, Tint, WordsInput};

/// Names of the two graphics states in a page's resources.
pub(super) const OVERPRINTS: &[u8] = b"Over";
pub(super) const KNOCKS_OUT: &[u8] = b"Knock";

/// Names of a page's resources by index.
pub(super) fn image_name(index: usize) -> Vec<u8> {
    format!("Picture{}", index + 1).into_bytes()
}

pub(super) fn font_name(index: usize) -> Vec<u8> {
    format!("Face{}", index + 1).into_bytes()
}

/// Fills a rectangle with a tint.
pub(super) fn tint(content: &mut Content, place: Place, tint: Tint) {
    let [c, m, y, k] = tint.parts();
    content.set_fill_cmyk(c, m, y, k);
    rect(content, place);
    content.fill_nonzero();
}

/// Places a picture so that it fills `place`, clipped at the bleed where it runs over.
pub(super) fn image(content: &mut Content, boxes: &Boxes, place: Place, name: &[u8]) {
    content.save_state();
    if !boxes.bleed.contains(place) {
        rect(content, boxes.bleed);
        content.clip_nonzero();
        content.end_path();
    }
    fill_place(content, place, name);
    content.restore_state();
}

/// Shows a picture or a mask, whose own square is one by one, so that it fills `place`.
pub(super) fn fill_place(content: &mut Content, place: Place, name: &[u8]) {
    content.transform([
        points(place.width()),
        0.0,
        0.0,
        points(place.height()),
        points(place.left),
        points(place.bottom),
    ]);
    content.x_object(Name(name));
}

/// Runs of glyphs and where they stand.
#[derive(Clone, Copy)]
pub(super) struct Placed<'a> {
    pub(super) fonts: &'a [words::Font],
    pub(super) runs: &'a [words::Run],
    pub(super) x: Length,
    pub(super) y: Length,
    pub(super) reads: Reads,
}

/// Sets words; adds to `used` the indexes of the typefaces that the page now needs.
pub(super) fn words<W: Write>(
    content: &mut Content,
    boxes: &Boxes,
    words: &WordsInput,
    fonts: &mut Fonts,
    used: &mut Vec<usize>,
    file: &mut File<W>,
) -> Result<(), PressError> {
    if words.paper {
        content.set_parameters(Name(KNOCKS_OUT));
        content.set_fill_cmyk(0.0, 0.0, 0.0, 0.0);
    } else {
        content.set_parameters(Name(OVERPRINTS));
        content.set_fill_cmyk(0.0, 0.0, 0.0, 1.0);
    }
    let placed = Placed {
        fonts: &words.galley.fonts,
        runs: &words.galley.runs,
        x: words.x,
        y: words.y,
        reads: words.reads,
    };
    runs(content, boxes, placed, fonts, used, file)
}

/// Shows runs in the colour that is set; adds to `used` as [`words`] does.
pub(super) fn runs<W: Write>(
    content: &mut Content,
    boxes: &Boxes,
    placed: Placed<'_>,
    fonts: &mut Fonts,
    used: &mut Vec<usize>,
    file: &mut File<W>,
) -> Result<(), PressError> {
    content.begin_text();
    for run in placed.runs {
        let Some(font) = placed.fonts.get(run.font) else {
            continue;
        };
        let index = fonts.open(font, file)?;
        if !used.contains(&index) {
            used.push(index);
        }
        content.set_font(Name(&font_name(index)), length_in_points(run.size));
        let font = fonts.get(index);
        for line in run.glyphs.chunk_by(|one, next| one.y == next.y) {
            show_line(content, boxes, placed, run.size, line, font)?;
        }
    }
    content.end_text();
    Ok(())
}

/// Shows glyphs on one baseline. Where a glyph does not follow the last one by its mere width
/// (kerning, justified spaces), the difference is stated in whole thousandths of the type size and
/// carried on, so that it never adds up.
fn show_line(
    content: &mut Content,
    boxes: &Boxes,
    placed: Placed<'_>,
    size: Length,
    line: &[words::Glyph],
    font: &mut UsedFont,
) -> Result<(), PressError> {
    let Some(first) = line.first() else {
        return Ok(());
    };
    content.set_text_matrix(matrix(boxes, placed, first));
    let mut shown = content.show_positioned();
    let mut items = shown.items();
    let mut pen = 0.0;
    let mut bytes: Vec<u8> = Vec::new();
    for glyph in line {
        let (number, width) = font.glyph(glyph.id, &glyph.text)?;
        let wanted = (glyph.x - first.x).ratio(size) * 1000.0;
        let back = (pen - wanted).round();
        if back != 0.0 && back.is_finite() {
            if !bytes.is_empty() {
                items.show(Str(&bytes));
                bytes.clear();
            }
            items.adjust(back as f32);
            pen -= back;
        }
        bytes.extend(number.to_be_bytes());
        pen += f64::from(width);
    }
    items.show(Str(&bytes));
    Ok(())
}

/// The text matrix of a glyph: upright, or turned a quarter so that words run down or up.
fn matrix(boxes: &Boxes, placed: Placed<'_>, glyph: &words::Glyph) -> [f32; 6] {
    let (along, down) = (glyph.x, glyph.y);
    let ([a, b, c, d], x, y) = match placed.reads {
        Reads::Across => ([1.0, 0.0, 0.0, 1.0], placed.x + along, placed.y + down),
        Reads::Down => ([0.0, -1.0, 1.0, 0.0], placed.x - down, placed.y + along),
        Reads::Up => ([0.0, 1.0, -1.0, 0.0], placed.x + down, placed.y - along),
    };
    [a, b, c, d, points(boxes.across(x)), points(boxes.up(y))]
}

/// So many millimetres from a place in thousandths of a point, in points. What is no number is no
/// way; what lies farther than a page can be is brought nearer.
pub(super) fn knots(from: i64, mm: f64) -> f32 {
    let mm = if mm.is_nan() {
        0.0
    } else {
        mm.clamp(-6_000.0, 6_000.0)
    };
    points(from + (mm * 72_000.0 / 25.4).round() as i64)
}

pub(super) fn rect(content: &mut Content, place: Place) {
    content.rect(
        points(place.left),
        points(place.bottom),
        points(place.width()),
        points(place.height()),
    );
}
