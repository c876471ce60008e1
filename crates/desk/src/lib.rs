//! The book folder: files, the record, digests, staleness and use cases. The only crate that
//! touches the disk.
//!
//! ```text
//! DIR/book.toml            the decisions
//! DIR/art/…                the art, linked or copied
//! DIR/press/interior.pdf   cover.pdf   jacket.pdf   …   manifest.json
//! DIR/.foredge/record.sqlite   what happened, versions of book.toml (undo), digests by file
//! DIR/.foredge/cache/…     thumbnails and judgements, safe to delete
//! ```
//!
//! What is written is written beside its place and renamed when it is whole. Two locks keep
//! writers apart: one for the book file, held for moments, and one for the press files, so that a
//! book can be edited while it is pressed; the press files are then stale, and the status says so.

mod art_folder;
mod asking;
mod bar_code;
mod checking;
mod condition;
mod conveyor;
mod dates;
mod demo_book;
mod digest;
mod edit_history;
mod editing;
mod error;
mod facts;
pub mod figures;
mod files;
mod finishing;
mod glyphs;
mod grid;
mod inks;
mod judge;
mod losses;
mod manifest;
mod measuring;
mod moment;
mod new_book;
mod paper;
mod place;
mod press_file;
mod press_job;
mod preview;
mod proofing;
mod pyramid;
mod quantity;
mod record;
mod remembered;
mod report;
mod standing;
mod status;
mod things;
mod unit;

pub use asking::{
    AnswerGiven, AnswerRead, AnswerView, ChartPoint, ComparisonView, GivenFile, InvoiceGiven,
    InvoiceTaken, InvoiceView, KeptFile, NoteKind, NoteView, PRICES_CAUTION, PrinterView,
    RequestView, RunCost,
};
pub use book::edit::{Edit, Field, Written};
pub use checking::check_alone;
pub use dates::{DatesView, StepTold, Told};
pub use demo_book::{demo, demo_bindings};
pub use digest::Digest;
pub use error::DeskError;
pub use files::write_new;
pub use finishing::{FinishingView, Thickened};
pub use measuring::{DummyView, Fields, ShelfView, TemplateFile, TemplatePage, TemplateView};
pub use moment::{day_in_words, in_words as moment_in_words, today};
pub use press_file::PressFile;
pub use proofing::{PatchReading, ProofFile, ProofReading, ReadFrom, StripView};
pub use quantity::{CashView, MovingView, Picture, PlanView, QuantityView, SaleTold, SaleView};
pub use report::*;
// The faces see the rooms below through the desk alone.
pub use {art, book, colour, edition, finding, finish, measure, press, price, proof};

use std::fmt;
use std::fs::File;
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

use measure::PixelSize;

use inks::Inks;
use preview::Views;
use record::Record;
use standing::Standing;

/// The program as it names itself in what it makes.
pub const PROGRAM: &str = concat!("Foredge ", env!("CARGO_PKG_VERSION"));

/// An open book folder; cheap to clone and safe to share between threads.
#[derive(Clone)]
pub struct Desk {
    room: Arc<Room>,
}

struct Room {
    root: PathBuf,
    record: Mutex<Option<Record>>,
    standing: Mutex<Option<Arc<Standing>>>,
    inks: Mutex<Option<(Digest, Arc<Inks>)>>,
    /// What a quantity was chosen on last.
    ground: Mutex<Option<quantity::Grounded>>,
    /// The demand as it was drawn last, with the ground it was drawn from.
    draws: Mutex<Option<quantity::Drawn>>,
    views: Views,
    /// Held while a plate is made to be looked at.
    plates: Mutex<()>,
}

impl fmt::Debug for Desk {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Desk")
            .field("root", &self.room.root)
            .finish_non_exhaustive()
    }
}

impl Desk {
    /// Opens a folder that holds a `book.toml`.
    ///
    /// # Errors
    /// No such folder, no book file.
    pub fn open(folder: &Path) -> Result<Self, DeskError> {
        if !folder.is_dir() {
            return Err(DeskError::new(
                folder.display().to_string(),
                "there is no such folder",
                "Name a book folder after `--book`, or make one with `foredge new`.",
            ));
        }
        if !folder.join(standing::BOOK_FILE).is_file() {
            return Err(DeskError::new(
                folder.display().to_string(),
                "there is no book in this folder (no `book.toml`)",
                "Go to a book folder or name it after `--book`; `foredge new` makes one from a \
                 folder of art.",
            ));
        }
        let root = std::path::absolute(folder)
            .map_err(|error| DeskError::io(folder, "find the folder", &error))?;
        Ok(Self {
            room: Arc::new(Room {
                root,
                record: Mutex::default(),
                standing: Mutex::default(),
                inks: Mutex::default(),
                ground: Mutex::default(),
                draws: Mutex::default(),
                views: Views::default(),
                plates: Mutex::default(),
            }),
        })
    }

