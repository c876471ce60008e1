use std::fmt;
use std::str::FromStr;

use crate::sheet_name::named_size;
use crate::{Length, MeasureError};

/// Width and height of a page, a sheet or a picture on paper. Both are positive.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Size {
    /// Across.
    pub width: Length,
    /// Down.
    pub height: Length,
}

impl Size {
    /// A size in millimetres.
    pub fn from_mm(width: f64, height: f64) -> Self {
        Self {
            width: Length::from_mm(width),
            height: Length::from_mm(height),
        }
    }

    /// Area in square metres, for masses.
    pub fn square_metres(self) -> f64 {
        self.width.mm() * self.height.mm() * 1e-6
    }
}

impl FromStr for Size {
    type Err = MeasureError;

    /// Reads `250x300mm`, `8.5 x 11 in`, `250mm x 30cm`, or a sheet of ISO 216, 269 or 217 by its
    /// name: `A4`, `B5 landscape`. Named sizes stand upright unless `landscape` is said.
    fn from_str(text: &str) -> Result<Self, MeasureError> {
        if let Some(size) = named_size(text) {
            return Ok(size);
        }
        let unreadable = || MeasureError::Unreadable {
            expected: "a size such as `250x300mm`, `8.5x11in` or `A4 landscape`",
            found: text.to_owned(),
        };
        let (across, down) = text.split_once(['x', '×']).ok_or_else(unreadable)?;
        let height: Length = down.parse()?;
        // A width without a unit takes the unit of the height.
        let width: Length = if across.trim().ends_with(|c: char| c.is_ascii_digit()) {
            let unit = down
                .trim_start_matches(|c: char| c.is_ascii_digit() || c == '.' || c.is_whitespace());
            format!("{}{unit}", across.trim()).parse()?
        } else {
            across.parse()?
        };
        if width <= Length::ZERO || height <= Length::ZERO {
            return Err(MeasureError::OutOfRange {
                found: text.to_owned(),
                range: "above zero on both sides",
            });
        }
        Ok(Self { width, height })
    }
}

impl fmt::Display for Size {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let width = self.width.to_string();
        write!(f, "{} × {}", width.trim_end_matches(" mm"), self.height)
    }
}

/// An upright rectangle. `x` runs right and `y` runs down from the origin that its user names,
/// as a rule the top left corner of the trimmed page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Rect {
    /// Left edge.
    pub x: Length,
    /// Top edge.
    pub y: Length,
    /// Across.
    pub width: Length,
    /// Down.
    pub height: Length,
}

impl Rect {
    /// A rectangle from its corner and its size.
    pub const fn new(x: Length, y: Length, width: Length, height: Length) -> Self {
        Self {
            x,
            y,
            width,
            height,
        }
    }

    /// A rectangle in millimetres.
    pub fn from_mm(x: f64, y: f64, width: f64, height: f64) -> Self {
        Self::new(
            Length::from_mm(x),
            Length::from_mm(y),
            Length::from_mm(width),
            Length::from_mm(height),
        )
    }

    /// Right edge.
    pub fn right(self) -> Length {
        self.x + self.width
    }

    /// Bottom edge.
    pub fn bottom(self) -> Length {
        self.y + self.height
    }

    /// The same rectangle moved.
    #[must_use]
    pub fn moved(self, dx: Length, dy: Length) -> Self {
        Self {
            x: self.x + dx,
            y: self.y + dy,
            ..self
        }
    }

    /// The rectangle grown by `by` on all four sides (shrunk where `by` is negative).
    #[must_use]
    pub fn grown(self, by: Length) -> Self {
        Self::new(
            self.x - by,
            self.y - by,
            self.width + by * 2,
            self.height + by * 2,
        )
    }

    /// The part that both share, if they share any area.
    pub fn shared(self, other: Self) -> Option<Self> {
        let x = self.x.max(other.x);
        let y = self.y.max(other.y);
        let right = self.right().min(other.right());
        let bottom = self.bottom().min(other.bottom());
        (right > x && bottom > y).then(|| Self::new(x, y, right - x, bottom - y))
    }

    /// Whether `inner` lies wholly inside this rectangle, edges included.
    pub fn contains(self, inner: Self) -> bool {
        inner.x >= self.x
            && inner.y >= self.y
            && inner.right() <= self.right()
            && inner.bottom() <= self.bottom()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_read_as_people_write_them() {
        let expected = Size::from_mm(250.0, 300.0);
        for text in ["250x300mm", "250 x 300 mm", "250mm x 30cm", "250×300mm"] {
            assert_eq!(text.parse::<Size>().unwrap(), expected, "{text}");
        }
        assert_eq!(
            "8.5x11in".parse::<Size>().unwrap(),
            Size::from_mm(215.9, 279.4)
        );
        for text in ["", "250", "x300mm", "0x10mm", "250x300", "250x-3mm"] {
            assert!(text.parse::<Size>().is_err(), "{text}");
        }
    }

    #[test]
    fn rectangles_share_only_what_overlaps() {
        let page = Rect::from_mm(0.0, 0.0, 100.0, 100.0);
        let picture = Rect::from_mm(90.0, -3.0, 30.0, 20.0);
        assert_eq!(
            page.shared(picture),
            Some(Rect::from_mm(90.0, 0.0, 10.0, 17.0))
        );
        assert_eq!(page.shared(page.moved(page.width, Length::ZERO)), None);
        assert!(page.grown(Length::from_mm(3.0)).contains(page));
    }
}
