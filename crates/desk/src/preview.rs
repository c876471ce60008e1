//! Looking at pages, at the cover and at art: as on a screen, as printed, and as maps.
//!
//! A preview is laid on the press grid. Art with fewer pixels than the press wants, which keeps
//! its own pixels in the press file, is shown enlarged.
//!
//! At full depth only what the press file holds is kept (inks, or the screen's colours); what is
//! shown of it is computed tile by tile. Smaller levels are kept as they are shown.

mod kept;
mod maps;
mod raster;
mod small;
mod small_art;

use std::collections::VecDeque;
use std::sync::{Arc, Mutex};

use art::Picture;
use book::object::FlatKind;
use colour::{PaperView, SoftProof};
use measure::{PixelSize, Rect};
use rayon::prelude::*;

use self::kept::{Bytes, Gate, Kept};
use self::raster::{Detail, Layer, Maker, Raster};
pub(crate) use self::small::{contact_sheet, page_picture, trial};
use self::small_art::SmallArt;
pub(crate) use self::small_art::note as note_small;
use crate::digest::{Digest, Gather};
use crate::grid::{Grid, PixelRect};
use crate::inks::Inks;
use crate::paper::Paper;
use crate::press_job::{self, ArtFile, Plan};
use crate::pyramid::{self, jpeg};
use crate::unit::{self, Sheet};
use crate::{Desk, DeskError, LegendStep, Sample, SheetName, View, art_folder, files};

/// Bytes of sheets that are kept: a spread of 250 × 300 mm in print, and one page on the screen.
const KEPT_BYTES: usize = 170 << 20;
/// Bytes of small copies of art, and of sheets laid out for trials.
const SMALL_BYTES: usize = 24 << 20;
/// Bytes of decoded art that are kept: the other page of a spread is wanted next.
const ART_BYTES: usize = 80 << 20;
/// The largest sheet that is shown at full depth.
const LARGEST: u64 = 200_000_000;
/// Thumbnails are at most this large.
const LARGEST_THUMBNAIL: u32 = 2048;
/// Raised when the same art would give another thumbnail.
const METHOD: &str = "1";

/// What was made and is kept for the next look.
pub(crate) struct Views {
    sheets: Kept<(Digest, Part), Made>,
    small: Kept<Digest, SmallArt>,
    laid: Kept<Digest, small::Laid>,
    art: Mutex<VecDeque<(Digest, Arc<Picture>)>>,
    gate: Gate,
}

impl Default for Views {
    fn default() -> Self {
        Self {
            sheets: Kept::new(KEPT_BYTES),
            small: Kept::new(SMALL_BYTES),
            laid: Kept::new(SMALL_BYTES),
            art: Mutex::default(),
            gate: Gate::default(),
        }
    }
}

/// A part of what is kept of a sheet.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
enum Part {
    Layer(Layer),
    Levels(View),
}

enum Made {
    Raster(Raster),
    /// Levels 1 and up, each half of the one before.
    Levels(Vec<(PixelSize, Vec<u8>)>),
}

impl Bytes for Made {
    fn bytes(&self) -> usize {
        match self {
            Self::Raster(raster) => raster.bytes(),
            Self::Levels(levels) => levels.iter().map(|(_, rgb)| rgb.len()).sum(),
        }
    }
}

/// Size of a sheet with its bleed, and its trim within: left, top, width, height.
pub(crate) fn size(desk: &Desk, name: SheetName) -> Result<(PixelSize, [u32; 4]), DeskError> {
    let standing = desk.standing()?;
    let snapshot = &standing.snapshot;
    let (sheet, _) = find(snapshot, name)?;
    let area = Area::of(&sheet, snapshot)?;
    let side = |length: i64| u32::try_from(length.max(0)).unwrap_or(0);
    let trim = area.grid.trim();
    Ok((
        area.pixels.size(),
        [
            side(trim.left - area.pixels.left),
            side(trim.top - area.pixels.top),
            side(trim.right - trim.left),
            side(trim.bottom - trim.top),
        ],
    ))
}

