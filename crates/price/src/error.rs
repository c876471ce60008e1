//! What cannot be asked, read or reckoned, in words for people.

use measure::{Currency, MoneyError};
use thiserror::Error;

use crate::answer::Doubt;
use crate::sheet::SheetError;

/// What went wrong. Displays as a sentence; [`PriceError::hint`] says what to do.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum PriceError {
    /// Sums that cannot be reckoned.
    #[error("{0}")]
    Money(#[from] MoneyError),
    /// Two currencies without a rate between them.
    #[error("no rate of exchange between {from} and {to} is said")]
    NoRate {
        /// The currency that there is.
        from: Currency,
        /// The currency that is wanted.
        to: Currency,
    },
    /// An invoice in another currency than the prices that were ordered by.
    #[error("the invoice is in {billed}, and the prices that were ordered by are in {asked}")]
    BilledOtherwise {
        /// The currency of the invoice.
        billed: Currency,
        /// The currency of the answer.
        asked: Currency,
    },
    /// A request without a quantity.
    #[error("the book does not say how many copies are wished for")]
    NoQuantity,
    /// An answer that lacks what none can do without.
    #[error("{0} is missing")]
    Lacking(&'static str),
    /// Two prices of one quantity.
    #[error("there are two prices for {0} copies")]
    Twice(u64),
    /// An amount or a quantity that no answer has.
    #[error("`{0}` is no amount that an answer has")]
    NoAmount(String),
    /// A sheet that cannot be read or written.
    #[error("{0}")]
    Sheet(#[from] SheetError),
    /// Something that could not be read for certain.
    #[error("{}: `{}`: {}", .0.cell, .0.found, .0.why)]
    Doubtful(Box<Doubt>),
}

impl PriceError {
    /// What to do about it; a sentence, or nothing.
    pub fn hint(&self) -> String {
        match self {
            Self::Money(MoneyError::TwoCurrencies(from, to)) | Self::NoRate { from, to } => {
                format!(
                    "Add a `[[rate]]` from {from} to {to} to the book, with its day and who gave it."
                )
            }
            Self::Money(MoneyError::TooLarge) => {
                "Look for a slip in quantities, prices or rates.".to_owned()
            }
            Self::BilledOtherwise { asked, .. } => format!(
                "Ask for a bill in {asked}: what was agreed can be held against it to the cent alone in \
                 the currency in which it was agreed."
            ),
            Self::Lacking(_) => "Say it beside the answer; nothing was taken over.".to_owned(),
            Self::Twice(_) => "Leave one of them out.".to_owned(),
            Self::NoAmount(_) => "Look for a slip in that place.".to_owned(),
            Self::Doubtful(doubt) => match &doubt.taken {
                Some(taken) => format!("Agree that it is taken as `{taken}`, or mend it."),
                None => "Agree that it is left out, or mend it.".to_owned(),
            },
            Self::Sheet(error) => error.hint().to_owned(),
            Self::NoQuantity => "Say the wish, such as `copies = 800` under `[ask]`.".to_owned(),
        }
    }
}
