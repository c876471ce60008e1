//! What the book file says about the book as a thing. A figure that is not there is not given: a
//! typical one stands in for it, and is told apart from a given one wherever it is shown.

use measure::{Grammage, Length};

/// Everything said about the physical book, beside its format, binding and stocks.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct ObjectWishes {
    /// Thickness of the boards, where the file says it; the figure itself is `Binding::board`.
    pub board: Option<Length>,
    /// Width of the spine as the printer has given it, in place of the reckoned one.
    pub spine: Option<Length>,
    /// What thread and glue add to the block at its back.
    pub swell: Option<Length>,
    /// The case.
    pub case: CaseWishes,
    /// Endpapers of a case.
    pub endpapers: PaperWishes,
    /// The jacket, if there is to be one.
    pub jacket: Option<JacketWishes>,
    /// Flaps of a soft cover, if there are to be some.
    pub flaps: Option<FlapWishes>,
    /// The belly band, if there is to be one.
    pub band: Option<BandWishes>,
    /// The slipcase, if there is to be one.
    pub slipcase: Option<SlipcaseWishes>,
}

/// The shape of the back of a case.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Back {
    /// Square, with a strip of board in the spine: `flat`.
    #[default]
    Flat,
    /// Rounded and backed, with a strip of card in the spine: `round`.
    Round,
}

impl Back {
    pub(crate) const WORDS: [(&'static str, Self); 2] =
        [("flat", Self::Flat), ("round", Self::Round)];

    /// The word for it in the book file.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Flat => "flat",
            Self::Round => "round",
        }
    }
}

/// The case: boards, spine strip and covering.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CaseWishes {
    /// Shape of the back.
    pub back: Option<Back>,
    /// How far a round back stands out, from its chord.
    pub rise: Option<Length>,
    /// How far the boards stand over the block at head, foot and fore edge.
    pub square: Option<Length>,
    /// How far the boards stay away from the back of the block.
    pub setback: Option<Length>,
    /// The gap on the flat case between a board and the spine strip.
    pub hinge: Option<Length>,
    /// How far the covering is turned in around the boards.
    pub turn_in: Option<Length>,
    /// Thickness of the strip in the spine.
    pub strip: Option<Length>,
    /// Density of the board in g/cm³.
    pub board_density: Option<f64>,
    /// The paper that covers the boards.
    pub covering: PaperWishes,
    /// Whether there are head and tail bands.
    pub bands: Option<bool>,
    /// How many ribbons are bound in.
    pub ribbons: Option<u8>,
}

/// A paper of which little is asked.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct PaperWishes {
    /// Mass per area.
    pub grammage: Option<Grammage>,
    /// Thickness of one sheet.
    pub caliper: Option<Length>,
}

/// The jacket.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct JacketWishes {
    /// Its paper.
    pub paper: PaperWishes,
    /// Height of the jacket.
    pub height: Option<Length>,
    /// What the front and the back need to turn around the edge of the boards.
    pub turn: Option<Length>,
    /// Width of each flap.
    pub flap: Option<Length>,
}

/// Flaps of a soft cover.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct FlapWishes {
    /// Width of each flap.
    pub width: Option<Length>,
    /// How far the folded cover stands over the block at the fore edge.
    pub over: Option<Length>,
}

/// The belly band.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct BandWishes {
    /// Its paper.
    pub paper: PaperWishes,
    /// Height of the band.
    pub height: Option<Length>,
    /// What goes inside the cover on each side.
    pub tuck: Option<Length>,
    /// How much each panel is wider than what it goes around.
    pub ease: Option<Length>,
}

/// The slipcase.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct SlipcaseWishes {
    /// Thickness of its board.
    pub board: Option<Length>,
    /// Room around the book in each direction.
    pub clearance: Option<Length>,
    /// The paper that covers it.
    pub covering: PaperWishes,
    /// How far the covering is turned in at the mouth, and over the ends.
    pub turn_in: Option<Length>,
}
