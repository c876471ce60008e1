//! The sections that stand once.

use measure::{Bulk, Grammage, Length, Percent, Resolution, Size};
use toml_edit::TableLike;

use super::cursor::{Cursor, Place};
use super::{
    asking, cut, dates, dress, edition, finishing, landing, object, pages, paper, path_fault,
    sources, value,
};
use crate::bar_code::Isbn;
use crate::dress::Dress;
use crate::error::Problem;
use crate::key;
use crate::model::{
    About, Binding, BindingKind, Book, Finish, Format, PictureCoding, PressWishes, Rendering,
    Signature, Stock, Thickness,
};
use crate::near::nearest;
use crate::range;

/// The least that margins must leave of a page, so that there is something to place.
const LEAST_ROOM: Length = Length::from_nm(20_000_000);

/// Reads every section, so that all that is wrong is found, and then puts the book together.
pub(super) fn book(cursor: &mut Cursor<'_>, top: &dyn TableLike) -> Option<Book> {
    let about = about(cursor, top);
    let format = format(cursor, top);
    let binding = binding(cursor, top);
    let object = object::object_wishes(cursor, top);
    let text_stock = text_stock(cursor, top);
    let cover_stock = cover_stock(cursor, top);
    let press = press(cursor, top);
    let for_paper = paper::for_paper(cursor, top);
    let piece_wishes = paper::piece_wishes(cursor, top);
    let cover = cover(cursor, top);
    let jacket = dress::dress(cursor, top, key::JACKET, true);
    let band = dress::dress(cursor, top, key::BAND, false);
    let slipcase = dress::dress(cursor, top, key::SLIPCASE, false);
    let endpapers = dress::dress(cursor, top, key::ENDPAPERS, false);
    let bar_code = finishing::bar_code(cursor, top, about.as_ref().and_then(|about| about.isbn));
    let finishings = finishing::finishings(cursor, top);
    let ask = asking::ask(cursor, top);
    let deliveries = asking::deliveries(cursor, top);
    let printers = asking::printers(cursor, top, &deliveries);
    let all_read = top.get("printer").is_none_or(|item| {
        item.as_array_of_tables()
            .is_some_and(|tables| tables.len() == printers.len())
    });
    let landing = landing::landing(cursor, top, all_read.then_some(&printers));
    let dates = dates::dates(cursor, top, all_read.then_some(&printers));
    let edition = edition::edition(cursor, top, all_read.then_some(&printers));
    let sources = sources::sources(cursor, top);
    let running_order = pages::running_order(cursor, top, format.map(|format| format.trim));
    Some(Book {
        about: about?,
        format: format?,
        binding: binding?,
        object,
        text_stock: text_stock?,
        cover_stock: cover_stock?,
        press: press?,
        paper: for_paper,
        piece_wishes,
        cover,
        jacket,
        band,
        slipcase,
        endpapers,
        bar_code,
        finishings,
        ask,
        deliveries,
        printers,
        landing,
        dates,
        edition,
        sources,
        running_order,
    })
}

fn about(cursor: &mut Cursor<'_>, top: &dyn TableLike) -> Option<About> {
    let place = cursor.section(top, key::BOOK);
    let title = cursor.line_of_text(place, "title", range::TITLE);
    if place.table.is_none_or(|table| !table.contains_key("title"))
        || title.as_ref().is_some_and(|title| title.value.is_empty())
    {
        cursor.missing(place, "title");
    }
    let author = cursor.line_of_text(place, "author", range::TITLE);
    let language = cursor.text(place, "language");
    if let Some(found) = language {
        if !value::is_language(found.value) {
            cursor.unreadable(
                place,
                "language",
                found.line,
                "a language such as `en`, `de` or `pt-BR`",
                found.value,
            );
        } else if value::reads_from_right(found.value) {
            let language = found.value.to_owned();
            cursor.wrong(found.line, Problem::FromTheRight { language });
        }
    }
    let isbn = isbn(cursor, place);
    Some(About {
        title: title?.value,
        author: author.map(|author| author.value).unwrap_or_default(),
        language: language.map_or("en", |language| language.value).to_owned(),
        isbn,
    })
}

