//! A drawing of the object as a document: its lines, areas and words, at true size.

use std::io::Write;

use book::drawing::{Anchor, Drawing, Shown};
use book::plan::Reads;
use measure::Length;
use words::label::{self, Label, Weight};

use super::{Document, Facts, Grey, Mark, Page, Point};
use crate::PressError;

/// Writes drawings, each on a page of its own size.
///
/// # Errors
/// As [`Document::begin`], [`Document::page`] and [`Document::finish`]; and if the words of the
/// drawings cannot be set.
pub fn drawing<W: Write>(out: W, facts: &Facts, drawings: &[Drawing]) -> Result<W, PressError> {
    let shown: Vec<Vec<Shown<'_>>> = drawings.iter().map(Drawing::shown).collect();
    let labels: Vec<Label<'_>> = shown.iter().flatten().filter_map(label_of).collect();
    let set = label::set(&labels, &facts.language)?;
    let mut lines = set.lines.iter();
    let mut document = Document::begin(out, facts)?;
    for (drawing, shown) in drawings.iter().zip(shown) {
        let marks = shown.into_iter().filter_map(|one| match one {
            Shown::Area { points, grey } => Some(Mark::Area {
                points,
                grey: shade(grey),
            }),
            Shown::Line {
                points,
                closed,
                width,
                grey,
                dashes,
            } => Some(Mark::Line {
                points,
                closed,
                width,
                grey: shade(grey),
                dashes,
            }),
            Shown::Words {
                at, anchor, reads, ..
            } => lines.next().map(|line| Mark::Words {
                runs: &line.runs,
                at: start(at, anchor, reads, line.width),
                reads,
                grey: Grey::BLACK,
            }),
        });
        document.page(&Page {
            size: drawing.size(),
            name: &drawing.name,
            fonts: &set.fonts,
            marks: marks.collect(),
        })?;
    }
    document.finish()
}

fn label_of<'a>(shown: &Shown<'a>) -> Option<Label<'a>> {
    match shown {
        Shown::Words {
            text, size, strong, ..
        } => Some(Label {
            text,
            size: *size,
            weight: match strong {
                true => Weight::Strong,
                false => Weight::Regular,
            },
        }),
        _ => None,
    }
}

fn shade(grey: u8) -> Grey {
    Grey(f32::from(grey) / 255.0)
}

/// Where a line begins that stands to a point in some way.
fn start((x, y): Point, anchor: Anchor, reads: Reads, width: Length) -> Point {
    let back = match anchor {
        Anchor::Start => Length::ZERO,
        Anchor::Middle => width.scaled(0.5),
        Anchor::End => width,
    };
    match reads {
        Reads::Across => (x - back, y),
        Reads::Down => (x, y - back),
        Reads::Up => (x, y + back),
    }
}
