//! What the record knows of things that were measured by hand: books on the shelf, dummies,
//! printers' templates. Rows are only added.

use rusqlite::params;

use super::{Record, damaged};
use crate::DeskError;
use crate::moment;

/// What was measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum MeasuredKind {
    Shelf,
    Dummy,
    Template,
}

impl MeasuredKind {
    const fn word(self) -> &'static str {
        match self {
            Self::Shelf => "shelf",
            Self::Dummy => "dummy",
            Self::Template => "template",
        }
    }
}

/// One measurement.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct MeasuredRow {
    /// Its number among those of its kind, from 1.
    pub number: u32,
    pub at: String,
    /// What a person calls it; may be empty.
    pub name: String,
    /// What was measured, as JSON.
    pub given: String,
    /// What was found then, as JSON.
    pub found: String,
    /// When it was taken into the book the last time.
    pub accepted: Option<String>,
}

impl Record {
    /// Keeps a measurement, and gives it the next number of its kind.
    pub(crate) fn add_measured(
        &mut self,
        kind: MeasuredKind,
        name: &str,
        given: &str,
        found: &str,
    ) -> Result<u32, DeskError> {
        let path = self.path.clone();
        let mut add = || -> rusqlite::Result<u32> {
            let transaction = self.database.transaction()?;
            let number: u32 = transaction.query_row(
                "SELECT coalesce(max(number), 0) + 1 FROM measured WHERE kind = ?1",
                [kind.word()],
                |row| row.get(0),
            )?;
            transaction.execute(
                "INSERT INTO measured (at, kind, number, name, given, found) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
                params![moment::now(), kind.word(), number, name, given, found],
            )?;
            transaction.commit()?;
            Ok(number)
        };
        add().map_err(|error| damaged(&path, &error))
    }

    /// All measurements of a kind, oldest first.
    pub(crate) fn measured(&self, kind: MeasuredKind) -> Result<Vec<MeasuredRow>, DeskError> {
        let mut query = self
            .database
            .prepare_cached(
                "SELECT number, at, name, given, found, (SELECT max(at) FROM measured_accepted \
                 WHERE measured = measured.id) FROM measured WHERE kind = ?1 ORDER BY number",
            )
            .map_err(self.wrong())?;
        let rows = query
            .query_map([kind.word()], |row| {
                Ok(MeasuredRow {
                    number: row.get(0)?,
                    at: row.get(1)?,
                    name: row.get(2)?,
                    given: row.get(3)?,
                    found: row.get(4)?,
                    accepted: row.get(5)?,
                })
            })
            .and_then(Iterator::collect)
            .map_err(self.wrong())?;
        Ok(rows)
    }

    /// Keeps that what a measurement says was taken into the book.
    pub(crate) fn add_measured_accepted(
        &self,
        kind: MeasuredKind,
        number: u32,
    ) -> Result<(), DeskError> {
        self.database
            .execute(
                "INSERT INTO measured_accepted (at, measured) \
                 SELECT ?1, id FROM measured WHERE kind = ?2 AND number = ?3",
                params![moment::now(), kind.word(), number],
            )
            .map(|_| ())
            .map_err(self.wrong())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_kind_is_counted_by_itself_and_only_what_was_accepted_is() {
        let folder = tempfile::tempdir().unwrap();
        let mut record = Record::open(&folder.path().join("record.sqlite")).unwrap();
        let mut add = |kind, name: &str| record.add_measured(kind, name, "{}", "{}").unwrap();
        assert_eq!(add(MeasuredKind::Dummy, ""), 1);
        assert_eq!(add(MeasuredKind::Shelf, "Dunes"), 1);
        assert_eq!(add(MeasuredKind::Dummy, "second"), 2);
        record
            .add_measured_accepted(MeasuredKind::Dummy, 2)
            .unwrap();
        let dummies = record.measured(MeasuredKind::Dummy).unwrap();
        let accepted: Vec<bool> = dummies.iter().map(|row| row.accepted.is_some()).collect();
        assert_eq!(accepted, [false, true]);
        assert_eq!(
            record.measured(MeasuredKind::Shelf).unwrap()[0].name,
            "Dunes"
        );
    }
}
