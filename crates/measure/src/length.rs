use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub, SubAssign};
use std::str::FromStr;

use crate::parse::{MeasureError, number_and_unit, strange_unit};

/// A length, held as whole nanometres: an inch is exactly 25,400,000 of them.
///
/// The range is that of `i64`, far beyond any paper; text is accepted up to 100 m.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Length(i64);

const NM_PER_MM: f64 = 1_000_000.0;
const NM_PER_INCH: f64 = 25_400_000.0;
/// The longest length that text may state.
const LONGEST_MM: f64 = 100_000.0;

impl Length {
    /// No length at all.
    pub const ZERO: Self = Self(0);

    /// From whole nanometres.
    pub const fn from_nm(nm: i64) -> Self {
        Self(nm)
    }

    /// From millimetres, rounded to the nanometre.
    pub fn from_mm(mm: f64) -> Self {
        Self((mm * NM_PER_MM).round() as i64)
    }

    /// From micrometres, in which paper caliper is stated.
    pub fn from_um(um: f64) -> Self {
        Self((um * 1000.0).round() as i64)
    }

    /// From international inches of 25.4 mm.
    pub fn from_inches(inches: f64) -> Self {
        Self((inches * NM_PER_INCH).round() as i64)
    }

    /// Whole nanometres.
    pub const fn nm(self) -> i64 {
        self.0
    }

    /// Millimetres.
    pub fn mm(self) -> f64 {
        self.0 as f64 / NM_PER_MM
    }

    /// Micrometres.
    pub fn um(self) -> f64 {
        self.0 as f64 / 1000.0
    }

    /// Inches.
    pub fn inches(self) -> f64 {
        self.0 as f64 / NM_PER_INCH
    }

    /// The length without its sign.
    pub const fn abs(self) -> Self {
        Self(self.0.abs())
    }

    /// This length times a plain factor, rounded to the nanometre.
    pub fn scaled(self, factor: f64) -> Self {
        Self((self.0 as f64 * factor).round() as i64)
    }

    /// How many times `other` goes into this length.
    pub fn ratio(self, other: Self) -> f64 {
        self.0 as f64 / other.0 as f64
    }
}

impl Length {
    /// The nearest multiple of a step, a half away from zero: what people read where more would say
    /// nothing. A step of zero or less leaves the length as it is.
    pub const fn rounded(self, step: Self) -> Self {
        let (nm, step) = (self.0, step.0);
        if step <= 0 {
            return self;
        }
        let over = nm.rem_euclid(step);
        let up = over * 2 > step || (over * 2 == step && nm > 0);
        Self(nm - over + if up { step } else { 0 })
    }
}

impl FromStr for Length {
    type Err = MeasureError;

    /// Reads `250mm`, `25 cm`, `8.5in`, `8.5"`, `0.25 m`, `135um` or `12pt` (1/72 inch).
    fn from_str(text: &str) -> Result<Self, MeasureError> {
        const EXPECTED: &str = "a length such as `250mm` or `8.5in`";
        let (value, unit) = number_and_unit(text, EXPECTED)?;
        let mm = match unit {
            "mm" => value,
            "cm" => value * 10.0,
            "m" => value * 1000.0,
            "um" | "µm" | "micron" | "microns" => value / 1000.0,
            "in" | "inch" | "inches" | "\"" => value * 25.4,
            "pt" => value * 25.4 / 72.0,
            other => {
                return Err(strange_unit(
                    other,
                    text,
                    EXPECTED,
                    "mm, cm, m, um, in or pt",
                ));
            }
        };
        if mm.abs() > LONGEST_MM {
            return Err(MeasureError::OutOfRange {
                found: text.to_owned(),
                range: "up to 100 m",
            });
        }
        Ok(Self::from_mm(mm))
    }
}

impl fmt::Display for Length {
    /// Millimetres with at most three decimals: `250 mm`, `0.135 mm`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = format!("{:.3}", self.mm());
        let text = text.trim_end_matches('0').trim_end_matches('.');
        write!(f, "{} mm", if text == "-0" { "0" } else { text })
    }
}

impl Add for Length {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl AddAssign for Length {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl Sub for Length {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl SubAssign for Length {
    fn sub_assign(&mut self, other: Self) {
        self.0 -= other.0;
    }
}

impl Neg for Length {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Mul<i64> for Length {
    type Output = Self;
    fn mul(self, times: i64) -> Self {
        Self(self.0 * times)
    }
}

impl Div<i64> for Length {
    type Output = Self;
    /// Divides, rounding toward zero to the nanometre.
    fn div(self, by: i64) -> Self {
        Self(self.0 / by)
    }
}

impl Sum for Length {
    fn sum<I: Iterator<Item = Self>>(lengths: I) -> Self {
        lengths.fold(Self::ZERO, Add::add)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inches_and_millimetres_are_both_exact() {
        assert_eq!("1in".parse::<Length>().unwrap().nm(), 25_400_000);
        assert_eq!("8.5 in".parse::<Length>().unwrap(), Length::from_mm(215.9));
        assert_eq!("72pt".parse::<Length>().unwrap(), Length::from_inches(1.0));
    }

    #[test]
    fn a_bare_number_or_a_strange_unit_is_refused() {
        assert!("12".parse::<Length>().is_err());
        assert_eq!(
            "12 ells".parse::<Length>().unwrap_err().to_string(),
            "`ells` in `12 ells` is not a unit known here; use mm, cm, m, um, in or pt"
        );
        assert!("1e9mm".parse::<Length>().is_err());
        assert!("12,5mm".parse::<Length>().is_err());
    }

    #[test]
    fn halves_are_rounded_away_from_zero() {
        let step = Length::from_nm(100);
        for (nm, rounded) in [
            (149, 100),
            (150, 200),
            (-149, -100),
            (-150, -200),
            (-250, -300),
            (49, 0),
        ] {
            assert_eq!(
                Length::from_nm(nm).rounded(step),
                Length::from_nm(rounded),
                "{nm}"
            );
        }
        assert_eq!(Length::from_nm(7).rounded(Length::ZERO), Length::from_nm(7));
    }

    #[test]
    fn display_trims_noise() {
        assert_eq!(Length::from_mm(250.0).to_string(), "250 mm");
        assert_eq!(Length::from_um(135.0).to_string(), "0.135 mm");
        assert_eq!(Length::from_nm(-1).to_string(), "0 mm");
    }
}
