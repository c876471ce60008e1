//! Things measured by hand: a book on the shelf, the bindery's blank dummy, the printer's template.
//! Each is kept in the record, and changes the book only once a person says so.

mod entered;
mod kept;
mod pages;
mod words;

use std::path::Path;

use book::measured::dummy::{Compared, DummyMeasured, DummyRead};
use book::measured::shelf::{OnTheShelf, Told};
use book::measured::template::{Laid, figures};
use book::measured::{MeasuredError, template};
use book::object::FlatKind;
use measure::Length;

use crate::record::{MeasuredKind, MeasuredRow};
use crate::standing::Standing;
use crate::{Desk, DeskError, Edit, Edited, editing};
use kept::{KeptCompared, KeptDummy, KeptShelf, KeptTemplate};

/// A template is lines and a few words; larger files are refused. Our assumption.
const LARGEST_TEMPLATE: u64 = 256 << 20;

/// What a form or a command line hands in: names of figures and what was typed. An empty value is not
/// given; a number without a unit is in millimetres, or in grams where a mass is asked for.
pub type Fields<'f> = &'f [(&'f str, &'f str)];

/// A printer's template as a file: its name, its bytes, and the page that counts.
#[derive(Debug, Clone, Copy)]
pub struct TemplateFile<'f> {
    /// Its name, for the history.
    pub name: &'f str,
    /// The PDF.
    pub bytes: &'f [u8],
    /// Page, from 1; the one that fits the sheet best unless said.
    pub page: Option<u32>,
}

/// A book on the shelf, measured.
#[derive(Debug, Clone)]
pub struct ShelfView {
    /// Its number, from 1.
    pub number: u32,
    /// When it was measured, in UTC.
    pub at: String,
    /// What it is called; may be empty.
    pub name: String,
    /// As it was measured.
    pub measured: OnTheShelf,
    /// What it must be made of, or why that cannot be said.
    pub told: Result<Told, String>,
}

/// A dummy, measured.
#[derive(Debug, Clone)]
pub struct DummyView {
    /// Its number, from 1.
    pub number: u32,
    /// When it was measured, in UTC.
    pub at: String,
    /// As it was measured.
    pub measured: DummyMeasured,
    /// Held against the book as it is now, or why it cannot be.
    pub read: Result<DummyRead, String>,
    /// Foretold against measured, as it was when the dummy was measured.
    pub then: Vec<Compared>,
    /// When its lessons were taken into the book the last time.
    pub accepted: Option<String>,
}

/// A printer's template, laid over a sheet.
#[derive(Debug, Clone)]
pub struct TemplateView {
    /// Its number, from 1.
    pub number: u32,
    /// When it was read, in UTC.
    pub at: String,
    /// The file, or empty for figures that were typed in.
    pub name: String,
    /// The sheet.
    pub kind: FlatKind,
    /// Which page of the file counts, `None` for figures that were typed in.
    pub page: Option<TemplatePage>,
    /// Laid over the sheet of the book as it is now, or why it cannot be.
    pub laid: Result<Laid, String>,
    /// When its figures were taken into the book the last time.
    pub accepted: Option<String>,
}

/// The page of a template that counts.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TemplatePage {
    /// Its number, from 1.
    pub number: u32,
    /// How many pages the file has.
    pub of: u32,
    /// Other pages that could be the template of this sheet, too.
    pub others: Vec<u32>,
}

impl Desk {
    /// Measures a book on the shelf: what paper it must be made of. Kept in the record.
    ///
    /// Fields: `name`, `kind`, `width`, `height`, `block`, `pages`, `mass`, and if known `board`,
    /// `finish`, `with` (parts on the scale, with commas between), `weighed PART`, and how far the
    /// tools may be off: `ruler`, `gauge`, `scale`.
    ///
    /// # Errors
    /// A field that cannot be read or is missing; figures that no book has or that contradict each
    /// other. Nothing is kept then.
    pub fn read_shelf(&self, fields: Fields<'_>) -> Result<ShelfView, DeskError> {
        let (name, measured) = entered::shelf(fields)?;
        let standing = self.standing()?;
        told(&standing, &measured).map_err(|error| wrong("the book on the shelf", &error))?;
        let given = kept::text(&KeptShelf::of(&measured));
        let number = self.with_record(|record| {
            record.add_measured(MeasuredKind::Shelf, &name, &given, "null")
        })?;
        newest(self.shelves()?, |view| view.number == number, "shelf")
    }

