//! Quantities side by side: what each is expected to bring, and what it risks.

use jiff::civil::Date;

use super::QuantityError;
use super::draws::Draws;
use super::ground::Ground;
use super::path::{Cost, Days, Path, When};
use crate::cash::Curve;

/// Histories that stand for all where a figure is no plain sum, evenly spread over the sorted ones.
const SAMPLE: usize = 512;
/// What hardly matters, as a share of the best expected profit; our choice.
const HARDLY: f64 = 0.02;
/// Months after which the stock is told.
pub const MONTHS: [u32; 3] = [6, 12, 24];
/// The slow, the middle and the quick demand, by the share of histories below them.
pub const PACES: [f64; 3] = [0.05, 0.5, 0.95];

/// A figure over all histories.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// Its mean.
    pub mean: f64,
    /// One in twenty is lower.
    pub low: f64,
    /// Half are lower.
    pub middle: f64,
    /// One in twenty is higher.
    pub high: f64,
}

impl Spread {
    /// Of a sample of histories.
    fn of(mut sample: Vec<f64>) -> Self {
        sample.sort_by(f64::total_cmp);
        let at = |u: f64| {
            let place = (u * sample.len() as f64) as usize;
            sample
                .get(place.min(sample.len().saturating_sub(1)))
                .copied()
                .unwrap_or(0.0)
        };
        Self {
            mean: sample.iter().sum::<f64>() / sample.len().max(1) as f64,
            low: at(PACES[0]),
            middle: at(PACES[1]),
            high: at(PACES[2]),
        }
    }
}

/// Copies in the room.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stock {
    /// Months after the books are in hand.
    pub months: u32,
    /// Copies.
    pub copies: Spread,
    /// Cubic metres that the mean takes.
    pub room: f64,
}

/// When the purse is emptiest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Low {
    /// The day.
    pub day: Date,
    /// How it stands then, in main units.
    pub sum: f64,
}

/// One quantity.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// What it costs.
    pub cost: Cost,
    /// What one good copy costs, in main units.
    pub each: f64,
    /// What is earned, in main units.
    pub profit: Spread,
    /// Standard error of the mean, from the number of histories alone.
    pub error: f64,
    /// Chance (0 to 1) that money is lost.
    pub loss: f64,
    /// Chance (0 to 1) that all copies are sold in the end.
    pub sold_out: f64,
    /// Chance (0 to 1) that all copies are sold by the day that was asked for.
    pub sold_out_by: Option<f64>,
    /// Chance (0 to 1) that more are left after a year than were said to be too many.
    pub too_many: f64,
    /// Copies that are sold on average in the end, the pledged ones among them.
    pub sold: f64,
    /// Copies that are wanted on average when none is left.
    pub missed: f64,
    /// Pledged copies that cannot be met.
    pub unmet: u64,
    /// Copies in the room after [`MONTHS`].
    pub stock: [Stock; 3],
    /// When the purse is emptiest at each of [`PACES`]; `None` where no money flows.
    pub cash: [Option<Low>; 3],
    /// The day from which the purse is never below nothing again, at the middle pace.
    pub even: Option<Date>,
}

/// What must be known beside the ground and the demand.
#[derive(Debug, Clone, Copy)]
pub struct Around<'w> {
    /// The days that money hangs on.
    pub when: &'w When,
    /// Room of one copy in cubic metres, with its share of the carton.
    pub volume: f64,
    /// By when it is asked whether all are sold.
    pub sold_out_by: Option<Date>,
}

impl Row {
    /// Reckons one quantity.
    pub fn of(ground: &Ground, draws: &Draws, cost: Cost, around: Around<'_>) -> Self {
        Self::on(ground, draws, cost, around, &Days::of(ground, around.when))
    }

