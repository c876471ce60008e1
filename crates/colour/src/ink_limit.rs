use crate::ColourError;

/// Most ink in one place, in percent of one solid: 100 to 400.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct InkLimit(f64);

impl InkLimit {
    /// From percent.
    ///
    /// # Errors
    /// Outside 100 to 400.
    pub fn from_percent(percent: f64) -> Result<Self, ColourError> {
        if (100.0..=400.0).contains(&percent) {
            Ok(Self(percent))
        } else {
            Err(ColourError::InkLimit(format!("{percent}")))
        }
    }

    /// For limits that this crate states itself.
    pub(crate) const fn known(percent: f64) -> Self {
        assert!(percent >= 100.0 && percent <= 400.0);
        Self(percent)
    }

    /// Percent.
    pub const fn percent(self) -> f64 {
        self.0
    }

    /// Largest sum of four ink bytes that keeps the limit.
    pub fn byte_sum(self) -> u32 {
        // A hair is added so that 300 percent is 765 bytes' worth and not 764.
        (self.0 * 2.55 + 1e-9) as u32
    }
}
