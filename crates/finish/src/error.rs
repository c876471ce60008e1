use measure::Size;
use thiserror::Error;

/// A mask that no plate can be made of.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum FinishError {
    /// Text that is no SVG.
    #[error("this is no SVG drawing: {0}")]
    NoSvg(String),
    /// Something in the drawing that a plate cannot have, with its line.
    #[error("line {line}: {what}")]
    Drawing {
        /// 1-based.
        line: u32,
        /// What it is.
        what: String,
    },
    /// Something in the drawing whose place is not known.
    #[error("{0}")]
    Content(String),
    /// More than is worked through.
    #[error("the drawing unfolds to more than {limit} elements")]
    TooMuch {
        /// What is worked through at the most.
        limit: u64,
    },
    /// A mask of other proportions than the face that it is for.
    #[error(
        "the mask is {found}, which has other proportions than the {wanted} that it is meant for; so \
         wide, it would have to be {needed}"
    )]
    Proportions {
        /// The mask: pixels, or the drawing's own size.
        found: String,
        /// What it must fill.
        wanted: Size,
        /// As wide as it is, and as high as it would have to be.
        needed: String,
    },
    /// Fewer or more bytes than the size says.
    #[error("the mask holds {found} pixels instead of {wanted}")]
    Pixels {
        /// Bytes that came.
        found: usize,
        /// Pixels by its size.
        wanted: u64,
    },
    /// A mask with nothing on it.
    #[error("the mask is empty: nothing on it is dark")]
    Empty,
}

impl FinishError {
    /// What to do about it.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::NoSvg(_) => "Save the drawing as plain SVG, or as a black and white PNG.",
            Self::Drawing { .. } | Self::Content(_) => {
                "Draw the plate in plain black shapes on nothing: words turned into outlines, no \
                 pictures, fades, transparency or effects, and nothing that lies elsewhere."
            }
            Self::TooMuch { .. } => {
                "Draw it with fewer copies of copies, or save it as a black and white PNG."
            }
            Self::Proportions { .. } => {
                "Draw the mask at the size of the face, with or without its bleed. Or say what is to \
                 become of it: `fit = \"centre\"` keeps its proportions, `fit = \"stretch\"` does not."
            }
            Self::Pixels { .. } => "Save the mask anew.",
            Self::Empty => "Dark is where the finishing goes; light is where it does not.",
        }
    }
}
