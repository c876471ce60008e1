//! The nouns of a book, as decided. Built only by reading a book file, so that every value here
//! has passed the same checks.

use measure::{Bulk, Grammage, Length, Resolution, Size};

use crate::asking::{Ask, Delivery, Printer};
use crate::bar_code::Isbn;
use crate::dates::DatesWishes;
use crate::dress::Dress;
use crate::edition::EditionWishes;
use crate::finishing::{BarCodeWish, Finishing};
use crate::landing::Landing;
use crate::object_wishes::ObjectWishes;
use crate::sources::Source;

/// Everything decided about one book.
#[derive(Debug, Clone, PartialEq)]
pub struct Book {
    /// Title, author and what is printed about the book.
    pub about: About,
    /// Trim, bleed and margins.
    pub format: Format,
    /// How it is bound and folded.
    pub binding: Binding,
    /// Case, jacket and all else that makes the book a thing.
    pub object: ObjectWishes,
    /// Paper of the pages.
    pub text_stock: Stock,
    /// Paper of a soft cover.
    pub cover_stock: Stock,
    /// How the art becomes ink and a press file.
    pub press: PressWishes,
    /// What is done to the art so that it looks right on paper.
    pub paper: ForPaper,
    /// What is wished for single pieces, wherever they stand.
    pub piece_wishes: Vec<PieceWish>,
    /// What the cover is dressed in: a soft one, or the covering of a case.
    pub cover: Dress,
    /// What the jacket is dressed in.
    pub jacket: Dress,
    /// What the belly band is dressed in.
    pub band: Dress,
    /// What the slipcase is dressed in.
    pub slipcase: Dress,
    /// What the endpapers are dressed in, each of them as a spread.
    pub endpapers: Dress,
    /// The bar code; there is none without a book number.
    pub bar_code: Option<BarCodeWish>,
    /// Foil, varnish and blind stamps.
    pub finishings: Vec<Finishing>,
    /// What is asked of every printer.
    pub ask: Ask,
    /// Where the copies go; none where the book file does not say.
    pub deliveries: Vec<Delivery>,
    /// The printers who are asked.
    pub printers: Vec<Printer>,
    /// The footing on which prices are compared.
    pub landing: Landing,
    /// The calendar from files to books in hand.
    pub dates: DatesWishes,
    /// Price, people, ways of selling, offers and plans of the edition.
    pub edition: EditionWishes,
    /// Where accepted figures come from.
    pub sources: Vec<Source>,
    /// The running order, first to last.
    pub running_order: Vec<Entry>,
}

/// Words about the book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct About {
    /// Title, one line.
    pub title: String,
    /// Author as printed; may be empty.
    pub author: String,
    /// BCP 47 language of the text, for hyphenation and the PDF; `en` unless said.
    pub language: String,
    /// The book number, its check digit verified.
    pub isbn: Option<Isbn>,
}

/// The page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Format {
    /// The trimmed page.
    pub trim: Size,
    /// How far art runs over the trim; 3 mm unless said.
    pub bleed: Length,
    /// How far words and faces keep inside the trim.
    pub safe: Length,
    /// How far faces keep from the fold, on each side of it.
    pub fold: Length,
    /// Width of the strip around the fold that both pages of a spread repeat, measured on each
    /// side of the fold; zero cuts the spread exactly at the fold.
    pub fold_repeat: Length,
    /// Whether page numbers are printed on text and inset pages.
    pub folios: bool,
}

/// How the leaves are held together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum BindingKind {
    /// Sewn signatures in boards: `sewn case`.
    SewnCase,
    /// Sewn signatures in a soft cover: `sewn soft`.
    SewnSoft,
    /// Cut leaves glued into a soft cover: `glued soft`.
    GluedSoft,
    /// Nested sheets stitched with wire through the fold: `wire-stitched`.
    WireStitched,
}

impl BindingKind {
    pub(crate) const WORDS: [(&'static str, Self); 4] = [
        ("sewn case", Self::SewnCase),
        ("sewn soft", Self::SewnSoft),
        ("glued soft", Self::GluedSoft),
        ("wire-stitched", Self::WireStitched),
    ];

    /// The word for it in the book file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::SewnCase => "sewn case",
            Self::SewnSoft => "sewn soft",
            Self::GluedSoft => "glued soft",
            Self::WireStitched => "wire-stitched",
        }
    }
}

