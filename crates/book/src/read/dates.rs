//! The calendar from files to books in hand. Whether the steps can be put in order is found out when
//! dates are reckoned; here each is read for itself.

use std::collections::HashMap;

use jiff::civil::Weekday;
use measure::Decimal;
use toml_edit::TableLike;

use super::asking::{remark, said_twice};
use super::cursor::{Cursor, Lined, Place};
use super::{cut, value};
use crate::asking::Printer;
use crate::dates::{
    Carriage, ClosureWish, DatesWishes, DaysOff, PaymentWish, StepWish, Takes, Whose,
};
use crate::error::Problem;
use crate::key;
use crate::near::nearest;
use crate::range;

const WEEKDAYS: [(&str, Weekday); 7] = [
    ("monday", Weekday::Monday),
    ("tuesday", Weekday::Tuesday),
    ("wednesday", Weekday::Wednesday),
    ("thursday", Weekday::Thursday),
    ("friday", Weekday::Friday),
    ("saturday", Weekday::Saturday),
    ("sunday", Weekday::Sunday),
];
/// Which end of a step.
const ENDS: [(&str, bool); 2] = [("beginning", true), ("end", false)];

/// `[dates]` and the sections that belong to it. `printers` is `None` where they were not all read.
pub(super) fn dates(
    cursor: &mut Cursor<'_>,
    top: &dyn TableLike,
    printers: Option<&[Printer]>,
) -> DatesWishes {
    let place = cursor.section(top, key::DATES);
    let send = cursor.day(place, "send").map(|day| day.value);
    let launch = cursor.day(place, "launch").map(|day| day.value);
    let surety = cursor.share(place, "surety", range::SURETY);
    let carriage = cursor
        .word(place, "carriage", &Carriage::WORDS)
        .map(|carriage| carriage.value);
    let printer = printer(cursor, place, printers);
    let days_off = Whose::ALL
        .into_iter()
        .filter_map(|whose| days_off(cursor, place, whose))
        .collect();
    DatesWishes {
        send,
        launch,
        surety,
        carriage,
        printer,
        days_off,
        closures: closures(cursor, top),
        steps: steps(cursor, top),
        payments: payments(cursor, top),
    }
}

pub(super) fn printer(
    cursor: &mut Cursor<'_>,
    place: Place<'_>,
    printers: Option<&[Printer]>,
) -> Option<String> {
    let Lined { value, line } = cursor.text(place, "printer")?;
    let wanted = value.trim();
    let printers = printers?;
    if wanted.is_empty() {
        return None;
    }
    if printers.iter().any(|printer| printer.key == wanted) {
        return Some(wanted.to_owned());
    }
    let keys = printers.iter().map(|printer| printer.key.as_str());
    unknown(cursor, line, "printer", wanted, keys);
    None
}

fn days_off(cursor: &mut Cursor<'_>, place: Place<'_>, whose: Whose) -> Option<DaysOff> {
    let key = match whose {
        Whose::Printer => "printer_off",
        Whose::Artist => "artist_off",
        Whose::Carrier => "carrier_off",
        Whose::Home => "home_off",
    };
    let found = cursor.texts(place, key, range::DAYS_OFF)?;
    let mut days = Vec::new();
    for Lined { value, line } in found {
        let day = value.trim().to_lowercase();
        match WEEKDAYS.iter().find(|(word, _)| *word == day) {
            Some((_, weekday)) => {
                if !days.contains(weekday) {
                    days.push(*weekday);
                }
            }
            None => unknown(cursor, line, key, value, WEEKDAYS.map(|(word, _)| word)),
        }
    }
    Some(DaysOff { whose, days })
}

fn unknown<'k>(
    cursor: &mut Cursor<'_>,
    line: u32,
    key: &str,
    found: &str,
    known: impl IntoIterator<Item = &'k str> + Clone,
) {
    let list: Vec<String> = known
        .clone()
        .into_iter()
        .map(|word| format!("`{word}`"))
        .collect();
    cursor.wrong(
        line,
        Problem::UnknownWord {
            key: key.to_owned(),
            expected: if list.is_empty() {
                "none, since there is none".to_owned()
            } else {
                list.join(", ")
            },
            found: cut(found),
            near: nearest(found, known).map(str::to_owned),
        },
    );
}

fn closures(cursor: &mut Cursor<'_>, top: &dyn TableLike) -> Vec<ClosureWish> {
    let entries = cursor.known_entries(
        top,
        key::CLOSURE,
        range::CLOSURES,
        "each closure under its own `[[closure]]`",
    );
    let mut closures = Vec::with_capacity(entries.len());
    for place in entries {
        let name = remark(cursor, place, "name");
        let whose = cursor.word(place, "of", &Whose::WORDS);
        let [from, to] = ["from", "to"].map(|key| {
            cursor
                .needed(place, key)
                .then(|| cursor.day(place, key))
                .flatten()
        });
        let (Some(from), Some(to)) = (from, to) else {
            continue;
        };
        if to.value < from.value {
            let expected = "a day that does not lie before the first one";
            let written = to.value.to_string();
            cursor.unreadable(place, "to", to.line, expected, &written);
            continue;
        }
        closures.push(ClosureWish {
            whose: whose.map_or(Whose::Printer, |whose| whose.value),
            name: if name.is_empty() {
                "closure".to_owned()
            } else {
                name
            },
            from: from.value,
            to: to.value,
            line: place.line,
        });
    }
    closures
}

