use colour::Lab;
use measure::{Rect, Size};

/// What a patch is there for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PatchKind {
    /// Bare paper.
    Paper,
    /// One ink at full strength.
    Solid,
    /// Two or three inks at full strength over each other.
    Overprint,
    /// A tint of black ink alone.
    BlackTint,
    /// A neutral of the art, through the book's table.
    ArtGrey,
    /// A colour of the art, through the book's table.
    ArtColour,
}

/// One patch of a strip.
#[derive(Debug, Clone, PartialEq)]
pub struct Patch {
    /// Its name on the strip and in measurements, such as `A1`; unique in the strip.
    pub name: String,
    /// What it is there for.
    pub kind: PatchKind,
    /// The art's colour, sRGB in 16 bit, where it comes from art.
    pub art: Option<[u16; 3]>,
    /// Ink that is printed: C, M, Y, K, 255 = solid.
    pub ink: [u8; 4],
    /// What the press condition says that this ink prints as; absolute, D50.
    pub predicted: Lab,
    /// What it is meant to look like on paper; absolute, D50. Other than `predicted` only where a
    /// learned departure is undone.
    pub intended: Lab,
    /// Share of the book's printed area that is near this colour, 0 to 1; zero for what is no art.
    pub share: f64,
}

/// The book's own control strip.
#[derive(Debug, Clone, PartialEq)]
pub struct Strip {
    /// Number of the strip's version, counted from 1 in this book; part of the mark.
    pub version: u32,
    /// Patches in reading order: left to right, then down.
    pub patches: Vec<Patch>,
}

/// Where things stand on a strip, from its upper left corner.
#[derive(Debug, Clone, PartialEq)]
pub struct StripLayout {
    /// The whole strip, quiet zones included.
    pub size: Size,
    /// The machine-readable mark's modules as one square, its quiet zone excluded.
    pub mark: Rect,
    /// One rectangle a patch, in the patches' order.
    pub patches: Vec<Rect>,
    /// Corner marks: squares of solid black by which a scan is straightened.
    pub corners: Vec<Rect>,
}
