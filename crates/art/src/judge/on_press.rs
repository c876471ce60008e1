//! What the press does to the colours and the shadows of a picture.

use crate::{Picture, Samples, shrink};

/// A colour counts as out of reach if the nearest that the press has differs by more than this
/// (ΔE00). The threshold is ours: three is seen at once side by side, and lies above the rounding
/// of a profile's own tables.
pub const OUT_OF_REACH: f32 = 3.0;

/// Pixels that are looked at.
const LOOKS: usize = 1_000_000;

/// Shadow detail is looked for in squares of this many pixels of the shrunken copy.
const SQUARE: usize = 4;
/// The longer side of that copy: a page of 250 mm is then shown at about 120 ppi, which is what
/// the eye tells apart at reading distance.
const COPY: u32 = 1200;
/// Squares no lighter than this (L*) on average are shadows; our definition.
const SHADOW: f32 = 30.0;
/// A difference of lightness that is seen on a good screen in a square (ΔL*); our definition.
const SEEN: f32 = 2.0;
/// A difference that is lost on paper (ΔL*); our definition, near the just noticeable one.
const LOST: f32 = 1.0;

/// What was measured. Shares are 0 to 1.
#[derive(Debug, Default)]
pub(super) struct OnPress {
    pub(super) out_of_reach: f64,
    pub(super) out_of_reach_by: f64,
    /// Share of the area whose darks differ by [`SEEN`] or more in the art within a square, and
    /// by less than [`LOST`] in print.
    pub(super) shadow_fills: f64,
    /// Percent.
    pub(super) ink_most: f64,
}

impl OnPress {
    pub(super) fn of(picture: &Picture, reach: &colour::Reach) -> Self {
        if let Samples::Cmyk8(inks) = &picture.samples {
            let most = inks
                .chunks_exact(4)
                .map(|inks| inks.iter().map(|&ink| u32::from(ink)).sum::<u32>())
                .max();
            return Self {
                ink_most: f64::from(most.unwrap_or(0)) / 2.55,
                ..Self::default()
            };
        }
        let mut measured = Self::default();
        let (mut looked, mut beyond, mut by) = (0_u64, 0_u64, 0.0_f64);
        let mut ink_most = 0.0_f32;
        for pixel in spread(picture) {
            let Some(rgb) = picture.samples.rgb8(pixel) else {
                continue;
            };
            let fate = reach.fate(rgb);
            looked += 1;
            ink_most = ink_most.max(fate.ink);
            let lost = beyond_reach(fate);
            if lost > OUT_OF_REACH {
                beyond += 1;
                by += f64::from(lost);
            }
        }
        if looked > 0 {
            measured.out_of_reach = beyond as f64 / looked as f64;
        }
        if beyond > 0 {
            measured.out_of_reach_by = by / beyond as f64;
        }
        measured.ink_most = f64::from(ink_most);
        measured.shadow_fills = shadow_fills(picture, reach);
        measured
    }
}

/// How far a colour lies beyond the press (ΔE00), the depth of black left out.
///
/// No paper is as dark as a screen, so that every dark picture would be 'out of reach'; the eye
/// forgives it, and what it costs is measured as shadows that fill in. Of dark colours the part of
/// the difference is taken away that the lighter print explains (ΔL*/S_L of CIEDE2000, as the
/// parts of a colour difference add by squares).
fn beyond_reach(fate: colour::Fate) -> f32 {
    if fate.art_lightness > SHADOW {
        return fate.beyond;
    }
    let mean = (fate.art_lightness + fate.print_lightness) / 2.0;
    let off_middle = (mean - 50.0) * (mean - 50.0);
    let weight = 1.0 + 0.015 * off_middle / (20.0 + off_middle).sqrt();
    let depth = (fate.print_lightness - fate.art_lightness).max(0.0) / weight;
    (fate.beyond * fate.beyond - depth * depth).max(0.0).sqrt()
}

/// Indices of up to [`LOOKS`] pixels, spread over the picture by the golden ratio, so that no
/// regular pattern of the art falls in step with them.
fn spread(picture: &Picture) -> impl Iterator<Item = usize> {
    let count = picture.size.count() as usize;
    let step = (count as f64 / LOOKS as f64).max(1.0);
    let looks = (count as f64 / step) as usize;
    let wobble = step.floor();
    (0..looks).map(move |look| {
        let golden = (look as f64 * 0.618_033_988_749_895).fract();
        ((look as f64 * step + golden * (wobble - 1.0).max(0.0)) as usize).min(count - 1)
    })
}

fn shadow_fills(picture: &Picture, reach: &colour::Reach) -> f64 {
    let copy = shrink(picture, COPY);
    let (width, height) = (copy.size.width as usize, copy.size.height as usize);
    let (across, down) = (width / SQUARE, height / SQUARE);
    if across == 0 || down == 0 {
        return 0.0;
    }
    let mut filled = 0_usize;
    for row in 0..down {
        for column in 0..across {
            let (mut art, mut print) = (Span::default(), Span::default());
            let mut sum = 0.0;
            for y in 0..SQUARE {
                for x in 0..SQUARE {
                    let pixel = (row * SQUARE + y) * width + column * SQUARE + x;
                    let Some(rgb) = copy.samples.rgb8(pixel) else {
                        continue;
                    };
                    let fate = reach.fate(rgb);
                    sum += fate.art_lightness;
                    art.take(fate.art_lightness);
                    print.take(fate.print_lightness);
                }
            }
            let dark = sum / (SQUARE * SQUARE) as f32 <= SHADOW;
            filled += usize::from(dark && art.width() >= SEEN && print.width() < LOST);
        }
    }
    filled as f64 / (across * down) as f64
}

/// The lowest and the highest of some values.
struct Span {
    low: f32,
    high: f32,
}

impl Default for Span {
    fn default() -> Self {
        Self {
            low: f32::INFINITY,
            high: f32::NEG_INFINITY,
        }
    }
}

impl Span {
    fn take(&mut self, value: f32) {
        self.low = self.low.min(value);
        self.high = self.high.max(value);
    }

    fn width(&self) -> f32 {
        self.high - self.low
    }
}
