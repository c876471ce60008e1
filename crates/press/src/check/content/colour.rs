//! Operators that choose colours, and graphics state dictionaries.

use std::sync::Arc;

use super::state::{Paint, Side, State};
use super::{Interpreter, Run};
use crate::check::ink::Colour;
use crate::check::object::Obj;
use crate::check::plates::Meeting;
use crate::check::space::Space;

impl Interpreter<'_> {
    /// Handles an operator that sets a colour; `false` when it is none.
    pub(super) fn colour_operator(
        &mut self,
        word: &[u8],
        operands: &[Obj],
        numbers: &[f64],
        state: &mut State,
        run: &Run<'_>,
    ) -> bool {
        let (side, space) = match word {
            b"g" => (Side::Fill, Space::Grey),
            b"G" => (Side::Stroke, Space::Grey),
            b"rg" => (Side::Fill, self.device("DeviceRGB", run)),
            b"RG" => (Side::Stroke, self.device("DeviceRGB", run)),
            b"k" => (Side::Fill, self.device("DeviceCMYK", run)),
            b"K" => (Side::Stroke, self.device("DeviceCMYK", run)),
            b"cs" | b"CS" => {
                let side = if word == b"cs" {
                    Side::Fill
                } else {
                    Side::Stroke
                };
                let space = operands.first().and_then(|value| {
                    Space::read(self.document, value, run.resources, &mut self.inks)
                });
                match space {
                    Some(space) => {
                        let initial = space.initial();
                        self.set(side, Arc::new(space), &initial, None, state);
                    }
                    None => self.seen.damaged = true,
                }
                return true;
            }
            b"sc" | b"scn" | b"SC" | b"SCN" => {
                let side = if word.starts_with(b"s") {
                    Side::Fill
                } else {
                    Side::Stroke
                };
                let space = Arc::clone(&state.paint(side).space);
                let pattern = operands.last().and_then(Obj::name).and_then(|name| {
                    let patterns = self.document.get_dict(run.resources, "Pattern");
                    let pattern = self.document.get(&patterns, name);
                    (!pattern.is_null()).then_some(pattern)
                });
                self.set(side, space, numbers, pattern, state);
                return true;
            }
            _ => return false,
        };
        self.set(side, Arc::new(space), numbers, None, state);
        true
    }

    fn device(&mut self, name: &str, run: &Run<'_>) -> Space {
        let name = Obj::Name(name.into());
        Space::read(self.document, &name, run.resources, &mut self.inks).unwrap_or(Space::Grey)
    }

    fn set(
        &mut self,
        side: Side,
        space: Arc<Space>,
        values: &[f64],
        pattern: Option<Obj>,
        state: &mut State,
    ) {
        let colour = match &*space {
            // An uncoloured pattern carries the colour that it is drawn in.
            Space::Pattern(Some(base)) => base.colour(values, self.estimate),
            Space::Pattern(None) => Colour::none(),
            space => space.colour(values, self.estimate),
        };
        let paint = Paint {
            space,
            colour,
            pattern,
        };
        match side {
            Side::Fill => state.fill = paint,
            Side::Stroke => state.stroke = paint,
        }
    }

    pub(super) fn set_graphics_state(&mut self, name: &str, state: &mut State, run: &Run<'_>) {
        let document = self.document;
        let states = document.get_dict(run.resources, "ExtGState");
        let dict = document.get_dict(&states, name);
        let number = |key: &str| document.get(&dict, key).num();
        let flag = |key: &str| document.get(&dict, key).bool();
        if let Some(width) = number("LW") {
            state.line_width = width.abs();
        }
        if let Some(cap) = number("LC") {
            state.square_caps = cap >= 1.0;
        }
        // The fill follows the stroke unless it is named on its own.
        if let Some(on) = flag("OP") {
            state.overprint_stroke = on;
            state.overprint_fill = on;
        }
        if let Some(on) = flag("op") {
            state.overprint_fill = on;
        }
        if let Some(mode) = number("OPM") {
            state.overprint_mode = mode >= 1.0;
        }
        if let Some(alpha) = number("ca") {
            state.fill_alpha = alpha;
        }
        if let Some(alpha) = number("CA") {
            state.stroke_alpha = alpha;
        }
        match document.get(&dict, "BM") {
            Obj::Name(name) => state.blend = self.blend(&name),
            Obj::Array(names) => {
                if let Some(name) = names.first().and_then(Obj::name) {
                    state.blend = self.blend(name);
                }
            }
            _ => {}
        }
        match document.get(&dict, "SMask") {
            Obj::Name(_) => state.soft_mask = false,
            Obj::Dict(_) => state.soft_mask = true,
            _ => {}
        }
        let is_transfer = |key: &str| match document.get(&dict, key) {
            Obj::Null => false,
            Obj::Name(name) => !matches!(&*name, "Identity" | "Default"),
            _ => true,
        };
        self.seen.transfer |= is_transfer("TR") || is_transfer("TR2");
        if let Some([font, size]) = document.get(&dict, "Font").array() {
            let size = size.num().unwrap_or(0.0);
            self.set_font(font, "", size, state);
        }
    }

    fn blend(&self, name: &str) -> Meeting {
        match name {
            "Normal" | "Compatible" => Meeting::Opaque,
            "Multiply" | "Darken" | "ColorBurn" | "LinearBurn" => Meeting::Multiply,
            _ => Meeting::AtMost,
        }
    }

    /// Remembers what is used to paint with.
    pub(super) fn note_space(&mut self, space: &Space) {
        match space {
            Space::Rgb { device } => {
                self.seen.light = true;
                self.seen.bare_rgb |= device;
            }
            Space::Lab(_) => self.seen.light = true,
            Space::Cmyk { device: false } => self.seen.other_cmyk = true,
            Space::Indexed { base, .. } => {
                self.note_space(base);
                return;
            }
            Space::Pattern(base) => {
                if let Some(base) = base {
                    self.note_space(base);
                }
                return;
            }
            _ => {}
        }
        for words in space.words() {
            if !self.seen.spaces.contains(&words) && self.seen.spaces.len() < 64 {
                self.seen.spaces.insert(words);
            }
        }
    }

    /// Remembers see-through paint.
    pub(super) fn note_transparency(&mut self, state: &State, side: Side) {
        let alpha = match side {
            Side::Fill => state.fill_alpha,
            Side::Stroke => state.stroke_alpha,
        };
        if alpha < 1.0 {
            self.seen.transparency.insert("see-through objects");
        }
        if state.soft_mask {
            self.seen.transparency.insert("soft masks");
        }
        if state.blend != Meeting::Opaque {
            self.seen.transparency.insert("blending");
        }
        if state.around != Meeting::Opaque {
            self.seen.transparency.insert("see-through groups");
        }
    }
}
