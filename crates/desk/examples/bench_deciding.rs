//! How long a person waits who decides: a quantity that is moved, a hundred answers compared. One JSON object
//! a line: `name`, `value`, `unit`, `against`, `ratio`.
//!
//! The book is the demonstration's, made by the binary named by `FOREDGE`, or a copy of the one in the folder
//! that is given: three answers, a calendar, audiences, channels and plans. Each figure is held against the
//! 50 ms in which nobody feels a wait.
//!
//! `bench_deciding [FOLDER]`. Run in release, on a machine that does nothing else.

use std::error::Error;
use std::fs;
use std::path::Path;
use std::process::{Command, ExitCode, Stdio};
use std::time::Instant;

use desk::{AnswerGiven, Desk};

/// The wait that nobody feels, in milliseconds.
const LIMIT: f64 = 50.0;
/// Answers that are compared.
const ANSWERS: usize = 100;
/// Quantities through which the slider is moved.
const MOVES: u64 = 60;

type Outcome<T> = Result<T, Box<dyn Error>>;

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(problem) => {
            eprintln!("bench_deciding: {problem}");
            ExitCode::from(2)
        }
    }
}

fn run() -> Outcome<()> {
    let scratch = tempfile::Builder::new()
        .prefix("foredge-bench-")
        .tempdir()?;
    let folder = scratch.path().join("book");
    match std::env::args().nth(1) {
        Some(given) => copy(Path::new(&given), &folder)?,
        None => demonstration(&folder)?,
    }
    let desk = Desk::open(&folder)?;
    let begun = Instant::now();
    desk.quantity(None)?;
    tell("quantity_first_look", begun);
    let begun = Instant::now();
    desk.quantity(None)?;
    tell("quantity_next_look", begun);

    let mut waits = Vec::new();
    for place in 0..MOVES {
        let begun = Instant::now();
        desk.quantity_moving(300 + place * 37)?;
        waits.push(begun.elapsed().as_secs_f64() * 1e3);
    }
    waits.sort_by(f64::total_cmp);
    line("quantity_moved_median", waits[waits.len() / 2]);
    line("quantity_moved_worst", waits[waits.len() - 1]);

    let begun = Instant::now();
    desk.quantity_at(777)?;
    tell("quantity_at_rest", begun);
    let begun = Instant::now();
    desk.dates()?;
    tell("dates", begun);

    for number in desk.answers()?.len()..ANSWERS {
        one_more(&desk, number)?;
    }
    let mut waits = Vec::new();
    for _ in 0..9 {
        let begun = Instant::now();
        let view = desk.comparison(&[550, 800, 1050])?;
        waits.push((begun.elapsed().as_secs_f64() * 1e3, view));
    }
    waits.sort_by(|one, other| one.0.total_cmp(&other.0));
    let (wait, view) = &waits[waits.len() / 2];
    line("answers_100_compared_median", *wait);
    let begun = Instant::now();
    desk.comparison_chart(view)?;
    tell("answers_100_chart", begun);
    Ok(())
}

/// An answer of three quantities, unlike the others.
fn one_more(desk: &Desk, number: usize) -> Outcome<()> {
    let printer = ["quay", "delta"][number % 2];
    let totals = [550, 800, 1050].map(|copies| (3_000 + 17 * number + copies * 6).to_string());
    let fields = [
        ("printer", printer),
        ("currency", "EUR"),
        ("total 550", &totals[0]),
        ("total 800", &totals[1]),
        ("total 1050", &totals[2]),
        ("one-off printing plates", "380"),
        ("freight", "250"),
        ("term", "DAP each place of delivery"),
    ];
    desk.read_answer(AnswerGiven {
        fields: &fields,
        agree: true,
        ..AnswerGiven::default()
    })?;
    Ok(())
}

/// A book folder without its press files and cache.
fn copy(from: &Path, to: &Path) -> Outcome<()> {
    fs::create_dir_all(to)?;
    for entry in fs::read_dir(from)? {
        let entry = entry?;
        let (here, there) = (entry.path(), to.join(entry.file_name()));
        if entry.file_type()?.is_dir() {
            let wanted = ["art", "masks", "asking", ".foredge"];
            if wanted.iter().any(|name| entry.file_name() == *name) {
                copy(&here, &there)?;
            }
        } else {
            fs::copy(here, there)?;
        }
    }
    Ok(())
}

fn demonstration(folder: &Path) -> Outcome<()> {
    let foredge = std::env::var_os("FOREDGE").ok_or("FOREDGE names the binary to make the book")?;
    eprintln!("bench_deciding: making the demonstration …");
    let status = Command::new(foredge)
        .arg("demo")
        .arg(folder)
        .stdout(Stdio::null())
        .status()?;
    // It finds faults on purpose: 1 is a good end too.
    match status.code() {
        Some(0 | 1) => Ok(()),
        _ => Err("the demonstration could not be made".into()),
    }
}

fn tell(name: &str, begun: Instant) {
    line(name, begun.elapsed().as_secs_f64() * 1e3);
}

fn line(name: &str, value: f64) {
    println!(
        r#"{{"name":"{name}","value":{value:.1},"unit":"ms","against":"{LIMIT} ms","ratio":{:.2}}}"#,
        value / LIMIT
    );
}
