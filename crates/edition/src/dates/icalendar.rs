//! Dates as an iCalendar file (RFC 5545), for the calendar that a person keeps anyway.
//!
//! Written here, since the little that is needed is shorter than the second library of dates that a
//! crate for it would bring.

use std::fmt::Write;

use jiff::civil::{Date, DateTime};

use super::calendar::days_after;

/// Longest line in octets, its end not counted (RFC 5545, 3.1).
const LONGEST_LINE: usize = 75;

/// A day, or several, in the calendar.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// What never changes about it, so that a later file replaces it: the key of the step.
    pub key: String,
    /// What it is.
    pub summary: String,
    /// More words; may be empty.
    pub description: String,
    /// First day.
    pub from: Date,
    /// Last day.
    pub to: Date,
}

/// The file. `book` makes the entries of one book its own; `stamp` is the moment of writing in UTC;
/// `version` grows with each file that is written (RFC 5545 calls it the sequence).
pub fn file(
    program: &str,
    book: &str,
    title: &str,
    stamp: DateTime,
    version: u32,
    entries: &[Entry],
) -> String {
    let mut out = Lines::default();
    out.line("BEGIN:VCALENDAR");
    out.line("VERSION:2.0");
    out.line(&format!("PRODID:-//{}//EN", escaped(program)));
    out.line("CALSCALE:GREGORIAN");
    out.line("METHOD:PUBLISH");
    out.line(&format!("NAME:{}", escaped(title)));
    for entry in entries {
        out.line("BEGIN:VEVENT");
        out.line(&format!("UID:{}@{}", plain(&entry.key), plain(book)));
        out.line(&format!(
            "DTSTAMP:{}T{:02}{:02}{:02}Z",
            compact(stamp.date()),
            stamp.hour(),
            stamp.minute(),
            stamp.second()
        ));
        out.line(&format!("SEQUENCE:{version}"));
        out.line(&format!("DTSTART;VALUE=DATE:{}", compact(entry.from)));
        // The end of a whole-day entry is the day after its last one (RFC 5545, 3.6.1).
        let end = days_after(entry.to.max(entry.from), 1);
        out.line(&format!("DTEND;VALUE=DATE:{}", compact(end)));
        out.line(&format!("SUMMARY:{}", escaped(&entry.summary)));
        if !entry.description.is_empty() {
            out.line(&format!("DESCRIPTION:{}", escaped(&entry.description)));
        }
        out.line("TRANSP:TRANSPARENT");
        out.line("END:VEVENT");
    }
    out.line("END:VCALENDAR");
    out.0
}

#[derive(Default)]
struct Lines(String);

impl Lines {
    /// A line, folded where it is too long, and never within a character.
    fn line(&mut self, text: &str) {
        let mut room = LONGEST_LINE;
        for character in text.chars() {
            if character.len_utf8() > room {
                self.0.push_str("\r\n ");
                room = LONGEST_LINE - 1;
            }
            room -= character.len_utf8();
            self.0.push(character);
        }
        self.0.push_str("\r\n");
    }
}

/// Text with what has a meaning in the format escaped (RFC 5545, 3.3.11), and control characters left
/// out.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let text = text.replace("\r\n", "\n");
    for character in text.chars() {
        match character {
            '\\' | ';' | ',' => {
                out.push('\\');
                out.push(character);
            }
            '\n' => out.push_str("\\n"),
            other if other.is_control() && other != '\t' => {}
            other => out.push(other),
        }
    }
    out
}

/// A name that stands in an identifier.
fn plain(text: &str) -> String {
    let mut out = String::new();
    for character in text.chars() {
        if character.is_ascii_alphanumeric() || matches!(character, '-' | '.') {
            out.push(character);
        } else {
            let _ = write!(out, "-{:x}", u32::from(character));
        }
    }
    out
}

fn compact(day: Date) -> String {
    format!("{:04}{:02}{:02}", day.year().max(0), day.month(), day.day())
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;
    use proptest::prelude::*;

    use super::*;

    fn entry(summary: &str) -> Entry {
        Entry {
            key: "proofs".to_owned(),
            summary: summary.to_owned(),
            description: String::new(),
            from: date(2027, 2, 26),
            to: date(2027, 2, 28),
        }
    }

    fn written(entries: &[Entry]) -> String {
        let stamp = date(2026, 11, 25).at(9, 8, 7, 0);
        file("Foredge", "tide lines", "Tide Lines", stamp, 3, entries)
    }

    #[test]
    fn days_end_on_the_day_after_the_last_one() {
        let text = written(&[entry("Proofs; examined, signed")]);
        assert!(text.contains("\r\nDTSTART;VALUE=DATE:20270226\r\nDTEND;VALUE=DATE:20270301\r\n"));
        assert!(text.contains("\r\nSUMMARY:Proofs\\; examined\\, signed\r\n"));
        assert!(text.contains("\r\nUID:proofs@tide-20lines\r\nDTSTAMP:20261125T090807Z\r\n"));
    }

    proptest! {
        #[test]
        fn lines_are_short_and_unfold_to_what_was_said(summary in any::<String>()) {
            let text = written(&[entry(&summary)]);
            for line in text.split("\r\n") {
                prop_assert!(line.len() <= LONGEST_LINE);
                prop_assert!(!line.contains(['\r', '\n']));
            }
            let unfolded = text.replace("\r\n ", "");
            let wanted = format!("\r\nSUMMARY:{}\r\n", escaped(&summary));
            prop_assert!(unfolded.contains(&wanted));
        }
    }
}
