//! *Running order*: every spread to scale, with the signatures below it, and a bench for the entry
//! that is chosen.

use axum::extract::{Query, State as Shared};
use axum::response::Html;
use desk::book::plan::{Cause, Page, Plan, ReaderPage, Side};
use desk::book::{Book, Entry, Treatment};
use desk::finding::capital;
use desk::{PieceInfo, Snapshot};
use maud::{Markup, html};
use serde::Deserialize;

use super::art::{pages_words, plain};
use super::findings;
use crate::State;
use crate::address;
use crate::drawing;
use crate::problem::Problem;
use crate::shell::{Room, Scene};
use crate::work::count;

/// Which entry is chosen.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Chosen {
    entry: String,
}

/// `GET /order`.
pub(crate) async fn room(
    Shared(state): Shared<State>,
    Query(chosen): Query<Chosen>,
) -> Result<Html<String>, Problem> {
    state
        .call(move |state| {
            let scene = Scene::read(state, Room::Order)?;
            let snapshot = &scene.snapshot;
            let (book, plan) = (&snapshot.book, &snapshot.plan);
            let entries = &book.running_order;
            let chosen = entries.iter().position(|entry| entry.name == chosen.entry);
            let trim = book.format.trim;
            let shape = trim.width.ratio(trim.height);
            let shape = if shape > 1.1 { "wide" } else if shape < 0.9 { "tall" } else { "square" };
            let room = html! {
                div.title-line {
                    div {
                        h1 { "Running order" }
                        p.lead {
                            (count(plan.pages.len(), "page", "pages")) " in " (count(plan.sections.len(), "signature", "signatures"))
                            ". Drag a picture to move it, or press "
                            kbd { "Alt" } " with " kbd { "←" } " or " kbd { "→" } " on it."
                        }
                    }
                }
                @if !snapshot.findings.is_empty() {
                    details.about { summary { (count(snapshot.findings.len(), "remark", "remarks")) " on the order" } (findings::list(&snapshot.findings)) }
                }
                ol.spreads #spreads data-shape=(shape) data-entries=(entries.len()) {
                    @for spread in spreads(plan) { (shown(spread, snapshot, chosen)) }
                }
                (bench(snapshot, chosen))
            };
            Ok(scene.page(&room, Some("order.js"), false))
        })
        .await
}

/// A left and a right page; the first page of a book stands alone on the right.
pub(crate) type Spread<'a> = (Option<&'a Page>, Option<&'a Page>);

/// All spreads in order.
pub(crate) fn spreads(plan: &Plan) -> Vec<Spread<'_>> {
    let mut spreads: Vec<Spread<'_>> = Vec::new();
    for page in &plan.pages {
        match (page.number.side(), spreads.last_mut()) {
            (Side::Right, Some((Some(_), right))) if right.is_none() => *right = Some(page),
            (Side::Right, _) => spreads.push((None, Some(page))),
            (Side::Left, _) => spreads.push((Some(page), None)),
        }
    }
    spreads
}

fn shown(spread: Spread<'_>, snapshot: &Snapshot, chosen: Option<usize>) -> Markup {
    let (left, right) = spread;
    let numbers: Vec<u32> = [left, right]
        .iter()
        .flatten()
        .map(|page| page.number.0)
        .collect();
    let one = match spread {
        (Some(left), Some(right)) => match (left.cause, right.cause) {
            (Cause::Entry(one), Cause::Entry(other)) if one == other => Some(one),
            _ => None,
        },
        _ => None,
    };
    let sewn_here = left.is_some_and(|left| is_middle(&snapshot.plan, left.number));
    html! {
        li.spread id={ "s" (numbers.first().copied().unwrap_or_default()) } aria-label=(pages_words(&numbers)) data-sewn=[sewn_here.then_some("")] {
            @if let (Some(entry), Some(left), Some(right)) = (one, left, right) {
                (entry_link(snapshot, entry, &[left, right], chosen))
            } @else {
                @for (side, page) in [("left", left), ("right", right)] {
                    @match page {
                        None => { div.void data-side=(side) {} },
                        Some(page) => (alone(page, snapshot, chosen)),
                    }
                }
            }
            @for (side, page) in [("left", left), ("right", right)] {
                @if let Some(page) = page { (foot(side, page, &snapshot.plan)) }
            }
            @if sewn_here { span.sewn title="The middle of a signature: the thread runs here" { span.hidden { "Middle of the signature" } } }
        }
    }
}

