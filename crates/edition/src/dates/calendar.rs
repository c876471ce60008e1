//! Days on which somebody works.

use jiff::Span;
use jiff::civil::{Date, Weekday};

use super::DatesError;

/// Longest closure that is taken for one, in days; our assumption.
const LONGEST_CLOSURE: i64 = 120;
/// Days that are looked ahead from the first one: six years.
pub(super) const HORIZON: usize = 6 * 366;

/// Days on which nobody works, both ends included.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Closure {
    /// What it is: `summer holidays`.
    pub name: String,
    /// First day.
    pub from: Date,
    /// Last day.
    pub to: Date,
}

/// Whose days count: a printer's, a carrier's, the artist's.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WorkCalendar {
    name: String,
    /// Monday first.
    off: [bool; 7],
    closures: Vec<Closure>,
}

impl WorkCalendar {
    /// Every day counts: ships sail on Sundays.
    pub fn every_day(name: impl Into<String>) -> Self {
        Self {
            name: name.into(),
            off: [false; 7],
            closures: Vec::new(),
        }
    }

    /// Monday to Friday.
    pub fn weekdays(name: impl Into<String>) -> Self {
        Self::without(name, &[Weekday::Saturday, Weekday::Sunday])
            .expect("five days of the week remain")
    }

    /// All days but some of the week.
    ///
    /// # Errors
    /// No day remains.
    pub fn without(name: impl Into<String>, off: &[Weekday]) -> Result<Self, DatesError> {
        let mut calendar = Self::every_day(name);
        for day in off {
            calendar.off[place(*day)] = true;
        }
        if calendar.off == [true; 7] {
            return Err(DatesError::NeverWorks {
                calendar: calendar.name,
            });
        }
        Ok(calendar)
    }

    /// With a closure more.
    ///
    /// # Errors
    /// It ends before it begins, or never seems to end.
    pub fn closed(mut self, closure: Closure) -> Result<Self, DatesError> {
        let days = days_between(closure.from, closure.to) + 1;
        if days < 1 {
            return Err(DatesError::ClosureBackwards {
                name: closure.name,
                from: closure.from,
                to: closure.to,
            });
        }
        if days > LONGEST_CLOSURE {
            return Err(DatesError::ClosureEndless {
                name: closure.name,
                days,
                most: LONGEST_CLOSURE,
            });
        }
        self.closures.push(closure);
        Ok(self)
    }

    /// Its name.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Its closures, as they were named.
    pub fn closures(&self) -> &[Closure] {
        &self.closures
    }

    /// Whether anybody works on a day.
    pub fn works(&self, day: Date) -> bool {
        !self.off[place(day.weekday())]
            && !self
                .closures
                .iter()
                .any(|closure| closure.from <= day && day <= closure.to)
    }
}

fn place(day: Weekday) -> usize {
    usize::try_from(day.to_monday_zero_offset()).unwrap_or(0)
}

/// Whole days from one day to another.
pub(super) fn days_between(from: Date, to: Date) -> i64 {
    from.until(to).map_or(0, |span| i64::from(span.get_days()))
}

/// A day so many days later; the last day that there is, when that is beyond it.
pub(super) fn days_after(day: Date, days: i64) -> Date {
    Span::new()
        .try_days(days)
        .ok()
        .and_then(|span| day.checked_add(span).ok())
        .unwrap_or(if days < 0 { Date::MIN } else { Date::MAX })
}

/// A calendar counted out, so that working days are added in a few steps. Time is in days from the
/// morning of the first day.
#[derive(Debug, Clone)]
pub(super) struct Counted {
    /// Working days before each day.
    before: Vec<u32>,
    /// Which day each working day is.
    working: Vec<u32>,
}

impl Counted {
    pub(super) fn of(calendar: &WorkCalendar, first: Date) -> Self {
        let mut before = Vec::with_capacity(HORIZON + 1);
        let mut working = Vec::with_capacity(HORIZON);
        let mut day = first;
        for index in 0..HORIZON {
            before.push(working.len() as u32);
            if calendar.works(day) {
                working.push(index as u32);
            }
            day = days_after(day, 1);
        }
        before.push(working.len() as u32);
        Self { before, working }
    }

    /// When so many working days are over that begin at `start`. No work takes no time, also on a day
    /// off. Beyond the horizon it is the horizon's end.
    #[inline]
    pub(super) fn after(&self, start: f64, work: f64) -> f64 {
        if work <= 0.0 {
            return start;
        }
        let done = self.done(start) + work;
        let nth = whole_before(done);
        match self.working.get(nth) {
            Some(day) => f64::from(*day) + (done - nth as f64),
            None => HORIZON as f64,
        }
    }

