//! Commands: each takes its arguments to the desk and puts what comes back into words.

mod art;
mod check;
mod colour;
mod edit;
mod make;
mod object;
mod pages;
mod press;
mod serve;
mod status;

use std::path::Path;

use desk::{Desk, DeskError};

use crate::arguments::{Arguments, Command};
use crate::outcome::Outcome;

/// Runs what the arguments ask.
pub fn run(arguments: Arguments) -> Result<Outcome, DeskError> {
    let book = arguments.book.as_deref();
    let open = || Desk::open(book.unwrap_or(Path::new(".")));
    match arguments.command {
        Command::New(new) => make::new(&new),
        Command::Demo { dir } => make::demo(&dir),
        Command::Status => status::status(&open()?),
        Command::Art => art::art(&open()?),
        Command::Pages { change: None } => pages::show(&open()?),
        Command::Pages {
            change: Some(change),
        } => edit::pages(&open()?, change),
        Command::Object => object::object(&open()?),
        Command::Set { key, value } => edit::set(&open()?, key, value),
        Command::Colour { change: None } => colour::show(&open()?),
        Command::Colour {
            change: Some(change),
        } => colour::change(&open()?, &change),
        Command::Press => press::press(&open()?),
        Command::Check { file } => check::check(book, &file),
        Command::Undo => edit::undo(&open()?),
        Command::Redo => edit::redo(&open()?),
        Command::Serve { port, no_open } => serve::serve(open()?, port, !no_open),
    }
}
