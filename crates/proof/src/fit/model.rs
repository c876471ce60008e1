//! The curves that are fitted, as sums of a few waves each.

use std::f64::consts::PI;

use colour::{Departure, Lab};

/// How many weights the curves have together.
pub(crate) const WEIGHTS: usize = TONE + 3 * HUES + DEPTH + 2 * CAST;
const TONE: usize = 5;
const HUES: usize = 7;
const DEPTH: usize = 3;
const CAST: usize = 3;

/// Where each curve's weights begin.
const SATURATION_AT: usize = TONE;
const HUE_AT: usize = SATURATION_AT + HUES;
const LIFT_AT: usize = HUE_AT + HUES;
const DEPTH_AT: usize = LIFT_AT + HUES;
const CAST_A_AT: usize = DEPTH_AT + DEPTH;
const CAST_B_AT: usize = CAST_A_AT + CAST;

/// Values in the lists that a departure is written as.
const TONE_STEPS: usize = 20;
const HUE_STEPS: usize = 24;
const DEPTH_STEPS: usize = 10;

/// How large a weight of one is: what a heavy press does, so that all weights are alike and may be
/// drawn towards zero alike. Finer waves count less.
const TONE_SIZE: [f64; TONE] = [5.0, 2.5, 1.7, 1.2, 3.0];
const WAVE_SIZE: [f64; HUES] = [1.0, 1.0, 1.0, 0.7, 0.7, 0.5, 0.5];
const DEPTH_SIZE: [f64; DEPTH] = [0.1, 0.06, 0.04];
const CAST_SIZE: [f64; CAST] = [2.0, 1.2, 1.2];
/// Natural logarithm of the factor on chroma.
const SATURATION: f64 = 0.1;
/// Radians.
const TURN: f64 = 5.0 * PI / 180.0;
/// L* at a chroma of 50.
const LIFT: f64 = 3.0;

/// Weights of all curves; all zero is no departure.
pub(crate) type Weights = [f64; WEIGHTS];

/// A colour that was promised and the colour that was printed, relative to their papers.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Point {
    /// Which patch of the strip.
    pub patch: usize,
    /// What the condition promised.
    pub promised: Lab,
    /// What was printed.
    pub printed: Lab,
    /// How much it counts.
    pub weight: f64,
    /// Whether it is the book's own.
    pub art: bool,
    chroma: f64,
    hue: f64,
    tone: [f64; TONE],
    waves: [f64; HUES],
    depth: [f64; DEPTH],
    /// What a step in lightness, chroma and hue is worth here: the reciprocals of CIEDE2000's
    /// weights, without their fine structure by hue.
    worth: [f64; 3],
}

/// What is off at a point, in about ΔE00, and how it changes with each weight.
pub(crate) struct Slope {
    /// Printed minus modelled: lightness, chroma, hue.
    pub off: [f64; 3],
    /// Of the modelled.
    pub by: [[f64; WEIGHTS]; 3],
}

impl Point {
    pub fn new(patch: usize, promised: Lab, printed: Lab, weight: f64, art: bool) -> Self {
        let chroma = promised.chroma();
        let hue = promised.b.atan2(promised.a);
        let from_middle = (promised.l - 50.0).powi(2);
        Self {
            patch,
            promised,
            printed,
            weight,
            art,
            chroma,
            hue,
            tone: tone(promised.l),
            waves: waves(hue),
            depth: depth(promised.l),
            worth: [
                1.0 / (1.0 + 0.015 * from_middle / (20.0 + from_middle).sqrt()),
                1.0 / (1.0 + 0.045 * chroma),
                1.0 / (1.0 + 0.015 * chroma),
            ],
        }
    }

    /// What is off with these weights.
    pub fn off(&self, weights: &Weights) -> [f64; 3] {
        let Modelled { l, a, b, .. } = self.modelled(weights);
        self.turned([self.printed.l - l, self.printed.a - a, self.printed.b - b])
    }

    /// The same with the slopes. The cast's own change with lightness is left out of them, which
    /// costs a step more and no accuracy.
    pub fn slope(&self, weights: &Weights) -> Slope {
        let at = self.modelled(weights);
        let mut by = [[0.0; WEIGHTS]; 3];
        let mut set = |i: usize, [l, a, b]: [f64; 3]| {
            let turned = self.turned([l, a, b]);
            for (row, value) in by.iter_mut().zip(turned) {
                row[i] = value;
            }
        };
        for (i, value) in self.tone.iter().enumerate() {
            set(i, [*value, 0.0, 0.0]);
        }
        let (sin, cos) = at.hue.sin_cos();
        for (i, wave) in self.waves.iter().enumerate() {
            let more = at.chroma * wave * SATURATION;
            set(
                SATURATION_AT + i,
                [at.lift * more / 50.0, more * cos, more * sin],
            );
            let turn = at.chroma * wave * TURN;
            set(HUE_AT + i, [0.0, -turn * sin, turn * cos]);
            set(LIFT_AT + i, [wave * LIFT * at.chroma / 50.0, 0.0, 0.0]);
        }
        for (i, value) in self.depth.iter().enumerate() {
            let more = at.chroma * value;
            set(
                DEPTH_AT + i,
                [at.lift * more / 50.0, more * cos, more * sin],
            );
        }
        for (i, value) in at.cast.iter().enumerate() {
            set(CAST_A_AT + i, [0.0, *value, 0.0]);
            set(CAST_B_AT + i, [0.0, 0.0, *value]);
        }
        Slope {
            off: self.turned([
                self.printed.l - at.l,
                self.printed.a - at.a,
                self.printed.b - at.b,
            ]),
            by,
        }
    }

