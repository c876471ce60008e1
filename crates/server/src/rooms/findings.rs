//! Findings, as a list that says in words how much each matters.

use desk::finding::{Finding, Place, Severity};
use maud::{Markup, html};

use crate::address;
use crate::shell::spoken;

/// A list of findings, gravest first.
pub(crate) fn list(findings: &[Finding]) -> Markup {
    let mut sorted: Vec<&Finding> = findings.iter().collect();
    sorted.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    html! {
        ul.findings {
            @for finding in sorted { li data-severity=(finding.severity) { (one(finding, true)) } }
        }
    }
}

/// One finding; `placed` also says where it is.
pub(crate) fn one(finding: &Finding, placed: bool) -> Markup {
    html! {
        p.what {
            (severity(finding.severity)) " "
            @if placed { (place(&finding.place)) }
            (spoken(&finding.message))
        }
        @if !finding.hint.is_empty() { p.hint { (spoken(&finding.hint)) } }
        @if let (Some(measured), Some(required)) = (&finding.measured, &finding.required) {
            p.figures { "found " b { (measured) } ", wanted " b { (required) } }
        }
        p.code { (finding.code) }
    }
}

/// How much it matters: a word with a mark of its own shape.
pub(crate) fn severity(severity: Severity) -> Markup {
    let (word, shape) = match severity {
        Severity::Stop => ("Must be mended", "M5 1h6l4 4v6l-4 4H5l-4-4V5zM4.5 8h7"),
        Severity::Warn => ("Look at it", "M8 1.5l6.8 12.5H1.2zM8 6v4M8 11.5v1"),
        Severity::Note => ("Note", "M8 1.5a6.5 6.5 0 1 0 .01 0zM8 7v4.5M8 4.5v1"),
    };
    html! {
        span.severity data-severity=(severity) {
            svg.icon viewBox="0 0 16 16" width="15" height="15" aria-hidden="true" { path d=(shape) {} }
            (word)
        }
    }
}

fn place(place: &Place) -> Markup {
    html! {
        @match place {
            Place::Whole => {},
            Place::Page(page) => { a href=(address::paper(*page)) { "Page " (page) } ". " },
            Place::Piece(piece) => { a href={ "/art#" (address::query(piece)) } { (piece) } ". " },
        }
    }
}