/// Binding and folding.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Binding {
    /// The binding.
    pub kind: BindingKind,
    /// Pages to a full signature.
    pub signature: Signature,
    /// Board of a case, when `kind` is a case; 2.5 mm unless said.
    pub board: Length,
}

/// Pages to one folded signature: 8, 12, 16, 24 or 32.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Signature(u8);

impl Signature {
    /// From a page count; `None` for a count that is not folded in practice.
    pub const fn from_pages(pages: u8) -> Option<Self> {
        match pages {
            8 | 12 | 16 | 24 | 32 => Some(Self(pages)),
            _ => None,
        }
    }

    /// Pages in a full signature.
    pub const fn pages(self) -> u32 {
        self.0 as u32
    }
}

/// Surface of a paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Finish {
    /// Gloss coated.
    Gloss,
    /// Silk or satin coated.
    Silk,
    /// Matt coated.
    Matt,
    /// Uncoated.
    Uncoated,
}

impl Finish {
    pub(crate) const WORDS: [(&'static str, Self); 4] = [
        ("gloss", Self::Gloss),
        ("silk", Self::Silk),
        ("matt", Self::Matt),
        ("uncoated", Self::Uncoated),
    ];

    /// The word for it in the book file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Gloss => "gloss",
            Self::Silk => "silk",
            Self::Matt => "matt",
            Self::Uncoated => "uncoated",
        }
    }

    /// The bulk that is assumed where the book states neither bulk nor caliper.
    ///
    /// Coated papers run from 0.8 to 1.0 cm³/g and uncoated from 1.2 to 1.6 (ranges read at
    /// ybj-printing.com, "Paper bulk vs gsm"); the place within each range is our assumption.
    pub fn typical_bulk(self) -> Bulk {
        let value = match self {
            Self::Gloss => 0.8,
            Self::Silk => 0.9,
            Self::Matt => 0.95,
            Self::Uncoated => 1.25,
        };
        Bulk::from_cm3_per_g(value).expect("every typical bulk lies within 0.3 to 4")
    }
}

/// How thick a sheet is: stated, or from its bulk.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Thickness {
    /// Measured or stated by the mill.
    Caliper(Length),
    /// From the apparent specific volume.
    Bulk(Bulk),
    /// Not stated: the finish's typical bulk is assumed, and said so.
    Assumed(Bulk),
}

/// A paper.
#[derive(Debug, Clone, PartialEq)]
pub struct Stock {
    /// What the artist calls it; may be empty.
    pub name: String,
    /// Mass per area.
    pub grammage: Grammage,
    /// Thickness.
    pub thickness: Thickness,
    /// Surface.
    pub finish: Finish,
}

impl Stock {
    /// Thickness of one sheet.
    pub fn caliper(&self) -> Length {
        match self.thickness {
            Thickness::Caliper(caliper) => caliper,
            Thickness::Bulk(bulk) | Thickness::Assumed(bulk) => bulk.caliper(self.grammage),
        }
    }
}

/// How pictures are stored in the press file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PictureCoding {
    /// Every byte kept.
    Lossless,
    /// JPEG at high quality, no chroma subsampling.
    Jpeg,
}

impl PictureCoding {
    pub(crate) const WORDS: [(&'static str, Self); 2] =
        [("lossless", Self::Lossless), ("jpeg", Self::Jpeg)];

    /// The word for it in the book file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Lossless => "lossless",
            Self::Jpeg => "jpeg",
        }
    }
}

/// How colours out of the press's reach are brought in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Rendering {
    /// ICC perceptual.
    Perceptual,
    /// ICC relative colorimetric with black-point compensation.
    Relative,
}

impl Rendering {
    pub(crate) const WORDS: [(&'static str, Self); 2] = [
        ("perceptual", Self::Perceptual),
        ("relative", Self::Relative),
    ];

    /// The word for it in the book file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Perceptual => "perceptual",
            Self::Relative => "relative",
        }
    }
}

/// From art to ink.
#[derive(Debug, Clone, PartialEq)]
pub struct PressWishes {
    /// Name of a built-in condition (`coated`, `coated-americas`, `uncoated`) or the path of an ICC
    /// profile in the book folder.
    pub condition: String,
    /// Rendering of colours.
    pub rendering: Rendering,
    /// Most ink in one place, in percent of one solid (100 to 400); `None` takes the condition's.
    pub ink_limit: Option<f64>,
    /// Resolution of pictures in the press file.
    pub resolution: Resolution,
    /// Storage of pictures.
    pub pictures: PictureCoding,
}

