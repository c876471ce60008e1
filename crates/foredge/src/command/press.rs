use std::path::Path;

use desk::{Desk, DeskError, PressReport};
use serde_json::{Value, json};

use crate::outcome::{Outcome, counted, findings_json};
use crate::progress::Terminal;

/// Writes the press files.
pub fn press(desk: &Desk) -> Result<Outcome, DeskError> {
    let report = desk.press(&Terminal::new())?;
    let mut lines = Vec::new();
    for file in &report.files {
        lines.push(format!("{:<20} {}", short(desk, file), size(file)));
    }
    lines.push(format!(
        "{:<20} {}",
        short(desk, &report.drawing),
        "the object with its measures, sheet by sheet"
    ));
    let pages = counted(report.pages as usize, "page");
    lines.push(match report.rendered {
        0 => format!("{pages}; no picture had to be made anew."),
        sheets => format!(
            "{pages}; pictures made anew on {}, all others kept from the last press file.",
            counted(sheets as usize, "sheet"),
        ),
    });
    let advice = report.files.first().map_or_else(String::new, |file| {
        format!("Now check them:  foredge check {}", short(desk, file))
    });
    Ok(Outcome::new(lines.join("\n"), document(desk, &report))
        .with_findings(&report.findings)
        .advising(advice))
}

/// Press files made, as a document.
pub fn document(desk: &Desk, report: &PressReport) -> Value {
    json!({
        "files": report
            .files
            .iter()
            .map(|file| {
                json!({
                    "file": short(desk, file),
                    "size_bytes": std::fs::metadata(file).map(|file| file.len()).ok(),
                })
            })
            .collect::<Vec<_>>(),
        "drawing": short(desk, &report.drawing),
        "pages": report.pages,
        "rendered": report.rendered,
        "findings": findings_json(&report.findings),
    })
}

/// A file's path from the book folder.
pub fn short(desk: &Desk, file: &Path) -> String {
    file.strip_prefix(desk.root())
        .unwrap_or(file)
        .display()
        .to_string()
}

fn size(file: &Path) -> String {
    match std::fs::metadata(file) {
        Ok(metadata) => format!("{:.1} MB", metadata.len() as f64 / 1e6),
        Err(_) => String::new(),
    }
}
