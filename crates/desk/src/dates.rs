//! By when the books can be here: the calendar of the book as it is, with what has happened.

use edition::dates::icalendar::{self, Entry};
use edition::dates::{Facts, Foretold, Happened};
use jiff::civil::Date;
use measure::Money;

use crate::record::{StepEvent, StepRow};
use crate::{Desk, DeskError, moment};

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
    /// What the print run costs and by whose answer, if one is known.
    pub cost: Option<(Money, String)>,
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

impl Desk {
    /// Foretells the dates. Under half a second.
    ///
    /// # Errors
    /// As [`Desk::snapshot`]; a calendar that cannot be, in the words of [`edition::dates::DatesError`].
    pub fn dates(&self) -> Result<DatesView, DeskError> {
        self.dates_with(None, None)
    }

    /// The same for another number of copies and another cost than the book's own.
    ///
    /// # Errors
    /// As [`Desk::dates`].
    pub fn dates_with(
        &self,
        copies: Option<u64>,
        cost: Option<(Money, String)>,
    ) -> Result<DatesView, DeskError> {
        let standing = self.standing()?;
        let book = &standing.snapshot.book;
        let today = moment::today();
        let told = self.told()?;
        let said = copies.or(book.ask.copies);
        let copies = said.unwrap_or(COPIES);
        let facts = Facts {
            today,
            copies,
            cost: cost.as_ref().map(|(cost, _)| *cost),
            happened: &standing_of(&told),
            seed: SEED,
            histories: HISTORIES,
        };
        let foretold = Foretold::of(book, &facts).map_err(|error| {
            DeskError::new(
                "book.toml",
                error.to_string(),
                "Mend it in `[dates]`, `[[step]]`, `[[closure]]` or `[[payment]]`, or take back \
                 what was said to have happened: foredge dates open STEP",
            )
        })?;
        Ok(DatesView {
            today,
            copies,
            copies_said: said.is_some(),
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
    ) -> Result<DatesView, DeskError> {
        let view = self.dates()?;
        let schedule = &view.foretold.schedule;
        if schedule.place(step).is_none() {
            let steps: Vec<&str> = schedule
                .steps()
                .iter()
                .map(|step| step.key.as_str())
                .collect();
            return Err(DeskError::new(
                format!("step `{step}`"),
                "the calendar has no such step",
                format!("There are {}.", steps.join(", ")),
            ));
        }
        let (event, day) = match happened {
            Some(Happened::Begun(day)) => (StepEvent::Begun, day.to_string()),
            Some(Happened::Done(day)) => (StepEvent::Done, day.to_string()),
            None => (StepEvent::Open, String::new()),
        };
        // Tried before it is kept, so that nothing impossible enters the record.
        let mut told = view.told;
        told.push(Told {
            at: String::new(),
            step: step.to_owned(),
            happened,
            note: String::new(),
        });
        let standing = self.standing()?;
        let facts = Facts {
            today: view.today,
            copies: view.copies,
            cost: None,
            happened: &standing_of(&told),
            seed: SEED,
            histories: 1,
        };
        Foretold::of(&standing.snapshot.book, &facts).map_err(|error| {
            DeskError::new(
                format!("step `{step}`"),
                error.to_string(),
                "Nothing was kept.",
            )
        })?;
        self.with_record(|record| record.add_step_event(step, event, &day, note))?;
        self.dates()
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

    fn told(&self) -> Result<Vec<Told>, DeskError> {
        let rows = self.with_record(|record| record.step_events())?;
        Ok(rows.into_iter().filter_map(told_of).collect())
    }
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
