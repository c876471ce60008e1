//! Changes of the book: one form, one call of the desk, one sentence back.

use std::collections::HashMap;

use axum::Form;
use axum::Json;
use axum::extract::State as Shared;
use axum::extract::rejection::FormRejection;
use axum::http::header::ACCEPT;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Redirect, Response};
use desk::book::plan::ReaderPage;
use desk::colour::Compensation;
use desk::{Edit, Edited, SheetName, Snapshot};
use serde::{Deserialize, Serialize};

use crate::address;
use crate::problem::Problem;
use crate::state::Notice;
use crate::{State, dates, figures, proofing};

/// A wish, as its form sends it. `wish` says which of the other fields count.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Wish {
    wish: String,
    entry: String,
    to: Option<usize>,
    at: Option<usize>,
    treatment: String,
    piece: String,
    key: String,
    value: String,
    process: String,
    colour: String,
    on: String,
    panel: String,
    /// The room that the form stands in.
    room: String,
}

/// What was done, in words.
#[derive(Debug, Serialize)]
pub(crate) struct Answer {
    /// What was done and what it did to the book as an object.
    said: String,
    /// What it made stale.
    stale: Vec<String>,
}

impl Answer {
    /// Words alone.
    pub fn said(said: String) -> Self {
        Self {
            said,
            stale: Vec::new(),
        }
    }

    /// The same with more words.
    pub fn adding(mut self, words: &str) -> Self {
        if !words.is_empty() {
            self.said = format!("{} {words}", self.said);
        }
        self
    }

    /// A change that the book as an object does not feel.
    pub fn of(edited: Edited) -> Self {
        Self {
            said: proofing::stopped(&edited.what),
            stale: edited.stale,
        }
    }
}

/// `POST /edit`.
pub(crate) async fn edit(
    Shared(state): Shared<State>,
    headers: HeaderMap,
    form: Result<Form<Wish>, FormRejection>,
) -> Response {
    let wish = match form {
        Ok(Form(wish)) => wish,
        Err(rejection) => return refuse(&state, &headers, "/", rejection.into()),
    };
    let back = back(&wish);
    if wish.wish == "thicken" {
        let name = wish.key;
        let answer = state.call(move |state| thicken(state, &name)).await;
        return finish(&state, &headers, &back, answer.map(Some), "");
    }
    let room = wish.room.clone();
    let answer = match understand(wish) {
        Ok(edit) => {
            let deed = move |state: &State| {
                dates::felt(state, &room, || {
                    change(state, |desk| desk.edit(&edit).map(Some))
                })
            };
            state.call(deed).await
        }
        Err(problem) => Err(problem),
    };
    finish(&state, &headers, &back, answer, "")
}

/// `POST /undo`.
pub(crate) async fn undo(
    Shared(state): Shared<State>,
    headers: HeaderMap,
    form: Result<Form<Wish>, FormRejection>,
) -> Response {
    let wish = form.map_or_else(|_| Wish::default(), |Form(wish)| wish);
    let back = back(&wish);
    let answer = state
        .call(move |state| dates::felt(state, &wish.room, || change(state, desk::Desk::undo)))
        .await;
    finish(&state, &headers, &back, answer, "There is nothing to undo.")
}

/// `POST /redo`.
pub(crate) async fn redo(
    Shared(state): Shared<State>,
    headers: HeaderMap,
    form: Result<Form<Wish>, FormRejection>,
) -> Response {
    let wish = form.map_or_else(|_| Wish::default(), |Form(wish)| wish);
    let back = back(&wish);
    let answer = state
        .call(move |state| dates::felt(state, &wish.room, || change(state, desk::Desk::redo)))
        .await;
    finish(&state, &headers, &back, answer, "There is nothing to redo.")
}

/// Figures that are taken, for the book or for one piece.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Taken {
    /// The built-in recipe that they start from; nothing for a piece that follows the book.
    recipe: String,
    piece: Option<String>,
    page: String,
    #[serde(flatten)]
    figures: HashMap<String, String>,
}

/// `POST /recipe`.
pub(crate) async fn recipe(
    Shared(state): Shared<State>,
    headers: HeaderMap,
    form: Result<Form<Taken>, FormRejection>,
) -> Response {
    let taken = match form {
        Ok(Form(taken)) => taken,
        Err(rejection) => return refuse(&state, &headers, "/paper", rejection.into()),
    };
    let sheet = SheetName::of(&taken.page).unwrap_or(SheetName::Page(ReaderPage(1)));
    let back = address::card(sheet, taken.piece.as_deref());
    let answer = state
        .call(move |state| {
            let wanted = figures::of_form(&taken.figures)?;
            let base = match taken.recipe.as_str() {
                "" if taken.piece.is_some() => state.desk().compensation(None)?,
                name => Compensation::built_in(name)
                    .ok_or_else(|| Problem::unreadable("No recipe has this name."))?,
            };
            let edit = figures::take(taken.piece.as_deref(), &taken.recipe, &base, &wanted);
            take(state, |desk| desk.edit(&edit))
        })
        .await;
    finish(&state, &headers, &back, answer, "")
}

