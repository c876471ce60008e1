//! Looking at pages, at the cover and at art: as on a screen, and as printed.
//!
//! A preview is laid on the press grid. Art with fewer pixels than the press wants, which keeps
//! its own pixels in the press file, is shown enlarged.

use std::collections::{HashMap, VecDeque};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};

use art::{Picture, Window};
use book::plan::{PlacedPicture, ReaderPage};
use measure::{Length, PixelSize, Rect};

use crate::digest::{Digest, Gather};
use crate::grid::{Grid, PixelRect};
use crate::inks::{self, Inks, Plates};
use crate::paper::Paper;
use crate::press_job::{self, ArtFile, Plan};
use crate::pyramid::{Pyramid, jpeg};
use crate::unit::{self, Sheet};
use crate::{Desk, DeskError, Sample, SheetName, View, art_folder, files};

/// Bytes of finished previews that are kept.
const KEPT_BYTES: usize = 600 << 20;
/// Bytes of decoded art that are kept: the other page of a spread is wanted next.
const ART_BYTES: usize = 200 << 20;
/// Previews and thumbnails that are made at once; others wait.
const AT_ONCE: usize = 2;
/// The largest sheet that is shown at full depth.
const LARGEST: u64 = 200_000_000;
/// Thumbnails are at most this large.
const LARGEST_THUMBNAIL: u32 = 2048;
/// Raised when the same art would give another thumbnail.
const METHOD: &str = "1";

/// What was made and is kept for the next look.
#[derive(Default)]
pub(crate) struct Views {
    made: Mutex<Made>,
    art: Mutex<VecDeque<(Digest, Arc<Picture>)>>,
    gate: Gate,
}

#[derive(Default)]
struct Made {
    slots: HashMap<(Digest, View), Slot>,
    /// Last looked at, last in line.
    order: VecDeque<(Digest, View)>,
}

/// A preview that is being made is waited for; one that could not be made is tried again.
type Slot = Arc<Mutex<Option<Arc<Shown>>>>;

struct Shown {
    pyramid: Pyramid,
    /// CMYK of level 0, for the view as printed.
    ink: Vec<u8>,
}

impl Shown {
    fn bytes(&self) -> usize {
        self.pyramid.bytes() + self.ink.len()
    }
}

/// Lets a few in at a time.
#[derive(Default)]
struct Gate {
    inside: Mutex<usize>,
    left: Condvar,
}

struct Inside<'a>(&'a Gate);

impl Gate {
    fn enter(&self) -> Inside<'_> {
        let mut inside = locked(&self.inside);
        while *inside >= AT_ONCE {
            inside = self
                .left
                .wait(inside)
                .unwrap_or_else(PoisonError::into_inner);
        }
        *inside += 1;
        Inside(self)
    }
}

impl Drop for Inside<'_> {
    fn drop(&mut self) {
        *locked(&self.0.inside) -= 1;
        self.0.left.notify_one();
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
    let shown = shown(desk, name, view)?;
    let bytes = shown.pyramid.tile(level, column, row).ok_or_else(|| {
        DeskError::new(
            place(name),
            format!("there is no tile {column}, {row} at level {level}"),
            "",
        )
    })?;
    Ok(("image/jpeg", bytes.into()))
}

/// The colour of one pixel of level 0.
pub(crate) fn under(
    desk: &Desk,
    name: SheetName,
    x: u32,
    y: u32,
) -> Result<Option<Sample>, DeskError> {
    let (screen, print) = (
        shown(desk, name, View::Screen)?,
        shown(desk, name, View::Print)?,
    );
    let (size, _) = size(desk, name)?;
    let at = (y as usize * size.width as usize + x as usize) * 4;
    Ok(screen
        .pyramid
        .pixel(x, y)
        .zip(print.ink.get(at..at + 4))
        .and_then(|(rgb, ink)| {
            let share = |byte: u8| f32::from(byte) / 255.0;
            let seen = print.pyramid.pixel(x, y)?;
            let lab = colour::Profile::srgb()
                .lab_of(&[rgb.map(share), seen.map(share)])
                .ok()?;
            Some(Sample {
                rgb,
                cmyk: [ink[0], ink[1], ink[2], ink[3]],
                art: lab[0],
                print: lab[1],
                delta_e: colour::delta_e_2000(lab[0], lab[1]),
                ink_percent: ink.iter().map(|&ink| f64::from(ink)).sum::<f64>() / 2.55,
            })
        }))
}

