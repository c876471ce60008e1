//! Answers questions about costs: one JSON object a line on standard input, one on standard output. For
//! `outside/cost_curve.py` and `outside/landed_cost.py`, which reckon the same with other means.

use std::io::BufRead;

use book::{DutyOn, Freight, Import, Landing, Rate, Term};
use jiff::civil::date;
use measure::{Currency, Decimal, Money};
use price::answer::{Answer, Draft};
use price::compare::compare;
use price::curve::Curve;
use price::landed::{Footing, landed};
use serde_json::{Value, json};

fn main() {
    for line in std::io::stdin().lock().lines().map_while(Result::ok) {
        match answer(&line) {
            Some(found) => println!("{found}"),
            None => {
                eprintln!("expected a question as the outside checks ask it, but found: {line}");
                std::process::exit(2);
            }
        }
    }
}

fn answer(line: &str) -> Option<Value> {
    let asked: Value = serde_json::from_str(line).ok()?;
    match asked["ask"].as_str()? {
        "curve" => curve(&asked),
        "landed" => in_hand(&asked),
        "ranges" => ranges(&asked),
        _ => None,
    }
}

fn curve(asked: &Value) -> Option<Value> {
    let points = asked["points"].as_array()?.iter().map(|point| {
        let cost = Money::from_decimal(decimal(&point[1])?, Currency::EUR)?;
        Some((point[0].as_u64()?, cost))
    });
    let curve = Curve::of(&points.collect::<Option<Vec<_>>>()?).ok()?;
    let parts = curve.parts().ok()?;
    let at = asked["at"].as_array().into_iter().flatten().map(|copies| {
        let at = curve.at(copies.as_u64()?).ok()?;
        Some(json!([text(at.cost), text(at.low), text(at.high)]))
    });
    Some(json!({
        "fixed": parts.as_ref().map(|parts| text(parts.fixed)),
        "running": parts.as_ref().map(|parts| parts.running.amount().to_string()),
        "within": parts
            .as_ref()
            .and_then(|parts| parts.within)
            .map(|(fixed, running)| json!([text(fixed), running.amount().to_string()])),
        "at": at.collect::<Option<Vec<_>>>()?,
    }))
}

fn in_hand(asked: &Value) -> Option<Value> {
    let answer = fields(&asked["answer"])?;
    let landing = landing(&asked["landing"], &answer.printer)?;
    let footing = Footing {
        landing: &landing,
        deliveries: &[],
        home: asked["home"].as_bool()?,
        charges: &[],
    };
    Some(match landed(&answer, asked["copies"].as_u64()?, &footing) {
        Ok(found) => json!({
            "parts": found
                .parts
                .iter()
                .map(|part| json!([part.what, text(part.in_hand)]))
                .collect::<Vec<_>>(),
            "total": text(found.total),
            "each": found.each.amount().to_string(),
            "good": found.good,
            "range": found.range.map(|(low, high)| [text(low), text(high)]),
        }),
        Err(error) => json!({ "problem": error.to_string() }),
    })
}

fn ranges(asked: &Value) -> Option<Value> {
    let answers = asked["answers"].as_array()?;
    let answers: Vec<Answer> = answers.iter().map(fields).collect::<Option<_>>()?;
    let landing = Landing {
        insurance: Some(Decimal::ZERO),
        spoilage: Some(Decimal::ZERO),
        ..Landing::default()
    };
    let footing = Footing {
        landing: &landing,
        deliveries: &[],
        home: true,
        charges: &[],
    };
    let all: Vec<(&Answer, Footing<'_>)> = answers.iter().map(|one| (one, footing)).collect();
    let at: Vec<u64> = asked["at"]
        .as_array()?
        .iter()
        .filter_map(Value::as_u64)
        .collect();
    let found = compare(&all, &at, date(2026, 11, 25));
    let ranges = found.ranges.iter();
    Some(json!(
        ranges
            .map(|range| json!([range.from, range.to, range.answer]))
            .collect::<Vec<_>>()
    ))
}

fn landing(said: &Value, printer: &str) -> Option<Landing> {
    let share = |of: &Value| decimal(of);
    let mut landing = Landing {
        currency: Currency::from_code(said["currency"].as_str()?)?,
        insurance: share(&said["insurance"]),
        spoilage: share(&said["spoilage"]),
        bank_fee: money(&said["bank_fee"]),
        ..Landing::default()
    };
    for rate in said["rates"].as_array().into_iter().flatten() {
        landing.rates.push(Rate {
            from: Currency::from_code(rate[0].as_str()?)?,
            to: Currency::from_code(rate[1].as_str()?)?,
            rate: decimal(&rate[2])?,
            on: date(2026, 11, 20),
            by: "outside".to_owned(),
            line: 1,
        });
    }
    if let Some(import) = said.get("import").filter(|import| import.is_object()) {
        landing.imports.push(Import {
            printer: printer.to_owned(),
            duty: share(&import["duty"]),
            duty_on: match import["duty_on"].as_str() {
                Some("goods") => DutyOn::Goods,
                _ => DutyOn::GoodsAndWay,
            },
            tax: share(&import["tax"]),
            broker: money(&import["broker"]),
            by: String::new(),
            line: 1,
        });
    }
    if let Some(freight) = said.get("freight").filter(|freight| freight.is_object()) {
        landing.freights.push(Freight {
            printer: printer.to_owned(),
            term: Term::from_code(freight["term"].as_str()?)?,
            fixed: money(&freight["fixed"])?,
            each: freight["each"].as_str()?.parse().ok()?,
            on: date(2026, 11, 18),
            by: String::new(),
            line: 1,
        });
    }
    Some(landing)
}

fn fields(said: &Value) -> Option<Answer> {
    let fields: Vec<(&str, &str)> = said
        .as_array()?
        .iter()
        .map(|field| Some((field[0].as_str()?, field[1].as_str()?)))
        .collect::<Option<_>>()?;
    Draft::from_fields(&fields).plain().ok()
}

fn decimal(said: &Value) -> Option<Decimal> {
    said.as_str()?.parse().ok()
}

fn money(said: &Value) -> Option<Money> {
    said.as_str()?.parse().ok()
}

fn text(sum: Money) -> String {
    sum.decimal().with_decimals(sum.currency().decimals())
}
