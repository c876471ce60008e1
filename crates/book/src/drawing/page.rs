//! A sheet of a drawing, filled from the top.

use super::Drawing;
use super::mark::{Anchor, Area, Line, Mark, Words, hatching, width_of};

/// A sheet that is filled from the top.
pub(super) struct Page {
    marks: Vec<Mark>,
    y: f64,
    margin: f64,
    width: f64,
    letter: f64,
}

impl Page {
    /// An empty one with room for so much beside its margins.
    pub(super) fn new(width: f64, letter: f64) -> Self {
        let margin = letter * 3.0;
        Self {
            marks: Vec::new(),
            y: margin,
            margin,
            width,
            letter,
        }
    }

    /// What stands on it as one drawing.
    pub(super) fn done(self, name: String, described: String) -> Drawing {
        Drawing {
            name,
            described,
            size: (self.width + self.margin * 2.0, self.y + self.margin),
            marks: self.marks,
        }
    }

    pub(super) fn gap(&mut self, lines: f64) {
        self.y += self.letter * lines;
    }

    pub(super) fn line(&mut self, text: &str, size: f64, strong: bool) {
        // What does not fit on a line is set smaller; a title may be as long as it likes.
        let size = size * (self.width / width_of(text, size).max(1e-6)).min(1.0);
        self.y += size * 1.1;
        self.marks.push(Mark::Words(Words {
            at: (self.margin, self.y),
            text: text.to_owned(),
            size,
            anchor: Anchor::Start,
            turned: false,
            strong,
            cleared: false,
        }));
        self.y += size * 0.4;
    }

    pub(super) fn paragraph(&mut self, text: &str) {
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

    pub(super) fn put(&mut self, drawing: Drawing) {
        for mark in drawing.marks {
            self.marks.push(mark.moved(self.margin, self.y));
        }
        self.y += drawing.size.1;
    }

    /// What each kind of line means.
    pub(super) fn legend(&mut self) {
        let letter = self.letter;
        let long = letter * 4.0;
        let middle = self.y + letter * 0.6;
        let mut x = self.margin;
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

    /// A line by which a print is held against a ruler.
    pub(super) fn ruler(&mut self, long: f64, scale: u32) {
        let letter = self.letter;
        let middle = self.y + letter * 0.6;
        let (from, to) = (self.margin, self.margin + long * f64::from(scale));
        self.marks
            .push(Mark::stroke(Line::Edge, [(from, middle), (to, middle)]));
        for x in [from, to] {
            let tick = [(x, middle - letter * 0.5), (x, middle + letter * 0.5)];
            self.marks.push(Mark::stroke(Line::Edge, tick));
        }
        self.marks.push(Mark::words(
            (to + letter * 0.8, middle + letter * 0.35),
            format!("{long} mm on paper"),
            letter,
            Anchor::Start,
        ));
        self.y += letter * 1.4;
    }
}
