//! A sheet of paper to draw on, and the layers that are laid on it.
//!
//! Everything is placed in millimetres, so a piece is the same drawing at any resolution. A scene
//! is painted in bands of rows, which are independent of each other and so share the cores.

use rayon::prelude::*;

use crate::colour::{Rgb, blend};

/// A point in millimetres, from the top left corner.
pub(crate) type Point = (f32, f32);

/// Rows of one band: enough to amortise its start, few enough to stay in the cache.
const BAND_ROWS: usize = 48;

/// Size of a picture.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sheet {
    /// Millimetres across.
    pub(crate) width: f32,
    /// Millimetres down.
    pub(crate) height: f32,
}

/// Some rows of a sheet while they are painted.
pub(crate) struct Band<'a> {
    /// First row.
    pub(crate) top: usize,
    /// Pixels across.
    pub(crate) across: usize,
    /// Pixels to a millimetre.
    pub(crate) scale: f32,
    /// Red, green, blue and cover.
    pub(crate) pixels: &'a mut [[f32; 4]],
}

impl Band<'_> {
    /// Rows in the band.
    pub(crate) fn rows(&self) -> usize {
        self.pixels.len() / self.across
    }

    /// Lays a paint over a pixel.
    pub(crate) fn lay(pixel: &mut [f32; 4], paint: Rgb, cover: f32) {
        if cover <= 0.0 {
            return;
        }
        let under = pixel[3] * (1.0 - cover);
        let total = cover + under;
        for channel in 0..3 {
            pixel[channel] = (paint[channel] * cover + pixel[channel] * under) / total;
        }
        pixel[3] = total;
    }
}

/// Something laid on a sheet.
pub(crate) trait Layer: Send + Sync {
    /// Paints what of it lies in the band.
    fn paint(&self, band: &mut Band<'_>);
}

/// A layer that asks for a paint at every point: (x, y, paint below) gives paint and cover.
pub(crate) struct Wash<F>(pub(crate) F);

impl<F: Fn(f32, f32, Rgb) -> (Rgb, f32) + Send + Sync> Layer for Wash<F> {
    fn paint(&self, band: &mut Band<'_>) {
        let (top, across, scale) = (band.top, band.across, band.scale);
        for (row, line) in band.pixels.chunks_exact_mut(across).enumerate() {
            let y = ((top + row) as f32 + 0.5) / scale;
            for (column, pixel) in line.iter_mut().enumerate() {
                let x = (column as f32 + 0.5) / scale;
                let (paint, cover) = (self.0)(x, y, [pixel[0], pixel[1], pixel[2]]);
                Band::lay(pixel, paint, cover);
            }
        }
    }
}

/// A drawing: its size, the ground and the layers, lowest first.
pub(crate) struct Scene {
    pub(crate) sheet: Sheet,
    /// The ground; `None` leaves the sheet clear.
    pub(crate) ground: Option<Rgb>,
    layers: Vec<Box<dyn Layer>>,
}

impl Scene {
    pub(crate) fn new(sheet: Sheet, ground: Option<Rgb>) -> Self {
        Self {
            sheet,
            ground,
            layers: Vec::new(),
        }
    }

    /// Adds a layer on top.
    pub(crate) fn add(&mut self, layer: impl Layer + 'static) -> &mut Self {
        self.layers.push(Box::new(layer));
        self
    }

    /// Adds a wash on top.
    pub(crate) fn wash(
        &mut self,
        paint: impl Fn(f32, f32, Rgb) -> (Rgb, f32) + Send + Sync + 'static,
    ) -> &mut Self {
        self.add(Wash(paint))
    }

    /// Paints the scene and hands over each band's pixels with its first row, from many threads.
    fn bands<T: Send>(
        &self,
        pixels: (usize, usize),
        out: &mut [T],
        per_pixel: usize,
        put: impl Fn(usize, &[[f32; 4]], &mut [T]) + Sync,
    ) {
        let (across, down) = pixels;
        let scale = across as f32 / self.sheet.width;
        let blank = self
            .ground
            .map_or([1.0, 1.0, 1.0, 0.0], |c| [c[0], c[1], c[2], 1.0]);
        out.par_chunks_mut(across * BAND_ROWS * per_pixel)
            .enumerate()
            .for_each(|(index, out)| {
                let top = index * BAND_ROWS;
                let rows = BAND_ROWS.min(down - top);
                let mut buffer = vec![blank; across * rows];
                let mut band = Band {
                    top,
                    across,
                    scale,
                    pixels: &mut buffer,
                };
                for layer in &self.layers {
                    layer.paint(&mut band);
                }
                put(top, &buffer, out);
            });
    }

