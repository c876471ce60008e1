use thiserror::Error;

/// Why a measurement cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ProofError {
    /// A measurement file that cannot be read.
    #[error("line {line}: {what}")]
    Line {
        /// Line of the file, from 1.
        line: usize,
        /// What was expected and found.
        what: String,
    },
    /// A measurement file that lacks something as a whole.
    #[error("not a measurement that can be used: {0}")]
    File(String),
    /// The measurement is of another strip.
    #[error("this measurement does not belong to this strip: {0}")]
    OtherStrip(String),
    /// A mark that is none of ours.
    #[error("expected a strip's mark such as `FOREDGE/1/12/0A1B2C3D/1`, but found `{0}`")]
    Mark(String),
    /// The colour library failed.
    #[error(transparent)]
    Colour(#[from] colour::ColourError),
}
