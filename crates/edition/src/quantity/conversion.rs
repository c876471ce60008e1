//! What share of an audience buys: as a spread, and what sales teach about it.

use statrs::function::beta::{beta_reg, ln_beta};

use super::QuantityError;

/// Points of the table that a share is drawn from.
const CELLS: usize = 2048;
/// Firmest that a spread can be taken for: as if so many people had been counted.
const FIRMEST: f64 = 1e7;

/// What share of people buys, beta distributed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conversion {
    /// First shape: as if so many had bought.
    pub alpha: f64,
    /// Second shape: as if so many had not.
    pub beta: f64,
}

impl Conversion {
    /// From three points, as shares (0 to 1): one in twenty is lower than `low`, `likely` is the peak, and
    /// one in twenty is higher than `high`. Two shapes cannot hold three points: the peak is held, and the
    /// distance between the ends; [`Conversion::quantile`] tells what came of the ends.
    ///
    /// # Errors
    /// Not in this order, or not between 0 and 1.
    pub fn of_points(place: &str, low: f64, likely: f64, high: f64) -> Result<Self, QuantityError> {
        let refused = || QuantityError::Conversion {
            place: place.to_owned(),
            found: [low, likely, high]
                .map(|share| format!("{} %", (share * 1e6).round() / 1e4))
                .join(", "),
        };
        let fine = 0.0 <= low
            && low <= likely
            && likely <= high
            && high < 1.0
            && low < high
            && likely > 0.0;
        if !fine {
            return Err(refused());
        }
        let firm = |sum: f64| Self {
            alpha: 1.0 + sum * likely,
            beta: 1.0 + sum * (1.0 - likely),
        };
        let wide = |sum: f64| {
            let spread = firm(sum);
            spread.quantile(0.95) - spread.quantile(0.05)
        };
        // The firmer, the narrower: halved on a scale of logarithms.
        let (mut wider, mut narrower) = (1e-3_f64.ln(), FIRMEST.ln());
        if wide(wider.exp()) < high - low {
            return Err(refused());
        }
        for _ in 0..60 {
            let middle = (wider + narrower) / 2.0;
            if wide(middle.exp()) > high - low {
                wider = middle;
            } else {
                narrower = middle;
            }
        }
        Ok(firm(narrower.exp()))
    }

    /// From a past edition: so many of so many people bought. Starts from the prior of Jeffreys, a half
    /// each.
    ///
    /// # Errors
    /// More buyers than people, or no people.
    pub fn of_sales(place: &str, sold: u64, of: u64) -> Result<Self, QuantityError> {
        if sold > of || of == 0 {
            return Err(QuantityError::Sold {
                place: place.to_owned(),
                sold,
                of,
            });
        }
        Ok(Self {
            alpha: 0.5 + sold as f64,
            beta: 0.5 + (of - sold) as f64,
        })
    }

    /// Mean share (0 to 1).
    pub fn mean(self) -> f64 {
        self.alpha / (self.alpha + self.beta)
    }

    /// Variance of the share.
    pub fn variance(self) -> f64 {
        let both = self.alpha + self.beta;
        self.alpha * self.beta / (both * both * (both + 1.0))
    }

    /// The share below which `u` (0 to 1) of the spread lies.
    pub fn quantile(self, u: f64) -> f64 {
        if u <= 0.0 {
            return 0.0;
        }
        if u >= 1.0 {
            return 1.0;
        }
        let (mut low, mut high) = (0.0_f64, 1.0_f64);
        for _ in 0..60 {
            let middle = (low + high) / 2.0;
            if self.below(middle) < u {
                low = middle;
            } else {
                high = middle;
            }
        }
        (low + high) / 2.0
    }

    /// How much of the spread lies below a share.
    pub fn below(self, share: f64) -> f64 {
        if share <= 0.0 {
            0.0
        } else if share >= 1.0 {
            1.0
        } else {
            beta_reg(self.alpha, self.beta, share)
        }
    }

    /// How dense the spread is at a share (0 to 1), so that the area below it is one.
    pub fn density(self, share: f64) -> f64 {
        let inside = share.clamp(1e-9, 1.0 - 1e-9);
        let log = (self.alpha - 1.0) * inside.ln() + (self.beta - 1.0) * (-inside).ln_1p()
            - ln_beta(self.alpha, self.beta);
        log.exp()
    }

    /// What is known after so many copies were sold to so many people, of whom the share `elapsed` (0 to 1)
    /// has had its time to buy. Where all copies were gone, at least so many would have bought.
    ///
    /// Sales add to the shapes; a demand that was only met in part weighs each share of buyers with the chance
    /// that it wants as many or more, and the beta distribution of the same mean and variance is taken.
    pub fn learned(self, people: u64, sold: u64, elapsed: f64, sold_out: bool) -> Self {
        let tried = (people as f64 * elapsed.clamp(0.0, 1.0)).max(sold as f64);
        if tried <= 0.0 {
            return self;
        }
        let sold = sold as f64;
        if !sold_out {
            return Self {
                alpha: self.alpha + sold,
                beta: self.beta + tried - sold,
            };
        }
        if sold <= 0.0 {
            return self;
        }
        // Chance that `tried` people, each buying with chance p, want at least `sold`: I_p (s, n - s + 1).
        let at_least = |share: f64| beta_reg(sold, tried - sold + 1.0, share);
        let (mut weight, mut first, mut second) = (0.0, 0.0, 0.0);
        let table = self.drawn();
        for cell in 0..CELLS {
            let share = table.at((cell as f64 + 0.5) / CELLS as f64);
            if !(0.0..1.0).contains(&share) || share <= 0.0 {
                continue;
            }
            let chance = at_least(share);
            weight += chance;
            first += chance * share;
            second += chance * share * share;
        }
        if weight < 1e-9 {
            // All of what was thought of lies far below what was sold: the sales alone speak.
            return Self {
                alpha: self.alpha + sold,
                beta: self.beta + tried - sold,
            };
        }
        let mean = first / weight;
        let variance = (second / weight - mean * mean).max(1e-18);
        let both = (mean * (1.0 - mean) / variance - 1.0).max(1e-3);
        Self {
            alpha: mean * both,
            beta: (1.0 - mean) * both,
        }
    }

    /// The spread as a table to draw from.
    pub(super) fn drawn(self) -> Drawn {
        let (low, high) = (self.quantile(1e-9), self.quantile(1.0 - 1e-9));
        let shares: Vec<f64> = (0..=CELLS)
            .map(|cell| low + (high - low) * cell as f64 / CELLS as f64)
            .collect();
        let below = shares.iter().map(|share| self.below(*share)).collect();
        Drawn { shares, below }
    }
}

/// How much lies below each of evenly spaced shares.
#[derive(Debug, Clone)]
pub(super) struct Drawn {
    shares: Vec<f64>,
    below: Vec<f64>,
}

impl Drawn {
    /// The share with `u` (0 to 1) below it.
    pub(super) fn at(&self, u: f64) -> f64 {
        let cell = self
            .below
            .partition_point(|below| *below < u)
            .clamp(1, CELLS);
        let (low, high) = (self.below[cell - 1], self.below[cell]);
        let part = if high > low {
            ((u - low) / (high - low)).clamp(0.0, 1.0)
        } else {
            0.0
        };
        self.shares[cell - 1] + (self.shares[cell] - self.shares[cell - 1]) * part
    }
}
