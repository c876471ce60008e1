//! One page read: boxes, contents, plates.

use std::collections::HashSet;

use measure::{Length, Rect, Size};

use super::content::{Interpreter, LARGEST_CONTENT};
use super::document::Document;
use super::filter;
use super::ink::{Estimate, Inks, Spot};
use super::object::Obj;
use super::plates::Plates;
use super::raster::{Budget, Clip, Matrix, Window};
use super::seen::Seen;
use super::tree::{PageBox, PageNode};
use super::{Depth, Expected, PageReport, PlateReport};

/// Cells an inch on the plates; a cell is 0.254 mm.
const CELLS_PER_INCH: f64 = 100.0;
/// Most cells of one page; a larger sheet gets larger cells.
const MOST_CELLS: f64 = 16e6;
/// Work allowed for one page, about one unit a sample, cell or edge: some ten seconds at worst.
const WORK_PER_PAGE: u64 = 4_000_000_000;

/// The boxes of a page.
#[derive(Debug, Clone, Copy)]
pub(super) struct Boxes {
    pub(super) media: Option<PageBox>,
    pub(super) crop: Option<PageBox>,
    pub(super) bleed: Option<PageBox>,
    /// Trim, or the art box that may stand for it.
    pub(super) trim: Option<PageBox>,
    pub(super) user_unit: f64,
    pub(super) turns: u8,
}

/// A comment or a button on a page.
#[derive(Debug, Clone)]
pub(super) struct Annotation {
    pub(super) kind: String,
    /// It reaches into the printed area.
    pub(super) in_print: bool,
    /// It does something when clicked.
    pub(super) acts: bool,
}

/// Ink of a page.
#[derive(Debug, Clone, Copy)]
pub(super) struct InkFound {
    /// Percent.
    pub(super) most: f64,
    pub(super) at: (Length, Length),
    /// Square millimetres with more than the limit.
    pub(super) over_mm2: f64,
}

/// All that was read of one page.
pub(super) struct PageRead {
    pub(super) report: PageReport,
    pub(super) boxes: Boxes,
    pub(super) seen: Seen,
    pub(super) spots: Vec<Spot>,
    pub(super) ink: Option<InkFound>,
    pub(super) annotations: Vec<Annotation>,
    pub(super) acts: bool,
    /// Work that it took.
    pub(super) work: u64,
}

/// What pages are read with.
pub(super) struct Reading<'a> {
    pub(super) document: &'a Document<'a>,
    pub(super) estimate: &'a Estimate,
    pub(super) hidden: &'a HashSet<u32>,
    pub(super) depth: Depth,
    pub(super) ink_limit: Option<f64>,
    pub(super) expected: &'a Expected,
    /// Nothing inside can be read.
    pub(super) locked: bool,
}

impl Boxes {
    fn read(document: &Document<'_>, node: &PageNode) -> Self {
        let trim = node.own_box(document, "TrimBox");
        Self {
            media: node.media(document),
            crop: node.crop(document),
            bleed: node.own_box(document, "BleedBox"),
            trim: trim.or_else(|| node.own_box(document, "ArtBox")),
            user_unit: node.user_unit(document),
            turns: node.turns(document),
        }
    }

    /// What is printed: the bleed box, else the trim, else all there is.
    pub(super) fn printed(&self) -> PageBox {
        let fallback = PageBox {
            left: 0.0,
            bottom: 0.0,
            right: 595.0,
            top: 842.0,
        };
        let media = self.media.unwrap_or(fallback);
        let printed = self.bleed.or(self.trim).unwrap_or(media);
        printed.shared(media).unwrap_or(media)
    }

    fn length(&self, units: f64) -> Length {
        Length::from_inches(units * self.user_unit / 72.0)
    }

    pub(super) fn size(&self, of: PageBox) -> Size {
        let (width, height) = (self.length(of.width()), self.length(of.height()));
        if self.turns % 2 == 1 {
            Size {
                width: height,
                height: width,
            }
        } else {
            Size { width, height }
        }
    }

    /// The least of the four bleeds; without a bleed box, none.
    pub(super) fn least_bleed(&self) -> Option<Length> {
        let trim = self.trim?;
        let bleed = self.bleed.unwrap_or(trim);
        let least = [
            trim.left - bleed.left,
            trim.bottom - bleed.bottom,
            bleed.right - trim.right,
            bleed.top - trim.top,
        ]
        .into_iter()
        .fold(f64::INFINITY, f64::min);
        Some(self.length(least))
    }

