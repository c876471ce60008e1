//! Invoices, each held against the price that was ordered by.

use desk::measure::Money;
use desk::{AnswerView, InvoiceView, day_in_words};
use maud::{Markup, html};

use super::forms::Asked;
use super::{lay, of_form};
use crate::prices::Typed;
use crate::rooms::findings;
use crate::shell::spoken;

/// All invoices, and the form for one more.
pub(super) fn section(
    invoices: &[InvoiceView],
    answers: &[AnswerView],
    typed: Option<&Typed>,
) -> Markup {
    let (gone, standing): (Vec<_>, Vec<_>) = invoices.iter().partition(|view| view.aside.is_some());
    html! {
        section #invoices aria-labelledby="invoices-title" {
            h2 #invoices-title { "Invoices" }
            @if standing.is_empty() { p.soft { "None has come. When one does, it is held line by line against the price that you ordered by." } }
            @for view in standing { (invoice(view)) }
            @if !answers.is_empty() { (form(answers, typed)) }
            @if !gone.is_empty() {
                h3 { "Laid aside" }
                ul.kept-list { @for view in gone { li { span { "Invoice " (view.number) " of " (view.name) } (lay("invoice", view.number, &view.name, true)) } } }
            }
        }
    }
}

fn invoice(view: &InvoiceView) -> Markup {
    let invoice = &view.invoice;
    let sum = |sum: Option<Money>| sum.map_or_else(|| "–".to_owned(), |sum| sum.to_string());
    html! {
        article.invoice aria-labelledby={ "invoice-" (view.number) } {
            h3 id={ "invoice-" (view.number) } { (view.name) @if !invoice.number.is_empty() { ", invoice " (invoice.number) } ", received " (day_in_words(view.received)) }
            p { (view.ordered) " copies ordered by answer " (view.answer) ", " (invoice.delivered) " delivered, " (invoice.billed) " billed." }
            @match &view.read {
                Ok(read) => {
                    p.great-figure { "In all " b { (read.sum) } " are billed; by the price that was asked it is " b { (read.expected) } "." }
                    div.wide-table role="region" aria-label={ "Lines of invoice " (view.number) } tabindex="0" {
                        table.prices {
                            thead { tr { th scope="col" { "For" } th scope="col" { "Asked" } th scope="col" { "Billed" } th scope="col" { "More" } th scope="col" { "How it comes about" } } }
                            tbody { @for held in &read.held {
                                tr {
                                    th scope="row" { (held.what) }
                                    td.sum { (sum(held.asked)) }
                                    td.sum { (sum(held.billed)) }
                                    td.sum { (sum(held.difference().ok().filter(|_| held.billed.is_some()))) }
                                    td { (held.how) }
                                }
                            } }
                        }
                    }
                    @if read.findings.is_empty() { p { "It is as asked." } } @else { (findings::list(&read.findings)) }
                },
                Err(why) => { p.problem { (spoken(why)) } },
            }
            div.row-actions {
                @if let Some(file) = &view.file { a href={ "/prices/kept/invoice/" (view.number) } download { (file.name) } }
                (lay("invoice", view.number, &view.name, false))
            }
        }
    }
}

fn form(answers: &[AnswerView], typed: Option<&Typed>) -> Markup {
    let asked = Asked {
        form: "invoice",
        typed: of_form(typed, "invoice"),
    };
    let choices: Vec<(String, String)> = answers
        .iter()
        .filter(|view| view.stands())
        .map(|view| {
            let words = format!("answer {} of {}", view.number, view.name);
            (view.number.to_string(), words)
        })
        .collect();
    html! {
        details #invoice-form open[asked.typed.is_some()] {
            summary { "Hold an invoice against a price" }
            form.sheet-form method="post" action="/prices/invoice" enctype="multipart/form-data" data-act {
                div.fields.three {
                    (asked.choice("answer", "Ordered by", &choices))
                    (asked.text("ordered", "Copies ordered", "such as 800"))
                    (asked.text("currency", "Currency of all its sums", "by its code: EUR"))
                    (asked.text("number", "Number that stands on it", ""))
                    (asked.day("dated", "Day that stands on it"))
                    (asked.day("received", "Came on (today unless said)"))
                    (asked.text("delivered", "Copies delivered", ""))
                    (asked.text("billed", "Copies billed", "as delivered unless said"))
                }
                (asked.charges())
                div.fields.three {
                    (asked.text("print", "Print and binding", "1234.50"))
                    (asked.text("overs", "Overs, on a line of their own", ""))
                    (asked.text("freight", "Freight", ""))
                    (asked.text("alterations", "Author's alterations", ""))
                    (asked.text("tax", "Tax", ""))
                    (asked.text("other", "Anything else", ""))
                    (asked.text("total", "Sum at its foot", ""))
                    (asked.file("Kept whole beside it, at most 64 MB."))
                }
                (asked.end("Hold it against the price"))
            }
        }
    }
}
