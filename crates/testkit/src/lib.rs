//! Helpers for tests: small pictures, folders that vanish, books in a few lines, and whether a
//! folder is untouched.

mod book;
mod folder;
mod golden;
mod picture;

pub use book::BookText;
pub use folder::{Folder, digests};
pub use golden::golden;
pub use picture::{grey_png, jpeg, png, png_that_claims};