/// A reading that is taken into the book.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Accepted {
    id: u32,
}

/// `POST /proofs/accept`: the book's inks are corrected by what a proof has taught.
pub(crate) async fn accept(
    Shared(state): Shared<State>,
    headers: HeaderMap,
    form: Result<Form<Accepted>, FormRejection>,
) -> Response {
    let answer = match form {
        Ok(Form(Accepted { id })) => {
            state
                .call(move |state| take(state, |desk| desk.accept_proof(id)))
                .await
        }
        Err(rejection) => Err(rejection.into()),
    };
    finish(&state, &headers, "/proofs", answer, "")
}

/// `POST /proofs/forget`: takes what was learned out of the book.
pub(crate) async fn forget(Shared(state): Shared<State>, headers: HeaderMap) -> Response {
    let answer = state
        .call(move |state| take(state, desk::Desk::forget_proof))
        .await;
    finish(&state, &headers, "/proofs", answer, "")
}

/// Whether the asker is a script of the page.
pub(crate) fn wants_json(headers: &HeaderMap) -> bool {
    let accept = headers.get(ACCEPT).and_then(|value| value.to_str().ok());
    accept.is_some_and(|kinds| kinds.contains("application/json"))
}

fn understand(wish: Wish) -> Result<Edit, Problem> {
    let lacking = || Problem::unreadable("The form does not say where.");
    Ok(match wish.wish.as_str() {
        "move" => Edit::Move {
            entry: wish.entry,
            to: wish.to.ok_or_else(lacking)?,
        },
        "remove" => Edit::Remove { entry: wish.entry },
        "treat" => Edit::Treat {
            entry: wish.entry,
            treatment: wish.treatment,
        },
        "insert" => Edit::Insert {
            piece: (!wish.piece.is_empty()).then_some(wish.piece),
            at: wish.at.ok_or_else(lacking)?,
        },
        "set" => Edit::Set {
            key: wish.key,
            value: wish.value,
        },
        "drawn from" => {
            let key = |key: &str| format!("finishing.{}.{key}", wish.key);
            let [mask, words] = source(&wish.value);
            Edit::SetAll {
                what: match wish.value.as_str() {
                    "" => format!("Drew `{}` from the title's words", wish.key),
                    mask => format!("Drew `{}` from `{mask}`", wish.key),
                },
                values: vec![(key("mask"), mask), (key("words"), words)],
            }
        }
        "finish" => finishing(&wish)?,
        _ => return Err(Problem::unreadable("The form does not say what to do.")),
    })
}

/// Makes the lines of a finishing wide enough.
fn thicken(state: &State, name: &str) -> Result<Answer, Problem> {
    let found = state.desk().thicken(name)?;
    let what = found.edited.what.trim_end_matches('.');
    Ok(Answer {
        said: format!("{what}. {}", found.said.join(" ")),
        stale: found.edited.stale,
    })
}

/// What a plate is drawn from: its mask, or the title's words where there is none.
fn source(mask: &str) -> [String; 2] {
    if mask.trim().is_empty() {
        [String::new(), "title".to_owned()]
    } else {
        [mask.trim().to_owned(), String::new()]
    }
}

/// Adds a finishing.
fn finishing(wish: &Wish) -> Result<Edit, Problem> {
    let name = wish.key.trim();
    if name.is_empty() {
        return Err(Problem::plain(
            StatusCode::UNPROCESSABLE_ENTITY,
            "The finishing has no name",
            "A finishing needs a name: its plate is called by it.",
            "Call it what it is, such as `title foil`.",
        ));
    }
    let [mask, words] = source(&wish.value);
    let values = [
        ("process", wish.process.clone()),
        ("on", wish.on.clone()),
        ("panel", wish.panel.clone()),
        ("colour", wish.colour.clone()),
        ("mask", mask),
        ("words", words),
    ];
    Ok(Edit::SetAll {
        values: values
            .into_iter()
            .filter(|(_, value)| !value.is_empty())
            .map(|(key, value)| (format!("finishing.{name}.{key}"), value))
            .collect(),
        what: format!("Added the finishing `{name}`"),
    })
}

/// The way back: a room of ours, never an address from the request.
fn back(wish: &Wish) -> String {
    match wish.room.as_str() {
        "order" if wish.wish != "remove" && !wish.entry.is_empty() => address::entry(&wish.entry),
        name => room(name),
    }
}

