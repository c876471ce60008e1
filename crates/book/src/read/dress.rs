//! What sheets are dressed in: the same keys under `[cover]`, `[jacket]`, `[band]`, `[slipcase]`
//! and `[endpapers]`, as far as each has them.

use toml_edit::TableLike;

use super::cursor::{Cursor, Lined, Place};
use super::{pages, value};
use crate::dress::{Dress, SpineReads};
use crate::key::Section;
use crate::model::{Wanted, WordInk};
use crate::range;

/// The keys of a dress; every other key of a section is about the thing itself.
pub(crate) const KEYS: [&str; 15] = [
    "art",
    "focus",
    "front",
    "front_focus",
    "back",
    "back_focus",
    "ground",
    "front_words",
    "words",
    "back_words",
    "spine_words",
    "spine_reads",
    "front_flap_words",
    "back_flap_words",
    "ink",
];

/// Reads a section that stands beside its other keys, which are read elsewhere. `front_words` says
/// whether title and author stand on the front where the file does not say.
pub(super) fn dress(
    cursor: &mut Cursor<'_>,
    top: &dyn TableLike,
    section: Section,
    front_words: bool,
) -> Dress {
    // Shape and unknown keys of the section are complained of by whoever reads the rest of it.
    let table = top.get(section.name).and_then(|item| item.as_table_like());
    let line = cursor.line(top.get(section.name).and_then(toml_edit::Item::span));
    let place = Place {
        table,
        section,
        line,
    };
    let known = |key: &str| section.key(key).is_some();
    let mut wanted = |key: &str, focus: &str| -> Option<Wanted> {
        if !known(key) {
            return None;
        }
        let piece = pages::piece(cursor, place, key);
        let focus = pages::focus(cursor, place, focus);
        Some(Wanted {
            piece: piece?.value,
            focus,
            accept_low_resolution: false,
        })
    };
    let whole = wanted("art", "focus");
    // `back` under `[case]` is its shape; a dress has a picture there.
    let front = wanted("front", "front_focus");
    let back = wanted("back", "back_focus");
    let ground = if known("ground") {
        ground(cursor, place)
    } else {
        [0.0; 4]
    };
    let front_words = if known("front_words") {
        cursor.switch(place, "front_words", front_words)
    } else {
        false
    };
    let mut prose = |key: &str| -> Vec<String> {
        if known(key) {
            pages::paragraphs(cursor, place, key)
        } else {
            Vec::new()
        }
    };
    let words = prose("words");
    let back_words = prose("back_words");
    let front_flap_words = prose("front_flap_words");
    let back_flap_words = prose("back_flap_words");
    let mut spine_words = None;
    let mut spine_reads = None;
    if known("spine_words") {
        spine_words = cursor.line_of_text(place, "spine_words", range::TITLE);
        spine_reads = cursor.word(place, "spine_reads", &SpineReads::WORDS);
    }
    let ink: Option<Lined<WordInk>> = if known("ink") {
        cursor.word(place, "ink", &WordInk::WORDS)
    } else {
        None
    };
    Dress {
        whole,
        front,
        back,
        ground,
        front_words,
        words,
        back_words,
        spine_words: spine_words.map(|words| words.value).unwrap_or_default(),
        spine_reads: spine_reads.map(|reads| reads.value),
        front_flap_words,
        back_flap_words,
        ink: ink.map_or(WordInk::Black, |ink| ink.value),
        said: table
            .is_some_and(|table| KEYS.iter().any(|key| known(key) && table.contains_key(key))),
    }
}

fn ground(cursor: &mut Cursor<'_>, place: Place<'_>) -> [f64; 4] {
    let Some(found) = cursor.text(place, "ground") else {
        return [0.0; 4];
    };
    let Some(inks) = value::numbers::<4>(found.value) else {
        cursor.unreadable(
            place,
            "ground",
            found.line,
            "percent of cyan, magenta, yellow and black, such as `20 0 10 5`",
            found.value,
        );
        return [0.0; 4];
    };
    if !inks.iter().all(|ink| range::GROUND.holds(ink)) {
        cursor.out_of_range(found.line, range::GROUND, found.value);
    }
    inks
}
