//! A sheet at press resolution and ever smaller, cut into tiles.

use jpeg_encoder::{ColorType, Encoder, SamplingFactor};
use measure::PixelSize;
use rayon::prelude::*;

/// Side of a tile in pixels.
pub(crate) const TILE: u32 = 512;
/// Quality of tiles and thumbnails; without subsampling, since colour is judged by them.
const QUALITY: u8 = 92;

/// sRGB bytes and half, a quarter, … of them, down to one tile.
pub(crate) struct Pyramid {
    levels: Vec<(PixelSize, Vec<u8>)>,
}

impl Pyramid {
    /// Builds all levels. `rgb` holds `size` pixels.
    pub(crate) fn new(size: PixelSize, rgb: Vec<u8>) -> Self {
        let mut levels = vec![(size, rgb)];
        while let Some((size, rgb)) = levels.last()
            && (size.width > TILE || size.height > TILE)
        {
            levels.push(half(*size, rgb));
        }
        Self { levels }
    }

    /// Bytes that it holds.
    pub(crate) fn bytes(&self) -> usize {
        self.levels.iter().map(|(_, rgb)| rgb.len()).sum()
    }

    /// One pixel of level 0.
    pub(crate) fn pixel(&self, x: u32, y: u32) -> Option<[u8; 3]> {
        let (size, rgb) = self.levels.first()?;
        if x >= size.width || y >= size.height {
            return None;
        }
        let at = (y as usize * size.width as usize + x as usize) * 3;
        rgb.get(at..at + 3).map(|rgb| [rgb[0], rgb[1], rgb[2]])
    }

    /// The smallest level that is at least this long, as JPEG.
    pub(crate) fn small(&self, longest: u32) -> Option<Vec<u8>> {
        let (size, rgb) = self
            .levels
            .iter()
            .rev()
            .find(|(size, _)| size.width.max(size.height) >= longest)
            .or_else(|| self.levels.first())?;
        jpeg(*size, rgb)
    }

    /// A tile as JPEG; `None` beyond the edge or the last level.
    pub(crate) fn tile(&self, level: u8, column: u32, row: u32) -> Option<Vec<u8>> {
        let (size, rgb) = self.levels.get(usize::from(level))?;
        let left = column.checked_mul(TILE).filter(|left| *left < size.width)?;
        let top = row.checked_mul(TILE).filter(|top| *top < size.height)?;
        let width = TILE.min(size.width - left) as usize;
        let height = TILE.min(size.height - top) as usize;
        let mut part = Vec::with_capacity(width * height * 3);
        for line in top as usize..top as usize + height {
            let start = (line * size.width as usize + left as usize) * 3;
            part.extend_from_slice(&rgb[start..start + width * 3]);
        }
        jpeg(
            PixelSize {
                width: width as u32,
                height: height as u32,
            },
            &part,
        )
    }
}

/// sRGB bytes as JPEG; `None` for sizes that JPEG does not have.
pub(crate) fn jpeg(size: PixelSize, rgb: &[u8]) -> Option<Vec<u8>> {
    let width = u16::try_from(size.width).ok()?;
    let height = u16::try_from(size.height).ok()?;
    let mut bytes = Vec::with_capacity(rgb.len() / 6);
    let mut encoder = Encoder::new(&mut bytes, QUALITY);
    encoder.set_sampling_factor(SamplingFactor::R_4_4_4);
    encoder.encode(rgb, width, height, ColorType::Rgb).ok()?;
    Some(bytes)
}

/// Each pixel the mean light of the four, two or one that it stands for.
fn half(size: PixelSize, rgb: &[u8]) -> (PixelSize, Vec<u8>) {
    let curve = Curve::new();
    let small = PixelSize {
        width: size.width.div_ceil(2),
        height: size.height.div_ceil(2),
    };
    let row = size.width as usize * 3;
    let mut out = vec![0; small.width as usize * small.height as usize * 3];
    out.par_chunks_mut(small.width as usize * 3)
        .enumerate()
        .for_each(|(y, line)| {
            let upper = &rgb[2 * y * row..][..row];
            let lower = rgb
                .get((2 * y + 1) * row..(2 * y + 2) * row)
                .unwrap_or(upper);
            for (x, pixel) in line.chunks_exact_mut(3).enumerate() {
                let left = 6 * x;
                let right = if left + 3 < row { left + 3 } else { left };
                for (channel, out) in pixel.iter_mut().enumerate() {
                    let light = [upper, lower]
                        .iter()
                        .flat_map(|line| [line[left + channel], line[right + channel]])
                        .map(|value| u32::from(curve.light[usize::from(value)]))
                        .sum::<u32>();
                    *out = curve.value[(light >> 4) as usize];
                }
            }
        });
    (small, out)
}

/// The sRGB curve (IEC 61966-2-1) as tables.
struct Curve {
    /// Linear light of a byte, 0 to 65,535.
    light: [u16; 256],
    /// The byte of linear light, by its upper 14 bits.
    value: Vec<u8>,
}

impl Curve {
    fn new() -> Self {
        let linear = |value: f64| {
            if value <= 0.040_45 {
                value / 12.92
            } else {
                ((value + 0.055) / 1.055).powf(2.4)
            }
        };
        let encoded = |light: f64| {
            if light <= 0.003_130_8 {
                light * 12.92
            } else {
                1.055 * light.powf(1.0 / 2.4) - 0.055
            }
        };
        Self {
            light: std::array::from_fn(|value| {
                (65_535.0 * linear(value as f64 / 255.0)).round() as u16
            }),
            value: (0..16_384)
                .map(|light| (255.0 * encoded((f64::from(light) + 0.5) / 16_384.0)).round() as u8)
                .collect(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn halving_keeps_the_light() {
        let size = PixelSize {
            width: 2,
            height: 2,
        };
        let checks = [0, 0, 0, 255, 255, 255, 255, 255, 255, 0, 0, 0];
        let (small, rgb) = half(size, &checks);
        assert_eq!((small.width, small.height), (1, 1));
        // Half the light is 188 in sRGB (IEC 61966-2-1: 0.7354), not 128.
        assert_eq!(rgb, [188, 188, 188]);
    }

    #[test]
    fn odd_sizes_and_edges_have_tiles_and_what_lies_beyond_has_none() {
        let size = PixelSize {
            width: 1025,
            height: 3,
        };
        let pyramid = Pyramid::new(size, vec![200; 1025 * 3 * 3]);
        assert_eq!(pyramid.levels.len(), 3);
        assert!(pyramid.tile(0, 2, 0).is_some());
        assert!(pyramid.tile(0, 3, 0).is_none());
        assert!(pyramid.tile(0, 0, 1).is_none());
        assert!(pyramid.tile(2, 0, 0).is_some());
        assert!(pyramid.tile(3, 0, 0).is_none());
        assert!(pyramid.tile(0, u32::MAX, u32::MAX).is_none());
        assert_eq!(pyramid.pixel(1024, 2), Some([200; 3]));
        assert_eq!(pyramid.pixel(1025, 2), None);
    }

    #[test]
    fn a_flat_colour_stays_itself_at_every_level() {
        let size = PixelSize {
            width: 700,
            height: 600,
        };
        for value in [0u8, 1, 17, 127, 254, 255] {
            let pyramid = Pyramid::new(size, vec![value; 700 * 600 * 3]);
            let (_, small) = pyramid.levels.last().unwrap();
            let off = small.iter().map(|got| got.abs_diff(value)).max().unwrap();
            // Fourteen bits of light part the darkest bytes by no more than one step.
            assert!(off <= 1, "{value} off by {off}");
        }
    }
}
