//! Shapes laid onto a grid of cells: for each cell whether a shape leaves it free, touches it, or
//! covers it wholly.
//!
//! A cell is about a quarter of a millimetre. Whatever touches a cell is kept, however thin, so that
//! nothing is averaged away; only what covers a cell wholly hides what lies below.

mod budget;
mod matrix;
mod path;
mod scan;

use std::sync::Arc;

pub(super) use budget::Budget;
pub(super) use matrix::Matrix;
pub(super) use path::Path;

/// A cell that a shape only touches.
pub(super) const TOUCHED: u8 = 1;
/// A cell that a shape covers.
pub(super) const COVERED: u8 = 2;

/// What an edge may miss of a cell, in cells: about 5 micrometres.
const SLACK: f64 = 0.02;
/// Coordinates beyond this many cells are brought back to it.
const FARTHEST: f64 = 1e6;
/// A place in cells, x to the right and y down.
pub(super) type Point = [f64; 2];

/// Whole cells from (left, top) up to but without (right, bottom).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Window {
    pub(super) left: usize,
    pub(super) top: usize,
    pub(super) right: usize,
    pub(super) bottom: usize,
}

impl Window {
    pub(super) fn width(self) -> usize {
        self.right.saturating_sub(self.left)
    }

    pub(super) fn height(self) -> usize {
        self.bottom.saturating_sub(self.top)
    }

    pub(super) fn is_empty(self) -> bool {
        self.width() == 0 || self.height() == 0
    }

    pub(super) fn shared(self, other: Self) -> Self {
        Self {
            left: self.left.max(other.left),
            top: self.top.max(other.top),
            right: self.right.min(other.right),
            bottom: self.bottom.min(other.bottom),
        }
    }
}

/// A shape on the grid.
#[derive(Debug, Clone)]
pub(super) struct Mask {
    pub(super) window: Window,
    /// Row by row: 0, [`TOUCHED`] or [`COVERED`].
    pub(super) cells: Vec<u8>,
}

impl Mask {
    pub(super) fn row(&self, y: usize) -> &[u8] {
        let width = self.window.width();
        let start = (y - self.window.top) * width;
        &self.cells[start..start + width]
    }

    /// Makes the cells no more covered than the clip leaves them.
    pub(super) fn clip(&mut self, clip: &Clip) {
        let window = self.window;
        if clip.leaves_whole(window) {
            return;
        }
        for y in window.top..window.bottom {
            let start = (y - window.top) * window.width();
            let row = &mut self.cells[start..start + window.width()];
            if let Some(shape) = &clip.shape {
                let from = window.left - shape.window.left;
                let other = &shape.row(y)[from..from + row.len()];
                for (cell, other) in row.iter_mut().zip(other) {
                    *cell = (*cell).min(*other);
                }
            }
            let whole = clip.whole_columns(y);
            for (x, cell) in (window.left..).zip(row) {
                if !whole.contains(&x) {
                    *cell = (*cell).min(TOUCHED);
                }
            }
        }
    }
}

/// What may be painted on: an upright rectangle, and a shape if need be.
#[derive(Debug, Clone)]
pub(super) struct Clip {
    rect: [f64; 4],
    shape: Option<Arc<Mask>>,
}

impl Clip {
    pub(super) fn rect(left: f64, top: f64, right: f64, bottom: f64) -> Self {
        Self {
            rect: [left, top, right, bottom],
            shape: None,
        }
    }

    /// Cells that are at least touched.
    pub(super) fn window(&self) -> Window {
        let [left, top, right, bottom] = self.rect;
        let window = Window {
            left: (left + SLACK).floor().max(0.0) as usize,
            top: (top + SLACK).floor().max(0.0) as usize,
            right: (right - SLACK).ceil().max(0.0) as usize,
            bottom: (bottom - SLACK).ceil().max(0.0) as usize,
        };
        match &self.shape {
            Some(shape) => window.shared(shape.window),
            None => window,
        }
    }

    /// Whether nothing in a window is clipped.
    fn leaves_whole(&self, window: Window) -> bool {
        let [left, top, right, bottom] = self.rect;
        self.shape.is_none()
            && window.left as f64 >= left - SLACK
            && window.top as f64 >= top - SLACK
            && window.right as f64 <= right + SLACK
            && window.bottom as f64 <= bottom + SLACK
    }

