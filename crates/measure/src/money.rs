use std::fmt;
use std::str::FromStr;

use thiserror::Error;

use crate::decimal::{Decimal, divided};
use crate::parse::MeasureError;

/// Codes in use, by ISO 4217, from memory; those that are no two-decimal currencies stand below.
const CODES: &str = "AED AFN ALL AMD ANG AOA ARS AUD AWG AZN BAM BBD BDT BGN BHD BIF BMD BND BOB BRL \
BSD BTN BWP BYN BZD CAD CDF CHF CLP CNY COP CRC CUP CVE CZK DJF DKK DOP DZD EGP ERN ETB EUR FJD FKP \
GBP GEL GHS GIP GMD GNF GTQ GYD HKD HNL HTG HUF IDR ILS INR IQD IRR ISK JMD JOD JPY KES KGS KHR KMF \
KPW KRW KWD KYD KZT LAK LBP LKR LRD LSL LYD MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MYR MZN \
NAD NGN NIO NOK NPR NZD OMR PAB PEN PGK PHP PKR PLN PYG QAR RON RSD RUB RWF SAR SBD SCR SDG SEK SGD \
SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TND TOP TRY TTD TWD TZS UAH UGX USD UYU UZS VES VND \
VUV WST XAF XCD XOF XPF YER ZAR ZMW";
/// Currencies without a smaller unit (ISO 4217, from memory).
const WHOLE: &str = "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF";
/// Currencies with thousandths (ISO 4217, from memory).
const THOUSANDTHS: &str = "BHD IQD JOD KWD LYD OMR TND";

/// A currency, by its code in ISO 4217.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Currency([u8; 3]);

impl Currency {
    /// The euro.
    pub const EUR: Self = Self(*b"EUR");
    /// The dollar of the United States.
    pub const USD: Self = Self(*b"USD");
    /// The pound sterling.
    pub const GBP: Self = Self(*b"GBP");

    /// By its code, in capitals or not; `None` for a code that is not in use.
    pub fn from_code(code: &str) -> Option<Self> {
        let code = code.trim().to_ascii_uppercase();
        let bytes: [u8; 3] = code.as_bytes().try_into().ok()?;
        CODES
            .split_whitespace()
            .any(|known| known == code)
            .then_some(Self(bytes))
    }

    /// The code.
    pub fn code(&self) -> &str {
        std::str::from_utf8(&self.0).expect("codes are ASCII")
    }

    /// Decimals of its smallest unit: 0, 2 or 3.
    pub fn decimals(self) -> u32 {
        let among = |list: &str| list.split_whitespace().any(|code| code == self.code());
        if among(WHOLE) {
            0
        } else if among(THOUSANDTHS) {
            3
        } else {
            2
        }
    }
}

impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())
    }
}

/// Sums that cannot be reckoned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum MoneyError {
    /// Two currencies.
    #[error("{0} and {1} cannot be added: a rate of exchange must be named")]
    TwoCurrencies(Currency, Currency),
    /// Beyond what a sum can be.
    #[error("the sum is larger than any that can be reckoned with")]
    TooLarge,
}

/// A sum of money in whole smallest units of its currency, such as cents.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Money {
    minor: i64,
    currency: Currency,
}

impl Money {
    /// Nothing.
    pub const fn zero(currency: Currency) -> Self {
        Self { minor: 0, currency }
    }

    /// From smallest units.
    pub const fn from_minor(minor: i64, currency: Currency) -> Self {
        Self { minor, currency }
    }

    /// From main units, rounded half away from zero to the smallest unit; `None` when it is too large.
    pub fn from_decimal(amount: Decimal, currency: Currency) -> Option<Self> {
        let unit = 10_i128.pow(9 - currency.decimals());
        let minor = i64::try_from(divided(amount.billionths(), unit)?).ok()?;
        Some(Self { minor, currency })
    }

    /// In smallest units.
    pub const fn minor(self) -> i64 {
        self.minor
    }

    /// The currency.
    pub const fn currency(self) -> Currency {
        self.currency
    }

    /// In main units, exactly.
    pub fn decimal(self) -> Decimal {
        let unit = 10_i128.pow(9 - self.currency.decimals());
        // 2^63 times a billion is far below what the number holds.
        Decimal::of_money(i128::from(self.minor) * unit)
    }

    /// The sum.
    ///
    /// # Errors
    /// Two currencies, or too large.
    pub fn plus(self, other: Self) -> Result<Self, MoneyError> {
        self.same(other)?;
        let minor = self.minor.checked_add(other.minor);
        self.of(minor)
    }

    /// The difference.
    ///
    /// # Errors
    /// As [`Money::plus`].
    pub fn minus(self, other: Self) -> Result<Self, MoneyError> {
        self.same(other)?;
        let minor = self.minor.checked_sub(other.minor);
        self.of(minor)
    }

    /// So many times.
    ///
    /// # Errors
    /// Too large.
    pub fn times(self, count: i64) -> Result<Self, MoneyError> {
        self.of(self.minor.checked_mul(count))
    }

