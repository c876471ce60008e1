//! What is made in one go: the pages of one entry of the running order, or one sheet beside them.
//!
//! A picture is decoded once for all pages of a unit. Where it crosses from one page to the next
//! it is brought to the press's pixels once, as a whole, and cut at the fold between two pixels, so
//! that the halves meet exactly.
//!
//! A picture that has noticeably more pixels than the press wants is resampled to the press grid.
//! One that has about as many, or fewer, keeps its own pixels: enlarging adds nothing but bytes.

use std::collections::HashMap;

use art::{Sharpen, Window};
use book::WordInk;
use book::object::Allowance;
use book::plan::{Page, PlacedPicture, PlacedWords, Reads, SheetPlan, WordPart, WordStyle};
use measure::{Length, PixelSize, Rect, Resolution, Size};
use press::{ImageCoding, Tint, WordsInput};
use words::{Block, Style};

use crate::digest::{Digest, Gather};
use crate::grid::{self, Grid, PixelRect};
use crate::paper::{Softens, Treatment};

/// How many times the press resolution a picture may have and still keep its own pixels: so near,
/// resampling would cost sharpness and gain nothing. Our assumption.
const NEAR: f64 = 1.05;

/// Raised when the same placement would give other pixels.
const METHOD: &str = "2";

/// Raised when the same sheet beside the pages would be written otherwise.
const METHOD_OF_FLATS: &str = "2";

/// One sheet of a press file: a page of the interior, or a sheet laid flat.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sheet<'a> {
    pub trim: Size,
    pub bleed: Length,
    pub ground: Option<[f64; 4]>,
    pub pictures: &'a [PlacedPicture],
    pub words: &'a [PlacedWords],
    /// The whole sheet, if it is no page.
    pub flat: Option<&'a SheetPlan>,
}

impl<'a> Sheet<'a> {
    pub(crate) fn of_page(page: &'a Page, format: &book::Format) -> Self {
        Self {
            trim: format.trim,
            bleed: format.bleed,
            ground: None,
            pictures: &page.pictures,
            words: &page.words,
            flat: None,
        }
    }

    pub(crate) fn of_flat(plan: &'a SheetPlan) -> Self {
        Self {
            trim: plan.flat.trim,
            bleed: match plan.flat.allowance {
                Allowance::Bleed(bleed) => bleed,
                // Print runs to the cut, and what is turned in is trim.
                Allowance::TurnIn(_) => Length::ZERO,
            },
            // No ink at all is no ground.
            ground: plan
                .ground
                .iter()
                .any(|&ink| ink > 0.0)
                .then_some(plan.ground),
            pictures: &plan.pictures,
            words: &plan.words,
            flat: Some(plan),
        }
    }

    /// Rectangles over its pictures: the white under a bar code, then its bars in black ink alone.
    pub(crate) fn tints(&self) -> Vec<(Rect, Tint)> {
        let Some(bars) = self.flat.and_then(|flat| flat.bar_code.as_ref()) else {
            return Vec::new();
        };
        let white = bars.white.map(|white| (white, Tint([0.0; 4])));
        let black = Tint([0.0, 0.0, 0.0, 1.0]);
        white
            .into_iter()
            .chain(bars.bars().map(|bar| (bar, black)))
            .collect()
    }

    /// The trim with its bleed.
    pub(crate) fn with_bleed(&self) -> Rect {
        Rect::new(
            Length::ZERO,
            Length::ZERO,
            self.trim.width,
            self.trim.height,
        )
        .grown(self.bleed)
    }

    pub(crate) fn tint(&self) -> Option<Tint> {
        self.ground
            .map(|ground| Tint(ground.map(|percent| (percent / 100.0) as f32)))
    }
}

/// What is known of a piece before it is decoded.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Known {
    pub size: PixelSize,
    pub digest: Digest,
    /// What is done to it for paper.
    pub treatment: Treatment,
}

/// What decides the pixels of every picture of a file.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Making {
    pub resolution: Resolution,
    pub coding: ImageCoding,
    /// Digest of the inks.
    pub inks: Digest,
    /// The paper and the screen.
    pub softens: Softens,
}

/// A part of a group's pixels, as it stands on one sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Cut {
    /// Which sheet of the unit.
    pub sheet: usize,
    /// Which picture of the sheet.
    pub picture: usize,
    /// What it covers on the sheet.
    pub rect: Rect,
    /// Which pixels, counted from the corner of the group's.
    pub part: PixelRect,
    /// Digest of all that decides its stream in the press file.
    pub key: Digest,
}

