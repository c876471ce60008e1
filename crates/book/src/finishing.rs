//! Finishings as the book file wishes for them, and the wish for a bar code.

use measure::Length;

use crate::bar_code::BarCode;
use crate::dress::Carrier;

/// One finishing: one plate on one sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct Finishing {
    /// Its name, which is the name of its plate in the press file; unique in the book, whatever
    /// the case of its letters.
    pub name: String,
    /// What is done.
    pub process: Process,
    /// The piece that it is done to.
    pub on: Carrier,
    /// The panel, by its name on the flat sheet, or `whole`.
    pub panel: String,
    /// What its plate is drawn from.
    pub source: PlateSource,
    /// How it is shown and named.
    pub colour: FinishingColour,
    /// The finest line that the finisher holds, where the book file says it.
    pub least_line: Option<Length>,
    /// The finest gap that the finisher holds.
    pub least_gap: Option<Length>,
    /// By how much every line of the plate is made wider; zero unless the book file says it.
    pub thicken: Length,
    /// What becomes of a mask whose proportions are not those of its panel.
    pub fit: MaskFit,
    /// Line of the book file, 1-based, for messages.
    pub line: u32,
}

/// What a plate is drawn from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PlateSource {
    /// A picture or an SVG in the book folder, by its path there; dark is plate.
    Mask(String),
    /// The title, the author and the spine's words that stand on the panel: `words = "title"`.
    Title,
    /// The same without the author, who stays in ink: `words = "title alone"`.
    TitleAlone,
}

/// What becomes of a mask whose proportions are not those of its panel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum MaskFit {
    /// It is refused: `exact`.
    #[default]
    Exact,
    /// It keeps its proportions, as large as the panel allows, in the middle: `centre`.
    Centre,
    /// It is stretched to the panel: `stretch`.
    Stretch,
}

impl MaskFit {
    pub(crate) const WORDS: [(&'static str, Self); 3] = [
        ("exact", Self::Exact),
        ("centre", Self::Centre),
        ("stretch", Self::Stretch),
    ];

    /// The word for it in the book file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Exact => "exact",
            Self::Centre => "centre",
            Self::Stretch => "stretch",
        }
    }
}

/// What is done to the sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Process {
    /// Foil, stamped hot: `foil`.
    Foil,
    /// Gloss varnish on parts of the sheet: `spot varnish`.
    SpotVarnish,
    /// Raised without ink: `blind emboss`.
    BlindEmboss,
    /// Sunk without ink: `blind deboss`.
    BlindDeboss,
}

impl Process {
    pub(crate) const WORDS: [(&'static str, Self); 4] = [
        ("foil", Self::Foil),
        ("spot varnish", Self::SpotVarnish),
        ("blind emboss", Self::BlindEmboss),
        ("blind deboss", Self::BlindDeboss),
    ];

    /// The word for it in the book file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Foil => "foil",
            Self::SpotVarnish => "spot varnish",
            Self::BlindEmboss => "blind emboss",
            Self::BlindDeboss => "blind deboss",
        }
    }

    /// Whether words that become its plate are still printed in ink: under varnish they are, and
    /// not under foil, nor where a blind stamp shapes the bare sheet.
    pub const fn keeps_ink(self) -> bool {
        matches!(self, Self::SpotVarnish)
    }
}

/// How a finishing is shown on the screen and named on the drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FinishingColour {
    /// `gold`.
    Gold,
    /// `silver`.
    Silver,
    /// `copper`.
    Copper,
    /// `black`.
    Black,
    /// `white`.
    White,
    /// Without a colour of its own: `clear`.
    Clear,
}

impl FinishingColour {
    pub(crate) const WORDS: [(&'static str, Self); 6] = [
        ("gold", Self::Gold),
        ("silver", Self::Silver),
        ("copper", Self::Copper),
        ("black", Self::Black),
        ("white", Self::White),
        ("clear", Self::Clear),
    ];

    /// The word for it in the book file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Gold => "gold",
            Self::Silver => "silver",
            Self::Copper => "copper",
            Self::Black => "black",
            Self::White => "white",
            Self::Clear => "clear",
        }
    }
}

/// The bar code that is to be set.
#[derive(Debug, Clone, PartialEq)]
pub struct BarCodeWish {
    /// The bars.
    pub code: BarCode,
    /// The piece that carries it; the outermost of jacket and cover unless said.
    pub on: Option<Carrier>,
    /// The panel, by its name on the flat sheet; `back` unless said.
    pub panel: String,
    /// The corner of the panel.
    pub place: Corner,
    /// Whether a panel without ink is set under it.
    pub white: bool,
}

/// A corner of a panel.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Corner {
    /// `foot right`.
    #[default]
    FootRight,
    /// `foot left`.
    FootLeft,
    /// `head right`.
    HeadRight,
    /// `head left`.
    HeadLeft,
}

impl Corner {
    pub(crate) const WORDS: [(&'static str, Self); 4] = [
        ("foot right", Self::FootRight),
        ("foot left", Self::FootLeft),
        ("head right", Self::HeadRight),
        ("head left", Self::HeadLeft),
    ];

    /// The word for it in the book file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::FootRight => "foot right",
            Self::FootLeft => "foot left",
            Self::HeadRight => "head right",
            Self::HeadLeft => "head left",
        }
    }
}
