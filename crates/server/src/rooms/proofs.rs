//! *Proofs*: the round from the strip to the press and back, and what each round has taught.

mod reading;
mod strip;

use axum::extract::{Query, State as Shared};
use axum::response::Html;
use desk::proof::fit::Verdict;
use desk::{ProofReading, Snapshot, StripView};
use maud::{Markup, html};
use serde::Deserialize;

use super::findings;
use super::order::spreads;
use super::stands::progress;
use crate::State;
use crate::drawing::{self, short};
use crate::problem::Problem;
use crate::shell::{Room, Scene, spoken};
use crate::upload;
use crate::work::{Kind, Phase, Progress, Unwatched};

/// Which reading is open.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Opened {
    reading: Option<u32>,
}

/// `GET /proofs`.
pub(crate) async fn room(
    Shared(state): Shared<State>,
    Query(opened): Query<Opened>,
) -> Result<Html<String>, Problem> {
    state
        .call(move |state| {
            let now = state.work().now();
            let running = now.state == Phase::Running;
            let scene = Scene::read(state, Room::Proofs)?;
            let readings = state.desk().proofs()?;
            let strip = state.desk().strip(&Unwatched).map_err(Problem::from);
            let open = match opened.reading {
                Some(id) => readings.iter().find(|reading| reading.id == id),
                None => readings.last(),
            };
            let made = state.desk().press_files().contains(&"proof.pdf");
            let room = html! {
                div.title-line {
                    div {
                        h1 { "Proofs" }
                        p.lead { "What this press does with this book is measured once, on a strip of the book's own colours, and then undone." }
                    }
                }
                (round(strip.as_ref().ok(), made, &readings))
                section.the-strip aria-labelledby="strip-title" {
                    h2 #strip-title { "The strip" }
                    @match &strip {
                        Ok(view) => (strip::section(view)),
                        Err(problem) => { p { (spoken(&problem.said)) " " (spoken(&problem.hint)) } },
                    }
                }
                div.columns.proofs {
                    div {
                        @match open {
                            Some(open) => (reading::section(open)),
                            None => { (nothing_yet()) (practice(running)) },
                        }
                    }
                    div.actions {
                        (progress(&now, &[Kind::Proof, Kind::Practise, Kind::Read]))
                        (failed(state, &now))
                        (measuring(running))
                        (proof_pages(state, &scene.snapshot, made, running))
                        @if open.is_some() { (practice(running)) }
                        (earlier(&readings, open))
                    }
                }
            };
            Ok(scene.page(&room, Some("proofs.js"), running))
        })
        .await
}

/// The round in five stations, and where the book is in it.
fn round(strip: Option<&StripView>, made: bool, readings: &[ProofReading]) -> Markup {
    let last = readings.last();
    let in_force = readings.iter().any(|reading| reading.in_force);
    let stations = [
        (
            "#strip-title",
            "Strip",
            "the book's own colours",
            strip.is_some(),
        ),
        ("#pages-title", "Proof pages", "printed by the press", made),
        (
            "#measure-title",
            "Measurement",
            "by instrument or scanner",
            last.is_some(),
        ),
        (
            "#reading-title",
            "Error",
            "meant against measured",
            last.is_some(),
        ),
        (
            "#verdict",
            "Correction",
            "taken in when you say so",
            in_force,
        ),
    ];
    html! {
        ol.round aria-label="The round of a proof" {
            @for (link, name, words, done) in stations {
                li data-done[done] {
                    // What is not there yet cannot be gone to.
                    @if link.starts_with("#reading") && last.is_none() || link == "#verdict" && last.is_none() {
                        span.station { b { (name) } span { (words) } }
                    } @else {
                        a.station href=(link) { b { (name) } span { (words) } }
                    }
                    span.hidden { @if done { "done" } @else { "not yet" } }
                }
            }
        }
    }
}

fn nothing_yet() -> Markup {
    html! {
        section.reading aria-labelledby="reading-title" {
            h2 #reading-title { "No proof was measured yet" }
            p { "Make proof pages and send them to the printer as a colour proof on the paper of the book. When they come, measure the strip with an instrument, or lay it on a flatbed scanner, and hand the file in here." }
            p { "Then you see how far each colour came from what was meant, and what the correction would do, before anything changes." }
        }
    }
}

fn failed(state: &State, now: &Progress) -> Markup {
    let outcome = state.outcome();
    let failed = outcome.failed.as_ref().filter(|(kind, _)| {
        now.state != Phase::Running && matches!(kind, Kind::Proof | Kind::Practise | Kind::Read)
    });
    html! {
        @if let Some((_, problem)) = failed {
            div.problem role="alert" {
                p { strong { (problem.title) ". " } (spoken(&problem.said)) }
                @if !problem.hint.is_empty() { p { (spoken(&problem.hint)) } }
            }
        }
    }
}

