//! Measurements that cannot be used, in words for people.

use thiserror::Error;

/// Why nothing follows from what was measured.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum MeasuredError {
    /// A figure that no book has.
    #[error("{what} is {found}; it must lie within {range}")]
    OutOfRange {
        /// What was measured: `the block`.
        what: &'static str,
        /// What was found, with its unit.
        found: String,
        /// What is possible.
        range: &'static str,
    },
    /// A part that the book does not have, or one without a name known here.
    #[error("this book has no part `{found}`; its parts are {known}")]
    NoSuchPart {
        /// The name.
        found: String,
        /// Those there are.
        known: String,
    },
    /// A figure that the sheet does not have.
    #[error("the {sheet} has no figure `{found}`; it has {known}")]
    NoSuchFigure {
        /// What people call the sheet.
        sheet: &'static str,
        /// The name.
        found: String,
        /// Those there are.
        known: String,
    },
    /// The book has no such sheet.
    #[error("this book has no {sheet}")]
    NoSuchSheet {
        /// What people call the sheet.
        sheet: &'static str,
    },
    /// Nothing was measured that anything follows from.
    #[error("{missing}")]
    Nothing {
        /// What is missing, as a sentence without its stop.
        missing: &'static str,
    },
    /// Figures that contradict each other.
    #[error("the figures do not fit each other: {why}")]
    Contradiction {
        /// Why, as the end of a sentence.
        why: String,
    },
}

impl MeasuredError {
    /// What to do about it; a sentence.
    pub fn hint(&self) -> String {
        match self {
            Self::OutOfRange { .. } => "Look whether the unit is right, and measure again.",
            Self::NoSuchPart { .. } => {
                "Name a part as it is listed. A jacket, belly band, slipcase or ribbons that lay on \
                 the scale must be named as being there."
            }
            Self::NoSuchFigure { .. } => "Name a figure as it is listed.",
            Self::NoSuchSheet { .. } => {
                "`foredge object` lists the sheets of this book; a jacket, a band or a slipcase is \
                 there once its section stands in book.toml."
            }
            Self::Nothing { .. } => "Measure it, and give it with its unit.",
            Self::Contradiction { .. } => {
                "Measure again; press the block together between two boards, and count the pages \
                 on both sides of every leaf, unnumbered ones too."
            }
        }
        .to_owned()
    }
}
