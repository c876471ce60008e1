//! The steps as bars over time, each with how much later it may end.

use desk::edition::dates::{Happened, LastDay};
use desk::{DatesView, day_in_words};
use jiff::civil::Date;
use maud::{Markup, html};

use crate::drawing::short;
use crate::rooms::axis::days_between;

/// Widths and heights in the drawing's own units.
const NAMES: f64 = 300.0;
const WIDTH: f64 = 1180.0;
const HEAD: f64 = 34.0;
const ROW: f64 = 30.0;

/// Where days fall.
struct Scale {
    first: Date,
    days: f64,
}

impl Scale {
    fn of(view: &DatesView) -> Self {
        let histories = &view.foretold.histories;
        let begins = histories.steps.iter().map(|step| step.begins.by(0.0));
        let first = begins.fold(view.today, Date::min);
        let mut last = histories.ends.by(0.95);
        if let Some(launch) = &view.foretold.launch {
            last = last.max(launch.day);
        }
        Self {
            first,
            days: (days_between(first, last) + 4.0).max(14.0),
        }
    }

    /// Across, from the morning of a day.
    fn at(&self, day: Date) -> f64 {
        let share = days_between(self.first, day) / self.days;
        NAMES + (WIDTH - NAMES) * share.clamp(0.0, 1.0)
    }

    /// Across, to the evening of a day.
    fn after(&self, day: Date) -> f64 {
        let one = (WIDTH - NAMES) / self.days;
        (self.at(day) + one).min(WIDTH)
    }

    /// The first days of the months, and with few months also the fifteenths.
    fn marks(&self) -> Vec<(Date, bool)> {
        let mut marks = Vec::new();
        let mut day = self.first;
        for _ in 0..self.days as usize {
            if day.day() == 1 {
                marks.push((day, true));
            } else if day.day() == 15 && self.days < 200.0 {
                marks.push((day, false));
            }
            let Ok(next) = day.tomorrow() else { break };
            day = next;
        }
        marks
    }
}

/// The chart; with the middle day of the books in hand as it was before what was said last. What it shows
/// stands below it in words too.
pub(super) fn chart(view: &DatesView, former: Option<Date>) -> Markup {
    let foretold = &view.foretold;
    let scale = Scale::of(view);
    let steps: Vec<_> = foretold
        .schedule
        .steps()
        .iter()
        .zip(&foretold.histories.steps)
        .collect();
    let foot = HEAD + ROW * steps.len() as f64;
    let height = foot + 40.0;
    html! {
        svg.bars viewBox={ "0 0 " (short(WIDTH + 10.0)) " " (short(height)) } role="img"
            aria-label={ "Bars of all steps; books in hand between " (day_in_words(foretold.histories.ends.by(0.05))) " and " (day_in_words(foretold.histories.ends.by(0.95))) }
        {
            @for (day, month) in scale.marks() {
                @let x = short(scale.at(day));
                path.grid data-month[month] d={ "M" (x) " " (short(HEAD)) "V" (short(foot)) } {}
                @if month { text.month x=(x) y=(short(HEAD - 12.0)) { (month_word(day)) } }
            }
            @for (row, (step, over)) in steps.iter().enumerate() {
                @let y = HEAD + ROW * row as f64;
                @let state = match step.happened { Some(Happened::Done(_)) => "done", Some(Happened::Begun(_)) => "begun", None => "open" };
                @let (from, to, late) = (scale.at(over.begins.by(0.5)), scale.after(over.ends.by(0.5)), scale.after(over.ends.by(0.95)));
                g data-state=(state) {
                    title { (step.name) ": " (day_in_words(over.begins.by(0.5))) " to " (day_in_words(over.ends.by(0.5))) ", by " (day_in_words(over.ends.by(0.95))) " in nineteen of twenty" }
                    text.name x=(short(NAMES - 14.0)) y=(short(y + 19.0)) { (step.name) }
                    path.late d={ "M" (short(to)) " " (short(y + 15.0)) "H" (short(late)) "M" (short(late)) " " (short(y + 9.0)) "v12" } {}
                    rect.bar x=(short(from)) y=(short(y + 7.0)) width=(short((to - from).max(3.0))) height="16" {}
                }
            }
            (line(&scale, view.today, foot, "today", "Today"))
            @if let Some(day) = former.filter(|day| *day != foretold.histories.ends.by(0.5)) { (line(&scale, day, foot, "former", "In hand before")) }
            @if let Some(launch) = &foretold.launch {
                (line(&scale, launch.day, foot, "launch", "Launch"))
                @if let LastDay::On(day) = launch.last { (line(&scale, day, foot, "last", "Last day to send files")) }
            }
        }
    }
}

fn line(scale: &Scale, day: Date, foot: f64, class: &str, word: &str) -> Markup {
    let x = scale.at(day);
    let (anchor, dx) = if x > WIDTH - 130.0 {
        ("end", -4.0)
    } else {
        ("start", 4.0)
    };
    let down = if class == "launch" { 16.0 } else { 32.0 };
    html! {
        path class={ "line " (class) } d={ "M" (short(x)) " " (short(HEAD)) "V" (short(foot + down)) } {}
        text.said-line x=(short(x + dx)) y=(short(foot + down)) text-anchor=(anchor) { (word) }
    }
}

fn month_word(day: Date) -> String {
    let words = day_in_words(day);
    let mut parts = words.split(' ').skip(1);
    let (month, year) = (
        parts.next().unwrap_or_default(),
        parts.next().unwrap_or_default(),
    );
    if month == "January" {
        format!("{month} {year}")
    } else {
        month.to_owned()
    }
}
