//! Letters: a document of paragraphs, tables and lists in, pages of placed glyphs and rules out.
//!
//! Words are data, never markup. What is too much for a page flows to the next. A sign that no
//! built-in typeface has does not stop a letter: an open box stands for it, and [`Pages::missing`]
//! names it.

use measure::{Length, Rect, Size};

pub use crate::signs::STAND_IN;

use crate::records;
use crate::signs::{in_rounds, sign};
use crate::typeset::typeset_letter;
use crate::walk::Walked;
use crate::{Font, Run, WordsError};

/// The sheet that a letter is printed on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Paper {
    /// 210 × 297 mm (ISO 216).
    A4,
    /// 8.5 × 11 in.
    UsLetter,
}

impl Paper {
    /// What lies in the printers of offices in a country, by its code of two letters (ISO 3166-1);
    /// A4 for a code that is not known. From memory, after the paper sizes of the Unicode CLDR.
    pub fn of_country(code: &str) -> Self {
        const LETTER: [&str; 14] = [
            "BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE",
        ];
        let code = code.trim();
        if LETTER
            .iter()
            .any(|letter| letter.eq_ignore_ascii_case(code))
        {
            Self::UsLetter
        } else {
            Self::A4
        }
    }

    /// The sheet, upright.
    pub fn size(self) -> Size {
        match self {
            Self::A4 => Size::from_mm(210.0, 297.0),
            Self::UsLetter => Size::from_mm(215.9, 279.4),
        }
    }
}

/// A letter, before it is set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Letter {
    /// The sheet.
    pub paper: Paper,
    /// BCP 47 language of the words.
    pub language: String,
    /// Who writes: the name, then the address by lines. May be empty.
    pub sender: Vec<String>,
    /// Whom it is for, by lines. May be empty.
    pub addressee: Vec<String>,
    /// Small facts beside the addressee: what, and which. Date and reference stand here.
    pub particulars: Vec<(String, String)>,
    /// What it is about.
    pub subject: String,
    /// A short line that stands at the foot of every page, left of the page number.
    pub running: String,
    /// What it says.
    pub parts: Vec<Part>,
    /// What is said below it all if signs are missing from the built-in typefaces; [`STAND_IN`]
    /// stands for them.
    pub on_missing: String,
}

/// One part of a letter.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Part {
    /// A heading.
    Heading(String),
    /// A paragraph; line breaks stand.
    Paragraph(String),
    /// A table of two columns without a head: what, and which.
    Facts(Vec<(String, String)>),
    /// A table with figures, or with places to write them in.
    Table(Table),
    /// A numbered list.
    Numbered(Vec<String>),
    /// The name of whoever writes, with room above it to sign by hand.
    Signature(String),
}

/// A table; every row has as many cells as the head, and an empty cell below the head is a place to
/// write in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Table {
    /// The heads of the columns; the first column is the widest.
    pub head: Vec<String>,
    /// The rows. Cells too many are left out, cells too few are empty.
    pub rows: Vec<Vec<String>>,
}

/// A letter, set.
#[derive(Debug, Clone)]
pub struct Pages {
    /// The sheet.
    pub size: Size,
    /// Fonts used.
    pub fonts: Vec<Font>,
    /// The pages, first to last; at least one.
    pub pages: Vec<Page>,
    /// Signs that no built-in typeface has, each once; [`STAND_IN`] stands for them.
    pub missing: Vec<char>,
}

/// One page; places are measured from its top left corner.
#[derive(Debug, Clone)]
pub struct Page {
    /// Words, in the order in which they are read.
    pub runs: Vec<Run>,
    /// Rules: upright rectangles filled with black.
    pub rules: Vec<Rect>,
}

impl Letter {
    /// Sets the letter on as many pages as it takes.
    ///
    /// # Errors
    /// [`WordsError::Typesetter`] for a letter too long to be one, or if the typesetter gave up.
    pub fn set(&self) -> Result<Pages, WordsError> {
        let size = self.paper.size();
        let ((pages, fonts), missing) = in_rounds(|missing| {
            let mut data = records::data(self, &mut |c| sign(c, missing))?;
            if !missing.is_empty() {
                records::add_note(&mut data, &self.on_missing, &mut |c| sign(c, missing));
            }
            let frames = typeset_letter(&data, self.paper, &self.language)?;
            let mut walked = Walked::new();
            let mut pages = Vec::with_capacity(frames.len());
            for frame in &frames {
                walked.add(frame)?;
                pages.push(Page {
                    runs: std::mem::take(&mut walked.runs),
                    rules: std::mem::take(&mut walked.rules),
                });
            }
            Ok(((pages, walked.fonts), walked.missing))
        })?;
        Ok(Pages {
            size,
            fonts,
            pages,
            missing,
        })
    }
}

impl Page {
    /// The lowest baseline or rule, from the top of the page; zero for an empty page.
    pub fn depth(&self) -> Length {
        let glyphs = self
            .runs
            .iter()
            .flat_map(|run| &run.glyphs)
            .map(|glyph| glyph.y);
        let rules = self.rules.iter().map(|rule| rule.y + rule.height);
        glyphs.chain(rules).max().unwrap_or(Length::ZERO)
    }
}