/// One picture brought to pixels once, and the cuts that are made of it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Group {
    pub piece: String,
    /// The part of the picture.
    pub window: Window,
    /// How many pixels it becomes; as many as it has where it keeps its own.
    pub size: PixelSize,
    /// Whether its pixels are its own or those of the press grid.
    pub lattice: Lattice,
    /// What is done to it for paper.
    pub treatment: Treatment,
    /// How it is sharpened at these pixels, unless it turns out to be line art.
    pub sharpen: Option<Sharpen>,
    pub cuts: Vec<Cut>,
}

/// Groups of a unit. Pictures that are not `known` are left out; the caller has named them.
pub(crate) fn groups(
    sheets: &[Sheet<'_>],
    known: impl Fn(&str) -> Option<Known>,
    making: &Making,
) -> Vec<Group> {
    let mut drafts: Vec<Draft> = Vec::new();
    for (sheet_index, sheet) in sheets.iter().enumerate() {
        let grid = Grid::new(sheet.trim, making.resolution);
        // Sheets of a unit lie side by side, trim to trim.
        let across = sheet.trim.width * sheet_index as i64;
        for (picture_index, placed) in sheet.pictures.iter().enumerate() {
            let (Some(known), Some(window)) = (
                known(&placed.piece),
                placed.window.shared(sheet.with_bleed()),
            ) else {
                continue;
            };
            let frame = placed.frame.moved(across, Length::ZERO);
            let lattice = Lattice::choose(known.size, frame, grid, making.resolution);
            let (pixels, rect) = match lattice {
                Lattice::Press => {
                    let pixels = grid.snapped(window);
                    let right = grid.columns() * sheet_index as i64;
                    (pixels.moved(right, 0), grid.rect(pixels))
                }
                Lattice::Own => own_pixels(known.size, placed.frame, window),
            };
            let cut = Cut {
                sheet: sheet_index,
                picture: picture_index,
                rect,
                part: pixels,
                key: known.digest,
            };
            match drafts.iter_mut().find(|draft| {
                draft.piece == placed.piece && draft.frame == frame && draft.grid == grid
            }) {
                Some(draft) => {
                    draft.whole = draft.whole.around(pixels);
                    draft.cuts.push(cut);
                }
                None => drafts.push(Draft {
                    piece: placed.piece.clone(),
                    known,
                    frame,
                    grid,
                    lattice,
                    whole: pixels,
                    cuts: vec![cut],
                }),
            }
        }
    }
    drafts
        .into_iter()
        .map(|draft| draft.finish(making))
        .collect()
}

/// Which pixels a picture is stored in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Lattice {
    /// Those of the press grid.
    Press,
    /// Its own.
    Own,
}

impl Lattice {
    fn choose(size: PixelSize, frame: Rect, grid: Grid, resolution: Resolution) -> Self {
        let frame = Size {
            width: frame.width,
            height: frame.height,
        };
        // The grid is a hair finer than the resolution wished; a picture at exactly that
        // resolution keeps its own pixels too.
        let wanted = grid.pixels_per_mm().0 * 25.4;
        match Resolution::effective(size, frame) {
            Some(has) if has.ppi() > NEAR * wanted.max(resolution.ppi()) => Self::Press,
            _ => Self::Own,
        }
    }
}

struct Draft {
    piece: String,
    known: Known,
    frame: Rect,
    grid: Grid,
    lattice: Lattice,
    whole: PixelRect,
    cuts: Vec<Cut>,
}

