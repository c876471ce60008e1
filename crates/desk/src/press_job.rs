//! Making the press files: entry by entry, a few at once, written in reading order; what has not
//! changed is taken over from the last press file byte by byte.

mod beside;
mod drawing;
mod for_proof;
mod last_file;
mod plan;
mod sheet;

use std::collections::BTreeMap;
use std::io::BufWriter;
use std::path::Path;
use std::time::Duration;

use finding::{Finding, Place, Severity};
use press::{Facts as FileFacts, FileKind, PressError, PressWriter};

use self::beside::beside;
pub(crate) use self::drawing::{DRAWING, inputs as drawing_inputs, now as drawing_now};
pub(crate) use self::for_proof::{output_intent, pages as pages_for_proof};
use self::last_file::LastFile;
pub(crate) use self::plan::{ArtFile, Plan, Unit};
use self::sheet::{MadeImage, make_unit, overflow_finding, write_sheet};
pub(crate) use self::sheet::{decode, set_words};
use crate::bar_code;
use crate::conveyor::{self, Load};
use crate::digest::{Digest, DigestingWriter};
use crate::files::{self, Lock, Unfinished};
use crate::manifest::{ArtInput, BookInputs, ConditionInputs, LAYOUT, MadeFile, Manifest};
use crate::record::{Seen, Signs};
use crate::{Desk, DeskError, PressFile, PressReport, Watch, moment};

/// Name of the interior in the press folder.
pub(crate) const INTERIOR: &str = PressFile::Interior.name();
/// Name of the manifest in the press folder.
pub(crate) const MANIFEST: &str = "manifest.json";
/// Name of the proof pages in the press folder.
pub(crate) const PROOF: &str = "proof.pdf";

/// All names that a file of the press folder may have.
pub(crate) fn names() -> impl Iterator<Item = &'static str> {
    PressFile::ALL
        .into_iter()
        .map(PressFile::name)
        .chain([DRAWING, MANIFEST, PROOF])
}

/// Memory for entries in making: two spreads of 24 MP, one a core. With the finished ones that wait
/// to be written, the program and its tables this stays under 1.5 GiB.
const MAKING_BYTES: u64 = 1100 << 20;
/// Writes smaller than this are gathered.
const BUFFER: usize = 1 << 20;

/// Makes the press files and the manifest.
pub(crate) fn run(desk: &Desk, watch: &dyn Watch) -> Result<PressReport, DeskError> {
    let folder = desk.root().join("press");
    let lock = Lock::take(&desk.private("press.lock"), Duration::ZERO)?;
    let Some(_lock) = lock else {
        return Err(DeskError::new(
            folder.display().to_string(),
            "the press files are being made already",
            "Wait until that is done, or stop it.",
        ));
    };
    let standing = desk.standing()?;
    let inks = desk.inks(&standing.snapshot.book)?;
    let plan = Plan::new(desk, &standing, &inks)?;
    refuse_what_cannot_be_pressed(&plan)?;
    files::sweep(&folder);

    let old = Manifest::read(&folder.join(MANIFEST));
    let total = plan.units().map(|unit| unit.sheets.len()).sum();
    let mut report = PressReport {
        files: Vec::new(),
        drawing: folder.join(DRAWING),
        pages: plan.facts.page_count,
        rendered: 0,
        findings: plan.standing.snapshot.findings.clone(),
    };
    let mut made = Vec::new();
    let mut unfinished = Vec::new();
    let mut done = 0;
    let files: Vec<PressFile> = std::iter::once(PressFile::Interior)
        .chain(plan.flats.iter().map(|flat| flat.file))
        .collect();
    for file in files {
        let job = &FileJob {
            name: file.name(),
            kind: match file.kinds() {
                [] => FileKind::Interior,
                [kind, ..] => FileKind::Sheet(*kind),
            },
            units: plan.units_of(file),
            inputs: plan.facts.inputs(file).unwrap_or(inks.digest),
        };
        let target = folder.join(job.name);
        report.files.push(target.clone());
        let last = LastFile::find(old.as_ref(), &target, job.name);
        if let Some(last) = &last
            && last.made.inputs_blake3 == job.inputs
            && last.is_untouched(desk)
        {
            done += job.sheets();
            watch.step(done, total, job.name);
            report.findings.extend(known_findings(&plan, job)?);
            made.push(last.made.clone());
            continue;
        }
        let progress = Progress {
            watch,
            before: done,
            total,
        };
        let (file, written) = job.make(&plan, &target, last.as_ref(), &progress)?;
        done += job.sheets();
        report.rendered += written.rendered;
        report.findings.extend(written.findings);
        made.push(written.made);
        unfinished.push(file);
    }
    let last = LastFile::find(old.as_ref(), &report.drawing, DRAWING);
    let snapshot = &plan.standing.snapshot;
    let (drawn, file) = drawing::make(desk, snapshot, &report.drawing, last.as_ref())?;
    made.push(drawn);
    unfinished.extend(file);
    if watch.stopped() {
        return Err(DeskError::stopped("press"));
    }
    // All files are whole; only now do the former ones give way.
    for file in unfinished {
        file.finish()?;
    }
    let files = made.clone();
    manifest(&plan, made).write(&folder.join(MANIFEST))?;
    remember(desk, &plan, &folder, &files)?;
    report.findings.extend(left_over(&plan, &folder));
    report.findings.extend(art_findings(desk, &plan));
    Ok(report)
}

