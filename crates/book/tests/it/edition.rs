//! The edition in the book file.

use book::edit::Edit;
use book::{Buys, ChannelKind, RoyaltyOn};
use jiff::civil::date;

use crate::builder::BookText;

fn with(lines: &str) -> String {
    format!("{}\n{lines}", BookText::default().blanks(1).text())
}

const WHOLE: &str = r#"
[edition]
price = "EUR 48"
tax = "7%"
season = ["35%", "15%"]
tail = 12
storage = "EUR 18"
leftover = "EUR 5"
together = "30%"
too_many = 200
sold_out_by = "2027-12-01"
guess_fixed = "EUR 4000"
guess_each = "EUR 9"
[[audience]]
place = "letter to readers"
people = 8000
low = "0.5%"
likely = "1.2%"
high = "3%"
[[audience]]
place = "fair"
people = 900
sold = 40
of = 800
by = "the fair of last spring"
[[channel]]
name = "own shop"
kind = "own shop"
share = "70%"
postage = "EUR 6.50"
postage_paid = "EUR 5"
[[channel]]
name = "shops"
kind = "wholesale"
discount = "45%"
pays_after = 60
[[offer]]
name = "a house"
advance = "EUR 1500"
royalty = "10%"
on = "net"
discount = "50%"
[[plan]]
name = "careful"
copies = 500
"#;

#[test]
fn an_edition_is_read_as_it_is_written() {
    let book = book::read(&with(WHOLE)).unwrap();
    let edition = &book.edition;
    assert_eq!(edition.price.unwrap().minor(), 4_800);
    assert_eq!(edition.season.len(), 2);
    assert_eq!(edition.tail, Some(12));
    assert_eq!(edition.sold_out_by, Some(date(2027, 12, 1)));
    assert_eq!(edition.guess.unwrap().fixed.minor(), 400_000);
    assert!(matches!(edition.audiences[0].buys, Buys::Between(..)));
    assert_eq!(
        edition.audiences[1].buys,
        Buys::Before { sold: 40, of: 800 }
    );
    assert_eq!(edition.channels[0].kind, ChannelKind::OwnShop);
    assert_eq!(edition.channels[1].pays_after, Some(60));
    assert_eq!(edition.offers[0].on, RoyaltyOn::Net);
    assert_eq!(edition.plans[0].copies, 500);
}

/// The first complaint of the file, as people read it.
fn complaint(lines: &str) -> String {
    book::read(&with(lines)).unwrap_err().to_string()
}

#[test]
fn what_cannot_be_is_told_by_its_line() {
    let cases: [(&str, &str); 12] = [
        (
            "[[audience]]\nplace = \"a\"\npeople = 0\nlow = \"1%\"\nlikely = \"2%\"\nhigh = \"3%\"",
            "people",
        ),
        (
            "[[audience]]\nplace = \"a\"\npeople = 10\nlow = \"1%\"\nlikely = \"2%\"\nhigh = \"130%\"",
            "share that buys",
        ),
        (
            "[[audience]]\nplace = \"a\"\npeople = 10\nlow = \"3%\"\nlikely = \"2%\"\nhigh = \"4%\"",
            "in this order",
        ),
        (
            "[[audience]]\nplace = \"a\"\npeople = 10\nsold = 9\nof = 8",
            "no more copies",
        ),
        ("[[audience]]\nplace = \"a\"\npeople = 10", "low"),
        ("[edition]\nprice = \"EUR 40\"\nstorage = \"USD 3\"", "USD"),
        ("[edition]\nseason = [\"60%\", \"60%\"]", "120"),
        ("[[channel]]\nname = \"a\"\nkind = \"shop\"", "own shop"),
        (
            "[[channel]]\nname = \"a\"\nkind = \"own shop\"\nshare = \"60%\"\n[[channel]]\nname = \"b\"\nkind = \"wholesale\"\nshare = \"50%\"",
            "110",
        ),
        ("[[offer]]\nname = \"a\"", "royalty"),
        (
            "[[plan]]\nname = \"a\"\ncopies = 5\n[[plan]]\nname = \"a\"\ncopies = 6",
            "a",
        ),
        (
            "[[plan]]\nname = \"a\"\ncopies = 5\nprinter = \"nobody\"",
            "nobody",
        ),
    ];
    for (lines, word) in cases {
        let told = complaint(lines);
        assert!(told.contains(word), "{lines}\n{told}");
        assert!(told.contains("line"), "{told}");
    }
}

#[test]
fn a_plan_is_kept_and_dropped_by_edits() {
    let before = with("");
    let edit = Edit::set_entry(
        "plan",
        "bold",
        &[("copies", "1200"), ("send", "2027-02-01")],
    );
    let (kept, _) = book::edit::apply(&before, &edit).unwrap();
    let plans = book::read(&kept).unwrap().edition.plans;
    assert_eq!((plans[0].name.as_str(), plans[0].copies), ("bold", 1_200));
    let edit = Edit::remove_entry("plan", "bold").unwrap();
    let (dropped, _) = book::edit::apply(&kept, &edit).unwrap();
    assert!(book::read(&dropped).unwrap().edition.plans.is_empty());
}

#[test]
fn what_is_read_for_a_form_can_be_given_back_and_changes_nothing() {
    let text = with(WHOLE);
    for section in ["audience", "channel", "offer", "plan"] {
        let things = book::edit::things(&text, section).unwrap();
        assert!(!things.is_empty(), "{section}");
        for thing in things {
            let values: Vec<(&str, &str)> = thing
                .fields
                .iter()
                .map(|field| (field.key, field.value.as_deref().unwrap_or_default()))
                .collect();
            let edit = Edit::set_entry(section, &thing.name, &values);
            let (again, _) = book::edit::apply(&text, &edit).unwrap();
            assert_eq!(again, text, "{section} {}", thing.name);
        }
    }
    let values: Vec<(String, String)> = book::edit::keys(&text, "edition")
        .unwrap()
        .into_iter()
        .map(|field| {
            let dotted = format!("edition.{}", field.key);
            (dotted, field.value.unwrap_or_default())
        })
        .collect();
    let what = String::new();
    let (again, _) = book::edit::apply(&text, &Edit::SetAll { values, what }).unwrap();
    assert_eq!(again, text);
}
