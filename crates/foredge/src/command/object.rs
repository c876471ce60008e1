use std::path::Path;

use desk::book::drawing::Drawing;
use desk::book::object::{Allowance, Amount, Dimension, FlatSheet, Fold, Object, Part};
use desk::measure::{Length, Rect};
use desk::{Desk, DeskError};
use serde_json::{Value, json};

use crate::outcome::{Outcome, columns, counted};

/// The object that the book becomes.
pub fn object(desk: &Desk) -> Result<Outcome, DeskError> {
    let snapshot = desk.snapshot()?;
    let object = &snapshot.object;
    let mut blocks = vec![parts(object), mass(object)];
    blocks.push(flats(object));
    blocks.extend(object.assumed.iter().cloned());
    blocks.push(format!("To ask for:\n{}", asked(object)));
    let json = document(object);
    Ok(Outcome::new(blocks.join("\n\n"), json).with_findings(snapshot.found_around()))
}

/// Drawings of all sheets in one file: one long sheet as SVG, or page by page as PDF.
pub fn drawing(desk: &Desk, file: &Path) -> Result<Outcome, DeskError> {
    let snapshot = desk.snapshot()?;
    let (book, object, sheets) = (&snapshot.book, &snapshot.object, &snapshot.sheets);
    let ending = file.extension().map(|ending| ending.to_ascii_lowercase());
    let (bytes, pages) = match ending.as_ref().and_then(|ending| ending.to_str()) {
        Some("svg") => {
            let whole = Drawing::whole_of(book, object, sheets);
            (whole.svg().into_bytes(), vec![whole])
        }
        Some("pdf") => (desk.drawing()?, Drawing::pages_of(book, object, sheets)),
        _ => {
            return Err(DeskError::new(
                file.display().to_string(),
                "a drawing is written as SVG or as PDF",
                "Let the name end in .svg or .pdf.",
            ));
        }
    };
    desk::write_new(file, &bytes)?;
    let text = format!(
        "Wrote {}: {} and a section through the book, at true size{}.",
        file.display(),
        counted(object.flats.len(), "sheet"),
        if pages.len() > 1 {
            ", each on a page of its own"
        } else {
            ""
        }
    );
    let json = json!({
        "file": file.display().to_string(),
        "sheets": object.flats.iter().map(FlatSheet::name).collect::<Vec<_>>(),
        "pages": pages
            .iter()
            .map(|page| {
                json!({
                    "name": page.name,
                    "width_mm": page.size().width.mm(),
                    "height_mm": page.size().height.mm(),
                })
            })
            .collect::<Vec<_>>(),
    });
    Ok(Outcome::new(text, json))
}

/// Every part with its figures: what, how much, where it comes from, how it comes about.
fn parts(object: &Object) -> String {
    let mut rows = Vec::new();
    for part in &object.parts {
        if part.dimensions.is_empty() {
            continue;
        }
        rows.push(vec![part.name.clone()]);
        for one in &part.dimensions {
            rows.push(vec![
                format!("  {}", one.name),
                one.shown.clone(),
                one.basis.word().to_owned(),
                one.how.clone(),
            ]);
        }
    }
    columns(&rows)
}

fn mass(object: &Object) -> String {
    let step = object.steps.last();
    let formula = step.map_or_else(String::new, |step| step.formula.clone());
    format!("One copy {:.1} g = {formula}", object.copy_g())
}

/// Every sheet with its panels from left to right.
fn flats(object: &Object) -> String {
    let mut rows = Vec::new();
    for flat in &object.flats {
        let around = match flat.allowance {
            Allowance::Bleed(bleed) => format!("bleed {bleed}"),
            Allowance::TurnIn(by) => format!("turned in {by}"),
        };
        let times = if flat.count > 1 {
            format!("{} × ", flat.count)
        } else {
            String::new()
        };
        let mut faces: Vec<(Length, String)> = flat
            .panels
            .iter()
            .filter(|panel| !panel.name.contains("turn-in"))
            .map(|panel| {
                let text = format!("{} {}", panel.name, tenth(panel.rect.width));
                (panel.rect.x, text)
            })
            .collect();
        faces.sort();
        let faces: Vec<String> = faces.into_iter().map(|(_, text)| text).collect();
        rows.push(vec![
            format!("{times}{}", flat.name()),
            format!(
                "{} × {} mm cut",
                tenth(flat.trim.width),
                tenth(flat.trim.height)
            ),
            around,
            faces.join(" | "),
        ]);
    }
    format!("Sheets laid flat, printed side up:\n{}", columns(&rows))
}

