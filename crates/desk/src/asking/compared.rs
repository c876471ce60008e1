//! Answers on one footing: that of the book as it is.

use book::Book;
use jiff::civil::Date;
use measure::{Money, UnitPrice};
use price::answer::Answer;
use price::compare::{Comparison, compare};
use price::landed::{Footing, PartKind, landed};
use price::request::charges;

use super::answers::{self, AnswerView};
use crate::{Desk, DeskError, moment};

/// Answers side by side.
#[derive(Debug, Clone)]
pub struct ComparisonView {
    /// Today.
    pub today: Date,
    /// The answers that stand, in the order of the comparison's columns.
    pub answers: Vec<AnswerView>,
    /// What they cost in hand. The ranges, and what speaks for a dearer one, are among those that hold
    /// ([`AnswerView::holds`]) if there are any.
    pub comparison: Comparison,
    /// Whether the ranges are among answers that hold.
    pub among_holding: bool,
}

/// What a print run costs in hand by the cheapest answer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RunCost {
    /// Copies ordered.
    pub copies: u64,
    /// Copies of these that are fit to be sold.
    pub good: u64,
    /// What they cost in all.
    pub total: Money,
    /// What of it goes to the printer: print and charges that arise once.
    pub to_printer: Money,
    /// What one good copy costs.
    pub each: UnitPrice,
    /// Number of the answer.
    pub answer: u32,
    /// The printer's key.
    pub printer: String,
    /// The printer's name.
    pub name: String,
    /// Whether the answer holds for the book as it is.
    pub holds: bool,
    /// When what of it is paid, in the words of the answer; may be empty.
    pub payment: String,
    /// What is missing in it.
    pub missing: Vec<String>,
    /// The least and the most copies that the answer quotes.
    pub quoted: (u64, u64),
    /// Bounds of the total where this quantity was not quoted, by [`price::curve`].
    pub range: Option<(Money, Money)>,
}

impl RunCost {
    /// Whether more or fewer copies than were quoted are priced, so that it is to be asked for.
    pub const fn beyond(&self) -> bool {
        self.copies < self.quoted.0 || self.copies > self.quoted.1
    }
}

