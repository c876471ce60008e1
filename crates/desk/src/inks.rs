//! From pictures to ink by the book's press condition: the tables, each built once, and the choice
//! of the plates that a picture prints on.

use std::collections::{HashMap, VecDeque};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use art::{Picture, Samples};
use book::{Book, PieceInks, Rendering};
use colour::{
    ColourError, Compensation, Departure, DuoInk, InkLimit, Intent, PaperView, PressCondition,
    Profile, Reach, Readings, Recipe, Repurpose, ScreenView, Separation, SoftProof, Space, Trial,
    TrialTable,
};
use rayon::prelude::*;

use crate::digest::{Digest, Gather};
use crate::{DeskError, paper};

/// Raised when the same art would give other bytes of ink.
const METHOD: &str = "2";
/// Pixels that one core converts at a time.
pub(crate) const SHARE: usize = 1 << 16;
/// Tables of one kind that are kept: one of 65³ takes 2 MB, and each figure tried makes a new one.
const TABLES: usize = 24;

/// A table that is built when it is first asked for; whoever asks meanwhile waits.
type Slot<T> = Arc<OnceLock<Result<Arc<T>, ColourError>>>;

/// Tables of one kind by the digest of what they are built from.
struct Tables<T> {
    kept: Mutex<Shelf<T>>,
}

struct Shelf<T> {
    slots: HashMap<Digest, Slot<T>>,
    /// Last asked for, last in line.
    order: VecDeque<Digest>,
}

impl<T> Default for Tables<T> {
    fn default() -> Self {
        Self {
            kept: Mutex::new(Shelf {
                slots: HashMap::new(),
                order: VecDeque::new(),
            }),
        }
    }
}

impl<T> Tables<T> {
    fn get(
        &self,
        key: Digest,
        build: impl FnOnce() -> Result<T, ColourError>,
    ) -> Result<Arc<T>, ColourError> {
        let slot = {
            let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
            let Shelf { slots, order } = &mut *kept;
            order.retain(|known| *known != key);
            order.push_back(key);
            let slot = slots.entry(key).or_default().clone();
            if order.len() > TABLES
                && let Some(oldest) = order.pop_front()
            {
                slots.remove(&oldest);
            }
            slot
        };
        slot.get_or_init(|| build().map(Arc::new)).clone()
    }
}

