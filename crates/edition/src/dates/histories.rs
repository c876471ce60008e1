//! Many histories of one schedule: each draws every length, every further round, and counts the days
//! by the calendars. Lengths are drawn independently of each other; where one cause slows several
//! steps, the real spread is wider.

use std::sync::atomic::{AtomicU32, Ordering};

use jiff::civil::Date;
use rayon::prelude::*;

use super::DatesError;
use super::calendar::{Counted, HORIZON, days_after, days_between, whole_before};
use super::days::Days;
use super::schedule::{Happened, Schedule};
use super::spread::Drawn;
use crate::random::Stream;

/// Histories to a chunk: each chunk has its own stream of chance, so that the answer does not depend
/// on the number of cores.
const CHUNK: u32 = 4_000;
/// Histories for each day that is tried when the last day is looked for.
const TRIED: u32 = 20_000;

/// What is asked of the histories.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Asked {
    /// Today.
    pub today: Date,
    /// The day on which the first steps begin: files are sent.
    pub begin: Date,
    /// Where chance begins: the same seed gives the same answer.
    pub seed: u64,
    /// How many histories; 100,000 is plenty.
    pub histories: u32,
}

/// One step over all histories.
#[derive(Debug, Clone, PartialEq)]
pub struct StepOver {
    /// The day on which it begins.
    pub begins: Days,
    /// Its last day.
    pub ends: Days,
    /// In which share (0 to 1) of the histories the end waited for it.
    pub critical: f64,
    /// Its share in the spread of the last day (0 to 1; what is negative by chance is none).
    pub drives: f64,
    /// Further rounds that it took on average.
    pub rounds: f64,
}

/// All histories.
#[derive(Debug, Clone, PartialEq)]
pub struct Histories {
    /// The last day of the whole: books in hand.
    pub ends: Days,
    /// The steps, in the order of the schedule.
    pub steps: Vec<StepOver>,
    /// How many.
    pub count: u32,
}

/// The last day on which files can be sent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LastDay {
    /// On this day at the latest.
    On(Date),
    /// Even files that are sent today are in time only with this chance (0 to 1).
    TooLate(f64),
    /// They are sent: what comes first has begun or is done.
    Sent,
}

impl Histories {
    /// Runs the histories.
    ///
    /// # Errors
    /// What is said to have happened cannot have happened; longer than can be looked ahead.
    pub fn of(schedule: &Schedule, asked: Asked) -> Result<Self, DatesError> {
        Run::new(schedule, asked)?.histories()
    }

    /// The last day on which the first steps may begin so that all is over by a day with at least this
    /// surety (0 to 1). Every day that is tried meets the same chances.
    ///
    /// # Errors
    /// As [`Histories::of`]; a launch that lies before today.
    pub fn last_day(
        schedule: &Schedule,
        asked: Asked,
        launch: Date,
        surety: f64,
    ) -> Result<LastDay, DatesError> {
        Run::new(schedule, asked)?.last_day(launch, surety)
    }
}

/// A schedule made ready to be run many times.
pub(super) struct Run<'s> {
    asked: Asked,
    schedule: &'s Schedule,
    first: Date,
    today: f64,
    begin: f64,
    calendars: Vec<Counted>,
    ready: Vec<Ready>,
    ends: Vec<usize>,
}

struct Ready {
    takes: Drawn,
    again: Option<(f64, u32, Drawn)>,
    known: Known,
}

/// What has happened, in days from the first.
enum Known {
    Nothing,
    /// When it was begun, and the share of its lengths that it has outlasted.
    Begun(f64, f64),
    Done(f64),
}

struct History {
    start: Vec<f64>,
    finish: Vec<f64>,
    rounds: Vec<u32>,
    /// For each step, the one that it waited for the longest.
    waited: Vec<Option<usize>>,
    end: f64,
    last: usize,
}

impl History {
    fn new(steps: usize) -> Self {
        Self {
            start: vec![0.0; steps],
            finish: vec![0.0; steps],
            rounds: vec![0; steps],
            waited: vec![None; steps],
            end: 0.0,
            last: 0,
        }
    }
}

impl<'s> Run<'s> {
    /// Makes a schedule ready, which is worth some thousand histories: once for all that is asked of it.
    pub(super) fn new(schedule: &'s Schedule, asked: Asked) -> Result<Self, DatesError> {
        possible(schedule, asked.today)?;
        let begin = asked.begin.max(asked.today);
        let first = schedule
            .steps()
            .iter()
            .filter_map(|step| step.happened)
            .map(|happened| match happened {
                Happened::Begun(day) | Happened::Done(day) => day,
            })
            .fold(asked.today, Date::min);
        if days_between(first, begin) >= HORIZON as i64 {
            return Err(DatesError::TooLong);
        }
        let calendars: Vec<Counted> = schedule
            .calendars()
            .iter()
            .map(|calendar| Counted::of(calendar, first))
            .collect();
        let today = days_between(first, asked.today) as f64;
        let ready = schedule
            .steps()
            .par_iter()
            .enumerate()
            .map(|(place, step)| {
                let takes = Drawn::of(step.takes);
                let known = match step.happened {
                    None => Known::Nothing,
                    Some(Happened::Done(day)) => Known::Done(days_between(first, day) as f64 + 1.0),
                    Some(Happened::Begun(day)) => {
                        let begun = days_between(first, day) as f64;
                        let counted = &calendars[schedule.counts_by(place)];
                        Known::Begun(begun, takes.below(counted.between(begun, today)))
                    }
                };
                let again = step
                    .again
                    .map(|again| (again.chance, again.at_most, Drawn::of(again.takes)));
                Ready {
                    takes,
                    again,
                    known,
                }
            })
            .collect();
        Ok(Self {
            asked,
            schedule,
            first,
            today,
            begin: days_between(first, begin) as f64,
            calendars,
            ready,
            ends: schedule.ends(),
        })
    }