/// Puts all answers that stand side by side.
pub(super) fn view(desk: &Desk, at: &[u64]) -> Result<ComparisonView, DeskError> {
    let standing = desk.standing()?;
    let book = &standing.snapshot.book;
    let today = moment::today();
    let mut answers = answers::all(desk)?;
    answers.retain(AnswerView::stands);
    tell_apart(&mut answers);
    let at = if at.is_empty() {
        quantities(book, &answers)
    } else {
        at.to_vec()
    };
    let charges = charges(book);
    let all: Vec<(&Answer, Footing<'_>)> = answers
        .iter()
        .map(|view| (&view.answer, footing(book, &view.answer.printer, &charges)))
        .collect();
    let mut comparison = compare(&all, &at, today);
    comparison.currency = book.landing.currency;
    for (view, column) in answers.iter().zip(&mut comparison.columns) {
        column
            .to_check
            .extend(from_afar(book, &view.answer.printer));
    }
    let holding: Vec<usize> = (0..answers.len())
        .filter(|&place| answers[place].holds())
        .collect();
    if !holding.is_empty() && holding.len() < answers.len() {
        let some: Vec<(&Answer, Footing<'_>)> = holding.iter().map(|&place| all[place]).collect();
        let among = compare(&some, &at, today);
        comparison.ranges = among.ranges;
        comparison.dearer = among.dearer;
        for range in &mut comparison.ranges {
            range.answer = holding[range.answer];
            for lead in &mut range.leads {
                lead.over = lead.over.map(|over| holding[over]);
            }
        }
        for dearer in &mut comparison.dearer {
            dearer.answer = holding[dearer.answer];
            dearer.than = holding[dearer.than];
        }
    }
    Ok(ComparisonView {
        today,
        among_holding: !holding.is_empty(),
        answers,
        comparison,
    })
}

/// Names answers of a printer that has several by their numbers too.
fn tell_apart(answers: &mut [AnswerView]) {
    let names: Vec<String> = answers.iter().map(|view| view.name.clone()).collect();
    for view in answers {
        if names.iter().filter(|name| **name == view.name).count() > 1 {
            view.name = format!("{} (answer {})", view.name, view.number);
        }
    }
}

/// The cheapest answer for each run, among those that hold if there are any; among those of one printer
/// where that is named and has answered.
pub(super) fn run_costs(
    desk: &Desk,
    runs: &[u64],
    printer: Option<&str>,
) -> Result<Vec<Option<RunCost>>, DeskError> {
    let standing = desk.standing()?;
    let book = &standing.snapshot.book;
    let mut answers = answers::all(desk)?;
    answers.retain(AnswerView::stands);
    if let Some(printer) = printer
        && answers.iter().any(|view| view.answer.printer == printer)
    {
        answers.retain(|view| view.answer.printer == printer);
    }
    if answers.iter().any(AnswerView::holds) {
        answers.retain(AnswerView::holds);
    }
    let charges = charges(book);
    Ok(runs
        .iter()
        .map(|&copies| {
            let costs = answers
                .iter()
                .filter_map(|view| cost(book, view, copies, &charges));
            costs.min_by_key(|cost| cost.each.amount())
        })
        .collect())
}

/// What a run costs by one answer.
fn cost(book: &Book, view: &AnswerView, copies: u64, charges: &[&'static str]) -> Option<RunCost> {
    let footing = footing(book, &view.answer.printer, charges);
    let landed = landed(&view.answer, copies, &footing).ok()?;
    let quoted = || view.answer.prices.iter().map(|quoted| quoted.copies);
    let to_printer = landed
        .parts
        .iter()
        .filter(|part| matches!(part.kind, PartKind::Print | PartKind::OneOff))
        .try_fold(Money::zero(landed.total.currency()), |sum, part| {
            sum.plus(part.in_hand)
        })
        .ok()?;
    Some(RunCost {
        to_printer,
        copies,
        good: landed.good,
        total: landed.total,
        each: landed.each,
        answer: view.number,
        printer: view.answer.printer.clone(),
        name: view.name.clone(),
        holds: view.holds(),
        payment: view.answer.payment.clone(),
        missing: landed.missing,
        quoted: (quoted().min()?, quoted().max()?),
        range: landed.range,
    })
}

/// The quantities that the book asks for, or else those that were quoted.
fn quantities(book: &Book, answers: &[AnswerView]) -> Vec<u64> {
    let asked = book.ask.quantities();
    if !asked.is_empty() {
        return asked;
    }
    let mut quoted: Vec<u64> = answers
        .iter()
        .flat_map(|view| &view.answer.prices)
        .map(|quoted| quoted.copies)
        .collect();
    quoted.sort_unstable();
    quoted.dedup();
    quoted
}

/// What is to be checked with a printer overseas, or of whom nobody says where they are.
fn from_afar(book: &Book, printer: &str) -> Vec<String> {
    let Some(printer) = book.printers.iter().find(|known| known.key == printer) else {
        return Vec::new();
    };
    if printer.home {
        return vec![
            "At home: proofs come in days, and the law for a complaint is your own.".to_owned(),
        ];
    }
    let mut sentences = vec![
        "Overseas: ask which law holds, who pays for bad copies and for their way back, and see \
         advance copies before the rest is shipped."
            .to_owned(),
    ];
    let mut far = Vec::new();
    if !printer.zone.is_empty() {
        far.push(format!("clocks go by {}", printer.zone));
    }
    if !printer.language.is_empty() {
        far.push(format!("letters go in `{}`", printer.language));
    }
    if !far.is_empty() {
        sentences.push(format!(
            "There {}: count on a day for every question and its answer.",
            far.join(" and ")
        ));
    }
    sentences
}

/// What an answer of a printer is put on.
pub(super) fn footing<'b>(
    book: &'b Book,
    printer: &str,
    charges: &'b [&'static str],
) -> Footing<'b> {
    let known = book.printers.iter().find(|known| known.key == printer);
    Footing {
        landing: &book.landing,
        deliveries: &book.deliveries,
        home: known.is_some_and(|printer| printer.home),
        charges,
    }
}
