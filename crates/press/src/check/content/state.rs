//! What `q` saves and `Q` brings back.

use std::sync::Arc;

use crate::check::font::Font;
use crate::check::ink::Colour;
use crate::check::object::Obj;
use crate::check::plates::{Manner, Meeting, Overprint};
use crate::check::raster::{Clip, Matrix};
use crate::check::space::Space;

/// A colour as set, with its space.
#[derive(Clone)]
pub(super) struct Paint {
    pub(super) space: Arc<Space>,
    pub(super) colour: Colour,
    /// A pattern instead of the colour.
    pub(super) pattern: Option<Obj>,
}

/// Paint for filling or for stroking.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Side {
    Fill,
    Stroke,
}

#[derive(Clone)]
pub(super) struct State {
    pub(super) matrix: Matrix,
    pub(super) clip: Clip,
    pub(super) fill: Paint,
    pub(super) stroke: Paint,
    pub(super) line_width: f64,
    pub(super) square_caps: bool,
    pub(super) dashes: Vec<f64>,
    pub(super) dash_phase: f64,
    pub(super) overprint_fill: bool,
    pub(super) overprint_stroke: bool,
    pub(super) overprint_mode: bool,
    pub(super) fill_alpha: f64,
    pub(super) stroke_alpha: f64,
    pub(super) blend: Meeting,
    pub(super) soft_mask: bool,
    /// How the form around this is drawn.
    pub(super) around: Meeting,
    pub(super) font: Option<Arc<Font>>,
    pub(super) font_size: f64,
    pub(super) letter_space: f64,
    pub(super) word_space: f64,
    pub(super) stretch: f64,
    pub(super) leading: f64,
    pub(super) rise: f64,
    pub(super) text_mode: i64,
}

impl State {
    pub(super) fn new(matrix: Matrix, clip: Clip) -> Self {
        let black = Paint {
            space: Arc::new(Space::Grey),
            colour: Colour::grey(0),
            pattern: None,
        };
        Self {
            matrix,
            clip,
            fill: black.clone(),
            stroke: black,
            line_width: 1.0,
            square_caps: false,
            dashes: Vec::new(),
            dash_phase: 0.0,
            overprint_fill: false,
            overprint_stroke: false,
            overprint_mode: false,
            fill_alpha: 1.0,
            stroke_alpha: 1.0,
            blend: Meeting::Opaque,
            soft_mask: false,
            around: Meeting::Opaque,
            font: None,
            font_size: 0.0,
            letter_space: 0.0,
            word_space: 0.0,
            stretch: 1.0,
            leading: 0.0,
            rise: 0.0,
            text_mode: 0,
        }
    }

    pub(super) fn paint(&self, side: Side) -> &Paint {
        match side {
            Side::Fill => &self.fill,
            Side::Stroke => &self.stroke,
        }
    }

    /// How paint of a side meets what lies below.
    pub(super) fn manner(&self, side: Side) -> Manner {
        let (overprints, alpha) = match side {
            Side::Fill => (self.overprint_fill, self.fill_alpha),
            Side::Stroke => (self.overprint_stroke, self.stroke_alpha),
        };
        Manner {
            meeting: self.meeting(alpha),
            overprint: match (overprints, self.overprint_mode) {
                (false, _) => Overprint::Off,
                (true, false) => Overprint::On,
                (true, true) => Overprint::NonZero,
            },
        }
    }

    fn meeting(&self, alpha: f64) -> Meeting {
        let see_through = alpha < 1.0 || self.soft_mask;
        match (self.blend, self.around) {
            (Meeting::Multiply, _) | (_, Meeting::Multiply) => Meeting::Multiply,
            (Meeting::Opaque, Meeting::Opaque) if !see_through => Meeting::Opaque,
            _ => Meeting::AtMost,
        }
    }

    /// Before the contents of a form: what it is drawn with as a whole is handed on, and its own
    /// state begins plainly.
    pub(super) fn enter_group(&mut self) {
        self.around = self.meeting(self.fill_alpha);
        self.fill_alpha = 1.0;
        self.stroke_alpha = 1.0;
        self.blend = Meeting::Opaque;
        self.soft_mask = false;
    }
}
