//! Pictures brought to another size.

use std::sync::Arc;

use fast_image_resize::images::{Image, ImageRef};
use fast_image_resize::{FilterType, PixelType, ResizeAlg, ResizeOptions, Resizer};
use measure::PixelSize;

use crate::curve::Curve;
use crate::{Picture, Samples};

/// A part of a picture, in its pixels (fractions allowed).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// Left.
    pub x: f64,
    /// Top.
    pub y: f64,
    /// Across.
    pub width: f64,
    /// Down.
    pub height: f64,
}

impl Window {
    /// The whole of a picture.
    pub fn whole(size: PixelSize) -> Self {
        Self {
            x: 0.0,
            y: 0.0,
            width: size.width.into(),
            height: size.height.into(),
        }
    }

    /// The part of the window inside the picture. A window that lies outside, has no area or is
    /// no number becomes the nearest pixel.
    fn within(self, size: PixelSize) -> Self {
        let (x, width) = span_within(self.x, self.width, size.width.into());
        let (y, height) = span_within(self.y, self.height, size.height.into());
        Self {
            x,
            y,
            width,
            height,
        }
    }

    /// Left, top, width and height if they are all whole numbers.
    fn whole_pixels(self) -> Option<[usize; 4]> {
        let sides = [self.x, self.y, self.width, self.height];
        sides
            .iter()
            .all(|side| side.fract() == 0.0)
            .then(|| sides.map(|side| side as usize))
    }
}

fn span_within(start: f64, length: f64, limit: f64) -> (f64, f64) {
    /// Narrower windows than this have no meaning.
    const LEAST: f64 = 1e-6;
    let start = if start.is_finite() { start } else { 0.0 };
    let end = start + if length.is_finite() { length } else { limit };
    let (low, high) = (start.clamp(0.0, limit), end.clamp(0.0, limit));
    if high - low >= LEAST {
        return (low, high - low);
    }
    let pixel = low.floor().min(limit - 1.0).max(0.0);
    (pixel, 1.0_f64.min(limit))
}

/// Brings a window of the picture to a new size: Lanczos 3 in linear light (grey and RGB by their
/// profile's curve or that of sRGB, inks as they stand).
///
/// - Grey and RGB come out at 16 bits in the encoding that they had, CMYK at 8 bits.
/// - Where no pixel changes (the window's pixels fall on those wanted, one to one), they are
///   copied at the depth that they had.
/// - Fractions of pixels count. Pixels beside the window take part at its borders, so that two
///   windows side by side meet as if cut from one.
/// - Light between steps is kept in 49,152 steps, with room above white and below black for the
///   filter's overshoot, which is cut only at the end.
///
/// A window that reaches outside is cut to the picture.
pub fn resample(picture: &Picture, window: Window, to: PixelSize) -> Picture {
    let window = window.within(picture.size);
    if let Some([x, y, width, height]) = window.whole_pixels()
        && width == to.width as usize
        && height == to.height as usize
    {
        return Picture {
            size: to,
            samples: cut_out(picture, x, y, width, height),
            profile: picture.profile.clone(),
            remarks: picture.remarks.clone(),
        };
    }
    let scaled = convert(picture, window, to, FilterType::Lanczos3);
    let channels = picture.samples.channels();
    let curves = Curve::of_picture(picture.profile.as_ref(), channels);
    let samples = match picture.samples {
        Samples::Grey8(_) | Samples::Grey16(_) => Samples::Grey16(encode(scaled, &curves)),
        Samples::Rgb8(_) | Samples::Rgb16(_) => Samples::Rgb16(encode(scaled, &curves)),
        Samples::Cmyk8(_) => Samples::Cmyk8(narrowed(&encode(scaled, &curves))),
    };
    Picture {
        size: to,
        samples,
        profile: picture.profile.clone(),
        remarks: picture.remarks.clone(),
    }
}

/// A small copy at 8 bits whose longer side is at most `longest` pixels: each pixel the mean of
/// those it stands for, in linear light. A picture that is small enough keeps its size.
pub fn shrink(picture: &Picture, longest: u32) -> Picture {
    let PixelSize { width, height } = picture.size;
    let factor = (f64::from(longest.max(1)) / f64::from(width.max(height))).min(1.0);
    let side = |side: u32| ((f64::from(side) * factor).round() as u32).max(1);
    let to = PixelSize {
        width: side(width),
        height: side(height),
    };
    box_scaled(picture, to)
}

/// As [`shrink`], but to a square of `side` pixels, whatever the proportions.
pub(crate) fn shrink_to(picture: &Picture, side: u32) -> Picture {
    box_scaled(
        picture,
        PixelSize {
            width: side,
            height: side,
        },
    )
}

