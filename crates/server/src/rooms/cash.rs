//! How the purse stands by the day, as a chart.

use desk::edition::cash::Curve;
use desk::figures::whole;
use desk::measure::Currency;
use desk::{Picture, day_in_words};
use jiff::ToSpan;
use jiff::civil::Date;
use maud::{Markup, html};

use crate::drawing::short;
use crate::rooms::axis::{Axis, about, days_between};

/// Widths and heights in the drawing's own units.
const LEFT: f64 = 84.0;
const RIGHT: f64 = 1166.0;
const TOP: f64 = 52.0;
const FOOT: f64 = 286.0;
const HEIGHT: f64 = 332.0;

/// The chart of one quantity; with the curve that held before, where there is one. What it shows stands
/// in words too.
pub(crate) fn chart(picture: &Picture, before: Option<&Picture>, currency: Currency) -> Markup {
    let [slow, middle, quick] = &picture.purses;
    let curves = picture.purses.iter();
    let curves = curves.chain(before.map(|before| &before.purses[1]));
    let (from, to) = days(curves.clone(), picture);
    let across = Axis::new((0.0, days_between(from, to)), (LEFT, RIGHT));
    let at = |day: Date| across.at(days_between(from, day));
    let sums = || curves.clone().flat_map(|curve| &curve.points);
    let low = sums().map(|point| point.1).fold(0.0, f64::min);
    let high = sums()
        .filter(|point| point.0 <= to)
        .map(|point| point.1)
        .fold(0.0, f64::max);
    let room = (high - low) * 0.06;
    let up = Axis::new((low - room, high + room), (FOOT, TOP));
    let steps = Steps { at: &at, up, to };
    html! {
        svg.plot.cash viewBox={ "0 0 1180 " (short(HEIGHT)) } role="img" aria-label=(words(picture, before, currency)) {
            @for sum in up.marks(4.0) {
                @let y = short(up.at(sum));
                path.grid data-zero[sum == 0.0] d={ "M" (short(LEFT)) " " (y) "H" (short(RIGHT)) } {}
                text.figure-mark x=(short(LEFT - 10.0)) y=(y) dy="5" text-anchor="end" { (whole(sum)) }
            }
            @for day in months(from, to) {
                @let x = short(at(day));
                path.tick d={ "M" (x) " " (short(FOOT)) "v6" } {}
                text.figure-mark x=(x) y=(short(FOOT + 22.0)) text-anchor="middle" { (month(day)) }
            }
            path.spread d={ (steps.line(quick, from)) (steps.back(slow, from)) "Z" } {}
            @if let Some(before) = before {
                path.before d=(steps.line(&before.purses[1], from)) {}
            }
            path.mean d=(steps.line(middle, from)) {}
            (upright(at(picture.when.in_hand), "Books in hand", 18.0))
            @for paid in &picture.when.paid {
                @if paid.day < picture.when.in_hand {
                    path.paid d={ "M" (short(at(paid.day))) " " (short(FOOT + 28.0)) "l-5 9h10Z" } { title { (paid.name) ", " (day_in_words(paid.day)) } }
                }
            }
            @if let Some((day, sum)) = middle.low {
                @let (x, y) = (at(day), up.at(sum));
                circle.low cx=(short(x)) cy=(short(y)) r="5" {}
                @let end = x > 780.0;
                text.said-mark x=(short(if end { x - 12.0 } else { x + 12.0 })) y=(short(y + 5.0)) text-anchor=(if end { "end" } else { "start" }) {
                    "Lowest: " (about(sum, currency)) ", " (day_in_words(day))
                }
            }
            @if let Some((day, sum)) = before.and_then(|before| before.purses[1].low) {
                circle.low.former cx=(short(at(day))) cy=(short(up.at(sum))) r="5" { title { "Before: " (about(sum, currency)) ", " (day_in_words(day)) } }
            }
        }
    }
}

