//! The cost of any quantity, from the few that were quoted.
//!
//! A quoted quantity costs what was quoted. Between two the cost runs straight, and beyond the outer
//! ones on along the last stretch. How far off that may be is bounded by what every price list keeps
//! to: more copies never cost less in all, and no copy of more costs more than a copy of fewer.
//!
//! Parting a cost into what is fixed and what runs with each copy is a fit of a straight line by least
//! squares, with its 95 % interval by Student's distribution where there are three points or more. Two
//! points tell a line and nothing of how far it is off; one tells neither part.

use measure::{Currency, Decimal, Money, MoneyError, UnitPrice, divided};

use crate::PriceError;

/// Costs of quantities.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Curve {
    /// Rising, each quantity once; at least one.
    points: Vec<(u64, Money)>,
    currency: Currency,
}

/// What a quantity costs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Estimate {
    /// The cost; that which was quoted, if this quantity was.
    pub cost: Money,
    /// It is hardly less.
    pub low: Money,
    /// It is hardly more.
    pub high: Money,
    /// Whether exactly this quantity was quoted.
    pub quoted: bool,
    /// Whether it lies beyond all that were quoted.
    pub beyond: bool,
}

/// A cost parted in two.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Parts {
    /// What arises whatever the quantity; below zero where the line falls so.
    pub fixed: Money,
    /// What each copy adds.
    pub running: UnitPrice,
    /// Half the width of the 95 % interval of both; nothing where the points cannot tell.
    pub within: Option<(Money, UnitPrice)>,
}

impl Curve {
    /// From quoted costs, in any order.
    ///
    /// # Errors
    /// [`PriceError::Lacking`] without a point; [`PriceError::Twice`]; two currencies; no copies at
    /// all, or costs below zero.
    pub fn of(points: &[(u64, Money)]) -> Result<Self, PriceError> {
        let mut points = points.to_vec();
        points.sort_by_key(|(copies, _)| *copies);
        let currency = points
            .first()
            .ok_or(PriceError::Lacking("a price"))?
            .1
            .currency();
        for (copies, cost) in &points {
            if cost.currency() != currency {
                return Err(MoneyError::TwoCurrencies(currency, cost.currency()).into());
            }
            if *copies == 0 || cost.minor() < 0 {
                return Err(PriceError::NoAmount(format!("{copies} copies at {cost}")));
            }
        }
        match points.windows(2).find(|pair| pair[0].0 == pair[1].0) {
            Some(pair) => Err(PriceError::Twice(pair[0].0)),
            None => Ok(Self { points, currency }),
        }
    }

    /// The quoted costs, rising by quantity.
    pub fn points(&self) -> &[(u64, Money)] {
        &self.points
    }

    /// What a quantity costs. Rounded half away from zero to the smallest unit.
    ///
    /// # Errors
    /// Too large.
    pub fn at(&self, copies: u64) -> Result<Estimate, PriceError> {
        let place = self.points.partition_point(|(known, _)| *known < copies);
        let before = place.checked_sub(1).map(|place| self.points[place]);
        let after = self.points.get(place).copied();
        if let Some((known, cost)) = after
            && known == copies
        {
            return Ok(Estimate {
                cost,
                low: cost,
                high: cost,
                quoted: true,
                beyond: false,
            });
        }
        // More never costs less in all; a copy of more never costs more than one of fewer.
        let low = [
            before.map(|(_, cost)| cost.minor()),
            after
                .map(|(known, cost)| scaled(cost.minor(), copies, known))
                .transpose()?,
        ];
        let high = [
            before
                .map(|(known, cost)| scaled(cost.minor(), copies, known))
                .transpose()?,
            after.map(|(_, cost)| cost.minor()),
        ];
        let low = low.into_iter().flatten().max().unwrap_or(0);
        let high = high.into_iter().flatten().min().unwrap_or(i64::MAX);
        let middle = low / 2 + high / 2 + (low % 2 + high % 2) / 2;
        let last = self.points.len() - 1;
        let cost = match (before, after) {
            (Some(one), Some(other)) => line(one, other, copies)?,
            (Some(_), None) if last > 0 => line(self.points[last - 1], self.points[last], copies)?,
            (None, Some(_)) if last > 0 => line(self.points[0], self.points[1], copies)?,
            _ => middle,
        }
        .max(0);
        let money = |minor| Money::from_minor(minor, self.currency);
        Ok(Estimate {
            cost: money(cost),
            // A list that keeps to neither rule has wider bounds, never ones that leave the cost out.
            low: money(low.min(high).min(cost)),
            high: money(high.max(low).max(cost)),
            quoted: false,
            beyond: before.is_none() || after.is_none(),
        })
    }

    /// The cost parted into what is fixed and what runs, by least squares; nothing for one point.
    ///
    /// The line itself is reckoned exactly and rounded half away from zero; only the interval, which
    /// is statistics, passes through floating point.
    ///
    /// # Errors
    /// Too large.
    pub fn parts(&self) -> Result<Option<Parts>, PriceError> {
        let count = self.points.len();
        if count < 2 {
            return Ok(None);
        }
        let too_large = || PriceError::Money(MoneyError::TooLarge);
        let fit = Sums::of(&self.points)
            .and_then(|sums| sums.line(self.currency.decimals()))
            .ok_or_else(too_large)?;
        let amount = |billionths| Decimal::from_billionths(billionths).ok_or_else(too_large);
        let fixed = Money::from_decimal(amount(fit.fixed)?, self.currency).ok_or_else(too_large)?;
        let running = UnitPrice::new(amount(fit.running)?, self.currency);
        let within = match count {
            2 => None,
            _ => self.within(&fit),
        };
        Ok(Some(Parts {
            fixed,
            running,
            within,
        }))
    }

