//! A letter as the data that its layout reads: records of a kind, rows and cells.

use crate::WordsError;
use crate::clean::{PARTS, clean};
use crate::letter::{Letter, Part};

/// Parts the rows of one record, whose cells [`PARTS`] parts. None of the three is ever in the words,
/// which are cleaned of control characters.
const ROWS: char = '\u{1e}';

/// Parts the records.
pub(crate) const RECORDS: char = '\u{1d}';

/// More characters than any letter has (our assumption: some sixty pages).
const MOST_CHARACTERS: usize = 200_000;

/// More rows of tables and lists than any letter has (our assumption).
const MOST_ROWS: usize = 2_000;

/// More columns than a page has room for (our assumption).
const MOST_COLUMNS: usize = 12;

type Rows<'a> = Vec<Vec<&'a str>>;

/// The data of a letter. Every character passes `sign`, which says what is set for it.
pub(crate) fn data(
    letter: &Letter,
    sign: &mut impl FnMut(char) -> Option<char>,
) -> Result<String, WordsError> {
    let records = records(letter);
    let rows = || records.iter().flat_map(|(_, rows)| rows);
    let bytes: usize = rows().flatten().map(|cell| cell.len()).sum();
    // Bytes are at least as many as characters, and cheap to count.
    let characters = || rows().flatten().map(|cell| cell.chars().count()).sum();
    if bytes > MOST_CHARACTERS && (bytes > 4 * MOST_CHARACTERS || MOST_CHARACTERS < characters()) {
        return Err(WordsError::Typesetter(format!(
            "there are more than {MOST_CHARACTERS} characters, which is no letter"
        )));
    }
    if rows().count() > MOST_ROWS {
        return Err(WordsError::Typesetter(format!(
            "there are more than {MOST_ROWS} lines of tables and lists, which is no letter"
        )));
    }
    let mut data = String::with_capacity(bytes + 1024);
    for (index, (kind, rows)) in records.iter().enumerate() {
        if index > 0 {
            data.push(RECORDS);
        }
        data.push_str(kind);
        for row in rows {
            data.push(ROWS);
            for (index, cell) in row.iter().enumerate() {
                if index > 0 {
                    data.push(PARTS);
                }
                data.extend(clean(cell, true).chars().filter_map(&mut *sign));
            }
        }
    }
    Ok(data)
}

/// Adds a note below all else.
pub(crate) fn add_note(
    data: &mut String,
    words: &str,
    sign: &mut impl FnMut(char) -> Option<char>,
) {
    data.push(RECORDS);
    data.push_str("note");
    data.push(ROWS);
    data.extend(clean(words, false).chars().filter_map(sign));
}

fn records(letter: &Letter) -> Vec<(&'static str, Rows<'_>)> {
    let mut records = vec![
        ("sender", lines(&letter.sender)),
        ("addressee", lines(&letter.addressee)),
        ("particulars", pairs(&letter.particulars)),
        ("subject", one(&letter.subject)),
        ("running", one(&letter.running)),
    ];
    records.extend(letter.parts.iter().filter_map(|part| match part {
        Part::Heading(words) => Some(("heading", one(words))),
        Part::Paragraph(words) => Some(("paragraph", one(words))),
        Part::Signature(name) => Some(("signature", one(name))),
        Part::Facts(rows) => (!rows.is_empty()).then(|| ("facts", pairs(rows))),
        Part::Numbered(items) => (!items.is_empty()).then(|| ("numbered", lines(items))),
        Part::Table(table) => (!table.head.is_empty()).then(|| {
            let head = std::iter::once(cells(&table.head));
            let rows = table.rows.iter().map(|row| cells(row));
            ("table", head.chain(rows).collect())
        }),
    }));
    records
}

fn one(words: &str) -> Rows<'_> {
    vec![vec![words]]
}

fn lines(lines: &[String]) -> Rows<'_> {
    lines.iter().map(|line| vec![line.as_str()]).collect()
}

fn pairs(pairs: &[(String, String)]) -> Rows<'_> {
    pairs
        .iter()
        .map(|(what, which)| vec![what.as_str(), which.as_str()])
        .collect()
}

fn cells(row: &[String]) -> Vec<&str> {
    row.iter().take(MOST_COLUMNS).map(String::as_str).collect()
}
