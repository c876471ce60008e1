//! The words of the demonstration book, as a book file.

/// The book file, commented.
pub fn book_toml() -> String {
    include_str!("book.toml").to_owned()
}