    /// Half the widths of the 95 % intervals of the fixed and the running part.
    fn within(&self, fit: &Line) -> Option<(Money, UnitPrice)> {
        let count = self.points.len() as f64;
        let (fixed, running) = (fit.fixed as f64 / 1e9, fit.running as f64 / 1e9);
        let xs = || self.points.iter().map(|(copies, _)| *copies as f64);
        let mean = xs().sum::<f64>() / count;
        let spread: f64 = xs().map(|x| (x - mean).powi(2)).sum();
        let off: f64 = self
            .points
            .iter()
            .map(|(copies, cost)| {
                let foretold = fixed + running * *copies as f64;
                (cost.decimal().approximate() - foretold).powi(2)
            })
            .sum();
        let freedom = self.points.len() - 2;
        let error = (off / freedom as f64).sqrt();
        let times = student(freedom);
        let of_running = times * error / spread.sqrt();
        let of_fixed = times * error * (1.0 / count + mean * mean / spread).sqrt();
        Some((
            Money::from_decimal(Decimal::nearest(of_fixed)?, self.currency)?,
            UnitPrice::new(Decimal::nearest(of_running)?, self.currency),
        ))
    }
}

/// A line, in billionths of main units.
struct Line {
    fixed: i128,
    running: i128,
}

/// The sums that a line by least squares is made of; costs in smallest units.
struct Sums {
    count: i128,
    x: i128,
    y: i128,
    xx: i128,
    xy: i128,
}

impl Sums {
    fn of(points: &[(u64, Money)]) -> Option<Self> {
        let mut sums = Self {
            count: points.len() as i128,
            x: 0,
            y: 0,
            xx: 0,
            xy: 0,
        };
        for (copies, cost) in points {
            let (x, y) = (i128::from(*copies), i128::from(cost.minor()));
            sums.x = sums.x.checked_add(x)?;
            sums.y = sums.y.checked_add(y)?;
            sums.xx = sums.xx.checked_add(x.checked_mul(x)?)?;
            sums.xy = sums.xy.checked_add(x.checked_mul(y)?)?;
        }
        Some(sums)
    }

    fn line(&self, decimals: u32) -> Option<Line> {
        let unit = 10_i128.pow(9_u32.saturating_sub(decimals));
        let times = |a: i128, b: i128| a.checked_mul(b);
        let spread = times(self.count, self.xx)?.checked_sub(times(self.x, self.x)?)?;
        let along = times(self.count, self.xy)?.checked_sub(times(self.x, self.y)?)?;
        let across = times(self.y, self.xx)?.checked_sub(times(self.x, self.xy)?)?;
        Some(Line {
            running: divided(along.checked_mul(unit)?, spread)?,
            fixed: divided(across.checked_mul(unit)?, spread)?,
        })
    }
}

/// So much for `copies` if it is `cost` for `known`.
fn scaled(cost: i64, copies: u64, known: u64) -> Result<i64, PriceError> {
    let product = i128::from(cost).checked_mul(i128::from(copies));
    product
        .and_then(|product| divided(product, i128::from(known)))
        .and_then(|cost| i64::try_from(cost).ok())
        .ok_or(PriceError::Money(MoneyError::TooLarge))
}

/// The cost on the line through two points.
fn line(one: (u64, Money), other: (u64, Money), copies: u64) -> Result<i64, PriceError> {
    let step = i128::from(other.0) - i128::from(one.0);
    let rise = i128::from(other.1.minor()) - i128::from(one.1.minor());
    rise.checked_mul(i128::from(copies) - i128::from(one.0))
        .and_then(|rise| divided(rise, step))
        .and_then(|rise| rise.checked_add(i128::from(one.1.minor())))
        .and_then(|cost| i64::try_from(cost).ok())
        .ok_or(PriceError::Money(MoneyError::TooLarge))
}

/// The factor of a two-sided 95 % interval by Student's distribution. Up to ten degrees of freedom by
/// the usual table (from memory), beyond by the expansion
/// in Abramowitz and Stegun, 26.7.5 (from memory): within a hundred-thousandth of itself, as
/// `outside/cost_curve.py` holds it.
fn student(freedom: usize) -> f64 {
    const TABLE: [f64; 10] = [
        12.706_205, 4.302_653, 3.182_446, 2.776_445, 2.570_582, 2.446_912, 2.364_624, 2.306_004,
        2.262_157, 2.228_139,
    ];
    if let Some(factor) = freedom.checked_sub(1).and_then(|at| TABLE.get(at)) {
        return *factor;
    }
    const Z: f64 = 1.959_963_985;
    let n = freedom.max(1) as f64;
    Z + (Z.powi(3) + Z) / (4.0 * n)
        + (5.0 * Z.powi(5) + 16.0 * Z.powi(3) + 3.0 * Z) / (96.0 * n.powi(2))
        + (3.0 * Z.powi(7) + 19.0 * Z.powi(5) + 17.0 * Z.powi(3) - 15.0 * Z) / (384.0 * n.powi(3))
        + (79.0 * Z.powi(9) + 776.0 * Z.powi(7) + 1482.0 * Z.powi(5)
            - 1920.0 * Z.powi(3)
            - 945.0 * Z)
            / (92_160.0 * n.powi(4))
}