fn alone(page: &Page, snapshot: &Snapshot, chosen: Option<usize>) -> Markup {
    match page.cause {
        Cause::Entry(entry) => entry_link(snapshot, entry, &[page], chosen),
        cause => html! {
            div.entry.forced data-side=(side_key(page)) {
                div.leaves { (drawing::leaf(page, snapshot, 320)) }
                p.label { span { (super::stands::blank_words(cause).unwrap_or_default()) } }
            }
        },
    }
}

fn entry_link(snapshot: &Snapshot, index: usize, pages: &[&Page], chosen: Option<usize>) -> Markup {
    let book = &snapshot.book;
    let Some(entry) = book.running_order.get(index) else {
        return html! {};
    };
    let numbers: Vec<u32> = pages.iter().map(|page| page.number.0).collect();
    let treatment = treatment_words(&entry.treatment);
    html! {
        a.entry.wide[pages.len() == 2] id={ "e-" (address::query(&entry.name)) } href=(address::entry(&entry.name))
            data-entry=(entry.name) data-index=(index) draggable="false"
            data-side=[(pages.len() == 1).then(|| side_key(pages[0]))]
            aria-current=[(chosen == Some(index)).then_some("true")]
            aria-keyshortcuts="Alt+ArrowLeft Alt+ArrowRight Delete"
        {
            span.leaves { @for page in pages { (drawing::leaf(page, snapshot, if pages.len() == 2 { 640 } else { 320 })) } }
            span.label { b { (entry.name) } span.hidden { ", " } span { (treatment) } span.hidden { ", " (pages_words(&numbers).to_lowercase()) } }
        }
    }
}

/// Page number and the signature's rule.
fn foot(side: &str, page: &Page, plan: &Plan) -> Markup {
    let section = plan.sections.iter().enumerate().find(|(_, section)| {
        (section.first.0..section.first.0 + section.pages).contains(&page.number.0)
    });
    let first = section.is_some_and(|(_, section)| section.first == page.number);
    let last =
        section.is_some_and(|(_, section)| section.first.0 + section.pages == page.number.0 + 1);
    html! {
        div.foot data-side=(side) data-first=[first.then_some("")] data-last=[last.then_some("")] {
            span.number { (page.number.0) }
            @if let (true, Some((index, section))) = (first, section) {
                span.signature { "Signature " (index + 1) ", " (section.pages) " pages" }
            }
        }
    }
}

/// Whether the fold beside this left page is the middle of its signature.
fn is_middle(plan: &Plan, left: ReaderPage) -> bool {
    plan.sections
        .iter()
        .any(|section| section.first.0 + section.pages / 2 == left.0 + 1)
}

fn side_key(page: &Page) -> &'static str {
    match page.number.side() {
        Side::Left => "left",
        Side::Right => "right",
    }
}