    /// Makes a book folder with a first running order.
    ///
    /// # Errors
    /// The folder is taken, there is no art, the disk is full: nothing is left behind.
    pub fn create(request: &NewBook) -> Result<Self, DeskError> {
        new_book::create(request)?;
        Self::open(&request.folder)
    }

    /// The folder.
    pub fn root(&self) -> &Path {
        &self.room.root
    }

    /// The book as it is on disk now.
    ///
    /// # Errors
    /// A book file that cannot be read, with its line.
    pub fn snapshot(&self) -> Result<Arc<Snapshot>, DeskError> {
        Ok(self.standing()?.snapshot.clone())
    }

    /// Where it stands. Fast: reads no pixels.
    ///
    /// # Errors
    /// As [`Desk::snapshot`].
    pub fn status(&self) -> Result<StatusReport, DeskError> {
        status::report(self)
    }

    /// Judges all art; cached by digest.
    ///
    /// # Errors
    /// As [`Desk::snapshot`], or stopped. A picture that fails is a finding.
    pub fn judge(&self, watch: &dyn Watch) -> Result<ArtReport, DeskError> {
        judge::run(self, watch)
    }

    /// The judgement of all art, if it was judged already for the book as it is. Reads no pixels.
    ///
    /// # Errors
    /// As [`Desk::snapshot`].
    pub fn judged(&self) -> Result<Option<ArtReport>, DeskError> {
        let standing = self.standing()?;
        let inks = self.inks(&standing.snapshot.book)?;
        judge::known(self, &standing, &inks)
    }

    /// Writes the press files and the manifest.
    ///
    /// # Errors
    /// Missing or unreadable art, a full disk, stopped: the former files stay.
    pub fn press(&self, watch: &dyn Watch) -> Result<PressReport, DeskError> {
        press_job::run(self, watch)
    }

    /// The dimensioned drawing of the object as it is now, as a PDF: a page for the section, and one
    /// for each flat sheet at true size.
    ///
    /// # Errors
    /// Words that cannot be set.
    pub fn drawing(&self) -> Result<Vec<u8>, DeskError> {
        press_job::drawing_now(&*self.snapshot()?)
    }

