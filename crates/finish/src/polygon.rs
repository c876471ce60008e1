//! Outlines as closed polygons: for painting, and for taking shapes away from each other.

use i_overlay::core::fill_rule::FillRule as Rule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::float::single::SingleFloatOverlay;
use measure::Size;

use crate::outline::{Command, FillRule, Shape};

/// A point, in any unit.
pub(crate) type Point = [f64; 2];
/// Points of a contour that closes itself.
pub(crate) type Ring = Vec<Point>;

/// How far a straightened curve may be off, in millimetres: a twelfth of a pixel of the finest
/// platesetters (2540 to the inch). Our assumption.
const STRAIGHT: f64 = 0.0008;
/// Most points of shapes that are taken away from each other.
const MOST_POINTS: usize = 400_000;
/// Most pairs of shapes that are looked at for it.
const MOST_PAIRS: usize = 4_000_000;
/// Most pieces of one curve.
const MOST_PIECES: f64 = 256.0;

/// The contours of an outline, its curves straightened to within `off`, in the outline's unit. What
/// is no number counts as nothing.
pub(crate) fn rings(outline: &[Command], off: f64) -> Vec<Ring> {
    let sound = |x: f64, y: f64| [x, y].map(|value| if value.is_finite() { value } else { 0.0 });
    let mut rings: Vec<Ring> = Vec::new();
    let mut ring: Ring = Vec::new();
    let mut closed = false;
    for command in outline {
        match *command {
            Command::Move(x, y) => {
                rings.push(std::mem::take(&mut ring));
                ring.push(sound(x, y));
                closed = false;
            }
            Command::Close => closed = true,
            // A step before the first beginning belongs to nothing.
            Command::Line(..) | Command::Cubic(..) if ring.is_empty() => {}
            Command::Line(x, y) => {
                begin_again(&mut rings, &mut ring, &mut closed);
                ring.push(sound(x, y));
            }
            Command::Cubic(a, b, c, d, x, y) => {
                begin_again(&mut rings, &mut ring, &mut closed);
                let from = ring[ring.len() - 1];
                curve(
                    [from, sound(a, b), sound(c, d), sound(x, y)],
                    off,
                    &mut ring,
                );
            }
        }
    }
    rings.push(ring);
    rings.retain(|ring| ring.len() > 2);
    rings
}

/// A contour that goes on after it was closed begins anew where it began.
fn begin_again(rings: &mut Vec<Ring>, ring: &mut Ring, closed: &mut bool) {
    if std::mem::take(closed) {
        let start = ring[0];
        rings.push(std::mem::replace(ring, vec![start]));
    }
}

fn curve([p0, p1, p2, p3]: [Point; 4], off: f64, ring: &mut Ring) {
    // The second differences bound how far a chord may lie from the curve: a cubic of n pieces is
    // off by at most √3/18 · 6 · d / n², with d the larger second difference (from memory).
    let bend =
        |a: Point, b: Point, c: Point| (a[0] - 2.0 * b[0] + c[0]).hypot(a[1] - 2.0 * b[1] + c[1]);
    let most = bend(p0, p1, p2).max(bend(p1, p2, p3));
    let pieces = (0.577 * most / off.max(1e-12)).sqrt().ceil();
    let pieces = pieces.clamp(1.0, MOST_PIECES) as u32;
    for piece in 1..pieces {
        let t = f64::from(piece) / f64::from(pieces);
        let s = 1.0 - t;
        let weights = [s * s * s, 3.0 * s * s * t, 3.0 * s * t * t, t * t * t];
        let at = |axis: usize| {
            weights[0] * p0[axis]
                + weights[1] * p1[axis]
                + weights[2] * p2[axis]
                + weights[3] * p3[axis]
        };
        ring.push([at(0), at(1)]);
    }
    ring.push(p3);
}

