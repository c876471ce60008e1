//! By when the books can be here: the calendar of the book as it is, with what has happened.

mod stage;

use book::{Book, PaymentWish};
use edition::dates::icalendar::{self, Entry};
use edition::dates::{DatesError, Facts, Foretold, Happened};
use jiff::civil::Date;
use measure::Money;
use price::compare::{Instalment, Moment};

pub(crate) use stage::stage;

use crate::record::{StepEvent, StepRow};
use crate::{Desk, DeskError, RunCost, moment};

/// Histories that are run.
const HISTORIES: u32 = 100_000;
/// Where chance begins: the same for every look, so that only decisions move the dates.
const SEED: u64 = 20_261_125;
/// Copies, where the book does not say how many are wished for; our assumption.
const COPIES: u64 = 1_000;

/// The dates of the book.
#[derive(Debug, Clone)]
pub struct DatesView {
    /// Today.
    pub today: Date,
    /// How many copies are made.
    pub copies: u64,
    /// Whether the book says so; a usual number was taken, otherwise.
    pub copies_said: bool,
    /// What the print run costs by the cheapest answer, if one is known; what goes to the printer of it
    /// falls due.
    pub cost: Option<RunCost>,
    /// Whether that is the answer of the printer whom the book names, and not the cheapest.
    pub named: bool,
    /// What is foretold.
    pub foretold: Foretold,
    /// What was said to have happened, oldest first, taken back or not.
    pub told: Vec<Told>,
}

/// What was said to have happened to a step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    /// When it was said, in UTC.
    pub at: String,
    /// Key of the step.
    pub step: String,
    /// What happened; `None` takes back what was said before.
    pub happened: Option<Happened>,
    /// A note; may be empty.
    pub note: String,
}

/// What saying that a step has happened did to the dates.
#[derive(Debug, Clone)]
pub struct StepTold {
    /// The dates before, if they could be foretold.
    pub before: Option<DatesView>,
    /// The dates now.
    pub after: DatesView,
}

impl Desk {
    /// Foretells the dates. Under half a second.
    ///
    /// # Errors
    /// As [`Desk::snapshot`]; a calendar that cannot be, in the words of [`edition::dates::DatesError`].
    pub fn dates(&self) -> Result<DatesView, DeskError> {
        let standing = self.standing()?;
        let book = &standing.snapshot.book;
        let told = self.told()?;
        let copies = copies(book);
        let cost = self.priced(book, copies)?;
        let sum = cost.as_ref().map(|cost| cost.to_printer);
        let foretold =
            foretell(book, &told, copies, cost.as_ref(), sum, HISTORIES).map_err(wrong)?;
        Ok(DatesView {
            today: moment::today(),
            copies,
            copies_said: book.ask.copies.is_some(),
            named: cost.as_ref().map(|cost| &cost.printer) == book.dates.printer.as_ref(),
            cost,
            foretold,
            told,
        })
    }

    /// Says that a step was begun or done on a day; `None` takes back what was said. Every later look
    /// reckons with it.
    ///
    /// # Errors
    /// No such step; a day that cannot be. Nothing is kept then.
    pub fn step_happened(
        &self,
        step: &str,
        happened: Option<Happened>,
        note: &str,
    ) -> Result<StepTold, DeskError> {
        let refused =
            |why: String, hint: String| DeskError::new(format!("step `{step}`"), why, hint);
        // A calendar that cannot be is mended by taking back, so that it is in nobody's way here.
        let before = self.dates().ok();
        let mut told = self.told()?;
        let (event, day) = match happened {
            Some(Happened::Begun(day)) => (StepEvent::Begun, day.to_string()),
            Some(Happened::Done(day)) => (StepEvent::Done, day.to_string()),
            None => (StepEvent::Open, String::new()),
        };
        if happened.is_none() {
            if !standing_of(&told).iter().any(|(known, _)| known == step) {
                return Err(refused(
                    "nothing is said to have happened to it".to_owned(),
                    "`foredge dates` lists the steps and what has happened.".to_owned(),
                ));
            }
        } else {
            // Tried before it is kept, so that nothing impossible enters the record.
            told.push(Told {
                at: String::new(),
                step: step.to_owned(),
                happened,
                note: String::new(),
            });
            let standing = self.standing()?;
            let book = &standing.snapshot.book;
            let tried = foretell(book, &told, copies(book), None, None, 1)
                .map_err(|error| refused(error.to_string(), "Nothing was kept.".to_owned()))?;
            if tried.schedule.place(step).is_none() {
                let steps = tried.schedule.steps().iter();
                let steps: Vec<&str> = steps.map(|step| step.key.as_str()).collect();
                return Err(refused(
                    "the calendar has no such step".to_owned(),
                    format!("There are {}.", steps.join(", ")),
                ));
            }
        }
        self.with_record(|record| record.add_step_event(step, event, &day, note))?;
        Ok(StepTold {
            before,
            after: self.dates()?,
        })
    }

    /// The dates as an iCalendar file: each step on its middle dates, and when files must be sent.
    ///
    /// # Errors
    /// As [`Desk::dates`].
    pub fn calendar_file(&self) -> Result<String, DeskError> {
        let view = self.dates()?;
        let standing = self.standing()?;
        let title = &standing.snapshot.book.about.title;
        let version = u32::try_from(view.told.len()).unwrap_or(u32::MAX);
        Ok(icalendar::file(
            crate::PROGRAM,
            &self
                .root()
                .file_name()
                .unwrap_or_default()
                .to_string_lossy(),
            title,
            moment::utc(),
            version,
            &entries(&view),
        ))
    }

