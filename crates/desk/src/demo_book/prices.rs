//! What has happened between the demonstration book and its printers: requests, samples, and answers
//! of three kinds. All days are told from today, so that the demonstration never grows old.

use jiff::ToSpan;
use jiff::civil::Date;

use crate::{
    AnswerGiven, AnswerRead, Desk, DeskError, Edit, Fields, InvoiceGiven, InvoiceTaken, NoteKind,
    editing,
};

/// The weight of the text paper.
const PAPER: &str = "stock.text.grammage";
/// What it was when the first printer was asked, and what was chosen since: that of the book's text.
const FIRST_PAPER: &str = "170 g/m2";
const CHOSEN_PAPER: &str = "200 g/m2";

/// A day so many days before or after today.
fn day(today: Date, days: i64) -> Date {
    today.saturating_add(days.days())
}

/// The book's text as it was when the first printer was asked, its days told from today.
pub(super) fn first_text(text: &str, today: Date) -> Result<String, DeskError> {
    let days = [
        ("ask.answer_by", day(today, -6)),
        ("dates.launch", day(today, 200)),
        ("rate.USD EUR.on", day(today, -4)),
        ("freight.delta FOB.on", day(today, -7)),
    ];
    let mut values: Vec<(String, String)> = days
        .into_iter()
        .map(|(key, day)| (key.to_owned(), day.to_string()))
        .collect();
    values.push((PAPER.to_owned(), FIRST_PAPER.to_owned()));
    let what = String::new();
    book::edit::apply(text, &Edit::SetAll { values, what })
        .map(|(text, _)| text)
        .map_err(|errors| crate::place::book_errors("book.toml", &errors))
}

/// Lets it happen: one printer is asked, a heavier paper is chosen, the others are asked, and all
/// three answer.
pub(super) fn happen(desk: &Desk, today: Date) -> Result<(), DeskError> {
    let on = |days| Some(day(today, days));
    let said = |key, kind, text, days| desk.note_printer(key, kind, text, on(days), None);
    said("quay", NoteKind::SampleAsked, "", -40)?;
    said(
        "quay",
        NoteKind::SampleReceived,
        "two catalogues; varnish sits sharp, spine creases a little",
        -33,
    )?;
    said(
        "delta",
        NoteKind::SampleAsked,
        "a sewn book in matt white",
        -34,
    )?;
    said(
        "brindle",
        NoteKind::Said,
        "varnish goes to a workshop in the next town: four days more",
        -29,
    )?;

    desk.ask(Some("brindle"), on(-30))?;
    let edit = Edit::Set {
        key: PAPER.to_owned(),
        value: CHOSEN_PAPER.to_owned(),
    };
    editing::edit(desk, &edit)?;
    desk.ask(Some("quay"), on(-20))?;
    desk.ask(Some("delta"), on(-20))?;

    let mut last = 0;
    for (days, valid, fields) in [
        (-24, 20, BRINDLE),
        (-9, 51, DELTA),
        // Three days after the day that was wished for.
        (-3, 57, QUAY),
    ] {
        let dated = day(today, days - 1).to_string();
        let valid = day(today, valid).to_string();
        let mut fields = fields.to_vec();
        fields.extend([("dated", dated.as_str()), ("valid", valid.as_str())]);
        last = answer(desk, &fields, on(days))?;
    }
    invoice(desk, last, &day(today, -1).to_string(), on(0))
}

/// The invoice of a first edition, made up: what it would look like if the order had gone to the quay.
fn invoice(desk: &Desk, answer: u32, dated: &str, received: Option<Date>) -> Result<(), DeskError> {
    let mut fields = INVOICE.to_vec();
    fields.push(("dated", dated));
    let given = InvoiceGiven {
        answer,
        ordered: 800,
        fields: &fields,
        file: None,
        received,
        agree: false,
    };
    match desk.hold_invoice(given)? {
        InvoiceTaken::Kept(_) => Ok(()),
        InvoiceTaken::Doubtful(doubts) => Err(mistake(doubts.first().map(|doubt| &doubt.why))),
    }
}

fn mistake(why: Option<&String>) -> DeskError {
    DeskError::new(
        "the demonstration's prices",
        why.cloned().unwrap_or_default(),
        "This is a mistake in the program; nothing was kept.",
    )
}

