//! *Art*: the wall of pieces at true relative size, each with what was found of it.

use std::sync::Arc;

use axum::extract::{Query, State as Shared};
use axum::response::Html;
use desk::art::Judgement;
use desk::book::plan::PlacedPicture;
use desk::finding::{Finding, Place, Severity};
use desk::measure::{Resolution, Size};
use desk::{ArtReport, PieceInfo, Snapshot};
use maud::{Markup, html};
use serde::Deserialize;

use super::findings;
use super::stands::progress;
use crate::State;
use crate::address;
use crate::problem::Problem;
use crate::shell::{Room, Scene};
use crate::work::{Kind, Phase, count};

/// Pixels of the screen for a millimetre of paper, so that a picture of 25 by 30 cm hangs at the
/// size of a playing card and a spread beside it in the right proportion.
const SCALE: f64 = 0.66;

/// What is shown.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Wall {
    show: String,
}

/// `GET /art`.
pub(crate) async fn room(
    Shared(state): Shared<State>,
    Query(wall): Query<Wall>,
) -> Result<Html<String>, Problem> {
    state
        .call(move |state| {
            let now = state.work().now();
            let running = now.state == Phase::Running;
            let scene = Scene::read(state, Room::Art)?;
            let snapshot = &scene.snapshot;
            let (report, current) = report(state)?;
            let only_looks = wall.show == "look" && report.is_some();
            let looked: Vec<Piece> = snapshot
                .pieces
                .iter()
                .map(|piece| Piece::of(piece, report.as_deref()))
                .collect();
            let looks = looked.iter().filter(|piece| piece.wants_look()).count();
            let unplaced = looked.iter().filter(|piece| piece.info.pages.is_empty()).count();
            let room = html! {
                div.title-line {
                    div {
                        h1 { "Art" }
                        p.lead {
                            (count(looked.len(), "piece", "pieces")) " in the folder"
                            @if unplaced > 0 { ", " (unplaced) " not in the book" }
                            ". Each hangs at the size at which it prints."
                        }
                    }
                    div.tools {
                        @if !running {
                            form method="post" action="/work/judge" data-work {
                                button #judge-the-art .strong[!current] { @if report.is_some() { "Look at them again" } @else { "Look at them for print" } }
                            }
                        }
                    }
                }
                (progress(&now, &[Kind::Judge]))
                @if report.is_some() {
                    nav.filter aria-label="Which pieces are shown" {
                        a href="/art" aria-current=[(!only_looks).then_some("true")] { "All " (looked.len()) }
                        a href="/art?show=look" aria-current=[only_looks.then_some("true")] { "Needs a look: " (looks) }
                    }
                    @if !current { p.soft { "What is said here was found before the last changes." } }
                }
                ul.wall.looks[only_looks] {
                    @for piece in looked.iter().filter(|piece| !only_looks || piece.wants_look()) {
                        (piece.hung(snapshot, report.is_some(), only_looks))
                    }
                }
            };
            Ok(scene.page(&room, None, running))
        })
        .await
}

/// What was found of the art, and whether it is of the book as it is now.
fn report(state: &State) -> Result<(Option<Arc<ArtReport>>, bool), Problem> {
    Ok(match state.desk().judged()? {
        Some(report) => (Some(state.keep_art(report)), true),
        None => (state.art(), false),
    })
}

struct Piece<'a> {
    info: &'a PieceInfo,
    judged: Option<&'a Judgement>,
    found: Vec<&'a Finding>,
}

impl<'a> Piece<'a> {
    fn of(info: &'a PieceInfo, report: Option<&'a ArtReport>) -> Self {
        let of_this = |finding: &&Finding| finding.place == Place::Piece(info.name.clone());
        let mut found: Vec<&Finding> = report
            .map(|report| report.findings.iter().filter(of_this).collect())
            .unwrap_or_default();
        found.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
        Self {
            info,
            judged: report.and_then(|report| {
                report
                    .pieces
                    .iter()
                    .find(|judged| judged.piece == info.name)
            }),
            found,
        }
    }

    fn wants_look(&self) -> bool {
        self.info.size.is_err()
            || self
                .found
                .iter()
                .any(|finding| finding.severity >= Severity::Warn)
    }

