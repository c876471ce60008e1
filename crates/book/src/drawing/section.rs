//! A section through the bound book, across the spine: boards, block, spine, squares.

use super::Drawing;
use super::dimension::{Link, above, beside, tenth, to_the_left};
use super::mark::{Anchor, Area, Line, Mark};
use crate::model::BindingKind;
use crate::object::Bound;
use crate::object_wishes::Back;

/// Scales that people can reckon with.
const SCALES: [f64; 6] = [1.0, 2.0, 3.0, 5.0, 10.0, 20.0];
/// At most so many lines are drawn for signatures or leaves.
const MOST_LINES: usize = 48;
/// An arc is drawn in so many straight pieces.
const ARC_PIECES: usize = 24;

/// Layers from the middle of the block outward, in millimetres, and where things end.
struct Layers {
    /// Half of the block.
    block: f64,
    endpapers: f64,
    board: f64,
    cover: f64,
    page: f64,
}

impl Layers {
    /// Upper edge of the board, or of the block of a soft book, from the middle.
    fn outer(&self) -> f64 {
        self.block + self.endpapers + self.board
    }
}

/// Draws the section, enlarged, its middle left out.
pub(super) fn section(bound: &Bound, letter: f64) -> Drawing {
    let layers = Layers {
        block: ((bound.block + bound.swell).mm() / 2.0).max(0.05),
        endpapers: bound.endpapers.mm(),
        board: bound.board.mm(),
        cover: bound.cover.mm(),
        page: bound.page_width.mm(),
    };
    let thickness = bound.closed.thickness.mm().max(0.1);
    let scale = SCALES
        .into_iter()
        .rev()
        .find(|scale| thickness * scale <= letter * 13.0)
        .unwrap_or(1.0);
    let marks = if bound.board.mm() > 0.0 {
        case(bound, &layers)
    } else {
        soft(bound, &layers, letter / scale)
    };

    // Two windows onto it, with the middle left out.
    let spine_part = (letter * 26.0 / scale).min(layers.page * 0.5);
    let fore_part = (letter * 18.0 / scale).min(layers.page * 0.4);
    let left = -(bound.rise.mm() + bound.strip.mm() + layers.cover * 2.0 + 1.0);
    let right = layers.page + bound.square.mm() + layers.cover * 2.0 + 1.0;
    let gap = letter * 1.6;
    let second = (spine_part - left) * scale + gap;
    let to_first = |x: f64| (x - left) * scale;
    let to_second = |x: f64| second + (x - (layers.page - fore_part)) * scale;
    let half = thickness / 2.0 * scale;
    let mut drawn = Vec::new();
    for mark in &marks {
        if let Some(part) = cut(mark, left, spine_part) {
            drawn.push(scaled(part, &to_first, scale));
        }
        if let Some(part) = cut(mark, layers.page - fore_part, right) {
            drawn.push(scaled(part, &to_second, scale));
        }
    }
    for x in [to_first(spine_part), second] {
        drawn.push(broken_edge(x, half + letter * 1.2, letter));
    }

    let edge = to_second(layers.page + bound.square.mm() + layers.cover);
    let mut links = Vec::new();
    if bound.setback.mm() > 0.0 {
        links.push(Link {
            from: to_first(0.0),
            to: to_first(bound.setback.mm()),
            text: format!("setback {}", tenth(bound.setback.mm())),
        });
    }
    if bound.square.mm() > 0.0 {
        links.push(Link {
            from: to_second(layers.page),
            to: to_second(layers.page + bound.square.mm()),
            text: format!("square {}", tenth(bound.square.mm())),
        });
    }
    let top = above(&links, -half - letter * 0.8, letter, &mut drawn);
    let beside_width = beside(&stack(bound, &layers, scale), edge, letter, &mut drawn);
    let back = bound.closed.thickness.mm() / 2.0;
    let whole = Link {
        from: -back * scale,
        to: back * scale,
        text: format!("{} thick", tenth(back * 2.0)),
    };
    let from = to_first(left) + letter * 0.4;
    let left_width = to_the_left(&whole, from, letter, &mut drawn);
    let low = half + letter * 3.4;
    let inside = if bound.board.mm() > 0.0 {
        "boards, "
    } else {
        ""
    };
    drawn.push(Mark::words(
        (to_first(left) + letter * 2.0, low),
        format!(
            "Section, {} : 1, the middle left out; spine at the left",
            tenth(scale)
        ),
        letter,
        Anchor::Start,
    ));
    let described = format!(
        "Section through the closed book, which is {} thick: {inside}block of {}, spine at the left.",
        bound.closed.thickness, bound.block
    );
    let (dx, dy) = (left_width, half + letter + top);
    Drawing {
        name: "section".to_owned(),
        described,
        size: (left_width + edge + beside_width + letter, dy + low + letter),
        marks: drawn.into_iter().map(|mark| mark.moved(dx, dy)).collect(),
    }
}

