//! *Where it stands*: the way from the art to the press, what is out of date, and the files.

use axum::extract::State as Shared;
use axum::response::Html;
use desk::book::plan::{Cause, Page};
use desk::finding::capital;
use desk::{PressFile, Snapshot, Stage, StageState};
use maud::{Markup, html};

use super::findings;
use crate::State;
use crate::address;
use crate::drawing;
use crate::problem::Problem;
use crate::shell::{Room, Scene, spoken};
use crate::work::{Kind, Phase, Progress};

/// `GET /`.
pub(crate) async fn room(Shared(state): Shared<State>) -> Result<Html<String>, Problem> {
    state
        .call(|state| {
            let now = state.work().now();
            let scene = Scene::read(state, Room::Stands)?;
            let stages = state.desk().status()?.stages;
            let book = &scene.snapshot.book;
            let room = html! {
                h1.hidden { "Where it stands" }
                (shelf(&scene.snapshot))
                div.columns {
                    section.way aria-labelledby="way" {
                        h2 #way { "From art to books in hand" }
                        ol.stages {
                            @for stage in &stages { (step(stage)) }
                        }
                        @if !scene.snapshot.findings.is_empty() {
                            h3 { "About the book itself" }
                            (findings::list(&scene.snapshot.findings))
                        }
                    }
                    (files(state, &stages, &now, &book.about.title))
                }
            };
            Ok(scene.page(&room, None, now.state == Phase::Running))
        })
        .await
}

/// The cover and the first spreads with pictures, at one scale, standing on a shelf.
fn shelf(snapshot: &Snapshot) -> Markup {
    const SPREADS: usize = 4;
    let pages = &snapshot.plan.pages;
    let spreads = pages
        .get(1..)
        .unwrap_or_default()
        .chunks(2)
        .filter(|pair| pair.len() == 2 && pair.iter().any(|page| fills(page, snapshot)))
        .take(SPREADS);
    let front = pages.iter().find(|page| !page.pictures.is_empty());
    html! {
        section.shelf aria-label="The book" {
            @if let Some(sheet) = snapshot.outside() {
                a.stood.cover href=(address::card(sheet.kind().into(), None)) { span.hidden { "The " (sheet.flat.name()) ": look at it on paper" } (drawing::panel(sheet, "front", snapshot, 640)) }
            } @else if let Some(page) = front {
                a.stood href=(address::paper(page.number.0)) { span.hidden { "Page " (page.number.0) ": look at it on paper" } (drawing::leaf(page, snapshot, 640)) }
            }
            @for pair in spreads {
                a.stood.pair href=(address::paper(pair[0].number.0)) {
                    span.hidden { "Pages " (pair[0].number.0) " and " (pair[1].number.0) ": look at them on paper" }
                    @for page in pair { (drawing::leaf(page, snapshot, 640)) }
                }
            }
        }
    }
}

/// Whether a picture that can be shown takes most of a page.
fn fills(page: &Page, snapshot: &Snapshot) -> bool {
    let trim = snapshot.book.format.trim;
    page.pictures.iter().any(|picture| {
        let across = picture.window.width.ratio(trim.width);
        let down = picture.window.height.ratio(trim.height);
        across * down > 0.4 && drawing::is_there(snapshot, &picture.piece)
    })
}

