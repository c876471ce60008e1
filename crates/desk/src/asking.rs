//! Asking printers for prices: requests that are written, answers and invoices that come, and what is
//! noted of each printer. Nothing is sent from here: files are written, and a person sends them; the
//! art is in none of them.

mod answers;
mod chart;
mod compared;
mod invoices;
mod keep;
mod printers;
mod requests;
mod specified;
mod standing;
mod told;

pub use answers::{AnswerGiven, AnswerRead, AnswerView};
pub use chart::ChartPoint;
pub use compared::{ComparisonView, RunCost};
pub use invoices::{InvoiceGiven, InvoiceTaken, InvoiceView};
pub use keep::{GivenFile, KeptFile};
pub use printers::{NoteKind, NoteView, PrinterView};
pub use requests::RequestView;
pub(crate) use standing::{newly_stale, stage};
pub use told::PRICES_CAUTION;

use std::path::Path;
use std::time::Duration;

use jiff::civil::Date;
use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::files::Lock;
use crate::record::AskingKind;
use crate::{Desk, DeskError};

/// How long one writer waits for another one.
const PATIENCE: Duration = Duration::from_secs(5);

impl Desk {
    /// The printers of the book in its order, then those that are only remembered, each with what
    /// is noted of them.
    ///
    /// # Errors
    /// As [`Desk::snapshot`]; the record cannot be read.
    pub fn printers(&self) -> Result<Vec<PrinterView>, DeskError> {
        printers::all(self)
    }

    /// Notes something about a printer: a sample that was asked for or came, what was said, a file.
    /// `on` is the day on which it happened, today unless said; a file is kept whole.
    ///
    /// # Errors
    /// No such printer; nothing to note; a file that is far too large.
    pub fn note_printer(
        &self,
        printer: &str,
        kind: NoteKind,
        text: &str,
        on: Option<Date>,
        file: Option<GivenFile<'_>>,
    ) -> Result<NoteView, DeskError> {
        printers::note(self, printer, kind, text, on, file)
    }

    /// The same with a file on the disk.
    ///
    /// # Errors
    /// As [`Desk::note_printer`]; the file cannot be read.
    pub fn note_printer_file(
        &self,
        printer: &str,
        kind: NoteKind,
        text: &str,
        on: Option<Date>,
        file: &Path,
    ) -> Result<NoteView, DeskError> {
        let (name, bytes) = keep::read(file)?;
        let file = GivenFile {
            name: &name,
            bytes: &bytes,
        };
        self.note_printer(printer, kind, text, on, Some(file))
    }

    /// Lays a note aside, or brings it back; nothing is lost.
    ///
    /// # Errors
    /// No such note.
    pub fn lay_note_aside(&self, number: u32, aside: bool) -> Result<NoteView, DeskError> {
        self.lay_aside(AskingKind::Note, number, aside)?;
        let notes = printers::notes(self)?;
        one(
            notes,
            |note| note.number == number,
            AskingKind::Note,
            number,
        )
    }

    /// Asks one printer, or all of the book: writes `asking/R0001-KEY.pdf`, `.txt` and `.xlsx` (the
    /// sheet to fill in) and remembers what was asked. Nothing is sent. `dated` is the day that stands on them, today
    /// unless said.
    ///
    /// # Errors
    /// No such printer or none at all; no wish in the book; the files cannot be written. Nothing is
    /// remembered then.
    pub fn ask(
        &self,
        printer: Option<&str>,
        dated: Option<Date>,
    ) -> Result<Vec<RequestView>, DeskError> {
        requests::ask(self, printer, dated)
    }

    /// The e-mail that a printer would be sent, for the book as it is and without writing anything.
    ///
    /// # Errors
    /// As [`Desk::ask`].
    pub fn request_words(&self, printer: &str) -> Result<String, DeskError> {
        requests::words(self, printer)
    }

