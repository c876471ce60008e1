//! The bound book, closed: its outside measures, and what a section through it shows.

use measure::Length;

use crate::model::BindingKind;
use crate::object_wishes::Back;

/// The bound book and its layers, as a section through it shows them.
#[derive(Debug, Clone, PartialEq)]
pub struct Bound {
    /// How it is bound.
    pub kind: BindingKind,
    /// Pages of each signature, in order.
    pub signatures: Vec<u32>,
    /// All leaves of the text, pressed.
    pub block: Length,
    /// What sewing adds to the block at its back.
    pub swell: Length,
    /// Width of the page.
    pub page_width: Length,
    /// Width of each flap of a soft cover; zero for none.
    pub flap: Length,
    /// Endpapers on each side of the block: two leaves; zero for a soft binding.
    pub endpapers: Length,
    /// Thickness of each board; zero for a soft binding.
    pub board: Length,
    /// Thickness of the soft cover, or of the covering of a case.
    pub cover: Length,
    /// How far the boards stand over the block; zero for a soft binding.
    pub square: Length,
    /// How far the boards stay away from the back of the block.
    pub setback: Length,
    /// Thickness of the strip in the spine of a case.
    pub strip: Length,
    /// Shape of the back.
    pub back: Back,
    /// How far a round back stands out; zero for a flat one.
    pub rise: Length,
    /// The closed book from outside, as whatever is wrapped around it meets it.
    pub closed: Closed,
}

/// The outside of a closed book.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Closed {
    /// From the outermost point of the spine to the fore edge.
    pub width: Length,
    /// From head to foot, squares included.
    pub height: Length,
    /// From front to back.
    pub thickness: Length,
    /// The way over the spine, from the edge of the front to the edge of the back.
    pub over_spine: Length,
    /// The front, from the edge of the spine to the fore edge.
    pub face: Length,
    /// What a wrap turns around at the fore edge: the board, or the thickness of a soft cover.
    pub edge: Length,
}

impl Closed {
    /// The book with one more sheet wrapped around it, whose ends lie inside its covers.
    pub(super) fn wrapped(self, caliper: Length) -> Self {
        Self {
            width: self.width + caliper * 2,
            height: self.height,
            // Outside and inside each cover.
            thickness: self.thickness + caliper * 4,
            over_spine: self.over_spine + caliper * 2,
            face: self.face + caliper,
            edge: self.edge + caliper * 2,
        }
    }
}