/// A built-in recipe of compensation.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PaperRecipe {
    /// The art is separated as it is.
    None,
    /// A little flatter, lighter and less saturated.
    Gentle,
    /// What most books want.
    Usual,
    /// For heavy presses and thirsty paper.
    Strong,
}

impl PaperRecipe {
    pub(crate) const WORDS: [(&'static str, Self); 4] = [
        ("none", Self::None),
        ("gentle", Self::Gentle),
        ("usual", Self::Usual),
        ("strong", Self::Strong),
    ];

    /// The word for it in the book file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::Gentle => "gentle",
            Self::Usual => "usual",
            Self::Strong => "strong",
        }
    }
}

/// How much pictures are sharpened for paper. Line art never is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Sharpening {
    /// Not at all.
    None,
    /// As much as the paper and the screen take back.
    Modest,
    /// Half as much again.
    Strong,
}

impl Sharpening {
    pub(crate) const WORDS: [(&'static str, Self); 3] = [
        ("none", Self::None),
        ("modest", Self::Modest),
        ("strong", Self::Strong),
    ];

    /// The word for it in the book file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::None => "none",
            Self::Modest => "modest",
            Self::Strong => "strong",
        }
    }
}

/// The book's recipe for paper: a built-in one, and what differs from it.
#[derive(Debug, Clone, PartialEq)]
pub struct ForPaper {
    /// The built-in recipe that it starts from; `none` unless said.
    pub recipe: PaperRecipe,
    /// The artist's own name for it; may be empty.
    pub name: String,
    /// Figures that replace those of the built-in recipe.
    pub own: OwnFigures,
    /// Sharpening after resampling; `modest` unless said.
    pub sharpening: Sharpening,
    /// Screen ruling of the press in lines to the inch; 175 on coated and 150 on uncoated paper
    /// unless said.
    pub ruling: Option<f64>,
    /// What a measured proof has taught, once the person has accepted it.
    pub learned: Option<Learned>,
}

impl Default for ForPaper {
    /// What holds where the book file says nothing.
    fn default() -> Self {
        Self {
            recipe: PaperRecipe::None,
            name: String::new(),
            own: OwnFigures::default(),
            sharpening: Sharpening::Modest,
            ruling: None,
            learned: None,
        }
    }
}

/// Figures of a recipe that the artist has set, each in the unit of the colour room's compensation.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct OwnFigures {
    /// Percent.
    pub contrast: Option<f64>,
    /// L* at middle grey.
    pub lightening: Option<f64>,
    /// Percent of chroma.
    pub saturation: Option<f64>,
    /// Percent of chroma at red, yellow, green, cyan, blue and magenta.
    pub bands: [Option<f64>; 6],
    /// L* of the art's black.
    pub black: Option<f64>,
    /// L* of the art's white.
    pub white: Option<f64>,
}

/// How the press departs, as accepted from a measured proof.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Learned {
    /// Which proof taught it, in words.
    pub from: String,
    /// Pairs of L* intended and L* printed.
    pub tone: Vec<(f64, f64)>,
    /// Factors on chroma around the hue circle.
    pub saturation: Vec<f64>,
    /// Turns of hue in degrees around the hue circle.
    pub hue: Vec<f64>,
    /// Factors on chroma from L* 0 to 100.
    pub depth: Vec<f64>,
    /// L* added at a printed chroma of 50, around the hue circle.
    pub lift: Vec<f64>,
    /// Pairs of a* and b* added, from L* 0 to 100.
    pub cast: Vec<(f64, f64)>,
}

/// Which inks a piece prints in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PieceInks {
    /// Line art in black ink alone, everything else in all four: decided by looking at the piece.
    ByLook,
    /// All four inks by the table.
    Four,
    /// Black ink alone.
    Black,
    /// Black and cyan: cool greys.
    BlackAndCyan,
    /// Black and magenta: rosy greys.
    BlackAndMagenta,
    /// Black and yellow: warm greys.
    BlackAndYellow,
}

impl PieceInks {
    pub(crate) const WORDS: [(&'static str, Self); 6] = [
        ("by look", Self::ByLook),
        ("all four", Self::Four),
        ("black", Self::Black),
        ("black and cyan", Self::BlackAndCyan),
        ("black and magenta", Self::BlackAndMagenta),
        ("black and yellow", Self::BlackAndYellow),
    ];

    /// The word for it in the book file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::ByLook => "by look",
            Self::Four => "all four",
            Self::Black => "black",
            Self::BlackAndCyan => "black and cyan",
            Self::BlackAndMagenta => "black and magenta",
            Self::BlackAndYellow => "black and yellow",
        }
    }
}

