//! All drawings of a book on one sheet.

use super::mark::{Anchor, Area, Line, Mark, Words, hatching, width_of};
use super::sheet::capital;
use super::{Drawing, letter};
use crate::model::{BindingKind, Book};
use crate::object::{Basis, Object};

/// Title, section, every flat sheet, legend, and what is given and what is typical.
pub(super) fn whole(book: &Book, object: &Object, drawings: Vec<Drawing>) -> Drawing {
    let letter = letter(object);
    let margin = letter * 3.0;
    let width = drawings
        .iter()
        .map(|drawing| drawing.size.0)
        .fold(letter * 60.0, f64::max);
    let mut page = Page {
        marks: Vec::new(),
        y: margin,
        x: margin,
        width,
        letter,
    };
    page.line(&book.about.title, letter * 2.2, true);
    page.paragraph(&summary(book, object));
    page.paragraph(
        "Measures in millimetres, sheets at true size, printed side up. Grain parallel to the spine.",
    );
    page.gap(1.0);
    page.legend();
    for drawing in drawings {
        page.gap(2.0);
        let count = object
            .flats
            .iter()
            .find(|flat| flat.name() == drawing.name)
            .map_or(1, |flat| flat.count);
        let times = if count > 1 {
            format!(" ({count} of them)")
        } else {
            String::new()
        };
        page.line(
            &format!("{}{times}", capital(&drawing.name)),
            letter * 1.5,
            true,
        );
        page.gap(0.5);
        page.put(drawing);
    }
    page.gap(2.0);
    page.line("Figures", letter * 1.5, true);
    for basis in [Basis::Given, Basis::Typical] {
        page.gap(0.4);
        page.paragraph(&figures(object, basis));
    }
    for ask in &object.asks {
        page.gap(0.4);
        page.paragraph(ask);
    }
    Drawing {
        name: format!("{}: the object", book.about.title),
        described: summary(book, object),
        size: (width + margin * 2.0, page.y + margin),
        marks: page.marks,
    }
}

fn summary(book: &Book, object: &Object) -> String {
    let spine = if book.binding.kind == BindingKind::WireStitched {
        "no spine".to_owned()
    } else {
        format!("spine {:.2} mm", object.spine_mm())
    };
    format!(
        "{}, trimmed page {}, {} pages, block {:.2} mm, {spine}, one copy about {}.",
        capital(book.binding.kind.word()),
        book.format.trim,
        object.pages,
        object.block_mm(),
        object.copy
    )
}

/// `Typical: square 3 mm, …`
fn figures(object: &Object, basis: Basis) -> String {
    let all: Vec<String> = object
        .parts
        .iter()
        .flat_map(|part| part.dimensions.iter().map(move |one| (part, one)))
        .filter(|(_, one)| one.basis == basis)
        .map(|(part, one)| format!("{} ({}) {}", one.name.to_lowercase(), part.name, one.shown))
        .collect();
    let what = match basis {
        Basis::Given => "Given",
        Basis::Typical => "Typical, until printer and bindery say otherwise",
        Basis::Reckoned => "Reckoned",
    };
    if all.is_empty() {
        format!("{what}: none.")
    } else {
        format!("{what}: {}.", all.join("; "))
    }
}

/// A sheet that is filled from the top.
struct Page {
    marks: Vec<Mark>,
    y: f64,
    x: f64,
    width: f64,
    letter: f64,
}

impl Page {
    fn gap(&mut self, lines: f64) {
        self.y += self.letter * lines;
    }

    fn line(&mut self, text: &str, size: f64, strong: bool) {
        // What does not fit on a line is set smaller; a title may be as long as it likes.
        let size = size * (self.width / width_of(text, size).max(1e-6)).min(1.0);
        self.y += size * 1.1;
        self.marks.push(Mark::Words(Words {
            at: (self.x, self.y),
            text: text.to_owned(),
            size,
            anchor: Anchor::Start,
            turned: false,
            strong,
            cleared: false,
        }));
        self.y += size * 0.4;
    }

    fn paragraph(&mut self, text: &str) {
        let mut line = String::new();
        for word in text.split_whitespace() {
            let longer = width_of(&line, self.letter) + width_of(word, self.letter) + self.letter;
            if longer > self.width && !line.is_empty() {
                let done = std::mem::take(&mut line);
                self.line(&done, self.letter, false);
            }
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        }
        self.line(&line, self.letter, false);
    }

    fn put(&mut self, drawing: Drawing) {
        for mark in drawing.marks {
            self.marks.push(mark.moved(self.x, self.y));
        }
        self.y += drawing.size.1;
    }

    /// What each kind of line means.
    fn legend(&mut self) {
        let letter = self.letter;
        let long = letter * 4.0;
        let middle = self.y + letter * 0.6;
        let mut x = self.x;
        let entries = [
            ("cut", Some(Line::Trim)),
            ("fold", Some(Line::Fold)),
            ("bleed", Some(Line::Bleed)),
            ("no words, no faces", None),
        ];
        for (words, line) in entries {
            match line {
                Some(line) => self
                    .marks
                    .push(Mark::stroke(line, [(x, middle), (x + long, middle)])),
                None => {
                    let rect = (x, self.y, long, letter * 1.2);
                    self.marks.push(Mark::area(Area::Paper, rect, None));
                    self.marks.extend(hatching(rect, letter * 0.55));
                }
            }
            self.marks.push(Mark::words(
                (x + long + letter * 0.6, middle + letter * 0.35),
                words,
                letter,
                Anchor::Start,
            ));
            x += long + letter * 2.6 + width_of(words, letter);
        }
        self.y += letter * 1.4;
    }
}
