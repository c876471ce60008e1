//! Printer by printer, below the chart: where each is the cheapest or what speaks for it all the same,
//! what speaks against its figure, and what is to be checked with it.

use desk::ComparisonView;
use desk::price::compare::Cheapest;
use maud::{Markup, html};

use super::{chart, state_word};
use crate::shell::spoken;

/// One card for each answer, in the order of the chart, under the sign of its line.
pub(super) fn by_printer(view: &ComparisonView) -> Markup {
    html! {
        section.weighed aria-labelledby="weighed" {
            h2 #weighed { "Before you decide, printer by printer" }
            ul.weighed-cards {
                @for (place, answer) in view.answers.iter().enumerate() {
                    li id={ "weighed-" (answer.number) } data-holds[answer.holds()] {
                        h3 { (chart::sign(place)) (answer.name) " " span.soft { "answer " (answer.number) ", " (state_word(answer)) } }
                        (cost(view, place))
                        (list("Against its figure", &view.against(place)))
                        (list("To be checked with them", view.to_check(place)))
                        (list("How its price is made", &view.made_of(place)))
                    }
                }
            }
        }
    }
}

/// Where it is the cheapest; or by how much it is not, and what speaks for it in time, cash and risk.
fn cost(view: &ComparisonView, place: usize) -> Markup {
    let comparison = &view.comparison;
    let mut first: Vec<&Cheapest> = comparison.ranges.iter().collect();
    first.retain(|range| range.answer == place && view.answers.len() > 1);
    let dearer = comparison
        .dearer
        .iter()
        .find(|dearer| dearer.answer == place);
    html! {
        @for range in first {
            p { "Cheapest from " (range.from) " to " (range.to) " copies, " (ComparisonView::how_sure(range)) "." }
            ul.reasons { @for lead in view.leads(range) { li { (spoken(&lead)) } } }
        }
        @if let Some(dearer) = dearer {
            p { (spoken(&view.how_much_dearer(dearer))) }
            @if dearer.reasons.is_empty() { p { "Nothing speaks for it in time, cash or risk." } }
            @else { (list("What speaks for it all the same", &dearer.reasons)) }
        }
    }
}

fn list(title: &str, sentences: &[String]) -> Markup {
    html! {
        @if !sentences.is_empty() {
            h4 { (title) }
            ul.reasons { @for sentence in sentences { li { (spoken(sentence)) } } }
        }
    }
}
