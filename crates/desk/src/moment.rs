//! The clock, read at the edge, and its moments as people say them.

/// Now, in UTC to the second: `2026-11-25T14:00:00Z`.
pub(crate) fn now() -> String {
    let now = jiff::Timestamp::now();
    let second = jiff::Timestamp::from_second(now.as_second())
        .expect("whole seconds of a valid moment are a valid moment");
    second.to_string()
}

/// Today, where the person is.
pub fn today() -> jiff::civil::Date {
    jiff::ZonedDateTime::now().date()
}

/// Now, in UTC, as the day and time that a calendar file says.
pub(crate) fn utc() -> jiff::civil::DateTime {
    jiff::tz::TimeZone::UTC.to_datetime(jiff::Timestamp::now())
}

/// `25 November 2026` from a moment. What is no moment stays as it is.
pub(crate) fn day(moment: &str) -> String {
    date(moment).unwrap_or_else(|| moment.to_owned())
}

/// `25 November 2026`.
pub fn day_in_words(date: jiff::civil::Date) -> String {
    day(&date.to_string())
}

/// A moment as people say it: `25 November 2026, 18:22 UTC`. What is no moment stays as it is.
pub fn in_words(moment: &str) -> String {
    let said = || Some(format!("{}, {} UTC", date(moment)?, moment.get(11..16)?));
    said().unwrap_or_else(|| moment.to_owned())
}

fn date(moment: &str) -> Option<String> {
    const MONTHS: [&str; 12] = [
        "January",
        "February",
        "March",
        "April",
        "May",
        "June",
        "July",
        "August",
        "September",
        "October",
        "November",
        "December",
    ];
    let part = |range: std::ops::Range<usize>| moment.get(range)?.parse::<usize>().ok();
    let month = MONTHS.get(part(5..7)?.checked_sub(1)?)?;
    Some(format!("{} {month} {}", part(8..10)?, part(0..4)?))
}

#[cfg(test)]
mod tests {
    #[test]
    fn a_moment_is_told_as_a_day() {
        assert_eq!(super::day("2026-11-05T14:00:00Z"), "5 November 2026");
        assert_eq!(super::day("soon"), "soon");
    }

    #[test]
    fn moments_read_as_said() {
        assert_eq!(
            super::in_words("2026-11-05T18:22:08Z"),
            "5 November 2026, 18:22 UTC"
        );
        for odd in ["", "yesterday", "2026-13-01T10:00:00Z", "2026-11-05T1"] {
            assert_eq!(super::in_words(odd), odd);
        }
    }

    #[test]
    fn a_moment_is_written_to_the_second_in_utc() {
        let now = super::now();
        assert_eq!(now.len(), "2026-11-25T14:00:00Z".len(), "{now}");
        assert!(now.ends_with('Z'));
    }
}
