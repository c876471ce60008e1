//! The pixels of a sheet: pictures laid on their ground, words over them.

use std::sync::Arc;

use art::{Picture, Samples, Window};
use book::plan::PlacedPicture;
use colour::ColourError;
use measure::{Length, PixelSize, Rect};
use press::WordsInput;
use rayon::prelude::*;

use super::kept::{Bytes, locked};
use super::{Area, Views, find, maps, place_of, small_art};
use crate::grid::PixelRect;
use crate::inks::{self, Inks, Plates, SHARE};
use crate::press_job::{self, ArtFile, Plan, Unit};
use crate::unit::{Cut, Group, Lattice, Sheet};
use crate::{Desk, DeskError, PressFile, SheetName};

/// What the pixels of a sheet tell.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Layer {
    /// sRGB, as on the screen.
    Screen,
    /// C, M, Y, K, as in the press file.
    Ink,
    /// C, M, Y, K without sharpening.
    Plain,
    /// What paper does to each colour: see [`maps::Fate`].
    Fate,
}

impl Layer {
    pub(super) const fn channels(self) -> usize {
        match self {
            Self::Screen | Self::Fate => 3,
            Self::Ink | Self::Plain => 4,
        }
    }
}

/// Pixels, row by row.
pub(super) struct Raster {
    pub size: PixelSize,
    pub layer: Layer,
    pub bytes: Vec<u8>,
}

impl Bytes for Raster {
    fn bytes(&self) -> usize {
        self.bytes.len()
    }
}

impl Raster {
    /// The values of one pixel; `None` outside.
    pub(super) fn at(&self, x: u32, y: u32) -> Option<&[u8]> {
        if x >= self.size.width || y >= self.size.height {
            return None;
        }
        let channels = self.layer.channels();
        let at = (y as usize * self.size.width as usize + x as usize) * channels;
        self.bytes.get(at..at + channels)
    }
}

/// From which pixels a sheet is made.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Detail {
    /// All that the art has, brought to the press grid as in the press file.
    Full,
    /// Copies at the size of a screen.
    Small,
}

/// A placed picture, brought to the pixels of the sheet.
pub(super) struct Brought {
    pub place: PixelRect,
    pub picture: Picture,
    pub plates: Plates,
    pub compensation: colour::Compensation,
}

/// Makes the pixels of a sheet.
pub(super) struct Maker<'a> {
    pub desk: &'a Desk,
    pub plan: &'a Plan<'a>,
    pub inks: &'a Inks,
    pub name: SheetName,
    pub area: Area,
    pub detail: Detail,
}

