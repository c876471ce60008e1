//! The dates of a book: what has happened moves them, and what goes to the printer falls due.

use desk::edition::dates::{Happened, LastDay};
use desk::{AnswerGiven, Desk, Edit, StageState};
use jiff::ToSpan;

use crate::shelf;

fn set(desk: &Desk, key: &str, value: &str) {
    let (key, value) = (key.to_owned(), value.to_owned());
    desk.edit(&Edit::Set { key, value }).unwrap();
}

/// A book of 800 copies with a printer.
fn with_printer() -> (testkit::Folder, Desk) {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    set(&desk, "ask.copies", "800");
    set(&desk, "printer.quay.name", "Ellery Quay Printworks");
    (folder, desk)
}

fn answer(desk: &Desk, fields: &[(&str, &str)]) {
    desk.read_answer(AnswerGiven {
        fields,
        agree: true,
        ..AnswerGiven::default()
    })
    .unwrap();
}

#[test]
fn a_step_that_has_happened_moves_the_dates_until_it_is_taken_back() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let today = desk::today();
    let unknown = desk
        .step_happened("printd", Some(Happened::Done(today)), "")
        .unwrap_err();
    assert!(unknown.hint.contains("printed"), "{}", unknown.hint);
    let early = desk.step_happened("printed", Some(Happened::Done(today)), "");
    assert!(early.unwrap_err().to_string().contains("say when"));
    assert!(desk.step_happened("files", None, "").is_err());

    let told = desk
        .step_happened("files", Some(Happened::Done(today)), "quick")
        .unwrap();
    let before = told.before.unwrap().foretold.histories;
    assert_ne!(told.after.foretold.histories, before);
    let back = desk.step_happened("files", None, "").unwrap();
    assert_eq!(back.after.foretold.histories, before);
    assert_eq!(back.after.told.len(), 2);
}

#[test]
fn what_a_change_of_the_book_made_impossible_can_be_taken_back() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    desk.step_happened("files", Some(Happened::Done(desk::today())), "")
        .unwrap();
    set(&desk, "step.scans.takes", "3");
    set(&desk, "step.scans.before", "files");
    let wrong = desk.dates().unwrap_err();
    assert!(wrong.to_string().contains("scans"), "{wrong}");
    let told = desk.step_happened("files", None, "").unwrap();
    assert!(told.before.is_none());
    assert!(told.after.foretold.schedule.place("scans").is_some());
}

#[test]
fn where_it_stands_says_when_files_are_to_be_sent_and_when_it_is_late() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let line = || {
        let stages = desk.status().unwrap().stages;
        stages
            .into_iter()
            .find(|stage| stage.name == "dates")
            .unwrap()
    };
    assert_eq!(line().state, StageState::Missing);
    let launch = |days: i64| {
        let day = desk::today().saturating_add(days.days());
        set(&desk, "dates.launch", &day.to_string());
    };
    launch(300);
    let told = line();
    assert_eq!(told.state, StageState::Fresh, "{}", told.because);
    let foretold = desk.dates().unwrap().foretold;
    let LastDay::On(last) = foretold.launch.unwrap().last else {
        panic!("there is time enough");
    };
    assert!(
        told.because.contains(&desk::day_in_words(last)),
        "{}",
        told.because
    );
    launch(5);
    let told = line();
    assert_eq!(told.state, StageState::Blocked, "{}", told.because);
    assert!(told.because.contains("under 1 %"), "{}", told.because);
    let yesterday = desk::today().saturating_sub(1.day()).to_string();
    set(&desk, "dates.launch", &yesterday);
    let told = line();
    assert_eq!(told.state, StageState::Blocked, "{}", told.because);
    assert!(told.because.contains(&yesterday), "{}", told.because);
}

#[test]
fn what_goes_to_the_printer_falls_due_in_halves() {
    let (_folder, desk) = with_printer();
    assert!(desk.dates().unwrap().foretold.due.is_empty());
    let fields = [
        ("printer", "quay"),
        ("currency", "EUR"),
        ("total 800", "7000"),
        ("one-off printing plates", "401"),
        ("freight", "300"),
    ];
    answer(&desk, &fields);
    let view = desk.dates().unwrap();
    let due: Vec<i64> = view
        .foretold
        .due
        .iter()
        .map(|due| due.sum.minor())
        .collect();
    // Print and plates, and not the freight.
    assert_eq!(due, [370_050, 370_050]);
    let cost = view.cost.unwrap();
    assert!(cost.total.minor() > cost.to_printer.minor());
    let calendar = desk.calendar_file().unwrap();
    assert!(
        calendar.contains("Half with the order: EUR 3\\,700.50"),
        "{calendar}"
    );
}

#[test]
fn payments_fall_due_as_the_answer_says_and_sent_files_have_no_last_day() {
    let (_folder, desk) = with_printer();
    let launch = desk::today().saturating_add(300.days());
    set(&desk, "dates.launch", &launch.to_string());
    let fields = [
        ("printer", "quay"),
        ("currency", "EUR"),
        ("total 800", "9000"),
        (
            "payment",
            "a third with the order, a third with the proofs, a third before dispatch",
        ),
    ];
    answer(&desk, &fields);
    let view = desk.dates().unwrap();
    let due: Vec<(&str, i64)> = view
        .foretold
        .due
        .iter()
        .map(|due| (due.name.as_str(), due.sum.minor()))
        .collect();
    assert_eq!(
        due,
        [
            ("With the order", 300_000),
            ("With the proofs approved", 300_000),
            ("Before dispatch", 300_000)
        ]
    );
    let yesterday = desk::today().saturating_sub(1.day());
    let sent = desk
        .step_happened("files", Some(Happened::Done(yesterday)), "")
        .unwrap()
        .after
        .foretold;
    assert_eq!(sent.launch.unwrap().last, LastDay::Sent);
    let files = &sent.histories.steps[sent.schedule.place("files").unwrap()];
    assert!(files.begins.by(0.5) <= files.ends.by(0.5));
    assert_eq!(files.ends.by(0.5), yesterday);
}
