//! An invoice held against the price that was asked: copies within tolerance, overs billed, charges
//! that nobody spoke of, freight against the estimate, author's alterations, sums that do not add up.

mod fields;
mod held;

use finding::Finding;
use jiff::civil::Date;
use measure::{Currency, Money};

use crate::PriceError;
use crate::answer::{Answer, Doubt};

/// A printer's invoice.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Invoice {
    /// Its number, as it stands on it; may be empty.
    pub number: String,
    /// Its day.
    pub dated: Option<Date>,
    /// The currency of all its sums.
    pub currency: Currency,
    /// Copies that were delivered.
    pub delivered: u64,
    /// Copies that were billed, those over the order among them.
    pub billed: u64,
    /// Its lines.
    pub lines: Vec<InvoiceLine>,
    /// The sum at its foot, if it has one.
    pub total: Option<Money>,
}

/// A line of an invoice.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InvoiceLine {
    /// What kind of charge it is.
    pub kind: LineKind,
    /// What for, in the invoice's words; may be empty where the kind says it.
    pub what: String,
    /// How much.
    pub cost: Money,
}

/// What a line of an invoice is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LineKind {
    /// Printing and binding of the copies.
    Print,
    /// Copies over the order, where they stand on a line of their own.
    Overs,
    /// A charge that arises once.
    OneOff,
    /// Freight.
    Freight,
    /// Changes that the artist asked for after the price was made.
    Alterations,
    /// Sales tax; in no price that was asked.
    Tax,
    /// Anything else.
    Other,
}

impl LineKind {
    /// The word for it in fields.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Print => "print",
            Self::Overs => "overs",
            Self::OneOff => "one-off",
            Self::Freight => "freight",
            Self::Alterations => "alterations",
            Self::Tax => "tax",
            Self::Other => "other",
        }
    }
}

/// An invoice, held against an answer.
#[derive(Debug, Clone, PartialEq)]
pub struct InvoiceRead {
    /// Line by line: what was asked and what is billed.
    pub held: Vec<Held>,
    /// The sum of its lines.
    pub sum: Money,
    /// What it should come to by the price that was asked, for the copies that may be billed.
    pub expected: Money,
    /// What is to be said of it; codes begin with `invoice-`.
    pub findings: Vec<Finding>,
}

/// A line, beside what was asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Held {
    /// What for.
    pub what: String,
    /// What was asked; nothing where the price has no such charge.
    pub asked: Option<Money>,
    /// What is billed; nothing where the invoice has no such line.
    pub billed: Option<Money>,
    /// How what was asked comes about.
    pub how: String,
}

impl Held {
    /// Billed less asked.
    ///
    /// # Errors
    /// Two currencies, or too large.
    pub fn difference(&self) -> Result<Money, PriceError> {
        Ok(match (self.billed, self.asked) {
            (Some(billed), Some(asked)) => billed.minus(asked)?,
            (Some(billed), None) => billed,
            (None, Some(asked)) => Money::zero(asked.currency()).minus(asked)?,
            (None, None) => Money::zero(Currency::EUR),
        })
    }
}

impl Invoice {
    /// From fields as a form or a command line hands them in; what cannot be read is a doubt, and left
    /// out. An empty value is not given.
    ///
    /// `number`, `dated`, `currency`, `delivered`, `billed` (as delivered unless said), `print`,
    /// `overs`, `one-off printing plates`, `freight`, `alterations`, `tax`, `other pallets`, `total`.
    ///
    /// # Errors
    /// [`PriceError::Lacking`] without a currency, the copies delivered, or a line.
    pub fn from_fields(fields: &[(&str, &str)]) -> Result<(Self, Vec<Doubt>), PriceError> {
        fields::read(fields)
    }

    /// The fields that [`Invoice::from_fields`] makes this invoice of again.
    pub fn fields(&self) -> Vec<(String, String)> {
        fields::of(self)
    }
}

/// Holds an invoice against the answer that was ordered by. `freight` is an own estimate, in the
/// invoice's currency, where the answer says none.
///
/// # Errors
/// Another currency than the answer's; an order of no copies; sums that are too large.
pub fn hold(
    invoice: &Invoice,
    against: &Answer,
    ordered: u64,
    freight: Option<Money>,
) -> Result<InvoiceRead, PriceError> {
    held::hold(invoice, against, ordered, freight)
}
