//! A printer's template read for its figures: boxes, and every straight line that runs upright or
//! level.
//!
//! Lines are those that are stroked, the edges of filled shapes, and filled bars so thin that they
//! are lines. Layers that are switched off are read too: guides often stand there. Letters and
//! pictures are passed over.

use std::collections::HashSet;
use std::panic::{AssertUnwindSafe, catch_unwind};

use book::measured::template::{Guide, Guides};
use measure::{Length, Rect, Size};
use thiserror::Error;

use super::content::Interpreter;
use super::document::Document;
use super::ink::{Estimate, Inks};
use super::page::contents;
use super::raster::{Budget, Clip, Matrix, Path};
use super::seen::Seen;
use super::tree::{PageBox, PageNode, Pages};

/// Work allowed: a second or two at worst.
const WORK: u64 = 400_000_000;
/// Most pieces of lines that are kept while a page is read.
const MOST_PIECES: usize = 50_000;
/// Most lines that are given, the longest first.
const MOST_LINES: usize = 400;
/// A line that leans by more than this over its length, in millimetres, is neither upright nor level.
const LEAN: f64 = 0.05;
/// A shape thinner than this is a line. Our assumption: a point and a half.
const BAR: f64 = 0.55;
/// Pieces in a row with gaps up to this are one dashed line.
const GAP: f64 = 10.0;
/// A line shorter than this says nothing: it is part of a letter or of a drawing.
const LEAST: f64 = 3.0;
/// Pieces shorter than this are no dashes.
const LEAST_PIECE: f64 = 0.3;
/// Pieces that stand so near to each other are of one line.
const SAME: f64 = 0.05;

/// Why a template says nothing.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum GuidesError {
    /// It is no PDF, or so damaged that its beginning is not found.
    #[error("this is no PDF that can be read")]
    NotPdf,
    /// It is locked.
    #[error("this PDF is locked, so that its lines cannot be read")]
    Locked,
    /// It has fewer pages.
    #[error("this PDF has {pages} {}, and none with the number {page}", if *pages == 1 { "page" } else { "pages" })]
    NoSuchPage {
        /// The page wanted.
        page: u32,
        /// Pages there are.
        pages: usize,
    },
    /// The page has no size, or its contents break off.
    #[error("page {0} of this PDF is damaged and cannot be read")]
    Damaged(u32),
    /// It asks for more work than a template is worth.
    #[error("page {0} of this PDF is far too heavy for a template")]
    TooHeavy(u32),
}

impl GuidesError {
    /// What to do about it; a sentence.
    pub const fn hint(&self) -> &'static str {
        match self {
            Self::NotPdf | Self::Damaged(_) => {
                "Ask the printer for the template as a PDF once more, or type its figures in."
            }
            Self::Locked => "Ask the printer for one without a password, or type its figures in.",
            Self::NoSuchPage { .. } => "Name a page that is there.",
            Self::TooHeavy(_) => {
                "Ask for the plain template without pictures, or type its figures in."
            }
        }
    }
}

/// Reads a page of a PDF, counted from 1, as a template. Never panics, whatever the bytes are.
///
/// # Errors
/// One that says what is wrong with the file.
pub fn guides(pdf: &[u8], page: u32) -> Result<Guides, GuidesError> {
    // Our own code must not panic; if it does, the template is lost and nothing else.
    catch_unwind(AssertUnwindSafe(|| read(pdf, page))).unwrap_or(Err(GuidesError::Damaged(page)))
}

/// Pages of a PDF that may be a template. Never panics, whatever the bytes are.
///
/// # Errors
/// It is no PDF, or it is locked.
pub fn guide_pages(pdf: &[u8]) -> Result<u32, GuidesError> {
    let count = || {
        let pages = Pages::read(&open(pdf)?).pages.len();
        Ok(u32::try_from(pages).unwrap_or(u32::MAX))
    };
    catch_unwind(AssertUnwindSafe(count)).unwrap_or(Err(GuidesError::NotPdf))
}

fn open(pdf: &[u8]) -> Result<Document<'_>, GuidesError> {
    let document = Document::open(pdf).ok_or(GuidesError::NotPdf)?;
    if document.trailer().has("Encrypt") {
        return Err(GuidesError::Locked);
    }
    Ok(document)
}

fn read(pdf: &[u8], page: u32) -> Result<Guides, GuidesError> {
    let document = open(pdf)?;
    let pages = Pages::read(&document);
    let node = usize::try_from(page)
        .ok()
        .and_then(|page| page.checked_sub(1))
        .and_then(|index| pages.pages.get(index))
        .ok_or(GuidesError::NoSuchPage {
            page,
            pages: pages.pages.len(),
        })?;
    let media = node.media(&document).ok_or(GuidesError::Damaged(page))?;
    let shown = shown(&document, node, media);
    let budget = Budget::new(WORK);
    let estimate = Estimate::new(None);
    let hidden = HashSet::new();
    let mut interpreter = Interpreter {
        document: &document,
        estimate: &estimate,
        hidden: &hidden,
        budget: &budget,
        inks: Inks::default(),
        plates: None,
        seen: Seen {
            straight: Some(Straight::default()),
            ..Seen::default()
        },
        cells_per_inch: 25.4,
        no_go: Vec::new(),
        open_forms: Vec::new(),
        fonts: Vec::new(),
    };
    let size = shown.rect(media);
    let content = contents(&document, &node.dict, &mut interpreter.seen);
    let clip = Clip::rect(
        0.0,
        0.0,
        size.width.mm().max(1.0),
        size.height.mm().max(1.0),
    );
    interpreter.page(&content, &node.resources(&document), shown.matrix, clip);
    let seen = interpreter.seen;
    if seen.too_heavy || budget.is_spent() {
        return Err(GuidesError::TooHeavy(page));
    }
    let straight = seen.straight.unwrap_or_default();
    if straight.pieces.is_empty() && seen.damaged {
        return Err(GuidesError::Damaged(page));
    }
    let trim = node
        .own_box(&document, "TrimBox")
        .or_else(|| node.own_box(&document, "ArtBox"));
    // A box that is the page says nothing that the page does not say.
    let said = |of: Option<PageBox>| of.filter(|of| *of != media).map(|of| shown.rect(of));
    Ok(Guides {
        page: Size {
            width: size.width,
            height: size.height,
        },
        trim: said(trim),
        bleed: said(node.own_box(&document, "BleedBox")),
        lines: straight.lines(),
    })
}

