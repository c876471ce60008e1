//! A face of a sheet under a lamp: the art as printed, its finishings in metal, gloss and relief, and
//! the places that are too fine for their process.

use desk::book::plan::SheetPlan;
use desk::finish::{Fault, FaultKind};
use desk::measure::Rect;
use desk::{FinishingView, SheetName, Snapshot};
use maud::{Markup, html};
use serde_json::json;

use super::sheets;
use crate::address;
use crate::drawing::{self, mm, short};

/// Places that are listed one by one; the rest is counted.
const LISTED: usize = 12;

/// What is laid under the lamp.
pub(super) struct Face<'a> {
    /// The sheet.
    pub sheet: &'a SheetPlan,
    /// The panel, or `whole`.
    pub panel: &'a str,
    /// Where it lies on the sheet.
    pub rect: Rect,
}

/// The finishings that reach into a face.
fn on_face<'a>(face: &Face<'_>, finishings: &'a [FinishingView]) -> Vec<&'a FinishingView> {
    finishings
        .iter()
        .filter(|one| {
            one.trouble.is_none()
                && one.sheet == Some(face.sheet.kind())
                && one
                    .extent
                    .or(one.face)
                    .is_some_and(|place| place.shared(face.rect).is_some())
        })
        .collect()
}

/// The face, its lamp, and what can be laid aside.
pub(super) fn figure(
    snapshot: &Snapshot,
    face: &Face<'_>,
    edition: &str,
    finishings: &[FinishingView],
) -> Markup {
    let those = on_face(face, finishings);
    let name = SheetName::from(face.sheet.kind());
    let words = words(face);
    let trim = face.sheet.flat.trim;
    let facts = json!({
        // The edition stands in the address, so that a changed book is fetched anew.
        "picture": format!("/leaf/{}/print/1600?e={edition}", name.word()),
        "trim": { "width": trim.width.mm(), "height": trim.height.mm() },
        "rect": rect(face.rect),
        "plates": those.iter().filter_map(|one| {
            Some(json!({
                "index": one.index,
                "picture": format!("{}?e={edition}", address::plate(one.index, 1600)),
                "face": rect(one.face?),
                "process": one.process.word(),
                "colour": one.colour.word(),
            }))
        }).collect::<Vec<_>>(),
    });
    let faults = those.iter().any(|one| !one.faults.is_empty());
    html! {
        figure.lamp #lamp data-lamp=(facts) data-shape=[(face.rect.width > face.rect.height).then_some("wide")] {
            div.under-lamp {
                svg.still viewBox=(drawing::view_box(face.rect)) role="img" aria-label=(words) {
                    (drawing::laid_flat(face.sheet, snapshot, 1280))
                    (sheets::plates(face.sheet, finishings))
                }
                canvas tabindex="0" role="application" aria-roledescription="face under a lamp" aria-label=(words) aria-describedby="lamp-keys" {}
                (marks(face, &those))
            }
            p.hidden #lamp-keys { "Arrow keys move the lamp, plus and minus raise and lower it, Home brings it back." }
            p.hidden.lamp-heard role="status" {}
            @if !those.is_empty() {
                fieldset.laid {
                    legend.hidden { "Laid on" }
                    @for one in &those {
                        label { input type="checkbox" data-plate=(one.index) checked; span { (one.name) ", " (one.process.word()) } }
                    }
                    @if faults { label { input type="checkbox" data-marks checked; span { "Places that are too fine" } } }
                }
            }
            figcaption {
                (words) @if those.is_empty() { ": nothing is stamped or varnished here. " } @else { ". Move the pointer, or the arrow keys: the lamp follows. " }
                "A likeness to judge a design by, not a measurement."
            }
        }
    }
}

/// What the face is called.
fn words(face: &Face<'_>) -> String {
    let sheet = face.sheet.flat.name();
    if face.panel == "whole" {
        format!("The whole {sheet}")
    } else {
        let begun = desk::finding::capital(face.panel);
        format!("{begun} of the {sheet}")
    }
}

fn rect(rect: Rect) -> serde_json::Value {
    json!({ "x": rect.x.mm(), "y": rect.y.mm(), "width": rect.width.mm(), "height": rect.height.mm() })
}

