//! The binary: arguments, messages and exit codes over the calls of the desk.
//!
//! Results go to stdout; progress and advice to stderr. Exit code 0: fine. 1: done, and something
//! was found that must not go to print as it is. 2: bad usage or input, and nothing was written.

mod arguments;
mod command;
mod outcome;
mod progress;
mod said;

use std::process::ExitCode;

use clap::Parser;

use arguments::Arguments;

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    let json = arguments.json;
    match command::run(arguments) {
        Ok(outcome) => said::outcome(&outcome, json),
        Err(problem) => said::problem(&problem, json),
    }
}
