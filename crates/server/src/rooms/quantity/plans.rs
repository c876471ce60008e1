//! Plans that are kept, side by side with the best; and publishers' offers beside an edition of one's own.

use desk::edition::quantity::{Ground, Held, Offer, Spread};
use desk::figures::{percent, whole};
use desk::measure::Currency;
use desk::{Picture, PlanView, QuantityView, day_in_words};
use maud::{Markup, html};

use super::picture::{each, files};
use crate::drawing::short;
use crate::rooms::axis::{Axis, about};
use crate::rooms::order::hidden;
use crate::shell::spoken;

/// All plans as columns, the best first.
pub(super) fn plans(view: &QuantityView) -> Markup {
    let currency = view.ground.currency;
    let columns: Vec<&Picture> = std::iter::once(&view.best)
        .chain(
            view.plans
                .iter()
                .filter_map(|plan| plan.picture.as_ref().ok()),
        )
        .collect();
    let row = |head: &str, of: &dyn Fn(&Picture) -> Markup| {
        html! { tr { th scope="row" { (head) } @for picture in &columns { td { (of(picture)) } } } }
    };
    let whose = |plan: &PlanView| plan.wish.name.clone();
    html! {
        section.plans aria-labelledby="plans" {
            h2 #plans { "Plans side by side" }
            div.scrolled tabindex="0" role="group" aria-label="Plans side by side" {
                table {
                    thead { tr {
                        td { span.hidden { "What" } }
                        th scope="col" { "The best of all" }
                        @for plan in view.plans.iter().filter(|plan| plan.picture.is_ok()) { th scope="col" { (whose(plan)) } }
                    } }
                    tbody {
                        (row("Copies", &|picture| html! { b { (whole(picture.row.cost.copies as f64)) } }))
                        (row("One copy costs", &|picture| html! { (each(&picture.row, currency)) " " span.soft { (picture.printer()) } }))
                        (row("Brings, on average", &|picture| html! { (about(picture.row.profit.mean, currency)) }))
                        (row("Nine of ten", &|picture| html! { (whole(picture.row.profit.low)) " to " (whole(picture.row.profit.high)) }))
                        (row("Loses money", &|picture| html! { (percent(picture.row.loss)) }))
                        (row("Sells out", &|picture| html! { (percent(picture.row.sold_out)) }))
                        (row("Left after a year", &|picture| { let stock = &picture.row.stock[1]; html! { (whole(stock.copies.mean)) " in " (format!("{:.2} m³", stock.room)) } }))
                        (row("Cash lowest", &|picture| match picture.row.cash[1] { Some(low) => html! { (about(low.sum, currency)) span.soft { " " (day_in_words(low.day)) } }, None => html! { "–" } }))
                        (row("Books in hand, half by", &|picture| html! { (day_in_words(picture.foretold.histories.ends.by(0.5))) }))
                        (row("In nineteen of twenty by", &|picture| html! { (day_in_words(picture.foretold.histories.ends.by(0.95))) }))
                        (row("Files sent by", &|picture| html! { span.in-table { (files(picture)) } }))
                        (row("Cartons", &|picture| html! { (picture.cartons) " of " (picture.to_a_carton) ", " (format!("{:.2} m³", picture.room)) }))
                        tr {
                            th scope="row" { span.hidden { "What to do with it" } }
                            td { a.button href={ "/quantity?copies=" (view.best.row.cost.copies) } { "Look" span.hidden { " at the best" } } }
                            @for plan in view.plans.iter().filter(|plan| plan.picture.is_ok()) {
                                td { div.row {
                                    a.button href={ "/quantity?copies=" (plan.wish.copies) } { "Look" span.hidden { " at " (whose(plan)) } }
                                    (drop_form(plan))
                                } }
                            }
                        }
                    }
                }
            }
            @for plan in &view.plans {
                @if let Err(why) = &plan.picture {
                    div.problem { p { b { (whose(plan)) } ": " (spoken(why)) } (drop_form(plan)) }
                }
            }
            @if view.plans.is_empty() { p.soft { "No plan is kept yet. Move the slider, give the quantity a name, and it stands here beside the best." } }
        }
    }
}

fn drop_form(plan: &PlanView) -> Markup {
    html! {
        form method="post" action="/quantity/drop" data-act {
            (hidden("name", &plan.wish.name))
            button.quiet { "Drop" span.hidden { " " (plan.wish.name) } }
        }
    }
}

/// Each offer as what the artist takes home, beside the own edition on the same scale.
pub(super) fn offers(offers: &[(Offer, Held)], ground: &Ground) -> Markup {
    let all = offers.iter().flat_map(|(_, held)| [&held.takes, &held.own]);
    let low = all.clone().map(|spread| spread.low).fold(0.0, f64::min);
    let high = all.map(|spread| spread.high).fold(0.0, f64::max);
    let across = Axis::new((low, high), (0.0, 400.0));
    html! {
        @if !offers.is_empty() {
            section.offers aria-labelledby="offers" {
                h2 #offers { "Publishers' offers" }
                p.soft { "What you take home, from the demand that is slower than nineteen of twenty to the one that is quicker; the upright stroke is the mean. Both meet the same demand. Common practice, no source: 40 to 60 percent of the profit." }
                ul {
                    @for (offer, held) in offers {
                        li {
                            h3 { (offer.name) }
                            (spread(&offer.name, &held.takes, across, ground.currency))
                            (spread("Your own edition", &held.own, across, ground.currency))
                            p { "The offer brings more with a chance of " b { (percent(held.better)) } "." }
                        }
                    }
                }
            }
        }
    }
}

fn spread(name: &str, of: &Spread, across: Axis, currency: Currency) -> Markup {
    let (low, mean, high) = (across.at(of.low), across.at(of.mean), across.at(of.high));
    html! {
        p.takes { span { (name) } b { (about(of.mean, currency)) } span.soft { (whole(of.low)) " to " (whole(of.high)) } }
        svg.band viewBox="0 0 400 18" preserveAspectRatio="none" aria-hidden="true" {
            path.grid data-zero d={ "M" (short(across.at(0.0))) " 0v18" } {}
            rect x=(short(low)) y="4" width=(short((high - low).max(1.0))) height="10" {}
            path.stroke d={ "M" (short(mean)) " 0v18" } {}
        }
    }
}
