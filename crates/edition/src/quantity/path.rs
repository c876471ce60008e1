//! One quantity under one demand: what is sold by when, what it brings, and how the purse stands.

use jiff::ToSpan;
use jiff::civil::Date;
use measure::Money;

use super::ground::Ground;
use crate::cash::{Curve, Flow};

/// What a quantity costs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Cost {
    /// Copies ordered.
    pub copies: u64,
    /// Copies of these that are fit to be sold.
    pub good: u64,
    /// All that they cost in the artist's hands.
    pub total: Money,
    /// What of it is paid to the printer.
    pub to_printer: Money,
}

/// A part of what the printer gets, and when.
#[derive(Debug, Clone, PartialEq)]
pub struct Paid {
    /// What it is called.
    pub name: String,
    /// The day.
    pub day: Date,
    /// Its share (0 to 1).
    pub share: f64,
}

/// The days that sums of money hang on.
#[derive(Debug, Clone, PartialEq)]
pub struct When {
    /// When the order is given; pledges are paid by then.
    pub order: Date,
    /// When the books are in hand.
    pub in_hand: Date,
    /// What the printer gets when. What is not said here is paid when the books are in hand.
    pub paid: Vec<Paid>,
}

/// One quantity, made ready to be held against many demands.
#[derive(Debug, Clone, Copy)]
pub struct Path<'g> {
    ground: &'g Ground,
    cost: Cost,
    /// All that the copies cost, in main units.
    total: f64,
    /// Room of a copy with its share of the carton, in cubic metres.
    volume: f64,
    /// Copies beyond the pledged ones, and pledged ones that can be met.
    free: f64,
    pledged: f64,
    /// What all pledged copies that are met bring.
    pledges: f64,
    brings: f64,
}

impl<'g> Path<'g> {
    /// Makes a quantity ready; `volume` is the room of one copy in cubic metres, with its share of the carton.
    pub fn new(ground: &'g Ground, cost: Cost, volume: f64) -> Self {
        let good = cost.good as f64;
        let mut left = good;
        let (mut pledged, mut pledges) = (0.0, 0.0);
        for channel in &ground.channels {
            let met = (channel.pledged as f64).min(left);
            left -= met;
            pledged += met;
            pledges += met * channel.brings;
        }
        Self {
            ground,
            cost,
            total: cost.total.decimal().approximate(),
            volume,
            free: left,
            pledged,
            pledges,
            brings: ground.brings(),
        }
    }

    /// The quantity.
    pub const fn cost(&self) -> Cost {
        self.cost
    }

    /// Copies that can be sold beyond the pledged ones.
    pub const fn free(&self) -> f64 {
        self.free
    }

    /// Pledged copies that can be met.
    pub const fn pledged(&self) -> f64 {
        self.pledged
    }

    /// Copies left after so many months when so many are wanted beyond the pledged ones.
    pub fn left(&self, wanted: f64, months: f64) -> f64 {
        self.free - (wanted * self.ground.season.come(months)).min(self.free)
    }

    /// What is earned in main units when so many are wanted beyond the pledged ones.
    pub fn profit(&self, wanted: f64) -> f64 {
        let season = &self.ground.season;
        let stock = (0..season.months())
            .map(|month| self.left(wanted, month as f64))
            .sum();
        self.of(self.free - self.left(wanted, season.months() as f64), stock)
    }

    /// What is earned when so many are sold, and so many copies were in store at the beginning of all
    /// months together. Linear in both, so that it serves means as well as single histories.
    pub fn of(&self, sold: f64, stock: f64) -> f64 {
        self.pledges + self.brings * sold + self.ground.leftover * (self.free - sold)
            - self.ground.storage * self.volume * stock
            - self.total
    }

    /// All that is paid and taken when so many are wanted beyond the pledged ones. Sales of a month fall in its
    /// middle; what leftover copies are worth is nobody's cash.
    pub fn flows(&self, when: &When, wanted: f64) -> Vec<Flow> {
        self.flows_on(&Days::of(self.ground, when), wanted)
    }

    fn flows_on(&self, days: &Days<'_>, wanted: f64) -> Vec<Flow> {
        let mut flows = Vec::new();
        let mut add = |day: Date, sum: f64, what: &str| {
            if sum != 0.0 {
                flows.push(Flow {
                    day,
                    sum,
                    what: what.to_owned(),
                });
            }
        };
        add(days.when.order, self.pledges, "pledges");
        let printer = self.cost.to_printer.decimal().approximate();
        let printer = printer.min(self.total);
        let mut rest = self.total;
        for paid in &days.when.paid {
            let sum = printer * paid.share;
            rest -= sum;
            add(paid.day, -sum, &paid.name);
        }
        add(
            days.when.in_hand,
            -rest,
            "freight, import and what else is due on arrival",
        );
        for (month, on) in days.months.iter().enumerate() {
            let before = self.left(wanted, month as f64);
            let sold = before - self.left(wanted, month as f64 + 1.0);
            add(
                on.begins,
                -self.ground.storage * self.volume * before,
                "storage",
            );
            for (channel, paid) in self.ground.channels.iter().zip(&on.paid) {
                add(*paid, sold * channel.share * channel.brings, &channel.name);
            }
        }
        flows.sort_by_key(|flow| flow.day);
        flows
    }

    /// How the purse stands by the day, from nothing.
    pub fn purse(&self, when: &When, wanted: f64) -> Curve {
        self.purse_on(&Days::of(self.ground, when), wanted)
    }

    /// The same by days that are counted out already.
    pub(super) fn purse_on(&self, days: &Days<'_>, wanted: f64) -> Curve {
        Curve::of(0.0, &self.flows_on(days, wanted))
    }
}

/// The days that sums fall on, counted out once for all quantities.
#[derive(Debug, Clone)]
pub(super) struct Days<'w> {
    when: &'w When,
    months: Vec<Month>,
}

#[derive(Debug, Clone)]
struct Month {
    begins: Date,
    /// When each channel pays for what is sold in this month.
    paid: Vec<Date>,
}

impl<'w> Days<'w> {
    pub(super) fn of(ground: &Ground, when: &'w When) -> Self {
        let month = |month: usize| {
            let month = i64::try_from(month).unwrap_or(i64::MAX);
            let day = |more: i64| {
                when.in_hand
                    .checked_add(month.months().days(more))
                    .unwrap_or(Date::MAX)
            };
            let paid = ground.channels.iter();
            Month {
                begins: day(0),
                paid: paid
                    .map(|channel| day(15 + i64::from(channel.pays_after)))
                    .collect(),
            }
        };
        Self {
            when,
            months: (0..ground.season.months()).map(month).collect(),
        }
    }
}
