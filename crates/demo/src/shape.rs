//! Shapes with clean edges: outlines filled with paint.

use crate::colour::Rgb;
use crate::noise::{ridge, value};
use crate::sheet::{Band, Layer, Point};

/// One or more closed outlines; an outline that runs the other way round cuts a hole.
#[derive(Debug, Clone, Default)]
pub(crate) struct Outline {
    rings: Vec<Vec<Point>>,
}

impl Outline {
    pub(crate) fn new() -> Self {
        Self::default()
    }

    /// A closed polygon.
    pub(crate) fn polygon(points: &[Point]) -> Self {
        let mut outline = Self::new();
        outline.ring(points);
        outline
    }

    /// A rectangle.
    pub(crate) fn rect(x: f32, y: f32, width: f32, height: f32) -> Self {
        Self::polygon(&[
            (x, y),
            (x + width, y),
            (x + width, y + height),
            (x, y + height),
        ])
    }

    /// An ellipse.
    pub(crate) fn ellipse(x: f32, y: f32, rx: f32, ry: f32) -> Self {
        let steps = 96;
        let points: Vec<Point> = (0..steps)
            .map(|i| {
                let a = i as f32 / steps as f32 * std::f32::consts::TAU;
                (x + rx * a.cos(), y + ry * a.sin())
            })
            .collect();
        Self::polygon(&points)
    }

    /// A line with a width at each of its points, its ends round.
    pub(crate) fn line(points: &[(f32, f32, f32)]) -> Self {
        let mut outline = Self::new();
        outline.add_line(points);
        outline
    }

    /// A closed smooth curve through points.
    pub(crate) fn smooth(points: &[Point]) -> Self {
        Self::polygon(&curve(points, true))
    }

    /// Adds a polygon, turned to the outer direction.
    pub(crate) fn ring(&mut self, points: &[Point]) -> &mut Self {
        self.push(points, true)
    }

    /// Adds a hole.
    pub(crate) fn hole(&mut self, points: &[Point]) -> &mut Self {
        self.push(points, false)
    }

    /// Adds another outline's rings.
    pub(crate) fn join(&mut self, other: &Self) -> &mut Self {
        self.rings.extend(other.rings.iter().cloned());
        self
    }

    /// Adds a line with a width at each point.
    pub(crate) fn add_line(&mut self, points: &[(f32, f32, f32)]) -> &mut Self {
        for pair in points.windows(2) {
            let ((x0, y0, w0), (x1, y1, w1)) = (pair[0], pair[1]);
            let (dx, dy) = (x1 - x0, y1 - y0);
            let length = dx.hypot(dy).max(1e-6);
            let (nx, ny) = (-dy / length, dx / length);
            let (h0, h1) = (w0 / 2.0, w1 / 2.0);
            self.ring(&[
                (x0 + nx * h0, y0 + ny * h0),
                (x1 + nx * h1, y1 + ny * h1),
                (x1 - nx * h1, y1 - ny * h1),
                (x0 - nx * h0, y0 - ny * h0),
            ]);
        }
        for &(x, y, width) in points {
            if width > 0.05 {
                let dot: Vec<Point> = (0..12)
                    .map(|i| {
                        let a = i as f32 / 12.0 * std::f32::consts::TAU;
                        (x + width / 2.0 * a.cos(), y + width / 2.0 * a.sin())
                    })
                    .collect();
                self.ring(&dot);
            }
        }
        self
    }

    /// Moved and scaled about the origin.
    pub(crate) fn placed(&self, x: f32, y: f32, scale_x: f32, scale_y: f32) -> Self {
        let mut outline = Self::new();
        for ring in &self.rings {
            let moved: Vec<Point> = ring
                .iter()
                .map(|&(px, py)| (x + px * scale_x, y + py * scale_y))
                .collect();
            // A mirror turns every ring round, holes too, which the sign of the area forgives.
            outline.rings.push(moved);
        }
        outline
    }

    /// Turned about a point, clockwise, in radians.
    pub(crate) fn turned(&self, about: Point, by: f32) -> Self {
        let (sin, cos) = by.sin_cos();
        self.mapped(|(x, y)| {
            let (dx, dy) = (x - about.0, y - about.1);
            (about.0 + dx * cos - dy * sin, about.1 + dx * sin + dy * cos)
        })
    }

