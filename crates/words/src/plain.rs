//! A letter as plain text, for an e-mail.

use crate::letter::{Letter, Part, Table};

/// Characters to a line, so that it stays whole when it is quoted (common practice, no source).
const LINE: usize = 72;

/// Widest column of what facts are about.
const WIDEST_LABEL: usize = 22;

/// Where something is to be written.
const BLANK: &str = "______________";

impl Letter {
    /// What the letter says below its subject, as plain text of short lines: parts as they follow,
    /// headings underlined, tables row by row, places to write in as underscores. Particulars
    /// stand first, the sender last.
    pub fn plain(&self) -> String {
        let mut paragraphs = vec![facts(&self.particulars)];
        for part in &self.parts {
            paragraphs.push(match part {
                Part::Heading(words) => {
                    let words = flat(words);
                    let below = "-".repeat(words.chars().count().min(LINE));
                    format!("\n{words}\n{below}")
                }
                Part::Paragraph(words) | Part::Signature(words) => words
                    .lines()
                    .map(|line| filled("", "", &flat(line)))
                    .collect::<Vec<_>>()
                    .join("\n"),
                Part::Facts(rows) => facts(rows),
                Part::Table(rows) => table(rows),
                Part::Numbered(items) => numbered(items),
            });
        }
        let said: Vec<String> = paragraphs
            .into_iter()
            .filter(|words| !words.trim().is_empty())
            .collect();
        let mut text = said.join("\n\n");
        text.push('\n');
        // Whoever signs has said the name, so that the address follows.
        for line in self.sender.iter().skip(1).map(|line| flat(line)) {
            text.push_str(&line);
            text.push('\n');
        }
        text
    }
}

fn facts(rows: &[(String, String)]) -> String {
    let widest = rows
        .iter()
        .map(|(what, _)| flat(what).chars().count())
        .max();
    let column = widest.unwrap_or(0).min(WIDEST_LABEL) + 2;
    let row = |(what, which): &(String, String)| {
        let what = flat(what);
        let gap = column.saturating_sub(what.chars().count()).max(2);
        filled(
            &format!("{what}{}", " ".repeat(gap)),
            &" ".repeat(column),
            &flat(which),
        )
    };
    rows.iter().map(row).collect::<Vec<_>>().join("\n")
}

fn table(table: &Table) -> String {
    let heads: Vec<String> = table.head.iter().skip(1).map(|head| flat(head)).collect();
    let widest = heads
        .iter()
        .map(|head| head.chars().count())
        .max()
        .unwrap_or(0);
    let mut lines = Vec::new();
    for row in &table.rows {
        let what = flat(row.first().map_or("", String::as_str));
        let cell = |index: usize| match row.get(index + 1).map(|cell| flat(cell)) {
            Some(cell) if !cell.is_empty() => cell,
            _ => BLANK.to_owned(),
        };
        // A single column needs no head of its own.
        if heads.len() == 1 {
            lines.push(filled("", "  ", &format!("{what}: {}", cell(0))));
            continue;
        }
        lines.push(filled("", "  ", &what));
        for (index, head) in heads.iter().enumerate() {
            let gap = " ".repeat(widest - head.chars().count());
            lines.push(format!("  {gap}{head}: {}", cell(index)));
        }
    }
    lines.join("\n")
}

fn numbered(items: &[String]) -> String {
    let width = items.len().to_string().len();
    let item = |(index, words): (usize, &String)| {
        let mark = format!("{:>width$}. ", index + 1);
        filled(&mark, &" ".repeat(mark.len()), &flat(words))
    };
    items
        .iter()
        .enumerate()
        .map(item)
        .collect::<Vec<_>>()
        .join("\n")
}

/// One line, spaces single, no control characters.
fn flat(words: &str) -> String {
    words
        .split(|c: char| matches!(c, ' ' | '\u{2028}' | '\u{2029}') || c.is_control())
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}

/// Words in lines of at most [`LINE`] characters, where no single word is longer: the first begins
/// with `first`, the others with `rest`.
fn filled(first: &str, rest: &str, words: &str) -> String {
    let mut text = first.to_owned();
    let mut taken = first.chars().count();
    let mut fresh = true;
    for word in words.split(' ') {
        let length = word.chars().count();
        if !fresh && taken + 1 + length > LINE {
            text.push('\n');
            text.push_str(rest);
            taken = rest.chars().count();
            fresh = true;
        }
        if !fresh {
            text.push(' ');
            taken += 1;
        }
        text.push_str(word);
        taken += length;
        fresh = false;
    }
    text.truncate(text.trim_end().len());
    text
}
