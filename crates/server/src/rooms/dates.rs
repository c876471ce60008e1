//! *Dates*: by when the books can be here, what that hangs on, and what has happened.

mod chart;

use axum::extract::State as Shared;
use axum::response::Html;
use desk::edition::dates::{Happened, LastDay, Rests, Step, StepOver};
use desk::figures::percent;
use desk::{CashView, DatesView, Desk, DeskError, Picture, day_in_words};
use maud::{Markup, html};

use crate::State;
use crate::dates::moved;
use crate::problem::Problem;
use crate::rooms::cash;
use crate::rooms::order::hidden;
use crate::rooms::things::{self, Kind};
use crate::shell::{Room, Scene, spoken};

const ROOM: &str = "dates";
const CLOSURES: Kind = Kind {
    section: "closure",
    title: "Days on which nobody works",
    add: "Name a closure",
    needed: false,
    words: "Works holidays, a journey of your own, a port on strike: from the first day to the last, for whomever it concerns.",
};
const PAYMENTS: Kind = Kind {
    section: "payment",
    title: "What falls due when",
    add: "Name a payment",
    needed: false,
    words: "Parts of what goes to the printer. As long as none is named, sums fall due as the printer's answer says, or else half with the order and half before dispatch (common practice, no source).",
};
const STEPS: Kind = Kind {
    section: "step",
    title: "Steps that are not usual",
    add: "Name a step",
    needed: false,
    words: "A step of your own, or more of a usual one: what it waits for, what waits for it, how long it takes, the chance that it is done once more. Names are the short ones of the steps above.",
};

/// `GET /dates`.
pub(crate) async fn room(Shared(state): Shared<State>) -> Result<Html<String>, Problem> {
    state
        .call(move |state| {
            let scene = Scene::read(state, Room::Dates)?;
            let wishes = scene.snapshot.book.dates.clone();
            let room = html! {
                div.title-line {
                    div {
                        h1 { "Dates" }
                        p.lead { "From files to books in hand: every step with its spread, run through a hundred thousand times." }
                    }
                    a.button href="/dates/calendar.ics" download="dates.ics" { "Calendar file" }
                }
                @match state.desk().dates() {
                    Ok(view) => (whole(&view, &wishes, &state.desk().cash(), state.former().as_deref().map(|former| &former.was))),
                    Err(error) => { (problem(&error)) (wished(&wishes)) }
                }
                (said(state.desk())?)
            };
            Ok(scene.page(&room, None, false))
        })
        .await
}

/// What the book says of closures, steps, payments and days off.
fn said(desk: &Desk) -> Result<Markup, DeskError> {
    let kind = |kind| things::things(desk, kind, ROOM);
    let groups = [
        kind(CLOSURES)?,
        kind(PAYMENTS)?,
        kind(STEPS)?,
        things::section(desk, "dates", "Files, launch, printer, days off", ROOM)?,
    ];
    Ok(things::says(
        "All dates here rest on this. What is empty is taken for usual. Undo takes every change back.",
        &groups,
    ))
}

fn problem(error: &DeskError) -> Markup {
    html! { div.problem { p { (spoken(&error.to_string())) } p.hint { (spoken(&error.hint)) } } }
}

