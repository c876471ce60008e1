//! The record of what happened: `record.sqlite`. Rows are added, never changed; only the memory
//! of file digests, which can be computed again, is overwritten.

mod asking;
mod edition;
mod measured;
mod proofs;
mod sales;

use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::{Connection, OptionalExtension, params};

use crate::DeskError;
use crate::digest::Digest;
use crate::moment;

pub(crate) use asking::{AskingKind, AskingRow};
pub(crate) use edition::{StepEvent, StepRow};
pub(crate) use measured::{MeasuredKind, MeasuredRow};
pub(crate) use proofs::{ProofFileKind, ProofFileRow, ReadingRow, StripRow};
pub(crate) use sales::{NewSale, SaleRow};

/// The migrations, each run once, in order; `user_version` counts those that have run.
const MIGRATIONS: &[&str] = &[
    "
    -- Every text that book.toml has had. Never changed, never deleted.
    CREATE TABLE book_version (
        id      INTEGER PRIMARY KEY,
        at      TEXT NOT NULL,
        text    TEXT NOT NULL,
        digest  TEXT NOT NULL
    );
    -- Every step from one version to another, in order; the last one says where the book stands.
    CREATE TABLE book_step (
        id      INTEGER PRIMARY KEY,
        at      TEXT NOT NULL,
        kind    TEXT NOT NULL CHECK (kind IN ('edit', 'undo', 'redo')),
        what    TEXT NOT NULL,
        before  INTEGER REFERENCES book_version (id),
        after   INTEGER NOT NULL REFERENCES book_version (id)
    );
    -- Derived things that were made, with the facts that they were made from.
    CREATE TABLE made (
        id      INTEGER PRIMARY KEY,
        at      TEXT NOT NULL,
        kind    TEXT NOT NULL,
        facts   TEXT NOT NULL
    );
    CREATE INDEX made_by_kind ON made (kind, id);
    -- What a file held when it was last read, so that it is read again only when it has changed.
    CREATE TABLE file_seen (
        path        TEXT PRIMARY KEY,
        size        INTEGER NOT NULL,
        modified_ns INTEGER NOT NULL,
        digest      TEXT,
        width       INTEGER,
        height      INTEGER,
        problem     TEXT
    ) WITHOUT ROWID;
",
    "
    -- Control strips that were made. A measurement names the version of its strip.
    CREATE TABLE proof_strip (
        version     INTEGER PRIMARY KEY,
        at          TEXT NOT NULL,
        fingerprint TEXT NOT NULL,
        inputs      TEXT NOT NULL,
        condition   TEXT NOT NULL,
        profile     TEXT NOT NULL,
        facts       TEXT NOT NULL,
        patches     TEXT NOT NULL
    );
    CREATE INDEX proof_strip_by_patches ON proof_strip (fingerprint, version);
    -- Files in which a strip stands; a mark names one.
    CREATE TABLE proof_file (
        id          INTEGER PRIMARY KEY,
        at          TEXT NOT NULL,
        mark        TEXT NOT NULL,
        strip       INTEGER NOT NULL REFERENCES proof_strip (version),
        kind        TEXT NOT NULL CHECK (kind IN ('proof', 'practice')),
        width_nm    INTEGER NOT NULL,
        pages       TEXT NOT NULL
    );
    CREATE INDEX proof_file_by_mark ON proof_file (mark, id);
    -- Measurements that were read, with what was found then.
    CREATE TABLE proof_reading (
        id          INTEGER PRIMARY KEY,
        at          TEXT NOT NULL,
        name        TEXT NOT NULL,
        kept        TEXT NOT NULL,
        digest      TEXT NOT NULL,
        strip       INTEGER NOT NULL REFERENCES proof_strip (version),
        result      TEXT NOT NULL
    );
    -- Lessons that a person took into the book.
    CREATE TABLE proof_accepted (
        id          INTEGER PRIMARY KEY,
        at          TEXT NOT NULL,
        reading     INTEGER NOT NULL REFERENCES proof_reading (id)
    );
",
    "
    -- Books on the shelf, dummies and printers' templates, as they were measured by hand.
    CREATE TABLE measured (
        id          INTEGER PRIMARY KEY,
        at          TEXT NOT NULL,
        kind        TEXT NOT NULL CHECK (kind IN ('shelf', 'dummy', 'template')),
        number      INTEGER NOT NULL,
        name        TEXT NOT NULL,
        given       TEXT NOT NULL,
        found       TEXT NOT NULL,
        UNIQUE (kind, number)
    );
    -- Those whose figures a person took into the book.
    CREATE TABLE measured_accepted (
        id          INTEGER PRIMARY KEY,
        at          TEXT NOT NULL,
        measured    INTEGER NOT NULL REFERENCES measured (id)
    );
",
    "
    -- What really happened to the steps of the calendar.
    CREATE TABLE step_event (
        id      INTEGER PRIMARY KEY,
        at      TEXT NOT NULL,
        step    TEXT NOT NULL,
        event   TEXT NOT NULL CHECK (event IN ('begun', 'done', 'open')),
        day     TEXT NOT NULL,
        note    TEXT NOT NULL
    );
",
    "
    -- Requests for prices, answers, invoices, and notes about printers.
    CREATE TABLE asking (
        id      INTEGER PRIMARY KEY,
        at      TEXT NOT NULL,
        kind    TEXT NOT NULL CHECK (kind IN ('request', 'answer', 'note', 'invoice')),
        number  INTEGER NOT NULL,
        printer TEXT NOT NULL,
        content TEXT NOT NULL,
        UNIQUE (kind, number)
    );
    -- Which of them a person laid aside, and brought back; the last row of each holds.
    CREATE TABLE asking_aside (
        id      INTEGER PRIMARY KEY,
        at      TEXT NOT NULL,
        asking  INTEGER NOT NULL REFERENCES asking (id),
        aside   INTEGER NOT NULL CHECK (aside IN (0, 1))
    );
    CREATE INDEX asking_aside_by_asking ON asking_aside (asking, id);
",
    "
    -- Copies that were sold to an audience, and which of these rows were taken back.
    CREATE TABLE sale (
        id       INTEGER PRIMARY KEY,
        at       TEXT NOT NULL,
        audience TEXT NOT NULL,
        copies   INTEGER NOT NULL CHECK (copies >= 0),
        day      TEXT NOT NULL,
        sold_out INTEGER NOT NULL CHECK (sold_out IN (0, 1)),
        note     TEXT NOT NULL
    );
    CREATE TABLE sale_back (
        id       INTEGER PRIMARY KEY,
        at       TEXT NOT NULL,
        sale     INTEGER NOT NULL REFERENCES sale (id)
    );
",
];

