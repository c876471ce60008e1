//! A drawing as SVG text.

use std::fmt::Write as _;

use super::Drawing;
use super::mark::{Anchor, Area, Line, Mark, Words, corners, width_of};

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
    // Lines are as strong as the letters of the drawing are high, so that both are read at once.
    let unit = drawing
        .marks
        .iter()
        .filter_map(|mark| match mark {
            Mark::Words(words) => Some(words.size),
            _ => None,
        })
        .fold(9.0, f64::min);
    for mark in &drawing.marks {
        match mark {
            Mark::Shape {
                points,
                area,
                outline,
            } => {
                let _ = write!(
                    text,
                    "<path d=\"{}\" fill=\"{}\"",
                    path(points, true),
                    fill(*area)
                );
                if let Some(line) = outline {
                    stroke(&mut text, *line, unit);
                }
                text.push_str("/>\n");
            }
            Mark::Stroke {
                points,
                closed,
                line,
            } => {
                let _ = write!(text, "<path d=\"{}\" fill=\"none\"", path(points, *closed));
                stroke(&mut text, *line, unit);
                text.push_str("/>\n");
            }
            Mark::Words(words) => self::words(&mut text, words),
        }
    }
    text
}

fn stroke(text: &mut String, line: Line, unit: f64) {
    let (width, colour, dashes) = match line {
        Line::Trim => (0.13, "#000", None),
        Line::Fold => (0.09, "#000", Some([0.9, 0.45])),
        Line::Bleed => (0.045, "#000", None),
        Line::Edge => (0.09, "#000", None),
        Line::Fine => (0.045, "#444", None),
        Line::Dimension => (0.055, "#222", None),
        Line::Hatch => (0.06, "#666", None),
    };
    let _ = write!(
        text,
        " stroke=\"{colour}\" stroke-width=\"{}\"",
        number(width * unit)
    );
    if let Some([dash, gap]) = dashes {
        let _ = write!(
            text,
            " stroke-dasharray=\"{} {}\"",
            number(dash * unit),
            number(gap * unit)
        );
    }
}

const fn fill(area: Area) -> &'static str {
    match area {
        Area::Paper => "#fff",
        Area::Beyond => "#f0f0f0",
        Area::Board => "#bdbdbd",
        Area::Layer => "#e4e4e4",
        Area::Cover => "#4a4a4a",
    }
}

fn words(text: &mut String, words: &Words) {
    let (x, y) = words.at;
    let turn = if words.turned {
        format!(" transform=\"rotate(-90 {} {})\"", number(x), number(y))
    } else {
        String::new()
    };
    if words.cleared {
        let width = width_of(&words.text, words.size) + words.size * 0.5;
        let left = match words.anchor {
            Anchor::Start => x - words.size * 0.25,
            Anchor::Middle => x - width / 2.0,
            Anchor::End => x - width + words.size * 0.25,
        };
        let ground = corners((left, y - words.size * 0.95, width, words.size * 1.25));
        let _ = writeln!(
            text,
            "<path d=\"{}\" fill=\"#fff\"{turn}/>",
            path(&ground, true)
        );
    }
    let anchor = match words.anchor {
        Anchor::Start => "start",
        Anchor::Middle => "middle",
        Anchor::End => "end",
    };
    let weight = if words.strong {
        " font-weight=\"600\""
    } else {
        ""
    };
    let _ = writeln!(
        text,
        "<text x=\"{}\" y=\"{}\" font-size=\"{}\" text-anchor=\"{anchor}\" fill=\"#000\"{weight}{turn}>{}</text>",
        number(x),
        number(y),
        number(words.size),
        escaped(&words.text)
    );
}

fn path(points: &[(f64, f64)], closed: bool) -> String {
    let mut text = String::new();
    for (index, (x, y)) in points.iter().enumerate() {
        let letter = if index == 0 { 'M' } else { 'L' };
        let _ = write!(text, "{letter}{} {}", number(*x), number(*y));
    }
    if closed {
        text.push('Z');
    }
    text
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