/// From the page's units to millimetres from its upper left corner, as it is shown.
struct Shown {
    matrix: Matrix,
}

fn shown(document: &Document<'_>, node: &PageNode, media: PageBox) -> Shown {
    let k = node.user_unit(document) * 25.4 / 72.0;
    let PageBox {
        left,
        bottom,
        right,
        top,
    } = media;
    let matrix = match node.turns(document) {
        1 => [0.0, k, k, 0.0, -bottom * k, -left * k],
        2 => [-k, 0.0, 0.0, k, right * k, -bottom * k],
        3 => [0.0, -k, -k, 0.0, top * k, right * k],
        _ => [k, 0.0, 0.0, -k, -left * k, top * k],
    };
    Shown {
        matrix: Matrix(matrix),
    }
}

impl Shown {
    fn rect(&self, of: PageBox) -> Rect {
        let one = self.matrix.apply([of.left, of.bottom]);
        let other = self.matrix.apply([of.right, of.top]);
        Rect::from_mm(
            one[0].min(other[0]),
            one[1].min(other[1]),
            (one[0] - other[0]).abs(),
            (one[1] - other[1]).abs(),
        )
    }
}

/// Pieces of upright and level lines, in millimetres.
#[derive(Debug, Clone, Default)]
pub(super) struct Straight {
    pieces: Vec<Piece>,
}

#[derive(Debug, Clone, Copy)]
struct Piece {
    upright: bool,
    at: f64,
    from: f64,
    to: f64,
}

impl Straight {
    /// Takes what is straight of a path that is painted.
    pub(super) fn take(&mut self, path: &Path) {
        if let Some([left, top, right, bottom]) = path.upright() {
            let (width, height) = (right - left, bottom - top);
            if width <= BAR && width < height {
                self.add(true, (left + right) / 2.0, top, bottom);
                return;
            }
            if height <= BAR && height < width {
                self.add(false, (top + bottom) / 2.0, left, right);
                return;
            }
        }
        for (line, closed) in path.lines() {
            for pair in line.windows(2) {
                self.piece(pair[0], pair[1]);
            }
            if let ([first, .., last], true) = (line.as_slice(), *closed) {
                self.piece(*last, *first);
            }
        }
    }

    fn piece(&mut self, [x0, y0]: [f64; 2], [x1, y1]: [f64; 2]) {
        let (across, down) = ((x1 - x0).abs(), (y1 - y0).abs());
        if across <= LEAN && down > across {
            self.add(true, (x0 + x1) / 2.0, y0.min(y1), y0.max(y1));
        } else if down <= LEAN && across > down {
            self.add(false, (y0 + y1) / 2.0, x0.min(x1), x0.max(x1));
        }
    }

    fn add(&mut self, upright: bool, at: f64, from: f64, to: f64) {
        if to - from >= LEAST_PIECE && self.pieces.len() < MOST_PIECES {
            self.pieces.push(Piece {
                upright,
                at,
                from,
                to,
            });
        }
    }

    /// Whole lines: pieces in a row put together, the short ones left out.
    fn lines(mut self) -> Vec<Guide> {
        self.pieces
            .sort_by(|a, b| a.upright.cmp(&b.upright).then(a.at.total_cmp(&b.at)));
        let mut lines: Vec<Piece> = Vec::new();
        let mut rest = self.pieces.as_slice();
        while let Some(first) = rest.first() {
            let count = rest
                .iter()
                .take_while(|piece| piece.upright == first.upright && piece.at - first.at <= SAME)
                .count();
            let (row, after) = rest.split_at(count);
            rest = after;
            let mut row = row.to_vec();
            row.sort_by(|a, b| a.from.total_cmp(&b.from));
            let begins = lines.len();
            for piece in row {
                match lines[begins..].last_mut() {
                    Some(last) if piece.from - last.to <= GAP => last.to = last.to.max(piece.to),
                    _ => lines.push(piece),
                }
            }
        }
        lines.retain(|line| line.to - line.from >= LEAST);
        lines.sort_by(|a, b| (b.to - b.from).total_cmp(&(a.to - a.from)));
        lines.truncate(MOST_LINES);
        lines.sort_by(|a, b| b.upright.cmp(&a.upright).then(a.at.total_cmp(&b.at)));
        lines
            .into_iter()
            .map(|line| Guide {
                upright: line.upright,
                at: Length::from_mm(line.at),
                from: Length::from_mm(line.from),
                to: Length::from_mm(line.to),
            })
            .collect()
    }
}
