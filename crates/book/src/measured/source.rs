//! Accepted figures as one edit of the book file, each with its source in words.

use crate::edit::Edit;

/// One figure that a measurement puts in the place of another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Accepted {
    /// Dotted key: `stock.text.caliper`.
    pub(super) key: &'static str,
    /// The value as written in the book file; empty takes the key out.
    pub(super) value: String,
}

/// All of them in one step, each with its source.
pub(super) fn edit(accepted: &[Accepted], source: &str, what: &str) -> Option<Edit> {
    if accepted.is_empty() {
        return None;
    }
    let mut values: Vec<(String, String)> = accepted
        .iter()
        .map(|one| (one.key.to_owned(), one.value.clone()))
        .collect();
    values.extend(
        accepted
            .iter()
            .filter(|one| !one.value.is_empty())
            .map(|one| {
                let words = format!("{}, from {source}", one.value);
                (format!("source.{}", one.key), words)
            }),
    );
    Some(Edit::SetAll {
        values,
        what: what.to_owned(),
    })
}
