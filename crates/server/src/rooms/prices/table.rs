//! The answers side by side, part by part.

use desk::price::PriceError;
use desk::price::landed::{Landed, PartKind};
use desk::{AnswerView, ComparisonView, day_in_words};
use maud::{Markup, html};

use super::{lay, state_word};
use crate::shell::spoken;

const KINDS: [(PartKind, &str); 8] = [
    (PartKind::Print, "Print and binding"),
    (PartKind::OneOff, "Charges that arise once"),
    (PartKind::Freight, "Freight"),
    (PartKind::Insurance, "Insurance"),
    (PartKind::Duty, "Duty"),
    (PartKind::Tax, "Tax on import"),
    (PartKind::Broker, "Customs broker"),
    (PartKind::Bank, "Bank"),
];

/// One answer with what a quantity costs by it.
type Side<'v> = (&'v AnswerView, &'v Result<Landed, PriceError>);

/// All answers that stand: one good copy for every quantity, and the parts for one of them.
pub(super) fn side_by_side(view: &ComparisonView, own: Option<u64>) -> Markup {
    let comparison = &view.comparison;
    let asked = own.and_then(|own| comparison.copies.iter().position(|copies| *copies == own));
    let place = asked.unwrap_or(comparison.copies.len() / 2);
    let Some(copies) = comparison.copies.get(place) else {
        return html! {};
    };
    let sides: Vec<Side<'_>> = view
        .answers
        .iter()
        .zip(&comparison.columns)
        .filter_map(|(answer, column)| Some((answer, column.landed.get(place)?)))
        .collect();
    html! {
        section aria-labelledby="side-by-side" {
            h2 #side-by-side { "Side by side, in " (comparison.currency) }
            div.wide-table role="region" aria-label="All parts of each answer" tabindex="0" {
                table.prices {
                    thead { tr { td {} @for (answer, _) in &sides { th scope="col" { (answer.name) span.state data-holds[answer.holds()] { (state_word(answer)) @if answer.late_days.is_some() { ", late" } } } } } }
                    tbody {
                        tr.group { th colspan=(sides.len() + 1) scope="colgroup" { "One good copy in your hands" } }
                        @for (row, copies) in comparison.copies.iter().enumerate() {
                            tr data-own[row == place] {
                                th scope="row" { (copies) " copies" }
                                @for column in &comparison.columns { td { (each(column.landed.get(row))) } }
                            }
                        }
                    }
                    tbody {
                        tr.group { th colspan=(sides.len() + 1) scope="colgroup" { "For " (copies) " copies, part by part" } }
                        @for (kind, word) in KINDS {
                            @if sides.iter().any(|(_, landed)| landed.as_ref().is_ok_and(|landed| landed.parts.iter().any(|part| part.kind == kind))) {
                                tr { th scope="row" { (word) } @for (_, landed) in &sides { td { (part(landed, kind)) } } }
                            }
                        }
                        tr.total { th scope="row" { "In all" } @for (_, landed) in &sides { td { (total(landed)) } } }
                        tr { th scope="row" { "Good copies of them" } @for (_, landed) in &sides { td { @if let Ok(landed) = landed { (landed.good) p.soft { (spoken(&landed.spoilage)) } } } } }
                        tr { th scope="row" { "If all overs come" } @for (_, landed) in &sides { td { @if let Ok(landed) = landed { @match &landed.overs { Some(overs) => { "+ " (overs.cost) " for " (overs.copies) " copies more" }, None => "none are billed" } } } } }
                        tr { th scope="row" { "Nobody has said" } @for (_, landed) in &sides { td { @if let Ok(landed) = landed { (missing(landed)) } } } }
                        tr { th scope="row" { "How it comes about" } @for (answer, landed) in &sides { td { @if let Ok(landed) = landed { (how(answer, landed)) } } } }
                    }
                    tbody {
                        tr.group { th colspan=(sides.len() + 1) scope="colgroup" { "Terms" } }
                        tr { th scope="row" { "Takes" } @for (answer, _) in &sides { td { @match answer.answer.lead { Some(lead) => { (lead.working_days) " working days after approval" }, None => "not said" } } } }
                        tr { th scope="row" { "Delivery term" } @for (answer, _) in &sides { td { @match answer.answer.term { Some(term) => { (term.code()) " " (answer.answer.term_place) }, None => "not said" } } } }
                        tr { th scope="row" { "Holds until" } @for (answer, _) in &sides { td { @match answer.answer.valid_until { Some(day) => (day_in_words(day)), None => "not said" } } } }
                        tr { th scope="row" { "Payment" } @for (answer, _) in &sides { td { @if answer.answer.payment.is_empty() { "not said" } @else { (answer.answer.payment) } } } }
                        tr { th scope="row" { "To be known" } @for (answer, _) in &sides { td { (remarks(answer)) } } }
                        tr { th scope="row" { span.hidden { "Original, and laying aside" } } @for (answer, _) in &sides { td { div.row-actions {
                            @if let Some(file) = &answer.file { a href={ "/prices/kept/answer/" (answer.number) } download { (file.name) } span.soft { "as it came, digest " (file.digest.to_string().chars().take(12).collect::<String>()) } }
                            (lay("answer", answer.number, &answer.name, false))
                        } } } }
                    }
                }
            }
        }
    }
}

