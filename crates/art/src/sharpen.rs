//! Sharpening against what paper and screen take from edges.

use measure::Resolution;
use rayon::prelude::*;

use crate::curve::Curve;
use crate::{Picture, Samples};

/// What paper does to light at an edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Surface {
    /// Gloss, silk or matt coated.
    Coated,
    /// Uncoated.
    Uncoated,
}

impl Surface {
    /// How far light strays sideways in the paper: one over the frequency at which half of the
    /// modulation is left, in millimetres.
    ///
    /// J. S. Arney found 0.15 to 0.35 mm on every paper that he measured ("Humble attempt to depict
    /// line spread function measurement", slides); which end belongs to which paper is our
    /// assumption.
    const fn stray_mm(self) -> f64 {
        match self {
            Self::Coated => 0.15,
            Self::Uncoated => 0.35,
        }
    }

    /// The screen ruling that is assumed where none is said, in lines to the inch. Common practice,
    /// no source.
    pub const fn usual_ruling(self) -> f64 {
        match self {
            Self::Coated => 175.0,
            Self::Uncoated => 150.0,
        }
    }
}

/// How a picture is printed, as far as its edges are concerned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Softening {
    /// The paper.
    pub surface: Surface,
    /// Screen ruling in lines to the inch; the surface's usual one where it is not said.
    pub ruling_lpi: Option<f64>,
    /// Pixels of the picture to the inch of paper, as they go to the press.
    pub resolution: Resolution,
}

impl Softening {
    /// The blur on paper as the standard deviation of a Gaussian, in millimetres: the mean over one
    /// cell of the screen (a square of one line's distance), and stray light in the paper.
    fn spread_mm(self) -> f64 {
        let ruling = self.ruling_lpi.unwrap_or(self.surface.usual_ruling());
        let cell = 25.4 / ruling / 12.0_f64.sqrt();
        // A Gaussian of deviation s leaves exp(-2 (π s f)²) of a modulation at the frequency f.
        let stray = self.surface.stray_mm() * (2.0_f64.ln() / 2.0).sqrt() / std::f64::consts::PI;
        cell.hypot(stray)
    }
}

/// How strongly to sharpen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Strength {
    /// As much as paper and screen take.
    Modest,
    /// Half as much again.
    Strong,
}

/// Sharpening of lightness: what differs from its surroundings differs more.
///
/// Of a pixel's lightness L and the Gaussian mean M of those around it, `amount · (L − M)` is
/// added. Differences well under `threshold` are taken for noise and left alone. A pixel ends no
/// further than `halo` beyond the darkest and the lightest of the nine pixels around it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sharpen {
    amount: f64,
    radius_px: f64,
    threshold: f64,
    halo: f64,
}

impl Sharpen {
    /// From its figures: `amount` 0 to 5, `radius_px` (the Gaussian's standard deviation) 0.25 to 12
    /// pixels, `threshold` and `halo` 0 to 100 in L*. `None` for anything else.
    pub fn new(amount: f64, radius_px: f64, threshold: f64, halo: f64) -> Option<Self> {
        let valid = (0.0..=5.0).contains(&amount)
            && (0.25..=12.0).contains(&radius_px)
            && (0.0..=100.0).contains(&threshold)
            && (0.0..=100.0).contains(&halo);
        valid.then_some(Self {
            amount,
            radius_px,
            threshold,
            halo,
        })
    }

    /// What a picture wants for paper. `None` where its pixels are too coarse for the blur on paper
    /// to touch them, or so fine that no printer asks for them.
    ///
    /// The radius is that of the blur. The amount makes good what the blur takes at two cycles to
    /// the millimetre, the finest that a reader sees well at arm's length; our assumption, as are the
    /// threshold of 1 L* and halos of 4 L*, or 6 for strong sharpening.
    pub fn for_paper(softening: Softening, strength: Strength) -> Option<Self> {
        const SEEN_BEST_PER_MM: f64 = 2.0;
        let pixel_mm = 25.4 / softening.resolution.ppi();
        let radius_px = softening.spread_mm() / pixel_mm;
        let blur = Self::new(0.0, radius_px, 0.0, 0.0)?.kernel();
        // What the pixels themselves cannot show needs no making good.
        let frequency = (SEEN_BEST_PER_MM * pixel_mm).min(0.5);
        let left = blur.response(frequency);
        // With this amount 1 + amount · (1 − left), the gain, is 1 / left.
        let amount = (1.0 / left).min(3.0);
        match strength {
            Strength::Modest => Self::new(amount, radius_px, 1.0, 4.0),
            Strength::Strong => Self::new(amount * 1.5, radius_px, 1.0, 6.0),
        }
    }

