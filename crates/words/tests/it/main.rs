//! Setting blocks of words, looked at from outside the crate.

mod any_letter;
mod any_words;
mod letters;
mod setting;

use measure::{Length, Size};
use words::{Block, Galley, Style};

const STYLES: [Style; 7] = [
    Style::Title,
    Style::Prose,
    Style::Colophon,
    Style::Caption,
    Style::Folio,
    Style::CoverFront,
    Style::Spine,
];

fn block(style: Style, width: f64, height: f64, heading: &str, paragraphs: &[&str]) -> Block {
    Block {
        size: Size::from_mm(width, height),
        style,
        heading: heading.to_owned(),
        paragraphs: paragraphs.iter().map(|&text| text.to_owned()).collect(),
        language: "en".to_owned(),
    }
}

/// All text as it would be copied out, without the line breaks.
fn copied(galley: &Galley) -> String {
    galley
        .runs
        .iter()
        .flat_map(|run| &run.glyphs)
        .map(|glyph| glyph.text.as_str())
        .collect()
}

/// The lines from top to bottom, as copied out.
fn lines(galley: &Galley) -> Vec<(Length, String)> {
    let mut lines: Vec<(Length, String)> = Vec::new();
    for glyph in galley.runs.iter().flat_map(|run| &run.glyphs) {
        match lines.last_mut() {
            Some((y, line)) if *y == glyph.y => line.push_str(&glyph.text),
            _ => lines.push((glyph.y, glyph.text.clone())),
        }
    }
    lines
}