impl Draft {
    fn finish(self, making: &Making) -> Group {
        let window = match self.lattice {
            Lattice::Press => self.window_of_press_pixels(),
            Lattice::Own => Window {
                x: self.whole.left as f64,
                y: self.whole.top as f64,
                width: f64::from(self.whole.size().width),
                height: f64::from(self.whole.size().height),
            },
        };
        let treatment = self.known.treatment;
        let sharpen = self
            .resolution()
            .and_then(|resolution| making.softens.sharpen(treatment.sharpening, resolution));
        let mut shared = Gather::new("picture in a press file");
        shared
            .put("method", METHOD)
            .put("art", self.known.digest.to_string())
            .put("inks", making.inks.to_string())
            .put("plates", treatment.inks.word())
            .put("compensation", format!("{:?}", treatment.compensation))
            .put("sharpening", format!("{sharpen:?}"))
            .put("coding", coding_word(making.coding))
            .put("size", pixels_text(self.whole));
        for side in [window.x, window.y, window.width, window.height] {
            shared.put("window", side.to_le_bytes());
        }
        let shared = shared.done();
        let (left, top) = (self.whole.left, self.whole.top);
        Group {
            piece: self.piece,
            window,
            size: self.whole.size(),
            lattice: self.lattice,
            treatment,
            sharpen,
            cuts: self
                .cuts
                .into_iter()
                .map(|cut| {
                    let part = cut.part.moved(-left, -top);
                    let key = Gather::new("part of a picture")
                        .put("whole", shared.to_string())
                        .put("part", pixels_text(part))
                        .done();
                    Cut { part, key, ..cut }
                })
                .collect(),
        }
    }

    /// Pixels to the inch of paper, as they are stored.
    fn resolution(&self) -> Option<Resolution> {
        match self.lattice {
            Lattice::Press => {
                let (across, down) = self.grid.pixels_per_mm();
                Resolution::from_ppi(across.min(down) * 25.4)
            }
            Lattice::Own => Resolution::effective(
                self.known.size,
                Size {
                    width: self.frame.width,
                    height: self.frame.height,
                },
            ),
        }
    }

    /// The picture's pixels that lie under the press pixels.
    fn window_of_press_pixels(&self) -> Window {
        let place = self.grid.rect(self.whole);
        let across = f64::from(self.known.size.width) / self.frame.width.mm();
        let down = f64::from(self.known.size.height) / self.frame.height.mm();
        Window {
            x: (place.x - self.frame.x).mm() * across,
            y: (place.y - self.frame.y).mm() * down,
            width: place.width.mm() * across,
            height: place.height.mm() * down,
        }
    }
}

/// The picture's own pixels under a window, and what they cover on the sheet.
fn own_pixels(size: PixelSize, frame: Rect, window: Rect) -> (PixelRect, Rect) {
    let (columns, rows) = (i64::from(size.width), i64::from(size.height));
    let pixels = PixelRect {
        left: grid::floor(window.x - frame.x, columns, frame.width).clamp(0, columns - 1),
        top: grid::floor(window.y - frame.y, rows, frame.height).clamp(0, rows - 1),
        right: grid::ceil(window.right() - frame.x, columns, frame.width).clamp(1, columns),
        bottom: grid::ceil(window.bottom() - frame.y, rows, frame.height).clamp(1, rows),
    };
    let x = |column| frame.x + grid::place(column, columns, frame.width);
    let y = |row| frame.y + grid::place(row, rows, frame.height);
    let (left, top) = (x(pixels.left), y(pixels.top));
    let rect = Rect::new(left, top, x(pixels.right) - left, y(pixels.bottom) - top);
    (pixels, rect)
}

/// A digest of everything on a sheet: its cuts, words, ground and size.
pub(crate) fn sheet_digest(sheet: &Sheet<'_>, cuts: &[&Cut], language: &str) -> Digest {
    let mut all = Gather::new("sheet");
    all.put("trim", sheet.trim.to_string())
        .put("bleed", sheet.bleed.nm().to_le_bytes())
        .put("ground", format!("{:?}", sheet.ground))
        .put("language", language);
    for cut in cuts {
        all.put("cut", cut.key.to_string())
            .put("on", format!("{:?}", cut.rect));
    }
    for words in sheet.words {
        // Blocks of which all is shown keep the digests that they have had.
        let whole = format!(", part: {:?}", WordPart::Whole);
        all.put("words", format!("{words:?}").replace(&whole, ""));
    }
    if let Some(flat) = sheet.flat {
        // Pages keep the digests that they have had.
        all.put("method", METHOD_OF_FLATS)
            .put("flat", format!("{:?}", flat.flat))
            .put("bar code", format!("{:?}", flat.bar_code));
    }
    all.done()
}

