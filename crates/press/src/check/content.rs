//! Page contents interpreted onto the plates.

mod colour;
mod paint;
mod pattern;
mod picture;
mod state;
mod words;

use std::collections::HashSet;
use std::sync::Arc;

use super::document::Document;
use super::filter;
use super::font::Font;
use super::ink::{Estimate, Inks};
use super::lexer::{Item, Lexer};
use super::object::{Dict, Obj, Stream};
use super::plates::Plates;
use super::raster::{Budget, Clip, Matrix, Path, Window};
use super::seen::Seen;
use state::State;

/// Deepest nesting of forms, patterns and drawn letters.
const DEEPEST: u32 = 16;
/// Deepest nesting of saved states.
const MOST_STATES: usize = 128;
/// Most operands kept for one operator.
const MOST_OPERANDS: usize = 64;
/// Largest contents of one page or form.
pub(super) const LARGEST_CONTENT: usize = 128 << 20;
/// What an operator costs of the work allowed.
const COST_OF_OPERATOR: u64 = 200;
/// What looking something up in the resources costs.
const COST_OF_LOOKUP: u64 = 2_000;
/// What beginning a form, a pattern or a drawn letter costs, beside its length.
const COST_OF_RUN: u64 = 5_000;

/// Reads contents onto plates.
pub(super) struct Interpreter<'a> {
    pub(super) document: &'a Document<'a>,
    pub(super) estimate: &'a Estimate,
    /// Optional content that the file switches off, by object number.
    pub(super) hidden: &'a HashSet<u32>,
    pub(super) budget: &'a Budget,
    pub(super) inks: Inks,
    /// `None` when ink is not asked for.
    pub(super) plates: Option<Plates>,
    pub(super) seen: Seen,
    pub(super) cells_per_inch: f64,
    /// Places where no words may stand, in the order of what is expected.
    pub(super) no_go: Vec<Window>,
    /// Numbers of the forms that are being drawn, against loops.
    pub(super) open_forms: Vec<u32>,
    pub(super) fonts: Vec<(FontKey, Arc<Font>)>,
}

/// What a font is known by while a page is read.
type FontKey = (Option<u32>, String, usize);

/// What one stretch of contents is read with.
struct Run<'r> {
    resources: &'r Arc<Dict>,
    /// Where its coordinates began, for patterns.
    base: Matrix,
    depth: u32,
    /// Colour operators are ignored in uncoloured patterns and in drawn letters that say so.
    colourless: bool,
}

/// What changes from operator to operator but is no part of the saved state.
struct Moment {
    path: Path,
    /// Where the path was begun and where it is, in the user's own units.
    start: [f64; 2],
    pen: [f64; 2],
    clip_next: Option<bool>,
    /// For each open mark, whether it hides what is in it.
    marks: Vec<bool>,
    line: Matrix,
    letter: Matrix,
    /// Outlines of text that is to clip.
    text_clip: Path,
}

impl<'a> Interpreter<'a> {
    /// Reads a page's contents. `matrix` takes its units to cells.
    pub(super) fn page(
        &mut self,
        content: &[u8],
        resources: &Arc<Dict>,
        matrix: Matrix,
        clip: Clip,
    ) {
        let run = Run {
            resources,
            base: matrix,
            depth: DEEPEST,
            colourless: false,
        };
        self.run(content, &run, State::new(matrix, clip));
    }

    fn run(&mut self, content: &[u8], run: &Run<'_>, first: State) {
        if !self.budget.take(content.len() as u64 + COST_OF_RUN) {
            self.seen.too_heavy = true;
            return;
        }
        let mut state = first;
        let mut saved: Vec<State> = Vec::new();
        // States that were saved beyond the deepest nesting, and are not kept.
        let mut lost = 0_usize;
        let mut moment = Moment {
            path: Path::default(),
            start: [0.0; 2],
            pen: [0.0; 2],
            clip_next: None,
            marks: Vec::new(),
            line: Matrix::IDENTITY,
            letter: Matrix::IDENTITY,
            text_clip: Path::default(),
        };
        let mut operands: Vec<Obj> = Vec::new();
        let mut lexer = Lexer::content(content);
        while let Some(item) = lexer.item() {
            let word = match item {
                Item::Value(value) => {
                    if operands.len() < MOST_OPERANDS {
                        operands.push(value);
                    }
                    continue;
                }
                Item::Word(word) => word,
            };
            let cost = match word {
                b"gs" | b"Do" | b"Tf" | b"cs" | b"CS" | b"BDC" => COST_OF_LOOKUP,
                _ => COST_OF_OPERATOR,
            };
            if !self.budget.take(cost) {
                self.seen.too_heavy = true;
                return;
            }
            match word {
                b"q" if saved.len() < MOST_STATES => saved.push(state.clone()),
                b"q" => lost += 1,
                b"Q" if lost > 0 => lost -= 1,
                b"Q" => {
                    if let Some(before) = saved.pop() {
                        state = before;
                    }
                }
                b"BI" => self.inline_image(&mut lexer, content, &state, &moment, run),
                word => self.operator(word, &operands, &mut state, &mut moment, run),
            }
            operands.clear();
        }
    }