    /// The rectangle of cells, from the top left corner of the trim as the page is shown.
    fn rect(&self, cells: Window, printed: PageBox, cells_per_unit: f64) -> Rect {
        let corner = |x: usize, y: usize| {
            self.place(
                printed.left + x as f64 / cells_per_unit,
                printed.top - y as f64 / cells_per_unit,
            )
        };
        let (x1, y1) = corner(cells.left, cells.top);
        let (x2, y2) = corner(cells.right, cells.bottom);
        Rect::new(x1.min(x2), y1.min(y2), (x1 - x2).abs(), (y1 - y2).abs())
    }

    /// The cells that lie wholly within a rectangle which is stated from the top left corner of the
    /// trim as the page is shown.
    fn cells(
        &self,
        rect: Rect,
        printed: PageBox,
        cells_per_unit: f64,
        (width, height): (usize, usize),
    ) -> Window {
        let units = |length: Length| length.inches() * 72.0 / self.user_unit;
        let trim = self.trim.unwrap_or(printed);
        let (left, top, right, bottom) = (
            units(rect.x),
            units(rect.y),
            units(rect.right()),
            units(rect.bottom()),
        );
        // The way back of `place`: the left and right, then the lower and upper side on the page as
        // it is stored.
        let ([x1, x2], [y1, y2]) = match self.turns {
            1 => (
                [trim.left + top, trim.left + bottom],
                [trim.bottom + left, trim.bottom + right],
            ),
            2 => (
                [trim.right - right, trim.right - left],
                [trim.bottom + top, trim.bottom + bottom],
            ),
            3 => (
                [trim.right - bottom, trim.right - top],
                [trim.top - right, trim.top - left],
            ),
            _ => (
                [trim.left + left, trim.left + right],
                [trim.top - bottom, trim.top - top],
            ),
        };
        let first =
            |cells: f64, most: usize| (cells - 0.02).ceil().clamp(0.0, most as f64) as usize;
        let end = |cells: f64, most: usize| (cells + 0.02).floor().clamp(0.0, most as f64) as usize;
        Window {
            left: first((x1 - printed.left) * cells_per_unit, width),
            top: first((printed.top - y2) * cells_per_unit, height),
            right: end((x2 - printed.left) * cells_per_unit, width),
            bottom: end((printed.top - y1) * cells_per_unit, height),
        }
    }

    /// A place on the page, from the top left corner of the trim as the page is shown.
    fn place(&self, x: f64, y: f64) -> (Length, Length) {
        let trim = self.trim.unwrap_or_else(|| self.printed());
        let (right, down) = match self.turns {
            1 => (y - trim.bottom, x - trim.left),
            2 => (trim.right - x, y - trim.bottom),
            3 => (trim.top - y, trim.right - x),
            _ => (x - trim.left, trim.top - y),
        };
        (self.length(right), self.length(down))
    }
}

