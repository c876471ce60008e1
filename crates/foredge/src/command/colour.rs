use std::path::Path;

use desk::book::Book;
use desk::colour::{Compensation, PressCondition};
use desk::{Desk, DeskError, Edit, Loss, View};
use serde_json::{Value, json};

use super::edit;
use crate::arguments::ColourChange;
use crate::outcome::{Outcome, table};
use crate::progress::Terminal;

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
    let compensation = desk.compensation(None)?;
    let mut text = format!(
        "{}\n\nRendering {}, ink limit {limit}, pictures at {}, {}.",
        table(&["", "condition", "ink limit", "what it is"], &rows),
        wishes.rendering.word(),
        wishes.resolution,
        wishes.pictures.word(),
    );
    text.push_str(&format!("\n\n{}", for_paper(&snapshot.book, &compensation)));
    let exceptions = exceptions(desk, &snapshot.book)?;
    if !exceptions.is_empty() {
        let head = ["piece", "recipe", "inks", "sharpening"];
        text.push_str(&format!("\n\n{}", table(&head, &exceptions)));
    }
    let paper = &snapshot.book.paper;
    let json = json!({
        "condition": wishes.condition,
        "rendering": wishes.rendering.word(),
        "ink_limit_percent": wishes.ink_limit,
        "resolution_ppi": wishes.resolution.ppi(),
        "pictures": wishes.pictures.word(),
        "paper": {
            "recipe": paper.recipe.word(),
            "name": paper.name,
            "figures": figures_document(&compensation),
            "sharpening": paper.sharpening.word(),
            "ruling_lpi": paper.ruling,
            "learned_from": paper.learned.as_ref().map(|learned| &learned.from),
            "exceptions": exceptions
                .iter()
                .map(|row| {
                    json!({
                        "piece": row[0],
                        "recipe": row[1],
                        "inks": row[2],
                        "sharpening": row[3],
                    })
                })
                .collect::<Vec<_>>(),
        },
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
    Ok(Outcome::new(text, json).advising(
        "Another condition:  foredge colour use NAME, or the file of a CMYK output profile\n\
         Another recipe:     foredge colour recipe none, gentle, usual or strong\n\
         What will be lost:  foredge colour losses",
    ))
}

/// Changes how the book is printed, or shows what that does.
pub fn change(desk: &Desk, change: &ColourChange) -> Result<Outcome, DeskError> {
    match change {
        ColourChange::Use { condition } => desk
            .use_condition(condition)
            .map(|edited| edit::done(&edited)),
        ColourChange::Recipe { recipe, piece } => {
            let key = match piece {
                Some(piece) => format!("piece.{piece}.recipe"),
                None => "paper.recipe".to_owned(),
            };
            edit_value(desk, key, recipe)
        }
        ColourChange::Losses => losses(desk),
        ColourChange::Contact { file, view, width } => contact(desk, file, *view, *width),
    }
}

fn edit_value(desk: &Desk, key: String, value: &str) -> Result<Outcome, DeskError> {
    desk.edit(&Edit::Set {
        key,
        value: value.to_owned(),
    })
    .map(|edited| edit::done(&edited))
}

/// What paper will take from each picture.
fn losses(desk: &Desk) -> Result<Outcome, DeskError> {
    let losses = desk.losses(&Terminal::new())?;
    let rows: Vec<Vec<String>> = losses
        .iter()
        .map(|loss| {
            vec![
                loss.piece.clone(),
                pages_words(loss),
                if loss.separated_already {
                    "–".to_owned()
                } else {
                    format!("{:.1}", loss.mean_lost)
                },
                loss.sentence.clone(),
            ]
        })
        .collect();
    let json = losses
        .iter()
        .map(|loss| {
            // Of inks that came as they are nothing was measured.
            let measured = |figure: f64| (!loss.separated_already).then_some(figure);
            json!({
                "piece": loss.piece,
                "pages": loss.pages.iter().map(|page| page.0).collect::<Vec<_>>(),
                "sentence": loss.sentence,
                "separated_already": loss.separated_already,
                "mean_lost_de00": measured(loss.mean_lost),
                "out_of_reach": measured(loss.out_of_reach),
                "out_of_reach_by_de00": measured(loss.out_of_reach_by),
                "shadow_fills": measured(loss.shadow_fills),
                "highlight_fades": measured(loss.highlight_fades),
                "ink_most_percent": loss.ink_most,
            })
        })
        .collect::<Vec<_>>();
    let text = table(&["picture", "pages", "ΔE00", "what paper takes"], &rows);
    Ok(Outcome::new(text, json!({ "losses": json })))
}

fn pages_words(loss: &Loss) -> String {
    if loss.pages.is_empty() {
        return "–".to_owned();
    }
    let pages: Vec<String> = loss.pages.iter().map(|page| page.0.to_string()).collect();
    pages.join(", ")
}

/// Writes the contact sheet.
fn contact(desk: &Desk, file: &Path, view: View, width: u32) -> Result<Outcome, DeskError> {
    let sheet = desk.contact_sheet(view, width, &Terminal::new())?;
    desk::write_new(file, &sheet)?;
    let pages = desk.snapshot()?.plan.pages.len();
    let text = format!("{}: all {pages} pages, {}.", file.display(), view.word());
    Ok(Outcome::new(
        text,
        json!({
            "file": file.display().to_string(),
            "view": view.word(),
            "pages": pages,
            "size_bytes": sheet.len(),
        }),
    ))
}

/// What is done to the art for paper, in words.
fn for_paper(book: &Book, compensation: &Compensation) -> String {
    let paper = &book.paper;
    let name = if paper.name.is_empty() {
        String::new()
    } else {
        format!(" \"{}\"", paper.name)
    };
    let mut lines = vec![format!(
        "For paper: recipe {}{name}{}; sharpening {}.",
        paper.recipe.word(),
        figures(compensation),
        paper.sharpening.word(),
    )];
    if let Some(learned) = &paper.learned {
        lines.push(format!(
            "Corrected for how the press prints, as learned from {}.",
            learned.from
        ));
    }
    lines.join("\n")
}

/// `: contrast −8 %, lightening +3 L*`; nothing where nothing is done.
fn figures(compensation: &Compensation) -> String {
    let percent = |name: &str, value: f64| {
        (value != 0.0).then(|| format!("{name} {}{} %", sign(value), value.abs()))
    };
    let parts: Vec<String> = [
        percent("contrast", compensation.contrast),
        (compensation.lightening != 0.0).then(|| {
            format!(
                "lightening {}{} L*",
                sign(compensation.lightening),
                compensation.lightening.abs()
            )
        }),
        percent("saturation", compensation.saturation),
    ]
    .into_iter()
    .chain(
        Compensation::BANDS
            .iter()
            .zip(compensation.bands)
            .map(|(name, value)| percent(&format!("{name} further"), value)),
    )
    .chain([
        (compensation.black != 0.0).then(|| format!("black at L* {}", compensation.black)),
        (compensation.white != 100.0).then(|| format!("white at L* {}", compensation.white)),
    ])
    .flatten()
    .collect();
    if parts.is_empty() {
        String::new()
    } else {
        format!(": {}", parts.join(", "))
    }
}

const fn sign(value: f64) -> &'static str {
    if value < 0.0 { "−" } else { "+" }
}

