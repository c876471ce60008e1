//! Patterns: drawings repeated, and shadings.

use super::state::{Side, State};
use super::{Interpreter, LARGEST_CONTENT, Run};
use crate::check::filter;
use crate::check::object::{Obj, Stream};
use crate::check::raster::{Mask, Matrix, Path};
use crate::check::shading::Shading;
use std::sync::Arc;

/// Most repeats of a drawing that are drawn; further ones look the same.
const MOST_TILES: i64 = 4_000;
/// What a shading costs of the work allowed, before its cells.
const COST_OF_SHADING: u64 = 200_000;

impl Interpreter<'_> {
    /// Lays a pattern onto a shape.
    pub(super) fn lay_pattern(
        &mut self,
        pattern: &Obj,
        mask: Mask,
        state: &State,
        side: Side,
        run: &Run<'_>,
    ) {
        let Some(dict) = pattern.dict() else { return };
        let matrix = self
            .document
            .get_numbers(dict, "Matrix")
            .and_then(|numbers| Matrix::from_numbers(&numbers))
            .unwrap_or(Matrix::IDENTITY)
            .then(run.base);
        if self.document.get(dict, "PatternType").int() == Some(2) {
            let value = self.document.get(dict, "Shading");
            self.lay_shading(&value, matrix, mask, state, side, run);
            return;
        }
        if let Some(stream) = pattern.stream() {
            self.lay_tiles(&Arc::clone(stream), matrix, mask, state, side, run);
        }
    }

    fn lay_tiles(
        &mut self,
        stream: &Arc<Stream>,
        matrix: Matrix,
        mask: Mask,
        state: &State,
        side: Side,
        run: &Run<'_>,
    ) {
        let dict = &stream.dict;
        let number = |key: &str| self.document.get(dict, key).num();
        let numbers = self.document.get_numbers(dict, "BBox");
        let Some(&[x0, y0, x1, y1]) = numbers.as_deref() else {
            return;
        };
        let (Some(step_x), Some(step_y)) = (number("XStep"), number("YStep")) else {
            return;
        };
        let (step_x, step_y) = (step_x.abs(), step_y.abs());
        let (Some(depth), Some(back)) = (run.depth.checked_sub(1), matrix.inverse()) else {
            return;
        };
        if step_x < 1e-6
            || step_y < 1e-6
            || stream.id.is_some_and(|id| self.open_forms.contains(&id))
        {
            return;
        }
        // Which repeats reach the shape.
        let window = mask.window;
        let [least, greatest] = back.around(
            [window.left as f64, window.top as f64],
            [window.right as f64, window.bottom as f64],
        );
        let range = |axis: usize, from: f64, to: f64, step: f64| {
            let first = ((least[axis] - to) / step).ceil() as i64;
            let last = ((greatest[axis] - from) / step).floor() as i64;
            first..=last.min(first.saturating_add(MOST_TILES))
        };
        let across = range(0, x0.min(x1), x0.max(x1), step_x);
        let down = range(1, y0.min(y1), y0.max(y1), step_y);
        let resources = match self.document.get(dict, "Resources") {
            Obj::Dict(resources) => resources,
            _ => Arc::clone(run.resources),
        };
        let content = filter::decode(self.document, stream, LARGEST_CONTENT);
        self.seen.damaged |= content.damaged;
        let mut inner = State::new(matrix, state.clip.clone());
        inner.clip.narrow_to(mask);
        inner.around = state.around;
        inner.fill_alpha = match side {
            Side::Fill => state.fill_alpha,
            Side::Stroke => state.stroke_alpha,
        };
        inner.blend = state.blend;
        inner.soft_mask = state.soft_mask;
        inner.enter_group();
        let uncoloured = number("PaintType") == Some(2.0);
        if uncoloured {
            let mut paint = state.paint(side).clone();
            paint.pattern = None;
            inner.fill = paint.clone();
            inner.stroke = paint;
        }
        self.open_forms.extend(stream.id);
        let mut drawn = 0;
        'tiles: for row in down {
            for column in across.clone() {
                drawn += 1;
                if drawn > MOST_TILES || self.budget.is_spent() {
                    self.seen.approximate.insert("finely repeated patterns");
                    break 'tiles;
                }
                let mut tile = inner.clone();
                let shift = [column as f64 * step_x, row as f64 * step_y];
                tile.matrix = Matrix([1.0, 0.0, 0.0, 1.0, shift[0], shift[1]]).then(matrix);
                let mut frame = Path::default();
                frame.rectangle(tile.matrix, [x0, y0, x1 - x0, y1 - y0]);
                tile.clip.narrow(&frame, false, self.budget);
                let inner_run = Run {
                    resources: &resources,
                    base: tile.matrix,
                    depth,
                    colourless: uncoloured,
                };
                self.run(&content.bytes, &inner_run, tile);
            }
        }
        if stream.id.is_some() {
            self.open_forms.pop();
        }
    }

    /// The operator `sh`: all that is not clipped away.
    pub(super) fn fill_with_shading(&mut self, name: &str, state: &State, run: &Run<'_>) {
        let shadings = self.document.get_dict(run.resources, "Shading");
        let value = self.document.get(&shadings, name);
        let window = state.clip.window();
        let mut everything = Path::default();
        everything.rectangle(
            Matrix::IDENTITY,
            [
                window.left as f64,
                window.top as f64,
                window.width() as f64,
                window.height() as f64,
            ],
        );
        let mask = everything.fill(false, &state.clip, self.budget);
        self.note_transparency(state, Side::Fill);
        self.lay_shading(&value, state.matrix, mask, state, Side::Fill, run);
    }

    fn lay_shading(
        &mut self,
        value: &Obj,
        matrix: Matrix,
        mask: Mask,
        state: &State,
        side: Side,
        run: &Run<'_>,
    ) {
        if !self.budget.take(COST_OF_SHADING) {
            self.seen.too_heavy = true;
            return;
        }
        let shading = Shading::read(
            self.document,
            value,
            run.resources,
            &mut self.inks,
            self.estimate,
        );
        let Some(shading) = shading else {
            self.seen
                .approximate
                .insert("a shading that could not be read");
            return;
        };
        self.note_space(&shading.space);
        if !shading.is_exact() {
            self.seen
                .approximate
                .insert("shadings, taken at their inkiest");
        }
        let cells = (mask.window.width() * mask.window.height()) as u64;
        let (Some(back), true) = (matrix.inverse(), self.budget.take(cells * 4)) else {
            return;
        };
        let manner = state.manner(side);
        let inks = self.inks.count();
        let (named, all) = shading.space.inks();
        self.note_plates(&mask, named, all, manner);
        if let Some(plates) = &mut self.plates {
            plates.paint_with(&mask, inks, manner, |x, y| {
                let at = back.apply([x as f64 + 0.5, y as f64 + 0.5]);
                shading.at(at).map(|colour| (colour, true))
            });
        }
    }
}