fn each(landed: Option<&Result<Landed, PriceError>>) -> Markup {
    html! {
        @match landed {
            Some(Ok(landed)) => {
                @if !landed.missing.is_empty() { span.more { "more than " } }
                b { (landed.each) }
                @if landed.range.is_some() { " " span.soft { "estimated" } }
            },
            _ => "–",
        }
    }
}

fn part(landed: &Result<Landed, PriceError>, kind: PartKind) -> Markup {
    let Ok(landed) = landed else {
        return html! { "–" };
    };
    let parts: Vec<_> = landed
        .parts
        .iter()
        .filter(|part| part.kind == kind)
        .collect();
    html! {
        @match (parts.is_empty(), landed.of(kind)) {
            (true, _) => "–",
            (false, Ok(sum)) => { (sum) },
            (false, Err(error)) => (error.to_string()),
        }
        @if kind == PartKind::OneOff { ul.of-it { @for part in &parts { li { (part.what) ": " (part.in_hand) } } } }
        @if kind != PartKind::OneOff && parts.iter().any(|part| part.assumed) { p.soft { "not by the printer: an estimate, or by the delivery term" } }
    }
}

fn total(landed: &Result<Landed, PriceError>) -> Markup {
    html! {
        @match landed {
            Ok(landed) => {
                b { (landed.total) }
                @if let Some((low, high)) = landed.range { p.soft { "not quoted: hardly less than " (low) ", hardly more than " (high) } }
            },
            Err(error) => { p { (spoken(&error.to_string())) } p.soft { (spoken(&error.hint())) } },
        }
    }
}

fn missing(landed: &Landed) -> Markup {
    html! {
        @if landed.missing.is_empty() && landed.unsaid.is_empty() { "nothing is left open" }
        @if !landed.missing.is_empty() { ul.of-it.strong { @for missing in &landed.missing { li { (spoken(missing)) } } } }
        @if !landed.unsaid.is_empty() { ul.of-it { @for unsaid in &landed.unsaid { li { "It rests on " (unsaid) "." } } } }
    }
}

fn how(answer: &AnswerView, landed: &Landed) -> Markup {
    html! {
        details {
            summary { "Part by part" span.hidden { ": " (answer.name) } }
            ul.of-it { @for part in &landed.parts { li { b { (part.what) } ": " (part.in_hand)
                @if part.said.currency() != part.in_hand.currency() { " (" (part.said) ")" }
                ". " (spoken(&part.how)) } } }
        }
    }
}

fn remarks(answer: &AnswerView) -> Markup {
    let remarks = answer.remarks();
    html! {
        @if remarks.is_empty() { "For the book as it is; it holds." }
        ul.of-it {
            @for remark in remarks { li { (spoken(&remark)) } }
            @for term in &answer.terms { li { (spoken(term)) "; its prices hold all the same." } }
            @for doubt in &answer.agreed { li { "Agreed to: " (doubt.cell) @if !doubt.found.is_empty() { " “" (doubt.found) "”" } ", " (doubt.why) "." } }
            @if !answer.answer.notes.is_empty() { li { "They write: " (answer.answer.notes) } }
        }
    }
}