fn step(stage: &Stage) -> Markup {
    let (title, room) = match (stage.name.as_str(), PressFile::named(&stage.name)) {
        ("art", _) => ("The art is looked at".to_owned(), "/art"),
        ("running order", _) => ("The running order is set".to_owned(), "/order"),
        ("object", _) => ("The object is worked out".to_owned(), "/object"),
        ("drawing", _) => ("The drawing is made".to_owned(), "#files"),
        ("check", _) => ("The files are checked".to_owned(), "#files"),
        ("proof", _) => ("A proof is read".to_owned(), "/proofs"),
        ("prices", _) => ("Prices are asked and compared".to_owned(), "/prices"),
        ("quantity", _) => ("How many is decided".to_owned(), "/quantity"),
        ("dates", _) => ("The calendar is kept".to_owned(), "/dates"),
        (_, Some(file)) => (
            format!("The {} {} made", file.title(), is_or_are(file)),
            "#files",
        ),
        (other, None) => (other.to_owned(), "/"),
    };
    html! {
        li data-state=(state_key(stage.state)) {
            (mark(stage.state))
            div {
                h3 { a href=(room) { (title) } }
                p.state { (state_words(stage.state)) }
                (because(&sentence(&stage.because)))
                @if !stage.next.is_empty() { p.next { strong { "Next: " } (spoken(without_command(&stage.next))) } }
            }
        }
    }
}

/// Why a stage stands as it does; a long list after the first sentence is folded away.
fn because(text: &str) -> Markup {
    const LONG: usize = 260;
    let parted = (text.len() > LONG).then(|| text.split_once(". ")).flatten();
    html! {
        @match parted {
            Some((first, rest)) => {
                p.because { (spoken(first)) "." }
                details.because { summary { "More of this" } p { (spoken(rest)) } }
            },
            None => { p.because { (spoken(text)) } },
        }
    }
}

const fn is_or_are(file: PressFile) -> &'static str {
    match file {
        PressFile::SlipcaseEnds | PressFile::Endpapers => "are",
        _ => "is",
    }
}

/// A next step without the command that the desk names for those at a terminal.
pub(crate) fn without_command(next: &str) -> &str {
    next.split_once(": foredge ")
        .map_or(next, |(words, _)| words)
}

/// A sentence begins with a capital, also where it began with a place.
pub(crate) fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    match letters.next() {
        Some(first) if first.is_lowercase() && is_word(text) => {
            first.to_uppercase().chain(letters).collect()
        }
        _ => text.to_owned(),
    }
}

/// Whether a text begins with a plain word, and not with the name of a file.
fn is_word(text: &str) -> bool {
    let first = text.split_whitespace().next().unwrap_or_default();
    first.chars().all(char::is_alphabetic)
}

const fn state_words(state: StageState) -> &'static str {
    match state {
        StageState::Fresh => "Up to date",
        StageState::Stale => "Out of date",
        StageState::Missing => "Not yet",
        StageState::Blocked => "Held up",
    }
}

const fn state_key(state: StageState) -> &'static str {
    match state {
        StageState::Fresh => "fresh",
        StageState::Stale => "stale",
        StageState::Missing => "missing",
        StageState::Blocked => "blocked",
    }
}

/// A register mark: whole when all is well, out of register when out of date.
fn mark(state: StageState) -> Markup {
    html! {
        svg.mark viewBox="0 0 36 36" width="36" height="36" aria-hidden="true" {
            @match state {
                StageState::Fresh => {
                    circle cx="18" cy="18" r="9" {}
                    path d="M18 3v30M3 18h30" {}
                    circle.core cx="18" cy="18" r="4" {}
                },
                StageState::Stale => {
                    circle cx="15" cy="16" r="9" {}
                    path d="M15 2v28M1 16h28" {}
                    g.twin { circle cx="22" cy="21" r="9" {} path d="M22 7v28M8 21h28" {} }
                },
                StageState::Missing => { circle.dashed cx="18" cy="18" r="9" {} },
                StageState::Blocked => { circle cx="18" cy="18" r="9" {} path.bar d="M12 18h12" {} },
            }
        }
    }
}

