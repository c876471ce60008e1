//! Where *how many to print* stands.

use super::{FULL, Weighed};
use crate::figures::{percent, whole};
use crate::report::{Stage, StageState};
use crate::{Desk, DeskError};

/// The best quantity in a sentence, or what is missing for it.
pub(crate) fn stage(desk: &Desk) -> Result<Stage, DeskError> {
    let standing = desk.standing()?;
    let book = &standing.snapshot.book;
    let stage = |state, because, next: &str| Stage::new("quantity", state, because, next);
    if book.edition.audiences.is_empty() {
        return Ok(stage(
            StageState::Missing,
            "Nobody is named yet who may buy the book.".to_owned(),
            "Say who knows of it: foredge say audience \"letter to readers\" people=8000 low=0.5% likely=1% high=3%",
        ));
    }
    let weighed = desk
        .look(&standing, &desk.sales()?, FULL)
        .and_then(|look| Ok((desk.weighed(&look, book.ask.copies)?, look.ground.currency)));
    let (weighed, currency) = match weighed {
        Ok(found) => found,
        Err(error) => {
            let because = format!("It cannot be said how many to print: {}.", error.problem);
            return Ok(stage(StageState::Blocked, because, &error.hint));
        }
    };
    let Weighed { sheet, best, .. } = &weighed;
    let row = &best.row;
    let (first, last) = sheet.hardly;
    let copies = |place: usize| sheet.rows[place].cost.copies;
    let mut because = match sheet.lacks() {
        Some(lacks) => format!(
            "No quantity is expected to earn; every sold copy would have to bring about {lacks:.2} {currency} more. "
        ),
        None => String::new(),
    };
    because.push_str(&format!(
        "About {} copies are best, and {} to {} hardly worse: expect {} {currency}, with a chance of {} to lose \
         money.",
        whole(row.cost.copies as f64),
        whole(copies(first) as f64),
        whole(copies(last) as f64),
        whole(row.profit.mean),
        percent(row.loss)
    ));
    if let Some(cost) = best.cost.as_ref().filter(|cost| !cost.holds) {
        because.push_str(&format!(
            " But the price is that of {} for an older book.",
            cost.name
        ));
        let next = "Ask anew: foredge ask --all";
        return Ok(stage(StageState::Stale, because, next));
    }
    let next = match book.ask.copies {
        Some(asked) if asked < copies(first) || asked > copies(last) => {
            because.push_str(&format!(" The book asks for {}.", whole(asked as f64)));
            "See what the difference is: foredge quantity"
        }
        _ => "",
    };
    Ok(stage(StageState::Fresh, because, next))
}
