use thiserror::Error;

/// A picture that cannot be used, and why. The caller knows the file's name and says it.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ArtError {
    /// Not JPEG, PNG, TIFF or WebP.
    #[error("not a JPEG, PNG, TIFF or WebP picture")]
    UnknownFormat,
    /// Cut, damaged or contradicting itself.
    #[error("the picture is damaged: {0}")]
    Damaged(String),
    /// Beyond the limits.
    #[error("the picture claims {claimed}, more than the {limit} that are accepted")]
    TooLarge {
        /// What its header claims.
        claimed: String,
        /// The limit.
        limit: String,
    },
    /// A kind of picture that is not read, such as floating-point samples.
    #[error("{0} are not read")]
    Unsupported(String),
}

impl ArtError {
    /// A damaged picture, with the reason in a few words.
    pub(crate) fn damaged(reason: impl Into<String>) -> Self {
        Self::Damaged(reason.into())
    }
}
