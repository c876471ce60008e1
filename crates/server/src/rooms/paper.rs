//! *On paper*: a spread at full depth, as on the screen and as printed.

use axum::extract::{Query, State as Shared};
use axum::response::Html;
use desk::Snapshot;
use desk::book::plan::{Cause, ReaderPage};
use maud::{Markup, html};
use serde::Deserialize;
use serde_json::json;

use super::art::pages_words;
use super::order::spreads;
use super::stands::blank_words;
use crate::State;
use crate::address;
use crate::drawing;
use crate::problem::Problem;
use crate::shell::{Room, Scene};

/// Which page is open.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Opened {
    /// A reader's page, or `cover`.
    page: Option<String>,
}

/// `GET /paper`.
pub(crate) async fn room(
    Shared(state): Shared<State>,
    Query(opened): Query<Opened>,
) -> Result<Html<String>, Problem> {
    state
        .call(move |state| {
            let scene = Scene::read(state, Room::Paper)?;
            let snapshot = &scene.snapshot;
            let pages = &snapshot.plan.pages;
            let last = u32::try_from(pages.len()).unwrap_or(u32::MAX);
            if last == 0 {
                return Err(Problem::missing("The book has no pages yet."));
            }
            let first = pages.iter().find(|page| !page.pictures.is_empty());
            let first = first.map_or(1, |page| page.number.0);
            let asked = opened.page.as_deref();
            let on_cover = asked == Some("cover") && snapshot.cover.is_some();
            let page = match asked {
                None => Some(first),
                Some(_) if on_cover => Some(1),
                Some(text) => text.parse().ok().filter(|page| (1..=last).contains(page)),
            };
            let Some(page) = page else {
                return Err(Problem::missing(&format!(
                    "The book has pages 1 to {last}."
                )));
            };
            let size = state.desk().page_size(ReaderPage(page))?;
            // All right pages are cut alike, and all left ones.
            let right = sheet(state, 1)?;
            let left = if last > 1 {
                sheet(state, 2)?
            } else {
                right.clone()
            };
            let format = &snapshot.book.format;
            let cover = match &snapshot.cover {
                None => json!(null),
                Some(cover) => {
                    let size = state.desk().cover_size()?;
                    json!({
                        "width": cover.trim.width.mm(),
                        "height": cover.trim.height.mm(),
                        "spine": cover.spine.mm(),
                        "pixels": { "width": size.width, "height": size.height },
                    })
                }
            };
            let facts = json!({
                "page": if on_cover { json!("cover") } else { json!(page) },
                "pages": last,
                "right": right,
                "left": left,
                "cover": cover,
                "ppi": snapshot.book.press.resolution.ppi(),
                "trim": { "width": format.trim.width.mm(), "height": format.trim.height.mm() },
                "bleed": format.bleed.mm(),
                "safe": format.safe.mm(),
                "fold": format.fold.mm(),
                "names": names(snapshot),
            });
            let room = html! {
                h1.hidden { "On paper" }
                div.viewer #viewer data-facts=(facts) {
                    (tools(page))
                    div.table #table {
                        canvas #canvas tabindex="0" role="application" aria-roledescription="page viewer"
                            aria-label={ "Page " (page) }
                            aria-describedby="keys" {}
                        p.side-label #label-left { "As on screen" }
                        p.side-label #label-right { "As printed" }
                        p.waiting #waiting role="status" {}
                        div.divider #divider role="slider" tabindex="0" aria-orientation="horizontal"
                            aria-label="Divider between screen and print" aria-valuemin="0" aria-valuemax="100" aria-valuenow="50"
                            aria-valuetext="Screen on the left half, print on the right half" { span {} }
                        noscript { (still(page, size.width.max(size.height))) }
                        p.hidden #keys { "Arrow keys move the page, plus and minus zoom, 0 fits it, 1 shows press pixels, Page Up and Page Down turn the page." }
                    }
                    p.readout #readout { span #where { } span #inks { } span #zoomed { } }
                }
                (strip(snapshot, (!on_cover).then_some(page)))
            };
            Ok(scene.page(&room, Some("paper.js"), false))
        })
        .await
}