    /// The press files that are there, by name: those of [`PressFile`], `drawing.pdf`,
    /// `manifest.json` and `proof.pdf`.
    pub fn press_files(&self) -> Vec<&'static str> {
        press_job::names()
            .filter(|name| self.root().join("press").join(name).is_file())
            .collect()
    }

    /// A press file, open for reading, and its size in bytes.
    ///
    /// # Errors
    /// No press file has this name, or it is not made yet.
    pub fn press_file(&self, name: &str) -> Result<(File, u64), DeskError> {
        let known = press_job::names().find(|known| *known == name);
        let path = self.root().join("press").join(known.unwrap_or_default());
        let open = || {
            let file = File::open(&path)?;
            let size = file.metadata()?.len();
            Ok((file, size))
        };
        match known {
            Some(_) => open().map_err(|error| {
                let mut error = DeskError::io(&path, "open the press file", &error);
                error.hint = "Make the press files first: foredge press".to_owned();
                error
            }),
            None => Err(DeskError::new(
                format!("press/{name}"),
                "no press file has this name",
                format!(
                    "There are {}.",
                    press_job::names().collect::<Vec<_>>().join(", ")
                ),
            )),
        }
    }

    /// Checks a press file against this book.
    ///
    /// # Errors
    /// The file cannot be read, or stopped.
    pub fn check(&self, file: &Path, watch: &dyn Watch) -> Result<press::CheckReport, DeskError> {
        checking::against_book(self, file, watch)
    }

    /// Changes the book file, keeping its comments, and remembers it for undo.
    ///
    /// # Errors
    /// The edit does not fit the book; nothing is changed.
    pub fn edit(&self, edit: &Edit) -> Result<Edited, DeskError> {
        editing::edit(self, edit)
    }

    /// Takes the last edit back; `None` when there is none.
    ///
    /// A change made by hand since is kept as an edit of its own, and is what is taken back.
    ///
    /// # Errors
    /// The record or the book file cannot be written.
    pub fn undo(&self) -> Result<Option<Edited>, DeskError> {
        editing::undo(self)
    }

    /// Brings the last undone edit again.
    ///
    /// # Errors
    /// As [`Desk::undo`].
    pub fn redo(&self) -> Result<Option<Edited>, DeskError> {
        editing::redo(self)
    }

    /// What undo and redo would do.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn history(&self) -> Result<History, DeskError> {
        editing::history(self)
    }

    /// A small JPEG (sRGB) of a piece, its longer side `pixels`; cached.
    ///
    /// # Errors
    /// No such piece, or it cannot be read.
    pub fn thumbnail(&self, piece: &str, pixels: u32) -> Result<Arc<[u8]>, DeskError> {
        preview::thumbnail(self, piece, pixels)
    }

    /// Size in pixels of a page or another sheet at press resolution, bleed included.
    ///
    /// # Errors
    /// As [`Desk::snapshot`]; no such sheet.
    pub fn sheet_size(&self, sheet: impl Into<SheetName>) -> Result<PixelSize, DeskError> {
        preview::size(self, sheet.into()).map(|(size, _)| size)
    }

    /// The trimmed sheet within [`Desk::sheet_size`]: left, top, width and height in pixels.
    ///
    /// # Errors
    /// As [`Desk::sheet_size`].
    pub fn sheet_trim(&self, sheet: impl Into<SheetName>) -> Result<[u32; 4], DeskError> {
        preview::size(self, sheet.into()).map(|(_, trim)| trim)
    }

    /// A 512-pixel tile (JPEG, sRGB) of a sheet, bleed included: level 0 is press resolution, each
    /// level halves it. Also says which media type it is.
    ///
    /// # Errors
    /// As [`Desk::sheet_size`]; no such tile; art that cannot be read.
    pub fn tile(
        &self,
        sheet: impl Into<SheetName>,
        view: View,
        level: u8,
        column: u32,
        row: u32,
    ) -> Result<(&'static str, Arc<[u8]>), DeskError> {
        preview::tile(self, sheet.into(), view, level, column, row)
    }

    /// The colour of a place of a sheet, in pixels of level 0; `None` outside the sheet.
    ///
    /// # Errors
    /// As [`Desk::tile`].
    pub fn under(
        &self,
        sheet: impl Into<SheetName>,
        x: u32,
        y: u32,
    ) -> Result<Option<Sample>, DeskError> {
        preview::under(self, sheet.into(), x, y)
    }

    /// All finishings, in the order of the book file: each plate held against its process. What was
    /// found is remembered; a plate that is new takes up to a second.
    ///
    /// # Errors
    /// As [`Desk::snapshot`]. A mask that cannot be used is a finding.
    pub fn finishings(&self) -> Result<Vec<FinishingView>, DeskError> {
        finishing::views(self)
    }

    /// Makes the lines of a finishing, by its name, as wide as its process needs and no wider, and
    /// says which gaps close by it and what is left. One edit, which can be undone.
    ///
    /// # Errors
    /// No such finishing, one without a sheet, a mask that cannot be used, or a book file that cannot
    /// be written.
    pub fn thicken(&self, name: &str) -> Result<Thickened, DeskError> {
        finishing::thicken(self, name)
    }

    /// The plate of a finishing, by its name, as a PNG that fills its face
    /// ([`FinishingView::face`]): white, as opaque as the plate covers, its longer side at most
    /// `longest` pixels; cached.
    ///
    /// # Errors
    /// No such finishing, one without a sheet, or a mask that cannot be used.
    pub fn plate_picture(&self, name: &str, longest: u32) -> Result<Arc<[u8]>, DeskError> {
        finishing::picture(self, name, longest)
    }

    /// The compensation in force: the book's, or that of one piece with its exceptions.
    ///
    /// # Errors
    /// As [`Desk::snapshot`].
    pub fn compensation(&self, piece: Option<&str>) -> Result<colour::Compensation, DeskError> {
        let standing = self.standing()?;
        Ok(paper::Paper::of(&standing.snapshot.book).compensation(piece))
    }

    /// What the colours of a map mean, in the order of the scale; empty for views that are no maps.
    ///
    /// # Errors
    /// As [`Desk::snapshot`].
    pub fn legend(&self, view: View) -> Result<Vec<LegendStep>, DeskError> {
        preview::legend(self, view)
    }

    /// A page or the cover, bleed included, as it would print with other figures: a JPEG whose
    /// longer side is `longest` pixels at most. With a piece the figures are tried on that piece
    /// alone, otherwise on every picture that has no exception.
    ///
    /// `view` is [`View::Print`] or [`View::Adapted`].
    ///
    /// # Errors
    /// As [`Desk::tile`]; another view.
    pub fn trial(
        &self,
        sheet: impl Into<SheetName>,
        compensation: &colour::Compensation,
        piece: Option<&str>,
        view: View,
        longest: u32,
    ) -> Result<Arc<[u8]>, DeskError> {
        preview::trial(self, sheet.into(), compensation, piece, view, longest)
    }

    /// A small picture (JPEG, sRGB) of a trimmed page or of the cover, its longer side `longest`
    /// pixels; cached.
    ///
    /// # Errors
    /// As [`Desk::tile`].
    pub fn page_picture(
        &self,
        sheet: impl Into<SheetName>,
        view: View,
        longest: u32,
    ) -> Result<Arc<[u8]>, DeskError> {
        preview::page_picture(self, sheet.into(), view, longest)
    }

    /// All pages of the book, spread by spread with their folios, as one JPEG `width` pixels wide.
    ///
    /// # Errors
    /// As [`Desk::tile`], or stopped.
    pub fn contact_sheet(
        &self,
        view: View,
        width: u32,
        watch: &dyn Watch,
    ) -> Result<Arc<[u8]>, DeskError> {
        preview::contact_sheet(self, view, width, watch)
    }

    /// What paper will take from each piece, in the order of the pages; cached by digest.
    ///
    /// # Errors
    /// As [`Desk::judge`].
    pub fn losses(&self, watch: &dyn Watch) -> Result<Vec<Loss>, DeskError> {
        losses::run(self, watch)
    }

    /// The losses, if all are known already for the book as it is. Reads no pixels.
    ///
    /// # Errors
    /// As [`Desk::snapshot`].
    pub fn losses_known(&self) -> Result<Option<Vec<Loss>>, DeskError> {
        losses::known(self)
    }

    /// Uses a press condition: a built-in one by name, or a CMYK output profile, which is copied
    /// into the book folder.
    ///
    /// # Errors
    /// No such condition, or a file that is no CMYK output profile; nothing is changed.
    pub fn use_condition(&self, name_or_profile: &str) -> Result<Edited, DeskError> {
        condition::choose(self, name_or_profile)
    }

    /// A file of the private folder.
    pub(crate) fn private(&self, name: &str) -> PathBuf {
        self.room.root.join(".foredge").join(name)
    }

    /// Works with the record, opening it when it is first needed.
    pub(crate) fn with_record<T>(
        &self,
        work: impl FnOnce(&mut Record) -> Result<T, DeskError>,
    ) -> Result<T, DeskError> {
        let mut record = self
            .room
            .record
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        let open = match record.take() {
            Some(open) => open,
            None => Record::open(&self.private("record.sqlite"))?,
        };
        work(record.insert(open))
    }

    /// The book as it is on disk now, with the art's files.
    pub(crate) fn standing(&self) -> Result<Arc<Standing>, DeskError> {
        let mut kept = self
            .room
            .standing
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        let now = Standing::read(self, kept.as_ref())?;
        *kept = Some(now.clone());
        Ok(now)
    }

    /// The inks of a book; the same ones as long as nothing about them changes.
    pub(crate) fn inks(&self, book: &book::Book) -> Result<Arc<Inks>, DeskError> {
        let (condition, file) = condition::source(self, &book.press.condition)?;
        let key = digest::Gather::new("inks of a book")
            .put("condition", &book.press.condition)
            .put("file", file.as_deref().unwrap_or_default())
            .put("rendering", book.press.rendering.word())
            .put("limit", format!("{:?}", book.press.ink_limit))
            .put("learned", format!("{:?}", book.paper.learned))
            .done();
        let mut kept = self
            .room
            .inks
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        if let Some((known, inks)) = &*kept
            && *known == key
        {
            return Ok(inks.clone());
        }
        let inks = Arc::new(Inks::new(book, condition::open(condition, file)?)?);
        *kept = Some((key, inks.clone()));
        Ok(inks)
    }

    /// Digest of a file of the book folder, remembered by its signs; `None` when it cannot be
    /// read.
    pub(crate) fn digest_of(&self, path: &Path) -> Option<Digest> {
        let name = path.strip_prefix(self.root()).unwrap_or(path);
        let name = name.to_string_lossy().replace('\\', "/");
        let signs = record::Signs::of(path).ok()?;
        let known = self.with_record(|record| record.seen(&name, signs)).ok()?;
        if known.digest.is_some() {
            return known.digest;
        }
        let digest = art_folder::digest_file(path)?;
        let seen = record::Seen {
            digest: Some(digest),
            picture: known.picture,
        };
        // A digest that is not remembered is only computed again.
        let _ = self.with_record(|record| record.remember(&[(name, signs, seen)]));
        Some(digest)
    }
}
