//! Drawings to scale: one unit of a drawing is a millimetre. Pictures are the small ones of the
//! desk; words are hinted at by lines, since these are maps of the book and not proofs of it.

use desk::Snapshot;
use desk::book::WordInk;
use desk::book::plan::{
    Page, PlacedBarCode, PlacedPicture, PlacedWords, Reads, SheetPlan, WordPart, WordStyle,
};
use desk::measure::{Length, Rect};
use maud::{Markup, html};

use crate::address;

/// A trimmed page.
pub(crate) fn leaf(page: &Page, snapshot: &Snapshot, pixels: u32) -> Markup {
    let trim = snapshot.book.format.trim;
    html! {
        svg.sheet viewBox=(view_box(Rect::new(Length::ZERO, Length::ZERO, trim.width, trim.height))) aria-hidden="true" {
            rect.paper width=(mm(trim.width)) height=(mm(trim.height)) {}
            @for picture in &page.pictures { (placed(picture, snapshot, pixels)) }
            @for words in &page.words { (hinted(words)) }
        }
    }
}

/// One panel of a sheet; the whole sheet where it has no such panel.
pub(crate) fn panel(sheet: &SheetPlan, name: &str, snapshot: &Snapshot, pixels: u32) -> Markup {
    let rect = sheet
        .flat
        .panel(name)
        .map_or_else(|| sheet.flat.trimmed(), |panel| panel.rect);
    html! { svg.sheet viewBox=(view_box(rect)) aria-hidden="true" { (laid_flat(sheet, snapshot, pixels)) } }
}

/// A whole sheet, trimmed.
pub(crate) fn flat(sheet: &SheetPlan, snapshot: &Snapshot, pixels: u32) -> Markup {
    html! { svg.sheet viewBox=(view_box(sheet.flat.trimmed())) aria-hidden="true" { (laid_flat(sheet, snapshot, pixels)) } }
}

/// What is printed on a sheet, to stand in another drawing.
pub(crate) fn laid_flat(sheet: &SheetPlan, snapshot: &Snapshot, pixels: u32) -> Markup {
    let printed = sheet.flat.printed();
    html! {
        rect x=(mm(printed.x)) y=(mm(printed.y)) width=(mm(printed.width)) height=(mm(printed.height)) fill=(screen_tint(sheet.ground)) {}
        @for picture in &sheet.pictures { (placed(picture, snapshot, pixels)) }
        @for words in &sheet.words { (hinted(words)) }
        @if let Some(code) = &sheet.bar_code { (bars(code)) }
    }
}

/// A bar code: its white ground and its bars.
fn bars(code: &PlacedBarCode) -> Markup {
    html! {
        @if let Some(white) = code.white {
            rect x=(mm(white.x)) y=(mm(white.y)) width=(mm(white.width)) height=(mm(white.height)) fill="#ffffff" {}
        }
        @for bar in code.bars() {
            rect x=(fine(bar.x)) y=(mm(bar.y)) width=(fine(bar.width)) height=(mm(bar.height)) fill="#000000" {}
        }
        @for (digit, room) in code.digits() {
            text x=(mm(room.x + room.width / 2)) y=(mm(room.bottom())) font-size=(mm(room.height)) text-anchor="middle" { (digit) }
        }
    }
}

/// A picture cut to its window.
fn placed(picture: &PlacedPicture, snapshot: &Snapshot, pixels: u32) -> Markup {
    let (window, frame) = (picture.window, picture.frame);
    if !is_there(snapshot, &picture.piece) {
        return missing(picture);
    }
    html! {
        svg x=(mm(window.x)) y=(mm(window.y)) width=(mm(window.width)) height=(mm(window.height)) viewBox=(view_box(window)) {
            image href=(address::thumbnail(&picture.piece, pixels)) x=(mm(frame.x)) y=(mm(frame.y))
                width=(mm(frame.width)) height=(mm(frame.height)) preserveAspectRatio="none" {}
        }
    }
}

/// Whether a piece can be shown.
pub(crate) fn is_there(snapshot: &Snapshot, piece: &str) -> bool {
    snapshot
        .pieces
        .iter()
        .any(|known| known.name == piece && known.size.is_ok())
}

