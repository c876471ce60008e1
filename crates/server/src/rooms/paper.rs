//! *On paper*: a spread at full depth, as on the screen and as printed, with maps of what paper
//! changes, and the recipe card beside it.

pub(crate) mod card;
pub(crate) mod pages;

use std::collections::HashMap;
use std::hash::{Hash, Hasher};

use axum::extract::{Query, State as Shared};
use axum::response::Html;
use desk::book::object::{Allowance, Fold};
use desk::book::plan::{Cause, ReaderPage, SheetPlan};
use desk::colour::Compensation;
use desk::{Desk, SheetName, Snapshot, View};
use maud::{Markup, html};
use serde::Deserialize;
use serde_json::json;

use super::art::pages_words;
use super::order::spreads;
use super::shape;
use super::stands::blank_words;
use crate::State;
use crate::address;
use crate::drawing;
use crate::figures;
use crate::problem::Problem;
use crate::shell::{Room, Scene};
use crate::swatch;
use desk::finding::capital;

/// Which page is open.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Opened {
    /// A reader's page, or the word for another printed sheet.
    page: Option<String>,
    /// The piece that the recipe card is for; the whole book where there is none.
    #[serde(rename = "for")]
    piece: Option<String>,
}

impl Opened {
    /// The page or sheet.
    fn sheet(&self, snapshot: &Snapshot) -> Result<SheetName, Problem> {
        let pages = &snapshot.plan.pages;
        let last = u32::try_from(pages.len()).unwrap_or(u32::MAX);
        if last == 0 {
            return Err(Problem::missing("The book has no pages yet."));
        }
        let Some(text) = self.page.as_deref() else {
            let first = pages.iter().find(|page| !page.pictures.is_empty());
            return Ok(first.map_or(ReaderPage(1), |page| page.number).into());
        };
        let there = SheetName::of(text).filter(|name| match name {
            SheetName::Page(page) => (1..=last).contains(&page.0),
            SheetName::Flat(kind) => snapshot.sheet(*kind).is_some(),
        });
        there.ok_or_else(|| {
            let sheets: Vec<&str> = snapshot.sheets.iter().map(|one| one.flat.name()).collect();
            let others = if sheets.is_empty() {
                String::new()
            } else {
                format!(", and beside them: {}", sheets.join(", "))
            };
            Problem::missing(&format!("The book has pages 1 to {last}{others}."))
        })
    }
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
            let open = opened.sheet(snapshot)?;
            let last = u32::try_from(snapshot.plan.pages.len()).unwrap_or(u32::MAX);
            let size = state.desk().sheet_size(open)?;
            // All right pages are cut alike, and all left ones.
            let right = sheet(state, 1)?;
            let left = if last > 1 {
                sheet(state, 2)?
            } else {
                right.clone()
            };
            let format = &snapshot.book.format;
            let flats: Vec<serde_json::Value> = snapshot
                .sheets
                .iter()
                .map(|sheet| flat(state, sheet))
                .collect::<Result<_, Problem>>()?;
            let facts = json!({
                "page": match open { SheetName::Page(page) => json!(page.0), flat => json!(flat.word()) },
                "edition": edition(snapshot),
                "pages": last,
                "right": right,
                "left": left,
                "flats": flats,
                "ppi": snapshot.book.press.resolution.ppi(),
                "trim": { "width": format.trim.width.mm(), "height": format.trim.height.mm() },
                "bleed": format.bleed.mm(),
                "safe": format.safe.mm(),
                "fold": format.fold.mm(),
                "names": names(snapshot),
            });
            let about = card::About { sheet: open, piece: opened.piece };
            let room = html! {
                h1.hidden { "On paper" }
                (card::card(state, snapshot, &about)?)
                div.viewer #viewer data-facts=(facts) {
                    (tools(open))
                    div.table #table {
                        canvas #canvas tabindex="0" role="application" aria-roledescription="page viewer"
                            aria-label=(sheet_words(open))
                            aria-describedby="keys" {}
                        p.side-label #label-left { "As on screen" }
                        p.side-label #label-right { "As printed" }
                        p.waiting #waiting role="status" {}
                        div.divider #divider role="slider" tabindex="0" aria-orientation="horizontal"
                            aria-label="Divider between the left and the right view" aria-valuemin="0" aria-valuemax="100" aria-valuenow="50"
                            aria-valuetext="Half and half" { span {} }
                        div.legends #legends { (legends(state.desk())?) }
                        noscript { (still(open, size.width.max(size.height))) }
                        p.hidden #keys { "Arrow keys move the page, plus and minus zoom, 0 fits it, 1 shows press pixels, Page Up and Page Down turn the page. X lays a reading cross, which the arrow keys then move; Escape takes it away." }
                    }
                    (readout())
                }
                (strip(snapshot, open))
            };
            Ok(scene.page(&room, Some("card.js"), false))
        })
        .await
}

