//! Sums that fall due when a step begins or ends.

use jiff::civil::Date;
use measure::Money;

use super::DatesError;
use super::calendar::days_after;
use super::histories::Histories;
use super::schedule::Schedule;

/// At which end of a step a sum falls due.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum At {
    /// When it begins: with the order.
    Beginning,
    /// When it ends: before dispatch.
    End,
}

/// A sum that falls due.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Payment {
    /// What for.
    pub name: String,
    /// Key of the step.
    pub step: String,
    /// Which end of it.
    pub at: At,
    /// Days after it: the term of payment.
    pub days: u16,
    /// How much.
    pub sum: Money,
}

/// When a sum falls due.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Due {
    /// What for.
    pub name: String,
    /// How much.
    pub sum: Money,
    /// In one history of twenty it is due by this day.
    pub early: Date,
    /// In half of them.
    pub middle: Date,
    /// In nineteen of twenty.
    pub late: Date,
}

impl Payment {
    /// When it falls due.
    ///
    /// # Errors
    /// No such step.
    pub fn due(&self, schedule: &Schedule, histories: &Histories) -> Result<Due, DatesError> {
        let place = schedule
            .place(&self.step)
            .ok_or_else(|| DatesError::UnknownStep {
                step: self.name.clone(),
                after: self.step.clone(),
            })?;
        let step = &histories.steps[place];
        let days = match self.at {
            At::Beginning => &step.begins,
            At::End => &step.ends,
        };
        let by = |share: f64| days_after(days.by(share), i64::from(self.days));
        Ok(Due {
            name: self.name.clone(),
            sum: self.sum,
            early: by(0.05),
            middle: by(0.5),
            late: by(0.95),
        })
    }
}