/// A tile of a sheet.
pub(crate) fn tile(
    desk: &Desk,
    name: SheetName,
    view: View,
    level: u8,
    column: u32,
    row: u32,
) -> Result<(&'static str, Arc<[u8]>), DeskError> {
    let look = Look::begin(desk, name)?;
    let none = || {
        DeskError::new(
            place_of(name),
            format!("there is no tile {column}, {row} at level {level}"),
            "",
        )
    };
    let size = pyramid::level_size(look.size()?, level).ok_or_else(none)?;
    let part = pyramid::tile_part(size, column, row).ok_or_else(none)?;
    let rgb = if level == 0 {
        look.part(view, part)?
    } else {
        let made = look.levels(view)?;
        let Made::Levels(levels) = &*made else {
            return Err(none());
        };
        let (size, rgb) = levels.get(usize::from(level) - 1).ok_or_else(none)?;
        pyramid::cut(*size, rgb, part)
    };
    let size = PixelSize {
        width: part[2],
        height: part[3],
    };
    let bytes = jpeg(size, &rgb).ok_or_else(none)?;
    Ok(("image/jpeg", bytes.into()))
}

/// What the colours of a map mean.
pub(crate) fn legend(desk: &Desk, view: View) -> Result<Vec<LegendStep>, DeskError> {
    let book = &desk.standing()?.snapshot.book;
    Ok(match view {
        View::Reach => maps::reach_legend(),
        View::Ink => maps::ink_legend(desk.inks(book)?.ink_limit.percent()),
        View::Shadows => maps::shadows_legend(),
        View::Screen | View::Print | View::Adapted | View::Plain => Vec::new(),
    })
}

/// The colour of one pixel of level 0.
pub(crate) fn under(
    desk: &Desk,
    name: SheetName,
    x: u32,
    y: u32,
) -> Result<Option<Sample>, DeskError> {
    let look = Look::begin(desk, name)?;
    let (screen, ink) = (look.raster(Layer::Screen)?, look.raster(Layer::Ink)?);
    let (Made::Raster(screen), Made::Raster(ink)) = (&*screen, &*ink) else {
        return Ok(None);
    };
    let (Some(&[r, g, b]), Some(&[c, m, yellow, k])) = (screen.at(x, y), ink.at(x, y)) else {
        return Ok(None);
    };
    let failed = |error: colour::ColourError| DeskError::new(place_of(name), error.to_string(), "");
    let cmyk = [c, m, yellow, k];
    let srgb = colour::Profile::srgb();
    let readings = look.inks.readings(&srgb).map_err(failed)?;
    let art = match look.colour_of_art(x, y)? {
        Some((profile, device)) => {
            let readings = look.inks.readings(&profile).map_err(failed)?;
            readings.art(&device)
        }
        None => readings.art(&[r, g, b].map(|value| f32::from(value) / 255.0)),
    };
    let print = readings.print(cmyk, PaperView::Adapted);
    Ok(Some(Sample {
        rgb: [r, g, b],
        cmyk,
        art,
        print,
        delta_e: colour::delta_e_2000(art, print),
        ink_percent: cmyk.iter().map(|&ink| f64::from(ink)).sum::<f64>() / 2.55,
    }))
}

/// A thumbnail of a piece.
pub(crate) fn thumbnail(desk: &Desk, piece: &str, pixels: u32) -> Result<Arc<[u8]>, DeskError> {
    let standing = desk.standing()?;
    let Some(found) = standing.art.iter().find(|found| found.name == piece) else {
        return Err(DeskError::new(
            format!("art/{piece}"),
            "there is no such picture in this book",
            "Look at the names that `foredge art` lists.",
        ));
    };
    let size = found
        .size
        .clone()
        .map_err(|problem| press_job::unusable_art(piece, &problem))?;
    let digest = desk
        .with_record(|record| art_folder::digests(&[found], record))?
        .pop()
        .flatten()
        .ok_or_else(|| press_job::unusable_art(piece, "it cannot be read"))?;
    let pixels = pixels.clamp(16, LARGEST_THUMBNAIL);
    let inks = desk.inks(&standing.snapshot.book)?;
    let key = Gather::new("thumbnail")
        .put("method", METHOD)
        .put("art", digest.to_string())
        .put("pixels", pixels.to_le_bytes())
        // Art in inks without a profile is taken as made for the book's own press.
        .put("profile", inks.condition.profile.bytes())
        .done();
    let path = desk.private("cache/thumbnails").join(format!("{key}.jpg"));
    if let Ok(bytes) = std::fs::read(&path) {
        return Ok(bytes.into());
    }
    let _inside = desk.room.views.gate.enter();
    let file = ArtFile {
        known: unit::Known {
            size,
            digest,
            treatment: Paper::of(&standing.snapshot.book).treatment(piece),
        },
        path: &found.path,
        bytes: 0,
    };
    let picture = press_job::decode(&file, piece)?;
    let small = art::shrink(&picture, pixels);
    drop(picture);
    let rgb = inks
        .on_screen(&small)
        .map_err(|error| press_job::unusable_art(piece, &error.to_string()))?;
    let bytes = jpeg(small.size, &rgb)
        .ok_or_else(|| press_job::unusable_art(piece, "no small picture of it could be made"))?;
    // A thumbnail that is not remembered is only made again.
    let _ = files::write_whole(&path, &bytes);
    Ok(bytes.into())
}

