//! The book folder: files, the record, digests, staleness and use cases. The only crate that
//! touches the disk.
//!
//! ```text
//! DIR/book.toml            the decisions
//! DIR/art/…                the art, linked or copied
//! DIR/press/interior.pdf   press/cover.pdf   press/manifest.json
//! DIR/.foredge/record.sqlite   what happened, versions of book.toml (undo), digests by file
//! DIR/.foredge/cache/…     thumbnails and judgements, safe to delete
//! ```

mod digest;
mod edit_history;
mod error;
mod files;
mod moment;
mod record;
mod report;

pub use digest::Digest;
pub use error::DeskError;
pub use report::*;
// The faces see the rooms below through the desk alone.
pub use {art, book, colour, finding, measure, press};

use std::path::Path;
use std::sync::Arc;

use book::plan::ReaderPage;
use measure::PixelSize;

/// An open book folder; cheap to clone and safe to share between threads.
#[derive(Debug, Clone)]
pub struct Desk {
    root: Arc<std::path::PathBuf>,
}

impl Desk {
    /// Opens a folder that holds a `book.toml`.
    ///
    /// # Errors
    /// No such folder, no book file.
    pub fn open(folder: &Path) -> Result<Self, DeskError> {
        let _ = folder;
        todo!()
    }

    /// Makes a book folder with a first running order.
    ///
    /// # Errors
    /// The folder is taken, there is no art, the disk is full: nothing is left behind.
    pub fn create(request: &NewBook) -> Result<Self, DeskError> {
        let _ = request;
        todo!()
    }

    /// The folder.
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// The book as it is on disk now.
    ///
    /// # Errors
    /// A book file that cannot be read, with its line.
    pub fn snapshot(&self) -> Result<Arc<Snapshot>, DeskError> {
        todo!()
    }

    /// Where it stands. Fast: reads no pixels.
    ///
    /// # Errors
    /// As [`Desk::snapshot`].
    pub fn status(&self) -> Result<StatusReport, DeskError> {
        todo!()
    }

    /// Judges all art; cached by digest.
    ///
    /// # Errors
    /// As [`Desk::snapshot`], or stopped. A picture that fails is a finding.
    pub fn judge(&self, watch: &dyn Watch) -> Result<ArtReport, DeskError> {
        let _ = watch;
        todo!()
    }

    /// Writes the press files and the manifest.
    ///
    /// # Errors
    /// Missing or unreadable art, a full disk, stopped: the former files stay.
    pub fn press(&self, watch: &dyn Watch) -> Result<PressReport, DeskError> {
        let _ = watch;
        todo!()
    }

    /// Checks a press file against this book.
    ///
    /// # Errors
    /// The file cannot be read, or stopped.
    pub fn check(&self, file: &Path, watch: &dyn Watch) -> Result<press::CheckReport, DeskError> {
        let _ = (file, watch);
        todo!()
    }

    /// Changes the book file, keeping its comments, and remembers it for undo.
    ///
    /// # Errors
    /// The edit does not fit the book; nothing is changed.
    pub fn edit(&self, edit: &Edit) -> Result<Edited, DeskError> {
        let _ = edit;
        todo!()
    }

    /// Takes the last edit back; `None` when there is none.
    ///
    /// # Errors
    /// The file was changed by hand since (then that is kept as an edit of its own first).
    pub fn undo(&self) -> Result<Option<Edited>, DeskError> {
        todo!()
    }

    /// Brings the last undone edit again.
    ///
    /// # Errors
    /// As [`Desk::undo`].
    pub fn redo(&self) -> Result<Option<Edited>, DeskError> {
        todo!()
    }

    /// What undo and redo would do.
    ///
    /// # Errors
    /// The record cannot be read.
    pub fn history(&self) -> Result<History, DeskError> {
        todo!()
    }

    /// A small JPEG (sRGB) of a piece, its longer side `pixels`; cached.
    ///
    /// # Errors
    /// No such piece, or it cannot be read.
    pub fn thumbnail(&self, piece: &str, pixels: u32) -> Result<Arc<[u8]>, DeskError> {
        let _ = (piece, pixels);
        todo!()
    }

    /// Size in pixels of a page at press resolution, bleed included.
    ///
    /// # Errors
    /// As [`Desk::snapshot`]; no such page.
    pub fn page_size(&self, page: ReaderPage) -> Result<PixelSize, DeskError> {
        let _ = page;
        todo!()
    }

    /// A 512-pixel tile (JPEG or PNG, sRGB) of a page, bleed included: level 0 is press
    /// resolution, each level halves it. Also says which media type it is.
    ///
    /// # Errors
    /// As [`Desk::page_size`]; no such tile; art that cannot be read.
    pub fn tile(
        &self,
        page: ReaderPage,
        view: View,
        level: u8,
        column: u32,
        row: u32,
    ) -> Result<(&'static str, Arc<[u8]>), DeskError> {
        let _ = (page, view, level, column, row);
        todo!()
    }
}
