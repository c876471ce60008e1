//! Invoices held against prices.

use desk::measure::Money;
use desk::{Desk, DeskError, InvoiceTaken, InvoiceView};
use serde_json::{Value, json};

use super::answers::doubtful;
use crate::command::printers::file_document;
use crate::outcome::{Outcome, findings_json, findings_words, table};

/// What came of reading one.
pub(super) fn taken(taken: InvoiceTaken) -> Outcome {
    match taken {
        InvoiceTaken::Kept(view) => Outcome::new(words(&view), document(&view)),
        InvoiceTaken::Doubtful(doubts) => {
            doubtful(doubts.iter().map(|doubt| (&*doubt.cell, doubt, false)))
        }
    }
}

/// All invoices.
pub(super) fn list(desk: &Desk) -> Result<Outcome, DeskError> {
    let all = desk.invoices()?;
    let json = json!({ "invoices": all.iter().map(document).collect::<Vec<_>>() });
    let standing: Vec<String> = all
        .iter()
        .filter(|view| view.aside.is_none())
        .map(words)
        .collect();
    if standing.is_empty() {
        return Ok(Outcome::new("No invoice was read yet.", json));
    }
    Ok(Outcome::new(standing.join("\n\n"), json))
}

/// Lays one aside, or brings it back.
pub(super) fn aside(desk: &Desk, invoice: u32, aside: bool) -> Result<Outcome, DeskError> {
    let view = desk.lay_invoice_aside(invoice, aside)?;
    let text = if aside {
        format!(
            "Laid invoice {invoice} of {} aside; `foredge prices recall-invoice {invoice}` brings it \
             back.",
            view.name
        )
    } else {
        format!("Brought back:\n{}", words(&view))
    };
    Ok(Outcome::new(text, document(&view)))
}

fn words(view: &InvoiceView) -> String {
    let invoice = &view.invoice;
    let number = match invoice.number.as_str() {
        "" => String::new(),
        number => format!(" “{number}”"),
    };
    let mut lines = vec![format!(
        "{:>3}  {}{number}, received {}: {} copies ordered by answer {}, {} delivered, {} billed",
        view.number,
        view.name,
        view.received,
        view.ordered,
        view.answer,
        invoice.delivered,
        invoice.billed
    )];
    match &view.read {
        Ok(read) => {
            let sum = |sum: Option<Money>| sum.map_or_else(|| "–".to_owned(), plain);
            let rows: Vec<Vec<String>> = read
                .held
                .iter()
                .map(|held| {
                    let off = held.difference().ok();
                    vec![
                        format!("  {}", held.what),
                        sum(held.asked),
                        sum(held.billed),
                        sum(off.filter(|_| held.billed.is_some())),
                        held.how.clone(),
                    ]
                })
                .collect();
            let head = ["", "asked", "billed", "more", "how"];
            lines.push(table(&head, &rows));
            lines.push(format!(
                "  In all {} are billed; by the price that was asked it is {}.",
                read.sum, read.expected
            ));
            let found = findings_words(&read.findings);
            lines.push(if found.is_empty() {
                "  It is as asked.".to_owned()
            } else {
                found
            });
        }
        Err(why) => lines.push(format!("  It cannot be held against the answer: {why}.")),
    }
    lines.join("\n")
}

fn plain(sum: Money) -> String {
    sum.decimal().with_decimals(sum.currency().decimals())
}

fn document(view: &InvoiceView) -> Value {
    let invoice = &view.invoice;
    let sum = |sum: Option<Money>| sum.map(|sum| sum.decimal().to_string());
    json!({
        "number": view.number,
        "read_at": view.at,
        "received": view.received.to_string(),
        "printer": view.printer,
        "name": view.name,
        "answer": view.answer,
        "ordered_copies": view.ordered,
        "delivered_copies": invoice.delivered,
        "billed_copies": invoice.billed,
        "invoice": invoice.number,
        "dated": invoice.dated.map(|day| day.to_string()),
        "currency": invoice.currency.code(),
        "total": sum(invoice.total),
        "held": match &view.read {
            Ok(read) => json!({
                "lines": read
                    .held
                    .iter()
                    .map(|held| {
                        json!({
                            "what": held.what,
                            "asked": sum(held.asked),
                            "billed": sum(held.billed),
                            "how": held.how,
                        })
                    })
                    .collect::<Vec<_>>(),
                "sum": read.sum.decimal().to_string(),
                "expected": read.expected.decimal().to_string(),
                "findings": findings_json(&read.findings),
            }),
            Err(why) => json!({ "problem": why }),
        },
        "file": view.file.as_ref().map(file_document),
        "laid_aside": view.aside,
    })
}
