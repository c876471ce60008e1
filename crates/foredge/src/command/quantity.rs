//! How many to print: the sentence first, then quantities side by side.

mod document;
mod words;

use desk::{Desk, DeskError, SaleTold};
use serde_json::json;

use super::edit;
use crate::arguments::QuantityStep;
use crate::outcome::Outcome;

/// The caution that stands below every quantity.
pub(super) const CAUTION: &str = "Estimates for a decision; no financial advice. Every figure rests on the \
                                  shares of buyers that the book file says.";

/// How many to print, with one quantity looked at.
pub fn show(desk: &Desk, copies: Option<u64>) -> Result<Outcome, DeskError> {
    let view = desk.quantity(copies)?;
    Ok(Outcome::new(words::all(&view), document::all(&view))
        .advising("Look at another quantity: foredge quantity --copies 600"))
}

/// A plan, or copies that were sold.
pub fn step(desk: &Desk, step: QuantityStep) -> Result<Outcome, DeskError> {
    match step {
        QuantityStep::Keep { name, copies } => Ok(edit::done(&desk.keep_plan(&name, copies)?)),
        QuantityStep::Drop { name } => Ok(edit::done(&desk.drop_plan(&name)?)),
        QuantityStep::Sold {
            audience,
            copies,
            on,
            sold_out,
            note,
        } => {
            let day = on.unwrap_or_else(desk::today);
            let told = desk.sold(&audience, copies, day, sold_out, &note)?;
            Ok(learned(&told).advising(format!(
                "Take it back: foredge quantity unsold {}",
                told.number
            )))
        }
        QuantityStep::Unsold { sale } => Ok(learned(&desk.take_sale_back(sale)?)),
    }
}

fn learned(told: &SaleTold) -> Outcome {
    let shown = |spread: desk::edition::quantity::Conversion| {
        format!(
            "{:.2} % ({:.2} to {:.2} %)",
            spread.mean() * 100.0,
            spread.quantile(0.05) * 100.0,
            spread.quantile(0.95) * 100.0
        )
    };
    let text = format!(
        "Sale {}: of `{}` buy {}; before, {} were reckoned with.",
        told.number,
        told.audience,
        shown(told.after),
        shown(told.before)
    );
    Outcome::new(
        text,
        json!({
            "sale": told.number,
            "audience": told.audience,
            "before_share": told.before.mean(),
            "after_share": told.after.mean(),
        }),
    )
}
