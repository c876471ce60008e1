//! Taking values out of TOML and writing down what is wrong with them.

mod kinds;

use std::ops::Range as Bytes;
use std::str::FromStr;

use measure::MeasureError;
use toml_edit::{Item, Table, TableLike, Value};

use super::{Lines, cut, pages};
use crate::error::{BookError, BookErrors, Problem};
use crate::key::{Key, Kind, NAMED, Section};
use crate::near::nearest;
use crate::range::{Figure, Range};

/// A value with the line on which it stands.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lined<T> {
    pub(super) value: T,
    pub(super) line: u32,
}

/// One section or one entry, as it is being read.
#[derive(Clone, Copy)]
pub(super) struct Place<'t> {
    /// Its keys and values; `None` for a section that is not there.
    pub(super) table: Option<&'t dyn TableLike>,
    /// What it can hold.
    pub(super) section: Section,
    /// Line of its header, or 1.
    pub(super) line: u32,
}

impl Place<'_> {
    /// What a person calls it.
    pub(super) fn within(&self) -> String {
        match self.section.name {
            "page" => "this page".to_owned(),
            name if NAMED.iter().any(|named| named.section.name == name) => {
                format!("this `[[{name}]]`")
            }
            name => format!("`[{name}]`"),
        }
    }
}

/// What people may look for in a section and cannot choose.
struct Fixed {
    within: &'static [&'static str],
    keys: &'static [&'static str],
    /// How it always is.
    why: &'static str,
    instead: &'static str,
}

const FIXED: [Fixed; 2] = [
    Fixed {
        within: &["`[book]`", "`[format]`", "`[binding]`"],
        keys: &[
            "reading",
            "reads",
            "direction",
            "reading_direction",
            "edge",
            "bound_at",
        ],
        why: "every book is bound at its left edge and read from left to right",
        instead: "Take it out. A book that opens at the other side cannot be made here: its pages, \
                  spine and flaps would all lie on the wrong side.",
    },
    Fixed {
        within: &["`[barcode]`"],
        keys: &["ink", "inks", "colour", "color", "bars"],
        why: "bars are printed in black ink alone; to the red light of a scanner red bars are white, \
              and bars of several inks have blurred edges",
        instead: "Take it out. What may be chosen is the ground: `white = true` leaves the paper \
                  bare under the bars.",
    },
];

/// Collects what is wrong while values are taken.
pub(super) struct Cursor<'l> {
    lines: &'l Lines,
    errors: Vec<BookError>,
}

impl<'l> Cursor<'l> {
    pub(super) fn new(lines: &'l Lines) -> Self {
        Self {
            lines,
            errors: Vec::new(),
        }
    }

    /// The value, if nothing was wrong.
    pub(super) fn finish<T>(mut self, value: Option<T>) -> Result<T, BookErrors> {
        match value {
            Some(value) if self.errors.is_empty() => Ok(value),
            _ => {
                self.errors.sort_by_key(|error| error.line);
                Err(BookErrors(without_missing_sections(self.errors)))
            }
        }
    }

    pub(super) fn wrong(&mut self, line: u32, problem: Problem) {
        self.errors.push(BookError::new(line, problem));
    }

    /// The line of a span; 1 where there is none.
    pub(super) fn line(&self, span: Option<Bytes<usize>>) -> u32 {
        span.map_or(1, |span| self.lines.at(span.start))
    }

