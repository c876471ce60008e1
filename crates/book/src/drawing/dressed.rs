//! What the drawing of a sheet shows of its bar code and its finishings.

use measure::{Length, Rect};

use super::dimension::tenth;
use super::mark::{Anchor, Area, Line, Mark, Words, width_of};
use crate::finishing::{Finishing, MaskFit, PlateSource, Process};
use crate::model::Book;
use crate::plan::SheetPlan;

/// The bar code as an area with its size, and each finishing by its process and its name on its
/// panel, with a frame around the words that it is made of.
pub(super) fn marks(book: &Book, sheet: &SheetPlan, letter: f64) -> Vec<Mark> {
    let mut marks = Vec::new();
    if let Some(bars) = &sheet.bar_code {
        marks.push(Mark::area(Area::Beyond, plain(bars.rect), Some(Line::Edge)));
        let size = format!(
            "{} × {}",
            tenth(bars.rect.width.mm()),
            tenth(bars.rect.height.mm())
        );
        marks.extend(lines(
            &["bar code".to_owned(), size],
            bars.rect,
            letter,
            0.0,
        ));
    }
    // One under the other, where several stand on one panel.
    let mut placed: Vec<(&str, f64)> = Vec::new();
    for finishing in &sheet.finishings {
        let Some(wish) = book.finishings.get(finishing.finishing) else {
            continue;
        };
        for words in &finishing.words {
            marks.push(Mark::frame(Line::Fine, plain(words.rect)));
        }
        let down = match placed
            .iter_mut()
            .find(|(panel, _)| *panel == finishing.panel)
        {
            Some((_, down)) => {
                *down += 1.4;
                *down
            }
            None => {
                // The name of the panel stands in its middle.
                placed.push((finishing.panel, 2.2));
                2.2
            }
        };
        let colour = match wish.process {
            Process::Foil => format!("{} ", wish.colour.word()),
            _ => String::new(),
        };
        let text = format!(
            "{colour}{}: {}{}",
            wish.process.word(),
            wish.name,
            changed(wish)
        );
        marks.extend(lines(&[text], finishing.rect, letter, down));
    }
    marks
}

/// What the drawing of a sheet says of them to those who cannot see it; empty if there are none.
pub(super) fn described(book: &Book, sheet: &SheetPlan) -> String {
    let mut said = Vec::new();
    if let Some(bars) = &sheet.bar_code {
        said.push(format!(
            "Bar code {} by {} mm, {} mm from the left and {} mm from the head.",
            tenth(bars.rect.width.mm()),
            tenth(bars.rect.height.mm()),
            tenth(bars.rect.x.mm()),
            tenth(bars.rect.y.mm())
        ));
    }
    for finishing in &sheet.finishings {
        if let Some(wish) = book.finishings.get(finishing.finishing) {
            said.push(format!(
                "{} `{}`{} on the {}.",
                finding::capital(wish.process.word()),
                wish.name,
                changed(wish),
                if finishing.panel == "whole" {
                    "whole sheet"
                } else {
                    finishing.panel
                }
            ));
        }
    }
    said.join(" ")
}

/// What is done to the mask as it was drawn: ` (lines + 0.1 mm, mask centred)`.
fn changed(wish: &Finishing) -> String {
    let mut parts = Vec::new();
    if wish.thicken > Length::ZERO {
        parts.push(format!("lines + {}", wish.thicken));
    }
    match (&wish.source, wish.fit) {
        (PlateSource::Mask(_), MaskFit::Centre) => parts.push("mask centred".to_owned()),
        (PlateSource::Mask(_), MaskFit::Stretch) => parts.push("mask stretched".to_owned()),
        _ => {}
    }
    if parts.is_empty() {
        String::new()
    } else {
        format!(" ({})", parts.join(", "))
    }
}

fn plain(rect: Rect) -> (f64, f64, f64, f64) {
    (rect.x.mm(), rect.y.mm(), rect.width.mm(), rect.height.mm())
}

/// Lines of words in the middle of a rectangle, so many letters below it; smaller or turned where
/// the rectangle is narrow.
fn lines(texts: &[String], rect: Rect, letter: f64, down: f64) -> Vec<Mark> {
    let (x, y, width, height) = plain(rect);
    let longest = texts
        .iter()
        .map(|text| width_of(text, 1.0))
        .fold(1e-6, f64::max);
    let turned = height > width * 1.5 && longest * letter > width;
    // A turned line stands below the name of its panel, which has the middle.
    let room = match turned {
        true if down > 0.0 => height / 2.0 - letter * 4.0,
        true => height,
        false => width,
    };
    let size = (room * 0.9 / longest).clamp(letter * 0.4, letter);
    let count = texts.len() as f64;
    texts
        .iter()
        .zip(0_u32..)
        .map(|(text, index)| {
            let off = (f64::from(index) - (count - 1.0) / 2.0) * size * 1.4 + down * letter;
            let at = if turned {
                // Along the panel: below its name, then above it, and so on outward.
                let long = longest * size + letter;
                let turn = ((down - 2.2) / 1.4).round();
                let after = letter * 3.0 + long * (0.5 + (turn / 2.0).floor());
                let off = match down > 0.0 {
                    true if turn % 2.0 == 0.0 => after,
                    true => -after,
                    false => 0.0,
                };
                let along = (y + height / 2.0 + off)
                    .min(y + height - long / 2.0)
                    .max(y + long / 2.0);
                (x + width / 2.0 + size * 0.35, along)
            } else {
                (x + width / 2.0, y + height / 2.0 + size * 0.35 + off)
            };
            Mark::Words(Words {
                at,
                text: text.clone(),
                size,
                anchor: Anchor::Middle,
                turned,
                strong: false,
                cleared: true,
            })
        })
        .collect()
}
