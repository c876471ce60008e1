//! On which day something falls, over many histories.

use jiff::civil::Date;

use super::calendar::{HORIZON, days_after, days_between};

/// How often something fell on each day.
#[derive(Debug, Clone, PartialEq)]
pub struct Days {
    first: Date,
    counts: Vec<u32>,
    total: u32,
}

impl Days {
    pub(super) fn none(first: Date) -> Self {
        Self {
            first,
            counts: vec![0; HORIZON + 1],
            total: 0,
        }
    }

    #[inline]
    pub(super) fn count(&mut self, day: usize) {
        self.counts[day.min(HORIZON)] += 1;
        self.total += 1;
    }

    pub(super) fn add(&mut self, other: &Self) {
        for (count, more) in self.counts.iter_mut().zip(&other.counts) {
            *count += more;
        }
        self.total += other.total;
    }

    /// The first day by which it has fallen in at least this share (0 to 1) of the histories.
    pub fn by(&self, share: f64) -> Date {
        let wanted = (share.clamp(0.0, 1.0) * f64::from(self.total))
            .ceil()
            .max(1.0);
        let mut seen = 0_u32;
        for (day, count) in self.counts.iter().enumerate() {
            seen += count;
            if f64::from(seen) >= wanted {
                return days_after(self.first, day as i64);
            }
        }
        days_after(self.first, HORIZON as i64)
    }

    /// In which share (0 to 1) of the histories it has fallen by a day.
    pub fn share_by(&self, day: Date) -> f64 {
        let last = days_between(self.first, day);
        if last < 0 || self.total == 0 {
            return 0.0;
        }
        let days = usize::try_from(last).unwrap_or(HORIZON).min(HORIZON) + 1;
        let seen: u32 = self.counts[..days].iter().sum();
        f64::from(seen) / f64::from(self.total)
    }

    /// The days on which it fell, with the share of each, from the first to the last.
    pub fn shares(&self) -> Vec<(Date, f64)> {
        let first = self.counts.iter().position(|count| *count > 0).unwrap_or(0);
        let last = self
            .counts
            .iter()
            .rposition(|count| *count > 0)
            .unwrap_or(0);
        (first..=last)
            .map(|day| {
                let share = f64::from(self.counts[day]) / f64::from(self.total.max(1));
                (days_after(self.first, day as i64), share)
            })
            .collect()
    }

    /// How far a share read here may be off by chance alone: two standard errors of the largest kind,
    /// that of one half.
    pub fn error(&self) -> f64 {
        1.0 / f64::from(self.total.max(1)).sqrt()
    }

    pub(super) fn reaches_the_horizon(&self) -> bool {
        self.counts[HORIZON] > 0 || self.counts[HORIZON - 1] > 0
    }
}