/// One press file to make.
struct FileJob<'a> {
    name: &'static str,
    kind: FileKind,
    units: &'a [Unit<'a>],
    inputs: Digest,
}

struct Progress<'a> {
    watch: &'a dyn Watch,
    before: usize,
    total: usize,
}

struct Written {
    made: MadeFile,
    rendered: u32,
    findings: Vec<Finding>,
}

impl FileJob<'_> {
    fn sheets(&self) -> usize {
        self.units.iter().map(|unit| unit.sheets.len()).sum()
    }

    fn make(
        &self,
        plan: &Plan<'_>,
        target: &Path,
        last: Option<&LastFile>,
        progress: &Progress<'_>,
    ) -> Result<(Unfinished, Written), DeskError> {
        let failed = |error: PressError| write_failed(target, error);
        let book = &plan.standing.snapshot.book;
        let unfinished = Unfinished::begin(target)?;
        let out = BufWriter::with_capacity(BUFFER, DigestingWriter::new(unfinished.file()));
        let facts = FileFacts {
            kind: self.kind,
            title: book.about.title.clone(),
            author: book.about.author.clone(),
            language: book.about.language.clone(),
            created: moment::now(),
            id: self.inputs.short(),
        };
        let intent = output_intent(&plan.inks.condition);
        let mut writer = PressWriter::begin(out, &facts, &intent).map_err(failed)?;
        let mut pages = Vec::new();
        let mut findings = Vec::new();
        let mut rendered = 0;
        let needs: Vec<u64> = self
            .units
            .iter()
            .map(|unit| unit.needs(&plan.art))
            .collect();
        let load = Load {
            workers: std::thread::available_parallelism().map_or(1, usize::from),
            bytes: MAKING_BYTES,
        };
        let stop = || progress.watch.stopped();
        conveyor::run(
            &needs,
            load,
            |index| make_unit(plan, &self.units[index], last, &stop),
            |index, sheets| {
                let unit = &self.units[index];
                for (sheet, made) in unit.sheets.iter().zip(sheets) {
                    if stop() {
                        return Err(DeskError::stopped("press"));
                    }
                    let number = pages.len() as u32 + 1;
                    findings.extend(made.findings(self.kind, number));
                    findings.extend(bar_code::ground_findings(plan, sheet)?);
                    rendered += u32::from(made.pictures.iter().any(MadeImage::is_new));
                    let beside = beside(plan, unit, sheet).map_err(failed)?;
                    pages.push(
                        write_sheet(&mut writer, sheet, made, &beside, number).map_err(failed)?,
                    );
                    let what = format!("{}, page {number}", self.name);
                    progress
                        .watch
                        .step(progress.before + pages.len(), progress.total, &what);
                }
                Ok(())
            },
        )?;
        let out = writer.finish().map_err(failed)?;
        let out = out
            .into_inner()
            .map_err(|error| DeskError::io(target, "write the press file", error.error()))?;
        let (_, size_bytes, blake3) = out.done();
        let language = &book.about.language;
        let digests = self
            .units
            .iter()
            .flat_map(|unit| unit.sheet_facts(language));
        for (page, facts) in pages.iter_mut().zip(digests) {
            page.inputs_blake3 = facts.digest;
        }
        let made = MadeFile {
            file: self.name.to_owned(),
            size_bytes,
            blake3,
            inputs_blake3: self.inputs,
            pages,
        };
        Ok((
            unfinished,
            Written {
                made,
                rendered,
                findings,
            },
        ))
    }
}

/// What the words and plates of a file that is taken over whole were found to be.
fn known_findings(plan: &Plan<'_>, job: &FileJob<'_>) -> Result<Vec<Finding>, DeskError> {
    let mut findings = Vec::new();
    for unit in job.units {
        for (index, sheet) in unit.sheets.iter().enumerate() {
            let (_, overflow) = set_words(plan, sheet, &unit.place_of(index))?;
            let number = unit.first + index as u32;
            findings.extend(overflow_finding(job.kind, number, overflow));
            findings.extend(bar_code::ground_findings(plan, sheet)?);
        }
        for stamp in &unit.stamps {
            findings.extend(stamp.findings(&stamp.judged(plan.desk)));
        }
    }
    Ok(findings)
}

