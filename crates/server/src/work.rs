//! Long work: one thing at a time, watched by server-sent events, stopped by a wish.
//!
//! `GET /work/events` sends the state now and then each change, as one JSON object an event:
//! `kind` (`press`, `judge`, `check`, `losses`, `proof`, `practise`, `read` or `none`), `state` (`idle`, `running`, `done`, `stopped`,
//! `failed`), `phase` and `what` in words, `done` of `total` steps, and `said`, the outcome in a
//! sentence once there is one. The reader closes the stream when `state` is no longer `running`.

use std::collections::HashMap;
use std::convert::Infallible;
use std::path::Path as FilePath;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use axum::extract::rejection::FormRejection;
use axum::extract::{Path, State as Shared};
use axum::http::{HeaderMap, StatusCode};
use axum::response::sse::{Event, KeepAlive, Sse};
use axum::response::{IntoResponse, Redirect, Response};
use axum::{Form, Json};
use desk::book::plan::ReaderPage;
use desk::finding::Finding;
use desk::{DeskError, PressFile, PressReport, ProofFile, Watch};
use serde::Serialize;
use tokio::sync::watch;
use tokio_stream::wrappers::WatchStream;
use tokio_stream::{Stream, StreamExt};

use crate::act::{refuse, wants_json};
use crate::problem::Problem;
use crate::state::Notice;
use crate::upload::Measured;
use crate::{State, proofing};

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
    /// Saying what paper takes from each picture.
    Losses,
    /// Making proof pages.
    Proof,
    /// Letting a practice press print the strip, and reading it.
    Practise,
    /// Reading a measurement.
    Read,
}

impl Kind {
    const fn doing(self) -> &'static str {
        match self {
            Self::None => "at rest",
            Self::Press => "making press files",
            Self::Judge => "judging the art",
            Self::Check => "checking the press files",
            Self::Losses => "looking at what paper takes from each picture",
            Self::Proof => "making proof pages",
            Self::Practise => "printing on the practice press",
            Self::Read => "reading a measurement",
        }
    }

    const fn room(self) -> &'static str {
        match self {
            Self::Judge => "/art",
            Self::Losses => "/paper",
            Self::Proof | Self::Practise | Self::Read => "/proofs",
            Self::None | Self::Press | Self::Check => "/",
        }
    }
}

/// A wish for work, with what it needs.
pub(crate) enum Task {
    /// Making press files, and checking them.
    Press,
    /// Judging the art.
    Judge,
    /// Checking the press files that are there.
    Check,
    /// Saying what paper takes from each picture.
    Losses,
    /// Making proof pages of these pages.
    Proof(Vec<ReaderPage>),
    /// A practice press.
    Practise,
    /// Reading a measurement.
    Read(Measured),
}

impl Task {
    const fn kind(&self) -> Kind {
        match self {
            Self::Press => Kind::Press,
            Self::Judge => Kind::Judge,
            Self::Check => Kind::Check,
            Self::Losses => Kind::Losses,
            Self::Proof(_) => Kind::Proof,
            Self::Practise => Kind::Practise,
            Self::Read(_) => Kind::Read,
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
    /// The proof pages made last in this sitting.
    pub proof: Option<ProofFile>,
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
pub(crate) struct Part<'a> {
    work: &'a Work,
    name: &'a str,
}

impl<'a> Part<'a> {
    /// A part of the work in hand, as it is called while it lasts.
    pub fn of(state: &'a State, name: &'a str) -> Self {
        Self {
            work: state.work(),
            name,
        }
    }
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

/// For what is short enough to be done while a room waits.
pub(crate) struct Unwatched;

impl Watch for Unwatched {
    fn step(&self, _: usize, _: usize, _: &str) {}
}

/// `POST /work/{kind}`. Proof pages come as fields named `page-4`.
pub(crate) async fn command(
    Shared(state): Shared<State>,
    Path(kind): Path<String>,
    headers: HeaderMap,
    form: Result<Form<HashMap<String, String>>, FormRejection>,
) -> Response {
    let task = match kind.as_str() {
        "press" => Task::Press,
        "judge" => Task::Judge,
        "check" => Task::Check,
        "losses" => Task::Losses,
        "practise" => Task::Practise,
        "proof" => match form {
            Ok(Form(fields)) => Task::Proof(pages(&fields)),
            Err(rejection) => return refuse(&state, &headers, "/proofs", rejection.into()),
        },
        "stop" => {
            let kind = state.work().now().kind;
            state.work().stop();
            return begun(&headers, kind);
        }
        _ => return crate::problem::no_such_page().await.into_response(),
    };
    match begin(&state, task) {
        Ok(kind) => begun(&headers, kind),
        Err(problem) if wants_json(&headers) => problem.json(),
        Err(problem) => problem.into_response(),
    }
}

/// Begins a task unless something is in hand.
pub(crate) fn begin(state: &State, task: Task) -> Result<Kind, Problem> {
    let kind = task.kind();
    state.work().begin(kind)?;
    let state = state.clone();
    tokio::task::spawn_blocking(move || {
        // Should the desk break off by a bug of ours, the page must not wait for ever.
        let _guard = Unfinished(&state);
        carry_out(&state, task);
    });
    Ok(kind)
}

/// The pages that a form has ticked, in order.
fn pages(fields: &HashMap<String, String>) -> Vec<ReaderPage> {
    let ticked = fields.keys().filter_map(|name| name.strip_prefix("page-"));
    let mut pages: Vec<ReaderPage> = ticked
        .filter_map(|page| page.parse().ok().map(ReaderPage))
        .collect();
    pages.sort_unstable();
    pages
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

/// The answer to a wish for work.
pub(crate) fn begun(headers: &HeaderMap, kind: Kind) -> Response {
    if wants_json(headers) {
        (StatusCode::ACCEPTED, Json(Progress::default())).into_response()
    } else {
        Redirect::to(kind.room()).into_response()
    }
}

fn carry_out(state: &State, task: Task) {
    let kind = task.kind();
    let ended = match task {
        Task::Judge => judge(state),
        Task::Press => press(state),
        Task::Check => check(state),
        Task::Losses => losses(state),
        Task::Proof(pages) => proofing::make(state, &pages),
        Task::Practise => proofing::practise(state),
        Task::Read(measured) => proofing::read(state, &measured),
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
    let part = Part::of(state, "Judging the art");
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
    let part = Part::of(state, "Making press files");
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

fn losses(state: &State) -> Result<String, DeskError> {
    let part = Part::of(state, "Looking at what paper takes");
    let losses = state.desk().losses(&part)?;
    let pictures = count(losses.len(), "picture", "pictures");
    Ok(format!("Looked at what paper takes from {pictures}."))
}

fn check(state: &State) -> Result<String, DeskError> {
    let folder = state.desk().root().join("press");
    let mut checked = Vec::new();
    for file in PressFile::ALL {
        let path = folder.join(file.name());
        if !FilePath::is_file(&path) {
            continue;
        }
        let phase = format!("Checking the {}", file.title());
        let part = Part::of(state, &phase);
        checked.push((file.name(), state.desk().check(&path, &part)?.findings));
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
