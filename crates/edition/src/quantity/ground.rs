//! What a choice of quantity stands on.

use measure::Currency;

use super::QuantityError;
use super::channel::Channel;
use super::conversion::Conversion;
use super::season::Season;

/// Least and most of the rule of thumb: between half a percent and one percent of the whole audience buys;
/// common practice, no source.
pub const RULE: (f64, f64) = (0.005, 0.01);

/// People who know of the book.
#[derive(Debug, Clone, PartialEq)]
pub struct Audience {
    /// What it is called: `letter to readers`.
    pub place: String,
    /// How many.
    pub people: u64,
    /// What share of them buys, as said.
    pub prior: Conversion,
    /// The same after all sales that are known.
    pub now: Conversion,
    /// Copies that were sold to it, as far as is known.
    pub sold: u64,
    /// Who says so; may be empty.
    pub by: String,
}

/// What a choice of quantity stands on. Sums are in main units of one currency.
#[derive(Debug, Clone, PartialEq)]
pub struct Ground {
    /// The currency.
    pub currency: Currency,
    /// People who know of the book.
    pub audiences: Vec<Audience>,
    /// Ways of selling; their shares sum to one.
    pub channels: Vec<Channel>,
    /// When the demand comes.
    pub season: Season,
    /// How far the luck of the audiences goes together (0 to 1).
    pub together: f64,
    /// Storage for a cubic metre and month.
    pub storage: f64,
    /// What a copy is worth that is left at the end.
    pub leftover: f64,
    /// The chance of more than so many left after a year is told.
    pub too_many: u64,
    /// What was not said and is taken for usual, in words.
    pub assumed: Vec<String>,
}

impl Ground {
    /// The same, if it can be.
    ///
    /// # Errors
    /// Nobody to buy or to sell, shares over the whole.
    pub fn checked(mut self) -> Result<Self, QuantityError> {
        if self.audiences.is_empty() && self.pledged() == 0 {
            return Err(QuantityError::NoAudience);
        }
        if let Some(empty) = self.audiences.iter().find(|audience| audience.people == 0) {
            return Err(QuantityError::Empty {
                place: empty.place.clone(),
            });
        }
        if self.channels.is_empty() {
            return Err(QuantityError::NoChannel);
        }
        let sum: f64 = self.channels.iter().map(|channel| channel.share).sum();
        if sum > 1.0 + 1e-9 {
            return Err(QuantityError::Shares {
                found: (sum * 1e4).round() / 100.0,
            });
        }
        let rest = 1.0 - sum;
        if rest > 1e-9 {
            // What no share is said of goes the first way.
            self.channels[0].share += rest;
        }
        self.together = self.together.clamp(0.0, 1.0);
        Ok(self)
    }

    /// All people who know of the book; the same person may be in several audiences.
    pub fn people(&self) -> u64 {
        self.audiences.iter().map(|audience| audience.people).sum()
    }

    /// Copies that are promised and paid.
    pub fn pledged(&self) -> u64 {
        self.channels.iter().map(|channel| channel.pledged).sum()
    }

    /// What one copy brings that is not pledged, by the shares of the channels.
    pub fn brings(&self) -> f64 {
        self.channels
            .iter()
            .map(|channel| channel.share * channel.brings)
            .sum()
    }

    /// Copies by the rule of thumb: least, middle and most.
    pub fn rule(&self) -> (u64, u64, u64) {
        let people = self.people() as f64;
        let at = |share: f64| (people * share).round() as u64;
        (at(RULE.0), at((RULE.0 + RULE.1) / 2.0), at(RULE.1))
    }

    /// Copies that are expected to be wanted, the pledged ones among them.
    pub fn wanted(&self) -> f64 {
        let of = |audience: &Audience| audience.people as f64 * audience.now.mean();
        self.pledged() as f64 + self.audiences.iter().map(of).sum::<f64>()
    }
}
