//! The book's own control strip, drawn to scale in the colours that it is meant to have.

use desk::StripView;
use desk::measure::{Length, Rect};
use desk::proof::{Patch, PatchKind};
use maud::{Markup, html};

use crate::drawing::{mm, view_box};
use crate::swatch;

/// The strip with what it is, and its patches as a table for those who want the figures.
pub(crate) fn section(view: &StripView) -> Markup {
    let strip = &view.strip;
    let art = strip
        .patches
        .iter()
        .filter(|patch| patch.art.is_some())
        .count();
    html! {
        figure.control-strip {
            (drawn(view))
            figcaption {
                "Strip " (strip.version) ": bare paper, solid inks, inks over each other and tints of black, then " (art) " colours and greys of the art, chosen by how much of the book they cover and how far the press has to pull them. "
                "The square on the left says to a scanner which page, file and version it is."
            }
        }
        @if !view.changed.is_empty() {
            p.soft { "It is another one than the last: " (view.changed.join("; ")) "." }
        }
        details {
            summary { "The patches in figures" }
            div.scrolled tabindex="0" role="group" aria-label="The patches in figures" {
                table {
                    thead { tr { th scope="col" { "Patch" } th scope="col" { "What it is" } th scope="col" { "Ink, C M Y K" } th scope="col" { "Meant to be, L*a*b*" } th scope="col" { "Share of the book" } } }
                    tbody {
                        @for patch in &strip.patches {
                            tr {
                                th scope="row" { (chip(patch)) (patch.name) }
                                td { (kind_words(patch.kind)) }
                                td { (ink_words(patch.ink)) }
                                td { (lab_words(patch.intended)) }
                                td { @if patch.share > 0.0 { (format!("{:.1} %", patch.share * 100.0)) } }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn drawn(view: &StripView) -> Markup {
    let layout = &view.layout;
    let whole = Rect::new(
        Length::ZERO,
        Length::ZERO,
        layout.size.width,
        layout.size.height,
    );
    html! {
        svg viewBox=(view_box(whole)) role="img" aria-label={ "The strip: " (view.strip.patches.len()) " patches" } {
            rect.paper width=(mm(whole.width)) height=(mm(whole.height)) fill=(swatch::fill(view.strip.paper())) {}
            @for corner in &layout.corners { (square(*corner, "#1b1b1b")) }
            (mark(layout.mark))
            @for (patch, place) in view.strip.patches.iter().zip(&layout.patches) {
                g {
                    title { (patch.name) ": " (kind_words(patch.kind)) ", " (ink_words(patch.ink)) }
                    (square(*place, &swatch::fill(patch.intended)))
                    // Bare paper has an outline here, so that it can be seen.
                    @if patch.kind == PatchKind::Paper { rect x=(mm(place.x)) y=(mm(place.y)) width=(mm(place.width)) height=(mm(place.height)) fill="none" stroke="#8c8c8c" stroke-width="0.15" {} }
                    text.measure x=(mm(place.x + place.width / 2)) y=(mm(place.bottom() + Length::from_mm(2.4))) font-size="2.2" text-anchor="middle" fill="#333" { (patch.name) }
                }
            }
        }
    }
}

fn square(rect: Rect, fill: &str) -> Markup {
    html! { rect x=(mm(rect.x)) y=(mm(rect.y)) width=(mm(rect.width)) height=(mm(rect.height)) fill=(fill) {} }
}

/// The mark's place; the mark itself differs from page to page.
fn mark(rect: Rect) -> Markup {
    let side = rect.width;
    let eye = side / 4;
    let inset = |x: Length, y: Length| Rect::new(rect.x + x, rect.y + y, eye, eye);
    let eyes = [
        inset(Length::ZERO, Length::ZERO),
        inset(side - eye, Length::ZERO),
        inset(Length::ZERO, side - eye),
    ];
    html! {
        rect x=(mm(rect.x)) y=(mm(rect.y)) width=(mm(rect.width)) height=(mm(rect.height)) fill="none" stroke="#1b1b1b" stroke-width="0.3" stroke-dasharray="1 0.7" {}
        @for eye in eyes { (square(eye, "#1b1b1b")) }
    }
}

fn chip(patch: &Patch) -> Markup {
    html! { svg.chip viewBox="0 0 12 12" width="14" height="14" aria-hidden="true" { rect width="12" height="12" fill=(swatch::fill(patch.intended)) {} } }
}

/// What a patch is there for.
pub(crate) const fn kind_words(kind: PatchKind) -> &'static str {
    match kind {
        PatchKind::Paper => "bare paper",
        PatchKind::Solid => "one solid ink",
        PatchKind::Overprint => "solid inks over each other",
        PatchKind::BlackTint => "tint of black",
        PatchKind::ArtGrey => "grey of the art",
        PatchKind::ArtColour => "colour of the art",
    }
}

/// Inks in percent.
pub(crate) fn ink_words(ink: [u8; 4]) -> String {
    let percent = ink.map(|part| format!("{:.0}", f64::from(part) / 2.55));
    percent.join(" ")
}

/// A colour in figures.
pub(crate) fn lab_words(lab: desk::colour::Lab) -> String {
    format!("{:.1} {:.1} {:.1}", lab.l, lab.a, lab.b).replace('-', "−")
}
