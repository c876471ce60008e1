use colour::{InkLimit, Lab, PaperView, PressCondition, Separation};

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
        let mut wanted: Vec<Wanted> = control_patches(tables.ink_limit);
        wanted.extend(GREYS.iter().map(|&l| {
            let grey = grey_of_lightness(l);
            Wanted::art(PatchKind::ArtGrey, [grey; 3], 0.0)
        }));
        // Bare paper at both ends of what is no art shows whether the sheet is even.
        wanted.push(Wanted::ink(PatchKind::Paper, [0; 4]));
        wanted.extend(
            colours
                .iter()
                .map(|colour| Wanted::art(PatchKind::ArtColour, colour.rgb, colour.share)),
        );

        let printed = inks(&wanted, tables.printed);
        let predicted = tables.press.lab_of(&printed, PaperView::Shown)?;
        let intended = match tables.unlearned {
            Some(unlearned) => tables
                .press
                .lab_of(&inks(&wanted, unlearned), PaperView::Shown)?,
            None => predicted.clone(),
        };
        let patches = wanted
            .iter()
            .zip(printed)
            .zip(predicted.into_iter().zip(intended))
            .enumerate()
            .map(|(i, ((wanted, ink), (predicted, intended)))| Patch {
                name: name_of(i),
                kind: wanted.kind,
                art: wanted.art,
                ink,
                predicted,
                intended,
                share: wanted.share,
            })
            .collect();
        Ok(Self { version, patches })
    }

    /// The bare paper that the condition states; absolute.
    pub fn paper(&self) -> Lab {
        let white = Lab {
            l: 100.0,
            a: 0.0,
            b: 0.0,
        };
        self.patches
            .iter()
            .find(|patch| patch.kind == PatchKind::Paper)
            .map_or(white, |patch| patch.predicted)
    }
}

/// Lightnesses of the art's greys, relative to white.
const GREYS: [f64; 9] = [8.0, 19.0, 30.0, 41.0, 52.0, 63.0, 74.0, 85.0, 95.0];
/// Tints of black ink, in percent.
const BLACK_TINTS: [u8; 5] = [10, 25, 50, 75, 90];
/// Patches that share a letter.
const A_LETTER: usize = 12;

/// A patch before its colour is known.
struct Wanted {
    kind: PatchKind,
    art: Option<[u16; 3]>,
    ink: [u8; 4],
    share: f64,
}

impl Wanted {
    fn ink(kind: PatchKind, ink: [u8; 4]) -> Self {
        Self {
            kind,
            art: None,
            ink,
            share: 0.0,
        }
    }

    fn art(kind: PatchKind, art: [u16; 3], share: f64) -> Self {
        Self {
            kind,
            art: Some(art),
            ink: [0; 4],
            share,
        }
    }
}

fn control_patches(limit: InkLimit) -> Vec<Wanted> {
    let mut wanted = vec![Wanted::ink(PatchKind::Paper, [0; 4])];
    for i in 0..4 {
        let mut ink = [0; 4];
        ink[i] = 255;
        wanted.push(Wanted::ink(PatchKind::Solid, ink));
    }
    let overprints = [
        [0, 255, 255, 0],
        [255, 0, 255, 0],
        [255, 255, 0, 0],
        [255, 255, 255, 0],
    ];
    wanted.extend(
        overprints
            .into_iter()
            .filter(|ink| ink.iter().map(|&byte| u32::from(byte)).sum::<u32>() <= limit.byte_sum())
            .map(|ink| Wanted::ink(PatchKind::Overprint, ink)),
    );
    wanted.extend(BLACK_TINTS.iter().map(|&percent| {
        let black = (f64::from(percent) * 2.55).round() as u8;
        Wanted::ink(PatchKind::BlackTint, [0, 0, 0, black])
    }));
    wanted
}

/// Inks of all patches: those of the art through a table, the others as they are.
fn inks(wanted: &[Wanted], table: &Separation) -> Vec<[u8; 4]> {
    let art: Vec<u16> = wanted
        .iter()
        .flat_map(|wanted| wanted.art.unwrap_or([u16::MAX; 3]))
        .collect();
    let mut converted = vec![0; wanted.len() * 4];
    table.convert_rgb16(&art, &mut converted);
    wanted
        .iter()
        .zip(converted.chunks_exact(4))
        .map(|(wanted, ink)| match wanted.art {
            Some(_) => [ink[0], ink[1], ink[2], ink[3]],
            None => wanted.ink,
        })
        .collect()
}

/// sRGB value of a neutral of this lightness.
///
/// L* after CIE 15; the transfer curve of IEC 61966-2-1.
fn grey_of_lightness(l: f64) -> u16 {
    let y = if l > 8.0 {
        ((l + 16.0) / 116.0).powi(3)
    } else {
        l * 27.0 / 24389.0
    };
    let encoded = if y <= 0.003_130_8 {
        12.92 * y
    } else {
        1.055 * y.powf(1.0 / 2.4) - 0.055
    };
    (encoded.clamp(0.0, 1.0) * 65535.0).round() as u16
}

/// `A1` to `A12`, `B1` and so on; after `Z` come `AA1`, …
fn name_of(i: usize) -> String {
    let mut letters = String::new();
    let mut rank = i / A_LETTER + 1;
    while rank > 0 {
        let digit = ((rank - 1) % 26) as u8;
        letters.insert(0, char::from(b'A' + digit));
        rank = (rank - 1) / 26;
    }
    format!("{letters}{}", i % A_LETTER + 1)
}
