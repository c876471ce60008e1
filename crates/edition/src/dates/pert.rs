//! The network by expected lengths alone: earliest and latest moments, slack and the critical path.
//!
//! The formulas are those of the critical path method; with three points, the expected length is
//! (a + 4m + b) / 6 and the variance ((b - a) / 6)², as the program evaluation and review technique
//! states them. It knows no calendar: one day is one day.

use super::schedule::Schedule;

/// Slack under this many days is none.
const NO_SLACK: f64 = 1e-9;

/// A step in the network, in days from the beginning.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reckoned {
    /// Expected length.
    pub expected: f64,
    /// Variance of the length.
    pub variance: f64,
    /// Earliest start.
    pub earliest_start: f64,
    /// Earliest finish.
    pub earliest_finish: f64,
    /// Latest start that delays nothing.
    pub latest_start: f64,
    /// Latest finish that delays nothing.
    pub latest_finish: f64,
}

impl Reckoned {
    /// How much later it may be without delaying the end.
    pub fn slack(&self) -> f64 {
        self.latest_start - self.earliest_start
    }

    /// Whether any delay of it delays the end.
    pub fn is_critical(&self) -> bool {
        self.slack() < NO_SLACK
    }
}

/// The whole network, reckoned.
#[derive(Debug, Clone, PartialEq)]
pub struct Pert {
    /// For each step, in the order of the schedule.
    pub steps: Vec<Reckoned>,
    /// Expected length of the whole.
    pub expected: f64,
    /// Sum of the variances along the critical path; the largest, when there are several.
    pub variance: f64,
}

impl Pert {
    /// Reckons a schedule without its calendars, its rounds and what has happened.
    pub fn of(schedule: &Schedule) -> Self {
        let steps = schedule.steps();
        let lengths: Vec<f64> = steps.iter().map(|step| step.takes.mean()).collect();
        let mut start = vec![0.0_f64; steps.len()];
        let mut finish = vec![0.0_f64; steps.len()];
        for &place in schedule.order() {
            let before = schedule.waits_for(place).iter();
            start[place] = before.map(|before| finish[*before]).fold(0.0, f64::max);
            finish[place] = start[place] + lengths[place];
        }
        let end = finish.iter().copied().fold(0.0, f64::max);
        let mut latest = vec![end; steps.len()];
        for &place in schedule.order().iter().rev() {
            for &before in schedule.waits_for(place) {
                latest[before] = latest[before].min(latest[place] - lengths[place]);
            }
        }
        let reckoned: Vec<Reckoned> = (0..steps.len())
            .map(|place| Reckoned {
                expected: lengths[place],
                variance: steps[place].takes.pert_variance(),
                earliest_start: start[place],
                earliest_finish: finish[place],
                latest_start: latest[place] - lengths[place],
                latest_finish: latest[place],
            })
            .collect();
        Self {
            expected: end,
            variance: variance(schedule, &reckoned, end),
            steps: reckoned,
        }
    }
}

/// The largest sum of variances along any path of critical steps that reaches the end.
fn variance(schedule: &Schedule, steps: &[Reckoned], end: f64) -> f64 {
    let mut sums = vec![0.0_f64; steps.len()];
    let mut largest = 0.0_f64;
    for &place in schedule.order() {
        let step = &steps[place];
        if !step.is_critical() {
            continue;
        }
        let before = schedule.waits_for(place).iter().filter(|before| {
            steps[**before].is_critical()
                && (steps[**before].earliest_finish - step.earliest_start).abs() < NO_SLACK
        });
        sums[place] = step.variance + before.map(|before| sums[*before]).fold(0.0, f64::max);
        if (step.earliest_finish - end).abs() < NO_SLACK {
            largest = largest.max(sums[place]);
        }
    }
    largest
}