fn asked(object: &Object) -> String {
    let lines: Vec<String> = object.asks.iter().map(|ask| format!("- {ask}")).collect();
    lines.join("\n")
}

fn document(object: &Object) -> Value {
    json!({
        "pages": object.pages,
        "leaves": object.leaves,
        "caliper_mm": object.caliper.mm(),
        "block_mm": object.block_mm(),
        "spine_mm": object.spine_mm(),
        "copy_g": object.copy_g(),
        "closed": {
            "width_mm": object.bound.closed.width.mm(),
            "height_mm": object.bound.closed.height.mm(),
            "thickness_mm": object.bound.closed.thickness.mm(),
        },
        "parts": object.parts.iter().map(part_document).collect::<Vec<_>>(),
        "sheets": object.flats.iter().map(flat_document).collect::<Vec<_>>(),
        "steps": object
            .steps
            .iter()
            .map(|step| {
                json!({ "what": step.what, "formula": step.formula, "result": step.result })
            })
            .collect::<Vec<_>>(),
        "assumed": object.assumed,
        "ask": object.asks,
    })
}

fn part_document(part: &Part) -> Value {
    json!({
        "name": part.name,
        "mass_g": part.mass.grams(),
        "figures": part.dimensions.iter().map(figure_document).collect::<Vec<_>>(),
    })
}

fn figure_document(one: &Dimension) -> Value {
    let mut document = json!({
        "name": one.name,
        "basis": one.basis.word(),
        "how": one.how,
        "key": one.key,
    });
    let values: &[(&str, Value)] = &match one.amount {
        Amount::Count(count) => vec![("count", json!(count))],
        Amount::Length(length) => vec![("value_mm", json!(length.mm()))],
        Amount::Size(size) => vec![
            ("width_mm", json!(size.width.mm())),
            ("height_mm", json!(size.height.mm())),
        ],
        Amount::Weight(weight) => vec![("grammage_g_per_m2", json!(weight.gsm()))],
        Amount::Mass(mass) => vec![("mass_g", json!(mass.grams()))],
        Amount::Density(density) => vec![("density_g_per_cm3", json!(density))],
        Amount::Switch(there) => vec![("there", json!(there))],
        Amount::Back(back) => vec![("shape", json!(back.word()))],
    };
    for (key, value) in values {
        document[*key] = value.clone();
    }
    document
}

fn flat_document(flat: &FlatSheet) -> Value {
    let (bleed, turn_in) = match flat.allowance {
        Allowance::Bleed(bleed) => (bleed, Length::ZERO),
        Allowance::TurnIn(by) => (Length::ZERO, by),
    };
    json!({
        "name": flat.name(),
        "count": flat.count,
        "width_mm": flat.trim.width.mm(),
        "height_mm": flat.trim.height.mm(),
        "bleed_mm": bleed.mm(),
        "turn_in_mm": turn_in.mm(),
        "panels": flat
            .panels
            .iter()
            .map(|panel| rect_document("name", panel.name, panel.rect))
            .collect::<Vec<_>>(),
        "folds": flat
            .folds
            .iter()
            .map(|fold| match fold {
                Fold::Upright(x) => json!({ "x_mm": x.mm() }),
                Fold::Level(y) => json!({ "y_mm": y.mm() }),
            })
            .collect::<Vec<_>>(),
        "no_go": flat
            .no_go
            .iter()
            .map(|no_go| rect_document("why", no_go.why, no_go.rect))
            .collect::<Vec<_>>(),
    })
}

fn rect_document(key: &str, words: &str, rect: Rect) -> Value {
    let mut document = json!({
        "x_mm": rect.x.mm(),
        "y_mm": rect.y.mm(),
        "width_mm": rect.width.mm(),
        "height_mm": rect.height.mm(),
    });
    document[key] = json!(words);
    document
}

/// Millimetres to the tenth, without an idle zero.
fn tenth(length: Length) -> String {
    let text = format!("{:.1}", length.mm());
    text.trim_end_matches(".0").to_owned()
}