    /// As [`Histories::of`].
    pub(super) fn histories(&self) -> Result<Histories, DatesError> {
        let steps = self.schedule.steps().len();
        let count = self.asked.histories.max(1);
        let chunks: Vec<Tally> = (0..count.div_ceil(CHUNK))
            .into_par_iter()
            .map(|chunk| {
                let mut tally = Tally::none(self.first, steps);
                let mut stream = Stream::new(self.asked.seed, u64::from(chunk));
                let mut history = History::new(steps);
                for _ in 0..CHUNK.min(count - chunk * CHUNK) {
                    self.one(&mut stream, self.begin, &mut history);
                    tally.take(self, &history);
                }
                tally
            })
            .collect();
        let mut whole = Tally::none(self.first, steps);
        for chunk in &chunks {
            whole.add(chunk);
        }
        if whole.ends.reaches_the_horizon() {
            return Err(DatesError::TooLong);
        }
        Ok(whole.done(count))
    }

    /// As [`Histories::last_day`].
    pub(super) fn last_day(&self, launch: Date, surety: f64) -> Result<LastDay, DatesError> {
        if launch < self.asked.today {
            return Err(DatesError::LaunchPast {
                launch,
                today: self.asked.today,
            });
        }
        if self.schedule.is_begun() {
            return Ok(LastDay::Sent);
        }
        let tried = TRIED
            .min(self.asked.histories.next_multiple_of(CHUNK))
            .max(CHUNK);
        let enough = (surety * f64::from(tried)).ceil() as u32;
        let due = days_between(self.first, launch) as f64 + 1.0;
        let today = days_between(self.first, self.asked.today);
        let certain = [enough, tried.saturating_sub(enough) + 1];
        let fits = |begin: i64| self.in_time(begin as f64, due, tried, certain) >= enough;
        if !fits(today) {
            let at_once = self.in_time(today as f64, due, tried, [u32::MAX; 2]);
            return Ok(LastDay::TooLate(f64::from(at_once) / f64::from(tried)));
        }
        // Files sent later are never in hand earlier, so halving finds the last day.
        let (mut good, mut bad) = (today, days_between(self.first, launch) + 1);
        while bad - good > 1 {
            let middle = good + (bad - good) / 2;
            if fits(middle) {
                good = middle;
            } else {
                bad = middle;
            }
        }
        Ok(LastDay::On(days_after(self.first, good)))
    }

    /// How many of so many histories that begin at a moment are over in time, counted until so many are in
    /// time or so many are late: no more is needed to know on which side of these they are.
    fn in_time(&self, begin: f64, due: f64, tried: u32, until: [u32; 2]) -> u32 {
        let (early, late) = (AtomicU32::new(0), AtomicU32::new(0));
        (0..tried / CHUNK).into_par_iter().for_each(|chunk| {
            let mut stream = Stream::new(self.asked.seed, u64::from(chunk));
            let mut history = History::new(self.schedule.steps().len());
            for _ in 0..CHUNK {
                self.one(&mut stream, begin, &mut history);
                let (count, until) = if history.end <= due {
                    (&early, until[0])
                } else {
                    (&late, until[1])
                };
                if count.fetch_add(1, Ordering::Relaxed) + 1 >= until {
                    return;
                }
            }
        });
        early.into_inner()
    }

    /// One history whose first steps begin at a moment.
    fn one(&self, stream: &mut Stream, begin: f64, history: &mut History) {
        for &place in self.schedule.order() {
            let ready = &self.ready[place];
            let counted = &self.calendars[self.schedule.counts_by(place)];
            let (mut start, mut waited) = (None, None);
            for &before in self.schedule.waits_for(place) {
                if start.is_none_or(|start| history.finish[before] > start) {
                    start = Some(history.finish[before]);
                    waited = Some(before);
                }
            }
            let drawn = stream.unit();
            let (extra, rounds) = ready
                .again
                .as_ref()
                .map_or((0.0, 0), |again| more(again, stream));
            let mut start = start.unwrap_or(begin).max(self.today);
            let finish = match ready.known {
                Known::Nothing => {
                    let length = ready.takes.at(drawn) + extra;
                    if length > 0.0 {
                        start = counted.opens(start);
                    }
                    counted.after(start, length)
                }
                Known::Begun(begun, outlasted) => {
                    start = begun;
                    let length = ready.takes.at(outlasted + (1.0 - outlasted) * drawn) + extra;
                    counted.after(start, length).max(self.today)
                }
                Known::Done(done) => {
                    // Its last day is over at `done`: it began on that day at the latest.
                    start = start.min(done - 1.0);
                    done
                }
            };
            history.start[place] = start;
            history.finish[place] = finish;
            history.rounds[place] = rounds;
            history.waited[place] = waited;
        }
        let mut last = self.ends.first().copied().unwrap_or(0);
        for &place in &self.ends {
            if history.finish[place] > history.finish[last] {
                last = place;
            }
        }
        history.last = last;
        history.end = history.finish[last];
    }
}

