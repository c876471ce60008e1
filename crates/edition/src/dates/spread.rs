//! How long something takes, as a spread and never as one figure alone.

use super::DatesError;
use crate::normal::quantile as normal_quantile;

/// Cells of the table that a spread is drawn from.
const CELLS: usize = 1024;
/// Steps in which the density of a beta distribution is summed.
const STEPS: usize = 2048;
/// Longest that one step may take, in days; our assumption.
const LONGEST: f64 = 730.0;
/// The standard normal's point with 95 percent below it.
const Z95: f64 = 1.644_853_626_951_472_2;

/// How long something takes, in days of its calendar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Spread {
    /// Just so long.
    Fixed(f64),
    /// Three points, drawn from the beta distribution that PERT gives them: mean (a + 4m + b) / 6,
    /// shape 1 + 4 (m - a) / (b - a) and 1 + 4 (b - m) / (b - a).
    ThreePoint {
        /// At least.
        least: f64,
        /// Most often.
        likely: f64,
        /// At most.
        most: f64,
    },
    /// Lognormal: half take less than the median, and one in twenty more than `p95`.
    Lognormal {
        /// Half take less.
        median: f64,
        /// One in twenty takes more.
        p95: f64,
    },
}

impl Spread {
    /// The same, if it can be.
    ///
    /// # Errors
    /// Negative, not a number, in the wrong order, or longer than two years.
    pub fn checked(self, step: &str) -> Result<Self, DatesError> {
        let (points, wanted): (&[f64], _) = match &self {
            Self::Fixed(days) => (&[*days], "one length"),
            Self::ThreePoint {
                least,
                likely,
                most,
            } => (
                &[*least, *likely, *most],
                "least, most often, at most, in this order",
            ),
            Self::Lognormal { median, p95 } => (
                &[*median, *p95],
                "the median, then what one in twenty exceeds",
            ),
        };
        let fine = points.iter().all(|days| (0.0..=LONGEST).contains(days))
            && points.windows(2).all(|pair| pair[0] <= pair[1])
            && !matches!(self, Self::Lognormal { median, .. } if median <= 0.0);
        if fine {
            return Ok(self);
        }
        Err(DatesError::Spread {
            step: step.to_owned(),
            found: points
                .iter()
                .map(f64::to_string)
                .collect::<Vec<_>>()
                .join(", "),
            wanted,
            most: LONGEST,
        })
    }

    /// Expected length, by the formula of PERT for three points.
    pub fn mean(self) -> f64 {
        match self {
            Self::Fixed(days) => days,
            Self::ThreePoint {
                least,
                likely,
                most,
            } => (least + 4.0 * likely + most) / 6.0,
            Self::Lognormal { median, p95 } => median * (sigma(median, p95).powi(2) / 2.0).exp(),
        }
    }

    /// Variance as the PERT method states it for three points, ((b - a) / 6)², which is not that of
    /// the beta distribution; else the distribution's own.
    pub fn pert_variance(self) -> f64 {
        match self {
            Self::ThreePoint { least, most, .. } => ((most - least) / 6.0).powi(2),
            other => other.variance(),
        }
    }

    /// Variance of the distribution that is drawn from.
    pub fn variance(self) -> f64 {
        match self {
            Self::Fixed(_) => 0.0,
            // With shapes that sum to six, the variance of a beta distribution is this.
            Self::ThreePoint { least, most, .. } => {
                let mean = self.mean();
                (mean - least) * (most - mean) / 7.0
            }
            Self::Lognormal { median, p95 } => {
                let squared = sigma(median, p95).powi(2);
                median * median * squared.exp() * squared.exp_m1()
            }
        }
    }

    /// So many times as long.
    pub fn times(self, factor: f64) -> Self {
        match self {
            Self::Fixed(days) => Self::Fixed(days * factor),
            Self::ThreePoint {
                least,
                likely,
                most,
            } => Self::ThreePoint {
                least: least * factor,
                likely: likely * factor,
                most: most * factor,
            },
            Self::Lognormal { median, p95 } => Self::Lognormal {
                median: median * factor,
                p95: p95 * factor,
            },
        }
    }
}

fn sigma(median: f64, p95: f64) -> f64 {
    if median > 0.0 {
        (p95 / median).ln() / Z95
    } else {
        0.0
    }
}

