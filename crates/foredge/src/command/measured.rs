//! What is measured by hand: a book on the shelf, the dummy, the printer's template.

mod dummy;
mod shelf;
mod template;

pub use dummy::dummy;
pub use shelf::shelf;
pub use template::template;

use desk::DeskError;
use desk::book::measured::Unsure;
use serde_json::{Value, json};

use super::pair;
use crate::arguments::Tools;
use crate::outcome::Outcome;

fn tools(tools: &Tools) -> impl Iterator<Item = (&'static str, &str)> {
    [
        ("ruler", &tools.ruler),
        ("gauge", &tools.gauge),
        ("scale", &tools.scale),
    ]
    .into_iter()
    .filter_map(|(name, value)| Some((name, value.as_deref()?)))
}

fn list<T>(
    all: &[T],
    noun: &str,
    words: fn(&T) -> String,
    document: fn(&T) -> Value,
) -> Result<Outcome, DeskError> {
    let text: Vec<String> = if all.is_empty() {
        vec![format!("No {noun} was measured yet.")]
    } else {
        all.iter().map(words).collect()
    };
    let json: Vec<Value> = all.iter().map(document).collect();
    Ok(Outcome::new(text.join("\n\n"), json!({ "measured": json })))
}

fn moment(at: &str) -> String {
    at.get(..16).unwrap_or(at).replace('T', " ")
}

fn unsure(unsure: Unsure) -> Value {
    json!({
        "value": unsure.value,
        "likely_off": unsure.likely,
        "lowest": unsure.lowest,
        "highest": unsure.highest,
    })
}
