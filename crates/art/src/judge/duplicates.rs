//! Pictures that show almost the same.

use finding::{Finding, Place, Severity};

use super::Judgement;
use crate::resample::shrink_to;
use crate::{Picture, Samples};

/// Side of the fingerprint's lightness, and of its colours.
const SIDE: usize = 32;
const COARSE: usize = 8;
const LENGTH: usize = 2 + SIDE * SIDE + 2 * COARSE * COARSE;

/// A small description of what a picture shows, for finding near-duplicates: its proportions, its
/// lightness in 32 × 32 fields and its two colour differences in 8 × 8.
#[derive(Debug, Clone, PartialEq)]
pub struct Fingerprint(pub Vec<u8>);

impl Fingerprint {
    /// Describes a picture.
    pub(super) fn of(picture: &Picture) -> Self {
        let small = shrink_to(picture, SIDE as u32);
        let rgb: Vec<[f32; 3]> = (0..SIDE * SIDE)
            .map(|pixel| match &small.samples {
                Samples::Cmyk8(inks) => {
                    let black = 1.0 - f32::from(inks[pixel * 4 + 3]) / 255.0;
                    [0, 1, 2].map(|ink| (255.0 - f32::from(inks[pixel * 4 + ink])) * black)
                }
                samples => samples.rgb8(pixel).unwrap_or_default().map(f32::from),
            })
            .collect();
        // The logarithm of width over height in steps of 1/4096, around the middle.
        let proportion =
            (f64::from(picture.size.width) / f64::from(picture.size.height)).log2() * 4096.0;
        let proportion = (proportion.clamp(-32000.0, 32000.0) as i16).to_le_bytes();
        let mut bytes = proportion.to_vec();
        bytes.extend(rgb.iter().map(|rgb| lightness(*rgb).round() as u8));
        for difference in [
            |rgb: [f32; 3]| rgb[2] - lightness(rgb),
            |rgb: [f32; 3]| rgb[0] - lightness(rgb),
        ] {
            for row in 0..COARSE {
                for column in 0..COARSE {
                    let field = SIDE / COARSE;
                    let sum: f32 = (0..field * field)
                        .map(|at| {
                            let (y, x) = (row * field + at / field, column * field + at % field);
                            difference(rgb[y * SIDE + x])
                        })
                        .sum();
                    let mean = sum / (field * field) as f32;
                    bytes.push((mean / 2.0 + 128.0).round().clamp(0.0, 255.0) as u8);
                }
            }
        }
        Self(bytes)
    }
}

/// Lightness by the weights of ITU-R BT.601.
fn lightness([red, green, blue]: [f32; 3]) -> f32 {
    0.299 * red + 0.587 * green + 0.114 * blue
}

/// Alike from here on: distinct pictures of a public set stayed under 0.25, two photographs of
/// one scene from a hand's breadth apart came to 0.76, copies by another program to above 0.85.
const ALIKE: f32 = 0.65;
/// Nothing but handling lies between them from here on.
const SAME: f32 = 0.9;

/// Findings on pairs of pictures that show almost the same.
///
/// Held against each other is the structure of the lightness (with what is broader than a
/// quarter of the picture taken away) by normalised correlation, over shifts of up to two of 32
/// fields; then the colours and the proportions must agree roughly. Resizing, compression, a
/// small change of brightness or a sliver cut off do not hide a copy; a mirrored, a recoloured or
/// a turned one is not found.
pub fn near_duplicates(judged: &[Judgement]) -> Vec<Finding> {
    let described: Vec<(&str, Described)> = judged
        .iter()
        .filter_map(|judgement| {
            Some((
                judgement.piece.as_str(),
                Described::of(&judgement.fingerprint)?,
            ))
        })
        .collect();
    let mut findings = Vec::new();
    for (index, (name, one)) in described.iter().enumerate() {
        for (other_name, other) in &described[index + 1..] {
            let alike = one.alike(other);
            if alike < ALIKE {
                continue;
            }
            let (severity, message) = if alike >= SAME {
                (
                    Severity::Warn,
                    format!("`{name}` and `{other_name}` show almost the same picture."),
                )
            } else {
                (
                    Severity::Note,
                    format!("`{name}` and `{other_name}` look much alike."),
                )
            };
            findings.push(
                Finding::new(
                    "art-near-duplicate",
                    severity,
                    Place::Piece((*name).to_owned()),
                    message,
                )
                .hint("If one is an earlier version, take it out of the book.")
                .figures(
                    format!("{:.0} % alike", alike * 100.0),
                    format!("under {:.0} % alike", ALIKE * 100.0),
                ),
            );
        }
    }
    findings
}

/// A fingerprint made ready for comparing.
struct Described {
    /// log2 of width over height.
    proportion: f32,
    /// Lightness less its surroundings.
    structure: Vec<f32>,
    /// Colour differences in levels.
    colours: Vec<f32>,
    /// Mean lightness, and how much structure there is (standard deviation).
    mean: f32,
    strength: f32,
}

