//! Small pictures: a page as it would print with other figures, a page for an overview, and all
//! pages of the book on one sheet.

use std::sync::Arc;

use book::plan::ReaderPage;
use colour::{Compensation, PaperView, Profile};
use measure::{PixelSize, Rect, Size};
use press::WordsInput;
use rayon::prelude::*;
use words::{Block, Style};

use super::kept::Bytes;
use super::raster::{Detail, Maker, cover_rect, share};
use super::{Area, Look, Painter, digest, find, layer_of, place_of};
use crate::conveyor::{self, Load};
use crate::digest::{Digest, Gather};
use crate::grid::{Grid, PixelRect};
use crate::inks::{Inks, Plates};
use crate::paper::Paper;
use crate::press_job::Plan;
use crate::pyramid;
use crate::unit::Sheet;
use crate::{Desk, DeskError, SheetName, View, Watch, files};

/// Sides of small pictures in pixels.
const SIDES: std::ops::RangeInclusive<u32> = 16..=2400;
/// Raised when the same sheet would give another small picture.
const METHOD: &str = "1";

/// Which part of a sheet is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Of {
    Trim,
    Bleed,
}

impl Area {
    /// The pixels of a small picture whose longer side is at most `longest`.
    fn small(sheet: &Sheet<'_>, of: Of, longest: u32) -> Self {
        let longest = f64::from(longest.clamp(*SIDES.start(), *SIDES.end()));
        let rect = match of {
            Of::Trim => Rect::new(
                measure::Length::ZERO,
                measure::Length::ZERO,
                sheet.trim.width,
                sheet.trim.height,
            ),
            Of::Bleed => sheet.with_bleed(),
        };
        let long = rect.width.max(rect.height).mm().max(0.1);
        // The bleed is snapped outward, by up to a pixel on each side.
        let room = match of {
            Of::Trim => 0.0,
            Of::Bleed => 2.0,
        };
        let grid = Grid::coarse(sheet.trim, (longest - room) / long);
        let pixels = match of {
            Of::Trim => grid.trim(),
            Of::Bleed => grid.snapped(rect),
        };
        Self { grid, pixels }
    }
}

/// A sheet laid out at the size of a screen, before any compensation.
pub(super) struct Laid {
    size: PixelSize,
    /// The ground in ink.
    ground: [u8; 4],
    pictures: Vec<LaidPicture>,
    /// Coverage by words in black ink, and by words that leave the paper bare.
    black: Vec<u8>,
    bare: Vec<u8>,
}

struct LaidPicture {
    piece: String,
    place: PixelRect,
    plates: Plates,
    /// Its colours as bytes: RGB in the art's own encoding; those of CMYK art are printed already.
    pixels: LaidPixels,
    profile: Profile,
}

enum LaidPixels {
    Rgb(Vec<u8>),
    Ink(Vec<u8>),
}

/// Writes one line of a picture as it prints, sRGB.
type PrintLine<'a> = Box<dyn Fn(usize, &mut [u8]) + Sync + 'a>;

impl Bytes for Laid {
    fn bytes(&self) -> usize {
        let pictures = self.pictures.iter().map(|picture| match &picture.pixels {
            LaidPixels::Rgb(bytes) | LaidPixels::Ink(bytes) => bytes.len(),
        });
        pictures.sum::<usize>() + self.black.len() + self.bare.len()
    }
}

