//! *Prices*: what one good copy costs in hand by each answer, and what is asked, answered and billed.

mod chart;
mod forms;
mod invoices;
mod printers;
mod said;
mod table;
mod weighed;

use axum::extract::{Query, State as Shared};
use axum::response::Html;
use desk::{AnswerView, ComparisonView, PRICES_CAUTION};
use maud::{Markup, html};
use serde::Deserialize;

use crate::State;
use crate::prices::Typed;
use crate::problem::Problem;
use crate::rooms::order::hidden;
use crate::shell::{Room, Scene, spoken};

/// A quantity beyond this is a slip of the hand.
const MOST: u64 = desk::price::answer::MOST_COPIES;

/// What is asked of the room.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub(crate) struct Looked {
    /// One more quantity.
    copies: String,
}

/// `GET /prices`.
pub(crate) async fn room(
    Shared(state): Shared<State>,
    Query(looked): Query<Looked>,
) -> Result<Html<String>, Problem> {
    state
        .call(move |state| {
            let scene = Scene::read(state, Room::Prices)?;
            let desk = state.desk();
            let own = own(&looked.copies);
            let mut view = desk.comparison(&[])?;
            if let Ok(Some(copies)) = own {
                let mut at = view.comparison.copies.clone();
                at.push(copies);
                view = desk.comparison(&at)?;
            }
            let typed = state.typed().clone();
            let answers = desk.answers()?;
            let known = printers::Known {
                printers: desk.printers()?,
                requests: desk.requests()?,
            };
            let lines = desk.comparison_chart(&view)?;
            let room = html! {
                div.title-line { div {
                    h1 { "Prices" }
                    p.lead { "What one good copy costs in your hands, by each answer, on one footing." }
                } }
                @if view.answers.is_empty() {
                    p.great-figure #cheapest { "No answer has come yet." }
                    p.soft { "Ask a printer below, and type in what comes back. Three answers are a comparison." }
                } @else {
                    section.answer aria-label="Which is the cheapest" { (cheapest(&view)) }
                    figure.bars-frame { (chart::chart(&view, &lines, own.as_ref().ok().copied().flatten())) figcaption { "Dots are what printers quoted; the line between them is estimated, and the grey band says how far off it can be as long as more copies never cost less in all, and none of them more than one of fewer. Dashed: not for the book as it is, or lapsed." } }
                    (quantity(&looked.copies, &own))
                    (weighed::by_printer(&view))
                    (table::side_by_side(&view, own.as_ref().ok().copied().flatten()))
                    p.soft.caution { (PRICES_CAUTION) }
                }
                (forms::answer(typed.as_ref(), &known, &answers))
                (aside(&answers))
                (invoices::section(&desk.invoices()?, &answers, typed.as_ref()))
                (printers::section(&known, typed.as_ref()))
                (said::section(desk)?)
            };
            Ok(scene.page(&room, None, false))
        })
        .await
}

/// The quantity that was asked for, if one was.
fn own(text: &str) -> Result<Option<u64>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    let copies = text
        .parse()
        .ok()
        .filter(|copies| (1..=MOST).contains(copies));
    copies.map(Some).ok_or_else(|| {
        format!("“{text}” is no number of copies. Write it in digits alone, such as 700.")
    })
}

/// One sentence: which is the cheapest where, and what is missing in it.
fn cheapest(view: &ComparisonView) -> Markup {
    let ranges = &view.comparison.ranges;
    let middle = view.comparison.copies.len() / 2;
    let mut lacking: Vec<(&str, &str)> = Vec::new();
    for range in ranges {
        let name = view.answers[range.answer].name.as_str();
        if let Some(Ok(landed)) = view.comparison.columns[range.answer].landed.get(middle) {
            for missing in &landed.missing {
                if !lacking.contains(&(name, missing)) {
                    lacking.push((name, missing));
                }
            }
        }
    }
    html! {
        p.great-figure #cheapest {
            @if ranges.is_empty() { "No answer can be put on one footing yet." }
            @for (index, range) in ranges.iter().enumerate() {
                @if index == 0 { "Cheapest in your hands: " } @else { "; " }
                b { (view.answers[range.answer].name) }
                @if range.from == range.to { " at " (range.from) " copies" }
                @else { " from " (range.from) " to " (range.to) " copies" }
            }
            @if !ranges.is_empty() { "." }
        }
        @if !view.among_holding { p { strong { "No answer holds for the book as it is today." } " This is among all that came; ask anew before you decide." } }
        @else if view.answers.iter().any(|answer| !answer.holds()) { p.soft { "Among the answers that hold for the book as it is. The others are dashed below, each with its reason." } }
        @for (name, missing) in &lacking { p { strong { "Missing in the figure of " (name) ":" } " " (spoken(missing)) ". It is more in truth." } }
    }
}

fn quantity(text: &str, own: &Result<Option<u64>, String>) -> Markup {
    html! {
        form.quantity method="get" action="/prices" {
            div.field {
                label for="copies" { "What would another quantity cost?" }
                span.with-button {
                    input #copies type="text" inputmode="numeric" name="copies" value=(text) autocomplete="off" aria-describedby="copies-said" aria-invalid=[own.is_err().then_some("true")];
                    button { "Reckon it" }
                }
                p.example #copies-said data-wrong[own.is_err()] { @match own { Err(why) => { (why) }, Ok(_) => "Copies ordered. It joins the chart and the table." } }
            }
            @if matches!(own, Ok(Some(_))) { a.button href="/prices" { "Only the quantities of the book" } }
        }
    }
}

/// Answers that stand no more.
fn aside(answers: &[AnswerView]) -> Markup {
    let gone: Vec<&AnswerView> = answers.iter().filter(|view| !view.stands()).collect();
    html! {
        @if !gone.is_empty() {
            section #aside aria-labelledby="aside-title" {
                h2 #aside-title { "Laid aside or replaced" }
                ul.kept-list {
                    @for view in gone {
                        li {
                            span { "Answer " (view.number) " of " (view.name) ", received " (desk::day_in_words(view.received))
                                @if let Some(by) = view.replaced_by { "; answer " (by) " took its place" } }
                            @if view.aside.is_some() { (lay("answer", view.number, &view.name, true)) }
                        }
                    }
                }
            }
        }
    }
}

/// A button that lays something aside, or takes it back.
fn lay(what: &str, number: u32, of: &str, back: bool) -> Markup {
    let word = if back { "Take it back" } else { "Lay aside" };
    html! {
        form method="post" action="/prices/aside" data-act {
            (hidden("what", what)) (hidden("number", &number.to_string())) (hidden("back", if back { "true" } else { "false" }))
            button id={ (what) "-" (number) "-lay" } { (word) span.hidden { ": " (what) " " (number) " of " (of) } }
        }
    }
}

/// How an answer stands, in a word or two.
fn state_word(answer: &AnswerView) -> &'static str {
    if !answer.stale.is_empty() {
        "for an older book"
    } else if answer.lapsed_days.is_some() {
        "lapsed"
    } else {
        "holds"
    }
}

/// What was typed into a form and is not kept yet.
fn of_form<'t>(typed: Option<&'t Typed>, form: &str) -> Option<&'t Typed> {
    typed.filter(|typed| typed.form == form)
}
