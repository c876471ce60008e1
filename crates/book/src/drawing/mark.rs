//! What a drawing is made of.

/// A kind of line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Line {
    /// Where the knife cuts: solid and strong.
    Trim,
    /// Where the sheet is folded: broken.
    Fold,
    /// How far print runs: thin.
    Bleed,
    /// The edge of a thing.
    Edge,
    /// A fine line of the thing itself.
    Fine,
    /// Dimension lines and their ticks.
    Dimension,
    /// Strokes of a hatching.
    Hatch,
}

/// A kind of area.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Area {
    /// Printed paper or the paper of the block.
    Paper,
    /// What is turned in, or lies beyond the cut.
    Beyond,
    /// Board.
    Board,
    /// Endpapers and other layers.
    Layer,
    /// The covering or the soft cover.
    Cover,
}

/// How words stand to their point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// They begin there.
    Start,
    /// Their middle is there.
    Middle,
    /// They end there.
    End,
}

/// Words.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Words {
    pub(super) at: (f64, f64),
    pub(super) text: String,
    pub(super) size: f64,
    pub(super) anchor: Anchor,
    /// Reading from foot to head.
    pub(super) turned: bool,
    pub(super) strong: bool,
    /// On a ground of paper, so that lines behind do not disturb it.
    pub(super) cleared: bool,
}

/// One mark.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Mark {
    /// An area with its outline.
    Shape {
        points: Vec<(f64, f64)>,
        area: Area,
        outline: Option<Line>,
    },
    /// Lines, one after the other.
    Stroke {
        points: Vec<(f64, f64)>,
        closed: bool,
        line: Line,
    },
    Words(Words),
}

impl Mark {
    pub(super) fn stroke(line: Line, points: impl Into<Vec<(f64, f64)>>) -> Self {
        Self::Stroke {
            points: points.into(),
            closed: false,
            line,
        }
    }

    pub(super) fn frame(line: Line, rect: (f64, f64, f64, f64)) -> Self {
        Self::Stroke {
            points: corners(rect).into(),
            closed: true,
            line,
        }
    }

    pub(super) fn area(area: Area, rect: (f64, f64, f64, f64), outline: Option<Line>) -> Self {
        Self::Shape {
            points: corners(rect).into(),
            area,
            outline,
        }
    }

    pub(super) fn words(
        at: (f64, f64),
        text: impl Into<String>,
        size: f64,
        anchor: Anchor,
    ) -> Self {
        Self::Words(Words {
            at,
            text: text.into(),
            size,
            anchor,
            turned: false,
            strong: false,
            cleared: false,
        })
    }

    /// How far words that read across reach to the left and to the right; nothing for other marks.
    pub(super) fn reach(&self) -> Option<(f64, f64)> {
        let Self::Words(words) = self else {
            return None;
        };
        let width = match words.turned {
            true => 0.0,
            false => width_of(&words.text, words.size),
        };
        let from = words.at.0
            - match words.anchor {
                Anchor::Start => 0.0,
                Anchor::Middle => width / 2.0,
                Anchor::End => width,
            };
        Some((from, from + width))
    }

    /// The mark somewhere else.
    pub(super) fn moved(mut self, dx: f64, dy: f64) -> Self {
        match &mut self {
            Self::Shape { points, .. } | Self::Stroke { points, .. } => {
                for point in points {
                    *point = (point.0 + dx, point.1 + dy);
                }
            }
            Self::Words(words) => words.at = (words.at.0 + dx, words.at.1 + dy),
        }
        self
    }

    /// The mark in another scale, from the drawing's top left corner.
    pub(super) fn scaled(mut self, by: f64) -> Self {
        let to = |(x, y): (f64, f64)| (x * by, y * by);
        match &mut self {
            Self::Shape { points, .. } | Self::Stroke { points, .. } => {
                points.iter_mut().for_each(|point| *point = to(*point));
            }
            Self::Words(words) => {
                words.at = to(words.at);
                words.size *= by;
            }
        }
        self
    }
}

/// Corners of a rectangle given as x, y, width, height.
pub(super) fn corners((x, y, width, height): (f64, f64, f64, f64)) -> [(f64, f64); 4] {
    [
        (x, y),
        (x + width, y),
        (x + width, y + height),
        (x, y + height),
    ]
}

/// Strokes at 45° over a rectangle, so far from each other; cut at its edges.
pub(super) fn hatching((x, y, width, height): (f64, f64, f64, f64), gap: f64) -> Vec<Mark> {
    // Stroke number n runs along x + y = n · gap, so that neighbouring hatchings go on in each other.
    let first = ((x + y) / gap).ceil() as i64;
    let last = ((x + y + width + height) / gap).floor() as i64;
    // A drawing has some hundred strokes; this only keeps a mistake from making millions.
    let last = last.min(first.saturating_add(20_000));
    (first..=last)
        .filter_map(|number| {
            let sum = number as f64 * gap;
            let from = (sum - y - height).max(x);
            let to = (sum - y).min(x + width);
            (to - from > 1e-6)
                .then(|| Mark::stroke(Line::Hatch, [(from, sum - from), (to, sum - to)]))
        })
        .collect()
}

/// How wide words come out, roughly: the letters of drawings are a little over half as wide as high.
pub(super) fn width_of(text: &str, size: f64) -> f64 {
    text.chars().count() as f64 * size * 0.56
}