/// A sheet as it would print with other figures.
pub(crate) fn trial(
    desk: &Desk,
    name: SheetName,
    tried: &Compensation,
    piece: Option<&str>,
    view: View,
    longest: u32,
) -> Result<Arc<[u8]>, DeskError> {
    let paper = match view {
        View::Print => PaperView::Shown,
        View::Adapted => PaperView::Adapted,
        other => {
            return Err(DeskError::new(
                place_of(name),
                format!("figures cannot be tried in the view `{}`", other.word()),
                "Try them in `print` or `adapted`.",
            ));
        }
    };
    let look = Look::begin(desk, name)?;
    let views = &desk.room.views;
    let key = Gather::new("laid")
        .put("sheet", look.digest.to_string())
        .put("longest", longest.to_le_bytes())
        .done();
    let laid = views.laid.get(key, || {
        let _inside = views.gate.enter();
        lay_out(&look, longest)
    })?;
    let book = &look.standing.snapshot.book;
    let wishes = Paper::of(book);
    let tried = tried.clamped();
    let figures = |name: &str| {
        let follows = match piece {
            Some(piece) => piece == name,
            None => !wishes.is_exception(name),
        };
        if follows {
            tried
        } else {
            wishes.compensation(Some(name))
        }
    };
    let rgb = laid
        .paint(&look.inks, paper, figures)
        .map_err(|error| DeskError::new(place_of(name), error.to_string(), ""))?;
    let bytes = pyramid::quick_jpeg(laid.size, &rgb)
        .ok_or_else(|| DeskError::new(place_of(name), "no picture of it could be made", ""))?;
    Ok(bytes.into())
}

fn lay_out(look: &Look<'_>, longest: u32) -> Result<Laid, DeskError> {
    let plan = Plan::new(look.desk, &look.standing, &look.inks)?;
    let (sheet, _) = find(&look.standing.snapshot, look.name)?;
    let maker = Maker {
        desk: look.desk,
        plan: &plan,
        inks: &look.inks,
        name: look.name,
        area: Area::small(&sheet, Of::Bleed, longest),
        detail: Detail::Small,
    };
    let size = maker.area.pixels.size();
    let (left, top) = (maker.area.pixels.left, maker.area.pixels.top);
    let mut pictures = Vec::new();
    for (index, placed) in sheet.pictures.iter().enumerate() {
        let Some(brought) = maker.bring(&sheet, index, false)? else {
            continue;
        };
        let picture = brought.picture;
        let pixels = if matches!(picture.samples, art::Samples::Cmyk8(_)) {
            let ink = look
                .inks
                .separate(&picture, brought.plates, &brought.compensation)
                .map_err(|error| maker.failed(&error))?;
            LaidPixels::Ink(ink)
        } else if brought.plates == Plates::Line {
            let ink = look
                .inks
                .separate(&picture, Plates::Line, &brought.compensation)
                .map_err(|error| maker.failed(&error))?;
            LaidPixels::Ink(ink)
        } else {
            LaidPixels::Rgb(crate::inks::rgb8(&picture.samples))
        };
        pictures.push(LaidPicture {
            piece: placed.piece.clone(),
            place: brought.place.moved(-left, -top),
            plates: brought.plates,
            pixels,
            profile: picture.profile.unwrap_or_else(Profile::srgb),
        });
    }
    let mut black = Vec::new();
    let mut bare = Vec::new();
    for (rect, tint) in sheet.tints() {
        // The white under a bar code, or one of its bars.
        let plane = if tint.0 == [0.0; 4] {
            &mut bare
        } else {
            &mut black
        };
        plane.resize(size.count() as usize, 0);
        cover_rect(rect, &maker.area, |x, y, part| {
            let at = y * size.width as usize + x;
            plane[at] = plane[at].max((part * 255.0).round() as u8);
        });
    }
    for words in maker.words(&sheet)? {
        let plane = if words.paper { &mut bare } else { &mut black };
        plane.resize(size.count() as usize, 0);
        cover(plane, size, &words, &maker.area);
    }
    Ok(Laid {
        size,
        ground: sheet.ground.map_or([0; 4], |ground| {
            ground.map(|ink| (ink * 2.55).round() as u8)
        }),
        pictures,
        black,
        bare,
    })
}

fn cover(plane: &mut [u8], size: PixelSize, words: &WordsInput, area: &Area) {
    crate::glyphs::cover(words, area.grid, area.pixels, |x, y, coverage| {
        let at = y * size.width as usize + x;
        plane[at] = plane[at].max(coverage);
    });
}

