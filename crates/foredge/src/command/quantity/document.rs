//! How many to print, as a document.

use desk::edition::dates::LastDay;
use desk::edition::quantity::{Row, Spread};
use desk::{Picture, QuantityView};
use serde_json::{Value, json};

use super::CAUTION;

fn spread(spread: Spread) -> Value {
    json!({ "mean": spread.mean, "p5": spread.low, "p50": spread.middle, "p95": spread.high })
}

fn row(row: &Row) -> Value {
    let low = |place: usize| {
        row.cash[place].map(|low| json!({ "day": low.day.to_string(), "sum": low.sum }))
    };
    let stock: Vec<Value> = row
        .stock
        .iter()
        .map(|stock| {
            json!({
                "months": stock.months,
                "copies": spread(stock.copies),
                "room_m3": stock.room,
            })
        })
        .collect();
    json!({
        "copies": row.cost.copies,
        "good_copies": row.cost.good,
        "total_minor": row.cost.total.minor(),
        "to_printer_minor": row.cost.to_printer.minor(),
        "each": row.each,
        "profit": spread(row.profit),
        "profit_standard_error": row.error,
        "loss_share": row.loss,
        "sold_out_share": row.sold_out,
        "sold_out_by_share": row.sold_out_by,
        "too_many_share": row.too_many,
        "missed_copies": row.missed,
        "unmet_pledges": row.unmet,
        "stock": stock,
        "cash_low": { "slow": low(0), "middle": low(1), "quick": low(2) },
        "even": row.even.map(|day| day.to_string()),
    })
}

fn picture(picture: &Picture) -> Value {
    let ends = &picture.foretold.histories.ends;
    json!({
        "printer": picture.printer(),
        "row": row(&picture.row),
        "holds": picture.cost.as_ref().map(|cost| cost.holds),
        "missing": picture.cost.as_ref().map(|cost| cost.missing.clone()),
        "in_hand_5": ends.by(0.05).to_string(),
        "in_hand_50": ends.by(0.5).to_string(),
        "in_hand_95": ends.by(0.95).to_string(),
        "send": picture.foretold.send.to_string(),
        "last_day_to_send": picture.foretold.launch.as_ref().and_then(|launch| match launch.last {
            LastDay::On(day) => Some(day.to_string()),
            LastDay::TooLate(_) | LastDay::Sent => None,
        }),
        "histories": picture.foretold.histories.count,
        "copies_to_a_carton": picture.to_a_carton,
        "cartons": picture.cartons,
        "room_m3": picture.room,
        "purse": picture.purses[1].points.iter().map(|(day, sum)| json!([day.to_string(), sum])).collect::<Vec<_>>(),
        "flows": picture.flows.iter().map(|flow| json!({
            "day": flow.day.to_string(),
            "sum": flow.sum,
            "what": flow.what,
        })).collect::<Vec<_>>(),
        "caution": picture.caution,
    })
}

pub(super) fn all(view: &QuantityView) -> Value {
    let ground = &view.ground;
    let rows: Vec<Value> = view.sheet.rows.iter().map(row).collect();
    let copies = |place: usize| view.sheet.rows[place].cost.copies;
    let plans: Vec<Value> = view
        .plans
        .iter()
        .map(|plan| {
            let name = &plan.wish.name;
            match &plan.picture {
                Ok(found) => {
                    json!({ "name": name, "copies": plan.wish.copies, "picture": picture(found) })
                }
                Err(why) => json!({ "name": name, "copies": plan.wish.copies, "wrong": why }),
            }
        })
        .collect();
    let audiences: Vec<Value> = ground
        .audiences
        .iter()
        .map(|audience| {
            json!({
                "place": audience.place,
                "people": audience.people,
                "prior": { "alpha": audience.prior.alpha, "beta": audience.prior.beta },
                "now": { "alpha": audience.now.alpha, "beta": audience.now.beta },
                "sold": audience.sold,
                "by": audience.by,
            })
        })
        .collect();
    json!({
        "today": view.today.to_string(),
        "currency": ground.currency.code(),
        "wanted_copies": spread(view.wanted),
        "best_copies": copies(view.sheet.best),
        "as_good_copies": [copies(view.sheet.hardly.0), copies(view.sheet.hardly.1)],
        "as_good_within": view.sheet.within,
        "rule": view.sheet.rule.map(|rule| json!({
            "copies": copies(rule.row),
            "regret": rule.regret,
            "standard_error": rule.error,
        })),
        "balance": view.sheet.balance.map(|balance| json!({
            "one_more_costs": balance.one_more,
            "too_few_gives_up": balance.under,
            "too_many_loses": balance.over,
            "ratio_share": balance.ratio,
            "covers_share": balance.covers,
        })),
        "brings_each": ground.brings(),
        "best": picture(&view.best),
        "looked_at": picture(&view.looked_at),
        "rows": rows,
        "plans": plans,
        "audiences": audiences,
        "sales": view.sales.iter().map(|sale| json!({
            "number": sale.number,
            "audience": sale.audience,
            "copies": sale.copies,
            "day": sale.day.to_string(),
            "sold_out": sale.sold_out,
            "taken_back": sale.taken_back,
        })).collect::<Vec<_>>(),
        "offers": view.offers.iter().map(|(offer, held)| json!({
            "name": offer.name,
            "takes": spread(held.takes),
            "own": spread(held.own),
            "better_share": held.better,
        })).collect::<Vec<_>>(),
        "rests_on": view.rests_on,
        "assumed": ground.assumed,
        "remarks": view.remarks,
        "caution": CAUTION,
    })
}
