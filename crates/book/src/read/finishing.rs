//! The bar code and the finishings.

use std::collections::HashMap;

use measure::{Length, Percent};
use toml_edit::TableLike;

use super::cursor::{Cursor, Lined, Place};
use super::{cut, pages, path_fault};
use crate::bar_code::{BarCode, Isbn, PriceAddOn};
use crate::dress::Carrier;
use crate::error::Problem;
use crate::finishing::{
    BarCodeWish, Corner, Finishing, FinishingColour, MaskFit, PlateSource, Process,
};
use crate::key;
use crate::range;

/// Names that mean an ink or all of them in a press file.
const INKS: [&str; 6] = ["cyan", "magenta", "yellow", "black", "all", "none"];

/// `[barcode]`; a book with a number gets a bar code unless it says otherwise.
pub(super) fn bar_code(
    cursor: &mut Cursor<'_>,
    top: &dyn TableLike,
    isbn: Option<Isbn>,
) -> Option<BarCodeWish> {
    let place = cursor.section(top, key::BAR_CODE);
    let wanted = cursor.switch(place, "wanted", true);
    let on = cursor.word(place, "on", &Carrier::WORDS);
    let panel = cursor.line_of_text(place, "panel", range::NAME);
    let corner = cursor.word(place, "place", &Corner::WORDS);
    let magnification = cursor.ranged::<Percent>(place, "magnification", range::MAGNIFICATION);
    let reduction = cursor.ranged::<Length>(place, "width_reduction", range::WIDTH_REDUCTION);
    let price = price(cursor, place);
    let white = cursor.switch(place, "white", true);
    let code = BarCode::new(
        isbn?,
        price,
        magnification.map_or(100.0, |found| found.value.percent()),
        reduction.map_or(Length::ZERO, |found| found.value),
    );
    let code = match code {
        Ok(code) => code,
        Err(error) => {
            let line = reduction.map_or(place.line, |found| found.line);
            let why = error.to_string();
            cursor.wrong(line, Problem::BarCode { why });
            return None;
        }
    };
    wanted.then(|| BarCodeWish {
        code,
        on: on.map(|on| on.value),
        panel: named_or(panel, "back"),
        place: corner.map_or(Corner::default(), |corner| corner.value),
        white,
    })
}

fn price(cursor: &mut Cursor<'_>, place: Place<'_>) -> Option<PriceAddOn> {
    let found = cursor.text(place, "price")?;
    if found.value.trim().is_empty() {
        return None;
    }
    let price = found.value.parse().ok();
    if price.is_none() {
        cursor.unreadable(
            place,
            "price",
            found.line,
            "five digits such as `52495`",
            found.value,
        );
    }
    price
}

/// One entry for each `[[finishing]]`. Those that are wrong are left out, and what is wrong is
/// written down.
pub(super) fn finishings(cursor: &mut Cursor<'_>, top: &dyn TableLike) -> Vec<Finishing> {
    let entries = cursor.known_entries(
        top,
        key::FINISHING,
        range::FINISHINGS,
        "each finishing under its own `[[finishing]]`",
    );
    let mut lines: HashMap<String, u32> = HashMap::new();
    let mut finishings = Vec::with_capacity(entries.len());
    for place in entries {
        let Some(finishing) = finishing(cursor, place) else {
            continue;
        };
        // A printer who sorts plates by name takes `Foil` and `foil` for one.
        let folded = finishing.name.to_lowercase();
        if let Some(first) = lines.get(&folded) {
            cursor.wrong(
                place.line,
                Problem::PlateName {
                    name: cut(&finishing.name),
                    why: format!("the finishing on line {first} has it"),
                },
            );
            continue;
        }
        lines.insert(folded, finishing.line);
        finishings.push(finishing);
    }
    finishings
}

fn finishing(cursor: &mut Cursor<'_>, place: Place<'_>) -> Option<Finishing> {
    let name = name(cursor, place);
    let process = cursor
        .needed(place, "process")
        .then(|| cursor.word(place, "process", &Process::WORDS))
        .flatten();
    let on = cursor.word(place, "on", &Carrier::WORDS);
    let panel = cursor.line_of_text(place, "panel", range::NAME);
    let source = source(cursor, place);
    let colour = cursor.word(place, "colour", &FinishingColour::WORDS);
    let mut finest = |key: &str| {
        cursor
            .ranged::<Length>(place, key, range::FINEST)
            .map(|found| found.value)
    };
    let least_line = finest("least_line");
    let least_gap = finest("least_gap");
    let thicken = cursor.ranged::<Length>(place, "thicken", range::THICKENING);
    let fit = cursor.word(place, "fit", &MaskFit::WORDS);
    let process = process?.value;
    Some(Finishing {
        name: name?,
        process,
        on: on.map_or(Carrier::Cover, |on| on.value),
        panel: named_or(panel, "front"),
        source: source?,
        colour: colour.map_or(usual_colour(process), |colour| colour.value),
        least_line,
        least_gap,
        thicken: thicken.map_or(Length::ZERO, |thicken| thicken.value),
        fit: fit.map_or(MaskFit::default(), |fit| fit.value),
        line: place.line,
    })
}

const fn usual_colour(process: Process) -> FinishingColour {
    match process {
        Process::Foil => FinishingColour::Gold,
        Process::SpotVarnish | Process::BlindEmboss | Process::BlindDeboss => {
            FinishingColour::Clear
        }
    }
}

fn name(cursor: &mut Cursor<'_>, place: Place<'_>) -> Option<String> {
    if !cursor.needed(place, "name") {
        return None;
    }
    let Lined { value, line } = cursor.line_of_text(place, "name", range::PLATE_NAME)?;
    let why = if INKS.contains(&value.to_lowercase().as_str()) {
        Some("in a press file it means ink")
    } else if value.contains(|c: char| !(c.is_alphanumeric() || matches!(c, ' ' | '-' | '_'))) {
        Some("only letters, digits, spaces and hyphens can stand in it")
    } else {
        None
    };
    let Some(why) = why else { return Some(value) };
    cursor.wrong(
        line,
        Problem::PlateName {
            name: cut(&value),
            why: why.to_owned(),
        },
    );
    None
}

fn source(cursor: &mut Cursor<'_>, place: Place<'_>) -> Option<PlateSource> {
    let alone = cursor.word(place, "words", &[("title", false), ("title alone", true)]);
    let has = |key| {
        place
            .table
            .is_some_and(|table| !pages::is_empty(table, key))
    };
    match (has("mask"), has("words")) {
        (true, true) => {
            cursor.wrong(
                place.line,
                Problem::Clash {
                    within: place.within(),
                    first: "mask",
                    second: "words",
                },
            );
            None
        }
        (false, true) => alone.map(|alone| match alone.value {
            false => PlateSource::Title,
            true => PlateSource::TitleAlone,
        }),
        (false, false) => {
            cursor.missing(place, "mask");
            None
        }
        (true, false) => {
            let found = cursor.text(place, "mask")?;
            if let Some(why) = path_fault(found.value) {
                cursor.wrong(
                    found.line,
                    Problem::Path {
                        key: "mask".to_owned(),
                        found: cut(&found.value.escape_debug().to_string()),
                        why,
                    },
                );
                return None;
            }
            Some(PlateSource::Mask(found.value.to_owned()))
        }
    }
}

fn named_or(found: Option<Lined<String>>, otherwise: &str) -> String {
    match found {
        Some(found) if !found.value.is_empty() => found.value,
        _ => otherwise.to_owned(),
    }
}
