//! The printers, and what is noted of each.

use desk::{Desk, DeskError, KeptFile, NoteKind, NoteView, PrinterView};
use serde_json::{Value, json};

use super::edit;
use crate::arguments::PrintersStep;
use crate::outcome::{Outcome, counted};

/// All printers.
pub fn show(desk: &Desk) -> Result<Outcome, DeskError> {
    let all = desk.printers()?;
    let json = json!({ "printers": all.iter().map(document).collect::<Vec<_>>() });
    if all.is_empty() {
        return Ok(Outcome::new("No printer is named yet.", json).advising(
            "Add one: foredge printers add KEY name=\"Its name\" country=XA place=\"Its town\"",
        ));
    }
    let blocks: Vec<String> = all.iter().map(words).collect();
    Ok(Outcome::new(blocks.join("\n\n"), json))
}

/// Something about the printers.
pub fn step(desk: &Desk, step: PrintersStep) -> Result<Outcome, DeskError> {
    match step {
        PrintersStep::Add { key, said } => edit::say(desk, "printer", &key, &said),
        PrintersStep::Remove { key } => edit::unsay(desk, "printer", &key),
        PrintersStep::Note {
            key,
            kind,
            text,
            on,
            file,
        } => {
            let note = match file {
                Some(file) => desk.note_printer_file(&key, kind, &text, on, &file)?,
                None => desk.note_printer(&key, kind, &text, on, None)?,
            };
            let text = format!("Noted of `{key}`:\n{}", note_words(&note));
            Ok(Outcome::new(text, note_document(&note)))
        }
        PrintersStep::Forget { note } => aside(desk, note, true),
        PrintersStep::Recall { note } => aside(desk, note, false),
    }
}

fn aside(desk: &Desk, note: u32, aside: bool) -> Result<Outcome, DeskError> {
    let note = desk.lay_note_aside(note, aside)?;
    let text = if aside {
        format!(
            "Laid note {} aside; `foredge printers recall {}` brings it back.",
            note.number, note.number
        )
    } else {
        format!("Brought back:\n{}", note_words(&note))
    };
    Ok(Outcome::new(text, note_document(&note)))
}

fn words(view: &PrinterView) -> String {
    let mut lines = Vec::new();
    match &view.printer {
        Some(printer) => {
            let town = [printer.place.as_str(), printer.country.as_str()];
            let town: Vec<&str> = town.into_iter().filter(|word| !word.is_empty()).collect();
            let home = if printer.home { "at home" } else { "overseas" };
            lines.push(format!(
                "{:<10} {}{}{} ({home})",
                view.key,
                printer.name,
                if town.is_empty() { "" } else { ", " },
                town.join(", "),
            ));
            let said = [
                ("makes", &printer.makes),
                ("found", &printer.found),
                ("e-mail", &printer.email),
                ("language", &printer.language),
                ("time zone", &printer.zone),
            ];
            for (what, said) in said {
                if !said.is_empty() {
                    lines.push(format!("  {what}: {said}"));
                }
            }
        }
        None => lines.push(format!("{:<10} (no more in the book)", view.key)),
    }
    lines.push(format!("  {}", samples(view)));
    if !view.requests.is_empty() {
        lines.push(format!("  asked {}", counted(view.requests.len(), "time")));
    }
    let standing = view.notes.iter().filter(|note| note.aside.is_none());
    lines.extend(standing.map(note_words));
    lines.join("\n")
}

fn samples(view: &PrinterView) -> String {
    match (
        view.last(NoteKind::SampleAsked),
        view.last(NoteKind::SampleReceived),
    ) {
        (_, Some(came)) => format!("a sample came on {came}"),
        (Some(asked), None) => format!("a sample was asked for on {asked} and has not come"),
        (None, None) => "no sample was asked for".to_owned(),
    }
}

fn note_words(note: &NoteView) -> String {
    let mut line = format!("  {:>3}  {}  {}", note.number, note.on, note.kind.name());
    if !note.text.is_empty() {
        line.push_str(": ");
        line.push_str(&note.text);
    }
    if let Some(file) = &note.file {
        line.push_str(&format!(" [{}, kept as {}]", file.name, file.path));
    }
    line
}

fn document(view: &PrinterView) -> Value {
    let mut document = json!({
        "key": view.key,
        "name": view.name(),
        "in_book": view.printer.is_some(),
        "requests": view.requests,
        "sample_asked": view.last(NoteKind::SampleAsked).map(|on| on.to_string()),
        "sample_received": view.last(NoteKind::SampleReceived).map(|on| on.to_string()),
        "notes": view.notes.iter().map(note_document).collect::<Vec<_>>(),
    });
    if let Some(printer) = &view.printer {
        let said = [
            ("place", json!(printer.place)),
            ("country", json!(printer.country)),
            ("zone", json!(printer.zone)),
            ("language", json!(printer.language)),
            ("email", json!(printer.email)),
            ("makes", json!(printer.makes)),
            ("found", json!(printer.found)),
            ("home", json!(printer.home)),
        ];
        for (key, value) in said {
            document[key] = value;
        }
    }
    document
}

fn note_document(note: &NoteView) -> Value {
    json!({
        "number": note.number,
        "printer": note.printer,
        "noted_at": note.at,
        "on": note.on.to_string(),
        "kind": note.kind.word(),
        "text": note.text,
        "file": note.file.as_ref().map(file_document),
        "laid_aside": note.aside,
    })
}

/// A kept file as a document.
pub fn file_document(file: &KeptFile) -> Value {
    json!({
        "name": file.name,
        "kept": file.path,
        "blake3": file.digest.to_string(),
        "size_bytes": file.bytes,
    })
}