/// A file's outer signs, by which a change is noticed without reading it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) struct Signs {
    pub size: u64,
    pub modified_ns: i64,
}

impl Signs {
    /// Reads them; follows links.
    pub(crate) fn of(path: &Path) -> std::io::Result<Self> {
        let metadata = std::fs::metadata(path)?;
        // Files from before 1970 or after 2262 count as one moment; their size still tells.
        let modified_ns = metadata
            .modified()
            .ok()
            .and_then(|at| at.duration_since(std::time::UNIX_EPOCH).ok())
            .and_then(|since| i64::try_from(since.as_nanos()).ok())
            .unwrap_or(0);
        Ok(Self {
            size: metadata.len(),
            modified_ns,
        })
    }
}

/// What is remembered of a file with given signs.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Seen {
    pub digest: Option<Digest>,
    /// Width and height in pixels of a picture, upright; or why it cannot be read.
    pub picture: Option<Result<(u32, u32), String>>,
}

/// How a step moved through the versions.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum StepKind {
    Edit,
    Undo,
    Redo,
}

impl StepKind {
    const fn word(self) -> &'static str {
        match self {
            Self::Edit => "edit",
            Self::Undo => "undo",
            Self::Redo => "redo",
        }
    }

    fn from_word(word: &str) -> Self {
        match word {
            "undo" => Self::Undo,
            "redo" => Self::Redo,
            _ => Self::Edit,
        }
    }
}

/// One step from version to version.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Step {
    pub kind: StepKind,
    pub what: String,
    pub before: Option<i64>,
    pub after: i64,
}