    /// Every point moved by a rule.
    pub(crate) fn mapped(&self, rule: impl Fn(Point) -> Point) -> Self {
        Self {
            rings: self
                .rings
                .iter()
                .map(|ring| ring.iter().map(|&point| rule(point)).collect())
                .collect(),
        }
    }

    /// The same shape cut by an unsteady hand: edges parted every `step` mm and moved by up to
    /// `by` mm.
    pub(crate) fn by_hand(&self, by: f32, step: f32, seed: u32) -> Self {
        let mut outline = Self::new();
        for ring in &self.rings {
            let mut moved = Vec::with_capacity(ring.len() * 2);
            for (index, &(x0, y0)) in ring.iter().enumerate() {
                let (x1, y1) = ring[(index + 1) % ring.len()];
                let parts = (((x1 - x0).hypot(y1 - y0) / step).ceil() as usize).clamp(1, 4000);
                for part in 0..parts {
                    let t = part as f32 / parts as f32;
                    let (x, y) = (x0 + (x1 - x0) * t, y0 + (y1 - y0) * t);
                    let (u, v) = (x / (step * 2.2), y / (step * 2.2));
                    moved.push((
                        x + (value(u, v, seed) - 0.5) * 2.0 * by,
                        y + (value(u, v, seed ^ 0x77) - 0.5) * 2.0 * by,
                    ));
                }
            }
            outline.rings.push(moved);
        }
        outline
    }

    fn push(&mut self, points: &[Point], outer: bool) -> &mut Self {
        let area: f32 = points
            .iter()
            .zip(points.iter().cycle().skip(1))
            .map(|(a, b)| a.0 * b.1 - b.0 * a.1)
            .sum();
        let mut ring = points.to_vec();
        if (area >= 0.0) != outer {
            ring.reverse();
        }
        self.rings.push(ring);
        self
    }
}

/// A smooth curve through points, open or closed.
pub(crate) fn curve(points: &[Point], closed: bool) -> Vec<Point> {
    let n = points.len();
    if n < 3 {
        return points.to_vec();
    }
    let read = |i: isize| {
        if closed {
            points[i.rem_euclid(n as isize) as usize]
        } else {
            points[i.clamp(0, n as isize - 1) as usize]
        }
    };
    let spans = if closed { n } else { n - 1 };
    let mut out = Vec::with_capacity(spans * 10 + 1);
    for span in 0..spans as isize {
        let (a, b, c, d) = (read(span - 1), read(span), read(span + 1), read(span + 2));
        for step in 0..10 {
            let t = step as f32 / 10.0;
            let at = |a: f32, b: f32, c: f32, d: f32| {
                0.5 * (2.0 * b
                    + (c - a) * t
                    + (2.0 * a - 5.0 * b + 4.0 * c - d) * t * t
                    + (3.0 * b - a - 3.0 * c + d) * t * t * t)
            };
            out.push((at(a.0, b.0, c.0, d.0), at(a.1, b.1, c.1, d.1)));
        }
    }
    if !closed {
        out.push(points[n - 1]);
    }
    out
}

/// The area under a jagged ridge, down to `foot`: hills, woods, roofs of mist.
pub(crate) fn hills(
    from: f32,
    to: f32,
    base: f32,
    height: f32,
    width: f32,
    foot: f32,
    seed: u32,
) -> Outline {
    let steps = (((to - from) / (width / 24.0)).ceil() as usize).clamp(8, 4000);
    let mut points: Vec<Point> = (0..=steps)
        .map(|i| {
            let x = from + (to - from) * i as f32 / steps as f32;
            (x, base - height * ridge(x / width, 5, seed))
        })
        .collect();
    points.push((to, foot));
    points.push((from, foot));
    Outline::polygon(&points)
}

/// An outline filled with paint.
pub(crate) struct Fill<F> {
    outline: Outline,
    paint: F,
    /// Smallest and largest x and y.
    bounds: (f32, f32, f32, f32),
}

/// Fills an outline with what `paint` gives at each point (x, y, paint below): paint and cover.
pub(crate) fn fill<F: Fn(f32, f32, Rgb) -> (Rgb, f32) + Send + Sync>(
    outline: Outline,
    paint: F,
) -> Fill<F> {
    let mut bounds = (f32::MAX, f32::MAX, f32::MIN, f32::MIN);
    for &(x, y) in outline.rings.iter().flatten() {
        bounds = (
            bounds.0.min(x),
            bounds.1.min(y),
            bounds.2.max(x),
            bounds.3.max(y),
        );
    }
    Fill {
        outline,
        paint,
        bounds,
    }
}

