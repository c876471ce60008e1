//! One good copy over quantities, a line for each answer. Lines are told apart by the shape of their
//! dots and by the name at their end; those that do not hold are dashed.

use desk::{AnswerView, ChartPoint, ComparisonView};
use maud::{Markup, html};

use crate::drawing::short;

/// Widths and heights in the drawing's own units.
const LEFT: f64 = 74.0;
const RIGHT: f64 = 850.0;
const WIDTH: f64 = 1180.0;
const TOP: f64 = 40.0;
const FOOT: f64 = 400.0;
const HEIGHT: f64 = 452.0;
/// From one name to the next.
const NAME: f64 = 44.0;

/// Where quantities and costs fall.
struct Scale {
    copies: (f64, f64),
    each: (f64, f64),
    step: f64,
}

impl Scale {
    fn of(lines: &[Vec<ChartPoint>]) -> Option<Self> {
        let points = || lines.iter().flatten();
        let first = points().map(|point| point.copies).min()? as f64;
        let last = points().map(|point| point.copies).max()? as f64;
        let low = points().map(|point| amount(point.low)).reduce(f64::min)?;
        let high = points().map(|point| amount(point.high)).reduce(f64::max)?;
        let step = round_step((high - low).max(high * 0.05).max(0.01) / 5.0);
        Some(Self {
            copies: (first, if last > first { last } else { first + 1.0 }),
            each: (
                ((low / step).floor() * step).max(0.0),
                ((high / step).floor() + 1.0) * step,
            ),
            step,
        })
    }

    fn x(&self, copies: u64) -> f64 {
        let (first, last) = self.copies;
        LEFT + 14.0 + (RIGHT - LEFT - 14.0) * (copies as f64 - first) / (last - first)
    }

    fn y(&self, each: f64) -> f64 {
        let (low, high) = self.each;
        FOOT - (FOOT - TOP) * (each - low) / (high - low)
    }

    fn marks(&self) -> Vec<f64> {
        let (low, high) = self.each;
        let count = ((high - low) / self.step).round() as u32;
        (0..=count)
            .map(|mark| low + self.step * f64::from(mark))
            .collect()
    }
}

/// The chart; `own` is a quantity that a person asked for. What it shows stands below it in words too.
pub(super) fn chart(view: &ComparisonView, lines: &[Vec<ChartPoint>], own: Option<u64>) -> Markup {
    let Some(scale) = Scale::of(lines) else {
        return html! {};
    };
    let currency = view.comparison.currency;
    let decimals = if scale.step < 1.0 { 2 } else { 0 };
    let names = names(&scale, lines);
    html! {
        svg.cost viewBox={ "0 0 " (short(WIDTH)) " " (short(HEIGHT)) } role="img" aria-labelledby="cost-title" aria-describedby="cheapest" {
            title #cost-title { "What one good copy costs in hand, in " (currency) ", by copies ordered; a line for each of " (crate::work::count(view.answers.len(), "answer", "answers")) }
            text.axis x=(short(LEFT - 62.0)) y="20" { (currency) " for one good copy in your hands" }
            @for mark in scale.marks() {
                path.grid d={ "M" (short(LEFT)) " " (short(scale.y(mark))) "H" (short(RIGHT)) } {}
                text.figure x=(short(LEFT - 10.0)) y=(short(scale.y(mark) + 5.0)) text-anchor="end" { (format!("{mark:.decimals$}")) }
            }
            @for copies in &view.comparison.copies {
                @let x = scale.x(*copies);
                path.grid.upright data-own[own == Some(*copies)] d={ "M" (short(x)) " " (short(TOP)) "V" (short(FOOT + 8.0)) } {}
                text.figure data-own[own == Some(*copies)] x=(short(x)) y=(short(FOOT + 26.0)) text-anchor="middle" { (copies) }
            }
            text.axis x=(short((LEFT + RIGHT) / 2.0)) y=(short(FOOT + 48.0)) text-anchor="middle" { "copies ordered" }
            @for line in lines { path.band d=(band(&scale, line)) {} }
            @for (place, (answer, line)) in view.answers.iter().zip(lines).enumerate() {
                g data-holds[answer.holds()] {
                    path.line d=(path(&scale, line)) {}
                    @for point in line.iter().filter(|point| point.quoted) {
                        path.dot d=(dot(place, scale.x(point.copies), scale.y(amount(point.each)))) { title { (answer.name) ", " (point.copies) " copies: " (point.each) ", quoted" } }
                    }
                    @if let (Some(last), Some(y)) = (line.last(), names[place]) {
                        path.lead d={ "M" (short(scale.x(last.copies) + 10.0)) " " (short(scale.y(amount(last.each)))) "L" (short(RIGHT + 34.0)) " " (short(y)) } {}
                        path.dot d=(dot(place, RIGHT + 46.0, y)) {}
                        text.name x=(short(RIGHT + 60.0)) y=(short(y + 2.0)) { (answer.name) }
                        text.state x=(short(RIGHT + 60.0)) y=(short(y + 19.0)) { (state(view, place, answer)) }
                    }
                }
            }
        }
    }
}