/// The address of a room of ours by its name; that of *Where it stands* for any other.
pub(crate) fn room(name: &str) -> String {
    match name {
        "art" | "order" | "object" | "paper" | "quantity" | "prices" | "dates" | "proofs" => {
            format!("/{name}")
        }
        "cover" => "/object/cover".to_owned(),
        "measured" => "/object/measured".to_owned(),
        _ => "/".to_owned(),
    }
}

pub(crate) fn change<F>(state: &State, call: F) -> Result<Option<Answer>, Problem>
where
    F: FnOnce(&desk::Desk) -> Result<Option<Edited>, desk::DeskError>,
{
    // A book file that was broken by hand has no figures to compare with.
    let before = state.desk().snapshot().ok();
    let Some(edited) = call(state.desk())? else {
        return Ok(None);
    };
    let after = state.desk().snapshot()?;
    let effect = before.map_or_else(String::new, |before| effect(&before, &after));
    Ok(Some(Answer {
        said: format!("{}; {effect}.", edited.what.trim_end_matches('.')),
        stale: edited.stale,
    }))
}

/// A change of colours, which the book as an object does not feel.
fn take<F>(state: &State, call: F) -> Result<Option<Answer>, Problem>
where
    F: FnOnce(&desk::Desk) -> Result<Edited, desk::DeskError>,
{
    let edited = call(state.desk())?;
    Ok(Some(Answer::of(edited)))
}

/// What the change did to the book as an object: all figures are the desk's own.
pub(crate) fn effect(before: &Snapshot, after: &Snapshot) -> String {
    let mut parts = Vec::new();
    let (old, new) = (before.plan.pages.len(), after.plan.pages.len());
    if old != new {
        parts.push(format!("{old} pages became {new}"));
    }
    let (old, new) = (before.object.spine, after.object.spine);
    if old == new {
        parts.push("spine unchanged".to_owned());
    } else {
        parts.push(format!(
            "spine from {:.1} to {:.1} mm{}",
            old.mm(),
            new.mm(),
            on_sheets(before, after)
        ));
    }
    let (old, new) = (before.object.copy.grams(), after.object.copy.grams());
    if (old - new).abs() >= 0.5 {
        parts.push(format!("one copy from {old:.0} to {new:.0} g"));
    }
    parts.join(", ")
}

/// The sheets whose spine has moved: `, on the cover and the jacket too`.
fn on_sheets(before: &Snapshot, after: &Snapshot) -> String {
    let moved: Vec<String> = after
        .sheets
        .iter()
        .filter(|sheet| {
            let former = before.sheet(sheet.kind());
            former.is_some_and(|former| former.spine() != sheet.spine())
        })
        .map(|sheet| format!("the {}", sheet.flat.name()))
        .collect();
    match moved.as_slice() {
        [] => String::new(),
        [one] => format!(", on {one} too"),
        [first @ .., last] => format!(", on {} and {last} too", first.join(", ")),
    }
}

/// One form and one deed: a form that cannot be read is refused in its room; else what the deed says is said,
/// and the way goes back to where `back` says.
pub(crate) async fn answer<F: Send + 'static>(
    state: State,
    headers: HeaderMap,
    form: Result<Form<F>, FormRejection>,
    room: &str,
    back: impl FnOnce(&F) -> String,
    deed: impl FnOnce(&State, F) -> Result<Option<Answer>, Problem> + Send + 'static,
) -> Response {
    let form = match form {
        Ok(Form(form)) => form,
        Err(rejection) => return refuse(&state, &headers, room, rejection.into()),
    };
    let back = back(&form);
    let answer = state.call(move |state| deed(state, form)).await;
    finish(&state, &headers, &back, answer, "")
}

pub(crate) fn finish(
    state: &State,
    headers: &HeaderMap,
    back: &str,
    answer: Result<Option<Answer>, Problem>,
    nothing: &str,
) -> Response {
    let answer = match answer {
        Err(problem) => return refuse(state, headers, back, problem),
        Ok(answer) => answer.unwrap_or_else(|| Answer {
            said: nothing.to_owned(),
            stale: vec![],
        }),
    };
    state.leave_notice(Notice {
        said: answer.said.clone(),
        more: answer.stale.clone(),
        refused: false,
        shown: None,
    });
    if wants_json(headers) {
        Json(answer).into_response()
    } else {
        Redirect::to(back).into_response()
    }
}

pub(crate) fn refuse(state: &State, headers: &HeaderMap, back: &str, problem: Problem) -> Response {
    state.leave_notice(Notice {
        said: problem.said.clone(),
        more: vec![problem.hint.clone()],
        refused: true,
        shown: None,
    });
    if wants_json(headers) {
        problem.json()
    } else {
        Redirect::to(back).into_response()
    }
}
