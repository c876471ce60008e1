use thiserror::Error;

use crate::Mark;

/// Why a scan cannot be read as a strip.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ScanError {
    /// The picture cannot be a colour scan of a strip.
    #[error("this picture cannot be read as a scan of a strip: {0}")]
    Picture(String),
    /// No mark can be read on it.
    #[error("no strip of a book of yours is to be seen on this scan: {0}")]
    NoMark(String),
    /// It shows another strip.
    #[error("this scan shows {found}, but {wanted} was expected: {what}")]
    OtherStrip {
        /// The strip that it shows, in words.
        found: String,
        /// The strip that was expected, in words.
        wanted: String,
        /// What that means.
        what: String,
    },
    /// It shows several strips, and any would do.
    #[error("this scan shows {} strips ({}); scan one at a time, or say which page is meant", .0.len(), list(.0))]
    Several(Vec<Mark>),
    /// The mark is there, but what stands around it is not this strip, or too little of it.
    #[error("the mark of the strip is on this scan, but {0}")]
    Strip(String),
    /// The scanner's colours cannot be told well enough.
    #[error("the colours of this scan cannot be trusted: {0}")]
    Colour(String),
    /// The colour library failed.
    #[error(transparent)]
    Library(#[from] colour::ColourError),
}

fn list(marks: &[Mark]) -> String {
    marks.iter().map(in_words).collect::<Vec<_>>().join("; ")
}

/// A mark as a person reads it.
pub(crate) fn in_words(mark: &Mark) -> String {
    let place = mark.page.map_or_else(
        || "a sheet of its own".into(),
        |page| format!("page {page}"),
    );
    format!(
        "version {} of the strip, on {place}, file {}",
        mark.version, mark.file
    )
}
