//! A sheet ever smaller, cut into tiles.

use jpeg_encoder::{ColorType, Encoder, SamplingFactor};
use measure::PixelSize;
use rayon::prelude::*;

/// Side of a tile in pixels.
pub(crate) const TILE: u32 = 512;
/// Quality of tiles and thumbnails; without subsampling, since colour is judged by them.
const QUALITY: u8 = 92;
/// Quality of pictures that follow a moving hand.
const QUICK: u8 = 85;

/// Rows of level 0 that one core works on at a time; even.
const ROWS: u32 = 64;

/// The size of a level; `None` beyond the last, which fits one tile.
pub(crate) fn level_size(mut size: PixelSize, level: u8) -> Option<PixelSize> {
    for _ in 0..level {
        if size.width <= TILE && size.height <= TILE {
            return None;
        }
        size = halved(size);
    }
    Some(size)
}

/// The part of a level that a tile shows: left, top, width and height; `None` beyond the edge.
pub(crate) fn tile_part(size: PixelSize, column: u32, row: u32) -> Option<[u32; 4]> {
    let left = column.checked_mul(TILE).filter(|left| *left < size.width)?;
    let top = row.checked_mul(TILE).filter(|top| *top < size.height)?;
    Some([
        left,
        top,
        TILE.min(size.width - left),
        TILE.min(size.height - top),
    ])
}

/// A part of sRGB pixels.
pub(crate) fn cut(size: PixelSize, rgb: &[u8], [left, top, width, height]: [u32; 4]) -> Vec<u8> {
    let width = width as usize * 3;
    let mut part = Vec::with_capacity(width * height as usize);
    for line in top as usize..(top + height) as usize {
        let start = (line * size.width as usize + left as usize) * 3;
        part.extend_from_slice(&rgb[start..start + width]);
    }
    part
}

/// Half, a quarter, … of a sheet, down to one tile. `paint` gives a part of level 0, which is never
/// there as a whole.
pub(crate) fn levels(
    size: PixelSize,
    paint: impl Fn([u32; 4]) -> Vec<u8> + Sync,
) -> Vec<(PixelSize, Vec<u8>)> {
    let mut levels: Vec<(PixelSize, Vec<u8>)> = Vec::new();
    if size.width <= TILE && size.height <= TILE {
        return levels;
    }
    let curve = Curve::new();
    let small = halved(size);
    let mut first = vec![0; small.width as usize * small.height as usize * 3];
    first
        .par_chunks_mut(small.width as usize * 3 * (ROWS / 2) as usize)
        .enumerate()
        .for_each(|(band, out)| {
            let top = band as u32 * ROWS;
            let height = ROWS.min(size.height - top);
            let rgb = paint([0, top, size.width, height]);
            let size = PixelSize { height, ..size };
            for (y, line) in out.chunks_exact_mut(small.width as usize * 3).enumerate() {
                half_line(size, &rgb, y, line, &curve);
            }
        });
    levels.push((small, first));
    while let Some((size, rgb)) = levels.last()
        && (size.width > TILE || size.height > TILE)
    {
        levels.push(half(*size, rgb));
    }
    levels
}

const fn halved(size: PixelSize) -> PixelSize {
    PixelSize {
        width: size.width.div_ceil(2),
        height: size.height.div_ceil(2),
    }
}

/// sRGB bytes as JPEG; `None` for sizes that JPEG does not have.
pub(crate) fn jpeg(size: PixelSize, rgb: &[u8]) -> Option<Vec<u8>> {
    encoded(size, rgb, QUALITY)
}

/// The same for what is seen for a moment only.
pub(crate) fn quick_jpeg(size: PixelSize, rgb: &[u8]) -> Option<Vec<u8>> {
    encoded(size, rgb, QUICK)
}

fn encoded(size: PixelSize, rgb: &[u8], quality: u8) -> Option<Vec<u8>> {
    let width = u16::try_from(size.width).ok()?;
    let height = u16::try_from(size.height).ok()?;
    let mut bytes = Vec::with_capacity(rgb.len() / 6);
    let mut encoder = Encoder::new(&mut bytes, quality);
    encoder.set_sampling_factor(SamplingFactor::R_4_4_4);
    encoder.encode(rgb, width, height, ColorType::Rgb).ok()?;
    Some(bytes)
}

/// Each pixel the mean light of the four, two or one that it stands for.
fn half(size: PixelSize, rgb: &[u8]) -> (PixelSize, Vec<u8>) {
    let curve = Curve::new();
    let small = halved(size);
    let mut out = vec![0; small.width as usize * small.height as usize * 3];
    out.par_chunks_mut(small.width as usize * 3)
        .enumerate()
        .for_each(|(y, line)| half_line(size, rgb, y, line, &curve));
    (small, out)
}

/// One line of the half.
fn half_line(size: PixelSize, rgb: &[u8], y: usize, line: &mut [u8], curve: &Curve) {
    let row = size.width as usize * 3;
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
        let levels = levels(size, |[_, _, width, height]| {
            vec![200; (width * height) as usize * 3]
        });
        assert_eq!(levels.len(), 2);
        for (level, (size, rgb)) in levels.iter().enumerate() {
            assert_eq!(rgb.len() as u64, size.count() * 3);
            assert_eq!(
                level_size(
                    PixelSize {
                        width: 1025,
                        height: 3
                    },
                    level as u8 + 1
                ),
                Some(*size)
            );
        }
        assert_eq!(level_size(size, 3), None);
        assert_eq!(tile_part(size, 2, 0), Some([1024, 0, 1, 3]));
        assert_eq!(tile_part(size, 3, 0), None);
        assert_eq!(tile_part(size, 0, 1), None);
        assert_eq!(tile_part(size, u32::MAX, u32::MAX), None);
    }

    #[test]
    fn bands_of_rows_meet_as_if_halved_in_one_go() {
        let size = PixelSize {
            width: 601,
            height: 3 * ROWS + 7,
        };
        let rgb: Vec<u8> = (0..size.count() as usize * 3)
            .map(|at| (at * 31 % 251) as u8)
            .collect();
        let banded = levels(size, |part| cut(size, &rgb, part));
        assert_eq!(banded[0], half(size, &rgb));
    }

    #[test]
    fn a_flat_colour_stays_itself_at_every_level() {
        let size = PixelSize {
            width: 700,
            height: 600,
        };
        for value in [0u8, 1, 17, 127, 254, 255] {
            let levels = levels(size, |[_, _, width, height]| {
                vec![value; (width * height) as usize * 3]
            });
            let (_, small) = levels.last().unwrap();
            let off = small.iter().map(|got| got.abs_diff(value)).max().unwrap();
            // Fourteen bits of light part the darkest bytes by no more than one step.
            assert!(off <= 1, "{value} off by {off}");
        }
    }
}
