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

use std::path::{Path, PathBuf};
use std::sync::Arc;

use book::plan::{CoverPlan, Plan, ReaderPage};
use finding::Finding;
use measure::{PixelSize, Size};
use thiserror::Error;

/// What stops a use case: one problem, where, and what to do.
#[derive(Debug, Error)]
#[error("{place}: {problem}")]
pub struct DeskError {
    /// `book.toml:12`, `art/harbour.png`, or the folder.
    pub place: String,
    /// What is wrong.
    pub problem: String,
    /// What to do.
    pub hint: String,
    /// Whether a person stopped it (then nothing is wrong).
    pub stopped: bool,
}

/// Progress of long work, and the wish to stop it.
pub trait Watch: Sync {
    /// `done` of `total` steps are finished; `what` says what is being worked on.
    fn step(&self, done: usize, total: usize, what: &str);
    /// Whether to stop as soon as possible.
    fn stopped(&self) -> bool {
        false
    }
}

/// A new book folder.
#[derive(Debug, Clone)]
pub struct NewBook {
    /// Folder to make; must not exist or be empty.
    pub folder: PathBuf,
    /// Folder with the art.
    pub art: PathBuf,
    /// Title.
    pub title: String,
    /// Author; may be empty.
    pub author: String,
    /// Trim.
    pub trim: Size,
    /// Whether the art is copied in; otherwise it is linked.
    pub copy: bool,
}

/// One piece of art in the folder.
#[derive(Debug, Clone)]
pub struct PieceInfo {
    /// Name: path below `art/` with forward slashes.
    pub name: String,
    /// Size in pixels, upright; or why it cannot be read.
    pub size: Result<PixelSize, String>,
    /// Pages that show it.
    pub pages: Vec<ReaderPage>,
}

/// One consistent view of the book and what follows from it.
#[derive(Debug)]
pub struct Snapshot {
    /// The decisions.
    pub book: book::Book,
    /// Pages.
    pub plan: Plan,
    /// The soft cover, if the binding has one.
    pub cover: Option<CoverPlan>,
    /// Art in the folder, by name.
    pub pieces: Vec<PieceInfo>,
    /// Findings on the book itself (missing art, forced blanks …).
    pub findings: Vec<Finding>,
}

/// Judged art.
#[derive(Debug)]
pub struct ArtReport {
    /// By piece.
    pub pieces: Vec<art::Judgement>,
    /// All findings, near-duplicates and unreadable files included.
    pub findings: Vec<Finding>,
}

/// Press files made.
#[derive(Debug)]
pub struct PressReport {
    /// Files written.
    pub files: Vec<PathBuf>,
    /// Pages in the interior.
    pub pages: u32,
    /// Pages rendered anew; the others were kept from the last press file.
    pub rendered: u32,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

/// State of one stage.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StageState {
    /// Done, for the book as it is now.
    Fresh,
    /// Done, but for an older book.
    Stale,
    /// Not done yet.
    Missing,
    /// Cannot be done until something is mended.
    Blocked,
}

/// One stage from art to press.
#[derive(Debug, Clone)]
pub struct Stage {
    /// `art`, `running order`, `object`, `interior`, `cover`, `check`.
    pub name: String,
    /// State.
    pub state: StageState,
    /// Why, in a sentence: what changed from what to what, and what that does.
    pub because: String,
    /// What to do next; empty when nothing.
    pub next: String,
}

/// Where it stands.
#[derive(Debug, Clone)]
pub struct StatusReport {
    /// In order.
    pub stages: Vec<Stage>,
}

/// A change to the running order.
#[derive(Debug, Clone, PartialEq)]
pub enum Edit {
    /// Moves an entry so that it stands at `to` (index after the move).
    Move {
        /// Entry's name.
        entry: String,
        /// Index, 0-based.
        to: usize,
    },
    /// Takes an entry out (its art stays in the folder).
    Remove {
        /// Entry's name.
        entry: String,
    },
    /// Gives an entry another treatment, in the words of the book file.
    Treat {
        /// Entry's name.
        entry: String,
        /// `full page`, `spread`, `inset` …
        treatment: String,
    },
    /// Adds a blank page or a piece at an index.
    Insert {
        /// The piece, or `None` for a blank.
        piece: Option<String>,
        /// Index.
        at: usize,
    },
    /// Sets one value of the book file, such as `stock.text.grammage` to `170 g/m2`.
    Set {
        /// Dotted key.
        key: String,
        /// Value as text.
        value: String,
    },
}

/// What an edit did.
#[derive(Debug, Clone)]
pub struct Edited {
    /// In words: "Moved harbour from page 4 to page 8".
    pub what: String,
    /// What it made stale, in words.
    pub stale: Vec<String>,
}

/// What can be undone and redone, in words.
#[derive(Debug, Clone, Default)]
pub struct History {
    /// The edit that undo takes back.
    pub undo: Option<String>,
    /// The edit that redo brings again.
    pub redo: Option<String>,
}

/// How a page is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum View {
    /// As on the screen.
    Screen,
    /// As printed: soft proof with paper tint.
    Print,
}

/// An open book folder; cheap to clone and safe to share between threads.
#[derive(Debug, Clone)]
pub struct Desk {
    root: Arc<PathBuf>,
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