/// A sheet that is looked at, with all that decides how it looks.
struct Look<'a> {
    desk: &'a Desk,
    name: SheetName,
    standing: Arc<crate::Standing>,
    inks: Arc<Inks>,
    digest: Digest,
}

impl<'a> Look<'a> {
    fn begin(desk: &'a Desk, name: SheetName) -> Result<Self, DeskError> {
        let standing = desk.standing()?;
        let inks = desk.inks(&standing.snapshot.book)?;
        let plan = Plan::new(desk, &standing, &inks)?;
        let digest = digest(&plan, name)?;
        Ok(Self {
            desk,
            name,
            digest,
            inks,
            standing,
        })
    }

    fn size(&self) -> Result<PixelSize, DeskError> {
        let (sheet, _) = find(&self.standing.snapshot, self.name)?;
        Ok(Area::of(&sheet, &self.standing.snapshot)?.pixels.size())
    }

    /// All pixels of a layer, made or kept.
    fn raster(&self, layer: Layer) -> Result<Arc<Made>, DeskError> {
        let views = &self.desk.room.views;
        views.sheets.get((self.digest, Part::Layer(layer)), || {
            let _inside = views.gate.enter();
            let plan = Plan::new(self.desk, &self.standing, &self.inks)?;
            let (sheet, _) = find(&self.standing.snapshot, self.name)?;
            let maker = Maker {
                desk: self.desk,
                plan: &plan,
                inks: &self.inks,
                name: self.name,
                area: Area::of(&sheet, &self.standing.snapshot)?,
                detail: Detail::Full,
            };
            Ok(Made::Raster(maker.make(layer)?))
        })
    }

    /// A part of a view at full depth: left, top, width and height in pixels.
    fn part(&self, view: View, part: [u32; 4]) -> Result<Vec<u8>, DeskError> {
        let made = self.raster(layer_of(view))?;
        let Made::Raster(raster) = &*made else {
            return Ok(Vec::new());
        };
        Ok(self.painter(view)?.part(raster, part))
    }

    fn painter(&self, view: View) -> Result<Painter, DeskError> {
        Painter::new(
            view,
            &self.inks,
            self.standing.snapshot.book.press.resolution.ppi(),
        )
        .map_err(|error| DeskError::new(place_of(self.name), error.to_string(), ""))
    }

    /// The smaller levels of a view, made or kept.
    fn levels(&self, view: View) -> Result<Arc<Made>, DeskError> {
        let views = &self.desk.room.views;
        views.sheets.get((self.digest, Part::Levels(view)), || {
            let made = self.raster(layer_of(view))?;
            let Made::Raster(raster) = &*made else {
                return Ok(Made::Levels(Vec::new()));
            };
            let painter = self.painter(view)?;
            Ok(Made::Levels(pyramid::levels(raster.size, |part| {
                painter.part(raster, part)
            })))
        })
    }

