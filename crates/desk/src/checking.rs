//! Holding press files against the book, or a foreign one against nothing but the standard.

use std::fs::File;
use std::path::Path;

use finding::Severity;
use press::{CheckReport, Expected};
use serde::{Deserialize, Serialize};

use crate::digest::Digest;
use crate::inks::Inks;
use crate::standing::Standing;
use crate::{Desk, DeskError, Watch, press_job};

/// Files up to this size are read; larger ones are mapped, so that gigabytes need no memory.
const READ_UP_TO: u64 = 64 << 20;

/// What a check found, for the status.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct CheckedFacts {
    /// The file that was checked.
    pub file: Digest,
    /// The book that it was held against: digest of the inputs of the file.
    pub inputs: Option<Digest>,
    pub stop: usize,
    pub warn: usize,
    /// The first thing that must not go to print.
    pub first: String,
}

/// Under which kind the check of a press file is recorded.
pub(crate) fn kind(file: &str) -> String {
    format!("checked {file}")
}

/// Checks a press file against the book.
pub(crate) fn against_book(
    desk: &Desk,
    file: &Path,
    watch: &dyn Watch,
) -> Result<CheckReport, DeskError> {
    let standing = desk.standing()?;
    let inks = desk.inks(&standing.snapshot.book)?;
    if own_name(desk, file) == Some(press_job::PROOF) {
        let made = desk.with_record(|record| record.last_proof())?;
        let pages = made.map_or(0, |made| made.pages.len());
        return look(file, &proof_pages(&standing, &inks, pages), watch);
    }
    let bytes = Bytes::open(file)?;
    let snapshot = &standing.snapshot;
    let format = &snapshot.book.format;
    let is_cover = match &snapshot.cover {
        None => false,
        Some(_) => is_cover(file, &bytes),
    };
    let expected = Expected {
        trim: Some(format.trim),
        bleed: Some(format.bleed),
        pages: Some(if is_cover {
            1
        } else {
            u32::try_from(snapshot.plan.pages.len()).unwrap_or(u32::MAX)
        }),
        ink_limit: Some(inks.ink_limit.percent()),
        cover_spine: snapshot
            .cover
            .as_ref()
            .filter(|_| is_cover)
            .map(|cover| cover.spine),
        press: Some(inks.condition.clone()),
    };
    let report = check(&bytes, &expected, file, watch)?;
    remember(desk, file, &report)?;
    Ok(report)
}

/// What a file of so many proof pages should be; of none, it holds the strip on a sheet of its own.
pub(crate) fn proof_pages(standing: &Standing, inks: &Inks, pages: usize) -> Expected {
    let format = &standing.snapshot.book.format;
    Expected {
        trim: (pages > 0).then_some(format.trim),
        bleed: (pages > 0).then_some(format.bleed),
        pages: Some(u32::try_from(pages.max(1)).unwrap_or(u32::MAX)),
        ink_limit: Some(inks.ink_limit.percent()),
        cover_spine: None,
        press: Some(inks.condition.clone()),
    }
}

/// Checks a press file without any book.
///
/// # Errors
/// The file cannot be read, or stopped.
pub fn check_alone(file: &Path, watch: &dyn Watch) -> Result<CheckReport, DeskError> {
    check(&Bytes::open(file)?, &Expected::default(), file, watch)
}

/// Checks a file of ours against what it should be; nothing is recorded.
pub(crate) fn look(
    file: &Path,
    expected: &Expected,
    watch: &dyn Watch,
) -> Result<CheckReport, DeskError> {
    check(&Bytes::open(file)?, expected, file, watch)
}

fn check(
    bytes: &Bytes,
    expected: &Expected,
    file: &Path,
    watch: &dyn Watch,
) -> Result<CheckReport, DeskError> {
    let name = file.file_name().unwrap_or_default().to_string_lossy();
    let report = press::check(bytes.get(), expected, &|done, total| {
        watch.step(
            done as usize,
            total as usize,
            &format!("{name}, page {done}"),
        );
        !watch.stopped()
    });
    if watch.stopped() {
        return Err(DeskError::stopped("check"));
    }
    Ok(report)
}

