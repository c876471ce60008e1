use desk::book::measured::template::{Difference, Laid};
use desk::book::object::FlatKind;
use desk::figures::hundredth;
use desk::{Desk, DeskError, TemplateView};
use serde_json::{Value, json};

use super::{list, moment, pair};
use crate::arguments::Template;
use crate::command::edit::done;
use crate::outcome::{Outcome, columns, counted, table};

/// A printer's template: its figures listed, laid over ours, or accepted.
pub fn template(desk: &Desk, arguments: &Template) -> Result<Outcome, DeskError> {
    if let Some(number) = arguments.accept {
        let edited = match &arguments.figure {
            Some(what) => desk.accept_template_figure(number, what),
            None => desk.accept_template(number),
        };
        return edited.map(|edited| done(&edited));
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
                .map(|(name, length)| {
                    vec![(*name).to_owned(), format!("{} mm", hundredth(*length))]
                })
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

fn template_words(view: &TemplateView) -> String {
    let name = match &view.page {
        None => "typed in".to_owned(),
        Some(page) if page.of > 1 => {
            format!("from {}, page {} of {}", view.name, page.number, page.of)
        }
        Some(_) => format!("from {}", view.name),
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
    blocks.extend(other_pages(view));
    if !laid.unseen.is_empty() {
        blocks.push(format!("Not on the template: {}.", laid.unseen.join(", ")));
    }
    blocks.join("\n\n")
}

fn difference_row(one: &Difference) -> Vec<String> {
    vec![
        one.what.to_owned(),
        format!("{} mm", hundredth(one.theirs)),
        format!("{} mm", hundredth(one.ours)),
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

/// Says what the other pages could be, so that nobody takes the best one for the right one.
fn other_pages(view: &TemplateView) -> Option<String> {
    let page = view.page.as_ref().filter(|page| !page.others.is_empty())?;
    let pages: Vec<String> = page.others.iter().map(u32::to_string).collect();
    Some(format!(
        "Other pages that could be meant: {}. Read one of them with --page.",
        pages.join(", ")
    ))
}

fn template_document(view: &TemplateView) -> Value {
    let mut document = json!({
        "number": view.number,
        "at": view.at,
        "file": view.name,
        "page": view.page.as_ref().map(|page| page.number),
        "pages": view.page.as_ref().map(|page| page.of),
        "other_pages": view.page.as_ref().map(|page| page.others.clone()),
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