/// A small picture of a sheet: its trim, or all with its bleed.
pub(crate) fn small(
    desk: &Desk,
    name: SheetName,
    view: View,
    longest: u32,
) -> Result<Arc<[u8]>, DeskError> {
    let shown = shown(desk, name, view)?;
    shown.pyramid.small(longest).map(Into::into).ok_or_else(|| {
        DeskError::new(place(name), "no small picture of it could be made", "")
    })
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
        known: unit::Known { size, digest, treatment: Paper::of(&standing.snapshot.book).treatment(piece) },
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

/// A preview, made or kept.
fn shown(desk: &Desk, name: SheetName, view: View) -> Result<Arc<Shown>, DeskError> {
    let standing = desk.standing()?;
    let inks = desk.inks(&standing.snapshot.book)?;
    let plan = Plan::new(desk, &standing, &inks)?;
    let (_, index) = find(&standing.snapshot, name)?;
    let facts = match index {
        Some(index) => plan.facts.pages.get(index),
        None => plan.facts.cover.as_ref(),
    };
    let key = Gather::new("preview")
        .put(
            "sheet",
            facts.map_or_else(String::new, |facts| facts.digest.to_string()),
        )
        .put("inks", inks.digest.to_string())
        .put("resolution", plan.facts.resolution.as_str())
        .done();
    let views = &desk.room.views;
    let slot = slot(&views.made, (key, view));
    let mut slot = locked(&slot);
    if let Some(shown) = &*slot {
        return Ok(shown.clone());
    }
    let made = {
        let _inside = views.gate.enter();
        Arc::new(make(&plan, &inks, name, view, views)?)
    };
    *slot = Some(made.clone());
    drop(slot);
    forget(&views.made);
    Ok(made)
}

/// The slot of a preview, brought to the end of the line.
fn slot(made: &Mutex<Made>, key: (Digest, View)) -> Slot {
    let mut made = locked(made);
    made.order.retain(|known| *known != key);
    made.order.push_back(key);
    made.slots.entry(key).or_default().clone()
}

/// Forgets what was not looked at for the longest time.
fn forget(made: &Mutex<Made>) {
    let mut made = locked(made);
    let bytes = |slot: &Slot| match slot.try_lock() {
        Ok(shown) => shown.as_ref().map_or(0, |shown| shown.bytes()),
        // Being made: counted when it is done.
        Err(_) => 0,
    };
    let mut total: usize = made.slots.values().map(bytes).sum();
    while total > KEPT_BYTES && made.order.len() > 1 {
        let Some(oldest) = made.order.pop_front() else {
            return;
        };
        if let Some(slot) = made.slots.remove(&oldest) {
            total -= bytes(&slot).min(total);
        }
    }
}

/// The pixels of a sheet.
struct Area {
    grid: Grid,
    pixels: PixelRect,
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

fn make(
    plan: &Plan<'_>,
    inks: &Inks,
    name: SheetName,
    view: View,
    views: &Views,
) -> Result<Shown, DeskError> {
    let snapshot = &plan.standing.snapshot;
    let (sheet, _) = find(snapshot, name)?;
    let area = Area::of(&sheet, snapshot)?;
    let page = match name {
        SheetName::Page(page) => page,
        SheetName::Cover => ReaderPage(1),
    };
    let (words, _) = press_job::set_words(plan, sheet.words, page)?;
    let size = area.pixels.size();
    let pixels = size.count() as usize;
    let unusable = |error: colour::ColourError| DeskError::new(place(name), error.to_string(), "");
    let ground = sheet.ground.map_or([0; 4], |ground| {
        ground.map(|ink| (ink * 2.55).round() as u8)
    });
    match view {
        View::Print
        | View::Adapted
        | View::Reach
        | View::Ink
        | View::Shadows
        | View::Plain => {
            let mut ink = ground.repeat(pixels);
            for placed in sheet.pictures {
                if let Some((place, picture, black)) = brought(plan, placed, &area, &sheet, views)?
                {
                    let cmyk = inks.separate(&picture, black, &plan.art[placed.piece.as_str()].known.treatment.compensation).map_err(unusable)?;
                    lay::<4>(&mut ink, area.pixels, &cmyk, place);
                }
            }
            for words in &words {
                crate::glyphs::cover(words, area.grid, area.pixels, |x, y, coverage| {
                    let at = (y * size.width as usize + x) * 4;
                    if words.paper {
                        for ink in &mut ink[at..at + 4] {
                            *ink = share(*ink, 255 - coverage);
                        }
                    } else {
                        ink[at + 3] = ink[at + 3].max(coverage);
                    }
                });
            }
            let mut rgb = vec![0; ink.len() / 4 * 3];
            inks.proof(colour::PaperView::Shown).map_err(unusable)?.convert(&ink, &mut rgb);
            Ok(Shown {
                pyramid: Pyramid::new(size, rgb),
                ink,
            })
        }
        View::Screen => {
            let ground = Picture {
                size: PixelSize {
                    width: 1,
                    height: 1,
                },
                samples: art::Samples::Cmyk8(ground.to_vec()),
                profile: Some(inks.condition.profile.clone()),
                remarks: Vec::new(),
            };
            let ground = match sheet.ground {
                Some(_) => inks.on_screen(&ground).map_err(unusable)?,
                None => vec![255; 3],
            };
            let mut rgb = ground.repeat(pixels);
            for placed in sheet.pictures {
                if let Some((place, picture, _)) = brought(plan, placed, &area, &sheet, views)? {
                    let picture = inks.on_screen(&picture).map_err(unusable)?;
                    lay::<3>(&mut rgb, area.pixels, &picture, place);
                }
            }
            for words in &words {
                crate::glyphs::cover(words, area.grid, area.pixels, |x, y, coverage| {
                    let at = (y * size.width as usize + x) * 3;
                    for value in &mut rgb[at..at + 3] {
                        let under = share(*value, 255 - coverage);
                        *value = if words.paper { under + coverage } else { under };
                    }
                });
            }
            Ok(Shown {
                pyramid: Pyramid::new(size, rgb),
                ink: Vec::new(),
            })
        }
    }
}

/// `value` times `part` of 255, rounded.
fn share(value: u8, part: u8) -> u8 {
    ((u16::from(value) * u16::from(part) + 127) / 255) as u8
}

type Brought = (PixelRect, Picture, Plates);

/// A placed picture on the pixels of the press grid; `None` where nothing of it is seen, or the
/// art is missing (the page is shown without it).
fn brought(
    plan: &Plan<'_>,
    placed: &PlacedPicture,
    area: &Area,
    sheet: &Sheet<'_>,
    views: &Views,
) -> Result<Option<Brought>, DeskError> {
    let (Some(art), Some(window)) = (
        plan.art.get(placed.piece.as_str()),
        placed.window.shared(sheet.with_bleed()),
    ) else {
        return Ok(None);
    };
    let Some(pixels) = area.grid.snapped(window).shared(area.pixels) else {
        return Ok(None);
    };
    let picture = decoded(art, &placed.piece, views)?;
    let window = window_under(area.grid.rect(pixels), placed.frame, art.known.size);
    let treatment = art.known.treatment;
    let black = Plates::of(treatment.inks, inks::is_line_art(&picture));
    let to = pixels.size();
    Ok(Some((pixels, art::resample(&picture, window, to), black)))
}

/// The part of a picture that lies under a rectangle of the sheet.
fn window_under(rect: Rect, frame: Rect, size: PixelSize) -> Window {
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
fn decoded(art: &ArtFile<'_>, name: &str, views: &Views) -> Result<Arc<Picture>, DeskError> {
    if let Some((_, picture)) = locked(&views.art)
        .iter()
        .find(|(digest, _)| *digest == art.known.digest)
    {
        return Ok(picture.clone());
    }
    let picture = Arc::new(press_job::decode(art, name)?);
    let mut kept = locked(&views.art);
    kept.push_back((art.known.digest, picture.clone()));
    let bytes = |picture: &Picture| {
        picture.samples.len()
            * match picture.samples {
                art::Samples::Grey16(_) | art::Samples::Rgb16(_) => 2,
                _ => 1,
            }
    };
    let mut total: usize = kept.iter().map(|(_, picture)| bytes(picture)).sum();
    while total > ART_BYTES
        && let Some((_, oldest)) = kept.pop_front()
    {
        total -= bytes(&oldest);
    }
    Ok(picture)
}

/// Lays pixels of `N` channels over a sheet.
fn lay<const N: usize>(sheet: &mut [u8], area: PixelRect, picture: &[u8], place: PixelRect) {
    let row = area.size().width as usize * N;
    let width = place.size().width as usize * N;
    let left = (place.left - area.left) as usize * N;
    let top = (place.top - area.top) as usize;
    for (line, pixels) in picture.chunks_exact(width.max(1)).enumerate() {
        let start = (top + line) * row + left;
        sheet[start..start + width].copy_from_slice(pixels);
    }
}

/// A sheet by name, and its index among the pages.
fn find(
    snapshot: &crate::Snapshot,
    name: SheetName,
) -> Result<(Sheet<'_>, Option<usize>), DeskError> {
    let format = &snapshot.book.format;
    match name {
        SheetName::Page(number) => {
            let page = snapshot.plan.page(number).ok_or_else(|| {
                DeskError::new(
                    place(name),
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
        SheetName::Cover => {
            let cover = snapshot.cover.as_ref().ok_or_else(|| {
                DeskError::new(
                    place(name),
                    format!(
                        "a {} book has no soft cover",
                        snapshot.book.binding.kind.word()
                    ),
                    "",
                )
            })?;
            Ok((Sheet::of_cover(cover, format), None))
        }
    }
}

fn place(name: SheetName) -> String {
    match name {
        SheetName::Page(page) => format!("page {}", page.0),
        SheetName::Cover => "cover".to_owned(),
    }
}

fn locked<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