    /// All requests, oldest first, each held against the book as it is.
    ///
    /// # Errors
    /// As [`Desk::printers`].
    pub fn requests(&self) -> Result<Vec<RequestView>, DeskError> {
        requests::all(self)
    }

    /// A file of a request by its name without folders, such as `R0001-quay.pdf`.
    ///
    /// # Errors
    /// No request has such a file, or it was taken away.
    pub fn request_file(&self, name: &str) -> Result<Vec<u8>, DeskError> {
        requests::file(self, name)
    }

    /// An original that is kept, with its name.
    ///
    /// # Errors
    /// It was taken away or changed by something else.
    pub fn kept_file(&self, file: &KeptFile) -> Result<Vec<u8>, DeskError> {
        keep::bytes(self, file)
    }

    /// Reads an answer and keeps it, with the original. A filled sheet (`.xlsx`, `.xlsm`, `.csv`,
    /// `.tsv`) is read, and fields that are typed beside it take the place of what it says. If
    /// something is doubtful, nothing is kept until a person agrees; each doubt of a sheet names its
    /// cell.
    ///
    /// # Errors
    /// It lacks a printer, a currency or a price; the book has no such printer; a sheet that cannot
    /// be read at all; nothing to replace.
    pub fn read_answer(&self, given: AnswerGiven<'_>) -> Result<AnswerRead, DeskError> {
        answers::read(self, given)
    }

    /// The same with a file on the disk in the place of [`AnswerGiven::file`].
    ///
    /// # Errors
    /// As [`Desk::read_answer`]; the file cannot be read.
    pub fn read_answer_file(
        &self,
        path: &Path,
        given: AnswerGiven<'_>,
    ) -> Result<AnswerRead, DeskError> {
        let (name, bytes) = keep::read(path)?;
        let file = Some(GivenFile {
            name: &name,
            bytes: &bytes,
        });
        self.read_answer(AnswerGiven { file, ..given })
    }

    /// All answers, oldest first, each held against its request and the book as it is; those that
    /// are laid aside or replaced too ([`AnswerView::stands`]).
    ///
    /// # Errors
    /// As [`Desk::printers`].
    pub fn answers(&self) -> Result<Vec<AnswerView>, DeskError> {
        answers::all(self)
    }

    /// Lays an answer aside, or brings it back; nothing is lost.
    ///
    /// # Errors
    /// No such answer.
    pub fn lay_answer_aside(&self, number: u32, aside: bool) -> Result<AnswerView, DeskError> {
        self.lay_aside(AskingKind::Answer, number, aside)?;
        answers::view(self, number)
    }

    /// All answers that stand on one footing, for some quantities: those that the book asks for, or
    /// else those that were quoted, where none are given. An estimate for a decision; no tax, customs
    /// or legal advice.
    ///
    /// # Errors
    /// As [`Desk::printers`]. What cannot be reckoned stands in the answer's column.
    pub fn comparison(&self, at: &[u64]) -> Result<ComparisonView, DeskError> {
        compared::view(self, at)
    }

    /// The lines of a comparison for a chart, in the order of its columns: one good copy over
    /// quantities, with the bounds between which the cost of a quantity that was not quoted lies.
    ///
    /// # Errors
    /// As [`Desk::printers`].
    pub fn comparison_chart(
        &self,
        view: &ComparisonView,
    ) -> Result<Vec<Vec<ChartPoint>>, DeskError> {
        chart::lines(self, view)
    }

    /// What a print run costs in hand by the cheapest answer, among those that hold for the book as it
    /// is if there are any; nothing where no answer can be reckoned.
    ///
    /// # Errors
    /// As [`Desk::printers`].
    pub fn run_cost(&self, copies: u64) -> Result<Option<RunCost>, DeskError> {
        let costs = self.run_costs(&[copies], None)?;
        Ok(costs.into_iter().next().flatten())
    }

