//! Marks as they are shown on white paper: kinds of lines and areas have become widths and shades.
//! What is shown on the screen, in SVG and in PDF is all taken from here.

use measure::Length;

use super::Drawing;
use super::mark::{Anchor, Area, Line, Mark};
use crate::plan::Reads;

/// A place: right of the drawing's left edge, and down from its top.
pub type Point = (Length, Length);

/// One thing to show; later ones lie over earlier ones.
#[derive(Debug, Clone, PartialEq)]
pub enum Shown<'a> {
    /// A filled area.
    Area {
        /// Its corners.
        points: Vec<Point>,
        /// From 0 (black) to 255 (paper).
        grey: u8,
    },
    /// A line with butt ends and mitred corners.
    Line {
        /// Its points.
        points: Vec<Point>,
        /// Whether it goes back to its first point.
        closed: bool,
        /// Width.
        width: Length,
        /// From 0 (black) to 255 (paper).
        grey: u8,
        /// Lengths of dash and gap of a broken line.
        dashes: Option<[Length; 2]>,
    },
    /// A line of words in black.
    Words {
        /// Where they stand, on their baseline.
        at: Point,
        /// The words.
        text: &'a str,
        /// Type size.
        size: Length,
        /// How they stand to their point.
        anchor: Anchor,
        /// Which way they read.
        reads: Reads,
        /// Whether they are set heavier.
        strong: bool,
        /// Whether paper lies under them, so that lines behind do not disturb them; see
        /// [`clearing`].
        cleared: bool,
    },
}

/// All that a drawing shows, from below.
pub(super) fn shown(drawing: &Drawing) -> Vec<Shown<'_>> {
    // Lines are as strong as the letters of the drawing are high, so that both are read at once.
    let unit = drawing
        .marks
        .iter()
        .filter_map(|mark| match mark {
            Mark::Words(words) => Some(words.size),
            _ => None,
        })
        .fold(9.0, f64::min);
    let mut all = Vec::with_capacity(drawing.marks.len());
    for mark in &drawing.marks {
        match mark {
            Mark::Shape {
                points,
                area,
                outline,
            } => {
                all.push(Shown::Area {
                    points: places(points),
                    grey: fill(*area),
                });
                all.extend(outline.map(|line| stroke(points, true, line, unit)));
            }
            Mark::Stroke {
                points,
                closed,
                line,
            } => all.push(stroke(points, *closed, *line, unit)),
            Mark::Words(words) => all.push(Shown::Words {
                at: place(words.at),
                text: &words.text,
                size: Length::from_mm(words.size),
                anchor: words.anchor,
                reads: match words.turned {
                    true => Reads::Up,
                    false => Reads::Across,
                },
                strong: words.strong,
                cleared: words.cleared,
            }),
        }
    }
    all
}

fn stroke(points: &[(f64, f64)], closed: bool, line: Line, unit: f64) -> Shown<'static> {
    let (width, grey, dashes) = match line {
        Line::Trim => (0.13, 0, None),
        Line::Fold => (0.09, 0, Some([0.9, 0.45])),
        Line::Bleed => (0.045, 0, None),
        Line::Edge => (0.09, 0, None),
        Line::Fine => (0.045, 0x44, None),
        Line::Dimension => (0.055, 0x22, None),
        Line::Hatch => (0.06, 0x66, None),
    };
    let length = |part: f64| Length::from_mm(part * unit);
    Shown::Line {
        points: places(points),
        closed,
        width: length(width),
        grey,
        dashes: dashes.map(|lengths| lengths.map(length)),
    }
}

const fn fill(area: Area) -> u8 {
    match area {
        Area::Paper => 0xff,
        Area::Beyond => 0xf0,
        Area::Board => 0xbd,
        Area::Layer => 0xe4,
        Area::Cover => 0x4a,
    }
}

/// Where words begin that stand to a point in some way and are so wide.
pub fn start((x, y): Point, anchor: Anchor, reads: Reads, width: Length) -> Point {
    let back = match anchor {
        Anchor::Start => Length::ZERO,
        Anchor::Middle => width.scaled(0.5),
        Anchor::End => width,
    };
    match reads {
        Reads::Across => (x - back, y),
        Reads::Down => (x, y - back),
        Reads::Up => (x, y + back),
    }
}

/// The paper under words that begin at a point and are so wide, by its corners.
pub fn clearing((x, y): Point, size: Length, reads: Reads, width: Length) -> Vec<Point> {
    let side = size.scaled(0.25);
    let (left, right) = (-side, width + side);
    let (top, foot) = (-size.scaled(0.95), size.scaled(0.3));
    let turned = |(across, down): Point| match reads {
        Reads::Across => (x + across, y + down),
        Reads::Down => (x - down, y + across),
        Reads::Up => (x + down, y - across),
    };
    [(left, top), (right, top), (right, foot), (left, foot)]
        .map(turned)
        .into()
}

fn places(points: &[(f64, f64)]) -> Vec<Point> {
    points.iter().map(|point| place(*point)).collect()
}

fn place((x, y): (f64, f64)) -> Point {
    (Length::from_mm(x), Length::from_mm(y))
}
