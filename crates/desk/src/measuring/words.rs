//! Where accepted figures come from, as it is written into the book file.

use measure::Length;

use super::{DummyView, ShelfView, TemplateView};

/// `the book "Dunes" on the shelf (shelf 1, measured 2026-11-25 14:00)`.
pub(super) fn shelf(view: &ShelfView) -> String {
    let name = if view.name.is_empty() {
        String::new()
    } else {
        format!(" \"{}\"", view.name)
    };
    format!(
        "the book{name} on the shelf (shelf {}, measured {})",
        view.number,
        day(&view.at)
    )
}

/// `dummy 1 (192 pages, block 12.9 mm, spine 13.7 mm, measured 2026-11-25 14:00)`.
pub(super) fn dummy(view: &DummyView) -> String {
    let measured = &view.measured;
    let lengths: [(&str, Option<Length>); 5] = [
        ("block", measured.block),
        ("spine", measured.spine),
        ("board", measured.board),
        ("cover sheet", measured.cover),
        ("endpaper", measured.endpaper),
    ];
    let mut figures: Vec<String> = measured
        .pages
        .map(|pages| format!("{pages} pages"))
        .into_iter()
        .collect();
    figures.extend(
        lengths
            .into_iter()
            .filter_map(|(name, length)| Some(format!("{name} {}", length?))),
    );
    figures.extend(measured.mass.map(|mass| format!("mass {mass}")));
    format!(
        "dummy {} ({}, measured {})",
        view.number,
        figures.join(", "),
        day(&view.at)
    )
}

/// `the printer's template "case.pdf" (template 1, read 2026-11-25 14:00)`.
pub(super) fn template(view: &TemplateView) -> String {
    let name = if view.name.is_empty() {
        String::new()
    } else {
        format!(" \"{}\"", view.name)
    };
    format!(
        "the printer's template{name} (template {}, read {})",
        view.number,
        day(&view.at)
    )
}

/// `2026-11-25 14:00`.
fn day(at: &str) -> String {
    at.get(..16).unwrap_or(at).replace('T', " ")
}
