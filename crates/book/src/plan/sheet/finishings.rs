//! Which finishings stand on a sheet, and where.

use finding::{Finding, Place, Severity};
use measure::Length;

use super::bars::unknown_panel;
use super::room::{named, with_allowance};
use super::say::{of_the, the};
use super::{PlacedFinishing, SheetPlan};
use crate::finishing::{Finishing, PlateSource, Process};
use crate::model::Book;
use crate::object::FlatSheet;
use crate::plan::{PlacedWords, WordPart, WordStyle};

/// The word for the whole sheet instead of one panel.
const WHOLE: &str = "whole";

/// Says which finishings are for a piece that the book does not have.
pub(super) fn without_sheet(book: &Book, flats: &[FlatSheet], findings: &mut Vec<Finding>) {
    for finishing in &book.finishings {
        if flats.iter().any(|flat| finishing.on.is(flat.kind)) {
            continue;
        }
        findings.push(
            Finding::new(
                "book-finishing-nowhere",
                Severity::Stop,
                Place::Whole,
                format!(
                    "The finishing `{}` is for the {}, but the book has none.",
                    finishing.name,
                    finishing.on.word()
                ),
            )
            .hint(format!(
                "Set `finishing.{}.on` to a piece that the book has, or take the finishing out.",
                finishing.name
            )),
        );
    }
}

/// Places a sheet's finishings. Words that become a plate are taken out of ink, unless the process
/// lies over ink.
pub(super) fn place(book: &Book, sheet: &mut SheetPlan, findings: &mut Vec<Finding>) {
    let words = sheet.words.clone();
    let mut without_ink = Vec::new();
    for (index, finishing) in book.finishings.iter().enumerate() {
        if !finishing.on.is(sheet.kind()) {
            continue;
        }
        let Some(mut placed) = on_panel(index, finishing, &sheet.flat, findings) else {
            continue;
        };
        if let PlateSource::Title | PlateSource::TitleAlone = finishing.source {
            let alone = finishing.source == PlateSource::TitleAlone;
            let is_title = |style: WordStyle| {
                matches!(
                    style,
                    WordStyle::CoverFront | WordStyle::Title | WordStyle::Spine
                )
            };
            for (place, block) in words.iter().enumerate() {
                if is_title(block.style) && placed.rect.contains(block.rect) {
                    // Without a second line there is nothing to leave out.
                    let rest = alone && !block.paragraphs.is_empty();
                    let part = if rest {
                        WordPart::Heading
                    } else {
                        WordPart::Whole
                    };
                    placed.words.push(PlacedWords {
                        part,
                        ..block.clone()
                    });
                    match (finishing.process.keeps_ink(), rest) {
                        (true, _) => {}
                        (false, false) => without_ink.push(place),
                        (false, true) => sheet.words[place].part = WordPart::Paragraphs,
                    }
                }
            }
            if placed.words.is_empty() {
                findings.push(no_words(finishing, placed.panel, sheet));
                continue;
            }
        }
        sheet.finishings.push(placed);
    }
    let mut place = 0;
    sheet.words.retain(|_| {
        place += 1;
        !without_ink.contains(&(place - 1))
    });
}

fn on_panel(
    index: usize,
    finishing: &Finishing,
    flat: &FlatSheet,
    findings: &mut Vec<Finding>,
) -> Option<PlacedFinishing> {
    if finishing.panel.trim().eq_ignore_ascii_case(WHOLE) {
        if !flat.folds.is_empty() && finishing.process == Process::Foil {
            findings.push(
                Finding::new(
                    "book-foil-over-fold",
                    Severity::Note,
                    Place::Whole,
                    format!(
                        "The foil `{}` may run over folds {}, where it cracks.",
                        finishing.name,
                        of_the(flat.kind)
                    ),
                )
                .hint("Keep its mask clear of the folds that the drawing of the object shows."),
            );
        }
        return Some(PlacedFinishing {
            finishing: index,
            panel: WHOLE,
            rect: flat.trimmed(),
            with_allowance: flat.printed(),
            words: Vec::new(),
        });
    }
    let Some(panel) = named(flat, &finishing.panel) else {
        let what = format!("The finishing `{}`", finishing.name);
        let key = format!("finishing.{}.panel", finishing.name);
        findings.push(unknown_panel(&what, &key, &finishing.panel, flat));
        return None;
    };
    let hidden = flat
        .no_go
        .iter()
        .find(|no_go| no_go.rect.contains(panel.rect));
    if let Some(no_go) = hidden {
        let by: Length = panel.rect.width.min(panel.rect.height);
        findings.push(
            Finding::new(
                "book-finishing-in-no-go",
                Severity::Warn,
                Place::Whole,
                format!(
                    "The finishing `{}` stands with all its {:.1} mm on the {} {}: {}.",
                    finishing.name,
                    by.mm(),
                    panel.name,
                    of_the(flat.kind),
                    no_go.why
                ),
            )
            .hint("Choose a panel that stays flat and in sight.")
            .figures(format!("{:.1} mm", by.mm()), "0 mm"),
        );
    }
    Some(PlacedFinishing {
        finishing: index,
        panel: panel.name,
        rect: panel.rect,
        with_allowance: with_allowance(flat, panel),
        words: Vec::new(),
    })
}

fn no_words(finishing: &Finishing, panel: &str, sheet: &SheetPlan) -> Finding {
    let panel = if panel == WHOLE {
        String::new()
    } else {
        format!(" on the {panel}")
    };
    Finding::new(
        "book-finishing-without-words",
        Severity::Stop,
        Place::Whole,
        format!(
            "The finishing `{}` is to be made of the title{panel} of {}, but no such words stand \
             there.",
            finishing.name,
            the(sheet.kind())
        ),
    )
    .hint(format!(
        "Set words there, or give `finishing.{}` a mask instead of `words`.",
        finishing.name
    ))
}
