//! Text.

use std::sync::Arc;

use super::state::{Side, State};
use super::{FontKey, Interpreter, LARGEST_CONTENT, Moment, Run, hides};
use crate::check::filter;
use crate::check::font::{EM, Font, Home};
use crate::check::object::Obj;
use crate::check::plates::Meeting;
use crate::check::raster::{Mask, Matrix, Path};

/// Type up to this size in several inks shows the least misregister (common practice, no source).
const SMALL_TYPE: f64 = 12.0;
/// Inks below this amount do not count as inks of small type.
const FAINT: u8 = 13;
/// Letters that cannot be drawn stand as boxes this high, in ems.
const BOX_HEIGHT: f64 = 0.7;
/// Most fonts kept for one page.
const MOST_FONTS: usize = 64;

impl Interpreter<'_> {
    pub(super) fn text_operator(
        &mut self,
        word: &[u8],
        operands: &[Obj],
        numbers: &[f64],
        state: &mut State,
        moment: &mut Moment,
        run: &Run<'_>,
    ) {
        match (word, numbers) {
            (b"BT", _) => {
                moment.line = Matrix::IDENTITY;
                moment.letter = Matrix::IDENTITY;
            }
            (b"ET", _) if !moment.text_clip.is_empty() => {
                let path = std::mem::take(&mut moment.text_clip);
                state.clip.narrow(&path, false, self.budget);
            }
            (b"Tc", &[value]) => state.letter_space = value,
            (b"Tw", &[value]) => state.word_space = value,
            (b"Tz", &[value]) => state.stretch = value / 100.0,
            (b"TL", &[value]) => state.leading = value,
            (b"Ts", &[value]) => state.rise = value,
            (b"Tr", &[value]) => state.text_mode = value as i64,
            (b"Tf", &[size]) => {
                if let Some(name) = operands.first().and_then(Obj::name) {
                    let fonts = self.document.get_dict(run.resources, "Font");
                    let font = fonts.raw(name).cloned().unwrap_or(Obj::Null);
                    self.set_font(&font, name, size, state);
                }
            }
            (b"Td", &[x, y]) => next_line(moment, x, y),
            (b"TD", &[x, y]) => {
                state.leading = -y;
                next_line(moment, x, y);
            }
            (b"Tm", numbers) => {
                if let Some(matrix) = Matrix::from_numbers(numbers) {
                    moment.line = matrix;
                    moment.letter = matrix;
                }
            }
            (b"T*", _) => next_line(moment, 0.0, -state.leading),
            (b"Tj", _) => self.show(operands.first(), state, moment, run),
            (b"'", _) => {
                next_line(moment, 0.0, -state.leading);
                self.show(operands.first(), state, moment, run);
            }
            (b"\"", numbers) => {
                if let &[word_space, letter_space] = numbers {
                    state.word_space = word_space;
                    state.letter_space = letter_space;
                }
                next_line(moment, 0.0, -state.leading);
                self.show(operands.last(), state, moment, run);
            }
            (b"TJ", _) => {
                let items = operands.first().and_then(Obj::array).unwrap_or_default();
                for item in items {
                    match item.num() {
                        Some(back) => {
                            let shift = -back / 1000.0 * state.font_size;
                            advance(moment, state, shift);
                        }
                        None => self.show(Some(item), state, moment, run),
                    }
                }
            }
            _ => {}
        }
    }

    pub(super) fn set_font(&mut self, value: &Obj, name: &str, size: f64, state: &mut State) {
        state.font_size = size;
        let id = match value {
            Obj::Ref(number) => Some(*number),
            _ => None,
        };
        let resolved = self.document.resolve(value);
        let Some(dict) = resolved.dict() else {
            state.font = None;
            return;
        };
        // Fonts that stand in the resources themselves are told apart by name and size of entry.
        let key: FontKey = (
            id,
            if id.is_some() {
                String::new()
            } else {
                name.to_owned()
            },
            dict.0.len(),
        );
        if let Some((_, font)) = self.fonts.iter().find(|(known, _)| *known == key)
            && (id.is_some() || font.name == plain(self.document, dict))
        {
            state.font = Some(Arc::clone(font));
            return;
        }
        #[expect(
            clippy::arc_with_non_send_sync,
            reason = "shared within the reading of one page"
        )]
        let font = Arc::new(Font::read(self.document, dict));
        if !self.budget.take(font.cost()) {
            self.seen.too_heavy = true;
        }
        if self.fonts.len() >= MOST_FONTS {
            self.fonts.remove(0);
        }
        self.fonts.push((key, Arc::clone(&font)));
        state.font = Some(font);
    }

    fn show(&mut self, text: Option<&Obj>, state: &State, moment: &mut Moment, run: &Run<'_>) {
        let (Some(text), Some(font)) = (text.and_then(Obj::str), state.font.clone()) else {
            return;
        };
        let visible = !hides(moment) && state.text_mode != 3;
        if visible {
            self.note_font(&font, state, moment);
        }
        let mut rest = text;
        while let Some(letter) = font.letter(rest) {
            if !self.budget.take(20) {
                self.seen.too_heavy = true;
                return;
            }
            let bytes = &rest[..letter.bytes.min(rest.len())];
            rest = &rest[bytes.len()..];
            if visible {
                self.draw_letter(&font, letter.code, letter.width, state, moment, run);
            }
            let mut shift = letter.width * state.font_size + state.letter_space;
            if bytes == b" " {
                shift += state.word_space;
            }
            if font.vertical {
                // Down the page, one em a letter unless the face says otherwise.
                let down = -(state.font_size + state.letter_space);
                moment.letter = Matrix([1.0, 0.0, 0.0, 1.0, 0.0, down]).then(moment.letter);
            } else {
                advance(moment, state, shift);
            }
        }
    }

    /// From an em square of side 1 to cells.
    fn em_matrix(state: &State, moment: &Moment) -> Matrix {
        Matrix([
            state.font_size * state.stretch,
            0.0,
            0.0,
            state.font_size,
            0.0,
            state.rise,
        ])
        .then(moment.letter)
        .then(state.matrix)
    }

    fn draw_letter(
        &mut self,
        font: &Font,
        code: u32,
        width: f64,
        state: &State,
        moment: &mut Moment,
        run: &Run<'_>,
    ) {
        let matrix = Self::em_matrix(state, moment);
        if font.home == Home::Drawn {
            self.draw_drawn(font, code, matrix, state, run);
            return;
        }
        if self.plates.is_none() {
            return;
        }
        let (fills, strokes) = (
            matches!(state.text_mode, 0 | 2 | 4 | 6),
            matches!(state.text_mode, 1 | 2 | 5 | 6),
        );
        let mut path = Path::default();
        let Some(outline) = font.outline(code) else {
            self.seen.approximate.insert("letters, taken as boxes");
            path.rectangle(matrix, [0.0, 0.0, width, BOX_HEIGHT]);
            // A box must not hide the ink between the strokes of the real letter.
            let mut boxed = state.clone();
            if boxed.around == Meeting::Opaque {
                boxed.around = Meeting::AtMost;
            }
            let mask = path.fill(false, &boxed.clip, self.budget);
            self.note_misplaced(&mask);
            self.lay(mask, &boxed, Side::Fill, run);
            return;
        };
        let scale = 1.0 / EM;
        path.append(
            &outline,
            Matrix([scale, 0.0, 0.0, scale, 0.0, 0.0]).then(matrix),
        );
        if path.is_empty() {
            return;
        }
        if fills {
            let mask = path.fill(false, &state.clip, self.budget);
            self.note_misplaced(&mask);
            self.lay(mask, state, Side::Fill, run);
        }
        if strokes {
            self.stroke(&path, state, run);
        }
        if state.text_mode >= 4 {
            moment.text_clip.append(&path, Matrix::IDENTITY);
        }
    }

    /// Counts a letter that reaches into a place where no words may stand.
    fn note_misplaced(&mut self, letter: &Mask) {
        for (index, place) in self.no_go.iter().enumerate() {
            let shared = letter.window.shared(*place);
            let reaches = !shared.is_empty()
                && (shared.top..shared.bottom).any(|y| {
                    let left = letter.window.left;
                    letter.row(y)[shared.left - left..shared.right - left]
                        .iter()
                        .any(|&cell| cell > 0)
                });
            if reaches {
                *self.seen.misplaced.entry(index).or_default() += 1;
            }
        }
    }

    /// Runs the drawing of a letter.
    fn draw_drawn(&mut self, font: &Font, code: u32, matrix: Matrix, state: &State, run: &Run<'_>) {
        let Some((drawn, stream)) = font.drawing(code) else {
            return;
        };
        let Some(depth) = run.depth.checked_sub(1) else {
            self.seen.damaged = true;
            return;
        };
        let content = filter::decode(self.document, stream, LARGEST_CONTENT);
        let mut inner = state.clone();
        inner.matrix = drawn.matrix.then(matrix);
        let resources = drawn
            .resources
            .clone()
            .unwrap_or_else(|| Arc::clone(run.resources));
        // A drawing that begins with d1 takes its colour from the text.
        let colourless =
            memchr::memmem::find(&content.bytes[..content.bytes.len().min(200)], b" d1").is_some();
        let inner_run = Run {
            resources: &resources,
            base: inner.matrix,
            depth,
            colourless,
        };
        self.run(&content.bytes, &inner_run, inner);
    }

    fn note_font(&mut self, font: &Font, state: &State, moment: &Moment) {
        if !self.seen.fonts.contains_key(&font.name) && self.seen.fonts.len() < 200 {
            self.seen.fonts.insert(font.name.clone(), font.home);
        }
        if !matches!(state.text_mode, 0 | 2 | 4 | 6) {
            return;
        }
        self.note_paint(state, Side::Fill);
        let paint = &state.fill;
        if paint.pattern.is_some() || font.home == Home::Drawn {
            return;
        }
        let inks = paint
            .colour
            .amounts
            .iter()
            .filter(|&&amount| amount >= FAINT)
            .count() as u32;
        let size = Self::em_matrix(state, moment).scale() / self.cells_per_inch * 72.0;
        if inks >= 3 && size <= SMALL_TYPE {
            let smallest = self.seen.small_type.map_or(f64::INFINITY, |(size, _)| size);
            if size < smallest {
                self.seen.small_type = Some((size, inks));
            }
        }
    }
}

fn plain(
    document: &crate::check::document::Document<'_>,
    dict: &crate::check::object::Dict,
) -> String {
    let name = document.get(dict, "BaseFont");
    let name = name.name().unwrap_or("without a name");
    match name.split_once('+') {
        Some((tag, rest)) if tag.len() == 6 => rest.to_owned(),
        _ => name.to_owned(),
    }
}

fn next_line(moment: &mut Moment, x: f64, y: f64) {
    moment.line = Matrix([1.0, 0.0, 0.0, 1.0, x, y]).then(moment.line);
    moment.letter = moment.line;
}

fn advance(moment: &mut Moment, state: &State, by: f64) {
    moment.letter = Matrix([1.0, 0.0, 0.0, 1.0, by * state.stretch, 0.0]).then(moment.letter);
}
