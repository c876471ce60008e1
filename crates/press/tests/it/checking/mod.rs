//! Press files checked.

mod build;
mod files;
mod findings;
mod guides;
mod hostile;
mod ink;
mod plates;

use finding::Severity;
use press::{CheckReport, Expected, check};

/// What the pages of [`build::Pdf::page`] are meant to be.
fn expected() -> Expected {
    Expected {
        trim: "100x80mm".parse().ok(),
        bleed: "3mm".parse().ok(),
        pages: Some(1),
        ink_limit: Some(300.0),
        ..Expected::default()
    }
}

fn look(pdf: &[u8]) -> CheckReport {
    check(pdf, &expected(), &|_, _| true)
}

/// Codes with their severities, in order.
fn codes(report: &CheckReport) -> Vec<(&'static str, Severity)> {
    report
        .findings
        .iter()
        .map(|finding| (finding.code, finding.severity))
        .collect()
}
