use desk::colour::PressCondition;
use desk::{Desk, DeskError};
use serde_json::json;

use super::edit;
use crate::arguments::ColourChange;
use crate::outcome::{Outcome, table};

/// The press condition of this book, and those that are built in.
pub fn show(desk: &Desk) -> Result<Outcome, DeskError> {
    let snapshot = desk.snapshot()?;
    let wishes = &snapshot.book.press;
    let known: Vec<PressCondition> = PressCondition::built_in_names()
        .iter()
        .filter_map(|name| PressCondition::built_in(name))
        .collect();
    let mut rows: Vec<Vec<String>> = known
        .iter()
        .map(|condition| {
            vec![
                mark(condition.name == wishes.condition),
                condition.name.clone(),
                format!("{:.0} %", condition.ink_limit.percent()),
                condition.info.clone(),
            ]
        })
        .collect();
    if !known
        .iter()
        .any(|condition| condition.name == wishes.condition)
    {
        rows.push(vec![
            mark(true),
            wishes.condition.clone(),
            "–".to_owned(),
            "a profile in the book folder".to_owned(),
        ]);
    }
    let limit = wishes.ink_limit.map_or_else(
        || "that of the condition".to_owned(),
        |limit| format!("{limit:.0} %"),
    );
    let text = format!(
        "{}\n\nRendering {}, ink limit {limit}, pictures at {}, {}.",
        table(&["", "condition", "ink limit", "what it is"], &rows),
        wishes.rendering.word(),
        wishes.resolution,
        wishes.pictures.word(),
    );
    let json = json!({
        "condition": wishes.condition,
        "rendering": wishes.rendering.word(),
        "ink_limit_percent": wishes.ink_limit,
        "resolution_ppi": wishes.resolution.ppi(),
        "pictures": wishes.pictures.word(),
        "built_in": known
            .iter()
            .map(|condition| {
                json!({
                    "name": condition.name,
                    "identifier": condition.identifier,
                    "info": condition.info,
                    "ink_limit_percent": condition.ink_limit.percent(),
                })
            })
            .collect::<Vec<_>>(),
    });
    Ok(Outcome::new(text, json)
        .advising("Choose another:  foredge colour use NAME, or the file of a CMYK output profile"))
}

/// Chooses a condition.
pub fn change(desk: &Desk, change: &ColourChange) -> Result<Outcome, DeskError> {
    match change {
        ColourChange::Use { condition } => desk
            .use_condition(condition)
            .map(|edited| edit::done(&edited)),
    }
}

fn mark(this: bool) -> String {
    if this { "→" } else { "" }.to_owned()
}
