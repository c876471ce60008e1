//! The things that the book file names, such as audiences, ways of selling and printers: shown as they are
//! written, said anew and taken out, each as one edit that undo takes back.

use book::edit::{Edit, Field, Written, naming};

use crate::standing::{self, BOOK_FILE};
use crate::{Desk, DeskError, Edited, place};

impl Desk {
    /// The things of one section of the book file, such as `audience`, as they are written.
    ///
    /// # Errors
    /// A book file that cannot be read, with its line.
    pub fn things(&self, section: &str) -> Result<Vec<Written>, DeskError> {
        let text = standing::read_text(self)?;
        book::edit::things(&text, section).map_err(|errors| place::book_errors(BOOK_FILE, &errors))
    }

    /// The keys of a section that stands once, as they are written; or those that a new thing may have.
    ///
    /// # Errors
    /// As [`Desk::things`].
    pub fn keys(&self, section: &str) -> Result<Vec<Field>, DeskError> {
        let text = standing::read_text(self)?;
        book::edit::keys(&text, section).map_err(|errors| place::book_errors(BOOK_FILE, &errors))
    }

    /// Says something of a thing, which is made if it is not there; an empty value unsays a key. One edit.
    ///
    /// # Errors
    /// No name; as [`Desk::edit`].
    pub fn say_of(
        &self,
        section: &str,
        name: &str,
        values: &[(&str, &str)],
    ) -> Result<Edited, DeskError> {
        let name = name.trim();
        if name.is_empty() {
            return Err(nameless(section));
        }
        let naming = naming(section);
        if naming.is_empty() {
            return Err(unknown(section));
        }
        // A new name is given last: until then the thing is found by the one that it has. It never goes.
        let (names, others): (Vec<_>, Vec<_>) =
            values.iter().partition(|(key, _)| naming.contains(key));
        let names = names.into_iter().filter(|(_, name)| !name.is_empty());
        let all: Vec<(&str, &str)> = others.into_iter().chain(names).collect();
        self.edit(&Edit::set_entry(section, name, &all))
    }

    /// Names a new thing by what is said of it. One edit.
    ///
    /// # Errors
    /// No name, or one that is taken; as [`Desk::edit`].
    pub fn add(&self, section: &str, values: &[(&str, &str)]) -> Result<Edited, DeskError> {
        let value = |key: &&str| {
            values
                .iter()
                .find(|(known, _)| known == key)
                .map(|(_, value)| *value)
        };
        let words: Vec<&str> = naming(section).iter().filter_map(value).collect();
        if words.is_empty() || words.iter().any(|word| word.trim().is_empty()) {
            return Err(nameless(section));
        }
        let name = words.join(" ");
        if self.things(section)?.iter().any(|thing| thing.name == name) {
            return Err(DeskError::new(
                format!("{section} `{name}`"),
                "there is one of this name already",
                "Change that one, or choose another name.",
            ));
        }
        let said: Vec<(&str, &str)> = values
            .iter()
            .copied()
            .filter(|(_, value)| !value.trim().is_empty())
            .collect();
        self.say_of(section, &name, &said)
    }

    /// Says values of a section that stands once; an empty value unsays a key. One edit.
    ///
    /// # Errors
    /// As [`Desk::edit`].
    pub fn say(&self, section: &str, values: &[(&str, &str)]) -> Result<Edited, DeskError> {
        let values = values
            .iter()
            .map(|(key, value)| (format!("{section}.{key}"), (*value).to_owned()));
        self.edit(&Edit::SetAll {
            values: values.collect(),
            what: String::new(),
        })
    }

    /// Takes a thing out of the book file, with what is said about it elsewhere.
    ///
    /// # Errors
    /// No such thing; as [`Desk::edit`].
    pub fn take_out(&self, section: &str, name: &str) -> Result<Edited, DeskError> {
        if naming(section).is_empty() {
            return Err(unknown(section));
        }
        let there = self.things(section)?;
        let found = there.iter().any(|thing| thing.name == name);
        match Edit::remove_entry(section, name).filter(|_| found) {
            Some(edit) => self.edit(&edit),
            None => {
                let names: Vec<&str> = there.iter().map(|thing| thing.name.as_str()).collect();
                Err(DeskError::new(
                    format!("{section} `{name}`"),
                    format!("the book has no such {section}"),
                    if names.is_empty() {
                        "There is none.".to_owned()
                    } else {
                        format!("The book has: {}.", names.join(", "))
                    },
                ))
            }
        }
    }
}

fn unknown(section: &str) -> DeskError {
    DeskError::new(
        section,
        "the book file names no such things",
        format!("It names these: {}.", book::edit::kinds().join(", ")),
    )
}

fn nameless(section: &str) -> DeskError {
    DeskError::new(
        section,
        "it has no name",
        "Give it one that you will know it by.",
    )
}
