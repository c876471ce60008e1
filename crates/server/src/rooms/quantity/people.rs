//! The audiences: what share of each buys, as was said and as sales have taught.

use desk::edition::quantity::{Audience, Conversion};
use desk::figures::whole;
use desk::{QuantityView, day_in_words};
use maud::{Markup, html};

use crate::drawing::short;
use crate::rooms::axis::Axis;
use crate::rooms::order::hidden;

/// Points of a curve.
const POINTS: u32 = 80;

/// All audiences, each with its curves and a form for what was sold.
pub(super) fn people(view: &QuantityView) -> Markup {
    let ground = &view.ground;
    html! {
        section.people aria-labelledby="people" {
            h2 #people { "Who buys" }
            p.soft {
                "What share of each audience buys: dashed as said, drawn out as sales have taught. All together are expected to want "
                (whole(ground.wanted())) " copies, in nine of ten cases " (whole(view.wanted.low)) " to " (whole(view.wanted.high)) "."
            }
            ul {
                @for (place, audience) in ground.audiences.iter().enumerate() { (one(place, audience, view)) }
            }
            @if !view.sales.is_empty() {
                h3 { "Sales that you told" }
                ul.sales {
                    @for sale in &view.sales {
                        li {
                            span {
                                @if sale.taken_back { s { (whole(sale.copies as f64)) " copies to " (sale.audience) " by " (day_in_words(sale.day)) } " taken back" }
                                @else { (whole(sale.copies as f64)) " copies to " (sale.audience) " by " (day_in_words(sale.day)) @if sale.sold_out { ", and none was left" } }
                            }
                            @if !sale.taken_back {
                                form method="post" action="/quantity/sold-back" data-act { (hidden("number", &sale.number.to_string())) button.quiet { "Take it back" span.hidden { ": sale " (sale.number) } } }
                            }
                        }
                    }
                }
            }
        }
    }
}

fn one(place: usize, audience: &Audience, view: &QuantityView) -> Markup {
    let id = |word: &str| format!("sold-{word}-{place}");
    html! {
        li {
            (curves(audience))
            div {
                h3 { (audience.place) " " span.soft { (whole(audience.people as f64)) " people" } }
                p {
                    b { (share(audience.now.mean())) } " buy, nine of ten cases " (share(audience.now.quantile(0.05))) " to " (share(audience.now.quantile(0.95))) "."
                    @if audience.now != audience.prior { " Before any sale: " (share(audience.prior.mean())) ". " (whole(audience.sold as f64)) " were sold." }
                }
                p.soft { @if audience.by.is_empty() { "As you say." } @else { "So says: " (audience.by) "." } }
                details {
                    summary { "Copies were sold" span.hidden { " to " (audience.place) } }
                    form.sold method="post" action="/quantity/sold" data-act {
                        (hidden("audience", &audience.place))
                        div { label for=(id("copies")) { "Copies" } input id=(id("copies")) type="text" inputmode="numeric" name="copies" required autocomplete="off"; }
                        div { label for=(id("on")) { "Up to" } input id=(id("on")) type="date" name="on" value=(view.today) max=(view.today); }
                        div.tick-line { input id=(id("out")) type="checkbox" name="sold_out" value="yes"; label for=(id("out")) { "None was left" } }
                        button { "Sold" span.hidden { " to " (audience.place) } }
                    }
                }
            }
        }
    }
}

/// Both spreads of the share as curves of one area.
fn curves(audience: &Audience) -> Markup {
    let high = audience
        .prior
        .quantile(0.995)
        .max(audience.now.quantile(0.995));
    let across = Axis::new((0.0, high), (6.0, 214.0));
    let shares = (0..=POINTS).map(|point| high * f64::from(point) / f64::from(POINTS));
    let dense = |of: Conversion| -> Vec<(f64, f64)> {
        shares
            .clone()
            .map(|share| (share, of.density(share)))
            .collect()
    };
    let (prior, now) = (dense(audience.prior), dense(audience.now));
    let most = prior.iter().chain(&now).map(|at| at.1);
    let up = Axis::new((0.0, most.fold(1e-9, f64::max)), (70.0, 8.0));
    let line = |points: &[(f64, f64)]| {
        let points: Vec<String> = points
            .iter()
            .map(|at| format!("{} {}", short(across.at(at.0)), short(up.at(at.1))))
            .collect();
        format!("M{}", points.join("L"))
    };
    html! {
        svg.shares viewBox="0 0 220 92" role="img" aria-label={ "Share of " (audience.place) " that buys: " (share(audience.now.mean())) " on average" } {
            path.grid data-zero d="M6 70H214" {}
            @for mark in across.marks(3.0) {
                text.figure-mark x=(short(across.at(mark))) y="88" text-anchor=(if mark == 0.0 { "start" } else if across.at(mark) > 196.0 { "end" } else { "middle" }) { (share(mark)) }
            }
            @if audience.now != audience.prior { path.before d=(line(&prior)) {} }
            path.now d={ (line(&now)) "V70H6Z" } {}
        }
    }
}

/// A small share in words, as fine as it needs to be.
fn share(share: f64) -> String {
    let percent = share * 100.0;
    match percent {
        none if none <= 0.0 => "0 %".to_owned(),
        fine if fine < 0.1 => format!("{fine:.2} %"),
        some if some < 10.0 => format!("{some:.1} %"),
        much => format!("{much:.0} %"),
    }
}