    /// Paints with `channels` samples a pixel in 8 bits; fewer than three take the green, four take
    /// the cover as the last.
    pub(crate) fn render8(&self, pixels: (usize, usize), channels: usize) -> Vec<u8> {
        let mut out = vec![0u8; pixels.0 * pixels.1 * channels];
        self.bands(pixels, &mut out, channels, |top, band, out| {
            for (index, (pixel, out)) in band.iter().zip(out.chunks_exact_mut(channels)).enumerate()
            {
                // A little grain of less than one step keeps smooth skies from banding.
                let grain = grain(top * pixels.0 + index);
                for (channel, out) in out.iter_mut().enumerate() {
                    let value = match channels {
                        1 => pixel[1],
                        _ => pixel[channel],
                    };
                    *out = if channel == 3 {
                        (value * 255.0 + 0.5) as u8
                    } else {
                        (value * 255.0 + grain) as u8
                    };
                }
            }
        });
        out
    }

    /// Paints red, green and blue in 16 bits.
    pub(crate) fn render16(&self, pixels: (usize, usize)) -> Vec<u16> {
        let mut out = vec![0u16; pixels.0 * pixels.1 * 3];
        self.bands(pixels, &mut out, 3, |_, band, out| {
            for (pixel, out) in band.iter().zip(out.chunks_exact_mut(3)) {
                for channel in 0..3 {
                    out[channel] = (pixel[channel] * 65535.0 + 0.5) as u16;
                }
            }
        });
        out
    }

    /// Paints a small study to look colours up in, `detail` pixels to a millimetre.
    pub(crate) fn study(&self, detail: f32) -> Study {
        let across = ((self.sheet.width * detail) as usize).max(2);
        let down = ((self.sheet.height * detail) as usize).max(2);
        let mut paint = vec![[0.0f32; 3]; across * down];
        self.bands((across, down), &mut paint, 1, |_, band, out| {
            for (pixel, out) in band.iter().zip(out) {
                *out = [pixel[0], pixel[1], pixel[2]];
            }
        });
        Study {
            across,
            down,
            scale: across as f32 / self.sheet.width,
            paint,
        }
    }
}

fn grain(index: usize) -> f32 {
    let h = (index as u32).wrapping_mul(0x9e37_79b1);
    let h = (h ^ (h >> 15)).wrapping_mul(0x85eb_ca77);
    ((h >> 8) & 0xffff) as f32 / 65536.0
}

/// A small picture that colours are looked up in.
#[derive(Debug, Clone)]
pub(crate) struct Study {
    pub(crate) across: usize,
    pub(crate) down: usize,
    scale: f32,
    paint: Vec<Rgb>,
}

impl Study {
    /// The paint at a point in millimetres; points beyond the border take the border's.
    pub(crate) fn at(&self, x: f32, y: f32) -> Rgb {
        let (fx, fy) = (x * self.scale - 0.5, y * self.scale - 0.5);
        let (x0, y0) = (fx.floor(), fy.floor());
        let (u, v) = (fx - x0, fy - y0);
        let (x0, y0) = (x0 as isize, y0 as isize);
        blend(
            blend(self.pixel(x0, y0), self.pixel(x0 + 1, y0), u),
            blend(self.pixel(x0, y0 + 1), self.pixel(x0 + 1, y0 + 1), u),
            v,
        )
    }

    fn pixel(&self, x: isize, y: isize) -> Rgb {
        let x = x.clamp(0, self.across as isize - 1) as usize;
        let y = y.clamp(0, self.down as isize - 1) as usize;
        self.paint[y * self.across + x]
    }

    /// A blurred copy: the mean over about `radius` millimetres, three times.
    pub(crate) fn blurred(&self, radius_x: f32, radius_y: f32) -> Self {
        let mut out = self.clone();
        let rx = (radius_x * self.scale).round() as usize;
        let ry = (radius_y * self.scale).round() as usize;
        for _ in 0..3 {
            if rx > 0 {
                out.paint
                    .par_chunks_mut(self.across)
                    .for_each(|line| box_blur(line, rx));
            }
            if ry > 0 {
                let mut turned = out.transposed();
                turned
                    .par_chunks_mut(self.down)
                    .for_each(|line| box_blur(line, ry));
                for y in 0..self.down {
                    for x in 0..self.across {
                        out.paint[y * self.across + x] = turned[x * self.down + y];
                    }
                }
            }
        }
        out
    }

    fn transposed(&self) -> Vec<Rgb> {
        let mut turned = vec![[0.0; 3]; self.paint.len()];
        for y in 0..self.down {
            for x in 0..self.across {
                turned[x * self.down + y] = self.paint[y * self.across + x];
            }
        }
        turned
    }
}

/// Running mean over a line; the border repeats.
fn box_blur(line: &mut [Rgb], radius: usize) {
    let source = line.to_vec();
    let last = source.len() - 1;
    let weight = 1.0 / (2 * radius + 1) as f32;
    let mut sum = [0.0f32; 3];
    let read = |i: isize| source[i.clamp(0, last as isize) as usize];
    let radius = radius as isize;
    for i in -radius..=radius {
        let p = read(i);
        for c in 0..3 {
            sum[c] += p[c];
        }
    }
    for (i, out) in line.iter_mut().enumerate() {
        for c in 0..3 {
            out[c] = sum[c] * weight;
        }
        let (enter, leave) = (read(i as isize + radius + 1), read(i as isize - radius));
        for c in 0..3 {
            sum[c] += enter[c] - leave[c];
        }
    }
}
