use desk::book::object::FlatKind;
use desk::finish::{Fault, FaultKind};
use desk::measure::{Length, Rect};
use desk::{Desk, DeskError, FinishingView, PressFile};
use serde_json::{Value, json};

use super::edit;
use crate::outcome::{Outcome, columns, counted};

/// Places that are told one by one; the document has them all.
const TOLD: usize = 12;

/// Every finishing of the book, its plate held against its process.
pub fn show(desk: &Desk) -> Result<Outcome, DeskError> {
    let views = desk.finishings()?;
    if views.is_empty() {
        return Ok(Outcome::new(
            "This book has no finishings.",
            json!({ "finishings": [] }),
        )
        .advising(
            "Foil, varnish and blind stamps stand under [[finishing]] in book.toml, each with a \
             name, a process and a mask.",
        ));
    }
    let blocks: Vec<String> = views.iter().map(block).collect();
    let findings: Vec<_> = views
        .iter()
        .flat_map(|view| view.findings.clone())
        .collect();
    let json = json!({ "finishings": views.iter().map(document).collect::<Vec<_>>() });
    Ok(Outcome::new(blocks.join("\n\n"), json).with_findings(&findings))
}

/// Makes the lines of one finishing wide enough for its process.
pub fn thicken(desk: &Desk, name: &str) -> Result<Outcome, DeskError> {
    let found = desk.thicken(name)?;
    let mut outcome = edit::done(&found.edited);
    for sentence in &found.said {
        outcome.text.push('\n');
        outcome.text.push_str(sentence);
    }
    let places = |faults: &[Fault]| faults.iter().map(fault_document).collect::<Vec<_>>();
    outcome.json["thicken_mm"] = json!(found.by.mm());
    outcome.json["holds"] = json!(found.holds);
    outcome.json["closes"] = json!(places(&found.closes));
    outcome.json["left"] = json!(places(&found.left));
    outcome.json["said"] = json!(found.said);
    outcome.stop = !found.left.is_empty();
    Ok(outcome)
}

fn block(view: &FinishingView) -> String {
    let sheet = view.sheet.map_or_else(|| view.on.word(), name);
    let mut lines = vec![format!(
        "{}: {}, {}, on the {} ({})",
        view.name,
        view.process.word(),
        view.colour.word(),
        sheet,
        view.panel
    )];
    if let Some(trouble) = &view.trouble {
        lines.push(format!("  {trouble}"));
        return lines.join("\n");
    }
    if !view.made {
        lines.push("  There is no plate.".to_owned());
        return lines.join("\n");
    }
    if let Some(extent) = view.extent {
        lines.push(format!(
            "  plate {}, {:.1} % of its face, seen to {:.2} mm",
            place(extent),
            view.share * 100.0,
            view.pixel.mm()
        ));
    }
    if view.thicken > Length::ZERO {
        lines.push(format!("  its lines are {} wider than drawn", view.thicken));
    }
    let held = format!(
        "lines from {} and gaps from {}",
        view.bounds.line, view.bounds.gap
    );
    lines.push(match view.fault_count {
        0 if view.coarse => {
            format!("  whether it holds {held} cannot be told from so coarse a mask")
        }
        0 => format!("  holds: no place is finer than {held}"),
        count => format!("  {} finer than {held}:", counted(count, "place")),
    });
    let rows: Vec<Vec<String>> = view.faults.iter().take(TOLD).map(row).collect();
    if !rows.is_empty() {
        lines.push(columns(&rows));
    }
    if view.fault_count > TOLD {
        lines.push(format!("    and {} more", view.fault_count - TOLD));
    }
    lines.join("\n")
}

fn row(fault: &Fault) -> Vec<String> {
    vec![
        format!("    {}", word(fault.kind)),
        format!("{:.2} mm wide", fault.width.mm()),
        format!(
            "{:.1} mm from the left, {:.1} mm from the head of the sheet",
            fault.place.x.mm(),
            fault.place.y.mm()
        ),
    ]
}

/// The sheet, by the name of its press file.
fn name(sheet: FlatKind) -> &'static str {
    PressFile::of(sheet).word()
}

const fn word(kind: FaultKind) -> &'static str {
    match kind {
        FaultKind::Line => "line",
        FaultKind::Gap => "gap",
    }
}

fn place(rect: Rect) -> String {
    format!(
        "{:.1} × {:.1} mm, {:.1} mm from the left and {:.1} mm from the head of the sheet",
        rect.width.mm(),
        rect.height.mm(),
        rect.x.mm(),
        rect.y.mm()
    )
}

fn document(view: &FinishingView) -> Value {
    json!({
        "name": view.name,
        "process": view.process.word(),
        "colour": view.colour.word(),
        "on": view.on.word(),
        "sheet": view.sheet.map(name),
        "panel": view.panel,
        "made": view.made,
        "trouble": view.trouble,
        "face": view.face.map(rect_document),
        "extent": view.extent.map(rect_document),
        "share": view.share,
        "pixel_mm": view.pixel.mm(),
        "thicken_mm": view.thicken.mm(),
        "least_line_mm": view.bounds.line.mm(),
        "least_gap_mm": view.bounds.gap.mm(),
        "too_fine": view.fault_count,
        "places": view
            .faults
            .iter()
            .map(fault_document)
            .collect::<Vec<_>>(),
    })
}

fn fault_document(fault: &Fault) -> Value {
    let mut one = rect_document(fault.place);
    one["what"] = json!(word(fault.kind));
    one["least_mm"] = json!(fault.width.mm());
    one
}

fn rect_document(rect: Rect) -> Value {
    json!({
        "x_mm": rect.x.mm(),
        "y_mm": rect.y.mm(),
        "width_mm": rect.width.mm(),
        "height_mm": rect.height.mm(),
    })
}
