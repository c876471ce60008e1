//! How many to print, in words and tables.

use desk::edition::dates::LastDay;
use desk::edition::quantity::{Row, Spread};
use desk::figures::{percent, whole};
use desk::{Picture, QuantityView, day_in_words};

use super::CAUTION;
use crate::outcome::table;

fn from_to(spread: Spread) -> String {
    format!("{} to {}", whole(spread.low), whole(spread.high))
}

pub(super) fn all(view: &QuantityView) -> String {
    let mut blocks = vec![sentence(view), rule(view)];
    if !view.remarks.is_empty() {
        blocks.push(view.remarks.join("\n"));
    }
    blocks.push(rows(view));
    if view.looked_at.row.cost.copies != view.best.row.cost.copies {
        blocks.push(looked_at(view));
    }
    blocks.push(stock(view));
    if !view.plans.is_empty() {
        blocks.push(plans(view));
    }
    blocks.push(audiences(view));
    if !view.offers.is_empty() {
        blocks.push(offers(view));
    }
    blocks.push(rests(view));
    blocks.push(CAUTION.to_owned());
    blocks.join("\n\n")
}

/// The answer in one paragraph.
fn sentence(view: &QuantityView) -> String {
    let best = &view.best;
    let row = &best.row;
    let currency = view.ground.currency;
    let year = row.stock[1];
    let (first, last) = view.sheet.hardly;
    let rows = &view.sheet.rows;
    let lead = if view.sheet.earns() {
        "Print about"
    } else {
        "No quantity is expected to earn at this price, and printing none loses nothing. Least is lost with \
         about"
    };
    format!(
        "{lead} {} with {}: expect {} {currency} ({}), {} copies left after a year in {:.1} m³{}, books \
         in hand between {} and {}{}.\nAnything from {} to {} is as good within {} {currency}. Wanted are {} \
         copies on the whole ({} in nine of ten cases){}.",
        whole(row.cost.copies as f64),
        best.printer(),
        whole(row.profit.mean),
        from_to(row.profit),
        whole(year.copies.mean),
        year.room,
        cash(best, currency.code()),
        day_in_words(best.foretold.histories.ends.by(0.05)),
        day_in_words(best.foretold.histories.ends.by(0.95)),
        send(best),
        whole(rows[first].cost.copies as f64),
        whole(rows[last].cost.copies as f64),
        whole(view.sheet.within),
        whole(view.ground.wanted()),
        from_to(view.wanted),
        match view.ground.pledged() {
            0 => String::new(),
            pledged => format!(", {} pledged ones among them", whole(pledged as f64)),
        },
    )
}

fn cash(picture: &Picture, currency: &str) -> String {
    let [slow, middle, _] = picture.row.cash;
    match (middle, slow) {
        (Some(middle), Some(slow)) if slow.sum.round() != middle.sum.round() => format!(
            ", cash lowest at {} {currency} about {} ({} if sales are slow)",
            whole(middle.sum),
            day_in_words(middle.day),
            whole(slow.sum)
        ),
        (Some(middle), _) => format!(
            ", cash lowest at {} {currency} about {}",
            whole(middle.sum),
            day_in_words(middle.day)
        ),
        _ => String::new(),
    }
}

fn send(picture: &Picture) -> String {
    match &picture.foretold.launch {
        Some(launch) => match launch.last {
            LastDay::On(day) => format!(
                ", files to be sent by {} for the launch on {} ({} sure)",
                day_in_words(day),
                day_in_words(launch.day),
                percent(launch.surety)
            ),
            LastDay::Sent => format!(
                ", the launch on {} reached with a chance of {} (the files were sent)",
                day_in_words(launch.day),
                percent(launch.chance)
            ),
            LastDay::TooLate(chance) => format!(
                ", the launch on {} reached with a chance of {} even if files go today",
                day_in_words(launch.day),
                percent(chance)
            ),
        },
        None if picture.foretold.schedule.is_begun() => ", the files were sent".to_owned(),
        None => format!(", files sent on {}", day_in_words(picture.foretold.send)),
    }
}

fn rule(view: &QuantityView) -> String {
    let currency = view.ground.currency;
    let people = view.ground.people();
    let (low, _, high) = view.ground.rule();
    if people == 0 {
        return "A rule of thumb needs people who know of the work, and none are named.".to_owned();
    }
    let Some(rule) = view.sheet.rule else {
        return format!(
            "The rule of thumb, a half to one percent of {} people, says {low} to {high}.",
            whole(people as f64)
        );
    };
    let copies = view.sheet.rows[rule.row].cost.copies;
    format!(
        "The rule of thumb (0.75 % of {} people: {copies}; common practice, no source) would give up about {} \
         {currency}, give or take {}.",
        whole(people as f64),
        whole(rule.regret),
        whole(2.0 * rule.error)
    )
}

/// What lies in the room of the quantity that is looked at, as time goes by.
fn stock(view: &QuantityView) -> String {
    let picture = &view.looked_at;
    let after = ["after 6 months", "after a year", "after two years"];
    let later = after.iter().zip(&picture.row.stock).map(|(when, stock)| {
        format!(
            "{} in {:.2} m³ {when} ({})",
            whole(stock.copies.mean),
            stock.room,
            from_to(stock.copies)
        )
    });
    format!(
        "In the room, of {} copies: {} cartons, {:.2} m³, when they come; left are {}.",
        whole(picture.row.cost.copies as f64),
        picture.cartons,
        picture.room,
        later.collect::<Vec<_>>().join(", ")
    )
}