/// Further rounds: what they take together, and how many they are.
fn more((chance, at_most, takes): &(f64, u32, Drawn), stream: &mut Stream) -> (f64, u32) {
    let (mut days, mut rounds) = (0.0, 0);
    while rounds < *at_most && stream.unit() < *chance {
        days += takes.at(stream.unit());
        rounds += 1;
    }
    (days, rounds)
}

/// What is said to have happened can have happened.
fn possible(schedule: &Schedule, today: Date) -> Result<(), DatesError> {
    let done = |place: usize| matches!(schedule.steps()[place].happened, Some(Happened::Done(_)));
    for (place, step) in schedule.steps().iter().enumerate() {
        let Some(happened) = step.happened else {
            continue;
        };
        let (Happened::Begun(day) | Happened::Done(day)) = happened;
        if day > today {
            return Err(DatesError::DoneLater {
                step: step.key.clone(),
                day,
                today,
            });
        }
        if days_between(day, today) > HORIZON as i64 / 2 {
            return Err(DatesError::TooLong);
        }
        if let Some(before) = schedule
            .waits_for(place)
            .iter()
            .find(|before| !done(**before))
        {
            return Err(DatesError::DoneTooEarly {
                step: step.key.clone(),
                after: schedule.steps()[*before].key.clone(),
            });
        }
    }
    Ok(())
}

/// What is kept of the histories.
struct Tally {
    ends: Days,
    begins_of: Vec<Days>,
    ends_of: Vec<Days>,
    critical: Vec<u32>,
    rounds: Vec<u64>,
    /// Sums over the lengths of each step and the end: of the length, and of its product with the end.
    lengths: Vec<f64>,
    products: Vec<f64>,
    end: f64,
    end_squared: f64,
}

impl Tally {
    fn none(first: Date, steps: usize) -> Self {
        Self {
            ends: Days::none(first),
            begins_of: vec![Days::none(first); steps],
            ends_of: vec![Days::none(first); steps],
            critical: vec![0; steps],
            rounds: vec![0; steps],
            lengths: vec![0.0; steps],
            products: vec![0.0; steps],
            end: 0.0,
            end_squared: 0.0,
        }
    }

    fn take(&mut self, run: &Run<'_>, history: &History) {
        for place in 0..history.start.len() {
            let (start, finish) = (history.start[place], history.finish[place]);
            self.begins_of[place].count(start as usize);
            self.ends_of[place].count(whole_before(finish));
            self.rounds[place] += u64::from(history.rounds[place]);
            self.lengths[place] += finish - start;
            self.products[place] += (finish - start) * history.end;
        }
        self.ends.count(whole_before(history.end));
        self.end += history.end;
        self.end_squared += history.end * history.end;
        let mut at = Some(history.last);
        while let Some(place) = at {
            if !matches!(run.ready[place].known, Known::Done(_)) {
                self.critical[place] += 1;
            }
            at = history.waited[place];
        }
    }

    fn add(&mut self, other: &Self) {
        self.ends.add(&other.ends);
        for place in 0..self.critical.len() {
            self.begins_of[place].add(&other.begins_of[place]);
            self.ends_of[place].add(&other.ends_of[place]);
            self.critical[place] += other.critical[place];
            self.rounds[place] += other.rounds[place];
            self.lengths[place] += other.lengths[place];
            self.products[place] += other.products[place];
        }
        self.end += other.end;
        self.end_squared += other.end_squared;
    }

    fn done(self, count: u32) -> Histories {
        let many = f64::from(count);
        let mean = self.end / many;
        let variance = self.end_squared / many - mean * mean;
        let over = self.begins_of.into_iter().zip(self.ends_of).enumerate();
        let steps = over
            .map(|(place, (begins, ends))| {
                let together = self.products[place] / many - self.lengths[place] / many * mean;
                StepOver {
                    begins,
                    ends,
                    critical: f64::from(self.critical[place]) / many,
                    drives: if variance > 1e-9 {
                        (together / variance).max(0.0)
                    } else {
                        0.0
                    },
                    rounds: self.rounds[place] as f64 / many,
                }
            })
            .collect();
        Histories {
            ends: self.ends,
            steps,
            count,
        }
    }
}