/// The block to set for words placed on a sheet, and where it goes.
pub(crate) fn block(words: &PlacedWords, language: &str) -> Block {
    let style = match words.style {
        WordStyle::Title => Style::Title,
        WordStyle::Prose => Style::Prose,
        WordStyle::Colophon => Style::Colophon,
        WordStyle::Caption => Style::Caption,
        WordStyle::Folio => Style::Folio,
        WordStyle::CoverFront => Style::CoverFront,
        WordStyle::Spine => Style::Spine,
    };
    let size = if words.reads.is_turned() {
        Size {
            width: words.rect.height,
            height: words.rect.width,
        }
    } else {
        Size {
            width: words.rect.width,
            height: words.rect.height,
        }
    };
    Block {
        size,
        style,
        heading: words.heading.clone(),
        paragraphs: words.paragraphs.clone(),
        language: language.to_owned(),
    }
}

/// Set words, placed; those that are not shown there are left out.
pub(crate) fn placed(words: &PlacedWords, mut galley: words::Galley) -> WordsInput {
    match words.part {
        WordPart::Whole => {}
        WordPart::Heading => galley.runs.truncate(galley.heading_runs),
        WordPart::Paragraphs => {
            galley.runs.drain(..galley.heading_runs);
            galley.heading_runs = 0;
        }
    }
    WordsInput {
        galley,
        x: if words.reads == Reads::Down {
            words.rect.right()
        } else {
            words.rect.x
        },
        y: if words.reads == Reads::Up {
            words.rect.bottom()
        } else {
            words.rect.y
        },
        paper: words.ink == WordInk::Paper,
        reads: words.reads,
    }
}

/// Cuts by sheet and picture.
pub(crate) fn cuts_of_sheet(groups: &[Group], sheet: usize) -> Vec<&Cut> {
    let mut cuts: Vec<&Cut> = groups
        .iter()
        .flat_map(|group| &group.cuts)
        .filter(|cut| cut.sheet == sheet)
        .collect();
    cuts.sort_by_key(|cut| cut.picture);
    cuts
}

/// The word for a coding in the manifest.
pub(crate) const fn coding_word(coding: ImageCoding) -> &'static str {
    match coding {
        ImageCoding::Lossless => "lossless",
        ImageCoding::Jpeg => "jpeg",
    }
}

/// The coding of a word in a manifest.
pub(crate) fn coding_of(word: &str) -> Option<ImageCoding> {
    match word {
        "lossless" => Some(ImageCoding::Lossless),
        "jpeg" => Some(ImageCoding::Jpeg),
        _ => None,
    }
}

/// Pieces that the sheets show, each once, in order.
pub(crate) fn pieces_of<'a>(sheets: &[Sheet<'a>]) -> Vec<&'a str> {
    let mut seen = HashMap::new();
    sheets
        .iter()
        .flat_map(|sheet| sheet.pictures)
        .map(|placed| placed.piece.as_str())
        .filter(|piece| seen.insert(*piece, ()).is_none())
        .collect()
}

