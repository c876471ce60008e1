//! Paths filled and stroked.

use super::state::{Side, State};
use super::{Interpreter, Moment, Run, hides};
use crate::check::plates::{Manner, Meeting, Overprint};
use crate::check::raster::{Mask, Path};

/// Lines thinner than this, in points, may break up in print (common practice, no source).
const HAIRLINE: f64 = 0.25;

impl Interpreter<'_> {
    /// Ends a path without painting it; it may clip.
    pub(super) fn end_path(&mut self, state: &mut State, moment: &mut Moment) {
        if let Some(even_odd) = moment.clip_next.take() {
            state.clip.narrow(&moment.path, even_odd, self.budget);
        }
        moment.path.clear();
        self.seen.too_heavy |= self.budget.is_spent();
    }

    /// Paints the path: `fill` with its rule, `stroke` or both.
    pub(super) fn paint_path(
        &mut self,
        state: &mut State,
        moment: &mut Moment,
        run: &Run<'_>,
        fill: Option<bool>,
        stroke: bool,
    ) {
        if let Some(straight) = &mut self.seen.straight {
            straight.take(&moment.path);
        }
        if !hides(moment) && !moment.path.is_empty() {
            if let Some(even_odd) = fill {
                self.fill(&moment.path, even_odd, state, run);
            }
            if stroke {
                self.stroke(&moment.path, state, run);
            }
        }
        self.end_path(state, moment);
    }

    pub(super) fn fill(&mut self, path: &Path, even_odd: bool, state: &State, run: &Run<'_>) {
        self.note_paint(state, Side::Fill);
        if self.plates.is_some() {
            let mask = path.fill(even_odd, &state.clip, self.budget);
            self.lay(mask, state, Side::Fill, run);
        }
    }

    pub(super) fn stroke(&mut self, path: &Path, state: &State, run: &Run<'_>) {
        self.note_paint(state, Side::Stroke);
        let scale = state.matrix.scale();
        let points = state.line_width * scale / self.cells_per_inch * 72.0;
        if points < HAIRLINE - 0.005 && !state.clip.window().is_empty() {
            let thinnest = self.seen.hairline.unwrap_or(f64::INFINITY);
            self.seen.hairline = Some(thinnest.min(points));
        }
        if self.plates.is_some() {
            let dashes: Vec<f64> = state.dashes.iter().map(|dash| dash * scale).collect();
            let outline = path.outline(
                state.line_width * scale,
                state.square_caps,
                &dashes,
                state.dash_phase * scale,
            );
            let mask = outline.fill(false, &state.clip, self.budget);
            self.lay(mask, state, Side::Stroke, run);
        }
    }

    /// Lays the colour or pattern of a side onto a shape.
    pub(super) fn lay(&mut self, mask: Mask, state: &State, side: Side, run: &Run<'_>) {
        self.seen.too_heavy |= self.budget.is_spent();
        if mask.window.is_empty() {
            return;
        }
        let paint = state.paint(side);
        if let Some(pattern) = paint.pattern.clone() {
            self.lay_pattern(&pattern, mask, state, side, run);
            return;
        }
        let cells = (mask.window.width() * mask.window.height()) as u64;
        if !self.budget.take(cells) {
            self.seen.too_heavy = true;
            return;
        }
        let manner = state.manner(side);
        let colour = paint.colour.clone();
        self.note_plates(&mask, colour.shown(), colour.all, manner);
        if let Some(plates) = &mut self.plates {
            plates.paint(&mask, &colour, manner);
        }
    }

    /// Before paint is laid: remembers what it does to and by plates beside the four. `inks` has a
    /// bit for each ink of the paint.
    pub(super) fn note_plates(&mut self, mask: &Mask, inks: u32, all: bool, manner: Manner) {
        let Some(plates) = &mut self.plates else {
            return;
        };
        plates.finishings = self.inks.finishings();
        // Marks beyond the print leave the shape's window, but no cell of it.
        self.seen.on_every_plate |= all && mask.cells.iter().any(|&cell| cell > 0);
        let spots = inks & !0b1111;
        if spots == 0 || manner.overprint != Overprint::Off || manner.meeting == Meeting::Multiply {
            return;
        }
        self.seen.set_to_knock_out |= spots;
        // Once it is known there is no need to look again.
        if self.seen.take_away & spots == spots {
            return;
        }
        let work = mask.cells.len() * self.inks.count();
        if !self.budget.take(work as u64) {
            self.seen.too_heavy = true;
        } else if plates.has_other_ink(mask, inks) {
            self.seen.take_away |= spots;
        }
    }

    /// Remembers what a side paints with.
    pub(super) fn note_paint(&mut self, state: &State, side: Side) {
        let paint = state.paint(side);
        let space = std::sync::Arc::clone(&paint.space);
        let colour = &paint.colour;
        let inkless = paint.pattern.is_none() && colour.named != 0 && colour.total() == 0;
        let vanishes = match state.manner(side).overprint {
            Overprint::Off => false,
            // In mode 0 a spot ink of amount zero over others changes nothing; process white does.
            Overprint::On => colour.named & 0b1111 == 0,
            Overprint::NonZero => colour.direct || colour.named & 0b1111 == 0,
        };
        // A spot ink of amount zero takes away from its own plate, where there is something.
        let erases = colour.named & 0b1111 == 0 && colour.named & !self.seen.laid == 0;
        self.seen.white_overprint |= inkless && vanishes && !erases;
        self.seen.laid |= colour.shown();
        self.note_space(&space);
        self.note_transparency(state, side);
    }
}
