//! The calendar in the book file.

use book::{Carriage, Takes, Whose};
use jiff::civil::date;

use crate::builder::BookText;

fn minimal() -> String {
    BookText::default().blanks(1).text()
}

fn with(lines: &str) -> String {
    format!("{}\n{lines}", minimal())
}

#[test]
fn a_calendar_is_read_as_it_is_written() {
    let book = book::read(&with(
        r#"
[dates]
send = 2027-01-11
launch = "2027-06-01"
surety = "90%"
carriage = "sea"
printer_off = ["friday", "saturday"]
artist_off = []
[[closure]]
name = "works holidays"
from = "2027-08-02"
to = "2027-08-20"
[[step]]
key = "printed"
takes = "5, 7, 12 days"
again = "10%"
again_takes = "4, 9"
by = "the printer"
[[step]]
key = "photographs"
after = ["advance"]
before = ["in-hand"]
of = "artist"
takes = 2
[[payment]]
name = "with the order"
share = "50%"
step = "files"
at = "beginning"
[[payment]]
share = "50%"
step = "packed"
days = 14
"#,
    ))
    .unwrap();
    let dates = &book.dates;
    assert_eq!(dates.send, Some(date(2027, 1, 11)));
    assert_eq!(dates.launch, Some(date(2027, 6, 1)));
    assert_eq!(dates.surety.unwrap().to_string(), "0.9");
    assert_eq!(dates.carriage, Some(Carriage::Sea));
    let off: Vec<_> = dates
        .days_off
        .iter()
        .map(|off| (off.whose, off.days.len()))
        .collect();
    assert_eq!(off, [(Whose::Printer, 2), (Whose::Artist, 0)]);
    assert_eq!(dates.closures[0].to, date(2027, 8, 20));
    assert_eq!(dates.steps[0].takes, Some(Takes::Between(5.0, 7.0, 12.0)));
    assert_eq!(dates.steps[0].again_takes, Some(Takes::Around(4.0, 9.0)));
    assert_eq!(dates.steps[1].takes, Some(Takes::Days(2.0)));
    assert_eq!(dates.steps[1].before, ["in-hand"]);
    assert_eq!(dates.payments[0].name, "with the order");
    assert!(dates.payments[0].at_beginning && !dates.payments[1].at_beginning);
    assert_eq!(dates.payments[1].days, 14);
}

#[test]
fn what_is_wrong_with_a_calendar_is_told_with_its_line() {
    let told = |lines: &str| {
        let text = with(lines);
        let errors = book::read(&text).unwrap_err().to_string();
        let at = minimal().lines().count() as u32 + 1;
        (errors, at)
    };
    let cases = [
        ("[dates]\nlaunch = \"soon\"", 2, "a day of the calendar"),
        ("[dates]\nsurety = \"120%\"", 2, "120"),
        ("[dates]\ncarriage = \"ship\"", 2, "`sea`"),
        ("[dates]\nprinter = \"quay\"", 2, "quay"),
        ("[dates]\nprinter_off = [\"caturday\"]", 2, "saturday"),
        (
            "[[closure]]\nfrom = \"2027-02-03\"\nto = \"2027-02-01\"",
            3,
            "before the first one",
        ),
        ("[[closure]]\nfrom = \"2027-02-03\"", 1, "to"),
        ("[[step]]\ntakes = \"3\"", 1, "key"),
        (
            "[[step]]\nkey = \"a\"\ntakes = \"9, 7, 8\"",
            3,
            "least, most often, most",
        ),
        ("[[step]]\nkey = \"a\"\ntakes = \"-1\"", 3, "days"),
        ("[[step]]\nkey = \"a\"\nagain = \"150%\"", 3, "the chance"),
        (
            "[[step]]\nkey = \"a\"\n[[step]]\nkey = \"a\"",
            3,
            "the step `a`",
        ),
        (
            "[[payment]]\nshare = \"50%\"\nstep = \"files\"",
            1,
            "sum to 50 %",
        ),
    ];
    for (lines, line, word) in cases {
        let (errors, at) = told(lines);
        assert!(errors.contains(word), "{lines}: {errors}");
        let place = format!("{}", at + line);
        assert!(
            errors.contains(&place),
            "{lines}: no line {place} in {errors}"
        );
    }
}
