use desk::{Desk, DeskError};
use serde_json::json;

use crate::outcome::{Outcome, columns};

/// The object that the book becomes.
pub fn object(desk: &Desk) -> Result<Outcome, DeskError> {
    let snapshot = desk.snapshot()?;
    let object = &snapshot.object;
    let rows: Vec<Vec<String>> = object
        .steps
        .iter()
        .map(|step| {
            vec![
                step.what.clone(),
                step.formula.clone(),
                format!("= {}", step.result),
            ]
        })
        .collect();
    let mut text = columns(&rows);
    for assumed in &object.assumed {
        text.push_str(&format!("\n\n{assumed}"));
    }
    let json = json!({
        "pages": object.pages,
        "leaves": object.leaves,
        "caliper_mm": object.caliper.mm(),
        "block_mm": object.block_mm(),
        "spine_mm": object.spine_mm(),
        "copy_g": object.copy_g(),
        "parts": object
            .parts
            .iter()
            .map(|part| json!({ "name": part.name, "mass_g": part.mass.grams() }))
            .collect::<Vec<_>>(),
        "steps": object
            .steps
            .iter()
            .map(|step| {
                json!({ "what": step.what, "formula": step.formula, "result": step.result })
            })
            .collect::<Vec<_>>(),
        "assumed": object.assumed,
    });
    Ok(Outcome::new(text, json))
}