/// The press condition with everything that is built from it.
pub(crate) struct Inks {
    pub condition: PressCondition,
    pub intent: Intent,
    pub ink_limit: InkLimit,
    /// How the press is known to depart from its condition.
    pub departure: Option<Departure>,
    /// Digest of the condition, the rendering and the limit.
    pub digest: Digest,
    /// Digest of the departure too: of all that decides a picture's inks besides its treatment.
    pub whole: Digest,
    separations: Tables<Separation>,
    reaches: Tables<Reach>,
    repurposes: Tables<Repurpose>,
    screens: Tables<ScreenView>,
    proofs: Tables<SoftProof>,
    readings: Tables<Readings>,
    trials: Tables<Trial>,
    trial_tables: Tables<TrialTable>,
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
        let mut recipe = Recipe {
            source: Profile::srgb(),
            press: condition.clone(),
            intent,
            ink_limit,
            compensation: Compensation::NONE,
            departure: None,
        };
        let digest = Gather::new("inks")
            .put("method", METHOD)
            .put("profile", condition.profile.bytes())
            .put("settings", recipe.settings())
            .done();
        recipe.departure = paper::departure(book.paper.learned.as_ref())?;
        let whole = Gather::new("inks of a press that is known")
            .put("inks", digest.to_string())
            .put("settings", recipe.settings())
            .done();
        Ok(Self {
            condition,
            intent,
            ink_limit,
            departure: recipe.departure,
            digest,
            whole,
            separations: Tables::default(),
            reaches: Tables::default(),
            repurposes: Tables::default(),
            screens: Tables::default(),
            proofs: Tables::default(),
            readings: Tables::default(),
            trials: Tables::default(),
            trial_tables: Tables::default(),
        })
    }

    /// The recipe of the tables for art of a profile.
    pub(crate) fn recipe(&self, source: &Profile, compensation: &Compensation) -> Recipe {
        Recipe {
            source: source.clone(),
            press: self.condition.clone(),
            intent: self.intent,
            ink_limit: self.ink_limit,
            compensation: *compensation,
            departure: self.departure.clone(),
        }
    }

    /// What paper does to art of a profile. `duo` is the ink beside black, for art that prints in
    /// few inks.
    pub(crate) fn reach(
        &self,
        source: &Profile,
        duo: Option<DuoInk>,
        compensation: &Compensation,
    ) -> Result<Arc<Reach>, ColourError> {
        // CMYK art is judged by what it is worth on a screen; the table is that of sRGB.
        let source = match source.space() {
            Space::Cmyk => Profile::srgb(),
            Space::Grey | Space::Rgb => source.clone(),
        };
        let recipe = self.recipe(&source, compensation);
        self.reaches
            .get(key(&format!("reach {duo:?}"), &recipe), || {
                let table = match duo {
                    Some(ink) => self.few(&source, ink, compensation)?,
                    None => self.separation(&source, compensation)?,
                };
                Reach::build(&recipe, &table)
            })
    }

    /// The table of all four inks.
    pub(crate) fn separation(
        &self,
        source: &Profile,
        compensation: &Compensation,
    ) -> Result<Arc<Separation>, ColourError> {
        let recipe = self.recipe(source, compensation);
        self.separations
            .get(key("separation", &recipe), || Separation::build(&recipe))
    }

    /// The table of black and one ink beside it.
    fn few(
        &self,
        source: &Profile,
        ink: DuoInk,
        compensation: &Compensation,
    ) -> Result<Arc<Separation>, ColourError> {
        let recipe = self.recipe(source, compensation);
        self.separations.get(key(&format!("{ink:?}"), &recipe), || {
            Separation::duo(&recipe, ink)
        })
    }

    /// The table that a strip's colours are printed by: sRGB under a compensation.
    pub(crate) fn printed(
        &self,
        compensation: &Compensation,
    ) -> Result<Arc<Separation>, ColourError> {
        self.separation(&Profile::srgb(), compensation)
    }

    /// The same as if nothing were known of the press; `None` where nothing is.
    pub(crate) fn unlearned(
        &self,
        compensation: &Compensation,
    ) -> Result<Option<Arc<Separation>>, ColourError> {
        if self.departure.is_none() {
            return Ok(None);
        }
        let mut recipe = self.recipe(&Profile::srgb(), compensation);
        recipe.departure = None;
        self.separations
            .get(key("separation", &recipe), || Separation::build(&recipe))
            .map(Some)
    }

    /// The ink of a picture, CMYK bytes.
    pub(crate) fn separate(
        &self,
        picture: &Picture,
        plates: Plates,
        compensation: &Compensation,
    ) -> Result<Vec<u8>, ColourError> {
        let table = match (plates, &picture.samples) {
            (Plates::Line, _) => return Ok(black_alone(&picture.samples)),
            (Plates::Four, Samples::Cmyk8(inks)) => return self.repurposed(inks, picture),
            (Plates::Four, _) => self.separation(&source_of(picture), compensation)?,
            (Plates::Few(inks), Samples::Cmyk8(_)) => {
                let seen = Picture {
                    size: picture.size,
                    samples: Samples::Rgb8(self.on_screen(picture)?),
                    profile: None,
                    remarks: Vec::new(),
                };
                return self.separate(&seen, Plates::Few(inks), compensation);
            }
            (Plates::Few(inks), _) => {
                let recipe = self.recipe(&source_of(picture), compensation);
                self.separations
                    .get(key(&format!("{inks:?}"), &recipe), || {
                        Separation::duo(&recipe, inks)
                    })?
            }
        };
        let pixels = picture.samples.len() / picture.samples.channels();
        Ok(match &picture.samples {
            Samples::Rgb8(rgb) => by_shares(pixels, |from, to, cmyk| {
                table.convert_rgb8(&rgb[from * 3..to * 3], cmyk);
            }),
            Samples::Rgb16(rgb) => by_shares(pixels, |from, to, cmyk| {
                table.convert_rgb16(&rgb[from * 3..to * 3], cmyk);
            }),
            Samples::Grey8(grey) => by_shares(pixels, |from, to, cmyk| {
                let rgb: Vec<u8> = grey[from..to].iter().flat_map(|&v| [v; 3]).collect();
                table.convert_rgb8(&rgb, cmyk);
            }),
            Samples::Grey16(grey) => by_shares(pixels, |from, to, cmyk| {
                let rgb: Vec<u16> = grey[from..to].iter().flat_map(|&v| [v; 3]).collect();
                table.convert_rgb16(&rgb, cmyk);
            }),
            Samples::Cmyk8(_) => Vec::new(),
        })
    }

    /// Art that is made of inks already, brought to this press. No recipe touches it: whoever made
    /// it has decided on its inks.
    fn repurposed(&self, inks: &[u8], picture: &Picture) -> Result<Vec<u8>, ColourError> {
        let source = picture.profile.as_ref().unwrap_or(&self.condition.profile);
        let table = self.repurposes.get(Digest::of(source.bytes()), || {
            Repurpose::build_with(
                source,
                &self.condition,
                self.intent,
                self.ink_limit,
                self.departure.as_ref(),
            )
        })?;
        let mut cmyk = inks.to_vec();
        cmyk.par_chunks_mut(SHARE * 4)
            .for_each(|cmyk| table.convert(cmyk));
        Ok(cmyk)
    }

    /// A picture as a screen shows it: sRGB bytes.
    pub(crate) fn on_screen(&self, picture: &Picture) -> Result<Vec<u8>, ColourError> {
        let source = match (&picture.samples, &picture.profile) {
            (_, Some(profile)) => profile.clone(),
            (Samples::Cmyk8(_), None) => self.condition.profile.clone(),
            (_, None) => Profile::srgb(),
        };
        let table = self
            .screens
            .get(Digest::of(source.bytes()), || ScreenView::build(&source))?;
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

    /// The table from ink to how it looks on this paper, printed by the press as it is known.
    pub(crate) fn proof(&self, paper: PaperView) -> Result<Arc<SoftProof>, ColourError> {
        self.proofs
            .get(Digest::of(format!("{paper:?}").as_bytes()), || {
                SoftProof::build_with(&self.condition, paper, self.departure.as_ref())
            })
    }

    /// The numbers of art of a profile and of its print.
    pub(crate) fn readings(&self, source: &Profile) -> Result<Arc<Readings>, ColourError> {
        self.readings.get(Digest::of(source.bytes()), || {
            Readings::build(source, &self.condition, self.departure.as_ref())
        })
    }

    /// The table that shows art of a profile as it would print with a compensation. `duo` is the
    /// ink beside black, for art that prints in few inks.
    pub(crate) fn trial(
        &self,
        source: &Profile,
        duo: Option<DuoInk>,
        paper: PaperView,
        compensation: &Compensation,
    ) -> Result<Arc<TrialTable>, ColourError> {
        let kind = format!("trial {duo:?} {paper:?}");
        let plain = self.recipe(source, &Compensation::NONE);
        let tried = self.recipe(source, compensation);
        self.trial_tables.get(key(&kind, &tried), || {
            let trial = self
                .trials
                .get(key(&kind, &plain), || Trial::prepare(&plain, duo, paper))?;
            Ok(trial.table(compensation))
        })
    }
}

