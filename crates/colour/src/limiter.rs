//! The ink limit, held with the least visible change.
//!
//! For inks over the limit, the inks within it are sought whose colour is nearest in ΔE00. Each
//! step solves the problem exactly for the colour's local slope and the local form of ΔE00 (a
//! damped Gauss-Newton step under bounds), and is kept only if the true ΔE00 falls.

use crate::difference::local_metric;
use crate::forward::Forward;
use crate::{ColourError, Lab, Profile, delta_e_2000};

/// What moving an ink by its whole range costs, in ΔE00 squared: so little that it only decides
/// between inks of the same colour, for those nearest to the profile's own, which keeps
/// neighbouring colours' inks alike.
const NEARNESS: f64 = 0.5;
/// Half the distance over which a slope is taken: about half a cell of the forward table.
const REACH: f64 = 1.0 / 40.0;
/// Steps until the search ends in any case.
const MOST_STEPS: usize = 16;

/// Inks, 0 to 1 each.
pub(crate) type Inks = [f64; 4];

/// Holds any inks to one limit on one press.
pub(crate) struct Limiter {
    forward: Forward,
    /// Largest sum of inks.
    limit: f64,
    /// Most black, unless the inks to be held have more.
    most_black: f64,
}

impl Limiter {
    /// `limit` in solids (3 is 300 percent); `most_black` is what the press's own profile prints.
    pub(crate) fn new(press: &Profile, limit: f64, most_black: f64) -> Result<Self, ColourError> {
        Ok(Self {
            forward: Forward::of(press)?,
            limit,
            most_black,
        })
    }

    /// The inks within the limit that look most like `wanted`; those within it already stay.
    pub(crate) fn hold(&self, wanted: Inks) -> Inks {
        if wanted.iter().sum::<f64>() <= self.limit {
            return wanted;
        }
        let target = self.forward.lab(wanted);
        let metric = local_metric(target);
        let upper = [1.0, 1.0, 1.0, self.most_black.max(wanted[3])];
        let mut inks = self.scaled(wanted);
        let mut cost = self.cost(inks, wanted, target);
        let mut damping = 1e-3;
        for _ in 0..MOST_STEPS {
            let model = self.model(inks, wanted, target, &metric, damping);
            let tried = model.least(inks, upper, self.limit);
            let tried_cost = self.cost(tried, wanted, target);
            if tried_cost < cost {
                let gain = cost - tried_cost;
                inks = tried;
                cost = tried_cost;
                damping = (damping * 0.2).max(1e-6);
                if gain < 1e-4 {
                    break;
                }
            } else {
                damping *= 10.0;
                if damping > 1e6 {
                    break;
                }
            }
        }
        inks
    }

    /// Where the search begins: colour taken back evenly, black as it was.
    fn scaled(&self, wanted: Inks) -> Inks {
        let [c, m, y, k] = wanted;
        let share = ((self.limit - k) / (c + m + y)).clamp(0.0, 1.0);
        [c * share, m * share, y * share, k]
    }

    fn cost(&self, inks: Inks, wanted: Inks, target: Lab) -> f64 {
        let moved: f64 = inks.iter().zip(wanted).map(|(a, b)| (a - b).powi(2)).sum();
        delta_e_2000(target, self.forward.lab(inks)).powi(2) + NEARNESS * moved
    }

    /// The cost around `inks` as a quadratic form of the step.
    fn model(
        &self,
        inks: Inks,
        wanted: Inks,
        target: Lab,
        metric: &[[f64; 3]; 3],
        damping: f64,
    ) -> Quadratic {
        let here = self.forward.lab(inks);
        let off = [here.l - target.l, here.a - target.a, here.b - target.b];
        let slopes = [0, 1, 2, 3].map(|ink| {
            let (mut less, mut more) = (inks, inks);
            less[ink] = (inks[ink] - REACH).max(0.0);
            more[ink] = (inks[ink] + REACH).min(1.0);
            let (one, other) = (self.forward.lab(less), self.forward.lab(more));
            let span = more[ink] - less[ink];
            [
                (other.l - one.l) / span,
                (other.a - one.a) / span,
                (other.b - one.b) / span,
            ]
        });
        let weighted = slopes.map(|slope| times(metric, slope));
        let mut form = Quadratic {
            matrix: [[0.0; 4]; 4],
            slope: [0.0; 4],
        };
        for i in 0..4 {
            for j in 0..4 {
                form.matrix[i][j] = dot(weighted[i], slopes[j]);
            }
            // Damping by the slope's own size: inks that change little may move far.
            form.matrix[i][i] += NEARNESS + damping * (1.0 + form.matrix[i][i]);
            form.slope[i] = dot(weighted[i], off) + NEARNESS * (inks[i] - wanted[i]);
        }
        form
    }
}

/// `½ dᵀ M d + sᵀ d`.
struct Quadratic {
    matrix: [[f64; 4]; 4],
    slope: [f64; 4],
}

impl Quadratic {
    /// The inks with the least value of the form over `0 ≤ inks + d ≤ upper` with their sum at
    /// most `limit`.
    ///
    /// What is left of the limit counts as a fifth ink of no colour, so that the five always sum
    /// to the limit; pairs of them exchange ink until no exchange gains (the pairwise descent
    /// that is known from support vector machines, which reaches the optimum of such a form).
    fn least(&self, from: Inks, upper: Inks, limit: f64) -> Inks {
        let mut inks = [from[0], from[1], from[2], from[3], 0.0];
        inks[4] = (limit - from.iter().sum::<f64>()).max(0.0);
        let upper = [upper[0], upper[1], upper[2], upper[3], limit];
        let mut slope = [
            self.slope[0],
            self.slope[1],
            self.slope[2],
            self.slope[3],
            0.0,
        ];
        for _ in 0..60 {
            // The ink that gains most by growing, and the one that gains most by shrinking.
            let mut grow = usize::MAX;
            let mut shrink = usize::MAX;
            for i in 0..5 {
                if inks[i] < upper[i] && (grow == usize::MAX || slope[i] < slope[grow]) {
                    grow = i;
                }
                if inks[i] > 0.0 && (shrink == usize::MAX || slope[i] > slope[shrink]) {
                    shrink = i;
                }
            }
            if grow == usize::MAX || shrink == usize::MAX {
                break;
            }
            let gain = slope[shrink] - slope[grow];
            if gain < 1e-4 {
                break;
            }
            let bend = self.at(grow, grow) + self.at(shrink, shrink) - 2.0 * self.at(grow, shrink);
            let step = (gain / bend.max(1e-9))
                .min(upper[grow] - inks[grow])
                .min(inks[shrink]);
            inks[grow] += step;
            inks[shrink] -= step;
            for (i, value) in slope.iter_mut().enumerate() {
                *value += step * (self.at(i, grow) - self.at(i, shrink));
            }
        }
        [inks[0], inks[1], inks[2], inks[3]]
    }

    fn at(&self, i: usize, j: usize) -> f64 {
        if i < 4 && j < 4 {
            self.matrix[i][j]
        } else {
            0.0
        }
    }
}

fn times(matrix: &[[f64; 3]; 3], vector: [f64; 3]) -> [f64; 3] {
    matrix.map(|row| dot(row, vector))
}

fn dot(one: [f64; 3], other: [f64; 3]) -> f64 {
    one[0] * other[0] + one[1] * other[1] + one[2] * other[2]
}
