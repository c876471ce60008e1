//! What cannot be asked, read or reckoned, in words for people.

use measure::{Currency, MoneyError};
use thiserror::Error;

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
    /// A request without a quantity.
    #[error("the book does not say how many copies are wished for")]
    NoQuantity,
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
            Self::NoQuantity => "Say the wish, such as `copies = 800` under `[ask]`.".to_owned(),
        }
    }
}