/// The open record.
pub(crate) struct Record {
    database: Connection,
    path: PathBuf,
}

impl Record {
    /// Opens the record, making or migrating it.
    pub(crate) fn open(path: &Path) -> Result<Self, DeskError> {
        if let Some(folder) = path.parent() {
            std::fs::create_dir_all(folder)
                .map_err(|error| DeskError::io(folder, "make the folder", &error))?;
        }
        let wrong = |error: rusqlite::Error| damaged(path, &error);
        let mut database = Connection::open(path).map_err(wrong)?;
        database
            .busy_timeout(Duration::from_secs(10))
            .map_err(wrong)?;
        database
            .pragma_update(None, "journal_mode", "WAL")
            .and_then(|()| database.pragma_update(None, "foreign_keys", true))
            .and_then(|()| database.pragma_update(None, "synchronous", "NORMAL"))
            .map_err(wrong)?;
        migrate(&mut database, path)?;
        Ok(Self {
            database,
            path: path.to_owned(),
        })
    }

    fn wrong(&self) -> impl Fn(rusqlite::Error) -> DeskError + '_ {
        |error| damaged(&self.path, &error)
    }

    /// The step taken last.
    pub(crate) fn last_step(&self) -> Result<Option<Step>, DeskError> {
        self.database
            .query_row(
                "SELECT kind, what, before, after FROM book_step ORDER BY id DESC LIMIT 1",
                [],
                step,
            )
            .optional()
            .map_err(self.wrong())
    }

    /// The last edit and the undos and redos after it, in order.
    pub(crate) fn steps_since_last_edit(&self) -> Result<Vec<Step>, DeskError> {
        let mut query = self
            .database
            .prepare_cached(
                "SELECT kind, what, before, after FROM book_step WHERE id >= \
                 (SELECT max(id) FROM book_step WHERE kind = 'edit') ORDER BY id",
            )
            .map_err(self.wrong())?;
        let steps = query
            .query_map([], step)
            .and_then(Iterator::collect)
            .map_err(self.wrong())?;
        Ok(steps)
    }

    /// The edit that first led to a version.
    pub(crate) fn edit_into(&self, version: i64) -> Result<Option<Step>, DeskError> {
        self.database
            .query_row(
                "SELECT kind, what, before, after FROM book_step \
                 WHERE kind = 'edit' AND after = ?1 ORDER BY id LIMIT 1",
                [version],
                step,
            )
            .optional()
            .map_err(self.wrong())
    }

    /// The text of a version.
    pub(crate) fn text(&self, version: i64) -> Result<String, DeskError> {
        self.database
            .query_row(
                "SELECT text FROM book_version WHERE id = ?1",
                [version],
                |row| row.get(0),
            )
            .map_err(self.wrong())
    }

    /// The digest of a version's text.
    pub(crate) fn version_digest(&self, version: i64) -> Result<Digest, DeskError> {
        let text: String = self
            .database
            .query_row(
                "SELECT digest FROM book_version WHERE id = ?1",
                [version],
                |row| row.get(0),
            )
            .map_err(self.wrong())?;
        Ok(Digest::from_hex(&text).unwrap_or_else(|| Digest::of(b"")))
    }

    /// Adds a text as a new version, and the edit that led to it.
    pub(crate) fn add_edit(
        &mut self,
        what: &str,
        before: Option<i64>,
        text: &str,
    ) -> Result<(), DeskError> {
        let path = self.path.clone();
        let now = moment::now();
        let add = |database: &mut Connection| -> rusqlite::Result<()> {
            let transaction = database.transaction()?;
            transaction.execute(
                "INSERT INTO book_version (at, text, digest) VALUES (?1, ?2, ?3)",
                params![now, text, Digest::of(text.as_bytes()).to_string()],
            )?;
            let version = transaction.last_insert_rowid();
            transaction.execute(
                "INSERT INTO book_step (at, kind, what, before, after) \
                 VALUES (?1, 'edit', ?2, ?3, ?4)",
                params![now, what, before, version],
            )?;
            transaction.commit()
        };
        add(&mut self.database).map_err(|error| damaged(&path, &error))
    }

    /// Adds an undo or redo.
    pub(crate) fn add_step(&self, step: &Step) -> Result<(), DeskError> {
        self.database
            .execute(
                "INSERT INTO book_step (at, kind, what, before, after) \
                 VALUES (?1, ?2, ?3, ?4, ?5)",
                params![
                    moment::now(),
                    step.kind.word(),
                    step.what,
                    step.before,
                    step.after
                ],
            )
            .map(|_| ())
            .map_err(self.wrong())
    }

    /// Records that a derived thing was made, with its facts as JSON.
    pub(crate) fn add_made(&self, kind: &str, facts: &str) -> Result<(), DeskError> {
        self.database
            .execute(
                "INSERT INTO made (at, kind, facts) VALUES (?1, ?2, ?3)",
                params![moment::now(), kind, facts],
            )
            .map(|_| ())
            .map_err(self.wrong())
    }

    /// Facts and moment of the thing of this kind that was made last.
    pub(crate) fn last_made(&self, kind: &str) -> Result<Option<(String, String)>, DeskError> {
        self.database
            .query_row(
                "SELECT at, facts FROM made WHERE kind = ?1 ORDER BY id DESC LIMIT 1",
                [kind],
                |row| Ok((row.get(0)?, row.get(1)?)),
            )
            .optional()
            .map_err(self.wrong())
    }

    /// What is remembered of a file, if its signs are still the same.
    pub(crate) fn seen(&self, path: &str, signs: Signs) -> Result<Seen, DeskError> {
        let found = self
            .database
            .prepare_cached(
                "SELECT digest, width, height, problem FROM file_seen \
                 WHERE path = ?1 AND size = ?2 AND modified_ns = ?3",
            )
            .and_then(|mut query| {
                query
                    .query_row(params![path, signs.size as i64, signs.modified_ns], |row| {
                        let digest: Option<String> = row.get(0)?;
                        let width: Option<u32> = row.get(1)?;
                        let height: Option<u32> = row.get(2)?;
                        let problem: Option<String> = row.get(3)?;
                        Ok(Seen {
                            digest: digest.as_deref().and_then(Digest::from_hex),
                            picture: match (width, height, problem) {
                                (_, _, Some(problem)) => Some(Err(problem)),
                                (Some(width), Some(height), None) => Some(Ok((width, height))),
                                _ => None,
                            },
                        })
                    })
                    .optional()
            })
            .map_err(self.wrong())?;
        Ok(found.unwrap_or_default())
    }

    /// Remembers what files hold. One transaction for all, since each costs a write.
    pub(crate) fn remember(&mut self, files: &[(String, Signs, Seen)]) -> Result<(), DeskError> {
        if files.is_empty() {
            return Ok(());
        }
        let path = self.path.clone();
        let remember = |database: &mut Connection| -> rusqlite::Result<()> {
            let transaction = database.transaction()?;
            {
                let mut insert = transaction.prepare_cached(
                    "INSERT OR REPLACE INTO file_seen \
                     (path, size, modified_ns, digest, width, height, problem) \
                     VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
                )?;
                for (name, signs, seen) in files {
                    let (width, height, problem) = match &seen.picture {
                        Some(Ok((width, height))) => (Some(*width), Some(*height), None),
                        Some(Err(problem)) => (None, None, Some(problem.as_str())),
                        None => (None, None, None),
                    };
                    insert.execute(params![
                        name,
                        signs.size as i64,
                        signs.modified_ns,
                        seen.digest.map(|digest| digest.to_string()),
                        width,
                        height,
                        problem
                    ])?;
                }
            }
            transaction.commit()
        };
        remember(&mut self.database).map_err(|error| damaged(&path, &error))
    }
}

