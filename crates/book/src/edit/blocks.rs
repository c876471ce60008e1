//! The text of a book file cut into the sections of one name, such as the entries of the running
//! order, and what lies between them.

use toml_edit::{Item, TableLike};

use super::table::{last_value_end, line_end};
use crate::error::BookErrors;
use crate::read::parse;

/// A text as head, entries and gaps, which put together give the text again, byte for byte.
///
/// An entry is a section that stands many times, such as `[[page]]`. Its body begins with the comment
/// lines directly above its header and ends with its
/// last value or the comment lines directly below that; it has no line break at its end. Gaps hold
/// line breaks, blank lines, comments that stand alone, and sections between pages.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Blocks {
    head: String,
    /// Bodies, each with the gap behind it.
    bodies: Vec<String>,
    gaps: Vec<String>,
}

impl Blocks {
    /// Cuts a text up into the sections of one name.
    pub(super) fn of(text: &str, name: &str) -> Result<Self, BookErrors> {
        let document = parse(text)?;
        let root = document.as_table();
        let pages = root.get(name).and_then(Item::as_array_of_tables);
        let mut ends = Vec::new();
        all_ends(root, &mut ends);
        ends.sort_unstable();
        // First byte of each body, and the end of its last line.
        let mut spans: Vec<(usize, usize)> = Vec::new();
        for table in pages.into_iter().flatten() {
            let header = table.span().unwrap_or(0..0);
            let content_end = line_end(text, last_value_end(table).unwrap_or(header.end));
            let header_line = text[..header.start].rfind('\n').map_or(0, |at| at + 1);
            // Comments above the header, but none that lie inside a value further up.
            let above = ends.partition_point(|end| *end <= header_line);
            let floor = above
                .checked_sub(1)
                .map_or(0, |index| next_line(text, ends[index]));
            spans.push((
                comments_above(text, floor.min(header_line), header_line),
                content_end,
            ));
        }
        for index in 0..spans.len() {
            let limit = spans.get(index + 1).map_or(text.len(), |next| next.0);
            spans[index].1 = comments_below(text, spans[index].1, limit);
        }
        let head_end = spans.first().map_or(text.len(), |first| first.0);
        let mut blocks = Self {
            head: text[..head_end].to_owned(),
            bodies: Vec::with_capacity(spans.len()),
            gaps: Vec::with_capacity(spans.len()),
        };
        for (index, &(start, end)) in spans.iter().enumerate() {
            let next = spans.get(index + 1).map_or(text.len(), |next| next.0);
            blocks.bodies.push(text[start..end].to_owned());
            blocks.gaps.push(text[end..next].to_owned());
        }
        Ok(blocks)
    }

    /// The text, put together.
    pub(super) fn text(&self) -> String {
        let mut text = self.head.clone();
        for (index, (body, gap)) in self.bodies.iter().zip(&self.gaps).enumerate() {
            text.push_str(body);
            // A comment at the end of a body must not run into the comments of the next one.
            let last = index + 1 == self.bodies.len();
            let ends_in_comment = body
                .lines()
                .next_back()
                .is_some_and(|line| line.trim_start().starts_with('#'));
            if ends_in_comment && !last && !begins_with_blank_line(gap) {
                text.push('\n');
            }
            text.push_str(gap);
        }
        text
    }

    /// How many entries there are.
    pub(super) fn len(&self) -> usize {
        self.bodies.len()
    }

    /// Body of an entry.
    pub(super) fn body(&self, index: usize) -> &str {
        &self.bodies[index]
    }

    /// Puts another body in the place of one.
    pub(super) fn replace(&mut self, index: usize, body: String) {
        self.bodies[index] = body;
    }

    /// Moves a body. Comments that stand alone stay between the others: a body that goes down comes
    /// to lie directly below its new neighbour above, and one that goes up directly above its new
    /// neighbour below.
    pub(super) fn move_to(&mut self, from: usize, to: usize) {
        let (body, gap) = self.take(from);
        if to > from {
            let behind = std::mem::replace(&mut self.gaps[to - 1], gap);
            self.gaps.insert(to, behind);
        } else {
            self.gaps.insert(to, gap);
        }
        self.bodies.insert(to, body);
    }

