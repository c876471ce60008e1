//! Demand as a distribution, and the quantity that balances a copy too few against a copy too many.

use statrs::distribution::{ContinuousCDF, DiscreteCDF, Normal, Poisson};
use statrs::function::gamma::ln_gamma;

use super::QuantityError;

/// Largest demand that is reckoned with, in copies; far beyond any edition of one artist.
pub const MOST: f64 = 10_000_000.0;
/// Largest shape of a beta distribution that is reckoned with: as if so many people had been counted.
const FIRMEST: f64 = 1e9;

/// How many copies are wanted.
#[derive(Debug, Clone, PartialEq)]
pub enum Demand {
    /// Normal: mean and standard deviation in copies. Its left end may lie below zero.
    Normal {
        /// Mean.
        mean: f64,
        /// Standard deviation, above zero.
        deviation: f64,
    },
    /// Lognormal: the logarithm of the demand is normal.
    LogNormal {
        /// Mean of the natural logarithm.
        mean_log: f64,
        /// Standard deviation of the natural logarithm, above zero.
        deviation_log: f64,
    },
    /// Poisson: many people, each with a small chance, independently of each other.
    Poisson {
        /// Mean.
        mean: f64,
    },
    /// Each number between two is as likely as any other.
    Uniform {
        /// Least.
        least: f64,
        /// Most.
        most: f64,
    },
    /// So many people, each of whom buys with the same unknown chance, which is beta distributed.
    BetaBinomial {
        /// People.
        people: u64,
        /// First shape.
        alpha: f64,
        /// Second shape.
        beta: f64,
    },
    /// Numbers of copies with their chances, which need not sum to one.
    Discrete(Vec<(f64, f64)>),
}

/// The quantity that costs least in the long run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balanced {
    /// The critical ratio: cost of a copy too few over the cost of one too few plus one too many (0 to 1).
    pub ratio: f64,
    /// The quantity: the least whose chance to suffice reaches the ratio.
    pub copies: f64,
    /// What having too few or too many costs on average at that quantity.
    pub cost: f64,
}

impl Demand {
    /// The same, if it can be.
    ///
    /// # Errors
    /// Figures that are no numbers or beyond all use, spreads of nothing or less, ends in the wrong order, no
    /// people.
    pub fn checked(self) -> Result<Self, QuantityError> {
        let within = |x: f64| x.is_finite() && x.abs() <= MOST;
        let fine = match &self {
            Self::Normal { mean, deviation } => {
                within(*mean) && *deviation > 0.0 && within(*deviation)
            }
            Self::LogNormal {
                mean_log,
                deviation_log,
            } => {
                mean_log.is_finite()
                    && *mean_log <= MOST.ln()
                    && *deviation_log > 0.0
                    && *deviation_log <= 5.0
            }
            Self::Poisson { mean } => *mean > 0.0 && within(*mean),
            Self::Uniform { least, most } => within(*least) && within(*most) && least < most,
            Self::BetaBinomial {
                people,
                alpha,
                beta,
            } => {
                *people > 0
                    && (*people as f64) <= MOST
                    && [alpha, beta]
                        .iter()
                        .all(|shape| **shape > 0.0 && **shape <= FIRMEST)
            }
            Self::Discrete(chances) => {
                !chances.is_empty()
                    && chances
                        .iter()
                        .all(|(copies, chance)| within(*copies) && (0.0..=MOST).contains(chance))
                    && chances.iter().any(|(_, chance)| *chance > 0.0)
            }
        };
        if fine {
            Ok(self)
        } else {
            Err(QuantityError::Demand)
        }
    }

    /// Mean, in copies.
    pub fn mean(&self) -> f64 {
        match self {
            Self::Normal { mean, .. } | Self::Poisson { mean } => *mean,
            Self::LogNormal {
                mean_log,
                deviation_log,
            } => (mean_log + deviation_log.powi(2) / 2.0).exp(),
            Self::Uniform { least, most } => (least + most) / 2.0,
            Self::BetaBinomial {
                people,
                alpha,
                beta,
            } => *people as f64 * alpha / (alpha + beta),
            Self::Discrete(_) => self
                .listed()
                .iter()
                .map(|(copies, chance)| copies * chance)
                .sum(),
        }
    }

    /// Variance, in copies squared.
    pub fn variance(&self) -> f64 {
        match self {
            Self::Normal { deviation, .. } => deviation.powi(2),
            Self::Poisson { mean } => *mean,
            Self::LogNormal { deviation_log, .. } => {
                self.mean().powi(2) * deviation_log.powi(2).exp_m1()
            }
            Self::Uniform { least, most } => (most - least).powi(2) / 12.0,
            Self::BetaBinomial {
                people,
                alpha,
                beta,
            } => {
                let (people, both) = (*people as f64, alpha + beta);
                people * alpha * beta * (both + people) / (both.powi(2) * (both + 1.0))
            }
            Self::Discrete(_) => {
                let mean = self.mean();
                let squared = |(copies, chance): &(f64, f64)| (copies - mean).powi(2) * chance;
                self.listed().iter().map(squared).sum()
            }
        }
    }

