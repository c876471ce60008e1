//! What a printed proof says: the book's own control strip, reading its measurement, and learning
//! from it how this press departs.
//!
//! Knows no file system, no clock and no screen, and nothing of how press files are written, so that
//! it cannot repeat their mistakes.

pub mod cgats;
mod choose;
mod error;
pub mod fit;
mod lab;
mod mark;
mod mark_picture;
mod measurement;
mod practice;
pub mod scan;
mod strip;
mod strip_layout;
pub mod tolerance;

pub use choose::{Chosen, Sample, choose};
pub use error::ProofError;
pub use mark::Mark;
pub use mark_picture::{MARK_QUIET, MARK_SIDE, MarkPicture};
pub use measurement::{Matched, Measurement, Reading};
pub use practice::PracticePress;
pub use strip::{Patch, PatchKind, Strip, StripTables};
pub use strip_layout::StripLayout;