impl Laid {
    /// The sheet as it prints, sRGB.
    fn paint(
        &self,
        inks: &Inks,
        paper: PaperView,
        figures: impl Fn(&str) -> Compensation,
    ) -> Result<Vec<u8>, colour::ColourError> {
        let proof = inks.proof(paper)?;
        let seen = |ink: [u8; 4]| {
            let mut rgb = [0; 3];
            proof.convert(&ink, &mut rgb);
            rgb
        };
        let mut rgb = seen(self.ground).repeat(self.size.count() as usize);
        for picture in &self.pictures {
            let width = picture.place.size().width as usize;
            let printed: PrintLine<'_> = match &picture.pixels {
                LaidPixels::Ink(ink) => {
                    let proof = proof.clone();
                    Box::new(move |line, out| {
                        proof.convert(&ink[line * width * 4..(line + 1) * width * 4], out);
                    })
                }
                LaidPixels::Rgb(art) => {
                    let figures = figures(&picture.piece);
                    let few = picture.plates.few();
                    let table = inks.trial(&picture.profile, few, paper, &figures)?;
                    Box::new(move |line, out| {
                        table.convert_rgb8(&art[line * width * 3..(line + 1) * width * 3], out);
                    })
                }
            };
            let row = self.size.width as usize * 3;
            let left = picture.place.left as usize * 3;
            let top = picture.place.top as usize;
            let rows = picture.place.size().height as usize;
            rgb.par_chunks_mut(row)
                .skip(top)
                .take(rows)
                .enumerate()
                .with_min_len(32)
                .for_each(|(line, out)| printed(line, &mut out[left..left + width * 3]));
        }
        // The white under a bar code lies under its bars.
        for (plane, ink) in [(&self.bare, [0; 4]), (&self.black, [0, 0, 0, 255])] {
            let colour = seen(ink);
            for (pixel, &coverage) in rgb.as_chunks_mut::<3>().0.iter_mut().zip(plane) {
                if coverage > 0 {
                    for (value, ink) in pixel.iter_mut().zip(colour) {
                        *value = share(*value, 255 - coverage) + share(ink, coverage);
                    }
                }
            }
        }
        Ok(rgb)
    }
}

/// A small picture of a trimmed page or of the cover.
pub(crate) fn page_picture(
    desk: &Desk,
    name: SheetName,
    view: View,
    longest: u32,
) -> Result<Arc<[u8]>, DeskError> {
    let standing = desk.standing()?;
    let inks = desk.inks(&standing.snapshot.book)?;
    let plan = Plan::new(desk, &standing, &inks)?;
    let key = Gather::new("small picture")
        .put("method", METHOD)
        .put("sheet", digest(&plan, name)?.to_string())
        .put("view", view.word())
        .put("longest", longest.to_le_bytes())
        .done();
    cached(desk, key, || {
        let _inside = desk.room.views.gate.enter();
        let (size, rgb) = small_sheet(desk, &plan, name, view, longest)?;
        pyramid::jpeg(size, &rgb).ok_or_else(|| {
            DeskError::new(place_of(name), "no small picture of it could be made", "")
        })
    })
}

fn cached(
    desk: &Desk,
    key: Digest,
    make: impl FnOnce() -> Result<Vec<u8>, DeskError>,
) -> Result<Arc<[u8]>, DeskError> {
    let path = desk.private("cache/pages").join(format!("{key}.jpg"));
    if let Ok(bytes) = std::fs::read(&path) {
        return Ok(bytes.into());
    }
    let bytes = make()?;
    // A picture that is not remembered is only made again.
    let _ = files::write_whole(&path, &bytes);
    Ok(bytes.into())
}

/// The trim of a sheet in a view, small: sRGB.
fn small_sheet(
    desk: &Desk,
    plan: &Plan<'_>,
    name: SheetName,
    view: View,
    longest: u32,
) -> Result<(PixelSize, Vec<u8>), DeskError> {
    let (sheet, _) = find(&plan.standing.snapshot, name)?;
    let maker = Maker {
        desk,
        plan,
        inks: plan.inks,
        name,
        area: Area::small(&sheet, Of::Trim, longest),
        detail: Detail::Small,
    };
    let (per_mm, _) = maker.area.grid.pixels_per_mm();
    let painter = Painter::new(view, plan.inks, per_mm * 25.4).map_err(|e| maker.failed(&e))?;
    let raster = maker.make(layer_of(view))?;
    Ok((raster.size, painter.whole(&raster)))
}

