//! Many histories of the demand, sorted, so that every expectation is a look-up.

use rayon::prelude::*;
use statrs::distribution::{ContinuousCDF, Normal};

use super::conversion::Drawn;
use super::ground::Ground;
use crate::normal::quantile;
use crate::random::Stream;

/// Histories; a power of two, so that their mean loses nothing.
pub const HISTORIES: usize = 1 << 14;
/// Histories to a chunk: each has its own stream of chance, so that cores do not matter.
const CHUNK: usize = 1 << 11;
/// From this variance on the binomial is drawn as a normal one, rounded; below it is summed up exactly.
const SMOOTH: f64 = 40.0;

/// Copies wanted beyond the pledged ones, in many histories.
#[derive(Debug, Clone, PartialEq)]
pub struct Draws {
    /// Rising.
    wanted: Vec<f64>,
    /// Sums of the first, the first two … of them; one longer than they are.
    sums: Vec<f64>,
}

impl Draws {
    /// Draws the demand of all audiences. Their shares of buyers share one factor of luck, by a Gaussian
    /// copula whose correlation is [`Ground::together`]; who buys then is chance of its own.
    pub fn of(ground: &Ground, seed: u64) -> Self {
        let audiences: Vec<(f64, Drawn)> = ground
            .audiences
            .iter()
            .map(|audience| (audience.people as f64, audience.now.drawn()))
            .collect();
        let common = ground.together.clamp(0.0, 1.0).sqrt();
        let own = (1.0 - common * common).max(0.0).sqrt();
        let chunks: Vec<Vec<f64>> = (0..HISTORIES / CHUNK)
            .into_par_iter()
            .map(|chunk| {
                let mut stream = Stream::new(seed, chunk as u64);
                let normal = Normal::standard();
                let mut one = || {
                    let luck = quantile(stream.unit());
                    let mut wanted = 0.0;
                    for (people, shares) in &audiences {
                        let z = common * luck + own * quantile(stream.unit());
                        let share = shares.at(normal.cdf(z));
                        wanted += binomial(*people, share, stream.unit());
                    }
                    wanted
                };
                (0..CHUNK).map(|_| one()).collect()
            })
            .collect();
        Self::sorted(chunks.concat())
    }

    /// From demands in any order.
    pub fn sorted(mut wanted: Vec<f64>) -> Self {
        wanted.retain(|copies| copies.is_finite());
        if wanted.is_empty() {
            wanted.push(0.0);
        }
        wanted.sort_by(f64::total_cmp);
        let mut sums = Vec::with_capacity(wanted.len() + 1);
        let mut sum = 0.0;
        sums.push(sum);
        for copies in &wanted {
            sum += copies;
            sums.push(sum);
        }
        Self { wanted, sums }
    }

    /// How many histories.
    pub fn count(&self) -> usize {
        self.wanted.len()
    }

    /// Mean of the copies wanted.
    pub fn mean(&self) -> f64 {
        self.sums[self.count()] / self.count() as f64
    }

    /// Copies wanted in the history with the share `u` (0 to 1) of histories below it.
    pub fn quantile(&self, u: f64) -> f64 {
        let place = (u.clamp(0.0, 1.0) * self.count() as f64) as usize;
        self.wanted[place.min(self.count() - 1)]
    }

    /// Expected sales when the share `come` of the demand has come and there are so many copies:
    /// E min (come · D, copies).
    pub fn sold(&self, come: f64, copies: f64) -> f64 {
        if come <= 0.0 || copies <= 0.0 {
            return 0.0;
        }
        let enough = self.wanted.partition_point(|wanted| wanted * come < copies);
        let short = (self.count() - enough) as f64;
        (self.sums[enough] * come + short * copies) / self.count() as f64
    }

    /// Chance (0 to 1) that the share `come` of the demand takes at least so many copies.
    pub fn reaches(&self, come: f64, copies: f64) -> f64 {
        let below = self.wanted.partition_point(|wanted| wanted * come < copies);
        1.0 - below as f64 / self.count() as f64
    }

    /// Every history.
    pub fn all(&self) -> &[f64] {
        &self.wanted
    }
}

/// How many of so many people buy, each with this chance, when `u` of all cases lie below.
fn binomial(people: f64, chance: f64, u: f64) -> f64 {
    if chance <= 0.0 {
        return 0.0;
    }
    if chance >= 1.0 {
        return people;
    }
    let (mean, variance) = (people * chance, people * chance * (1.0 - chance));
    if variance > SMOOTH {
        return (mean + variance.sqrt() * quantile(u))
            .round()
            .clamp(0.0, people);
    }
    if chance > 0.5 {
        return people - binomial(people, 1.0 - chance, 1.0 - u);
    }
    let odds = chance / (1.0 - chance);
    let mut mass = (people * (-chance).ln_1p()).exp();
    let (mut below, mut buyers) = (mass, 0.0);
    while below < u && buyers < people && mass > 0.0 {
        mass *= odds * (people - buyers) / (buyers + 1.0);
        buyers += 1.0;
        below += mass;
    }
    buyers
}
