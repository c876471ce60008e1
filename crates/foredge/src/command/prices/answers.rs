//! An answer as it was read.

use desk::AnswerView;
use desk::measure::UnitPrice;
use desk::price::answer::{Answer, Doubt, FreightSaid, Said};
use serde_json::{Value, json};

use crate::command::printers::file_document;
use crate::outcome::{Outcome, columns};

/// Nothing was kept: which places are doubtful, what each is about, how it would be taken, and whether it
/// can be left out.
pub(super) fn doubtful<'d>(doubts: impl Iterator<Item = (&'d str, &'d Doubt, bool)>) -> Outcome {
    let mut lines = vec!["Nothing was kept yet. Doubtful is:".to_owned()];
    let mut documents = Vec::new();
    let mut left_out = None;
    for (what, doubt, can_be_left_out) in doubts {
        // What was typed has the name of what it is about for its place.
        let of_cell = !what.is_empty() && what != doubt.cell;
        let about = of_cell.then_some(what);
        lines.push(format!("  {}", doubt_words(doubt, about, " if you agree")));
        let mut document = doubt_document(doubt);
        document["about"] = json!(what);
        documents.push(document);
        if of_cell && can_be_left_out {
            left_out.get_or_insert(what);
        }
    }
    let json = json!({ "kept": false, "doubts": documents });
    let advice = match left_out {
        None => "Say it beside the file (`\"each 800=9.45\"`), or agree to all of it: --agree"
            .to_owned(),
        Some(what) => format!(
            "Say it beside the file (`\"{what}=…\"`), agree to all but one (--agree --without \"{what}\"), \
             or to all of it: --agree"
        ),
    };
    let mut outcome = Outcome::new(lines.join("\n"), json).advising(advice);
    outcome.stop = true;
    outcome
}

fn doubt_words(doubt: &Doubt, about: Option<&str>, once: &str) -> String {
    let about = about.map_or_else(String::new, |about| format!(" ({about})"));
    let taken = doubt.taken.as_ref().map_or_else(
        || "left out".to_owned(),
        |taken| format!("taken as `{taken}`"),
    );
    let found = match doubt.found.as_str() {
        "" => String::new(),
        found => format!("`{found}`: "),
    };
    format!(
        "{}{about}: {found}{} ({taken}{once})",
        doubt.cell, doubt.why
    )
}

pub(super) fn doubt_document(doubt: &Doubt) -> Value {
    json!({
        "place": doubt.cell,
        "found": doubt.found,
        "why": doubt.why,
        "taken": doubt.taken,
    })
}

pub(super) fn words(view: &AnswerView) -> String {
    let answer = &view.answer;
    let request = view
        .request
        .map_or_else(|| "no request".to_owned(), |number| format!("R{number}"));
    let mut lines = vec![format!(
        "{:>3}  {}, received {}, for {request}",
        view.number, view.name, view.received
    )];
    lines.push(columns(&rows(answer)));
    lines.extend(
        view.remarks()
            .into_iter()
            .map(|remark| format!("     ! {remark}")),
    );
    lines.extend(view.agreed.iter().map(|doubt| {
        let words = doubt_words(doubt, None, "");
        format!("     - Agreed to: {words}")
    }));
    lines.join("\n")
}