    /// Columns of a row that the rectangle leaves whole.
    fn whole_columns(&self, y: usize) -> std::ops::Range<usize> {
        let [left, top, right, bottom] = self.rect;
        let y = y as f64;
        if y < top - SLACK || y + 1.0 > bottom + SLACK {
            return 0..0;
        }
        let from = (left - SLACK).ceil().max(0.0) as usize;
        from..(right + SLACK).floor().max(0.0) as usize
    }

    /// Narrows it by a path.
    pub(super) fn narrow(&mut self, path: &Path, even_odd: bool, budget: &Budget) {
        if let Some([left, top, right, bottom]) = path.upright() {
            let [l, t, r, b] = self.rect;
            self.rect = [l.max(left), t.max(top), r.min(right), b.min(bottom)];
            return;
        }
        let mask = path.fill(even_odd, self, budget);
        self.shape = Some(Arc::new(mask));
    }

    /// Narrows it by a shape that was laid onto the grid already.
    pub(super) fn narrow_to(&mut self, mut mask: Mask) {
        mask.clip(self);
        self.shape = Some(Arc::new(mask));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drawn(path: &Path, even_odd: bool) -> Vec<String> {
        let budget = Budget::new(u64::MAX);
        let mask = path.fill(even_odd, &Clip::rect(0.0, 0.0, 8.0, 6.0), &budget);
        (0..6)
            .map(|y| {
                (0..8)
                    .map(|x| {
                        let window = mask.window;
                        let inside = (window.left..window.right).contains(&x)
                            && (window.top..window.bottom).contains(&y);
                        match if inside {
                            mask.row(y)[x - window.left]
                        } else {
                            0
                        } {
                            COVERED => '#',
                            TOUCHED => '+',
                            _ => '.',
                        }
                    })
                    .collect()
            })
            .collect()
    }

    fn rectangle(x: f64, y: f64, width: f64, height: f64) -> Path {
        let mut path = Path::default();
        path.rectangle(Matrix::IDENTITY, [x, y, width, height]);
        path
    }

    #[test]
    fn a_rectangle_on_the_grid_covers_its_cells_and_no_more() {
        assert_eq!(
            drawn(&rectangle(1.0, 1.0, 3.0, 2.0), false),
            [
                "........", ".###....", ".###....", "........", "........", "........"
            ]
        );
    }

    #[test]
    fn edges_between_cells_only_touch() {
        assert_eq!(
            drawn(&rectangle(0.5, 0.5, 3.0, 2.0), false),
            [
                "++++....", "+##+....", "++++....", "........", "........", "........"
            ]
        );
    }

    #[test]
    fn a_hairline_touches_the_cells_along_it() {
        assert_eq!(
            drawn(&rectangle(1.0, 2.05, 6.0, 0.01), false)[2],
            ".++++++."
        );
        assert_eq!(drawn(&rectangle(3.3, 0.0, 0.01, 6.0), false)[4], "...+....");
    }

    #[test]
    fn the_two_filling_rules_differ_where_shapes_overlap() {
        let mut path = rectangle(0.0, 0.0, 6.0, 6.0);
        path.rectangle(Matrix::IDENTITY, [2.0, 2.0, 2.0, 2.0]);
        assert_eq!(drawn(&path, false)[3], "######..");
        assert_eq!(drawn(&path, true)[3], "##..##..");
    }

    #[test]
    fn a_stroke_is_as_wide_as_it_says_and_dashes_leave_gaps() {
        let mut path = Path::default();
        path.move_to([0.0, 2.0]);
        path.line_to([8.0, 2.0]);
        let stroke = drawn(&path.outline(2.0, false, &[], 0.0), false);
        assert_eq!(
            stroke,
            [
                "........", "########", "########", "........", "........", "........"
            ]
        );
        let dashed = drawn(&path.outline(2.0, false, &[2.0, 1.0], 0.0), false);
        assert_eq!(dashed[1], "##.##.##");
    }

    proptest::proptest! {
        #![proptest_config(proptest::prelude::ProptestConfig::with_cases(48))]

        #[test]
        fn any_path_stays_in_its_window(points in proptest::collection::vec((proptest::num::f64::ANY, proptest::num::f64::ANY), 0..20), width in 0.0..50.0_f64) {
            let mut path = Path::default();
            for (index, (x, y)) in points.iter().enumerate() {
                match index % 4 {
                    0 => path.move_to([*x, *y]),
                    3 => path.curve_to([*x, *y], [x % 9.0, y % 7.0], [1.0, 2.0]),
                    _ => path.line_to([x % 20.0, y % 20.0]),
                }
            }
            let _ = drawn(&path, true);
            let _ = drawn(&path.outline(width, true, &[1.0, width], width), false);
        }
    }
}
