//! Where in a sheet what was asked stands: by the names of cells, and by the words beside them. Words
//! move with what they stand beside; names move with cells only in some programs. Where the two do not
//! agree, the words are believed, and it is told.

use super::form::{self, Row};
use super::grid::{Grid, Page, Place};

/// A place that was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Found {
    pub place: Place,
    /// What is not as it was sent, as a sentence without its full stop.
    pub moved: Option<String>,
}

/// A page and what its words are.
pub(super) struct Finder<'g> {
    pub page: &'g Page,
    index: usize,
    grid: &'g Grid,
}

/// The page that has most of the words.
pub(super) fn page(grid: &Grid) -> Option<usize> {
    let words = |page: &Page| {
        form::ROWS
            .iter()
            .filter(|row| label(page, row.words).is_some())
            .count()
    };
    let named = |index: usize| {
        grid.names
            .iter()
            .filter(|(name, (page, _))| {
                *page == index && form::ROWS.iter().any(|row| name.starts_with(row.name))
            })
            .count()
    };
    let best = (0..grid.pages.len())
        .map(|index| (words(&grid.pages[index]).max(named(index)), index))
        .max_by_key(|(found, index)| (*found, std::cmp::Reverse(*index)))?;
    (best.0 >= 3).then_some(best.1)
}

/// How many of the words have something beside them.
pub(super) fn filled(page: &Page) -> usize {
    form::ROWS
        .iter()
        .filter_map(|row| label(page, row.words))
        .filter(|place| page.cell(page.beside(*place)).is_some())
        .count()
}

/// Where words stand; the first of several places.
fn label(page: &Page, words: &str) -> Option<Place> {
    let bare = form::bare(words);
    page.cells
        .keys()
        .find(|place| {
            page.text(**place)
                .is_some_and(|text| form::bare(text) == bare)
        })
        .copied()
}

impl<'g> Finder<'g> {
    pub fn new(grid: &'g Grid, index: usize) -> Self {
        Self {
            page: &grid.pages[index],
            index,
            grid,
        }
    }

    /// The place of a cell's name, if it is on this page.
    pub fn named(&self, name: &str) -> Option<Place> {
        let (page, place) = self.grid.names.get(name)?;
        (*page == self.index).then_some(*place)
    }

    /// Where words stand.
    pub fn words(&self, words: &str) -> Option<Place> {
        label(self.page, words)
    }

    /// Something that is asked once.
    pub fn single(&self, row: Row) -> Option<Found> {
        let by_words = self.words(row.words).map(|place| self.page.beside(place));
        self.agreed(row.name, by_words)
    }

    /// A place by its words, held against its name.
    pub fn agreed(&self, name: &str, by_words: Option<Place>) -> Option<Found> {
        let moved = match (by_words, self.named(name)) {
            (Some(words), Some(named)) if words != named => Some(format!(
                "this was asked in cell {named}, and its words now stand beside cell {words}"
            )),
            (None, Some(_)) => {
                Some("the words beside this cell are not those that were sent".to_owned())
            }
            _ => None,
        };
        let place = by_words.or_else(|| self.named(name))?;
        Some(Found { place, moved })
    }

    /// Cells of a row that are not empty, right of its words.
    pub fn filled_right(&self, place: Place) -> Vec<Place> {
        let cells = self.page.cells.range(place.right(1)..place.below(1));
        cells
            .map(|(found, _)| *found)
            .filter(|found| found.row == place.row && self.page.cell(*found).is_some())
            .collect()
    }

    /// Whether the file knows no numbers, only text.
    pub fn is_table(&self) -> bool {
        self.page.name.is_empty() && self.grid.names.is_empty()
    }

    /// Places of a row's cells by their names: number and place.
    pub fn numbered(&self, row: Row) -> Vec<(usize, Place)> {
        (1..=form::MOST_NUMBERED)
            .filter_map(|number| Some((number, self.named(&row.numbered(number))?)))
            .collect()
    }
}