fn manifest(plan: &Plan<'_>, files: Vec<MadeFile>) -> Manifest {
    let standing = plan.standing;
    let book = &standing.snapshot.book;
    let mut art: Vec<ArtInput> = plan
        .art
        .iter()
        .map(|(piece, art)| ArtInput {
            piece: (*piece).to_owned(),
            size_bytes: art.bytes,
            blake3: art.known.digest,
        })
        .collect();
    art.sort_by(|one, other| one.piece.cmp(&other.piece));
    Manifest {
        layout: LAYOUT,
        program: crate::PROGRAM.to_owned(),
        created: moment::now(),
        book: BookInputs {
            title: book.about.title.clone(),
            file_blake3: standing.digest,
            decisions_blake3: Digest::of(format!("{book:?}").as_bytes()),
        },
        press_condition: ConditionInputs {
            name: plan.inks.condition.name.clone(),
            identifier: plan.inks.condition.identifier.clone(),
            profile_blake3: Digest::of(plan.inks.condition.profile.bytes()),
            rendering: plan.facts.rendering.clone(),
            ink_limit_percent: plan.inks.ink_limit.percent(),
        },
        art,
        files,
    }
}

/// Records what was made, so that the status can tell what it was made from.
fn remember(
    desk: &Desk,
    plan: &Plan<'_>,
    folder: &Path,
    files: &[MadeFile],
) -> Result<(), DeskError> {
    let facts =
        serde_json::to_string(&plan.facts).expect("facts hold only strings, numbers and lists");
    let seen: Vec<(String, Signs, Seen)> = files
        .iter()
        .filter_map(|made| {
            let seen = Seen {
                digest: Some(made.blake3),
                picture: None,
            };
            let signs = Signs::of(&folder.join(&made.file)).ok()?;
            Some((format!("press/{}", made.file), signs, seen))
        })
        .collect();
    desk.with_record(|record| {
        for made in files {
            record.add_made(&made.file, &facts)?;
        }
        record.remember(&seen)
    })
}

/// A book that cannot be pressed is refused with all that is missing, before any work.
fn refuse_what_cannot_be_pressed(plan: &Plan<'_>) -> Result<(), DeskError> {
    let mut missing: BTreeMap<&str, String> = BTreeMap::new();
    let sheets = plan.units().flat_map(|unit| &unit.sheets);
    for placed in sheets.flat_map(|sheet| sheet.pictures) {
        if plan.art.contains_key(placed.piece.as_str()) {
            continue;
        }
        let piece = plan
            .standing
            .art
            .iter()
            .find(|piece| piece.name == placed.piece);
        let why = match piece.map(|piece| &piece.size) {
            Some(Err(problem)) => problem.clone(),
            Some(Ok(_)) => "it cannot be read".to_owned(),
            None => "it is not there".to_owned(),
        };
        missing.insert(&placed.piece, why);
    }
    let mut missing = missing.into_iter();
    let Some((piece, why)) = missing.next() else {
        return Ok(());
    };
    let mut error = unusable_art(piece, &why);
    for (piece, why) in missing {
        error.hint.push_str(&format!("\nAlso art/{piece}: {why}."));
    }
    Err(error)
}

/// Files that the book has no use for any more would be sent by mistake.
fn left_over(plan: &Plan<'_>, folder: &Path) -> Vec<Finding> {
    PressFile::ALL
        .into_iter()
        .filter(|&file| plan.units_of(file).is_empty() && folder.join(file.name()).exists())
        .map(|file| {
            Finding::new(
                "press-file-left-over",
                Severity::Warn,
                Place::Whole,
                format!(
                    "press/{} is left over from another book object; this {} book has no such \
                     sheet, or nothing is printed on it.",
                    file.name(),
                    plan.facts.binding
                ),
            )
            .hint("Take the file away, so that it is not sent by mistake.")
        })
        .collect()
}

/// What is known of the art as it is placed; from memory where it was judged already.
fn art_findings(desk: &Desk, plan: &Plan<'_>) -> Vec<Finding> {
    match crate::judge::known(desk, plan.standing, plan.inks) {
        Ok(Some(report)) => report
            .findings
            .into_iter()
            .filter(|finding| finding.severity >= Severity::Warn)
            .collect(),
        _ => crate::judge::resolution_findings(plan.standing),
    }
}

pub(crate) fn unusable_art(piece: &str, problem: &str) -> DeskError {
    DeskError::new(
        format!("art/{piece}"),
        problem,
        "Put a whole picture there, or take it out of the running order.",
    )
}

pub(crate) fn write_failed(target: &Path, error: PressError) -> DeskError {
    match error {
        PressError::Io(error) => DeskError::io(target, "write the press file", &error),
        other => DeskError::new(
            target.display().to_string(),
            other.to_string(),
            "The former press files are untouched.",
        ),
    }
}
