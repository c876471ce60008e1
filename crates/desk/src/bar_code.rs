//! Bar codes: their digits, set in black ink alone, and the ground that they stand on.

use book::plan::{PlacedBarCode, Reads};
use finding::{Finding, Place, Severity};
use measure::{Length, PixelSize, Rect, Size};
use press::WordsInput;
use words::{Block, Style, WordsError};

use crate::press_job::Plan;
use crate::unit::Sheet;
use crate::{DeskError, preview};

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
    // Set where there is room, then brought to its size. Figures on a spine all stand on the line.
    let mut galley = words::set(&Block {
        size: Size::from_mm(40.0, 20.0),
        style: Style::Spine,
        heading: digit.to_string(),
        paragraphs: Vec::new(),
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

/// A scanner shines red light, which cyan and black drink, and magenta and yellow give back. With as
/// much of the two together, in percent, the ground looks dark to it. Our assumption, as in the
/// layout of the book.
const DARK: f64 = 20.0;
/// The ground may differ so much from place to place, in percent. Our assumption.
const BUSY: f64 = 10.0;

/// What the ground of a bar code is in the inks that are printed: light and quiet, or not. Bare paper
/// is, and a plain ground is judged where the sheet is laid out; here it is about pictures.
pub(crate) fn ground_findings(
    plan: &Plan<'_>,
    sheet: &Sheet<'_>,
) -> Result<Vec<Finding>, DeskError> {
    let Some(flat) = sheet.flat else {
        return Ok(Vec::new());
    };
    let Some(bars) = flat.bar_code.as_ref().filter(|bars| bars.white.is_none()) else {
        return Ok(Vec::new());
    };
    let shown = |rect: Rect| rect.shared(bars.rect).is_some();
    if !sheet.pictures.iter().any(|placed| shown(placed.window)) {
        return Ok(Vec::new());
    }
    let (size, inks) = preview::inks_under(plan, flat.kind(), bars.rect)?;
    let module = bars.layout.module.ratio(bars.rect.width) * f64::from(size.width);
    Ok(judged(&loads(size, &inks, module), flat.kind().word()))
}

/// Cyan and black together, in percent, on the average of each square of a module.
fn loads(size: PixelSize, inks: &[u8], module: f64) -> Vec<f64> {
    let side = (module.round() as usize).max(1);
    let (width, height) = (size.width as usize, size.height as usize);
    let mut loads = Vec::new();
    for top in (0..height).step_by(side) {
        for left in (0..width).step_by(side) {
            let (mut sum, mut count) = (0.0, 0.0);
            for y in top..(top + side).min(height) {
                for x in left..(left + side).min(width) {
                    let at = (y * width + x) * 4;
                    sum += f64::from(inks[at]) + f64::from(inks[at + 3]);
                    count += 1.0;
                }
            }
            loads.push(sum / count / 2.55);
        }
    }
    loads
}

fn judged(loads: &[f64], sheet: &str) -> Vec<Finding> {
    let most = loads.iter().copied().fold(0.0, f64::max);
    let least = loads.iter().copied().fold(most, f64::min);
    let mut findings = Vec::new();
    let mut found = |code, message: String, measured: f64, bound: f64| {
        findings.push(
            Finding::new(code, Severity::Stop, Place::Whole, message)
                .hint(
                    "Set `barcode.white` to `true`, which leaves the paper bare under it, or move \
                     it with `barcode.place`.",
                )
                .figures(
                    format!("{measured:.0} % cyan and black"),
                    format!("up to {bound:.0} % (our assumption)"),
                ),
        );
    };
    if most > DARK {
        found(
            "press-bar-code-ground-dark",
            format!(
                "The bar code on the {sheet} stands on a picture that is dark in the red light of \
                 a scanner."
            ),
            most,
            DARK,
        );
    }
    if most - least > BUSY {
        found(
            "press-bar-code-ground-busy",
            format!(
                "The bar code on the {sheet} stands on a picture that is not quiet: its edges may \
                 be taken for bars."
            ),
            most - least,
            BUSY,
        );
    }
    findings
}

#[cfg(test)]
mod tests {
    use super::*;
    use finish::Command;

    #[test]
    fn every_digit_stands_in_its_room_and_fills_it() {
        let room = Rect::from_mm(10.0, 20.0, 2.31, 2.5);
        for digit in 0..10 {
            let words = set(digit, room).unwrap();
            let (mut left, mut right) = (f64::MAX, f64::MIN);
            let (mut top, mut bottom) = (f64::MAX, f64::MIN);
            for shape in crate::glyphs::shapes(&words, (room.x, room.y)) {
                for command in shape.outline {
                    let (Command::Move(x, y) | Command::Line(x, y) | Command::Cubic(.., x, y)) =
                        command
                    else {
                        continue;
                    };
                    (left, right) = (left.min(x), right.max(x));
                    (top, bottom) = (top.min(y), bottom.max(y));
                }
            }
            // Round figures stand out a little above and below the others.
            assert!(left > 0.0 && right < 2.31, "{digit}: {left} to {right}");
            assert!(top > -0.08 && bottom < 2.58, "{digit}: {top} to {bottom}");
            assert!(bottom - top > 2.3, "{digit}: {top} to {bottom}");
        }
    }

    fn codes(pixel: impl Fn(u32, u32) -> [u8; 4]) -> Vec<&'static str> {
        let size = PixelSize {
            width: 40,
            height: 20,
        };
        let inks: Vec<u8> = (0..size.height)
            .flat_map(|y| (0..size.width).map(move |x| (x, y)))
            .flat_map(|(x, y)| pixel(x, y))
            .collect();
        judged(&loads(size, &inks, 4.0), "jacket")
            .iter()
            .map(|finding| finding.code)
            .collect()
    }

    #[test]
    fn a_scanner_sees_cyan_and_black_and_looks_through_red() {
        assert!(codes(|_, _| [0; 4]).is_empty());
        assert!(codes(|_, _| [0, 255, 255, 0]).is_empty());
        assert!(codes(|_, _| [30, 0, 0, 10]).is_empty());
        assert_eq!(codes(|_, _| [80, 0, 0, 0]), ["press-bar-code-ground-dark"]);
        assert_eq!(codes(|_, _| [0, 0, 0, 80]), ["press-bar-code-ground-dark"]);
    }

    #[test]
    fn a_light_ground_may_be_too_busy_but_a_grain_finer_than_a_module_is_quiet() {
        let stripes = |x: u32, _: u32| [if x % 16 < 8 { 0 } else { 40 }, 0, 0, 0];
        assert_eq!(codes(stripes), ["press-bar-code-ground-busy"]);
        let grain = |x: u32, y: u32| [if (x + y).is_multiple_of(2) { 0 } else { 40 }, 0, 0, 0];
        assert!(codes(grain).is_empty());
    }
}
