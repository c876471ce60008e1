//! Taking what a proof has taught into the book, and out again.

use proof::fit::Verdict;

use super::reading;
use crate::{Desk, DeskError, Edit, Edited, editing};

/// Writes the lesson of a measurement into the book.
pub(super) fn accept(desk: &Desk, id: u32) -> Result<Edited, DeskError> {
    let found = reading::all(desk)?
        .into_iter()
        .find(|reading| reading.id == id)
        .ok_or_else(|| {
            DeskError::new(
                format!("proof {id}"),
                "no measurement of this book has this number",
                "`foredge proof` lists them; `foredge proof read FILE` reads one.",
            )
        })?;
    if let Some(why) = &found.refused {
        return Err(DeskError::new(
            format!("proof {id} ({})", found.name),
            format!("there is nothing to accept. {why}"),
            "Nothing was changed.",
        ));
    }
    let Verdict::Enough(lesson) = &found.verdict else {
        return Err(DeskError::new(
            format!("proof {id}"),
            "nothing was learned from it",
            "",
        ));
    };
    let from = reading::from_words(id, found.strip.version, &found.read_at, &found.from);
    let what = format!(
        "Took in what proof {id} taught of the press: {:.1} ΔE00 off on average, {:.1} foretold",
        lesson.before.mean, lesson.after.mean
    );
    let edit = Edit::learn(&reading::lesson_of(&lesson.departure, from), what);
    let edited = editing::edit(desk, &edit)?;
    desk.with_record(|record| record.add_accepted(id))?;
    Ok(edited)
}

/// Takes whatever was learned out of the book.
pub(super) fn forget(desk: &Desk) -> Result<Edited, DeskError> {
    let standing = desk.standing()?;
    let what = match &standing.snapshot.book.paper.learned {
        Some(learned) => format!("Took out what was learned from {}", learned.from),
        None => {
            return Ok(Edited {
                what: "Nothing changed: nothing was learned from a proof".to_owned(),
                stale: Vec::new(),
            });
        }
    };
    editing::edit(desk, &Edit::forget_lesson(what))
}
