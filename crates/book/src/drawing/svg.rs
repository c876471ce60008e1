//! A drawing as SVG text.

use std::fmt::Write as _;

use measure::Length;

use super::Drawing;
use super::mark::{Anchor, width_of};
use super::shown::{Point, Shown, clearing, start};
use crate::plan::Reads;

/// A document at true size.
pub(super) fn document(drawing: &Drawing) -> String {
    let (width, height) = drawing.size;
    format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" \
         width=\"{0}mm\" height=\"{1}mm\" viewBox=\"0 0 {0} {1}\" \
         font-family=\"Libertinus Sans, DejaVu Sans, Arial, sans-serif\">\n\
         <title>{2}</title>\n<desc>{3}</desc>\n\
         <rect width=\"{0}\" height=\"{1}\" fill=\"#fff\"/>\n{4}</svg>\n",
        number(width),
        number(height),
        escaped(&drawing.name),
        escaped(&drawing.described),
        marks(drawing)
    )
}

/// An element for a page.
pub(super) fn element(drawing: &Drawing) -> String {
    let (width, height) = drawing.size;
    format!(
        "<svg viewBox=\"0 0 {} {}\" role=\"img\" aria-label=\"{}\">{}</svg>",
        number(width),
        number(height),
        escaped(&drawing.described),
        marks(drawing)
    )
}

fn marks(drawing: &Drawing) -> String {
    let mut text = String::new();
    for shown in drawing.shown() {
        let _ = match shown {
            Shown::Area { points, grey } => {
                writeln!(
                    text,
                    "<path d=\"{}\" fill=\"{}\"/>",
                    path(&points, true),
                    colour(grey)
                )
            }
            Shown::Line {
                points,
                closed,
                width,
                grey,
                dashes,
            } => {
                let broken = dashes.map_or_else(String::new, |[dash, gap]| {
                    format!(" stroke-dasharray=\"{} {}\"", mm(dash), mm(gap))
                });
                writeln!(
                    text,
                    "<path d=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{}\"{broken}/>",
                    path(&points, closed),
                    colour(grey),
                    mm(width)
                )
            }
            Shown::Words {
                at: (x, y),
                text: words,
                size,
                anchor,
                reads,
                strong,
                cleared,
            } => {
                if cleared {
                    // The face is chosen where the drawing is looked at, so that widths are guessed.
                    let width = Length::from_mm(width_of(words, size.mm()));
                    let ground = clearing(start((x, y), anchor, reads, width), size, reads, width);
                    let _ = writeln!(
                        text,
                        "<path d=\"{}\" fill=\"{}\"/>",
                        path(&ground, true),
                        colour(255)
                    );
                }
                let anchor = match anchor {
                    Anchor::Start => "start",
                    Anchor::Middle => "middle",
                    Anchor::End => "end",
                };
                let weight = if strong { " font-weight=\"600\"" } else { "" };
                let turn = match reads {
                    Reads::Across => String::new(),
                    Reads::Up => format!(" transform=\"rotate(-90 {} {})\"", mm(x), mm(y)),
                    Reads::Down => format!(" transform=\"rotate(90 {} {})\"", mm(x), mm(y)),
                };
                writeln!(
                    text,
                    "<text x=\"{}\" y=\"{}\" font-size=\"{}\" text-anchor=\"{anchor}\" \
                     fill=\"#000\"{weight}{turn}>{}</text>",
                    mm(x),
                    mm(y),
                    mm(size),
                    escaped(words)
                )
            }
        };
    }
    text
}

fn colour(grey: u8) -> String {
    format!("#{grey:02x}{grey:02x}{grey:02x}")
}

fn path(points: &[Point], closed: bool) -> String {
    let mut text = String::new();
    for (index, (x, y)) in points.iter().enumerate() {
        let letter = if index == 0 { 'M' } else { 'L' };
        let _ = write!(text, "{letter}{} {}", mm(*x), mm(*y));
    }
    if closed {
        text.push('Z');
    }
    text
}

fn mm(length: Length) -> String {
    number(length.mm())
}

/// To the hundredth, without idle zeros.
fn number(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" {
        "0".to_owned()
    } else {
        text.to_owned()
    }
}

/// Text that cannot be taken for markup; what XML does not allow at all is left out.
fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\u{fffe}' | '\u{ffff}' => {}
            control if control.is_control() => {}
            other => safe.push(other),
        }
    }
    safe
}
