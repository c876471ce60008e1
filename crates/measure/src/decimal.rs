use std::fmt;
use std::str::FromStr;

use crate::parse::MeasureError;

/// Decimals that are kept.
const PLACES: u32 = 9;
/// One, in the fixed unit.
const ONE: i128 = 10_i128.pow(PLACES);
/// Largest number of whole digits that is read.
const WHOLE_DIGITS: usize = 15;

/// An exact decimal number with nine decimals, within ±10^15: rates of exchange, shares, prices of one
/// copy. Nothing here passes through floating point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Decimal(i128);

impl Decimal {
    /// Nothing.
    pub const ZERO: Self = Self(0);
    /// One.
    pub const ONE: Self = Self(ONE);

    /// From a whole number.
    pub const fn from_whole(value: i64) -> Self {
        Self(value as i128 * ONE)
    }

    /// From billionths; `None` beyond ±10^15.
    pub fn from_billionths(value: i128) -> Option<Self> {
        (value.unsigned_abs() <= 10_u128.pow(WHOLE_DIGITS as u32) * ONE.unsigned_abs())
            .then_some(Self(value))
    }

    /// A sum of money, which may pass the range that is read; all that is reckoned with it is held to
    /// that range again.
    pub(crate) const fn of_money(billionths: i128) -> Self {
        Self(billionths)
    }

    /// In billionths.
    pub const fn billionths(self) -> i128 {
        self.0
    }

    /// Whether it is above zero.
    pub const fn is_positive(self) -> bool {
        self.0 > 0
    }

    /// Whether it is zero.
    pub const fn is_zero(self) -> bool {
        self.0 == 0
    }

    /// The sum; `None` when it leaves the range.
    pub fn plus(self, other: Self) -> Option<Self> {
        Self::from_billionths(self.0.checked_add(other.0)?)
    }

    /// The product, rounded half away from zero at the ninth decimal; `None` when it leaves the range.
    pub fn times(self, other: Self) -> Option<Self> {
        Self::from_billionths(divided(self.0.checked_mul(other.0)?, ONE)?)
    }

    /// The quotient, rounded half away from zero at the ninth decimal; `None` for a division by zero
    /// or when it leaves the range.
    pub fn over(self, other: Self) -> Option<Self> {
        Self::from_billionths(divided(self.0.checked_mul(ONE)?, other.0)?)
    }

    /// As a float, for curves and charts only.
    pub fn approximate(self) -> f64 {
        self.0 as f64 / ONE as f64
    }

    /// The nearest decimal to a float; `None` when it is no number or leaves the range. For figures
    /// that a fit or a simulation has reckoned.
    pub fn nearest(value: f64) -> Option<Self> {
        let scaled = (value * ONE as f64).round();
        // Every float below this bound is a whole number that an `i128` holds.
        (scaled.is_finite() && scaled.abs() < 1e25)
            .then(|| Self::from_billionths(scaled as i128))?
    }

    /// With just so many decimals (nine at most), rounded half away from zero.
    pub fn with_decimals(self, places: u32) -> String {
        let places = places.min(PLACES);
        let unit = 10_i128.pow(PLACES - places);
        let rounded = divided(self.0, unit).unwrap_or(self.0 / unit);
        let base = 10_u128.pow(places);
        let (whole, part) = (rounded.unsigned_abs() / base, rounded.unsigned_abs() % base);
        let sign = if rounded < 0 { "-" } else { "" };
        if places == 0 {
            format!("{sign}{whole}")
        } else {
            format!("{sign}{whole}.{part:0>width$}", width = places as usize)
        }
    }
}

/// A quotient, rounded half away from zero; `None` for a division by zero.
pub fn divided(value: i128, by: i128) -> Option<i128> {
    if by == 0 {
        return None;
    }
    let (quotient, rest) = (value.checked_div(by)?, value.checked_rem(by)?);
    let up = rest.unsigned_abs() >= by.unsigned_abs() - rest.unsigned_abs();
    let away = if (value < 0) == (by < 0) { 1 } else { -1 };
    Some(if up && rest != 0 {
        quotient.checked_add(away)?
    } else {
        quotient
    })
}

