//! What the record knows of an edition on its way: steps that have happened. Rows are only added; what
//! is taken back is a row of its own.

use rusqlite::params;

use super::Record;
use crate::DeskError;
use crate::moment;

/// What happened to a step.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum StepEvent {
    Begun,
    Done,
    /// What was said before is taken back.
    Open,
}

impl StepEvent {
    const fn word(self) -> &'static str {
        match self {
            Self::Begun => "begun",
            Self::Done => "done",
            Self::Open => "open",
        }
    }

    fn from_word(word: &str) -> Self {
        match word {
            "begun" => Self::Begun,
            "done" => Self::Done,
            _ => Self::Open,
        }
    }
}

/// One thing that happened to a step.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct StepRow {
    pub at: String,
    /// Key of the step.
    pub step: String,
    pub event: StepEvent,
    /// The day on which it happened, as `2026-11-25`; empty where it is taken back.
    pub day: String,
    pub note: String,
}

impl Record {
    /// Keeps what happened to a step.
    pub(crate) fn add_step_event(
        &mut self,
        step: &str,
        event: StepEvent,
        day: &str,
        note: &str,
    ) -> Result<(), DeskError> {
        self.database
            .execute(
                "INSERT INTO step_event (at, step, event, day, note) VALUES (?1, ?2, ?3, ?4, ?5)",
                params![moment::now(), step, event.word(), day, note],
            )
            .map(|_| ())
            .map_err(self.wrong())
    }

    /// All that happened to steps, oldest first.
    pub(crate) fn step_events(&self) -> Result<Vec<StepRow>, DeskError> {
        let read = |row: &rusqlite::Row<'_>| {
            let event: String = row.get(2)?;
            Ok(StepRow {
                at: row.get(0)?,
                step: row.get(1)?,
                event: StepEvent::from_word(&event),
                day: row.get(3)?,
                note: row.get(4)?,
            })
        };
        let mut query = self
            .database
            .prepare_cached("SELECT at, step, event, day, note FROM step_event ORDER BY id")
            .map_err(self.wrong())?;
        let rows = query
            .query_map([], read)
            .and_then(Iterator::collect)
            .map_err(self.wrong())?;
        Ok(rows)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn record(folder: &tempfile::TempDir) -> Record {
        Record::open(&folder.path().join("record.sqlite")).unwrap()
    }

    #[test]
    fn steps_keep_all_that_happened_to_them() {
        let folder = tempfile::tempdir().unwrap();
        let mut record = record(&folder);
        let mut add = |event, day| record.add_step_event("proofs", event, day, "").unwrap();
        add(StepEvent::Begun, "2026-11-20");
        add(StepEvent::Done, "2026-11-25");
        add(StepEvent::Open, "");
        let events: Vec<_> = record
            .step_events()
            .unwrap()
            .into_iter()
            .map(|row| (row.event, row.day))
            .collect();
        assert_eq!(events[1], (StepEvent::Done, "2026-11-25".to_owned()));
        assert_eq!(events[2].0, StepEvent::Open);
    }
}
