//! The printers, what was asked of each, and what is noted.

use desk::{NoteKind, PrinterView, RequestView, day_in_words};
use maud::{Markup, html};

use super::forms::Asked;
use super::{lay, of_form};
use crate::prices::Typed;
use crate::rooms::order::hidden;
use crate::shell::spoken;

/// Who is known, and what was asked.
pub(super) struct Known {
    pub printers: Vec<PrinterView>,
    pub requests: Vec<RequestView>,
}

impl Known {
    /// The printers of the book, to choose from.
    pub fn choices(&self) -> Vec<(String, String)> {
        let of_book = self.printers.iter().filter(|view| view.printer.is_some());
        of_book
            .map(|view| (view.key.clone(), view.name().to_owned()))
            .collect()
    }
}

/// All printers, and a form for a note.
pub(super) fn section(known: &Known, typed: Option<&Typed>) -> Markup {
    html! {
        section #printers aria-labelledby="printers-title" {
            h2 #printers-title { "Printers" }
            @if known.printers.is_empty() { p { "The book names none yet. Name one below, under " a href="#things-printer" { "What you say" } "." } }
            @else { p.soft { "Who they are is said below, under " a href="#things-printer" { "What you say" } "." } }
            ul.printers { @for view in &known.printers { (printer(view, known)) } }
            @if !known.choices().is_empty() { (note_form(known, typed)) }
        }
    }
}

fn printer(view: &PrinterView, known: &Known) -> Markup {
    let (gone, notes): (Vec<_>, Vec<_>) = view.notes.iter().partition(|note| note.aside.is_some());
    html! {
        li id={ "known-" (view.key) } {
            h3 { (view.name()) }
            @if let Some(printer) = &view.printer {
                p.soft { (who(printer)) }
                @if !printer.makes.is_empty() { p { "Makes " (printer.makes) "." } }
                @if !printer.found.is_empty() { p.soft { "Found: " (printer.found) "." } }
            } @else { p.soft { "The book has this printer no more." } }
            @let requests: Vec<_> = known.requests.iter().filter(|request| request.printer == view.key).collect();
            @if !requests.is_empty() { h4 { "Asked" } ul.of-it { @for request in requests { (asked(request)) } } }
            @if !notes.is_empty() {
                h4 { "Noted" }
                ul.of-it { @for note in notes { li {
                    (day_in_words(note.on)) ", " (note.kind.name()) @if !note.text.is_empty() { ": " (note.text) } " "
                    @if let Some(file) = &note.file { a href={ "/prices/kept/note/" (note.number) } download { (file.name) } }
                    (lay("note", note.number, view.name(), false))
                } } }
            }
            @if !gone.is_empty() {
                details { summary { "Notes laid aside" span.hidden { ": " (view.name()) } }
                    ul.of-it { @for note in gone { li { (day_in_words(note.on)) ", " (note.kind.name()) (lay("note", note.number, view.name(), true)) } } } }
            }
            @if view.printer.is_some() {
                form method="post" action="/prices/ask" data-act { (hidden("printer", &view.key)) button id={ "ask-" (view.key) } { "Write a request" span.hidden { " to " (view.name()) } } }
            }
        }
    }
}

fn who(printer: &desk::book::Printer) -> String {
    let home = if printer.home { "at home" } else { "overseas" };
    let said = [
        printer.place.as_str(),
        printer.country.as_str(),
        home,
        printer.zone.as_str(),
        printer.language.as_str(),
        printer.email.as_str(),
    ];
    let said: Vec<&str> = said.into_iter().filter(|text| !text.is_empty()).collect();
    said.join(" · ")
}

fn asked(request: &RequestView) -> Markup {
    let quantities: Vec<String> = request.quantities.iter().map(u64::to_string).collect();
    html! {
        li {
            b { (request.reference) } ", " (day_in_words(request.dated)) ", for " (quantities.join(", ")) " copies"
            @if let Some(day) = request.answer_by { "; answer wished for by " (day_in_words(day)) }
            ": "
            @for (index, file) in request.files.iter().enumerate() {
                @let name = file.rsplit('/').next().unwrap_or(file);
                @if index > 0 { ", " }
                a href={ "/prices/request/" (name) } download=[(!name.ends_with(".pdf")).then_some(name)] { (file_word(name)) span.hidden { " of " (request.reference) } }
            }
            @for change in &request.stale { p.soft { "For an older book: " (spoken(change)) "." } }
        }
    }
}

fn file_word(name: &str) -> &str {
    match name.rsplit('.').next() {
        Some("pdf") => "letter",
        Some("txt") => "e-mail",
        Some("xlsx") => "sheet to fill in",
        _ => name,
    }
}

fn note_form(known: &Known, typed: Option<&Typed>) -> Markup {
    let asked = Asked {
        form: "note",
        typed: of_form(typed, "note"),
    };
    let kinds = NoteKind::ALL.map(|kind| (kind.word().to_owned(), kind.name().to_owned()));
    html! {
        details #note-form open[asked.typed.is_some()] {
            summary { "Note something of a printer" }
            form.sheet-form method="post" action="/prices/note" enctype="multipart/form-data" data-act {
                div.fields.three {
                    (asked.choice("printer", "Printer", &known.choices()))
                    (asked.choice("kind", "What", &kinds))
                    (asked.day("on", "On (today unless said)"))
                    (asked.text("text", "In your words", ""))
                    (asked.file("Kept whole, at most 64 MB."))
                }
                (asked.end("Note it"))
            }
        }
    }
}
