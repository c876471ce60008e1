//! What stands around a printed sheet: ticks where it is cut and folded, and lines that say what it
//! is. All of it lies beyond the bleed and falls away with the trim.

use book::object::{Allowance, FlatSheet, Fold};
use book::plan::Reads;
use measure::{Length, Rect, Size};
use words::{Block, Galley, Style, WordsError};

use super::{Beside, Margin, PressError, WordsInput};

/// From what is printed to the ticks. Our choice: no tick is cut into the sheet by a trim that is
/// off.
const GAP: Length = Length::from_nm(2_000_000);
/// Length of a tick.
const TICK: Length = Length::from_nm(5_000_000);
/// Width of a tick: a quarter of a point (common practice, no source).
const LINE: Length = Length::from_nm(88_194);
/// A fold's tick has so many dashes and gaps between them; a trim's is whole.
const DASHES: i64 = 5;
/// Height of a line of words, and what is left free around them.
const WORDS: Length = Length::from_nm(4_500_000);
/// Paper beyond everything.
const EDGE: Length = Length::from_nm(2_000_000);

impl Beside {
    /// Ticks at the trim and at every fold of a sheet, in all inks and plates, and `lines` of words
    /// under it in black; a `?` stands there for a sign that the typeface lacks.
    ///
    /// # Errors
    /// When the words cannot be set.
    pub fn of_sheet(
        sheet: &FlatSheet,
        lines: &[String],
        language: &str,
    ) -> Result<Self, PressError> {
        let bleed = match sheet.allowance {
            Allowance::Bleed(bleed) => bleed,
            Allowance::TurnIn(_) => Length::ZERO,
        };
        let around = GAP + TICK + EDGE;
        let count = i64::try_from(lines.len()).unwrap_or(0);
        let under = Length::from_nm(WORDS.nm().saturating_mul(count));
        let mut beside = Self {
            margin: Margin {
                top: around,
                right: around,
                bottom: around + under,
                left: around,
            },
            marks: ticks(sheet, bleed),
            ..Self::default()
        };
        let room = Size {
            width: sheet.trim.width,
            height: WORDS,
        };
        let mut down = sheet.trim.height + bleed + GAP + TICK + Length::from_nm(500_000);
        for line in lines {
            let galley = set(line, room, language)?;
            beside.words.push(WordsInput {
                galley,
                x: Length::ZERO,
                y: down,
                paper: false,
                reads: Reads::Across,
            });
            down += WORDS;
        }
        Ok(beside)
    }
}

/// Sets a line. A title in letters that the typeface lacks must not keep the sheet from the press.
fn set(line: &str, room: Size, language: &str) -> Result<Galley, PressError> {
    let block = |line: String| Block {
        size: room,
        style: Style::Colophon,
        heading: String::new(),
        paragraphs: vec![line],
        language: language.to_owned(),
    };
    let known = |last: char| -> String {
        let plain = |c: char| if c <= last { c } else { '?' };
        line.chars().map(plain).collect()
    };
    let mut set = words::set(&block(line.to_owned()));
    // Latin letters with their marks, then those of ASCII alone.
    for last in ['\u{24f}', '~'] {
        if !matches!(set, Err(WordsError::MissingGlyphs(_))) {
            break;
        }
        set = words::set(&block(known(last)));
    }
    Ok(set?)
}

/// Ticks of the trim's corners and of the folds.
fn ticks(sheet: &FlatSheet, bleed: Length) -> Vec<Rect> {
    let Size { width, height } = sheet.trim;
    let mut ticks = Ticks {
        sheet: sheet.trim,
        from: bleed + GAP,
        marks: Vec::new(),
    };
    for x in [Length::ZERO, width] {
        ticks.upright(x, 1);
    }
    for y in [Length::ZERO, height] {
        ticks.level(y, 1);
    }
    for fold in &sheet.folds {
        match *fold {
            Fold::Upright(x) => ticks.upright(x, DASHES),
            Fold::Level(y) => ticks.level(y, DASHES),
        }
    }
    ticks.marks
}

struct Ticks {
    sheet: Size,
    /// How far from the trim they begin.
    from: Length,
    marks: Vec<Rect>,
}

impl Ticks {
    /// Above and below the sheet, so far from its left edge.
    fn upright(&mut self, x: Length, parts: i64) {
        let left = x - half(LINE);
        for (from, length) in dashes(parts) {
            let above = Length::ZERO - self.from - from - length;
            let below = self.sheet.height + self.from + from;
            self.marks.push(Rect::new(left, above, LINE, length));
            self.marks.push(Rect::new(left, below, LINE, length));
        }
    }

    /// On both sides of the sheet, so far from its upper edge.
    fn level(&mut self, y: Length, parts: i64) {
        let top = y - half(LINE);
        for (from, length) in dashes(parts) {
            let before = Length::ZERO - self.from - from - length;
            let after = self.sheet.width + self.from + from;
            self.marks.push(Rect::new(before, top, length, LINE));
            self.marks.push(Rect::new(after, top, length, LINE));
        }
    }
}

/// Every other one of so many parts of a tick: where it begins, and how long it is.
fn dashes(parts: i64) -> impl Iterator<Item = (Length, Length)> {
    let part = TICK.nm() / parts;
    (0..parts)
        .step_by(2)
        .map(move |index| (Length::from_nm(index * part), Length::from_nm(part)))
}

fn half(length: Length) -> Length {
    Length::from_nm(length.nm() / 2)
}
