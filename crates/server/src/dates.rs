//! What has happened to steps, handed in, and the calendar file.

use axum::Form;
use axum::extract::State as Shared;
use axum::extract::rejection::FormRejection;
use axum::http::HeaderMap;
use axum::http::header::{CACHE_CONTROL, CONTENT_DISPOSITION, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use desk::edition::dates::Happened;
use desk::measure::Currency;
use desk::{DatesView, Picture, day_in_words};
use jiff::civil::Date;
use serde::Deserialize;

use crate::State;
use crate::act::{self, Answer};
use crate::problem::Problem;
use crate::rooms::axis::about;
use crate::shell::Room;
use crate::state::Former;

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
    let back = |said: &Said| format!("{ROOM}#step-{}", said.step);
    act::answer(state, headers, form, ROOM, back, |state, said| {
        felt(state, Room::Dates.key(), || keep(state, &said).map(Some))
    })
    .await
}

/// Does something in this room, keeps what dates and purse were before it, so that the room can show what it
/// has moved, and says it.
pub(crate) fn felt<F>(state: &State, room: &str, deed: F) -> Result<Option<Answer>, Problem>
where
    F: FnOnce() -> Result<Option<Answer>, Problem>,
{
    if room != Room::Dates.key() {
        return deed();
    }
    let before = state.desk().cash().ok();
    let Some(answer) = deed()? else {
        return Ok(None);
    };
    let (Some(before), Ok(after)) = (before, state.desk().cash()) else {
        return Ok(Some(answer));
    };
    let words = moved(&before.now, &after.now, after.currency);
    state.keep_former(Former { was: before.now });
    Ok(Some(answer.adding(&words)))
}

/// What has moved of the middle day and of the lowest cash, in a sentence; nothing where nothing has.
pub(crate) fn moved(was: &Picture, now: &Picture, currency: Currency) -> String {
    let mut parts = Vec::new();
    let half = |picture: &Picture| picture.foretold.histories.ends.by(0.5);
    if half(was) != half(now) {
        parts.push(format!(
            "the middle day of the books in hand from {} to {}",
            day_in_words(half(was)),
            day_in_words(half(now))
        ));
    }
    let low = |picture: &Picture| {
        let (day, sum) = picture.purses[1].low?;
        Some(format!("{} on {}", about(sum, currency), day_in_words(day)))
    };
    if let (Some(then), Some(low)) = (low(was), low(now))
        && then != low
    {
        parts.push(format!("the lowest cash from {then} to {low}"));
    }
    if parts.is_empty() {
        return String::new();
    }
    format!("It moved {}.", parts.join(", and "))
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