fn box_scaled(picture: &Picture, to: PixelSize) -> Picture {
    let channels = picture.samples.channels();
    let samples = if to == picture.size {
        match &picture.samples {
            Samples::Grey16(words) => Samples::Grey8(narrowed(words)),
            Samples::Rgb16(words) => Samples::Rgb8(narrowed(words)),
            samples => samples.clone(),
        }
    } else {
        let scaled = convert(picture, Window::whole(picture.size), to, FilterType::Box);
        let curves = Curve::of_picture(picture.profile.as_ref(), channels);
        let bytes = narrowed(&encode(scaled, &curves));
        match picture.samples {
            Samples::Grey8(_) | Samples::Grey16(_) => Samples::Grey8(bytes),
            Samples::Rgb8(_) | Samples::Rgb16(_) => Samples::Rgb8(bytes),
            Samples::Cmyk8(_) => Samples::Cmyk8(bytes),
        }
    };
    Picture {
        size: to,
        samples,
        profile: picture.profile.clone(),
        remarks: picture.remarks.clone(),
    }
}

/// Black's place among the steps of light; what lies below is overshoot.
const BLACK: u16 = 8192;
/// Steps from black to white; as many again as to black are left above white.
const RANGE: u16 = 49152;

/// Linear light in steps, from a table for each encoded value.
type Table = Arc<[u16]>;

fn light_steps(curve: &Curve, encoded_values: usize) -> Table {
    let light = curve.light();
    (0..encoded_values)
        .map(|value| {
            let place = value * (light.len() - 1) / (encoded_values - 1);
            BLACK + (light[place].clamp(0.0, 1.0) * f32::from(RANGE)).round() as u16
        })
        .collect()
}

/// Applies one function to each distinct curve, and shares the result among equal ones.
fn for_each_curve(curves: &[Curve], make: impl Fn(&Curve) -> Table) -> Vec<Table> {
    let mut tables: Vec<Table> = Vec::with_capacity(curves.len());
    for (index, curve) in curves.iter().enumerate() {
        let table = match curves[..index].iter().position(|earlier| earlier == curve) {
            Some(earlier) => tables[earlier].clone(),
            None => make(curve),
        };
        tables.push(table);
    }
    tables
}

/// Bytes of one band of linear light that is worked on at a time.
const BAND_BYTES: usize = 48 << 20;

/// Scales a window in linear light, in bands, and gives the steps of light.
fn convert(picture: &Picture, window: Window, to: PixelSize, filter: FilterType) -> Vec<u16> {
    let channels = picture.samples.channels();
    let pixel_type = match channels {
        1 => PixelType::U16,
        3 => PixelType::U16x3,
        _ => PixelType::U16x4,
    };
    let mut target = vec![0_u16; to.count() as usize * channels];
    if target.is_empty() {
        return target;
    }
    let curves = Curve::of_picture(picture.profile.as_ref(), channels);
    let wide = matches!(picture.samples, Samples::Grey16(_) | Samples::Rgb16(_));
    let tables = for_each_curve(&curves, |curve| {
        light_steps(curve, if wide { 65536 } else { 256 })
    });

    let reach_across = reach(window.width / f64::from(to.width));
    let scale_down = window.height / f64::from(to.height);
    let reach_down = reach(scale_down);
    let columns = inclusive(window.x, window.width, reach_across, picture.size.width);
    let row_bytes = (columns.1 - columns.0) * channels * 2;
    let rows_at_once = ((BAND_BYTES / row_bytes) as f64 - 2.0 * reach_down).max(1.0);
    let band = ((rows_at_once / scale_down).max(1.0) as usize).min(to.height as usize);

    let mut resizer = Resizer::new();
    let options = ResizeOptions::new()
        .resize_alg(ResizeAlg::Convolution(filter))
        .use_alpha(false);
    let mut light = Vec::new();
    let target_row = to.width as usize * channels;
    for (index, out) in target.chunks_mut(band * target_row).enumerate() {
        let out_height = out.len() / target_row;
        let top = window.y + (index * band) as f64 * scale_down;
        let height = out_height as f64 * scale_down;
        let rows = inclusive(top, height, reach_down, picture.size.height);
        linearise(picture, &tables, columns, rows, &mut light);
        let (width_held, height_held) = (columns.1 - columns.0, rows.1 - rows.0);
        let source = ImageRef::new(
            width_held as u32,
            height_held as u32,
            bytemuck::cast_slice(&light),
            pixel_type,
        )
        .expect("the band's buffer was made for its size");
        let mut out_view = Image::from_slice_u8(
            to.width,
            out_height as u32,
            bytemuck::cast_slice_mut(out),
            pixel_type,
        )
        .expect("the band of the target was cut by whole rows");
        // Rounding may push the last border beyond the pixels by less than any meaning.
        let left = window.x - columns.0 as f64;
        let inner_top = (top - rows.0 as f64).max(0.0);
        let options = options.crop(
            left,
            inner_top,
            window.width.min(width_held as f64 - left),
            height.min(height_held as f64 - inner_top),
        );
        resizer
            .resize(&source, &mut out_view, &options)
            .expect("the crop lies inside the band");
    }
    target
}

