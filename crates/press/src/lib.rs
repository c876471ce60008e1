//! The press file (PDF/X-4): written one page at a time, and checked, ours or anybody's. Beside it
//! plain documents, for drawings and letters.
//!
//! Writes to any `Write`, reads any bytes; knows no file system.

mod check;
mod write;

pub use check::{
    CheckReport, Depth, Expected, GuidesError, PageReport, PlateReport, Summary, check, check_to,
    guide_pages, guides,
};
pub use write::{
    Beside, Facts, FileKind, ImageCoding, ImageData, ImageSource, Margin, OutputIntent, PageInput,
    Painted, PlateInput, PlateName, PressError, PressWriter, Stored, StoredImage, Tint, WordsInput,
    document,
};