impl Maker<'_> {
    pub(super) fn make(&self, layer: Layer) -> Result<Raster, DeskError> {
        let (sheet, _) = find(&self.plan.standing.snapshot, self.name)?;
        let mut raster = self.under_words(layer)?;
        for (rect, tint) in sheet.tints() {
            let ink = tint.0.map(|part| (part * 255.0).round() as u8);
            let value = self.in_layer(layer, ink)?;
            lay_tint(&mut raster.bytes, &value, rect, &self.area);
        }
        let words = self.words(&sheet)?;
        lay_words(&mut raster.bytes, layer, &words, &self.area);
        Ok(raster)
    }

    /// The ground and the pictures alone.
    pub(super) fn under_words(&self, layer: Layer) -> Result<Raster, DeskError> {
        let (sheet, _) = find(&self.plan.standing.snapshot, self.name)?;
        let size = self.area.pixels.size();
        let ground = sheet.ground.map_or([0; 4], |ground| {
            ground.map(|ink| (ink * 2.55).round() as u8)
        });
        let ground = self.in_layer(layer, ground)?;
        let mut bytes = ground.repeat(size.count() as usize);
        for index in 0..sheet.pictures.len() {
            let sharpened = layer == Layer::Ink;
            let Some(brought) = self.bring(&sheet, index, sharpened)? else {
                continue;
            };
            let pixels = self.values(layer, &brought).map_err(|e| self.failed(&e))?;
            lay(
                &mut bytes,
                self.area.pixels,
                &pixels,
                brought.place,
                layer.channels(),
            );
        }
        Ok(Raster { size, layer, bytes })
    }

    pub(super) fn words(&self, sheet: &Sheet<'_>) -> Result<Vec<WordsInput>, DeskError> {
        press_job::set_words(self.plan, sheet, &place_of(self.name)).map(|(words, _)| words)
    }

    pub(super) fn failed(&self, error: &ColourError) -> DeskError {
        DeskError::new(place_of(self.name), error.to_string(), "")
    }

    /// A tint of the press in the values of a layer.
    fn in_layer(&self, layer: Layer, ink: [u8; 4]) -> Result<Vec<u8>, DeskError> {
        if matches!(layer, Layer::Ink | Layer::Plain) {
            return Ok(ink.to_vec());
        }
        if ink == [0; 4] {
            return Ok(match layer {
                Layer::Fate => maps::Fate::PAPER.to_vec(),
                _ => vec![255; 3],
            });
        }
        let tint = Picture {
            size: PixelSize {
                width: 1,
                height: 1,
            },
            samples: Samples::Cmyk8(ink.to_vec()),
            profile: Some(self.inks.condition.profile.clone()),
            remarks: Vec::new(),
        };
        let rgb = self.inks.on_screen(&tint).map_err(|e| self.failed(&e))?;
        Ok(match layer {
            Layer::Fate => maps::Fate::unchanged([rgb[0], rgb[1], rgb[2]]).to_vec(),
            _ => rgb,
        })
    }

    /// A picture in the values of a layer.
    fn values(&self, layer: Layer, brought: &Brought) -> Result<Vec<u8>, ColourError> {
        let Brought {
            picture,
            plates,
            compensation,
            ..
        } = brought;
        match layer {
            Layer::Ink | Layer::Plain => self.inks.separate(picture, *plates, compensation),
            Layer::Screen => self.inks.on_screen(picture),
            Layer::Fate => maps::fates(self.inks, picture, *plates, compensation),
        }
    }

    /// A placed picture on the pixels of the sheet; `None` where nothing of it is seen, or the art
    /// is missing (the page is shown without it).
    pub(super) fn bring(
        &self,
        sheet: &Sheet<'_>,
        index: usize,
        sharpened: bool,
    ) -> Result<Option<Brought>, DeskError> {
        let placed = &sheet.pictures[index];
        let (Some(art), Some(window)) = (
            self.plan.art.get(placed.piece.as_str()),
            placed.window.shared(sheet.with_bleed()),
        ) else {
            return Ok(None);
        };
        let Some(place) = self.area.grid.snapped(window).shared(self.area.pixels) else {
            return Ok(None);
        };
        let treatment = art.known.treatment;
        let (picture, line_art) = match self.detail {
            Detail::Small => {
                let small = self.small(art, &placed.piece)?;
                let window =
                    window_under(self.area.grid.rect(place), placed.frame, small.picture.size);
                (
                    art::resample(&small.picture, window, place.size()),
                    small.line_art,
                )
            }
            Detail::Full => {
                let picture = decoded(self.desk, art, &placed.piece)?;
                let line_art = inks::is_line_art(&picture);
                let own = self.group(index).filter(|_| sharpened && !line_art);
                let brought = match own {
                    Some((group, cut)) if group.sharpen.is_some() => {
                        self.sharpened(&picture, group, cut, placed, place)
                    }
                    _ => art::resample(
                        &picture,
                        window_under(self.area.grid.rect(place), placed.frame, picture.size),
                        place.size(),
                    ),
                };
                (brought, line_art)
            }
        };
        Ok(Some(Brought {
            place,
            picture,
            plates: Plates::of(treatment.inks, line_art),
            compensation: treatment.compensation,
        }))
    }

    fn small(&self, art: &ArtFile<'_>, piece: &str) -> Result<small_art::Shared, DeskError> {
        self.desk
            .room
            .views
            .small
            .get(art.known.digest, || small_art::get(self.desk, art, piece))
    }

    /// How the press file cuts a picture of this sheet.
    fn group(&self, picture: usize) -> Option<(&Group, &Cut)> {
        let (unit, sheet) = match self.name {
            SheetName::Flat(kind) => {
                let of_kind = |unit: &&Unit<'_>| {
                    let flat = unit.sheets.first().and_then(|sheet| sheet.flat);
                    flat.is_some_and(|flat| flat.kind() == kind)
                };
                let units = self.plan.units_of(PressFile::of(kind));
                (units.iter().find(of_kind)?, 0)
            }
            SheetName::Page(page) => {
                let within = |unit: &&Unit<'_>| {
                    (unit.first..unit.first + unit.sheets.len() as u32).contains(&page.0)
                };
                let unit = self.plan.interior.iter().find(within)?;
                (unit, (page.0 - unit.first) as usize)
            }
        };
        unit.groups.iter().find_map(|group| {
            let cut = group
                .cuts
                .iter()
                .find(|cut| cut.sheet == sheet && cut.picture == picture)?;
            Some((group, cut))
        })
    }

    /// A picture sharpened at the pixels of the press file, with enough of them around that the
    /// borders come out as there.
    fn sharpened(
        &self,
        picture: &Picture,
        group: &Group,
        cut: &Cut,
        placed: &PlacedPicture,
        place: PixelRect,
    ) -> Picture {
        let Some(sharpen) = &group.sharpen else {
            return picture.clone();
        };
        // Enlarging looks three pixels beside its window, too.
        let margin = i64::from(sharpen.margin_px()).max(4);
        let whole = PixelRect {
            left: 0,
            top: 0,
            right: i64::from(group.size.width),
            bottom: i64::from(group.size.height),
        };
        let wide = PixelRect {
            left: cut.part.left - margin,
            top: cut.part.top - margin,
            right: cut.part.right + margin,
            bottom: cut.part.bottom + margin,
        };
        let wide = wide.shared(whole).unwrap_or(cut.part);
        let across = group.window.width / f64::from(group.size.width);
        let down = group.window.height / f64::from(group.size.height);
        let size = wide.size();
        let window = if wide == whole {
            group.window
        } else {
            Window {
                x: group.window.x + wide.left as f64 * across,
                y: group.window.y + wide.top as f64 * down,
                width: f64::from(size.width) * across,
                height: f64::from(size.height) * down,
            }
        };
        let sharp = art::sharpen(art::resample(picture, window, size), sharpen);
        match group.lattice {
            Lattice::Press => {
                let window = Window {
                    x: (cut.part.left - wide.left) as f64,
                    y: (cut.part.top - wide.top) as f64,
                    width: f64::from(place.size().width),
                    height: f64::from(place.size().height),
                };
                art::resample(&sharp, window, place.size())
            }
            Lattice::Own => {
                let under = window_under(self.area.grid.rect(place), placed.frame, picture.size);
                let window = Window {
                    x: under.x - window.x,
                    y: under.y - window.y,
                    ..under
                };
                art::resample(&sharp, window, place.size())
            }
        }
    }
}