fn answer(desk: &Desk, fields: Fields<'_>, received: Option<Date>) -> Result<u32, DeskError> {
    let given = AnswerGiven {
        fields,
        received,
        ..AnswerGiven::default()
    };
    match desk.read_answer(given)? {
        AnswerRead::Kept(view) => Ok(view.number),
        AnswerRead::Doubtful(doubts) => Err(mistake(doubts.first().map(|one| &one.doubt.why))),
    }
}

/// At home, short runs and quick, for a lighter paper than the book has by now.
const BRINDLE: Fields<'static> = &[
    ("printer", "brindle"),
    ("currency", "EUR"),
    ("total 550", "8470"),
    ("total 800", "10960"),
    ("total 1050", "13440"),
    ("one-off colour proofs", "180"),
    ("one-off plates or screens for spot varnish", "95"),
    ("term", "DAP each place of delivery"),
    ("freight", "included"),
    ("lead", "14"),
    ("overs", "3%"),
    ("unders", "0%"),
    ("payment", "half with the order, half on delivery"),
];

/// Overseas, in dollars and without freight.
const DELTA: Fields<'static> = &[
    ("printer", "delta"),
    ("currency", "USD"),
    ("each 550", "12.05"),
    ("each 800", "9.235"),
    ("each 1050", "7.76"),
    ("one-off printing plates", "420"),
    ("one-off colour proofs", "150"),
    ("one-off blank dummy", "60"),
    ("one-off position proofs", "0"),
    ("one-off advance copies", "0"),
    ("term", "FOB Vessamar"),
    ("lead", "30"),
    ("overs", "5%"),
    ("unders", "5%"),
    ("payment", "half with the order, half before dispatch"),
    ("notes", "Proofs by courier; sea freight not in our price."),
];

/// At home, with everything in it, and late.
const QUAY: Fields<'static> = &[
    ("printer", "quay"),
    ("currency", "EUR"),
    ("total 550", "7285"),
    ("total 800", "8730"),
    ("total 1050", "10175"),
    ("one-off printing plates", "380"),
    ("one-off colour proofs", "140"),
    ("one-off blank dummy", "45"),
    ("one-off plates or screens for spot varnish", "110"),
    ("one-off position proofs", "0"),
    ("one-off advance copies", "0"),
    ("term", "DAP each place of delivery"),
    ("freight 550", "290"),
    ("freight 800", "340"),
    ("freight 1050", "395"),
    ("lead", "24"),
    ("overs", "5%"),
    ("unders", "0%"),
    (
        "payment",
        "a third with the order, a third with the proofs, a third before dispatch",
    ),
];

/// The invoice: ten copies more than the overs allow, a charge more than was asked, changes, and a
/// carrier who took more.
const INVOICE: Fields<'static> = &[
    ("number", "Q-0412"),
    ("currency", "EUR"),
    ("delivered", "850"),
    ("print", "8730"),
    ("overs", "545.50"),
    ("one-off printing plates", "380"),
    ("one-off colour proofs", "140"),
    ("one-off blank dummy", "45"),
    ("one-off plates or screens for spot varnish", "125"),
    ("freight", "372.80"),
    ("alterations one page of the text", "65"),
    ("total", "10403.30"),
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::AnswerView;

    #[test]
    fn one_answer_is_late_one_for_an_older_book_and_one_from_overseas_without_freight() {
        let folder = tempfile::tempdir().unwrap();
        let today = crate::today();
        let chosen = demo::book_toml();
        let text = first_text(&chosen, today).unwrap();
        crate::new_book::write_book(folder.path(), &text).unwrap();
        let desk = Desk::open(folder.path()).unwrap();
        happen(&desk, today).unwrap();

        let answers = desk.answers().unwrap();
        let of = |key: &str| -> &AnswerView {
            answers
                .iter()
                .find(|view| view.answer.printer == key)
                .unwrap()
        };
        let [quay, brindle, delta] = ["quay", "brindle", "delta"].map(of);
        assert_eq!(
            [quay.late_days, brindle.late_days, delta.late_days],
            [Some(3), None, None]
        );
        assert_eq!(
            brindle.stale,
            ["The text paper changed from 170 to 200 g/m²"]
        );
        assert!(quay.holds() && delta.holds());
        let snapshot = desk.snapshot().unwrap();
        let book = &snapshot.book;
        assert_ne!(delta.answer.currency, book.landing.currency);
        assert_eq!(delta.answer.freight, price::answer::FreightSaid::NotSaid);
        // What was chosen is the book that the demonstration is drawn for.
        let drawn = book::read(&chosen).unwrap();
        assert_eq!(book.text_stock, drawn.text_stock);
    }
}
