//! The steps from files to books in hand, and in which order they can be done.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;

use super::DatesError;
use super::calendar::WorkCalendar;
use super::spread::Spread;

/// Most steps of one calendar; our assumption.
const MOST_STEPS: usize = 500;
/// Most times that a step is done again; our assumption.
const MOST_AGAIN: u32 = 12;

/// A step that may have to be done again, such as a proof round.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Again {
    /// Chance (0 to 1) that one more round is needed, each time.
    pub chance: f64,
    /// What such a round takes, in days of the step's calendar.
    pub takes: Spread,
    /// Rounds at most; after these it is settled.
    pub at_most: u32,
}

/// What has really happened.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Happened {
    /// It was begun on this day and is under way.
    Begun(Date),
    /// This was its last day.
    Done(Date),
}

/// One step.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Its key, by which others wait for it.
    pub key: String,
    /// What it is, in words.
    pub name: String,
    /// Keys of the steps that must be done before.
    pub after: Vec<String>,
    /// Name of the calendar whose days it takes.
    pub calendar: String,
    /// How long it takes.
    pub takes: Spread,
    /// Whether it may have to be done again.
    pub again: Option<Again>,
    /// What has really happened.
    pub happened: Option<Happened>,
}

/// Steps and calendars that have been found sound: an order exists, and every name is known.
#[derive(Debug, Clone)]
pub struct Schedule {
    steps: Vec<Step>,
    calendars: Vec<WorkCalendar>,
    /// For each step, the places of those that it waits for.
    waits_for: Vec<Vec<usize>>,
    /// For each step, the place of its calendar.
    counts_by: Vec<usize>,
    /// Places of the steps, each after all that it waits for.
    order: Vec<usize>,
}

impl Schedule {
    /// Puts steps in order.
    ///
    /// # Errors
    /// No steps or far too many, a key twice, a step or calendar that nobody knows, a circle (named),
    /// a spread or a chance that cannot be.
    pub fn new(steps: Vec<Step>, calendars: Vec<WorkCalendar>) -> Result<Self, DatesError> {
        if steps.is_empty() || steps.len() > MOST_STEPS {
            return Err(DatesError::Count {
                steps: steps.len(),
                most: MOST_STEPS,
            });
        }
        let mut places = BTreeMap::new();
        for (place, step) in steps.iter().enumerate() {
            if places.insert(step.key.as_str(), place).is_some() {
                return Err(DatesError::Twice {
                    key: step.key.clone(),
                });
            }
            sound(step)?;
        }
        let mut waits_for = Vec::with_capacity(steps.len());
        let mut counts_by = Vec::with_capacity(steps.len());
        for step in &steps {
            let known = |key: &String| {
                places
                    .get(key.as_str())
                    .copied()
                    .ok_or_else(|| DatesError::UnknownStep {
                        step: step.key.clone(),
                        after: key.clone(),
                    })
            };
            waits_for.push(
                step.after
                    .iter()
                    .map(known)
                    .collect::<Result<Vec<_>, _>>()?,
            );
            let calendar = calendars
                .iter()
                .position(|calendar| calendar.name() == step.calendar);
            counts_by.push(calendar.ok_or_else(|| DatesError::UnknownCalendar {
                step: step.key.clone(),
                calendar: step.calendar.clone(),
            })?);
        }
        let order = ordered(&waits_for).map_err(|circle| DatesError::Circle {
            steps: circle
                .into_iter()
                .map(|place| steps[place].key.clone())
                .collect(),
        })?;
        Ok(Self {
            steps,
            calendars,
            waits_for,
            counts_by,
            order,
        })
    }

    /// The steps, as they were given.
    pub fn steps(&self) -> &[Step] {
        &self.steps
    }

    /// The calendars.
    pub fn calendars(&self) -> &[WorkCalendar] {
        &self.calendars
    }

    /// Whether the files were sent: their step has begun or is done. In a calendar without one, all that
    /// waits for nothing has.
    pub fn is_begun(&self) -> bool {
        if let Some(files) = self.place("files") {
            return self.steps[files].happened.is_some();
        }
        let mut first = self.steps.iter().filter(|step| step.after.is_empty());
        !self.steps.is_empty() && first.all(|step| step.happened.is_some())
    }

    /// The place of a step.
    pub fn place(&self, key: &str) -> Option<usize> {
        self.steps.iter().position(|step| step.key == key)
    }

    pub(super) fn waits_for(&self, place: usize) -> &[usize] {
        &self.waits_for[place]
    }

    pub(super) fn counts_by(&self, place: usize) -> usize {
        self.counts_by[place]
    }

    pub(super) fn order(&self) -> &[usize] {
        &self.order
    }

    /// Places of the steps that nothing waits for.
    pub(super) fn ends(&self) -> Vec<usize> {
        let awaited: BTreeSet<usize> = self.waits_for.iter().flatten().copied().collect();
        (0..self.steps.len())
            .filter(|place| !awaited.contains(place))
            .collect()
    }
}

fn sound(step: &Step) -> Result<(), DatesError> {
    step.takes.checked(&step.key)?;
    let Some(again) = step.again else {
        return Ok(());
    };
    again.takes.checked(&step.key)?;
    if !(0.0..=1.0).contains(&again.chance) {
        return Err(DatesError::Chance {
            step: step.key.clone(),
            found: again.chance,
        });
    }
    if again.at_most == 0 || again.at_most > MOST_AGAIN {
        return Err(DatesError::Rounds {
            step: step.key.clone(),
            found: again.at_most,
            most: MOST_AGAIN,
        });
    }
    Ok(())
}

/// An order in which each comes after those that it waits for, the given order kept where it may be;
/// else the places of one circle, in the order in which they wait.
fn ordered(waits_for: &[Vec<usize>]) -> Result<Vec<usize>, Vec<usize>> {
    let mut done = vec![false; waits_for.len()];
    let mut order = Vec::with_capacity(waits_for.len());
    while order.len() < waits_for.len() {
        let ready = (0..waits_for.len())
            .find(|place| !done[*place] && waits_for[*place].iter().all(|before| done[*before]));
        match ready {
            Some(place) => {
                done[place] = true;
                order.push(place);
            }
            None => return Err(circle(waits_for, &done)),
        }
    }
    Ok(order)
}

/// Walks back from a step that cannot be ordered until a step comes again. The circle is told from the
/// step that was given first.
fn circle(waits_for: &[Vec<usize>], done: &[bool]) -> Vec<usize> {
    let mut path: Vec<usize> = Vec::new();
    let mut at = done.iter().position(|done| !done).unwrap_or(0);
    loop {
        if let Some(first) = path.iter().position(|place| *place == at) {
            path.drain(..first);
            path.reverse();
            let least = (0..path.len()).min_by_key(|place| path[*place]);
            path.rotate_left(least.unwrap_or(0));
            return path;
        }
        path.push(at);
        match waits_for[at].iter().find(|before| !done[**before]) {
            Some(before) => at = *before,
            None => return path,
        }
    }
}
