//! Typesetting: blocks of words, whole letters and the words of drawings in, placed glyphs out. The heavy typesetter lives here alone.
//!
//! Words of the user are data, never markup. Straight quotes are set as the language's own; line
//! breaks stand in titles, on covers and in colophons, and flow in prose and captions.

mod clean;
mod faces;
pub mod label;
pub mod letter;
mod plain;
mod records;
mod signs;
mod typeset;
mod walk;

use std::sync::Arc;

use measure::{Length, Size};
use thiserror::Error;

use clean::Clean;
use typeset::{Figures, typeset};
use walk::Walked;

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
    /// How many of them are the heading's, in titles, on covers and spines; they stand first.
    pub heading_runs: usize,
    /// How much taller (or wider, if that is more) the words are than the space; zero if they fit.
    pub overflow: Length,
}

/// Sets a block.
///
/// Titles, cover fronts and spines are made smaller until they fit; nothing else is. What still
/// does not fit is set all the same, and [`Galley::overflow`] says by how much it runs over.
///
/// # Errors
/// See [`WordsError`].
pub fn set(block: &Block) -> Result<Galley, WordsError> {
    let words = Clean::from(block)?;
    if words.is_empty() {
        return Ok(Galley {
            fonts: Vec::new(),
            runs: Vec::new(),
            heading_runs: 0,
            overflow: Length::ZERO,
        });
    }
    if block.size.width <= Length::ZERO || block.size.height <= Length::ZERO {
        return Err(WordsError::Typesetter(
            "there is no space for them".to_owned(),
        ));
    }
    let (language, region) = language(&block.language);
    let mut last = None;
    for scale in block.style.scales() {
        let frame = typeset(
            &words,
            Figures {
                style: block.style.name(),
                width: block.size.width.inches() * 72.0,
                height: block.size.height.inches() * 72.0,
                scale: *scale,
                language,
                region,
            },
        )?;
        let mut galley = block.style.stand(
            Walked::from(&frame)?,
            walk::length(frame.height()),
            block.size,
        );
        galley.heading_runs = heading_runs(&galley.runs, &words.heading);
        let fits = galley.overflow == Length::ZERO;
        last = Some(galley);
        if fits {
            break;
        }
    }
    Ok(last.expect("every style has a scale"))
}

/// How many runs from the first one it takes for all letters of a heading. In titles, on
/// covers and spines heading and paragraphs are not of one size and face, so that no run has letters of both.
fn heading_runs(runs: &[Run], heading: &str) -> usize {
    let letters = |text: &str| text.chars().filter(|c| !c.is_whitespace()).count();
    let wanted = letters(heading);
    let mut so_far = 0;
    runs.iter()
        .take_while(|run| {
            let begun = so_far < wanted;
            so_far += run
                .glyphs
                .iter()
                .map(|glyph| letters(&glyph.text))
                .sum::<usize>();
            begun
        })
        .count()
}

/// The files of all built-in typefaces, for drawings that hold words of their own.
pub fn typefaces() -> impl Iterator<Item = &'static [u8]> {
    typst_assets::fonts()
}

/// Rounding in the typesetter that is not taken for running over.
const SLACK: Length = Length::from_nm(2_000);

impl Style {
    /// The name by which the layout knows it.
    const fn name(self) -> &'static str {
        match self {
            Self::Title => "title",
            Self::Prose => "prose",
            Self::Colophon => "colophon",
            Self::Caption => "caption",
            Self::Folio => "folio",
            Self::CoverFront => "cover-front",
            Self::Spine => "spine",
        }
    }

    /// Scales to try until it fits; a spine's line is fitted by the layout itself.
    const fn scales(self) -> &'static [f64] {
        match self {
            Self::Title | Self::CoverFront => &[1.0, 0.86, 0.74, 0.63, 0.54, 0.46, 0.4],
            _ => &[1.0],
        }
    }

    /// Where the words stand in the height of their space, as the share of the free height that
    /// is left above them. A title looks centred when it stands a little above the middle.
    const fn share_above(self) -> f64 {
        match self {
            Self::Title => 0.38,
            Self::Spine => 0.5,
            Self::Colophon | Self::Folio => 1.0,
            Self::Prose | Self::Caption | Self::CoverFront => 0.0,
        }
    }

    /// Moves words of this height to where they stand, and measures what runs over.
    fn stand(self, words: Walked, height: Length, space: Size) -> Galley {
        let free = space.height - height;
        let down = if free > Length::ZERO {
            free.scaled(self.share_above())
        } else {
            Length::ZERO
        };
        let mut runs = words.runs;
        for glyph in runs.iter_mut().flat_map(|run| &mut run.glyphs) {
            glyph.y += down;
        }
        let over = (-free)
            .max(words.right - space.width)
            .max(-words.left)
            .max(Length::ZERO);
        Galley {
            fonts: words.fonts,
            runs,
            heading_runs: 0,
            overflow: if over <= SLACK { Length::ZERO } else { over },
        }
    }
}

/// The language and, if it is stated, the region of a BCP 47 tag (RFC 5646, 2.1). A tag that is
/// none counts as undetermined: it is set without hyphenation.
fn language(tag: &str) -> (&str, Option<&str>) {
    let mut parts = tag.trim().split(['-', '_']);
    let letters = |part: &str| part.bytes().all(|b| b.is_ascii_alphabetic());
    let language = parts.next().unwrap_or_default();
    if !matches!(language.len(), 2..=3) || !letters(language) {
        return ("und", None);
    }
    let region = parts
        .take_while(|part| part.len() > 1)
        .find(|part| part.len() == 2 && letters(part));
    (language, region)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn language_tags_give_language_and_region() {
        assert_eq!(language("en"), ("en", None));
        assert_eq!(language("pt-BR"), ("pt", Some("BR")));
        assert_eq!(language("zh-Hant-TW"), ("zh", Some("TW")));
        assert_eq!(language("de-x-ab"), ("de", None));
        assert_eq!(language(""), ("und", None));
        assert_eq!(language("english"), ("und", None));
        assert_eq!(language("日本"), ("und", None));
    }
}
