//! Transformations of places.

use super::Point;

/// A transformation: `[a b c d e f]` as in the file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::check) struct Matrix(pub(in crate::check) [f64; 6]);

impl Matrix {
    pub(in crate::check) const IDENTITY: Self = Self([1.0, 0.0, 0.0, 1.0, 0.0, 0.0]);

    pub(in crate::check) fn from_numbers(numbers: &[f64]) -> Option<Self> {
        let numbers: [f64; 6] = numbers.try_into().ok()?;
        numbers
            .iter()
            .all(|number| number.is_finite())
            .then_some(Self(numbers))
    }

    /// This transformation first, then the other.
    pub(in crate::check) fn then(self, other: Self) -> Self {
        let [a, b, c, d, e, f] = self.0;
        let [g, h, i, j, k, l] = other.0;
        Self([
            a * g + b * i,
            a * h + b * j,
            c * g + d * i,
            c * h + d * j,
            e * g + f * i + k,
            e * h + f * j + l,
        ])
    }

    pub(in crate::check) fn apply(self, [x, y]: Point) -> Point {
        let [a, b, c, d, e, f] = self.0;
        [a * x + c * y + e, b * x + d * y + f]
    }

    /// The upright rectangle around a rectangle that may come out askew: least, then greatest
    /// place. What is no number is left out.
    pub(in crate::check) fn around(self, [x0, y0]: Point, [x1, y1]: Point) -> [Point; 2] {
        let mut around = [[f64::INFINITY; 2], [f64::NEG_INFINITY; 2]];
        for corner in [[x0, y0], [x1, y0], [x0, y1], [x1, y1]] {
            let corner = self.apply(corner);
            for axis in 0..2 {
                around[0][axis] = around[0][axis].min(corner[axis]);
                around[1][axis] = around[1][axis].max(corner[axis]);
            }
        }
        around
    }

    pub(in crate::check) fn determinant(self) -> f64 {
        let [a, b, c, d, ..] = self.0;
        a * d - b * c
    }

    pub(in crate::check) fn inverse(self) -> Option<Self> {
        let [a, b, c, d, e, f] = self.0;
        let det = self.determinant();
        if !det.is_finite() || det.abs() < 1e-30 {
            return None;
        }
        Some(Self([
            d / det,
            -b / det,
            -c / det,
            a / det,
            (c * f - d * e) / det,
            (b * e - a * f) / det,
        ]))
    }

    /// Mean factor by which lengths grow.
    pub(in crate::check) fn scale(self) -> f64 {
        self.determinant().abs().sqrt()
    }
}
