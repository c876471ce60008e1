//! A drawing of the object as a document: its lines, areas and words, at true size.

use std::io::Write;

use book::drawing::{Drawing, Shown, clearing, start};
use words::label::{self, Label, Weight};

use super::{Document, Drawn, Facts, Grey, Mark, Page};
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
        let marks = marks(shown, &mut lines);
        document.page(&Page {
            size: drawing.size(),
            name: &drawing.name,
            fonts: &set.fonts,
            marks,
        })?;
    }
    document.finish()
}

/// What is shown as marks of a page, with the lines that its words came out as.
pub(in crate::write) fn marks<'a>(
    shown: Vec<Shown<'_>>,
    lines: &mut impl Iterator<Item = &'a label::Line>,
) -> Vec<Mark<'a>> {
    let mut marks = Vec::with_capacity(shown.len());
    for one in shown {
        match one {
            Shown::Area { points, grey } => marks.push(Mark::Drawn(Drawn::Area {
                points,
                grey: shade(grey),
            })),
            Shown::Line {
                points,
                closed,
                width,
                grey,
                dashes,
            } => marks.push(Mark::Drawn(Drawn::Line {
                points,
                closed,
                width,
                grey: shade(grey),
                dashes,
            })),
            Shown::Words {
                at,
                size,
                anchor,
                reads,
                cleared,
                ..
            } => {
                let line = lines.next().expect("every line of words was set");
                let at = start(at, anchor, reads, line.width);
                if cleared {
                    marks.push(Mark::Drawn(Drawn::Area {
                        points: clearing(at, size, reads, line.width),
                        grey: shade(u8::MAX),
                    }));
                }
                marks.push(Mark::Words {
                    runs: &line.runs,
                    at,
                    reads,
                    grey: Grey::BLACK,
                });
            }
        }
    }
    marks
}

/// The words of what is shown as a label to set, if it is words.
pub(in crate::write) fn label_of<'a>(shown: &Shown<'a>) -> Option<Label<'a>> {
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
