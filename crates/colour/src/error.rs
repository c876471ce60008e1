use thiserror::Error;

/// What went wrong with a profile or a table.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ColourError {
    /// Not a profile that can be used.
    #[error("not a usable ICC profile: {0}")]
    Profile(String),
    /// A profile for another kind of colour than wanted.
    #[error("expected a {expected} profile, but found {found}")]
    WrongSpace {
        /// What was needed.
        expected: &'static str,
        /// What it is.
        found: String,
    },
    /// An ink limit outside 100 to 400 percent.
    #[error("the ink limit must be between 100 and 400 percent, but is {0}")]
    InkLimit(String),
    /// A departure that no press can have.
    #[error("the learned correction cannot be used: {0}")]
    Departure(String),
    /// The colour library failed.
    #[error("the colour library could not build the transform: {0}")]
    Transform(String),
}