/// Moves what of a ring lies outside a rectangle onto its edge. What is inside the ring and the
/// rectangle stays the same, whichever fill rule holds: every step is parted where it crosses an
/// edge, and a part outside keeps its side and its height.
pub(crate) fn within(ring: &[Point], [left, top]: Point, [right, bottom]: Point) -> Ring {
    let mut kept = Ring::with_capacity(ring.len());
    let onto = |[x, y]: Point| [x.clamp(left, right), y.clamp(top, bottom)];
    for (index, &from) in ring.iter().enumerate() {
        let to = ring[(index + 1) % ring.len()];
        kept.push(onto(from));
        let mut cuts: Vec<f64> = Vec::new();
        for (axis, edge) in [(0, left), (0, right), (1, top), (1, bottom)] {
            let (a, b) = (from[axis], to[axis]);
            if (a < edge) != (b < edge) {
                cuts.push((edge - a) / (b - a));
            }
        }
        cuts.sort_by(f64::total_cmp);
        for t in cuts {
            let at = |axis: usize| from[axis] + (to[axis] - from[axis]) * t;
            kept.push(onto([at(0), at(1)]));
        }
    }
    kept.dedup();
    kept
}

/// An outline that no reader of a press file stumbles over: where a point of it lies farther off than
/// ten faces, what is outside the face is cut off.
pub(crate) fn bounded(outline: Vec<Command>, face: Size) -> Vec<Command> {
    let far = face.width.mm().max(face.height.mm()) * 10.0;
    // Not a number is not near either.
    let is_near = |values: &[f64]| values.iter().all(|value| value.abs() <= far);
    let all_near = outline.iter().all(|command| match *command {
        Command::Move(x, y) | Command::Line(x, y) => is_near(&[x, y]),
        Command::Cubic(a, b, c, d, x, y) => is_near(&[a, b, c, d, x, y]),
        Command::Close => true,
    });
    if all_near {
        return outline;
    }
    self::outline(&framed(&outline, face))
}

/// Straightened contours in a face, with a millimetre around it.
fn framed(outline: &[Command], face: Size) -> Vec<Ring> {
    let (far_x, far_y) = (face.width.mm() + 1.0, face.height.mm() + 1.0);
    rings(outline, STRAIGHT)
        .iter()
        .map(|ring| within(ring, [-1.0, -1.0], [far_x, far_y]))
        .filter(|ring| ring.len() > 2)
        .collect()
}

/// The same plate with shapes that add alone, so that nothing in a press file has to take away
/// what stands there already: programs that show no overprinting would show that as white paper.
///
/// Shapes from which nothing is taken stay as they are, curves and all; the others become polygons.
/// What lies outside the face is cut off from those. `None` when they are too many to be worked
/// through; then the pixels of the plate are still right.
pub fn without_taking_away(shapes: &[Shape], face: Size) -> Option<Vec<Shape>> {
    let first = shapes.iter().position(|shape| shape.adds)?;
    let shapes = &shapes[first..];
    if shapes.iter().all(|shape| shape.adds) {
        return Some(shapes.to_vec());
    }
    let takes: Vec<(usize, &Shape)> = shapes
        .iter()
        .enumerate()
        .filter(|(_, shape)| !shape.adds)
        .collect();
    if takes.len().saturating_mul(shapes.len() - takes.len()) > MOST_PAIRS {
        return None;
    }
    let takes: Vec<(usize, Vec<Ring>, Rule)> = takes
        .into_iter()
        .map(|(index, shape)| (index, framed(&shape.outline, face), rule(shape.rule)))
        .collect();
    let mut points: usize = takes.iter().map(|(_, rings, _)| count(rings)).sum();
    let mut left = Vec::new();
    for (index, shape) in shapes.iter().enumerate().filter(|(_, shape)| shape.adds) {
        let own = framed(&shape.outline, face);
        points = points.saturating_add(count(&own));
        if points > MOST_POINTS {
            return None;
        }
        let later = || {
            takes
                .iter()
                .filter(|(other, rings, _)| *other > index && meet(&own, rings))
        };
        if later().next().is_none() {
            left.push(shape.clone());
            continue;
        }
        let mut rest = plain(&own, rule(shape.rule));
        for (_, rings, rule) in later() {
            if rest.is_empty() {
                break;
            }
            points = points.saturating_add(count(rings) + count(&rest));
            if points > MOST_POINTS * 4 {
                return None;
            }
            // Rings of both sides follow one rule, so each is brought to plain ones first.
            let away = plain(rings, *rule);
            rest = flat(rest.overlay(&away, OverlayRule::Difference, Rule::NonZero));
        }
        if !rest.is_empty() {
            left.push(Shape {
                outline: outline(&rest),
                rule: FillRule::NonZero,
                adds: true,
            });
        }
    }
    Some(left)
}

