//! The sheets around the pages: their papers, their print, and how large they lie open.

use book::object::{Allowance, Amount, FlatKind, FlatSheet, Object};
use book::{Book, Dress, WordInk};

use super::Line;
use super::thing::{figure, in_black, stock, tenths};

/// The words for one kind of sheet.
struct Words {
    key: &'static str,
    what: &'static str,
    size_key: &'static str,
    size_what: &'static str,
    /// Key of the book file with the weight of its paper, where it is no stock of its own.
    paper: Option<&'static str>,
}

const fn words_of(kind: FlatKind) -> Words {
    let (key, what, size_key, size_what, paper) = match kind {
        FlatKind::SoftCover => (
            "soft-cover",
            "Cover",
            "soft-cover-size",
            "Cover, opened",
            None,
        ),
        FlatKind::CaseWrap => (
            "case-wrap",
            "Covering of the case",
            "case-wrap-size",
            "Covering of the case, opened",
            Some("case.covering"),
        ),
        FlatKind::FrontEndpaper => (
            "front-endpaper",
            "Front endpaper",
            "front-endpaper-size",
            "Front endpaper, opened",
            Some("endpapers.grammage"),
        ),
        FlatKind::BackEndpaper => (
            "back-endpaper",
            "Back endpaper",
            "back-endpaper-size",
            "Back endpaper, opened",
            Some("endpapers.grammage"),
        ),
        FlatKind::Jacket => (
            "jacket",
            "Jacket",
            "jacket-size",
            "Jacket, opened",
            Some("jacket.grammage"),
        ),
        FlatKind::BellyBand => (
            "belly-band",
            "Belly band",
            "belly-band-size",
            "Belly band, opened",
            Some("band.grammage"),
        ),
        FlatKind::SlipcaseWrap => (
            "slipcase-wrap",
            "Slipcase, covering",
            "slipcase-wrap-size",
            "Slipcase, covering, opened",
            Some("slipcase.covering"),
        ),
        FlatKind::SlipcaseEnds => (
            "slipcase-ends",
            "Slipcase, head and foot",
            "slipcase-ends-size",
            "Slipcase, head and foot, opened",
            Some("slipcase.covering"),
        ),
    };
    Words {
        key,
        what,
        size_key,
        size_what,
        paper,
    }
}

/// Each sheet in two lines: what it is made of, and its opened size, which follows from the block.
pub(super) fn describe(book: &Book, object: &Object, lines: &mut Vec<Line>) {
    for flat in &object.flats {
        let words = words_of(flat.kind);
        let mut said: Vec<String> = Vec::new();
        match words.paper {
            None => said.push(stock(&book.cover_stock)),
            Some(key) => {
                if let Some((Amount::Weight(weight), _)) = figure(object, key) {
                    said.push(weight.to_string());
                }
            }
        }
        said.push(print(book, flat).to_owned());
        said.extend(shape(book, object, flat));
        lines.push(Line::of_object(words.key, words.what, said.join(", ")));
        let count = match flat.count {
            1 => String::new(),
            many => format!("{many} of "),
        };
        let allowance = match flat.allowance {
            Allowance::Bleed(bleed) => format!("trimmed; {bleed} bleed beyond"),
            Allowance::TurnIn(turn_in) => format!("with its turn-ins of {turn_in}"),
        };
        lines.push(Line::of_book(
            words.size_key,
            words.size_what,
            format!(
                "{count}{} × {} {allowance}",
                tenths(flat.trim.width).trim_end_matches(" mm"),
                tenths(flat.trim.height)
            ),
        ));
    }
    if book.object.slipcase.is_some()
        && let Some((Amount::Length(board), _)) = figure(object, "slipcase.board")
    {
        lines.push(Line::of_object(
            "slipcase-board",
            "Slipcase, board",
            tenths(board),
        ));
    }
}

/// What of a sheet's shape costs, beside its paper: flaps, and the height of a band.
fn shape(book: &Book, object: &Object, flat: &FlatSheet) -> Option<String> {
    let length = |key: &str| match figure(object, key) {
        Some((Amount::Length(length), _)) => Some(tenths(length)),
        _ => None,
    };
    match flat.kind {
        FlatKind::SoftCover => {
            book.object.flaps?;
            Some(format!("flaps of {}", length("flaps.width")?))
        }
        FlatKind::Jacket => Some(format!("flaps of {}", length("jacket.flap")?)),
        FlatKind::BellyBand => Some(format!("{} high", length("band.height")?)),
        _ => None,
    }
}

/// How the outside of a sheet prints; its inside stays bare.
fn print(book: &Book, flat: &FlatSheet) -> &'static str {
    let dress = book.dress_of(flat.kind);
    let [cyan, magenta, yellow, black] = dress.ground;
    let coloured = cyan.max(magenta).max(yellow) > 0.0
        || dress
            .pictures()
            .any(|picture| !in_black(book, &picture.piece));
    let bar_code = book.bar_code.as_ref().is_some_and(|wish| match wish.on {
        Some(on) => on.is(flat.kind),
        None => matches!(flat.kind, FlatKind::SoftCover | FlatKind::Jacket),
    });
    let in_ink = black > 0.0
        || dress.pictures().next().is_some()
        || (dress.ink == WordInk::Black && has_words(dress))
        || bar_code;
    if coloured {
        "printed 4/0"
    } else if in_ink {
        "printed 1/0 in black"
    } else {
        "not printed"
    }
}

fn has_words(dress: &Dress) -> bool {
    dress.front_words
        || !dress.spine_words.is_empty()
        || [
            &dress.words,
            &dress.back_words,
            &dress.front_flap_words,
            &dress.back_flap_words,
        ]
        .iter()
        .any(|words| !words.is_empty())
}