fn whole(
    view: &DatesView,
    wishes: &desk::book::DatesWishes,
    cash: &Result<CashView, DeskError>,
    was: Option<&Picture>,
) -> Markup {
    let histories = &view.foretold.histories;
    let former = was.map(|was| was.foretold.histories.ends.by(0.5));
    html! {
        section.answer aria-label="Books in hand" {
            p.great-figure { "Books in hand between " b { (day_in_words(histories.ends.by(0.05))) } " and " b { (day_in_words(histories.ends.by(0.95))) } }
            p.soft {
                "So it is in nine of ten histories; half of all end by " (day_in_words(histories.ends.by(0.5)))
                ", four of five by " (day_in_words(histories.ends.by(0.8))) ". "
                @if view.foretold.schedule.is_begun() { "The files were sent, " } @else { "Files sent on " (day_in_words(view.foretold.send)) ", " }
                (view.copies) " copies" @if !view.copies_said { " (a usual number; say how many you wish for)" } "."
            }
            (launch(view))
            @if let (Ok(cash), Some(was)) = (cash, was) {
                @let words = moved(was, &cash.now, cash.currency);
                @if !words.is_empty() { p #moved { "The last change: " (words.replacen("It moved", "it moved", 1)) " Dashed in the charts: as it was before." } }
            }
        }
        figure.bars-frame { (chart::chart(view, former)) figcaption { "Bar: from the middle of its beginnings to the middle of its ends. Thin line: by when it is done in nineteen of twenty histories." } }
        (purse(cash, was))
        div.columns {
            section aria-labelledby="steps" {
                h2 #steps { "Steps" }
                p.soft { "Say what has really happened, and the dates behind it move. Say what the printer says of a length: one number of days; two (half take less, one in twenty more); or three (least, most often, most)." }
                ol.calendar-steps { @for (index, step) in view.foretold.schedule.steps().iter().enumerate() { (one(view, index, step)) } }
            }
            aside {
                (wished(wishes))
                (drivers(view))
                (due(view))
                p.soft.caution { "Dates are estimates for a decision. Lengths are drawn independently: one cause that slows several steps comes on top. Ask the printer to confirm what a launch hangs on." }
            }
        }
    }
}

/// The purse by the day, with what it was before the last change.
fn purse(cash: &Result<CashView, DeskError>, before: Option<&Picture>) -> Markup {
    match cash {
        Err(error) => {
            html! { p.soft.no-purse { "No cash is shown here yet: " (spoken(&error.to_string())) ". " (spoken(&error.hint)) } }
        }
        Ok(view) => {
            html! {
                figure.bars-frame.purse #purse aria-labelledby="purse-name" {
                    h2 #purse-name { "Cash by the day, for " (view.now.cost_of().copies) " copies with " (view.now.printer()) }
                    (cash::chart(&view.now, before, view.currency))
                    figcaption {
                        (cash::words(&view.now, before, view.currency))
                        " Line: the middle demand; grey: from slow to quick; triangles: what falls due before the books are here."
                        @if before.is_some() { " Dashed: before the last change." }
                        " Estimates for a decision; no financial advice. " a href="/quantity" { "How many" } " lets you try other quantities."
                    }
                }
            }
        }
    }
}

fn launch(view: &DatesView) -> Markup {
    let Some(launch) = &view.foretold.launch else {
        return html! { p { "Name the day by which you wish for the books, and you will see the last day to send the files." } };
    };
    html! {
        p #launch-said {
            "Launch on " b { (day_in_words(launch.day)) } ": in hand by then with a chance of " b { (percent(launch.chance)) } ". "
            @match launch.last {
                LastDay::On(day) => { "For " (percent(launch.surety)) " surety the files must be sent by " b { (day_in_words(day)) } "." },
                LastDay::Sent => { "The files were sent; " (percent(launch.surety)) " surety was wished for." },
                LastDay::TooLate(now) => { b { "It is late:" } " even files sent today are in time only with a chance of " (percent(now)) ", not " (percent(launch.surety)) ". Move the launch, choose a quicker way, or take the risk." },
            }
        }
    }
}

/// What is wished for, to be changed.
fn wished(wishes: &desk::book::DatesWishes) -> Markup {
    let day = |day: Option<jiff::civil::Date>| day.map(|day| day.to_string()).unwrap_or_default();
    let surety = wishes
        .surety
        .unwrap_or_else(desk::book::DatesWishes::usual_surety);
    let surety = surety.times(desk::measure::Decimal::from_whole(100));
    html! {
        section.wishes aria-labelledby="wishes" {
            h2 #wishes { "What you wish for" }
            (field("dates.launch", "Launch", "date", &day(wishes.launch)))
            (field("dates.send", "Files sent on", "date", &day(wishes.send)))
            (field("dates.surety", "Surety", "text", &surety.map(|surety| format!("{surety}%")).unwrap_or_default()))
            form.field method="post" action="/edit" data-act {
                input type="hidden" name="wish" value="set"; (hidden("room", "dates")) (hidden("key", "dates.carriage"))
                label for="carriage" { "The books travel" }
                select #carriage name="value" data-send {
                    option value="" selected[wishes.carriage.is_none()] { "as is usual from there" }
                    @for way in desk::book::Carriage::ALL {
                        option value=(way.word()) selected[wishes.carriage == Some(way)] { "by " (way.word()) }
                    }
                }
                noscript { button { "Take" } }
            }
        }
    }
}

