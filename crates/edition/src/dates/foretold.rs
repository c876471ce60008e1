//! The dates of one book: its usual steps, changed as the book file says, and what has happened.

use book::{Book, PaymentWish, StepWish, Takes, Whose};
use jiff::civil::Date;
use measure::{Decimal, Money};

use super::DatesError;
use super::calendar::{Closure, WorkCalendar};
use super::histories::{Asked, Histories, LastDay, Run};
use super::payment::{At, Due, Payment};
use super::pert::Pert;
use super::schedule::{Again, Happened, Schedule, Step};
use super::spread::Spread;
use super::usual::{self, Making};

/// Rounds at most, where the book file gives a chance of them.
const ROUNDS: u32 = 3;

/// What must be known beside the book.
#[derive(Debug, Clone)]
pub struct Facts<'f> {
    /// Today.
    pub today: Date,
    /// How many copies are made.
    pub copies: u64,
    /// Key of the printer whose calendar it is, where the book does not name one; its first, otherwise.
    pub printer: Option<&'f str>,
    /// What the print run costs, if that is known.
    pub cost: Option<Money>,
    /// When what of it is paid by the printer's own words, where the book names no payments; empty:
    /// halves.
    pub payments: &'f [PaymentWish],
    /// What has happened, by the key of the step.
    pub happened: &'f [(String, Happened)],
    /// Where chance begins.
    pub seed: u64,
    /// How many histories.
    pub histories: u32,
}

/// What the length of a step rests on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Rests {
    /// Common practice, without a source.
    Usual,
    /// The book file says so, and who said it.
    Said(String),
}

/// The dates of a book.
#[derive(Debug, Clone)]
pub struct Foretold {
    /// The steps in order.
    pub schedule: Schedule,
    /// What each step's length rests on, in the order of the schedule.
    pub rests: Vec<Rests>,
    /// The day on which files are sent.
    pub send: Date,
    /// All histories.
    pub histories: Histories,
    /// The network by expected lengths alone.
    pub pert: Pert,
    /// The wished launch: the day, the surety that is wished for (0 to 1), the chance of being in time
    /// with files sent on [`Foretold::send`], and the last day to send them.
    pub launch: Option<Launch>,
    /// Sums that fall due, in the order in which they do; none without a price.
    pub due: Vec<Due>,
}

/// A wished launch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Launch {
    /// The day by which the books are wished to be in hand.
    pub day: Date,
    /// The surety wished for (0 to 1).
    pub surety: f64,
    /// The chance (0 to 1) that they are, if files are sent on the day that the book says.
    pub chance: f64,
    /// The last day to send files for that surety.
    pub last: LastDay,
}

impl Foretold {
    /// Foretells the dates.
    ///
    /// # Errors
    /// See [`DatesError`].
    pub fn of(book: &Book, facts: &Facts<'_>) -> Result<Self, DatesError> {
        let wishes = &book.dates;
        let (schedule, rests) = schedule(book, facts)?;
        let send = wishes.send.unwrap_or(facts.today).max(facts.today);
        let asked = Asked {
            today: facts.today,
            begin: send,
            seed: facts.seed,
            histories: facts.histories,
        };
        let run = Run::new(&schedule, asked)?;
        let histories = run.histories()?;
        let launch = match wishes.launch {
            Some(day) => {
                let usual = book::DatesWishes::usual_surety();
                let surety = wishes.surety.unwrap_or(usual).approximate();
                Some(Launch {
                    day,
                    surety,
                    chance: histories.ends.share_by(day),
                    last: run.last_day(day, surety)?,
                })
            }
            None => None,
        };
        let mut due = Vec::new();
        for payment in payments(book, facts, &schedule) {
            due.push(payment.due(&schedule, &histories)?);
        }
        due.sort_by_key(|due| due.middle);
        Ok(Self {
            pert: Pert::of(&schedule),
            schedule,
            rests,
            send,
            histories,
            launch,
            due,
        })
    }
}

fn schedule(book: &Book, facts: &Facts<'_>) -> Result<(Schedule, Vec<Rests>), DatesError> {
    let wishes = &book.dates;
    let printer = match wishes.printer.as_deref().or(facts.printer) {
        Some(key) => book.printers.iter().find(|printer| printer.key == key),
        None => book.printers.first(),
    };
    let mut steps = usual::steps(Making::of(book, printer, facts.copies));
    let mut rests = vec![Rests::Usual; steps.len()];
    for wish in &wishes.steps {
        change(&mut steps, &mut rests, wish)?;
    }
    for (key, happened) in facts.happened {
        if let Some(step) = steps.iter_mut().find(|step| step.key == *key) {
            step.happened = Some(*happened);
        }
    }
    Ok((Schedule::new(steps, calendars(book)?)?, rests))
}

