//! A scanner's colours told from the strip that it scanned.
//!
//! What is taken for known are the patches that no dot gain can touch: bare paper, solids and
//! overprints of solids. Tints and greys must not be among them: a press that prints them too dark
//! would be taken for a scanner that sees too dark, and nothing could be learned of it. The price is
//! that inks which are themselves too strong or too weak are not seen; only a profile of the scanner
//! tells those.

use colour::{Lab, delta_e_2000};

use super::light::{linear_of_xyz, xyz_of_linear};
use super::solve::least_squares;
use crate::lab;

/// Mean error, foretold on patches that were left out, up to which a characterisation is used.
///
/// ISO 12647-7:2016 allows a proof a mean of 2.5 ΔE00 over its patches (read in a secondary source):
/// a scanner known worse than that cannot tell a good print from a bad one.
pub(super) const MOST_ERROR: f64 = 2.5;
/// Fewest known patches to characterise from, bare paper counted once.
pub(super) const FEWEST: usize = 6;
/// A richer model must be better by at least this factor.
const WORTH: f64 = 0.8;
/// How far a scanner's exponent usually is from that of its file's own encoding (our assumption).
const USUAL_BEND: f64 = 0.1;
/// Exponents for which light is averaged beforehand.
const EXPONENTS: (f64, f64, usize) = (0.4, 0.1, 17);

/// Linear light of a patch, averaged after being raised to each of a row of exponents: light of
/// halftone dots must be averaged as light, and how a scanner's numbers go with light is what is
/// sought.
#[derive(Debug, Clone)]
pub(super) struct Light([[f64; 3]; EXPONENTS.2]);

impl Light {
    /// From a patch's pixels in linear light as their encoding says.
    pub(super) fn of(pixels: &[[f64; 3]]) -> Self {
        let mut means = [[0.0; 3]; EXPONENTS.2];
        for pixel in pixels {
            for (channel, &value) in pixel.iter().enumerate() {
                // One power for the first exponent, one for the step: the rest are products.
                let size = value.abs().max(1e-7);
                let step = size.powf(EXPONENTS.1);
                let mut power = size.powf(EXPONENTS.0).copysign(value);
                for mean in &mut means {
                    mean[channel] += power;
                    power *= step;
                }
            }
        }
        let count = pixels.len().max(1) as f64;
        Self(means.map(|mean| mean.map(|sum| sum / count)))
    }

    /// Mean light at an exponent, between the prepared ones along a parabola.
    fn at(&self, exponent: f64) -> [f64; 3] {
        let place = ((exponent - EXPONENTS.0) / EXPONENTS.1).clamp(0.0, (EXPONENTS.2 - 1) as f64);
        let middle = (place.round() as usize).clamp(1, EXPONENTS.2 - 2);
        let t = place - middle as f64;
        [0, 1, 2].map(|channel| {
            let [a, b, c] = [middle - 1, middle, middle + 1].map(|at| self.0[at][channel]);
            b + t * (c - a) / 2.0 + t * t * (a - 2.0 * b + c) / 2.0
        })
    }
}

/// A patch whose colour is taken for known.
#[derive(Debug, Clone)]
pub(super) struct Known {
    pub(super) light: Light,
    pub(super) lab: Lab,
    /// Whether it is bare paper: the white that all is measured by, and never left out.
    pub(super) paper: bool,
    /// A channel that stands at the dark end of its scale. Its light is some value below, which is
    /// sought together with the scanner; the other two channels teach all the same.
    pub(super) cut: Option<usize>,
}

/// How much is fitted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Model {
    /// White and black of each channel.
    Ends,
    /// The same and one exponent.
    Tone,
    /// The same and how much of each channel is in the others.
    Mixed,
}

impl Model {
    pub(super) const fn words(self) -> &'static str {
        match self {
            Self::Ends => "white and black of each channel",
            Self::Tone => "white and black of each channel, and one exponent",
            Self::Mixed => {
                "white and black of each channel, one exponent, and a mixing of channels"
            }
        }
    }

    /// Which of the thirteen parameters it fits: exponent, three rows of the matrix, offsets.
    fn free(self) -> Vec<usize> {
        match self {
            Self::Ends => vec![1, 5, 9, 10, 11, 12],
            Self::Tone => vec![0, 1, 5, 9, 10, 11, 12],
            Self::Mixed => (0..13).collect(),
        }
    }
}

