//! Every printed sheet as it lies flat, with its art, its finishings and its folds, all to one scale.

use desk::book::FinishingColour;
use desk::book::object::Fold;
use desk::book::plan::SheetPlan;
use desk::measure::{Length, Rect};
use desk::{FinishingView, SheetName, Snapshot};
use maud::{Markup, html};

use crate::address;
use crate::drawing::{self, mm, short};
use desk::finding::capital;

/// Width of the widest sheet, in pixels of the screen.
const WIDEST: f64 = 620.0;

/// The sheets in rows.
pub(super) fn all(snapshot: &Snapshot, finishings: &[FinishingView]) -> Markup {
    let widest = snapshot
        .sheets
        .iter()
        .map(|sheet| sheet.flat.trim.width)
        .max()
        .unwrap_or(Length::ZERO);
    html! {
        ul.flats {
            @for sheet in &snapshot.sheets {
                @let name = SheetName::from(sheet.kind());
                li.bare[!sheet.has_print()] {
                    (picture(sheet, snapshot, finishings, sheet.flat.trim.width.ratio(widest)))
                    p.label {
                        b { (capital(sheet.flat.name())) } " "
                        span.soft { (said(sheet)) }
                    }
                    p.ways {
                        @if sheet.has_print() {
                            a href=(address::card(name, None)) { "On paper" span.hidden { ": " (sheet.flat.name()) } } " "
                            a href={ "/object/cover?sheet=" (name.word()) } { "Under the lamp" span.hidden { ": " (sheet.flat.name()) } }
                        } @else { span.soft { "Stays bare; gets no file." } }
                    }
                }
            }
        }
    }
}

/// Its measures in a few words.
fn said(sheet: &SheetPlan) -> String {
    let flat = &sheet.flat;
    let spine = sheet.spine();
    let mut words = format!(
        "{:.1} × {:.1} mm",
        flat.trim.width.mm(),
        flat.trim.height.mm()
    );
    if spine > Length::ZERO {
        words.push_str(&format!(", spine {:.1} mm", spine.mm()));
    }
    if flat.count > 1 {
        words.push_str(&format!(", {} of them", flat.count));
    }
    words
}

fn picture(
    sheet: &SheetPlan,
    snapshot: &Snapshot,
    finishings: &[FinishingView],
    share: f64,
) -> Markup {
    let flat = &sheet.flat;
    html! {
        svg.flat viewBox=(drawing::view_box(flat.trimmed())) width=(short(share * WIDEST)) role="img"
            aria-label={ "The " (flat.name()) " laid flat: " (flat.panels.iter().filter(|panel| !panel.name.contains("turn-in")).map(|panel| panel.name).collect::<Vec<_>>().join(", ")) }
        {
            rect.paper width=(mm(flat.trim.width)) height=(mm(flat.trim.height)) {}
            (drawing::laid_flat(sheet, snapshot, 640))
            (plates(sheet, finishings))
            @for fold in &flat.folds {
                @let line = match fold {
                    Fold::Upright(x) => format!("M{} 0V{}", mm(*x), mm(flat.trim.height)),
                    Fold::Level(y) => format!("M0 {}H{}", mm(*y), mm(flat.trim.width)),
                };
                path.fold-under d=(line) {} path.fold d=(line) {}
            }
        }
    }
}

/// The finishings of a sheet, laid over it as flat colour.
pub(super) fn plates(sheet: &SheetPlan, finishings: &[FinishingView]) -> Markup {
    let those = finishings
        .iter()
        .filter(|one| one.sheet == Some(sheet.kind()) && one.trouble.is_none());
    html! {
        @for one in those {
            @if let Some(face) = one.face {
                @let id = format!("plate-{}-{}", SheetName::from(sheet.kind()).word(), one.index);
                mask #(id) maskUnits="userSpaceOnUse" x=(mm(face.x)) y=(mm(face.y)) width=(mm(face.width)) height=(mm(face.height)) {
                    (plate(one.index, face))
                }
                rect x=(mm(face.x)) y=(mm(face.y)) width=(mm(face.width)) height=(mm(face.height)) mask={ "url(#" (id) ")" }
                    fill=(flat_colour(one)) fill-opacity=(if one.process.keeps_ink() { "0.35" } else { "1" }) {}
            }
        }
    }
}

fn plate(index: usize, face: Rect) -> Markup {
    html! {
        image href=(address::plate(index, 640)) x=(mm(face.x)) y=(mm(face.y)) width=(mm(face.width)) height=(mm(face.height)) preserveAspectRatio="none" {}
    }
}

/// How a finishing looks without a light.
fn flat_colour(one: &FinishingView) -> &'static str {
    use desk::book::Process;
    match (one.process, one.colour) {
        (Process::BlindEmboss | Process::BlindDeboss, _) => "#b9b9b9",
        (Process::SpotVarnish, _) => "#ffffff",
        (_, FinishingColour::Gold) => "#c39a3f",
        (_, FinishingColour::Silver) => "#b7babd",
        (_, FinishingColour::Copper) => "#b87350",
        (_, FinishingColour::Black) => "#1a1a1a",
        (_, FinishingColour::White | FinishingColour::Clear) => "#f6f6f6",
    }
}