/// What of a shape lies within a rectangle, in millimetres; the shape itself where all of it does.
pub(crate) fn cut_to(shape: Shape, [left, top]: Point, [right, bottom]: Point) -> Shape {
    // A curve lies between its ends and its controls.
    let is_within = |x: f64, y: f64| x >= left && x <= right && y >= top && y <= bottom;
    let all_within = shape.outline.iter().all(|command| match *command {
        Command::Move(x, y) | Command::Line(x, y) => is_within(x, y),
        Command::Cubic(a, b, c, d, x, y) => is_within(a, b) && is_within(c, d) && is_within(x, y),
        Command::Close => true,
    });
    if all_within {
        return shape;
    }
    let (from, until) = ([left - 1.0, top - 1.0], [right + 1.0, bottom + 1.0]);
    let near: Vec<Ring> = rings(&shape.outline, STRAIGHT)
        .iter()
        .map(|ring| within(ring, from, until))
        .filter(|ring| ring.len() > 2)
        .collect();
    let page: Vec<Ring> = vec![vec![
        [left, top],
        [right, top],
        [right, bottom],
        [left, bottom],
    ]];
    let inside =
        plain(&near, rule(shape.rule)).overlay(&page, OverlayRule::Intersect, Rule::NonZero);
    Shape {
        outline: outline(&flat(inside)),
        rule: FillRule::NonZero,
        ..shape
    }
}

const fn rule(rule: FillRule) -> Rule {
    match rule {
        FillRule::NonZero => Rule::NonZero,
        FillRule::EvenOdd => Rule::EvenOdd,
    }
}

fn count(rings: &[Ring]) -> usize {
    rings.iter().map(Vec::len).sum()
}

/// Rings that do not cross, holes the other way round.
fn plain(rings: &[Ring], rule: Rule) -> Vec<Ring> {
    let nothing: Vec<Ring> = Vec::new();
    flat(rings.to_vec().overlay(&nothing, OverlayRule::Subject, rule))
}

fn flat(shapes: Vec<Vec<Ring>>) -> Vec<Ring> {
    shapes.into_iter().flatten().collect()
}

/// Whether the smallest upright rectangles around two sets of rings meet.
fn meet(one: &[Ring], other: &[Ring]) -> bool {
    let around = |rings: &[Ring]| {
        rings.iter().flatten().fold(
            [
                f64::INFINITY,
                f64::INFINITY,
                f64::NEG_INFINITY,
                f64::NEG_INFINITY,
            ],
            |[left, top, right, bottom], &[x, y]| {
                [left.min(x), top.min(y), right.max(x), bottom.max(y)]
            },
        )
    };
    let (a, b) = (around(one), around(other));
    a[0] <= b[2] && b[0] <= a[2] && a[1] <= b[3] && b[1] <= a[3]
}

/// Polygons as steps of an outline.
pub(crate) fn outline(rings: &[Ring]) -> Vec<Command> {
    rings
        .iter()
        .flat_map(|ring| {
            let steps = ring.iter().enumerate().map(|(index, &[x, y])| {
                if index == 0 {
                    Command::Move(x, y)
                } else {
                    Command::Line(x, y)
                }
            });
            steps.chain([Command::Close])
        })
        .collect()
}
