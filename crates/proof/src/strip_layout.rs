use measure::{Length, Rect, Size};

use crate::Strip;

/// Where things stand on a strip, from its upper left corner.
#[derive(Debug, Clone, PartialEq)]
pub struct StripLayout {
    /// The whole strip, quiet zones included.
    pub size: Size,
    /// The machine-readable mark's modules as one square, its quiet zone excluded.
    pub mark: Rect,
    /// One rectangle a patch, in the patches' order.
    pub patches: Vec<Rect>,
    /// Corner marks: squares of solid black by which a scan is straightened.
    pub corners: Vec<Rect>,
}

impl StripLayout {
    /// Lays a strip out in a width; a strip has a least width, and is that wide if less is given.
    pub fn of(strip: &Strip, width: Length) -> Self {
        let _ = (strip, width);
        todo!()
    }
}