/// What is to be known of a line at a glance.
fn state(view: &ComparisonView, place: usize, answer: &AnswerView) -> String {
    let mut words = vec![super::state_word(answer).to_owned()];
    if answer.late_days.is_some() {
        words.push("late".to_owned());
    }
    let lacking = view.comparison.columns[place]
        .landed
        .iter()
        .flatten()
        .any(|landed| !landed.missing.is_empty());
    if lacking {
        words.push("more in truth: not all is known".to_owned());
    }
    words.join("; ")
}

/// Heights of the names, beside the ends of their lines and clear of one another.
fn names(scale: &Scale, lines: &[Vec<ChartPoint>]) -> Vec<Option<f64>> {
    let mut ends: Vec<(usize, f64)> = lines
        .iter()
        .enumerate()
        .filter_map(|(place, line)| Some((place, scale.y(amount(line.last()?.each)))))
        .collect();
    ends.sort_by(|(_, one), (_, other)| one.total_cmp(other));
    for next in 1..ends.len() {
        ends[next].1 = ends[next].1.max(ends[next - 1].1 + NAME);
    }
    // What was pushed beyond the foot pushes the others up again.
    let mut most = FOOT - 14.0;
    for end in ends.iter_mut().rev() {
        end.1 = end.1.min(most);
        most = end.1 - NAME;
    }
    let mut names = vec![None; lines.len()];
    for (place, y) in ends {
        names[place] = Some(y);
    }
    names
}

fn path(scale: &Scale, line: &[ChartPoint]) -> String {
    points(
        scale,
        line.iter().map(|point| (point.copies, amount(point.each))),
    )
}

fn band(scale: &Scale, line: &[ChartPoint]) -> String {
    let over = line.iter().map(|point| (point.copies, amount(point.high)));
    let under = line
        .iter()
        .rev()
        .map(|point| (point.copies, amount(point.low)));
    points(scale, over.chain(under)) + "Z"
}

fn points(scale: &Scale, points: impl Iterator<Item = (u64, f64)>) -> String {
    let mut path = String::new();
    for (copies, each) in points {
        path.push(if path.is_empty() { 'M' } else { 'L' });
        path.push_str(&format!(
            "{} {}",
            short(scale.x(copies)),
            short(scale.y(each))
        ));
    }
    path
}

/// The sign of an answer, as its dots are in the chart.
pub(super) fn sign(place: usize) -> Markup {
    html! { svg.sign viewBox="0 0 20 20" aria-hidden="true" { path d=(dot(place, 10.0, 10.0)) {} } }
}

/// A disc, a square, a triangle or a diamond.
fn dot(place: usize, x: f64, y: f64) -> String {
    let at = format!("M{} {}", short(x), short(y));
    let shape = match place % 4 {
        0 => "m-6 0a6 6 0 1 0 12 0a6 6 0 1 0-12 0z",
        1 => "m-5.5-5.5h11v11h-11z",
        2 => "m0-7.5l7 12.5h-14z",
        _ => "m0-8l7 8l-7 8l-7-8z",
    };
    at + shape
}

fn amount(each: desk::measure::UnitPrice) -> f64 {
    each.amount().approximate()
}

/// 1, 2 or 5 of a power of ten.
fn round_step(least: f64) -> f64 {
    let power = 10f64.powf(least.log10().floor());
    let times = [1.0, 2.0, 5.0]
        .into_iter()
        .find(|times| times * power >= least);
    times.unwrap_or(10.0) * power
}
