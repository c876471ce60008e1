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
        // Saturated colours have two valleys, one that gives up colour and one that trades it
        // for black; only from two sides is the deeper one found.
        let [traded, scaled] = [self.traded(wanted, upper[3]), self.scaled(wanted)]
            .map(|start| self.descend(start, wanted, target, &metric, upper));
        if traded.1 <= scaled.1 {
            traded.0
        } else {
            scaled.0
        }
    }

    /// Walks downhill from `inks`; gives where it ends, and the cost there.
    fn descend(
        &self,
        mut inks: Inks,
        wanted: Inks,
        target: Lab,
        metric: &[[f64; 3]; 3],
        upper: Inks,
    ) -> (Inks, f64) {
        let mut cost = self.cost(inks, wanted, target);
        let mut damping = 1e-3;
        for _ in 0..MOST_STEPS {
            let model = self.model(inks, wanted, target, metric, damping);
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
        (inks, cost)
    }

    /// A start on the black side: of each of the three colours as much is taken as black is
    /// given, so that the grey of the three is traded for black; well beyond what the limit asks,
    /// since the valley begins at about a third of black.
    fn traded(&self, [c, m, y, k]: Inks, most_black: f64) -> Inks {
        let over = c + m + y + k - self.limit;
        let trade = (over / 2.0 + 0.3)
            .min(c)
            .min(m)
            .min(y)
            .min(most_black - k)
            .max(0.0);
        self.scaled([c - trade, m - trade, y - trade, k + trade])
    }

    /// A start on the side of colour, which is taken back evenly; black as it was.
    fn scaled(&self, [c, m, y, k]: Inks) -> Inks {
        let share = ((self.limit - k) / (c + m + y).max(1e-9)).clamp(0.0, 1.0);
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
            form.matrix[i] = slopes.map(|slope| dot(weighted[i], slope));
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::PressCondition;

    /// Inks over the limit, the same at each run: all heavy steps of a lattice.
    fn heavy(limit: f64) -> Vec<Inks> {
        let place = |step: usize| step as f64 / 6.0;
        (0..7 * 7 * 7 * 7)
            .map(|i| {
                [
                    place(i / 343),
                    place(i / 49 % 7),
                    place(i / 7 % 7),
                    place(i % 7) * 0.95,
                ]
            })
            .filter(|inks| inks.iter().sum::<f64>() > limit)
            .collect()
    }

    fn limiter(limit: f64) -> Limiter {
        let press = PressCondition::built_in("coated").unwrap();
        Limiter::new(&press.profile, limit, 0.95).unwrap()
    }

    fn seen(limiter: &Limiter, one: Inks, other: Inks) -> f64 {
        delta_e_2000(limiter.forward.lab(one), limiter.forward.lab(other))
    }

    /// The least ΔE00 that a plain search finds: every step of a lattice within the limit, then
    /// ever smaller steps around the best. Slow, and of no shared code but the forward table.
    fn searched(limiter: &Limiter, wanted: Inks) -> f64 {
        let upper = [1.0, 1.0, 1.0, 0.95_f64.max(wanted[3])];
        let allowed = |inks: &Inks| {
            inks.iter().sum::<f64>() <= limiter.limit
                && inks
                    .iter()
                    .zip(upper)
                    .all(|(&ink, most)| (0.0..=most).contains(&ink))
        };
        let mut best = (f64::MAX, [0.0; 4]);
        let mut tries: Vec<Inks> = Vec::new();
        for i in 0..13 * 13 * 13 * 13 {
            let place = |step: usize, most: f64| step as f64 / 12.0 * most;
            tries.push([
                place(i / 2197, upper[0]),
                place(i / 169 % 13, upper[1]),
                place(i / 13 % 13, upper[2]),
                place(i % 13, upper[3]),
            ]);
        }
        let mut width = 1.0 / 12.0;
        loop {
            for inks in tries.drain(..).filter(allowed) {
                let off = seen(limiter, wanted, inks);
                if off < best.0 {
                    best = (off, inks);
                }
            }
            width *= 0.6;
            if width < 1e-3 {
                return best.0;
            }
            for i in 0..625_usize {
                let step = |axis: u32| (i / 5_usize.pow(axis) % 5) as f64 - 2.0;
                let around = |axis: usize| best.1[axis] + step(axis as u32) * width / 2.0;
                tries.push([around(0), around(1), around(2), around(3)]);
            }
        }
    }

    #[test]
    fn the_change_is_hardly_more_than_the_least_that_a_long_search_finds() {
        for limit in [2.0, 2.4, 2.8] {
            let limiter = limiter(limit);
            let wanted: Vec<Inks> = heavy(limit).into_iter().step_by(13).collect();
            let (mut held_sum, mut least_sum, mut worst) = (0.0, 0.0, 0.0_f64);
            for &inks in &wanted {
                let held = limiter.hold(inks);
                assert!(held.iter().sum::<f64>() <= limit + 1e-9, "{held:?}");
                let (found, least) = (seen(&limiter, inks, held), searched(&limiter, inks));
                held_sum += found;
                least_sum += least;
                worst = worst.max(found - least);
            }
            let count = wanted.len() as f64;
            println!(
                "{limit}: {count} inks, held {:.3}, searched {:.3}, worst {worst:.3} more",
                held_sum / count,
                least_sum / count
            );
            assert!(worst < 0.5, "{limit}: {worst}");
            assert!((held_sum - least_sum) / count < 0.1);
        }
    }

    #[test]
    fn the_change_is_far_less_than_that_of_even_scaling() {
        let limiter = limiter(2.4);
        let (mut held, mut scaled) = (0.0, 0.0);
        for inks in heavy(2.4) {
            held += seen(&limiter, inks, limiter.hold(inks));
            scaled += seen(&limiter, inks, limiter.scaled(inks));
        }
        println!("held {held:.0}, scaled {scaled:.0}");
        assert!(held < scaled / 2.0, "held {held}, scaled {scaled}");
    }

    #[test]
    fn neighbouring_inks_stay_neighbours() {
        let limiter = limiter(2.4);
        for inks in heavy(2.5) {
            for axis in 0..4 {
                let mut near = inks;
                near[axis] -= 0.01;
                let (one, other) = (limiter.hold(inks), limiter.hold(near));
                for (a, b) in one.iter().zip(other) {
                    assert!((a - b).abs() < 0.08, "{inks:?} {axis}: {one:?} {other:?}");
                }
            }
        }
    }
}
