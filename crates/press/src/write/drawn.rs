//! Areas and lines as they are drawn into a content stream.

use measure::{Length, Rect};
use pdf_writer::Content;

use super::boxes::{Boxes, length_in_points, points};

/// A shade from 0 (black) to 1 (paper); what lies outside is brought in, and what is no number is
/// black.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grey(pub f32);

impl Grey {
    /// Black.
    pub const BLACK: Self = Self(0.0);

    pub(super) fn value(self) -> f32 {
        let value = if self.0.is_nan() { 0.0 } else { self.0 };
        (value.clamp(0.0, 1.0) * 1000.0).round() / 1000.0
    }
}

/// A place on a page: right of a corner, and down from it.
pub type Point = (Length, Length);

/// An area or a line.
#[derive(Debug, Clone)]
pub enum Drawn {
    /// A filled area.
    Area {
        /// Its corners.
        points: Vec<Point>,
        /// Shade.
        grey: Grey,
    },
    /// A line through points, with butt ends and mitred corners.
    Line {
        /// Its points.
        points: Vec<Point>,
        /// Whether it goes back to its first point.
        closed: bool,
        /// Width; a line is never thinner than 1/1000 point.
        width: Length,
        /// Shade.
        grey: Grey,
        /// Lengths of dash and gap of a broken line.
        dashes: Option<[Length; 2]>,
    },
}

/// In which colour shades are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shades {
    /// As grey, for the office.
    Grey,
    /// As black ink alone, for the press.
    Black,
}

impl Drawn {
    /// An upright rectangle, filled.
    pub fn rect(rect: Rect, grey: Grey) -> Self {
        Self::Area {
            points: corners(rect),
            grey,
        }
    }

    /// The frame of an upright rectangle.
    pub(super) fn frame(rect: Rect, width: Length) -> Self {
        Self::Line {
            points: corners(rect),
            closed: true,
            width,
            grey: Grey::BLACK,
            dashes: None,
        }
    }

    /// A whole line in black.
    pub(super) fn line(from: Point, to: Point, width: Length) -> Self {
        Self::Line {
            points: vec![from, to],
            closed: false,
            width,
            grey: Grey::BLACK,
            dashes: None,
        }
    }

    /// Its points.
    pub fn points(&self) -> &[Point] {
        match self {
            Self::Area { points, .. } | Self::Line { points, .. } => points,
        }
    }

    /// The same so far to the right and so far down.
    pub(super) fn moved(mut self, (right, down): Point) -> Self {
        let (Self::Area { points, .. } | Self::Line { points, .. }) = &mut self;
        for (x, y) in points {
            *x += right;
            *y += down;
        }
        self
    }

    /// The same with lines at least so wide, so that a press holds them.
    pub(super) fn no_thinner(mut self, least: Length) -> Self {
        if let Self::Line { width, .. } = &mut self {
            *width = (*width).max(least);
        }
        self
    }

    /// Draws it.
    pub(super) fn paint(&self, content: &mut Content, boxes: &Boxes, shades: Shades) {
        match self {
            Self::Area { points, grey } => {
                fill(content, shades, *grey);
                if path(content, boxes, points) {
                    content.close_path();
                    content.fill_nonzero();
                }
            }
            Self::Line {
                points,
                closed,
                width,
                grey,
                dashes,
            } => {
                match shades {
                    Shades::Grey => content.set_stroke_gray(grey.value()),
                    Shades::Black => content.set_stroke_cmyk(0.0, 0.0, 0.0, black(*grey)),
                };
                content.set_line_width(length_in_points(*width).max(0.001));
                match dashes.map(|lengths| lengths.map(length_in_points)) {
                    Some([dash, gap]) if dash > 0.0 && gap > 0.0 => {
                        content.set_dash_pattern([dash, gap], 0.0);
                    }
                    _ => {
                        content.set_dash_pattern([], 0.0);
                    }
                }
                if path(content, boxes, points) {
                    if *closed {
                        content.close_path();
                    }
                    content.stroke();
                }
            }
        }
    }
}

/// Sets the colour of what is filled.
pub(super) fn fill(content: &mut Content, shades: Shades, grey: Grey) {
    match shades {
        Shades::Grey => content.set_fill_gray(grey.value()),
        Shades::Black => content.set_fill_cmyk(0.0, 0.0, 0.0, black(grey)),
    };
}

fn black(grey: Grey) -> f32 {
    ((1.0 - grey.value()) * 1000.0).round() / 1000.0
}

fn corners(rect: Rect) -> Vec<Point> {
    let (right, foot) = (rect.right(), rect.bottom());
    vec![
        (rect.x, rect.y),
        (right, rect.y),
        (right, foot),
        (rect.x, foot),
    ]
}

/// Draws a path; says whether there is one.
fn path(content: &mut Content, boxes: &Boxes, corners: &[Point]) -> bool {
    for (index, (x, y)) in corners.iter().enumerate() {
        let (x, y) = (points(boxes.across(*x)), points(boxes.up(*y)));
        if index == 0 {
            content.move_to(x, y);
        } else {
            content.line_to(x, y);
        }
    }
    !corners.is_empty()
}
