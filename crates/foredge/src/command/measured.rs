use desk::book::measured::dummy::{Compared, DummyRead};
use desk::book::measured::shelf::Told;
use desk::book::measured::template::{Difference, Laid};
use desk::book::measured::{NearStock, Unsure};
use desk::book::object::FlatKind;
use desk::{Desk, DeskError, DummyView, ShelfView, TemplateView};
use serde_json::{Value, json};

use crate::arguments::{Dummy, Shelf, Template, Tools};
use crate::command::edit::done;
use crate::outcome::{Outcome, columns, counted, table};

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

/// A printer's template: its figures listed, laid over ours, or accepted.
pub fn template(desk: &Desk, arguments: &Template) -> Result<Outcome, DeskError> {
    if let Some(number) = arguments.accept {
        return desk.accept_template(number).map(|edited| done(&edited));
    }
    let Some(sheet) = &arguments.sheet else {
        return list(
            &desk.templates()?,
            "template",
            template_words,
            template_document,
        );
    };
    let kind = sheet_of(sheet)?;
    let mut figures = Vec::new();
    for one in &arguments.figures {
        figures.push(pair(one, sheet, "spine=14.5mm")?);
    }
    let view = match &arguments.file {
        Some(file) => desk.read_template_file(kind, file, arguments.page)?,
        None if figures.is_empty() => {
            let figures = desk.template_figures(kind)?;
            let rows: Vec<Vec<String>> = figures
                .iter()
                .map(|(name, length)| vec![(*name).to_owned(), length.to_string()])
                .collect();
            let text = format!(
                "Figures of the {} that a template may state, with ours:\n{}",
                kind.word(),
                columns(&rows)
            );
            let json: Value = figures
                .iter()
                .map(|(name, length)| json!({ "name": name, "ours_mm": length.mm() }))
                .collect();
            return Ok(Outcome::new(
                text,
                json!({ "sheet": kind.word(), "figures": json }),
            ));
        }
        None => desk.read_template(kind, &figures, None)?,
    };
    let mut outcome = Outcome::new(template_words(&view), template_document(&view));
    if let Ok(laid) = &view.laid {
        outcome = outcome.with_findings(&laid.findings);
        if laid.edit("it").is_some() {
            outcome = outcome.advising(format!(
                "Take over what the printer is to be believed with: foredge object template \
                 --accept {}",
                view.number
            ));
        }
    }
    Ok(outcome)
}

fn tools(tools: &Tools) -> impl Iterator<Item = (&'static str, &str)> {
    [
        ("ruler", &tools.ruler),
        ("gauge", &tools.gauge),
        ("scale", &tools.scale),
    ]
    .into_iter()
    .filter_map(|(name, value)| Some((name, value.as_deref()?)))
}

/// A name and a value with an equals sign between.
fn pair<'t>(text: &'t str, place: &str, example: &str) -> Result<(&'t str, &'t str), DeskError> {
    text.split_once('=')
        .map(|(name, value)| (name.trim(), value.trim()))
        .ok_or_else(|| {
            DeskError::new(
                place,
                format!("`{text}` has no `=` between a name and a figure"),
                format!("Write it as in `{example}`."),
            )
        })
}

