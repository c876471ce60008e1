//! What is done to the art for paper: the book's recipe, what a proof has taught, and what is wished
//! for single pieces.

use std::collections::HashMap;
use std::ops::RangeInclusive;

use toml_edit::TableLike;

use super::cursor::{Cursor, Place};
use super::{cut, pages, value};
use crate::error::Problem;
use crate::key;
use crate::model::{ForPaper, Learned, OwnFigures, PaperRecipe, PieceInks, PieceWish, Sharpening};
use crate::range::{self, Range};

/// The most numbers or pairs that a list of `[paper.learned]` may have, and what each may be: those
/// that the colour room takes.
const MOST_NUMBERS: usize = 64;
const FACTOR: RangeInclusive<f64> = 0.5..=2.0;
const TURN: RangeInclusive<f64> = -30.0..=30.0;
const SHIFT: RangeInclusive<f64> = -15.0..=15.0;

/// `[paper]` and `[paper.learned]`; the art goes to the press as it is where they are not there.
pub(super) fn for_paper(cursor: &mut Cursor<'_>, top: &dyn TableLike) -> ForPaper {
    let place = cursor.section(top, key::PAPER);
    let usual = ForPaper::default();
    let recipe = cursor.word(place, "recipe", &PaperRecipe::WORDS);
    let name = cursor.line_of_text(place, "name", range::NAME);
    let own = own_figures(cursor, place);
    let sharpening = cursor.word(place, "sharpening", &Sharpening::WORDS);
    let ruling = figure(
        cursor,
        place,
        "ruling",
        "lines to the inch such as `175lpi`, or to the centimetre such as `70l/cm`",
        value::ruling,
        range::RULING,
    );
    ForPaper {
        recipe: recipe.map_or(usual.recipe, |found| found.value),
        name: name.map(|name| name.value).unwrap_or_default(),
        own,
        sharpening: sharpening.map_or(usual.sharpening, |found| found.value),
        ruling,
        learned: learned(cursor, top),
    }
}

/// One entry for each `[[piece]]`. Those that are wrong are left out, and what is wrong is written
/// down.
pub(super) fn piece_wishes(cursor: &mut Cursor<'_>, top: &dyn TableLike) -> Vec<PieceWish> {
    let entries = cursor.known_entries(
        top,
        key::PIECE,
        range::PIECES,
        "each piece under its own `[[piece]]`",
    );
    let mut lines: HashMap<String, u32> = HashMap::new();
    let mut wishes = Vec::with_capacity(entries.len());
    for place in entries {
        let Some(wish) = piece_wish(cursor, place) else {
            continue;
        };
        if let Some(first) = lines.get(&wish.piece) {
            cursor.wrong(
                place.line,
                Problem::WishedTwice {
                    piece: cut(&wish.piece),
                    first: *first,
                },
            );
            continue;
        }
        lines.insert(wish.piece.clone(), wish.line);
        wishes.push(wish);
    }
    wishes
}

fn piece_wish(cursor: &mut Cursor<'_>, place: Place<'_>) -> Option<PieceWish> {
    let piece = pages::piece(cursor, place, "art");
    if piece.is_none()
        && place
            .table
            .is_none_or(|table| pages::is_empty(table, "art"))
    {
        cursor.missing(place, "art");
    }
    let recipe = cursor.word(place, "recipe", &PaperRecipe::WORDS);
    let own = own_figures(cursor, place);
    let inks = cursor.word(place, "inks", &PieceInks::WORDS);
    let sharpening = cursor.word(place, "sharpening", &Sharpening::WORDS);
    Some(PieceWish {
        piece: piece?.value,
        recipe: recipe.map(|found| found.value),
        own,
        inks: inks.map_or(PieceInks::ByLook, |found| found.value),
        sharpening: sharpening.map(|found| found.value),
        line: place.line,
    })
}

/// The figures of a recipe that are said; the same keys in `[paper]` and in `[[piece]]`.
fn own_figures(cursor: &mut Cursor<'_>, place: Place<'_>) -> OwnFigures {
    let mut percent = |key: &str, range: Range| {
        figure(
            cursor,
            place,
            key,
            "a change in percent such as `-8%`",
            value::change_in_percent,
            range,
        )
    };
    let contrast = percent("contrast", range::CONTRAST);
    let saturation = percent("saturation", range::SATURATION);
    let bands = [
        percent("red", range::RED),
        percent("yellow", range::YELLOW),
        percent("green", range::GREEN),
        percent("cyan", range::CYAN),
        percent("blue", range::BLUE),
        percent("magenta", range::MAGENTA),
    ];
    let mut lightness = |key: &str, range: Range| {
        figure(
            cursor,
            place,
            key,
            "a plain number of L*, where 0 is black and 100 is white",
            value::number,
            range,
        )
    };
    OwnFigures {
        contrast,
        lightening: lightness("lightening", range::LIGHTENING),
        saturation,
        bands,
        black: lightness("black", range::BLACK_POINT),
        white: lightness("white", range::WHITE_POINT),
    }
}

