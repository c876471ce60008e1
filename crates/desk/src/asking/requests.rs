//! Requests for prices: written once, never changed, and held against the book as it is.

use std::path::Path;

use book::Printer;
use jiff::civil::Date;
use press::document;
use price::PriceError;
use price::request::Request;
use serde::{Deserialize, Serialize};

use super::specified::{self, KeptLine};
use super::{of, refused, text};
use crate::digest::Gather;
use crate::record::{AskingKind, AskingRow};
use crate::standing::BOOK_FILE;
use crate::{Desk, DeskError, PROGRAM, Snapshot, files, moment};

/// Folder of the requests, beside the book.
const FOLDER: &str = "asking";

/// A request that was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RequestView {
    /// Its number, from 1.
    pub number: u32,
    /// When it was written, in UTC.
    pub at: String,
    /// The day that stands on it.
    pub dated: Date,
    /// The printer's key.
    pub printer: String,
    /// The printer's name as it was then.
    pub name: String,
    /// The short name that stands on it.
    pub reference: String,
    /// Digest of the specification, twelve hexadecimal signs.
    pub digest: String,
    /// The quantities asked for, rising.
    pub quantities: Vec<u64>,
    /// The day by which an answer was wished for.
    pub answer_by: Option<Date>,
    /// Files that were written, from the book folder.
    pub files: Vec<String>,
    /// What of the book has changed since, each in a sentence without its full stop: a price for
    /// this request is for an older book. Empty where it is for the book as it is.
    pub stale: Vec<String>,
    /// What of the terms has changed since; prices hold all the same.
    pub terms: Vec<String>,
}

/// A request, as it is kept.
#[derive(Debug, Serialize, Deserialize)]
pub(super) struct KeptRequest {
    dated: Date,
    name: String,
    reference: String,
    pub digest: String,
    pub specification: Vec<KeptLine>,
    pub quantities: Vec<u64>,
    pub answer_by: Option<Date>,
    files: Vec<String>,
}

/// Writes requests.
pub(super) fn ask(
    desk: &Desk,
    printer: Option<&str>,
    dated: Option<Date>,
) -> Result<Vec<RequestView>, DeskError> {
    let standing = desk.standing()?;
    let snapshot = &standing.snapshot;
    let printers: Vec<&Printer> = match printer {
        Some(key) => vec![printer_of(snapshot, key)?],
        None => snapshot.book.printers.iter().collect(),
    };
    if printers.is_empty() {
        return Err(DeskError::new(
            BOOK_FILE,
            "the book names no printer",
            "Add one: foredge printers add KEY name=\"Its name\" country=XA",
        ));
    }
    let dated = dated.unwrap_or_else(moment::today);
    let _lock = desk.asking_lock()?;
    let mut next = desk.with_record(|record| record.next_asking(AskingKind::Request))?;
    let mut written = Vec::new();
    for printer in printers {
        let number = free_number(desk, next, &printer.key);
        next = number.saturating_add(1);
        let request = request(snapshot, printer, number, dated)?;
        written.push((number, printer.key.clone(), write(desk, &request)?));
    }
    let rows: Vec<(u32, &str, String)> = written
        .iter()
        .map(|(number, printer, kept)| (*number, printer.as_str(), text(kept)))
        .collect();
    let rows: Vec<(u32, &str, &str)> = rows
        .iter()
        .map(|(number, printer, kept)| (*number, *printer, kept.as_str()))
        .collect();
    desk.with_record(|record| record.add_asking(AskingKind::Request, &rows))?;
    let first = rows.first().map_or(0, |row| row.0);
    let mut all = all(desk)?;
    all.retain(|view| view.number >= first);
    Ok(all)
}

/// The words of a request that is not written.
pub(super) fn words(desk: &Desk, printer: &str) -> Result<String, DeskError> {
    let standing = desk.standing()?;
    let printer = printer_of(&standing.snapshot, printer)?;
    let number = desk.with_record(|record| record.next_asking(AskingKind::Request))?;
    Ok(request(&standing.snapshot, printer, number, moment::today())?.e_mail())
}

/// All requests.
pub(super) fn all(desk: &Desk) -> Result<Vec<RequestView>, DeskError> {
    let standing = desk.standing()?;
    let now = specified::now(&standing.snapshot);
    let all = kept(desk)?.into_iter().map(|(row, kept)| {
        let since = specified::since(&kept.specification, &now);
        RequestView {
            number: row.number,
            at: row.at,
            dated: kept.dated,
            printer: row.printer,
            name: kept.name,
            reference: kept.reference,
            digest: kept.digest,
            quantities: kept.quantities,
            answer_by: kept.answer_by,
            files: kept.files,
            stale: since.thing,
            terms: since.terms,
        }
    });
    Ok(all.collect())
}

/// All requests with what is kept of them.
pub(super) fn kept(desk: &Desk) -> Result<Vec<(AskingRow, KeptRequest)>, DeskError> {
    let rows = desk.with_record(|record| record.asking(AskingKind::Request))?;
    Ok(rows
        .into_iter()
        .filter_map(|row| {
            let kept = of::<KeptRequest>(&row.content)?;
            Some((row, kept))
        })
        .collect())
}