/// Narrowest and widest contact sheet in pixels.
const WIDTHS: std::ops::RangeInclusive<u32> = 320..=6000;
/// The table that the pages lie on, sRGB.
const TABLE: [u8; 3] = [214, 214, 214];
/// Pixels to the millimetre for folios, so that their type is read at the size of a screen.
const FOLIO_PER_MM: f64 = 4.6;
/// Room for a folio below its page, in pixels.
const FOLIO_ROOM: u32 = 22;

/// All pages, spread by spread.
pub(crate) fn contact_sheet(
    desk: &Desk,
    view: View,
    width: u32,
    watch: &dyn Watch,
) -> Result<Arc<[u8]>, DeskError> {
    let standing = desk.standing()?;
    let inks = desk.inks(&standing.snapshot.book)?;
    let plan = Plan::new(desk, &standing, &inks)?;
    let width = width.clamp(*WIDTHS.start(), *WIDTHS.end());
    let pages: Vec<ReaderPage> = standing
        .snapshot
        .plan
        .pages
        .iter()
        .map(|page| page.number)
        .collect();
    let mut key = Gather::new("contact sheet");
    key.put("method", METHOD)
        .put("view", view.word())
        .put("width", width.to_le_bytes());
    for page in &pages {
        key.put("page", digest(&plan, SheetName::Page(*page))?.to_string());
    }
    cached(desk, key.done(), || {
        lay_contact(desk, &plan, view, width, &pages, watch)
    })
}

/// Where the pages of a contact sheet lie.
struct Contact {
    width: u32,
    height: u32,
    columns: u32,
    page: PixelSize,
    gap: u32,
}

impl Contact {
    /// The columns by which the sheet comes nearest to the shape of a screen.
    fn new(width: u32, spreads: u32, trim: Size) -> Self {
        const WISHED: f64 = 0.66;
        let shape = trim.height.mm() / trim.width.mm().max(0.1);
        let lay = |columns: u32| {
            let gap = (width / 80).max(8);
            let room = width.saturating_sub(gap * (columns + 1)) / columns;
            let page = PixelSize {
                width: (room / 2).max(1),
                height: ((f64::from(room / 2) * shape).round() as u32).max(1),
            };
            let rows = spreads.div_ceil(columns);
            Self {
                width,
                height: rows * (page.height + FOLIO_ROOM + gap) + gap,
                columns,
                page,
                gap,
            }
        };
        let off = |sheet: &Self| {
            (f64::from(sheet.height) / f64::from(width) / WISHED)
                .ln()
                .abs()
        };
        // Pages narrower than 40 pixels show nothing.
        (1..=(width / 110).max(1))
            .map(lay)
            .min_by(|one, other| off(one).total_cmp(&off(other)))
            .unwrap_or_else(|| lay(1))
    }

    /// The corner of a page: the first page is a right one.
    fn corner(&self, page: ReaderPage) -> (u32, u32) {
        let spread = page.0 / 2;
        let (column, row) = (spread % self.columns, spread / self.columns);
        let spread_width = 2 * self.page.width;
        let left = self.gap + column * (spread_width + self.gap);
        let x = left + (page.0 % 2) * self.page.width;
        let y = self.gap + row * (self.page.height + FOLIO_ROOM + self.gap);
        (x, y)
    }
}

