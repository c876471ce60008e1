//! The pixels in the middle of each patch.

use art::{Picture, Samples};
use measure::Rect;

use super::flat::{Flat, Point, corners};

/// Share of a patch's side that is measured: its edges are left to blur and to what is printed a
/// little beside its place.
const MIDDLE: f64 = 0.6;
/// A patch's middle is cut into this many parts a side, so that dust and scratches spoil few.
pub(super) const PARTS: usize = 8;
/// Most pixels a side that are looked at.
const MOST: usize = 96;

/// A patch's pixels, as many in each part.
pub(super) struct PatchPixels {
    /// RGB in 16 bit, part after part.
    pub(super) pixels: Vec<[u16; 3]>,
    /// Pixels in a part.
    pub(super) each: usize,
}

impl PatchPixels {
    /// Channels that stand at the dark end of their scale on more than a tenth of the patch: the
    /// file cannot hold a colour as strong as that.
    pub(super) fn cut_dark(&self) -> [bool; 3] {
        self.cut(0)
    }

    /// The same at the light end.
    pub(super) fn cut_light(&self) -> [bool; 3] {
        self.cut(u16::MAX)
    }

    fn cut(&self, end: u16) -> [bool; 3] {
        [0, 1, 2].map(|channel| {
            let cut = self.pixels.iter().filter(|rgb| rgb[channel] == end).count();
            cut * 10 > self.pixels.len()
        })
    }
}

/// Takes a patch's pixels; `None` where its middle is not wholly on the scan.
///
/// `flat` leads from millimetres to the scan's own pixels.
pub(super) fn sample(picture: &Picture, flat: &Flat, patch: Rect) -> Option<PatchPixels> {
    let (width, height) = (patch.width.mm() * MIDDLE, patch.height.mm() * MIDDLE);
    let left = patch.x.mm() + (patch.width.mm() - width) / 2.0;
    let top = patch.y.mm() + (patch.height.mm() - height) / 2.0;
    let outline = corners(left, top, width, height).map(|corner| flat.map(corner));
    let size = [picture.size.width, picture.size.height].map(f64::from);
    let inside = |point: Point| (0..2).all(|i| point[i] >= 1.0 && point[i] <= size[i] - 1.0);
    if !outline.into_iter().all(inside) {
        return None;
    }
    let side = super::flat::distance(outline[0], outline[2]) / std::f64::consts::SQRT_2;
    let a_part = ((side.ceil() as usize).min(MOST) / PARTS).max(3);
    let steps = (PARTS * a_part) as f64;
    let mut pixels = Vec::with_capacity(PARTS * PARTS * a_part * a_part);
    for part in 0..PARTS * PARTS {
        let (column, row) = (part % PARTS * a_part, part / PARTS * a_part);
        for y in row..row + a_part {
            for x in column..column + a_part {
                let place = flat.map([
                    left + width * (x as f64 + 0.5) / steps,
                    top + height * (y as f64 + 0.5) / steps,
                ]);
                let at = place[1] as usize * picture.size.width as usize + place[0] as usize;
                pixels.push(rgb16(&picture.samples, at)?);
            }
        }
    }
    Some(PatchPixels {
        pixels,
        each: a_part * a_part,
    })
}

fn rgb16(samples: &Samples, pixel: usize) -> Option<[u16; 3]> {
    match samples {
        Samples::Rgb8(bytes) => bytes
            .get(pixel * 3..pixel * 3 + 3)
            .map(|rgb| [rgb[0], rgb[1], rgb[2]].map(|byte| u16::from(byte) * 257)),
        Samples::Rgb16(words) => words
            .get(pixel * 3..pixel * 3 + 3)
            .map(|rgb| [rgb[0], rgb[1], rgb[2]]),
        Samples::Grey8(_) | Samples::Grey16(_) | Samples::Cmyk8(_) => None,
    }
}