/// From a scanner's light to colour.
#[derive(Debug, Clone)]
pub(super) struct Scanner {
    pub(super) model: Model,
    parameters: [f64; 13],
}

/// How well a scanner is known.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tried {
    /// Mean ΔE00 of the known patches, each by a fit without it.
    pub(super) error: f64,
    /// The greatest of them.
    pub(super) most: f64,
    /// How unsure greys between the known patches are, in ΔE00: a jackknife (Tukey 1958) over the
    /// same fits. Solid inks that are a little off can pass for a bent tone of the scanner; they
    /// foretell each other well then, and all that lies between them is wrong.
    pub(super) tones: f64,
}

impl Tried {
    /// What one has to reckon with.
    pub(super) fn all(self) -> f64 {
        self.error.max(self.tones)
    }
}

impl Scanner {
    /// The model that foretells left-out patches best without leaving the greys unsure, and how well
    /// it does.
    pub(super) fn characterised(known: &[Known], greys: &[Light]) -> (Self, Tried) {
        let mut best = Self::tried(Model::Ends, known, greys);
        for model in [Model::Tone, Model::Mixed] {
            // Fewer known values than half as many again as parameters would be learned by heart.
            if known.len() * 3 < model.free().len() * 3 / 2 {
                continue;
            }
            let next = Self::tried(model, known, greys);
            if next.1.all() < best.1.all() * WORTH {
                best = next;
            }
        }
        best
    }

    fn tried(model: Model, known: &[Known], greys: &[Light]) -> (Self, Tried) {
        let whole = Self::fitted(model, known);
        let (mut errors, mut moved) = (Vec::new(), 0.0);
        for left_out in (0..known.len()).filter(|&at| !known[at].paper) {
            let mut others = known.to_vec();
            let left_out = others.remove(left_out);
            let without = Self::fitted(model, &others);
            errors.push(without.error(&left_out));
            moved += greys
                .iter()
                .map(|grey| delta_e_2000(without.lab(grey), whole.lab(grey)).powi(2))
                .sum::<f64>();
        }
        let count = errors.len().max(1) as f64;
        let tried = Tried {
            error: errors.iter().sum::<f64>() / count,
            most: errors.iter().fold(0.0, |most, error| error.max(most)),
            tones: (moved / greys.len().max(1) as f64 * (count - 1.0) / count).sqrt(),
        };
        (whole, tried)
    }

    /// How far a patch is from what it is known to be, in ΔE00.
    ///
    /// A channel that is cut is taken as favourable as can be; since that lets one of three
    /// dimensions go free, the rest counts √1.5 times.
    pub(super) fn error(&self, known: &Known) -> f64 {
        let light = self.light(known);
        let Some(cut) = known.cut else {
            return delta_e_2000(self.lab_of(light), known.lab);
        };
        let least = (0..=60)
            .map(|step| {
                let mut light = light;
                light[cut] -= f64::from(step) * 0.01;
                delta_e_2000(self.lab_of(light), known.lab)
            })
            .fold(f64::INFINITY, f64::min);
        least * 1.5_f64.sqrt()
    }

    /// A rough fit that a few patches which are not what they should be cannot pull astray.
    pub(super) fn rough(known: &[Known]) -> Self {
        Self::fit(Model::Tone, known, |error| {
            (1.0 + (error / 8.0).powi(2)).ln().sqrt() * 8.0
        })
    }

    fn fitted(model: Model, known: &[Known]) -> Self {
        Self::fit(model, known, |error| error)
    }

