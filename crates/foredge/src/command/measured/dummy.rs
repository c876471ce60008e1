use desk::book::measured::dummy::{Compared, DummyRead};
use desk::{Desk, DeskError, DummyView};
use serde_json::{Value, json};

use super::{list, moment, tools, unsure};
use crate::arguments::Dummy;
use crate::command::edit::done;
use crate::outcome::{Outcome, counted, table};

/// A dummy: measured, listed, or accepted.
pub fn dummy(desk: &Desk, arguments: &Dummy) -> Result<Outcome, DeskError> {
    if let Some(number) = arguments.accept {
        let before = desk.snapshot()?;
        let edited = desk.accept_dummy(number)?;
        let after = desk.snapshot()?;
        let mut outcome = done(&edited);
        outcome.text.push_str(&format!(
            "\nThe spine is {:.2} mm now (it was {:.2}), the block {:.2} mm (it was {:.2}), and a \
             copy weighs {:.0} g (it was {:.0}).",
            after.object.spine_mm(),
            before.object.spine_mm(),
            after.object.block_mm(),
            before.object.block_mm(),
            after.object.copy_g(),
            before.object.copy_g(),
        ));
        return Ok(outcome);
    }
    let mut fields: Vec<(&str, &str)> = Vec::new();
    for (name, value) in [
        ("pages", &arguments.pages),
        ("block", &arguments.block),
        ("spine", &arguments.spine),
        ("mass", &arguments.mass),
        ("board", &arguments.board),
        ("cover", &arguments.cover),
        ("endpaper", &arguments.endpaper),
    ] {
        if let Some(value) = value.as_deref() {
            fields.push((name, value));
        }
    }
    for (name, value) in tools(&arguments.tools) {
        fields.push((name, value));
    }
    if fields.is_empty() {
        return list(&desk.dummies()?, "dummy", dummy_words, dummy_document);
    }
    let view = desk.read_dummy(&fields)?;
    let mut outcome = Outcome::new(dummy_words(&view), dummy_document(&view));
    if let Ok(read) = &view.read {
        outcome = outcome.with_findings(&read.findings);
        if !read.lessons.is_empty() {
            outcome = outcome.advising(format!(
                "Take this into the book with: foredge object dummy --accept {}",
                view.number
            ));
        }
    }
    Ok(outcome)
}

fn dummy_words(view: &DummyView) -> String {
    let head = format!(
        "Dummy {} of {}, measured {}{}",
        view.number,
        counted(view.measured.pages.unwrap_or(0) as usize, "page"),
        moment(&view.at),
        match &view.accepted {
            Some(at) => format!(", taken into the book {}", moment(at)),
            None => String::new(),
        }
    );
    let rows: Vec<Vec<String>> = view.then.iter().map(compared_row).collect();
    let mut blocks = vec![format!(
        "{head}\n{}",
        table(
            &["", "foretold", "measured", "", "with what it teaches"],
            &rows
        )
    )];
    match &view.read {
        Err(why) => blocks.push(format!("It does not fit the book as it is now: {why}.")),
        Ok(read) => blocks.extend(lessons(read)),
    }
    blocks.join("\n\n")
}

fn lessons(read: &DummyRead) -> Vec<String> {
    let mut blocks = Vec::new();
    if read.lessons.is_empty() {
        blocks.push("Nothing in it is sure enough to be taken into the book.".to_owned());
    } else {
        let lines: Vec<String> = read
            .lessons
            .iter()
            .map(|lesson| {
                let after = if lesson.value.is_empty() {
                    "taken out"
                } else {
                    &lesson.value
                };
                format!(
                    "- {}: {} → {after}  ({})\n  {}",
                    lesson.what, lesson.before, lesson.key, lesson.how
                )
            })
            .collect();
        blocks.push(format!("It teaches:\n{}", lines.join("\n")));
    }
    if !read.kept.is_empty() {
        let lines: Vec<String> = read.kept.iter().map(|kept| format!("- {kept}")).collect();
        blocks.push(lines.join("\n"));
    }
    blocks
}

fn compared_row(one: &Compared) -> Vec<String> {
    let unit = one.unit;
    vec![
        one.what.to_owned(),
        format!("{} {}", unit.shown(one.predicted), unit.word()),
        format!(
            "{} ± {} {}",
            unit.shown(one.measured.value),
            unit.shown(one.measured.likely),
            unit.word()
        ),
        if one.fits() { "fits" } else { "differs" }.to_owned(),
        format!("{} {}", unit.shown(one.after), unit.word()),
    ]
}

fn dummy_document(view: &DummyView) -> Value {
    let compared = |all: &[Compared]| -> Value {
        all.iter()
            .map(|one| {
                json!({
                    "what": one.what,
                    "unit": one.unit.word(),
                    "predicted": one.predicted,
                    "measured": unsure(one.measured),
                    "after": one.after,
                    "fits": one.fits(),
                })
            })
            .collect()
    };
    let mut document = json!({
        "number": view.number,
        "at": view.at,
        "pages": view.measured.pages,
        "accepted": view.accepted,
        "then": compared(&view.then),
    });
    match &view.read {
        Err(why) => document["problem"] = json!(why),
        Ok(read) => {
            document["now"] = compared(&read.compared);
            document["lessons"] = read
                .lessons
                .iter()
                .map(|lesson| {
                    json!({
                        "key": lesson.key,
                        "what": lesson.what,
                        "before": lesson.before,
                        "value": lesson.value,
                        "how": lesson.how,
                    })
                })
                .collect();
            document["kept"] = json!(read.kept);
        }
    }
    document
}
