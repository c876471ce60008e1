//! The running order: one entry for each `[[page]]`.

use std::collections::{HashMap, HashSet};

use measure::{Length, Size};
use toml_edit::{Item, TableLike};

use super::cursor::{Cursor, Lined, Place};
use super::{cut, path_fault, value};
use crate::error::Problem;
use crate::key::{self, TREATMENTS, keys_of};
use crate::model::{Entry, Treatment, Wanted};
use crate::names::free_name;
use crate::near::nearest;
use crate::range;

/// The least that margins must leave for a picture.
const LEAST_PICTURE: Length = Length::from_nm(20_000_000);

/// Reads all entries. Those that are wrong are left out, and what is wrong is written down.
pub(super) fn running_order(
    cursor: &mut Cursor<'_>,
    top: &dyn TableLike,
    trim: Option<Size>,
) -> Vec<Entry> {
    let found = cursor.entries(
        top,
        key::PAGE,
        range::ENTRIES,
        "each page under its own `[[page]]`",
    );
    let mut order = Order::default();
    for (_, table) in &found {
        if let Some(name) = table.get("name").and_then(Item::as_str) {
            order.taken.insert(name.trim().to_owned());
        }
    }
    let mut entries = Vec::with_capacity(found.len());
    for (place, table) in found {
        entries.extend(entry(cursor, place, table, trim, &mut order));
    }
    entries
}

/// What was seen so far of names and pieces.
#[derive(Default)]
struct Order {
    /// Every name that stands anywhere in the file.
    taken: HashSet<String>,
    /// Names seen, with the line of their entry.
    names: HashMap<String, u32>,
    /// Pieces placed by entries without `again`, with the name and line of the entry.
    pieces: HashMap<String, (String, u32)>,
}

fn entry(
    cursor: &mut Cursor<'_>,
    place: Place<'_>,
    table: &dyn TableLike,
    trim: Option<Size>,
    order: &mut Order,
) -> Option<Entry> {
    let name = name(cursor, place, table, order);
    let word = treatment_word(cursor, place, table);
    only_what_counts(cursor, table, word);
    let treatment = word.and_then(|word| treatment(cursor, place, word, trim));
    let again = cursor.switch(place, "again", false);
    let (name, treatment) = (name?, treatment?);
    // One of the entries that show a piece may leave `again` out, whichever of them comes first:
    // moving entries about must not make a book wrong.
    for picture in treatment.pictures().into_iter().filter(|_| !again) {
        if let Some((first, line)) = order.pieces.get(&picture.piece) {
            cursor.wrong(
                place.line,
                Problem::PieceTwice {
                    piece: cut(&picture.piece),
                    entry: cut(first),
                    first: *line,
                },
            );
        } else {
            order
                .pieces
                .insert(picture.piece.clone(), (name.clone(), place.line));
        }
    }
    Some(Entry {
        name,
        treatment,
        line: place.line,
    })
}

/// The entry's name, if it is one and nobody else's.
fn name(
    cursor: &mut Cursor<'_>,
    place: Place<'_>,
    table: &dyn TableLike,
    order: &mut Order,
) -> Option<String> {
    let found = cursor.line_of_text(place, "name", range::NAME);
    let Some(Lined { value: name, line }) = found else {
        if !table.contains_key("name") {
            cursor.missing(place, "name");
        }
        return None;
    };
    if name.is_empty() {
        cursor.missing(place, "name");
        return None;
    }
    if let Some(first) = order.names.get(&name) {
        let free = free_name(&name, |candidate| order.taken.contains(candidate));
        cursor.wrong(
            line,
            Problem::NameTwice {
                name: cut(&name),
                first: *first,
                free: cut(&free),
            },
        );
    } else {
        order.names.insert(name.clone(), line);
    }
    Some(name)
}

