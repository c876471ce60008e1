//! Writing `press/proof.pdf`.

use std::io::BufWriter;
use std::time::Duration;

use book::plan::ReaderPage;
use finding::{Finding, Place, Severity};
use measure::{Length, Size};
use press::{Beside, Facts as FileFacts, FileKind, PageInput, PressError, PressWriter};
use proof::StripLayout;

use super::ProofFile;
use super::sheet::Dressing;
use super::strips::{self, Now};
use crate::digest::{Digest, DigestingWriter, Gather};
use crate::files::{Lock, Unfinished};
use crate::press_job::{self, PROOF, Plan};
use crate::record::{ProofFileKind, ProofFileRow};
use crate::{Desk, DeskError, Watch, moment};

/// Most pages in one proof file: beyond that one wants the press file itself.
const MOST_PAGES: usize = 400;

/// Writes the proof pages.
pub(super) fn run(
    desk: &Desk,
    pages: &[ReaderPage],
    watch: &dyn Watch,
) -> Result<ProofFile, DeskError> {
    let target = desk.root().join("press").join(PROOF);
    let lock = Lock::take(&desk.private("press.lock"), Duration::ZERO)?;
    let Some(_lock) = lock else {
        return Err(DeskError::new(
            target.display().to_string(),
            "the press files are being made just now",
            "Wait until that is done, or stop it.",
        ));
    };
    let standing = desk.standing()?;
    let inks = desk.inks(&standing.snapshot.book)?;
    let plan = Plan::new(desk, &standing, &inks)?;
    let pages = wanted(&plan, pages)?;
    let mut now = strips::now(desk, &plan, watch)?;
    now.keep(desk)?;

    let format = &standing.snapshot.book.format;
    let width = width(&plan);
    let layout = StripLayout::of(&now.strip, width);
    let name = now.mark_of(contents(&plan, &pages).to_string().as_bytes());
    let job = Job {
        plan: &plan,
        now: &now,
        dressing: Dressing::new(&now.strip, &layout, &standing.snapshot.book.about.language)?,
        name: &name,
        day: &moment::day(&moment::now()),
    };
    let failed = |error: PressError| press_job::write_failed(&target, error);
    let unfinished = Unfinished::begin(&target)?;
    let out = BufWriter::with_capacity(1 << 20, DigestingWriter::new(unfinished.file()));
    let about = &standing.snapshot.book.about;
    let facts = FileFacts {
        kind: FileKind::Proof,
        title: about.title.clone(),
        author: about.author.clone(),
        language: about.language.clone(),
        created: moment::now(),
        id: Digest::of(name.as_bytes()).short(),
    };
    let intent = press_job::output_intent(&inks.condition);
    let mut writer = PressWriter::begin(out, &facts, &intent).map_err(failed)?;
    let mut findings = Vec::new();
    if pages.is_empty() {
        let (page, beside) = job.own_sheet()?;
        writer.page_beside(page, &beside).map_err(failed)?;
    } else {
        let mut take = |page: ReaderPage, _: &crate::unit::Sheet<'_>, input: PageInput<'_>| {
            let beside = job.beside(page, format.trim, format.bleed)?;
            writer.page_beside(input, &beside).map_err(failed)?;
            Ok(())
        };
        findings = press_job::pages_for_proof(desk, &plan, &pages, watch, &mut take)?;
    }
    let out = writer.finish().map_err(failed)?;
    let out = out
        .into_inner()
        .map_err(|error| DeskError::io(&target, "write the proof pages", error.error()))?;
    let (_, bytes, _) = out.done();
    if watch.stopped() {
        return Err(DeskError::stopped("proof"));
    }
    unfinished.finish()?;
    desk.with_record(|record| {
        record.add_proof_file(&ProofFileRow {
            mark: name.clone(),
            strip: now.strip.version,
            kind: ProofFileKind::Proof,
            width_nm: width.nm(),
            pages: pages.iter().map(|page| page.0).collect(),
        })
    })?;
    findings.extend(checked(&plan, &pages, &target, watch)?);
    Ok(ProofFile {
        path: target,
        pages,
        version: now.strip.version,
        mark: name,
        findings,
        bytes,
    })
}