/// How far the widest filter in use reaches at a scale, in pixels of the source.
fn reach(scale: f64) -> f64 {
    3.0 * scale.max(1.0) + 2.0
}

/// The pixels that a span with its filter touches, as a half-open range.
fn inclusive(start: f64, length: f64, reach: f64, limit: u32) -> (usize, usize) {
    let first = (start - reach).floor().max(0.0) as usize;
    let end = ((start + length + reach).ceil() as usize).min(limit as usize);
    (first, end.max(first + 1))
}

/// Writes a rectangle of the picture as steps of light into `light`.
fn linearise(
    picture: &Picture,
    tables: &[Table],
    columns: (usize, usize),
    rows: (usize, usize),
    light: &mut Vec<u16>,
) {
    let channels = tables.len();
    light.clear();
    light.reserve((columns.1 - columns.0) * (rows.1 - rows.0) * channels);
    let stride = picture.size.width as usize * channels;
    for row in rows.0..rows.1 {
        let span = row * stride + columns.0 * channels..row * stride + columns.1 * channels;
        match &picture.samples {
            Samples::Grey8(bytes) | Samples::Rgb8(bytes) | Samples::Cmyk8(bytes) => {
                look_up(&bytes[span], tables, light, |byte| usize::from(*byte));
            }
            Samples::Grey16(words) | Samples::Rgb16(words) => {
                look_up(&words[span], tables, light, |word| usize::from(*word));
            }
        }
    }
}

fn look_up<T>(samples: &[T], tables: &[Table], light: &mut Vec<u16>, at: impl Fn(&T) -> usize) {
    let first = &tables[0];
    if tables.iter().all(|table| Arc::ptr_eq(table, first)) {
        light.extend(samples.iter().map(|sample| first[at(sample)]));
        return;
    }
    for pixel in samples.chunks_exact(tables.len()) {
        light.extend(
            pixel
                .iter()
                .zip(tables)
                .map(|(sample, table)| table[at(sample)]),
        );
    }
}

/// From steps of light to encoded 16-bit samples, in place.
fn encode(mut light: Vec<u16>, curves: &[Curve]) -> Vec<u16> {
    let tables = for_each_curve(curves, |curve| {
        curve
            .encode(65536, |step| {
                let above_black = step as i64 - i64::from(BLACK);
                // The filter's weights are whole numbers whose sum may miss one by a hair: the
                // step beside white is white, so that paper stays free of specks.
                if above_black >= i64::from(RANGE) - 1 {
                    1.0
                } else if above_black <= 1 {
                    0.0
                } else {
                    above_black as f64 / f64::from(RANGE)
                }
            })
            .into()
    });
    let first = &tables[0];
    if tables.iter().all(|table| Arc::ptr_eq(table, first)) {
        for sample in &mut light {
            *sample = first[usize::from(*sample)];
        }
    } else {
        for pixel in light.chunks_exact_mut(tables.len()) {
            for (sample, table) in pixel.iter_mut().zip(&tables) {
                *sample = table[usize::from(*sample)];
            }
        }
    }
    light
}

fn narrowed(words: &[u16]) -> Vec<u8> {
    words
        .iter()
        .map(|&word| ((u32::from(word) + 128) / 257) as u8)
        .collect()
}

/// Copies a rectangle of whole pixels.
fn cut_out(picture: &Picture, x: usize, y: usize, width: usize, height: usize) -> Samples {
    fn rows<T: Copy>(
        samples: &[T],
        stride: usize,
        (x, width): (usize, usize),
        (y, height): (usize, usize),
    ) -> Vec<T> {
        let mut cut = Vec::with_capacity(width * height);
        for row in samples.chunks_exact(stride).skip(y).take(height) {
            cut.extend_from_slice(&row[x..x + width]);
        }
        cut
    }
    let channels = picture.samples.channels();
    let stride = picture.size.width as usize * channels;
    let across = (x * channels, width * channels);
    let down = (y, height);
    match &picture.samples {
        Samples::Grey8(samples) => Samples::Grey8(rows(samples, stride, across, down)),
        Samples::Grey16(samples) => Samples::Grey16(rows(samples, stride, across, down)),
        Samples::Rgb8(samples) => Samples::Rgb8(rows(samples, stride, across, down)),
        Samples::Rgb16(samples) => Samples::Rgb16(rows(samples, stride, across, down)),
        Samples::Cmyk8(samples) => Samples::Cmyk8(rows(samples, stride, across, down)),
    }
}