    /// The colour of the art under a pixel and its profile, where that tells more than the screen.
    fn colour_of_art(
        &self,
        x: u32,
        y: u32,
    ) -> Result<Option<(colour::Profile, Vec<f32>)>, DeskError> {
        let plan = Plan::new(self.desk, &self.standing, &self.inks)?;
        let (sheet, _) = find(&self.standing.snapshot, self.name)?;
        let area = Area::of(&sheet, &self.standing.snapshot)?;
        let pixel = PixelRect {
            left: area.pixels.left + i64::from(x),
            top: area.pixels.top + i64::from(y),
            right: area.pixels.left + i64::from(x) + 1,
            bottom: area.pixels.top + i64::from(y) + 1,
        };
        let rect = area.grid.rect(pixel);
        let shown = |placed: &&book::plan::PlacedPicture| placed.window.shared(rect).is_some();
        let Some(placed) = sheet.pictures.iter().rfind(shown) else {
            return Ok(None);
        };
        let Some(art) = plan.art.get(placed.piece.as_str()) else {
            return Ok(None);
        };
        let picture = raster::decoded(self.desk, art, &placed.piece)?;
        let Some(profile) = picture.profile.clone() else {
            return Ok(None);
        };
        let window = raster::window_under(rect, placed.frame, picture.size);
        let one = PixelSize {
            width: 1,
            height: 1,
        };
        let device = match art::resample(&picture, window, one).samples {
            art::Samples::Grey8(grey) => vec![f32::from(grey[0]) / 255.0; 3],
            art::Samples::Grey16(grey) => vec![f32::from(grey[0]) / 65535.0; 3],
            art::Samples::Rgb8(rgb) => rgb.iter().map(|&it| f32::from(it) / 255.0).collect(),
            art::Samples::Rgb16(rgb) => rgb.iter().map(|&it| f32::from(it) / 65535.0).collect(),
            art::Samples::Cmyk8(inks) => inks.iter().map(|&it| f32::from(it) / 255.0).collect(),
        };
        Ok(Some((profile, device)))
    }
}

/// Digest of everything that a sheet shows, in whichever view.
fn digest(plan: &Plan<'_>, name: SheetName) -> Result<Digest, DeskError> {
    let (_, index) = find(&plan.standing.snapshot, name)?;
    let facts = match name {
        SheetName::Page(_) => index.and_then(|index| plan.facts.pages.get(index)),
        SheetName::Flat(kind) => plan.facts.sheet(kind),
    };
    Ok(Gather::new("preview")
        .put(
            "sheet",
            facts.map_or_else(String::new, |facts| facts.digest.to_string()),
        )
        .put("inks", plan.inks.whole.to_string())
        .put("resolution", plan.facts.resolution.as_str())
        .done())
}

/// Which pixels a view is computed from.
const fn layer_of(view: View) -> Layer {
    match view {
        View::Screen => Layer::Screen,
        View::Print | View::Adapted | View::Ink => Layer::Ink,
        View::Plain => Layer::Plain,
        View::Reach | View::Shadows => Layer::Fate,
    }
}

/// From the pixels of a layer to those of a view.
enum Painter {
    Same,
    Proof(Arc<SoftProof>),
    Ink { limit: f64 },
    Reach,
    Shadows { side: u32 },
}

impl Painter {
    fn new(view: View, inks: &Inks, ppi: f64) -> Result<Self, colour::ColourError> {
        Ok(match view {
            View::Screen => Self::Same,
            View::Print | View::Plain => Self::Proof(inks.proof(PaperView::Shown)?),
            View::Adapted => Self::Proof(inks.proof(PaperView::Adapted)?),
            View::Ink => Self::Ink {
                limit: inks.ink_limit.percent(),
            },
            View::Reach => Self::Reach,
            View::Shadows => Self::Shadows {
                side: maps::square_px(ppi),
            },
        })
    }

    /// A part: left, top, width and height in pixels.
    fn part(&self, raster: &Raster, part: [u32; 4]) -> Vec<u8> {
        let [left, top, width, height] = part;
        let channels = raster.layer.channels();
        let row = raster.size.width as usize * channels;
        let wide = width as usize;
        let mut out = vec![0; wide * height as usize * 3];
        if let Self::Shadows { side } = self {
            maps::shadows(raster, part, *side, &mut out);
            return out;
        }
        for (line, out) in out.chunks_exact_mut(wide * 3).enumerate() {
            let start = (top as usize + line) * row + left as usize * channels;
            let pixels = &raster.bytes[start..start + wide * channels];
            let out = out.as_chunks_mut::<3>().0;
            match self {
                Self::Same | Self::Shadows { .. } => out.as_flattened_mut().copy_from_slice(pixels),
                Self::Proof(table) => table.convert(pixels, out.as_flattened_mut()),
                Self::Ink { limit } => {
                    for (pixel, out) in pixels.as_chunks::<4>().0.iter().zip(out) {
                        *out = maps::ink(pixel.iter().map(|&ink| u32::from(ink)).sum(), *limit);
                    }
                }
                Self::Reach => {
                    for (pixel, out) in pixels.as_chunks::<3>().0.iter().zip(out) {
                        *out = maps::reach(*pixel);
                    }
                }
            }
        }
        out
    }

