//! From light to colour, by a profile of the scanner or by the strip itself.

use colour::{Lab, Profile, Space, delta_e_2000};

use super::patch_light::{PatchLight, mean};
use super::sample::PatchPixels;
use super::scanner::{FEWEST, Known, Light, MOST_ERROR, Scanner};
use super::{ColourFrom, MOST_APART, ScanError};
use crate::{PatchKind, Strip, lab};

/// How far the fixed patches may be on average from what they should be under a scanner's profile.
/// ISO 12647-2 allows solids 5 ΔE (from memory); twice that is no press any more.
const MOST_DISAGREEMENT: f64 = 10.0;

/// Whether a profile says of itself that it is an input device's (ICC.1:2022, 7.2.5).
pub(super) fn is_scanners(profile: &Profile) -> bool {
    profile.bytes().get(12..16) == Some(b"scnr") && profile.space() == Space::Rgb
}

/// One patch as it was read.
#[derive(Debug, Clone, Copy)]
pub(super) struct Read {
    pub(super) lab: Lab,
    pub(super) spread: f64,
}

/// Colours of all patches.
pub(super) struct Seen {
    pub(super) readings: Vec<Option<Read>>,
    pub(super) colour: ColourFrom,
    pub(super) remarks: Vec<String>,
}

pub(super) fn by_profile(
    strip: &Strip,
    lights: &[Option<PatchLight>],
    profile: &Profile,
) -> Result<Seen, ScanError> {
    let readings = readings(lights, |light| lab::from_xyz(mean(light)));
    let apart: Vec<f64> = fixed(strip)
        .filter_map(|at| {
            readings[at].map(|read| delta_e_2000(read.lab, strip.patches[at].predicted))
        })
        .collect();
    let agreement = apart.iter().sum::<f64>() / apart.len().max(1) as f64;
    if agreement > MOST_DISAGREEMENT {
        return Err(ScanError::Colour(format!(
            "under the profile `{}`, paper and solid inks are {agreement:.1} ΔE00 on average from \
             what they should be, more than {MOST_DISAGREEMENT} and so more than any press. The \
             profile is not this scanner's, or the scanner's program has changed the colours: \
             switch its corrections off",
            profile.description()
        )));
    }
    Ok(Seen {
        readings,
        colour: ColourFrom::Profile {
            name: profile.description().into(),
            agreement,
        },
        remarks: Vec::new(),
    })
}

pub(super) fn by_strip(
    strip: &Strip,
    lights: &[Option<PatchLight>],
    taken: &[Option<PatchPixels>],
) -> Result<Seen, ScanError> {
    let mut remarks = Vec::new();
    let known_of = |at: usize| {
        let light = lights[at].as_ref().filter(|light| !light.spoiled)?;
        let paper = strip.patches[at].kind == PatchKind::Paper;
        let pixels = taken[at].as_ref()?;
        let (dark, high) = (pixels.cut_dark(), pixels.cut_light());
        let cuts: Vec<usize> = (0..3).filter(|&channel| dark[channel]).collect();
        // Two channels cut leave too little to learn from.
        if cuts.len() > 1 || high.contains(&true) && !paper {
            return None;
        }
        let known = Known {
            light: Light::of(&light.pooled),
            lab: strip.patches[at].predicted,
            paper,
            cut: cuts.first().copied(),
        };
        Some((at, known))
    };
    let mut known: Vec<(usize, Known)> = fixed(strip).filter_map(known_of).collect();
    check_enough(strip, &known)?;
    // What is covered or beyond the paper's edge must not teach the scanner's colours.
    let all: Vec<Known> = known.iter().map(|(_, known)| known.clone()).collect();
    let rough = Scanner::rough(&all);
    known.retain(|(_, known)| rough.error(known) <= MOST_APART);
    check_enough(strip, &known)?;
    let all: Vec<Known> = known.iter().map(|(_, known)| known.clone()).collect();
    let (scanner, tried) = Scanner::characterised(&all, &greys(strip, lights));
    if tried.all().is_nan() || tried.all() > MOST_ERROR {
        return Err(ScanError::Colour(format!(
            "paper, solid inks and their overprints do not tell the scanner: each, told from the \
             others, is {:.1} ΔE00 off on average, and greys between them are unsure by {:.1}. More \
             than {MOST_ERROR} (the mean that ISO 12647-7 allows a whole proof) cannot tell a good \
             print from a bad one. Switch off all corrections of the scanner's program, or give the \
             scanner's ICC profile",
            tried.error, tried.tones
        )));
    }
    remarks.push(format!(
        "The scanner's colours were told from the strip's own paper, solid inks and overprints, to \
         about {:.1} ΔE00. These are taken to be printed right, so the scan shows how tints and mixtures \
         depart, not whether the inks themselves are too strong; for that, give the scanner's ICC \
         profile",
        tried.all()
    ));
    if let Some(exponent) = scanner.unusual_bend() {
        remarks.push(format!(
            "For the solid inks to be right, the scanner must bend tones by an exponent of \
             {exponent:.2}. If it is set to write plain sRGB, the inks are off instead, and the tints \
             are not as far off as they seem; its ICC profile would tell",
        ));
    }
    Ok(Seen {
        readings: readings(lights, |light| scanner.lab(&Light::of(light))),
        colour: ColourFrom::Characterised {
            model: scanner.model.words(),
            error: tried.all(),
            most: tried.most.max(tried.tones),
            patches: all.len(),
        },
        remarks,
    })
}