/// Layers as a chain of dimensions, from front to back.
fn stack(bound: &Bound, layers: &Layers, scale: f64) -> Vec<Link> {
    let block = (
        format!("block {}", two(bound.block.mm())),
        layers.block * 2.0,
    );
    let outer: Vec<(String, f64)> = if layers.board > 0.0 {
        vec![
            (format!("board {}", tenth(layers.board)), layers.board),
            (
                format!("endpapers {}", two(layers.endpapers)),
                layers.endpapers,
            ),
        ]
    } else if bound.flap.mm() > 0.0 {
        vec![(
            format!("cover and flap 2 × {}", two(layers.cover)),
            layers.cover * 2.0,
        )]
    } else {
        vec![(format!("cover {}", two(layers.cover)), layers.cover)]
    };
    let mut all = outer.clone();
    all.push(block);
    all.extend(outer.into_iter().rev());
    let mut y = -all.iter().map(|(_, thick)| thick).sum::<f64>() / 2.0;
    all.into_iter()
        .map(|(text, thick)| {
            let from = y * scale;
            y += thick;
            Link {
                from,
                to: y * scale,
                text,
            }
        })
        .collect()
}

fn two(mm: f64) -> String {
    let text = format!("{mm:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A case, in true millimetres: the back of the block at x = 0, its middle at y = 0.
fn case(bound: &Bound, layers: &Layers) -> Vec<Mark> {
    let mut marks = Vec::new();
    let rise = bound.rise.mm();
    let inner = layers.block + layers.endpapers;
    // The back of a rounded block follows the back of its case.
    let (middle, radius) = circle(layers.outer(), rise);
    marks.extend(leaves(bound, layers, &|y| {
        if rise > 0.0 {
            middle - (radius * radius - y * y).max(0.0).sqrt()
        } else {
            0.0
        }
    }));
    let outer = layers.outer();
    let edge = layers.page + bound.square.mm();
    let setback = bound.setback.mm();
    for side in [-1.0, 1.0] {
        let band = |from: f64, to: f64, start: f64, end: f64| {
            let (low, high) = ((side * from).min(side * to), (side * from).max(side * to));
            (start, low, end - start, high - low)
        };
        marks.push(Mark::area(
            Area::Layer,
            band(layers.block, inner, 0.0, layers.page),
            Some(Line::Fine),
        ));
        marks.push(Mark::area(
            Area::Board,
            band(inner, outer, setback, edge),
            Some(Line::Edge),
        ));
    }
    // The strip in the spine, then the covering over all of it.
    let strip = bound.strip.mm();
    let back: Vec<(f64, f64)> = match bound.back {
        Back::Flat => vec![(-strip / 2.0, -outer), (-strip / 2.0, outer)],
        Back::Round => arc(outer, rise)
            .into_iter()
            .map(|(x, y)| (x - strip / 2.0, y))
            .collect(),
    };
    marks.push(Mark::Shape {
        points: thickened(&back, strip),
        area: Area::Board,
        outline: Some(Line::Edge),
    });
    let cover = layers.cover;
    let over = outer + cover / 2.0;
    let groove = inner + cover / 2.0;
    let half = |side: f64| {
        [
            (setback * 0.35, groove),
            (setback * 0.75, groove),
            (setback, over),
            (edge + cover / 2.0, over),
            (edge + cover / 2.0, inner),
        ]
        .map(|(x, y)| (x, side * y))
    };
    let mut covering: Vec<(f64, f64)> = half(-1.0).into();
    covering.reverse();
    match bound.back {
        Back::Flat => covering.extend([
            (0.0, -over),
            (-strip - cover / 2.0, -over),
            (-strip - cover / 2.0, over),
            (0.0, over),
        ]),
        Back::Round => {
            covering.extend(
                arc(outer, rise)
                    .into_iter()
                    .map(|(x, y)| (x - strip - cover / 2.0, y)),
            );
        }
    }
    covering.extend(half(1.0));
    marks.push(Mark::Shape {
        points: thickened(&covering, cover),
        area: Area::Cover,
        outline: Some(Line::Fine),
    });
    marks
}

/// A soft book. `least` is how thick a cover must be drawn to be seen, in millimetres of the book.
fn soft(bound: &Bound, layers: &Layers, least: f64) -> Vec<Mark> {
    let mut marks = leaves(bound, layers, &|_| 0.0);
    let cover = layers.cover;
    let thick = cover.max(least * 0.08);
    let flap = bound.flap.mm();
    let inner = layers.block + if flap > 0.0 { cover } else { 0.0 };
    let over = inner + cover / 2.0;
    let edge = bound.closed.face.mm().max(layers.page);
    let at_the_edge = if flap > 0.0 {
        vec![
            (edge - flap, layers.block + cover / 2.0),
            (edge, layers.block + cover / 2.0),
            (edge, over),
        ]
    } else {
        vec![(edge, over)]
    };
    let mut path: Vec<(f64, f64)> = at_the_edge.iter().map(|(x, y)| (*x, -y)).collect();
    if bound.kind == BindingKind::WireStitched {
        path.extend(turn(layers.block, over));
    } else {
        path.extend([(-cover / 2.0, -over), (-cover / 2.0, over)]);
    }
    path.extend(at_the_edge.into_iter().rev());
    marks.push(Mark::Shape {
        points: thickened(&path, thick),
        area: Area::Cover,
        outline: Some(Line::Fine),
    });
    marks
}

/// The block: its outline, and a line between any two signatures, or between leaves.
fn leaves(bound: &Bound, layers: &Layers, back: &dyn Fn(f64) -> f64) -> Vec<Mark> {
    let (half, page) = (layers.block, layers.page);
    let mut outline: Vec<(f64, f64)> = if bound.kind == BindingKind::WireStitched {
        turn(half, half)
    } else {
        (0..=ARC_PIECES)
            .map(|step| 2.0 * half * step as f64 / ARC_PIECES as f64 - half)
            .map(|y| (back(y), y))
            .collect()
    };
    outline.extend([(page, half), (page, -half)]);
    let mut marks = vec![Mark::Shape {
        points: outline,
        area: Area::Paper,
        outline: Some(Line::Edge),
    }];
    let pages: u32 = bound.signatures.iter().sum::<u32>().max(1);
    match bound.kind {
        BindingKind::WireStitched => {
            // Sheets lie in each other, so that lines turn around the middle.
            let sheets = (pages / 4).clamp(1, 12);
            for sheet in 0..sheets {
                let y = half * f64::from(sheet) / f64::from(sheets);
                let mut line = vec![(page, -y)];
                line.extend(turn(half, y));
                line.push((page, y));
                marks.push(Mark::stroke(Line::Fine, line));
            }
        }
        BindingKind::SewnCase | BindingKind::SewnSoft => {
            let every = bound.signatures.len().div_ceil(MOST_LINES).max(1);
            let mut y = -half;
            for (index, signature) in bound.signatures.iter().enumerate() {
                let thick = 2.0 * half * f64::from(*signature) / f64::from(pages);
                if index % every == 0 && index > 0 {
                    let notch = (thick * 0.5).min(0.8);
                    marks.push(Mark::stroke(
                        Line::Fine,
                        [(page, y), (back(y) + notch, y), (back(y), y)],
                    ));
                }
                // The fold of a signature, rounded.
                let middle = y + thick / 2.0;
                marks.push(Mark::stroke(
                    Line::Fine,
                    [(page, middle), (back(middle) + 0.3, middle)],
                ));
                y += thick;
                if index > MOST_LINES * 4 {
                    break;
                }
            }
        }
        BindingKind::GluedSoft => {
            let lines = (pages / 2).clamp(1, 24);
            for line in 1..lines {
                let y = half * (2.0 * f64::from(line) / f64::from(lines) - 1.0);
                marks.push(Mark::stroke(Line::Fine, [(page, y), (0.0, y)]));
            }
        }
    }
    marks
}

/// The turn of a folded sheet so far from the middle, in a nest of which the outermost lies at
/// `half`: half a circle around the innermost fold, from above to below.
fn turn(half: f64, y: f64) -> Vec<(f64, f64)> {
    (0..=ARC_PIECES)
        .map(|step| std::f64::consts::PI * step as f64 / ARC_PIECES as f64)
        .map(|angle| (half - y * angle.sin(), -y * angle.cos()))
        .collect()
}

/// Middle and radius of the circle through (0, ±half) that reaches `rise` to the left.
fn circle(half: f64, rise: f64) -> (f64, f64) {
    let angle = 2.0 * (rise / half.max(1e-6)).atan();
    let radius = half / angle.sin().max(1e-6);
    (radius * angle.cos(), radius)
}

/// Points of an arc over the chord from (0, −half) to (0, half), rising to the left.
fn arc(half: f64, rise: f64) -> Vec<(f64, f64)> {
    let angle = 2.0 * (rise / half.max(1e-6)).atan();
    let (middle, radius) = circle(half, rise);
    (0..=ARC_PIECES)
        .map(|step| 2.0 * angle * step as f64 / ARC_PIECES as f64 - angle)
        .map(|turn| (middle - radius * turn.cos(), radius * turn.sin()))
        .collect()
}

/// A line with a thickness, as an area: at each point pushed out along the mean of its two normals.
fn thickened(points: &[(f64, f64)], thick: f64) -> Vec<(f64, f64)> {
    let normal = |a: (f64, f64), b: (f64, f64)| {
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let length = dx.hypot(dy).max(1e-9);
        (-dy / length, dx / length)
    };
    let pushed = |side: f64| -> Vec<(f64, f64)> {
        (0..points.len())
            .map(|index| {
                let here = points[index];
                let before = index.checked_sub(1).map(|one| normal(points[one], here));
                let after = points.get(index + 1).map(|next| normal(here, *next));
                let (nx, ny) = match (before, after) {
                    (Some(a), Some(b)) => {
                        // At a corner the point lies further out, though never beyond two widths.
                        let (x, y) = (a.0 + b.0, a.1 + b.1);
                        let square = (x * x + y * y).max(0.5);
                        (2.0 * x / square, 2.0 * y / square)
                    }
                    (Some(one), None) | (None, Some(one)) => one,
                    (None, None) => (0.0, 0.0),
                };
                (
                    here.0 + nx * side * thick / 2.0,
                    here.1 + ny * side * thick / 2.0,
                )
            })
            .collect()
    };
    let mut area = pushed(1.0);
    area.extend(pushed(-1.0).into_iter().rev());
    area
}

/// The part of a mark between two upright lines.
fn cut(mark: &Mark, left: f64, right: f64) -> Option<Mark> {
    match mark {
        Mark::Shape {
            points,
            area,
            outline,
        } => {
            let points = clipped(points, left, right, true);
            (points.len() > 2).then_some(Mark::Shape {
                points,
                area: *area,
                outline: *outline,
            })
        }
        Mark::Stroke {
            points,
            closed,
            line,
        } => {
            let points = clipped(points, left, right, *closed);
            (points.len() > 1).then_some(Mark::Stroke {
                points,
                closed: *closed,
                line: *line,
            })
        }
        Mark::Words(words) => (left..=right).contains(&words.at.0).then(|| mark.clone()),
    }
}

/// A path cut at two upright lines, one after the other.
fn clipped(points: &[(f64, f64)], left: f64, right: f64, closed: bool) -> Vec<(f64, f64)> {
    let at = |points: &[(f64, f64)], limit: f64, side: f64| -> Vec<(f64, f64)> {
        let inside = |point: (f64, f64)| (point.0 - limit) * side >= 0.0;
        let mut kept = Vec::new();
        for (index, here) in points.iter().copied().enumerate() {
            let before = match index.checked_sub(1) {
                Some(one) => Some(points[one]),
                None if closed => points.last().copied(),
                None => None,
            };
            if let Some(before) = before
                && inside(before) != inside(here)
            {
                let share = (limit - before.0) / (here.0 - before.0);
                kept.push((limit, before.1 + share * (here.1 - before.1)));
            }
            if inside(here) {
                kept.push(here);
            }
        }
        kept
    };
    at(&at(points, left, 1.0), right, -1.0)
}

fn scaled(mark: Mark, x: &dyn Fn(f64) -> f64, scale: f64) -> Mark {
    let point = |point: &(f64, f64)| (x(point.0), point.1 * scale);
    match mark {
        Mark::Shape {
            points,
            area,
            outline,
        } => Mark::Shape {
            points: points.iter().map(point).collect(),
            area,
            outline,
        },
        Mark::Stroke {
            points,
            closed,
            line,
        } => Mark::Stroke {
            points: points.iter().map(point).collect(),
            closed,
            line,
        },
        Mark::Words(mut words) => {
            words.at = point(&words.at);
            Mark::Words(words)
        }
    }
}

/// The wavering line by which a drawing says that something is left out.
fn broken_edge(x: f64, half: f64, letter: f64) -> Mark {
    let reach = letter * 0.5;
    Mark::stroke(
        Line::Dimension,
        [
            (x, -half),
            (x, -reach),
            (x - reach, -reach * 0.4),
            (x + reach, reach * 0.4),
            (x, reach),
            (x, half),
        ],
    )
}