/// A spread as tables of its quantiles: drawing is one look-up.
#[derive(Debug, Clone)]
pub(super) struct Drawn {
    quantiles: Vec<f64>,
    /// The first and the last cell once more, finer, since there the distribution is far from straight.
    first: Vec<f64>,
    last: Vec<f64>,
}

impl Drawn {
    pub(super) fn of(spread: Spread) -> Self {
        match spread {
            Spread::Fixed(days) => Self::from(|_| days),
            Spread::ThreePoint { least, most, .. } if most <= least => Self::from(|_| least),
            Spread::ThreePoint {
                least,
                likely,
                most,
            } => {
                let sums = beta(least, likely, most);
                Self::from(|u| least + (most - least) * inverse(&sums, u))
            }
            Spread::Lognormal { median, p95 } => {
                let sigma = sigma(median, p95);
                // The very end of a lognormal is cut at the share that one of a hundred thousand
                // histories would pass.
                let at = |u: f64| normal_quantile(u.clamp(0.0, 1.0 - 1e-6));
                Self::from(|u| (median * (sigma * at(u)).exp()).min(LONGEST))
            }
        }
    }

    fn from(quantile: impl Fn(f64) -> f64) -> Self {
        let table = |from: f64, to: f64| -> Vec<f64> {
            (0..=CELLS)
                .map(|cell| quantile(from + (to - from) * cell as f64 / CELLS as f64))
                .collect()
        };
        let cell = 1.0 / CELLS as f64;
        Self {
            quantiles: table(0.0, 1.0),
            first: table(0.0, cell),
            last: table(1.0 - cell, 1.0),
        }
    }

    /// The length with the share `u` (0 to 1) below it.
    #[inline]
    pub(super) fn at(&self, u: f64) -> f64 {
        let place = u.clamp(0.0, 1.0) * CELLS as f64;
        match (place as usize).min(CELLS - 1) {
            0 => between(&self.first, place * CELLS as f64),
            cell if cell == CELLS - 1 => between(&self.last, (place - cell as f64) * CELLS as f64),
            _ => between(&self.quantiles, place),
        }
    }

    /// Share that takes less than so long.
    pub(super) fn below(&self, days: f64) -> f64 {
        let cell = self.quantiles.partition_point(|quantile| *quantile <= days);
        if cell == 0 {
            return 0.0;
        }
        if cell > CELLS {
            // Whoever is later than all that was thought of is at the very end of it.
            return 1.0 - 1.0 / CELLS as f64;
        }
        let (low, high) = (self.quantiles[cell - 1], self.quantiles[cell]);
        let part = if high > low {
            (days - low) / (high - low)
        } else {
            0.0
        };
        ((cell - 1) as f64 + part) / CELLS as f64
    }
}

/// The entry of a table at a place, between its neighbours.
#[inline]
fn between(table: &[f64], place: f64) -> f64 {
    let cell = (place as usize).min(table.len() - 2);
    table[cell] + (table[cell + 1] - table[cell]) * (place - cell as f64)
}

/// The beta distribution of three points: its density, summed up step by step by the rule of Simpson.
fn beta(least: f64, likely: f64, most: f64) -> Vec<f64> {
    let range = most - least;
    let (before, after) = (
        4.0 * (likely - least) / range,
        4.0 * (most - likely) / range,
    );
    let density = |x: f64| x.powf(before) * (1.0 - x).powf(after);
    let mut sums = Vec::with_capacity(STEPS + 1);
    let mut sum = 0.0;
    sums.push(sum);
    let mut begin = density(0.0);
    for step in 0..STEPS {
        let at = |half: f64| density((step as f64 + half) / STEPS as f64);
        let end = at(1.0);
        sum += (begin + 4.0 * at(0.5) + end) / 6.0;
        sums.push(sum);
        begin = end;
    }
    sums
}

/// Where (0 to 1) such sums reach a share of the whole.
fn inverse(sums: &[f64], share: f64) -> f64 {
    let wanted = share * sums[STEPS];
    let step = sums.partition_point(|sum| *sum < wanted).clamp(1, STEPS) - 1;
    let (low, high) = (sums[step], sums[step + 1]);
    let part = if high > low {
        (wanted - low) / (high - low)
    } else {
        0.0
    };
    (step as f64 + part.clamp(0.0, 1.0)) / STEPS as f64
}
