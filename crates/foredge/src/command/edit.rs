use desk::{Desk, DeskError, Edit, Edited};
use serde_json::json;

use super::pair;
use crate::arguments::Change;
use crate::outcome::Outcome;

/// Changes the running order.
pub fn pages(desk: &Desk, change: Change) -> Result<Outcome, DeskError> {
    let edit = match change {
        Change::Move { name, to } => Edit::Move {
            entry: name,
            to: index(to),
        },
        Change::Remove { name } => Edit::Remove { entry: name },
        Change::Treat { name, treatment } => Edit::Treat {
            entry: name,
            treatment,
        },
        Change::Insert { piece, at } => Edit::Insert {
            piece,
            at: index(at),
        },
    };
    desk.edit(&edit).map(|edited| done(&edited))
}

/// Sets one value.
pub fn set(desk: &Desk, key: String, value: String) -> Result<Outcome, DeskError> {
    desk.edit(&Edit::Set { key, value })
        .map(|edited| done(&edited))
}

/// Says something of a thing that has a name.
pub fn say(desk: &Desk, kind: &str, name: &str, said: &[String]) -> Result<Outcome, DeskError> {
    let keys = desk.keys(kind)?;
    let naming = desk::book::edit::naming(kind);
    let other = keys.iter().find(|field| !naming.contains(&field.key));
    let example = other.map_or_else(String::new, |field| {
        format!("{}=\"{}\"", field.key, field.example)
    });
    let values = said
        .iter()
        .map(|text| pair(text, kind, &example))
        .collect::<Result<Vec<_>, _>>()?;
    desk.say_of(kind, name, &values).map(|edited| done(&edited))
}

/// Takes a thing that has a name out.
pub fn unsay(desk: &Desk, kind: &str, name: &str) -> Result<Outcome, DeskError> {
    desk.take_out(kind, name).map(|edited| done(&edited))
}

/// Takes the last change back.
pub fn undo(desk: &Desk) -> Result<Outcome, DeskError> {
    Ok(match desk.undo()? {
        Some(edited) => done(&edited),
        None => nothing("There is nothing to take back."),
    })
}

/// Brings it again.
pub fn redo(desk: &Desk) -> Result<Outcome, DeskError> {
    Ok(match desk.redo()? {
        Some(edited) => done(&edited),
        None => nothing("There is nothing to bring again."),
    })
}

/// What a change did, in words and as a document.
pub fn done(edited: &Edited) -> Outcome {
    let mut text = format!("{}.", edited.what.trim_end_matches('.'));
    for stale in &edited.stale {
        text.push_str(&format!("\nNow stale: {stale}"));
    }
    Outcome::new(text, json!({ "done": edited.what, "stale": edited.stale }))
}

fn nothing(text: &str) -> Outcome {
    Outcome::new(text, json!({ "done": null, "stale": [] }))
}

/// Places are counted from 1, indices from 0.
fn index(place: u32) -> usize {
    place.saturating_sub(1) as usize
}
