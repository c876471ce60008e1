//! A first book from a title, a page and a folder of art: something to begin from, never the last
//! word.

mod choose;
mod text;

use std::collections::HashSet;

use measure::{Length, PixelSize, Size};

use crate::error::BookErrors;
use crate::names::{free_name, name_of_piece};
use crate::object::Object;
use crate::plan::Plan;
use crate::read::{path_fault, read};
use choose::Sheet;
use text::{Draft, write};

/// What is known before there is a book.
#[derive(Debug, Clone, PartialEq)]
pub struct FirstBook {
    /// Title; line breaks become spaces.
    pub title: String,
    /// Author; may be empty.
    pub author: String,
    /// The trimmed page.
    pub trim: Size,
    /// The art: names below `art/`, and pixels, upright. In any order.
    pub art: Vec<(String, PixelSize)>,
}

/// The text of a first `book.toml`, with comments that help to go on by hand.
///
/// The title page comes first and the colophon last; between them stand the pieces in the order of
/// their names, as far as spreads can begin on left pages without blanks. Wide pieces cross the
/// fold, tall ones fill a page, near-square and small ones stand within margins, and neighbours of
/// one shape stand side by side. Pieces whose names no book file can hold are left out, and the
/// text says how many.
///
/// # Errors
/// The title is empty or too long, the page beyond what is accepted, or there are more pieces than
/// a book can hold. Whatever is returned as text reads back without an error.
pub fn propose(first: &FirstBook) -> Result<String, BookErrors> {
    let mut art: Vec<(&str, PixelSize)> = first
        .art
        .iter()
        .filter(|(name, size)| {
            path_fault(name).is_none()
                && size.width > 0
                && size.height > 0
                && !name.trim().is_empty()
        })
        .map(|(name, size)| (name.as_str(), *size))
        .collect();
    art.sort_by_cached_key(|(name, _)| (in_order(name), name.to_string()));
    art.dedup_by(|(a, _), (b, _)| a == b);

    let sheet = Sheet {
        trim: first.trim,
        bleed: Length::from_mm(3.0),
        fold: Length::from_mm(10.0),
    };
    let sizes: Vec<PixelSize> = art.iter().map(|(_, size)| *size).collect();
    // Beyond all sense there is nothing to choose; the reader says what is wrong with the page.
    let sensible = (50.0..=1000.0).contains(&first.trim.width.mm())
        && (50.0..=1000.0).contains(&first.trim.height.mm());
    let units = if sensible {
        sheet.units(&sizes)
    } else {
        Vec::new()
    };
    let mut names = HashSet::from(["title".to_owned(), "colophon".to_owned()]);
    let named = units
        .into_iter()
        .map(|unit| {
            let wished = name_of_piece(art[unit.pieces[0]].0);
            let name = free_name(&wished, |candidate| names.contains(candidate));
            names.insert(name.clone());
            (name, unit)
        })
        .collect::<Vec<_>>();
    let pages = 2 + named.iter().map(|(_, unit)| unit.pages()).sum::<u32>();
    let mut draft = Draft {
        title: one_line(&first.title),
        author: one_line(&first.author),
        sheet,
        // A thin book is stitched, and a thicker one sewn, since sewn books open flat and a
        // picture across the fold is seen whole.
        stitched: pages <= 24,
        spine_words: String::new(),
        front: sensible.then(|| sheet.front_piece(&sizes)).flatten(),
        art: &art,
        units: &named,
        left_out: first.art.len() - art.len(),
    };
    let text = write(&draft);
    let book = read(&text)?;
    let (plan, _) = Plan::lay_out(&book, &|_| None);
    let spine = Object::of(&book, &plan).spine;
    if spine < Length::from_mm(5.0) {
        return Ok(text);
    }
    draft.spine_words = draft.title.clone();
    let text = write(&draft);
    read(&text)?;
    Ok(text)
}

/// On one line, with single spaces and nothing unseen.
fn one_line(text: &str) -> String {
    let seen: String = text
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    seen.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A piece of a name: numbers are compared as numbers, so that `piece-9` comes before `piece-10`.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Part {
    Number(u128),
    Letters(String),
}

/// What names are sorted by; endings such as `.png` do not count.
fn in_order(name: &str) -> Vec<Part> {
    let lower = name.to_lowercase();
    let mut parts = Vec::new();
    let mut rest = match lower.rsplit_once('.') {
        Some((stem, ending)) if !ending.contains('/') => stem,
        _ => lower.as_str(),
    };
    while let Some(first) = rest.chars().next() {
        let digits = first.is_ascii_digit();
        let end = rest
            .find(|c: char| c.is_ascii_digit() != digits)
            .unwrap_or(rest.len());
        let (part, after) = rest.split_at(end);
        parts.push(match part.parse() {
            Ok(number) if digits => Part::Number(number),
            _ => Part::Letters(part.to_owned()),
        });
        rest = after;
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_in_names_count() {
        let mut names = ["b2", "B10", "b1-again.png", "a", "b1.png", "b01x"];
        names.sort_by_key(|name| in_order(name));
        assert_eq!(names, ["a", "b1.png", "b1-again.png", "b01x", "b2", "B10"]);
    }

    #[test]
    fn a_title_comes_onto_one_line() {
        assert_eq!(one_line(" The\n Low\u{7} \t Line "), "The Low Line");
    }
}
