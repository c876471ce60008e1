//! What one good copy costs in the artist's hands: print, charges that arise once, freight, insurance,
//! duty, tax and fees, in one currency, over the copies that are fit to be sold.
//!
//! Every sum is rounded half away from zero to the smallest unit of its currency at the place where it
//! arises; a sum in another currency is multiplied or divided exactly and then rounded once. What nobody has said is named as missing, and the figure is too low by it.

mod ground;

use book::{Delivery, Landing};
use measure::{Currency, Decimal, Money, MoneyError, UnitPrice, divided};

use crate::PriceError;
use crate::answer::Answer;

pub(crate) use ground::{Ground, part_of};

/// What prices are put on one footing by.
#[derive(Debug, Clone, Copy)]
pub struct Footing<'a> {
    /// Currency, rates, insurance, spoilage, fees, duty, tax and own estimates of freight.
    pub landing: &'a Landing,
    /// Where the copies go.
    pub deliveries: &'a [Delivery],
    /// Whether the printer is at home: nothing is imported then.
    pub home: bool,
    /// Charges that were asked for ([`crate::request::charges`]): an answer that says nothing of one
    /// leaves open whether it is in the price.
    pub charges: &'a [&'static str],
}

/// What a part of the cost is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PartKind {
    /// Printing and binding.
    Print,
    /// A charge that arises once.
    OneOff,
    /// Freight to the delivery places.
    Freight,
    /// Insurance on the way.
    Insurance,
    /// Duty.
    Duty,
    /// Tax on import.
    Tax,
    /// The customs broker.
    Broker,
    /// The bank.
    Bank,
}

/// One part of the cost.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    /// What it is for.
    pub kind: PartKind,
    /// In words: `print`, `printing plates`, `freight`.
    pub what: String,
    /// In the currency in which it was said.
    pub said: Money,
    /// In the currency of the footing.
    pub in_hand: Money,
    /// How it comes about: who said it and when, by which rate.
    pub how: String,
    /// Whether it rests on something that nobody has said.
    pub assumed: bool,
}

/// All copies that may be billed over the order, if they are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct WithOvers {
    /// How many more copies; rounded down.
    pub copies: u64,
    /// What they cost, at the price of one copy of the order.
    pub cost: Money,
}

/// What a quantity costs in the artist's hands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Landed {
    /// Copies ordered.
    pub copies: u64,
    /// Of these fit to be sold, rounded down.
    pub good: u64,
    /// The parts, in the order of [`PartKind`].
    pub parts: Vec<Part>,
    /// Their sum.
    pub total: Money,
    /// What one good copy costs.
    pub each: UnitPrice,
    /// What nobody has said, so that the figure is too low.
    pub missing: Vec<String>,
    /// What the figure rests on that the printer has not said: it may turn out dearer by it.
    pub unsaid: Vec<String>,
    /// What comes on top if the printer delivers all overs that the answer allows; nothing where it
    /// allows none.
    pub overs: Option<WithOvers>,
    /// How the number of good copies comes about.
    pub spoilage: String,
    /// Bounds of the total where the quantity was not quoted, by [`crate::curve`].
    pub range: Option<(Money, Money)>,
}

impl Landed {
    /// The sum of all parts of a kind.
    ///
    /// # Errors
    /// Too large.
    pub fn of(&self, kind: PartKind) -> Result<Money, PriceError> {
        let mut sum = Money::zero(self.total.currency());
        for part in self.parts.iter().filter(|part| part.kind == kind) {
            sum = sum.plus(part.in_hand)?;
        }
        Ok(sum)
    }
}

/// Puts an answer on the footing, for a quantity.
///
/// # Errors
/// [`PriceError::NoRate`] where a currency has none; [`PriceError::NoAmount`] for no copies; too large.
pub fn landed(answer: &Answer, copies: u64, footing: &Footing<'_>) -> Result<Landed, PriceError> {
    Ground::of(answer, footing)?.landed(copies)
}

/// What is to be checked before one orders by an answer, each in a sentence: the rate of exchange, what
/// the delivery term leaves to the artist, freight to several places, what duty is taken on.
///
/// # Errors
/// As [`landed`].
pub fn to_check(answer: &Answer, footing: &Footing<'_>) -> Result<Vec<String>, PriceError> {
    Ok(Ground::of(answer, footing)?.to_check())
}

/// A sum in another currency, rounded once, half away from zero, to its smallest unit.
///
/// # Errors
/// [`PriceError::NoRate`] where the footing has none; too large.
pub fn converted(sum: Money, to: Currency, landing: &Landing) -> Result<Money, PriceError> {
    if sum.currency() == to {
        return Ok(sum);
    }
    Factor::between(sum.currency(), to, landing)?.of(sum)
}

/// `at 0.92 EUR for 1 USD of 2026-11-20, by the bank`; a rate that is said the other way round is named
/// as it is said, with how it is used.
pub(crate) fn rate_in_words(from: Currency, to: Currency, landing: &Landing) -> Option<String> {
    let rate = landing.rate_between(from, to).filter(|_| from != to)?;
    let by = match rate.by.as_str() {
        "" => String::new(),
        by => format!(", by {by}"),
    };
    let said = format!(
        "{} {} for 1 {} of {}{by}",
        rate.rate, rate.to, rate.from, rate.on
    );
    Some(if rate.from == to {
        format!("at the rate the other way round, divided by {said}")
    } else {
        format!("at {said}")
    })
}

/// A rate of exchange as it is used: as a fraction of smallest units, so that one rounds but once.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Factor {
    to: Currency,
    over: i128,
    under: i128,
}

impl Factor {
    pub(crate) fn between(
        from: Currency,
        to: Currency,
        landing: &Landing,
    ) -> Result<Self, PriceError> {
        let rate = landing
            .rate_between(from, to)
            .ok_or(PriceError::NoRate { from, to })?;
        let (over, under) = if rate.from == to {
            // Said the other way round: one divides by it.
            (Decimal::ONE, rate.rate)
        } else {
            (rate.rate, Decimal::ONE)
        };
        let (more, fewer) = (to.decimals(), from.decimals());
        Ok(Self {
            to,
            over: over.billionths() * 10_i128.pow(more.saturating_sub(fewer)),
            under: under.billionths() * 10_i128.pow(fewer.saturating_sub(more)),
        })
    }

    pub(crate) fn of(self, sum: Money) -> Result<Money, PriceError> {
        i128::from(sum.minor())
            .checked_mul(self.over)
            .and_then(|product| divided(product, self.under))
            .and_then(|minor| i64::try_from(minor).ok())
            .map(|minor| Money::from_minor(minor, self.to))
            .ok_or(PriceError::Money(MoneyError::TooLarge))
    }
}
