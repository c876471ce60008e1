//! What a publisher offers, held against an edition of one's own as what the artist takes home.

use super::draws::Draws;
use super::ground::Ground;
use super::path::{Cost, Path};
use super::sheet::{Spread, sample, share, spread};

/// Share of the profit that artists are usually given: from 40 to 60 percent; common practice, no source.
pub const PROFIT_SHARE: (f64, f64) = (0.4, 0.6);

/// How an offer pays.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Pays {
    /// A share of what each sold copy counts for, in main units.
    Royalty {
        /// The share (0 to 1).
        share: f64,
        /// What a copy counts for: the list price without tax, or what the publisher gets for it.
        on: f64,
    },
    /// A share of the profit of the edition, if there is one.
    Profit {
        /// The share (0 to 1).
        share: f64,
    },
}

/// A publisher's offer.
#[derive(Debug, Clone, PartialEq)]
pub struct Offer {
    /// Who offers.
    pub name: String,
    /// What is paid at once and kept whatever is sold, set against what is earned later.
    pub advance: f64,
    /// How it pays.
    pub pays: Pays,
    /// How many times our demand the publisher reaches.
    pub reach: f64,
    /// Copies that are printed; as many as our best quantity, unless said.
    pub copies: Option<u64>,
}

/// An offer beside an edition of one's own.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Held {
    /// What the artist takes home with it.
    pub takes: Spread,
    /// What the artist takes home without it.
    pub own: Spread,
    /// Chance (0 to 1) that the offer brings more, with the same demand for both.
    pub better: f64,
}

impl Offer {
    /// Holds it against an edition of one's own. Both meet the same histories of the demand.
    pub fn held(&self, ground: &Ground, draws: &Draws, own: Cost, volume: f64) -> Held {
        let path = Path::new(ground, own, volume);
        let copies = self.copies.map_or(own.good as f64, |copies| copies as f64);
        let takes = |wanted: f64| {
            let reached = (wanted + ground.pledged() as f64) * self.reach;
            let earned = match self.pays {
                Pays::Royalty { share, on } => share * on * reached.min(copies),
                Pays::Profit { share } => {
                    // The publisher prints what we would, and sells to whom it reaches.
                    let beyond = (reached - ground.pledged() as f64).max(0.0);
                    share * path.profit(beyond).max(0.0)
                }
            };
            earned.max(self.advance)
        };
        let theirs: Vec<f64> = sample(draws).map(takes).collect();
        let ours: Vec<f64> = sample(draws).map(|wanted| path.profit(wanted)).collect();
        let gap: Vec<f64> = theirs
            .iter()
            .zip(&ours)
            .map(|(theirs, ours)| theirs - ours)
            .collect();
        Held {
            better: share(&gap, |gap| gap > 0.0),
            takes: spread(theirs),
            own: spread(ours),
        }
    }
}