    /// How strongly differences are added.
    pub const fn amount(self) -> f64 {
        self.amount
    }

    /// Standard deviation of the Gaussian, in pixels.
    pub const fn radius_px(self) -> f64 {
        self.radius_px
    }

    /// By how much a modulation across or down the picture grows, that is neither noise nor cut by
    /// the limit on halos; `cycles_per_px` from 0 to 0.5.
    pub fn gain(self, cycles_per_px: f64) -> f64 {
        1.0 + self.amount * (1.0 - self.kernel().response(cycles_per_px))
    }

    /// How far around a pixel its result looks. A part that is cut with so much more on each side is
    /// sharpened as the whole is.
    pub fn margin_px(self) -> u32 {
        self.kernel().reach() as u32
    }

    fn kernel(self) -> Kernel {
        Kernel::gaussian(self.radius_px)
    }
}

/// Sharpens a picture at the pixels that go to the press.
///
/// Only lightness is changed: R, G and B are multiplied by one factor, so that chromaticity and
/// neutral greys stay, and the factor stops where one of them reaches its end. CMYK is left as it
/// is: its maker has decided on the inks, and more of them may pass the ink limit.
pub fn sharpen(mut picture: Picture, how: &Sharpen) -> Picture {
    let channels = picture.samples.channels();
    let width = picture.size.width as usize;
    if width == 0 || picture.size.height == 0 || how.amount == 0.0 || channels == 4 {
        return picture;
    }
    let curves = Curve::of_picture(picture.profile.as_ref(), channels);
    let scale = Scale::of(&curves[channels / 2]);
    match &mut picture.samples {
        Samples::Grey8(samples) => run::<u8, 1>(samples, width, &scale, how),
        Samples::Grey16(samples) => run::<u16, 1>(samples, width, &scale, how),
        Samples::Rgb8(samples) => run::<u8, 3>(samples, width, &scale, how),
        Samples::Rgb16(samples) => run::<u16, 3>(samples, width, &scale, how),
        Samples::Cmyk8(_) => {}
    }
    picture
}

/// Steps of lightness to one L*.
const STEPS: f32 = 655.35;
/// Rows that one core works on at a time.
const BAND: usize = 32;

fn run<T: Sample, const CHANNELS: usize>(
    samples: &mut [T],
    width: usize,
    scale: &Scale,
    how: &Sharpen,
) {
    let row = width * CHANNELS;
    // Neighbours are read as they were, while rows are written.
    let mut plane = vec![0_u16; samples.len() / CHANNELS];
    plane
        .par_chunks_mut(width * BAND)
        .zip(samples.par_chunks(row * BAND))
        .for_each(|(plane, samples)| {
            for (lightness, pixel) in plane.iter_mut().zip(samples.chunks_exact(CHANNELS)) {
                *lightness = scale.lightness[usize::from(luma(pixel))];
            }
        });
    let kernel = how.kernel();
    let lines = Lines {
        plane: &plane,
        width,
    };
    samples
        .par_chunks_mut(row * BAND)
        .enumerate()
        .for_each_init(
            || Work::new(width, kernel.reach()),
            |work, (band, samples)| {
                for (index, samples) in samples.chunks_exact_mut(row).enumerate() {
                    let y = band * BAND + index;
                    work.aim(lines, y, &kernel, how);
                    apply::<T, CHANNELS>(samples, lines.at(y), &work.wanted, scale);
                }
            },
        );
}

/// The lightness of one pixel as encoded, BT.709 weights in parts of 65,536; that of a grey is the
/// grey itself.
fn luma<T: Sample>(pixel: &[T]) -> u16 {
    match pixel {
        [r, g, b] => {
            let [r, g, b] = [r.wide(), g.wide(), b.wide()].map(u32::from);
            ((13933 * r + 46871 * g + 4732 * b + 32768) >> 16) as u16
        }
        [grey, ..] => grey.wide(),
        [] => 0,
    }
}

