//! Commands: each takes its arguments to the desk and puts what comes back into words.

mod art;
mod ask;
mod check;
mod colour;
mod dates;
mod edit;
mod finishings;
mod make;
mod measured;
mod object;
mod pages;
mod press;
mod prices;
mod printers;
mod proof;
mod quantity;
mod serve;
mod status;

use std::path::Path;

use desk::{Desk, DeskError};

use crate::arguments::{Arguments, Command, ObjectMake};
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
        Command::Object { make: None } => object::object(&open()?),
        Command::Object {
            make: Some(ObjectMake::Drawing { file }),
        } => object::drawing(&open()?, &file),
        Command::Object {
            make: Some(ObjectMake::Finishings { thicken: None }),
        } => finishings::show(&open()?),
        Command::Object {
            make: Some(ObjectMake::Finishings {
                thicken: Some(name),
            }),
        } => finishings::thicken(&open()?, &name),
        Command::Object {
            make: Some(ObjectMake::Shelf(shelf)),
        } => measured::shelf(&open()?, &shelf),
        Command::Object {
            make: Some(ObjectMake::Dummy(dummy)),
        } => measured::dummy(&open()?, &dummy),
        Command::Object {
            make: Some(ObjectMake::Template(template)),
        } => measured::template(&open()?, &template),
        Command::Set { key, value } => edit::set(&open()?, key, value),
        Command::Say { kind, name, said } => edit::say(&open()?, &kind, &name, &said),
        Command::Unsay { kind, name } => edit::unsay(&open()?, &kind, &name),
        Command::Colour { change: None } => colour::show(&open()?),
        Command::Colour {
            change: Some(change),
        } => colour::change(&open()?, &change),
        Command::Proof { step: None } => proof::show(&open()?),
        Command::Proof { step: Some(step) } => proof::step(&open()?, &step),
        Command::Quantity { copies, step: None } => quantity::show(&open()?, copies),
        Command::Quantity {
            step: Some(step), ..
        } => quantity::step(&open()?, step),
        Command::Dates { step: None } => dates::show(&open()?),
        Command::Dates { step: Some(step) } => dates::step(&open()?, step),
        Command::Printers { step: None } => printers::show(&open()?),
        Command::Printers { step: Some(step) } => printers::step(&open()?, step),
        Command::Ask(ask) => ask::ask(&open()?, &ask),
        Command::Prices { at, step: None } => prices::compared(&open()?, &at),
        Command::Prices {
            step: Some(step), ..
        } => prices::step(&open()?, step),
        Command::Press => press::press(&open()?),
        Command::Check { file } => check::check(book, &file),
        Command::Undo => edit::undo(&open()?),
        Command::Redo => edit::redo(&open()?),
        Command::Serve { port, no_open } => serve::serve(open()?, port, !no_open),
    }
}

/// A name and a value with an equals sign between.
fn pair<'t>(text: &'t str, place: &str, example: &str) -> Result<(&'t str, &'t str), DeskError> {
    text.split_once('=')
        .map(|(name, value)| (name.trim(), value.trim()))
        .ok_or_else(|| {
            DeskError::new(
                place,
                format!("`{text}` has no `=` between a name and a figure"),
                format!("Write it as in `{example}`."),
            )
        })
}
