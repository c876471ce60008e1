//! What the press does to the colours, the shadows and the highlights of a picture: the rules by
//! which it is judged, for maps that draw by the same ones.

use crate::{Picture, Samples, shrink};

/// A colour counts as out of reach if the nearest that the press has differs by more than this
/// (ΔE00). The threshold is ours: three is seen at once side by side, and lies above the rounding
/// of a profile's own tables.
pub const OUT_OF_REACH: f32 = 3.0;

/// Pixels that are looked at.
const LOOKS: usize = 1_000_000;

/// The share of the area that loses no more than [`OnPress::lost_most`]. Our choice: what one looks
/// for in a picture is a twentieth of it or more.
const MOST: f64 = 0.95;
/// Chroma (a*b*) under which a colour is of no hue; our definition, about what the eye calls grey.
const NO_HUE: f64 = 5.0;

/// Detail is looked for in squares of this many pixels on each side, of a copy shrunk to 1,200.
pub const SQUARE: usize = 4;
/// The longer side of that copy: a page of 250 mm is then shown at about 120 ppi, which is what
/// the eye tells apart at reading distance.
const COPY: u32 = 1200;
/// Squares no lighter than this (L*) on average are shadows; our definition.
pub const SHADOW: f32 = 30.0;
/// Squares at least as light (L*) on average are highlights; our definition.
pub const HIGHLIGHT: f32 = 85.0;
/// A colour whose strongest ink is under this (percent) does not hold on a plate and prints as bare
/// paper: presses are asked to hold tints from 3 to 97 % (ISO 12647-2:2004, as told by R. Chung and
/// P.-H. Chen, "Quantitative analysis of tone value reproduction limits", TAGA 2012).
pub const HELD: f32 = 3.0;
/// A difference of lightness that is seen on a good screen in a square (ΔL*); our definition.
pub const SEEN: f32 = 2.0;
/// A difference that is lost on paper (ΔL*); our definition, near the just noticeable one.
pub const LOST: f32 = 1.0;

/// What was measured. Shares are 0 to 1.
#[derive(Debug, Default)]
pub(super) struct OnPress {
    /// Mean ΔE00 between what is wished and what prints.
    pub(super) mean_lost: f64,
    /// ΔE00 that [`MOST`] of the area does not pass.
    pub(super) lost_most: f64,
    pub(super) out_of_reach: f64,
    pub(super) out_of_reach_by: f64,
    /// The part of `out_of_reach` in each hue band; greys beyond reach are in none.
    pub(super) out_of_reach_bands: [f64; 6],
    /// Share of the area whose darks differ by [`SEEN`] or more in the art within a square, and
    /// by less than [`LOST`] in print.
    pub(super) shadow_fills: f64,
    /// The same of the lights.
    pub(super) highlight_fades: f64,
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
        let mut colours = Colours::default();
        for pixel in spread(picture) {
            if let Some(rgb) = picture.samples.rgb8(pixel) {
                colours.take(reach.fate(rgb));
            }
        }
        let detail = detail_lost(picture, reach);
        let of_all = |count: u64| count as f64 / colours.looked.max(1) as f64;
        Self {
            mean_lost: colours.lost / colours.looked.max(1) as f64,
            lost_most: colours.lost_within(MOST),
            out_of_reach: of_all(colours.beyond),
            out_of_reach_by: colours.by / colours.beyond.max(1) as f64,
            out_of_reach_bands: colours.bands.map(of_all),
            shadow_fills: detail.shadows,
            highlight_fades: detail.highlights,
            ink_most: f64::from(colours.ink_most),
        }
    }
}

/// Sums over the colours that were looked at.
#[derive(Default)]
struct Colours {
    looked: u64,
    /// Sum of ΔE00.
    lost: f64,
    /// How many lost so many tenths of ΔE00.
    tenths: Vec<u64>,
    beyond: u64,
    /// Sum of ΔE00 over those beyond.
    by: f64,
    bands: [u64; 6],
    ink_most: f32,
}

impl Colours {
    fn take(&mut self, fate: colour::Fate) {
        self.looked += 1;
        self.lost += f64::from(fate.lost);
        let tenth = (fate.lost * 10.0) as usize;
        if tenth >= self.tenths.len() {
            self.tenths.resize(tenth + 1, 0);
        }
        self.tenths[tenth] += 1;
        self.ink_most = self.ink_most.max(fate.ink);
        let beyond = beyond_reach(fate);
        if beyond > OUT_OF_REACH {
            self.beyond += 1;
            self.by += f64::from(beyond);
            let art = colour::Lab {
                l: fate.art_lightness.into(),
                a: fate.art_a.into(),
                b: fate.art_b.into(),
            };
            if art.chroma() >= NO_HUE {
                self.bands[colour::Compensation::band_of(art)] += 1;
            }
        }
    }

    /// The ΔE00 that a share of the colours does not pass, to a tenth, upward.
    fn lost_within(&self, share: f64) -> f64 {
        let wanted = self.looked as f64 * share;
        let mut seen = 0;
        for (tenth, count) in self.tenths.iter().enumerate() {
            seen += count;
            if seen as f64 >= wanted {
                return (tenth + 1) as f64 / 10.0;
            }
        }
        0.0
    }
}

/// How far a colour lies beyond the press (ΔE00), the depth of black left out.
///
/// No paper is as dark as a screen, so that every dark picture would be 'out of reach'; the eye
/// forgives it, and what it costs is measured as shadows that fill in. Of dark colours the part of
/// the difference is taken away that the lighter print explains (ΔL*/S_L of CIEDE2000, as the
/// parts of a colour difference add by squares).
pub fn beyond_reach(fate: colour::Fate) -> f32 {
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

/// Shares of the area whose detail does not print.
#[derive(Default)]
struct DetailLost {
    shadows: f64,
    highlights: f64,
}

fn detail_lost(picture: &Picture, reach: &colour::Reach) -> DetailLost {
    let copy = shrink(picture, COPY);
    let (width, height) = (copy.size.width as usize, copy.size.height as usize);
    let (across, down) = (width / SQUARE, height / SQUARE);
    if across == 0 || down == 0 {
        return DetailLost::default();
    }
    let (mut filled, mut faded) = (0_usize, 0_usize);
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
                    print.take(if fate.strongest < HELD {
                        100.0
                    } else {
                        fate.print_lightness
                    });
                }
            }
            let mean = sum / (SQUARE * SQUARE) as f32;
            let lost = art.width() >= SEEN && print.width() < LOST;
            filled += usize::from(lost && mean <= SHADOW);
            faded += usize::from(lost && mean >= HIGHLIGHT);
        }
    }
    let squares = (across * down) as f64;
    DetailLost {
        shadows: filled as f64 / squares,
        highlights: faded as f64 / squares,
    }
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