/// Brings each pixel of a row from the lightness it has to that which is wanted.
fn apply<T: Sample, const CHANNELS: usize>(
    samples: &mut [T],
    from: &[u16],
    wanted: &[u16],
    scale: &Scale,
) {
    for ((pixel, &from), &wanted) in samples.chunks_exact_mut(CHANNELS).zip(from).zip(wanted) {
        let now = scale.luma[usize::from(from)];
        if from == wanted || now == 0 {
            continue;
        }
        let factor = f32::from(scale.luma[usize::from(wanted)]) / f32::from(now);
        let most = pixel.iter().fold(0.0_f32, |most, &s| most.max(s.number()));
        let factor = factor.min(T::MOST / most.max(1.0));
        for sample in pixel {
            *sample = T::rounded(sample.number() * factor);
        }
    }
}

/// A sample of 8 or 16 bits.
trait Sample: Copy + Send + Sync {
    const MOST: f32;
    fn wide(self) -> u16;
    fn number(self) -> f32;
    fn rounded(number: f32) -> Self;
}

impl Sample for u8 {
    const MOST: f32 = 255.0;

    fn wide(self) -> u16 {
        u16::from(self) * 257
    }

    fn number(self) -> f32 {
        f32::from(self)
    }

    fn rounded(number: f32) -> Self {
        (number + 0.5) as Self
    }
}

impl Sample for u16 {
    const MOST: f32 = 65535.0;

    fn wide(self) -> u16 {
        self
    }

    fn number(self) -> f32 {
        f32::from(self)
    }

    fn rounded(number: f32) -> Self {
        (number + 0.5) as Self
    }
}

/// From encoded lightness to steps of L* and back.
struct Scale {
    lightness: Vec<u16>,
    luma: Vec<u16>,
}

impl Scale {
    fn of(curve: &Curve) -> Self {
        let lightness: Vec<u16> = curve
            .light()
            .iter()
            .map(|&light| (lightness(light) * STEPS).round() as u16)
            .collect();
        let mut luma = Vec::with_capacity(lightness.len());
        let mut at = 0_u16;
        for step in 0..=u16::MAX {
            while at < u16::MAX && lightness[usize::from(at)] < step {
                at += 1;
            }
            luma.push(at);
        }
        Self { lightness, luma }
    }
}

/// L* of relative light, 0 to 100 (CIE 15).
fn lightness(light: f32) -> f32 {
    let light = light.clamp(0.0, 1.0);
    if light > 216.0 / 24389.0 {
        116.0 * light.cbrt() - 16.0
    } else {
        light * 24389.0 / 27.0
    }
}

/// The lightness of every pixel.
#[derive(Clone, Copy)]
struct Lines<'a> {
    plane: &'a [u16],
    width: usize,
}

impl<'a> Lines<'a> {
    /// A row; beyond the first and the last these are repeated.
    fn near(self, y: usize, off: isize) -> &'a [u16] {
        let last = self.plane.len() / self.width - 1;
        self.at(y.saturating_add_signed(off).min(last))
    }

    fn at(self, y: usize) -> &'a [u16] {
        &self.plane[y * self.width..][..self.width]
    }
}

/// Half of a symmetrical row of weights that sum to 1: the middle one, and those beside it.
struct Kernel {
    weights: Vec<f32>,
}

impl Kernel {
    fn gaussian(deviation: f64) -> Self {
        let reach = (deviation * 3.0).ceil().max(1.0) as usize;
        let weight = |at: usize| (-0.5 * (at as f64 / deviation).powi(2)).exp();
        let sum = weight(0) + 2.0 * (1..=reach).map(weight).sum::<f64>();
        Self {
            weights: (0..=reach).map(|at| (weight(at) / sum) as f32).collect(),
        }
    }

    fn reach(&self) -> usize {
        self.weights.len() - 1
    }

    /// What is left of a modulation.
    fn response(&self, cycles_per_px: f64) -> f64 {
        let turn = std::f64::consts::TAU * cycles_per_px;
        let side: f64 = self.weights[1..]
            .iter()
            .zip(1..)
            .map(|(&weight, at)| f64::from(weight) * (turn * f64::from(at)).cos())
            .sum();
        f64::from(self.weights[0]) + 2.0 * side
    }
}