fn treatment_word(
    cursor: &mut Cursor<'_>,
    place: Place<'_>,
    table: &dyn TableLike,
) -> Option<&'static str> {
    if !table.contains_key("treatment") {
        cursor.missing(place, "treatment");
        return None;
    }
    let words = TREATMENTS.map(|word| (word, word));
    cursor
        .word(place, "treatment", &words)
        .map(|found| found.value)
}

/// Complains of keys that nobody knows, and of those that mean nothing under this treatment.
fn only_what_counts(cursor: &mut Cursor<'_>, table: &dyn TableLike, word: Option<&str>) {
    let meant = word.and_then(keys_of);
    for (key, item) in table.iter() {
        let span = table.key(key).and_then(toml_edit::Key::span);
        let line = cursor.line(span.or_else(|| item.span()));
        if key::PAGE.key(key).is_none() {
            // The keys that mean something here come first in a guess.
            let here = meant.unwrap_or_default().iter().copied();
            let near = nearest(key, ["name", "treatment"].into_iter().chain(here))
                .or_else(|| nearest(key, key::PAGE.names()));
            let known: Vec<String> = match meant {
                Some(meant) => ["name", "treatment"].iter().chain(meant).copied().collect(),
                None => key::PAGE.names().collect::<Vec<_>>(),
            }
            .iter()
            .map(|key| format!("`{key}`"))
            .collect();
            cursor.wrong(
                line,
                Problem::UnknownKey {
                    key: cut(key),
                    within: "this page".to_owned(),
                    near: near.map(str::to_owned),
                    known: known.join(", "),
                },
            );
        } else if let (Some(word), Some(meant)) = (word, meant)
            && !matches!(key, "name" | "treatment")
            && !meant.contains(&key)
        {
            let belongs: Vec<String> = TREATMENTS
                .iter()
                .filter(|word| keys_of(word).is_some_and(|keys| keys.contains(&key)))
                .map(|word| format!("`{word}`"))
                .collect();
            cursor.wrong(
                line,
                Problem::IdleKey {
                    key: key.to_owned(),
                    treatment: word.to_owned(),
                    belongs: belongs.join(", "),
                },
            );
        }
    }
}

fn treatment(
    cursor: &mut Cursor<'_>,
    place: Place<'_>,
    word: &str,
    trim: Option<Size>,
) -> Option<Treatment> {
    Some(match word {
        "full page" => Treatment::FullPage(wanted(cursor, place, "art", "focus")?),
        "spread" => Treatment::Spread(wanted(cursor, place, "art", "focus")?),
        "ready page" => Treatment::Ready(wanted(cursor, place, "art", "focus")?),
        "inset" => {
            let picture = wanted(cursor, place, "art", "focus");
            let margin = margin(cursor, place, trim);
            let caption = cursor.line_of_text(place, "caption", range::TITLE);
            Treatment::Inset {
                picture: picture?,
                margin: margin?,
                caption: caption.map(|caption| caption.value).unwrap_or_default(),
            }
        }
        "paired" => {
            let left = wanted(cursor, place, "left", "left_focus");
            let right = wanted(cursor, place, "right", "right_focus");
            let margin = margin(cursor, place, trim);
            Treatment::Paired {
                left: left?,
                right: right?,
                margin: margin?,
            }
        }
        "title" => Treatment::Title,
        "text" => {
            let heading = cursor.line_of_text(place, "heading", range::TITLE);
            Treatment::Text {
                heading: heading.map(|heading| heading.value).unwrap_or_default(),
                paragraphs: paragraphs(cursor, place, "words"),
            }
        }
        "colophon" => Treatment::Colophon {
            paragraphs: paragraphs(cursor, place, "words"),
        },
        _ => Treatment::Blank,
    })
}

