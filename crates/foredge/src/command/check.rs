use std::path::{Path, PathBuf};

use desk::press::{CheckReport, PageReport};
use desk::{Desk, DeskError};
use measure::{Length, Size};
use serde_json::{Value, json};

use crate::outcome::{Outcome, counted, findings_json, table};
use crate::progress::Terminal;

/// Checks a press file, against the book if there is one.
pub fn check(book: Option<&Path>, file: &Path) -> Result<Outcome, DeskError> {
    let here = book.unwrap_or(Path::new("."));
    // Outside a book folder any PDF is held against the standard alone; a book that was named
    // must be there.
    let desk = if book.is_some() || here.join("book.toml").is_file() {
        Some(Desk::open(here)?)
    } else {
        None
    };
    let file = found(desk.as_ref(), file);
    let watch = Terminal::new();
    let report = match &desk {
        Some(desk) => desk.check(&file, &watch)?,
        None => desk::check_alone(&file, &watch)?,
    };
    drop(watch);
    let against = if desk.is_some() {
        "against the book and the standard"
    } else {
        "against the standard alone, for want of a book"
    };
    let mut lines = vec![format!(
        "{}: {} checked {against}; {}",
        file.display(),
        counted(report.summary.checked as usize, "page"),
        super::art::summary(&report.findings)
    )];
    if !report.pages.is_empty() {
        lines.push(String::new());
        lines.push(pages(&report.pages));
    }
    Ok(Outcome::new(lines.join("\n"), document(&file, &report)).with_findings(&report.findings))
}

/// A checked file as a document.
pub fn document(file: &Path, report: &CheckReport) -> Value {
    let summary = &report.summary;
    json!({
        "file": file.display().to_string(),
        "file_pages": summary.pages,
        "checked_pages": summary.checked,
        "size_bytes": summary.bytes,
        "pdf_version": summary.version,
        "claims": summary.claims,
        "output_intent": summary.output_intent,
        "pages": report.pages.iter().map(page).collect::<Vec<_>>(),
        "findings": findings_json(&report.findings),
    })
}

fn page(page: &PageReport) -> Value {
    json!({
        "page": page.page,
        "trim_width_mm": page.trim.map(|trim| trim.width.mm()),
        "trim_height_mm": page.trim.map(|trim| trim.height.mm()),
        "bleed_mm": page.bleed.map(|bleed| bleed.mm()),
        "lowest_ppi": page.lowest_ppi,
        "ink_most_percent": page.ink_most,
        "ink_most_x_mm": page.ink_most_at.0.mm(),
        "ink_most_y_mm": page.ink_most_at.1.mm(),
        "colour_spaces": page.colour_spaces,
        "fonts": page.fonts,
        "images": page.images,
    })
}

/// Pages as a table; neighbours that are alike are told once.
fn pages(pages: &[PageReport]) -> String {
    let cells = |page: &PageReport| -> Vec<String> {
        let dash = || "–".to_owned();
        vec![
            page.trim.map_or_else(dash, |trim| {
                // A sheet may be reckoned finer than anyone cuts; the JSON has it exactly.
                let hundredth = |side: Length| side.rounded(Length::from_um(10.0));
                Size {
                    width: hundredth(trim.width),
                    height: hundredth(trim.height),
                }
                .to_string()
            }),
            page.bleed.map_or_else(dash, |bleed| bleed.to_string()),
            page.lowest_ppi
                .map_or_else(dash, |ppi| format!("{ppi:.0} ppi")),
            format!("{:.0} %", page.ink_most),
            page.colour_spaces.join(", "),
        ]
    };
    let mut runs: Vec<(u32, u32, Vec<String>)> = Vec::new();
    for page in pages {
        let cells = cells(page);
        match runs.last_mut() {
            Some((_, last, known)) if *known == cells => *last = page.page,
            _ => runs.push((page.page, page.page, cells)),
        }
    }
    let rows: Vec<Vec<String>> = runs
        .into_iter()
        .map(|(first, last, mut cells)| {
            let span = if first == last {
                first.to_string()
            } else {
                format!("{first}–{last}")
            };
            cells.insert(0, span);
            cells
        })
        .collect();
    let head = ["page", "trim", "bleed", "pictures", "most ink", "colours"];
    table(&head, &rows)
}

/// The file as named; or, where there is none, that of the book folder.
fn found(desk: Option<&Desk>, file: &Path) -> PathBuf {
    match desk {
        Some(desk) if !file.exists() && desk.root().join(file).exists() => desk.root().join(file),
        _ => file.to_owned(),
    }
}
