//! The clock, read at the edge.

/// Now, in UTC to the second: `2026-11-25T14:00:00Z`.
pub(crate) fn now() -> String {
    let now = jiff::Timestamp::now();
    let second = jiff::Timestamp::from_second(now.as_second())
        .expect("whole seconds of a valid moment are a valid moment");
    second.to_string()
}

#[cfg(test)]
mod tests {
    #[test]
    fn a_moment_is_written_to_the_second_in_utc() {
        let now = super::now();
        assert_eq!(now.len(), "2026-11-25T14:00:00Z".len(), "{now}");
        assert!(now.ends_with('Z'));
    }
}