    fn modelled(&self, weights: &Weights) -> Modelled {
        let hue = self.hue + TURN * sum(&self.waves, &weights[HUE_AT..]);
        let grown = SATURATION * sum(&self.waves, &weights[SATURATION_AT..])
            + sum(&self.depth, &weights[DEPTH_AT..]);
        // Beyond these nothing is believed, and steps of a fit must not run off.
        let chroma = self.chroma * grown.clamp(-1.0, 1.0).exp();
        let lift = LIFT * sum(&self.waves, &weights[LIFT_AT..]);
        let l = self.promised.l + sum(&self.tone, weights) + lift * chroma / 50.0;
        let cast = cast(l);
        let (sin, cos) = hue.sin_cos();
        Modelled {
            l,
            a: chroma * cos + sum(&cast, &weights[CAST_A_AT..]),
            b: chroma * sin + sum(&cast, &weights[CAST_B_AT..]),
            chroma,
            hue,
            lift,
            cast,
        }
    }

    /// A step in L*, a*, b* as steps in lightness, chroma and hue, in what they are worth.
    fn turned(&self, [l, a, b]: [f64; 3]) -> [f64; 3] {
        let (sin, cos) = self.hue.sin_cos();
        [
            l * self.worth[0],
            (a * cos + b * sin) * self.worth[1],
            (b * cos - a * sin) * self.worth[2],
        ]
    }
}

struct Modelled {
    l: f64,
    a: f64,
    b: f64,
    chroma: f64,
    hue: f64,
    lift: f64,
    cast: [f64; CAST],
}

/// The departure that weights stand for, held to what a departure may be.
///
/// Values are rounded to three decimals, so that text gives back the same.
pub(crate) fn departure(weights: &Weights) -> Departure {
    // Drawn back to nothing until it is monotone and within bounds, as almost always at once.
    (0..20)
        .map(|i| 0.85_f64.powi(i))
        .find_map(|share| {
            let drawn = weights.map(|weight| weight * share);
            written(&drawn).checked().ok()
        })
        .unwrap_or_default()
}

fn written(weights: &Weights) -> Departure {
    let round = |value: f64| (value * 1000.0).round() / 1000.0;
    let lightnesses = |steps: usize| (0..=steps).map(move |i| 100.0 * i as f64 / steps as f64);
    let by_hue = |value: &dyn Fn([f64; HUES]) -> f64| -> Vec<f64> {
        (0..HUE_STEPS)
            .map(|i| waves(2.0 * PI * i as f64 / HUE_STEPS as f64))
            .map(|waves| round(value(waves)))
            .collect()
    };
    Departure {
        tone: lightnesses(TONE_STEPS)
            .map(|l| {
                let printed = l + sum(&tone(l), weights);
                (l, round(printed.clamp(0.0, 100.0)))
            })
            .collect(),
        saturation: by_hue(&|waves| (SATURATION * sum(&waves, &weights[SATURATION_AT..])).exp()),
        hue: by_hue(&|waves| (TURN * sum(&waves, &weights[HUE_AT..])).to_degrees()),
        lift: by_hue(&|waves| LIFT * sum(&waves, &weights[LIFT_AT..])),
        depth: lightnesses(DEPTH_STEPS)
            .map(|l| round(sum(&depth(l), &weights[DEPTH_AT..]).exp()))
            .collect(),
        cast: lightnesses(DEPTH_STEPS)
            .map(|l| {
                let cast = cast(l);
                (
                    round(sum(&cast, &weights[CAST_A_AT..])),
                    round(sum(&cast, &weights[CAST_B_AT..])),
                )
            })
            .collect(),
    }
}

fn sum(values: &[f64], weights: &[f64]) -> f64 {
    values.iter().zip(weights).map(|(v, w)| v * w).sum()
}

/// Waves of lightness that vanish at the paper; only the last moves black.
fn tone(l: f64) -> [f64; TONE] {
    let u = (l / 100.0).clamp(0.0, 1.0);
    let mut waves = [0.0; TONE];
    for (i, wave) in waves.iter_mut().enumerate() {
        let value = if i + 1 < TONE {
            ((i + 1) as f64 * PI * u).sin()
        } else {
            (1.0 - u).powi(2)
        };
        *wave = value * TONE_SIZE[i];
    }
    waves
}

/// Waves around the hue circle, up to three in a round: one for each ink or overprint.
fn waves(hue: f64) -> [f64; HUES] {
    let (sin1, cos1) = hue.sin_cos();
    let (sin2, cos2) = (2.0 * hue).sin_cos();
    let (sin3, cos3) = (3.0 * hue).sin_cos();
    let mut waves = [1.0, cos1, sin1, cos2, sin2, cos3, sin3];
    for (wave, size) in waves.iter_mut().zip(WAVE_SIZE) {
        *wave *= size;
    }
    waves
}

/// Waves of chroma over lightness; that all chroma changes alike is the saturation's matter.
fn depth(l: f64) -> [f64; DEPTH] {
    let u = (l / 100.0).clamp(0.0, 1.0);
    let mut waves = [0.0; DEPTH];
    for (i, wave) in waves.iter_mut().enumerate() {
        *wave = ((i + 1) as f64 * PI * u).cos() * DEPTH_SIZE[i];
    }
    waves
}

/// Waves of a cast over lightness, none on the paper.
fn cast(l: f64) -> [f64; CAST] {
    let v = (l / 100.0).clamp(0.0, 1.0);
    [
        (PI * v).sin() * CAST_SIZE[0],
        (2.0 * PI * v).sin() * CAST_SIZE[1],
        (1.0 - v).powi(2) * CAST_SIZE[2],
    ]
}