    fn on(ground: &Ground, draws: &Draws, cost: Cost, around: Around<'_>, days: &Days<'_>) -> Self {
        let path = Path::new(ground, cost, around.volume);
        let season = &ground.season;
        let months = season.months();
        let free = path.free();
        let sold = |month: f64| draws.sold(season.come(month), free);
        let stock: f64 = (0..months).map(|month| free - sold(month as f64)).sum();
        let sample: Vec<f64> = sample(draws).map(|wanted| path.profit(wanted)).collect();
        let mean = path.of(sold(months as f64), stock);
        let loss = share(&sample, |profit| profit < 0.0);
        let error = deviation(&sample) / (draws.count() as f64).sqrt();
        let stock = MONTHS.map(|after| {
            let left = |u: f64| path.left(draws.quantile(u), f64::from(after));
            let mean = free - sold(f64::from(after));
            Stock {
                months: after,
                copies: Spread {
                    mean,
                    low: left(PACES[2]),
                    middle: left(PACES[1]),
                    high: left(PACES[0]),
                },
                room: mean * around.volume,
            }
        });
        let purses = PACES.map(|pace| path.purse_on(days, draws.quantile(pace)));
        let low = |curve: &Curve| curve.low.map(|(day, sum)| Low { day, sum });
        let year = season.come(12.0);
        let left_too_many = free - ground.too_many as f64;
        Self {
            cost,
            each: cost.total.decimal().approximate() / (cost.good.max(1)) as f64,
            profit: Spread {
                mean,
                ..Spread::of(sample)
            },
            error,
            loss,
            sold_out: draws.reaches(season.come(months as f64), free),
            sold_out_by: around.sold_out_by.map(|day| {
                draws.reaches(season.come(months_between(around.when.in_hand, day)), free)
            }),
            // More left than so many: fewer sold than the rest.
            too_many: if left_too_many > 0.0 {
                1.0 - draws.reaches(year, left_too_many)
            } else {
                0.0
            },
            sold: path.pledged() + sold(months as f64),
            missed: draws.mean() - sold(months as f64),
            unmet: ground.pledged() - path.pledged() as u64,
            stock,
            even: purses[1].even(),
            cash: [low(&purses[0]), low(&purses[1]), low(&purses[2])],
        }
    }
}

/// The rule of thumb beside the best quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rule {
    /// Where its row stands.
    pub row: usize,
    /// What it gives up against the best quantity on average, in main units.
    pub regret: f64,
    /// Standard error of that, by the same histories.
    pub error: f64,
}

/// Why the best quantity is where it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// What one copy more costs there, in main units.
    pub one_more: f64,
    /// What a copy too few gives up.
    pub under: f64,
    /// What a copy too many loses.
    pub over: f64,
    /// The critical ratio of both (0 to 1).
    pub ratio: f64,
    /// The chance (0 to 1) that the quantity covers the whole demand.
    pub covers: f64,
}

/// Quantities side by side.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// In rising order of copies.
    pub rows: Vec<Row>,
    /// Where the best expected profit stands.
    pub best: usize,
    /// First and last of the quantities around it that are as good within what hardly matters.
    pub hardly: (usize, usize),
    /// How much hardly matters, in main units: two percent of the best profit, or two standard errors
    /// if these are more.
    pub within: f64,
    /// The rule of thumb, if its quantity was among those priced.
    pub rule: Option<Rule>,
    /// Why the best is where it is; `None` with fewer than two quantities.
    pub balance: Option<Balance>,
}