/// The width that a strip is laid out in: that of a page with its bleed.
pub(super) fn width(plan: &Plan<'_>) -> Length {
    let format = &plan.standing.snapshot.book.format;
    format.trim.width + format.bleed * 2
}

struct Job<'a> {
    plan: &'a Plan<'a>,
    now: &'a Now,
    dressing: Dressing<'a>,
    name: &'a str,
    day: &'a str,
}

impl Job<'_> {
    fn beside(&self, page: ReaderPage, trim: Size, bleed: Length) -> Result<Beside, DeskError> {
        let mark = self.now.mark(self.name, Some(page.0));
        let lines = self.lines(&format!("proof of page {}", page.0));
        self.dressing.beside_page(trim, bleed, &mark, &lines)
    }

    fn own_sheet(&self) -> Result<(PageInput<'static>, Beside), DeskError> {
        let mark = self.now.mark(self.name, None);
        let beside = self
            .dressing
            .on_own_sheet(&mark, &self.lines("control strip"))?;
        let page = PageInput::bare(self.dressing.own_sheet(), Length::ZERO);
        Ok((page, beside))
    }

    /// What it is, for a person who finds the sheet on a table.
    fn lines(&self, what: &str) -> [String; 2] {
        let title = &self.plan.standing.snapshot.book.about.title;
        let title: String = title.chars().take(40).collect();
        [
            format!("{title} – {what}"),
            format!(
                "strip {} – file {} – for {} – {}",
                self.now.strip.version, self.name, self.plan.inks.condition.identifier, self.day,
            ),
        ]
    }
}

/// The pages once each, in the order of the book.
fn wanted(plan: &Plan<'_>, pages: &[ReaderPage]) -> Result<Vec<ReaderPage>, DeskError> {
    let count = plan.standing.snapshot.plan.pages.len();
    let mut wanted = pages.to_vec();
    wanted.sort_unstable();
    wanted.dedup();
    if let Some(page) = wanted
        .iter()
        .find(|page| page.0 == 0 || page.0 as usize > count)
    {
        return Err(DeskError::new(
            format!("page {}", page.0),
            format!("the book has no such page; it has {count}"),
            "`foredge pages` shows which page is which.",
        ));
    }
    if wanted.len() > MOST_PAGES {
        return Err(DeskError::new(
            "proof",
            format!("{} pages are too many for proof pages", wanted.len()),
            "Choose the pages whose colours matter most; the press file holds all of them.",
        ));
    }
    Ok(wanted)
}

/// Digest of what the pages show.
fn contents(plan: &Plan<'_>, pages: &[ReaderPage]) -> Digest {
    let mut all = Gather::new("proof pages");
    for page in pages {
        let facts = plan.facts.pages.get(page.0.saturating_sub(1) as usize);
        all.put("page", page.0.to_le_bytes()).put(
            "shows",
            facts.map_or_else(String::new, |facts| facts.digest.to_string()),
        );
    }
    all.done()
}

/// What our own check finds in the file.
fn checked(
    plan: &Plan<'_>,
    pages: &[ReaderPage],
    file: &std::path::Path,
    watch: &dyn Watch,
) -> Result<Vec<Finding>, DeskError> {
    let expected = crate::checking::proof_pages(plan.standing, plan.inks, pages.len());
    let report = crate::checking::look(file, &expected, watch)?;
    Ok(report
        .findings
        .into_iter()
        .filter(|finding| finding.severity >= Severity::Warn)
        .map(|mut finding| {
            // The file counts its own pages; a person knows those of the book.
            if let Place::Page(number) = finding.place
                && let Some(page) = pages.get(number.saturating_sub(1) as usize)
            {
                finding.place = Place::Page(page.0);
            }
            finding
        })
        .collect())
}
