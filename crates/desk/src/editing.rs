//! Changing the book file: read, changed, checked, written whole, remembered.

use std::sync::Arc;
use std::time::Duration;

use crate::files::{self, Lock};
use crate::standing::{self, BOOK_FILE, Standing};
use crate::{Desk, DeskError, Edit, Edited, History, edit_history, place, press_job};

/// How long an edit waits for another one to be done.
const PATIENCE: Duration = Duration::from_secs(5);

/// Carries an edit out.
pub(crate) fn edit(desk: &Desk, edit: &Edit) -> Result<Edited, DeskError> {
    let _lock = lock(desk)?;
    let before = Made::of(desk);
    let text = standing::read_text(desk)?;
    let (changed, what) =
        book::edit::apply(&text, edit).map_err(|errors| place::book_errors(BOOK_FILE, &errors))?;
    if changed == text {
        return Ok(Edited {
            what: "Nothing changed: it is so already".to_owned(),
            stale: Vec::new(),
        });
    }
    let version = desk.with_record(|record| edit_history::note_hand_edit(record, &text))?;
    write(desk, &changed)?;
    desk.with_record(|record| record.add_edit(&what, Some(version), &changed))?;
    Ok(Edited {
        what,
        stale: before.stale_now(desk),
    })
}

/// Takes the last edit back.
pub(crate) fn undo(desk: &Desk) -> Result<Option<Edited>, DeskError> {
    travel(desk, edit_history::back, "Took back")
}

/// Brings the last undone edit again.
pub(crate) fn redo(desk: &Desk) -> Result<Option<Edited>, DeskError> {
    travel(desk, edit_history::forth, "Brought again")
}

/// Takes a change made by hand into the record.
pub(crate) fn note_hand_edit(desk: &Desk) -> Result<(), DeskError> {
    let text = standing::read_text(desk)?;
    desk.with_record(|record| edit_history::note_hand_edit(record, &text))?;
    Ok(())
}

/// What undo and redo would do.
pub(crate) fn history(desk: &Desk) -> Result<History, DeskError> {
    let text = standing::read_text(desk)?;
    desk.with_record(|record| {
        edit_history::note_hand_edit(record, &text)?;
        edit_history::history(record)
    })
}

type Way = fn(&crate::record::Record) -> Result<Option<edit_history::Travel>, DeskError>;

fn travel(desk: &Desk, way: Way, said: &str) -> Result<Option<Edited>, DeskError> {
    let _lock = lock(desk)?;
    let before = Made::of(desk);
    let text = standing::read_text(desk)?;
    let travel = desk.with_record(|record| {
        edit_history::note_hand_edit(record, &text)?;
        way(record)
    })?;
    let Some(travel) = travel else {
        return Ok(None);
    };
    write(desk, &travel.text)?;
    desk.with_record(|record| record.add_step(&travel.step))?;
    Ok(Some(Edited {
        what: format!("{said}: {}", travel.step.what),
        stale: before.stale_now(desk),
    }))
}

fn lock(desk: &Desk) -> Result<Lock, DeskError> {
    Lock::take(&desk.private("book.lock"), PATIENCE)?.ok_or_else(|| {
        DeskError::new(
            BOOK_FILE,
            "another Foredge is changing this book",
            "Wait a moment and try again.",
        )
    })
}

fn write(desk: &Desk, text: &str) -> Result<(), DeskError> {
    files::write_whole(&desk.root().join(BOOK_FILE), text.as_bytes())
}

/// Which press files were fit for the book before a change.
struct Made {
    before: Option<Arc<Standing>>,
}

impl Made {
    fn of(desk: &Desk) -> Self {
        Self {
            before: desk.standing().ok(),
        }
    }

    /// What the change made stale, in words: files that were fit for the book before.
    fn stale_now(&self, desk: &Desk) -> Vec<String> {
        let stale = || -> Result<Vec<String>, DeskError> {
            let mut made = Vec::new();
            for (file, cover) in [(press_job::INTERIOR, false), (press_job::COVER, true)] {
                if desk.with_record(|record| record.last_made(file))?.is_some() {
                    made.push((file, cover));
                }
            }
            let (Some(before), false) = (&self.before, made.is_empty()) else {
                return Ok(Vec::new());
            };
            let now = desk.standing()?;
            let then = facts(desk, before)?;
            let now = facts(desk, &now)?;
            let mut stale = Vec::new();
            for (file, cover) in made {
                let reasons = press_job::reasons(&then, &now, cover);
                if !reasons.is_empty() {
                    stale.push(format!("press/{file} ({})", reasons.join("; ")));
                }
            }
            Ok(stale)
        };
        // What is stale is shown by the status in any case; the edit itself is done.
        stale().unwrap_or_default()
    }
}

fn facts(desk: &Desk, standing: &Standing) -> Result<crate::facts::Facts, DeskError> {
    let inks = desk.inks(&standing.snapshot.book)?;
    Ok(press_job::Plan::new(desk, standing, &inks)?.facts)
}