/// Rings with numbers around the places that fail, as they are listed.
fn marks(face: &Face<'_>, those: &[&FinishingView]) -> Markup {
    let size = face.rect.width.mm().max(face.rect.height.mm()) / 42.0;
    html! {
        svg.marks viewBox=(drawing::view_box(face.rect)) aria-hidden="true" {
            @for one in those {
                g data-plate=(one.index) {
                    @for (number, fault) in one.faults.iter().enumerate() {
                        @let ring = grown(fault.place, size * 0.35);
                        rect.ring-under x=(short(ring.0)) y=(short(ring.1)) width=(short(ring.2)) height=(short(ring.3)) rx=(short(size * 0.35)) {}
                        rect.ring x=(short(ring.0)) y=(short(ring.1)) width=(short(ring.2)) height=(short(ring.3)) rx=(short(size * 0.35)) {}
                        @if number < LISTED {
                            @let (tx, ty) = label(face.rect, ring, size);
                            rect.tag x=(short(tx - size * 0.75)) y=(short(ty - size * 0.72)) width=(short(size * 1.5)) height=(short(size * 1.44)) {}
                            text x=(short(tx)) y=(short(ty)) dy="0.36em" font-size=(short(size)) text-anchor="middle" { (number + 1) }
                        }
                    }
                }
            }
        }
    }
}

/// A rectangle with so much around it: left, top, width and height in millimetres.
fn grown(rect: Rect, by: f64) -> (f64, f64, f64, f64) {
    (
        rect.x.mm() - by,
        rect.y.mm() - by,
        rect.width.mm() + 2.0 * by,
        rect.height.mm() + 2.0 * by,
    )
}

/// Where a number stands: above its ring at the left, or below it near the head.
fn label(face: Rect, ring: (f64, f64, f64, f64), size: f64) -> (f64, f64) {
    let (x, y, _, height) = ring;
    let above = y - size * 0.8;
    let place = if above - size < face.y.mm() {
        y + height + size * 0.8
    } else {
        above
    };
    let (left, right) = (face.x.mm() + size, (face.x + face.width).mm() - size);
    let (head, foot) = (face.y.mm() + size, (face.y + face.height).mm() - size);
    (
        (x + size * 0.75).clamp(left, right.max(left)),
        place.clamp(head, foot.max(head)),
    )
}

/// Where a place is, from a corner: small ones by their middle, larger ones by their reach.
fn whereabouts(fault: &Fault, corner: Rect) -> String {
    let place = fault.place;
    let (x, y) = (
        (place.x + place.width / 2 - corner.x).mm(),
        (place.y + place.height / 2 - corner.y).mm(),
    );
    let (width, height) = (place.width.mm(), place.height.mm());
    if width.max(height) < 5.0 {
        format!("{x:.1} mm from the left, {y:.1} mm from the head")
    } else {
        format!(
            "from {:.1} to {:.1} mm from the left, from {:.1} to {:.1} mm from the head",
            x - width / 2.0,
            x + width / 2.0,
            y - height / 2.0,
            y + height / 2.0
        )
    }
}

/// The places that fail, in words with millimetres, from the panel's own corner.
pub(super) fn faults(sheet: &SheetPlan, one: &FinishingView) -> Markup {
    let corner = sheet
        .flat
        .panel(&one.panel)
        .map_or_else(|| sheet.flat.trimmed(), |panel| panel.rect);
    let rest = one.fault_count.saturating_sub(LISTED.min(one.faults.len()));
    html! {
        @if !one.faults.is_empty() {
            ol.faults {
                @for fault in one.faults.iter().take(LISTED) {
                    @let (what, least) = match fault.kind {
                        FaultKind::Line => ("line", one.bounds.line),
                        FaultKind::Gap => ("gap", one.bounds.gap),
                    };
                    li {
                        "A " (what) " of " b { (format!("{:.2} mm", fault.width.mm())) } ", least " (mm(least)) " mm: "
                        (whereabouts(fault, corner))
                    }
                }
            }
            @if rest > 0 { p.soft { "And " (rest) " more of them." } }
        }
    }
}
