//! What is worth saying about the running order and its signatures.

use std::fmt::Write as _;

use finding::{Finding, Place, Severity, capital};
use measure::{Length, PixelSize};

use super::order::{Spare, spare};
use super::{Cause, Plan, ReaderPage, Side, widths};
use crate::model::{BindingKind, Book, Treatment};
use crate::near::nearest;

/// A bleed under this leaves white edges where the trim is a little off. Common practice, no
/// source.
const USUAL_BLEED: Length = Length::from_nm(3_000_000);

/// All advice, in the order of the pages it is about; what is about the whole comes first.
pub(super) fn on_order(book: &Book, plan: &Plan, content_pages: u32) -> Vec<Finding> {
    let mut findings = Vec::new();
    on_count(book, content_pages, &mut findings);
    on_bleed(book, &mut findings);
    on_sections(book, plan, content_pages, &mut findings);
    on_blanks(book, plan, &mut findings);
    on_sides(book, plan, &mut findings);
    findings
}

fn on_count(book: &Book, content_pages: u32, findings: &mut Vec<Finding>) {
    if book.running_order.is_empty() {
        findings.push(
            Finding::new(
                "book-empty",
                Severity::Stop,
                Place::Whole,
                "The running order is empty.",
            )
            .hint("Add pages with `[[page]]`, or put pieces into the running order."),
        );
    } else if content_pages < 4 {
        findings.push(
            Finding::new(
                "book-too-few-pages",
                Severity::Warn,
                Place::Whole,
                format!(
                    "The running order fills {content_pages} of the 4 pages that one folded sheet \
                     has."
                ),
            )
            .hint("Add pages; a book needs at least 4.")
            .figures(content_pages.to_string(), "4"),
        );
    }
}

fn on_bleed(book: &Book, findings: &mut Vec<Finding>) {
    let to_the_edge = book.running_order.iter().any(|entry| {
        matches!(
            entry.treatment,
            Treatment::FullPage(_) | Treatment::Spread(_) | Treatment::Ready(_)
        )
    });
    if to_the_edge && book.format.bleed < USUAL_BLEED {
        findings.push(
            Finding::new(
                "book-bleed-small",
                Severity::Warn,
                Place::Whole,
                "Pictures run to the edge of the page with little bleed; white edges may show \
                 where the trim is a little off.",
            )
            .hint("Set `format.bleed` to 3mm unless your printer asks for less.")
            .figures(book.format.bleed.to_string(), USUAL_BLEED.to_string()),
        );
    }
}

/// Wishes for pieces that are not there.
pub(super) fn on_wishes(
    book: &Book,
    sizes: &dyn Fn(&str) -> Option<PixelSize>,
    findings: &mut Vec<Finding>,
) {
    let placed = || {
        let around = [
            &book.cover,
            &book.jacket,
            &book.band,
            &book.slipcase,
            &book.endpapers,
        ];
        book.running_order
            .iter()
            .flat_map(|entry| entry.treatment.pictures())
            .chain(around.into_iter().flat_map(|dress| dress.pictures()))
            .map(|wanted| wanted.piece.as_str())
    };
    for wish in &book.piece_wishes {
        // A piece that stands on a page and is missing is said of the page.
        if placed().any(|piece| piece == wish.piece) || sizes(&wish.piece).is_some() {
            continue;
        }
        let near = nearest(&wish.piece, placed());
        let mut hint = match near {
            Some(near) => format!("Did you mean `{near}`? Otherwise put"),
            None => "Put".to_owned(),
        };
        hint.push_str(
            " the picture into the book's art folder under this name, or take its \
                       `[[piece]]` out.",
        );
        findings.push(
            Finding::new(
                "book-piece-unknown",
                Severity::Warn,
                Place::Piece(wish.piece.clone()),
                format!(
                    "Line {} of the book file wishes something for `{}`, which is not in art/ or \
                     cannot be read.",
                    wish.line, wish.piece
                ),
            )
            .hint(hint),
        );
    }
}

