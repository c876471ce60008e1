//! The footing on which prices are compared: currency, rates, duty and tax, freight.

use std::collections::HashMap;

use measure::{Currency, Decimal, Money, UnitPrice};
use toml_edit::TableLike;

use super::asking::{remark, said_twice};
use super::cursor::{Cursor, Place};
use super::{cut, pages};
use crate::asking::{Printer, Term};
use crate::error::Problem;
use crate::key;
use crate::landing::{DutyOn, Freight, Import, Landing, Rate};
use crate::near::nearest;
use crate::range;
use crate::term::{Leg, Payer, TermWish};

/// `[landing]` with its `[[rate]]`, `[[import]]`, `[[freight]]` and `[[term]]`. `None` stands for printers that
/// could not all be read, so that nobody is called missing who is only misspelt.
pub(super) fn landing(
    cursor: &mut Cursor<'_>,
    top: &dyn TableLike,
    printers: Option<&[Printer]>,
) -> Landing {
    let place = cursor.section(top, key::LANDING);
    let currency = cursor.currency(place, "currency");
    let insurance = cursor.share(place, "insurance", range::INSURANCE);
    let spoilage = cursor.share(place, "spoilage", range::SPOILAGE);
    let bank_fee = cursor.ranged::<Money>(place, "bank_fee", range::BANK_FEE);
    let interest = cursor.share(place, "interest", range::INTEREST);
    Landing {
        currency: currency.unwrap_or(Landing::default().currency),
        insurance,
        spoilage,
        bank_fee: bank_fee.map(|fee| fee.value),
        interest,
        rates: rates(cursor, top),
        imports: imports(cursor, top, printers),
        freights: freights(cursor, top, printers),
        terms: terms(cursor, top),
    }
}

fn terms(cursor: &mut Cursor<'_>, top: &dyn TableLike) -> Vec<TermWish> {
    let entries = cursor.known_entries(
        top,
        key::TERM,
        range::TERMS,
        "what the contract says of each term under its own `[[term]]`",
    );
    let mut lines: HashMap<Term, u32> = HashMap::new();
    let mut terms = Vec::with_capacity(entries.len());
    for place in entries {
        let term = cursor
            .needed(place, "term")
            .then(|| cursor.word(place, "term", &Term::WORDS))
            .flatten();
        let payers = Leg::KEYS.iter().filter_map(|(key, leg)| {
            let payer = cursor.word(place, key, &Payer::WORDS)?;
            Some((*leg, payer.value))
        });
        let payers = payers.collect();
        let by = remark(cursor, place, "by");
        let Some(term) = term.map(|term| term.value) else {
            continue;
        };
        if let Some(first) = lines.insert(term, place.line) {
            said_twice(cursor, place, format!("the term {}", term.code()), first);
            continue;
        }
        terms.push(TermWish {
            term,
            payers,
            by,
            line: place.line,
        });
    }
    terms
}

fn rates(cursor: &mut Cursor<'_>, top: &dyn TableLike) -> Vec<Rate> {
    let entries = cursor.known_entries(
        top,
        key::RATE,
        range::RATES,
        "each rate of exchange under its own `[[rate]]`",
    );
    let mut lines: HashMap<(Currency, Currency), u32> = HashMap::new();
    let mut rates = Vec::with_capacity(entries.len());
    for place in entries {
        let Some(rate) = rate(cursor, place) else {
            continue;
        };
        let (from, to) = (rate.from, rate.to);
        // A second rate, or the one back, could say something else.
        let pair = (from.min(to), from.max(to));
        if let Some(first) = lines.insert(pair, place.line) {
            said_twice(
                cursor,
                place,
                format!("the rate between {from} and {to}"),
                first,
            );
            continue;
        }
        rates.push(rate);
    }
    rates
}

fn rate(cursor: &mut Cursor<'_>, place: Place<'_>) -> Option<Rate> {
    let from = cursor
        .needed(place, "from")
        .then(|| cursor.currency(place, "from"))
        .flatten();
    let to = cursor
        .needed(place, "to")
        .then(|| cursor.currency(place, "to"))
        .flatten();
    let rate = cursor
        .needed(place, "rate")
        .then(|| cursor.ranged::<Decimal>(place, "rate", range::RATE))
        .flatten();
    let on = cursor
        .needed(place, "on")
        .then(|| cursor.day(place, "on"))
        .flatten();
    let by = cursor
        .needed(place, "by")
        .then(|| remark(cursor, place, "by"));
    let (from, to) = (from?, to?);
    if from == to {
        cursor.wrong(place.line, Problem::SameCurrency { currency: from });
        return None;
    }
    Some(Rate {
        from,
        to,
        rate: rate?.value,
        on: on?.value,
        by: by?,
        line: place.line,
    })
}

