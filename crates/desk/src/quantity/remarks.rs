//! What is said beside the figures: what they rest on, and what is to be known before anything is decided.

use edition::quantity::Sheet;

use super::{Look, Picture};
use crate::RunCost;
use crate::figures::whole;

/// Pledged copies that a quantity cannot meet.
pub(super) fn unmet(copies: u64) -> Option<String> {
    (copies > 0).then(|| {
        format!("{copies} pledged copies could not be met, and whoever pledged has paid for them.")
    })
}

/// Where the costs come from, in a sentence.
pub(super) fn rests_on(best: &Picture) -> String {
    match &best.cost {
        Some(cost) => format!(
            "Costs by the answer of {} (number {}){}.",
            cost.name,
            cost.answer,
            if cost.holds {
                ""
            } else {
                ", which does not hold for the book as it is"
            }
        ),
        None => {
            "Costs are a guess of the book file; no printer's answer can be reckoned.".to_owned()
        }
    }
}

/// What the least of the quantities between which it hardly matters spares, held against the best.
fn least_of_the_good(look: &Look<'_>, sheet: &Sheet) -> Option<String> {
    let (best, least) = (&sheet.rows[sheet.best], &sheet.rows[sheet.hardly.0]);
    if least.cost.copies >= best.cost.copies {
        return None;
    }
    let currency = look.ground.currency;
    let left = best.stock[1].copies.mean - least.stock[1].copies.mean;
    let spared = best.cost.total.minus(least.cost.total).ok()?;
    Some(format!(
        "Printing {} instead gives up about {} {currency} of what is expected, ties up {} {currency} less, and \
         leaves {} fewer copies after a year.",
        whole(least.cost.copies as f64),
        whole((best.profit.mean - least.profit.mean).max(0.0)),
        whole(spared.decimal().approximate()),
        whole(left.max(0.0)),
    ))
}

/// A quantity that the printer has not quoted, and that lies beyond all that were.
fn beyond(cost: &RunCost) -> String {
    let between = cost.range.map_or_else(String::new, |(low, high)| {
        format!(" By the rules that price lists keep to it lies between {low} and {high}.")
    });
    format!(
        "{} quoted {} to {} copies; what {} cost is carried on along the last stretch.{between} Ask for that \
         quantity before you decide.",
        cost.name,
        whole(cost.quoted.0 as f64),
        whole(cost.quoted.1 as f64),
        whole(cost.copies as f64),
    )
}

/// What is to be known before anything is decided.
pub(super) fn remarks(look: &Look<'_>, sheet: &Sheet, best: &Picture) -> Vec<String> {
    let ground = &look.ground;
    let mut remarks = Vec::new();
    let row = &sheet.rows[sheet.best];
    let currency = ground.currency;
    if let Some(lacks) = sheet.lacks() {
        let why = if row.each >= ground.brings() {
            format!(
                "A copy costs about {:.2} {currency} and brings about {:.2}: no quantity earns",
                row.each,
                ground.brings()
            )
        } else {
            "No quantity is expected to earn; the best one loses least".to_owned()
        };
        remarks.push(format!(
            "{why}. Every sold copy would have to bring about {lacks:.2} {currency} more: raise the price, give \
             less away, or ask for other prices."
        ));
    }
    if sheet.best + 1 == sheet.rows.len() && sheet.rows.len() > 1 {
        remarks.push(
            "The best is the largest that was reckoned; more may be better still.".to_owned(),
        );
    }
    let people = ground.people() as f64;
    let (low, _, high) = ground.rule();
    let wanted = look.draws.mean();
    if people > 0.0 && (wanted < low as f64 || wanted > high as f64) {
        remarks.push(format!(
            "The audiences as said want {:.0} copies{}, {:.1} % of all people; common practice (no source) is a \
             half to one percent, {low} to {high}. Both cannot be right: see what the shares rest on.",
            wanted,
            match ground.pledged() {
                0 => String::new(),
                pledged => format!(" beside the {pledged} pledged"),
            },
            wanted / people * 100.0
        ));
    }
    remarks.extend(unmet(row.unmet));
    if people == 0.0 {
        remarks.push(format!(
            "Nobody is reckoned with beyond the {} pledged copies, so that nothing here has a spread: say who \
             knows of your work, each place with its people and what share of them buys.",
            ground.pledged()
        ));
    }
    remarks.extend(least_of_the_good(look, sheet));
    if let Some(cost) = best.cost.as_ref().filter(|cost| cost.beyond()) {
        remarks.push(beyond(cost));
    }
    if let Some(cost) = &best.cost
        && !cost.missing.is_empty()
    {
        remarks.push(format!("The price lacks {}.", cost.missing.join(", ")));
    }
    if let Some(day) = look.book.edition.sold_out_by
        && day <= best.when.in_hand
    {
        remarks.push(format!(
            "`sold_out_by` ({day}) lies before the books are in hand ({}); the chance of it is not told.",
            best.when.in_hand
        ));
    }
    remarks
}