/// What the signatures force, and what folds better.
fn on_sections(book: &Book, plan: &Plan, content_pages: u32, findings: &mut Vec<Finding>) {
    let total = plan.pages.len() as u32;
    let blanks = total - content_pages.min(total);
    if blanks > 0 && content_pages > 0 {
        let pages = if blanks == 1 {
            "1 blank page fills".to_owned()
        } else {
            format!("{blanks} blank pages fill")
        };
        let mut hint = format!("There is room for {} more at no cost", page_count(blanks));
        // The nearest smaller count that folds without a blank.
        let folds = |pages: &u32| {
            let folded = super::sections(book.binding, *pages);
            folded.iter().map(|section| section.pages).sum::<u32>() == *pages
        };
        if let Some(smaller) = (4..content_pages).rev().find(folds) {
            let _ = write!(
                hint,
                "; or take {} out",
                page_count(content_pages - smaller)
            );
        }
        hint.push('.');
        findings.push(
            Finding::new(
                "book-blanks-at-end",
                Severity::Note,
                Place::Page(content_pages + 1),
                format!("{pages} the last section: {}.", in_words(plan)),
            )
            .hint(hint),
        );
    }
    if book.binding.kind == BindingKind::WireStitched {
        return;
    }
    let signature = book.binding.signature.pages();
    let Some(last) = plan.sections.last().filter(|last| last.pages != signature) else {
        return;
    };
    let more = signature - last.pages;
    // Cheapest first: whole signatures, then with an 8, then with a 4, then with a 12 (marrak.com,
    // "Sweet 16"). The order for other signatures is our reading of the same rule: halves first.
    let severity_words = if last.pages * 2 == signature {
        "which printers fold at little cost"
    } else {
        "which costs more to fold than a whole signature or half of one"
    };
    let mut hint = format!(
        "{} more would make whole signatures",
        capital(&page_count(more))
    );
    if last.pages * 2 > signature {
        let _ = write!(
            hint,
            ", {} fewer would leave half of one",
            page_count(last.pages - signature / 2)
        );
    } else if last.pages * 2 < signature {
        let _ = write!(
            hint,
            ", {} more half of one, {} fewer none",
            page_count(signature / 2 - last.pages),
            page_count(last.pages)
        );
    } else {
        let _ = write!(hint, ", {} fewer as well", page_count(last.pages));
    }
    hint.push_str(". Ask your printer what folds best on the press that is used.");
    findings.push(
        Finding::new(
            "book-section-smaller",
            Severity::Note,
            Place::Page(last.first.0),
            format!("The book folds into {}, {severity_words}.", in_words(plan)),
        )
        .hint(hint)
        .figures(
            format!("a section of {}", last.pages),
            format!("sections of {signature}"),
        ),
    );
}

/// `6 sections of 16 pages and one of 8`.
fn in_words(plan: &Plan) -> String {
    let Some(first) = plan.sections.first() else {
        return "no section".to_owned();
    };
    let whole = plan
        .sections
        .iter()
        .filter(|section| section.pages == first.pages)
        .count();
    let mut words = if whole == 1 {
        format!("one section of {} pages", first.pages)
    } else {
        format!("{whole} sections of {} pages", first.pages)
    };
    if let Some(last) = plan
        .sections
        .last()
        .filter(|last| last.pages != first.pages)
    {
        let _ = write!(words, " and one of {}", last.pages);
    }
    words
}

fn page_count(pages: u32) -> String {
    if pages == 1 {
        "1 page".to_owned()
    } else {
        format!("{pages} pages")
    }
}

/// Blanks in front of entries that begin on a left page, and how to do without.
fn on_blanks(book: &Book, plan: &Plan, findings: &mut Vec<Finding>) {
    /// A hint costs a walk through the book; after so many, blanks are said without one.
    const WITH_HINT: usize = 40;
    let order = &book.running_order;
    let widths = widths(order);
    // A title page opens the book and a colophon closes it, so neither is offered.
    let movable = |index: usize| {
        !matches!(
            order[index].treatment,
            Treatment::Title | Treatment::Colophon { .. }
        )
    };
    let first_page_of = |index: usize| plan.pages_of(index).next().map_or(0, |page| page.0);
    let blanks = plan.pages.iter().filter_map(|page| match page.cause {
        Cause::ForcedByFold { next } => Some((page.number, next)),
        Cause::Entry(_) | Cause::ForcedBySignature => None,
    });
    for (count, (ReaderPage(blank), next)) in blanks.enumerate() {
        let entry = &order[next];
        let moved = (count < WITH_HINT)
            .then(|| spare(&widths, next, &movable))
            .flatten();
        let hint = match moved {
            Some(Spare::Before(index)) => format!(
                "Move `{}` (page {}) to stand before `{}`, and no blank is needed.",
                order[index].name,
                first_page_of(index),
                entry.name
            ),
            Some(Spare::Behind(index)) => format!(
                "Move `{}` (page {}) to stand after `{}`, and no blank is needed.",
                order[index].name,
                first_page_of(index),
                entry.name
            ),
            None => format!(
                "Put one more single page before `{}`, or leave the blank.",
                entry.name
            ),
        };
        findings.push(
            Finding::new(
                "book-blank-before-spread",
                Severity::Warn,
                Place::Page(blank),
                format!(
                    "Page {blank} is left blank, because `{}` ({}) begins on a left page.",
                    entry.name,
                    entry.treatment.word()
                ),
            )
            .hint(hint),
        );
    }
}

/// A title page that does not face the reader.
fn on_sides(book: &Book, plan: &Plan, findings: &mut Vec<Finding>) {
    for (index, entry) in book.running_order.iter().enumerate() {
        if entry.treatment != Treatment::Title {
            continue;
        }
        if let Some(page) = plan.pages_of(index).find(|page| page.side() == Side::Left) {
            findings.push(
                Finding::new(
                    "book-title-on-left",
                    Severity::Warn,
                    Place::Page(page.0),
                    format!("The title page `{}` lies on a left page.", entry.name),
                )
                .hint("Title pages lie on the right: move it by one page."),
            );
        }
    }
}
