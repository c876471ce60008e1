//! From the running order to pages: what lies where on each page and on the cover.

use measure::{Length, Rect, Size};

/// A page as a reader counts: the first is 1, odd pages are on the right.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ReaderPage(pub u32);

/// Which side of the fold a page lies on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Side {
    /// Even pages.
    Left,
    /// Odd pages.
    Right,
}

impl ReaderPage {
    /// Odd pages lie on the right.
    pub const fn side(self) -> Side {
        if self.0 % 2 == 0 {
            Side::Left
        } else {
            Side::Right
        }
    }
}

/// Why a page is there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Cause {
    /// Entry of the running order, by index.
    Entry(usize),
    /// Blank, so that the next entry begins on a left page.
    ForcedByFold {
        /// The entry that wanted the left page.
        next: usize,
    },
    /// Blank, to fill the last signature.
    ForcedBySignature,
}

/// A picture placed on a page or on the cover.
///
/// Coordinates are from the top left corner of the trimmed page (or of the trimmed flat cover).
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedPicture {
    /// The art's name.
    pub piece: String,
    /// The whole picture, scaled; reaches beyond `window` where the picture is cropped.
    pub frame: Rect,
    /// What of it is visible, bleed included.
    pub window: Rect,
    /// Print although the resolution is under 150 ppi.
    pub accept_low_resolution: bool,
}

/// Style of a block of words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum WordStyle {
    /// Title page: title large, author below it.
    Title,
    /// Running prose with an optional heading.
    Prose,
    /// Small, at the foot.
    Colophon,
    /// One or two lines under a picture.
    Caption,
    /// A page number.
    Folio,
    /// Title and author on the front of a cover.
    CoverFront,
    /// One line along the spine.
    Spine,
}

/// A block of words placed on a page or on the cover.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedWords {
    /// Where it may be set, before turning.
    pub rect: Rect,
    /// How it is set.
    pub style: WordStyle,
    /// Heading or first line; may be empty.
    pub heading: String,
    /// Paragraphs.
    pub paragraphs: Vec<String>,
    /// Ink.
    pub ink: crate::WordInk,
    /// Turned a quarter clockwise, reading from head to foot (spine).
    pub turned: bool,
}

/// One page of the interior.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    /// Its number.
    pub number: ReaderPage,
    /// Why it is there.
    pub cause: Cause,
    /// Pictures, lowest first.
    pub pictures: Vec<PlacedPicture>,
    /// Words, over the pictures.
    pub words: Vec<PlacedWords>,
}

/// One folded signature: its first page and how many pages it has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Section {
    /// First page.
    pub first: ReaderPage,
    /// Pages in it.
    pub pages: u32,
}

/// The whole interior.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// Every page, in reading order.
    pub pages: Vec<Page>,
    /// The signatures that the pages are folded into, in order.
    pub sections: Vec<Section>,
}

/// The flat cover of a soft binding.
#[derive(Debug, Clone, PartialEq)]
pub struct CoverPlan {
    /// Trimmed flat sheet: back, spine, front.
    pub trim: Size,
    /// Spine width.
    pub spine: Length,
    /// Ground tint C, M, Y, K in percent, over sheet and bleed.
    pub ground: [f64; 4],
    /// Pictures.
    pub pictures: Vec<PlacedPicture>,
    /// Words.
    pub words: Vec<PlacedWords>,
}
