use colour::{InkLimit, Lab, PressCondition, Separation};

use crate::{Chosen, ProofError};

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

/// The tables through which the art's colours reach a strip. The art's side of both is sRGB.
#[derive(Debug, Clone, Copy)]
pub struct StripTables<'a> {
    /// The press.
    pub press: &'a PressCondition,
    /// The book's ink limit: overprints above it are left out.
    pub ink_limit: InkLimit,
    /// The table that the book is printed with.
    pub printed: &'a Separation,
    /// The same without the learned departure; `None` where nothing is learned. What it gives is
    /// what the patches are intended to look like.
    pub unlearned: Option<&'a Separation>,
}

impl Strip {
    /// Colours of the art that a full strip shows.
    pub const COLOURS: usize = 24;

    /// Builds the strip: paper, solids, overprints, black tints, greys and the chosen colours.
    ///
    /// # Errors
    /// The profile's tables fail.
    pub fn build(
        version: u32,
        colours: &[Chosen],
        tables: StripTables<'_>,
    ) -> Result<Self, ProofError> {
        let _ = (version, colours, tables);
        todo!()
    }

    /// The bare paper that the condition states; absolute.
    pub fn paper(&self) -> Lab {
        todo!()
    }
}
