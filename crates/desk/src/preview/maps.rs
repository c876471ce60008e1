//! Maps of a sheet: what the press cannot reach, how much ink lies where, and which shadows fill in.

use art::on_press::{self, OUT_OF_REACH};
use art::{Picture, Samples};
use colour::{ColourError, Compensation, Profile};

use super::raster::{Raster, by_shares};
use crate::LegendStep;
use crate::inks::{Inks, Plates};

/// What paper does to one pixel, in three bytes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Fate {
    /// How far the colour lies beyond the press, ΔE00.
    pub beyond: f32,
    /// L* in the art.
    pub art: f32,
    /// L* in print.
    pub print: f32,
}

/// Steps of a byte to one ΔE00: up to 25 is told apart.
const BEYOND: f32 = 10.0;
/// Steps of a byte to one L*.
const LIGHT: f32 = 2.55;

impl Fate {
    /// Bare paper.
    pub(super) const PAPER: [u8; 3] = [0, 255, 255];

    fn bytes(self) -> [u8; 3] {
        [
            (self.beyond * BEYOND).round() as u8,
            (self.art * LIGHT).round() as u8,
            (self.print * LIGHT).round() as u8,
        ]
    }

    fn of([beyond, art, print]: [u8; 3]) -> Self {
        Self {
            beyond: f32::from(beyond) / BEYOND,
            art: f32::from(art) / LIGHT,
            print: f32::from(print) / LIGHT,
        }
    }

    /// A colour that prints as it is, by its sRGB.
    pub(super) fn unchanged(rgb: [u8; 3]) -> [u8; 3] {
        let l = lightness(rgb);
        Self {
            beyond: 0.0,
            art: l,
            print: l,
        }
        .bytes()
    }
}

/// L* of an sRGB colour (IEC 61966-2-1, CIE 15).
fn lightness(rgb: [u8; 3]) -> f32 {
    let light = rgb.map(|value| {
        let value = f32::from(value) / 255.0;
        if value <= 0.040_45 {
            value / 12.92
        } else {
            ((value + 0.055) / 1.055).powf(2.4)
        }
    });
    let y = 0.2126 * light[0] + 0.7152 * light[1] + 0.0722 * light[2];
    if y <= 216.0 / 24389.0 {
        y * 24389.0 / 27.0
    } else {
        116.0 * y.cbrt() - 16.0
    }
}

/// The fates of a picture's pixels.
pub(super) fn fates(
    inks: &Inks,
    picture: &Picture,
    plates: Plates,
    compensation: &Compensation,
) -> Result<Vec<u8>, ColourError> {
    let samples = &picture.samples;
    let pixels = samples.len() / samples.channels();
    if plates == Plates::Line || matches!(samples, Samples::Cmyk8(_)) {
        // Lines, and art that is made of inks already, print as asked.
        let rgb = inks.on_screen(picture)?;
        return Ok(by_shares(pixels, 3, |from, bytes| {
            for (pixel, rgb) in bytes
                .chunks_exact_mut(3)
                .zip(rgb[from * 3..].chunks_exact(3))
            {
                pixel.copy_from_slice(&Fate::unchanged([rgb[0], rgb[1], rgb[2]]));
            }
        }));
    }
    let source = picture.profile.clone().unwrap_or_else(Profile::srgb);
    let reach = inks.reach(&source, plates.few(), compensation)?;
    // Art in few inks gives its colours up on purpose; only lightness is looked at.
    let colours = plates == Plates::Four;
    Ok(by_shares(pixels, 3, |from, bytes| {
        for (index, pixel) in bytes.chunks_exact_mut(3).enumerate() {
            let Some(rgb) = samples.rgb8(from + index) else {
                continue;
            };
            let fate = reach.fate(rgb);
            let fate = Fate {
                beyond: if colours {
                    on_press::beyond_reach(fate)
                } else {
                    0.0
                },
                art: fate.art_lightness,
                print: fate.print_lightness,
            };
            pixel.copy_from_slice(&fate.bytes());
        }
    }))
}

/// The art in light greys, so that what is marked stands out.
fn faint(lightness: f32) -> [u8; 3] {
    [(150.0 + 0.95 * lightness).clamp(0.0, 245.0) as u8; 3]
}

/// Steps of ΔE00 beyond the press, and their colours: darker is worse.
const REACH: [(f32, [u8; 3]); 3] = [
    (OUT_OF_REACH, [255, 214, 82]),
    (6.0, [240, 138, 36]),
    (12.0, [168, 22, 58]),
];

/// The colour of a pixel of the map of reach.
pub(super) fn reach(pixel: [u8; 3]) -> [u8; 3] {
    let fate = Fate::of(pixel);
    REACH
        .iter()
        .rev()
        .find(|(from, _)| fate.beyond > *from)
        .map_or_else(|| faint(fate.art), |(_, rgb)| *rgb)
}

pub(super) fn reach_legend() -> Vec<LegendStep> {
    let step = |rgb, words: String| LegendStep { rgb, words };
    let mut steps = vec![step(
        faint(50.0),
        format!("within reach of the press (ΔE00 up to {OUT_OF_REACH:.0})"),
    )];
    for (index, (from, rgb)) in REACH.iter().enumerate() {
        let words = match REACH.get(index + 1) {
            Some((to, _)) if index == 0 => format!("slightly beyond (ΔE00 {from:.0} to {to:.0})"),
            Some((to, _)) => format!("clearly beyond (ΔE00 {from:.0} to {to:.0})"),
            None => format!("far beyond (ΔE00 over {from:.0})"),
        };
        steps.push(step(*rgb, words));
    }
    steps
}

