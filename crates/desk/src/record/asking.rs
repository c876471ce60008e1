//! What the record knows of asking for prices: requests that were written, answers and invoices that
//! came, and notes about printers. Rows are only added: what is forgotten is laid aside by a row of
//! its own, and another one brings it back.

use rusqlite::params;

use super::{Record, damaged};
use crate::DeskError;
use crate::moment;

/// What a row is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) enum AskingKind {
    Request,
    Answer,
    Note,
    Invoice,
}

impl AskingKind {
    pub(crate) const fn word(self) -> &'static str {
        match self {
            Self::Request => "request",
            Self::Answer => "answer",
            Self::Note => "note",
            Self::Invoice => "invoice",
        }
    }
}

/// One thing that happened between the artist and a printer.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct AskingRow {
    /// Its number among those of its kind, from 1.
    pub number: u32,
    pub at: String,
    /// The printer's key.
    pub printer: String,
    /// What it holds, as JSON.
    pub content: String,
    /// When it was laid aside, if it still is.
    pub aside: Option<String>,
}

impl Record {
    /// The number that the next of a kind gets.
    pub(crate) fn next_asking(&self, kind: AskingKind) -> Result<u32, DeskError> {
        self.database
            .query_row(
                "SELECT coalesce(max(number), 0) + 1 FROM asking WHERE kind = ?1",
                [kind.word()],
                |row| row.get(0),
            )
            .map_err(self.wrong())
    }

    /// Keeps rows of a kind with their numbers, all or none of them.
    pub(crate) fn add_asking(
        &mut self,
        kind: AskingKind,
        rows: &[(u32, &str, &str)],
    ) -> Result<(), DeskError> {
        let path = self.path.clone();
        let mut add = || -> rusqlite::Result<()> {
            let transaction = self.database.transaction()?;
            for (number, printer, content) in rows {
                transaction.execute(
                    "INSERT INTO asking (at, kind, number, printer, content) \
                     VALUES (?1, ?2, ?3, ?4, ?5)",
                    params![moment::now(), kind.word(), number, printer, content],
                )?;
            }
            transaction.commit()
        };
        add().map_err(|error| damaged(&path, &error))
    }

    /// All of a kind, oldest first, those that are laid aside too.
    pub(crate) fn asking(&self, kind: AskingKind) -> Result<Vec<AskingRow>, DeskError> {
        let mut query = self
            .database
            .prepare_cached(
                "SELECT number, at, printer, content, \
                 (SELECT CASE aside WHEN 1 THEN at END FROM asking_aside \
                  WHERE asking = asking.id ORDER BY id DESC LIMIT 1) \
                 FROM asking WHERE kind = ?1 ORDER BY number",
            )
            .map_err(self.wrong())?;
        let rows = query
            .query_map([kind.word()], |row| {
                Ok(AskingRow {
                    number: row.get(0)?,
                    at: row.get(1)?,
                    printer: row.get(2)?,
                    content: row.get(3)?,
                    aside: row.get(4)?,
                })
            })
            .and_then(Iterator::collect)
            .map_err(self.wrong())?;
        Ok(rows)
    }

    /// Lays a thing aside, or brings it back.
    pub(crate) fn lay_aside(
        &mut self,
        kind: AskingKind,
        number: u32,
        aside: bool,
    ) -> Result<(), DeskError> {
        self.database
            .execute(
                "INSERT INTO asking_aside (at, asking, aside) \
                 SELECT ?1, id, ?4 FROM asking WHERE kind = ?2 AND number = ?3",
                params![moment::now(), kind.word(), number, aside],
            )
            .map(|_| ())
            .map_err(self.wrong())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_kind_is_counted_by_itself() {
        let folder = tempfile::tempdir().unwrap();
        let mut record = Record::open(&folder.path().join("record.sqlite")).unwrap();
        assert_eq!(record.next_asking(AskingKind::Request).unwrap(), 1);
        let two = [(1, "quay", "{}"), (2, "delta", "{}")];
        record.add_asking(AskingKind::Request, &two).unwrap();
        assert_eq!(record.next_asking(AskingKind::Request).unwrap(), 3);
        assert_eq!(record.next_asking(AskingKind::Note).unwrap(), 1);
        let kept = record.asking(AskingKind::Request).unwrap();
        assert_eq!((kept[1].number, kept[1].printer.as_str()), (2, "delta"));
    }

    #[test]
    fn of_several_rows_all_are_kept_or_none() {
        let folder = tempfile::tempdir().unwrap();
        let mut record = Record::open(&folder.path().join("record.sqlite")).unwrap();
        let twice = [(1, "quay", "{}"), (1, "delta", "{}")];
        assert!(record.add_asking(AskingKind::Request, &twice).is_err());
        assert!(record.asking(AskingKind::Request).unwrap().is_empty());
    }

    #[test]
    fn what_is_laid_aside_is_there_and_comes_back() {
        let folder = tempfile::tempdir().unwrap();
        let mut record = Record::open(&folder.path().join("record.sqlite")).unwrap();
        record
            .add_asking(AskingKind::Answer, &[(1, "quay", "{}")])
            .unwrap();
        let aside = |record: &Record| {
            record.asking(AskingKind::Answer).unwrap()[0]
                .aside
                .is_some()
        };
        record.lay_aside(AskingKind::Answer, 1, true).unwrap();
        assert!(aside(&record));
        record.lay_aside(AskingKind::Answer, 1, false).unwrap();
        assert!(!aside(&record));
    }
}