fn tools(page: u32) -> Markup {
    html! {
        div.paper-tools role="toolbar" aria-label="How the page is shown" {
            div.turn {
                button #previous aria-keyshortcuts="PageUp" aria-label="Page back" { "←" }
                p.pages #pages aria-live="polite" { "Page " (page) }
                button #next aria-keyshortcuts="PageDown" aria-label="Page on" { "→" }
            }
            fieldset.views {
                legend.hidden { "View" }
                @for (value, words, chosen) in [("screen", "As on screen", false), ("print", "As printed", false), ("both", "Side by side", true)] {
                    label { input type="radio" name="view" value=(value) checked[chosen]; span { (words) } }
                }
            }
            div.zooms role="group" aria-label="Zoom" {
                button #zoom-out aria-label="Smaller" aria-keyshortcuts="-" { "−" }
                button #zoom-in aria-label="Larger" aria-keyshortcuts="+" { "+" }
                button #zoom-fit aria-keyshortcuts="0" { "Fit" }
                button #zoom-pixels aria-keyshortcuts="1" { "Press pixels" }
                button #zoom-size { "Actual size" }
            }
            fieldset.guides {
                legend.hidden { "Guides" }
                @for (name, words) in [("bleed", "Bleed"), ("trim", "Trim"), ("safe", "Safe"), ("fold", "Fold")] {
                    label { input type="checkbox" name="guide" value=(name); span { (words) } }
                }
            }
        }
    }
}

/// The page in one small tile, for those who come without scripts.
fn still(page: u32, longer: u32) -> Markup {
    let level = (0..).find(|level| longer >> level <= 512).unwrap_or(0);
    html! {
        div.stills {
            @for (view, words) in [("screen", "as on screen"), ("print", "as printed")] {
                figure { img src={ "/tile/" (page) "/" (view) "/" (level) "/0/0" } alt={ "Page " (page) ", " (words) }; figcaption { (words) } }
            }
        }
    }
}

/// All spreads in a row, to choose from.
fn strip(snapshot: &Snapshot, open: Option<u32>) -> Markup {
    html! {
        nav.strip #strip aria-label="Pages" {
            ul {
                @if let Some(cover) = &snapshot.cover {
                    li {
                        a href="/paper?page=cover" data-pages="cover" aria-current=[open.is_none().then_some("true")] {
                            span.hidden { "Cover: " }
                            span.leaves { (drawing::cover_sheet(cover, snapshot, 160)) }
                            span.number { "cover" }
                        }
                    }
                }
                @for (left, right) in spreads(&snapshot.plan) {
                    @let numbers: Vec<u32> = [left, right].iter().flatten().map(|page| page.number.0).collect();
                    li {
                        a href=(address::paper(numbers.first().copied().unwrap_or(1))) data-pages=(numbers.iter().map(u32::to_string).collect::<Vec<_>>().join(" "))
                            aria-current=[open.is_some_and(|page| numbers.contains(&page)).then_some("true")] title=(pages_words(&numbers))
                        {
                            span.leaves {
                                @for (side, page) in [("left", left), ("right", right)] {
                                    @match page {
                                        Some(page) => (drawing::leaf(page, snapshot, 160)),
                                        None => { span.void data-side=(side) {} },
                                    }
                                }
                            }
                            span.number { (numbers.iter().map(u32::to_string).collect::<Vec<_>>().join(" – ")) }
                        }
                    }
                }
            }
        }
    }
}

/// A page in pixels of the press, with the trim in it.
fn sheet(state: &State, page: u32) -> Result<serde_json::Value, Problem> {
    let size = state.desk().page_size(ReaderPage(page))?;
    let [left, top, width, height] = state.desk().page_trim(ReaderPage(page))?;
    Ok(json!({
        "width": size.width,
        "height": size.height,
        "trim": { "left": left, "top": top, "width": width, "height": height },
    }))
}

/// What each page is called, first page first.
fn names(snapshot: &Snapshot) -> Vec<String> {
    let of = |cause: Cause| match cause {
        Cause::Entry(index) => snapshot
            .book
            .running_order
            .get(index)
            .map_or_else(String::new, |entry| entry.name.clone()),
        forced => blank_words(forced).unwrap_or_default().to_owned(),
    };
    snapshot
        .plan
        .pages
        .iter()
        .map(|page| of(page.cause))
        .collect()
}
