//! Why a sheet cannot be read at all, or not be written.

use thiserror::Error;

/// What is wrong with a sheet as a whole. Displays as a sentence; [`SheetError::hint`] says what to do.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[non_exhaustive]
pub enum SheetError {
    /// Not an archive, or a broken one.
    #[error("this is no workbook, or a broken one: {0}")]
    Broken(String),
    /// Beyond a limit; a zip bomb, most likely.
    #[error("{what} is beyond what a filled sheet can be: at most {limit}")]
    TooLarge {
        /// What is too large.
        what: String,
        /// What it may be.
        limit: &'static str,
    },
    /// Locked by a password.
    #[error("this workbook is locked by a password, or in the older form of its kind")]
    Locked,
    /// Another kind of sheet.
    #[error("sheets of this kind are not read")]
    OtherKind,
    /// None of our words.
    #[error("none of the words of the sheet that was sent stands in it")]
    NoWords,
    /// The library refused.
    #[error("the sheet could not be written: {0}")]
    Unwritten(String),
}

impl SheetError {
    /// What to do about it.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::Broken(_) => {
                "Ask for it again, or type its prices in: foredge prices enter WHAT=VALUE"
            }
            Self::TooLarge { .. } => {
                "Nothing was read of it. Be wary of where it came from; type its prices in: foredge \
                 prices enter WHAT=VALUE"
            }
            Self::Locked | Self::OtherKind => {
                "Save it as .xlsx without a password, or as .csv, and read that."
            }
            Self::NoWords => {
                "Only the sheet that came with the request can be read. Type the prices in: foredge \
                 prices enter WHAT=VALUE"
            }
            Self::Unwritten(_) => "Shorten what the book says under `[ask]` or of its printers.",
        }
    }
}
