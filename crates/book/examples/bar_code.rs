//! Prints the modules of bar codes, so that they can be held against another encoder: for each
//! number given, ones for bars and noughts for gaps. A number may have five digits after a `+`.

use std::process::ExitCode;

use book::bar_code::{Isbn, PriceAddOn, ean5, ean13};

fn main() -> ExitCode {
    for text in std::env::args().skip(1) {
        let (number, add_on) = match text.split_once('+') {
            Some((number, add_on)) => (number, Some(add_on)),
            None => (text.as_str(), None),
        };
        let number: Isbn = match number.parse() {
            Ok(number) => number,
            Err(error) => {
                eprintln!("{number}: {error}");
                return ExitCode::from(2);
            }
        };
        let mut line = modules(&ean13(number));
        if let Some(add_on) = add_on {
            let add_on: PriceAddOn = match add_on.parse() {
                Ok(add_on) => add_on,
                Err(error) => {
                    eprintln!("{error}");
                    return ExitCode::from(2);
                }
            };
            line.push(' ');
            line.push_str(&modules(&ean5(add_on)));
        }
        println!("{line}");
    }
    ExitCode::SUCCESS
}

fn modules(modules: &[bool]) -> String {
    modules
        .iter()
        .map(|&bar| if bar { '1' } else { '0' })
        .collect()
}