/// The place of a picture that is not there, crossed out, with its name.
fn missing(picture: &PlacedPicture) -> Markup {
    let window = picture.window;
    let (x, y) = (mm_of(window.x), mm_of(window.y));
    let (width, height) = (mm_of(window.width), mm_of(window.height));
    let size = width.min(height) / 12.0;
    html! {
        rect x=(short(x)) y=(short(y)) width=(short(width)) height=(short(height)) fill="#e0e0e0" stroke="#5c5c5c" stroke-width="1" {}
        path fill="none" stroke="#8c8c8c" stroke-width="1"
            d={ "M" (short(x)) " " (short(y)) "l" (short(width)) " " (short(height)) "m0 " (short(-height)) "l" (short(-width)) " " (short(height)) } {}
        text.display x=(short(x + width / 2.0)) y=(short(y + height / 2.0)) dy="0.35em" font-size=(short(size)) text-anchor="middle"
            fill="#161616" stroke="#e0e0e0" stroke-width=(short(size / 4.0)) paint-order="stroke" { "not in the art folder" }
    }
}

/// Words: large ones as they read, running ones as grey lines.
fn hinted(words: &PlacedWords) -> Markup {
    let ink = match words.ink {
        WordInk::Black => "#1a1a1a",
        WordInk::Paper => "#ffffff",
    };
    let rect = words.rect;
    match words.style {
        WordStyle::Title | WordStyle::CoverFront => display(words, ink),
        WordStyle::Spine => html! {
            // The rectangle is where the words stand when they are turned already.
            @let (x, y) = (mm_of(rect.x) + mm_of(rect.width) / 2.0, mm_of(rect.y) + mm_of(rect.height) / 2.0);
            @let turn = match words.reads { Reads::Across => 0, Reads::Down => 90, Reads::Up => -90 };
            g transform={ "translate(" (short(x)) " " (short(y)) ") rotate(" (turn) ")" } {
                text.display y="0" dy="0.35em" text-anchor="middle" fill=(ink)
                    font-size=(short((mm_of(rect.width.min(rect.height)) * 0.6).clamp(1.94, 5.64))) { (words.heading) }
            }
        },
        WordStyle::Folio => html! {},
        WordStyle::Prose | WordStyle::Colophon | WordStyle::Caption => greeked(words, ink),
    }
}

/// Large words about as the typesetter sets them: as large as the space allows, on one line if that
/// costs little; on a cover the author at the foot, on a title page all of it a little above the
/// middle.
fn display(words: &PlacedWords, ink: &str) -> Markup {
    /// A letter of the display face is about so wide, of small capitals so wide, in parts of its size.
    const LETTER: f64 = 0.43;
    const CAPITAL: f64 = 0.7;
    /// The same of the screen's display face, which runs wider: letters are drawn smaller by as much,
    /// so that lines are as wide as in print. Measured on titles in the browser.
    const ON_SCREEN: f64 = 0.53;
    let rect = words.rect;
    let (width, height) = (mm_of(rect.width), mm_of(rect.height));
    let is_cover = words.style == WordStyle::CoverFront;
    let by_itself = (width / 8.5).clamp(7.0, 23.3);
    let whole = words.heading.chars().count() as f64 * LETTER;
    let longest = words
        .heading
        .split_whitespace()
        .map(|word| word.chars().count());
    let longest = longest.max().unwrap_or(1).max(1) as f64 * LETTER;
    let mut size = by_itself * if is_cover { 1.12 } else { 1.0 };
    if whole * size > width && whole * size * 0.88 <= width {
        size = width / whole;
    }
    size = size.min(width / longest);
    let lines = broken(&words.heading, (width / (size * LETTER)) as usize);
    let step = size * 1.12;
    let authors: Vec<String> = words
        .paragraphs
        .iter()
        .map(|name| name.to_uppercase())
        .collect();
    let most = authors
        .iter()
        .map(|name| name.chars().count())
        .max()
        .unwrap_or(1)
        .max(1);
    let small = (by_itself * 0.34)
        .clamp(3.0, 6.0)
        .min(width / (most as f64 * CAPITAL));
    let title = lines.len() as f64 * step;
    let all = title + authors.len() as f64 * (by_itself * 0.62 + small * 1.6);
    let top = mm_of(rect.y)
        + if is_cover {
            height * 0.07
        } else {
            (height - all).max(0.0) * 0.38
        };
    let foot = if is_cover {
        mm_of(rect.bottom()) - (authors.len().max(1) - 1) as f64 * small * 1.6
    } else {
        top + title + by_itself * 0.62 + small
    };
    let middle = mm_of(rect.x) + width / 2.0;
    let (lines, authors) = match words.part {
        WordPart::Whole => (lines, authors),
        WordPart::Heading => (lines, Vec::new()),
        WordPart::Paragraphs => (Vec::new(), authors),
    };
    html! {
        @for (row, line) in lines.iter().enumerate() {
            text.display x=(short(middle)) y=(short(top + size * 0.75 + row as f64 * step)) font-size=(short(size * LETTER / ON_SCREEN)) text-anchor="middle" fill=(ink) { (line) }
        }
        @for (row, author) in authors.iter().enumerate() {
            text.display x=(short(middle)) y=(short(foot + row as f64 * small * 1.6)) font-size=(short(small * 0.8)) letter-spacing=(short(small * 0.07)) text-anchor="middle" fill=(ink) { (author) }
        }
    }
}