/// A figure that is written in a way of its own; `None` if it is not there or wrong.
fn figure(
    cursor: &mut Cursor<'_>,
    place: Place<'_>,
    key: &str,
    expected: &'static str,
    parse: fn(&str) -> Option<f64>,
    range: Range,
) -> Option<f64> {
    let found = cursor.text_or_number(place, key)?;
    match parse(&found.value) {
        Some(value) if range.holds(&value) => Some(value),
        Some(_) => {
            cursor.out_of_range(found.line, range, &found.value);
            None
        }
        None => {
            cursor.unreadable(place, key, found.line, expected, &found.value);
            None
        }
    }
}

/// `[paper.learned]`; a section that says nothing teaches nothing.
fn learned(cursor: &mut Cursor<'_>, top: &dyn TableLike) -> Option<Learned> {
    let place = cursor.section(top, key::LEARNED);
    let table = place.table?;
    let from = cursor.line_of_text(place, "from", range::NAME);
    let tone = numbers(
        cursor,
        place,
        "tone",
        "pairs of L* intended and L* printed, each from 0 to 100 and both rising, such as \
         `0 3, 50 44, 100 100`",
        |text| value::pairs(text, MOST_NUMBERS).filter(|pairs| rises(pairs)),
    );
    let mut around = |key: &str, expected: &'static str, bounds: RangeInclusive<f64>| {
        numbers(cursor, place, key, expected, |text| {
            value::list(text, MOST_NUMBERS)
                .filter(|list| list.iter().all(|value| bounds.contains(value)))
        })
    };
    let saturation = around(
        "saturation",
        "up to 64 factors from 0.5 to 2 around the hue circle",
        FACTOR,
    );
    let hue = around(
        "hue",
        "up to 64 turns from -30 to 30 degrees around the hue circle",
        TURN,
    );
    let depth = around(
        "depth",
        "up to 64 factors from 0.5 to 2, from the darkest to the lightest",
        FACTOR,
    );
    let lift = around(
        "lift",
        "up to 64 changes of L* from -15 to 15 around the hue circle",
        SHIFT,
    );
    let cast = numbers(
        cursor,
        place,
        "cast",
        "up to 64 pairs of a* and b* from -15 to 15, from the darkest to the lightest",
        |text| {
            value::pairs(text, MOST_NUMBERS).filter(|pairs| {
                let within = |(a, b): &(f64, f64)| SHIFT.contains(a) && SHIFT.contains(b);
                pairs.iter().all(within)
            })
        },
    );
    let teaches = key::LEARNED
        .names()
        .any(|key| key != "from" && table.contains_key(key));
    if !teaches {
        if table.contains_key("from") {
            cursor.missing(place, "tone");
        }
        return None;
    }
    Some(Learned {
        from: from.map(|from| from.value).unwrap_or_default(),
        tone,
        saturation,
        hue,
        depth,
        lift,
        cast,
    })
}

/// Numbers of a key that is written as a list; none if it is not there or wrong.
fn numbers<T>(
    cursor: &mut Cursor<'_>,
    place: Place<'_>,
    key: &str,
    expected: &'static str,
    parse: impl Fn(&str) -> Option<Vec<T>>,
) -> Vec<T> {
    let Some(found) = cursor.text(place, key) else {
        return Vec::new();
    };
    parse(found.value).unwrap_or_else(|| {
        cursor.unreadable(place, key, found.line, expected, found.value);
        Vec::new()
    })
}

/// Whether pairs of L* could be a tone curve: none at all, or at least two, within bounds, both
/// rising.
fn rises(pairs: &[(f64, f64)]) -> bool {
    let lightness = 0.0..=100.0;
    pairs.len() != 1
        && pairs
            .iter()
            .all(|(intended, printed)| lightness.contains(intended) && lightness.contains(printed))
        && pairs
            .windows(2)
            .all(|two| two[0].0 < two[1].0 && two[0].1 < two[1].1)
}
