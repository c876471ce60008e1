//! Changing one key in a text, by its place in it.

use std::ops::Range;

use toml_edit::{Document, DocumentMut, Item, TableLike, Value};

use crate::error::BookErrors;
use crate::read::parse;

/// Sets a key of the table at a path to a literal, or adds it behind the table's last key.
///
/// The path leads through tables; an array of tables on the way means its first table. `None` if
/// there is no such table.
pub(super) fn set_key(
    text: &str,
    path: &[&str],
    key: &str,
    literal: &str,
) -> Result<Option<String>, BookErrors> {
    let document = parse(text)?;
    let Some(item) = at(document.as_item(), path) else {
        return Ok(None);
    };
    let Some(table) = as_table(item) else {
        return Ok(None);
    };
    if let Some(span) = table.get(key).and_then(Item::span) {
        return Ok(Some(spliced(text, span, literal)));
    }
    // A section in braces or with dotted keys has no lines of its own to add to.
    let Some(header) = header_of(item) else {
        let mut document = document.into_mut();
        if let Some(table) = at_mut(&mut document, path) {
            let value = literal.parse::<Value>();
            if let Ok(value) = value {
                table.insert(key, Item::Value(value));
            }
        }
        return Ok(Some(document.to_string()));
    };
    let after = line_end(text, last_value_end(table).unwrap_or(header.end));
    Ok(Some(spliced(
        text,
        after..after,
        &format!("\n{key} = {literal}"),
    )))
}

/// Takes a key of the table at a path out, with its line. `None` if there is no such key.
pub(super) fn remove_key(
    text: &str,
    path: &[&str],
    key: &str,
) -> Result<Option<String>, BookErrors> {
    let document = parse(text)?;
    let Some(lines) = lines_of_key(&document, text, path, key) else {
        let mut document = document.into_mut();
        let removed = at_mut(&mut document, path).and_then(|table| table.remove(key));
        return Ok(removed.map(|_| document.to_string()));
    };
    Ok(Some(spliced(text, lines, "")))
}

/// The literal text of a key's value.
pub(super) fn value_of(text: &str, path: &[&str], key: &str) -> Result<Option<String>, BookErrors> {
    let document = parse(text)?;
    let span = at(document.as_item(), path)
        .and_then(as_table)
        .and_then(|table| table.get(key))
        .and_then(Item::span);
    Ok(span.map(|span| text[span].to_owned()))
}

/// A value as a person reads it: texts without their quotes, lists without their brackets.
pub(super) fn plain(literal: &str) -> String {
    match literal.parse::<Value>() {
        Ok(Value::String(text)) => text.value().trim().to_owned(),
        Ok(Value::Array(list)) => {
            let parts = list.iter().map(|part| match part {
                Value::String(text) => text.value().trim().to_owned(),
                other => other.to_string().trim().to_owned(),
            });
            parts.collect::<Vec<_>>().join(", ")
        }
        _ => literal.trim().to_owned(),
    }
}

/// Whether there is a table at a path.
pub(super) fn has_table(text: &str, path: &[&str]) -> Result<bool, BookErrors> {
    let document = parse(text)?;
    Ok(at(document.as_item(), path).and_then(as_table).is_some())
}

/// The end of the line in which a byte lies, before its line break.
pub(super) fn line_end(text: &str, from: usize) -> usize {
    let end = text[from..].find('\n').map_or(text.len(), |at| from + at);
    if text[..end].ends_with('\r') && end > from {
        end - 1
    } else {
        end
    }
}

/// The end of the last value of a table in its text, if it has any.
pub(super) fn last_value_end(table: &dyn TableLike) -> Option<usize> {
    table
        .iter()
        .filter_map(|(_, item)| match item {
            Item::Value(value) if value.span().is_none() => value
                .as_inline_table()
                .and_then(|table| last_value_end(table)),
            // A section of its own below this one is no value of it; dotted keys are.
            Item::Table(table) if table.is_dotted() => last_value_end(table),
            Item::Table(_) | Item::ArrayOfTables(_) => None,
            item => item.span().map(|span| span.end),
        })
        .max()
}

/// The names of a table's keys, in their order.
pub(super) fn keys_of(text: &str, path: &[&str]) -> Result<Vec<String>, BookErrors> {
    let document = parse(text)?;
    let keys = at(document.as_item(), path)
        .and_then(as_table)
        .into_iter()
        .flat_map(|table| {
            table
                .iter()
                .map(|(key, _)| key.to_owned())
                .collect::<Vec<_>>()
        })
        .collect();
    Ok(keys)
}

/// The end of everything in an item, headers included.
pub(super) fn end_of(item: &Item) -> Option<usize> {
    let own = item.span().map(|span| span.end);
    match item {
        Item::Table(table) => end_of_table(table).max(own),
        // Its own span knows of headers alone.
        Item::ArrayOfTables(tables) => tables.iter().filter_map(end_of_table).max().max(own),
        Item::Value(_) | Item::None => own,
    }
}

fn end_of_table(table: &toml_edit::Table) -> Option<usize> {
    let within = table.iter().filter_map(|(_, item)| end_of(item)).max();
    within.max(table.span().map(|span| span.end))
}

/// The bytes of a key's lines with their line break; `None` if other things stand on them.
fn lines_of_key(
    document: &Document<&str>,
    text: &str,
    path: &[&str],
    key: &str,
) -> Option<Range<usize>> {
    let item = at(document.as_item(), path)?;
    header_of(item)?;
    let table = as_table(item)?;
    let name = table.key(key)?.span()?;
    let value = table.get(key)?.span()?;
    let start = text[..name.start].rfind('\n').map_or(0, |at| at + 1);
    if !text[start..name.start].trim().is_empty() {
        return None;
    }
    let end = line_end(text, value.end);
    Some(match text[end..].find('\n') {
        Some(at) => start..end + at + 1,
        // The last line of the text: the break before it goes.
        None => start.saturating_sub(1)..end,
    })
}

/// The place of the brackets that open a table; `None` for one in braces or with dotted keys.
fn header_of(item: &Item) -> Option<Range<usize>> {
    let table = match item {
        Item::Table(table) => table,
        Item::ArrayOfTables(tables) => tables.get(0)?,
        _ => return None,
    };
    if table.is_dotted() || table.is_implicit() {
        return None;
    }
    table.span()
}

fn at<'i>(root: &'i Item, path: &[&str]) -> Option<&'i Item> {
    path.iter()
        .try_fold(root, |item, step| as_table(item)?.get(step))
}

fn as_table(item: &Item) -> Option<&dyn TableLike> {
    match item {
        Item::ArrayOfTables(tables) => tables.get(0).map(|table| table as &dyn TableLike),
        item => item.as_table_like(),
    }
}

fn at_mut<'d>(document: &'d mut DocumentMut, path: &[&str]) -> Option<&'d mut dyn TableLike> {
    let mut table: &mut dyn TableLike = document.as_table_mut();
    for step in path {
        table = table.get_mut(step)?.as_table_like_mut()?;
    }
    Some(table)
}

fn spliced(text: &str, range: Range<usize>, by: &str) -> String {
    format!("{}{by}{}", &text[..range.start], &text[range.end..])
}