fn imports(
    cursor: &mut Cursor<'_>,
    top: &dyn TableLike,
    printers: Option<&[Printer]>,
) -> Vec<Import> {
    let entries = cursor.known_entries(
        top,
        key::IMPORT,
        range::IMPORTS,
        "each printer's duty and tax under their own `[[import]]`",
    );
    let mut lines: HashMap<String, u32> = HashMap::new();
    let mut imports = Vec::with_capacity(entries.len());
    for place in entries {
        let printer = printer(cursor, place, printers);
        let duty = cursor.share(place, "duty", range::DUTY);
        let duty_on = cursor.word(place, "duty_on", &DutyOn::WORDS);
        let tax = cursor.share(place, "tax", range::TAX);
        let broker = cursor.ranged::<Money>(place, "broker", range::BROKER);
        let by = remark(cursor, place, "by");
        let Some(printer) = printer else {
            continue;
        };
        if let Some(first) = lines.insert(printer.clone(), place.line) {
            said_twice(
                cursor,
                place,
                format!("duty and tax for `{printer}`"),
                first,
            );
            continue;
        }
        imports.push(Import {
            printer,
            duty,
            duty_on: duty_on.map_or_else(DutyOn::default, |on| on.value),
            tax,
            broker: broker.map(|broker| broker.value),
            by,
            line: place.line,
        });
    }
    imports
}

fn freights(
    cursor: &mut Cursor<'_>,
    top: &dyn TableLike,
    printers: Option<&[Printer]>,
) -> Vec<Freight> {
    let entries = cursor.known_entries(
        top,
        key::FREIGHT,
        range::FREIGHTS,
        "each estimate of freight under its own `[[freight]]`",
    );
    let mut lines: HashMap<(String, Term), u32> = HashMap::new();
    let mut freights = Vec::with_capacity(entries.len());
    for place in entries {
        let Some(freight) = freight(cursor, place, printers) else {
            continue;
        };
        let what = format!(
            "the freight of `{}` from {}",
            freight.printer,
            freight.term.code()
        );
        if let Some(first) = lines.insert((freight.printer.clone(), freight.term), place.line) {
            said_twice(cursor, place, what, first);
            continue;
        }
        freights.push(freight);
    }
    freights
}

fn freight(
    cursor: &mut Cursor<'_>,
    place: Place<'_>,
    printers: Option<&[Printer]>,
) -> Option<Freight> {
    let printer = printer(cursor, place, printers);
    let term = cursor
        .needed(place, "term")
        .then(|| cursor.word(place, "term", &Term::WORDS))
        .flatten();
    let fixed = cursor.ranged::<Money>(place, "fixed", range::FREIGHT_FIXED);
    let each = cursor.ranged::<UnitPrice>(place, "each", range::FREIGHT_EACH);
    let nothing = place
        .table
        .is_some_and(|table| pages::is_empty(table, "fixed") && pages::is_empty(table, "each"));
    if nothing {
        cursor.missing(place, "each");
    }
    let on = cursor
        .needed(place, "on")
        .then(|| cursor.day(place, "on"))
        .flatten();
    let by = remark(cursor, place, "by");
    let (fixed, each) = match (fixed, each) {
        (Some(fixed), Some(each)) => (fixed.value, each.value),
        (Some(fixed), None) => {
            let currency = fixed.value.currency();
            (fixed.value, UnitPrice::new(Decimal::ZERO, currency))
        }
        (None, Some(each)) => (Money::zero(each.value.currency()), each.value),
        (None, None) => return None,
    };
    if fixed.currency() != each.currency() {
        cursor.wrong(
            place.line,
            Problem::TwoCurrencies {
                first: fixed.currency(),
                second: each.currency(),
            },
        );
        return None;
    }
    Some(Freight {
        printer: printer?,
        term: term?.value,
        fixed,
        each,
        on: on?.value,
        by,
        line: place.line,
    })
}

/// The printer whom an entry is about; one who is not there is complained of.
fn printer(
    cursor: &mut Cursor<'_>,
    place: Place<'_>,
    printers: Option<&[Printer]>,
) -> Option<String> {
    if !cursor.needed(place, "printer") {
        return None;
    }
    let found = cursor.line_of_text(place, "printer", range::NAME)?;
    let keys = || {
        printers
            .into_iter()
            .flatten()
            .map(|printer| printer.key.as_str())
    };
    if printers.is_some() && !keys().any(|key| key == found.value) {
        let near = nearest(&found.value, keys()).map(str::to_owned);
        cursor.wrong(
            found.line,
            Problem::NoSuchPrinter {
                key: cut(&found.value),
                near,
            },
        );
        return None;
    }
    Some(found.value)
}