fn rows(answer: &Answer) -> Vec<Vec<String>> {
    let mut rows: Vec<Vec<String>> = Vec::new();
    let mut row = |what: String, said: String| {
        if !said.is_empty() {
            rows.push(vec!["    ".to_owned(), what, said]);
        }
    };
    for quoted in &answer.prices {
        let said = match quoted.price {
            Said::Each(each) => {
                let total = quoted.total().ok();
                let total = total.map_or_else(String::new, |total| format!(" = {total}"));
                format!("{} each{total}", exact(each))
            }
            Said::Total(total) => {
                let each = total.each(quoted.copies);
                let each = each.map_or_else(String::new, |each| format!(" = about {each} each"));
                format!("{total}{each}")
            }
        };
        row(format!("{} copies", quoted.copies), said);
    }
    for one_off in &answer.one_offs {
        row(one_off.what.clone(), one_off.cost.to_string());
    }
    match &answer.freight {
        FreightSaid::NotSaid => row("freight".to_owned(), "not said".to_owned()),
        FreightSaid::Included => row("freight".to_owned(), "in the prices".to_owned()),
        FreightSaid::Given(given) => {
            for (copies, cost) in given {
                let what = match copies {
                    0 => "freight".to_owned(),
                    copies => format!("freight, {copies}"),
                };
                row(what, cost.to_string());
            }
        }
    }
    let term = answer.term.map_or("not said", |term| term.code());
    row(
        "delivery term".to_owned(),
        format!("{term} {}", answer.term_place).trim().to_owned(),
    );
    let days = answer.lead.map_or_else(String::new, |lead| {
        format!("{} working days after approval", lead.working_days)
    });
    row("time".to_owned(), days);
    let day = |day: Option<jiff::civil::Date>| day.map_or_else(String::new, |day| day.to_string());
    row("holds until".to_owned(), day(answer.valid_until));
    row("payment".to_owned(), answer.payment.clone());
    row("notes".to_owned(), answer.notes.clone());
    rows
}

/// With all decimals that were said, since a total follows from them.
fn exact(each: UnitPrice) -> String {
    let places = each.currency().decimals();
    let rounded = each.amount().with_decimals(places);
    if rounded.parse() == Ok(each.amount()) {
        format!("{} {rounded}", each.currency())
    } else {
        format!("{} {}", each.currency(), each.amount())
    }
}

pub(super) fn document(view: &AnswerView) -> Value {
    let answer = &view.answer;
    let quoted = |quoted: &desk::price::answer::Quoted| {
        let total = quoted.total().ok();
        json!({
            "copies": quoted.copies,
            "said": match quoted.price {
                Said::Each(_) => "each",
                Said::Total(_) => "total",
            },
            "each": match quoted.price {
                Said::Each(each) => Some(each.amount().to_string()),
                Said::Total(total) => total
                    .each(quoted.copies)
                    .map(|each| each.amount().to_string()),
            },
            "total": total.map(|total| total.decimal().to_string()),
        })
    };
    json!({
        "number": view.number,
        "read_at": view.at,
        "received": view.received.to_string(),
        "printer": answer.printer,
        "name": view.name,
        "request": view.request,
        "currency": answer.currency.code(),
        "prices": answer.prices.iter().map(quoted).collect::<Vec<_>>(),
        "one_offs": answer
            .one_offs
            .iter()
            .map(|one| json!({ "what": one.what, "cost": one.cost.decimal().to_string() }))
            .collect::<Vec<_>>(),
        "freight": match &answer.freight {
            FreightSaid::NotSaid => json!("not said"),
            FreightSaid::Included => json!("included"),
            FreightSaid::Given(given) => given
                .iter()
                .map(|(copies, cost)| {
                    json!({
                        "copies": (*copies > 0).then_some(copies),
                        "cost": cost.decimal().to_string(),
                    })
                })
                .collect(),
        },
        "term": answer.term.map(|term| term.code()),
        "term_place": answer.term_place,
        "dated": answer.dated.map(|day| day.to_string()),
        "valid_until": answer.valid_until.map(|day| day.to_string()),
        "lead_working_days": answer.lead.map(|lead| lead.working_days),
        "overs_share": answer.overs.map(|share| share.to_string()),
        "unders_share": answer.unders.map(|share| share.to_string()),
        "payment": answer.payment,
        "notes": answer.notes,
        "file": view.file.as_ref().map(file_document),
        "stale": view.stale,
        "terms_changed": view.terms,
        "late_days": view.late_days,
        "lapsed_days": view.lapsed_days,
        "agreed": view.agreed.iter().map(doubt_document).collect::<Vec<_>>(),
        "replaces": view.replaces,
        "replaced_by": view.replaced_by,
        "laid_aside": view.aside,
        "remarks": view.remarks(),
    })
}
