//! The book as it stands on the disk: the book file read, the art found, the pages laid out.

use std::sync::Arc;

use book::object::Object;
use book::plan::{Plan, ReaderPage, SheetPlan};
use finding::{Finding, Place, Severity};
use measure::PixelSize;

use crate::art_folder::{self, Piece};
use crate::digest::Digest;
use crate::{Desk, DeskError, PieceInfo, Snapshot, place};

/// Name of the book file.
pub(crate) const BOOK_FILE: &str = "book.toml";

/// A snapshot with what it was read from.
#[derive(Debug)]
pub(crate) struct Standing {
    pub snapshot: Arc<Snapshot>,
    /// Every picture below `art/`.
    pub art: Vec<Piece>,
    /// Digest of the book file.
    pub digest: Digest,
}

impl Standing {
    /// Reads it; gives `last` again when nothing has changed.
    pub(crate) fn read(desk: &Desk, last: Option<&Arc<Self>>) -> Result<Arc<Self>, DeskError> {
        let text = read_text(desk)?;
        let digest = Digest::of(text.as_bytes());
        let art =
            desk.with_record(|record| art_folder::pieces(&desk.root().join("art"), record))?;
        if let Some(last) = last
            && last.digest == digest
            && same_files(&last.art, &art)
        {
            return Ok(last.clone());
        }
        let book = book::read(&text).map_err(|errors| place::book_errors(BOOK_FILE, &errors))?;
        let snapshot = snapshot(book, &art);
        Ok(Arc::new(Self {
            snapshot: Arc::new(snapshot),
            art,
            digest,
        }))
    }
}

/// The text of the book file.
pub(crate) fn read_text(desk: &Desk) -> Result<String, DeskError> {
    let path = desk.root().join(BOOK_FILE);
    let bytes =
        std::fs::read(&path).map_err(|error| DeskError::io(&path, "read the book file", &error))?;
    String::from_utf8(bytes).map_err(|error| {
        let line = 1 + error.as_bytes()[..error.utf8_error().valid_up_to()]
            .iter()
            .filter(|byte| **byte == b'\n')
            .count();
        DeskError::new(
            format!("{BOOK_FILE}:{line}"),
            "there is something here that is no UTF-8 text",
            "Save the file as UTF-8 from your editor, or take the last edit back with \
             `foredge undo`.",
        )
    })
}

/// Lays out a book with the art that there is.
fn snapshot(book: book::Book, art: &[Piece]) -> Snapshot {
    let size = |name: &str| -> Option<PixelSize> {
        let piece = art.iter().find(|piece| piece.name == name)?;
        piece.size.as_ref().ok().copied()
    };
    let (plan, mut findings) = Plan::lay_out(&book, &size);
    findings.extend(unreadable(art));
    let of_pages = findings.len();
    let (sheets, of_sheets) = SheetPlan::lay_out_all(&book, &plan, &size);
    findings.extend(of_sheets);
    let object = Object::of(&book, &plan);
    findings.extend(object.cautions.iter().cloned());
    let pieces = art
        .iter()
        .map(|piece| PieceInfo {
            name: piece.name.clone(),
            size: piece.size.clone(),
            pages: plan.pages_with(&piece.name).collect::<Vec<ReaderPage>>(),
        })
        .collect();
    Snapshot {
        book,
        plan,
        sheets,
        object,
        pieces,
        findings,
        of_pages,
    }
}

/// Pictures of the folder that cannot be read; those that are wanted on a page are missing there
/// as well, which the plan has said.
fn unreadable(art: &[Piece]) -> Vec<Finding> {
    art.iter()
        .filter_map(|piece| {
            let problem = piece.size.as_ref().err()?;
            Some(
                Finding::new(
                    "art-unreadable",
                    Severity::Warn,
                    Place::Piece(piece.name.clone()),
                    format!("`{}` cannot be used: {problem}.", piece.name),
                )
                .hint("Save it again from the program that made it, or take it out of the folder."),
            )
        })
        .collect()
}

fn same_files(one: &[Piece], other: &[Piece]) -> bool {
    one.len() == other.len()
        && one.iter().zip(other).all(|(one, other)| {
            one.name == other.name && one.signs == other.signs && one.size == other.size
        })
}