    /// The same for many runs at once; by the answers of one printer alone, if it is named and has
    /// answered.
    ///
    /// # Errors
    /// As [`Desk::printers`].
    pub fn run_costs(
        &self,
        runs: &[u64],
        printer: Option<&str>,
    ) -> Result<Vec<Option<RunCost>>, DeskError> {
        compared::run_costs(self, runs, printer)
    }

    /// Holds an invoice against the answer that was ordered by, and keeps it. If something in it could
    /// not be read, nothing is kept until a person agrees.
    ///
    /// # Errors
    /// No such answer; it lacks a currency, the copies delivered or a line; another currency.
    pub fn hold_invoice(&self, given: InvoiceGiven<'_>) -> Result<InvoiceTaken, DeskError> {
        invoices::read(self, given)
    }

    /// The same with a file on the disk in the place of [`InvoiceGiven::file`].
    ///
    /// # Errors
    /// As [`Desk::hold_invoice`]; the file cannot be read.
    pub fn hold_invoice_file(
        &self,
        path: &Path,
        given: InvoiceGiven<'_>,
    ) -> Result<InvoiceTaken, DeskError> {
        let (name, bytes) = keep::read(path)?;
        let file = Some(GivenFile {
            name: &name,
            bytes: &bytes,
        });
        self.hold_invoice(InvoiceGiven { file, ..given })
    }

    /// All invoices, oldest first, those that are laid aside too.
    ///
    /// # Errors
    /// As [`Desk::printers`].
    pub fn invoices(&self) -> Result<Vec<InvoiceView>, DeskError> {
        invoices::all(self)
    }

    /// Lays an invoice aside, or brings it back; nothing is lost.
    ///
    /// # Errors
    /// No such invoice.
    pub fn lay_invoice_aside(&self, number: u32, aside: bool) -> Result<InvoiceView, DeskError> {
        self.lay_aside(AskingKind::Invoice, number, aside)?;
        invoices::view(self, number)
    }

    fn lay_aside(&self, kind: AskingKind, number: u32, aside: bool) -> Result<(), DeskError> {
        let there = self.with_record(|record| record.asking(kind))?;
        if there.iter().any(|row| row.number == number) {
            self.with_record(|record| record.lay_aside(kind, number, aside))
        } else {
            Err(no_such(kind, number))
        }
    }

    fn asking_lock(&self) -> Result<Lock, DeskError> {
        Lock::take(&self.private("asking.lock"), PATIENCE)?.ok_or_else(|| {
            DeskError::new(
                "asking",
                "another Foredge is writing requests or answers of this book",
                "Wait a moment and try again.",
            )
        })
    }
}

/// The one of views that fits.
fn one<T>(
    views: Vec<T>,
    fits: impl Fn(&T) -> bool,
    kind: AskingKind,
    number: u32,
) -> Result<T, DeskError> {
    views
        .into_iter()
        .find(fits)
        .ok_or_else(|| no_such(kind, number))
}

fn no_such(kind: AskingKind, number: u32) -> DeskError {
    let word = kind.word();
    let command = match kind {
        AskingKind::Note => "foredge printers",
        AskingKind::Request => "foredge ask",
        AskingKind::Answer | AskingKind::Invoice => "foredge prices",
    };
    DeskError::new(
        format!("{word} {number}"),
        format!("there is no {word} with this number"),
        format!("`{command}` lists them with their numbers."),
    )
}

/// Content of a row.
fn text<T: Serialize>(content: &T) -> String {
    serde_json::to_string(content).expect("numbers, words and lists are always written")
}

/// Content of a row; `None` where it cannot be understood.
fn of<T: DeserializeOwned>(text: &str) -> Option<T> {
    serde_json::from_str(text).ok()
}

/// A price error at a place.
fn refused(place: impl Into<String>, error: &price::PriceError) -> DeskError {
    DeskError::new(place, error.to_string(), error.hint())
}