    /// Puts a new body directly above the one at an index, or below the last.
    pub(super) fn insert(&mut self, index: usize, body: String) {
        let blank_line = self.blank_line();
        let gap = if index < self.bodies.len() {
            blank_line
        } else if let Some(last) = self.gaps.last_mut() {
            std::mem::replace(last, blank_line)
        } else {
            if !self.head.is_empty() {
                self.head = format!("{}{blank_line}", self.head.trim_end_matches(['\n', '\r']));
            }
            "\n".to_owned()
        };
        self.bodies.insert(index, body);
        self.gaps.insert(index, gap);
    }

    /// Takes a body out; comments that stand alone stay.
    pub(super) fn remove(&mut self, index: usize) {
        self.take(index);
    }

    /// Takes a body out with one of the gaps beside it, which holds nothing but blank lines.
    fn take(&mut self, index: usize) -> (String, String) {
        let blank_line = self.blank_line();
        let body = self.bodies.remove(index);
        let behind = self.gaps.remove(index);
        let last = index == self.gaps.len();
        let is_blank = |gap: &str| gap.trim().is_empty();
        let Some(before) = index.checked_sub(1).map(|before| &mut self.gaps[before]) else {
            // What lies above the first entry ends in a line break already.
            if is_blank(&behind) && !last {
                return (body, behind);
            }
            self.head.push_str(behind.trim_start_matches(['\n', '\r']));
            return (body, blank_line);
        };
        let gap = match (is_blank(before), is_blank(&behind)) {
            (true, true) if !last => behind,
            (true, _) => std::mem::replace(before, behind),
            (false, true) if !last => behind,
            // Nothing comes below, and what stands alone ends in a line break of its own.
            (false, true) => blank_line,
            (false, false) => {
                before.push_str(behind.trim_start_matches(['\n', '\r']));
                blank_line
            }
        };
        (body, gap)
    }

    /// A blank line with the line breaks of this text.
    fn blank_line(&self) -> String {
        let windows = std::iter::once(&self.head)
            .chain(&self.bodies)
            .any(|part| part.contains("\r\n"));
        if windows { "\r\n\r\n" } else { "\n\n" }.to_owned()
    }
}

/// Ends of all values and headers.
fn all_ends(table: &dyn TableLike, ends: &mut Vec<usize>) {
    for (_, item) in table.iter() {
        match item {
            Item::Table(table) => {
                ends.extend(table.span().map(|span| span.end));
                all_ends(table, ends);
            }
            Item::ArrayOfTables(tables) => {
                for table in tables {
                    ends.extend(table.span().map(|span| span.end));
                    all_ends(table, ends);
                }
            }
            Item::Value(value) => ends.extend(value.span().map(|span| span.end)),
            Item::None => {}
        }
    }
}

fn next_line(text: &str, from: usize) -> usize {
    text[from..]
        .find('\n')
        .map_or(text.len(), |at| from + at + 1)
}

/// The start of the comment lines that lie directly above a line, no further up than `floor`.
fn comments_above(text: &str, floor: usize, line: usize) -> usize {
    let mut start = line;
    while start > floor {
        let before = text[..start - 1].rfind('\n').map_or(0, |at| at + 1);
        if before < floor || !text[before..start].trim_start().starts_with('#') {
            break;
        }
        start = before;
    }
    start
}

/// The end of the comment lines that lie directly below a line end, up to `limit`. Those that a
/// blank line does not part from what comes next belong to that, if anything comes.
pub(super) fn comments_below(text: &str, end: usize, limit: usize) -> usize {
    let mut last = end;
    let mut at = next_line(text, end);
    while at < limit {
        let line = &text[at..line_end(text, at).max(at)];
        if line.trim().is_empty() {
            return last;
        }
        if !line.trim_start().starts_with('#') {
            // Another section follows directly: the comments are its own.
            return end;
        }
        last = line_end(text, at);
        at = next_line(text, at);
    }
    last
}

fn begins_with_blank_line(gap: &str) -> bool {
    let mut lines = gap.split('\n');
    lines.next();
    lines.next().is_some_and(|line| line.trim().is_empty()) && gap.matches('\n').count() > 1
}
