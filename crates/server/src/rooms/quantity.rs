//! *How many*: what each quantity earns and risks, and one quantity as one picture of price, dates, cash
//! and room.

mod chart;
mod people;
mod picture;
mod plans;

use axum::extract::{Query, State as Shared};
use axum::response::{Html, IntoResponse, Response};
use desk::book::PlanWish;
use desk::edition::dates::LastDay;
use desk::edition::quantity::Sheet;
use desk::figures::{percent, whole};
use desk::measure::Currency;
use desk::{Desk, DeskError, Picture, QuantityView, day_in_words};
use maud::{Markup, html};
use serde::Deserialize;

use crate::State;
use crate::problem::Problem;
use crate::rooms::axis::about;
use crate::rooms::cash;
use crate::rooms::order::hidden;
use crate::rooms::stands::without_command;
use crate::rooms::things::{self, Kind};
use crate::shell::{Room, Scene, spoken};

const ROOM: &str = "quantity";
const AUDIENCES: Kind = Kind {
    section: "audience",
    title: "Who may buy",
    add: "Name an audience",
    needed: true,
    words: "How many people, and what share of them buys: at least, most likely, at most. Or what a past edition sold to how many.",
};
const CHANNELS: Kind = Kind {
    section: "channel",
    title: "Ways of selling",
    add: "Name a way of selling",
    needed: true,
    words: "What each takes off the price, and when it pays. Copies that a campaign has promised are certain.",
};
const OFFERS: Kind = Kind {
    section: "offer",
    title: "Offers as they were made",
    add: "Name an offer",
    needed: false,
    words: "A royalty or a share of the profit, held against an edition of your own.",
};

/// The caution that stands in this room.
const CAUTION: &str = "Estimates for a decision; no financial advice.";

/// What is looked at.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Look {
    /// A quantity; the book's own or the best, otherwise.
    copies: Option<u64>,
    /// Whether a slider is moving, so that the dates may rest on fewer histories.
    moving: Option<String>,
}

/// `GET /quantity`.
pub(crate) async fn room(
    Shared(state): Shared<State>,
    Query(look): Query<Look>,
) -> Result<Html<String>, Problem> {
    state
        .call(move |state| {
            let scene = Scene::read(state, Room::Quantity)?;
            let price = scene.snapshot.book.edition.price;
            let room = html! {
                div.title-line { div {
                    h1 { "How many" }
                    p.lead { "What each quantity earns and risks, before a deposit is paid." }
                } }
                @match state.desk().quantity(look.copies) {
                    Ok(view) => (whole_room(&view, price.as_ref().map(ToString::to_string))),
                    Err(error) => (problem(&error)),
                }
                (said(state.desk())?)
            };
            Ok(scene.page(&room, Some("quantity.js"), false))
        })
        .await
}

/// `GET /quantity/look`: what moves with the quantity, alone.
pub(crate) async fn look_alone(
    Shared(state): Shared<State>,
    Query(look): Query<Look>,
) -> Result<Response, Problem> {
    state
        .call(move |state| {
            let desk = state.desk();
            let copies = look
                .copies
                .ok_or_else(|| Problem::unreadable("No quantity is said."))?;
            let view = match look.moving {
                Some(_) => desk.quantity_moving(copies)?,
                None => desk.quantity_at(copies)?,
            };
            let currency = view.ground.currency;
            let parts = html! {
                (chart_part(&view.sheet, &view.looked_at, &view.plans, currency))
                (picture::facts(&view.looked_at, &view.ground))
                (purse_part(&view.looked_at, currency))
                (stock_part(&view.looked_at))
                p #quantity-heard { (heard(&view.looked_at, currency)) }
            };
            Ok(Html(parts.into_string()).into_response())
        })
        .await
}

/// What the book says of the edition, of readers, of ways of selling and of offers.
fn said(desk: &Desk) -> Result<Markup, DeskError> {
    let kind = |kind| things::things(desk, kind, ROOM);
    let groups = [
        kind(AUDIENCES)?,
        kind(CHANNELS)?,
        kind(OFFERS)?,
        things::section(desk, "edition", "Price, season, storage", ROOM)?,
    ];
    Ok(things::says(
        "All figures here rest on this. Shares in percent (5%), sums with their currency (EUR 48). What is empty is \
         taken for usual, and said to be so. Undo takes every change back.",
        &groups,
    ))
}

