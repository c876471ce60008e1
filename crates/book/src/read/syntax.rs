//! Lines of a text, and errors of TOML in plain words.

use std::ops::Range;

use toml_edit::TomlError;

use super::cut;
use crate::error::{BookError, Problem};

/// Where the lines of a text begin.
#[derive(Debug)]
pub(crate) struct Lines {
    starts: Vec<usize>,
}

impl Lines {
    pub(crate) fn of(text: &str) -> Self {
        let starts = std::iter::once(0)
            .chain(text.match_indices('\n').map(|(at, _)| at + 1))
            .collect();
        Self { starts }
    }

    /// The line of a byte, counted from 1.
    pub(crate) fn at(&self, byte: usize) -> u32 {
        let line = self.starts.partition_point(|start| *start <= byte);
        u32::try_from(line).unwrap_or(u32::MAX)
    }

    /// The first byte of the line in which a byte lies.
    pub(crate) fn start_of(&self, byte: usize) -> usize {
        let line = self.starts.partition_point(|start| *start <= byte);
        self.starts[line - 1]
    }
}

/// The error of a text that is not TOML.
pub(super) fn explain(error: &TomlError, text: &str, lines: &Lines) -> BookError {
    let span = error.span().unwrap_or(text.len()..text.len());
    let at = span.start.min(text.len());
    let line = lines.at(at);
    let message = error.message().trim();
    if message == "duplicate key" {
        let key = text.get(span).unwrap_or_default();
        return BookError::new(
            line,
            Problem::KeyTwice {
                key: cut(key),
                first: first_of(text, lines.start_of(at), key, lines),
            },
        );
    }
    BookError::new(
        line,
        Problem::Syntax {
            message: cut(&message.replace('\n', " ")),
        },
    )
}

/// The line above `before` where the same key or header stands, in the same section.
fn first_of(text: &str, before: usize, key: &str, lines: &Lines) -> Option<u32> {
    let header = text[before..].trim_start().starts_with('[');
    let mut end = before;
    while end > 0 {
        let start = lines.start_of(end - 1);
        let line = text[start..end].trim();
        let opens = line.starts_with('[');
        let same = if header {
            opens && header_name(line) == key
        } else {
            line.split('=')
                .next()
                .is_some_and(|found| found.trim() == key)
        };
        if same {
            return Some(lines.at(start));
        }
        if opens && !header {
            return None;
        }
        end = start;
    }
    None
}

fn header_name(line: &str) -> &str {
    let Range { start, end } = 0..line.find(']').unwrap_or(line.len());
    line[start..end].trim_matches(['[', ' ', '\t'])
}
