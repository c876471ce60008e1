//! Sums by the day: what goes out and comes in, how the purse stands, and when it is emptiest.

use jiff::civil::Date;

/// A sum on a day. Expectations over histories are no sums of money that change hands, so that they are
/// floats, in main units of one currency.
#[derive(Debug, Clone, PartialEq)]
pub struct Flow {
    /// The day.
    pub day: Date,
    /// How much: below zero goes out.
    pub sum: f64,
    /// What for.
    pub what: String,
}

/// How the purse stands by the day.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// Days on which something flows, with how the purse stands in the evening.
    pub points: Vec<(Date, f64)>,
    /// The day on which it is emptiest, the first of several, and how it stands then. `None` where nothing
    /// flows.
    pub low: Option<(Date, f64)>,
}

impl Curve {
    /// Adds up flows in the order of their days, from what is in the purse before.
    pub fn of(opening: f64, flows: &[Flow]) -> Self {
        let mut days: Vec<(Date, f64)> = flows.iter().map(|flow| (flow.day, flow.sum)).collect();
        days.sort_by_key(|(day, _)| *day);
        let mut points: Vec<(Date, f64)> = Vec::with_capacity(days.len());
        let mut stands = opening;
        for (day, sum) in days {
            stands += sum;
            match points.last_mut() {
                Some(last) if last.0 == day => last.1 = stands,
                _ => points.push((day, stands)),
            }
        }
        let low = points
            .iter()
            .copied()
            .reduce(|low, point| if point.1 < low.1 { point } else { low });
        Self { points, low }
    }

    /// How the purse stands in the evening of a day; what was there before, before all flows.
    pub fn at(&self, opening: f64, day: Date) -> f64 {
        match self.points.partition_point(|point| point.0 <= day) {
            0 => opening,
            after => self.points[after - 1].1,
        }
    }

    /// The first day from which it never falls below zero again, if it ends there.
    pub fn even(&self) -> Option<Date> {
        let below = self.points.iter().rposition(|point| point.1 < 0.0);
        match below {
            None => self.points.first().map(|point| point.0),
            Some(place) => self.points.get(place + 1).map(|point| point.0),
        }
    }
}
