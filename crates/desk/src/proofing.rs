//! The loop with the printed proof: the book's own control strip, proof pages with it, reading
//! what came from the press, and taking the correction into the book once a person says so.

mod accept;
mod colours;
mod kept;
mod lesson;
mod make;
mod practise;
mod read;
mod reading;
mod report;
mod sheet;
mod standing;
mod strips;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use book::plan::ReaderPage;
use proof::StripLayout;

use crate::press_job::Plan;
use crate::{Desk, DeskError, Edited, Watch};

pub(crate) use standing::stage;

pub use report::{PatchReading, ProofFile, ProofReading, ReadFrom, StripView};

/// Where measurements are kept, in the book folder.
const FOLDER: &str = "proofs";

impl Desk {
    /// The book's control strip as it is now. Reads small pictures of the art, which are cached.
    ///
    /// # Errors
    /// As [`Desk::snapshot`]; art that cannot be read; stopped.
    pub fn strip(&self, watch: &dyn Watch) -> Result<StripView, DeskError> {
        let standing = self.standing()?;
        let inks = self.inks(&standing.snapshot.book)?;
        let plan = Plan::new(self, &standing, &inks)?;
        let now = strips::now(self, &plan, watch)?;
        Ok(StripView {
            layout: StripLayout::of(&now.strip, make::width(&plan)),
            strip: Arc::new(now.strip),
            kept: now.kept,
            changed: now.changed,
        })
    }

    /// Writes `press/proof.pdf`: the pages, each at its true size with the strip outside its trim,
    /// or the strip on a sheet of its own when no page is named.
    ///
    /// # Errors
    /// No such page; missing or unreadable art, a full disk, stopped: the former file stays.
    pub fn make_proof(
        &self,
        pages: &[ReaderPage],
        watch: &dyn Watch,
    ) -> Result<ProofFile, DeskError> {
        make::run(self, pages, watch)
    }

    /// Prints the strip on a practice press, heavier than it should be, and writes its measurement
    /// to `proofs/practice-N.txt`, so that the loop can be tried without paying for a proof.
    ///
    /// # Errors
    /// As [`Desk::strip`]; a full disk.
    pub fn practise(&self, watch: &dyn Watch) -> Result<PathBuf, DeskError> {
        practise::run(self, watch)
    }

    /// Reads a measurement of a proof: CGATS text or a scan. Nothing changes in the book.
    ///
    /// `scanner` is an ICC profile of the scanner.
    ///
    /// # Errors
    /// A file that is no measurement, of another book or of no strip that is known; a measurement
    /// whose lines cannot be told apart; stopped. Nothing is kept then.
    pub fn read_proof(
        &self,
        file: &Path,
        scanner: Option<&Path>,
        watch: &dyn Watch,
    ) -> Result<ProofReading, DeskError> {
        read::file(self, file, scanner, watch)
    }

    /// The same from bytes that came with a name; of the name only the last part counts.
    ///
    /// # Errors
    /// As [`Desk::read_proof`].
    pub fn read_proof_bytes(
        &self,
        name: &str,
        bytes: &[u8],
        scanner: Option<&[u8]>,
        watch: &dyn Watch,
    ) -> Result<ProofReading, DeskError> {
        read::bytes_of(self, name, bytes, scanner, watch)
    }

    /// Every measurement that was read, oldest first. Reads no pixels.
    ///
    /// # Errors
    /// As [`Desk::snapshot`].
    pub fn proofs(&self) -> Result<Vec<ProofReading>, DeskError> {
        reading::all(self)
    }

    /// Takes the lesson of a measurement into the book, in one step that undo takes back.
    ///
    /// # Errors
    /// No such measurement; nothing was learned from it; it was for another press condition.
    pub fn accept_proof(&self, id: u32) -> Result<Edited, DeskError> {
        accept::accept(self, id)
    }

    /// Takes what was learned from a proof out of the book, in one step that undo takes back.
    ///
    /// # Errors
    /// The book file cannot be written.
    pub fn forget_proof(&self) -> Result<Edited, DeskError> {
        accept::forget(self)
    }
}
