//! The printers, and what was noted of each.

use book::Printer;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::keep::{self, GivenFile, KeptFile};
use super::{of, one, requests, text};
use crate::record::AskingKind;
use crate::{Desk, DeskError, moment};

/// What a note is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum NoteKind {
    /// A sample was asked for.
    SampleAsked,
    /// A sample came.
    SampleReceived,
    /// Something was said, by them or by the artist.
    Said,
    /// A file came.
    File,
}

impl NoteKind {
    /// All of them.
    pub const ALL: [Self; 4] = [
        Self::SampleAsked,
        Self::SampleReceived,
        Self::Said,
        Self::File,
    ];

    /// The word for it on the command line and in forms.
    pub const fn word(self) -> &'static str {
        match self {
            Self::SampleAsked => "sample-asked",
            Self::SampleReceived => "sample-received",
            Self::Said => "said",
            Self::File => "file",
        }
    }

    /// The kind of a word.
    pub fn of(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.word() == word)
    }

    /// In words for people.
    pub const fn name(self) -> &'static str {
        match self {
            Self::SampleAsked => "sample asked for",
            Self::SampleReceived => "sample received",
            Self::Said => "said",
            Self::File => "file",
        }
    }
}

/// Something that was noted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NoteView {
    /// Its number, from 1.
    pub number: u32,
    /// When it was noted, in UTC.
    pub at: String,
    /// The printer's key.
    pub printer: String,
    /// What it is of.
    pub kind: NoteKind,
    /// The day on which it happened.
    pub on: Date,
    /// In the artist's words; may be empty beside a sample or a file.
    pub text: String,
    /// A file that belongs to it.
    pub file: Option<KeptFile>,
    /// When it was laid aside, if it is.
    pub aside: Option<String>,
}

/// A printer with what is noted of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PrinterView {
    /// Its key.
    pub key: String,
    /// As the book says it; nothing for one that was taken out of the book.
    pub printer: Option<Printer>,
    /// Notes, in the order of their days; those that are laid aside too.
    pub notes: Vec<NoteView>,
    /// Numbers of the requests to it, oldest first.
    pub requests: Vec<u32>,
}

impl PrinterView {
    /// Its name, or its key where the book has it no more.
    pub fn name(&self) -> &str {
        self.printer
            .as_ref()
            .map_or(self.key.as_str(), |printer| printer.name.as_str())
    }

    /// The last day on which something of this kind was noted.
    pub fn last(&self, kind: NoteKind) -> Option<Date> {
        self.notes
            .iter()
            .filter(|note| note.kind == kind && note.aside.is_none())
            .map(|note| note.on)
            .max()
    }
}

#[derive(Debug, Serialize, Deserialize)]
struct KeptNote {
    kind: NoteKind,
    on: Date,
    text: String,
    file: Option<KeptFile>,
}

/// All printers.
pub(super) fn all(desk: &Desk) -> Result<Vec<PrinterView>, DeskError> {
    let standing = desk.standing()?;
    let of_book = &standing.snapshot.book.printers;
    let mut views: Vec<PrinterView> = of_book
        .iter()
        .map(|printer| empty(&printer.key, Some(printer)))
        .collect();
    for note in notes(desk)? {
        view_of(&mut views, &note.printer).notes.push(note);
    }
    for (row, _) in requests::kept(desk)? {
        view_of(&mut views, &row.printer).requests.push(row.number);
    }
    for view in &mut views {
        view.notes.sort_by_key(|note| (note.on, note.number));
    }
    Ok(views)
}

/// All notes, in the order in which they were made.
pub(super) fn notes(desk: &Desk) -> Result<Vec<NoteView>, DeskError> {
    let rows = desk.with_record(|record| record.asking(AskingKind::Note))?;
    Ok(rows
        .into_iter()
        .filter_map(|row| {
            let kept = of::<KeptNote>(&row.content)?;
            Some(NoteView {
                number: row.number,
                at: row.at,
                printer: row.printer,
                kind: kept.kind,
                on: kept.on,
                text: kept.text,
                file: kept.file,
                aside: row.aside,
            })
        })
        .collect())
}

/// Notes something.
pub(super) fn note(
    desk: &Desk,
    printer: &str,
    kind: NoteKind,
    said: &str,
    on: Option<Date>,
    file: Option<GivenFile<'_>>,
) -> Result<NoteView, DeskError> {
    let standing = desk.standing()?;
    requests::printer_of(&standing.snapshot, printer)?;
    let said = said.trim();
    let missing = match kind {
        NoteKind::Said if said.is_empty() => Some("what was said is missing"),
        NoteKind::File if file.is_none() => Some("the file is missing"),
        _ => None,
    };
    if let Some(missing) = missing {
        return Err(DeskError::new(
            format!("note about `{printer}`"),
            missing,
            "Nothing was noted. Add it and try again.",
        ));
    }
    let _lock = desk.asking_lock()?;
    let kept = KeptNote {
        kind,
        on: on.unwrap_or_else(moment::today),
        text: said.to_owned(),
        file: file.map(|file| keep::keep(desk, file)).transpose()?,
    };
    let number = desk.with_record(|record| {
        let number = record.next_asking(AskingKind::Note)?;
        record.add_asking(AskingKind::Note, &[(number, printer, &text(&kept))])?;
        Ok(number)
    })?;
    let all = notes(desk)?;
    one(all, |note| note.number == number, AskingKind::Note, number)
}

fn view_of<'v>(views: &'v mut Vec<PrinterView>, key: &str) -> &'v mut PrinterView {
    let at = match views.iter().position(|view| view.key == key) {
        Some(at) => at,
        None => {
            views.push(empty(key, None));
            views.len() - 1
        }
    };
    &mut views[at]
}

fn empty(key: &str, printer: Option<&Printer>) -> PrinterView {
    PrinterView {
        key: key.to_owned(),
        printer: printer.cloned(),
        notes: Vec::new(),
        requests: Vec::new(),
    }
}
