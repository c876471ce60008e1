//! Answers questions about demand, quantities and sales: one JSON object a line on standard input, one on
//! standard output. For `outside/quantity.py`, which reckons the same with other means.

use std::io::BufRead;

use edition::quantity::{
    Around, Audience, Channel, Conversion, Cost, Demand, Draws, Ground, Low, Offer, Paid, Pays,
    Row, Season, Sheet, When,
};
use jiff::civil::Date;
use measure::{Currency, Money};
use serde_json::{Value, json};

fn main() {
    for line in std::io::stdin().lock().lines().map_while(Result::ok) {
        match answer(&line) {
            Some(found) => println!("{found}"),
            None => {
                eprintln!(
                    "expected a question as `outside/quantity.py` asks it, but found: {line}"
                );
                std::process::exit(2);
            }
        }
    }
}

fn answer(line: &str) -> Option<Value> {
    let asked: Value = serde_json::from_str(line).ok()?;
    match asked["ask"].as_str()? {
        "demand" => demand(&asked),
        "points" => {
            let found = Conversion::of_points(
                "here",
                number(&asked["low"])?,
                number(&asked["likely"])?,
                number(&asked["high"])?,
            );
            Some(found.map_or(Value::Null, shape))
        }
        "learned" => {
            let prior = Conversion {
                alpha: number(&asked["alpha"])?,
                beta: number(&asked["beta"])?,
            };
            Some(shape(prior.learned(
                asked["people"].as_u64()?,
                asked["sold"].as_u64()?,
                number(&asked["elapsed"])?,
                asked["sold_out"].as_bool()?,
            )))
        }
        "draws" => Some(json!(draws(&ground(&asked)?, &asked)?.all())),
        "sheet" => sheet(&asked),
        _ => None,
    }
}

fn number(value: &Value) -> Option<f64> {
    value.as_f64()
}

fn numbers(value: &Value) -> Option<Vec<f64>> {
    value.as_array()?.iter().map(number).collect()
}

fn day(value: &Value) -> Option<Date> {
    value.as_str()?.parse().ok()
}

fn shape(found: Conversion) -> Value {
    json!({
        "alpha": found.alpha, "beta": found.beta,
        "p05": found.quantile(0.05), "p50": found.quantile(0.5), "p95": found.quantile(0.95),
    })
}

fn demand(asked: &Value) -> Option<Value> {
    let of = numbers(&asked["of"])?;
    let demand = match (asked["kind"].as_str()?, &of[..]) {
        ("normal", &[mean, deviation]) => Demand::Normal { mean, deviation },
        ("lognormal", &[mean_log, deviation_log]) => Demand::LogNormal {
            mean_log,
            deviation_log,
        },
        ("poisson", &[mean]) => Demand::Poisson { mean },
        ("uniform", &[least, most]) => Demand::Uniform { least, most },
        ("beta-binomial", &[people, alpha, beta]) => Demand::BetaBinomial {
            people: people as u64,
            alpha,
            beta,
        },
        ("discrete", pairs) => Demand::Discrete(
            pairs
                .chunks_exact(2)
                .map(|pair| (pair[0], pair[1]))
                .collect(),
        ),
        _ => return None,
    }
    .checked()
    .ok()?;
    let shares = numbers(&asked["shares"])?;
    let copies = numbers(&asked["copies"])?;
    let balanced = demand
        .balanced(number(&asked["under"])?, number(&asked["over"])?)
        .ok()?;
    Some(json!({
        "mean": demand.mean(),
        "variance": demand.variance(),
        "quantiles": shares.iter().map(|share| demand.quantile(*share)).collect::<Vec<_>>(),
        "missing": copies.iter().map(|copies| demand.missing(*copies)).collect::<Vec<_>>(),
        "left": copies.iter().map(|copies| demand.left(*copies)).collect::<Vec<_>>(),
        "ratio": balanced.ratio,
        "best": balanced.copies,
        "cost": balanced.cost,
    }))
}

