//! What the record knows of proofs: strips, the files that they stand in, measurements, and which
//! of them were accepted. Rows are only added.

use rusqlite::{OptionalExtension, params};

use super::{Record, damaged};
use crate::DeskError;
use crate::digest::Digest;
use crate::moment;

/// A strip that was made, so that a later measurement finds it again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct StripRow {
    pub version: u32,
    /// Digest of its patches.
    pub fingerprint: Digest,
    /// Digest of all that it was made from.
    pub inputs: Digest,
    /// Name of the press condition that it was made for.
    pub condition: String,
    /// Digest of that condition's profile.
    pub profile: Digest,
    /// The facts of the book that it was made from, as JSON.
    pub facts: String,
    /// Its patches, as JSON.
    pub patches: String,
}

/// A file in which a strip stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct ProofFileRow {
    /// Its name in the mark.
    pub mark: String,
    /// The strip's version.
    pub strip: u32,
    pub kind: ProofFileKind,
    /// The width that the strip was laid out in.
    pub width_nm: i64,
    /// Pages of the book in it.
    pub pages: Vec<u32>,
}

/// What a strip was made for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum ProofFileKind {
    /// `press/proof.pdf`.
    Proof,
    /// The practice press.
    Practice,
}

impl ProofFileKind {
    const fn word(self) -> &'static str {
        match self {
            Self::Proof => "proof",
            Self::Practice => "practice",
        }
    }

    fn from_word(word: &str) -> Self {
        match word {
            "practice" => Self::Practice,
            _ => Self::Proof,
        }
    }
}

/// A measurement that was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct ReadingRow {
    pub id: u32,
    pub at: String,
    /// Name of the file as it was given.
    pub name: String,
    /// Where it is kept, from the book folder.
    pub kept: String,
    /// Digest of the file, and of the scanner's profile if one was given.
    pub digest: Digest,
    /// The strip's version.
    pub strip: u32,
    /// What was found, as JSON.
    pub result: String,
}

impl Record {
    /// Keeps a strip and gives it the next version number.
    pub(crate) fn add_strip(&mut self, row: &StripRow) -> Result<u32, DeskError> {
        let path = self.path.clone();
        let mut add = || -> rusqlite::Result<u32> {
            let transaction = self.database.transaction()?;
            let version: u32 = transaction.query_row(
                "SELECT coalesce(max(version), 0) + 1 FROM proof_strip",
                [],
                |row| row.get(0),
            )?;
            transaction.execute(
                "INSERT INTO proof_strip \
                 (version, at, fingerprint, inputs, condition, profile, facts, patches) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
                params![
                    version,
                    moment::now(),
                    row.fingerprint.to_string(),
                    row.inputs.to_string(),
                    row.condition,
                    row.profile.to_string(),
                    row.facts,
                    row.patches
                ],
            )?;
            transaction.commit()?;
            Ok(version)
        };
        add().map_err(|error| damaged(&path, &error))
    }

    /// A strip by its version.
    pub(crate) fn strip(&self, version: u32) -> Result<Option<StripRow>, DeskError> {
        self.one_strip("version = ?1", &version)
    }

    /// The strip with these patches that was made last.
    pub(crate) fn strip_of(&self, fingerprint: Digest) -> Result<Option<StripRow>, DeskError> {
        self.one_strip("fingerprint = ?1", &fingerprint.to_string())
    }

    /// The strip that was made last.
    pub(crate) fn last_strip(&self) -> Result<Option<StripRow>, DeskError> {
        self.one_strip("version > ?1", &0)
    }

    fn one_strip(
        &self,
        which: &str,
        value: &dyn rusqlite::ToSql,
    ) -> Result<Option<StripRow>, DeskError> {
        self.database
            .query_row(
                &format!(
                    "SELECT version, fingerprint, inputs, condition, profile, facts, patches \
                     FROM proof_strip WHERE {which} ORDER BY version DESC LIMIT 1"
                ),
                [value],
                |row| {
                    Ok(StripRow {
                        version: row.get(0)?,
                        fingerprint: digest(row.get(1)?),
                        inputs: digest(row.get(2)?),
                        condition: row.get(3)?,
                        profile: digest(row.get(4)?),
                        facts: row.get(5)?,
                        patches: row.get(6)?,
                    })
                },
            )
            .optional()
            .map_err(self.wrong())
    }

    /// Keeps that a strip stands in a file.
    pub(crate) fn add_proof_file(&self, row: &ProofFileRow) -> Result<(), DeskError> {
        let pages: Vec<String> = row.pages.iter().map(u32::to_string).collect();
        self.database
            .execute(
                "INSERT INTO proof_file (at, mark, strip, kind, width_nm, pages) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
                params![
                    moment::now(),
                    row.mark,
                    row.strip,
                    row.kind.word(),
                    row.width_nm,
                    pages.join(" ")
                ],
            )
            .map(|_| ())
            .map_err(self.wrong())
    }

    /// The file that a mark names.
    pub(crate) fn proof_file(&self, mark: &str) -> Result<Option<ProofFileRow>, DeskError> {
        self.one_file("mark = ?1", &mark)
    }

    /// The file that was made last, for any strip.
    pub(crate) fn last_proof_file(&self) -> Result<Option<ProofFileRow>, DeskError> {
        self.one_file("id > ?1", &0)
    }

    /// What `press/proof.pdf` holds.
    pub(crate) fn last_proof(&self) -> Result<Option<ProofFileRow>, DeskError> {
        self.one_file("kind = ?1", &"proof")
    }

