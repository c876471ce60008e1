use std::fmt;
use std::str::FromStr;

use crate::parse::{MeasureError, number_and_unit, strange_unit};
use crate::{Length, Size};

/// A raster's width and height in pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct PixelSize {
    /// Across.
    pub width: u32,
    /// Down.
    pub height: u32,
}

impl PixelSize {
    /// How many pixels there are.
    pub const fn count(self) -> u64 {
        self.width as u64 * self.height as u64
    }

    /// Whether it is wider than high.
    pub const fn is_wide(self) -> bool {
        self.width > self.height
    }
}

impl fmt::Display for PixelSize {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} × {} px", self.width, self.height)
    }
}

/// Pixels per inch. Above zero and finite.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Resolution(f64);

impl Resolution {
    /// From pixels per inch; `None` unless between 1 and 10,000.
    pub fn from_ppi(ppi: f64) -> Option<Self> {
        (1.0..=10_000.0).contains(&ppi).then_some(Self(ppi))
    }

    /// Pixels per inch.
    pub const fn ppi(self) -> f64 {
        self.0
    }

    /// The lower of the two resolutions, across and down, at which a raster fills a size.
    ///
    /// `None` where the size has no area or the result is beyond all sense.
    pub fn effective(pixels: PixelSize, on_paper: Size) -> Option<Self> {
        let across = f64::from(pixels.width) / on_paper.width.inches();
        let down = f64::from(pixels.height) / on_paper.height.inches();
        Self::from_ppi(across.min(down))
    }

    /// How many pixels this resolution wants for a length (not rounded).
    pub fn pixels(self, length: Length) -> f64 {
        length.inches() * self.0
    }
}

impl FromStr for Resolution {
    type Err = MeasureError;

    /// Reads `300ppi`, `300 dpi` or `120 px/cm`.
    fn from_str(text: &str) -> Result<Self, MeasureError> {
        const EXPECTED: &str = "a resolution such as `300ppi`";
        let (value, unit) = number_and_unit(text, EXPECTED)?;
        let ppi = match unit {
            "ppi" | "dpi" => value,
            "px/cm" | "ppcm" => value * 2.54,
            other => return Err(strange_unit(other, text, EXPECTED, "ppi or px/cm")),
        };
        Self::from_ppi(ppi).ok_or(MeasureError::OutOfRange {
            found: text.to_owned(),
            range: "1 to 10,000 ppi",
        })
    }
}

impl fmt::Display for Resolution {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.0} ppi", self.0)
    }
}
