//! From pictures to ink by the book's press condition: the tables, each built once, and the choice
//! of which pictures print in black ink alone.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use art::{Picture, Samples};
use book::{Book, Rendering};
use colour::{
    ColourError, InkLimit, Intent, PaperView, PressCondition, Profile, Reach, Recipe, Repurpose,
    ScreenView, Separation, SoftProof, Space,
};
use rayon::prelude::*;

use crate::DeskError;
use crate::digest::{Digest, Gather};

/// Raised when the same art would give other bytes of ink.
const METHOD: &str = "1";
/// Pixels that one core converts at a time.
const SHARE: usize = 1 << 16;

/// A table that is built when it is first asked for; whoever asks meanwhile waits.
type Slot<T> = Arc<OnceLock<Result<Arc<T>, ColourError>>>;
/// Tables by the digest of the art's profile.
type Tables<T> = Mutex<HashMap<Digest, Slot<T>>>;

/// The press condition with everything that is built from it.
pub(crate) struct Inks {
    pub condition: PressCondition,
    pub intent: Intent,
    pub ink_limit: InkLimit,
    /// Digest of all the above.
    pub digest: Digest,
    separations: Tables<Separation>,
    reaches: Tables<Reach>,
    repurposes: Tables<Repurpose>,
    screens: Tables<ScreenView>,
    proof: Slot<SoftProof>,
}

impl Inks {
    /// The inks of a book under its press condition.
    pub(crate) fn new(book: &Book, condition: PressCondition) -> Result<Self, DeskError> {
        let intent = match book.press.rendering {
            Rendering::Perceptual => Intent::Perceptual,
            Rendering::Relative => Intent::Relative,
        };
        let ink_limit = match book.press.ink_limit {
            Some(percent) => InkLimit::from_percent(percent).map_err(|error| unusable(&error))?,
            None => condition.ink_limit,
        };
        let digest = Gather::new("inks")
            .put("method", METHOD)
            .put("profile", condition.profile.bytes())
            .put(
                "settings",
                recipe(Profile::srgb(), &condition, intent, ink_limit).settings(),
            )
            .done();
        Ok(Self {
            condition,
            intent,
            ink_limit,
            digest,
            separations: Mutex::default(),
            reaches: Mutex::default(),
            repurposes: Mutex::default(),
            screens: Mutex::default(),
            proof: Slot::default(),
        })
    }

    /// What paper does to art of a profile.
    pub(crate) fn reach(&self, source: &Profile) -> Result<Arc<Reach>, ColourError> {
        // CMYK art is judged by what it is worth on a screen; the table is that of sRGB.
        let source = match source.space() {
            Space::Cmyk => Profile::srgb(),
            Space::Grey | Space::Rgb => source.clone(),
        };
        kept(&self.reaches, &source, || {
            let recipe = recipe(source.clone(), &self.condition, self.intent, self.ink_limit);
            Reach::build(&recipe, &*self.separation(&source)?)
        })
    }

    fn separation(&self, source: &Profile) -> Result<Arc<Separation>, ColourError> {
        kept(&self.separations, source, || {
            Separation::build(&recipe(
                source.clone(),
                &self.condition,
                self.intent,
                self.ink_limit,
            ))
        })
    }

    /// The ink of a picture, CMYK bytes.
    pub(crate) fn separate(&self, picture: &Picture, black: Black) -> Result<Vec<u8>, ColourError> {
        if black == Black::Alone {
            return Ok(black_alone(&picture.samples));
        }
        let source = source_of(picture);
        let pixels = picture.samples.len() / picture.samples.channels();
        match &picture.samples {
            Samples::Cmyk8(bytes) => {
                let source = match &picture.profile {
                    Some(profile) => profile,
                    None => &self.condition.profile,
                };
                let table = kept(&self.repurposes, source, || {
                    Repurpose::build(source, &self.condition, self.intent, self.ink_limit)
                })?;
                let mut cmyk = bytes.clone();
                cmyk.par_chunks_mut(SHARE * 4)
                    .for_each(|cmyk| table.convert(cmyk));
                Ok(cmyk)
            }
            Samples::Rgb8(rgb) => {
                let table = self.separation(&source)?;
                Ok(by_shares(pixels, |from, to, cmyk| {
                    table.convert_rgb8(&rgb[from * 3..to * 3], cmyk);
                }))
            }
            Samples::Rgb16(rgb) => {
                let table = self.separation(&source)?;
                Ok(by_shares(pixels, |from, to, cmyk| {
                    table.convert_rgb16(&rgb[from * 3..to * 3], cmyk);
                }))
            }
            Samples::Grey8(grey) => {
                let table = self.separation(&source)?;
                Ok(by_shares(pixels, |from, to, cmyk| {
                    let rgb: Vec<u8> = grey[from..to].iter().flat_map(|&v| [v; 3]).collect();
                    table.convert_rgb8(&rgb, cmyk);
                }))
            }
            Samples::Grey16(grey) => {
                let table = self.separation(&source)?;
                Ok(by_shares(pixels, |from, to, cmyk| {
                    let rgb: Vec<u16> = grey[from..to].iter().flat_map(|&v| [v; 3]).collect();
                    table.convert_rgb16(&rgb, cmyk);
                }))
            }
        }
    }

