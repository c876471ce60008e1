//! The printed sheets beside the pages, laid out.

use finding::Finding;
use measure::{Length, PixelSize, Rect};

use super::{PlacedPicture, PlacedWords, Plan};
use crate::bar_code::BarCodeLayout;
use crate::model::Book;
use crate::object::{FlatKind, FlatSheet, NoGo, Object};

/// One printed sheet beside the pages, laid out: what the press file of it holds.
///
/// All rectangles are from the top left corner of the trimmed sheet. From below to above lie the
/// ground, the pictures, the words, the bar code, and then the finishings.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetPlan {
    /// The sheet with its panels, folds and places to keep clear.
    pub flat: FlatSheet,
    /// Ground tint C, M, Y, K in percent, over all that is printed.
    pub ground: [f64; 4],
    /// Pictures, lowest first.
    pub pictures: Vec<PlacedPicture>,
    /// Words that are printed in ink, or left unprinted in it.
    pub words: Vec<PlacedWords>,
    /// The bar code, if it stands on this sheet.
    pub bar_code: Option<PlacedBarCode>,
    /// Finishings of this sheet, in the order of the book file.
    pub finishings: Vec<PlacedFinishing>,
}

/// The bar code on its sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedBarCode {
    /// Where it stands, quiet zones and digits included; its upper left corner is the origin of
    /// the layout.
    pub rect: Rect,
    /// What is left without ink under it; `None` if it stands on whatever lies there.
    pub white: Option<Rect>,
    /// Bars and digits, from the origin.
    pub layout: BarCodeLayout,
}

impl PlacedBarCode {
    /// The bars on the sheet.
    pub fn bars(&self) -> impl Iterator<Item = Rect> + '_ {
        let Rect { x, y, .. } = self.rect;
        self.layout.bars.iter().map(move |bar| bar.moved(x, y))
    }

    /// The digits on the sheet, each with its room.
    pub fn digits(&self) -> impl Iterator<Item = (u8, Rect)> + '_ {
        let Rect { x, y, .. } = self.rect;
        let digits = self.layout.digits.iter();
        digits.map(move |digit| (digit.digit, digit.room.moved(x, y)))
    }
}

/// A finishing on its sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedFinishing {
    /// Which finishing of the book, by its index in [`Book::finishings`].
    pub finishing: usize,
    /// The panel, by its name on the sheet, or `whole`.
    pub panel: &'static str,
    /// The panel, or the trimmed sheet: a mask with its proportions is stretched over it.
    pub rect: Rect,
    /// The same with its bleed or turn-in where it meets the edge of the sheet: what a mask with
    /// *its* proportions is stretched over.
    pub with_allowance: Rect,
    /// The words that its plate is made of, where it has no mask.
    pub words: Vec<PlacedWords>,
}

/// A place to keep clear that something stands in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InTheWay {
    /// The place.
    pub no_go: NoGo,
    /// What of it is covered.
    pub shared: Rect,
    /// How far something reaches into it, by the shortest way out.
    pub by: Length,
}

impl SheetPlan {
    /// Under this, words on a spine wander over its edges. Common practice, no source.
    pub const THINNEST_WITH_WORDS: Length = Length::from_nm(5_000_000);

    /// Lays out every flat sheet of the object, in its order.
    ///
    /// `sizes` gives a piece's pixels, upright, by its name, as for [`Plan::lay_out`]. Whatever
    /// cannot be placed is left out, and a finding says why.
    pub fn lay_out_all(
        book: &Book,
        plan: &Plan,
        sizes: &dyn Fn(&str) -> Option<PixelSize>,
    ) -> (Vec<Self>, Vec<Finding>) {
        let object = Object::of(book, plan);
        let _ = sizes;
        let sheets = object
            .flats
            .into_iter()
            .map(|flat| Self {
                ground: book.dress_of(flat.kind).ground,
                flat,
                pictures: Vec::new(),
                words: Vec::new(),
                bar_code: None,
                finishings: Vec::new(),
            })
            .collect();
        (sheets, Vec::new())
    }

    /// Which sheet it is.
    pub const fn kind(&self) -> FlatKind {
        self.flat.kind
    }

    /// Whether anything is printed or stamped on it at all. An endpaper need not be.
    pub fn has_print(&self) -> bool {
        self.ground.iter().any(|&ink| ink > 0.0)
            || !self.pictures.is_empty()
            || !self.words.is_empty()
            || self.bar_code.is_some()
            || !self.finishings.is_empty()
    }

    /// Width of its spine, or of the closed edge of a slipcase; zero for a sheet without one.
    pub fn spine(&self) -> Length {
        ["spine", "closed edge"]
            .into_iter()
            .find_map(|name| self.flat.panel(name))
            .map_or(Length::ZERO, |panel| panel.rect.width)
    }

    /// The places to keep clear that something in a rectangle stands in, widest first.
    pub fn in_the_way(&self, rect: Rect) -> Vec<InTheWay> {
        let mut found: Vec<InTheWay> = self
            .flat
            .no_go
            .iter()
            .filter_map(|no_go| {
                let shared = no_go.rect.shared(rect)?;
                let out = [
                    no_go.rect.right() - rect.x,
                    rect.right() - no_go.rect.x,
                    no_go.rect.bottom() - rect.y,
                    rect.bottom() - no_go.rect.y,
                ];
                let by = out.into_iter().fold(out[0], Length::min);
                Some(InTheWay {
                    no_go: no_go.clone(),
                    shared,
                    by,
                })
            })
            .collect();
        found.sort_by_key(|found| std::cmp::Reverse(found.by));
        found
    }
}