impl Sheet {
    /// Reckons every quantity that is priced.
    ///
    /// # Errors
    /// None is priced.
    pub fn of(
        ground: &Ground,
        draws: &Draws,
        costs: &[Cost],
        around: Around<'_>,
    ) -> Result<Self, QuantityError> {
        let mut costs = costs.to_vec();
        costs.sort_by_key(|cost| cost.copies);
        costs.dedup_by_key(|cost| cost.copies);
        let days = Days::of(ground, around.when);
        let rows: Vec<Row> = costs
            .iter()
            .map(|cost| Row::on(ground, draws, *cost, around, &days))
            .collect();
        let best = (0..rows.len())
            .reduce(|best, row| {
                if rows[row].profit.mean > rows[best].profit.mean {
                    row
                } else {
                    best
                }
            })
            .ok_or(QuantityError::NoCost)?;
        let profit = rows[best].profit.mean;
        let within = (HARDLY * profit.abs()).max(2.0 * rows[best].error);
        let near = |row: &usize| rows[*row].profit.mean >= profit - within;
        let first = (0..best).rev().take_while(near).last().unwrap_or(best);
        let last = (best + 1..rows.len())
            .take_while(near)
            .last()
            .unwrap_or(best);
        let rule = rows
            .iter()
            .position(|row| row.cost.copies == ground.rule().1)
            .map(|row| {
                let (ours, theirs) = (
                    Path::new(ground, rows[best].cost, around.volume),
                    Path::new(ground, rows[row].cost, around.volume),
                );
                let gap: Vec<f64> = sample(draws)
                    .map(|wanted| ours.profit(wanted) - theirs.profit(wanted))
                    .collect();
                Rule {
                    row,
                    regret: profit - rows[row].profit.mean,
                    error: deviation(&gap) / (draws.count() as f64).sqrt(),
                }
            });
        let balance = balance(ground, draws, &rows, best, around.volume);
        Ok(Self {
            rows,
            best,
            hardly: (first, last),
            within,
            rule,
            balance,
        })
    }

    /// Whether the best quantity is expected to earn.
    pub fn earns(&self) -> bool {
        self.rows[self.best].profit.mean > 0.0
    }

    /// Where no quantity is expected to earn: how much more every sold copy would have to bring, in main units,
    /// so that one of them at least loses nothing. That one need not be the best as it is.
    pub fn lacks(&self) -> Option<f64> {
        if self.earns() {
            return None;
        }
        let needs = |row: &Row| -row.profit.mean / row.sold;
        let sells = self.rows.iter().filter(|row| row.sold > 0.0);
        sells.map(needs).reduce(f64::min)
    }
}

fn balance(
    ground: &Ground,
    draws: &Draws,
    rows: &[Row],
    best: usize,
    volume: f64,
) -> Option<Balance> {
    let (a, b) = if best + 1 < rows.len() {
        (best, best + 1)
    } else {
        (best.checked_sub(1)?, best)
    };
    let total = |row: usize| rows[row].cost.total.decimal().approximate();
    let more = rows[b].cost.good as f64 - rows[a].cost.good as f64;
    if more <= 0.0 {
        return None;
    }
    let one_more = (total(b) - total(a)) / more;
    let stored = ground.storage * volume * ground.season.months() as f64;
    let under = ground.brings() - one_more;
    let over = one_more + stored - ground.leftover;
    let free = Path::new(ground, rows[best].cost, volume).free();
    Some(Balance {
        one_more,
        under,
        over,
        ratio: if under + over > 0.0 {
            (under / (under + over)).clamp(0.0, 1.0)
        } else {
            0.0
        },
        covers: 1.0 - draws.reaches(1.0, free + 1.0),
    })
}

/// Demands that stand for all, evenly spread over the sorted ones.
pub(super) fn sample(draws: &Draws) -> impl Iterator<Item = f64> + '_ {
    (0..SAMPLE).map(|place| draws.quantile((place as f64 + 0.5) / SAMPLE as f64))
}

pub(super) fn spread(sample: Vec<f64>) -> Spread {
    Spread::of(sample)
}

/// Share (0 to 1) of a sample that is so.
pub(super) fn share(sample: &[f64], so: impl Fn(f64) -> bool) -> f64 {
    sample.iter().filter(|value| so(**value)).count() as f64 / sample.len().max(1) as f64
}

fn deviation(sample: &[f64]) -> f64 {
    let count = sample.len().max(2) as f64;
    let mean = sample.iter().sum::<f64>() / count;
    (sample
        .iter()
        .map(|value| (value - mean).powi(2))
        .sum::<f64>()
        / (count - 1.0))
        .sqrt()
}

/// Months from a day to another, with parts by the thirtieth; none for a day before it.
fn months_between(from: Date, to: Date) -> f64 {
    if to <= from {
        return 0.0;
    }
    let months = (i32::from(to.year()) - i32::from(from.year())) * 12 + i32::from(to.month())
        - i32::from(from.month());
    f64::from(months) + f64::from(i32::from(to.day()) - i32::from(from.day())) / 30.0
}