fn step(row: &rusqlite::Row<'_>) -> rusqlite::Result<Step> {
    let kind: String = row.get(0)?;
    Ok(Step {
        kind: StepKind::from_word(&kind),
        what: row.get(1)?,
        before: row.get(2)?,
        after: row.get(3)?,
    })
}

fn migrate(database: &mut Connection, path: &Path) -> Result<(), DeskError> {
    let wrong = |error: rusqlite::Error| damaged(path, &error);
    let transaction = database
        .transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)
        .map_err(wrong)?;
    let done: i64 = transaction
        .pragma_query_value(None, "user_version", |row| row.get(0))
        .map_err(wrong)?;
    let done = usize::try_from(done).unwrap_or(usize::MAX);
    if done > MIGRATIONS.len() {
        return Err(DeskError::new(
            path.display().to_string(),
            "the record was written by a newer Foredge",
            "Use that newer version with this book; the book file itself can be read by both.",
        ));
    }
    for migration in &MIGRATIONS[done..] {
        transaction.execute_batch(migration).map_err(wrong)?;
    }
    if done < MIGRATIONS.len() {
        transaction
            .pragma_update(None, "user_version", MIGRATIONS.len() as i64)
            .map_err(wrong)?;
    }
    transaction.commit().map_err(wrong)
}