    /// The first moment from here on at which somebody works.
    #[inline]
    pub(super) fn opens(&self, moment: f64) -> f64 {
        let day = (moment.max(0.0) as usize).min(HORIZON - 1);
        if self.before[day + 1] > self.before[day] {
            return moment;
        }
        let next = self.working.get(self.before[day] as usize);
        next.map_or(HORIZON as f64, |day| f64::from(*day))
    }

    /// Working days that lie between two moments.
    pub(super) fn between(&self, from: f64, to: f64) -> f64 {
        (self.done(to) - self.done(from)).max(0.0)
    }

    /// Working days before a moment.
    #[inline]
    fn done(&self, moment: f64) -> f64 {
        let moment = moment.clamp(0.0, HORIZON as f64);
        let day = moment as usize;
        let (before, next) = (self.before[day], self.before[(day + 1).min(HORIZON)]);
        f64::from(before) + f64::from(next - before) * (moment - day as f64)
    }
}

/// The whole days before a moment, that which ends with it left out: a moment rounded up, less one. Without
/// the call that rounding is on a plain processor.
#[inline]
pub(super) fn whole_before(moment: f64) -> usize {
    let whole = moment as usize;
    if moment > whole as f64 {
        whole
    } else {
        whole.saturating_sub(1)
    }
}

#[cfg(test)]
mod tests {
    use jiff::civil::date;
    use proptest::prelude::*;

    use super::*;

    fn printer() -> WorkCalendar {
        WorkCalendar::weekdays("printer")
            .closed(Closure {
                name: "new year".to_owned(),
                from: date(2026, 12, 24),
                to: date(2027, 1, 3),
            })
            .unwrap()
    }

    #[test]
    fn days_off_and_closures_are_stepped_over() {
        // 2026-12-21 is a Monday: three days of that week are worked, then two of January.
        let counted = Counted::of(&printer(), date(2026, 12, 21));
        assert_eq!(counted.after(0.0, 3.0), 3.0);
        assert_eq!(counted.after(0.0, 5.0), 16.0);
        assert_eq!(days_after(date(2026, 12, 21), 16 - 1), date(2027, 1, 5));
        assert_eq!(counted.after(4.0, 0.0), 4.0);
        assert_eq!(counted.between(0.0, 16.0), 5.0);
        assert_eq!(counted.opens(3.0), 14.0);
        assert_eq!(counted.opens(2.5), 2.5);
    }

    #[test]
    fn a_closure_must_end_after_it_begins_and_end_at_all() {
        let closed = |from, to| {
            WorkCalendar::weekdays("printer").closed(Closure {
                name: "works".to_owned(),
                from,
                to,
            })
        };
        assert!(closed(date(2027, 2, 1), date(2027, 1, 1)).is_err());
        let error = closed(date(2027, 2, 1), Date::MAX).unwrap_err();
        assert!(error.to_string().contains("never seems to end"), "{error}");
        assert!(
            WorkCalendar::without(
                "nobody",
                &[
                    Weekday::Monday,
                    Weekday::Tuesday,
                    Weekday::Wednesday,
                    Weekday::Thursday,
                    Weekday::Friday,
                    Weekday::Saturday,
                    Weekday::Sunday,
                ]
            )
            .is_err()
        );
    }

    proptest! {
        #[test]
        fn counting_out_agrees_with_walking_day_by_day(start in 0_u32..400, work in 1_u32..60) {
            let first = date(2026, 11, 25);
            let calendar = printer();
            let counted = Counted::of(&calendar, first);
            let (mut day, mut left) = (i64::from(start), work);
            loop {
                if calendar.works(days_after(first, day)) {
                    left -= 1;
                    if left == 0 {
                        break;
                    }
                }
                day += 1;
            }
            prop_assert_eq!(counted.after(f64::from(start), f64::from(work)), (day + 1) as f64);
        }

        #[test]
        fn later_work_never_ends_earlier(start in 0.0_f64..900.0, more in 0.0_f64..50.0, work in 0.0_f64..80.0) {
            let counted = Counted::of(&printer(), date(2026, 11, 25));
            prop_assert!(counted.after(start + more, work) >= counted.after(start, work) - 1e-9);
        }
    }
}