    /// All books on the shelf, oldest first, each compared with usual papers and this book's own.
    ///
    /// # Errors
    /// As [`Desk::snapshot`].
    pub fn shelves(&self) -> Result<Vec<ShelfView>, DeskError> {
        let standing = self.standing()?;
        let rows = self.with_record(|record| record.measured(MeasuredKind::Shelf))?;
        Ok(rows
            .into_iter()
            .filter_map(|row| {
                let measured = kept::of::<KeptShelf>(&row.given)?.measured();
                Some(ShelfView {
                    told: told(&standing, &measured).map_err(|error| error.to_string()),
                    number: row.number,
                    at: row.at,
                    name: row.name,
                    measured,
                })
            })
            .collect())
    }

    /// Gives this book's text one of the papers nearest to a book on the shelf: one change, which
    /// undo takes back.
    ///
    /// # Errors
    /// No such measurement or paper.
    pub fn take_shelf(&self, number: u32, paper: usize) -> Result<Edited, DeskError> {
        let view = newest(self.shelves()?, |view| view.number == number, "shelf")?;
        let source = words::shelf(&view);
        let edit = view
            .told
            .as_ref()
            .ok()
            .and_then(|told| told.take(paper, &source));
        self.take(
            MeasuredKind::Shelf,
            number,
            edit.ok_or_else(|| {
                DeskError::new(
                    format!("shelf {number}"),
                    format!("there is no paper {} in its list", paper.saturating_add(1)),
                    "`foredge object shelf` lists what was measured.",
                )
            })?,
        )
    }

    /// Holds a blank dummy against the book: foretold against measured, and what that teaches. Kept
    /// in the record; the book changes only by [`Desk::accept_dummy`].
    ///
    /// Fields, each if it was measured: `pages`, `block`, `spine`, `mass`, `board`, `cover`,
    /// `endpaper`, and how far the tools may be off: `ruler`, `gauge`, `scale`.
    ///
    /// # Errors
    /// As [`Desk::read_shelf`].
    pub fn read_dummy(&self, fields: Fields<'_>) -> Result<DummyView, DeskError> {
        let mut measured = entered::dummy(fields)?;
        let standing = self.standing()?;
        // The book may grow after the dummy was made; the dummy does not.
        measured.pages = measured.pages.or(Some(standing.snapshot.object.pages));
        let found = read(&standing, &measured).map_err(|error| wrong("the dummy", &error))?;
        let given = kept::text(&KeptDummy::of(&measured));
        let then: Vec<KeptCompared> = found.compared.iter().map(KeptCompared::of).collect();
        let number = self.with_record(|record| {
            record.add_measured(MeasuredKind::Dummy, "", &given, &kept::text(&then))
        })?;
        newest(self.dummies()?, |view| view.number == number, "dummy")
    }

    /// All dummies, oldest first.
    ///
    /// # Errors
    /// As [`Desk::snapshot`].
    pub fn dummies(&self) -> Result<Vec<DummyView>, DeskError> {
        let standing = self.standing()?;
        let rows = self.with_record(|record| record.measured(MeasuredKind::Dummy))?;
        Ok(rows
            .into_iter()
            .filter_map(|row| {
                let measured = kept::of::<KeptDummy>(&row.given)?.measured();
                let then: Vec<KeptCompared> = kept::of(&row.found).unwrap_or_default();
                Some(DummyView {
                    read: read(&standing, &measured).map_err(|error| error.to_string()),
                    then: then.iter().filter_map(KeptCompared::compared).collect(),
                    number: row.number,
                    at: row.at,
                    accepted: row.accepted,
                    measured,
                })
            })
            .collect())
    }

    /// Takes what a dummy teaches into the book: one change, each figure with its source in words.
    /// What it makes stale is said.
    ///
    /// # Errors
    /// No such dummy, or it has nothing to teach.
    pub fn accept_dummy(&self, number: u32) -> Result<Edited, DeskError> {
        let view = newest(self.dummies()?, |view| view.number == number, "dummy")?;
        let place = format!("dummy {number}");
        let read = view
            .read
            .as_ref()
            .map_err(|why| DeskError::new(place.clone(), why.clone(), "Nothing was changed."))?;
        let edit = read.edit(&words::dummy(&view)).ok_or_else(|| {
            DeskError::new(
                place,
                "there is nothing sure enough in it to be taken into the book",
                "Nothing was changed.",
            )
        })?;
        self.take(MeasuredKind::Dummy, number, edit)
    }