    fn operator(
        &mut self,
        word: &[u8],
        operands: &[Obj],
        state: &mut State,
        moment: &mut Moment,
        run: &Run<'_>,
    ) {
        let numbers: Vec<f64> = operands.iter().filter_map(Obj::num).collect();
        let numbers = numbers.as_slice();
        let first_name = operands.first().and_then(Obj::name);
        match (word, numbers) {
            (b"cm", numbers) => {
                if let Some(matrix) = Matrix::from_numbers(numbers) {
                    state.matrix = matrix.then(state.matrix);
                }
            }
            (b"w", &[width]) => state.line_width = width.abs(),
            (b"J", &[cap]) => state.square_caps = cap >= 1.0,
            (b"d", numbers) => self.set_dashes(operands, numbers, state),
            (b"gs", _) => {
                if let Some(name) = first_name {
                    self.set_graphics_state(name, state, run);
                }
            }
            (b"m", &[x, y]) => {
                moment.path.move_to(state.matrix.apply([x, y]));
                (moment.start, moment.pen) = ([x, y], [x, y]);
            }
            (b"l", &[x, y]) => {
                moment.path.line_to(state.matrix.apply([x, y]));
                moment.pen = [x, y];
            }
            (b"c", &[a, b, c, d, x, y]) => curve(moment, state, [a, b], [c, d], [x, y]),
            (b"v", &[c, d, x, y]) => curve(moment, state, moment.pen, [c, d], [x, y]),
            (b"y", &[a, b, x, y]) => curve(moment, state, [a, b], [x, y], [x, y]),
            (b"h", _) => {
                moment.path.close();
                moment.pen = moment.start;
            }
            (b"re", &[x, y, width, height]) => {
                moment.path.rectangle(state.matrix, [x, y, width, height]);
                (moment.start, moment.pen) = ([x, y], [x, y]);
            }
            (b"W", _) => moment.clip_next = Some(false),
            (b"W*", _) => moment.clip_next = Some(true),
            (b"n", _) => self.end_path(state, moment),
            (b"f" | b"F", _) => self.paint_path(state, moment, run, Some(false), false),
            (b"f*", _) => self.paint_path(state, moment, run, Some(true), false),
            (b"S", _) => self.paint_path(state, moment, run, None, true),
            (b"s", _) => {
                moment.path.close();
                self.paint_path(state, moment, run, None, true);
            }
            (b"B", _) => self.paint_path(state, moment, run, Some(false), true),
            (b"B*", _) => self.paint_path(state, moment, run, Some(true), true),
            (b"b", _) => {
                moment.path.close();
                self.paint_path(state, moment, run, Some(false), true);
            }
            (b"b*", _) => {
                moment.path.close();
                self.paint_path(state, moment, run, Some(true), true);
            }
            (b"Do", _) => {
                if let Some(name) = first_name {
                    self.draw_object(name, state, moment, run);
                }
            }
            (b"sh", _) => {
                if let Some(name) = first_name
                    && !hides(moment)
                {
                    self.fill_with_shading(name, state, run);
                }
            }
            (b"BMC", _) => moment.marks.push(false),
            (b"BDC", _) => {
                let hidden = first_name == Some("OC") && self.is_hidden_mark(operands.get(1), run);
                moment.marks.push(hidden);
            }
            (b"EMC", _) => {
                moment.marks.pop();
            }
            (b"d1", _) => {}
            _ => {
                if !run.colourless && self.colour_operator(word, operands, numbers, state, run) {
                    return;
                }
                self.text_operator(word, operands, numbers, state, moment, run);
            }
        }
        moment.marks.truncate(10_000);
    }

    fn set_dashes(&self, operands: &[Obj], numbers: &[f64], state: &mut State) {
        let dashes: Vec<f64> = operands
            .first()
            .and_then(Obj::array)
            .unwrap_or_default()
            .iter()
            .filter_map(Obj::num)
            .map(f64::abs)
            .take(32)
            .collect();
        state.dashes = if dashes.iter().sum::<f64>() > 0.0 {
            dashes
        } else {
            Vec::new()
        };
        state.dash_phase = numbers.last().copied().unwrap_or(0.0);
    }

    /// Whether optional content named in a mark is switched off.
    fn is_hidden_mark(&mut self, name: Option<&Obj>, run: &Run<'_>) -> bool {
        let properties = self.document.get_dict(run.resources, "Properties");
        let Some(content) = name
            .and_then(Obj::name)
            .and_then(|name| properties.raw(name))
        else {
            return false;
        };
        self.is_hidden(content)
    }