/// A picture that must be there, with what the entry says about it.
fn wanted(cursor: &mut Cursor<'_>, place: Place<'_>, key: &str, focus_key: &str) -> Option<Wanted> {
    let found = piece(cursor, place, key);
    if found.is_none() && place.table.is_none_or(|table| is_empty(table, key)) {
        cursor.missing(place, key);
    }
    let focus = focus(cursor, place, focus_key);
    let accept_low_resolution = cursor.switch(place, "accept_low_resolution", false);
    Some(Wanted {
        piece: found?.value,
        focus,
        accept_low_resolution,
    })
}

pub(super) fn is_empty(table: &dyn TableLike, key: &str) -> bool {
    match table.get(key) {
        None => true,
        Some(item) => item.as_str().is_some_and(|text| text.trim().is_empty()),
    }
}

/// The name of a piece; `None` if there is none, or if it leads elsewhere.
pub(super) fn piece(cursor: &mut Cursor<'_>, place: Place<'_>, key: &str) -> Option<Lined<String>> {
    let Lined { value, line } = cursor.text(place, key)?;
    if value.trim().is_empty() {
        return None;
    }
    if let Some(why) = path_fault(value) {
        cursor.wrong(
            line,
            Problem::Path {
                key: key.to_owned(),
                found: cut(&value.escape_debug().to_string()),
                why,
            },
        );
        return None;
    }
    Some(Lined {
        value: value.to_owned(),
        line,
    })
}

pub(super) fn focus(cursor: &mut Cursor<'_>, place: Place<'_>, key: &str) -> (f64, f64) {
    const MIDDLE: (f64, f64) = (0.5, 0.5);
    let Some(found) = cursor.text(place, key) else {
        return MIDDLE;
    };
    match value::numbers::<2>(found.value) {
        Some([across, down]) => {
            if !(range::FOCUS.holds(&across) && range::FOCUS.holds(&down)) {
                cursor.out_of_range(found.line, range::FOCUS, found.value);
            }
            (across, down)
        }
        None => {
            cursor.unreadable(
                place,
                key,
                found.line,
                "how far across and how far down, from 0 to 1, such as `0.5 0.4`",
                found.value,
            );
            MIDDLE
        }
    }
}

/// The margin around a picture: a tenth of the shorter side of the page unless said.
fn margin(cursor: &mut Cursor<'_>, place: Place<'_>, trim: Option<Size>) -> Option<Length> {
    let stated = place
        .table
        .is_some_and(|table| table.contains_key("margin"));
    // Without a page there is no telling what a margin leaves. The error of the page stands, and
    // the rest of this entry is looked at all the same.
    let shorter = trim.map_or(Length::from_mm(1000.0), |trim| trim.width.min(trim.height));
    if !stated {
        return Some(default_margin(shorter));
    }
    let margin = cursor.ranged::<Length>(place, "margin", range::MARGIN)?;
    let left = shorter - margin.value * 2;
    if left < LEAST_PICTURE {
        cursor.wrong(
            margin.line,
            Problem::NoRoom {
                what: "the margin".to_owned(),
                left: left.max(Length::ZERO).to_string(),
                least: LEAST_PICTURE.to_string(),
            },
        );
        return None;
    }
    Some(margin.value)
}

/// A tenth of the shorter side, to the millimetre. Our choice.
fn default_margin(shorter: Length) -> Length {
    Length::from_mm((shorter.mm() / 10.0).round())
}

/// Paragraphs of words, without unseen characters.
pub(super) fn paragraphs(cursor: &mut Cursor<'_>, place: Place<'_>, key: &str) -> Vec<String> {
    let Some(found) = cursor.text(place, key) else {
        return Vec::new();
    };
    let count = found.value.chars().count();
    if !range::WORDS.holds(&count) {
        cursor.out_of_range(found.line, range::WORDS, &count.to_string());
        return Vec::new();
    }
    let unseen = |c: char| c.is_control() && !matches!(c, '\n' | '\r' | '\t');
    if found.value.contains(unseen) {
        cursor.unreadable(
            place,
            key,
            found.line,
            "words without control characters",
            found.value,
        );
        return Vec::new();
    }
    value::paragraphs(found.value)
}