/// The book number; a wrong one is complained of.
fn isbn(cursor: &mut Cursor<'_>, place: Place<'_>) -> Option<Isbn> {
    let found = cursor.text(place, "isbn")?;
    if found.value.trim().is_empty() {
        return None;
    }
    match found.value.parse() {
        Ok(isbn) => Some(isbn),
        Err(error) => {
            cursor.wrong(found.line, Problem::BookNumber { error });
            None
        }
    }
}

/// The cover, whose section is read for nothing else.
fn cover(cursor: &mut Cursor<'_>, top: &dyn TableLike) -> Dress {
    cursor.section(top, key::COVER);
    dress::dress(cursor, top, key::COVER, true)
}

fn format(cursor: &mut Cursor<'_>, top: &dyn TableLike) -> Option<Format> {
    let place = cursor.section(top, key::FORMAT);
    let trim = trim(cursor, place);
    let mut length = |key: &str, range: range::Range, otherwise: f64| {
        cursor
            .ranged::<Length>(place, key, range)
            .map_or(Length::from_mm(otherwise), |found| found.value)
    };
    let bleed = length("bleed", range::BLEED, 3.0);
    let safe = length("safe", range::SAFE, 8.0);
    let fold = length("fold", range::FOLD, 10.0);
    let fold_repeat = length("fold_repeat", range::FOLD_REPEAT, 0.0);
    let folios = cursor.switch(place, "folios", true);
    let trim = trim?;
    let across = trim.width - safe - safe.max(fold);
    let down = trim.height - safe * 2;
    if across.min(down) < LEAST_ROOM {
        cursor.wrong(
            place.line,
            Problem::NoRoom {
                what: "the safe margin and the fold margin together".to_owned(),
                left: across.min(down).max(Length::ZERO).to_string(),
                least: LEAST_ROOM.to_string(),
            },
        );
    }
    Some(Format {
        trim,
        bleed,
        safe,
        fold,
        fold_repeat,
        folios,
    })
}

fn trim(cursor: &mut Cursor<'_>, place: Place<'_>) -> Option<Size> {
    if place.table.is_none_or(|table| !table.contains_key("trim")) {
        cursor.missing(place, "trim");
        return None;
    }
    let trim = cursor.measure::<Size>(place, "trim")?;
    let written = cursor.text(place, "trim")?.value;
    let mut fits = true;
    for (side, range) in [
        (trim.value.width, range::TRIM_WIDTH),
        (trim.value.height, range::TRIM_HEIGHT),
    ] {
        if !range.holds(&side) {
            cursor.out_of_range(trim.line, range, written);
            fits = false;
        }
    }
    fits.then_some(trim.value)
}

fn binding(cursor: &mut Cursor<'_>, top: &dyn TableLike) -> Option<Binding> {
    let place = cursor.section(top, key::BINDING);
    if place.table.is_none_or(|table| !table.contains_key("kind")) {
        cursor.missing(place, "kind");
    }
    let kind = cursor.word(place, "kind", &BindingKind::WORDS);
    let signature = match cursor.whole(place, "signature") {
        None => Signature::from_pages(16),
        Some(found) => {
            let signature = u8::try_from(found.value)
                .ok()
                .and_then(Signature::from_pages);
            if signature.is_none() {
                cursor.wrong(
                    found.line,
                    Problem::UnknownWord {
                        key: "signature".to_owned(),
                        expected: "8, 12, 16, 24 or 32 pages".to_owned(),
                        found: found.value.to_string(),
                        near: None,
                    },
                );
            }
            signature
        }
    };
    let board = cursor.ranged::<Length>(place, "board", range::BOARD);
    Some(Binding {
        kind: kind?.value,
        signature: signature?,
        board: board.map_or(Length::from_mm(2.5), |board| board.value),
    })
}

fn text_stock(cursor: &mut Cursor<'_>, top: &dyn TableLike) -> Option<Stock> {
    let place = cursor.section(top, key::TEXT_STOCK);
    if place
        .table
        .is_none_or(|table| !table.contains_key("grammage"))
    {
        cursor.missing(place, "grammage");
    }
    stock(cursor, place, range::TEXT_GRAMMAGE)
}