/// What the chart shows, in a sentence.
pub(crate) fn words(picture: &Picture, before: Option<&Picture>, currency: Currency) -> String {
    let low = |curve: &Curve| {
        curve.low.map_or_else(
            || "no money flows".to_owned(),
            |(day, sum)| format!("{} on {}", about(sum, currency), day_in_words(day)),
        )
    };
    let [slow, middle, quick] = &picture.purses;
    let all = [low(slow), low(middle), low(quick)];
    let mut words = if all.iter().all(|one| *one == all[1]) {
        format!(
            "The purse is lowest at {}, however quick the demand is.",
            all[1]
        )
    } else {
        format!(
            "The purse is lowest at {}; {} where the demand is slow, {} where it is quick.",
            all[1], all[0], all[2]
        )
    };
    if let Some(before) = before {
        words.push_str(&format!(" Before: {}.", low(&before.purses[1])));
    }
    words
}

/// An upright line with a word at its head.
pub(crate) fn upright(x: f64, word: &str, y: f64) -> Markup {
    let end = x > 980.0;
    html! {
        path.upright d={ "M" (short(x)) " " (short(y + 6.0)) "V" (short(FOOT)) } {}
        text.said-mark x=(short(x)) y=(short(y)) text-anchor=(if end { "end" } else { "middle" }) { (word) }
    }
}

/// From the first flow until a year and a half after the books are there.
fn days<'c>(curves: impl Iterator<Item = &'c Curve>, picture: &Picture) -> (Date, Date) {
    let first = curves
        .filter_map(|curve| curve.points.first())
        .map(|at| at.0);
    let from = first.fold(picture.when.order, Date::min);
    let from = from.checked_sub(10.days()).unwrap_or(from);
    let to = picture.when.in_hand.checked_add(18.months());
    (from, to.unwrap_or(Date::MAX))
}

/// The firsts of every third month.
fn months(from: Date, to: Date) -> Vec<Date> {
    let mut marks = Vec::new();
    let mut day = from.first_of_month();
    while let Ok(next) = day.checked_add(1.month()) {
        if next > to || marks.len() > 60 {
            break;
        }
        if next.month() % 3 == 1 {
            marks.push(next);
        }
        day = next;
    }
    marks
}

fn month(day: Date) -> String {
    let words = day_in_words(day);
    let mut parts = words.split(' ').skip(1);
    let month = parts.next().unwrap_or_default();
    if day.month() == 1 {
        format!("{month} {}", day.year())
    } else {
        month.to_owned()
    }
}

/// Curves that stand still between the days on which something flows.
struct Steps<'a> {
    at: &'a dyn Fn(Date) -> f64,
    up: Axis,
    to: Date,
}

impl Steps<'_> {
    /// From the left to the right, beginning with nothing.
    fn line(&self, curve: &Curve, from: Date) -> String {
        let mut path = format!("M{} {}", short((self.at)(from)), short(self.up.at(0.0)));
        for (day, sum) in self.shown(curve) {
            path.push_str(&format!(
                "H{}V{}",
                short((self.at)(day)),
                short(self.up.at(sum))
            ));
        }
        path.push_str(&format!("H{}", short((self.at)(self.to))));
        path
    }

    /// From the right to the left, going on from where the other ended.
    fn back(&self, curve: &Curve, from: Date) -> String {
        let points: Vec<(Date, f64)> = self.shown(curve).collect();
        let mut path = String::new();
        for (day, sum) in points.iter().rev() {
            path.push_str(&format!(
                "V{}H{}",
                short(self.up.at(*sum)),
                short((self.at)(*day))
            ));
        }
        path.push_str(&format!(
            "V{}H{}",
            short(self.up.at(0.0)),
            short((self.at)(from))
        ));
        path
    }

    fn shown<'c>(&'c self, curve: &'c Curve) -> impl Iterator<Item = (Date, f64)> + 'c {
        let points = curve.points.iter().copied();
        points.filter(|(day, _)| *day <= self.to)
    }
}
