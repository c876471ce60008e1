use desk::book::measured::shelf::Told;
use desk::book::measured::{NearStock, Unsure};
use desk::{Desk, DeskError, ShelfView};
use serde_json::{Value, json};

use super::{list, moment, pair, tools, unsure};
use crate::arguments::Shelf;
use crate::command::edit::done;
use crate::outcome::{Outcome, columns, table};

/// A book on the shelf: measured, listed, or one of its papers taken.
pub fn shelf(desk: &Desk, arguments: &Shelf) -> Result<Outcome, DeskError> {
    if let Some(number) = arguments.take {
        let paper = arguments.paper.saturating_sub(1) as usize;
        return desk.take_shelf(number, paper).map(|edited| done(&edited));
    }
    let with = arguments.with.join(",");
    let mut fields: Vec<(&str, &str)> = Vec::new();
    let mut weighed = Vec::new();
    for part in &arguments.weighed {
        let (name, mass) = pair(part, "--weighed", "jacket=38 g")?;
        weighed.push((format!("weighed {name}"), mass));
    }
    for (name, value) in [
        ("name", &arguments.name),
        ("kind", &arguments.kind),
        ("width", &arguments.width),
        ("height", &arguments.height),
        ("block", &arguments.block),
        ("pages", &arguments.pages),
        ("mass", &arguments.mass),
        ("board", &arguments.board),
        ("finish", &arguments.finish),
    ] {
        if let Some(value) = value.as_deref() {
            fields.push((name, value));
        }
    }
    for (name, value) in tools(&arguments.tools) {
        fields.push((name, value));
    }
    for (name, mass) in &weighed {
        fields.push((name, mass));
    }
    if !with.is_empty() {
        fields.push(("with", &with));
    }
    if fields.is_empty() {
        return list(
            &desk.shelves()?,
            "book on the shelf",
            shelf_words,
            shelf_document,
        );
    }
    let view = desk.read_shelf(&fields)?;
    Ok(
        Outcome::new(shelf_words(&view), shelf_document(&view)).advising(format!(
            "Take the first of these papers with: foredge object shelf --take {}",
            view.number
        )),
    )
}

fn shelf_words(view: &ShelfView) -> String {
    let name = if view.name.is_empty() {
        String::new()
    } else {
        format!(" \"{}\"", view.name)
    };
    let head = format!("Shelf {}{name}, measured {}", view.number, moment(&view.at));
    let told = match &view.told {
        Ok(told) => told,
        Err(why) => return format!("{head}: {why}."),
    };
    let steps: Vec<Vec<String>> = told
        .steps
        .iter()
        .map(|step| {
            vec![
                format!("  {}", step.what),
                step.formula.clone(),
                step.result.clone(),
            ]
        })
        .collect();
    let mut blocks = vec![format!("{head}\n{}", columns(&steps))];
    let parts: Vec<Vec<String>> = told
        .parts
        .iter()
        .map(|part| {
            vec![
                format!("  {}", part.name),
                format!("{:.1} ± {:.1} g", part.mass.grams(), part.off.grams()),
                part.how.clone(),
            ]
        })
        .collect();
    if !parts.is_empty() {
        blocks.push(format!("What is not text:\n{}", columns(&parts)));
    }
    blocks.push(format!("It must be made of:\n{}", columns(&made_of(told))));
    let near: Vec<Vec<String>> = told
        .nearest
        .iter()
        .enumerate()
        .map(|(index, stock)| near_row(index, stock))
        .collect();
    blocks.push(format!(
        "The nearest papers (1 is as far off as measuring and the mill may be):\n{}",
        table(&["", "paper", "weight", "one leaf", "bulk", "away"], &near)
    ));
    if !told.advice.is_empty() {
        blocks.push(told.advice.clone());
    }
    blocks.join("\n\n")
}

fn made_of(told: &Told) -> Vec<Vec<String>> {
    let row = |what: &str, unsure: Unsure, decimals: usize, unit: &str| {
        vec![
            format!("  {what}"),
            format!(
                "{:.decimals$} ± {:.decimals$} {unit}",
                unsure.value, unsure.likely
            ),
            format!(
                "at the worst {:.decimals$} to {:.decimals$}",
                unsure.lowest, unsure.highest
            ),
        ]
    };
    vec![
        row("weight", told.grammage_gsm, 1, "g/m²"),
        row("one leaf", told.caliper_um, 1, "µm"),
        row("bulk", told.bulk_cm3_per_g, 3, "cm³/g"),
    ]
}

fn near_row(index: usize, stock: &NearStock) -> Vec<String> {
    vec![
        (index + 1).to_string(),
        stock.name.clone(),
        stock.grammage.to_string(),
        format!("{:.0} µm", stock.caliper.um()),
        format!("{:.2} cm³/g", stock.bulk_cm3_per_g()),
        format!(
            "{:.1}{}",
            stock.away,
            if stock.can_be() { ", can be it" } else { "" }
        ),
    ]
}

fn shelf_document(view: &ShelfView) -> Value {
    let mut document = json!({
        "number": view.number,
        "at": view.at,
        "name": view.name,
    });
    match &view.told {
        Err(why) => document["problem"] = json!(why),
        Ok(told) => {
            document["leaves"] = json!(told.leaves);
            document["caliper_um"] = unsure(told.caliper_um);
            document["grammage_g_per_m2"] = unsure(told.grammage_gsm);
            document["bulk_cm3_per_g"] = unsure(told.bulk_cm3_per_g);
            document["text_g"] = unsure(told.text_g);
            document["parts"] = told
                .parts
                .iter()
                .map(|part| {
                    json!({
                        "name": part.name,
                        "mass_g": part.mass.grams(),
                        "off_g": part.off.grams(),
                        "weighed": part.weighed,
                    })
                })
                .collect();
            document["nearest"] = told
                .nearest
                .iter()
                .map(|stock| {
                    json!({
                        "name": stock.name,
                        "finish": stock.finish.word(),
                        "grammage_g_per_m2": stock.grammage.gsm(),
                        "caliper_mm": stock.caliper.mm(),
                        "away": stock.away,
                        "can_be": stock.can_be(),
                    })
                })
                .collect();
            document["advice"] = json!(told.advice);
        }
    }
    document
}
