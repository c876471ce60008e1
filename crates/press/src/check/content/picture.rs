//! Pictures, in objects of their own or written into the contents.

use std::sync::Arc;

use super::state::{Side, State};
use super::{Interpreter, Moment, Run, hides};
use crate::check::filter;
use crate::check::gather::Gathered;
use crate::check::image::{Image, Trouble};
use crate::check::lexer::{Item, Lexer, is_space};
use crate::check::object::{Data, Dict, Obj, Stream};
use crate::check::plates::{Meeting, Overprint};
use crate::check::raster::{Matrix, Path};
use crate::check::seen::SeenImage;

/// Most pictures described for one page; the lowest resolution is always among them.
const MOST_IMAGES: usize = 1_000;

impl Interpreter<'_> {
    pub(super) fn draw_image(&mut self, stream: &Arc<Stream>, state: &State, run: &Run<'_>) {
        self.seen.alternates |= stream.dict.has("Alternates");
        let mut frame = Path::default();
        frame.rectangle(state.matrix, [0.0, 0.0, 1.0, 1.0]);
        let mask = frame.fill(false, &state.clip, self.budget);
        // What lies outside the page is neither printed nor judged.
        if mask.window.is_empty() {
            return;
        }
        let image = match Image::read(self.document, stream, run.resources, &mut self.inks) {
            Ok(image) => image,
            Err(trouble) => {
                self.note_image(SeenImage {
                    width: 0,
                    height: 0,
                    ppi: f64::INFINITY,
                    line_art: false,
                    trouble: Some(trouble),
                });
                return;
            }
        };
        let ppi = self.effective_ppi(&image, state.matrix);
        match &image.space {
            Some(space) => self.note_space(space),
            None => self.note_space(&Arc::clone(&state.fill.space)),
        }
        self.note_transparency(state, Side::Fill);
        if image.soft {
            self.seen.transparency.insert("pictures with soft edges");
        }
        let mut seen = SeenImage {
            width: image.width,
            height: image.height,
            ppi,
            line_art: image.is_line_art(),
            trouble: None,
        };
        if self.plates.is_some() {
            seen.trouble = self.lay_image(&image, stream, mask, state, run);
        }
        self.note_image(seen);
    }

    /// Puts the picture on the plates.
    fn lay_image(
        &mut self,
        image: &Image,
        stream: &Arc<Stream>,
        mask: crate::check::raster::Mask,
        state: &State,
        run: &Run<'_>,
    ) -> Option<Trouble> {
        let mut manner = state.manner(Side::Fill);
        if image.soft && manner.meeting == Meeting::Opaque {
            manner.meeting = Meeting::AtMost;
        }
        // The zeros of a picture are colours like any other, whatever the overprint mode.
        if manner.overprint == Overprint::NonZero && image.space.is_some() {
            manner.overprint = Overprint::On;
        }
        if image.space.is_none() && state.fill.pattern.is_some() {
            self.lay(mask, state, Side::Fill, run);
            self.seen
                .approximate
                .insert("stencils filled with a pattern");
            return None;
        }
        let document = self.document;
        let estimate = self.estimate;
        if !self.budget.take(image.cost(document)) {
            self.seen.too_heavy = true;
            return None;
        }
        let mut rows = match image.rows(document, stream, &state.fill.colour, estimate) {
            Ok(rows) => rows,
            Err(Trouble::NotLookedAt) => {
                self.lay_unread(image, mask, state, run);
                return Some(Trouble::NotLookedAt);
            }
            Err(trouble) => return Some(trouble),
        };
        let gathered = Gathered::read(&mut rows, state.matrix, mask.window, self.budget);
        self.seen.too_heavy |= gathered.cut;
        let (inks_of_it, all) = match &image.space {
            Some(space) => space.inks(),
            None => (state.fill.colour.shown(), state.fill.colour.all),
        };
        self.note_plates(&mask, inks_of_it, all, manner);
        let plates = self.plates.as_mut()?;
        let stencil_named = image.space.is_none().then_some(state.fill.colour.named);
        let inks = gathered.inks().max(
            state
                .fill
                .colour
                .amounts
                .iter()
                .rposition(|&a| a > 0)
                .map_or(0, |i| i + 1),
        );
        plates.paint_with(&mask, inks, manner, |x, y| {
            let (mut colour, whole) = gathered.at(x, y)?;
            if let Some(named) = stencil_named {
                colour.named = named;
            }
            Some((colour, whole && !image.has_holes()))
        });
        gathered.damaged.then_some(Trouble::Broken)
    }

    /// A picture whose coding is not looked into: line art counts as solid where it lies.
    fn lay_unread(
        &mut self,
        image: &Image,
        mask: crate::check::raster::Mask,
        state: &State,
        run: &Run<'_>,
    ) {
        self.seen
            .approximate
            .insert("pictures in a coding that is not read here");
        if !image.is_line_art() {
            return;
        }
        let mut solid = state.clone();
        if image.space.is_some() {
            solid.fill.colour = crate::check::ink::Colour::grey(0);
            solid.fill.pattern = None;
        }
        solid.around = match solid.around {
            Meeting::Opaque => Meeting::AtMost,
            other => other,
        };
        self.lay(mask, &solid, Side::Fill, run);
    }

    fn note_image(&mut self, image: SeenImage) {
        if self.seen.images.len() < MOST_IMAGES {
            self.seen.images.push(image);
        } else if let Some(last) = self.seen.images.last_mut()
            && image.ppi < last.ppi
        {
            *last = image;
        }
    }

    /// Pixels an inch in the poorer direction.
    fn effective_ppi(&self, image: &Image, matrix: Matrix) -> f64 {
        let [a, b, c, d, ..] = matrix.0;
        let inches = |x: f64, y: f64| x.hypot(y) / self.cells_per_inch;
        let across = image.width as f64 / inches(a, b);
        let down = image.height as f64 / inches(c, d);
        across.min(down)
    }

    pub(super) fn inline_image(
        &mut self,
        lexer: &mut Lexer<'_>,
        content: &[u8],
        state: &State,
        moment: &Moment,
        run: &Run<'_>,
    ) {
        let mut entries = Vec::new();
        loop {
            match lexer.item() {
                Some(Item::Value(Obj::Name(key))) => {
                    if let Some(Item::Value(value)) = lexer.item() {
                        entries.push((key, value));
                    }
                }
                Some(Item::Word(b"ID")) => break,
                Some(Item::Word(b"EI")) | None => return,
                Some(_) => {}
            }
            if entries.len() > 64 {
                return;
            }
        }
        let dict = Dict(entries);
        let start = lexer.pos() + 1;
        let end = self.inline_end(&dict, content, start, run);
        let data = content.get(start..end).unwrap_or_default();
        lexer.jump(end);
        while let Some(item) = lexer.item() {
            if item == Item::Word(b"EI") {
                break;
            }
        }
        if hides(moment) {
            return;
        }
        let stream = Stream {
            dict,
            data: Data::Own(data.into()),
            id: None,
        };
        self.note_stream(&stream);
        self.draw_image(&Arc::new(stream), state, run);
    }

    /// Where the data of an inline picture end: by its size if it is plain, else at the first `EI`
    /// that stands alone.
    fn inline_end(&mut self, dict: &Dict, content: &[u8], start: usize, run: &Run<'_>) -> usize {
        if filter::filters(self.document, dict).is_empty() {
            let stream = Stream {
                dict: dict.clone(),
                data: Data::Own(Arc::default()),
                id: None,
            };
            if let Ok(image) = Image::read(self.document, &stream, run.resources, &mut self.inks) {
                let components = image.space.as_ref().map_or(1, |space| space.components());
                let row = (image.width * components * image.bits as usize).div_ceil(8);
                let end = row
                    .checked_mul(image.height)
                    .and_then(|size| start.checked_add(size));
                if let Some(end) = end.filter(|&end| end <= content.len()) {
                    return end;
                }
            }
        }
        let rest = content.get(start..).unwrap_or_default();
        let alone = |at: usize| {
            at > 0
                && is_space(rest[at - 1])
                && rest.get(at + 2).is_none_or(|&byte| is_space(byte))
                // What follows must look like contents, not like more data.
                && rest[at + 2..].iter().take(12).all(|byte| byte.is_ascii_graphic() || is_space(*byte))
        };
        memchr::memmem::find_iter(rest, b"EI")
            .find(|&at| alone(at))
            .map_or(content.len(), |at| start + at)
    }
}