/// The cover stock; silk of 300 g/m² where the file does not say.
fn cover_stock(cursor: &mut Cursor<'_>, top: &dyn TableLike) -> Option<Stock> {
    let place = cursor.section(top, key::COVER_STOCK);
    if place.table.is_none() {
        return Some(Stock {
            name: String::new(),
            grammage: Grammage::from_gsm(300.0).expect("300 lies within 1 to 5,000"),
            thickness: Thickness::Assumed(Finish::Silk.typical_bulk()),
            finish: Finish::Silk,
        });
    }
    if place
        .table
        .is_none_or(|table| !table.contains_key("grammage"))
    {
        cursor.missing(place, "grammage");
    }
    stock(cursor, place, range::COVER_GRAMMAGE)
}

fn stock(cursor: &mut Cursor<'_>, place: Place<'_>, weights: range::Range) -> Option<Stock> {
    let name = cursor.line_of_text(place, "name", range::NAME);
    let grammage = cursor.ranged::<Grammage>(place, "grammage", weights);
    let finish = match place.table {
        Some(table) if table.contains_key("finish") => cursor
            .word(place, "finish", &Finish::WORDS)
            .map(|found| found.value),
        _ => Some(Finish::Silk),
    };
    let caliper = cursor.ranged::<Length>(place, "caliper", range::CALIPER);
    let bulk = cursor.measure::<Bulk>(place, "bulk");
    if let (Some(caliper), Some(bulk)) = (caliper, bulk) {
        cursor.wrong(
            caliper.line.max(bulk.line),
            Problem::Clash {
                within: format!("`[{}]`", place.section.name),
                first: "bulk",
                second: "caliper",
            },
        );
    }
    let (grammage, finish) = (grammage?.value, finish?);
    let thickness = match (caliper, bulk) {
        (Some(caliper), _) => Thickness::Caliper(caliper.value),
        (None, Some(bulk)) => Thickness::Bulk(bulk.value),
        (None, None) => Thickness::Assumed(finish.typical_bulk()),
    };
    let stock = Stock {
        name: name.map(|name| name.value).unwrap_or_default(),
        grammage,
        thickness,
        finish,
    };
    // A bulk may give a sheet that no range of its own has looked at.
    if !range::CALIPER.holds(&stock.caliper()) {
        cursor.out_of_range(place.line, range::CALIPER, &stock.caliper().to_string());
    }
    Some(stock)
}

fn press(cursor: &mut Cursor<'_>, top: &dyn TableLike) -> Option<PressWishes> {
    const CONDITIONS: [&str; 3] = ["coated", "coated-americas", "uncoated"];
    let place = cursor.section(top, key::PRESS);
    let condition = cursor.text(place, "condition");
    if let Some(found) = condition
        && !CONDITIONS.contains(&found.value)
    {
        let lower = found.value.to_lowercase();
        if !(lower.ends_with(".icc") || lower.ends_with(".icm")) {
            cursor.wrong(
                found.line,
                Problem::UnknownWord {
                    key: "condition".to_owned(),
                    expected: "`coated`, `coated-americas`, `uncoated` or the path of an ICC \
                               profile in the book folder"
                        .to_owned(),
                    found: cut(found.value),
                    near: nearest(found.value, CONDITIONS).map(str::to_owned),
                },
            );
        } else if let Some(why) = path_fault(found.value) {
            cursor.wrong(
                found.line,
                Problem::Path {
                    key: "condition".to_owned(),
                    found: cut(found.value),
                    why,
                },
            );
        }
    }
    let rendering = cursor.word(place, "rendering", &Rendering::WORDS);
    let ink_limit = cursor.ranged::<Percent>(place, "ink_limit", range::INK_LIMIT);
    let resolution = cursor.ranged::<Resolution>(place, "resolution", range::RESOLUTION);
    let pictures = cursor.word(place, "pictures", &PictureCoding::WORDS);
    let print = Resolution::from_ppi(300.0).expect("300 lies within 1 to 10,000");
    Some(PressWishes {
        condition: condition.map_or("coated", |found| found.value).to_owned(),
        rendering: rendering.map_or(Rendering::Perceptual, |found| found.value),
        ink_limit: ink_limit.map(|found| found.value.percent()),
        resolution: resolution.map_or(print, |found| found.value),
        pictures: pictures.map_or(PictureCoding::Lossless, |found| found.value),
    })
}
