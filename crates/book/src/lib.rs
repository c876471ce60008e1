//! The decisions of one book: the book file, stocks, binding, signatures, the running order, and
//! what follows from them by arithmetic: the plan of pages, the cover, the object.
//!
//! Knows no file system, no clock and no screen. Pixel sizes of pictures come in as a function.

mod model;

pub mod plan;

pub use model::*;