fn key(kind: &str, recipe: &Recipe) -> Digest {
    Gather::new(kind)
        .put("source", recipe.source.bytes())
        .put("settings", recipe.settings())
        .done()
}

/// Which plates a picture prints on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Plates {
    /// Black ink alone, as the share of a pixel that a line covers: line art.
    Line,
    /// All four inks by the table.
    Four,
    /// Black alone or with one ink beside it, by a table that keeps the lightness of greys.
    Few(DuoInk),
}

impl Plates {
    /// The ink beside black where there are few; lines count as black alone.
    pub(crate) const fn few(self) -> Option<DuoInk> {
        match self {
            Self::Four => None,
            Self::Few(ink) => Some(ink),
            Self::Line => Some(DuoInk::Alone),
        }
    }

    /// The plates of a picture that is wished to print in `inks`, by whether it is line art.
    pub(crate) const fn of(inks: PieceInks, line_art: bool) -> Self {
        match inks {
            PieceInks::Four => Self::Four,
            PieceInks::BlackAndCyan => Self::Few(DuoInk::Cyan),
            PieceInks::BlackAndMagenta => Self::Few(DuoInk::Magenta),
            PieceInks::BlackAndYellow => Self::Few(DuoInk::Yellow),
            PieceInks::ByLook if line_art => Self::Line,
            PieceInks::ByLook => Self::Four,
            // Lines cover what they cover; tones have to come out as light as they were.
            PieceInks::Black if line_art => Self::Line,
            PieceInks::Black => Self::Few(DuoInk::Alone),
        }
    }
}

