//! An answer from the fields of a form or a command line.
//!
//! Amounts may be written as people write them ([`crate::number`]). What is kept is written so that it
//! cannot mean two things, and reads back as itself.

use book::Term;
use measure::{Currency, Decimal};

use super::{
    Answer, Doubt, Draft, DraftFreight, DraftPrice, FreightSaid, LeadTime, MOST_COPIES, Reading,
    Said,
};
use crate::number;

/// An amount that was read with a doubt.
struct Taken {
    why: String,
    amount: Decimal,
}

/// Reads fields; what may mean something else is a doubt, what cannot be read is one and left out.
pub(super) fn read(fields: &[(&str, &str)]) -> Reading {
    let mut reading = Reading::default();
    for (name, value) in fields {
        let (name, value) = (name.trim(), value.trim());
        if value.is_empty() {
            continue;
        }
        let doubt = |why, taken| Doubt {
            cell: name.to_owned(),
            found: value.to_owned(),
            why,
            taken,
        };
        match put(&mut reading.draft, name, value) {
            Ok(None) => {}
            Ok(Some(Taken { why, amount })) => {
                reading.doubts.push(doubt(why, Some(amount.to_string())));
            }
            Err(why) => reading.doubts.push(doubt(why, None)),
        }
    }
    reading
}

/// The fields of an answer.
pub(super) fn of(answer: &Answer) -> Vec<(String, String)> {
    let mut fields: Vec<(String, String)> = Vec::new();
    let mut say = |name: &str, value: String| {
        if !value.is_empty() {
            fields.push((name.to_owned(), value));
        }
    };
    let optional = |value: Option<String>| value.unwrap_or_default();
    say("printer", answer.printer.clone());
    say(
        "request",
        optional(answer.request.map(|number| number.to_string())),
    );
    say("digest", answer.digest.clone().unwrap_or_default());
    say("dated", optional(answer.dated.map(|day| day.to_string())));
    say(
        "valid",
        optional(answer.valid_until.map(|day| day.to_string())),
    );
    say("currency", answer.currency.to_string());
    for quoted in &answer.prices {
        let (word, amount) = match quoted.price {
            Said::Each(each) => ("each", each.amount()),
            Said::Total(total) => ("total", total.decimal()),
        };
        say(&format!("{word} {}", quoted.copies), plainly(amount));
    }
    for one_off in &answer.one_offs {
        say(
            &format!("one-off {}", one_off.what),
            plainly(one_off.cost.decimal()),
        );
    }
    say(
        "term",
        optional(answer.term.map(|term| term.code().to_owned())),
    );
    say("place", answer.term_place.clone());
    match &answer.freight {
        FreightSaid::NotSaid => {}
        FreightSaid::Included => say("freight", "included".to_owned()),
        FreightSaid::Given(given) => {
            for (copies, cost) in given {
                let name = match copies {
                    0 => "freight".to_owned(),
                    copies => format!("freight {copies}"),
                };
                say(&name, plainly(cost.decimal()));
            }
        }
    }
    say(
        "lead",
        optional(answer.lead.map(|lead| lead.working_days.to_string())),
    );
    say(
        "overs",
        optional(answer.overs.map(|share| share.to_string())),
    );
    say(
        "unders",
        optional(answer.unders.map(|share| share.to_string())),
    );
    say("payment", answer.payment.clone());
    say("notes", answer.notes.clone());
    fields
}

/// An amount that nobody can take for another one: three decimals get a fourth, so that they are no
/// group.
fn plainly(amount: Decimal) -> String {
    let text = amount.to_string();
    match text.split_once('.') {
        Some((_, part)) if part.len() == 3 => format!("{text}0"),
        _ => text,
    }
}

/// A draft without one field.
pub(super) fn without(mut draft: Draft, field: &str) -> Draft {
    let (word, of) = field.split_once(' ').unwrap_or((field, ""));
    let of = of.trim();
    match word {
        "printer" => draft.printer = None,
        "request" => draft.request = None,
        "digest" => draft.digest = None,
        "dated" => draft.dated = None,
        "valid" => draft.valid_until = None,
        "currency" => draft.currency = None,
        "each" | "total" => draft.prices.retain(|price| price.copies.to_string() != of),
        "one-off" => draft.one_offs.retain(|(what, _)| what != of),
        "term" => draft.term = None,
        "place" => draft.term_place.clear(),
        "freight" => {
            let rest: Vec<(u64, Decimal)> = match draft.freight {
                DraftFreight::Given(given) if !of.is_empty() => given
                    .into_iter()
                    .filter(|(copies, _)| copies.to_string() != of)
                    .collect(),
                _ => Vec::new(),
            };
            draft.freight = if rest.is_empty() {
                DraftFreight::NotSaid
            } else {
                DraftFreight::Given(rest)
            };
        }
        "lead" => draft.lead = None,
        "overs" => draft.overs = None,
        "unders" => draft.unders = None,
        "payment" => draft.payment.clear(),
        "notes" => draft.notes.clear(),
        _ => {}
    }
    draft
}