    fn hung(&self, snapshot: &Snapshot, judged: bool, open: bool) -> Markup {
        let name = &self.info.name;
        let placed = largest(snapshot, name);
        html! {
            li.piece #(address::query(name)) {
                @match &self.info.size {
                    Ok(pixels) => {
                        @let size = placed.or_else(|| at_good_resolution(pixels.width, pixels.height));
                        @let (width, height) = size.map_or((160.0, 160.0), |size| (size.width.mm() * SCALE, size.height.mm() * SCALE));
                        @let side = if width.max(height) > 330.0 { 1280 } else { 640 };
                        @let picture = html! {
                            img src=(address::thumbnail(name, side)) width=(width.round()) height=(height.round()) alt="" loading="lazy";
                        };
                        @if let Some(page) = self.info.pages.first() {
                            a.picture href=(address::paper(page.0)) aria-label={ (plain(name)) ": look at page " (page.0) " on paper" } { (picture) }
                        } @else { div.picture { (picture) } }
                    },
                    Err(why) => { div.picture.unreadable { p { "It cannot be read." } p.soft { (why) } } },
                }
                div.label {
                    h2 { (plain(name)) }
                    p.soft {
                        @if self.info.pages.is_empty() { "Not in the book" }
                        @else { (pages_words(&self.info.pages.iter().map(|page| page.0).collect::<Vec<_>>())) }
                        @if let Some(size) = placed { " · " (crate::shell::size_words(whole(size))) }
                    }
                    (self.chips(judged))
                    (self.details(open))
                }
            }
        }
    }

    /// The judgement in a few words.
    fn chips(&self, judged: bool) -> Markup {
        html! {
            @if let Some(ppi) = self.judged.and_then(|judged| judged.ppi) {
                span.chip { (format!("{ppi:.0} ppi")) }
            }
            @if judged && self.info.size.is_ok() && !self.wants_look() { span.chip.fit { "Fit for print" } }
            @if self.wants_look() { (findings::severity(self.found.first().map_or(Severity::Stop, |finding| finding.severity))) }
        }
    }

    fn details(&self, open: bool) -> Markup {
        html! {
            @if !self.found.is_empty() || self.judged.is_some() {
                details open[open] {
                    summary { "What was found" span.hidden { " in " (plain(&self.info.name)) } }
                    @if !self.found.is_empty() {
                        ul.findings { @for finding in &self.found { li data-severity=(finding.severity) { (findings::one(finding, false)) } } }
                    }
                    @if let Some(judged) = self.judged {
                        dl.figures {
                            dt { "Pixels" } dd { (judged.size) }
                            @if judged.separated_already {
                                dt { "What paper takes" } dd { "not known: it came separated already, as CMYK" }
                            } @else {
                                dt { "Beyond the press" } dd { (percent(judged.out_of_reach)) " of the area" @if judged.out_of_reach > 0.0005 { ", by ΔE00 " (format!("{:.1}", judged.out_of_reach_by)) } }
                                dt { "Shadows that fill in" } dd { (percent(judged.shadow_fills)) " of the area" }
                            }
                            dt { "Most ink" } dd { (format!("{:.0} %", judged.ink_most)) }
                        }
                    }
                }
            }
        }
    }
}

/// The largest size at which a piece is placed.
fn largest(snapshot: &Snapshot, name: &str) -> Option<Size> {
    let on_pages = snapshot.plan.pages.iter().flat_map(|page| &page.pictures);
    let on_sheets = snapshot.sheets.iter().flat_map(|sheet| &sheet.pictures);
    let frames = on_pages
        .chain(on_sheets)
        .filter(|picture| picture.piece == name)
        .map(|picture: &PlacedPicture| Size {
            width: picture.frame.width,
            height: picture.frame.height,
        });
    frames.max_by_key(|size| size.width)
}

/// The size at which a piece that is not placed would have 300 ppi.
fn at_good_resolution(width: u32, height: u32) -> Option<Size> {
    let good = Resolution::from_ppi(300.0)?.ppi();
    let mm = |pixels: u32| (f64::from(pixels) / good * 25.4).min(600.0);
    Some(Size::from_mm(mm(width), mm(height)))
}

fn whole(size: Size) -> Size {
    Size::from_mm(size.width.mm().round(), size.height.mm().round())
}

fn percent(share: f64) -> String {
    if share > 0.0 && share < 0.01 {
        "under 1 %".to_owned()
    } else {
        format!("{:.0} %", share * 100.0)
    }
}

/// A piece's name as a person says it: without the folder and the ending.
pub(crate) fn plain(name: &str) -> &str {
    let file = name.rsplit('/').next().unwrap_or(name);
    file.rsplit_once('.').map_or(file, |(stem, _)| stem)
}

/// `Page 4`, `Pages 4 and 5`, `Pages 4, 9 and 12`.
pub(crate) fn pages_words(pages: &[u32]) -> String {
    match pages {
        [] => String::new(),
        [page] => format!("Page {page}"),
        [first @ .., last] => {
            let first: Vec<String> = first.iter().map(u32::to_string).collect();
            format!("Pages {} and {last}", first.join(", "))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_and_pages_read_as_said() {
        assert_eq!(plain("night/ferry 2.tif"), "ferry 2");
        assert_eq!(plain("lantern"), "lantern");
        assert_eq!(pages_words(&[4]), "Page 4");
        assert_eq!(pages_words(&[4, 5, 9]), "Pages 4, 5 and 9");
    }

    #[test]
    fn a_small_share_is_not_called_nothing() {
        assert_eq!(percent(0.0), "0 %");
        assert_eq!(percent(0.004), "under 1 %");
        assert_eq!(percent(0.31), "31 %");
    }
}