/// `GET /paper/card`: the recipe card alone, for other pages or another picture.
pub(crate) async fn card_alone(
    Shared(state): Shared<State>,
    Query(opened): Query<Opened>,
) -> Result<Html<String>, Problem> {
    state
        .call(move |state| {
            let snapshot = state.desk().snapshot()?;
            let sheet = opened.sheet(&snapshot)?;
            let about = card::About {
                sheet,
                piece: opened.piece,
            };
            Ok(Html(card::card(state, &snapshot, &about)?.into_string()))
        })
        .await
}

/// `GET /paper/shape`: what figures do, drawn.
pub(crate) async fn shape_alone(
    Query(asked): Query<HashMap<String, String>>,
) -> Result<Html<String>, Problem> {
    Ok(Html(shapes(&figures::of_form(&asked)?).into_string()))
}

/// What a recipe does, as a curve and a rose.
fn shapes(figures: &Compensation) -> Markup {
    html! {
        figure { (shape::curve(|lab| figures.apply(lab), &[])) figcaption { "Light and dark" } }
        figure { (shape::rose(|lab| figures.apply(lab))) figcaption { "Strength of colours" } }
    }
}

fn sheet_words(sheet: SheetName) -> String {
    match sheet {
        SheetName::Page(page) => format!("Page {}", page.0),
        SheetName::Flat(kind) => capital(kind.word()),
    }
}

/// A number that is another one as soon as something is decided otherwise: tiles that were fetched
/// are of no use then.
pub(crate) fn edition(snapshot: &Snapshot) -> String {
    let mut hasher = std::hash::DefaultHasher::new();
    format!("{:?}{:?}", snapshot.book, snapshot.pieces).hash(&mut hasher);
    format!("{:x}", hasher.finish())
}

/// The maps, with what each shows.
const MAPS: [(View, &str); 3] = [
    (
        View::Reach,
        "Where no ink on this paper can be the colour of the art",
    ),
    (
        View::Ink,
        "How much ink lies on each place, all inks together",
    ),
    (View::Shadows, "Where the darks keep their detail"),
];

/// What the colours of each map mean, in words and figures.
fn legends(desk: &Desk) -> Result<Markup, Problem> {
    let maps: Vec<(View, Markup)> = MAPS
        .iter()
        .map(|(view, _)| Ok((*view, legend(desk, *view)?)))
        .collect::<Result<_, Problem>>()?;
    Ok(html! {
        @for (view, legend) in maps { div.legend data-view=(view.word()) hidden { (legend) } }
    })
}

/// What the colours of one map mean; nothing for a view that is no map.
fn legend(desk: &Desk, view: View) -> Result<Markup, Problem> {
    let title = MAPS
        .iter()
        .find(|(map, _)| *map == view)
        .map(|(_, title)| *title);
    let steps = desk.legend(view)?;
    Ok(html! {
        @if let Some(title) = title {
            h2 { (title) }
            ul {
                @for step in &steps {
                    li {
                        svg.chip viewBox="0 0 12 12" width="15" height="15" aria-hidden="true" { rect width="12" height="12" fill=(swatch::hex(step.rgb)) {} }
                        span { (step.words) }
                    }
                }
            }
        }
    })
}