/// Changes a usual step, leaves it out, or adds one more.
fn change(
    steps: &mut Vec<Step>,
    rests: &mut Vec<Rests>,
    wish: &StepWish,
) -> Result<(), DatesError> {
    let known = steps.iter().position(|step| step.key == wish.key);
    if wish.skip {
        if let Some(place) = known {
            let gone = steps.remove(place);
            rests.remove(place);
            // Whoever waited for it waits for what it waited for.
            for step in steps.iter_mut() {
                if step.after.contains(&gone.key) {
                    step.after.retain(|key| *key != gone.key);
                    for key in &gone.after {
                        if !step.after.contains(key) {
                            step.after.push(key.clone());
                        }
                    }
                }
            }
        }
        return Ok(());
    }
    let place = known.unwrap_or_else(|| {
        steps.push(Step {
            key: wish.key.clone(),
            name: wish.key.clone(),
            after: Vec::new(),
            calendar: Whose::Printer.word().to_owned(),
            takes: Spread::Fixed(0.0),
            again: None,
            happened: None,
        });
        rests.push(Rests::Usual);
        steps.len() - 1
    });
    if known.is_none() && wish.takes.is_none() {
        return Err(DatesError::NoLength {
            step: wish.key.clone(),
        });
    }
    let step = &mut steps[place];
    if let Some(name) = &wish.name {
        step.name.clone_from(name);
    }
    if let Some(after) = &wish.after {
        step.after.clone_from(after);
    }
    if let Some(whose) = wish.whose {
        whose.word().clone_into(&mut step.calendar);
    }
    if let Some(takes) = wish.takes {
        step.takes = spread(takes);
        rests[place] = Rests::Said(wish.by.clone());
    }
    match (wish.again, wish.again_takes) {
        (Some(chance), _) if chance == Decimal::ZERO => step.again = None,
        (None, None) => {}
        (chance, takes) => {
            let usual = step.again;
            let takes = takes.map(spread).or(usual.map(|again| again.takes));
            step.again = Some(Again {
                chance: chance.map_or_else(
                    || usual.map_or(1.0, |again| again.chance),
                    Decimal::approximate,
                ),
                takes: takes.unwrap_or(step.takes),
                at_most: ROUNDS,
            });
        }
    }
    for before in &wish.before {
        let waiting = steps.iter_mut().find(|step| step.key == *before);
        let waiting = waiting.ok_or_else(|| DatesError::UnknownStep {
            step: wish.key.clone(),
            after: before.clone(),
        })?;
        if !waiting.after.contains(&wish.key) {
            waiting.after.push(wish.key.clone());
        }
    }
    Ok(())
}

fn spread(takes: Takes) -> Spread {
    match takes {
        Takes::Days(days) => Spread::Fixed(days),
        Takes::Around(median, p95) => Spread::Lognormal { median, p95 },
        Takes::Between(least, likely, most) => Spread::ThreePoint {
            least,
            likely,
            most,
        },
    }
}

fn calendars(book: &Book) -> Result<Vec<WorkCalendar>, DatesError> {
    Whose::ALL
        .into_iter()
        .map(|whose| {
            let said = book.dates.days_off.iter().find(|off| off.whose == whose);
            let off = said.map_or(whose.usual_days_off(), |off| &off.days);
            let calendar = WorkCalendar::without(whose.word(), off)?;
            let closures = book.dates.closures.iter();
            closures.filter(|closure| closure.whose == whose).try_fold(
                calendar,
                |calendar, closure| {
                    calendar.closed(Closure {
                        name: closure.name.clone(),
                        from: closure.from,
                        to: closure.to,
                    })
                },
            )
        })
        .collect()
}

/// Payments of the book file, or else by the printer's words, or else half with the order and half
/// before dispatch (common practice, no source). The parts sum to the price.
fn payments(book: &Book, facts: &Facts<'_>, schedule: &Schedule) -> Vec<Payment> {
    let Some(cost) = facts.cost else {
        return Vec::new();
    };
    let mut wishes = book.dates.payments.as_slice();
    // A calendar without the steps that the printer's words mean is one of its own.
    let has = |wish: &PaymentWish| schedule.place(&wish.step).is_some();
    if wishes.is_empty() && facts.payments.iter().all(has) {
        wishes = facts.payments;
    }
    if wishes.is_empty() {
        let halves = cost.shared(&[1, 1]);
        let half = |name: &str, step: &str, at, sum| Payment {
            name: name.to_owned(),
            step: step.to_owned(),
            at,
            days: 0,
            sum,
        };
        return vec![
            half("Half with the order", "files", At::Beginning, halves[0]),
            half("Half before dispatch", "packed", At::End, halves[1]),
        ];
    }
    let weights: Vec<u64> = wishes
        .iter()
        .map(|wish| u64::try_from(wish.share.billionths()).unwrap_or(0))
        .collect();
    let payments = wishes.iter().zip(cost.shared(&weights));
    payments
        .map(|(wish, sum)| Payment {
            name: wish.name.clone(),
            step: wish.step.clone(),
            at: if wish.at_beginning {
                At::Beginning
            } else {
                At::End
            },
            days: wish.days,
            sum,
        })
        .collect()
}
