//! Answers of printers, side by side and one by one, and their invoices.

mod answers;
mod compared;
mod invoices;

use desk::{AnswerGiven, AnswerRead, Desk, DeskError, Fields, InvoiceGiven};
use serde_json::json;

use super::pair;
use crate::arguments::{How, PricesStep};
use crate::outcome::Outcome;
use answers::{document, doubtful, words};

pub use compared::compared;

/// All answers.
fn list(desk: &Desk) -> Result<Outcome, DeskError> {
    let all = desk.answers()?;
    let json = json!({ "answers": all.iter().map(document).collect::<Vec<_>>() });
    let standing: Vec<String> = all.iter().filter(|view| view.stands()).map(words).collect();
    if standing.is_empty() {
        return Ok(Outcome::new("No answer was read yet.", json)
            .advising("Read one: foredge prices read FILE"));
    }
    Ok(Outcome::new(standing.join("\n\n"), json))
}

/// Something with prices.
pub fn step(desk: &Desk, step: PricesStep) -> Result<Outcome, DeskError> {
    match step {
        PricesStep::Read {
            file,
            said,
            without,
            how,
        } => {
            let fields = pairs(&said)?;
            let without: Vec<&str> = without.iter().map(|what| what.trim()).collect();
            let given = AnswerGiven {
                without: &without,
                ..given(&fields, &how)
            };
            let read = desk.read_answer_file(&file, given)?;
            Ok(came(read))
        }
        PricesStep::Enter { said, file, how } => {
            let fields = pairs(&said)?;
            let given = given(&fields, &how);
            let read = match file {
                Some(file) => desk.read_answer_file(&file, given)?,
                None => desk.read_answer(given)?,
            };
            Ok(came(read))
        }
        PricesStep::Answers => list(desk),
        PricesStep::Show { answer, copies } => compared::one(desk, answer, copies),
        PricesStep::Invoice {
            answer,
            ordered,
            said,
            file,
            on,
            agree,
        } => {
            let fields = pairs(&said)?;
            let given = InvoiceGiven {
                answer,
                ordered,
                fields: &fields,
                file: None,
                received: on,
                agree,
            };
            let taken = match file {
                Some(file) => desk.hold_invoice_file(&file, given)?,
                None => desk.hold_invoice(given)?,
            };
            Ok(invoices::taken(taken))
        }
        PricesStep::Invoices => invoices::list(desk),
        PricesStep::ForgetInvoice { invoice } => invoices::aside(desk, invoice, true),
        PricesStep::RecallInvoice { invoice } => invoices::aside(desk, invoice, false),
        PricesStep::Forget { answer } => {
            let view = desk.lay_answer_aside(answer, true)?;
            let text = format!(
                "Laid answer {answer} of {} aside; `foredge prices recall {answer}` brings it back.",
                view.name
            );
            Ok(Outcome::new(text, document(&view)))
        }
        PricesStep::Recall { answer } => {
            let view = desk.lay_answer_aside(answer, false)?;
            let text = format!("Brought back:\n{}", words(&view));
            Ok(Outcome::new(text, document(&view)))
        }
    }
}

fn pairs(said: &[String]) -> Result<Vec<(&str, &str)>, DeskError> {
    said.iter()
        .map(|text| pair(text, "answer", "\"each 800=9.45\""))
        .collect()
}

fn given<'g>(fields: Fields<'g>, how: &How) -> AnswerGiven<'g> {
    AnswerGiven {
        file: None,
        fields,
        received: how.on,
        replaces: how.replaces,
        agree: how.agree,
        ..AnswerGiven::default()
    }
}

fn came(read: AnswerRead) -> Outcome {
    match read {
        AnswerRead::Kept(view) => {
            let text = format!("Kept:\n{}", words(&view));
            Outcome::new(text, document(&view))
        }
        AnswerRead::Doubtful(doubts) => doubtful(
            doubts
                .iter()
                .map(|one| (&*one.field, &one.doubt, one.can_be_left_out())),
        ),
    }
}
