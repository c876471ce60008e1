//! Looking at a page, as one JSON object a line: `name`, `value`, `unit`, `against`, `ratio`.
//!
//! `bench_looking BOOK PAGE`: a finished book folder and one of its pages. The times are those of
//! the calls that the page in the browser makes; each is the median of several. Memory is what this
//! process holds after every page was looked at in print and on the screen (Linux, `/proc`).

use std::error::Error;
use std::path::PathBuf;
use std::process::ExitCode;
use std::time::Instant;

use book::plan::ReaderPage;
use colour::Compensation;
use desk::{Desk, View, Watch};

struct Quiet;

impl Watch for Quiet {
    fn step(&self, _: usize, _: usize, _: &str) {}
}

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(problem) => {
            eprintln!("bench_looking: {problem}");
            ExitCode::from(2)
        }
    }
}

fn run() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args_os().skip(1);
    let folder: PathBuf = arguments.next().ok_or("name a book folder")?.into();
    let page = match arguments.next() {
        Some(page) => page.to_string_lossy().parse()?,
        None => 2,
    };
    let page = ReaderPage(page);
    let desk = Desk::open(&folder)?;
    let size = desk.sheet_size(page)?;
    let against = format!("page of {size}");

    let first = timed(|| desk.tile(page, View::Print, 2, 0, 0).map(drop))?;
    say("first look in print", first, &against, None);
    let adapted = timed(|| desk.tile(page, View::Adapted, 2, 0, 0).map(drop))?;
    say("another view of the same inks", adapted, &against, None);
    let deep = median(9, |_| desk.tile(page, View::Print, 0, 0, 0).map(drop))?;
    say("tile at full depth", deep, &against, None);
    for view in [View::Screen, View::Reach, View::Ink, View::Shadows] {
        let took = timed(|| desk.tile(page, view, 2, 0, 0).map(drop))?;
        say(
            &format!("first look, {}", view.word()),
            took,
            &against,
            None,
        );
    }
    let pointer = median(9, |i| desk.under(page, 100 + i, 100).map(drop))?;
    say("number under the pointer", pointer, &against, None);

    // A slider that moves: every picture has figures that were never tried before.
    let figures = |step: u32| Compensation {
        contrast: -f64::from(step) * 0.37,
        ..Compensation::NONE
    };
    for longest in [800, 1200] {
        let warm = timed(|| {
            desk.trial(page, &figures(90), None, View::Print, longest)
                .map(drop)
        })?;
        say(&format!("first trial, {longest} px"), warm, "100 ms", None);
        let moved = median(15, |step| {
            let tried = figures(step + longest);
            desk.trial(page, &tried, None, View::Print, longest)
                .map(drop)
        })?;
        say(
            &format!("slider moved, {longest} px"),
            moved,
            "100 ms",
            Some(moved / 0.1),
        );
    }
    let sheet = timed(|| desk.contact_sheet(View::Print, 1400, &Quiet).map(drop))?;
    say("contact sheet, first", sheet, "all pages", None);
    let again = timed(|| desk.contact_sheet(View::Print, 1400, &Quiet).map(drop))?;
    say("contact sheet, again", again, "all pages", None);

    let pages = desk.snapshot()?.plan.pages.len() as u32;
    for page in 1..=pages {
        for view in [View::Print, View::Screen] {
            let _ = desk.tile(ReaderPage(page), view, 1, 0, 0)?;
        }
    }
    if let Some(mebibytes) = resident() {
        println!(
            "{{\"name\":\"memory after all pages\",\"value\":{mebibytes:.0},\"unit\":\"MiB\",\
             \"against\":\"{pages} pages\",\"ratio\":null}}"
        );
    }
    Ok(())
}

fn timed<E>(work: impl FnOnce() -> Result<(), E>) -> Result<f64, E> {
    let begun = Instant::now();
    work()?;
    Ok(begun.elapsed().as_secs_f64())
}

fn median<E>(times: u32, mut work: impl FnMut(u32) -> Result<(), E>) -> Result<f64, E> {
    let mut took = Vec::new();
    for time in 0..times {
        took.push(timed(|| work(time))?);
    }
    took.sort_by(f64::total_cmp);
    Ok(took[took.len() / 2])
}

fn say(name: &str, seconds: f64, against: &str, ratio: Option<f64>) {
    let ratio = ratio.map_or("null".to_owned(), |ratio| format!("{ratio:.2}"));
    println!(
        "{{\"name\":\"{name}\",\"value\":{:.1},\"unit\":\"ms\",\"against\":\"{against}\",\
         \"ratio\":{ratio}}}",
        seconds * 1000.0
    );
}

/// Memory that this process holds, in MiB.
fn resident() -> Option<f64> {
    let text = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = text.lines().find(|line| line.starts_with("VmRSS:"))?;
    let kibibytes: f64 = line.split_whitespace().nth(1)?.parse().ok()?;
    Some(kibibytes / 1024.0)
}
