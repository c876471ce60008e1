//! Dimensioned drawings of the object: every flat sheet, and a section through the bound book.
//!
//! A drawing is lines, areas and words in millimetres at true size, and can be given as SVG, or be
//! shown in another way. It says everything by the kind of line and by words, and nothing by colour, so that it can be
//! photocopied.

mod dimension;
mod dressed;
mod key;
mod mark;
mod page;
mod section;
mod sheet;
mod shown;
mod svg;
mod whole;

use measure::{Length, Size};

use crate::model::Book;
use crate::object::Object;
use crate::plan::SheetPlan;
use mark::Mark;

pub use mark::Anchor;
pub use shown::{Point, Shown, clearing, start};

/// One drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// What it shows: `case wrap`, `section`.
    pub name: String,
    /// One sentence for those who cannot see it.
    pub described: String,
    size: (f64, f64),
    marks: Vec<Mark>,
}

impl Drawing {
    /// All drawings of a book: the section first, then each flat sheet.
    pub fn all(object: &Object) -> Vec<Self> {
        let letter = letter(object);
        let mut drawings = vec![section::section(&object.bound, letter)];
        for flat in &object.flats {
            drawings.push(sheet::sheet(flat, letter, Vec::new(), ""));
        }
        drawings
    }

    /// The same with the bar code and the finishings of each sheet, named where they stand.
    pub fn all_of(book: &Book, object: &Object, sheets: &[SheetPlan]) -> Vec<Self> {
        let letter = letter(object);
        let mut drawings = vec![section::section(&object.bound, letter)];
        for flat in &object.flats {
            let sheet = sheets.iter().find(|sheet| sheet.kind() == flat.kind);
            let marks = sheet.map(|sheet| dressed::marks(book, sheet, letter));
            let said = sheet.map(|sheet| dressed::described(book, sheet));
            drawings.push(sheet::sheet(
                flat,
                letter,
                marks.unwrap_or_default(),
                &said.unwrap_or_default(),
            ));
        }
        drawings
    }

    /// All drawings of a book on one sheet, with a title, a legend, and the list of what is given
    /// and what is typical.
    pub fn whole(book: &Book, object: &Object) -> Self {
        whole::whole(book, object, Self::all(object))
    }

    /// The same with the bar code and the finishings of each sheet.
    pub fn whole_of(book: &Book, object: &Object, sheets: &[SheetPlan]) -> Self {
        whole::whole(book, object, Self::all_of(book, object, sheets))
    }

    /// The same page by page, as it is printed: the section with the origins of all figures, then
    /// each flat sheet on a page of its own. The size of each drawing is that of its page, at most
    /// 5.08 m a side; what would be larger is drawn at a scale that the page says.
    pub fn pages_of(book: &Book, object: &Object, sheets: &[SheetPlan]) -> Vec<Self> {
        whole::pages(book, object, Self::all_of(book, object, sheets))
    }

    /// A small drawing of one sheet, to stand beside it in its press file: panels, folds, no-go
    /// places, the bar code, with their measures, and its name and scale above.
    pub fn key_of(sheet: &SheetPlan) -> Self {
        key::key(sheet)
    }

    /// All that it shows, from below, at true size.
    pub fn shown(&self) -> Vec<Shown<'_>> {
        shown::shown(self)
    }

    /// Size of the drawing at true scale.
    pub fn size(&self) -> Size {
        Size {
            width: Length::from_mm(self.size.0),
            height: Length::from_mm(self.size.1),
        }
    }

    /// The drawing as an SVG document at true size: one unit is a millimetre.
    pub fn svg(&self) -> String {
        svg::document(self)
    }

    /// The drawing as an `svg` element to stand in a page, as wide as its place.
    pub fn svg_element(&self) -> String {
        svg::element(self)
    }
}

impl Drawing {
    /// The drawing in another scale.
    fn scaled(self, by: f64) -> Self {
        Self {
            size: (self.size.0 * by, self.size.1 * by),
            marks: self.marks.into_iter().map(|mark| mark.scaled(by)).collect(),
            ..self
        }
    }
}

/// Height of the letters in millimetres: one for all drawings of a book, so that they read alike.
fn letter(object: &Object) -> f64 {
    let widest = object
        .flats
        .iter()
        .map(|flat| flat.printed().width.mm())
        .fold(150.0, f64::max);
    (widest / 68.0).clamp(2.4, 14.0)
}
