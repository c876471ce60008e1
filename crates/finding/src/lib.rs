//! One thing that the program found in a picture, a page or a press file, and what to do about it.
//!
//! Findings are values, not errors: a check over a whole book returns all of them.

use std::fmt;

/// How much a finding matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Worth knowing; nothing needs doing.
    Note,
    /// Look at it before sending files.
    Warn,
    /// Must not go to print as it is.
    Stop,
}

impl Severity {
    /// The word that is printed and put in JSON: `note`, `warn` or `stop`.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Note => "note",
            Self::Warn => "warn",
            Self::Stop => "stop",
        }
    }
}

impl fmt::Display for Severity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// Where a finding was made.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Place {
    /// The book or the file as a whole.
    Whole,
    /// A page, counted as a reader counts: the first page is 1.
    Page(u32),
    /// A picture, by its name in the book folder.
    Piece(String),
}

/// One finding: a code that never changes its meaning, a plain sentence, and a remedy.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// Stable code of our own, such as `art-resolution-low`.
    pub code: &'static str,
    /// How much it matters.
    pub severity: Severity,
    /// Where.
    pub place: Place,
    /// What is wrong, as one plain sentence.
    pub message: String,
    /// What to do about it; empty when nothing needs doing.
    pub hint: String,
    /// What was measured, with its unit, where something was measured.
    pub measured: Option<String>,
    /// What it should have been, with its unit.
    pub required: Option<String>,
}

impl Finding {
    /// A finding with a message and no figures yet.
    pub fn new(
        code: &'static str,
        severity: Severity,
        place: Place,
        message: impl Into<String>,
    ) -> Self {
        Self {
            code,
            severity,
            place,
            message: message.into(),
            hint: String::new(),
            measured: None,
            required: None,
        }
    }

    /// Adds what to do.
    #[must_use]
    pub fn hint(mut self, hint: impl Into<String>) -> Self {
        self.hint = hint.into();
        self
    }

    /// Adds the measured figure and the figure that was wanted.
    #[must_use]
    pub fn figures(mut self, measured: impl Into<String>, required: impl Into<String>) -> Self {
        self.measured = Some(measured.into());
        self.required = Some(required.into());
        self
    }
}

/// The gravest severity among the findings, if there are any.
pub fn worst(findings: &[Finding]) -> Option<Severity> {
    findings.iter().map(|finding| finding.severity).max()
}

/// The same text with a capital at its beginning, as sentences begin.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sentences_begin_with_a_capital() {
        assert_eq!(capital("ink lies thick"), "Ink lies thick");
        assert_eq!(capital("épreuve"), "Épreuve");
        assert_eq!(capital(""), "");
    }

    #[test]
    fn the_worst_of_several_is_the_gravest() {
        let of = |severity| Finding::new("x", severity, Place::Whole, "");
        assert_eq!(worst(&[]), None);
        assert_eq!(
            worst(&[of(Severity::Warn), of(Severity::Stop), of(Severity::Note)]),
            Some(Severity::Stop)
        );
    }
}
