//! Long work: one thing at a time, watched by server-sent events, stopped by a wish.
//!
//! `GET /work/events` sends the state now and then each change, as one JSON object an event:
//! `kind` (`press`, `judge`, `check` or `none`), `state` (`idle`, `running`, `done`, `stopped`,
//! `failed`), `phase` and `what` in words, `done` of `total` steps, and `said`, the outcome in a
//! sentence once there is one. The reader closes the stream when `state` is no longer `running`.

use std::convert::Infallible;
use std::path::Path as FilePath;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use axum::Json;
use axum::extract::{Path, State as Shared};
use axum::http::{HeaderMap, StatusCode};
use axum::response::sse::{Event, KeepAlive, Sse};
use axum::response::{IntoResponse, Redirect, Response};
use desk::finding::Finding;
use desk::{DeskError, PressReport, Watch};
use serde::Serialize;
use tokio::sync::watch;
use tokio_stream::wrappers::WatchStream;
use tokio_stream::{Stream, StreamExt};

use crate::State;
use crate::act::wants_json;
use crate::picture::PRESS_PDFS;
use crate::problem::Problem;
use crate::state::Notice;

/// What can be worked on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    /// Nothing yet.
    #[default]
    None,
    /// Making press files, and checking them.
    Press,
    /// Judging the art.
    Judge,
    /// Checking the press files that are there.
    Check,
}

impl Kind {
    const fn doing(self) -> &'static str {
        match self {
            Self::None => "at rest",
            Self::Press => "making press files",
            Self::Judge => "judging the art",
            Self::Check => "checking the press files",
        }
    }

    const fn room(self) -> &'static str {
        match self {
            Self::Judge => "/art",
            _ => "/",
        }
    }
}

/// How far it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Phase {
    /// Nothing was begun.
    #[default]
    Idle,
    /// In hand.
    Running,
    /// Finished.
    Done,
    /// A person stopped it.
    Stopped,
    /// Something stood in the way.
    Failed,
}

/// One moment of the work, as it is sent.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Progress {
    /// What is worked on.
    pub kind: Kind,
    /// How far.
    pub state: Phase,
    /// The part that is in hand, in words.
    pub phase: String,
    /// Steps finished in this part.
    pub done: usize,
    /// Steps of this part.
    pub total: usize,
    /// What the step is about.
    pub what: String,
    /// The outcome, once there is one.
    pub said: String,
}

/// What the last work left to be shown.
#[derive(Debug, Default)]
pub(crate) struct Outcome {
    /// The files made last in this sitting.
    pub press: Option<PressReport>,
    /// By press file, what the check found.
    pub checked: Option<Vec<(&'static str, Vec<Finding>)>>,
    /// Why the last work failed.
    pub failed: Option<(Kind, Problem)>,
}

/// The work in hand.
pub(crate) struct Work {
    now: watch::Sender<Progress>,
    stop: Arc<AtomicBool>,
}

impl Default for Work {
    fn default() -> Self {
        Self {
            now: watch::Sender::new(Progress::default()),
            stop: Arc::default(),
        }
    }
}

impl Work {
    /// The state now.
    pub fn now(&self) -> Progress {
        self.now.borrow().clone()
    }

    /// Wishes that it stop.
    pub fn stop(&self) {
        self.stop.store(true, Ordering::Relaxed);
    }

    /// Begins unless something is in hand.
    fn begin(&self, kind: Kind) -> Result<(), Problem> {
        let mut busy = None;
        self.now.send_if_modified(|now| {
            if now.state == Phase::Running {
                busy = Some(now.kind);
                return false;
            }
            self.stop.store(false, Ordering::Relaxed);
            *now = Progress {
                kind,
                state: Phase::Running,
                phase: "Getting ready".to_owned(),
                ..Progress::default()
            };
            true
        });
        busy.map_or(Ok(()), |kind| Err(Problem::busy(kind.doing())))
    }

    fn end(&self, state: Phase, said: String) {
        self.now.send_modify(|now| {
            now.state = state;
            now.said = said;
        });
    }
}

/// The desk's view of one part of the work.
struct Part<'a> {
    work: &'a Work,
    name: &'a str,
}

impl Watch for Part<'_> {
    fn step(&self, done: usize, total: usize, what: &str) {
        self.work.now.send_modify(|now| {
            self.name.clone_into(&mut now.phase);
            what.clone_into(&mut now.what);
            now.done = done;
            now.total = total;
        });
    }

    fn stopped(&self) -> bool {
        self.work.stop.load(Ordering::Relaxed)
    }
}