fn field(key: &str, label: &str, kind: &str, value: &str) -> Markup {
    let id = key.replace('.', "-");
    html! {
        form.field method="post" action="/edit" data-act {
            (hidden("wish", "set")) (hidden("room", "dates")) (hidden("key", key))
            label for=(id) { (label) }
            span.with-button { input #(id) type=(kind) name="value" value=(value) autocomplete="off"; button { "Take" span.hidden { " " (label) } } }
        }
    }
}

fn one(view: &DatesView, index: usize, step: &Step) -> Markup {
    let over = &view.foretold.histories.steps[index];
    let rests = &view.foretold.rests[index];
    html! {
        li id={ "step-" (step.key) } data-state=(state(step)) {
            div.step-words {
                h3 { (step.name) " " span.soft { (state_word(step)) } }
                p { (dates_words(step, over)) }
                p.soft {
                    @match rests {
                        Rests::Usual => "Length: common practice, no source.",
                        Rests::Said(by) if by.is_empty() => "Length: as you say.",
                        Rests::Said(by) => { "Length: " (by) "." },
                    }
                    " Short name: " b { (step.key) } "."
                    @if over.rounds >= 0.005 { " Further rounds on average: " (format!("{:.1}", over.rounds)) "." }
                }
            }
            form.happened method="post" action="/dates/happened" data-act {
                (hidden("step", &step.key))
                @if step.happened.is_some() {
                    (hidden("what", "open"))
                    button { "Take it back" span.hidden { ": " (step.name) } }
                } @else {
                    label.hidden for={ "on-" (step.key) } { "Day for " (step.name) }
                    input id={ "on-" (step.key) } type="date" name="on" value=(view.today) max=(view.today);
                    button name="what" value="begun" { "Begun" span.hidden { ": " (step.name) } }
                    button name="what" value="done" { "Done" span.hidden { ": " (step.name) } }
                }
            }
            details {
                summary { "Change its length" span.hidden { ": " (step.name) } }
                (field(&format!("step.{}.takes", step.key), "Days", "text", ""))
                (field(&format!("step.{}.by", step.key), "Who says so", "text", match rests { Rests::Said(by) => by, Rests::Usual => "" }))
            }
        }
    }
}

fn state(step: &Step) -> &'static str {
    match step.happened {
        Some(Happened::Done(_)) => "done",
        Some(Happened::Begun(_)) => "begun",
        None => "open",
    }
}

fn state_word(step: &Step) -> String {
    match step.happened {
        Some(Happened::Done(day)) => format!("done on {}", day_in_words(day)),
        Some(Happened::Begun(day)) => format!("under way since {}", day_in_words(day)),
        None => String::new(),
    }
}

fn dates_words(step: &Step, over: &StepOver) -> String {
    if matches!(step.happened, Some(Happened::Done(_))) {
        return "Its real day stands in place of the guess.".to_owned();
    }
    format!(
        "{} to {}; by {} in nineteen of twenty.",
        day_in_words(over.begins.by(0.5)),
        day_in_words(over.ends.by(0.5)),
        day_in_words(over.ends.by(0.95))
    )
}

/// The steps that make the end unsure, the gravest first.
fn drivers(view: &DatesView) -> Markup {
    let steps = view.foretold.schedule.steps().iter();
    let mut all: Vec<_> = steps.zip(&view.foretold.histories.steps).collect();
    all.sort_by(|(_, one), (_, other)| other.drives.total_cmp(&one.drives));
    all.truncate(3);
    all.retain(|(_, over)| over.drives >= 0.01);
    html! {
        @if !all.is_empty() {
            section aria-labelledby="drivers" {
                h2 #drivers { "What the end hangs on" }
                ul.drivers {
                    @for (step, over) in all {
                        li {
                            b { (step.name) } " " span { (format!("{:.0} %", over.drives * 100.0)) " of the spread" }
                            svg.share viewBox="0 0 100 6" preserveAspectRatio="none" aria-hidden="true" { rect width="100" height="6" {} rect.part width=(format!("{:.1}", (over.drives * 100.0).min(100.0))) height="6" {} }
                            p.soft { "The end waits for it in " (format!("{:.0} %", over.critical * 100.0)) " of all histories." }
                        }
                    }
                }
            }
        }
    }
}

fn due(view: &DatesView) -> Markup {
    html! {
        section aria-labelledby="due" {
            h2 #due { "What falls due" }
            @if view.foretold.due.is_empty() {
                p.soft { "No price is known yet. With a printer's answer, sums and days stand here: half with the order and half before dispatch is common practice (no source)." }
            } @else {
                @if let Some(cost) = &view.cost {
                    p.soft {
                        "What goes to the printer by the answer of " (cost.name) " for " (cost.copies) " copies"
                        @if !cost.holds { ", which is not for the book as it is" } "."
                    }
                }
                ul.due {
                    @for due in &view.foretold.due {
                        li { b { (due.sum) } " " (due.name) p.soft {
                            @if due.early == due.late { "on " (day_in_words(due.middle)) }
                            @else { "about " (day_in_words(due.middle)) ", between " (day_in_words(due.early)) " and " (day_in_words(due.late)) }
                        } }
                    }
                }
            }
        }
    }
}
