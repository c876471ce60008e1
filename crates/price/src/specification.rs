//! What is asked for, line by line in the trade's terms, and what has changed between two of them.

mod sheets;
mod terms;
mod thing;

pub(crate) use terms::percent;

use std::fmt;

use book::Book;
use book::object::Object;

/// What a printer is asked to make and to send. The same book gives the same lines, in the same order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Specification {
    /// Its lines; no two have one key.
    pub lines: Vec<Line>,
}

/// One line: `Text paper`, `Silk, 150 g/m², 0.135 mm`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// What it says something of, for programs: `text-paper`.
    pub key: &'static str,
    /// What it says something of, for people: `Text paper`.
    pub what: String,
    /// What it says; never empty, never more than one line.
    pub said: String,
    /// Whether it is part of the thing itself, so that a price for something else is stale. Terms and
    /// services are not, nor what only follows from other lines or may still be measured anew, such
    /// as the opened size of a jacket.
    pub of_object: bool,
    /// Under which heading of a request it stands.
    pub heading: Heading,
}

/// What a line of a specification is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Heading {
    /// The book as a thing.
    Book,
    /// Proofs, packing and terms.
    Terms,
}

/// One thing that differs between a specification and a later one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Change {
    /// Key of the line.
    pub key: &'static str,
    /// What has changed: `Text paper`.
    pub what: String,
    /// What was said then; nothing if the line is new.
    pub then: Option<String>,
    /// What is said now; nothing if the line is gone.
    pub now: Option<String>,
    /// Whether it is part of the thing itself.
    pub of_object: bool,
}

impl Specification {
    /// From the book and the object that it becomes.
    pub fn of(book: &Book, object: &Object) -> Self {
        let mut lines = Vec::new();
        thing::describe(book, object, &mut lines);
        sheets::describe(book, object, &mut lines);
        thing::finish(book, object, &mut lines);
        terms::describe(book, &mut lines);
        Self { lines }
    }

    /// The line of a key.
    pub fn line(&self, key: &str) -> Option<&Line> {
        self.lines.iter().find(|line| line.key == key)
    }

    /// What differs from this one to a later one: first what has changed or come, in the order of the
    /// later one, then what has gone.
    pub fn changed(&self, now: &Self) -> Vec<Change> {
        let mut changes = Vec::new();
        for line in &now.lines {
            let then = self.line(line.key).map(|then| then.said.clone());
            if then.as_deref() != Some(line.said.as_str()) {
                changes.push(Change {
                    key: line.key,
                    what: line.what.clone(),
                    then,
                    now: Some(line.said.clone()),
                    of_object: line.of_object,
                });
            }
        }
        for line in &self.lines {
            if now.line(line.key).is_none() {
                changes.push(Change {
                    key: line.key,
                    what: line.what.clone(),
                    then: Some(line.said.clone()),
                    now: None,
                    of_object: line.of_object,
                });
            }
        }
        changes
    }

    /// The lines of the thing itself as one text, `key: what is said` a line. Two specifications with
    /// one text are for the same book; what a digest is made of.
    pub fn text(&self) -> String {
        let mut text = String::new();
        for line in self.lines.iter().filter(|line| line.of_object) {
            text.push_str(line.key);
            text.push_str(": ");
            text.push_str(&line.said);
            text.push('\n');
        }
        text
    }
}

impl fmt::Display for Change {
    /// `Text paper: was 150 g/m², is 170 g/m²`, as part of a sentence.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (&self.then, &self.now) {
            (Some(then), Some(now)) => write!(f, "{}: was {then}, is {now}", self.what),
            (None, Some(now)) => write!(f, "{}: new, {now}", self.what),
            (Some(then), None) => write!(f, "{}: gone, was {then}", self.what),
            (None, None) => f.write_str(&self.what),
        }
    }
}

impl Line {
    /// Part of the thing itself.
    fn of_object(key: &'static str, what: &str, said: impl Into<String>) -> Self {
        Self {
            key,
            what: what.to_owned(),
            said: said.into(),
            of_object: true,
            heading: Heading::Book,
        }
    }

    /// What is told of the book, and no price depends on.
    fn of_book(key: &'static str, what: &str, said: impl Into<String>) -> Self {
        Self {
            of_object: false,
            ..Self::of_object(key, what, said)
        }
    }

    /// A term or a service.
    fn of_terms(key: &'static str, what: &str, said: impl Into<String>) -> Self {
        Self {
            heading: Heading::Terms,
            ..Self::of_book(key, what, said)
        }
    }
}

/// `a`, `a and b`, `a, b and c`.
pub(crate) fn listed(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [only] => (*only).to_owned(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}
