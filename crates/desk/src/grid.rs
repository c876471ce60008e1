//! The pixel grid of a sheet at press resolution.
//!
//! A whole number of pixels goes into the trim, rounded up, so that the true resolution is never
//! below the one wished and the fold of a spread lies exactly between two pixel columns. Windows
//! are snapped outward to the grid: a picture never stops short of its bleed.

use measure::{Length, PixelSize, Rect, Resolution, Size};

/// A grid of pixels whose origin is the top left corner of the trim.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Grid {
    trim: Size,
    columns: i64,
    rows: i64,
}

/// A rectangle of whole pixels; `right` and `bottom` are the first pixels outside.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) struct PixelRect {
    pub left: i64,
    pub top: i64,
    pub right: i64,
    pub bottom: i64,
}

impl PixelRect {
    /// Its size; zero where it has no area.
    pub(crate) fn size(self) -> PixelSize {
        let side = |length: i64| u32::try_from(length.max(0)).unwrap_or(u32::MAX);
        PixelSize {
            width: side(self.right - self.left),
            height: side(self.bottom - self.top),
        }
    }

    /// The smallest rectangle that holds both.
    pub(crate) fn around(self, other: Self) -> Self {
        Self {
            left: self.left.min(other.left),
            top: self.top.min(other.top),
            right: self.right.max(other.right),
            bottom: self.bottom.max(other.bottom),
        }
    }

    /// The part that both share, if any.
    pub(crate) fn shared(self, other: Self) -> Option<Self> {
        let shared = Self {
            left: self.left.max(other.left),
            top: self.top.max(other.top),
            right: self.right.min(other.right),
            bottom: self.bottom.min(other.bottom),
        };
        (shared.right > shared.left && shared.bottom > shared.top).then_some(shared)
    }

    /// The same rectangle moved.
    pub(crate) fn moved(self, right: i64, down: i64) -> Self {
        Self {
            left: self.left + right,
            top: self.top + down,
            right: self.right + right,
            bottom: self.bottom + down,
        }
    }
}

impl Grid {
    /// The grid of a sheet.
    pub(crate) fn new(trim: Size, resolution: Resolution) -> Self {
        // A hair less before rounding up, so that 300 ppi on 254 mm is 3,000 pixels and not 3,001.
        let whole = |length: Length| (resolution.pixels(length) - 1e-6).ceil().max(1.0) as i64;
        Self {
            trim,
            columns: whole(trim.width),
            rows: whole(trim.height),
        }
    }

    /// A coarse grid, for small pictures of a sheet: so many pixels to the millimetre, rounded to
    /// whole pixels in the trim.
    pub(crate) fn coarse(trim: Size, per_mm: f64) -> Self {
        let whole = |length: Length| (length.mm() * per_mm).round().max(1.0) as i64;
        Self {
            trim,
            columns: whole(trim.width),
            rows: whole(trim.height),
        }
    }

    /// Pixels across the trim.
    pub(crate) fn columns(self) -> i64 {
        self.columns
    }

    /// The trim in pixels.
    pub(crate) fn trim(self) -> PixelRect {
        PixelRect {
            left: 0,
            top: 0,
            right: self.columns,
            bottom: self.rows,
        }
    }

    /// Pixels per millimetre across and down.
    pub(crate) fn pixels_per_mm(self) -> (f64, f64) {
        (
            self.columns as f64 / self.trim.width.mm(),
            self.rows as f64 / self.trim.height.mm(),
        )
    }

    /// A rectangle in pixels, snapped outward.
    pub(crate) fn snapped(self, rect: Rect) -> PixelRect {
        PixelRect {
            left: floor(rect.x, self.columns, self.trim.width),
            top: floor(rect.y, self.rows, self.trim.height),
            right: ceil(rect.right(), self.columns, self.trim.width),
            bottom: ceil(rect.bottom(), self.rows, self.trim.height),
        }
    }

    /// Where whole pixels lie, rounded to the nanometre; pixel column [`Grid::columns`] lies at the
    /// trim's width exactly.
    pub(crate) fn rect(self, pixels: PixelRect) -> Rect {
        let x = |column: i64| place(column, self.columns, self.trim.width);
        let y = |row: i64| place(row, self.rows, self.trim.height);
        let (left, top) = (x(pixels.left), y(pixels.top));
        Rect::new(left, top, x(pixels.right) - left, y(pixels.bottom) - top)
    }
}

/// The last pixel edge at or before a place.
pub(crate) fn floor(at: Length, pixels: i64, length: Length) -> i64 {
    let product = i128::from(at.nm()) * i128::from(pixels);
    product.div_euclid(i128::from(length.nm().max(1))) as i64
}

/// The first pixel edge at or after a place.
pub(crate) fn ceil(at: Length, pixels: i64, length: Length) -> i64 {
    -floor(-at, pixels, length)
}

/// Where a pixel edge lies.
pub(crate) fn place(pixel: i64, pixels: i64, length: Length) -> Length {
    let product = i128::from(pixel) * i128::from(length.nm());
    let pixels = i128::from(pixels.max(1));
    Length::from_nm((2 * product + pixels).div_euclid(2 * pixels) as i64)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn ppi(ppi: f64) -> Resolution {
        Resolution::from_ppi(ppi).unwrap()
    }

    #[test]
    fn a_trim_of_ten_inches_at_300_ppi_is_3000_pixels() {
        let grid = Grid::new(Size::from_mm(254.0, 250.0), ppi(300.0));
        assert_eq!(
            grid.trim(),
            PixelRect {
                left: 0,
                top: 0,
                right: 3000,
                // 2952.76 pixels, rounded up.
                bottom: 2953
            }
        );
    }

    proptest! {
        #[test]
        fn a_snapped_window_covers_it_by_less_than_a_pixel_more(
            width in 20.0f64..1000.0,
            x in -50.0f64..900.0,
            across in 0.1f64..900.0,
            resolution in 20.0f64..1200.0,
        ) {
            let trim = Size::from_mm(width, width);
            let grid = Grid::new(trim, ppi(resolution));
            let window = Rect::from_mm(x, x, across, across);
            let snapped = grid.rect(grid.snapped(window));
            // Rounding to the nanometre may take one back.
            prop_assert!(snapped.grown(Length::from_nm(1)).contains(window));
            let pixel = trim.width.mm() / grid.columns() as f64;
            prop_assert!(window.x.mm() - snapped.x.mm() < pixel + 1e-5);
            prop_assert!(snapped.right().mm() - window.right().mm() < pixel + 1e-5);
        }

        #[test]
        fn the_resolution_is_never_below_the_one_wished(
            width in 20.0f64..1000.0,
            resolution in 20.0f64..1200.0,
        ) {
            let grid = Grid::new(Size::from_mm(width, width), ppi(resolution));
            let (across, _) = grid.pixels_per_mm();
            prop_assert!(across * 25.4 >= resolution - 1e-4);
            prop_assert_eq!(grid.rect(grid.trim()).width, Length::from_mm(width));
        }
    }
}