fn lay_contact(
    desk: &Desk,
    plan: &Plan<'_>,
    view: View,
    width: u32,
    pages: &[ReaderPage],
    watch: &dyn Watch,
) -> Result<Vec<u8>, DeskError> {
    let trim = plan.standing.snapshot.book.format.trim;
    let last = pages.last().map_or(1, |page| page.0);
    let sheet = Contact::new(width, last / 2 + 1, trim);
    let size = PixelSize {
        width: sheet.width,
        height: sheet.height,
    };
    let mut rgb = TABLE.repeat(size.count() as usize);
    let longest = sheet.page.width.max(sheet.page.height);
    // Small copies of art are decoded at full size where they are not remembered yet.
    let needs = vec![160_u64 << 20; pages.len()];
    let load = Load {
        workers: std::thread::available_parallelism().map_or(1, usize::from),
        bytes: 400 << 20,
    };
    conveyor::run(
        &needs,
        load,
        |index| {
            if watch.stopped() {
                return Err(DeskError::stopped("contact sheet"));
            }
            small_sheet(desk, plan, SheetName::Page(pages[index]), view, longest)
        },
        |index, (small, pixels)| {
            let page = pages[index];
            let (left, top) = sheet.corner(page);
            // Rounding may make a page a pixel wider than its place.
            let columns = small.width.min(sheet.page.width) as usize;
            for line in 0..small.height.min(sheet.page.height) {
                let from = (line * small.width) as usize * 3;
                let to = ((top + line) as usize * size.width as usize + left as usize) * 3;
                rgb[to..to + columns * 3].copy_from_slice(&pixels[from..from + columns * 3]);
            }
            folio(
                &mut rgb,
                size,
                page,
                left,
                top + sheet.page.height,
                sheet.page.width,
            );
            watch.step(index + 1, pages.len(), &format!("page {}", page.0));
            Ok(())
        },
    )?;
    pyramid::jpeg(size, &rgb).ok_or_else(|| {
        DeskError::new(
            "contact sheet",
            "it is too large for a JPEG",
            "Ask for a narrower one.",
        )
    })
}

/// The number of a page below it.
fn folio(rgb: &mut [u8], size: PixelSize, page: ReaderPage, left: u32, top: u32, width: u32) {
    let mm = |pixels: u32| measure::Length::from_mm(f64::from(pixels) / FOLIO_PER_MM);
    let block = Block {
        size: Size {
            width: mm(width),
            height: mm(FOLIO_ROOM),
        },
        style: Style::Folio,
        heading: page.0.to_string(),
        paragraphs: Vec::new(),
        language: "en".to_owned(),
    };
    // A contact sheet without a number is better than none.
    let Ok(galley) = words::set(&block) else {
        return;
    };
    let words = WordsInput {
        galley,
        x: mm(left),
        y: mm(top),
        paper: false,
        reads: book::plan::Reads::Across,
    };
    let whole = Size {
        width: mm(size.width),
        height: mm(size.height),
    };
    let grid = Grid::coarse(whole, FOLIO_PER_MM);
    crate::glyphs::cover(&words, grid, grid.trim(), |x, y, coverage| {
        let at = (y * size.width as usize + x) * 3;
        if let Some(pixel) = rgb.get_mut(at..at + 3) {
            for value in pixel {
                *value = share(*value, 255 - coverage) + share(70, coverage);
            }
        }
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folio_stands_below_its_page_and_within_its_room() {
        let size = PixelSize {
            width: 300,
            height: 60,
        };
        let mut rgb = TABLE.repeat(size.count() as usize);
        folio(&mut rgb, size, ReaderPage(28), 100, 30, 110);
        let dark = rgb.as_chunks::<3>().0.iter().enumerate();
        let places: Vec<(usize, usize)> = dark
            .filter(|(_, rgb)| rgb[0] < 150)
            .map(|(at, _)| (at % 300, at / 300))
            .collect();
        assert!((6..200).contains(&places.len()), "{places:?}");
        for (x, y) in places {
            assert!((100..210).contains(&x) && (30..60).contains(&y), "{x}, {y}");
        }
    }

    #[test]
    fn pages_of_a_contact_sheet_lie_beside_each_other_and_within_it() {
        for spreads in [1, 2, 9, 21, 97] {
            let sheet = Contact::new(1400, spreads, Size::from_mm(250.0, 300.0));
            for page in 1..2 * spreads {
                let (x, y) = sheet.corner(ReaderPage(page));
                assert!(x + sheet.page.width <= sheet.width, "{spreads}, {page}");
                assert!(y + sheet.page.height + FOLIO_ROOM <= sheet.height);
            }
            if spreads > 1 {
                let (left, right) = (sheet.corner(ReaderPage(2)), sheet.corner(ReaderPage(3)));
                assert_eq!((left.0 + sheet.page.width, left.1), right);
            }
        }
    }
}
