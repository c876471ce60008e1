//! Where accepted figures come from: `[source]`, whose keys are the dotted names of figures.

use super::literal::quoted;
use super::set::with_section;
use super::table::{has_table, remove_key, set_key, value_of};
use crate::error::BookErrors;

const SOURCE: &str = "source";
const PATH: [&str; 1] = [SOURCE];

/// Says where a figure comes from, or no longer says it. Gives the new text, and what was done.
pub(super) fn set(text: &str, figure: &str, words: &str) -> Result<(String, String), BookErrors> {
    if words.trim().is_empty() {
        return Ok((
            dropped(text.to_owned(), figure)?,
            format!("Took out where {figure} comes from"),
        ));
    }
    let value = quoted(words.trim());
    let new = if value_of(text, &PATH, figure)?.is_some() {
        set_key(text, &PATH, figure, &value)?
    } else if has_table(text, &PATH)? {
        // A name with dots is written in quotes.
        set_key(text, &PATH, &quoted(figure), &value)?
    } else {
        let lines = format!("[{SOURCE}]\n{} = {value}", quoted(figure));
        Some(with_section(text, &[], &lines)?)
    };
    Ok((
        new.unwrap_or_else(|| text.to_owned()),
        format!("Said where {figure} comes from"),
    ))
}

/// The text without the source of a figure: it is another figure now.
pub(super) fn dropped(text: String, figure: &str) -> Result<String, BookErrors> {
    if value_of(&text, &PATH, figure)?.is_none() {
        return Ok(text);
    }
    Ok(remove_key(&text, &PATH, figure)?.unwrap_or(text))
}
