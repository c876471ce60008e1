//! What is asked of printers, where the copies go, and the printers.

use std::collections::HashMap;

use measure::Decimal;
use toml_edit::TableLike;

use super::cursor::{Cursor, Lined, Place};
use super::{cut, pages, value};
use crate::asking::{Ask, Delivery, Printer, ProofWanted, Term};
use crate::error::Problem;
use crate::key;
use crate::names::free_name;
use crate::near::nearest;
use crate::range;

/// `[ask]`; what is not there is left to the printer.
pub(super) fn ask(cursor: &mut Cursor<'_>, top: &dyn TableLike) -> Ask {
    let place = cursor.section(top, key::ASK);
    let copies = cursor
        .whole(place, "copies")
        .and_then(|found| copies(cursor, found));
    let said_quantities = quantities(cursor, place);
    let proofs = proofs(cursor, place);
    let packing = remark(cursor, place, "packing");
    let term = cursor.word(place, "term", &Term::WORDS);
    let overs = cursor.share(place, "overs", range::OVERS);
    let unders = cursor.share(place, "unders", range::UNDERS);
    let payment = remark(cursor, place, "payment");
    let valid_days = cursor.whole(place, "valid_days").and_then(|found| {
        let days = u32::try_from(found.value).ok();
        if !range::VALID_DAYS.holds(&found.value) {
            cursor.out_of_range(found.line, range::VALID_DAYS, &found.value.to_string());
            return None;
        }
        days
    });
    let answer_by = cursor.day(place, "answer_by").map(|day| day.value);
    Ask {
        copies,
        said_quantities,
        proofs,
        packing,
        term: term.map(|term| term.value),
        overs,
        unders,
        payment,
        valid_days,
        answer_by,
        from: address(cursor, place, "from"),
    }
}

fn copies(cursor: &mut Cursor<'_>, found: Lined<i64>) -> Option<u64> {
    if range::COPIES.holds(&found.value) {
        return u64::try_from(found.value).ok();
    }
    cursor.out_of_range(found.line, range::COPIES, &found.value.to_string());
    None
}

/// Quantities in rising order, each once.
fn quantities(cursor: &mut Cursor<'_>, place: Place<'_>) -> Vec<u64> {
    let found = cursor.wholes(place, "quantities", range::QUANTITIES);
    let mut quantities: Vec<u64> = found
        .unwrap_or_default()
        .into_iter()
        .filter_map(|found| copies(cursor, found))
        .collect();
    quantities.sort_unstable();
    quantities.dedup();
    quantities
}

fn proofs(cursor: &mut Cursor<'_>, place: Place<'_>) -> Vec<ProofWanted> {
    let words = ProofWanted::WORDS;
    let mut proofs = Vec::new();
    let found = cursor.texts(place, "proofs", range::PROOFS);
    for Lined { value, line } in found.unwrap_or_default() {
        if let Some((_, proof)) = words.iter().find(|(word, _)| *word == value.trim()) {
            proofs.push(*proof);
            continue;
        }
        let list: Vec<String> = words.iter().map(|(word, _)| format!("`{word}`")).collect();
        cursor.wrong(
            line,
            Problem::UnknownWord {
                key: "proofs".to_owned(),
                expected: list.join(", "),
                found: cut(value),
                near: nearest(value, words.map(|(word, _)| word)).map(str::to_owned),
            },
        );
    }
    proofs.sort_unstable();
    proofs.dedup();
    proofs
}

/// A text of one line; empty if there is none.
pub(super) fn remark(cursor: &mut Cursor<'_>, place: Place<'_>, key: &str) -> String {
    cursor
        .line_of_text(place, key, range::REMARK)
        .map(|found| found.value)
        .unwrap_or_default()
}

/// Lines of text without spaces at their ends, and without empty ones.
fn address(cursor: &mut Cursor<'_>, place: Place<'_>, key: &str) -> String {
    let Some(Lined { value, line }) = cursor.text(place, key) else {
        return String::new();
    };
    let count = value.chars().count();
    if !range::ADDRESS.holds(&count) {
        cursor.out_of_range(line, range::ADDRESS, &count.to_string());
        return String::new();
    }
    let lines: Vec<&str> = value
        .lines()
        .map(str::trim)
        .filter(|line| !line.is_empty())
        .collect();
    if lines.iter().any(|line| line.contains(char::is_control)) {
        let expected = "a name and an address without signs that cannot be seen";
        cursor.unreadable(place, key, line, expected, value);
        return String::new();
    }
    lines.join("\n")
}

/// One entry for each `[[delivery]]`, with shares that sum to the whole: places without a share get
/// equal parts of what the others leave.
pub(super) fn deliveries(cursor: &mut Cursor<'_>, top: &dyn TableLike) -> Vec<Delivery> {
    let entries = cursor.known_entries(
        top,
        key::DELIVERY,
        range::DELIVERIES,
        "each place under its own `[[delivery]]`",
    );
    let all = entries.len();
    let mut lines: HashMap<String, u32> = HashMap::new();
    let mut deliveries = Vec::with_capacity(all);
    let mut said = Vec::with_capacity(all);
    for place in entries {
        let name = cursor
            .needed(place, "place")
            .then(|| remark(cursor, place, "place"));
        let country = cursor.country(place, "country");
        let has_share = place
            .table
            .is_some_and(|table| !pages::is_empty(table, "share"));
        let share = has_share.then(|| cursor.share(place, "share", range::SHARE));
        let Some(name) = name.filter(|name| !name.is_empty()) else {
            continue;
        };
        if let Some(first) = lines.insert(name.clone(), place.line) {
            said_twice(
                cursor,
                place,
                format!("the delivery to `{}`", cut(&name)),
                first,
            );
            continue;
        }
        // A share that is wrong was complained of, and counts for nothing here.
        let share = match share {
            Some(Some(share)) => Some(share),
            Some(None) => continue,
            None => None,
        };
        said.push(share);
        deliveries.push(Delivery {
            place: name,
            country,
            share: Decimal::ZERO,
            line: place.line,
        });
    }
    // With a place missing, the shares of the others say nothing.
    if deliveries.len() == all {
        share_out(cursor, &mut deliveries, &said);
    }
    deliveries
}