/// The numbers under the pointer or the cross: art first, then ink and paper.
fn readout() -> Markup {
    html! {
        div.readout #readout {
            span #where { }
            dl.numbers #numbers hidden {
                div { dt { (chip("chip-screen")) "Art, sRGB" } dd #read-rgb {} }
                div { dt { "Art, L*a*b*" } dd #read-art {} }
                div { dt { "Ink, C M Y K" } dd #read-ink {} }
                div { dt { "In all" } dd #read-total {} }
                div { dt { (chip("chip-paper")) "Paper, L*a*b*" } dd #read-print {} }
                div { dt { "Difference, " abbr title="CIEDE2000, between the art and what is printed" { "ΔE00" } } dd #read-difference {} }
            }
            span #zoomed { }
            p.hidden #heard role="status" {}
        }
    }
}

fn chip(id: &str) -> Markup {
    html! { svg.chip viewBox="0 0 12 12" width="13" height="13" aria-hidden="true" { rect id=(id) width="12" height="12" fill="#fff" {} } }
}

fn tools(open: SheetName) -> Markup {
    html! {
        div.paper-tools role="toolbar" aria-label="How the page is shown" {
            div.turn {
                button #fold-card aria-expanded="true" aria-controls="card" title="Lay the recipe card away, or bring it back" { (card_mark()) span.hidden { "Recipe card" } }
                button #previous aria-keyshortcuts="PageUp" aria-label="Page back" { "←" }
                p.pages #pages aria-live="polite" { (sheet_words(open)) }
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
            button #reading aria-pressed="false" aria-keyshortcuts="x" title="Lay a cross on the page and read the colours below it; arrow keys move it" { (cross()) "Read" }
            details.guides-box {
                summary.button { "Guides" }
                fieldset.guides {
                    legend.hidden { "Guides" }
                    @for (name, words) in [("bleed", "Bleed"), ("trim", "Trim"), ("safe", "Safe"), ("fold", "Fold")] {
                        label { input type="checkbox" name="guide" value=(name); span { (words) } }
                    }
                }
            }
            fieldset.views.sides {
                legend.hidden { "What the paper side shows" }
                @for (value, words, more) in SIDES {
                    label title=(more) { input type="radio" name="side" value=(value) checked[value == "print"]; span { (words) } }
                }
            }
        }
    }
}

fn card_mark() -> Markup {
    html! { svg.icon viewBox="0 0 20 20" width="18" height="18" aria-hidden="true" { path d="M3 3h14v14H3zM9 3v14M5 7h2M5 10h2M5 13h2" {} } }
}

/// What the paper side can show: its name in addresses, its name on the page, and what it means.
const SIDES: [(&str, &str, &str); 6] = [
    (
        "print",
        "With paper's tint",
        "As printed, beside the white of the screen",
    ),
    (
        "adapted",
        "Eyes adapted",
        "As printed, to eyes that have got used to the paper's white",
    ),
    (
        "reach",
        "Out of reach",
        "Where no ink on this paper can be the colour of the art",
    ),
    (
        "ink",
        "Ink in all",
        "How much ink lies on each place, in percent of one solid ink",
    ),
    (
        "shadows",
        "Shadows",
        "Where detail in the darks stays, shrinks, or is lost",
    ),
    (
        "sharpening",
        "Sharpening",
        "Before and after sharpening for paper, at press pixels",
    ),
];

fn cross() -> Markup {
    html! { svg.icon viewBox="0 0 20 20" width="16" height="16" aria-hidden="true" { path d="M10 2v6M10 12v6M2 10h6M12 10h6" {} } }
}

/// The page in small tiles, for those who come without scripts.
fn still(open: SheetName, longer: u32) -> Markup {
    let level = (0..).find(|level| longer >> level <= 512).unwrap_or(0);
    let sheet = open.word();
    html! {
        div.stills {
            @for (view, words) in [("screen", "as on screen"), ("print", "as printed"), ("reach", "out of reach"), ("ink", "ink in all"), ("shadows", "shadow detail")] {
                figure {
                    img src={ "/tile/" (sheet) "/" (view) "/" (level) "/0/0" } loading="lazy" alt={ (sheet_words(open)) ", " (words) };
                    figcaption { (words) }
                }
            }
        }
    }
}

/// All spreads in a row, to choose from.
fn strip(snapshot: &Snapshot, open: SheetName) -> Markup {
    html! {
        nav.strip #strip aria-label="Pages" {
            a.button href="/paper/pages" { "All pages" }
            ul {
                @for sheet in &snapshot.sheets {
                    @let name = SheetName::from(sheet.kind());
                    li {
                        a href=(address::card(name, None)) data-pages=(name.word()) aria-current=[(open == name).then_some("true")] {
                            span.leaves.one { (drawing::flat(sheet, snapshot, 160)) }
                            span.number { (sheet.flat.name()) }
                        }
                    }
                }
                @for (left, right) in spreads(&snapshot.plan) {
                    @let numbers: Vec<u32> = [left, right].iter().flatten().map(|page| page.number.0).collect();
                    li {
                        a href=(address::paper(numbers.first().copied().unwrap_or(1))) data-pages=(numbers.iter().map(u32::to_string).collect::<Vec<_>>().join(" "))
                            aria-current=[matches!(open, SheetName::Page(page) if numbers.contains(&page.0)).then_some("true")] title=(pages_words(&numbers))
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
    pixels(state, ReaderPage(page).into())
}

fn pixels(state: &State, name: SheetName) -> Result<serde_json::Value, Problem> {
    let size = state.desk().sheet_size(name)?;
    let [left, top, width, height] = state.desk().sheet_trim(name)?;
    Ok(json!({
        "width": size.width,
        "height": size.height,
        "trim": { "left": left, "top": top, "width": width, "height": height },
    }))
}

/// Another printed sheet: its size, its folds and its places to keep clear in millimetres.
fn flat(state: &State, sheet: &SheetPlan) -> Result<serde_json::Value, Problem> {
    let name = SheetName::from(sheet.kind());
    let flat = &sheet.flat;
    let bleed = match flat.allowance {
        Allowance::Bleed(bleed) => bleed.mm(),
        Allowance::TurnIn(_) => 0.0,
    };
    let upright = flat.folds.iter().filter_map(|fold| match fold {
        Fold::Upright(x) => Some(x.mm()),
        Fold::Level(_) => None,
    });
    let level = flat.folds.iter().filter_map(|fold| match fold {
        Fold::Level(y) => Some(y.mm()),
        Fold::Upright(_) => None,
    });
    Ok(json!({
        "id": name.word(),
        "name": capital(flat.name()),
        "width": flat.trim.width.mm(),
        "height": flat.trim.height.mm(),
        "bleed": bleed,
        "upright": upright.collect::<Vec<_>>(),
        "level": level.collect::<Vec<_>>(),
        "clear": flat.no_go.iter().map(|place| {
            let rect = place.rect;
            json!([rect.x.mm(), rect.y.mm(), rect.width.mm(), rect.height.mm()])
        }).collect::<Vec<_>>(),
        "panels": flat.panels.iter().filter(|panel| !panel.name.contains("turn-in")).map(|panel| panel.name).collect::<Vec<_>>(),
        "pixels": pixels(state, name)?,
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