    /// The figures of a sheet that a template may state, with ours.
    ///
    /// # Errors
    /// As [`Desk::snapshot`]; the book has no such sheet.
    pub fn template_figures(
        &self,
        kind: FlatKind,
    ) -> Result<Vec<(&'static str, Length)>, DeskError> {
        let standing = self.standing()?;
        let flat = standing.snapshot.object.flat(kind).ok_or_else(|| {
            wrong(
                "the template",
                &MeasuredError::NoSuchSheet { sheet: kind.word() },
            )
        })?;
        Ok(figures(flat))
    }

    /// Lays the printer's template over a sheet: its figures as they were typed, or its PDF. Kept in
    /// the record (of the PDF its boxes and lines).
    ///
    /// # Errors
    /// The book has no such sheet; figures that it does not have; a file that says nothing.
    pub fn read_template(
        &self,
        kind: FlatKind,
        figures: Fields<'_>,
        file: Option<TemplateFile<'_>>,
    ) -> Result<TemplateView, DeskError> {
        let standing = self.standing()?;
        let (name, kept) = match file {
            Some(file) => (file.name.to_owned(), pages::read(&standing, kind, &file)?),
            None => {
                let typed = entered::lengths(figures)?;
                (String::new(), KeptTemplate::typed(kind, typed))
            }
        };
        let place = if name.is_empty() {
            "the template"
        } else {
            name.as_str()
        };
        laid(&standing, &kept).map_err(|error| wrong(place, &error))?;
        self.keep_template(&name, &kept)
    }

    fn keep_template(&self, name: &str, kept: &KeptTemplate) -> Result<TemplateView, DeskError> {
        let given = kept::text(kept);
        let number = self.with_record(|record| {
            record.add_measured(MeasuredKind::Template, name, &given, "null")
        })?;
        newest(self.templates()?, |view| view.number == number, "template")
    }

    /// Takes another page of a template that was read, as a template of its own; the one before
    /// stays in the record.
    ///
    /// # Errors
    /// No such template; a page that it does not have, or that says nothing of its sheet.
    pub fn turn_template(&self, number: u32, page: u32) -> Result<TemplateView, DeskError> {
        let rows = self.with_record(|record| record.measured(MeasuredKind::Template))?;
        let row = newest(rows, |row| row.number == number, "template")?;
        let kept = kept::of::<KeptTemplate>(&row.given)
            .and_then(|kept| kept.turned(page))
            .ok_or_else(|| {
                DeskError::new(
                    format!("template {number}"),
                    format!("page {page} of it says nothing of this sheet"),
                    "Choose one of the pages that are offered, or hand the file in once more.",
                )
            })?;
        self.keep_template(&row.name, &kept)
    }

    /// The same for a PDF on the disk.
    ///
    /// # Errors
    /// As [`Desk::read_template`]; a file that cannot be read, or is far too large.
    pub fn read_template_file(
        &self,
        kind: FlatKind,
        file: &Path,
        page: Option<u32>,
    ) -> Result<TemplateView, DeskError> {
        let failed = |error: std::io::Error| DeskError::io(file, "read the template", &error);
        let metadata = std::fs::metadata(file).map_err(failed)?;
        if metadata.is_dir() || metadata.len() > LARGEST_TEMPLATE {
            return Err(DeskError::new(
                file.display().to_string(),
                if metadata.is_dir() {
                    "this is a folder, not a template"
                } else {
                    "this is far too large for a template"
                },
                "Name the PDF that the printer sent, or type its figures in.",
            ));
        }
        let bytes = std::fs::read(file).map_err(failed)?;
        let name = file
            .file_name()
            .map(|name| name.to_string_lossy().into_owned())
            .unwrap_or_default();
        let file = TemplateFile {
            name: &name,
            bytes: &bytes,
            page,
        };
        self.read_template(kind, &[], Some(file))
    }

