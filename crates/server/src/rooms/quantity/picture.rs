//! One quantity as one picture: price, profit, dates, cash and room.

use desk::edition::dates::LastDay;
use desk::edition::quantity::{Ground, Row};
use desk::figures::{percent, whole};
use desk::measure::Currency;
use desk::{Picture, day_in_words};
use maud::{Markup, html};

use crate::drawing::short;
use crate::rooms::axis::{Axis, about};
use crate::rooms::order::hidden;

/// All of it in words and small bars; with a form that keeps it as a plan.
pub(super) fn facts(picture: &Picture, ground: &Ground) -> Markup {
    let row = &picture.row;
    let currency = ground.currency;
    html! {
        section.one-picture #one-picture aria-labelledby="looked-at" {
            h2 #looked-at { (whole(row.cost.copies as f64)) " copies" }
            dl {
                div #fact-price { dt { "One copy costs" } dd { b { (each(row, currency)) } span.soft { (by(picture)) } } }
                div #fact-profit {
                    dt { "Brings, on average" }
                    dd { b { (about(row.profit.mean, currency)) } span.soft { "nine of ten: " (whole(row.profit.low)) " to " (whole(row.profit.high)) } }
                }
                div #fact-loss { dt { "Loses money" } dd { b { (percent(row.loss)) } (bar(row.loss)) } }
                div #fact-sold { dt { "Sells out" } dd { b { (percent(row.sold_out)) } (bar(row.sold_out)) @if let Some(by) = row.sold_out_by { span.soft { (percent(by)) " by the day you named" } } } }
                div #fact-many { dt { "Over " (whole(ground.too_many as f64)) " left after a year" } dd { b { (percent(row.too_many)) } (bar(row.too_many)) } }
                div #fact-hand { dt { "Books in hand" } dd { b { (day_in_words(picture.foretold.histories.ends.by(0.5))) } span.soft { "half by then; by " (day_in_words(picture.foretold.histories.ends.by(0.95))) " in nineteen of twenty" } } }
                div #fact-files { dt { "Files sent by" } dd { (files(picture)) } }
                div #fact-cash {
                    dt { "Cash lowest" }
                    dd {
                        @match row.cash[1] {
                            Some(low) => { b { (about(low.sum, currency)) } span.soft { "about " (day_in_words(low.day)) @if let Some(slow) = row.cash[0].filter(|slow| slow.sum.round() != low.sum.round()) { "; " (whole(slow.sum)) " where the demand is slow" } } }
                            None => "no money flows",
                        }
                    }
                }
                div #fact-cartons { dt { "Cartons" } dd { b { (whole(picture.cartons as f64)) " of " (picture.to_a_carton) } span.soft { (format!("{:.2} m³ when they come", picture.room)) } } }
            }
            p.caution { (picture.caution) }
            form.keep-plan method="post" action="/quantity/keep" data-act {
                (hidden("copies", &row.cost.copies.to_string()))
                label for="plan-name" { "Keep it as a plan" }
                span.with-button { input #plan-name type="text" name="name" required maxlength="60" autocomplete="off"; button { "Keep" } }
            }
        }
    }
}

/// Copies in the room by and by, each beside the print run.
pub(super) fn stock(picture: &Picture) -> Markup {
    let row = &picture.row;
    let good = row.cost.good as f64;
    let up = Axis::new((0.0, good.max(1.0)), (226.0, 30.0));
    let each = picture.room / picture.cost_of().good.max(1) as f64;
    let label: Vec<String> = row
        .stock
        .iter()
        .map(|stock| {
            format!(
                "after {} months {} copies",
                stock.months,
                whole(stock.copies.mean)
            )
        })
        .collect();
    html! {
        svg.plot.stock viewBox="0 0 560 290" role="img" aria-label={ "Copies left on average: " (label.join(", ")) "." } {
            path.grid data-zero d="M20 226H540" {}
            (heap(80.0, up, (good, good, good), "When they come", good * each))
            @for (place, stock) in row.stock.iter().enumerate() {
                @let word = match stock.months { 12 => "After a year".to_owned(), 24 => "After two years".to_owned(), months => format!("After {months} months") };
                (heap(213.0 + 133.0 * place as f64, up, (stock.copies.low, stock.copies.mean, stock.copies.high), &word, stock.room))
            }
        }
    }
}

fn heap(x: f64, up: Axis, (low, mean, high): (f64, f64, f64), word: &str, room: f64) -> Markup {
    html! {
        rect.whole-run x=(short(x - 34.0)) y=(short(up.at(f64::INFINITY))) width="68" height=(short(226.0 - up.at(f64::INFINITY))) {}
        rect.heap x=(short(x - 34.0)) y=(short(up.at(mean))) width="68" height=(short(226.0 - up.at(mean))) {}
        @if high - low >= 1.0 {
            path.ends d={ "M" (short(x + 44.0)) " " (short(up.at(low))) "V" (short(up.at(high))) "M" (short(x + 39.0)) " " (short(up.at(low))) "h10M" (short(x + 39.0)) " " (short(up.at(high))) "h10" } {}
        }
        text.said-mark x=(short(x)) y="20" text-anchor="middle" { (whole(mean)) " copies" }
        text.figure-mark x=(short(x)) y="248" text-anchor="middle" { (word) }
        text.figure-mark x=(short(x)) y="270" text-anchor="middle" { (format!("{room:.2} m³")) }
    }
}

/// The day by which files must be sent, or what stands in the way of it.
pub(super) fn files(picture: &Picture) -> Markup {
    html! {
        @match &picture.foretold.launch {
            None if picture.foretold.schedule.is_begun() => { b { "they were sent" } },
            None => { b { (day_in_words(picture.foretold.send)) } span.soft { "as you say; name a launch to see the last day" } }
            Some(launch) => {
                @match launch.last {
                    LastDay::On(day) => { b { (day_in_words(day)) } span.soft { "for " (percent(launch.surety)) " surety of the launch on " (day_in_words(launch.day)) } }
                    LastDay::Sent => { b { "they were sent" } }
                    LastDay::TooLate(now) => { b { "it is late" } span.soft { "even today in time only with " (percent(now)) } }
                }
            }
        }
    }
}

/// Price of one copy that is fit to be sold.
pub(super) fn each(row: &Row, currency: Currency) -> String {
    format!("{currency} {:.2}", row.each)
}

fn by(picture: &Picture) -> String {
    match &picture.cost {
        None => "a guess of the book file".to_owned(),
        Some(cost) if cost.holds => format!("{}, in hand", cost.name),
        Some(cost) => format!("{}, for the book as it was", cost.name),
    }
}

/// A chance as a bar.
pub(super) fn bar(share: f64) -> Markup {
    html! {
        svg.share viewBox="0 0 100 6" preserveAspectRatio="none" aria-hidden="true" { rect width="100" height="6" {} rect.part width=(format!("{:.1}", (share * 100.0).clamp(0.0, 100.0))) height="6" {} }
    }
}