/// Buffers for one row.
struct Work {
    /// Means down the columns, with the ends repeated on both sides.
    padded: Vec<f32>,
    mean: Vec<f32>,
    /// Darkest and lightest of three rows, with one pixel repeated on both sides.
    low: Vec<u16>,
    high: Vec<u16>,
    wanted: Vec<u16>,
}

impl Work {
    fn new(width: usize, reach: usize) -> Self {
        Self {
            padded: vec![0.0; width + 2 * reach],
            mean: vec![0.0; width],
            low: vec![0; width + 2],
            high: vec![0; width + 2],
            wanted: vec![0; width],
        }
    }

    /// Finds the lightness that each pixel of a row should have.
    fn aim(&mut self, lines: Lines<'_>, y: usize, kernel: &Kernel, how: &Sharpen) {
        self.mean_around(lines, y, kernel);
        self.extremes(lines, y);
        let here = lines.at(y);
        let amount = how.amount as f32;
        let (threshold, halo) = (how.threshold as f32 * STEPS, how.halo as f32 * STEPS);
        // Never zero, so that no difference at all divides by something.
        let noise = (threshold * threshold).max(1e-6);
        let width = lines.width;
        let low = triples(&self.low, width);
        let high = triples(&self.high, width);
        let given = here.iter().zip(&self.mean).zip(low.zip(high));
        for (wanted, ((&here, &mean), (low, high))) in self.wanted.iter_mut().zip(given) {
            let lightness = f32::from(here);
            let detail = lightness - mean;
            let square = detail * detail;
            let added = amount * detail * (square / (square + noise));
            let [a, b, c] = low;
            let lowest = f32::from(a.min(b).min(c)) - halo;
            let [a, b, c] = high;
            let highest = f32::from(a.max(b).max(c)) + halo;
            let sharp = (lightness + added).max(lowest).min(highest);
            *wanted = (sharp.clamp(0.0, 65535.0) + 0.5) as u16;
        }
    }

    fn mean_around(&mut self, lines: Lines<'_>, y: usize, kernel: &Kernel) {
        let (width, reach) = (lines.width, kernel.reach());
        let inner = &mut self.padded[reach..reach + width];
        let middle = kernel.weights[0];
        for (sum, &lightness) in inner.iter_mut().zip(lines.at(y)) {
            *sum = middle * f32::from(lightness);
        }
        for (off, &weight) in (1..).zip(&kernel.weights[1..]) {
            let (above, below) = (lines.near(y, -off), lines.near(y, off));
            for ((sum, &above), &below) in inner.iter_mut().zip(above).zip(below) {
                *sum += weight * (u32::from(above) + u32::from(below)) as f32;
            }
        }
        let (first, last) = (inner[0], inner[width - 1]);
        self.padded[..reach].fill(first);
        self.padded[reach + width..].fill(last);
        let at = |off: usize| &self.padded[off..off + width];
        for (mean, &sum) in self.mean.iter_mut().zip(at(reach)) {
            *mean = middle * sum;
        }
        for (off, &weight) in kernel.weights.iter().enumerate().skip(1) {
            let (left, right) = (at(reach - off), at(reach + off));
            for ((mean, &left), &right) in self.mean.iter_mut().zip(left).zip(right) {
                *mean += weight * (left + right);
            }
        }
    }

    fn extremes(&mut self, lines: Lines<'_>, y: usize) {
        let width = lines.width;
        let rows = [lines.near(y, -1), lines.at(y), lines.near(y, 1)];
        let three = rows[0].iter().zip(rows[1]).zip(rows[2]);
        for ((low, high), ((&a, &b), &c)) in
            self.low[1..].iter_mut().zip(&mut self.high[1..]).zip(three)
        {
            *low = a.min(b).min(c);
            *high = a.max(b).max(c);
        }
        for row in [&mut self.low, &mut self.high] {
            row[0] = row[1];
            row[width + 1] = row[width];
        }
    }
}

/// Each value of a row with those on its two sides; the row has one more at each end.
fn triples(row: &[u16], width: usize) -> impl Iterator<Item = [u16; 3]> {
    let (left, middle, right) = (&row[..width], &row[1..=width], &row[2..width + 2]);
    left.iter()
        .zip(middle)
        .zip(right)
        .map(|((&left, &middle), &right)| [left, middle, right])
}