/// Fills an outline with one paint.
pub(crate) fn flat(
    outline: Outline,
    paint: Rgb,
) -> Fill<impl Fn(f32, f32, Rgb) -> (Rgb, f32) + Send + Sync> {
    fill(outline, move |_, _, _| (paint, 1.0))
}

impl<F: Fn(f32, f32, Rgb) -> (Rgb, f32) + Send + Sync> Layer for Fill<F> {
    fn paint(&self, band: &mut Band<'_>) {
        let (scale, across, top) = (band.scale, band.across, band.top);
        let rows = band.rows();
        let (band_top, band_bottom) = (top as f32 / scale, (top + rows) as f32 / scale);
        if self.bounds.1 >= band_bottom || self.bounds.3 <= band_top {
            return;
        }
        let left = ((self.bounds.0 * scale).floor().max(0.0) as usize).min(across);
        let right = ((self.bounds.2 * scale).ceil().max(0.0) as usize + 1).min(across);
        if left >= right {
            return;
        }
        let wide = right - left;
        // Two columns more than are seen, since an edge writes into its own and the next.
        let stride = wide + 2;
        let mut area = vec![0.0f32; stride * rows];
        for ring in &self.outline.rings {
            for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
                edge(
                    &mut area,
                    stride,
                    rows,
                    (a.0 * scale - left as f32, a.1 * scale - top as f32),
                    (b.0 * scale - left as f32, b.1 * scale - top as f32),
                );
            }
        }
        for row in 0..rows {
            let line = &area[row * stride..(row + 1) * stride];
            let y = ((top + row) as f32 + 0.5) / scale;
            let mut sum = 0.0f32;
            for (column, change) in line[..wide].iter().enumerate() {
                sum += change;
                let inside = sum.abs().min(1.0);
                if inside > 0.002 {
                    let x = ((left + column) as f32 + 0.5) / scale;
                    let pixel = &mut band.pixels[row * across + left + column];
                    let (paint, cover) = (self.paint)(x, y, [pixel[0], pixel[1], pixel[2]]);
                    Band::lay(pixel, paint, cover * inside);
                }
            }
        }
    }
}

/// Adds the signed area to the right of an edge, as differences along each row.
fn edge(area: &mut [f32], stride: usize, rows: usize, a: (f32, f32), b: (f32, f32)) {
    if a.1 == b.1 {
        return;
    }
    let (direction, (x0, y0), (x1, y1)) = if a.1 < b.1 { (1.0, a, b) } else { (-1.0, b, a) };
    if y1 <= 0.0 || y0 >= rows as f32 {
        return;
    }
    let slope = (x1 - x0) / (y1 - y0);
    let limit = (stride - 2) as f32;
    let first = y0.max(0.0) as usize;
    let last = (y1.ceil() as usize).min(rows);
    for row in first..last {
        let top = y0.max(row as f32);
        let bottom = y1.min((row + 1) as f32);
        let height = (bottom - top) * direction;
        let xa = (x0 + (top - y0) * slope).clamp(0.0, limit);
        let xb = (x0 + (bottom - y0) * slope).clamp(0.0, limit);
        let (low, high) = if xa < xb { (xa, xb) } else { (xb, xa) };
        let line = &mut area[row * stride..(row + 1) * stride];
        let (low_cell, high_cell) = (low as usize, (high.ceil() as usize).max(low as usize + 1));
        if high_cell == low_cell + 1 {
            // Within one column: the mean of both ends says how much lies to the right.
            let share = 1.0 - ((low + high) / 2.0 - low_cell as f32);
            line[low_cell] += height * share;
            line[low_cell + 1] += height * (1.0 - share);
        } else {
            // Each column takes its part of the height; what lies left of the edge in it begins
            // only with the next column.
            let per = height / (high - low);
            for cell in low_cell..high_cell {
                let (from, to) = (low.max(cell as f32), high.min((cell + 1) as f32));
                let part = (to - from) * per;
                let inside = part * (1.0 - ((from + to) / 2.0 - cell as f32));
                line[cell] += inside;
                line[cell + 1] += part - inside;
            }
        }
    }
}
