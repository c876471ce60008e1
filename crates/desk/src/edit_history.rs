//! Undo and redo over the versions of the book file. Nothing is ever forgotten: an undo is a step
//! forward in the record that leads back to an older text.

use crate::digest::Digest;
use crate::record::{Record, Step, StepKind};
use crate::{DeskError, History};

/// What a change made outside the program is called.
pub(crate) const BY_HAND: &str = "Edited by hand";
/// What the first version is called.
pub(crate) const BEGINNING: &str = "The book as it was found";

/// Brings the record level with the book file: a text that the program did not write becomes a
/// version of its own. Returns the version at which the book stands.
pub(crate) fn note_hand_edit(record: &mut Record, text: &str) -> Result<i64, DeskError> {
    if let Some(last) = record.last_step()?
        && record.version_digest(last.after)? == Digest::of(text.as_bytes())
    {
        return Ok(last.after);
    }
    let before = record.last_step()?.map(|step| step.after);
    let what = if before.is_some() { BY_HAND } else { BEGINNING };
    record.add_edit(what, before, text)?;
    let last = record.last_step()?;
    Ok(last.expect("a step was just added").after)
}

/// A way back or forward: the step to record, and the text it leads to.
pub(crate) struct Travel {
    pub step: Step,
    pub text: String,
}

/// What undo would do. The record must be level with the book file.
pub(crate) fn back(record: &Record) -> Result<Option<Travel>, DeskError> {
    let Some(last) = record.last_step()? else {
        return Ok(None);
    };
    let Some(edit) = record.edit_into(last.after)? else {
        return Ok(None);
    };
    let Some(before) = edit.before else {
        return Ok(None);
    };
    Ok(Some(Travel {
        text: record.text(before)?,
        step: Step {
            kind: StepKind::Undo,
            what: edit.what,
            before: Some(edit.after),
            after: before,
        },
    }))
}

/// What redo would do. The record must be level with the book file.
pub(crate) fn forth(record: &Record) -> Result<Option<Travel>, DeskError> {
    let mut undone: Vec<Step> = Vec::new();
    for step in record.steps_since_last_edit()? {
        match step.kind {
            StepKind::Edit => undone.clear(),
            StepKind::Undo => undone.push(step),
            StepKind::Redo => {
                undone.pop();
            }
        }
    }
    let Some(undo) = undone.pop() else {
        return Ok(None);
    };
    let Some(left) = undo.before else {
        return Ok(None);
    };
    Ok(Some(Travel {
        text: record.text(left)?,
        step: Step {
            kind: StepKind::Redo,
            what: undo.what,
            before: Some(undo.after),
            after: left,
        },
    }))
}

/// What can be undone and redone, in words.
pub(crate) fn history(record: &Record) -> Result<History, DeskError> {
    Ok(History {
        undo: back(record)?.map(|travel| travel.step.what),
        redo: forth(record)?.map(|travel| travel.step.what),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn record() -> (tempfile::TempDir, Record) {
        let folder = tempfile::tempdir().unwrap();
        let record = Record::open(&folder.path().join("record.sqlite")).unwrap();
        (folder, record)
    }

    fn edit(record: &mut Record, what: &str, text: &str) {
        let before = record.last_step().unwrap().unwrap().after;
        record.add_edit(what, Some(before), text).unwrap();
    }

    fn go(record: &Record, travel: Option<Travel>) -> Option<String> {
        travel.map(|travel| {
            record.add_step(&travel.step).unwrap();
            travel.text
        })
    }

    #[test]
    fn a_text_that_the_program_did_not_write_is_a_version_of_its_own() {
        let (_folder, mut record) = record();
        note_hand_edit(&mut record, "one").unwrap();
        let version = note_hand_edit(&mut record, "one").unwrap();
        assert_eq!(history(&record).unwrap().undo, None);
        assert_ne!(note_hand_edit(&mut record, "two").unwrap(), version);
        assert_eq!(history(&record).unwrap().undo.as_deref(), Some(BY_HAND));
        let travel = back(&record).unwrap();
        assert_eq!(go(&record, travel).as_deref(), Some("one"));
        assert_eq!(history(&record).unwrap().redo.as_deref(), Some(BY_HAND));
    }

    #[test]
    fn an_edit_after_an_undo_closes_the_way_forward() {
        let (_folder, mut record) = record();
        note_hand_edit(&mut record, "0").unwrap();
        edit(&mut record, "a", "1");
        edit(&mut record, "b", "2");
        let travel = back(&record).unwrap();
        go(&record, travel);
        edit(&mut record, "c", "3");
        let now = history(&record).unwrap();
        assert_eq!((now.undo.as_deref(), now.redo), (Some("c"), None));
        let travel = back(&record).unwrap();
        assert_eq!(go(&record, travel).as_deref(), Some("1"));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]

        /// Held against the plainest model of undo: two stacks of texts.
        #[test]
        fn undo_and_redo_agree_with_two_stacks(moves in proptest::collection::vec(0u8..3, 1..24)) {
            let (_folder, mut record) = record();
            note_hand_edit(&mut record, "start").unwrap();
            let (mut past, mut now, mut future) = (Vec::new(), "start".to_owned(), Vec::new());
            for (number, chosen) in moves.into_iter().enumerate() {
                match chosen {
                    0 => {
                        let text = format!("text {number}");
                        edit(&mut record, "edit", &text);
                        past.push(std::mem::replace(&mut now, text));
                        future.clear();
                    }
                    1 => {
                        let travel = back(&record).unwrap();
                        let got = go(&record, travel);
                        let wanted = past.pop();
                        prop_assert_eq!(&got, &wanted);
                        if let Some(text) = wanted {
                            future.push(std::mem::replace(&mut now, text));
                        }
                    }
                    _ => {
                        let travel = forth(&record).unwrap();
                        let got = go(&record, travel);
                        let wanted = future.pop();
                        prop_assert_eq!(&got, &wanted);
                        if let Some(text) = wanted {
                            past.push(std::mem::replace(&mut now, text));
                        }
                    }
                }
            }
        }
    }
}
