//! `[source]`: where accepted figures come from.

use toml_edit::{Item, TableLike};

use super::cursor::Cursor;
use super::cut;
use crate::error::Problem;
use crate::key::SECTIONS;
use crate::range;
use crate::sources::Source;

/// Each key is the dotted name of a figure, and each value that figure and its source:
/// `"case.hinge" = "9mm, from the printer's template"`. A source whose figure has been changed
/// since is left out.
pub(super) fn sources(cursor: &mut Cursor<'_>, top: &dyn TableLike) -> Vec<Source> {
    let Some(table) = cursor.table(top, "source", "the book file") else {
        return Vec::new();
    };
    let mut sources = Vec::new();
    for (key, item) in table.iter() {
        let line = cursor.line(item.span());
        let known = SECTIONS.iter().any(|section| {
            key.strip_prefix(section.name)
                .and_then(|rest| rest.strip_prefix('.'))
                .is_some_and(|name| section.key(name).is_some())
        });
        let Some(words) = item.as_str().filter(|_| known) else {
            cursor.wrong(
                line,
                Problem::WrongKind {
                    key: format!("source.{}", cut(key)),
                    expected: "a figure of the book in quotes, and where it comes from",
                    found: if known {
                        "something else".to_owned()
                    } else {
                        "a figure that the book does not have".to_owned()
                    },
                    example: "\"case.hinge\" = \"9mm, from the printer's template\"".to_owned(),
                },
            );
            continue;
        };
        if !range::WORDS.holds(&words.chars().count()) {
            cursor.out_of_range(line, range::WORDS, &format!("{} characters", words.len()));
            continue;
        }
        let stands = standing(top, key);
        let source = stands
            .and_then(|value| words.strip_prefix(value))
            .and_then(|rest| rest.strip_prefix(", from "));
        sources.extend(source.map(|words| Source {
            key: key.to_owned(),
            words: words.trim().to_owned(),
        }));
    }
    sources
}

/// The text that stands under a dotted key.
fn standing<'t>(top: &'t dyn TableLike, key: &str) -> Option<&'t str> {
    let mut steps = key.split('.').peekable();
    let mut table = top;
    while let Some(step) = steps.next() {
        let item: &Item = table.get(step)?;
        if steps.peek().is_none() {
            return item.as_str();
        }
        table = item.as_table_like()?;
    }
    None
}