/// A sheet by what people call it.
fn sheet_of(word: &str) -> Result<FlatKind, DeskError> {
    const SHEETS: [(&str, FlatKind); 8] = [
        ("cover", FlatKind::SoftCover),
        ("case", FlatKind::CaseWrap),
        ("jacket", FlatKind::Jacket),
        ("band", FlatKind::BellyBand),
        ("slipcase", FlatKind::SlipcaseWrap),
        ("slipcase ends", FlatKind::SlipcaseEnds),
        ("front endpaper", FlatKind::FrontEndpaper),
        ("back endpaper", FlatKind::BackEndpaper),
    ];
    let wanted = word.trim().to_lowercase().replace(['-', '_'], " ");
    SHEETS
        .iter()
        .find(|(short, kind)| *short == wanted || kind.word() == wanted)
        .map(|(_, kind)| *kind)
        .ok_or_else(|| {
            DeskError::new(
                word,
                "no sheet has this name",
                format!("There are {}.", SHEETS.map(|(short, _)| short).join(", ")),
            )
        })
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

fn unsure(unsure: Unsure) -> Value {
    json!({
        "value": unsure.value,
        "likely_off": unsure.likely,
        "lowest": unsure.lowest,
        "highest": unsure.highest,
    })
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
        blocks.push("It teaches nothing that the book does not say.".to_owned());
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

fn template_words(view: &TemplateView) -> String {
    let name = if view.name.is_empty() {
        "typed in".to_owned()
    } else {
        format!("from {}", view.name)
    };
    let head = format!(
        "Template {} for the {}, {name}, read {}{}",
        view.number,
        view.kind.word(),
        moment(&view.at),
        match &view.accepted {
            Some(at) => format!(", taken into the book {}", moment(at)),
            None => String::new(),
        }
    );
    let laid = match &view.laid {
        Ok(laid) => laid,
        Err(why) => return format!("{head}\nIt does not fit the book as it is now: {why}."),
    };
    let rows: Vec<Vec<String>> = laid.differences.iter().map(difference_row).collect();
    let mut blocks = vec![format!(
        "{head}\n{}",
        table(&["figure", "template", "ours", "by", "believe"], &rows)
    )];
    let why: Vec<String> = laid
        .differences
        .iter()
        .filter(|one| one.by().mm().abs() > 0.1)
        .map(why)
        .collect();
    if !why.is_empty() {
        blocks.push(why.join("\n"));
    }
    blocks.extend(lines_words(laid));
    if !laid.unseen.is_empty() {
        blocks.push(format!("Not on the template: {}.", laid.unseen.join(", ")));
    }
    blocks.join("\n\n")
}

fn difference_row(one: &Difference) -> Vec<String> {
    vec![
        one.what.to_owned(),
        format!("{:.2} mm", one.theirs.mm()),
        format!("{:.2} mm", one.ours.mm()),
        format!("{:+.2} mm", one.by().mm()),
        one.believe.word().to_owned(),
    ]
}

fn why(one: &Difference) -> String {
    let mut text = format!("- {}: {}", one.what, one.why);
    if let Some(doubt) = &one.doubt {
        text.push_str(&format!(" Doubtful: {doubt}."));
    }
    if let Some((key, value)) = one.sets() {
        text.push_str(&format!(" ({key} = {value})"));
    }
    text
}

fn lines_words(laid: &Laid) -> Option<String> {
    if laid.lines.is_empty() {
        return None;
    }
    let ours = laid.lines.iter().filter(|line| line.ours.is_some()).count();
    Some(format!(
        "{} were found, {ours} of them edges and folds of this sheet.",
        counted(laid.lines.len(), "straight line")
    ))
}

fn template_document(view: &TemplateView) -> Value {
    let mut document = json!({
        "number": view.number,
        "at": view.at,
        "file": view.name,
        "sheet": view.kind.word(),
        "accepted": view.accepted,
    });
    match &view.laid {
        Err(why) => document["problem"] = json!(why),
        Ok(laid) => {
            document["differences"] = laid
                .differences
                .iter()
                .map(|one| {
                    json!({
                        "figure": one.what,
                        "theirs_mm": one.theirs.mm(),
                        "ours_mm": one.ours.mm(),
                        "by_mm": one.by().mm(),
                        "basis": one.basis.word(),
                        "believe": one.believe.word(),
                        "why": one.why,
                        "doubt": one.doubt,
                        "sets": one.sets().map(|(key, value)| json!({ "key": key, "value": value })),
                    })
                })
                .collect();
            document["unseen"] = json!(laid.unseen);
            document["lines"] = laid
                .lines
                .iter()
                .map(|line| {
                    json!({
                        "upright": line.upright,
                        "at_mm": line.at.mm(),
                        "from_mm": line.from.mm(),
                        "to_mm": line.to.mm(),
                        "taken_for": line.taken_for,
                        "ours_mm": line.ours.map(|ours| ours.mm()),
                    })
                })
                .collect();
        }
    }
    document
}
