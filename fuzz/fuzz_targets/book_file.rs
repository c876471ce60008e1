//! Any text is read as a book file or refused in words; a book that is read can be laid out.
#![no_main]

use book::plan::{CoverPlan, Plan};
use libfuzzer_sys::fuzz_target;
use measure::PixelSize;

fuzz_target!(|text: &str| {
    match book::read(text) {
        Ok(book) => {
            let size = |_: &str| {
                Some(PixelSize {
                    width: 3024,
                    height: 3614,
                })
            };
            let (plan, _) = Plan::lay_out(&book, &size);
            let _ = CoverPlan::lay_out(&book, &plan, &size);
            let _ = book::object::Object::of(&book, &plan);
        }
        Err(errors) => {
            for error in errors.0 {
                assert!(!error.to_string().is_empty(), "an error says something");
                let _ = error.hint();
            }
        }
    }
});
