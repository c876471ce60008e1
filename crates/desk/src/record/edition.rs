//! What the record knows of an edition on its way: steps that have happened, copies that were sold,
//! and plans that were kept. Rows are only added; what is taken back is a row of its own.

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

/// Copies that were sold to an audience.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct SaleRow {
    /// Its number, from 1.
    pub number: i64,
    pub at: String,
    /// Key of the audience.
    pub audience: String,
    /// How many people were reached.
    pub reached: u64,
    /// How many copies they bought.
    pub sold: u64,
    pub note: String,
}

/// A plan that was kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct PlanRow {
    pub at: String,
    pub name: String,
    /// What was decided and found, as JSON.
    pub plan: String,
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

    /// Keeps copies that were sold.
    pub(crate) fn add_sale(
        &mut self,
        audience: &str,
        reached: u64,
        sold: u64,
        note: &str,
    ) -> Result<(), DeskError> {
        // SQLite's whole numbers are signed; the desk lets no larger ones in.
        let signed = |count: u64| i64::try_from(count).unwrap_or(i64::MAX);
        self.database
            .execute(
                "INSERT INTO sale (at, audience, reached, sold, note) VALUES (?1, ?2, ?3, ?4, ?5)",
                params![moment::now(), audience, signed(reached), signed(sold), note],
            )
            .map(|_| ())
            .map_err(self.wrong())
    }

    /// Takes back what was said of sales under a number. Gives whether there was anything.
    pub(crate) fn take_back_sale(&mut self, number: i64) -> Result<bool, DeskError> {
        let there = self.sales()?.iter().any(|sale| sale.number == number);
        if there {
            self.database
                .execute(
                    "INSERT INTO sale_taken_back (at, sale) VALUES (?1, ?2)",
                    params![moment::now(), number],
                )
                .map_err(self.wrong())?;
        }
        Ok(there)
    }

    /// All sales that hold, oldest first.
    pub(crate) fn sales(&self) -> Result<Vec<SaleRow>, DeskError> {
        let read = |row: &rusqlite::Row<'_>| {
            let count = |signed: i64| u64::try_from(signed).unwrap_or(0);
            Ok(SaleRow {
                number: row.get(0)?,
                at: row.get(1)?,
                audience: row.get(2)?,
                reached: count(row.get(3)?),
                sold: count(row.get(4)?),
                note: row.get(5)?,
            })
        };
        let mut query = self
            .database
            .prepare_cached(
                "SELECT id, at, audience, reached, sold, note FROM sale \
                 WHERE id NOT IN (SELECT sale FROM sale_taken_back) ORDER BY id",
            )
            .map_err(self.wrong())?;
        let rows = query
            .query_map([], read)
            .and_then(Iterator::collect)
            .map_err(self.wrong())?;
        Ok(rows)
    }

    /// Keeps a plan under a name; a plan of that name that was kept before is replaced, and an empty
    /// one takes it away.
    pub(crate) fn keep_plan(&mut self, name: &str, plan: &str) -> Result<(), DeskError> {
        self.database
            .execute(
                "INSERT INTO kept_plan (at, name, plan) VALUES (?1, ?2, ?3)",
                params![moment::now(), name, plan],
            )
            .map(|_| ())
            .map_err(self.wrong())
    }

    /// The plans that are kept, each as it was kept last, in the order of their names.
    pub(crate) fn kept_plans(&self) -> Result<Vec<PlanRow>, DeskError> {
        let read = |row: &rusqlite::Row<'_>| {
            Ok(PlanRow {
                at: row.get(0)?,
                name: row.get(1)?,
                plan: row.get(2)?,
            })
        };
        let mut query = self
            .database
            .prepare_cached(
                "SELECT at, name, plan FROM kept_plan WHERE id IN \
                 (SELECT max(id) FROM kept_plan GROUP BY name) AND plan <> '' ORDER BY name",
            )
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

    #[test]
    fn sales_hold_until_they_are_taken_back() {
        let folder = tempfile::tempdir().unwrap();
        let mut record = record(&folder);
        record.add_sale("letter", 2400, 31, "first season").unwrap();
        record.add_sale("fairs", 900, 44, "").unwrap();
        let first = record.sales().unwrap()[0].number;
        assert!(record.take_back_sale(first).unwrap());
        assert!(!record.take_back_sale(first).unwrap());
        let left = record.sales().unwrap();
        assert_eq!((left.len(), left[0].sold), (1, 44));
    }

    #[test]
    fn a_plan_is_replaced_and_taken_away_by_its_name() {
        let folder = tempfile::tempdir().unwrap();
        let mut record = record(&folder);
        for plan in ["{\"copies\":500}", "{\"copies\":800}"] {
            record.keep_plan("small", plan).unwrap();
        }
        record.keep_plan("bold", "{}").unwrap();
        record.keep_plan("bold", "").unwrap();
        let kept = record.kept_plans().unwrap();
        assert_eq!(kept.len(), 1);
        assert_eq!(kept[0].plan, "{\"copies\":800}");
    }
}