/// Every few quantities, the best and what somebody asked for among them.
fn rows(view: &QuantityView) -> String {
    let all = &view.sheet.rows;
    let every = all.len().div_ceil(12).max(1);
    let rule = view.sheet.rule.map(|rule| rule.row);
    let shown = all.iter().enumerate().filter(|(place, row)| {
        place.is_multiple_of(every)
            || *place == view.sheet.best
            || Some(*place) == rule
            || row.cost.copies == view.looked_at.row.cost.copies
    });
    let lines: Vec<Vec<String>> = shown
        .map(|(place, row)| {
            let mark = if place == view.sheet.best {
                "best"
            } else if Some(place) == rule {
                "rule of thumb"
            } else if place >= view.sheet.hardly.0 && place <= view.sheet.hardly.1 {
                "as good"
            } else {
                ""
            };
            line(row, mark)
        })
        .collect();
    let head = [
        "copies",
        "one costs",
        "earns",
        "5 to 95 %",
        "loss",
        "all sold",
        "too many left",
        "left after a year",
        "",
    ];
    format!(
        "{}\nWhat it earns is the mean of all histories; where a few sell badly and all others alike, it lies below the \
         range.",
        table(&head, &lines)
    )
}

fn line(row: &Row, mark: &str) -> Vec<String> {
    vec![
        whole(row.cost.copies as f64),
        format!("{:.2}", row.each),
        whole(row.profit.mean),
        from_to(row.profit),
        percent(row.loss),
        percent(row.sold_out),
        percent(row.too_many),
        format!(
            "{} in {:.1} m³",
            whole(row.stock[1].copies.mean),
            row.stock[1].room
        ),
        mark.to_owned(),
    ]
}

fn looked_at(view: &QuantityView) -> String {
    let picture = &view.looked_at;
    let row = &picture.row;
    let currency = view.ground.currency;
    format!(
        "{} copies with {}: one costs {:.2} {currency}; earns {} {currency} ({}), a loss with a chance of {}{}{}; \
         books in hand between {} and {}{}. {}",
        whole(row.cost.copies as f64),
        picture.printer(),
        row.each,
        whole(row.profit.mean),
        from_to(row.profit),
        percent(row.loss),
        row.sold_out_by
            .zip(view.sold_out_by)
            .map_or_else(String::new, |(chance, day)| format!(
                "; all sold by {} with a chance of {}",
                day_in_words(day),
                percent(chance)
            )),
        cash(picture, currency.code()),
        day_in_words(picture.foretold.histories.ends.by(0.05)),
        day_in_words(picture.foretold.histories.ends.by(0.95)),
        send(picture),
        picture.caution
    )
}

fn plans(view: &QuantityView) -> String {
    let lines: Vec<Vec<String>> = view
        .plans
        .iter()
        .map(|plan| match &plan.picture {
            Ok(picture) => {
                let row = &picture.row;
                vec![
                    plan.wish.name.clone(),
                    whole(plan.wish.copies as f64),
                    picture.printer().to_owned(),
                    format!("{:.2}", row.each),
                    whole(row.profit.mean),
                    from_to(row.profit),
                    row.cash[0].map_or_else(String::new, |low| whole(low.sum)),
                    picture.foretold.histories.ends.by(0.95).to_string(),
                    picture.cartons.to_string(),
                ]
            }
            Err(why) => vec![
                plan.wish.name.clone(),
                whole(plan.wish.copies as f64),
                why.clone(),
            ],
        })
        .collect();
    let head = [
        "plan",
        "copies",
        "printer",
        "one costs",
        "earns",
        "5 to 95 %",
        "cash, slow",
        "in hand, 95 % by",
        "cartons",
    ];
    table(&head, &lines)
}

fn audiences(view: &QuantityView) -> String {
    let lines: Vec<Vec<String>> = view
        .ground
        .audiences
        .iter()
        .map(|audience| {
            let shares = |spread: desk::edition::quantity::Conversion| {
                format!(
                    "{:.2} % ({:.2} to {:.2})",
                    spread.mean() * 100.0,
                    spread.quantile(0.05) * 100.0,
                    spread.quantile(0.95) * 100.0
                )
            };
            vec![
                audience.place.clone(),
                whole(audience.people as f64),
                shares(audience.now),
                whole(audience.people as f64 * audience.now.mean()),
                if audience.sold > 0 {
                    format!("{} sold; before: {}", audience.sold, shares(audience.prior))
                } else {
                    audience.by.clone()
                },
            ]
        })
        .collect();
    let mut text = table(&["audience", "people", "buy", "copies", "rests on"], &lines);
    for sale in view.sales.iter().filter(|sale| !sale.taken_back) {
        text.push_str(&format!(
            "\nsale {}: {} copies to {} by {}{}",
            sale.number,
            sale.copies,
            sale.audience,
            sale.day,
            if sale.sold_out {
                ", then none was left"
            } else {
                ""
            }
        ));
    }
    text
}

fn offers(view: &QuantityView) -> String {
    let currency = view.ground.currency;
    let lines: Vec<String> = view
        .offers
        .iter()
        .map(|(offer, held)| {
            format!(
                "Offer of {}: you take home {} {currency} ({}); on your own {} ({}). It brings more with a \
                 chance of {}. Artists are usually given 40 to 60 % of the profit (common practice, no source).",
                offer.name,
                whole(held.takes.mean),
                from_to(held.takes),
                whole(held.own.mean),
                from_to(held.own),
                percent(held.better)
            )
        })
        .collect();
    lines.join("\n")
}

fn rests(view: &QuantityView) -> String {
    let mut text = view.rests_on.clone();
    if !view.ground.assumed.is_empty() {
        text.push_str(&format!(
            " Taken for usual: {}.",
            view.ground.assumed.join("; ")
        ));
    }
    text
}
