//! Specifications as the record keeps them, and what has changed since, in words.

use price::specification::{Change, Heading, Line, Specification};
use serde::{Deserialize, Serialize};

use crate::Snapshot;
use crate::digest::Digest;

/// Key of a kept line that the book of today has no more.
const GONE: &str = "gone";

/// What the book of today asks for.
pub(super) fn now(snapshot: &Snapshot) -> Specification {
    Specification::of(&snapshot.book, &snapshot.object)
}

/// The short digest of a specification, as it stands on every form of a request.
pub(super) fn digest(specification: &Specification) -> String {
    let digest = Digest::of(specification.text().as_bytes()).to_string();
    digest.chars().take(12).collect()
}

/// A line, kept.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct KeptLine {
    key: String,
    what: String,
    said: String,
    of_object: bool,
    of_terms: bool,
}

/// All lines of a specification, to be kept.
pub(super) fn kept(specification: &Specification) -> Vec<KeptLine> {
    specification
        .lines
        .iter()
        .map(|line| KeptLine {
            key: line.key.to_owned(),
            what: line.what.clone(),
            said: line.said.clone(),
            of_object: line.of_object,
            of_terms: line.heading == Heading::Terms,
        })
        .collect()
}

/// What is different in the book of today.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Since {
    /// What makes a price stale.
    pub thing: Vec<String>,
    /// What else is asked for now.
    pub terms: Vec<String>,
}

/// What has changed since a specification was kept, each in a sentence without its full stop.
pub(super) fn since(kept: &[KeptLine], now: &Specification) -> Since {
    let then = Specification {
        lines: kept.iter().map(|line| line_of(line, now)).collect(),
    };
    let mut since = Since::default();
    for change in then.changed(now) {
        if change.of_object {
            since.thing.push(sentence(&change));
        } else if let (true, Some(said)) = (of_terms(now, change.key), &change.now) {
            // Beside a question, or a list of places, differing words alone would say little.
            since
                .terms
                .push(format!("The {} now: {said}", small(&change.what)));
        }
    }
    since
}

fn of_terms(now: &Specification, key: &str) -> bool {
    now.line(key)
        .is_some_and(|line| line.heading == Heading::Terms)
}

fn line_of(kept: &KeptLine, now: &Specification) -> Line {
    Line {
        key: now.line(&kept.key).map_or(GONE, |line| line.key),
        what: kept.what.clone(),
        said: kept.said.clone(),
        of_object: kept.of_object,
        heading: if kept.of_terms {
            Heading::Terms
        } else {
            Heading::Book
        },
    }
}

/// `The extent changed from 40 to 48 pages`.
fn sentence(change: &Change) -> String {
    let what = small(&change.what);
    match (&change.then, &change.now) {
        (Some(then), Some(now)) => match differing(then, now) {
            Some((then, now)) => format!("The {what} changed from {then} to {now}"),
            None => format!("The {what} changed from “{then}” to “{now}”"),
        },
        (None, Some(now)) => format!("New is the {what}: {now}"),
        (Some(then), None) => format!("There is no {what} any more (it was {then})"),
        (None, None) => format!("The {what} changed"),
    }
}

/// A name within a sentence.
fn small(what: &str) -> String {
    let mut letters = what.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_lowercase().chain(letters).collect()
    })
}

/// The words that differ, without those that both begin and end with; the later ones run on to the
/// end of their clause, so that a unit is said once. Nothing where they differ by a word alone.
fn differing(then: &str, now: &str) -> Option<(String, String)> {
    let (then, now): (Vec<&str>, Vec<&str>) = (
        then.split_whitespace().collect(),
        now.split_whitespace().collect(),
    );
    let shorter = then.len().min(now.len());
    let begin = (0..shorter)
        .take_while(|&index| then[index] == now[index])
        .count();
    let end = (0..shorter - begin)
        .take_while(|&index| then[then.len() - 1 - index] == now[now.len() - 1 - index])
        .count();
    let (then_end, mut now_end) = (then.len() - end, now.len() - end);
    if begin == then_end || begin == now_end {
        return None;
    }
    let of_clause = |word: &str| word.ends_with([',', ';', ':']);
    while now_end < now.len() && !of_clause(now[now_end - 1]) {
        now_end += 1;
    }
    let join = |words: &[&str]| words.join(" ").trim_end_matches([',', ';', ':']).to_owned();
    let (then, now) = (join(&then[begin..then_end]), join(&now[begin..now_end]));
    // A comma apart, one is the other with words added.
    (!then.starts_with(&now) && !now.starts_with(&then)).then_some((then, now))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn changed(what: &str, then: &str, now: &str) -> String {
        sentence(&Change {
            key: "x",
            what: what.to_owned(),
            then: Some(then.to_owned()),
            now: Some(now.to_owned()),
            of_object: true,
        })
    }

    #[test]
    fn a_change_is_said_by_what_differs_alone() {
        assert_eq!(
            changed(
                "Extent",
                "40 pages, cover not counted",
                "48 pages, cover not counted"
            ),
            "The extent changed from 40 to 48 pages"
        );
        assert_eq!(
            changed(
                "Text paper",
                "Silk, coated, 150 g/m², bulk about 0.9 cm³/g",
                "Silk, coated, 170 g/m², bulk about 0.9 cm³/g"
            ),
            "The text paper changed from 150 to 170 g/m²"
        );
        assert_eq!(
            changed("Ribbons", "one", "2"),
            "The ribbons changed from one to 2"
        );
    }

    #[test]
    fn where_words_are_only_added_both_are_said_whole() {
        assert_eq!(
            changed("Finishings", "moon: varnish", "moon: varnish on the front"),
            "The finishings changed from “moon: varnish” to “moon: varnish on the front”"
        );
        assert_eq!(
            changed("Text paper", "matt, 200 g/m², bulky", "matt, 200 g/m²"),
            "The text paper changed from “matt, 200 g/m², bulky” to “matt, 200 g/m²”"
        );
    }

    #[test]
    fn a_kept_specification_differs_by_what_was_changed_since() {
        let line = |key, said: &str, of_object| Line {
            key,
            what: key.to_owned(),
            said: said.to_owned(),
            of_object,
            heading: if of_object {
                Heading::Book
            } else {
                Heading::Terms
            },
        };
        let then = Specification {
            lines: vec![
                line("extent", "40 pages", true),
                line("jacket", "printed", true),
                line("overs", "5 %", false),
            ],
        };
        let now = Specification {
            lines: vec![
                line("extent", "48 pages", true),
                line("overs", "3 %", false),
            ],
        };
        assert_eq!(since(&kept(&then), &then), Since::default());
        let since = since(&kept(&then), &now);
        assert_eq!(
            since.thing,
            [
                "The extent changed from 40 to 48 pages",
                "There is no jacket any more (it was printed)"
            ]
        );
        assert_eq!(since.terms, ["The overs now: 3 %"]);
        assert_ne!(digest(&then), digest(&now));
        assert_eq!(digest(&now).len(), 12);
    }

    proptest! {
        #[test]
        fn any_two_texts_can_be_told_apart(then in ".{0,60}", now in ".{0,60}") {
            prop_assert!(!changed("Extent", &then, &now).is_empty());
        }
    }
}