    /// A part of it (`0.19` of a price), rounded half away from zero to the smallest unit.
    ///
    /// # Errors
    /// Too large.
    pub fn part(self, share: Decimal) -> Result<Self, MoneyError> {
        let product = i128::from(self.minor).checked_mul(share.billionths());
        let rounded = product.and_then(|product| divided(product, Decimal::ONE.billionths()));
        self.of(rounded.and_then(|minor| i64::try_from(minor).ok()))
    }

    /// Shared by weights so that the parts sum to the whole: each gets its share rounded down, and the
    /// smallest units that remain go to the largest remainders, the first of equals first. Without any
    /// weight above zero, the first gets all.
    pub fn shared(self, weights: &[u64]) -> Vec<Self> {
        let total: u128 = weights.iter().map(|weight| u128::from(*weight)).sum();
        let of = |minor| Self {
            minor,
            currency: self.currency,
        };
        if total == 0 {
            let all = weights.iter().enumerate();
            return all
                .map(|(index, _)| of(if index == 0 { self.minor } else { 0 }))
                .collect();
        }
        let whole = u128::from(self.minor.unsigned_abs());
        let mut parts: Vec<(u128, u128)> = weights
            .iter()
            .map(|weight| {
                let product = whole * u128::from(*weight);
                (product / total, product % total)
            })
            .collect();
        let given: u128 = parts.iter().map(|(part, _)| part).sum();
        let mut order: Vec<usize> = (0..parts.len()).collect();
        order.sort_by_key(|index| std::cmp::Reverse(parts[*index].1));
        let rest = usize::try_from(whole - given).unwrap_or(0);
        for index in order.into_iter().take(rest) {
            parts[index].0 += 1;
        }
        let sign = self.minor.signum();
        parts
            .into_iter()
            .map(|(part, _)| of(i64::try_from(part).unwrap_or(i64::MAX) * sign))
            .collect()
    }

    /// The cost of one of so many; `None` for none.
    pub fn each(self, count: u64) -> Option<UnitPrice> {
        let count = i64::try_from(count).ok()?;
        let amount = self.decimal().over(Decimal::from_whole(count))?;
        Some(UnitPrice::new(amount, self.currency))
    }

    fn same(self, other: Self) -> Result<(), MoneyError> {
        if self.currency == other.currency {
            Ok(())
        } else {
            Err(MoneyError::TwoCurrencies(self.currency, other.currency))
        }
    }

    fn of(self, minor: Option<i64>) -> Result<Self, MoneyError> {
        minor
            .map(|minor| Self {
                minor,
                currency: self.currency,
            })
            .ok_or(MoneyError::TooLarge)
    }
}

impl fmt::Display for Money {
    /// `EUR 12,345.60`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = self.decimal().with_decimals(self.currency.decimals());
        write!(f, "{} {}", self.currency, grouped(&text))
    }
}

impl FromStr for Money {
    type Err = MeasureError;

    /// Reads `EUR 1234.50` or `1234.50 EUR`.
    fn from_str(text: &str) -> Result<Self, MeasureError> {
        let (amount, currency) = amount_and_currency(text)?;
        let money =
            Self::from_decimal(amount, currency).ok_or_else(|| MeasureError::OutOfRange {
                found: text.to_owned(),
                range: "what a sum can be",
            })?;
        if money.decimal() == amount {
            return Ok(money);
        }
        Err(MeasureError::OutOfRange {
            found: text.to_owned(),
            range: "whole smallest units of its currency",
        })
    }
}

/// What one of many costs: exact to a billionth of the main unit, since prices of one copy are quoted
/// finer than in cents.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct UnitPrice {
    amount: Decimal,
    currency: Currency,
}

impl UnitPrice {
    /// From an amount in main units.
    pub const fn new(amount: Decimal, currency: Currency) -> Self {
        Self { amount, currency }
    }

    /// In main units.
    pub const fn amount(self) -> Decimal {
        self.amount
    }

    /// The currency.
    pub const fn currency(self) -> Currency {
        self.currency
    }

    /// What so many cost, rounded half away from zero to the smallest unit.
    ///
    /// # Errors
    /// Too large.
    pub fn times(self, count: u64) -> Result<Money, MoneyError> {
        let count = i64::try_from(count).map_err(|_| MoneyError::TooLarge)?;
        self.amount
            .times(Decimal::from_whole(count))
            .and_then(|amount| Money::from_decimal(amount, self.currency))
            .ok_or(MoneyError::TooLarge)
    }
}

impl fmt::Display for UnitPrice {
    /// `EUR 12.34`: two decimals more than the smallest unit has when it is under one, else as many as
    /// the currency has.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let small = self.amount.billionths().abs() < Decimal::ONE.billionths();
        let places = self.currency.decimals() + if small { 2 } else { 0 };
        let text = self.amount.with_decimals(places);
        write!(f, "{} {}", self.currency, grouped(&text))
    }
}

