//! What has happened to steps, handed in, and the calendar file.

use axum::Form;
use axum::extract::State as Shared;
use axum::extract::rejection::FormRejection;
use axum::http::HeaderMap;
use axum::http::header::{CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use desk::edition::dates::Happened;
use desk::{DatesView, day_in_words};
use jiff::civil::Date;
use serde::Deserialize;

use crate::State;
use crate::act::{self, Answer};
use crate::problem::Problem;

const ROOM: &str = "/dates";

/// What happened to a step.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Said {
    step: String,
    /// `begun`, `done`, or `open` to take back what was said.
    what: String,
    on: String,
}

/// `POST /dates/happened`.
pub(crate) async fn happened(
    Shared(state): Shared<State>,
    headers: HeaderMap,
    form: Result<Form<Said>, FormRejection>,
) -> Response {
    let said = match form {
        Ok(Form(said)) => said,
        Err(rejection) => return act::refuse(&state, &headers, ROOM, rejection.into()),
    };
    let back = format!("{ROOM}#step-{}", said.step);
    let answer = state.call(move |state| keep(state, &said).map(Some)).await;
    act::finish(&state, &headers, &back, answer, "")
}

fn keep(state: &State, said: &Said) -> Result<Answer, Problem> {
    let day = || -> Result<Date, Problem> {
        if said.on.is_empty() {
            return Ok(desk::today());
        }
        said.on
            .parse()
            .map_err(|_| Problem::unreadable("The day cannot be read."))
    };
    let happened = match said.what.as_str() {
        "begun" => Some(Happened::Begun(day()?)),
        "done" => Some(Happened::Done(day()?)),
        "open" => None,
        _ => return Err(Problem::unreadable("The form does not say what happened.")),
    };
    let told = state.desk().step_happened(&said.step, happened, "")?;
    let end = |view: &DatesView| view.foretold.histories.ends.by(0.8);
    let (before, after) = (told.before.as_ref().map(end), end(&told.after));
    let what = match happened {
        Some(Happened::Begun(day)) => format!("`{}` has begun on {}", said.step, day_in_words(day)),
        Some(Happened::Done(day)) => format!("`{}` was done on {}", said.step, day_in_words(day)),
        None => format!("Took back what was said of `{}`", said.step),
    };
    let after_words = day_in_words(after);
    Ok(Answer::said(match before {
        Some(before) if before == after => format!("{what}; books in hand as before."),
        Some(before) => format!(
            "{what}; books in hand (four of five) from {} to {after_words}.",
            day_in_words(before)
        ),
        None => format!("{what}; books in hand (four of five) by {after_words}."),
    }))
}

/// `GET /dates/calendar.ics`.
pub(crate) async fn calendar(Shared(state): Shared<State>) -> Result<Response, Problem> {
    let file = state
        .call(|state| Ok(state.desk().calendar_file()?))
        .await?;
    let headers = [
        (CONTENT_TYPE, "text/calendar; charset=utf-8"),
        (CONTENT_DISPOSITION, "attachment; filename=\"dates.ics\""),
        (CACHE_CONTROL, "no-store"),
    ];
    Ok((headers, file).into_response())
}