fn damaged(path: &Path, error: &rusqlite::Error) -> DeskError {
    use rusqlite::ErrorCode;
    let (problem, hint) = match error.sqlite_error_code() {
        Some(ErrorCode::DiskFull) => (
            "the disk is full".to_owned(),
            "Make room and try again; the book and the art are untouched.",
        ),
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => (
            "another Foredge is writing to the record".to_owned(),
            "Wait until it is done, or close it, and try again.",
        ),
        Some(ErrorCode::ReadOnly | ErrorCode::CannotOpen | ErrorCode::PermissionDenied) => (
            "the record cannot be opened for writing".to_owned(),
            "Look at the permissions of the book folder and of `.foredge` in it.",
        ),
        Some(ErrorCode::NotADatabase | ErrorCode::DatabaseCorrupt) => (
            "the record is damaged".to_owned(),
            "Move this file away: the book and the art do not need it, only undo and the memory \
             of what was made are lost.",
        ),
        _ => (
            format!("the record could not be used: {error}"),
            "Look at the disk, then try again; the book and the art are untouched.",
        ),
    };
    DeskError::new(path.display().to_string(), problem, hint)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn record() -> (tempfile::TempDir, Record) {
        let folder = tempfile::tempdir().unwrap();
        let record = Record::open(&folder.path().join("record.sqlite")).unwrap();
        (folder, record)
    }

    #[test]
    fn a_file_is_known_again_only_by_the_same_signs() {
        let (_folder, mut record) = record();
        let signs = Signs {
            size: 10,
            modified_ns: 5,
        };
        let seen = Seen {
            digest: Some(Digest::of(b"harbour")),
            picture: Some(Ok((30, 20))),
        };
        record
            .remember(&[("art/harbour.png".to_owned(), signs, seen.clone())])
            .unwrap();
        assert_eq!(record.seen("art/harbour.png", signs).unwrap(), seen);
        let touched = Signs {
            modified_ns: 6,
            ..signs
        };
        assert_eq!(
            record.seen("art/harbour.png", touched).unwrap(),
            Seen::default()
        );
    }

    #[test]
    fn migrations_run_once_and_a_newer_record_is_left_alone() {
        let (folder, record) = record();
        record.add_made("interior", "{}").unwrap();
        drop(record);
        let path = folder.path().join("record.sqlite");
        let again = Record::open(&path).unwrap();
        assert_eq!(again.last_made("interior").unwrap().unwrap().1, "{}");
        again
            .database
            .pragma_update(None, "user_version", 99)
            .unwrap();
        drop(again);
        let error = Record::open(&path).err().unwrap();
        assert!(error.problem.contains("newer Foredge"), "{error}");
    }

    #[test]
    fn a_damaged_record_says_what_is_lost() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("record.sqlite");
        std::fs::write(&path, vec![b'x'; 4096]).unwrap();
        let error = Record::open(&path).err().unwrap();
        assert_eq!(error.problem, "the record is damaged");
        assert!(error.hint.contains("the book and the art do not need it"));
    }

    #[test]
    fn a_step_must_lead_to_a_version_that_exists() {
        let (_folder, record) = record();
        let nowhere = Step {
            kind: StepKind::Undo,
            what: String::new(),
            before: None,
            after: 12,
        };
        assert!(record.add_step(&nowhere).is_err());
    }
}