fn put(draft: &mut Draft, name: &str, value: &str) -> Result<Option<Taken>, String> {
    let (word, of) = name.split_once(' ').unwrap_or((name, ""));
    let of = of.trim();
    match (word, of) {
        ("printer", "") => draft.printer = Some(value.to_owned()),
        ("request", "") => {
            let number = value.trim_start_matches(['R', 'r']).split('-').next();
            let number = number.and_then(|number| number.parse().ok());
            draft.request = Some(number.ok_or("a request has a number such as 3 or R3")?);
        }
        ("digest", "") => draft.digest = Some(value.to_lowercase()),
        ("dated", "") => draft.dated = Some(day(value)?),
        ("valid", "") => draft.valid_until = Some(day(value)?),
        ("currency", "") => {
            let currency = Currency::from_code(value);
            let currency = currency.ok_or("a currency has a code such as EUR, USD or GBP")?;
            same_currency(draft, currency)?;
        }
        ("each" | "total", of) => {
            let copies = copies(of)?;
            let each = word == "each";
            let (amount, doubt) = amount(draft, value, each)?;
            draft.prices.push(DraftPrice {
                copies,
                amount,
                each,
            });
            return Ok(doubt);
        }
        ("one-off", of) if !of.is_empty() => {
            let (amount, doubt) = amount(draft, value, false)?;
            draft.one_offs.push((of.to_owned(), amount));
            return Ok(doubt);
        }
        ("freight", of) => return freight(draft, of, value),
        ("term", "") => {
            let (code, place) = value.split_once(' ').unwrap_or((value, ""));
            let term = Term::from_code(code).ok_or_else(|| {
                let codes: Vec<&str> = Term::ALL.iter().map(|term| term.code()).collect();
                format!("a delivery term is one of {}", codes.join(", "))
            })?;
            draft.term = Some(term);
            if !place.trim().is_empty() {
                draft.term_place = place.trim().to_owned();
            }
        }
        ("place", "") => draft.term_place = value.to_owned(),
        ("lead", "") => {
            let days = value.split_whitespace().next().unwrap_or_default();
            let days: u32 = days
                .parse()
                .ok()
                .filter(|days| (1..=2000).contains(days))
                .ok_or("how long it takes is a number of working days, such as 25")?;
            draft.lead = Some(LeadTime { working_days: days });
        }
        ("overs", "") => draft.overs = Some(share(value)?),
        ("unders", "") => draft.unders = Some(share(value)?),
        ("payment", "") => draft.payment = value.to_owned(),
        ("notes", "") => draft.notes = value.to_owned(),
        _ => return Err("an answer has no field of this name".to_owned()),
    }
    Ok(None)
}

fn freight(draft: &mut Draft, of: &str, value: &str) -> Result<Option<Taken>, String> {
    if of.is_empty() && value.eq_ignore_ascii_case("included") {
        if matches!(draft.freight, DraftFreight::Given(_)) {
            return Err("freight cannot both be in the prices and cost something".to_owned());
        }
        draft.freight = DraftFreight::Included;
        return Ok(None);
    }
    let copies = if of.is_empty() { 0 } else { copies(of)? };
    let (amount, doubt) = amount(draft, value, false)?;
    match &mut draft.freight {
        DraftFreight::NotSaid => draft.freight = DraftFreight::Given(vec![(copies, amount)]),
        DraftFreight::Given(given) => given.push((copies, amount)),
        DraftFreight::Included => {
            return Err("freight cannot both be in the prices and cost something".to_owned());
        }
    }
    Ok(doubt)
}

fn day(text: &str) -> Result<jiff::civil::Date, String> {
    text.parse()
        .map_err(|_| "a day is written as 2026-11-25".to_owned())
}

fn copies(text: &str) -> Result<u64, String> {
    text.parse()
        .ok()
        .filter(|copies| (1..=MOST_COPIES).contains(copies))
        .ok_or_else(|| "the quantity stands behind the name, as in `each 800`".to_owned())
}

/// An amount, with a currency before or behind it or none; the currency then is the answer's. What may
/// mean thousands or decimals is taken for decimals in the price of one copy, else for thousands.
fn amount(draft: &mut Draft, text: &str, each: bool) -> Result<(Decimal, Option<Taken>), String> {
    // A point before three decimals is plain in the price of one copy, whose decimals are many, and in a
    // currency of thousandths.
    let thousandths = draft
        .currency
        .is_some_and(|currency| currency.decimals() == 3);
    if (each || thousandths)
        && let Ok(amount) = text.parse()
    {
        return Ok((amount, None));
    }
    let number = number::read(text).map_err(|error| error.to_string())?;
    if let Some(currency) = number.currency {
        same_currency(draft, currency)?;
    }
    let amount = number.or.filter(|_| each).unwrap_or(number.amount);
    let doubt = (!number.doubts.is_empty()).then(|| Taken {
        why: number.doubts.join("; "),
        amount,
    });
    Ok((amount, doubt))
}

fn same_currency(draft: &mut Draft, currency: Currency) -> Result<(), String> {
    match draft.currency {
        Some(known) if known != currency => Err(format!(
            "an answer has one currency, and {known} was said before"
        )),
        _ => {
            draft.currency = Some(currency);
            Ok(())
        }
    }
}

/// `5%`, `5 %` or `0.05`.
fn share(text: &str) -> Result<Decimal, String> {
    let read = match text.strip_suffix('%') {
        Some(percent) => percent
            .trim()
            .parse::<Decimal>()
            .ok()
            .and_then(|percent| percent.over(Decimal::from_whole(100))),
        None => text.parse().ok(),
    };
    read.filter(|share| *share >= Decimal::ZERO && *share <= Decimal::ONE)
        .ok_or_else(|| "a share is written as 5%".to_owned())
}
