//! Naming the place of what the rooms below found wrong.

use book::BookErrors;

use crate::DeskError;

/// The first problem of a book file with its line; the others follow in the hint.
pub(crate) fn book_errors(file: &str, errors: &BookErrors) -> DeskError {
    let at = |line: Option<u32>| match line {
        Some(line) => format!("{file}:{line}"),
        None => file.to_owned(),
    };
    let Some(first) = errors.0.first() else {
        return DeskError::new(file, "the book cannot be read", "");
    };
    let mut hint = first.hint();
    for other in errors.0.iter().skip(1) {
        hint.push_str(&format!("\nAlso {}: {other}", at(other.line)));
    }
    DeskError::new(at(first.line), first.to_string(), hint.trim_start())
}
