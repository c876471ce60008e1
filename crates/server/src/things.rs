//! Things that the book file names, said and taken out by forms; and sections that stand once.

use std::collections::HashMap;

use axum::Form;
use axum::extract::State as Shared;
use axum::extract::rejection::FormRejection;
use axum::http::HeaderMap;
use axum::response::Response;
use serde::Deserialize;

use crate::act::{self, Answer};
use crate::problem::Problem;
use crate::{State, dates};

/// What stands before the key of a value in a form, so that no key is taken for one of ours.
pub(crate) const VALUE: &str = "say-";

/// Sections that a form may change; others have forms of their own.
const SECTIONS: [&str; 16] = [
    "edition", "audience", "channel", "offer", "dates", "closure", "step", "payment", "ask",
    "landing", "printer", "delivery", "rate", "import", "freight", "term",
];

/// A thing, as its form sends it.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Said {
    /// The section of the book file.
    section: String,
    /// The thing's name; empty for one that is new, and for a section that stands once.
    thing: String,
    /// `out` takes the thing out.
    deed: String,
    /// The room that the form stands in.
    room: String,
    /// Values by key, each key behind [`VALUE`].
    #[serde(flatten)]
    values: HashMap<String, String>,
}

/// `POST /thing`.
pub(crate) async fn say(
    Shared(state): Shared<State>,
    headers: HeaderMap,
    form: Result<Form<Said>, FormRejection>,
) -> Response {
    let back = |said: &Said| act::room(&said.room);
    act::answer(state, headers, form, "/", back, |state, said| {
        dates::felt(state, &said.room, || done(state, &said).map(Some))
    })
    .await
}

fn done(state: &State, said: &Said) -> Result<Answer, Problem> {
    let section = said.section.as_str();
    if !SECTIONS.contains(&section) {
        return Err(Problem::unreadable("There is no such section."));
    }
    let desk = state.desk();
    if said.deed == "out" {
        return Ok(Answer::of(desk.take_out(section, &said.thing)?));
    }
    let keys = desk.keys(section)?;
    // In the order of the book file, whatever the order of the form.
    let values: Vec<(&str, &str)> = keys
        .iter()
        .filter_map(|field| {
            let value = said.values.get(&format!("{VALUE}{}", field.key))?;
            Some((field.key, value.trim()))
        })
        .collect();
    let edited = if desk::book::edit::naming(section).is_empty() {
        desk.say(section, &values)
    } else if said.thing.is_empty() {
        desk.add(section, &values)
    } else {
        desk.say_of(section, &said.thing, &values)
    };
    Ok(Answer::of(edited?))
}
