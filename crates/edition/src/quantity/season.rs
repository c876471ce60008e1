//! When the demand comes: by months from the day the books are in hand.

use super::QuantityError;

/// Longest time that is looked ahead, in months; our assumption.
pub const HORIZON: usize = 36;

/// Which share of the demand has come by when.
#[derive(Debug, Clone, PartialEq)]
pub struct Season {
    /// Share (0 to 1) of the demand that has come by the end of each month; the first is for no month.
    come: Vec<f64>,
}

impl Season {
    /// What comes in each of the first months, as shares (0 to 1), and over how many months after these the
    /// rest comes evenly.
    ///
    /// # Errors
    /// Shares below zero, or over the whole.
    pub fn of(months: &[f64], tail: usize) -> Result<Self, QuantityError> {
        let sum: f64 = months.iter().sum();
        if months.iter().any(|share| !(0.0..=1.0).contains(share)) || sum > 1.0 + 1e-9 {
            return Err(QuantityError::Season {
                found: (sum * 1e4).round() / 100.0,
            });
        }
        let months = &months[..months.len().min(HORIZON)];
        let tail = tail.clamp(1, HORIZON);
        let mut come = vec![0.0];
        let mut stands = 0.0;
        for share in months {
            stands += share;
            come.push(stands);
        }
        let rest = (1.0 - stands).max(0.0);
        if rest > 1e-9 {
            for month in 1..=tail {
                come.push(stands + rest * month as f64 / tail as f64);
            }
        }
        Ok(Self { come })
    }

    /// Months until all has come.
    pub fn months(&self) -> usize {
        self.come.len() - 1
    }

    /// Share (0 to 1) that has come after so many months, straight between whole ones.
    pub fn come(&self, months: f64) -> f64 {
        if months <= 0.0 || months.is_nan() {
            return 0.0;
        }
        let whole = months.floor() as usize;
        if whole >= self.months() {
            return self.come[self.months()];
        }
        let part = months - whole as f64;
        self.come[whole] + (self.come[whole + 1] - self.come[whole]) * part
    }
}

impl Default for Season {
    /// A third in the first month, a sixth in the second, and the rest over a year and a half; common practice
    /// knows the steep beginning, the figures are our assumption.
    fn default() -> Self {
        Self::of(&[0.34, 0.16, 0.08], 18).expect("these are shares")
    }
}
