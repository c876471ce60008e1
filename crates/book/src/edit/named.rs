//! Sections of which there is one for each thing that has a name: pieces, finishings, printers …

use super::Edit;
use super::blocks::Blocks;
use super::literal::{literal, quoted};
use super::set::{name_and_key, with_section, words};
use super::table::{keys_of, plain, remove_key, set_key, value_of};
use crate::error::BookErrors;
use crate::key::{Bare, NAMED, Named, SECTIONS};
use crate::read::cut;

impl Edit {
    /// Says something of one thing of a section that stands once for each: `printer`, `quay`, and
    /// `("country", "XA")`. The thing is added if it is not there; empty values take their keys out.
    pub fn set_entry(section: &str, name: &str, values: &[(&str, &str)]) -> Self {
        let values = values.iter().map(|(key, value)| {
            let dotted = format!("{section}.{name}.{key}");
            (dotted, (*value).to_owned())
        });
        Self::SetAll {
            values: values.collect(),
            what: String::new(),
        }
    }

    /// Takes one thing out, such as the `printer` `quay` with its duty, tax and freight; `None` for a
    /// section that does not stand once for each thing.
    pub fn remove_entry(section: &str, name: &str) -> Option<Self> {
        let named = NAMED.iter().find(|named| named.section.name == section)?;
        let by = named.by.first()?;
        Some(Self::Set {
            key: format!("{section}.{name}.{by}"),
            value: String::new(),
        })
    }
}

/// Sets a dotted key that belongs to a thing with a name; `None` if it does not.
pub(super) fn set(
    text: &str,
    dotted: &str,
    typed: &str,
) -> Option<Result<(String, String), BookErrors>> {
    NAMED.iter().find_map(|named| {
        let rest = dotted.strip_prefix(named.section.name)?.strip_prefix('.')?;
        Some(set_on(text, named, dotted, rest, typed))
    })
}

/// Sets `NAME.key` of a thing, where the name may have dots of its own. A thing that is not there
/// is made; an empty name takes it out.
fn set_on(
    text: &str,
    named: &Named,
    dotted: &str,
    rest: &str,
    typed: &str,
) -> Result<(String, String), BookErrors> {
    let path = [named.section.name];
    let (name, key) = name_and_key(&named.section, dotted, rest)?;
    let mut blocks = Blocks::of(text, named.section.name)?;
    let place = place_of(&blocks, named, name)?;
    if named.by.contains(&key.name) && typed.trim().is_empty() {
        let Some(index) = place else {
            return Ok((text.to_owned(), format!("Left `{}` unsaid", cut(name))));
        };
        blocks.remove(index);
        let what = format!("Took {} `{}` out", named.what, cut(name));
        return without_what_is_about(blocks.text(), named, name, what);
    }
    let value = match typed.trim() {
        "" => None,
        _ => Some(literal(key, dotted, typed)?),
    };
    let body = place.map(|index| blocks.body(index).to_owned());
    let before = match &body {
        Some(body) => value_of(body, &path, key.name)?,
        None => None,
    };
    let what = words(key, Some(name), before.as_deref(), value.as_deref());
    let new = match (place.zip(body), value) {
        (None, None) => text.to_owned(),
        (None, Some(value)) => added(text, blocks, named, name, key.name, &value)?,
        (Some((index, body)), Some(value)) => {
            if let Some(body) = set_key(&body, &path, key.name, &value)? {
                blocks.replace(index, body);
            }
            let text = blocks.text();
            if named.by == [key.name] {
                named_anew(text, named, name, &value)?
            } else {
                text
            }
        }
        (Some((index, body)), None) => {
            let body = remove_key(&body, &path, key.name)?.unwrap_or(body);
            let says_nothing = named.bare == Bare::Goes && keys_of(&body, &path)? == named.by;
            if says_nothing && !body.contains('#') {
                blocks.remove(index);
            } else {
                blocks.replace(index, body);
            }
            blocks.text()
        }
    };
    Ok((new, what))
}

/// Where the thing of a name stands among those of its kind.
fn place_of(blocks: &Blocks, named: &Named, name: &str) -> Result<Option<usize>, BookErrors> {
    for index in 0..blocks.len() {
        let mut written = Vec::with_capacity(named.by.len());
        for by in named.by {
            let value = value_of(blocks.body(index), &[named.section.name], by)?;
            written.extend(value.map(|value| plain(&value)));
        }
        if written.len() == named.by.len() && written.join(" ") == name {
            return Ok(Some(index));
        }
    }
    Ok(None)
}

/// The text with a new thing, behind the last of its kind. What names it stands first.
fn added(
    text: &str,
    mut blocks: Blocks,
    named: &Named,
    name: &str,
    key: &str,
    value: &str,
) -> Result<String, BookErrors> {
    let mut words = name.splitn(named.by.len(), ' ');
    let mut body = format!("[[{}]]", named.section.name);
    for by in named.by {
        let word = words.next().unwrap_or_default().trim();
        let written = if *by == key {
            value.to_owned()
        } else {
            quoted(word)
        };
        body.push_str(&format!("\n{by} = {written}"));
    }
    if !named.by.contains(&key) {
        body.push_str(&format!("\n{key} = {value}"));
    }
    if blocks.len() > 0 {
        blocks.insert(blocks.len(), body);
        Ok(blocks.text())
    } else {
        with_section(text, &[], &body)
    }
}

/// The text without the sections about a thing that has gone, and what was done.
fn without_what_is_about(
    mut text: String,
    named: &Named,
    name: &str,
    mut what: String,
) -> Result<(String, String), BookErrors> {
    for (section, by) in named.about_it {
        if stands_once(section) {
            if is_about(&text, section, by, name)?
                && let Some(without) = remove_key(&text, &[section], by)?
            {
                text = without;
                what.push_str(&format!(", and `{section}.{by}`"));
            }
            continue;
        }
        let mut blocks = Blocks::of(&text, section)?;
        let count = blocks.len();
        for index in (0..count).rev() {
            if is_about(blocks.body(index), section, by, name)? {
                blocks.remove(index);
            }
        }
        if blocks.len() < count {
            what.push_str(&format!(", and its `[[{section}]]`"));
            text = blocks.text();
        }
    }
    Ok((text, what))
}

/// The text in which the sections about a thing call it by its new name.
fn named_anew(
    mut text: String,
    named: &Named,
    name: &str,
    value: &str,
) -> Result<String, BookErrors> {
    for (section, by) in named.about_it {
        if stands_once(section) {
            if is_about(&text, section, by, name)?
                && let Some(anew) = set_key(&text, &[section], by, value)?
            {
                text = anew;
            }
            continue;
        }
        let mut blocks = Blocks::of(&text, section)?;
        for index in 0..blocks.len() {
            if is_about(blocks.body(index), section, by, name)?
                && let Some(body) = set_key(blocks.body(index), &[section], by, value)?
            {
                blocks.replace(index, body);
            }
        }
        text = blocks.text();
    }
    Ok(text)
}

fn stands_once(section: &str) -> bool {
    SECTIONS.iter().any(|once| once.name == section)
}

/// Whether a section, the first of its kind in a text, names a thing.
fn is_about(text: &str, section: &str, by: &str, name: &str) -> Result<bool, BookErrors> {
    let written = value_of(text, &[section], by)?;
    Ok(written.is_some_and(|written| plain(&written) == name))
}
