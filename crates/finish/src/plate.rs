use measure::{Length, PixelSize, Size};

use crate::fit::{self, Fit, Fitted};
use crate::morphology::{MOST_RADIUS, distances};
use crate::outline::paint;
use crate::{FinishError, Shape};

/// A plate on pixels.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plate {
    /// The face that it stands on, bleed included.
    face: Size,
    size: PixelSize,
    /// 1 where the plate is.
    pixels: Vec<u8>,
}

/// What was noticed when a picture became a plate.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct MaskRemarks {
    /// Share of the picture that is neither dark nor light, and no softened edge either: 0 to 1.
    pub soft: f64,
    /// What was done so that it fits its face.
    pub fitted: Option<Fitted>,
}

/// The most pixels that a plate is worked on with.
const MOST_PIXELS: f64 = 48e6;
/// Darker than this is plate.
const HALF: u8 = 128;
/// Values between these are grey.
const GREY: std::ops::RangeInclusive<u8> = 26..=229;

impl Plate {
    /// From a picture: `lightness` holds a byte for each pixel, 0 black, 255 white.
    ///
    /// # Errors
    /// Another count of bytes, other proportions than the face unless `fit` says what to do then,
    /// nothing dark.
    pub fn from_picture(
        lightness: &[u8],
        size: PixelSize,
        face: Size,
        fit: Fit,
    ) -> Result<(Self, MaskRemarks), FinishError> {
        if lightness.len() as u64 != size.count() || lightness.is_empty() {
            return Err(FinishError::Pixels {
                found: lightness.len(),
                wanted: size.count(),
            });
        }
        // A pixel more or less is no other proportion.
        let pixel = 1.0 / f64::from(size.width.min(size.height));
        let told = |width: f64, height: f64| format!("{width:.0} × {height:.0} pixels");
        let sides = (f64::from(size.width), f64::from(size.height));
        let placing = fit::place(sides, face, fit, pixel, told)?;
        let pixels: Vec<u8> = lightness
            .iter()
            .map(|&value| u8::from(value < HALF))
            .collect();
        if !pixels.contains(&1) {
            return Err(FinishError::Empty);
        }
        let remarks = MaskRemarks {
            soft: soft_share(lightness, size),
            fitted: placing.fitted,
        };
        let (pixels, size) = match placing.fitted {
            None => (pixels, size),
            Some(fitted) => fitted.pixels(&pixels, size, face),
        };
        let plate = Self { face, size, pixels };
        Ok((plate, remarks))
    }

    /// From shapes, on pixels fine enough for the `finest` detail that matters.
    pub fn from_shapes(shapes: &[Shape], face: Size, finest: Length) -> Self {
        let (width, height) = (face.width.mm(), face.height.mm());
        let wished = PIXELS_ACROSS_FINEST / finest.mm().max(0.02);
        let per_mm = wished
            .min((MOST_PIXELS / (width * height)).sqrt())
            .max(1e-3);
        let side = |mm: f64| (mm * per_mm).ceil().max(1.0) as u32;
        let size = PixelSize {
            width: side(width),
            height: side(height),
        };
        Self {
            face,
            size,
            pixels: paint(shapes, face, size),
        }
    }

    /// With every line wider by so much, and every gap narrower; to within a pixel.
    #[must_use]
    pub fn thickened(mut self, by: Length) -> Self {
        let radius = (by.mm() / 2.0 * self.pixels_per_mm()).round();
        if radius >= 1.0 {
            let radius = radius.min(MOST_RADIUS as f64) as usize;
            let reach = (radius * radius) as i16;
            let to_plate = distances(&self.pixels, self.size, 1, radius);
            for (pixel, distance) in self.pixels.iter_mut().zip(to_plate) {
                *pixel = u8::from(distance <= reach);
            }
        }
        self
    }

    /// The face that it stands on.
    pub const fn face(&self) -> Size {
        self.face
    }

    /// In pixels.
    pub const fn size(&self) -> PixelSize {
        self.size
    }

    /// Row by row, 1 where the plate is.
    pub fn pixels(&self) -> &[u8] {
        &self.pixels
    }

    /// Pixels to a millimetre, across.
    pub fn pixels_per_mm(&self) -> f64 {
        f64::from(self.size.width) / self.face.width.mm()
    }

    /// Share of the face that the plate covers, 0 to 1.
    pub fn share(&self) -> f64 {
        let covered: u64 = self.pixels.iter().map(|&pixel| u64::from(pixel)).sum();
        covered as f64 / self.size.count().max(1) as f64
    }
}

impl Fitted {
    /// A picture with margins around it, or with its rows or columns said again as often as the
    /// stretching needs: its pixels stay as wide as they are high, and none is lost.
    fn pixels(self, from: &[u8], size: PixelSize, face: Size) -> (Vec<u8>, PixelSize) {
        let (width, height) = (f64::from(size.width), f64::from(size.height));
        let most = MOST_PIXELS.max(width * height);
        let proportion = face.width.mm() / face.height.mm();
        // The larger picture of the two that have the proportions of the face.
        let (wide, high) = if width / height < proportion {
            (height * proportion, height)
        } else {
            (width, width / proportion)
        };
        let smaller = (most / (wide * high)).sqrt().min(1.0);
        let side = |pixels: f64| (pixels * smaller).round().max(1.0) as u32;
        let to = PixelSize {
            width: side(wide),
            height: side(high),
        };
        // Pixels of the old picture to one of the new.
        let (step_x, step_y) = match self {
            Self::Centred { .. } => (1.0 / smaller, 1.0 / smaller),
            Self::Stretched(_) => (width / f64::from(to.width), height / f64::from(to.height)),
        };
        let places = |count: u32, step: f64, old: u32| -> Vec<Option<usize>> {
            let before = (f64::from(old) - f64::from(count) * step) / 2.0;
            (0..count)
                .map(|at| {
                    let at = before + (f64::from(at) + 0.5) * step;
                    (at >= 0.0 && at < f64::from(old)).then_some(at as usize)
                })
                .collect()
        };
        let columns = places(to.width, step_x, size.width);
        let rows = places(to.height, step_y, size.height);
        let mut pixels = Vec::with_capacity(to.count() as usize);
        for row in rows {
            let line = row.map(|row| &from[row * size.width as usize..][..size.width as usize]);
            pixels.extend(
                columns
                    .iter()
                    .map(|column| line.zip(*column).map_or(0, |(line, column)| line[column])),
            );
        }
        (pixels, to)
    }
}

/// Pixels across the finest detail. Turned lines are told from others within two and a half
/// pixels, so that this measures them to an eighth.
const PIXELS_ACROSS_FINEST: f64 = 20.0;

/// Greys that have not both a dark and a light pixel beside them: an edge that is softened over one
/// or two pixels is no fade.
fn soft_share(lightness: &[u8], size: PixelSize) -> f64 {
    let (width, height) = (size.width as usize, size.height as usize);
    let mut soft = 0_u64;
    for y in 0..height {
        for x in 0..width {
            if !GREY.contains(&lightness[y * width + x]) {
                continue;
            }
            let (mut dark, mut light) = (false, false);
            for near_y in y.saturating_sub(2)..(y + 3).min(height) {
                let row = near_y * width;
                for value in &lightness[row + x.saturating_sub(2)..row + (x + 3).min(width)] {
                    dark |= value < GREY.start();
                    light |= value > GREY.end();
                }
            }
            soft += u64::from(!(dark && light));
        }
    }
    soft as f64 / size.count().max(1) as f64
}