    /// A picture as a screen shows it: sRGB bytes.
    pub(crate) fn on_screen(&self, picture: &Picture) -> Result<Vec<u8>, ColourError> {
        let source = match (&picture.samples, &picture.profile) {
            (_, Some(profile)) => profile.clone(),
            (Samples::Cmyk8(_), None) => self.condition.profile.clone(),
            (_, None) => Profile::srgb(),
        };
        let table = kept(&self.screens, &source, || ScreenView::build(&source))?;
        if let Samples::Cmyk8(cmyk) = &picture.samples {
            let mut rgb = vec![0; cmyk.len() / 4 * 3];
            rgb.par_chunks_mut(SHARE * 3)
                .zip(cmyk.par_chunks(SHARE * 4))
                .for_each(|(rgb, cmyk)| table.convert_cmyk8(cmyk, rgb));
            return Ok(rgb);
        }
        let mut rgb = rgb8(&picture.samples);
        rgb.par_chunks_mut(SHARE * 3)
            .for_each(|rgb| table.convert_rgb8(rgb));
        Ok(rgb)
    }

    /// How ink looks on this paper: sRGB bytes.
    pub(crate) fn proof(&self, cmyk: &[u8]) -> Result<Vec<u8>, ColourError> {
        let table = self
            .proof
            .get_or_init(|| SoftProof::build(&self.condition, PaperView::Shown).map(Arc::new))
            .clone()?;
        let mut rgb = vec![0; cmyk.len() / 4 * 3];
        rgb.par_chunks_mut(SHARE * 3)
            .zip(cmyk.par_chunks(SHARE * 4))
            .for_each(|(rgb, cmyk)| table.convert(cmyk, rgb));
        Ok(rgb)
    }
}

/// Which inks a picture prints in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Black {
    /// Black ink alone: line art.
    Alone,
    /// All four inks by the table.
    Mixed,
}

/// The least share of a line drawing's pixels that is plain paper or plain black; the rest are its
/// softened edges. Our assumption, tried on drawn, pencilled and photographed pictures.
const PLAIN_SHARE: f64 = 0.92;
/// How far a channel may stray from neutral in line art, in 255ths: the noise of a JPEG.
const STRAY: u8 = 6;
/// Below this value of 255 a pixel counts as plain black, and as far from 255 as plain paper.
const PLAIN: u8 = 24;

/// Line art, neutral and nearly all plain black or plain white, prints in black ink alone: a line
/// of four inks shows coloured edges as soon as the sheets are a tenth of a millimetre off.
/// Photographs and pencil, grey or not, need the depth of four inks and go through the table.
pub(crate) fn black_of(picture: &Picture) -> Black {
    let samples = &picture.samples;
    let pixels = samples.len() / samples.channels();
    if pixels == 0 || matches!(samples, Samples::Cmyk8(_)) {
        return Black::Mixed;
    }
    let (mut plain, mut dark) = (0u64, 0u64);
    for pixel in 0..pixels {
        let Some([r, g, b]) = samples.rgb8(pixel) else {
            return Black::Mixed;
        };
        let (least, most) = (r.min(g).min(b), r.max(g).max(b));
        if most - least > STRAY {
            return Black::Mixed;
        }
        plain += u64::from(least >= 255 - PLAIN || most <= PLAIN);
        dark += u64::from(most <= PLAIN);
    }
    if dark > 0 && plain as f64 >= PLAIN_SHARE * pixels as f64 {
        Black::Alone
    } else {
        Black::Mixed
    }
}

/// Black ink as the share of a pixel that a line covers: one minus its linear light.
fn black_alone(samples: &Samples) -> Vec<u8> {
    let ink: Vec<u8> = (0..=255u8)
        .map(|value| (255.0 * (1.0 - linear(f64::from(value) / 255.0))).round() as u8)
        .collect();
    let pixels = samples.len() / samples.channels();
    by_shares(pixels, |from, to, cmyk| {
        for (pixel, cmyk) in (from..to).zip(cmyk.chunks_exact_mut(4)) {
            let green = samples.rgb8(pixel).map_or(255, |rgb| rgb[1]);
            cmyk[3] = ink[usize::from(green)];
        }
    })
}

