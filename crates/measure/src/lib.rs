//! Lengths, paper weights, masses and resolutions, each in one exact unit inside.
//!
//! Any unit may come in at the edge (`8.5in`, `210mm`); inside, a length is a whole number of
//! nanometres, so that inches and millimetres are both exact.

mod length;
mod paper;
mod parse;
mod rect;
mod resolution;

pub use length::Length;
pub use paper::{BasisSheet, Bulk, Grammage, Mass};
pub use parse::MeasureError;
pub use rect::{Rect, Size};
pub use resolution::{PixelSize, Resolution};
