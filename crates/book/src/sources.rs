//! Where accepted figures come from, in words.

use crate::model::Book;

/// Where one figure of the book file comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// Dotted key of the figure: `case.hinge`.
    pub key: String,
    /// Where it comes from, as read after "from": `the printer's template of 25 November 2026`.
    pub words: String,
}

impl Book {
    /// Where a figure comes from, if the book file says so and the figure is still the one that was
    /// accepted.
    pub fn source_of(&self, key: &str) -> Option<&str> {
        self.sources
            .iter()
            .find(|source| source.key == key)
            .map(|source| source.words.as_str())
    }
}
