//! Typesetting: blocks of words in, placed glyphs out. The heavy typesetter lives here alone.
//!
//! Words of the user are data, never markup.

use std::sync::Arc;

use measure::{Length, Size};
use thiserror::Error;

/// Words that cannot be set.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum WordsError {
    /// Characters that no built-in font has.
    #[error("no built-in typeface has {0}")]
    MissingGlyphs(String),
    /// The typesetter refused.
    #[error("the words could not be set: {0}")]
    Typesetter(String),
}

/// How a block is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Style {
    /// Heading large, paragraphs below it, placed at the optical middle.
    Title,
    /// Heading, then justified, hyphenated paragraphs.
    Prose,
    /// Small, ragged, at the foot.
    Colophon,
    /// Small, centred.
    Caption,
    /// Page number, centred at the foot.
    Folio,
    /// Front of the cover.
    CoverFront,
    /// One line along the spine: heading and first paragraph, parted by space; size chosen to fit
    /// the height of `size`.
    Spine,
}

/// A block to set.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub struct Block {
    /// Space there is.
    pub size: Size,
    /// Style.
    pub style: Style,
    /// Heading; may be empty.
    pub heading: String,
    /// Paragraphs.
    pub paragraphs: Vec<String>,
    /// BCP 47 language.
    pub language: String,
}

/// A font file.
#[derive(Debug, Clone)]
pub struct Font {
    /// PostScript name.
    pub name: String,
    /// The file.
    pub data: Arc<[u8]>,
    /// Index in a collection.
    pub index: u32,
}

/// One glyph, placed from the block's top left corner; `y` is its baseline, down.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Glyph {
    /// Glyph id in the font.
    pub id: u16,
    /// Origin.
    pub x: Length,
    /// Baseline.
    pub y: Length,
    /// What it stands for, for copying text out of the PDF.
    pub text: String,
}

/// Glyphs of one font and size.
#[derive(Debug, Clone)]
pub struct Run {
    /// Index into [`Galley::fonts`].
    pub font: usize,
    /// Type size.
    pub size: Length,
    /// Glyphs.
    pub glyphs: Vec<Glyph>,
}

/// A block, set.
#[derive(Debug, Clone)]
pub struct Galley {
    /// Fonts used.
    pub fonts: Vec<Font>,
    /// Runs.
    pub runs: Vec<Run>,
    /// How much taller the words are than the space; zero if they fit.
    pub overflow: Length,
}

/// Sets a block.
///
/// # Errors
/// See [`WordsError`].
pub fn set(block: &Block) -> Result<Galley, WordsError> {
    let _ = block;
    todo!()
}
