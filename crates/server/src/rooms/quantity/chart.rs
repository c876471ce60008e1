//! What each quantity is expected to bring, with its spread, and what stands on it: the best, the rule of
//! thumb, kept plans, and the quantity that is looked at.

use desk::book::PlanWish;
use desk::edition::quantity::{Row, Sheet};
use desk::figures::whole;
use desk::measure::Currency;
use maud::{Markup, html};

use crate::drawing::short;
use crate::rooms::axis::{Axis, about};

/// Widths and heights in the drawing's own units. The slider below begins and ends where the plot does.
const LEFT: f64 = 80.0;
const RIGHT: f64 = 880.0;
const TOP: f64 = 76.0;
const FOOT: f64 = 372.0;

/// The chart. What it shows stands beside it in words too.
pub(super) fn chart(sheet: &Sheet, looked: &Row, plans: &[PlanWish], currency: Currency) -> Markup {
    let (Some(first), Some(last)) = (sheet.rows.first(), sheet.rows.last()) else {
        return html! {};
    };
    let copies = |row: &Row| row.cost.copies as f64;
    let across = Axis::new((copies(first), copies(last)), (LEFT, RIGHT));
    let rows = sheet.rows.iter();
    let low = rows.clone().map(|row| row.profit.low).fold(0.0, f64::min);
    let high = rows.clone().map(|row| row.profit.high).fold(0.0, f64::max);
    let up = Axis::new((low, high), (FOOT, TOP));
    let point =
        |row: &Row, sum: f64| format!("{} {}", short(across.at(copies(row))), short(up.at(sum)));
    let line = |of: &dyn Fn(&Row) -> f64| {
        let points: Vec<String> = rows.clone().map(|row| point(row, of(row))).collect();
        format!("M{}", points.join("L"))
    };
    let back: Vec<String> = rows
        .clone()
        .rev()
        .map(|row| point(row, row.profit.low))
        .collect();
    let best = &sheet.rows[sheet.best];
    let (near, far) = (&sheet.rows[sheet.hardly.0], &sheet.rows[sheet.hardly.1]);
    let (left, right) = (across.at(copies(near)), across.at(copies(far)));
    html! {
        svg.plot viewBox="0 0 900 448" role="img" aria-label=(words(sheet, looked, currency)) {
            rect.hardly x=(short(left)) y=(short(TOP)) width=(short((right - left).max(2.0))) height=(short(FOOT - TOP)) {}
            @for sum in up.marks(5.0) {
                @let y = short(up.at(sum));
                path.grid data-zero[sum == 0.0] d={ "M" (short(LEFT)) " " (y) "H" (short(RIGHT)) } {}
                text.figure-mark x=(short(LEFT - 10.0)) y=(y) dy="5" text-anchor="end" { (whole(sum)) }
            }
            @for mark in across.marks(7.0) {
                @let x = short(across.at(mark));
                path.tick d={ "M" (x) " " (short(FOOT)) "v6" } {}
                text.figure-mark x=(x) y=(short(FOOT + 22.0)) text-anchor="middle" { (whole(mark)) }
            }
            path.spread d={ (line(&|row| row.profit.high)) "L" (back.join("L")) "Z" } {}
            path.mean d=(line(&|row| row.profit.mean)) {}
            (at_head((left + right) / 2.0, 22.0, &format!("Hardly matters: {} to {}", whole(copies(near)), whole(copies(far)))))
            path.edge d={ "M" (short(left)) " " (short(TOP)) "V" (short(30.0)) "H" (short(right)) "V" (short(TOP)) } {}
            @if let Some(rule) = &sheet.rule {
                @let row = &sheet.rows[rule.row];
                @let x = across.at(copies(row));
                path.thumb d={ "M" (short(x)) " " (short(60.0)) "V" (short(FOOT)) } {}
                (at_head(x, 52.0, &format!("Rule of thumb {}: gives up {}", whole(copies(row)), about(rule.regret, currency))))
            }
            @for (place, plan) in plans.iter().enumerate() {
                @let x = across.at(plan.copies as f64);
                path.plan d={ "M" (short(x)) " " (short(FOOT + 29.0)) "l-6 10h12Z" } {}
                text.plan-name x=(short(x)) y=(short(FOOT + 54.0 + 15.0 * (place % 2) as f64)) text-anchor="middle" { (plan.name) }
            }
            circle.best cx=(short(across.at(copies(best)))) cy=(short(up.at(best.profit.mean))) r="6" {}
            @let x = across.at(copies(looked));
            path.looked d={ "M" (short(x)) " " (short(TOP)) "V" (short(FOOT)) } {}
            path.ends d={ "M" (short(x - 7.0)) " " (short(up.at(looked.profit.high))) "h14M" (short(x - 7.0)) " " (short(up.at(looked.profit.low))) "h14" } {}
            circle.here cx=(short(x)) cy=(short(up.at(looked.profit.mean))) r="6" {}
        }
    }
}

/// What the chart shows, in a sentence or two.
fn words(sheet: &Sheet, looked: &Row, currency: Currency) -> String {
    let best = &sheet.rows[sheet.best];
    let said = |row: &Row| {
        format!(
            "{} copies are expected to bring {}, in nine of ten cases between {} and {}",
            whole(row.cost.copies as f64),
            about(row.profit.mean, currency),
            about(row.profit.low, currency),
            about(row.profit.high, currency)
        )
    };
    format!(
        "Profit by quantity. The best: {}. Looked at: {}.",
        said(best),
        said(looked)
    )
}

/// Words over a place, kept within the drawing.
fn at_head(x: f64, y: f64, words: &str) -> Markup {
    let anchor = if x < LEFT + 170.0 {
        "start"
    } else if x > RIGHT - 170.0 {
        "end"
    } else {
        "middle"
    };
    html! { text.said-mark x=(short(x)) y=(short(y)) text-anchor=(anchor) { (words) } }
}
