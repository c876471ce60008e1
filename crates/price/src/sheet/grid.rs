//! Cells of a sheet as they were read, whatever file they came from.

use std::collections::BTreeMap;
use std::fmt;

use measure::{Currency, Decimal};

/// Rows and columns that are looked at; what was sent has far fewer. Our assumption.
pub(super) const MOST_ROWS: u32 = 2000;
/// Columns that are looked at.
pub(super) const MOST_COLUMNS: u32 = 200;
/// Cells that are looked at.
pub(super) const MOST_CELLS: usize = 20_000;
/// Signs of a cell that are kept.
pub(super) const LONGEST_TEXT: usize = 2000;

/// All pages of a file.
#[derive(Debug, Default)]
pub(super) struct Grid {
    pub pages: Vec<Page>,
    /// Names of single cells: name in small letters, page, place.
    pub names: BTreeMap<String, (usize, Place)>,
    /// The part of the archive that holds a macro.
    pub macros: Option<String>,
}

/// One page.
#[derive(Debug, Default)]
pub(super) struct Page {
    pub name: String,
    pub cells: BTreeMap<Place, Cell>,
    /// Areas of merged cells: first and last.
    pub merged: Vec<(Place, Place)>,
}

/// Where a cell is, from zero.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(super) struct Place {
    pub row: u32,
    pub column: u32,
}

/// A cell that is not empty.
#[derive(Debug, Clone, Default)]
pub(super) struct Cell {
    pub value: Value,
    /// A formula whose stored value this is; without its equals sign.
    pub formula: Option<String>,
    /// The currency that its number format shows.
    pub currency: Option<Currency>,
    /// Whether its number format is a percentage.
    pub percent: bool,
    /// Whether its number format is a day.
    pub day: bool,
}

/// What stands in a cell.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) enum Value {
    #[default]
    Blank,
    Text(String),
    /// The shortest decimal of the number that is stored, and whether decimals behind the ninth were
    /// rounded away.
    Number(Decimal, bool),
    /// An error of the spreadsheet program, or a number beyond all bounds.
    Error(String),
}

impl Page {
    /// The cell, if it is not empty.
    pub fn cell(&self, place: Place) -> Option<&Cell> {
        self.cells
            .get(&place)
            .filter(|cell| cell.value != Value::Blank || cell.formula.is_some())
    }

    /// The text of a cell; nothing for a number.
    pub fn text(&self, place: Place) -> Option<&str> {
        match &self.cell(place)?.value {
            Value::Text(text) => Some(text.trim()),
            _ => None,
        }
    }

    /// The first cell that is not empty right of a place, within six; or else the next one.
    pub fn beside(&self, place: Place) -> Place {
        (1..=6)
            .map(|by| place.right(by))
            .find(|place| self.cell(*place).is_some())
            .unwrap_or(place.right(1))
    }
}

impl Place {
    pub fn right(self, by: u32) -> Self {
        Self {
            column: self.column.saturating_add(by),
            ..self
        }
    }

    pub fn below(self, by: u32) -> Self {
        Self {
            row: self.row.saturating_add(by),
            ..self
        }
    }

    /// From `C7` or `$C$7`.
    pub fn of(text: &str) -> Option<Self> {
        let text = text.replace('$', "");
        let letters = text.bytes().take_while(u8::is_ascii_alphabetic).count();
        let (letters, figures) = text.split_at(letters);
        if letters.is_empty() || letters.len() > 3 || figures.len() > 7 {
            return None;
        }
        let column = letters.bytes().fold(0_u32, |column, letter| {
            column * 26 + u32::from(letter.to_ascii_uppercase() - b'A') + 1
        });
        let row: u32 = figures.parse().ok().filter(|row| *row > 0)?;
        Some(Self {
            row: row - 1,
            column: column - 1,
        })
    }

    /// Whether it is within what is looked at.
    pub fn within(self) -> bool {
        self.row < MOST_ROWS && self.column < MOST_COLUMNS
    }
}

impl fmt::Display for Place {
    /// `C7`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut letters = Vec::new();
        let mut column = self.column + 1;
        while column > 0 {
            let letter = u8::try_from((column - 1) % 26).expect("below 26");
            letters.push(char::from(b'A' + letter));
            column = (column - 1) / 26;
        }
        let letters: String = letters.iter().rev().collect();
        write!(f, "{letters}{}", u64::from(self.row) + 1)
    }
}

impl Cell {
    /// What stands in it, as a person sees it.
    pub fn shown(&self) -> String {
        let value = match &self.value {
            Value::Blank => String::new(),
            Value::Text(text) => text.trim().to_owned(),
            Value::Number(number, _) => number.to_string(),
            Value::Error(error) => error.clone(),
        };
        match &self.formula {
            Some(formula) if !formula.is_empty() => format!("={formula}"),
            _ => value,
        }
    }
}

/// A stored number as the shortest decimal that names it. Beyond the ninth decimal it is rounded half
/// away from zero; nothing where it is no number or too large.
pub(super) fn shortest(text: &str) -> Option<(Decimal, bool)> {
    // The file holds a binary fraction; what is parsed here is shown again by its shortest decimal, and
    // only that is reckoned with.
    let stored: f64 = text.trim().parse().ok()?;
    if !stored.is_finite() {
        return None;
    }
    let text = format!("{stored}");
    let (whole, part) = text.split_once('.').unwrap_or((&text, ""));
    if part.len() <= 9 {
        return text.parse().ok().map(|amount| (amount, false));
    }
    let cut: Decimal = format!("{whole}.{}", &part[..9]).parse().ok()?;
    let up = part.as_bytes()[9] >= b'5';
    let step = match (up, text.starts_with('-')) {
        (false, _) => 0,
        (true, false) => 1,
        (true, true) => -1,
    };
    Decimal::from_billionths(cut.billionths() + step).map(|amount| (amount, true))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_named_as_spreadsheets_do() {
        for name in ["A1", "C7", "Z26", "AA1", "GR2000"] {
            assert_eq!(Place::of(name).unwrap().to_string(), name);
        }
        assert_eq!(Place::of("$B$3").unwrap(), Place { row: 2, column: 1 });
        for wrong in ["", "7", "C", "C0", "ABCD1", "C7:D8", "é1"] {
            assert_eq!(Place::of(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn a_stored_fraction_is_the_shortest_decimal() {
        for (stored, amount, rounded) in [
            ("9.4499999999999993", "9.45", false),
            ("0.1", "0.1", false),
            ("1E3", "1000", false),
            ("9.4500000000000011", "9.45", true),
            ("0.0000000005", "0.000000001", true),
        ] {
            let read = shortest(stored).unwrap();
            assert_eq!((read.0.to_string().as_str(), read.1), (amount, rounded));
        }
        for none in ["", "NaN", "1e400", "1e300", "x"] {
            assert_eq!(shortest(none), None, "{none}");
        }
    }
}
