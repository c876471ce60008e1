//! What use cases take and give.

use std::path::PathBuf;

use book::object::FlatKind;
use book::plan::{Plan, ReaderPage, SheetPlan};
use colour::Lab;
use finding::Finding;
use measure::{PixelSize, Size};
use serde::{Deserialize, Serialize};

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
    /// Every printed sheet beside the pages.
    pub sheets: Vec<SheetPlan>,
    /// The object that the book becomes.
    pub object: book::object::Object,
    /// Art in the folder, by name.
    pub pieces: Vec<PieceInfo>,
    /// Findings on the book itself (missing art, forced blanks …).
    pub findings: Vec<Finding>,
    /// How many of them, from the first on, are about the pages and their art.
    pub(crate) of_pages: usize,
}

impl Snapshot {
    /// What was found of the pages and their art.
    pub(crate) fn found_of_pages(&self) -> &[Finding] {
        &self.findings[..self.of_pages]
    }

    /// What was found of the object and of the sheets around its pages.
    pub fn found_around(&self) -> &[Finding] {
        &self.findings[self.of_pages..]
    }

    /// A printed sheet, if the book has it.
    pub fn sheet(&self, kind: FlatKind) -> Option<&SheetPlan> {
        self.sheets.iter().find(|sheet| sheet.kind() == kind)
    }

    /// What one sees of the closed book: the jacket, else the cover.
    pub fn outside(&self) -> Option<&SheetPlan> {
        [FlatKind::Jacket, FlatKind::SoftCover, FlatKind::CaseWrap]
            .into_iter()
            .find_map(|kind| self.sheet(kind))
    }
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
    /// The dimensioned drawing that goes with them.
    pub drawing: PathBuf,
    /// Pages in the interior.
    pub pages: u32,
    /// Pages rendered anew; the others were kept from the last press file.
    pub rendered: u32,
    /// What was noticed.
    pub findings: Vec<Finding>,
}

/// State of one stage.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
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
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Stage {
    /// `art`, `running order`, `object`, those of the press files ([`crate::PressFile::word`]),
    /// `check`, `proof`, `prices`, `quantity`, `dates`.
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

/// What an edit did.
#[derive(Debug, Clone)]
pub struct Edited {
    /// In words: "Moved harbour from page 4 to page 8".
    pub what: String,
    /// What it made stale, in words.
    pub stale: Vec<String>,
}

impl Stage {
    /// A stage of that name.
    pub(crate) fn new(name: &str, state: StageState, because: String, next: &str) -> Self {
        Self {
            name: name.to_owned(),
            state,
            because,
            next: next.to_owned(),
        }
    }
}

/// What can be undone and redone, in words.
#[derive(Debug, Clone, Default)]
pub struct History {
    /// The edit that undo takes back.
    pub undo: Option<String>,
    /// The edit that redo brings again.
    pub redo: Option<String>,
}

/// What is looked at: a page of the interior, or another printed sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SheetName {
    /// A page.
    Page(ReaderPage),
    /// A sheet laid flat.
    Flat(FlatKind),
}

impl From<FlatKind> for SheetName {
    fn from(kind: FlatKind) -> Self {
        Self::Flat(kind)
    }
}

impl From<ReaderPage> for SheetName {
    fn from(page: ReaderPage) -> Self {
        Self::Page(page)
    }
}

/// How a page is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum View {
    /// As on the screen.
    Screen,
    /// As printed: soft proof with the paper's tint and the press's own black.
    Print,
    /// As printed, to eyes that take the paper for white.
    Adapted,
    /// A map of the colours that the press cannot reach.
    Reach,
    /// A map of how much ink lies where.
    Ink,
    /// A map of the shadows, and where their detail fills in.
    Shadows,
    /// As printed, without sharpening: to see what sharpening does.
    Plain,
}

impl View {
    /// All views, in the order in which they are offered.
    pub const ALL: [Self; 7] = [
        Self::Screen,
        Self::Print,
        Self::Adapted,
        Self::Reach,
        Self::Ink,
        Self::Shadows,
        Self::Plain,
    ];

    /// The word for it in addresses and on the command line.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Screen => "screen",
            Self::Print => "print",
            Self::Adapted => "adapted",
            Self::Reach => "reach",
            Self::Ink => "ink",
            Self::Shadows => "shadows",
            Self::Plain => "plain",
        }
    }

    /// The view of a word.
    pub fn of(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|view| view.word() == word)
    }
}

/// What a colour of a map means.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LegendStep {
    /// The colour, sRGB.
    pub rgb: [u8; 3],
    /// What it means, in words with figures.
    pub words: String,
}

/// The colour of one place of a page.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// On the screen, sRGB.
    pub rgb: [u8; 3],
    /// In ink: C, M, Y, K, 255 = solid.
    pub cmyk: [u8; 4],
    /// In the art, CIE L*a*b* D50, relative to the screen's white.
    pub art: Lab,
    /// In print, CIE L*a*b* D50, relative to the paper: to eyes that take the paper for white.
    pub print: Lab,
    /// Difference of the two, ΔE00.
    pub delta_e: f64,
    /// Total ink in percent, 0 to 400.
    pub ink_percent: f64,
}

/// What paper takes from one piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Loss {
    /// The art's name.
    pub piece: String,
    /// Pages that show it; empty for art that is on the cover alone or nowhere.
    pub pages: Vec<ReaderPage>,
    /// What will be lost, as one plain sentence.
    pub sentence: String,
    /// Whether it came as CMYK: somebody separated it already, and what that took is not known. The
    /// shares and ΔE00 below are then 0 and say nothing.
    pub separated_already: bool,
    /// Mean ΔE00 between the art's colours and their print, each seen relative to its own white.
    pub mean_lost: f64,
    /// Share of the area whose colour the press cannot reach within ΔE00 3, 0 to 1.
    pub out_of_reach: f64,
    /// Mean ΔE00 by which that share lies beyond the press.
    pub out_of_reach_by: f64,
    /// The part of `out_of_reach` in each hue band of [`colour::Compensation::BANDS`].
    pub out_of_reach_bands: [f64; 6],
    /// Share of the area whose shadow detail will fill in, 0 to 1.
    pub shadow_fills: f64,
    /// Share of the area whose highlight detail goes to bare paper, 0 to 1.
    pub highlight_fades: f64,
    /// Highest ink total in percent.
    pub ink_most: f64,
}