/// Steps of total ink in percent below the limit, and their colours: more is darker.
const INK: [(f64, [u8; 3]); 6] = [
    (0.0, [255, 255, 255]),
    (50.0, [222, 235, 247]),
    (100.0, [178, 205, 230]),
    (150.0, [123, 167, 208]),
    (200.0, [74, 125, 178]),
    (250.0, [36, 82, 140]),
];
/// Within this many percent of the limit.
const NEAR: f64 = 10.0;
const AT_LIMIT: [u8; 3] = [240, 138, 36];
const OVER: [u8; 3] = [168, 22, 58];

/// The colour of a total of ink, in bytes of all four inks, on a press with a limit in percent.
pub(super) fn ink(total: u32, limit: f64) -> [u8; 3] {
    let percent = f64::from(total) / 2.55;
    // Rounding four inks to bytes adds 0.8 percent at most.
    if percent > limit + 0.8 {
        return OVER;
    }
    if limit < 400.0 && percent > limit - NEAR {
        return AT_LIMIT;
    }
    let step = INK.iter().rev().find(|(from, _)| percent > *from);
    step.map_or(INK[0].1, |(_, rgb)| *rgb)
}

pub(super) fn ink_legend(limit: f64) -> Vec<LegendStep> {
    let ceiling = if limit < 400.0 { limit - NEAR } else { limit };
    let mut steps = Vec::new();
    for (index, (from, rgb)) in INK.iter().enumerate() {
        if *from >= ceiling {
            break;
        }
        let next = INK.get(index + 1);
        let to = next.map_or(ceiling, |(to, _)| to.min(ceiling));
        steps.push(LegendStep {
            rgb: *rgb,
            words: if index == 0 {
                format!("bare paper and up to {to:.0} % ink")
            } else {
                format!("{from:.0} to {to:.0} % ink")
            },
        });
    }
    if limit < 400.0 {
        steps.push(LegendStep {
            rgb: AT_LIMIT,
            words: format!("at the limit ({ceiling:.0} to {limit:.0} %)"),
        });
        steps.push(LegendStep {
            rgb: OVER,
            words: format!("over the limit of {limit:.0} %"),
        });
    }
    steps
}

const FILLS: [u8; 3] = [214, 64, 36];
const KEEPS: [u8; 3] = [70, 118, 168];
const EVEN: [u8; 3] = [110, 110, 110];

/// What becomes of a square of shadow.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Shadow {
    /// It is not dark.
    None,
    /// Even in the art: there is nothing to lose.
    Even,
    Keeps,
    Fills,
}

/// Side of a square of shadow at a resolution, the same on paper as in the judgement of art: four
/// pixels at about 120 ppi.
pub(super) fn square_px(ppi: f64) -> u32 {
    ((on_press::SQUARE as f64 * ppi / 120.0).round() as u32).max(2)
}

/// Colours a part of the map of shadows. `side` is that of a square in pixels.
pub(super) fn shadows(
    raster: &Raster,
    [left, top, width, height]: [u32; 4],
    side: u32,
    out: &mut [u8],
) {
    let (columns, rows) = (
        left / side..(left + width).div_ceil(side),
        top / side..(top + height).div_ceil(side),
    );
    for row in rows {
        for column in columns.clone() {
            let square = [
                (column * side, ((column + 1) * side).min(raster.size.width)),
                (row * side, ((row + 1) * side).min(raster.size.height)),
            ];
            let kind = shadow(raster, square);
            let [(from_x, to_x), (from_y, to_y)] = square;
            for y in from_y.max(top)..to_y.min(top + height) {
                for x in from_x.max(left)..to_x.min(left + width) {
                    let rgb = match kind {
                        Shadow::Fills => FILLS,
                        Shadow::Keeps => KEEPS,
                        Shadow::Even => EVEN,
                        Shadow::None => faint(at(raster, x, y).art),
                    };
                    let place = ((y - top) as usize * width as usize + (x - left) as usize) * 3;
                    out[place..place + 3].copy_from_slice(&rgb);
                }
            }
        }
    }
}

fn at(raster: &Raster, x: u32, y: u32) -> Fate {
    match raster.at(x, y) {
        Some(&[beyond, art, print]) => Fate::of([beyond, art, print]),
        _ => Fate::of(Fate::PAPER),
    }
}

fn shadow(raster: &Raster, [(from_x, to_x), (from_y, to_y)]: [(u32, u32); 2]) -> Shadow {
    let (mut sum, mut count) = (0.0, 0.0_f32);
    let mut art = (f32::INFINITY, f32::NEG_INFINITY);
    let mut print = art;
    for y in from_y..to_y {
        for x in from_x..to_x {
            let fate = at(raster, x, y);
            sum += fate.art;
            count += 1.0;
            art = (art.0.min(fate.art), art.1.max(fate.art));
            print = (print.0.min(fate.print), print.1.max(fate.print));
        }
    }
    let dark = count > 0.0 && sum / count <= on_press::SHADOW;
    match (dark, art.1 - art.0, print.1 - print.0) {
        (false, ..) => Shadow::None,
        (true, art, _) if art < on_press::SEEN => Shadow::Even,
        (true, _, print) if print < on_press::LOST => Shadow::Fills,
        _ => Shadow::Keeps,
    }
}

pub(super) fn shadows_legend() -> Vec<LegendStep> {
    [
        (faint(60.0), "not dark"),
        (EVEN, "dark and even in the art: nothing to lose"),
        (KEEPS, "dark, and its detail is kept"),
        (FILLS, "dark, and its detail fills in"),
    ]
    .into_iter()
    .map(|(rgb, words)| LegendStep {
        rgb,
        words: words.to_owned(),
    })
    .collect()
}