/// Light of the tints and greys, of which nothing is taken for known but that they are neutral.
fn greys(strip: &Strip, lights: &[Option<PatchLight>]) -> Vec<Light> {
    strip
        .patches
        .iter()
        .zip(lights)
        .filter(|(patch, _)| matches!(patch.kind, PatchKind::BlackTint | PatchKind::ArtGrey))
        .filter_map(|(_, light)| Some(Light::of(&light.as_ref()?.pooled)))
        .collect()
}

/// Patches that dot gain cannot touch.
fn fixed(strip: &Strip) -> impl Iterator<Item = usize> {
    strip
        .patches
        .iter()
        .enumerate()
        .filter(|(_, patch)| {
            matches!(
                patch.kind,
                PatchKind::Paper | PatchKind::Solid | PatchKind::Overprint
            )
        })
        .map(|(at, _)| at)
}

fn check_enough(strip: &Strip, known: &[(usize, Known)]) -> Result<(), ScanError> {
    let has =
        |wanted: fn(&crate::Patch) -> bool| known.iter().any(|&(at, _)| wanted(&strip.patches[at]));
    let paper = has(|patch| patch.kind == PatchKind::Paper);
    let black = has(|patch| patch.kind == PatchKind::Solid && patch.ink[3] == 255);
    let others = known.iter().filter(|(_, known)| !known.paper).count();
    if others + 1 >= FEWEST && paper && black {
        return Ok(());
    }
    let lost: Vec<&str> = fixed(strip)
        .filter(|at| known.iter().all(|(known, _)| known != at))
        .map(|at| strip.patches[at].name.as_str())
        .collect();
    Err(ScanError::Colour(format!(
        "without a profile they are told from bare paper, solid inks and overprints, but of these \
         too few can be told ({FEWEST} at least are needed, paper and black among them; not to be told: \
         {}). Scan the whole strip, not too dark, or give the scanner's ICC profile",
        lost.join(", ")
    )))
}

/// Colours of all patches by a way from light to colour.
fn readings(
    lights: &[Option<PatchLight>],
    colour: impl Fn(&[[f64; 3]]) -> Lab,
) -> Vec<Option<Read>> {
    lights
        .iter()
        .map(|light| {
            let light = light.as_ref()?;
            let lab = colour(&light.pooled);
            let squares: Vec<f64> = light
                .parts
                .iter()
                .map(|part| {
                    let part = colour(part);
                    (part.l - lab.l).powi(2) + (part.a - lab.a).powi(2) + (part.b - lab.b).powi(2)
                })
                .collect();
            let spread = (squares.iter().sum::<f64>() / squares.len().max(1) as f64).sqrt();
            // A patch spoiled for the most part has no spread that could be believed.
            let spread = if light.spoiled { f64::INFINITY } else { spread };
            Some(Read { lab, spread })
        })
        .collect()
}
