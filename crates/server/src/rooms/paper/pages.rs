//! All pages as printed, spread by spread: the rhythm of the book at one look.

use axum::extract::{Query, State as Shared};
use axum::response::Html;
use desk::book::plan::Page;
use desk::{SheetName, View};
use maud::{Markup, html};
use serde::Deserialize;

use crate::State;
use crate::address;
use crate::problem::Problem;
use crate::rooms::order::spreads;
use crate::shell::{Room, Scene};

/// How the pages are shown.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Shown {
    view: String,
}

/// The ways to show them all.
const VIEWS: [(View, &str); 6] = [
    (View::Print, "As printed"),
    (View::Adapted, "To eyes used to the paper"),
    (View::Screen, "As on screen"),
    (View::Reach, "Out of reach"),
    (View::Ink, "Ink in all"),
    (View::Shadows, "Shadow detail"),
];
/// Pixels along the longer side of a page.
const PIXELS: u32 = 400;

/// `GET /paper/pages`.
pub(crate) async fn room(
    Shared(state): Shared<State>,
    Query(shown): Query<Shown>,
) -> Result<Html<String>, Problem> {
    state
        .call(move |state| {
            let scene = Scene::read(state, Room::Paper)?;
            let snapshot = &scene.snapshot;
            let known = VIEWS.iter().find(|(view, _)| view.word() == shown.view);
            let (view, words) = known.copied().unwrap_or(VIEWS[0]);
            let legend = super::legend(state.desk(), view)?;
            let trim = snapshot.book.format.trim;
            let shape = if trim.width > trim.height { "wide" } else if trim.width == trim.height { "square" } else { "tall" };
            let room = html! {
                div.title-line {
                    div {
                        h1 { "All pages" }
                        p.lead { "The whole book at one look. A page opens when you choose it." }
                    }
                    div.row {
                        a.button href="/paper" { "One spread" }
                        a.button href={ "/contact/" (view.word()) } download={ "all-pages-" (view.word()) ".jpg" } { "One picture of all" }
                    }
                }
                nav.filter aria-label="How the pages are shown" {
                    @for (other, words) in VIEWS {
                        a href={ "/paper/pages?view=" (other.word()) } aria-current=[(other == view).then_some("true")] { (words) }
                    }
                }
                @if !legend.0.is_empty() { div.legend.lying { (legend) } }
                ul.sheets data-shape=(shape) {
                    @for sheet in &snapshot.sheets {
                        @let (name, size) = (SheetName::from(sheet.kind()), sheet.flat.trim);
                        li.cover {
                            a href=(address::card(name, None)) {
                                (picture(&name.word(), view, 2, size.height.ratio(size.width) * 2.0, &format!("The {}, {words}", sheet.flat.name())))
                                span.under { span.number { (sheet.flat.name()) } }
                            }
                        }
                    }
                    @for (left, right) in spreads(&snapshot.plan) {
                        li {
                            @let numbers: Vec<u32> = [left, right].iter().flatten().map(|page| page.number.0).collect();
                            a href=(address::paper(numbers.first().copied().unwrap_or(1))) {
                                span.hidden { (if numbers.len() == 1 { "Page " } else { "Pages " }) } span.leaves { (leaf(left, view, trim.height.ratio(trim.width))) (leaf(right, view, trim.height.ratio(trim.width))) }
                                span.under {
                                    @for page in [left, right] { span.number { @if let Some(page) = page { (page.number.0) } } }
                                }
                            }
                        }
                    }
                }
            };
            Ok(scene.page(&room, None, false))
        })
        .await
}

fn leaf(page: Option<&Page>, view: View, shape: f64) -> Markup {
    html! {
        @match page {
            Some(page) => (picture(&page.number.0.to_string(), view, 1, shape, "")),
            None => { span.void {} },
        }
    }
}

/// A page's picture; `leaves` is how many page widths it is wide, `shape` a page's height by width.
fn picture(sheet: &str, view: View, leaves: u32, shape: f64, words: &str) -> Markup {
    let (width, height) = (200.0 * f64::from(leaves), 200.0 * shape);
    html! { img src={ "/leaf/" (sheet) "/" (view.word()) "/" (PIXELS) } loading="lazy" decoding="async" width=(format!("{width:.0}")) height=(format!("{height:.0}")) alt=(words); }
}