/// `POST /work/{kind}`.
pub(crate) async fn command(
    Shared(state): Shared<State>,
    Path(kind): Path<String>,
    headers: HeaderMap,
) -> Response {
    let kind = match kind.as_str() {
        "press" => Kind::Press,
        "judge" => Kind::Judge,
        "check" => Kind::Check,
        "stop" => {
            let kind = state.work().now().kind;
            state.work().stop();
            return begun(&headers, kind);
        }
        _ => return crate::problem::no_such_page().await.into_response(),
    };
    if let Err(problem) = state.work().begin(kind) {
        return if wants_json(&headers) {
            problem.json()
        } else {
            problem.into_response()
        };
    }
    tokio::task::spawn_blocking(move || {
        // Should the desk break off by a bug of ours, the page must not wait for ever.
        let _guard = Unfinished(&state);
        carry_out(&state, kind);
    });
    begun(&headers, kind)
}

/// `GET /work/events`.
pub(crate) async fn events(
    Shared(state): Shared<State>,
) -> Sse<impl Stream<Item = Result<Event, Infallible>>> {
    let moments = WatchStream::new(state.work().now.subscribe());
    let events = moments.map(|moment| {
        let text = serde_json::to_string(&moment).expect("plain words and numbers are JSON");
        Ok(Event::default().data(text))
    });
    Sse::new(events).keep_alive(KeepAlive::default())
}

fn begun(headers: &HeaderMap, kind: Kind) -> Response {
    if wants_json(headers) {
        (StatusCode::ACCEPTED, Json(Progress::default())).into_response()
    } else {
        Redirect::to(kind.room()).into_response()
    }
}

fn carry_out(state: &State, kind: Kind) {
    let ended = match kind {
        Kind::Judge => judge(state),
        Kind::Press => press(state),
        Kind::Check => check(state),
        Kind::None => Ok(String::new()),
    };
    let (phase, said) = match ended {
        Ok(said) => (Phase::Done, said),
        Err(error) if error.stopped => (
            Phase::Stopped,
            format!("Stopped {}. Nothing was lost.", kind.doing()),
        ),
        Err(error) => {
            let problem = Problem::from(error);
            let said = problem.said.clone();
            state.outcome().failed = Some((kind, problem));
            (Phase::Failed, said)
        }
    };
    if phase != Phase::Failed {
        state.outcome().failed = None;
    }
    state.leave_notice(Notice {
        said: said.clone(),
        more: vec![],
        refused: phase == Phase::Failed,
        shown: None,
    });
    state.work().end(phase, said);
}

fn judge(state: &State) -> Result<String, DeskError> {
    let part = Part {
        work: state.work(),
        name: "Judging the art",
    };
    let report = state.desk().judge(&part)?;
    let said = format!(
        "Judged {}; {}.",
        count(report.pieces.len(), "piece", "pieces"),
        found(&report.findings)
    );
    state.keep_art(report);
    Ok(said)
}

fn press(state: &State) -> Result<String, DeskError> {
    let part = Part {
        work: state.work(),
        name: "Making press files",
    };
    let report = state.desk().press(&part)?;
    let made = format!(
        "Made the press files: {}, {} rendered anew",
        count(report.pages as usize, "page", "pages"),
        report.rendered
    );
    {
        let mut outcome = state.outcome();
        outcome.press = Some(report);
        outcome.checked = None;
    }
    Ok(format!("{made}. {}", check(state)?))
}

fn check(state: &State) -> Result<String, DeskError> {
    let folder = state.desk().root().join("press");
    let mut checked = Vec::new();
    for (file, name) in PRESS_PDFS {
        let path = folder.join(file);
        if !FilePath::is_file(&path) {
            continue;
        }
        let part = Part {
            work: state.work(),
            name,
        };
        checked.push((file, state.desk().check(&path, &part)?.findings));
    }
    let all: Vec<Finding> = checked
        .iter()
        .flat_map(|(_, found)| found.clone())
        .collect();
    let said = match checked.len() {
        0 => "There are no press files to check yet.".to_owned(),
        _ => format!("Checked them: {}.", found(&all)),
    };
    state.outcome().checked = Some(checked);
    Ok(said)
}

/// Says how many findings want a person's eye.
pub(crate) fn found(findings: &[Finding]) -> String {
    let of = |severity| {
        findings
            .iter()
            .filter(|one| one.severity == severity)
            .count()
    };
    match (
        of(desk::finding::Severity::Stop),
        of(desk::finding::Severity::Warn),
    ) {
        (0, 0) => "nothing stands in the way".to_owned(),
        (0, looks) => count(looks, "thing to look at", "things to look at"),
        (stops, 0) => format!("{stops} must be mended"),
        (stops, looks) => format!("{stops} must be mended, {looks} to look at"),
    }
}

/// A number with its noun.
pub(crate) fn count(number: usize, one: &str, many: &str) -> String {
    format!("{number} {}", if number == 1 { one } else { many })
}

/// Ends the work when its thread unwinds.
struct Unfinished<'a>(&'a State);

impl Drop for Unfinished<'_> {
    fn drop(&mut self) {
        if std::thread::panicking() {
            let problem = Problem::own_fault();
            let work = self.0.work();
            work.end(Phase::Failed, problem.title.clone());
            self.0.outcome().failed = Some((work.now().kind, problem));
        }
    }
}
