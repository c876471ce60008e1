use art::{Picture, Samples};
use rayon::prelude::*;

use super::ScanError;
use super::flat::Point;

/// Most pixels of the plane in which the mark is looked for: A3 at 300 ppi with room to spare.
const MOST_PIXELS: f64 = 24e6;

/// Lightness of a scan in bytes, reduced by a whole number. Its coordinates run from the upper left
/// corner of the first pixel; the middle of the first pixel lies at (0.5, 0.5).
pub(super) struct Plane {
    pub(super) width: usize,
    pub(super) height: usize,
    /// Pixels of the scan that make one of the plane, across and down.
    pub(super) factor: usize,
    light: Vec<u8>,
}

impl Plane {
    /// The plane of a scan, `coarser` times smaller than need be.
    pub(super) fn of(picture: &Picture, coarser: usize) -> Result<Self, ScanError> {
        let width = picture.size.width as usize;
        let height = picture.size.height as usize;
        let channels = picture.samples.channels();
        let wanted = width
            .checked_mul(height)
            .and_then(|n| n.checked_mul(channels));
        if wanted != Some(picture.samples.len()) || width == 0 || height == 0 {
            return Err(ScanError::Picture(
                "its size and its samples disagree".into(),
            ));
        }
        let whole = (width as f64 * height as f64 / MOST_PIXELS).sqrt().ceil();
        let factor = (whole as usize).max(1) * coarser;
        let (w, h) = (width / factor, height / factor);
        let mut light = vec![0; w * h];
        if w > 0 && h > 0 {
            let row_of = |y: usize, row: &mut [u8]| reduce(picture, (width, factor), y, row);
            light
                .par_chunks_mut(w)
                .enumerate()
                .for_each(|(y, row)| row_of(y, row));
        }
        Ok(Self {
            width: w,
            height: h,
            factor,
            light,
        })
    }

    /// Rows of bytes.
    pub(super) fn rows(&self) -> std::slice::ChunksExact<'_, u8> {
        self.light.chunks_exact(self.width.max(1))
    }

    /// Lightness of a pixel, 0 to 255; the edge repeats outside.
    pub(super) fn at(&self, x: isize, y: isize) -> u8 {
        let x = x.clamp(0, self.width as isize - 1) as usize;
        let y = y.clamp(0, self.height as isize - 1) as usize;
        self.light[y * self.width + x]
    }

    /// Lightness between the pixels, 0 to 255.
    pub(super) fn between(&self, point: Point) -> f64 {
        let (x, y) = (point[0] - 0.5, point[1] - 0.5);
        if !(x.is_finite() && y.is_finite()) {
            return 0.0;
        }
        let (left, up) = (x.floor(), y.floor());
        let (fx, fy) = (x - left, y - up);
        // Far outside only the repeated edge is seen, and the conversion saturates.
        let (left, up) = (left as i32 as isize, up as i32 as isize);
        let light = |dx, dy| f64::from(self.at(left + dx, up + dy));
        let upper = light(0, 0) * (1.0 - fx) + light(1, 0) * fx;
        let lower = light(0, 1) * (1.0 - fx) + light(1, 1) * fx;
        upper * (1.0 - fy) + lower * fy
    }

    /// Whether a point lies on the plane, at least `margin` pixels from its edge.
    pub(super) fn holds(&self, point: Point, margin: f64) -> bool {
        point[0] >= margin
            && point[1] >= margin
            && point[0] <= self.width as f64 - margin
            && point[1] <= self.height as f64 - margin
    }
}

/// One row of the plane: means of squares of the scan's pixels.
fn reduce(picture: &Picture, (width, factor): (usize, usize), y: usize, row: &mut [u8]) {
    let area = (factor * factor) as u32;
    for (x, light) in row.iter_mut().enumerate() {
        let mut sum = 0_u32;
        for dy in 0..factor {
            let start = (y * factor + dy) * width + x * factor;
            for pixel in start..start + factor {
                sum += lightness(&picture.samples, pixel);
            }
        }
        *light = (sum / area).min(255) as u8;
    }
}

/// A rough lightness of one pixel, 0 to 255.
fn lightness(samples: &Samples, pixel: usize) -> u32 {
    let mixed = |r: u32, g: u32, b: u32| (r + 2 * g + b) / 4;
    match samples {
        Samples::Grey8(bytes) => u32::from(bytes[pixel]),
        Samples::Grey16(words) => u32::from(words[pixel] >> 8),
        Samples::Rgb8(bytes) => {
            let rgb = &bytes[pixel * 3..pixel * 3 + 3];
            mixed(rgb[0].into(), rgb[1].into(), rgb[2].into())
        }
        Samples::Rgb16(words) => {
            let rgb = &words[pixel * 3..pixel * 3 + 3];
            mixed(rgb[0].into(), rgb[1].into(), rgb[2].into()) >> 8
        }
        Samples::Cmyk8(bytes) => {
            let inks: u32 = bytes[pixel * 4..pixel * 4 + 4]
                .iter()
                .map(|&ink| u32::from(ink))
                .sum();
            255 - inks.min(255)
        }
    }
}