fn steps(cursor: &mut Cursor<'_>, top: &dyn TableLike) -> Vec<StepWish> {
    let entries = cursor.known_entries(
        top,
        key::STEP,
        range::STEPS,
        "each step under its own `[[step]]`",
    );
    let mut lines: HashMap<String, u32> = HashMap::new();
    let mut steps = Vec::with_capacity(entries.len());
    for place in entries {
        let Some(step) = step(cursor, place) else {
            continue;
        };
        if let Some(first) = lines.insert(step.key.clone(), step.line) {
            said_twice(
                cursor,
                place,
                format!("the step `{}`", cut(&step.key)),
                first,
            );
            continue;
        }
        steps.push(step);
    }
    steps
}

fn step(cursor: &mut Cursor<'_>, place: Place<'_>) -> Option<StepWish> {
    let key = cursor
        .needed(place, "key")
        .then(|| remark(cursor, place, "key"))
        .filter(|key| !key.is_empty());
    let name = remark(cursor, place, "name");
    let after = keys(cursor, place, "after");
    let before = keys(cursor, place, "before").unwrap_or_default();
    let whose = cursor.word(place, "of", &Whose::WORDS);
    let takes = takes(cursor, place, "takes");
    let again = cursor.share(place, "again", range::CHANCE);
    let again_takes = self::takes(cursor, place, "again_takes");
    let skip = cursor.switch(place, "skip", false);
    let by = remark(cursor, place, "by");
    Some(StepWish {
        key: key?,
        name: (!name.is_empty()).then_some(name),
        after,
        before,
        whose: whose.map(|whose| whose.value),
        takes,
        again,
        again_takes,
        skip,
        by,
        line: place.line,
    })
}

fn keys(cursor: &mut Cursor<'_>, place: Place<'_>, key: &str) -> Option<Vec<String>> {
    let found = cursor.texts(place, key, range::STEPS)?;
    let named = found.into_iter().map(|found| found.value.trim().to_owned());
    Some(named.filter(|key| !key.is_empty()).collect())
}

/// Days: one number, two (half take less, one in twenty more) or three (least, most often, most).
fn takes(cursor: &mut Cursor<'_>, place: Place<'_>, key: &str) -> Option<Takes> {
    let Lined { value, line } = cursor.text_or_number(place, key)?;
    let text = value.trim();
    let text = text.strip_suffix("days").unwrap_or(text).trim();
    let days = value::list(text, 3).unwrap_or_default();
    let rising = days.windows(2).all(|pair| pair[0] <= pair[1]);
    let fine = days.iter().all(|days| range::STEP_DAYS.holds(days)) && rising;
    let takes = match days[..] {
        [days] => Some(Takes::Days(days)),
        [median, most] if median > 0.0 => Some(Takes::Around(median, most)),
        [least, likely, most] => Some(Takes::Between(least, likely, most)),
        _ => None,
    };
    if takes.is_none() || !fine {
        let expected = "days: one number; two (half take less, one in twenty more); or three \
                        (least, most often, most) such as `5, 7, 12`, each up to 730";
        cursor.unreadable(place, key, line, expected, &value);
        return None;
    }
    takes
}

fn payments(cursor: &mut Cursor<'_>, top: &dyn TableLike) -> Vec<PaymentWish> {
    let entries = cursor.known_entries(
        top,
        key::PAYMENT,
        range::PAYMENTS,
        "each payment under its own `[[payment]]`",
    );
    let all = entries.len();
    let mut payments: Vec<PaymentWish> = Vec::with_capacity(all);
    for place in entries {
        if let Some(payment) = payment(cursor, place) {
            payments.push(payment);
        }
    }
    // With a payment missing, the shares of the others say nothing.
    if let Some(first) = payments.first()
        && payments.len() == all
    {
        let sum: i128 = payments
            .iter()
            .map(|payment| payment.share.billionths())
            .sum();
        if sum != Decimal::ONE.billionths() {
            let sum = Decimal::from_billionths(sum * 100).unwrap_or_default();
            let line = first.line;
            cursor.wrong(
                line,
                Problem::PaymentShares {
                    sum: sum.to_string(),
                },
            );
        }
    }
    payments
}

fn payment(cursor: &mut Cursor<'_>, place: Place<'_>) -> Option<PaymentWish> {
    let name = remark(cursor, place, "name");
    let share = cursor
        .needed(place, "share")
        .then(|| cursor.share(place, "share", range::SHARE))
        .flatten();
    let step = cursor
        .needed(place, "step")
        .then(|| remark(cursor, place, "step"))
        .filter(|step| !step.is_empty());
    let at = cursor.word(place, "at", &ENDS);
    let days = cursor.whole(place, "days").and_then(|found| {
        if !range::PAYMENT_DAYS.holds(&found.value) {
            cursor.out_of_range(found.line, range::PAYMENT_DAYS, &found.value.to_string());
            return None;
        }
        u16::try_from(found.value).ok()
    });
    let (share, step) = (share?, step?);
    Some(PaymentWish {
        name: if name.is_empty() {
            format!("{} with {step}", percent(share))
        } else {
            name
        },
        share,
        step,
        at_beginning: at.is_some_and(|at| at.value),
        days: days.unwrap_or(0),
        line: place.line,
    })
}

fn percent(share: Decimal) -> String {
    let percent = share.times(Decimal::from_whole(100)).unwrap_or_default();
    format!("{percent} %")
}
