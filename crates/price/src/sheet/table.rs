//! A table of text: parted by semicolon, comma or tab, in UTF-8 or in Windows-1252 (which holds Latin-1).

use std::borrow::Cow;

use super::SheetError;
use super::grid::{Cell, Grid, LONGEST_TEXT, MOST_CELLS, Page, Place, Value};
use super::locate;

/// What a table may weigh. Our assumption.
const LARGEST: usize = 4 << 20;

/// Reads a table by the sign that finds most of the words that were sent.
pub(super) fn read(bytes: &[u8]) -> Result<Grid, SheetError> {
    if bytes.len() > LARGEST {
        return Err(SheetError::TooLarge {
            what: "the file".to_owned(),
            limit: "4 MB of text",
        });
    }
    let text = text(bytes);
    if text.contains('\0') {
        return Err(SheetError::NoWords);
    }
    let mut best: Option<(usize, Grid)> = None;
    for sign in [b';', b',', b'\t'] {
        let grid = parted(&text, sign);
        let found = grid.pages.first().map_or(0, locate::filled);
        if best.as_ref().is_none_or(|(most, _)| found > *most) {
            best = Some((found, grid));
        }
    }
    best.map(|(_, grid)| grid).ok_or(SheetError::NoWords)
}

fn parted(text: &str, sign: u8) -> Grid {
    let mut page = Page::default();
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(sign)
        .has_headers(false)
        .flexible(true)
        .from_reader(text.as_bytes());
    let mut record = csv::StringRecord::new();
    // Empty lines are passed over by the reader; they are rows all the same, so that cells have the
    // names that a spreadsheet program shows. A quoted line break is within a row.
    let mut row = 0_u32;
    while let Ok(true) = reader.read_record(&mut record) {
        let begins = record.position().map_or(0, csv::Position::byte);
        row = row.saturating_add(empty_lines(text, usize::try_from(begins).unwrap_or(0)));
        for (column, said) in record.iter().enumerate() {
            let column = u32::try_from(column).unwrap_or(u32::MAX);
            let place = Place { row, column };
            if said.trim().is_empty() || !place.within() || page.cells.len() >= MOST_CELLS {
                continue;
            }
            let said = said.chars().take(LONGEST_TEXT).collect();
            page.cells.insert(
                place,
                Cell {
                    value: Value::Text(said),
                    ..Cell::default()
                },
            );
        }
        row = row.saturating_add(1);
    }
    Grid {
        pages: vec![page],
        ..Grid::default()
    }
}

/// Empty lines that begin at a byte. A line that ends in two signs has its second one left there.
fn empty_lines(text: &str, from: usize) -> u32 {
    let rest = text.as_bytes().get(from..).unwrap_or_default();
    let ended = from.checked_sub(1).map(|before| text.as_bytes()[before]);
    let rest = match (ended, rest) {
        (Some(b'\r'), [b'\n', rest @ ..]) => rest,
        (_, rest) => rest,
    };
    let ends = rest.iter().take_while(|byte| matches!(byte, b'\r' | b'\n'));
    u32::try_from(ends.filter(|byte| **byte == b'\n').count()).unwrap_or(u32::MAX)
}

/// UTF-8 with or without its mark, or else Windows-1252.
fn text(bytes: &[u8]) -> Cow<'_, str> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    match std::str::from_utf8(bytes) {
        Ok(text) => Cow::Borrowed(text),
        Err(_) => bytes.iter().map(|byte| windows(*byte)).collect(),
    }
}

/// Windows-1252 is Latin-1 but for these (from memory of the code page); what amounts need is the euro.
fn windows(byte: u8) -> char {
    match byte {
        0x80 => '€',
        0x91 | 0x92 => '’',
        0x93 => '“',
        0x94 => '”',
        0x96 => '–',
        0x97 => '—',
        _ => char::from(byte),
    }
}