    /// All of it, on all cores.
    fn whole(&self, raster: &Raster) -> Vec<u8> {
        const ROWS: u32 = 64;
        let PixelSize { width, height } = raster.size;
        let mut out = vec![0; width as usize * height as usize * 3];
        out.par_chunks_mut((width * ROWS).max(1) as usize * 3)
            .enumerate()
            .for_each(|(band, out)| {
                let top = band as u32 * ROWS;
                let part = [0, top, width, ROWS.min(height - top)];
                out.copy_from_slice(&self.part(raster, part));
            });
        out
    }
}

/// The inks that ground and pictures put under a part of a sheet, as in the press file: C, M, Y, K by
/// pixel.
pub(crate) fn inks_under(
    plan: &Plan<'_>,
    kind: FlatKind,
    rect: Rect,
) -> Result<(PixelSize, Vec<u8>), DeskError> {
    let snapshot = &plan.standing.snapshot;
    let name = SheetName::Flat(kind);
    let (sheet, _) = find(snapshot, name)?;
    let Area { grid, pixels } = Area::of(&sheet, snapshot)?;
    let Some(pixels) = grid.snapped(rect).shared(pixels) else {
        return Ok((
            PixelSize {
                width: 0,
                height: 0,
            },
            Vec::new(),
        ));
    };
    let maker = Maker {
        desk: plan.desk,
        plan,
        inks: plan.inks,
        name,
        area: Area { grid, pixels },
        detail: Detail::Full,
    };
    let raster = maker.under_words(Layer::Ink)?;
    Ok((raster.size, raster.bytes))
}

/// The pixels of a sheet.
pub(super) struct Area {
    pub grid: Grid,
    pub pixels: PixelRect,
}

impl Area {
    fn of(sheet: &Sheet<'_>, snapshot: &crate::Snapshot) -> Result<Self, DeskError> {
        let grid = Grid::new(sheet.trim, snapshot.book.press.resolution);
        let pixels = grid.snapped(sheet.with_bleed());
        if pixels.size().count() > LARGEST {
            return Err(DeskError::new(
                "book.toml [press] resolution",
                format!(
                    "a page of {} at {} is too large to be shown",
                    sheet.trim, snapshot.book.press.resolution
                ),
                "300 ppi is what presses print.",
            ));
        }
        Ok(Self { grid, pixels })
    }
}

/// A sheet by name, and its index among the pages.
pub(super) fn find(
    snapshot: &crate::Snapshot,
    name: SheetName,
) -> Result<(Sheet<'_>, Option<usize>), DeskError> {
    let format = &snapshot.book.format;
    match name {
        SheetName::Page(number) => {
            let page = snapshot.plan.page(number).ok_or_else(|| {
                DeskError::new(
                    place_of(name),
                    format!(
                        "the book has no such page; it has {}",
                        snapshot.plan.pages.len()
                    ),
                    "",
                )
            })?;
            Ok((
                Sheet::of_page(page, format),
                Some(number.0.saturating_sub(1) as usize),
            ))
        }
        SheetName::Flat(kind) => {
            let plan = snapshot.sheet(kind).ok_or_else(|| {
                DeskError::new(
                    place_of(name),
                    format!(
                        "this {} book has no {}",
                        snapshot.book.binding.kind.word(),
                        kind.word()
                    ),
                    "",
                )
            })?;
            Ok((Sheet::of_flat(plan), None))
        }
    }
}

pub(super) fn place_of(name: SheetName) -> String {
    match name {
        SheetName::Page(page) => format!("page {}", page.0),
        SheetName::Flat(kind) => kind.word().to_owned(),
    }
}
