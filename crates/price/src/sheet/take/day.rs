//! Days as spreadsheets count them and as people write them.

use jiff::ToSpan;
use jiff::civil::{Date, date};
use measure::Decimal;

const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

/// The day of a serial number: days since 30 December 1899, which is right from March 1900 on (ECMA-376
/// part 1, clause 18.17.4.1). Hours are left out.
pub(super) fn of_serial(number: Decimal) -> Option<Date> {
    let days = number.billionths() / Decimal::ONE.billionths();
    let days = i64::try_from(days).ok()?;
    // The years 1982 to 2119: other numbers are none of a day.
    (30_000..80_000)
        .contains(&days)
        .then(|| date(1899, 12, 30).checked_add(days.days()).ok())
        .flatten()
}

/// `2027-01-31`, `31.1.2027`, `31 January 2027`, and with strokes where one number is no month. What may
/// be two days is none.
pub(super) fn of_text(text: &str) -> Option<Date> {
    let text = text.trim();
    if let Ok(day) = text.parse() {
        return Some(day);
    }
    let words: Vec<&str> = text
        .split(|c: char| c.is_whitespace() || "./,".contains(c))
        .filter(|word| !word.is_empty())
        .collect();
    let [first, second, third] = words.as_slice() else {
        return None;
    };
    let number = |word: &str| word.parse::<i16>().ok().filter(|number| *number > 0);
    let month = |word: &str| {
        let word = word.to_lowercase();
        let found = MONTHS
            .iter()
            .position(|name| word.len() >= 3 && name.starts_with(&word))?;
        i16::try_from(found + 1).ok()
    };
    let year = number(third).filter(|year| (1900..2200).contains(year))?;
    let (day, month) = match (number(first), number(second)) {
        (Some(day), None) => (day, month(second)?),
        (None, Some(day)) => (day, month(first)?),
        (Some(first), Some(second)) if text.contains('.') => (first, second),
        (Some(day), Some(month)) if day > 12 || day == month => (day, month),
        (Some(month), Some(day)) if day > 12 => (day, month),
        _ => return None,
    };
    let (day, month) = (i8::try_from(day).ok()?, i8::try_from(month).ok()?);
    Date::new(year, month, day).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_are_read_where_they_are_one_day() {
        let day = date(2027, 1, 31);
        for text in [
            "2027-01-31",
            "31.01.2027",
            "31.1.2027",
            "31 January 2027",
            "31 jan 2027",
            "January 31, 2027",
            "31/01/2027",
            "01/31/2027",
        ] {
            assert_eq!(of_text(text), Some(day), "{text}");
        }
        for text in ["02/03/2027", "60 days", "soon", "31.02.2027", "", "1 1 1"] {
            assert_eq!(of_text(text), None, "{text}");
        }
        assert_eq!(of_serial(Decimal::from_whole(46_418)), Some(day));
        assert_eq!(of_serial(Decimal::from_whole(60)), None);
    }
}
