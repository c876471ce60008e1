use std::fmt;
use std::str::FromStr;

use crate::parse::{MeasureError, number_and_unit, strange_unit};

/// A share in percent, such as an ink total: 0 to 1,000.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Percent(f64);

impl Percent {
    /// From a number of percent; `None` outside 0 to 1,000.
    pub fn from_percent(value: f64) -> Option<Self> {
        (0.0..=1000.0).contains(&value).then_some(Self(value))
    }

    /// How many percent.
    pub const fn percent(self) -> f64 {
        self.0
    }
}

impl FromStr for Percent {
    type Err = MeasureError;

    /// Reads `300%` or `300 %`; the sign is needed.
    fn from_str(text: &str) -> Result<Self, MeasureError> {
        const EXPECTED: &str = "a share in percent such as `300%`";
        let (value, unit) = number_and_unit(text, EXPECTED)?;
        match unit {
            "%" => Self::from_percent(value).ok_or_else(|| MeasureError::OutOfRange {
                found: text.to_owned(),
                range: "0 to 1,000 %",
            }),
            other => Err(strange_unit(other, text, EXPECTED, "%")),
        }
    }
}

impl fmt::Display for Percent {
    /// `300 %`, with at most one decimal.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = format!("{:.1}", self.0);
        write!(f, "{} %", text.trim_end_matches(".0"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_percentage_needs_its_sign() {
        assert_eq!("300%".parse::<Percent>().unwrap().percent(), 300.0);
        assert_eq!("92.5 %".parse::<Percent>().unwrap().to_string(), "92.5 %");
        for text in ["300", "%", "-1%", "2000%", "3 mm", "nan%", "inf%"] {
            assert!(text.parse::<Percent>().is_err(), "{text}");
        }
    }
}