fn figures_document(compensation: &Compensation) -> Value {
    let bands: serde_json::Map<String, Value> = Compensation::BANDS
        .iter()
        .zip(compensation.bands)
        .map(|(name, value)| ((*name).to_owned(), json!(value)))
        .collect();
    json!({
        "contrast_percent": compensation.contrast,
        "lightening_l": compensation.lightening,
        "saturation_percent": compensation.saturation,
        "bands_percent": bands,
        "black_l": compensation.black,
        "white_l": compensation.white,
    })
}

/// Pieces with wishes of their own: piece, recipe with its figures, inks, sharpening.
fn exceptions(desk: &Desk, book: &Book) -> Result<Vec<Vec<String>>, DeskError> {
    book.piece_wishes
        .iter()
        .map(|wish| {
            let compensation = desk.compensation(Some(&wish.piece))?;
            let recipe = wish.recipe.unwrap_or(book.paper.recipe);
            Ok(vec![
                wish.piece.clone(),
                format!("{}{}", recipe.word(), figures(&compensation)),
                wish.inks.word().to_owned(),
                wish.sharpening
                    .unwrap_or(book.paper.sharpening)
                    .word()
                    .to_owned(),
            ])
        })
        .collect()
}

fn mark(this: bool) -> String {
    if this { "→" } else { "" }.to_owned()
}