impl FromStr for Decimal {
    type Err = MeasureError;

    /// Reads `12`, `-0.5`, `1234.567`: a point parts the decimals, nothing groups the digits, and no
    /// more than nine decimals are taken.
    fn from_str(text: &str) -> Result<Self, MeasureError> {
        const EXPECTED: &str = "a number such as `1234.5`, with at most nine decimals";
        let unreadable = || MeasureError::Unreadable {
            expected: EXPECTED,
            found: text.to_owned(),
        };
        let trimmed = text.trim();
        let (negative, digits) = match trimmed.strip_prefix('-') {
            Some(rest) => (true, rest),
            None => (false, trimmed.strip_prefix('+').unwrap_or(trimmed)),
        };
        let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
        let all_digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
        if whole.is_empty() && part.is_empty()
            || digits.ends_with('.')
            || !all_digits(whole)
            || !all_digits(part)
            || part.len() > PLACES as usize
        {
            return Err(unreadable());
        }
        if whole.trim_start_matches('0').len() > WHOLE_DIGITS {
            return Err(MeasureError::OutOfRange {
                found: text.to_owned(),
                range: "-10^15 to 10^15",
            });
        }
        let number: i128 = format!("{whole}{part:0<width$}", width = PLACES as usize)
            .parse()
            .map_err(|_| unreadable())?;
        Self::from_billionths(if negative { -number } else { number }).ok_or_else(unreadable)
    }
}

impl fmt::Display for Decimal {
    /// As many decimals as there are: `1234.5`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = self.with_decimals(PLACES);
        f.write_str(text.trim_end_matches('0').trim_end_matches('.'))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn decimals_are_exact_and_read_back() {
        let tenth: Decimal = "0.1".parse().unwrap();
        let sum = (0..10).fold(Decimal::ZERO, |sum, _| sum.plus(tenth).unwrap());
        assert_eq!(sum, Decimal::ONE);
        assert_eq!(
            "-1234.50".parse::<Decimal>().unwrap().to_string(),
            "-1234.5"
        );
        assert_eq!("2.345".parse::<Decimal>().unwrap().with_decimals(2), "2.35");
        assert_eq!(
            "-2.345".parse::<Decimal>().unwrap().with_decimals(2),
            "-2.35"
        );
        assert_eq!("0.4".parse::<Decimal>().unwrap().with_decimals(0), "0");
    }

    #[test]
    fn what_is_no_plain_number_is_refused() {
        for text in [
            "",
            ".",
            "-",
            "1.",
            "1,5",
            "1 000",
            "1e3",
            "0x1",
            "1.0000000001",
            "NaN",
            "٣",
        ] {
            assert!(text.parse::<Decimal>().is_err(), "{text}");
        }
        assert!("1000000000000000".parse::<Decimal>().is_err());
        assert!("000000000000000000001".parse::<Decimal>().is_ok());
    }

    proptest! {
        #[test]
        fn written_and_read_again_is_the_same(billionths in -10_i128.pow(24)..=10_i128.pow(24)) {
            let value = Decimal::from_billionths(billionths).unwrap();
            prop_assert_eq!(value.to_string().parse::<Decimal>().unwrap(), value);
        }

        #[test]
        fn a_product_divided_again_is_within_its_rounding(a in -10_i64.pow(6)..10_i64.pow(6), b in 1_i64..10_000) {
            let (a, b) = (Decimal::from_whole(a), Decimal::from_whole(b));
            let back = a.over(b).unwrap().times(b).unwrap();
            prop_assert!((back.billionths() - a.billionths()).abs() <= b.billionths() / ONE);
        }

        #[test]
        fn no_text_panics(text in ".*") {
            let _ = text.parse::<Decimal>();
        }
    }
}