impl FromStr for UnitPrice {
    type Err = MeasureError;

    /// Reads `EUR 3.4567` or `3.4567 EUR`.
    fn from_str(text: &str) -> Result<Self, MeasureError> {
        let (amount, currency) = amount_and_currency(text)?;
        Ok(Self { amount, currency })
    }
}

fn amount_and_currency(text: &str) -> Result<(Decimal, Currency), MeasureError> {
    const EXPECTED: &str = "a sum with its currency such as `EUR 1234.50`";
    let unreadable = || MeasureError::Unreadable {
        expected: EXPECTED,
        found: text.to_owned(),
    };
    let trimmed = text.trim();
    let word = |part: &str| part.len() == 3 && part.bytes().all(|byte| byte.is_ascii_alphabetic());
    let (code, amount) = match (
        trimmed.split_at_checked(3),
        trimmed.split_at_checked(trimmed.len().saturating_sub(3)),
    ) {
        (Some((code, amount)), _) if word(code) => (code, amount),
        (_, Some((amount, code))) if word(code) => (code, amount),
        _ => return Err(unreadable()),
    };
    let currency = Currency::from_code(code).ok_or_else(|| MeasureError::UnknownUnit {
        unit: code.to_owned(),
        found: text.to_owned(),
        known: "a currency's code such as EUR, USD, GBP or JPY",
    })?;
    Ok((amount.parse().map_err(|_| unreadable())?, currency))
}

/// Whole digits in groups of three.
fn grouped(text: &str) -> String {
    let (sign, digits) = text
        .strip_prefix('-')
        .map_or(("", text), |rest| ("-", rest));
    let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
    let mut out = String::from(sign);
    for (index, digit) in whole.chars().enumerate() {
        if index > 0 && (whole.len() - index) % 3 == 0 {
            out.push(',');
        }
        out.push(digit);
    }
    if !part.is_empty() {
        out.push('.');
        out.push_str(part);
    }
    out
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn money(text: &str) -> Money {
        text.parse().unwrap()
    }

    #[test]
    fn sums_are_whole_smallest_units_with_their_currency() {
        assert_eq!(money("EUR 1234.5").to_string(), "EUR 1,234.50");
        assert_eq!(money("1200 JPY").to_string(), "JPY 1,200");
        assert_eq!(money("kwd 0.005").minor(), 5);
        assert_eq!(money("EUR -1234567.89").to_string(), "EUR -1,234,567.89");
        for text in [
            "12.50",
            "$12",
            "EUR",
            "EUR 1,5",
            "EUR 0.001",
            "JPY 1.5",
            "XXX 1",
            "€ 5",
        ] {
            assert!(text.parse::<Money>().is_err(), "{text}");
        }
    }

    #[test]
    fn the_largest_sums_are_shown_whole_and_not_shared_out() {
        let largest = Money::from_minor(i64::MAX, Currency::from_code("JPY").unwrap());
        assert_eq!(largest.to_string(), "JPY 9,223,372,036,854,775,807");
        assert_eq!(largest.each(1), None);
        assert!(largest.each(1_000_000).is_some());
    }

    #[test]
    fn two_currencies_do_not_add() {
        let error = money("EUR 1").plus(money("USD 1")).unwrap_err();
        assert!(error.to_string().contains("rate of exchange"), "{error}");
    }

    #[test]
    fn a_price_of_one_copy_is_finer_than_a_cent() {
        let price: UnitPrice = "EUR 3.4567".parse().unwrap();
        assert_eq!(price.times(1000).unwrap(), money("EUR 3456.70"));
        assert_eq!(
            money("EUR 100").each(3).unwrap().amount().to_string(),
            "33.333333333"
        );
        assert_eq!(money("EUR 100").each(0), None);
        assert_eq!(
            "EUR 0.0345".parse::<UnitPrice>().unwrap().to_string(),
            "EUR 0.0345"
        );
    }

    proptest! {
        #[test]
        fn parts_sum_to_the_whole(minor in -1_000_000_000_i64..1_000_000_000, weights in prop::collection::vec(0_u64..10_000, 1..20)) {
            let whole = Money::from_minor(minor, Currency::EUR);
            let parts = whole.shared(&weights);
            prop_assert_eq!(parts.iter().map(|part| part.minor()).sum::<i64>(), minor);
            let total: u64 = weights.iter().sum();
            if total > 0 {
                for (part, weight) in parts.iter().zip(&weights) {
                    let fair = minor as f64 * *weight as f64 / total as f64;
                    prop_assert!((part.minor() as f64 - fair).abs() <= 1.0);
                }
            }
        }

        #[test]
        fn what_is_shown_names_the_sum(minor in any::<i64>()) {
            let whole = Money::from_minor(minor / 1000, Currency::USD);
            prop_assert_eq!(whole.to_string().replace(',', "").parse::<Money>().unwrap(), whole);
        }

        #[test]
        fn no_text_panics(text in ".*") {
            let _ = text.parse::<Money>();
        }
    }
}