fn ground(asked: &Value) -> Option<Ground> {
    let audiences = asked["audiences"].as_array()?.iter().map(|audience| {
        let share = Conversion {
            alpha: number(&audience["alpha"])?,
            beta: number(&audience["beta"])?,
        };
        Some(Audience {
            place: "here".to_owned(),
            people: audience["people"].as_u64()?,
            prior: share,
            now: share,
            sold: 0,
            by: String::new(),
        })
    });
    let channels = asked["channels"].as_array()?.iter().map(|channel| {
        Some(Channel {
            name: "a channel".to_owned(),
            share: number(&channel["share"])?,
            pledged: channel["pledged"].as_u64()?,
            brings: number(&channel["brings"])?,
            pays_after: channel["pays_after"].as_u64()?.try_into().ok()?,
        })
    });
    Ground {
        currency: Currency::EUR,
        audiences: audiences.collect::<Option<_>>()?,
        channels: channels.collect::<Option<_>>()?,
        season: Season::of(
            &numbers(&asked["season"])?,
            asked["tail"].as_u64()?.try_into().ok()?,
        )
        .ok()?,
        together: number(&asked["together"])?,
        storage: number(&asked["storage"])?,
        leftover: number(&asked["leftover"])?,
        too_many: asked["too_many"].as_u64()?,
        assumed: Vec::new(),
    }
    .checked()
    .ok()
}

fn draws(ground: &Ground, asked: &Value) -> Option<Draws> {
    Some(Draws::of(ground, asked["seed"].as_u64()?))
}

fn costs(asked: &Value) -> Option<Vec<Cost>> {
    let euros = |value: &Value| Some(Money::from_minor(value.as_i64()? * 100, Currency::EUR));
    let costs = asked["costs"].as_array()?.iter().map(|cost| {
        Some(Cost {
            copies: cost["copies"].as_u64()?,
            good: cost["good"].as_u64()?,
            total: euros(&cost["total"])?,
            to_printer: euros(&cost["to_printer"])?,
        })
    });
    costs.collect()
}

fn sheet(asked: &Value) -> Option<Value> {
    let ground = ground(asked)?;
    let draws = draws(&ground, asked)?;
    let paid = asked["paid"].as_array()?.iter().map(|paid| {
        Some(Paid {
            name: "a part".to_owned(),
            day: day(&paid["day"])?,
            share: number(&paid["share"])?,
        })
    });
    let when = When {
        order: day(&asked["order"])?,
        in_hand: day(&asked["in_hand"])?,
        paid: paid.collect::<Option<_>>()?,
    };
    let volume = number(&asked["volume"])?;
    let around = Around {
        when: &when,
        volume,
        sold_out_by: day(&asked["sold_out_by"]),
    };
    let sheet = Sheet::of(&ground, &draws, &costs(asked)?, around).ok()?;
    let own = sheet.rows[sheet.best].cost;
    let offers = asked["offers"].as_array()?.iter().map(|offer| {
        let share = number(&offer["share"])?;
        let held = Offer {
            name: "a house".to_owned(),
            advance: number(&offer["advance"])?,
            pays: match number(&offer["on"]) {
                Some(on) => Pays::Royalty { share, on },
                None => Pays::Profit { share },
            },
            reach: number(&offer["reach"])?,
            copies: offer["copies"].as_u64(),
        }
        .held(&ground, &draws, own, volume);
        Some(json!({
            "mean": held.takes.mean, "low": held.takes.low, "high": held.takes.high,
            "own": held.own.mean, "better": held.better,
        }))
    });
    Some(json!({
        "draws": draws.all(),
        "rows": sheet.rows.iter().map(row).collect::<Vec<_>>(),
        "best": own.copies,
        "hardly": [sheet.rows[sheet.hardly.0].cost.copies, sheet.rows[sheet.hardly.1].cost.copies],
        "within": sheet.within,
        "rule": sheet.rule.map(|rule| json!({
            "copies": sheet.rows[rule.row].cost.copies, "regret": rule.regret, "error": rule.error,
        })),
        "offers": offers.collect::<Option<Vec<_>>>()?,
    }))
}

fn row(row: &Row) -> Value {
    let low = |low: &Option<Low>| low.map(|low| json!([low.day.to_string(), low.sum]));
    json!({
        "copies": row.cost.copies,
        "profit": [row.profit.mean, row.profit.low, row.profit.middle, row.profit.high],
        "error": row.error,
        "loss": row.loss,
        "sold_out": row.sold_out,
        "sold_out_by": row.sold_out_by,
        "too_many": row.too_many,
        "missed": row.missed,
        "unmet": row.unmet,
        "stock": row.stock.iter().map(|stock| json!([stock.copies.mean, stock.room])).collect::<Vec<_>>(),
        "cash": row.cash.iter().map(low).collect::<Vec<_>>(),
        "even": row.even.map(|day| day.to_string()),
    })
}