    /// The least number of copies that suffices with the chance `share` (0 to 1).
    pub fn quantile(&self, share: f64) -> f64 {
        let share = share.clamp(0.0, 1.0);
        match self {
            Self::Normal { mean, deviation } => mean + deviation * crate::normal::quantile(share),
            Self::LogNormal {
                mean_log,
                deviation_log,
            } => (mean_log + deviation_log * crate::normal::quantile(share)).exp(),
            Self::Uniform { least, most } => least + (most - least) * share,
            _ => {
                let mut sum = 0.0;
                let listed = self.listed();
                for &(copies, chance) in &listed {
                    sum += chance;
                    // The sum of many chances is a little off in its last digits.
                    if sum >= share - 1e-12 {
                        return copies;
                    }
                }
                listed.last().map_or(0.0, |(copies, _)| *copies)
            }
        }
    }

    /// Copies that are missing on average when there are so many: the loss function E (D - q)+.
    pub fn missing(&self, copies: f64) -> f64 {
        match self {
            Self::Normal { mean, deviation } => {
                let z = (copies - mean) / deviation;
                // The other tail, so that nothing small is taken from something near to it.
                deviation * density(z) + (mean - copies) * standard().sf(z)
            }
            Self::LogNormal {
                mean_log,
                deviation_log,
            } => {
                if copies <= 0.0 {
                    return self.mean() - copies;
                }
                let z = (copies.ln() - mean_log) / deviation_log;
                self.mean() * standard().sf(z - deviation_log) - copies * standard().sf(z)
            }
            Self::Uniform { least, most } => {
                let short = (most - copies.max(*least)).max(0.0);
                short.powi(2) / (2.0 * (most - least)) + (least - copies).max(0.0)
            }
            _ => {
                let short = |(wanted, chance): &(f64, f64)| (wanted - copies).max(0.0) * chance;
                self.listed().iter().map(short).sum()
            }
        }
    }

    /// Copies that are left over on average when there are so many: E (q - D)+.
    pub fn left(&self, copies: f64) -> f64 {
        copies - self.mean() + self.missing(copies)
    }

    /// The quantity that balances a copy too few (`under`, in money) against one too many (`over`).
    ///
    /// # Errors
    /// A cost below zero, or none of both.
    pub fn balanced(&self, under: f64, over: f64) -> Result<Balanced, QuantityError> {
        let fine = |cost: f64| cost.is_finite() && cost >= 0.0;
        if !fine(under) || !fine(over) || under + over <= 0.0 {
            return Err(QuantityError::Costs);
        }
        let ratio = under / (under + over);
        let copies = self.quantile(ratio);
        Ok(Balanced {
            ratio,
            copies,
            cost: under * self.missing(copies) + over * self.left(copies),
        })
    }

    /// Numbers of copies in rising order with their chances, which sum to one; nothing for what is not
    /// counted in whole copies.
    fn listed(&self) -> Vec<(f64, f64)> {
        match self {
            Self::Discrete(chances) => {
                let whole: f64 = chances.iter().map(|(_, chance)| chance).sum();
                let mut listed: Vec<(f64, f64)> = chances
                    .iter()
                    .map(|(copies, chance)| (*copies, chance / whole))
                    .collect();
                listed.sort_by(|a, b| a.0.total_cmp(&b.0));
                listed
            }
            Self::Poisson { mean } => {
                // Twelve deviations hold all that a float can tell from one.
                let reach = 12.0 * mean.sqrt() + 12.0;
                let Ok(poisson) = Poisson::new(*mean) else {
                    return Vec::new();
                };
                let (from, to) = ((mean - reach).max(0.0) as u64, (mean + reach) as u64);
                let mut below = if from == 0 {
                    0.0
                } else {
                    poisson.cdf(from - 1)
                };
                (from..=to)
                    .map(|copies| {
                        let sum = poisson.cdf(copies);
                        let chance = sum - below;
                        below = sum;
                        (copies as f64, chance)
                    })
                    .collect()
            }
            Self::BetaBinomial {
                people,
                alpha,
                beta,
            } => beta_binomial(*people, *alpha, *beta),
            _ => Vec::new(),
        }
    }
}

/// Chances of 0 to `people` buyers: Γ-functions, summed in logarithms.
fn beta_binomial(people: u64, alpha: f64, beta: f64) -> Vec<(f64, f64)> {
    let n = people as f64;
    let ln_beta = |a: f64, b: f64| ln_gamma(a) + ln_gamma(b) - ln_gamma(a + b);
    let whole = ln_beta(alpha, beta);
    let mut listed: Vec<(f64, f64)> = (0..=people)
        .map(|buyers| {
            let k = buyers as f64;
            let ways = ln_gamma(n + 1.0) - ln_gamma(k + 1.0) - ln_gamma(n - k + 1.0);
            (k, (ways + ln_beta(k + alpha, n - k + beta) - whole).exp())
        })
        .collect();
    let sum: f64 = listed.iter().map(|(_, chance)| chance).sum();
    for (_, chance) in &mut listed {
        *chance /= sum;
    }
    listed
}

fn standard() -> Normal {
    Normal::standard()
}

fn density(z: f64) -> f64 {
    (-z * z / 2.0).exp() / (2.0 * std::f64::consts::PI).sqrt()
}