    /// What a run costs with the printer whose calendar it is: the one that the book names, or else the
    /// cheapest.
    pub(crate) fn priced(&self, book: &Book, copies: u64) -> Result<Option<RunCost>, DeskError> {
        let costs = self.run_costs(&[copies], book.dates.printer.as_deref())?;
        Ok(costs.into_iter().next().flatten())
    }

    pub(crate) fn told(&self) -> Result<Vec<Told>, DeskError> {
        let rows = self.with_record(|record| record.step_events())?;
        Ok(rows.into_iter().filter_map(told_of).collect())
    }
}

/// How many copies are made.
pub(crate) fn copies(book: &Book) -> u64 {
    book.ask.copies.unwrap_or(COPIES)
}

/// A calendar that cannot be, in words.
pub(crate) fn wrong(error: DatesError) -> DeskError {
    DeskError::new(
        "book.toml",
        error.to_string(),
        "Mend it in `[dates]`, `[[step]]`, `[[closure]]` or `[[payment]]`, or take back what was said to \
         have happened: foredge dates open STEP",
    )
}

/// Foretells the dates of so many copies, made and paid as whoever they are priced with says; `sum` is
/// what goes to the printer.
pub(crate) fn foretell(
    book: &Book,
    told: &[Told],
    copies: u64,
    by: Option<&RunCost>,
    sum: Option<Money>,
    histories: u32,
) -> Result<Foretold, DatesError> {
    let payments = by.map_or_else(Vec::new, |by| instalments(&by.payment));
    let facts = Facts {
        today: moment::today(),
        copies,
        printer: by.map(|by| by.printer.as_str()),
        cost: sum,
        payments: &payments,
        happened: &standing_of(told),
        seed: SEED,
        histories,
    };
    Foretold::of(book, &facts)
}

/// What falls due with which step by the words of an answer; nothing where they cannot be read.
fn instalments(words: &str) -> Vec<PaymentWish> {
    let parts = price::compare::instalments(words).unwrap_or_default();
    let wish = |part: Instalment| {
        let (when, step) = match part.moment {
            Moment::Order => ("With the order", "files"),
            Moment::Approval => ("With the proofs approved", "examined"),
            Moment::Dispatch => ("Before dispatch", "packed"),
            Moment::InHand => ("With the books in hand", "in-hand"),
        };
        let after = match part.days {
            0 => String::new(),
            days => format!(", {days} days after"),
        };
        PaymentWish {
            name: format!("{when}{after}"),
            share: part.share,
            step: step.to_owned(),
            at_beginning: part.moment == Moment::Order,
            days: part.days,
            line: 0,
        }
    };
    parts.into_iter().map(wish).collect()
}

fn told_of(row: StepRow) -> Option<Told> {
    let happened = match row.event {
        StepEvent::Begun => Some(Happened::Begun(row.day.parse().ok()?)),
        StepEvent::Done => Some(Happened::Done(row.day.parse().ok()?)),
        StepEvent::Open => None,
    };
    Some(Told {
        at: row.at,
        step: row.step,
        happened,
        note: row.note,
    })
}

/// What holds of all that was said: the last of each step.
fn standing_of(told: &[Told]) -> Vec<(String, Happened)> {
    let mut standing: Vec<(String, Happened)> = Vec::new();
    for told in told {
        standing.retain(|(step, _)| *step != told.step);
        if let Some(happened) = told.happened {
            standing.push((told.step.clone(), happened));
        }
    }
    standing
}

fn entries(view: &DatesView) -> Vec<Entry> {
    let foretold = &view.foretold;
    let steps = foretold
        .schedule
        .steps()
        .iter()
        .zip(&foretold.histories.steps);
    let mut entries: Vec<Entry> = steps
        .map(|(step, over)| {
            let done = matches!(step.happened, Some(Happened::Done(_)));
            let description = if done {
                "Done.".to_owned()
            } else {
                format!(
                    "In half of all histories done by {}, in nineteen of twenty by {}. An estimate.",
                    over.ends.by(0.5),
                    over.ends.by(0.95)
                )
            };
            Entry {
                key: step.key.clone(),
                summary: step.name.clone(),
                description,
                from: over.begins.by(0.5),
                to: over.ends.by(0.5),
            }
        })
        .collect();
    if let Some(launch) = &foretold.launch {
        let whole_day = |key: &str, summary: String, day: Date| Entry {
            key: key.to_owned(),
            summary,
            description: String::new(),
            from: day,
            to: day,
        };
        entries.push(whole_day("launch", "Launch".to_owned(), launch.day));
        if let edition::dates::LastDay::On(day) = launch.last {
            let summary = format!(
                "Last day to send files ({:.0} % sure of the launch)",
                launch.surety * 100.0
            );
            entries.push(whole_day("last-day", summary, day));
        }
    }
    for (index, due) in foretold.due.iter().enumerate() {
        entries.push(Entry {
            key: format!("due-{}", index + 1),
            summary: format!("{}: {}", due.name, due.sum),
            description: format!("Between {} and {}. An estimate.", due.early, due.late),
            from: due.middle,
            to: due.middle,
        });
    }
    entries
}