    /// All templates, oldest first.
    ///
    /// # Errors
    /// As [`Desk::snapshot`].
    pub fn templates(&self) -> Result<Vec<TemplateView>, DeskError> {
        let standing = self.standing()?;
        let rows = self.with_record(|record| record.measured(MeasuredKind::Template))?;
        Ok(rows
            .into_iter()
            .filter_map(|row| {
                let kept = kept::of::<KeptTemplate>(&row.given)?;
                let MeasuredRow {
                    number,
                    at,
                    name,
                    accepted,
                    ..
                } = row;
                Some(TemplateView {
                    number,
                    at,
                    name,
                    kind: kept.kind()?,
                    page: kept.pages().map(|(number, of, others)| TemplatePage {
                        number,
                        of,
                        others,
                    }),
                    laid: laid(&standing, &kept).map_err(|error| error.to_string()),
                    accepted,
                })
            })
            .collect())
    }

    /// Takes the figures of a template that are to be believed into the book: one change, each with
    /// its source in words.
    ///
    /// # Errors
    /// No such template, or nothing in it is to be taken over.
    pub fn accept_template(&self, number: u32) -> Result<Edited, DeskError> {
        self.accept_of_template(
            number,
            "no figure of it is to be taken over",
            "Nothing was changed. What is to be asked about is taken figure by figure.",
            |laid, source| laid.edit(source),
        )
    }

    /// Takes one figure of a template into the book, by its name, though it was to be asked about:
    /// somebody has asked.
    ///
    /// # Errors
    /// No such template or figure, or one that sets nothing in the book.
    pub fn accept_template_figure(&self, number: u32, what: &str) -> Result<Edited, DeskError> {
        self.accept_of_template(
            number,
            &format!("no figure `{what}` of it could be taken over"),
            "Nothing was changed. The table of its figures says which follow from others.",
            |laid, source| laid.edit_figure(what, source),
        )
    }

    fn accept_of_template(
        &self,
        number: u32,
        problem: &str,
        hint: &str,
        edit: impl Fn(&Laid, &str) -> Option<Edit>,
    ) -> Result<Edited, DeskError> {
        let view = newest(self.templates()?, |view| view.number == number, "template")?;
        let place = format!("template {number}");
        let laid = view
            .laid
            .as_ref()
            .map_err(|why| DeskError::new(place.clone(), why.clone(), "Nothing was changed."))?;
        let edit = edit(laid, &words::template(&view))
            .ok_or_else(|| DeskError::new(place, problem, hint))?;
        self.take(MeasuredKind::Template, number, edit)
    }

    fn take(&self, kind: MeasuredKind, number: u32, edit: Edit) -> Result<Edited, DeskError> {
        let edited = editing::edit(self, &edit)?;
        self.with_record(|record| record.add_measured_accepted(kind, number))?;
        Ok(edited)
    }
}

fn told(standing: &Standing, measured: &OnTheShelf) -> Result<Told, MeasuredError> {
    let own = [standing.snapshot.book.text_stock.clone()];
    Told::of(measured, &own)
}

fn read(standing: &Standing, measured: &DummyMeasured) -> Result<DummyRead, MeasuredError> {
    let snapshot = &standing.snapshot;
    DummyRead::of(&snapshot.book, &snapshot.object, measured)
}

fn laid(standing: &Standing, kept: &KeptTemplate) -> Result<Laid, MeasuredError> {
    let (book, object) = (&standing.snapshot.book, &standing.snapshot.object);
    let kind = kept.kind().ok_or(MeasuredError::Nothing {
        missing: "the sheet of this template is not known here",
    })?;
    match kept.guides() {
        Some(guides) => template::Laid::drawn(book, object, kind, &guides),
        None => template::Laid::typed(book, object, kind, &kept.figures()),
    }
}

fn newest<T>(all: Vec<T>, is_it: impl Fn(&T) -> bool, what: &'static str) -> Result<T, DeskError> {
    all.into_iter().find(is_it).ok_or_else(|| {
        DeskError::new(
            what,
            "nothing with this number was measured for this book",
            format!("`foredge object {what}` lists what was."),
        )
    })
}

fn wrong(place: &str, error: &MeasuredError) -> DeskError {
    DeskError::new(place, error.to_string(), error.hint())
}