/// A file of a request.
pub(super) fn file(desk: &Desk, name: &str) -> Result<Vec<u8>, DeskError> {
    let wanted = format!("{FOLDER}/{name}");
    let known = kept(desk)?
        .into_iter()
        .any(|(_, kept)| kept.files.contains(&wanted));
    if !known {
        return Err(DeskError::new(
            wanted,
            "no request has such a file",
            "`foredge ask` lists the requests with their files.",
        ));
    }
    let place = desk.root().join(&wanted);
    std::fs::read(&place).map_err(|error| DeskError::io(&place, "read the request", &error))
}

/// The printer of a key.
pub(super) fn printer_of<'s>(snapshot: &'s Snapshot, key: &str) -> Result<&'s Printer, DeskError> {
    let printers = &snapshot.book.printers;
    printers
        .iter()
        .find(|printer| printer.key == key)
        .ok_or_else(|| {
            let hint = if printers.is_empty() {
                "The book names no printer yet; `foredge printers add` adds one.".to_owned()
            } else {
                let keys: Vec<&str> = printers.iter().map(|one| one.key.as_str()).collect();
                format!("There are {}.", keys.join(", "))
            };
            DeskError::new(
                format!("printer `{key}`"),
                "the book has no such printer",
                hint,
            )
        })
}

fn request(
    snapshot: &Snapshot,
    printer: &Printer,
    number: u32,
    dated: Date,
) -> Result<Request, DeskError> {
    let digest = specified::digest(&specified::now(snapshot));
    let (book, object) = (&snapshot.book, &snapshot.object);
    let request = Request::new(book, object, printer, number, dated, &digest);
    if request.quantities.is_empty() {
        return Err(refused(BOOK_FILE, &PriceError::NoQuantity));
    }
    Ok(request)
}

/// The next number under which no file lies already.
fn free_number(desk: &Desk, from: u32, key: &str) -> u32 {
    let folder = desk.root().join(FOLDER);
    let taken = |number: &u32| {
        ENDINGS
            .iter()
            .any(|ending| folder.join(name(*number, key, ending)).exists())
    };
    (from..u32::MAX)
        .find(|number| !taken(number))
        .unwrap_or(from)
}

/// The letter, the e-mail, and the sheet that the printer fills in.
const ENDINGS: [&str; 3] = ["pdf", "txt", "xlsx"];

fn name(number: u32, key: &str, ending: &str) -> String {
    format!("R{number:04}-{key}.{ending}")
}

/// Writes the files of a request, all or none of them.
fn write(desk: &Desk, request: &Request) -> Result<KeptRequest, DeskError> {
    let place = format!("sheet {}", request.reference());
    let sheet = price::sheet::write(request).map_err(|error| refused(place, &error.into()))?;
    let made = [letter(request)?, request.e_mail().into_bytes(), sheet];
    let mut files = Vec::new();
    for (ending, bytes) in ENDINGS.iter().zip(&made) {
        let path = format!(
            "{FOLDER}/{}",
            name(request.number, &request.printer.key, ending)
        );
        if let Err(error) = files::write_new(&desk.root().join(&path), bytes) {
            take_away(desk, &files);
            return Err(error);
        }
        files.push(path);
    }
    Ok(KeptRequest {
        dated: request.dated,
        name: request.printer.name.clone(),
        reference: request.reference(),
        digest: request.digest.clone(),
        specification: specified::kept(&request.specification),
        quantities: request.quantities.clone(),
        answer_by: request.ask.answer_by,
        files,
    })
}

/// Takes away what was written in vain.
fn take_away(desk: &Desk, files: &[String]) {
    for file in files {
        // What stays behind does no harm: its number is passed over.
        let _ = std::fs::remove_file(desk.root().join(Path::new(file)));
    }
}

/// The letter as a PDF.
fn letter(request: &Request) -> Result<Vec<u8>, DeskError> {
    let letter = request.letter();
    let failed = |problem: String, hint: String| {
        DeskError::new(format!("letter {}", request.reference()), problem, hint)
    };
    let pages = letter.set().map_err(|error| {
        failed(
            error.to_string(),
            "Shorten what the book says under `[ask]` or of its printers.".to_owned(),
        )
    })?;
    let facts = document::Facts {
        title: letter.subject.clone(),
        author: letter.sender.first().cloned().unwrap_or_default(),
        subject: format!("Request for prices {}, by {PROGRAM}", request.reference()),
        language: letter.language.clone(),
        created: format!("{}T12:00:00Z", request.dated),
        id: Gather::new("request for prices")
            .put("words", letter.plain())
            .put("program", PROGRAM)
            .done()
            .short(),
    };
    document::letter(Vec::new(), &facts, &pages).map_err(|error| {
        failed(
            error.to_string(),
            "Look at the disk, then try again.".to_owned(),
        )
    })
}