    /// The tables of a section that may stand many times, each as a place; none where there are none,
    /// or where what stands there is something else or too much.
    pub(super) fn entries<'t>(
        &mut self,
        top: &'t dyn TableLike,
        section: Section,
        most: Range,
        expected: &'static str,
    ) -> Vec<(Place<'t>, &'t Table)> {
        let Some(item) = top.get(section.name) else {
            return Vec::new();
        };
        let Item::ArrayOfTables(tables) = item else {
            let line = self.line(item.span());
            self.wrong(
                line,
                Problem::WrongKind {
                    key: section.name.to_owned(),
                    expected,
                    found: "something else".to_owned(),
                    example: format!("[[{}]]", section.name),
                },
            );
            return Vec::new();
        };
        if !most.holds(&tables.len()) {
            let line = self.line(tables.get(0).and_then(Table::span));
            self.out_of_range(line, most, &tables.len().to_string());
            return Vec::new();
        }
        tables
            .iter()
            .map(|table| {
                let place = Place {
                    table: Some(table),
                    section,
                    line: self.line(table.span()),
                };
                (place, table)
            })
            .collect()
    }

    /// The entries of a section that may stand many times, unknown keys complained of.
    pub(super) fn known_entries<'t>(
        &mut self,
        top: &'t dyn TableLike,
        section: Section,
        most: Range,
        expected: &'static str,
    ) -> Vec<Place<'t>> {
        let entries = self.entries(top, section, most, expected);
        for (place, table) in &entries {
            self.only(*table, &place.within(), section.names());
        }
        entries.into_iter().map(|(place, _)| place).collect()
    }

    /// Complains of every key that is not among those known.
    pub(super) fn only(
        &mut self,
        table: &dyn TableLike,
        within: &str,
        known: impl Iterator<Item = &'static str> + Clone,
    ) {
        for (key, item) in table.iter() {
            if known.clone().any(|known| known == key) {
                continue;
            }
            let span = table.key(key).and_then(toml_edit::Key::span);
            let line = self.line(span.or_else(|| item.span()));
            let fixed = FIXED
                .iter()
                .find(|fixed| fixed.within.contains(&within) && fixed.keys.contains(&key));
            if let Some(Fixed { why, instead, .. }) = fixed {
                let key = key.to_owned();
                self.wrong(line, Problem::NotToBeChosen { key, why, instead });
                continue;
            }
            let list: Vec<String> = known.clone().map(|key| format!("`{key}`")).collect();
            self.wrong(
                line,
                Problem::UnknownKey {
                    key: cut(key),
                    within: within.to_owned(),
                    near: nearest(key, known.clone()).map(str::to_owned),
                    known: list.join(", "),
                },
            );
        }
    }

    /// The table under a key, if the key is there.
    pub(super) fn table<'t>(
        &mut self,
        table: &'t dyn TableLike,
        key: &str,
        within: &str,
    ) -> Option<&'t dyn TableLike> {
        let item = table.get(key)?;
        let found = item.as_table_like();
        if found.is_none() {
            let line = self.line(item.span());
            self.wrong(
                line,
                Problem::WrongKind {
                    key: key.to_owned(),
                    expected: "a section",
                    found: format!("{} in {within}", kind_of(item)),
                    example: format!("[{key}]"),
                },
            );
        }
        found
    }

    /// A section below the top of the file, its unknown keys complained of.
    pub(super) fn section<'t>(&mut self, top: &'t dyn TableLike, section: Section) -> Place<'t> {
        let mut table = Some(top);
        let mut line = 1;
        let mut steps = section.name.split('.').peekable();
        while let Some(step) = steps.next() {
            table = table.and_then(|table| {
                // What a section lies within was looked at before.
                if steps.peek().is_some() {
                    return table.get(step)?.as_table_like();
                }
                line = self.line(table.get(step).and_then(Item::span));
                self.table(table, step, "the book file")
            });
        }
        let place = Place {
            table,
            section,
            line,
        };
        if let Some(table) = table {
            let known = section.names().chain(section.sections_within());
            self.only(table, &place.within(), known);
        }
        place
    }

    /// Complains that a key is missing, unless it is there under a misspelt name, which is complained
    /// of already.
    pub(super) fn missing(&mut self, place: Place<'_>, key: &str) {
        let names = || place.section.names();
        let misspelt = place.table.is_some_and(|table| {
            table.iter().any(|(written, _)| {
                !names().any(|name| name == written) && nearest(written, names()) == Some(key)
            })
        });
        if misspelt {
            return;
        }
        let example = key_of(place, key).example;
        let example = if place.table.is_some() {
            format!("{key} = {example}")
        } else {
            format!("[{}] {key} = {example}", place.section.name)
        };
        self.wrong(
            place.line,
            Problem::MissingKey {
                key: key.to_owned(),
                within: place.within(),
                example,
            },
        );
    }

    /// Whether a key that must be there is; complains if not.
    pub(super) fn needed(&mut self, place: Place<'_>, key: &str) -> bool {
        let there = place
            .table
            .is_some_and(|table| !pages::is_empty(table, key));
        if !there {
            self.missing(place, key);
        }
        there
    }

    /// The text of a key, or the number of one that needs no unit and so no quotes.
    pub(super) fn text_or_number(&mut self, place: Place<'_>, key: &str) -> Option<Lined<String>> {
        let item = place.table?.get(key)?;
        let line = self.line(item.span());
        let value = match item.as_value() {
            Some(Value::String(text)) => text.value().clone(),
            Some(Value::Integer(number)) => number.value().to_string(),
            Some(Value::Float(number)) => number.value().to_string(),
            _ => return self.wrong_kind(place, key, item),
        };
        Some(Lined { value, line })
    }

    /// The text of a key.
    pub(super) fn text<'t>(&mut self, place: Place<'t>, key: &str) -> Option<Lined<&'t str>> {
        let item = place.table?.get(key)?;
        let line = self.line(item.span());
        match item.as_str() {
            Some(value) => Some(Lined { value, line }),
            None => self.wrong_kind(place, key, item),
        }
    }

    /// A text of one line, neither too long nor with unseen characters.
    pub(super) fn line_of_text(
        &mut self,
        place: Place<'_>,
        key: &str,
        length: Range,
    ) -> Option<Lined<String>> {
        let Lined { value, line } = self.text(place, key)?;
        let value = value.trim();
        if value.chars().any(char::is_control) {
            self.unreadable(place, key, line, "text on one line", value);
            return None;
        }
        let count = value.chars().count();
        // An empty text counts as one that is not there; whoever needs it says so.
        if count > 0 && !length.holds(&count) {
            self.out_of_range(line, length, &count.to_string());
            return None;
        }
        Some(Lined {
            value: value.to_owned(),
            line,
        })
    }

    /// A switch, or `otherwise` if the key is not there.
    pub(super) fn switch(&mut self, place: Place<'_>, key: &str, otherwise: bool) -> bool {
        let Some(item) = place.table.and_then(|table| table.get(key)) else {
            return otherwise;
        };
        match item.as_bool() {
            Some(value) => value,
            None => {
                self.wrong_kind::<bool>(place, key, item);
                otherwise
            }
        }
    }

    /// A whole number.
    pub(super) fn whole(&mut self, place: Place<'_>, key: &str) -> Option<Lined<i64>> {
        let item = place.table?.get(key)?;
        let line = self.line(item.span());
        match item.as_integer() {
            Some(value) => Some(Lined { value, line }),
            None => self.wrong_kind(place, key, item),
        }
    }

    /// A measure with its unit.
    pub(super) fn measure<T>(&mut self, place: Place<'_>, key: &str) -> Option<Lined<T>>
    where
        T: FromStr<Err = MeasureError>,
    {
        let Lined { value, line } = self.text(place, key)?;
        let error = match value.parse() {
            Ok(value) => return Some(Lined { value, line }),
            Err(error) => error,
        };
        self.wrong(
            line,
            Problem::Measure {
                key: key.to_owned(),
                error: shortened(error),
                example: format!("{key} = {}", key_of(place, key).example),
            },
        );
        None
    }

    /// A measure within a range; `None` if it is not there or wrong.
    pub(super) fn ranged<T>(
        &mut self,
        place: Place<'_>,
        key: &str,
        range: Range,
    ) -> Option<Lined<T>>
    where
        T: FromStr<Err = MeasureError> + Figure,
    {
        let found: Lined<T> = self.measure(place, key)?;
        if range.holds(&found.value) {
            return Some(found);
        }
        let written = self.text(place, key)?.value;
        self.out_of_range(found.line, range, written);
        None
    }

    pub(super) fn out_of_range(&mut self, line: u32, range: Range, written: &str) {
        self.wrong(
            line,
            Problem::OutOfRange {
                name: range.name,
                found: cut(written),
                range: range.to_string(),
            },
        );
    }

    /// Complains of a text that cannot be made sense of.
    pub(super) fn unreadable(
        &mut self,
        place: Place<'_>,
        key: &str,
        line: u32,
        expected: &'static str,
        found: &str,
    ) {
        self.wrong(
            line,
            Problem::Unreadable {
                key: key.to_owned(),
                expected,
                found: cut(&found.escape_debug().to_string()),
                example: format!("{key} = {}", key_of(place, key).example),
            },
        );
    }

    /// One of a list of words.
    pub(super) fn word<T: Copy>(
        &mut self,
        place: Place<'_>,
        key: &str,
        words: &[(&'static str, T)],
    ) -> Option<Lined<T>> {
        let Lined { value, line } = self.text(place, key)?;
        if let Some((_, meant)) = words.iter().find(|(word, _)| *word == value.trim()) {
            return Some(Lined {
                value: *meant,
                line,
            });
        }
        let list: Vec<String> = words.iter().map(|(word, _)| format!("`{word}`")).collect();
        self.wrong(
            line,
            Problem::UnknownWord {
                key: key.to_owned(),
                expected: list.join(", "),
                found: cut(value),
                near: nearest(value, words.iter().map(|(word, _)| *word)).map(str::to_owned),
            },
        );
        None
    }

    fn wrong_kind<T>(&mut self, place: Place<'_>, key: &str, item: &Item) -> Option<T> {
        let Key { kind, example, .. } = key_of(place, key);
        let expected = match kind {
            Kind::Text => "text in quotes",
            Kind::Words => "words in quotes",
            Kind::Switch => "`true` or `false`",
            Kind::Whole => "a whole number",
            Kind::TextList => "texts in quotes, in brackets",
            Kind::WholeList => "whole numbers in brackets",
        };
        let line = self.line(item.span());
        self.wrong(
            line,
            Problem::WrongKind {
                key: key.to_owned(),
                expected,
                found: kind_of(item),
                example: format!("{key} = {example}"),
            },
        );
        None
    }
}

fn key_of(place: Place<'_>, key: &str) -> &'static Key {
    place
        .section
        .key(key)
        .expect("keys are asked for by the names in the table of keys")
}

/// The errors without those that say what is missing in a section whose header is misspelt: with the
/// header mended, nothing of it is missing.
fn without_missing_sections(errors: Vec<BookError>) -> Vec<BookError> {
    let misspelt: Vec<String> = errors
        .iter()
        .filter_map(|error| match &error.problem {
            Problem::UnknownKey {
                within,
                near: Some(near),
                ..
            } => match within.as_str() {
                "the book file" => Some(near.clone()),
                "`[stock]`" => Some(format!("stock.{near}")),
                _ => None,
            },
            _ => None,
        })
        .collect();
    let explained = |error: &BookError| {
        let Problem::MissingKey { within, .. } = &error.problem else {
            return false;
        };
        let section = within.trim_matches(['`', '[', ']']);
        misspelt.iter().any(|near| {
            let below = section.strip_prefix(near.as_str());
            below.is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
        })
    };
    errors
        .into_iter()
        .filter(|error| !explained(error))
        .collect()
}

/// The error without the rest of a text that is too long to be shown.
fn shortened(error: MeasureError) -> MeasureError {
    match error {
        MeasureError::Unreadable { expected, found } => MeasureError::Unreadable {
            expected,
            found: cut(&found),
        },
        MeasureError::UnknownUnit { unit, found, known } => MeasureError::UnknownUnit {
            unit: cut(&unit),
            found: cut(&found),
            known,
        },
        MeasureError::OutOfRange { found, range } => MeasureError::OutOfRange {
            found: cut(&found),
            range,
        },
    }
}

/// What stands there, for a message.
fn kind_of(item: &Item) -> String {
    match item {
        Item::Value(Value::String(text)) => format!("the text `{}`", cut(text.value())),
        Item::Value(Value::Integer(number)) => format!("the number `{}`", number.value()),
        Item::Value(Value::Float(number)) => format!("the number `{}`", number.value()),
        Item::Value(Value::Boolean(switch)) => format!("`{}`", switch.value()),
        Item::Value(Value::Datetime(_)) => "a date".to_owned(),
        Item::Value(Value::Array(_)) => "a list".to_owned(),
        Item::Value(Value::InlineTable(_)) | Item::Table(_) => "a section".to_owned(),
        Item::ArrayOfTables(_) => "a list of sections".to_owned(),
        Item::None => "nothing".to_owned(),
    }
}