fn problem(error: &DeskError) -> Markup {
    html! {
        div.problem { p { (spoken(&error.to_string())) } p.hint { (spoken(without_command(&error.hint))) " – below, under " a href="#says" { "What you say" } "." } }
        p.soft.caution { (CAUTION) }
    }
}

fn whole_room(view: &QuantityView, price: Option<String>) -> Markup {
    let copies = view.looked_at.row.cost.copies;
    let currency = view.ground.currency;
    let plans: Vec<PlanWish> = view.plans.iter().map(|plan| plan.wish.clone()).collect();
    let ends = |place: Option<&desk::edition::quantity::Row>| place.map(|row| row.cost.copies);
    let first = ends(view.sheet.rows.first()).unwrap_or(copies).min(copies);
    let last = ends(view.sheet.rows.last()).unwrap_or(copies).max(copies);
    html! {
        (answer(view))
        div.quantity-bench {
            figure.plot-frame {
                (chart_part(&view.sheet, &view.looked_at, &plans, currency))
                div.quantity-slider {
                    label.hidden for="quantity-slider" { "Quantity, by slider" }
                    input #quantity-slider type="range" min=(first) max=(last) step=(slider_step(first, last)) value=(copies) aria-valuetext={ (copies) " copies" };
                    form.quantity-number method="get" action="/quantity" {
                        label for="quantity-number" { "Copies" }
                        input #quantity-number type="text" inputmode="numeric" name="copies" value=(copies) autocomplete="off";
                        button { "Look" }
                        a.button href={ "/quantity?copies=" (view.best.row.cost.copies) } { "The best" }
                    }
                    p.hidden #quantity-heard role="status" aria-live="polite" {}
                }
                figcaption { "Line: expected profit. Grey: nine of ten cases. Upright band: the quantities between which it hardly matters (" (about(view.sheet.within, view.ground.currency)) " at most). Triangles: plans that you keep. While you slide, the dates rest on fewer histories; they are made firm when you let go." }
            }
            (picture::facts(&view.looked_at, &view.ground))
        }
        div.quantity-below {
            figure.plot-frame { h2 { "Cash by the day" } (purse_part(&view.looked_at, currency)) figcaption { "Line: the middle demand. Grey: from slow to quick. Triangles: what is paid before the books are here. Leftover copies are nobody's cash." } }
            figure.plot-frame { h2 { "Copies in the room" } (stock_part(&view.looked_at)) figcaption { "Dark: left on average; the stroke beside it: nine of ten cases. The frame is the whole run." } }
        }
        (plans::plans(view))
        div.columns {
            div { (people::people(view)) }
            aside {
                (price_form(price))
                (plans::offers(&view.offers, &view.ground))
                (rests(view))
                p.soft.caution { (CAUTION) }
            }
        }
    }
}

