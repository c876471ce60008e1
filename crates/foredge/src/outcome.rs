//! What a command comes to: words for a person, a document for a program, and whether something
//! was found that must not go to print.

use desk::finding::{Finding, Place, Severity, worst};
use serde_json::{Value, json};

/// The result of a command.
#[derive(Debug)]
pub struct Outcome {
    /// For a person; ends without a line break.
    pub text: String,
    /// For a program.
    pub json: Value,
    /// Something must not go to print as it is.
    pub stop: bool,
    /// A next step, for stderr; may be empty.
    pub advice: String,
}

impl Outcome {
    /// A result with nothing found.
    pub fn new(text: impl Into<String>, json: Value) -> Self {
        Self {
            text: text.into(),
            json,
            stop: false,
            advice: String::new(),
        }
    }

    /// Adds findings: to the words, to the document, and to the exit code.
    #[must_use]
    pub fn with_findings(mut self, findings: &[Finding]) -> Self {
        let words = findings_words(findings);
        if !words.is_empty() {
            if !self.text.is_empty() {
                self.text.push_str("\n\n");
            }
            self.text.push_str(&words);
        }
        if let Value::Object(document) = &mut self.json {
            document.insert("findings".to_owned(), findings_json(findings));
        }
        self.stop |= worst(findings) == Some(Severity::Stop);
        self
    }

    /// Adds a next step.
    #[must_use]
    pub fn advising(mut self, advice: impl Into<String>) -> Self {
        self.advice = advice.into();
        self
    }
}

/// Findings as a document.
pub fn findings_json(findings: &[Finding]) -> Value {
    findings
        .iter()
        .map(|finding| {
            let mut one = json!({
                "code": finding.code,
                "severity": finding.severity.word(),
                "message": finding.message,
                "hint": finding.hint,
                "measured": finding.measured,
                "required": finding.required,
            });
            match &finding.place {
                Place::Whole => {}
                Place::Page(page) => one["page"] = json!(page),
                Place::Piece(piece) => one["piece"] = json!(piece),
            }
            one
        })
        .collect()
}

/// Findings in words, gravest first. The severity is always written, never shown by colour alone.
pub fn findings_words(findings: &[Finding]) -> String {
    let mut sorted: Vec<&Finding> = findings.iter().collect();
    sorted.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    let blocks: Vec<String> = sorted.into_iter().map(finding_words).collect();
    blocks.join("\n")
}

fn finding_words(finding: &Finding) -> String {
    let place = match &finding.place {
        Place::Whole => String::new(),
        Place::Page(page) => format!("page {page}: "),
        // Messages on pieces name them already.
        Place::Piece(piece) if finding.message.contains(piece.as_str()) => String::new(),
        Place::Piece(piece) => format!("{piece}: "),
    };
    let mut text = format!(
        "{:<5} {place}{}  [{}]",
        finding.severity.word(),
        finding.message,
        finding.code
    );
    for line in finding.hint.lines() {
        text.push_str(&format!("\n      → {line}"));
    }
    text
}

/// A table with aligned columns; those of figures (a digit first in every row) stand to the right.
pub fn table(head: &[&str], rows: &[Vec<String>]) -> String {
    let figure =
        |cell: &str| cell.starts_with(|first: char| first.is_ascii_digit() || first == '–');
    aligned(head, rows, figure)
}

/// Rows with aligned columns, all to the left.
pub fn columns(rows: &[Vec<String>]) -> String {
    let width = rows.iter().map(Vec::len).max().unwrap_or(0);
    aligned(&vec![""; width], rows, |_| false)
}

fn aligned(head: &[&str], rows: &[Vec<String>], figure: impl Fn(&str) -> bool) -> String {
    let mut widths: Vec<usize> = head.iter().map(|cell| cell.chars().count()).collect();
    for row in rows {
        for (width, cell) in widths.iter_mut().zip(row) {
            *width = (*width).max(cell.chars().count());
        }
    }
    let numeric: Vec<bool> = (0..head.len())
        .map(|column| {
            rows.iter()
                .filter_map(|row| row.get(column))
                .all(|cell| figure(cell))
        })
        .collect();
    let line = |cells: Vec<&str>| {
        let padded: Vec<String> = cells
            .iter()
            .zip(&widths)
            .zip(&numeric)
            .map(|((cell, width), right)| {
                if *right {
                    format!("{cell:>width$}")
                } else {
                    format!("{cell:<width$}")
                }
            })
            .collect();
        padded.join("  ").trim_end().to_owned()
    };
    let mut lines = Vec::new();
    if head.iter().any(|cell| !cell.is_empty()) {
        lines.push(line(head.to_vec()));
    }
    for row in rows {
        lines.push(line(row.iter().map(String::as_str).collect()));
    }
    lines.join("\n")
}

/// `1 page`, `2 pages`.
pub fn counted(count: usize, noun: &str) -> String {
    if count == 1 {
        format!("1 {noun}")
    } else {
        format!("{count} {noun}s")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_stand_to_the_right_and_words_to_the_left() {
        let rows = vec![
            vec!["sea.png".to_owned(), "98 ppi".to_owned()],
            vec!["harbour at night.png".to_owned(), "302 ppi".to_owned()],
        ];
        assert_eq!(
            table(&["piece", "has"], &rows),
            "piece                     has\n\
             sea.png                98 ppi\n\
             harbour at night.png  302 ppi"
        );
    }

    #[test]
    fn a_finding_says_where_and_what_to_do() {
        let finding =
            Finding::new("x-y", Severity::Stop, Place::Page(4), "Too dark.").hint("Lift it.");
        assert_eq!(
            findings_words(std::slice::from_ref(&finding)),
            "stop  page 4: Too dark.  [x-y]\n      → Lift it."
        );
        let document = findings_json(&[finding]);
        assert_eq!(document[0]["page"], 4);
        assert_eq!(document[0]["measured"], Value::Null);
    }
}