/// The part of a picture that lies under a rectangle of the sheet.
pub(super) fn window_under(rect: Rect, frame: Rect, size: PixelSize) -> Window {
    let scale = |pixels: u32, length: Length| f64::from(pixels) / length.mm();
    let across = scale(size.width, frame.width);
    let down = scale(size.height, frame.height);
    Window {
        x: (rect.x - frame.x).mm() * across,
        y: (rect.y - frame.y).mm() * down,
        width: rect.width.mm() * across,
        height: rect.height.mm() * down,
    }
}

/// A decoded piece, kept for the page beside it.
pub(super) fn decoded(
    desk: &Desk,
    art: &ArtFile<'_>,
    name: &str,
) -> Result<Arc<Picture>, DeskError> {
    let views: &Views = &desk.room.views;
    if let Some((_, picture)) = locked(&views.art)
        .iter()
        .find(|(digest, _)| *digest == art.known.digest)
    {
        return Ok(picture.clone());
    }
    let picture = Arc::new(press_job::decode(art, name)?);
    small_art::note(desk, art.known.digest, &picture);
    let mut kept = locked(&views.art);
    kept.push_back((art.known.digest, picture.clone()));
    let bytes = |picture: &Picture| {
        picture.samples.len()
            * match picture.samples {
                Samples::Grey16(_) | Samples::Rgb16(_) => 2,
                _ => 1,
            }
    };
    let mut total: usize = kept.iter().map(|(_, picture)| bytes(picture)).sum();
    while total > super::ART_BYTES
        && let Some((_, oldest)) = kept.pop_front()
    {
        total -= bytes(&oldest);
    }
    Ok(picture)
}

