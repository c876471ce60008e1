//! What a printed proof says: the book's own control strip, reading its measurement, and learning
//! from it how this press departs.
//!
//! Knows no file system, no clock and no screen, and nothing of how press files are written, so that
//! it cannot repeat their mistakes.

mod mark;
mod strip;

pub use mark::Mark;
pub use strip::{Patch, PatchKind, Strip, StripLayout};
