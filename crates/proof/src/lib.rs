//! What a printed proof says: the book's own control strip, reading its measurement, and learning
//! from it how this press departs.
//!
//! Knows no file system, no clock and no screen, and nothing of how press files are written, so that
//! it cannot repeat their mistakes.

pub mod cgats;
mod choose;
mod error;
pub mod fit;
mod mark;
mod measurement;
mod practice;
mod strip;
mod strip_layout;
pub mod tolerance;

pub use choose::{Chosen, Sample, choose};
pub use error::ProofError;
pub use mark::Mark;
pub use measurement::{Matched, Measurement, Reading};
pub use practice::PracticePress;
pub use strip::{Patch, PatchKind, Strip, StripTables};
pub use strip_layout::StripLayout;
