//! Dimensioned drawings of the object: every flat sheet, and a section through the bound book.
//!
//! A drawing is lines, areas and words in millimetres at true size, and can be given as SVG. It
//! says everything by the kind of line and by words, and nothing by colour, so that it can be
//! photocopied.

mod dimension;
mod dressed;
mod mark;
mod section;
mod sheet;
mod svg;
mod whole;

use measure::{Length, Size};

use crate::model::Book;
use crate::object::Object;
use crate::plan::SheetPlan;
use mark::Mark;

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

/// Height of the letters in millimetres: one for all drawings of a book, so that they read alike.
fn letter(object: &Object) -> f64 {
    let widest = object
        .flats
        .iter()
        .map(|flat| flat.printed().width.mm())
        .fold(150.0, f64::max);
    (widest / 68.0).clamp(2.4, 14.0)
}