/// The least share of a line drawing's pixels that is plain paper or plain black; the rest are its
/// softened edges. Our assumption, tried on drawn, pencilled and photographed pictures.
const PLAIN_SHARE: f64 = 0.92;
/// How far a channel may stray from neutral in line art, in 255ths: the noise of a JPEG.
const STRAY: u8 = 6;
/// Below this value of 255 a pixel counts as plain black, and as far from 255 as plain paper.
const PLAIN: u8 = 24;

/// Whether a picture is line art: neutral, and nearly all plain black or plain white.
///
/// Such art prints in black ink alone: a line of four inks shows coloured edges as soon as the
/// sheets are a tenth of a millimetre off. Photographs and pencil, grey or not, need the depth of
/// four inks and go through the table.
pub(crate) fn is_line_art(picture: &Picture) -> bool {
    let samples = &picture.samples;
    let pixels = samples.len() / samples.channels();
    if pixels == 0 || matches!(samples, Samples::Cmyk8(_)) {
        return false;
    }
    let (mut plain, mut dark) = (0u64, 0u64);
    for pixel in 0..pixels {
        let Some([r, g, b]) = samples.rgb8(pixel) else {
            return false;
        };
        let (least, most) = (r.min(g).min(b), r.max(g).max(b));
        if most - least > STRAY {
            return false;
        }
        plain += u64::from(least >= 255 - PLAIN || most <= PLAIN);
        dark += u64::from(most <= PLAIN);
    }
    dark > 0 && plain as f64 >= PLAIN_SHARE * pixels as f64
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
pub(crate) fn rgb8(samples: &Samples) -> Vec<u8> {
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
        assert!(is_line_art(&drawing));
        let ink = black_alone(&drawing.samples);
        assert_eq!(ink[..4], [0, 0, 0, 0]);
        assert_eq!(ink[100 * 4..100 * 4 + 4], [0, 0, 0, 255]);
        // sRGB 128 is 21.6 percent of the light (IEC 61966-2-1), so 78.4 percent is covered.
        assert_eq!(ink[200 * 4 + 3], 200);
    }

    #[test]
    fn pencil_and_photographs_and_coloured_lines_need_four_inks() {
        let pencil = (0..1000).map(|i| (150 + i % 100) as u8).collect();
        assert!(!is_line_art(&picture(Samples::Grey8(pencil))));
        let mut coloured = vec![255u8; 3000];
        coloured[300..306].copy_from_slice(&[200, 0, 0, 0, 0, 0]);
        assert!(!is_line_art(&picture(Samples::Rgb8(coloured))));
        let blank = vec![255u8; 300];
        assert!(!is_line_art(&picture(Samples::Rgb8(blank))));
    }
}
