//! Setting values of the book file.

use super::blocks::{Blocks, comments_below};
use super::literal::literal;
use super::table::{end_of, has_table, line_end, plain, remove_key, set_key, value_of};
use super::{Edit, PAGES, index_of, named, source};
use crate::error::{BookError, BookErrors, Problem};
use crate::key::{self, Key, NAMED, SECTIONS, Section};
use crate::near::nearest;
use crate::read::{cut, parse, read};

/// Sets a dotted key to what somebody typed. Gives the new text, and what was done in words.
pub(super) fn set(text: &str, dotted: &str, typed: &str) -> Result<(String, String), BookErrors> {
    if let Some(rest) = dotted.strip_prefix("page.") {
        return set_on_page(text, dotted, rest, typed);
    }
    if let Some(figure) = dotted.strip_prefix("source.") {
        return source::set(text, figure, typed);
    }
    if let Some(done) = named::set(text, dotted, typed) {
        return done;
    }
    let Some((section, key)) = SECTIONS.iter().find_map(|section| {
        let name = dotted.strip_prefix(section.name)?.strip_prefix('.')?;
        Some((section, section.key(name)?))
    }) else {
        return Err(unknown(dotted));
    };
    let path: Vec<&str> = section.name.split('.').collect();
    let before = value_of(text, &path, key.name)?;
    if typed.trim().is_empty() {
        let new = remove_key(text, &path, key.name)?.unwrap_or_else(|| text.to_owned());
        let new = source::dropped(new, dotted)?;
        return Ok((new, words(key, None, before.as_deref(), None)));
    }
    let value = literal(key, dotted, typed)?;
    let mut new = if has_table(text, &path)? {
        set_key(text, &path, key.name, &value)?
            .expect("the table was found, so that its key can be set")
    } else {
        let mut lines = format!("[{}]\n{} = {value}", section.name, key.name);
        // A cover stock of which something is said must say its weight too: the one that holds
        // while nothing is said.
        if section.name == key::COVER_STOCK.name && key.name != "grammage" {
            lines.push_str("\ngrammage = \"300 g/m2\"");
        }
        with_section(text, &path[..path.len() - 1], &lines)?
    };
    // Bulk and caliper follow from each other: the one that is set takes the other's place.
    let other = match key.name {
        "bulk" => Some("caliper"),
        "caliper" => Some("bulk"),
        _ => None,
    };
    if let Some(other) = other
        && let Some(without) = remove_key(&new, &path, other)?
    {
        new = source::dropped(without, &format!("{}.{other}", section.name))?;
    }
    let new = source::dropped(new, dotted)?;
    Ok((new, words(key, None, before.as_deref(), Some(&value))))
}

/// Sets several dotted keys, one after the other. Gives the new text, and what was done: in the words
/// given, or in those of each step if they are empty.
pub(super) fn set_all(
    text: &str,
    values: &[(String, String)],
    what: &str,
) -> Result<(String, String), BookErrors> {
    let mut text = text.to_owned();
    let mut steps = Vec::with_capacity(values.len());
    for (dotted, typed) in values {
        let (next, step) = set(&text, dotted, typed)?;
        text = next;
        steps.push(step);
    }
    let what = match what.trim() {
        "" if steps.is_empty() => "Left everything as it is".to_owned(),
        "" => steps.join("; "),
        said => said.to_owned(),
    };
    Ok((text, what))
}

/// Sets `NAME.key`, where the name may have dots of its own.
fn set_on_page(
    text: &str,
    dotted: &str,
    rest: &str,
    typed: &str,
) -> Result<(String, String), BookErrors> {
    const PATH: [&str; 1] = [PAGES];
    let (name, key) = name_and_key(&key::PAGE, dotted, rest)?;
    let book = read(text)?;
    let index = index_of(&book, name)?;
    if key.name == "treatment" {
        let edit = Edit::Treat {
            entry: name.to_owned(),
            treatment: typed.trim().to_owned(),
        };
        return super::on_order(text, &edit);
    }
    let mut blocks = Blocks::of(text, PAGES)?;
    let body = blocks.body(index);
    let before = value_of(body, &PATH, key.name)?;
    let (body, after) = if typed.trim().is_empty() {
        (remove_key(body, &PATH, key.name)?, None)
    } else {
        let value = literal(key, dotted, typed)?;
        (set_key(body, &PATH, key.name, &value)?, Some(value))
    };
    if let Some(body) = body {
        blocks.replace(index, body);
    }
    let what = words(key, Some(name), before.as_deref(), after.as_deref());
    Ok((blocks.text(), what))
}

/// The name and the key of `NAME.key`; the last dot parts them.
pub(super) fn name_and_key<'r>(
    section: &Section,
    dotted: &str,
    rest: &'r str,
) -> Result<(&'r str, &'static Key), BookErrors> {
    rest.rsplit_once('.')
        .and_then(|(name, key)| Some((name, section.key(key)?)))
        .ok_or_else(|| unknown(dotted))
}

/// The text with a new section: behind the one that it lies within, if that is there, else behind
/// all the others and in front of the pages.
pub(super) fn with_section(text: &str, within: &[&str], lines: &str) -> Result<String, BookErrors> {
    let document = parse(text)?;
    let root = document.as_table();
    let parent = within
        .iter()
        .try_fold(document.as_item(), |item, step| {
            item.as_table_like()?.get(step)
        })
        .filter(|_| !within.is_empty())
        .and_then(end_of);
    // The pages begin with what is said about them, so the section goes above that.
    let last = parent.or_else(|| {
        root.iter()
            .filter(|(name, _)| *name != PAGES)
            .filter_map(|(_, item)| end_of(item))
            .max()
    });
    let Some(last) = last else {
        return Ok(format!("{lines}\n\n{text}"));
    };
    let end = comments_below(text, line_end(text, last), text.len());
    Ok(format!("{}\n\n{lines}{}", &text[..end], &text[end..]))
}

pub(super) fn words(
    key: &Key,
    page: Option<&str>,
    before: Option<&str>,
    after: Option<&str>,
) -> String {
    let of = page.map_or_else(String::new, |name| format!(" of `{name}`"));
    let label = key.label;
    let shown = |literal: &str| cut(&plain(literal).replace('\n', " "));
    match (before.map(shown), after.map(shown)) {
        (Some(before), Some(after)) if before == after => {
            format!("Left {label}{of} at `{after}`")
        }
        (Some(before), Some(after)) => {
            format!("Changed {label}{of} from `{before}` to `{after}`")
        }
        (None, Some(after)) => format!("Set {label}{of} to `{after}`"),
        (Some(before), None) => format!("Took {label}{of} out (it was `{before}`)"),
        (None, None) => format!("Left {label}{of} unsaid"),
    }
}

fn unknown(dotted: &str) -> BookErrors {
    let settings: Vec<String> = SECTIONS
        .iter()
        .flat_map(|section| {
            section
                .names()
                .map(move |key| format!("{}.{key}", section.name))
        })
        .collect();
    let mut near = nearest(dotted, settings.iter().map(String::as_str)).map(str::to_owned);
    if near.is_none()
        && let Some((one, key)) = dotted.rsplit_once('.')
    {
        near = [key::PAGE]
            .iter()
            .chain(NAMED.iter().map(|named| &named.section))
            .find(|section| {
                let rest = one.strip_prefix(section.name);
                rest.is_some_and(|rest| rest.starts_with('.'))
            })
            .and_then(|section| nearest(key, section.names()))
            .map(|key| format!("{one}.{key}"));
    }
    BookError::new(
        None,
        Problem::UnknownSetting {
            key: cut(dotted),
            near,
        },
    )
    .into()
}
