//! The sections about the book as a thing: case, endpapers, jacket, flaps, belly band, slipcase.

use measure::{Grammage, Length, MeasureError};
use std::str::FromStr;
use toml_edit::TableLike;

use super::cursor::{Cursor, Place};
use super::value;
use crate::key;
use crate::object_wishes::{
    Back, BandWishes, CaseWishes, FlapWishes, JacketWishes, ObjectWishes, PaperWishes,
    SlipcaseWishes,
};
use crate::range::{self, Figure, Range};

/// Reads them all. What is not there is left open, so that it is known later what was given.
pub(super) fn object_wishes(cursor: &mut Cursor<'_>, top: &dyn TableLike) -> ObjectWishes {
    let (board, spine, swell) = of_binding(cursor, top);
    let case = case(cursor, top);
    let place = cursor.section(top, key::ENDPAPERS);
    let endpapers = paper(cursor, place, "grammage", "caliper");
    ObjectWishes {
        board,
        spine,
        swell,
        case,
        endpapers,
        jacket: jacket(cursor, top),
        flaps: flaps(cursor, top),
        band: band(cursor, top),
        slipcase: slipcase(cursor, top),
    }
}

/// What `[binding]` says beside the binding; its keys and its board are looked at there.
fn of_binding(
    cursor: &mut Cursor<'_>,
    top: &dyn TableLike,
) -> (Option<Length>, Option<Length>, Option<Length>) {
    let Some(table) = top.get("binding").and_then(|item| item.as_table_like()) else {
        return (None, None, None);
    };
    let place = Place {
        table: Some(table),
        section: key::BINDING,
        line: 1,
    };
    let board = table.get("board").and_then(|item| item.as_str());
    (
        board.and_then(|text| text.parse().ok()),
        said(cursor, place, "spine", range::SPINE),
        said(cursor, place, "swell", range::SWELL),
    )
}

fn case(cursor: &mut Cursor<'_>, top: &dyn TableLike) -> CaseWishes {
    let place = cursor.section(top, key::CASE);
    let back = cursor.word(place, "back", &Back::WORDS);
    let board_density = cursor.text(place, "board_density").and_then(|found| {
        let density = density(found.value);
        match density {
            None => cursor.unreadable(
                place,
                "board_density",
                found.line,
                "a density such as `0.65 g/cm3`",
                found.value,
            ),
            Some(density) if !range::BOARD_DENSITY.holds(&density) => {
                cursor.out_of_range(found.line, range::BOARD_DENSITY, found.value);
            }
            Some(_) => {}
        }
        density
    });
    let bands = place
        .table
        .is_some_and(|table| table.contains_key("bands"))
        .then(|| cursor.switch(place, "bands", true));
    let ribbons = cursor.whole(place, "ribbons").and_then(|found| {
        let count = u8::try_from(found.value).ok();
        if count.is_none_or(|count| !range::RIBBONS.holds(&f64::from(count))) {
            cursor.out_of_range(found.line, range::RIBBONS, &found.value.to_string());
        }
        count
    });
    CaseWishes {
        back: back.map(|back| back.value),
        rise: said(cursor, place, "rise", range::RISE),
        square: said(cursor, place, "square", range::SQUARE),
        setback: said(cursor, place, "setback", range::SETBACK),
        hinge: said(cursor, place, "hinge", range::HINGE),
        turn_in: said(cursor, place, "turn_in", range::TURN_IN),
        strip: said(cursor, place, "strip", range::STRIP),
        board_density,
        covering: paper(cursor, place, "covering", "covering_caliper"),
        bands,
        ribbons,
    }
}

fn jacket(cursor: &mut Cursor<'_>, top: &dyn TableLike) -> Option<JacketWishes> {
    let place = cursor.section(top, key::JACKET);
    let wishes = JacketWishes {
        paper: paper(cursor, place, "grammage", "caliper"),
        height: said(cursor, place, "height", range::JACKET_HEIGHT),
        turn: said(cursor, place, "turn", range::TURN),
        flap: said(cursor, place, "flap", range::FLAP),
    };
    wanted(cursor, place).then_some(wishes)
}

fn flaps(cursor: &mut Cursor<'_>, top: &dyn TableLike) -> Option<FlapWishes> {
    let place = cursor.section(top, key::FLAPS);
    let wishes = FlapWishes {
        width: said(cursor, place, "width", range::COVER_FLAP),
        over: said(cursor, place, "over", range::FLAP_OVER),
    };
    wanted(cursor, place).then_some(wishes)
}

fn band(cursor: &mut Cursor<'_>, top: &dyn TableLike) -> Option<BandWishes> {
    let place = cursor.section(top, key::BAND);
    let wishes = BandWishes {
        paper: paper(cursor, place, "grammage", "caliper"),
        height: said(cursor, place, "height", range::BAND_HEIGHT),
        tuck: said(cursor, place, "tuck", range::TUCK),
        ease: said(cursor, place, "ease", range::EASE),
    };
    wanted(cursor, place).then_some(wishes)
}

fn slipcase(cursor: &mut Cursor<'_>, top: &dyn TableLike) -> Option<SlipcaseWishes> {
    let place = cursor.section(top, key::SLIPCASE);
    let wishes = SlipcaseWishes {
        board: said(cursor, place, "board", range::SLIPCASE_BOARD),
        clearance: said(cursor, place, "clearance", range::CLEARANCE),
        covering: paper(cursor, place, "covering", "covering_caliper"),
        turn_in: said(cursor, place, "turn_in", range::SLIPCASE_TURN_IN),
    };
    wanted(cursor, place).then_some(wishes)
}

/// Whether a piece that not every book has is wanted: it is if its section is there, unless that
/// says otherwise.
fn wanted(cursor: &mut Cursor<'_>, place: Place<'_>) -> bool {
    cursor.switch(place, "wanted", place.table.is_some())
}

fn paper(cursor: &mut Cursor<'_>, place: Place<'_>, weight: &str, caliper: &str) -> PaperWishes {
    PaperWishes {
        grammage: said::<Grammage>(cursor, place, weight, range::LIGHT_GRAMMAGE),
        caliper: said(cursor, place, caliper, range::LIGHT_CALIPER),
    }
}

fn said<T>(cursor: &mut Cursor<'_>, place: Place<'_>, key: &str, range: Range) -> Option<T>
where
    T: FromStr<Err = MeasureError> + Figure,
{
    cursor
        .ranged::<T>(place, key, range)
        .map(|found| found.value)
}

/// A density in g/cm³.
fn density(text: &str) -> Option<f64> {
    let text = text.trim();
    let number = text
        .strip_suffix("g/cm3")
        .or_else(|| text.strip_suffix("g/cm³"))?;
    value::number(number)
}
