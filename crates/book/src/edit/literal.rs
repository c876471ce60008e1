//! Values as they stand in the file.

use toml_edit::Value;

use crate::error::{BookError, BookErrors, Problem};
use crate::key::{Key, Kind};
use crate::read::cut;

/// A text in quotes, whatever is in it.
pub(super) fn quoted(text: &str) -> String {
    Value::from(text).to_string()
}

/// What a user typed, as the value of a key. A text needs no quotes; its kind comes from the key.
pub(super) fn literal(key: &Key, dotted: &str, typed: &str) -> Result<String, BookErrors> {
    let wrong = |expected| {
        BookErrors::from(BookError::new(
            None,
            Problem::WrongKind {
                key: cut(dotted),
                expected,
                found: format!("`{}`", cut(typed)),
                example: key.example.to_owned(),
            },
        ))
    };
    match key.kind {
        Kind::Text => Ok(quoted(typed.trim())),
        Kind::Words => Ok(quoted(&with_plain_breaks(typed))),
        Kind::Switch => match typed.trim().to_lowercase().as_str() {
            "true" | "yes" | "on" => Ok("true".to_owned()),
            "false" | "no" | "off" => Ok("false".to_owned()),
            _ => Err(wrong("`true` or `false`")),
        },
        Kind::Whole => match typed.trim().parse::<i64>() {
            Ok(number) => Ok(number.to_string()),
            Err(_) => Err(wrong("a whole number")),
        },
        Kind::TextList => {
            let texts: Vec<String> = parts(typed).map(quoted).collect();
            Ok(format!("[{}]", texts.join(", ")))
        }
        Kind::WholeList => {
            let numbers: Result<Vec<String>, _> = parts(typed)
                .map(|part| part.parse::<i64>().map(|number| number.to_string()))
                .collect();
            match numbers {
                Ok(numbers) => Ok(format!("[{}]", numbers.join(", "))),
                Err(_) => Err(wrong("whole numbers parted by commas")),
            }
        }
    }
}

/// What somebody has parted by commas, whether or not in brackets and quotes.
fn parts(typed: &str) -> impl Iterator<Item = &str> {
    let typed = typed.trim();
    let bare = typed
        .strip_prefix('[')
        .and_then(|rest| rest.strip_suffix(']'))
        .unwrap_or(typed);
    bare.split([',', '\n'])
        .map(|part| part.trim().trim_matches('"').trim())
        .filter(|part| !part.is_empty())
}

/// Words with line feeds alone, ending in one if there are several lines.
fn with_plain_breaks(words: &str) -> String {
    let plain = words.replace("\r\n", "\n").replace('\r', "\n");
    let plain = plain.trim();
    if plain.contains('\n') {
        format!("{plain}\n")
    } else {
        plain.to_owned()
    }
}