/// Handing in a measurement.
fn measuring(running: bool) -> Markup {
    html! {
        section.files aria-labelledby="measure-title" {
            h2 #measure-title { "Hand in a measurement" }
            form #read-form method="post" action="/proofs/read" enctype="multipart/form-data" data-upload data-most=(upload::MOST) {
                div.drop #drop {
                    label for="measurement" { "Text of an instrument, or a scan of the strip" }
                    input #measurement type="file" name="measurement" required accept=".txt,.cgats,.ti3,.tif,.tiff,.png,.jpg,.jpeg,.webp,text/plain,image/*" aria-describedby="measurement-example";
                    p.example #measurement-example { "You can drop it here too. CGATS text, or TIFF, PNG or JPEG, at most " (upload::MOST_WORDS) "." }
                }
                details {
                    summary { "The scanner has a profile" }
                    div.field {
                        label for="scanner" { "Its ICC profile" }
                        input #scanner type="file" name="scanner" accept=".icc,.icm" aria-describedby="scanner-example";
                        p.example #scanner-example { "Without one, the scanner is judged by the greys and the paper of the strip." }
                    }
                }
                p.problem #upload-problem role="alert" hidden {}
                button.strong #read-measurement disabled[running] { "Read it" }
            }
        }
    }
}

fn proof_pages(state: &State, snapshot: &Snapshot, made: bool, running: bool) -> Markup {
    let outcome = state.outcome();
    html! {
        section.files aria-labelledby="pages-title" {
            h2 #pages-title { "Proof pages" }
            form method="post" action="/work/proof" data-work {
                fieldset.choose-pages {
                    legend { "Which pages? With none, the strip stands on a sheet of its own." }
                    div.scrolled tabindex="0" role="group" aria-label="Pages to choose from" { ul {
                        @for (left, right) in spreads(&snapshot.plan) {
                            @for page in [left, right].into_iter().flatten() {
                                li {
                                    label {
                                        input type="checkbox" name={ "page-" (page.number.0) } aria-label={ "Page " (page.number.0) };
                                        (drawing::leaf(page, snapshot, 160))
                                        span { (page.number.0) }
                                    }
                                }
                            }
                        }
                    } }
                }
                button #make-proof disabled[running] { "Make proof pages" }
            }
            @if made {
                ul.downloads { li { a href="/press/proof.pdf" download="proof.pdf" { b { "Proof" } " " span { "proof.pdf" } } } }
            }
            @if let Some(file) = &outcome.proof {
                @if !file.findings.is_empty() {
                    h3 { "Check of proof.pdf" }
                    (findings::list(&file.findings))
                }
            }
        }
    }
}

fn practice(running: bool) -> Markup {
    html! {
        section.files aria-labelledby="practice-title" {
            h2 #practice-title { "Without paying" }
            p.soft { "A practice press inside Foredge prints the strip too heavily, as many presses do, and measures it. It is only for learning the round: accept nothing from it for a real book." }
            form method="post" action="/work/practise" data-work {
                button #practise disabled[running] { "Try the practice press" }
            }
        }
    }
}

/// All readings, with their errors side by side.
fn earlier(readings: &[ProofReading], open: Option<&ProofReading>) -> Markup {
    let most = readings
        .iter()
        .map(|reading| reading.colours.mean)
        .fold(1.0, f64::max);
    html! {
        @if !readings.is_empty() {
            section.files aria-labelledby="earlier-title" {
                h2 #earlier-title { "All proofs" }
                ol.earlier #earlier {
                    @for reading in readings.iter().rev() {
                        li {
                            a href={ "/proofs?reading=" (reading.id) } aria-current=[open.is_some_and(|open| open.id == reading.id).then_some("true")] {
                                span.name { "Proof " (reading.id) @if reading.in_force { ", in force" } }
                                svg viewBox="0 0 100 8" preserveAspectRatio="none" aria-hidden="true" { rect.ground width="100" height="8" {} rect.measured width=(short(100.0 * reading.colours.mean / most)) height="8" {} }
                                span.figure { (format!("{:.1}", reading.colours.mean)) " ΔE00" }
                            }
                            @if !reading.stale.is_empty() { p.soft { "For an older book." } }
                            @else if matches!(reading.verdict, Verdict::NotEnough { .. }) { p.soft { "Not enough to say." } }
                        }
                    }
                }
            }
        }
    }
}