/// Gives every place its share: what is said, or an equal part of what that leaves. The last of those
/// without one bears the rounding, so that the sum is exact.
fn share_out(cursor: &mut Cursor<'_>, deliveries: &mut [Delivery], said: &[Option<Decimal>]) {
    let Some(first) = deliveries.first() else {
        return;
    };
    let line = first.line;
    let whole = Decimal::ONE.billionths();
    let sum: i128 = said.iter().flatten().map(|share| share.billionths()).sum();
    let open = said.iter().filter(|share| share.is_none()).count();
    if open == 0 && sum != whole {
        let sum = Decimal::from_billionths(sum * 100).unwrap_or_default();
        let sum = sum.to_string();
        cursor.wrong(line, Problem::Shares { sum });
        return;
    }
    let mut left = whole - sum;
    let mut still_open = open as i128;
    for (delivery, share) in deliveries.iter_mut().zip(said) {
        let billionths = match share {
            Some(share) => share.billionths(),
            None => {
                let part = left / still_open;
                left -= part;
                still_open -= 1;
                part
            }
        };
        if billionths <= 0 {
            let place = cut(&delivery.place);
            cursor.wrong(delivery.line, Problem::NothingLeft { place });
            return;
        }
        delivery.share = Decimal::from_billionths(billionths).unwrap_or_default();
    }
}

/// One entry for each `[[printer]]`. Those that are wrong are left out, and what is wrong is written
/// down.
pub(super) fn printers(
    cursor: &mut Cursor<'_>,
    top: &dyn TableLike,
    deliveries: &[Delivery],
) -> Vec<Printer> {
    let entries = cursor.known_entries(
        top,
        key::PRINTER,
        range::PRINTERS,
        "each printer under its own `[[printer]]`",
    );
    let home = deliveries
        .first()
        .map_or("", |first| first.country.as_str());
    let mut lines: HashMap<String, u32> = HashMap::new();
    let mut printers = Vec::with_capacity(entries.len());
    for place in entries {
        let Some(printer) = printer(cursor, place, home) else {
            continue;
        };
        if let Some(first) = lines.get(&printer.key) {
            let first = *first;
            let free = free_name(&printer.key, |name| lines.contains_key(name));
            cursor.wrong(
                place.line,
                Problem::NameTwice {
                    name: printer.key,
                    first,
                    free,
                },
            );
            continue;
        }
        lines.insert(printer.key.clone(), printer.line);
        printers.push(printer);
    }
    printers
}

fn printer(cursor: &mut Cursor<'_>, place: Place<'_>, home: &str) -> Option<Printer> {
    let key = cursor
        .needed(place, "key")
        .then(|| printer_key(cursor, place))
        .flatten();
    let name = remark(cursor, place, "name");
    let town = remark(cursor, place, "place");
    let country = cursor.country(place, "country");
    let zone = shaped(
        cursor,
        place,
        "zone",
        "a time zone such as `Europe/Lisbon`",
        value::is_zone,
    );
    let language = shaped(
        cursor,
        place,
        "language",
        "a language such as `en`, `de` or `pt-BR`",
        value::is_language,
    );
    let email = shaped(
        cursor,
        place,
        "email",
        "one e-mail address such as `prices@quay.example`",
        value::is_email,
    );
    let makes = remark(cursor, place, "makes");
    let found = remark(cursor, place, "found");
    let same = !country.is_empty() && country == home;
    let home = cursor.switch(place, "home", same);
    let key = key?;
    Some(Printer {
        name: if name.is_empty() { key.clone() } else { name },
        key,
        place: town,
        country,
        zone,
        language,
        email,
        makes,
        found,
        home,
        line: place.line,
    })
}

fn printer_key(cursor: &mut Cursor<'_>, place: Place<'_>) -> Option<String> {
    let Lined { value, line } = cursor.line_of_text(place, "key", range::PRINTER_KEY)?;
    let plain = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-';
    if value.bytes().all(plain) && !value.starts_with('-') && !value.ends_with('-') {
        return Some(value);
    }
    let found = cut(&value);
    cursor.wrong(line, Problem::PrinterKey { found });
    None
}

/// A text of a shape of its own; empty if there is none.
fn shaped(
    cursor: &mut Cursor<'_>,
    place: Place<'_>,
    key: &str,
    expected: &'static str,
    fits: fn(&str) -> bool,
) -> String {
    let Some(Lined { value, line }) = cursor.text(place, key) else {
        return String::new();
    };
    let trimmed = value.trim();
    if trimmed.is_empty() || fits(trimmed) {
        return trimmed.to_owned();
    }
    cursor.unreadable(place, key, line, expected, value);
    String::new()
}

/// Complains of one thing that is said at two places.
pub(super) fn said_twice(cursor: &mut Cursor<'_>, place: Place<'_>, what: String, first: u32) {
    cursor.wrong(place.line, Problem::SaidTwice { what, first });
}
