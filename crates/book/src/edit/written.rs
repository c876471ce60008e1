//! What stands in a section, as it is written: for forms that show it and give it back changed.

use super::blocks::Blocks;
use super::table::{plain, value_of};
use crate::asking::Term;
use crate::dates::{Carriage, Whose};
use crate::edition::{ChannelKind, RoyaltyOn};
use crate::error::BookErrors;
use crate::key::{Kind, NAMED, SECTIONS, Section};
use crate::landing::DutyOn;
use crate::term::{Leg, Payer};

/// One key of a section.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Field {
    /// As written in the file.
    pub key: &'static str,
    /// What people call it: `the share that buys at most`.
    pub label: &'static str,
    /// A value as a person would type it.
    pub example: String,
    /// What stands there, as a person reads it; `None` where nothing is said.
    pub value: Option<String>,
    /// The words that it takes, where it takes only these.
    pub choices: Vec<&'static str>,
    /// Whether it takes a day, such as 2027-06-01.
    pub day: bool,
    /// Whether it takes a whole number.
    pub whole: bool,
    /// Whether it takes several lines, such as an address.
    pub lines: bool,
}

/// One thing with a name, such as an audience.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// Its name, by which edits find it.
    pub name: String,
    /// Its keys in the order of a new file, those that name it first.
    pub fields: Vec<Field>,
}

/// The things of one kind, in the order of the file; none for a section that does not stand once for each.
///
/// # Errors
/// A text that is no book file.
pub fn things(text: &str, section: &str) -> Result<Vec<Written>, BookErrors> {
    let Some(named) = NAMED.iter().find(|named| named.section.name == section) else {
        return Ok(Vec::new());
    };
    let blocks = Blocks::of(text, section)?;
    (0..blocks.len())
        .map(|index| {
            let fields = fields(blocks.body(index), &named.section)?;
            let words = named.by.iter().filter_map(|by| {
                let field = fields.iter().find(|field| field.key == *by)?;
                field.value.as_deref()
            });
            Ok(Written {
                name: words.collect::<Vec<_>>().join(" "),
                fields,
            })
        })
        .collect()
}

/// The keys of a section that stands once, or of a thing that is yet to be named.
///
/// # Errors
/// As [`things`].
pub fn keys(text: &str, section: &str) -> Result<Vec<Field>, BookErrors> {
    if let Some(once) = SECTIONS.iter().find(|once| once.name == section) {
        return fields(text, once);
    }
    match NAMED.iter().find(|named| named.section.name == section) {
        Some(named) => fields("", &named.section),
        None => Ok(Vec::new()),
    }
}

/// The keys that name a thing of a section, such as `place` of an audience; none for a section that stands
/// once.
pub fn naming(section: &str) -> &'static [&'static str] {
    let named = NAMED.iter().find(|named| named.section.name == section);
    named.map_or(&[], |named| named.by)
}

/// The sections whose things have names, in the order of a new file.
pub fn kinds() -> Vec<&'static str> {
    NAMED.iter().map(|named| named.section.name).collect()
}

fn fields(text: &str, section: &Section) -> Result<Vec<Field>, BookErrors> {
    let path: Vec<&str> = section.name.split('.').collect();
    let keys = section.keys.iter().map(|key| {
        Ok(Field {
            key: key.name,
            label: key.label,
            example: plain(key.example),
            value: value_of(text, &path, key.name)?.map(|value| match (key.kind, plain(&value)) {
                (Kind::Switch, yes) if yes == "true" => "yes".to_owned(),
                (Kind::Switch, no) if no == "false" => "no".to_owned(),
                (_, plain) => plain,
            }),
            choices: choices(section.name, key.name),
            day: key.kind == Kind::Text && is_day(&plain(key.example)),
            whole: key.kind == Kind::Whole,
            lines: key.kind == Kind::Words,
        })
    });
    keys.collect()
}

/// Whether an example is a day.
fn is_day(example: &str) -> bool {
    example.parse::<jiff::civil::Date>().is_ok()
}

fn choices(section: &str, key: &str) -> Vec<&'static str> {
    fn words<T, const N: usize>(all: [(&'static str, T); N]) -> Vec<&'static str> {
        all.map(|(word, _)| word).to_vec()
    }
    match (section, key) {
        ("channel", "kind") => words(ChannelKind::WORDS),
        ("offer", "on") => words(RoyaltyOn::WORDS),
        ("closure" | "step", "of") => words(Whose::WORDS),
        ("dates", "carriage") => words(Carriage::WORDS),
        ("payment", "at") => vec!["beginning", "end"],
        ("import", "duty_on") => words(DutyOn::WORDS),
        ("ask" | "freight" | "term", "term") => words(Term::WORDS),
        ("term", leg) if Leg::KEYS.iter().any(|(key, _)| *key == leg) => words(Payer::WORDS),
        ("printer", "home") | ("step", "skip") => vec!["yes", "no"],
        _ => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "[edition]\nprice = \"EUR 48\" # with tax\nseason = [\"40%\", \"20%\"]\n\n\
                        [[audience]]\nplace = \"letter\"\npeople = 800\nlow = \"1%\"\n\n\
                        [[audience]]\nplace = \"fairs\"\n";

    fn value<'f>(fields: &'f [Field], key: &str) -> Option<&'f str> {
        let found = fields.iter().find(|field| field.key == key);
        found.and_then(|field| field.value.as_deref())
    }

    #[test]
    fn things_are_read_as_people_read_them() {
        let things = things(TEXT, "audience").unwrap();
        assert_eq!(things.len(), 2);
        assert_eq!(things[0].name, "letter");
        assert_eq!(value(&things[0].fields, "people"), Some("800"));
        assert_eq!(value(&things[0].fields, "low"), Some("1%"));
        assert_eq!(value(&things[1].fields, "low"), None);
        let edition = keys(TEXT, "edition").unwrap();
        assert_eq!(value(&edition, "price"), Some("EUR 48"));
        assert_eq!(value(&edition, "season"), Some("40%, 20%"));
    }

    #[test]
    fn a_new_thing_says_nothing_and_shows_examples() {
        let blank = keys(TEXT, "channel").unwrap();
        assert!(blank.iter().all(|field| field.value.is_none()));
        let kind = blank.iter().find(|field| field.key == "kind").unwrap();
        assert!(kind.choices.contains(&kind.example.as_str()));
        assert_eq!(keys(TEXT, "nothing").unwrap(), []);
        assert_eq!(super::things(TEXT, "edition").unwrap(), []);
    }
}