    fn fit(model: Model, known: &[Known], felt: impl Fn(f64) -> f64) -> Self {
        let mut start = [0.0; 13];
        start[0] = 1.0;
        for at in [1, 5, 9] {
            start[at] = 1.0;
        }
        // White as the lightest known patch has it: a start from which the rest is near.
        let lightest = known
            .iter()
            .max_by(|one, other| one.lab.l.total_cmp(&other.lab.l));
        if let Some(lightest) = lightest {
            let wanted = linear_of_xyz(lab::to_xyz(lightest.lab));
            let seen = lightest.light.at(1.0);
            for (channel, at) in [1, 5, 9].into_iter().enumerate() {
                start[at] = (wanted[channel] / seen[channel].max(0.02)).clamp(0.2, 20.0);
            }
        }
        let free = model.free();
        let cuts: Vec<usize> = (0..known.len())
            .filter(|&at| known[at].cut.is_some())
            .collect();
        let filled = |values: &[f64]| {
            let mut parameters = start;
            for (&at, &value) in free.iter().zip(values) {
                parameters[at] = value;
            }
            Self { model, parameters }
        };
        // After the model's own parameters come those of the cut channels: how far below the end of
        // the scale each truly is.
        let mut values: Vec<f64> = free.iter().map(|&at| start[at]).collect();
        values.resize(free.len() + cuts.len(), 0.0);
        least_squares(
            &mut values,
            &vec![1e-4; free.len() + cuts.len()],
            30,
            |values| {
                let scanner = filled(values);
                let mut errors = Vec::with_capacity(known.len() * 3 + cuts.len() + 10);
                let mut below = values[free.len()..].iter();
                for known in known {
                    let mut light = scanner.light(known);
                    if let Some((cut, below)) = known.cut.and_then(|cut| Some((cut, below.next()?)))
                    {
                        light[cut] -= below;
                        // Above the end of the scale it would have been seen.
                        errors.push(below / if *below < 0.0 { 0.002 } else { 0.2 });
                    }
                    let error = apart(scanner.lab_of(light), known.lab);
                    let size = error.iter().map(|part| part * part).sum::<f64>().sqrt();
                    let share = if size > 1e-9 { felt(size) / size } else { 1.0 };
                    errors.extend(error.map(|part| part * share));
                }
                errors.extend(scanner.strangeness());
                errors
            },
        );
        filled(&values[..free.len()])
    }

    /// How far it is from a plain scanner, in about the units of a colour difference, so that what
    /// the patches do not tell stays as it is in a plain one.
    fn strangeness(&self) -> Vec<f64> {
        let p = &self.parameters;
        let mut strange = vec![(p[0] - 1.0) / USUAL_BEND];
        for row in 0..3 {
            let own = p[1 + row * 3 + row].abs().max(1e-3);
            for column in 0..3 {
                if row != column {
                    strange.push(p[1 + row * 3 + column] / own / 0.3);
                }
            }
            strange.push(p[10 + row] / 0.05);
        }
        strange
    }

    /// The exponent by which light had to be bent, where that is more than is usual.
    pub(super) fn unusual_bend(&self) -> Option<f64> {
        let exponent = self.parameters[0];
        ((exponent - 1.0).abs() > USUAL_BEND).then_some(exponent)
    }

    /// The colour of a light; absolute, D50.
    pub(super) fn lab(&self, light: &Light) -> Lab {
        self.lab_of(light.at(self.parameters[0]))
    }

    /// A known patch's light as this scanner's exponent has it.
    fn light(&self, known: &Known) -> [f64; 3] {
        known.light.at(self.parameters[0])
    }

    fn lab_of(&self, seen: [f64; 3]) -> Lab {
        let linear = [0, 1, 2].map(|row| {
            let mixed: f64 = (0..3)
                .map(|column| self.parameters[1 + row * 3 + column] * seen[column])
                .sum();
            mixed + self.parameters[10 + row]
        });
        lab::from_xyz(xyz_of_linear(linear).map(|value| value.max(0.0)))
    }
}

/// A difference in three parts that goes about with how it is seen: chroma counts less in strong
/// colours, as in CIE94.
fn apart(one: Lab, other: Lab) -> [f64; 3] {
    let chroma = 1.0 + 0.045 * other.chroma();
    [
        one.l - other.l,
        (one.a - other.a) / chroma,
        (one.b - other.b) / chroma,
    ]
}