/// Grey lines in place of running words, about as many as there will be.
fn greeked(words: &PlacedWords, ink: &str) -> Markup {
    let rect = words.rect;
    let (width, bottom) = (mm_of(rect.width), mm_of(rect.bottom()));
    let (size, leading) = match words.style {
        WordStyle::Prose => (3.9, 5.4),
        _ => (3.0, 4.2),
    };
    let mut y = mm_of(rect.y);
    let mut lines = Vec::new();
    if words.style == WordStyle::Colophon {
        let rows: f64 = words
            .paragraphs
            .iter()
            .map(|text| rows(text, width, size) + 0.5)
            .sum();
        y = (bottom - rows * leading).max(y);
    }
    let heading = (!words.heading.is_empty()).then_some(y + 6.0);
    if heading.is_some() {
        y += 16.0;
    }
    for text in &words.paragraphs {
        let count = rows(text, width, size);
        let whole = count.floor() as usize;
        for row in 0..=whole {
            let share = if row == whole {
                count - count.floor()
            } else {
                1.0
            };
            if share > 0.02 && y + 1.4 < bottom {
                lines.push((y, width * share));
                y += leading;
            }
        }
        y += leading * 0.5;
    }
    html! {
        @if let Some(y) = heading {
            text.display x=(mm(rect.x)) y=(short(y)) font-size="7" fill=(ink) { (words.heading) }
        }
        @for (y, width) in lines {
            rect x=(mm(rect.x)) y=(short(y)) width=(short(width)) height="1.3" fill=(ink) opacity="0.42" {}
        }
    }
}

/// How many rows a text takes, roughly: a letter is about half its size wide.
fn rows(text: &str, width: f64, size: f64) -> f64 {
    if text.is_empty() {
        0.0
    } else {
        text.chars().count() as f64 * size * 0.48 / width.max(1.0)
    }
}

fn broken(text: &str, letters: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        match lines.last_mut() {
            Some(line) if line.chars().count() + 1 + word.chars().count() <= letters => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

/// Inks as a colour for a drawing on the screen: each ink as a plain filter. Only a hint; what
/// prints is seen in the room *On paper*.
fn screen_tint(inks: [f64; 4]) -> String {
    let [c, m, y, k] = inks.map(|percent| 1.0 - (percent / 100.0).clamp(0.0, 1.0));
    let byte = |light: f64| (light * k * 255.0).round() as u8;
    format!("#{:02x}{:02x}{:02x}", byte(c), byte(m), byte(y))
}

/// A rectangle as a `viewBox`.
pub(crate) fn view_box(rect: Rect) -> String {
    format!(
        "{} {} {} {}",
        mm(rect.x),
        mm(rect.y),
        mm(rect.width),
        mm(rect.height)
    )
}

/// Millimetres to a hundredth, as drawings want them.
pub(crate) fn mm(length: Length) -> String {
    short(length.mm())
}

/// A number to a hundredth, without idle zeros.
pub(crate) fn short(number: f64) -> String {
    let text = format!("{number:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Millimetres to a thousandth, for bars.
fn fine(length: Length) -> String {
    format!("{:.3}", length.mm())
}

fn mm_of(length: Length) -> f64 {
    length.mm()
}