/// A cover is known by its name, or by being a single page next to an interior of many.
fn is_cover(file: &Path, bytes: &Bytes) -> bool {
    let name = file
        .file_name()
        .unwrap_or_default()
        .to_string_lossy()
        .to_lowercase();
    if name == press_job::INTERIOR {
        return false;
    }
    if name.contains("cover") {
        return true;
    }
    let peek = press::check_to(
        bytes.get(),
        &Expected::default(),
        press::Depth::Quick,
        &|_, _| false,
    );
    peek.summary.pages == 1
}

/// The name of one of the book's own press files; `None` for any other file.
fn own_name(desk: &Desk, file: &Path) -> Option<&'static str> {
    [press_job::INTERIOR, press_job::COVER, press_job::PROOF]
        .into_iter()
        .find(|name| {
            let own = desk.root().join("press").join(name);
            matches!((own.canonicalize(), file.canonicalize()), (Ok(own), Ok(file)) if own == file)
        })
}

/// Records the check of one of the book's own press files.
fn remember(desk: &Desk, file: &Path, report: &CheckReport) -> Result<(), DeskError> {
    let Some(name) = own_name(desk, file) else {
        return Ok(());
    };
    let Some(digest) = desk.digest_of(&desk.root().join("press").join(name)) else {
        return Ok(());
    };
    let count = |severity| {
        report
            .findings
            .iter()
            .filter(|finding| finding.severity == severity)
            .count()
    };
    let standing = desk.standing()?;
    let inks = desk.inks(&standing.snapshot.book)?;
    let facts = press_job::Plan::new(desk, &standing, &inks)?.facts;
    let checked = CheckedFacts {
        file: digest,
        inputs: facts.inputs(name == press_job::COVER),
        stop: count(Severity::Stop),
        warn: count(Severity::Warn),
        first: report
            .findings
            .iter()
            .find(|finding| finding.severity == Severity::Stop)
            .map(|finding| finding.message.clone())
            .unwrap_or_default(),
    };
    let text = serde_json::to_string(&checked).expect("numbers and texts are always written");
    desk.with_record(|record| record.add_made(&kind(name), &text))
}

/// The bytes of a file.
enum Bytes {
    Read(Vec<u8>),
    Mapped(memmap2::Mmap),
}

impl Bytes {
    fn open(path: &Path) -> Result<Self, DeskError> {
        let failed = |error: &std::io::Error| {
            let mut error = DeskError::io(path, "read the press file", error);
            error.hint = "Name a PDF file; `foredge press` makes those of this book.".to_owned();
            error
        };
        let file = File::open(path).map_err(|error| failed(&error))?;
        let metadata = file.metadata().map_err(|error| failed(&error))?;
        if metadata.is_dir() {
            return Err(DeskError::new(
                path.display().to_string(),
                "this is a folder, not a press file",
                "Name the PDF file in it.",
            ));
        }
        if metadata.len() <= READ_UP_TO {
            return std::fs::read(path)
                .map(Self::Read)
                .map_err(|error| failed(&error));
        }
        // SAFETY: the map is read only and lives no longer than one check. Our own press files are
        // never changed in place, only replaced by a rename, which leaves the mapped file whole.
        // Another program that cuts a foreign file meanwhile would end this one, as reading a
        // gigabyte file that shrinks must; nothing is being written then.
        unsafe { memmap2::Mmap::map(&file) }
            .map(Self::Mapped)
            .map_err(|error| failed(&error))
    }

    fn get(&self) -> &[u8] {
        match self {
            Self::Read(bytes) => bytes,
            Self::Mapped(map) => map,
        }
    }
}