/// Linear light of an sRGB value (IEC 61966-2-1).
fn linear(value: f64) -> f64 {
    if value <= 0.040_45 {
        value / 12.92
    } else {
        ((value + 0.055) / 1.055).powf(2.4)
    }
}

/// Fills CMYK bytes share by share on all cores.
fn by_shares(pixels: usize, fill: impl Fn(usize, usize, &mut [u8]) + Sync) -> Vec<u8> {
    let mut cmyk = vec![0; pixels * 4];
    cmyk.par_chunks_mut(SHARE * 4)
        .enumerate()
        .for_each(|(share, cmyk)| {
            let from = share * SHARE;
            fill(from, from + cmyk.len() / 4, cmyk);
        });
    cmyk
}

/// RGB bytes in the picture's own encoding.
fn rgb8(samples: &Samples) -> Vec<u8> {
    match samples {
        Samples::Rgb8(bytes) => bytes.clone(),
        Samples::Grey8(bytes) => bytes.iter().flat_map(|&value| [value; 3]).collect(),
        // Rounded as `Samples::rgb8` rounds, but for all samples at once.
        Samples::Rgb16(words) => words
            .par_iter()
            .with_min_len(SHARE)
            .map(|&word| ((u32::from(word) + 128) / 257) as u8)
            .collect(),
        other => (0..other.len() / other.channels())
            .flat_map(|pixel| other.rgb8(pixel).unwrap_or([255; 3]))
            .collect(),
    }
}

/// The profile of RGB or grey art; sRGB is assumed where none came along.
fn source_of(picture: &Picture) -> Profile {
    picture.profile.clone().unwrap_or_else(Profile::srgb)
}

fn recipe(
    source: Profile,
    condition: &PressCondition,
    intent: Intent,
    ink_limit: InkLimit,
) -> Recipe {
    Recipe {
        source,
        press: condition.clone(),
        intent,
        ink_limit,
        compensation: colour::Compensation::NONE,
        departure: None,
    }
}

fn kept<T>(
    tables: &Tables<T>,
    source: &Profile,
    build: impl FnOnce() -> Result<T, ColourError>,
) -> Result<Arc<T>, ColourError> {
    let slot = tables
        .lock()
        .unwrap_or_else(PoisonError::into_inner)
        .entry(Digest::of(source.bytes()))
        .or_default()
        .clone();
    slot.get_or_init(|| build().map(Arc::new)).clone()
}

/// A press condition that cannot be used.
pub(crate) fn unusable(error: &ColourError) -> DeskError {
    DeskError::new(
        "book.toml [press]",
        error.to_string(),
        "Name a built-in condition (coated, coated-americas, uncoated) or a CMYK output profile \
         that lies in the book folder.",
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use measure::PixelSize;

    fn picture(samples: Samples) -> Picture {
        Picture {
            size: PixelSize {
                width: (samples.len() / samples.channels()) as u32,
                height: 1,
            },
            samples,
            profile: None,
            remarks: vec![],
        }
    }

    #[test]
    fn a_drawing_in_black_prints_in_black_ink_alone() {
        let mut grey = vec![255u8; 1000];
        grey[100..200].fill(0);
        grey[200] = 128;
        let drawing = picture(Samples::Grey8(grey));
        assert_eq!(black_of(&drawing), Black::Alone);
        let ink = black_alone(&drawing.samples);
        assert_eq!(ink[..4], [0, 0, 0, 0]);
        assert_eq!(ink[100 * 4..100 * 4 + 4], [0, 0, 0, 255]);
        // sRGB 128 is 21.6 percent of the light (IEC 61966-2-1), so 78.4 percent is covered.
        assert_eq!(ink[200 * 4 + 3], 200);
    }

    #[test]
    fn pencil_and_photographs_and_coloured_lines_need_four_inks() {
        let pencil = (0..1000).map(|i| (150 + i % 100) as u8).collect();
        assert_eq!(black_of(&picture(Samples::Grey8(pencil))), Black::Mixed);
        let mut coloured = vec![255u8; 3000];
        coloured[300..306].copy_from_slice(&[200, 0, 0, 0, 0, 0]);
        assert_eq!(black_of(&picture(Samples::Rgb8(coloured))), Black::Mixed);
        let blank = vec![255u8; 300];
        assert_eq!(black_of(&picture(Samples::Rgb8(blank))), Black::Mixed);
    }
}
