//! Draws the object of a book file, for looking at: `draw BOOK.toml OUT.svg`.

use std::error::Error;
use std::{env, fs};

use book::drawing::Drawing;
use book::object::Object;
use book::plan::{Plan, SheetPlan};

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = env::args().skip(1);
    let (Some(from), Some(to)) = (arguments.next(), arguments.next()) else {
        return Err("draw BOOK.toml OUT.svg".into());
    };
    let book = book::read(&fs::read_to_string(from)?)?;
    let (plan, _) = Plan::lay_out(&book, &|_| None);
    let object = Object::of(&book, &plan);
    let (sheets, findings) = SheetPlan::lay_out_all(&book, &plan, &|_| None);
    for finding in findings {
        println!("{}: {}", finding.code, finding.message);
    }
    fs::write(to, Drawing::whole_of(&book, &object, &sheets).svg())?;
    Ok(())
}
