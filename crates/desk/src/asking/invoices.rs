//! Invoices that came, each held against the answer that was ordered by.

use book::Book;
use jiff::civil::Date;
use measure::Money;
use price::answer::{Answer, Doubt};
use price::invoice::{Invoice, InvoiceRead, hold};
use price::landed::converted;
use serde::{Deserialize, Serialize};

use super::answers::{self, AnswerView, KeptDoubt};
use super::keep::{self, GivenFile, KeptFile};
use super::{of, one, refused, text};
use crate::record::AskingKind;
use crate::{Desk, DeskError, Fields, moment};

/// An invoice that is handed in.
#[derive(Debug, Clone, Copy)]
pub struct InvoiceGiven<'g> {
    /// Number of the answer that was ordered by.
    pub answer: u32,
    /// How many copies were ordered.
    pub ordered: u64,
    /// What it says, by the names of [`price::invoice::Invoice::from_fields`].
    pub fields: Fields<'g>,
    /// The file that came; it is kept whole.
    pub file: Option<GivenFile<'g>>,
    /// The day on which it came; today unless said.
    pub received: Option<Date>,
    /// Whether a person agrees that what is doubtful is left out.
    pub agree: bool,
}

/// What came of reading an invoice.
#[derive(Debug, Clone)]
pub enum InvoiceTaken {
    /// It is kept.
    Kept(Box<InvoiceView>),
    /// Nothing is kept: something could not be read.
    Doubtful(Vec<Doubt>),
}

/// An invoice.
#[derive(Debug, Clone, PartialEq)]
pub struct InvoiceView {
    /// Its number here, from 1.
    pub number: u32,
    /// When it was read, in UTC.
    pub at: String,
    /// The day on which it came.
    pub received: Date,
    /// The printer's key.
    pub printer: String,
    /// The printer's name.
    pub name: String,
    /// Number of the answer that was ordered by.
    pub answer: u32,
    /// How many copies were ordered.
    pub ordered: u64,
    /// What it says.
    pub invoice: Invoice,
    /// Held against the answer, or why it cannot be.
    pub read: Result<InvoiceRead, String>,
    /// The original.
    pub file: Option<KeptFile>,
    /// When it was laid aside, if it is.
    pub aside: Option<String>,
}

#[derive(Debug, Serialize, Deserialize)]
struct KeptInvoice {
    received: Date,
    answer: u32,
    ordered: u64,
    /// As [`Invoice::from_fields`] takes it.
    fields: Vec<(String, String)>,
    file: Option<KeptFile>,
    agreed: Vec<KeptDoubt>,
}

/// Takes an invoice in.
pub(super) fn read(desk: &Desk, given: InvoiceGiven<'_>) -> Result<InvoiceTaken, DeskError> {
    let place = given.file.map_or("the invoice", |file| file.name);
    let standing = desk.standing()?;
    let _lock = desk.asking_lock()?;
    let answer = answers::view(desk, given.answer)?;
    let (invoice, doubts) =
        Invoice::from_fields(given.fields).map_err(|error| refused(place, &error))?;
    if !doubts.is_empty() && !given.agree {
        return Ok(InvoiceTaken::Doubtful(doubts));
    }
    held(
        &standing.snapshot.book,
        &invoice,
        &answer.answer,
        given.ordered,
    )
    .map_err(|error| refused(place, &error))?;
    let kept = KeptInvoice {
        received: given.received.unwrap_or_else(moment::today),
        answer: given.answer,
        ordered: given.ordered,
        fields: invoice.fields(),
        file: given.file.map(|file| keep::keep(desk, file)).transpose()?,
        agreed: doubts.iter().map(KeptDoubt::of).collect(),
    };
    let number = desk.with_record(|record| {
        let number = record.next_asking(AskingKind::Invoice)?;
        let row = (number, answer.answer.printer.as_str(), &*text(&kept));
        record.add_asking(AskingKind::Invoice, &[row])?;
        Ok(number)
    })?;
    view(desk, number).map(|view| InvoiceTaken::Kept(Box::new(view)))
}

/// One invoice.
pub(super) fn view(desk: &Desk, number: u32) -> Result<InvoiceView, DeskError> {
    let views = all(desk)?;
    one(
        views,
        |view| view.number == number,
        AskingKind::Invoice,
        number,
    )
}

/// All invoices, oldest first.
pub(super) fn all(desk: &Desk) -> Result<Vec<InvoiceView>, DeskError> {
    let standing = desk.standing()?;
    let book = &standing.snapshot.book;
    let answers = answers::all(desk)?;
    let rows = desk.with_record(|record| record.asking(AskingKind::Invoice))?;
    let views = rows.into_iter().filter_map(|row| {
        let kept = of::<KeptInvoice>(&row.content)?;
        let fields: Vec<(&str, &str)> = kept
            .fields
            .iter()
            .map(|(name, value)| (name.as_str(), value.as_str()))
            .collect();
        let (invoice, _) = Invoice::from_fields(&fields).ok()?;
        let answer: Option<&AnswerView> = answers.iter().find(|view| view.number == kept.answer);
        let read = match answer {
            Some(answer) => held(book, &invoice, &answer.answer, kept.ordered)
                .map_err(|error| error.to_string()),
            None => Err("the answer that it is for cannot be read any more".to_owned()),
        };
        Some(InvoiceView {
            number: row.number,
            at: row.at,
            received: kept.received,
            name: answer.map_or_else(|| row.printer.clone(), |answer| answer.name.clone()),
            printer: row.printer,
            answer: kept.answer,
            ordered: kept.ordered,
            invoice,
            read,
            file: kept.file,
            aside: row.aside,
        })
    });
    Ok(views.collect())
}

fn held(
    book: &Book,
    invoice: &Invoice,
    answer: &Answer,
    ordered: u64,
) -> Result<InvoiceRead, price::PriceError> {
    hold(invoice, answer, ordered, own_freight(book, answer, ordered))
}

/// The artist's own estimate of the freight in the answer's currency, where there is one.
fn own_freight(book: &Book, answer: &Answer, ordered: u64) -> Option<Money> {
    let own = book.landing.freight_from(&answer.printer, answer.term?)?;
    let sum = own.fixed.plus(own.each.times(ordered).ok()?).ok()?;
    converted(sum, answer.currency, &book.landing).ok()
}
