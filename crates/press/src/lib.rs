//! The press file (PDF/X-4): written one page at a time, and checked, ours or anybody's.
//!
//! Writes to any `Write`, reads any bytes; knows no file system.

mod check;
mod write;

pub use check::{CheckReport, Depth, Expected, PageReport, Summary, check, check_to};
pub use write::{
    Beside, Facts, FileKind, ImageCoding, ImageData, ImageSource, Margin, OutputIntent, PageInput,
    PressError, PressWriter, Stored, StoredImage, Tint, WordsInput,
};
