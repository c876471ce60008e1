//! All drawings of a book together: on one sheet, and page by page.

use super::page::Page;
use super::{Drawing, letter};
use crate::model::{BindingKind, Book};
use crate::object::{Basis, Object};
use finding::capital;

/// The longest side of a page that readers of PDF open, in millimetres: 14,400 points (ISO 32000-1,
/// annex C).
const LONGEST_SIDE: f64 = 5080.0;
/// Scales of what is too large to be drawn at true size.
const SCALES: [u32; 6] = [1, 2, 5, 10, 20, 50];
/// Length of the line by which a print is held against a ruler, in millimetres on paper.
const RULER: f64 = 100.0;

/// Title, section, every flat sheet, legend, and what is given and what is typical.
pub(super) fn whole(book: &Book, object: &Object, drawings: Vec<Drawing>) -> Drawing {
    let letter = letter(object);
    let width = drawings
        .iter()
        .map(|drawing| drawing.size.0)
        .fold(letter * 60.0, f64::max);
    let mut page = Page::new(width, letter);
    page.line(&book.about.title, letter * 2.2, true);
    page.paragraph(&summary(book, object));
    page.paragraph(&format!(
        "{}, sheets at true size, {}",
        MEASURES[0], MEASURES[1]
    ));
    page.gap(1.0);
    page.legend();
    for drawing in drawings {
        page.gap(2.0);
        page.line(&called(object, &drawing), letter * 1.5, true);
        page.gap(0.5);
        page.put(drawing);
    }
    page.gap(2.0);
    origins(&mut page, object, letter);
    page.done(
        format!("{}: the object", book.about.title),
        summary(book, object),
    )
}

/// The same on pages: one with the section and where the figures come from, then one for each flat
/// sheet at true size, or at a scale that is said where a page would be too large to be opened.
pub(super) fn pages(book: &Book, object: &Object, drawings: Vec<Drawing>) -> Vec<Drawing> {
    let letter = letter(object);
    let title = &book.about.title;
    let count = drawings.len();
    let mut pages = Vec::with_capacity(count);
    let names: Vec<String> = drawings
        .iter()
        .map(|drawing| called(object, drawing))
        .collect();
    for (index, (drawing, called)) in drawings.into_iter().zip(&names).enumerate() {
        let number = index + 1;
        let is_first = index == 0;
        let (name, described) = (drawing.name.clone(), drawing.described.clone());
        let compose = |scale: u32| {
            let least = letter * if is_first { 60.0 } else { 44.0 };
            let mut page = Page::new(drawing.size.0.max(least), letter);
            if is_first {
                page.line(title, letter * 2.2, true);
                page.paragraph(&summary(book, object));
                let sheets: Vec<String> = names[1..]
                    .iter()
                    .zip(2..)
                    .map(|(name, number)| format!("{number} {}", name.to_lowercase()))
                    .collect();
                page.paragraph(&format!(
                    "Pages: 1 section and figures, {}.",
                    sheets.join(", ")
                ));
            } else {
                page.line(
                    &format!("{title}: {}", called.to_lowercase()),
                    letter * 2.2,
                    true,
                );
                let size = match scale {
                    1 => "true size if printed at 100 percent".to_owned(),
                    scale => format!("scale 1 : {scale}"),
                };
                page.paragraph(&format!("Page {number} of {count}, {size}."));
            }
            page.paragraph(&format!("{}, {}", MEASURES[0], MEASURES[1]));
            page.gap(1.0);
            page.legend();
            page.gap(2.0);
            if is_first {
                page.line(called, letter * 1.5, true);
                page.gap(0.5);
            }
            page.put(drawing.clone());
            page.gap(2.0);
            if is_first {
                origins(&mut page, object, letter);
            } else {
                page.ruler(RULER, scale);
            }
            page.done(name.clone(), described.clone())
        };
        let page = compose(1);
        let (width, height) = page.size;
        let fits = |scale: &u32| width.max(height) <= LONGEST_SIDE * f64::from(*scale);
        let scale = SCALES.into_iter().find(fits).unwrap_or(SCALES[5]);
        pages.push(match scale {
            1 => page,
            scale => compose(scale).scaled(1.0 / f64::from(scale)),
        });
    }
    pages
}

/// What is said of all measures; the scale stands between.
const MEASURES: [&str; 2] = [
    "Measures in millimetres",
    "printed side up. Grain parallel to the spine.",
];

/// `Slipcase ends (2 of them)`
fn called(object: &Object, drawing: &Drawing) -> String {
    let count = object
        .flats
        .iter()
        .find(|flat| flat.name() == drawing.name)
        .map_or(1, |flat| flat.count);
    let times = if count > 1 {
        format!(" ({count} of them)")
    } else {
        String::new()
    };
    format!("{}{times}", capital(&drawing.name))
}

/// What is given, what is typical, and what to ask for.
fn origins(page: &mut Page, object: &Object, letter: f64) {
    page.line("Figures", letter * 1.5, true);
    for basis in [Basis::Given, Basis::Typical] {
        page.gap(0.4);
        page.paragraph(&figures(object, basis));
    }
    for said in object.papers_assumed.iter().chain(&object.asks) {
        page.gap(0.4);
        page.paragraph(said);
    }
}

fn summary(book: &Book, object: &Object) -> String {
    let spine = if book.binding.kind == BindingKind::WireStitched {
        "no spine".to_owned()
    } else {
        format!("spine {:.2} mm", object.spine_mm())
    };
    format!(
        "{}, trimmed page {}, {} pages, block {:.2} mm, {spine}, one copy about {}.",
        capital(book.binding.kind.word()),
        book.format.trim,
        object.pages,
        object.block_mm(),
        object.copy
    )
}

/// `Typical: square 3 mm, …`
fn figures(object: &Object, basis: Basis) -> String {
    let all: Vec<String> = object
        .parts
        .iter()
        .flat_map(|part| part.dimensions.iter().map(move |one| (part, one)))
        .filter(|(_, one)| one.basis == basis)
        .map(|(part, one)| format!("{} ({}) {}", one.name.to_lowercase(), part.name, one.shown))
        .collect();
    let what = match basis {
        Basis::Given => "Given",
        Basis::Typical => "Typical, until printer and bindery say otherwise",
        Basis::Reckoned => "Reckoned",
    };
    if all.is_empty() {
        format!("{what}: none.")
    } else {
        format!("{what}: {}.", all.join("; "))
    }
}
