//! What stands around a printed sheet: ticks where it is cut and folded, hatched bars along the
//! places to keep clear, lines that say what it is, and a small drawing of it. All of it lies beyond
//! the bleed and falls away with the trim.

use book::drawing::Drawing;
use book::object::{Allowance, FlatSheet, Fold};
use book::plan::Reads;
use measure::{Length, Rect, Size};
use words::label::{self, Label, Weight};
use words::{Font, Galley, Run};

use super::document::{self, Mark};
use super::drawn::{Drawn, Point};
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
/// Beyond the ticks, a bar stands along every place to keep clear: so far from them, and so thick.
const TO_BAR: Length = Length::from_nm(500_000);
const BAR: Length = Length::from_nm(2_500_000);
/// From stroke to stroke of its hatching, along its edge.
const HATCH: Length = Length::from_nm(1_200_000);
/// What is free around the small drawing.
const AROUND_KEY: Length = Length::from_nm(2_000_000);
/// Height of a line of words, its type size (eight points), and how far it stands over the line's
/// foot.
const WORDS: Length = Length::from_nm(4_500_000);
const LETTERS: Length = Length::from_nm(2_822_222);
const BELOW: Length = Length::from_nm(1_300_000);
/// Paper beyond everything.
const EDGE: Length = Length::from_nm(2_000_000);

impl Beside {
    /// Ticks at the trim and at every fold of a sheet, in all inks and plates. In black alone: a
    /// hatched bar along every place to keep clear, as long as the place and in line with it; `lines`
    /// of words under the sheet; and `key`, a small drawing of the sheet, under them.
    ///
    /// # Errors
    /// When the words cannot be set.
    pub fn of_sheet(
        sheet: &FlatSheet,
        lines: &[String],
        key: Option<&Drawing>,
        language: &str,
    ) -> Result<Self, PressError> {
        let bleed = match sheet.allowance {
            Allowance::Bleed(bleed) => bleed,
            Allowance::TurnIn(_) => Length::ZERO,
        };
        let mut around = GAP + TICK + EDGE;
        if !sheet.no_go.is_empty() {
            around += TO_BAR + BAR;
        }
        let mut beside = Self {
            margin: Margin {
                top: around,
                right: around,
                bottom: around,
                left: around,
            },
            drawn: bars(sheet, bleed),
            marks: ticks(sheet, bleed),
            ..Self::default()
        };
        let edge = sheet.trim.height + bleed;
        let mut down = edge + around - EDGE + Length::from_nm(500_000);
        let labels: Vec<Label<'_>> = lines.iter().map(|line| label_of(line)).collect();
        let set = label::set(&labels, language)?;
        // What a narrow sheet has to say is wider than it is.
        let beyond = |width: Length| width - sheet.trim.width - bleed + EDGE;
        for line in &set.lines {
            down += WORDS;
            beside.margin.right = beside.margin.right.max(beyond(line.width));
            beside.words.push(WordsInput {
                galley: galley(&set.fonts, &line.runs),
                x: Length::ZERO,
                y: down - BELOW,
                paper: false,
                reads: Reads::Across,
            });
        }
        if let Some(key) = key {
            beside.draw(key, (Length::ZERO, down + AROUND_KEY), language)?;
            let Size { width, height } = key.size();
            down += height + AROUND_KEY * 2;
            beside.margin.right = beside.margin.right.max(beyond(width));
        }
        beside.margin.bottom = around.max(down - edge + EDGE);
        Ok(beside)
    }

    /// Draws something in black, its top left corner at a place.
    fn draw(&mut self, drawing: &Drawing, at: Point, language: &str) -> Result<(), PressError> {
        let shown = drawing.shown();
        let labels: Vec<_> = shown.iter().filter_map(document::label_of).collect();
        let set = label::set(&labels, language)?;
        for mark in document::marks(shown, &mut set.lines.iter()) {
            match mark {
                Mark::Drawn(drawn) => self.drawn.push(drawn.moved(at).no_thinner(LINE)),
                Mark::Words {
                    runs,
                    at: (x, y),
                    reads,
                    ..
                } => self.words.push(WordsInput {
                    galley: galley(&set.fonts, runs),
                    x: x + at.0,
                    y: y + at.1,
                    paper: false,
                    reads,
                }),
            }
        }
        Ok(())
    }
}

fn label_of(line: &str) -> Label<'_> {
    Label {
        text: line,
        size: LETTERS,
        weight: Weight::Regular,
    }
}

fn galley(fonts: &[Font], runs: &[Run]) -> Galley {
    Galley {
        fonts: fonts.to_vec(),
        runs: runs.to_vec(),
        heading_runs: 0,
        overflow: Length::ZERO,
    }
}

/// A hatched bar on both sides of the sheet along every place to keep clear.
fn bars(sheet: &FlatSheet, bleed: Length) -> Vec<Drawn> {
    let Size { width, height } = sheet.trim;
    let from = bleed + GAP + TICK + TO_BAR;
    let (before, width, height) = (Length::ZERO - from - BAR, width + from, height + from);
    let mut drawn = Vec::new();
    for place in &sheet.no_go {
        let at = place.rect;
        // A strip from head to foot is told above and below, one from side to side at the sides.
        let bars = match at.height >= at.width {
            true => [before, height].map(|y| Rect::new(at.x, y, at.width, BAR)),
            false => [before, width].map(|x| Rect::new(x, at.y, BAR, at.height)),
        };
        for bar in bars {
            drawn.extend(hatching(bar));
            drawn.push(Drawn::frame(bar, LINE));
        }
    }
    drawn
}

/// Strokes at 45° over a rectangle; those of rectangles that overlap lie on each other.
fn hatching(rect: Rect) -> impl Iterator<Item = Drawn> {
    let gap = HATCH.nm();
    let (left, top, right, foot) = (
        rect.x.nm(),
        rect.y.nm(),
        rect.right().nm(),
        rect.bottom().nm(),
    );
    // Stroke number n runs along x + y = n · gap.
    let numbers = (left + top).div_euclid(gap) + 1..=(right + foot - 1).div_euclid(gap);
    numbers.map(move |number| {
        let sum = number * gap;
        let (from, to) = (left.max(sum - foot), right.min(sum - top));
        let point = |x: i64| (Length::from_nm(x), Length::from_nm(sum - x));
        Drawn::line(point(from), point(to), LINE)
    })
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
