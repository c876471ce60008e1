//! From the text of a book file to a [`Book`], or to everything that is wrong with it.

mod asking;
mod cursor;
mod dates;
mod dress;
mod edition;
mod finishing;
mod landing;
mod object;
mod pages;
mod paper;
mod sections;
mod sources;
mod syntax;
mod value;

use toml_edit::Document;

use crate::error::{BookError, BookErrors, Problem};
use crate::key::{SECTIONS, TOP};
use crate::model::Book;
use cursor::Cursor;

pub(crate) use syntax::Lines;
pub(crate) use value::{cut, path_fault};

/// The largest book file that is read, in bytes.
pub(crate) const LARGEST_FILE: usize = 4 << 20;

/// Reads the text of a `book.toml`.
///
/// # Errors
/// Everything that is wrong with the file, in the order of its lines. Text that is not TOML at all
/// gives one error, at the first place where it goes wrong.
pub fn read(text: &str) -> Result<Book, BookErrors> {
    // A mark that some editors put before the first letter is no part of the text; without it the
    // lines stay the same.
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let document = parse(text)?;
    let lines = Lines::of(text);
    let mut cursor = Cursor::new(&lines);
    let top = document.as_table();
    cursor.only(top, "the book file", TOP.into_iter());
    if let Some(stock) = cursor.table(top, "stock", "the book file") {
        let names = SECTIONS
            .iter()
            .filter_map(|section| section.name.strip_prefix("stock."));
        cursor.only(stock, "`[stock]`", names);
    }
    let book = sections::book(&mut cursor, top);
    cursor.finish(book)
}

/// The TOML of a text, each value with its place.
pub(crate) fn parse(text: &str) -> Result<Document<&str>, BookErrors> {
    if text.len() > LARGEST_FILE {
        return Err(BookError::new(
            None,
            Problem::TooLarge {
                bytes: text.len(),
                limit: LARGEST_FILE,
            },
        )
        .into());
    }
    Document::parse(text).map_err(|error| syntax::explain(&error, text, &Lines::of(text)).into())
}
