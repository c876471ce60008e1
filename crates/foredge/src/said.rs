//! What is printed, and the exit code that goes with it.

use std::io::Write;
use std::process::ExitCode;

use desk::DeskError;
use serde_json::{Value, json};

use crate::outcome::Outcome;

/// Done, and something must not go to print.
const FOUND: u8 = 1;
/// Bad usage or input.
const REFUSED: u8 = 2;

/// Prints a result.
pub fn outcome(outcome: &Outcome, json: bool) -> ExitCode {
    if json {
        print_json(&outcome.json);
    } else {
        print(&outcome.text);
        if !outcome.advice.is_empty() {
            advise(&format!("\n{}", outcome.advice));
        }
    }
    if outcome.stop {
        ExitCode::from(FOUND)
    } else {
        ExitCode::SUCCESS
    }
}

/// Prints what stopped a command: the problem, then what to do.
pub fn problem(problem: &DeskError, json: bool) -> ExitCode {
    if json {
        print_json(&json!({
            "error": {
                "place": problem.place,
                "problem": problem.problem,
                "hint": problem.hint,
                "stopped": problem.stopped,
            }
        }));
    }
    let mut text = format!("foredge: {problem}");
    if !problem.hint.is_empty() {
        text.push_str("\n\n");
        for line in problem.hint.lines() {
            text.push_str(&format!("  {line}\n"));
        }
    }
    advise(text.trim_end());
    ExitCode::from(REFUSED)
}

fn print_json(document: &Value) {
    let text = serde_json::to_string_pretty(document)
        .unwrap_or_else(|_| "{\"error\": \"the result could not be written\"}".to_owned());
    print(&text);
}

/// Prints a line on stdout. A reader that has gone away (`| head`) is no error.
fn print(text: &str) {
    if !text.is_empty() {
        let _ = writeln!(std::io::stdout(), "{text}");
    }
}

fn advise(text: &str) {
    let _ = writeln!(std::io::stderr(), "{text}");
}
