//! Checking any press PDF, ours or not.
//!
//! # What is exact, and what is not
//! Pages are drawn onto plates of our own, one for each ink, never by way of RGB. For each cell of a
//! grid (0.254 mm) the plates keep the *inkiest point* that is visible there, so nothing is averaged
//! away: the ink total of a page is that of one real point, for pictures that of one sample at full
//! resolution. Overprint is honoured, spot inks count into the total, and only what is printed (the
//! bleed box) is looked at.
//!
//! A total counts as too high when it passes the limit by more than one percent (what rounding on four
//! plates can do). It stops when the places over the limit cover 1 mm² or more, cells counted whole,
//! and warns when they are specks; the figure that is measured is always the single inkiest point.
//!
//! - A point is known to lie in a cell, no finer. What only touches a cell hides nothing in it; so
//!   at an edge an ink may be counted that is hidden by less than a cell.
//! - Where ink overprints a picture, the inkiest sample of the cell before counts as the inkiest
//!   after.
//! - Finishings that the caller names are no ink: they count into no total. Of every plate beside the
//!   four the cells that it touches are kept, so its area is an upper bound. Words in no-go places are
//!   letters of typefaces; words that were turned into outlines are shapes like any other.
//! - Things that are see-through are never mixed: the inkier counts, and for multiplying modes the
//!   product. The total is then at most what is said, and `check-transparency` says so.
//! - RGB and Lab become ink by the expected press condition, from sRGB; an embedded RGB profile is
//!   not applied. Without a press condition it is a bare guess. `check-ink-estimated` says so.
//! - Shadings along a line or between circles are evaluated for each cell; other kinds count as their
//!   inkiest colour all over. Letters of typefaces that cannot be read (Type 1, or not embedded) are
//!   boxes. Joins of lines are round. Pictures in JPEG 2000, fax or JBIG2 coding are not decoded.
//!   `check-ink-approximate` says so.
//! - Of a file that is locked only the boxes and its own statements are read.
//!
//! The marks of PDF/X-4 are held to our own checklist (`clauses.md`); the standard's text was not
//! read, and this is no certificate.

mod content;
mod document;
mod file_findings;
mod filter;
mod font;
mod function;
mod gather;
mod guides;
mod image;
mod ink;
mod lexer;
mod object;
mod page;
mod page_findings;
mod plates;
mod raster;
mod rules;
mod run;
mod seen;
mod shading;
mod space;
mod structure;
mod tree;

pub use guides::{GuidesError, guide_pages, guides};

use finding::Finding;
use measure::{Length, Size};

/// What a press file is held against.
#[derive(Debug, Clone, Default)]
pub struct Expected {
    /// Trim size of every page.
    pub trim: Option<Size>,
    /// Least bleed.
    pub bleed: Option<Length>,
    /// Number of pages.
    pub pages: Option<u32>,
    /// Most ink in percent; unless said, that of `press`; without either, no total is too high.
    pub ink_limit: Option<f64>,
    /// For a cover: the spine that the book has now; the sheet must be two trims and this wide.
    pub cover_spine: Option<Length>,
    /// Press condition that RGB objects are separated with for the ink total, and that the output
    /// intent must carry.
    pub press: Option<colour::PressCondition>,
    /// Names of the finishing plates that the file must carry, and no others; they are no ink and
    /// count into no total. Unless said, any plates may be there.
    pub plates: Option<Vec<String>>,
    /// Places where no words may stand, from the trim's top left corner.
    pub no_go: Vec<book::object::NoGo>,
}

/// How far a check looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Depth {
    /// Everything but ink: no picture is decoded, so that a book takes a moment.
    Quick,
    /// Everything.
    #[default]
    Full,
}

/// What was read of one page.
#[derive(Debug, Clone)]
pub struct PageReport {
    /// PDF page, 1-based.
    pub page: u32,
    /// Trim, as the page is shown.
    pub trim: Option<Size>,
    /// Least bleed of the four sides; zero without a bleed box, `None` without a trim.
    pub bleed: Option<Length>,
    /// Lowest effective resolution of its images, in pixels an inch.
    pub lowest_ppi: Option<f64>,
    /// Highest ink total of the printed area, in percent: that of its single inkiest point. Zero
    /// when ink was not looked at.
    pub ink_most: f64,
    /// Where that is, from the trim's top left corner (as the page is shown), to about 0.2 mm;
    /// the first such place in reading order. Negative in the bleed.
    pub ink_most_at: (Length, Length),
    /// Colour spaces used, in words.
    pub colour_spaces: Vec<String>,
    /// Fonts used.
    pub fonts: Vec<String>,
    /// Plates beside the four inks.
    pub plates: Vec<PlateReport>,
    /// Number of pictures, counted as often as they are placed.
    pub images: usize,
}

/// A plate beside the four inks, as it was found on a page.
#[derive(Debug, Clone, PartialEq)]
pub struct PlateReport {
    /// Its name.
    pub name: String,
    /// How much of the printed area it touches, in square millimetres: cells of a quarter of a
    /// millimetre, counted whole, so that it is no less than what the plate covers. Zero when ink
    /// was not looked at.
    pub touched_mm2: f64,
    /// The rectangle around it, from the trim's top left corner, to a cell; none when ink was not
    /// looked at or nothing of it is printed.
    pub extent: Option<measure::Rect>,
    /// Whether some of it is set to take away the inks under it; unknown, and so `false`, when ink
    /// was not looked at.
    pub knocks_out: bool,
}

/// The file in a few words.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Summary {
    /// Pages in the file.
    pub pages: u32,
    /// Pages that were looked at; fewer when the check was stopped.
    pub checked: u32,
    /// Bytes in the file.
    pub bytes: u64,
    /// PDF version, such as `1.6`; empty for a file that is no PDF.
    pub version: String,
    /// Program that wrote it, by its own word; may be empty.
    pub producer: String,
    /// Title by its own word; may be empty.
    pub title: String,
    /// Kind of PDF/X that it claims to be.
    pub claims: Option<String>,
    /// Name of its output intent.
    pub output_intent: Option<String>,
}

/// All that was found in a press file.
#[derive(Debug, Clone)]
pub struct CheckReport {
    /// The file in a few words.
    pub summary: Summary,
    /// Per page.
    pub pages: Vec<PageReport>,
    /// Findings: those of the whole file first, then by page.
    pub findings: Vec<Finding>,
}

/// Reads a PDF and holds it against what is expected. A file that is no PDF is one `stop` finding.
///
/// Never fails and never panics, whatever the bytes are. The bytes are read where they lie, a page
/// at a time, so a mapped file of any size will do; up to four pages are in work at once.
///
/// `watch` is called on the calling thread with (pages done, pages in all) and stops the check by
/// returning `false`; what was found until then is reported, with the note `check-stopped`.
pub fn check(pdf: &[u8], expected: &Expected, watch: &dyn Fn(u32, u32) -> bool) -> CheckReport {
    run::check(pdf, expected, Depth::Full, watch)
}

/// Like [`check`], but looks only as far as asked.
pub fn check_to(
    pdf: &[u8],
    expected: &Expected,
    depth: Depth,
    watch: &dyn Fn(u32, u32) -> bool,
) -> CheckReport {
    run::check(pdf, expected, depth, watch)
}
