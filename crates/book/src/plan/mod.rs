//! From the running order to pages: what lies where on each page and on every other printed
//! sheet.

mod advice;
pub(crate) mod fit;
mod order;
mod page;
mod sheet;
mod words;

use finding::Finding;
use measure::{Length, PixelSize, Rect};

pub(crate) use order::{causes, sections};
pub use sheet::{InTheWay, PlacedBarCode, PlacedFinishing, SheetPlan};

use crate::model::{Book, Entry, Format};
use page::{Content, Layout};

/// A page as a reader counts: the first is 1, odd pages are on the right.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct ReaderPage(pub u32);

/// Which side of the fold a page lies on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Side {
    /// Even pages.
    Left,
    /// Odd pages.
    Right,
}

impl ReaderPage {
    /// Odd pages lie on the right.
    pub const fn side(self) -> Side {
        if self.0.is_multiple_of(2) {
            Side::Left
        } else {
            Side::Right
        }
    }
}

/// Why a page is there.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Cause {
    /// Entry of the running order, by index.
    Entry(usize),
    /// Blank, so that the next entry begins on a left page.
    ForcedByFold {
        /// The entry that wanted the left page.
        next: usize,
    },
    /// Blank, to fill the last signature.
    ForcedBySignature,
}

/// A picture placed on a page or on a flat sheet.
///
/// Coordinates are from the top left corner of the trimmed page or sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedPicture {
    /// The art's name.
    pub piece: String,
    /// The whole picture, scaled; reaches beyond `window` where the picture is cropped.
    pub frame: Rect,
    /// What of it is visible, bleed included.
    pub window: Rect,
    /// Print although the resolution is under 150 ppi.
    pub accept_low_resolution: bool,
}

/// Style of a block of words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum WordStyle {
    /// Title page: title large, author below it.
    Title,
    /// Running prose with an optional heading.
    Prose,
    /// Small, at the foot.
    Colophon,
    /// One or two lines under a picture.
    Caption,
    /// A page number.
    Folio,
    /// Title and author on the front of a cover.
    CoverFront,
    /// One line along the spine.
    Spine,
}

/// Which words of a block are shown where it stands. The others are set with them all the same, so that
/// nothing moves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum WordPart {
    /// All of them.
    #[default]
    Whole,
    /// The heading alone: a plate of the title.
    Heading,
    /// What is left in ink then.
    Paragraphs,
}

/// A block of words placed on a page or on a flat sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedWords {
    /// Where it stands on the sheet. A turned block is set as wide as this is high and as high as
    /// this is wide, and then turned into this rectangle.
    pub rect: Rect,
    /// How it is set.
    pub style: WordStyle,
    /// Heading or first line; may be empty.
    pub heading: String,
    /// Paragraphs.
    pub paragraphs: Vec<String>,
    /// Ink.
    pub ink: crate::WordInk,
    /// Which way it runs.
    pub reads: Reads,
    /// What of it is shown here.
    pub part: WordPart,
}

/// Which way lines of words run on their sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Reads {
    /// From left to right.
    Across,
    /// Turned a quarter clockwise: from head to foot.
    Down,
    /// Turned a quarter against the clock: from foot to head.
    Up,
}

impl Reads {
    /// Whether the block is turned by a quarter.
    pub const fn is_turned(self) -> bool {
        !matches!(self, Self::Across)
    }
}

/// One page of the interior.
#[derive(Debug, Clone, PartialEq)]
pub struct Page {
    /// Its number.
    pub number: ReaderPage,
    /// Why it is there.
    pub cause: Cause,
    /// Pictures, lowest first.
    pub pictures: Vec<PlacedPicture>,
    /// Words, over the pictures.
    pub words: Vec<PlacedWords>,
}

/// One folded signature: its first page and how many pages it has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Section {
    /// First page.
    pub first: ReaderPage,
    /// Pages in it.
    pub pages: u32,
}

/// The whole interior.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// Every page, in reading order.
    pub pages: Vec<Page>,
    /// The signatures that the pages are folded into, in order.
    pub sections: Vec<Section>,
}

impl Format {
    /// The trimmed page, from its own corner.
    pub fn page(&self) -> Rect {
        Rect::new(
            Length::ZERO,
            Length::ZERO,
            self.trim.width,
            self.trim.height,
        )
    }

    /// The page with its bleed on all four sides.
    pub fn bleed_box(&self) -> Rect {
        self.page().grown(self.bleed)
    }
}

impl Plan {
    /// Lays the running order out on pages and folds them into signatures.
    ///
    /// `sizes` gives a piece's pixels, upright, by its name; `None` for a piece that is not there
    /// or cannot be read. Such a piece fills its place, and a finding with severity stop says so.
    /// The plan is whole in any case: pages are numbered from 1 without a gap, and their number is
    /// the sum of the sections.
    pub fn lay_out(book: &Book, sizes: &dyn Fn(&str) -> Option<PixelSize>) -> (Self, Vec<Finding>) {
        let widths = widths(&book.running_order);
        let mut causes = causes(&widths);
        let content_pages = count(causes.len());
        let sections = sections(book.binding, content_pages);
        let total: u32 = sections.iter().map(|section| section.pages).sum();
        causes.resize(total as usize, Cause::ForcedBySignature);

        let mut layout = Layout {
            book,
            sizes,
            findings: Vec::new(),
        };
        let mut pages = Vec::with_capacity(causes.len());
        let mut contents = Vec::new().into_iter();
        for (number, cause) in (1..).map(ReaderPage).zip(causes) {
            let content = match cause {
                Cause::Entry(index) => contents.next().unwrap_or_else(|| {
                    let treatment = &book.running_order[index].treatment;
                    contents = layout.entry(treatment, number).into_iter();
                    contents.next().unwrap_or_default()
                }),
                Cause::ForcedByFold { .. } | Cause::ForcedBySignature => Content::default(),
            };
            pages.push(content.into_page(number, cause));
        }
        let plan = Self { pages, sections };
        let mut findings = advice::on_order(book, &plan, content_pages);
        findings.append(&mut layout.findings);
        advice::on_wishes(book, sizes, &mut findings);
        (plan, findings)
    }

    /// A page by its number.
    pub fn page(&self, number: ReaderPage) -> Option<&Page> {
        let index = number.0.checked_sub(1)?;
        self.pages.get(index as usize)
    }

    /// The pages that show an entry of the running order, by the entry's index.
    pub fn pages_of(&self, entry: usize) -> impl Iterator<Item = ReaderPage> + '_ {
        self.pages
            .iter()
            .filter(move |page| page.cause == Cause::Entry(entry))
            .map(|page| page.number)
    }

    /// The pages that show a piece, by its name.
    pub fn pages_with<'a>(&'a self, piece: &'a str) -> impl Iterator<Item = ReaderPage> + 'a {
        self.pages
            .iter()
            .filter(move |page| page.pictures.iter().any(|shown| shown.piece == piece))
            .map(|page| page.number)
    }

    /// Which section a page is folded into, by its index.
    pub fn section_of(&self, number: ReaderPage) -> Option<usize> {
        self.sections.iter().position(|section| {
            (section.first.0..section.first.0 + section.pages).contains(&number.0)
        })
    }
}

/// How many pages each entry takes.
pub(crate) fn widths(entries: &[Entry]) -> Vec<u32> {
    entries
        .iter()
        .map(|entry| entry.treatment.pages())
        .collect()
}

fn count(pages: usize) -> u32 {
    u32::try_from(pages).expect("a book has at most 2,000 entries of two pages and a blank each")
}