impl Described {
    fn of(fingerprint: &Fingerprint) -> Option<Self> {
        let bytes = &fingerprint.0;
        if bytes.len() != LENGTH {
            return None;
        }
        let lightness: Vec<f32> = bytes[2..2 + SIDE * SIDE]
            .iter()
            .map(|&byte| f32::from(byte))
            .collect();
        let structure = less_surroundings(&lightness);
        let strength = (structure.iter().map(|value| value * value).sum::<f32>()
            / structure.len() as f32)
            .sqrt();
        Some(Self {
            proportion: f32::from(i16::from_le_bytes([bytes[0], bytes[1]])) / 4096.0,
            mean: lightness.iter().sum::<f32>() / lightness.len() as f32,
            structure,
            strength,
            colours: bytes[2 + SIDE * SIDE..]
                .iter()
                .map(|&byte| (f32::from(byte) - 128.0) * 2.0)
                .collect(),
        })
    }

    /// How alike two pictures are, −1 to 1.
    fn alike(&self, other: &Self) -> f32 {
        /// log2 of the ratio of two proportions: eight percent.
        const PROPORTION: f32 = 0.111;
        /// Mean difference of the colours in levels.
        const COLOURS: f32 = 20.0;
        /// Levels; below this there is no structure to compare.
        const FLAT: f32 = 0.7;
        let colours = self
            .colours
            .iter()
            .zip(&other.colours)
            .map(|(one, two)| (one - two).abs())
            .sum::<f32>()
            / self.colours.len() as f32;
        if (self.proportion - other.proportion).abs() > PROPORTION || colours > COLOURS {
            return 0.0;
        }
        match (self.strength < FLAT, other.strength < FLAT) {
            (true, true) if (self.mean - other.mean).abs() < 2.0 && colours < 2.0 => 1.0,
            (true, _) | (_, true) => 0.0,
            (false, false) => self.best_correlation(other),
        }
    }

    /// The highest correlation over small shifts, of the whole and of the middle, whichever is
    /// less: a frame that all pieces share does not make them alike.
    fn best_correlation(&self, other: &Self) -> f32 {
        const SHIFT: isize = 2;
        const FRAME: usize = 6;
        let mut best = 0.0_f32;
        for down in -SHIFT..=SHIFT {
            for across in -SHIFT..=SHIFT {
                let whole = correlation(&self.structure, &other.structure, (across, down), 0);
                if whole > best {
                    let middle =
                        correlation(&self.structure, &other.structure, (across, down), FRAME);
                    best = best.max(whole.min(middle));
                }
            }
        }
        best
    }
}

/// Normalised correlation of the overlap of two fields, one shifted, without a margin.
fn correlation(one: &[f32], other: &[f32], (across, down): (isize, isize), margin: usize) -> f32 {
    let range = |shift: isize| {
        let start = shift.max(0) as usize + margin;
        let end = (SIDE as isize + shift.min(0)) as usize - margin;
        start..end
    };
    let (mut count, mut sum_a, mut sum_b) = (0.0, 0.0, 0.0);
    let (mut aa, mut bb, mut ab) = (0.0, 0.0, 0.0);
    for y in range(down) {
        let row = &one[y * SIDE..][..SIDE];
        let other_row = &other[(y as isize - down) as usize * SIDE..][..SIDE];
        for x in range(across) {
            let (a, b) = (row[x], other_row[(x as isize - across) as usize]);
            count += 1.0;
            sum_a += a;
            sum_b += b;
            aa += a * a;
            bb += b * b;
            ab += a * b;
        }
    }
    let spread = ((aa - sum_a * sum_a / count) * (bb - sum_b * sum_b / count)).max(0.0);
    if spread < 1e-3 {
        return 0.0;
    }
    (ab - sum_a * sum_b / count) / spread.sqrt()
}

/// Each field less the mean of the 9 × 9 around it (edges repeated).
fn less_surroundings(lightness: &[f32]) -> Vec<f32> {
    const REACH: isize = 4;
    let at = |x: isize, y: isize| {
        let clamp = |value: isize| value.clamp(0, SIDE as isize - 1) as usize;
        lightness[clamp(y) * SIDE + clamp(x)]
    };
    let mut less = Vec::with_capacity(lightness.len());
    for y in 0..SIDE as isize {
        for x in 0..SIDE as isize {
            let sum: f32 = (-REACH..=REACH)
                .flat_map(|down| (-REACH..=REACH).map(move |across| (across, down)))
                .map(|(across, down)| at(x + across, y + down))
                .sum();
            less.push(at(x, y) - sum / ((2 * REACH + 1) * (2 * REACH + 1)) as f32);
        }
    }
    less
}
