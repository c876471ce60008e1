//! Addresses within the page.

use desk::SheetName;
use percent_encoding::{AsciiSet, NON_ALPHANUMERIC, utf8_percent_encode};

/// What may stand in a path as it is; the slash parts folders of a piece's name.
const PATH: &AsciiSet = &NON_ALPHANUMERIC
    .remove(b'/')
    .remove(b'-')
    .remove(b'_')
    .remove(b'.')
    .remove(b'~');

/// What may stand in a query as it is.
const QUERY: &AsciiSet = &PATH.add(b'/');

/// Side lengths at which small pictures are given.
pub(crate) const THUMBNAILS: [u32; 4] = [160, 320, 640, 1280];

/// Long sides at which pages are given with figures that are tried.
pub(crate) const TRIALS: [u32; 4] = [640, 960, 1280, 1600];
/// Long sides at which pictures of trimmed sheets are given.
pub(crate) const LEAVES: [u32; 4] = [200, 400, 960, 1600];
/// Long sides at which plates are given.
pub(crate) const PLATES: [u32; 2] = [640, 1600];

/// A small picture of a piece.
pub(crate) fn thumbnail(piece: &str, pixels: u32) -> String {
    format!("/thumb/{pixels}/{}", utf8_percent_encode(piece, PATH))
}

/// The running order with an entry chosen.
pub(crate) fn entry(name: &str) -> String {
    format!("/order?entry={}", query(name))
}

/// A page on paper.
pub(crate) fn paper(page: u32) -> String {
    format!("/paper?page={page}")
}

/// A page or another sheet on paper, with the recipe card for the book or for one piece.
pub(crate) fn card(sheet: SheetName, piece: Option<&str>) -> String {
    let sheet = sheet.word();
    match piece {
        None => format!("/paper?page={sheet}"),
        Some(piece) => format!("/paper?page={sheet}&for={}", query(piece)),
    }
}

/// The plate of a finishing by its place in the book, as white with its shape in the alpha.
pub(crate) fn plate(index: usize, pixels: u32) -> String {
    format!("/plate/{pixels}/{index}")
}

/// A text made fit for a query or an id.
pub(crate) fn query(text: &str) -> String {
    utf8_percent_encode(text, QUERY).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_carried_whole() {
        assert_eq!(
            thumbnail("night/ferry 2?#%.png", 320),
            "/thumb/320/night/ferry%202%3F%23%25.png"
        );
        assert_eq!(entry("tide & table"), "/order?entry=tide%20%26%20table");
    }
}