impl Reading<'_> {
    /// Reads one page.
    pub(super) fn page(&self, number: u32, node: &PageNode) -> PageRead {
        let document = self.document;
        let boxes = Boxes::read(document, node);
        let printed = boxes.printed();
        let budget = Budget::new(WORK_PER_PAGE);
        let cells_per_unit = CELLS_PER_INCH / 72.0 * boxes.user_unit;
        let cells = printed.width() * printed.height() * cells_per_unit * cells_per_unit;
        let cells_per_unit = cells_per_unit * (MOST_CELLS / cells).sqrt().min(1.0);
        let (across, down) = (
            printed.width() * cells_per_unit,
            printed.height() * cells_per_unit,
        );
        let (width, height) = (whole_cells(across), whole_cells(down));
        let wants_ink = self.depth == Depth::Full && !self.locked;
        let mut interpreter = Interpreter {
            document,
            estimate: self.estimate,
            hidden: self.hidden,
            budget: &budget,
            inks: Inks::with_finishings(self.expected.plates.as_deref().unwrap_or_default()),
            plates: wants_ink.then(|| Plates::new(width, height)),
            seen: Seen::default(),
            cells_per_inch: cells_per_unit / boxes.user_unit * 72.0,
            no_go: self
                .expected
                .no_go
                .iter()
                .map(|place| boxes.cells(place.rect, printed, cells_per_unit, (width, height)))
                .collect(),
            open_forms: Vec::new(),
            fonts: Vec::new(),
        };
        if !self.locked {
            let content = contents(document, &node.dict, &mut interpreter.seen);
            let matrix = Matrix([
                cells_per_unit,
                0.0,
                0.0,
                -cells_per_unit,
                -printed.left * cells_per_unit,
                printed.top * cells_per_unit,
            ]);
            let clip = Clip::rect(0.0, 0.0, across.max(1.0), down.max(1.0));
            interpreter.page(&content, &node.resources(document), matrix, clip);
        }
        interpreter.seen.too_heavy |= budget.is_spent();
        let Interpreter {
            plates, seen, inks, ..
        } = interpreter;
        let reports = inks
            .spots()
            .iter()
            .enumerate()
            .map(|(index, spot)| {
                let place = 4 + index;
                let touched = plates.as_ref().and_then(|plates| plates.touched(place));
                let cell_mm = 25.4 / 72.0 * boxes.user_unit / cells_per_unit;
                PlateReport {
                    name: spot.name.clone(),
                    touched_mm2: touched
                        .map_or(0.0, |touched| touched.cells as f64 * cell_mm * cell_mm),
                    extent: touched
                        .map(|touched| boxes.rect(touched.extent, printed, cells_per_unit)),
                    knocks_out: seen.set_to_knock_out & 1 << place != 0,
                }
            })
            .collect();
        let ink = plates.map(|plates| self.ink(&plates, &boxes, printed, cells_per_unit));
        let annotations = annotations(document, node, printed);
        let lowest_ppi = seen
            .images
            .iter()
            .map(|image| image.ppi)
            .filter(|ppi| ppi.is_finite())
            .min_by(f64::total_cmp);
        PageRead {
            report: PageReport {
                page: number,
                trim: boxes.trim.map(|trim| boxes.size(trim)),
                bleed: boxes.least_bleed(),
                lowest_ppi,
                ink_most: ink.map_or(0.0, |ink| ink.most),
                ink_most_at: ink.map_or((Length::ZERO, Length::ZERO), |ink| ink.at),
                colour_spaces: seen.spaces.iter().cloned().collect(),
                fonts: seen.fonts.keys().cloned().collect(),
                images: seen.images.len(),
                plates: reports,
            },
            boxes,
            spots: inks.spots().to_vec(),
            seen,
            ink,
            acts: node.dict.has("AA"),
            annotations,
            work: WORK_PER_PAGE - budget.left(),
        }
    }

    fn ink(
        &self,
        plates: &Plates,
        boxes: &Boxes,
        printed: PageBox,
        cells_per_unit: f64,
    ) -> InkFound {
        let peak = plates.peak();
        let centre = |cell: usize| (cell as f64 + 0.5) / cells_per_unit;
        let x = printed.left + centre(peak.x).min(printed.width());
        let y = printed.top - centre(peak.y).min(printed.height());
        let cell_mm = 25.4 / 72.0 * boxes.user_unit / cells_per_unit;
        let over = self.ink_limit.map_or(0, |limit| {
            plates.cells_over((limit + super::rules::INK_ROUNDING) * 2.55)
        });
        InkFound {
            most: f64::from(peak.total) / 2.55,
            at: boxes.place(x, y),
            over_mm2: over as f64 * cell_mm * cell_mm,
        }
    }
}

fn whole_cells(cells: f64) -> usize {
    // A sliver under a fiftieth of a cell at the far edge is no cell of its own.
    (cells - 0.02).ceil().clamp(1.0, 1e6) as usize
}

/// The contents of a page, joined.
pub(super) fn contents(
    document: &Document<'_>,
    page: &super::object::Dict,
    seen: &mut Seen,
) -> Vec<u8> {
    let parts = match document.get(page, "Contents") {
        Obj::Array(parts) => parts
            .iter()
            .take(10_000)
            .map(|part| document.resolve(part))
            .collect(),
        Obj::Null => Vec::new(),
        one => vec![one],
    };
    let mut bytes = Vec::new();
    for part in parts {
        let Some(stream) = part.stream() else {
            seen.damaged = true;
            continue;
        };
        let filters = filter::filters(document, &stream.dict);
        seen.lzw |= filters.iter().any(|(name, _)| &**name == "LZWDecode");
        let decoded = filter::decode(document, stream, LARGEST_CONTENT - bytes.len());
        seen.damaged |= decoded.damaged || decoded.cut;
        bytes.extend_from_slice(&decoded.bytes);
        bytes.push(b'\n');
        if bytes.len() >= LARGEST_CONTENT {
            break;
        }
    }
    bytes
}

fn annotations(document: &Document<'_>, node: &PageNode, printed: PageBox) -> Vec<Annotation> {
    document
        .get_array(&node.dict, "Annots")
        .iter()
        .take(1_000)
        .filter_map(|value| {
            let dict = value.dict()?;
            let kind = document.get(dict, "Subtype");
            let kind = kind.name().unwrap_or("unknown").to_owned();
            let rect = document.get_numbers(dict, "Rect")?;
            let &[a, b, c, d] = rect.as_slice() else {
                return None;
            };
            let area = PageBox {
                left: a.min(c),
                bottom: b.min(d),
                right: a.max(c),
                top: b.max(d),
            };
            Some(Annotation {
                in_print: kind != "PrinterMark"
                    && kind != "TrapNet"
                    && kind != "Popup"
                    && printed.shared(area).is_some(),
                acts: dict.has("A") || dict.has("AA"),
                kind,
            })
        })
        .collect()
}
