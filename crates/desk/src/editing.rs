//! Changing the book file: read, changed, checked, written whole, remembered.

use std::sync::Arc;
use std::time::Duration;

use crate::facts::{self, Facts};
use crate::files::{self, Lock};
use crate::standing::{self, BOOK_FILE, Standing};
use crate::{
    Desk, DeskError, Edit, Edited, History, PressFile, asking, edit_history, place, press_job,
};

/// How long an edit waits for another one to be done.
const PATIENCE: Duration = Duration::from_secs(5);

/// Carries an edit out.
pub(crate) fn edit(desk: &Desk, edit: &Edit) -> Result<Edited, DeskError> {
    let _lock = lock(desk)?;
    let before = Before::of(desk);
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
    let before = Before::of(desk);
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

/// The book before a change.
struct Before(Option<Arc<Standing>>);

impl Before {
    fn of(desk: &Desk) -> Self {
        Self(desk.standing().ok())
    }

    /// What the change made stale, in words: press files that were fit for the book before it and
    /// are not any more.
    fn stale_now(&self, desk: &Desk) -> Vec<String> {
        // What is stale is shown by the status in any case; the edit itself is done.
        self.newly_stale(desk).unwrap_or_default()
    }

    fn newly_stale(&self, desk: &Desk) -> Result<Vec<String>, DeskError> {
        let made = |name: &str| -> Result<Option<Facts>, DeskError> {
            let made = desk.with_record(|record| record.last_made(name))?;
            Ok(made.and_then(|(_, facts)| serde_json::from_str(&facts).ok()))
        };
        let mut files = Vec::new();
        for file in PressFile::ALL {
            files.extend(made(file.name())?.map(|made| (file, made)));
        }
        let drawing = made(press_job::DRAWING)?;
        let Some(before) = &self.0 else {
            return Ok(Vec::new());
        };
        let prices = asking::newly_stale(desk, before)?;
        if files.is_empty() && drawing.is_none() {
            return Ok(prices);
        }
        let before = facts_of(desk, before)?;
        let now = facts_of(desk, &*desk.standing()?)?;
        let mut stale: Vec<String> = files
            .into_iter()
            .filter(|(file, made)| {
                let inputs = made.inputs(*file);
                inputs == before.inputs(*file) && inputs != now.inputs(*file)
            })
            .map(|(file, made)| {
                let mut reasons = facts::reasons(&made, &now, file);
                if now.inputs(file).is_none() {
                    reasons.insert(0, "The book has no use for it any more".to_owned());
                }
                format!("press/{} ({})", file.name(), reasons.join("; "))
            })
            .collect();
        if let Some(made) = drawing
            && made.drawing == before.drawing
            && made.drawing != now.drawing
        {
            let reason = facts::reason_of_drawing(&made, &now);
            stale.push(format!("press/{} ({reason})", press_job::DRAWING));
        }
        stale.extend(prices);
        Ok(stale)
    }
}

fn facts_of(desk: &Desk, standing: &Standing) -> Result<Facts, DeskError> {
    let inks = desk.inks(&standing.snapshot.book)?;
    Ok(press_job::Plan::new(desk, standing, &inks)?.facts)
}