/// The tools for the chosen entry, and the art that is not in the book.
fn bench(snapshot: &Snapshot, chosen: Option<usize>) -> Markup {
    let book = &snapshot.book;
    let unplaced: Vec<&PieceInfo> = snapshot
        .pieces
        .iter()
        .filter(|piece| piece.pages.is_empty() && piece.size.is_ok())
        .collect();
    let at = chosen.map_or(book.running_order.len(), |index| index + 1);
    let after = chosen
        .and_then(|index| book.running_order.get(index))
        .map_or_else(
            || "at the end".to_owned(),
            |entry| format!("after {}", entry.name),
        );
    html! {
        section.bench #bench aria-label="Bench" {
            div.tools-of-entry {
                @match chosen.and_then(|index| Some((index, book.running_order.get(index)?))) {
                    Some((index, entry)) => (tools(snapshot, index, entry)),
                    None => { p.soft { "Choose a page above: its tools come here." } },
                }
            }
            div.tray {
                h2 { "Not in the book" }
                @if unplaced.is_empty() { p.soft { "Every piece has its place." } }
                @else {
                    ul {
                        @for piece in unplaced {
                            li {
                                form method="post" action="/edit" data-act {
                                    (hidden("wish", "insert")) (hidden("room", "order"))
                                    (hidden("piece", &piece.name)) (hidden("at", &at.to_string()))
                                    button.tray-piece data-piece=(piece.name) title={ "Put " (plain(&piece.name)) " in " (after) } {
                                        img src=(address::thumbnail(&piece.name, 160)) alt="" height="52" draggable="false";
                                        span.hidden { "Put " (plain(&piece.name)) " in " (after) }
                                    }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn tools(snapshot: &Snapshot, index: usize, entry: &Entry) -> Markup {
    let book: &Book = &snapshot.book;
    let last = book.running_order.len() - 1;
    let pages: Vec<u32> = snapshot
        .plan
        .pages
        .iter()
        .filter(|page| page.cause == Cause::Entry(index))
        .map(|page| page.number.0)
        .collect();
    let treatment = treatment_words(&entry.treatment);
    let shows_one = entry.treatment.pictures().len() == 1;
    let name = entry.name.as_str();
    html! {
        h2 #bench-title { (name) }
        p.soft { (pages_words(&pages)) }
        div.row {
            (act("move", name, &[("to", index.saturating_sub(1).to_string())], index == 0, "earlier", "Earlier"))
            (act("move", name, &[("to", (index + 1).min(last).to_string())], index == last, "later", "Later"))
            (act("move", name, &[("to", "0".to_owned())], index == 0, "to-front", "To the front"))
            (act("move", name, &[("to", last.to_string())], index == last, "to-end", "To the end"))
            (act("insert", name, &[("at", index.to_string())], false, "blank-before", "Blank before"))
            (act("insert", name, &[("at", (index + 1).to_string())], false, "blank-after", "Blank after"))
            (act("remove", name, &[], false, "take-out", "Take out"))
            @if let Some(page) = pages.first() { a.button href=(address::paper(*page)) { "See on paper" } }
        }
        @if shows_one {
            form.treat method="post" action="/edit" data-act data-auto {
                (hidden("wish", "treat")) (hidden("room", "order")) (hidden("entry", name))
                label for="treatment" { "Treatment" }
                select #treatment name="treatment" {
                    @for choice in ["full page", "spread", "inset", "ready page"] {
                        option value=(choice) selected[choice == treatment] { (capital(choice)) }
                    }
                }
                noscript { button { "Change" } }
            }
        } @else { p.soft.treat { (capital(treatment)) } }
    }
}

fn act(
    wish: &str,
    entry: &str,
    fields: &[(&str, String)],
    off: bool,
    id: &str,
    words: &str,
) -> Markup {
    html! {
        form method="post" action="/edit" data-act {
            (hidden("wish", wish)) (hidden("room", "order")) (hidden("entry", entry))
            @for (name, value) in fields { (hidden(name, value)) }
            button #(id) disabled[off] { (words) }
        }
    }
}

/// A field that is sent but not seen.
pub(crate) fn hidden(name: &str, value: &str) -> Markup {
    html! { input type="hidden" name=(name) value=(value); }
}

/// The treatment in the words of the book file.
pub(crate) const fn treatment_words(treatment: &Treatment) -> &'static str {
    match treatment {
        Treatment::FullPage(_) => "full page",
        Treatment::Spread(_) => "spread",
        Treatment::Inset { .. } => "inset",
        Treatment::Paired { .. } => "paired",
        Treatment::Ready(_) => "ready page",
        Treatment::Title => "title",
        Treatment::Text { .. } => "text",
        Treatment::Colophon { .. } => "colophon",
        Treatment::Blank => "blank",
    }
}
