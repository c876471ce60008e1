//! The plane geometry of a flat sheet seen by a scanner or a camera.

use super::solve::solve;

/// A place: x runs right, y runs down.
pub(super) type Point = [f64; 2];

/// A mapping of one plane to another that keeps straight lines straight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Flat([f64; 8]);

impl Flat {
    /// The mapping that takes four points to four others, given in the same order around.
    ///
    /// `None` where three of them lie on a line.
    pub(super) fn between(from: [Point; 4], to: [Point; 4]) -> Option<Self> {
        let mut rows = Vec::with_capacity(8);
        let mut wanted = Vec::with_capacity(8);
        for ([x, y], [u, v]) in from.into_iter().zip(to) {
            rows.push(vec![x, y, 1.0, 0.0, 0.0, 0.0, -u * x, -u * y]);
            rows.push(vec![0.0, 0.0, 0.0, x, y, 1.0, -v * x, -v * y]);
            wanted.extend([u, v]);
        }
        let found = solve(rows, wanted)?;
        let mut terms = [0.0; 8];
        terms.copy_from_slice(&found);
        Some(Self(terms))
    }

    /// Where a point lands; something not finite where it lies on the horizon.
    pub(super) fn map(&self, [x, y]: Point) -> Point {
        let [a, b, c, d, e, f, g, h] = self.0;
        let depth = g * x + h * y + 1.0;
        [(a * x + b * y + c) / depth, (d * x + e * y + f) / depth]
    }

    /// How a small step at a point is carried over: the images of a unit step in x and in y.
    pub(super) fn steps(&self, at: Point) -> [Point; 2] {
        const STEP: f64 = 1e-3;
        let middle = self.map(at);
        [[at[0] + STEP, at[1]], [at[0], at[1] + STEP]].map(|moved| {
            let moved = self.map(moved);
            [(moved[0] - middle[0]) / STEP, (moved[1] - middle[1]) / STEP]
        })
    }
}

/// The corners of a rectangle, clockwise from the upper left.
pub(super) fn corners(x: f64, y: f64, width: f64, height: f64) -> [Point; 4] {
    [
        [x, y],
        [x + width, y],
        [x + width, y + height],
        [x, y + height],
    ]
}

pub(super) fn distance(one: Point, other: Point) -> f64 {
    (one[0] - other[0]).hypot(one[1] - other[1])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mapping_takes_its_four_points_where_they_belong_and_keeps_lines() {
        let from = corners(0.0, 0.0, 10.0, 4.0);
        let to = [[3.0, 2.0], [80.0, 9.0], [76.0, 44.0], [1.0, 38.0]];
        let flat = Flat::between(from, to).unwrap();
        for (from, to) in from.into_iter().zip(to) {
            assert!(distance(flat.map(from), to) < 1e-9);
        }
        let [a, b, c] = [[1.0, 1.0], [4.0, 2.0], [7.0, 3.0]].map(|point| flat.map(point));
        let turn = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
        assert!(turn.abs() < 1e-9);
    }

    #[test]
    fn four_points_on_a_line_give_no_mapping() {
        let line = [[0.0, 0.0], [1.0, 1.0], [2.0, 2.0], [3.0, 3.0]];
        assert_eq!(Flat::between(line, corners(0.0, 0.0, 1.0, 1.0)), None);
    }
}
