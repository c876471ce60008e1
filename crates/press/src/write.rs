//! Writing.

use std::io::{Read, Write};

use measure::{Length, PixelSize, Rect, Size};
use thiserror::Error;

/// A press file that could not be written.
#[derive(Debug, Error)]
pub enum PressError {
    /// The place it is written to failed (a full disk, as a rule).
    #[error("the press file could not be written: {0}")]
    Io(#[from] std::io::Error),
    /// A font that cannot be embedded.
    #[error("the typeface `{name}` could not be embedded: {why}")]
    Font {
        /// PostScript name.
        name: String,
        /// Why.
        why: String,
    },
}

/// What kind of file it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FileKind {
    /// Pages in reading order.
    Interior,
    /// One sheet.
    Cover,
}

/// What the file says of itself. No clock here: the caller gives the moment.
#[derive(Debug, Clone)]
pub struct Facts {
    /// Kind.
    pub kind: FileKind,
    /// Title.
    pub title: String,
    /// Author; may be empty.
    pub author: String,
    /// BCP 47.
    pub language: String,
    /// Creation moment, as `2026-11-25T14:00:00Z`.
    pub created: String,
    /// 16 bytes that name this version, from the digest of its inputs.
    pub id: [u8; 16],
}

/// The output intent.
#[derive(Debug, Clone)]
pub struct OutputIntent {
    /// OutputConditionIdentifier.
    pub identifier: String,
    /// RegistryName.
    pub registry: Option<String>,
    /// Info.
    pub info: String,
    /// ICC bytes of the CMYK output profile.
    pub profile: Vec<u8>,
}

/// Storage of an image's CMYK samples.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ImageCoding {
    /// Flate with PNG predictors.
    Lossless,
    /// DCT, YCCK, stored inverted.
    Jpeg,
}

/// Encoded CMYK samples, ready to be a stream.
#[derive(Debug, Clone)]
pub struct ImageData {
    /// Size.
    pub size: PixelSize,
    /// Coding.
    pub coding: ImageCoding,
    /// The stream.
    pub bytes: Vec<u8>,
}

impl ImageData {
    /// Compresses CMYK bytes (0 = no ink), row by row. For JPEG, quality 95 without subsampling.
    pub fn encode(size: PixelSize, coding: ImageCoding, cmyk: &[u8]) -> Self {
        let _ = (size, coding, cmyk);
        todo!()
    }
}

/// Where a stored image's stream lies in a finished press file, so that it can be copied into the
/// next one without being made again.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StoredImage {
    /// Size.
    pub size: PixelSize,
    /// Coding.
    pub coding: ImageCoding,
    /// First byte of the stream's data in the file.
    pub offset: u64,
    /// Length of the stream's data.
    pub length: u64,
}

/// An image for a page: made now, or copied from the last press file.
pub enum ImageSource<'a> {
    /// Made now.
    Made(ImageData),
    /// Copied: exactly `stored.length` bytes are read.
    Kept {
        /// What it is (offset is where it lay before, and not used).
        stored: StoredImage,
        /// The stream's data.
        from: &'a mut dyn Read,
    },
}

/// A tint of the four inks, 0 to 1 each.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tint(pub [f32; 4]);

/// Words placed on a page.
#[derive(Debug, Clone)]
pub struct WordsInput {
    /// The set block.
    pub galley: words::Galley,
    /// Where its top left corner lies, from the trim's top left corner.
    pub x: Length,
    /// Down.
    pub y: Length,
    /// Ink: black alone, or no ink at all (paper).
    pub paper: bool,
    /// Turned a quarter clockwise about that corner (`x`, `y` is then the top right corner of the
    /// turned block: text runs down).
    pub turned: bool,
}

/// One page to write.
pub struct PageInput<'a> {
    /// Trim size.
    pub trim: Size,
    /// Bleed on all four sides.
    pub bleed: Length,
    /// Ground tint over the bleed box, if any.
    pub ground: Option<Tint>,
    /// Images with the rectangles they fill, from the trim's top left corner; clipped at the bleed.
    pub images: Vec<(Rect, ImageSource<'a>)>,
    /// Words over them.
    pub words: Vec<WordsInput>,
}

/// Where a page's images came to lie.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stored {
    /// In the order of [`PageInput::images`].
    pub images: Vec<StoredImage>,
}

/// Writes a press file as a stream: memory does not grow with the pages.
pub struct PressWriter<W: Write> {
    _out: W,
}

impl<W: Write> PressWriter<W> {
    /// Writes header and output intent.
    ///
    /// # Errors
    /// When the place cannot be written to.
    pub fn begin(out: W, facts: &Facts, intent: &OutputIntent) -> Result<Self, PressError> {
        let _ = (&out, facts, intent);
        todo!()
    }

    /// Adds a page and says where its images lie.
    ///
    /// # Errors
    /// When the place cannot be written to, or a font cannot be embedded.
    pub fn page(&mut self, page: PageInput<'_>) -> Result<Stored, PressError> {
        let _ = page;
        todo!()
    }

    /// Writes fonts, page tree, XMP, xref and trailer; gives the place back.
    ///
    /// # Errors
    /// When the place cannot be written to.
    pub fn finish(self) -> Result<W, PressError> {
        todo!()
    }
}
