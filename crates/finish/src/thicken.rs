//! Lines made wider, so that a process holds them.

use measure::Length;
use usvg::tiny_skia_path::{LineJoin, PathBuilder, Stroke};

use crate::drawing;
use crate::outline::{Command, FillRule, Shape};
use crate::{Bounds, Fault, FaultKind, Judged, Plate, judge};

/// The most that lines are made wider by. Our assumption: more is another drawing.
pub const MOST_THICKENING: Length = Length::from_nm(500_000);
/// Thickenings are whole steps of this.
const STEP: f64 = 0.01;
/// How finely the edge of a wider line is drawn, in parts of a millimetre.
const FINE: f32 = 300.0;

impl Shape {
    /// The shape and its own outline drawn along its edge, so that every line of it is wider by so
    /// much and every gap narrower; corners are rounded by half of it.
    pub fn thickened(&self, by: Length) -> Vec<Self> {
        let mut shapes = vec![self.clone()];
        if by <= Length::ZERO || !self.adds {
            return shapes;
        }
        let stroke = Stroke {
            width: by.mm() as f32,
            line_join: LineJoin::Round,
            ..Stroke::default()
        };
        let edge = path(&self.outline).and_then(|path| path.stroke(&stroke, FINE));
        shapes.extend(edge.map(|edge| Self {
            outline: drawing::steps(&edge),
            rule: FillRule::NonZero,
            adds: true,
        }));
        shapes
    }
}

fn path(outline: &[Command]) -> Option<usvg::tiny_skia_path::Path> {
    let mut path = PathBuilder::new();
    for command in outline {
        match *command {
            Command::Move(x, y) => {
                // The ends of a contour that was left open are ends of a filled shape all the same.
                path.close();
                path.move_to(sound(x), sound(y));
            }
            Command::Line(x, y) => path.line_to(sound(x), sound(y)),
            Command::Cubic(a, b, c, d, x, y) => {
                path.cubic_to(sound(a), sound(b), sound(c), sound(d), sound(x), sound(y))
            }
            Command::Close => path.close(),
        }
    }
    path.close();
    path.finish()
}

/// The stroker goes round for ever where a point is no number, and is not made for edges that lie
/// kilometres away: no face is so large.
fn sound(value: f64) -> f32 {
    const FARTHEST: f64 = 1e5;
    if value.is_finite() {
        value.clamp(-FARTHEST, FARTHEST) as f32
    } else {
        0.0
    }
}

/// A plate made thicker, and what is to be said of it then.
#[derive(Debug, Clone, PartialEq)]
pub struct Thickening {
    /// By how much its lines are wider.
    pub by: Length,
    /// The plate as it is then.
    pub judged: Judged,
    /// Whether every line holds; if not, no thickening up to [`MOST_THICKENING`] does.
    pub holds: bool,
    /// Gaps of the plate as it was that close under it.
    pub closes: Vec<Fault>,
}

/// Looks for the least thickening, in hundredths of a millimetre, under which every line of a plate
/// holds. `plate` makes the plate at a thickening; `from` is where to begin, as a rule nothing.
///
/// # Errors
/// What `plate` says.
pub fn least_thickening<E>(
    from: Length,
    bounds: &Bounds,
    mut plate: impl FnMut(Length) -> Result<Plate, E>,
) -> Result<Thickening, E> {
    let mut by = from;
    let (judged, holds) = loop {
        let judged = judge(&plate(by)?, bounds);
        let lines = judged
            .faults
            .iter()
            .filter(|fault| fault.kind == FaultKind::Line);
        let Some(finest) = lines.map(|fault| fault.width).min() else {
            break (judged, true);
        };
        if by >= MOST_THICKENING {
            break (judged, false);
        }
        // A line is measured within a pixel, so one more step may be needed: each goes on.
        let lacks = (bounds.line - finest).mm().max(STEP / 2.0);
        let next = ((by.mm() + lacks) / STEP).ceil() * STEP;
        by = Length::from_mm(next).min(MOST_THICKENING).max(by);
    };
    let closes = if by > from {
        closed_by(&plate(from)?, by - from)
    } else {
        Vec::new()
    };
    Ok(Thickening {
        by,
        judged,
        holds,
        closes,
    })
}

/// The gaps of a plate that are no wider than its lines grow.
fn closed_by(plate: &Plate, by: Length) -> Vec<Fault> {
    let bounds = Bounds {
        // Lines are not asked for.
        line: Length::ZERO,
        gap: by,
        share: 1.0,
    };
    let mut faults = judge(plate, &bounds).faults;
    faults.retain(|fault| fault.kind == FaultKind::Gap);
    faults
}
