//! The sheet that goes with a request and that the printer fills in, and reading it back: as a workbook
//! (Office Open XML, ECMA-376) or as a table of text (RFC 4180, and what spreadsheet programs make of it).
//!
//! A filled sheet is hostile until read: its archive is unpacked within limits, nothing in it is reckoned
//! or run, and whatever is not as it was sent is told with its cell.

mod archive;
mod error;
mod form;
mod grid;
mod locate;
mod table;
mod take;
mod workbook;
mod write;

pub use error::SheetError;

use crate::answer::{Doubt, Draft};
use crate::request::Request;

/// What was read of a sheet.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Sheet {
    /// What it says, with everything doubtful as it is taken if a person agrees.
    pub draft: Draft,
    /// What is doubtful, in the order of the sheet.
    pub doubts: Vec<SheetDoubt>,
    /// The cell that names the request.
    pub reference: Option<String>,
    /// The cell with the digest of the specification.
    pub specification: Option<String>,
}

/// Something doubtful in a sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetDoubt {
    /// The field that it is about, by the names of [`Draft::from_fields`]: who types that field beside
    /// the sheet need not agree. Empty for what is about the whole sheet.
    pub field: String,
    /// The doubt; its place is a cell.
    pub doubt: Doubt,
}

impl SheetDoubt {
    /// Whether what the cell says can be left out while the rest is taken. Which request and which book a
    /// sheet is for can be said otherwise, but not left out; nor can what is about the whole sheet.
    pub fn can_be_left_out(&self) -> bool {
        self.doubt.taken.is_some() && !matches!(self.field.as_str(), "" | "request" | "digest")
    }
}

/// Whether a file is a sheet that can be read, by its name: `.xlsx`, `.xlsm`, `.csv` or `.tsv`.
pub fn is_sheet(name: &str) -> bool {
    matches!(Kind::of(name), Kind::Workbook | Kind::Table)
}

/// Writes the sheet of a request. The same request gives the same bytes.
///
/// # Errors
/// [`SheetError::Unwritten`] where the library that writes refuses.
pub fn write(request: &Request) -> Result<Vec<u8>, SheetError> {
    write::workbook(request)
}

/// Reads a filled sheet. Only what is filled in is taken; the amounts of a spreadsheet are taken by the
/// shortest decimal that names them, to the ninth decimal.
///
/// # Errors
/// It is no sheet that can be read, goes beyond the limits, or has none of the words that were sent.
pub fn read(name: &str, bytes: &[u8]) -> Result<Sheet, SheetError> {
    let grid = match Kind::of(name) {
        Kind::Workbook => workbook::read(bytes)?,
        Kind::Table => table::read(bytes)?,
        Kind::Older => return Err(SheetError::OtherKind),
        Kind::None if archive::is_archive(bytes) => workbook::read(bytes)?,
        Kind::None => table::read(bytes)?,
    };
    let page = locate::page(&grid).ok_or(SheetError::NoWords)?;
    Ok(take::take(&grid, page))
}

/// Whether a file is a sheet of a kind that is not read, such as `.xls` or `.ods`.
pub fn is_other_sheet(name: &str) -> bool {
    matches!(Kind::of(name), Kind::Older)
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Workbook,
    Table,
    Older,
    None,
}

impl Kind {
    fn of(name: &str) -> Self {
        let ending = name.rsplit_once('.').map_or("", |(_, ending)| ending);
        match ending.to_ascii_lowercase().as_str() {
            "xlsx" | "xlsm" => Self::Workbook,
            "csv" | "tsv" => Self::Table,
            "xls" | "xlsb" | "ods" | "fods" | "numbers" => Self::Older,
            _ => Self::None,
        }
    }
}
