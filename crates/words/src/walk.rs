//! From a laid-out frame to placed glyphs.

use measure::{Length, Rect};
use typst::layout::{Abs, Frame, FrameItem, Point};
use typst::text::{TextItem, TextItemView};
use typst::visualize::{Geometry, Shape};

use crate::faces::Faces;
use crate::{Font, Glyph, Run, WordsError};

/// Where a word was parted.
const SOFT_HYPHEN: &str = "\u{ad}";

/// Placed glyphs and rules, and how far the glyphs reach.
pub(crate) struct Walked {
    pub(crate) fonts: Vec<Font>,
    pub(crate) runs: Vec<Run>,
    /// Straight strokes, across or down, as rectangles to be filled.
    pub(crate) rules: Vec<Rect>,
    /// The leftmost and the rightmost edge of any glyph's advance. A mark may hang over the edge of
    /// its column, so that of marks only the inner edge counts; spaces do not count.
    pub(crate) left: Length,
    pub(crate) right: Length,
    /// Characters without a sign in any typeface.
    pub(crate) missing: Vec<char>,
}

impl Walked {
    /// Nothing yet.
    pub(crate) const fn new() -> Self {
        Self {
            fonts: Vec::new(),
            runs: Vec::new(),
            rules: Vec::new(),
            left: Length::ZERO,
            right: Length::ZERO,
            missing: Vec::new(),
        }
    }

    /// All of a frame, no sign missing.
    pub(crate) fn from(frame: &Frame) -> Result<Self, WordsError> {
        let mut walked = Self::new();
        walked.add(frame)?;
        if walked.missing.is_empty() {
            Ok(walked)
        } else {
            Err(WordsError::MissingGlyphs(named(&walked.missing)))
        }
    }

    /// Adds what stands on a frame; signs that are missing are gathered.
    pub(crate) fn add(&mut self, frame: &Frame) -> Result<(), WordsError> {
        self.frame(frame, Point::zero())
    }

    fn frame(&mut self, frame: &Frame, at: Point) -> Result<(), WordsError> {
        for (place, item) in frame.items() {
            let at = at + *place;
            match item {
                // The layout turns and scales nothing, so that a group only moves.
                FrameItem::Group(group) => {
                    let moved = Point::new(group.transform.tx, group.transform.ty);
                    self.frame(&group.frame, at + moved)?;
                }
                FrameItem::Text(text) => self.text(text, at)?,
                FrameItem::Shape(shape, _) => self.rules.extend(rule(shape, at)),
                FrameItem::Image(..) | FrameItem::Link(..) | FrameItem::Tag(_) => {}
            }
        }
        Ok(())
    }

    fn text(&mut self, item: &TextItem, at: Point) -> Result<(), WordsError> {
        let view = TextItemView::full(item);
        let mut pen = at;
        let mut glyphs = Vec::with_capacity(item.glyphs.len());
        let mut last_range = None;
        for glyph in &item.glyphs {
            // Of several glyphs that stand for the same characters the first carries them.
            let range = glyph.range();
            let text = if last_range.as_ref() == Some(&range) {
                String::new()
            } else if item.text[range.clone()] == *SOFT_HYPHEN {
                // A hyphen that the typesetter put in is copied as what is seen.
                "-".to_owned()
            } else {
                view.glyph_text(glyph).to_string()
            };
            last_range = Some(range);
            if glyph.id == 0 {
                self.missing.extend(view.glyph_text(glyph).chars());
            }
            let is_space = !text.is_empty() && text.trim().is_empty();
            let is_letter = text.is_empty() || text.contains(char::is_alphanumeric);
            let offset = Point::new(glyph.x_offset.at(item.size), -glyph.y_offset.at(item.size));
            let origin = pen + offset;
            glyphs.push(Glyph {
                id: glyph.id,
                x: length(origin.x),
                y: length(origin.y),
                text,
            });
            let start = pen.x;
            pen.x += glyph.x_advance.at(item.size);
            pen.y -= glyph.y_advance.at(item.size);
            if !is_space {
                let (left, right) = if is_letter {
                    (start, pen.x)
                } else {
                    (pen.x, start)
                };
                self.left = self.left.min(length(left));
                self.right = self.right.max(length(right));
            }
        }
        let font = Faces::get().hand_on(item.font.font()).ok_or_else(|| {
            WordsError::Typesetter("a typeface came up that is not built in".to_owned())
        })?;
        let known = self
            .fonts
            .iter()
            .position(|other| std::sync::Arc::ptr_eq(&other.data, &font.data));
        let font = known.unwrap_or_else(|| {
            self.fonts.push(font);
            self.fonts.len() - 1
        });
        self.runs.push(Run {
            font,
            size: length(item.size),
            glyphs,
        });
        Ok(())
    }
}

/// A straight stroke across or down as the rectangle that it covers; the layouts draw no other
/// shapes.
fn rule(shape: &Shape, at: Point) -> Option<Rect> {
    let Geometry::Line(to) = shape.geometry else {
        return None;
    };
    let thickness = length(shape.stroke.as_ref()?.thickness);
    let (from_x, to_x) = (length(at.x.min(at.x + to.x)), length(at.x.max(at.x + to.x)));
    let (from_y, to_y) = (length(at.y.min(at.y + to.y)), length(at.y.max(at.y + to.y)));
    let half = thickness.scaled(0.5);
    Some(if to.y == Abs::zero() {
        Rect {
            x: from_x,
            y: from_y - half,
            width: to_x - from_x,
            height: thickness,
        }
    } else {
        Rect {
            x: from_x - half,
            y: from_y,
            width: thickness,
            height: to_y - from_y,
        }
    })
}

/// To the nanometre.
pub(crate) fn length(abs: Abs) -> Length {
    Length::from_inches(abs.to_pt() / 72.0)
}

/// The first few of these characters, each with its number, so that it can be found.
fn named(missing: &[char]) -> String {
    const MOST: usize = 6;
    let mut seen: Vec<char> = Vec::new();
    for c in missing {
        if !seen.contains(c) {
            seen.push(*c);
        }
    }
    let names: Vec<String> = seen
        .iter()
        .take(MOST)
        .map(|c| format!("`{c}` (U+{:04X})", u32::from(*c)))
        .collect();
    let more = seen.len().saturating_sub(MOST);
    match more {
        0 => names.join(", "),
        _ => format!("{} and {more} more", names.join(", ")),
    }
}