    /// Whether optional content is switched off: a group itself, or all groups of a membership.
    pub(super) fn is_hidden(&mut self, content: &Obj) -> bool {
        if self.hidden.is_empty() {
            return false;
        }
        let off = |value: &Obj| matches!(value, Obj::Ref(number) if self.hidden.contains(number));
        let members = match self
            .document
            .resolve(content)
            .dict()
            .and_then(|d| d.raw("OCGs"))
        {
            Some(Obj::Array(groups)) => !groups.is_empty() && groups.iter().all(off),
            Some(group) => {
                off(group)
                    || matches!(self.document.resolve(group), Obj::Array(groups)
                        if !groups.is_empty() && groups.iter().all(off))
            }
            None => false,
        };
        let hidden = off(content) || members;
        self.seen.hidden_layers |= hidden;
        hidden
    }

    fn draw_object(&mut self, name: &str, state: &State, moment: &Moment, run: &Run<'_>) {
        let objects = self.document.get_dict(run.resources, "XObject");
        let Some(stream) = self.document.get(&objects, name).stream().cloned() else {
            return;
        };
        self.note_stream(&stream);
        if stream.dict.has("OPI") {
            self.seen.old_links = true;
        }
        let hidden = hides(moment)
            || stream
                .dict
                .raw("OC")
                .cloned()
                .is_some_and(|content| self.is_hidden(&content));
        if hidden {
            return;
        }
        match self.document.get(&stream.dict, "Subtype").name() {
            Some("Image") => self.draw_image(&stream, state, run),
            Some("Form") => self.draw_form(&stream, state, run),
            Some("PS") => self.seen.postscript = true,
            _ => {}
        }
    }

    /// Remarks on how a stream is stored.
    fn note_stream(&mut self, stream: &Stream) {
        let filters = filter::filters(self.document, &stream.dict);
        self.seen.lzw |= filters
            .iter()
            .any(|(name, _)| matches!(&**name, "LZWDecode" | "LZW"));
        // Under `F` stands a file outside, unless it is the short form of a filter's name.
        self.seen.outside_data |= matches!(
            self.document.get(&stream.dict, "F"),
            Obj::Str(_) | Obj::Dict(_)
        );
    }

    fn draw_form(&mut self, stream: &Arc<Stream>, state: &State, run: &Run<'_>) {
        let Some(depth) = run.depth.checked_sub(1) else {
            self.seen.damaged = true;
            return;
        };
        if stream.id.is_some_and(|id| self.open_forms.contains(&id)) {
            self.seen.damaged = true;
            return;
        }
        let dict = &stream.dict;
        if self.document.get(dict, "Subtype2").name() == Some("PS") || dict.has("PS") {
            self.seen.postscript = true;
        }
        self.seen.reference |= dict.has("Ref");
        let mut inner = state.clone();
        let matrix = self.document.get_numbers(dict, "Matrix");
        if let Some(matrix) = matrix.and_then(|numbers| Matrix::from_numbers(&numbers)) {
            inner.matrix = matrix.then(inner.matrix);
        }
        if let Some(&[x0, y0, x1, y1]) = self.document.get_numbers(dict, "BBox").as_deref() {
            let mut frame = Path::default();
            frame.rectangle(inner.matrix, [x0, y0, x1 - x0, y1 - y0]);
            inner.clip.narrow(&frame, false, self.budget);
        }
        if inner.clip.window().is_empty() && self.plates.is_some() {
            return;
        }
        // What the form as a whole is drawn with stays in force inside.
        inner.enter_group();
        let resources = match self.document.get(dict, "Resources") {
            Obj::Dict(resources) => resources,
            _ => Arc::clone(run.resources),
        };
        let content = filter::decode(self.document, stream, LARGEST_CONTENT);
        self.seen.damaged |= content.damaged || content.cut;
        self.open_forms.extend(stream.id);
        let inner_run = Run {
            resources: &resources,
            base: inner.matrix,
            depth,
            colourless: run.colourless,
        };
        self.run(&content.bytes, &inner_run, inner);
        if stream.id.is_some() {
            self.open_forms.pop();
        }
    }
}

fn curve(moment: &mut Moment, state: &State, one: [f64; 2], two: [f64; 2], to: [f64; 2]) {
    let matrix = state.matrix;
    moment
        .path
        .curve_to(matrix.apply(one), matrix.apply(two), matrix.apply(to));
    moment.pen = to;
}

/// Whether what is drawn now belongs to content that is switched off.
fn hides(moment: &Moment) -> bool {
    moment.marks.iter().any(|&hidden| hidden)
}