    fn one_file(
        &self,
        which: &str,
        value: &dyn rusqlite::ToSql,
    ) -> Result<Option<ProofFileRow>, DeskError> {
        self.database
            .query_row(
                &format!(
                    "SELECT mark, strip, kind, width_nm, pages FROM proof_file \
                     WHERE {which} ORDER BY id DESC LIMIT 1"
                ),
                [value],
                |row| {
                    let kind: String = row.get(2)?;
                    let pages: String = row.get(4)?;
                    Ok(ProofFileRow {
                        mark: row.get(0)?,
                        strip: row.get(1)?,
                        kind: ProofFileKind::from_word(&kind),
                        width_nm: row.get(3)?,
                        pages: pages
                            .split_whitespace()
                            .filter_map(|page| page.parse().ok())
                            .collect(),
                    })
                },
            )
            .optional()
            .map_err(self.wrong())
    }

    /// How many practice measurements were made.
    pub(crate) fn practices(&self) -> Result<u32, DeskError> {
        self.database
            .query_row(
                "SELECT count(*) FROM proof_file WHERE kind = 'practice'",
                [],
                |row| row.get(0),
            )
            .map_err(self.wrong())
    }

    /// Keeps a measurement; gives its number and the moment.
    pub(crate) fn add_reading(&self, row: &ReadingRow) -> Result<(u32, String), DeskError> {
        let now = moment::now();
        self.database
            .execute(
                "INSERT INTO proof_reading (at, name, kept, digest, strip, result) \
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
                params![
                    now,
                    row.name,
                    row.kept,
                    row.digest.to_string(),
                    row.strip,
                    row.result
                ],
            )
            .map_err(self.wrong())?;
        let id = u32::try_from(self.database.last_insert_rowid()).unwrap_or(u32::MAX);
        Ok((id, now))
    }

    /// All measurements, oldest first.
    pub(crate) fn readings(&self) -> Result<Vec<ReadingRow>, DeskError> {
        let mut query = self
            .database
            .prepare_cached(
                "SELECT id, at, name, kept, digest, strip, result FROM proof_reading ORDER BY id",
            )
            .map_err(self.wrong())?;
        let rows = query
            .query_map([], |row| {
                Ok(ReadingRow {
                    id: row.get(0)?,
                    at: row.get(1)?,
                    name: row.get(2)?,
                    kept: row.get(3)?,
                    digest: digest(row.get(4)?),
                    strip: row.get(5)?,
                    result: row.get(6)?,
                })
            })
            .and_then(Iterator::collect)
            .map_err(self.wrong())?;
        Ok(rows)
    }

    /// Keeps that the lesson of a measurement was taken into the book.
    pub(crate) fn add_accepted(&self, reading: u32) -> Result<(), DeskError> {
        self.database
            .execute(
                "INSERT INTO proof_accepted (at, reading) VALUES (?1, ?2)",
                params![moment::now(), reading],
            )
            .map(|_| ())
            .map_err(self.wrong())
    }

    /// When the lesson of a measurement was accepted the last time.
    pub(crate) fn accepted(&self, reading: u32) -> Result<Option<String>, DeskError> {
        self.database
            .query_row(
                "SELECT at FROM proof_accepted WHERE reading = ?1 ORDER BY id DESC LIMIT 1",
                [reading],
                |row| row.get(0),
            )
            .optional()
            .map_err(self.wrong())
    }
}

/// A digest that cannot be read is that of nothing, and so agrees with no file.
fn digest(text: String) -> Digest {
    Digest::from_hex(&text).unwrap_or_else(|| Digest::of(b""))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn strip(name: &str) -> StripRow {
        StripRow {
            version: 0,
            fingerprint: Digest::of(name.as_bytes()),
            inputs: Digest::of(b"inputs"),
            condition: "coated".to_owned(),
            profile: Digest::of(b"profile"),
            facts: "{}".to_owned(),
            patches: "[]".to_owned(),
        }
    }

    #[test]
    fn strips_are_counted_and_found_again_by_what_they_hold() {
        let folder = tempfile::tempdir().unwrap();
        let mut record = Record::open(&folder.path().join("record.sqlite")).unwrap();
        assert_eq!(record.last_strip().unwrap(), None);
        assert_eq!(record.add_strip(&strip("one")).unwrap(), 1);
        assert_eq!(record.add_strip(&strip("two")).unwrap(), 2);
        let found = record.strip_of(strip("one").fingerprint).unwrap().unwrap();
        assert_eq!((found.version, found.profile), (1, strip("").profile));
        assert_eq!(record.last_strip().unwrap().unwrap().version, 2);
        assert_eq!(record.strip(3).unwrap(), None);
    }

    #[test]
    fn a_file_must_hold_a_strip_that_was_made() {
        let folder = tempfile::tempdir().unwrap();
        let mut record = Record::open(&folder.path().join("record.sqlite")).unwrap();
        let mut file = ProofFileRow {
            mark: "0a1b2c3d".to_owned(),
            strip: 1,
            kind: ProofFileKind::Practice,
            width_nm: 256_000_000,
            pages: vec![4, 9],
        };
        assert!(record.add_proof_file(&file).is_err());
        record.add_strip(&strip("one")).unwrap();
        record.add_proof_file(&file).unwrap();
        assert_eq!(record.proof_file("0a1b2c3d").unwrap(), Some(file.clone()));
        assert_eq!(record.practices().unwrap(), 1);
        file.mark = "ffffffff".to_owned();
        file.pages.clear();
        file.kind = ProofFileKind::Proof;
        record.add_proof_file(&file).unwrap();
        assert_eq!(record.last_proof_file().unwrap(), Some(file.clone()));
        assert_eq!(record.last_proof().unwrap(), Some(file));
        assert_eq!(record.practices().unwrap(), 1);
    }
}