fn pixels_text(pixels: PixelRect) -> String {
    format!(
        "{} {} {} {}",
        pixels.left, pixels.top, pixels.right, pixels.bottom
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const SPREAD: Size = Size {
        width: Length::from_nm(250_000_000),
        height: Length::from_nm(300_000_000),
    };

    fn making(ppi: f64) -> Making {
        Making {
            resolution: Resolution::from_ppi(ppi).unwrap(),
            coding: ImageCoding::Lossless,
            inks: Digest::of(b"inks"),
            softens: Softens {
                surface: art::Surface::Coated,
                ruling: None,
            },
        }
    }

    fn known(width: u32, height: u32) -> Known {
        Known {
            size: PixelSize { width, height },
            digest: Digest::of(b"art"),
            treatment: Treatment {
                compensation: colour::Compensation::NONE,
                inks: book::PieceInks::ByLook,
                sharpening: book::Sharpening::None,
            },
        }
    }

    /// A picture over both pages of a spread, bleeding on the outer sides.
    fn halves() -> [Vec<PlacedPicture>; 2] {
        let frame = Rect::from_mm(-3.0, -10.0, 506.0, 320.0);
        let left = PlacedPicture {
            piece: "sea.png".to_owned(),
            frame,
            window: Rect::from_mm(-3.0, -3.0, 253.0, 306.0),
            accept_low_resolution: false,
        };
        let right = PlacedPicture {
            frame: frame.moved(-SPREAD.width, Length::ZERO),
            window: Rect::from_mm(0.0, -3.0, 253.0, 306.0),
            ..left.clone()
        };
        [vec![left], vec![right]]
    }

    fn spread(size: Known, making: &Making) -> Vec<Group> {
        let halves = halves();
        let sheets: Vec<Sheet<'_>> = halves
            .iter()
            .map(|pictures| Sheet {
                trim: SPREAD,
                bleed: Length::from_mm(3.0),
                ground: None,
                pictures,
                words: &[],
                flat: None,
            })
            .collect();
        groups(&sheets, |_| Some(size), making)
    }

    #[test]
    fn a_spread_is_resampled_once_and_cut_between_two_pixels_at_the_fold() {
        let groups = spread(known(9000, 5692), &making(300.0));
        assert_eq!(groups.len(), 1);
        let [left, right] = &groups[0].cuts[..] else {
            panic!("two halves");
        };
        assert_eq!(left.part.right, right.part.left);
        assert_eq!(left.rect.right(), SPREAD.width);
        assert_eq!(right.rect.x, Length::ZERO);
        assert_eq!(groups[0].size.width as i64, right.part.right);
        // 2,953 pixels to a page and 36 of bleed on each outer side.
        assert_eq!(groups[0].size.width, 2 * (2953 + 36));
    }

    #[test]
    fn a_picture_with_no_more_pixels_than_wanted_keeps_its_own() {
        let size = known(5976, 3780);
        let groups = spread(size, &making(300.0));
        let group = &groups[0];
        assert_eq!(group.window.width, f64::from(group.size.width));
        assert_eq!(group.window.x.fract(), 0.0);
        let [left, right] = &group.cuts[..] else {
            panic!("two halves");
        };
        // The pixel that the fold cuts is on both halves, at the same place of the spread.
        assert!(left.part.right - right.part.left <= 1);
        let pixel = 506.0 / 5976.0;
        assert!((left.rect.right() - SPREAD.width).mm() < pixel);
        let of_left = left.rect.x.mm() + pixel * (right.part.left - left.part.left) as f64;
        let of_right = right.rect.x.mm() + SPREAD.width.mm();
        assert!((of_left - of_right).abs() < 1e-5);
    }

    #[test]
    fn a_key_follows_what_decides_the_pixels_and_nothing_else() {
        let base = spread(known(9000, 5692), &making(300.0));
        assert_eq!(base, spread(known(9000, 5692), &making(300.0)));
        let keys = |groups: &[Group]| -> Vec<Digest> {
            groups[0].cuts.iter().map(|cut| cut.key).collect()
        };
        assert_ne!(keys(&base)[0], keys(&base)[1]);
        let mut other = making(300.0);
        other.inks = Digest::of(b"other inks");
        assert_ne!(keys(&base), keys(&spread(known(9000, 5692), &other)));
        assert_ne!(
            keys(&base),
            keys(&spread(known(9000, 5692), &making(310.0)))
        );
        let mut art = known(9000, 5692);
        art.digest = Digest::of(b"other art");
        assert_ne!(keys(&base), keys(&spread(art, &making(300.0))));
        let treated = |change: fn(&mut Treatment)| {
            let mut art = known(9000, 5692);
            change(&mut art.treatment);
            keys(&spread(art, &making(300.0)))
        };
        assert_ne!(keys(&base), treated(|it| it.compensation.contrast = -1.0));
        assert_ne!(keys(&base), treated(|it| it.inks = book::PieceInks::Black));
        assert_ne!(
            keys(&base),
            treated(|it| it.sharpening = book::Sharpening::Modest)
        );
    }

    proptest! {
        /// Whatever the frame, the pixels stored cover the window, and by less than a pixel more
        /// unless the picture ends there.
        #[test]
        fn own_pixels_cover_the_window(
            x in -200.0f64..50.0, y in -200.0f64..50.0,
            width in 60.0f64..900.0, height in 60.0f64..900.0,
            columns in 1u32..9000, rows in 1u32..9000,
        ) {
            let frame = Rect::from_mm(x, y, width, height);
            let sheet = Rect::from_mm(-3.0, -3.0, 256.0, 306.0);
            if let Some(window) = sheet.shared(frame) {
                let size = PixelSize { width: columns, height: rows };
                let (pixels, rect) = own_pixels(size, frame, window);
                prop_assert!(rect.grown(Length::from_nm(1)).contains(window));
                prop_assert!(pixels.left >= 0 && pixels.right <= i64::from(columns));
                prop_assert!(rect.width.mm() <= window.width.mm() + 2.0 * width / f64::from(columns) + 1e-5);
            }
        }
    }
}
