//! Checking any press PDF.

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
    /// Most ink in percent.
    pub ink_limit: Option<f64>,
    /// For a cover: the spine that the book has now; the sheet must be two trims and this wide.
    pub cover_spine: Option<Length>,
    /// Press condition that RGB objects are separated with for the ink total, and that the output
    /// intent must carry.
    pub press: Option<colour::PressCondition>,
}

/// What was read of one page.
#[derive(Debug, Clone)]
pub struct PageReport {
    /// PDF page, 1-based.
    pub page: u32,
    /// Trim.
    pub trim: Option<Size>,
    /// Least bleed of the four sides.
    pub bleed: Option<Length>,
    /// Lowest effective resolution of its images.
    pub lowest_ppi: Option<f64>,
    /// Highest ink total of the rendered page, in percent.
    pub ink_most: f64,
    /// Where that is, from the trim's top left corner.
    pub ink_most_at: (Length, Length),
    /// Colour spaces used, in words.
    pub colour_spaces: Vec<String>,
    /// Fonts used.
    pub fonts: Vec<String>,
}

/// All that was found in a press file.
#[derive(Debug, Clone)]
pub struct CheckReport {
    /// Per page.
    pub pages: Vec<PageReport>,
    /// Findings, by page.
    pub findings: Vec<Finding>,
}

/// Reads a PDF and holds it against what is expected. A file that is no PDF is one `stop` finding.
///
/// `watch` is called with (pages done, pages in all) and stops the check by returning `false`.
pub fn check(pdf: &[u8], expected: &Expected, watch: &dyn Fn(u32, u32) -> bool) -> CheckReport {
    let _ = (pdf, expected, watch);
    todo!()
}
