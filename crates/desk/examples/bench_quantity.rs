//! How long a person waits while a quantity is moved, as one JSON object a line: `name`, `value`, `unit`,
//! `against`, `ratio`.
//!
//! The book is the demonstration's, made by the binary named by `FOREDGE`, or the one in the folder that
//! is given: three answers, a calendar, audiences, channels and plans. Each figure is held against the
//! 50 ms in which nobody feels a wait.
//!
//! `bench_quantity [FOLDER]`. Run in release, on a machine that does nothing else.

use std::error::Error;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode, Stdio};
use std::time::Instant;

use desk::Desk;

/// The wait that nobody feels, in milliseconds.
const LIMIT: f64 = 50.0;
/// Quantities through which the slider is moved.
const MOVES: u64 = 60;

type Outcome<T> = Result<T, Box<dyn Error>>;

fn main() -> ExitCode {
    match run() {
        Ok(()) => ExitCode::SUCCESS,
        Err(problem) => {
            eprintln!("bench_quantity: {problem}");
            ExitCode::from(2)
        }
    }
}

fn run() -> Outcome<()> {
    let scratch = tempfile::Builder::new()
        .prefix("foredge-bench-")
        .tempdir()?;
    let folder = match std::env::args().nth(1) {
        Some(folder) => PathBuf::from(folder),
        None => {
            let folder = scratch.path().join("book");
            demonstration(&folder)?;
            folder
        }
    };
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
    Ok(())
}

fn demonstration(folder: &Path) -> Outcome<()> {
    let foredge = std::env::var_os("FOREDGE").ok_or("FOREDGE names the binary to make the book")?;
    eprintln!("bench_quantity: making the demonstration …");
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
