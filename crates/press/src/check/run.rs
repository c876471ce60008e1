//! A check from beginning to end: pages in parallel, findings in order.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, AtomicU64, AtomicUsize, Ordering};
use std::sync::mpsc;
use std::thread;

use finding::{Finding, Place, Severity};

use super::document::Document;
use super::file_findings::{Whole, not_a_pdf, of_file};
use super::ink::{Estimate, Spot};
use super::page::Reading;
use super::page_findings::of_page;
use super::structure::Structure;
use super::tree::Pages;
use super::{CheckReport, Depth, Expected, PageReport, Summary};

/// Most pages in work at once: each holds its plates and one picture.
const MOST_AT_ONCE: usize = 4;
/// Work allowed for a whole file; an honest book of 1,000 full pages takes a fifth.
const WORK_PER_FILE: u64 = 100_000_000_000;

/// What came of one page.
type Outcome = (usize, Option<(PageReport, Vec<Spot>, Vec<Finding>)>);

pub(super) fn check(
    pdf: &[u8],
    expected: &Expected,
    depth: Depth,
    watch: &dyn Fn(u32, u32) -> bool,
) -> CheckReport {
    let mut summary = Summary {
        bytes: pdf.len() as u64,
        ..Summary::default()
    };
    let Some(document) = Document::open(pdf) else {
        return CheckReport {
            summary,
            pages: Vec::new(),
            findings: vec![not_a_pdf(pdf.len())],
        };
    };
    let structure = Structure::read(&document);
    let pages = Pages::read(&document);
    let limit = expected.ink_limit.or_else(|| {
        expected
            .press
            .as_ref()
            .map(|press| press.ink_limit.percent())
    });
    let estimate = Estimate::new(expected.press.clone());
    let reading = Reading {
        document: &document,
        estimate: &estimate,
        hidden: &structure.hidden,
        depth,
        ink_limit: limit,
        expected,
        locked: structure.encrypted,
    };
    let (outcomes, stopped) = read_pages(&reading, &pages, expected, limit, watch);

    let mut reports = Vec::new();
    let mut spots = Vec::new();
    let mut of_pages = Vec::new();
    for (index, outcome) in outcomes {
        match outcome {
            Some((report, of_page, findings)) => {
                reports.push(report);
                spots.push(of_page);
                of_pages.extend(findings);
            }
            None => of_pages.push(unreadable(index)),
        }
    }
    let count = |count: usize| u32::try_from(count).unwrap_or(u32::MAX);
    summary.pages = count(pages.pages.len());
    summary.checked = count(reports.len());
    summary.version.clone_from(&structure.version);
    summary.producer.clone_from(&structure.producer);
    summary.title.clone_from(&structure.title);
    summary.claims.clone_from(&structure.claims);
    summary.output_intent = structure
        .intents
        .first()
        .map(|intent| intent.identifier.clone());
    let mut findings = of_file(
        &Whole {
            structure: &structure,
            // Damage may only show while pages are read, so it is asked for last.
            damaged: document.is_damaged(),
            ends_well: document.has_end(),
            tree_broken: pages.broken,
            too_many_pages: pages.too_many,
            pages: pages.pages.len(),
            reports: &reports,
            spots: &spots,
            with_ink: depth == Depth::Full,
        },
        expected,
    );
    if let Some(why) = stopped {
        findings.push(not_finished(why, reports.len(), pages.pages.len()));
    }
    findings.extend(of_pages);
    CheckReport {
        summary,
        pages: reports,
        findings,
    }
}

/// Why not all pages were read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Stopped {
    Asked,
    TooMuchWork,
}

/// Reads all pages on a few threads; `watch` is called on this one.
fn read_pages(
    reading: &Reading<'_>,
    pages: &Pages,
    expected: &Expected,
    limit: Option<f64>,
    watch: &dyn Fn(u32, u32) -> bool,
) -> (Vec<Outcome>, Option<Stopped>) {
    let total = pages.pages.len();
    let threads = thread::available_parallelism()
        .map_or(2, std::num::NonZero::get)
        .clamp(1, MOST_AT_ONCE)
        .min(total.max(1));
    let next = AtomicUsize::new(0);
    // Asked once before the first page, so that a stop wished by then reads none.
    let mut asked = !watch(0, u32::try_from(total).unwrap_or(u32::MAX));
    let stop = AtomicBool::new(asked);
    let work = AtomicU64::new(0);
    let (send, receive) = mpsc::channel::<Outcome>();
    let one_thread = |send: mpsc::Sender<Outcome>| {
        while !stop.load(Ordering::Relaxed) && work.load(Ordering::Relaxed) < WORK_PER_FILE {
            let index = next.fetch_add(1, Ordering::Relaxed);
            let Some(node) = pages.pages.get(index) else {
                break;
            };
            // Our own code must not panic; if it does, one page is lost and not the whole check.
            let outcome = catch_unwind(AssertUnwindSafe(|| {
                let number = u32::try_from(index + 1).unwrap_or(u32::MAX);
                let read = reading.page(number, node);
                work.fetch_add(read.work, Ordering::Relaxed);
                let findings = of_page(&read, expected, limit);
                (read.report, read.spots, findings)
            }));
            if send.send((index, outcome.ok())).is_err() {
                break;
            }
        }
    };
    let mut outcomes = Vec::new();
    thread::scope(|scope| {
        for _ in 0..threads {
            let send = send.clone();
            let one_thread = &one_thread;
            scope.spawn(move || one_thread(send));
        }
        drop(send);
        for outcome in &receive {
            outcomes.push(outcome);
            let done = u32::try_from(outcomes.len()).unwrap_or(u32::MAX);
            if !asked && !watch(done, u32::try_from(total).unwrap_or(u32::MAX)) {
                asked = true;
                stop.store(true, Ordering::Relaxed);
            }
        }
    });
    outcomes.sort_by_key(|(index, _)| *index);
    let stopped = if outcomes.len() == total {
        None
    } else if asked {
        Some(Stopped::Asked)
    } else {
        Some(Stopped::TooMuchWork)
    };
    (outcomes, stopped)
}

fn unreadable(index: usize) -> Finding {
    let page = u32::try_from(index + 1).unwrap_or(u32::MAX);
    Finding::new(
        "check-page-unreadable",
        Severity::Stop,
        Place::Page(page),
        "This page could not be read.",
    )
    .hint("Make the file again; please report this file to us.")
}

fn not_finished(why: Stopped, checked: usize, pages: usize) -> Finding {
    match why {
        Stopped::Asked => Finding::new(
            "check-stopped",
            Severity::Note,
            Place::Whole,
            format!("The check was stopped after {checked} of {pages} pages."),
        )
        .hint("Check again to see the rest."),
        Stopped::TooMuchWork => Finding::new(
            "check-too-much-work",
            Severity::Warn,
            Place::Whole,
            format!(
                "The file asks for more work than a check does; {checked} of {pages} pages were \
                 looked at."
            ),
        )
        .hint("Look at the rest in a proof."),
    }
}