/// Making the files, what came of it, and where they are.
fn files(state: &State, stages: &[Stage], now: &Progress, title: &str) -> Markup {
    let of = |name: &str| stages.iter().find(|stage| stage.name == name);
    let made = |name: &str| {
        of(name).is_some_and(|stage| matches!(stage.state, StageState::Fresh | StageState::Stale))
    };
    let stale = |name: &str| of(name).is_some_and(|stage| stage.state == StageState::Stale);
    let outcome = state.outcome();
    let any = PressFile::ALL.iter().any(|file| made(file.word()));
    let sheets: Vec<&str> = PressFile::ALL
        .iter()
        .filter(|file| of(file.word()).is_some() && **file != PressFile::Interior)
        .map(|file| file.title())
        .collect();
    html! {
        section.files #files aria-labelledby="files-title" {
            h2 #files-title { "Files for the printer" }
            (progress(now, &[Kind::Press, Kind::Check]))
            @if now.state != Phase::Running {
                form method="post" action="/work/press" data-work {
                    button.great #make-press-files { "Make press files" }
                }
                @if !any {
                    p.soft {
                        "Out come the pages of " i { (title) } " in reading order, as one PDF"
                        @if !sheets.is_empty() { ", and a PDF for each sheet around them: " (sheets.join(", ")) }
                        ". Nothing leaves this machine."
                    }
                }
            }
            @if let Some((kind, problem)) = &outcome.failed {
                @if matches!(kind, Kind::Press | Kind::Check) {
                    div.problem role="alert" {
                        p { strong { (problem.title) ". " } (spoken(&problem.said)) }
                        @if !problem.hint.is_empty() { p { (spoken(&problem.hint)) } }
                    }
                }
            }
            @if any {
                ul.downloads #downloads {
                    @for file in PressFile::ALL {
                        @if made(file.word()) {
                            li {
                                a href={ "/press/" (file.name()) } download=(file.name()) { b { (capital(file.title())) } " " span { (file.name()) } }
                                @if stale(file.word()) { p.soft { "Made for an older book." } }
                            }
                        }
                    }
                    @if made("drawing") {
                        li {
                            a href="/press/drawing.pdf" download="drawing.pdf" { b { "Drawing with measures" } " " span { "drawing.pdf" } }
                            @if stale("drawing") { p.soft { "Made for an older book." } }
                        }
                    }
                    li.small { a href="/press/manifest.json" download="manifest.json" { "What they were made from " span { "manifest.json" } } }
                }
                @if let Some(report) = &outcome.press {
                    p.soft {
                        @if report.rendered == 0 { "Nothing had changed: all pages were kept." }
                        @else if report.rendered == report.pages { "All " (report.pages) " pages were rendered." }
                        @else { (report.rendered) " of " (report.pages) " pages were rendered anew; the others had not changed." }
                    }
                }
                @if now.state != Phase::Running {
                    form method="post" action="/work/check" data-work { button #check-press-files { "Check them again" } }
                }
            }
            @if let Some(report) = outcome.press.as_ref().filter(|report| !report.findings.is_empty()) {
                h3 { "Noticed while making them" }
                (findings::list(&report.findings))
            }
            @if let Some(checked) = &outcome.checked {
                @for (file, found) in checked {
                    h3 { "Check of " (file) }
                    @if found.is_empty() { p.soft { "Nothing was found." } }
                    @else { (findings::list(found)) }
                }
            }
        }
    }
}

/// The work in hand, if it is of one of these kinds.
pub(crate) fn progress(now: &Progress, kinds: &[Kind]) -> Markup {
    let shown = now.state == Phase::Running && kinds.contains(&now.kind);
    html! {
        @if shown {
            div.progress #progress data-running {
                p.phase #phase { (now.phase) }
                progress #meter aria-labelledby="phase" value=(now.done) max=(now.total.max(1)) {}
                p.soft #step { (now.what) }
                form method="post" action="/work/stop" data-work { button #stop { "Stop" } }
            }
        }
    }
}

/// Whether a blank is there of itself, and why.
pub(crate) const fn blank_words(cause: Cause) -> Option<&'static str> {
    match cause {
        Cause::Entry(_) => None,
        Cause::ForcedByFold { .. } => Some("blank, so that the next begins on the left"),
        Cause::ForcedBySignature => Some("blank, fills the last signature"),
    }
}
