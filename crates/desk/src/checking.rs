//! Holding press files against the book, or a foreign one against nothing but the standard.

use std::fs::File;
use std::path::Path;

use finding::Severity;
use press::{CheckReport, Expected, PlateName};
use serde::{Deserialize, Serialize};

use crate::digest::Digest;
use crate::inks::Inks;
use crate::standing::Standing;
use crate::unit::Sheet;
use crate::{Desk, DeskError, PressFile, Snapshot, Watch, press_job};

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
    let of = which(desk, &standing.snapshot, file, &bytes);
    let expected = expected(&standing.snapshot, &inks, of);
    let report = check(&bytes, &expected, file, watch)?;
    remember(desk, file, &report)?;
    Ok(report)
}

/// What a press file of the book should be.
fn expected(snapshot: &Snapshot, inks: &Inks, file: PressFile) -> Expected {
    let format = &snapshot.book.format;
    let sheets = file.sheets(snapshot);
    let pages = if file == PressFile::Interior {
        snapshot.plan.pages.len()
    } else {
        sheets.len()
    };
    let first = sheets.first().map(|sheet| Sheet::of_flat(sheet));
    Expected {
        trim: Some(first.map_or(format.trim, |sheet| sheet.trim)),
        bleed: Some(first.map_or(format.bleed, |sheet| sheet.bleed)),
        pages: Some(u32::try_from(pages).unwrap_or(u32::MAX)),
        ink_limit: Some(inks.ink_limit.percent()),
        cover_spine: None,
        press: Some(inks.condition.clone()),
        plates: Some(
            sheets
                .iter()
                .flat_map(|sheet| &sheet.finishings)
                .filter_map(|placed| snapshot.book.finishings.get(placed.finishing))
                .map(|finishing| PlateName::new(&finishing.name).as_str().to_owned())
                .collect(),
        ),
        no_go: sheets
            .first()
            .map_or_else(Vec::new, |sheet| sheet.flat.no_go.clone()),
    }
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
        ..Expected::default()
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

/// Which of the book's files one is: it is known by its name, or by being a single page next to an
/// interior of many.
fn which(desk: &Desk, snapshot: &Snapshot, file: &Path, bytes: &Bytes) -> PressFile {
    if let Some(own) = own_name(desk, file).and_then(PressFile::named) {
        return own;
    }
    let there = |file: &PressFile| !file.sheets(snapshot).is_empty();
    let name = file
        .file_name()
        .unwrap_or_default()
        .to_string_lossy()
        .to_lowercase();
    if name == press_job::INTERIOR {
        return PressFile::Interior;
    }
    // `slipcase` holds the word `case`, and `slipcase-ends` both.
    let named = PressFile::ALL
        .into_iter()
        .filter(|file| there(file) && name.contains(file.word()))
        .max_by_key(|file| file.word().len());
    if let Some(named) = named {
        return named;
    }
    let Some(outside) = snapshot.outside().map(|sheet| PressFile::of(sheet.kind())) else {
        return PressFile::Interior;
    };
    let peek = press::check_to(
        bytes.get(),
        &Expected::default(),
        press::Depth::Quick,
        &|_, _| false,
    );
    if peek.summary.pages == 1 && there(&outside) {
        outside
    } else {
        PressFile::Interior
    }
}

/// The name of one of the book's own press files; `None` for any other file.
fn own_name(desk: &Desk, file: &Path) -> Option<&'static str> {
    let wanted = file.canonicalize().ok()?;
    press_job::names()
        .filter(|name| *name != press_job::MANIFEST)
        .find(|name| {
            let own = desk.root().join("press").join(name).canonicalize();
            own.is_ok_and(|own| own == wanted)
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
        inputs: PressFile::named(name).and_then(|file| facts.inputs(file)),
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