/// What is wished for one piece of art, wherever it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceWish {
    /// The art's name.
    pub piece: String,
    /// A recipe of its own, instead of the book's; `none` opts out.
    pub recipe: Option<PaperRecipe>,
    /// Figures that replace those of its recipe.
    pub own: OwnFigures,
    /// Its inks.
    pub inks: PieceInks,
    /// Sharpening of its own, instead of the book's.
    pub sharpening: Option<Sharpening>,
    /// Line of the book file, 1-based, for messages.
    pub line: u32,
}

/// Ink of words on the cover.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum WordInk {
    /// Black ink alone.
    Black,
    /// No ink: the paper shows.
    Paper,
}

impl WordInk {
    pub(crate) const WORDS: [(&'static str, Self); 2] =
        [("black", Self::Black), ("paper", Self::Paper)];

    /// The word for it in the book file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Black => "black",
            Self::Paper => "paper",
        }
    }
}

/// One entry of the running order: a treatment with what it shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Name by which the entry is moved; unique in the book.
    pub name: String,
    /// What it does with its page or pages.
    pub treatment: Treatment,
    /// Line of the book file where the entry begins, 1-based, for messages.
    pub line: u32,
}

/// A picture wanted on a page.
#[derive(Debug, Clone, PartialEq)]
pub struct Wanted {
    /// The art's name: its path below `art/`, with forward slashes.
    pub piece: String,
    /// The point of the picture, as fractions across and down, that stays in view when it is
    /// cropped; the middle unless said.
    pub focus: (f64, f64),
    /// Print although the resolution is under 150 ppi.
    pub accept_low_resolution: bool,
}

/// What an entry does with its page or pages.
#[derive(Debug, Clone, PartialEq)]
pub enum Treatment {
    /// `full page`: fills one page and its bleed.
    FullPage(Wanted),
    /// `spread`: fills a left and a right page, crossing the fold.
    Spread(Wanted),
    /// `inset`: whole picture within margins, with an optional caption.
    Inset {
        /// The picture.
        picture: Wanted,
        /// Clear paper between picture and trim, at the least.
        margin: Length,
        /// Words under the picture; may be empty.
        caption: String,
    },
    /// `paired`: two pictures on facing pages, at one height.
    Paired {
        /// Left page.
        left: Wanted,
        /// Right page.
        right: Wanted,
        /// Clear paper between pictures and trim, at the least.
        margin: Length,
    },
    /// `ready page`: a picture already at page size with bleed, placed as it is.
    Ready(Wanted),
    /// `title`: the title page.
    Title,
    /// `text`: a page of words.
    Text {
        /// Heading; may be empty.
        heading: String,
        /// Paragraphs, parted by blank lines in the file.
        paragraphs: Vec<String>,
    },
    /// `colophon`: how the book was made, set small at the foot.
    Colophon {
        /// Paragraphs, parted by blank lines in the file.
        paragraphs: Vec<String>,
    },
    /// `blank`: nothing, on purpose.
    Blank,
}

impl Treatment {
    /// The word for it in the book file.
    pub const fn word(&self) -> &'static str {
        match self {
            Self::FullPage(_) => "full page",
            Self::Spread(_) => "spread",
            Self::Inset { .. } => "inset",
            Self::Paired { .. } => "paired",
            Self::Ready(_) => "ready page",
            Self::Title => "title",
            Self::Text { .. } => "text",
            Self::Colophon { .. } => "colophon",
            Self::Blank => "blank",
        }
    }

    /// How many pages it takes: 1 or 2.
    pub const fn pages(&self) -> u32 {
        match self {
            Self::Spread(_) | Self::Paired { .. } => 2,
            _ => 1,
        }
    }

    /// The pictures it shows, left to right.
    pub fn pictures(&self) -> Vec<&Wanted> {
        match self {
            Self::FullPage(picture)
            | Self::Spread(picture)
            | Self::Ready(picture)
            | Self::Inset { picture, .. } => vec![picture],
            Self::Paired { left, right, .. } => vec![left, right],
            Self::Title | Self::Text { .. } | Self::Colophon { .. } | Self::Blank => vec![],
        }
    }
}