/// Lays pixels over a sheet.
fn lay(sheet: &mut [u8], area: PixelRect, picture: &[u8], place: PixelRect, channels: usize) {
    let row = area.size().width as usize * channels;
    let width = place.size().width as usize * channels;
    let left = (place.left - area.left) as usize * channels;
    let top = (place.top - area.top) as usize;
    for (line, pixels) in picture.chunks_exact(width.max(1)).enumerate() {
        let start = (top + line) * row + left;
        sheet[start..start + width].copy_from_slice(pixels);
    }
}

/// A tint over what lies there; at its edges by the share of the pixel that it covers.
fn lay_tint(bytes: &mut [u8], value: &[u8], rect: Rect, area: &Area) {
    let (width, channels) = (area.pixels.size().width as usize, value.len());
    cover_rect(rect, area, |x, y, part| {
        let at = (y * width + x) * channels;
        for (under, &over) in bytes[at..at + channels].iter_mut().zip(value) {
            let mixed = f64::from(*under) * (1.0 - part) + f64::from(over) * part;
            *under = mixed.round() as u8;
        }
    });
}

/// How much of each pixel a rectangle covers, 0 to 1.
pub(super) fn cover_rect(rect: Rect, area: &Area, mut spot: impl FnMut(usize, usize, f64)) {
    let (across, down) = area.grid.pixels_per_mm();
    let size = area.pixels.size();
    let edges = |from: Length, to: Length, scale: f64, origin: i64, most: u32| {
        let place = |at: Length| (at.mm() * scale - origin as f64).clamp(0.0, f64::from(most));
        (place(from), place(to))
    };
    let columns = edges(rect.x, rect.right(), across, area.pixels.left, size.width);
    let rows = edges(rect.y, rect.bottom(), down, area.pixels.top, size.height);
    let covered = |at: usize, (from, to): (f64, f64)| {
        (to.min(at as f64 + 1.0) - from.max(at as f64)).clamp(0.0, 1.0)
    };
    for y in rows.0 as usize..rows.1.ceil() as usize {
        for x in columns.0 as usize..columns.1.ceil() as usize {
            spot(x, y, covered(x, columns) * covered(y, rows));
        }
    }
}

/// Words over what lies there: black ink on top of other inks, or the paper left bare.
fn lay_words(bytes: &mut [u8], layer: Layer, words: &[WordsInput], area: &Area) {
    let channels = layer.channels();
    let width = area.pixels.size().width as usize;
    for words in words {
        crate::glyphs::cover(words, area.grid, area.pixels, |x, y, coverage| {
            let at = (y * width + x) * channels;
            let pixel = &mut bytes[at..at + channels];
            match layer {
                Layer::Ink | Layer::Plain if words.paper => {
                    for ink in pixel {
                        *ink = share(*ink, 255 - coverage);
                    }
                }
                Layer::Ink | Layer::Plain => pixel[3] = pixel[3].max(coverage),
                Layer::Screen => {
                    for value in pixel {
                        let under = share(*value, 255 - coverage);
                        *value = if words.paper { under + coverage } else { under };
                    }
                }
                Layer::Fate => {
                    pixel[0] = share(pixel[0], 255 - coverage);
                    for lightness in &mut pixel[1..] {
                        let under = share(*lightness, 255 - coverage);
                        *lightness = if words.paper { under + coverage } else { under };
                    }
                }
            }
        });
    }
}

/// `value` times `part` of 255, rounded.
pub(super) fn share(value: u8, part: u8) -> u8 {
    ((u16::from(value) * u16::from(part) + 127) / 255) as u8
}

/// Fills `channels` bytes a pixel share by share on all cores.
pub(super) fn by_shares(
    pixels: usize,
    channels: usize,
    fill: impl Fn(usize, &mut [u8]) + Sync,
) -> Vec<u8> {
    let mut bytes = vec![0; pixels * channels];
    bytes
        .par_chunks_mut(SHARE * channels)
        .enumerate()
        .for_each(|(index, bytes)| fill(index * SHARE, bytes));
    bytes
}