/// The answer in a sentence, and the rule of thumb beside it.
fn answer(view: &QuantityView) -> Markup {
    let best = &view.best;
    let row = &best.row;
    let currency = view.ground.currency;
    let ends = &best.foretold.histories.ends;
    let year = &row.stock[1];
    html! {
        section.answer aria-label="The answer" {
            p.great-figure #quantity-answer {
                @if view.sheet.earns() { "Print about " } @else { "No quantity is expected to earn at this price, and printing none loses nothing. Least is lost with about " }
                b { (whole(row.cost.copies as f64)) } @if best.cost.is_some() { " with " (best.printer()) } ": expect "
                b { (whole(year.copies.mean)) " left after a year" } " in " (format!("{:.1} m³", year.room))
                @if let Some(low) = row.cash[1] { ", cash lowest at " b { (about(low.sum, currency)) } " about " (day_in_words(low.day)) }
                ", books in hand between " b { (day_in_words(ends.by(0.05))) } " and " b { (day_in_words(ends.by(0.95))) }
                @if let Some(launch) = &best.foretold.launch {
                    @match launch.last {
                        LastDay::On(day) => { ", files sent by " b { (day_in_words(day)) } }
                        LastDay::Sent => { ", and for the launch they are there with a chance of " (percent(launch.chance)) }
                        LastDay::TooLate(now) => { ", and for the launch it is late: even files sent today are in time only with a chance of " (percent(now)) }
                    }
                }
                "."
            }
            p {
                "It is expected to bring " b { (about(row.profit.mean, currency)) } ", in nine of ten cases " (whole(row.profit.low)) " to " (whole(row.profit.high)) "; it loses money with a chance of " (percent(row.loss)) ". "
                "Between " (whole(view.sheet.rows[view.sheet.hardly.0].cost.copies as f64)) " and " (whole(view.sheet.rows[view.sheet.hardly.1].cost.copies as f64)) " copies it hardly matters."
            }
            @if let Some(rule) = &view.sheet.rule {
                p #rule-of-thumb {
                    "The rule of thumb, 0.75 % of " (whole(view.ground.people() as f64)) " people, would print " b { (whole(view.sheet.rows[rule.row].cost.copies as f64)) }
                    " and give up " b { (about(rule.regret, currency)) } " on average, give or take " (whole(2.0 * rule.error)) " (two standard errors of the histories)."
                }
            }
            @for remark in &view.remarks { p.remark { (spoken(remark)) } }
        }
    }
}

fn chart_part(sheet: &Sheet, looked: &Picture, plans: &[PlanWish], currency: Currency) -> Markup {
    html! { div #quantity-chart { (chart::chart(sheet, &looked.row, plans, currency)) } }
}

fn purse_part(looked: &Picture, currency: Currency) -> Markup {
    html! { div #quantity-cash { (cash::chart(looked, None, currency)) p.soft { (cash::words(looked, None, currency)) } } }
}

fn stock_part(looked: &Picture) -> Markup {
    html! { div #quantity-stock { (picture::stock(looked)) } }
}

/// What is said when a slider has come to rest.
fn heard(looked: &Picture, currency: Currency) -> String {
    let row = &looked.row;
    let cash = row.cash[1].map_or_else(String::new, |low| {
        format!(", cash lowest at {}", about(low.sum, currency))
    });
    format!(
        "{} copies: {} a copy, {} expected{cash}, {} left after a year, {} cartons.",
        whole(row.cost.copies as f64),
        picture::each(row, currency),
        about(row.profit.mean, currency),
        whole(row.stock[1].copies.mean),
        looked.cartons
    )
}

fn price_form(price: Option<String>) -> Markup {
    html! {
        section aria-labelledby="price" {
            h2 #price { "What a buyer pays" }
            form.field method="post" action="/edit" data-act {
                (hidden("wish", "set")) (hidden("room", "quantity")) (hidden("key", "edition.price"))
                label for="edition-price" { "Price of one copy, tax in it" }
                span.with-button { input #edition-price type="text" name="value" value=(price.unwrap_or_default()) autocomplete="off"; button { "Take" span.hidden { " the price" } } }
            }
        }
    }
}

/// What all this rests on.
fn rests(view: &QuantityView) -> Markup {
    html! {
        section.rests aria-labelledby="rests" {
            h2 #rests { "What it rests on" }
            p { (spoken(&view.rests_on)) }
            @if let Some(balance) = &view.sheet.balance {
                p { "At the best quantity one copy more costs " (format!("{:.2}", balance.one_more)) ". A copy too few gives up " (format!("{:.2}", balance.under)) ", a copy too many loses " (format!("{:.2}", balance.over)) ": worth having in " (percent(balance.ratio)) " of cases." }
            }
            @if !view.ground.assumed.is_empty() {
                h3 { "Not said, and taken for usual" }
                ul.assumed { @for assumed in &view.ground.assumed { li { (spoken(assumed)) } } }
            }
        }
    }
}

/// Of the slider, so that about a hundred strokes of a key go all the way.
fn slider_step(first: u64, last: u64) -> u64 {
    match last - first {
        0..=200 => 1,
        201..=600 => 5,
        601..=3_000 => 10,
        3_001..=12_000 => 50,
        _ => 250,
    }
}
