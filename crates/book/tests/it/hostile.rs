//! Files that mean harm, or are harmed: an error at most, never a panic.

use std::fs;
use std::path::Path;

use book::drawing::Drawing;
use book::object::Object;
use book::plan::{Plan, SheetPlan};
use book::read;
use proptest::prelude::*;

use crate::builder::{any_book, pixels};

/// Reads, and if that goes well does all that is done with a book.
fn whole_way(text: &str) {
    if let Ok(book) = read(text) {
        let (plan, _) = Plan::lay_out(&book, &|_| Some(pixels(u32::MAX, 1)));
        for picture in [pixels(1, u32::MAX), pixels(u32::MAX, 1)] {
            let _ = SheetPlan::lay_out_all(&book, &plan, &|_| Some(picture));
        }
        let object = Object::of(&book, &plan);
        let drawing = Drawing::whole(&book, &object).svg();
        assert!(!drawing.contains("NaN") && !drawing.contains("inf"));
    }
}

#[test]
fn every_kept_nasty_file_is_refused_in_words() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/nasty");
    let mut count = 0;
    for file in fs::read_dir(folder).unwrap() {
        let path = file.unwrap().path();
        let bytes = fs::read(&path).unwrap();
        let text = String::from_utf8_lossy(&bytes);
        let errors = read(&text).expect_err(&path.display().to_string());
        let shown = errors.to_string();
        assert!(!errors.0.is_empty() && !shown.is_empty());
        // A message shows a piece of what it complains of, never all of it.
        assert!(
            shown.len() < 20_000,
            "{}: {} bytes",
            path.display(),
            shown.len()
        );
        count += 1;
    }
    assert!(count >= 8, "only {count} nasty files were found");
}

#[test]
fn endless_nesting_and_endless_files_are_refused() {
    for text in [
        format!("a = {}", "[".repeat(200_000)),
        format!("a = {}", "{a=".repeat(100_000)),
        format!("{}b = 1", "a.".repeat(200_000)),
        format!("[{}b]", "a.".repeat(200_000)),
        format!("# {}", "x".repeat(5 << 20)),
        format!("[book]\ntitle = \"{}\"", "x".repeat(1 << 20)),
        "[[page]]\n".repeat(50_000),
    ] {
        assert!(read(&text).is_err());
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn no_text_makes_a_panic(text in "\\PC{0,400}") {
        whole_way(&text);
    }

    #[test]
    fn no_toml_makes_a_panic(
        lines in prop::collection::vec(
            ("(\\[\\[(page|piece|finishing)\\]\\]|\\[paper(\\.learned)?\\]|\\[(book|format|binding|stock|stock\\.text|press|cover|case|\
              endpapers|jacket|flaps|band|slipcase|barcode)\\]|\
              (title|trim|bleed|kind|signature|grammage|bulk|caliper|name|treatment|art|left|right|\
              focus|margin|words|page|ground|spine|square|hinge|flap|wanted|height|isbn|panel|on|mask|\
              process|price|magnification|front|back|spine_words|ink|x)(\\.y)?)",
             "( = (\"[-0-9. a-z%/]{0,12}\"|[-0-9.e]{1,8}|true|\\[\\]|\\{\\}|'''\n|1979-05-27))?"),
            0..40,
        ),
    ) {
        let text: String = lines
            .iter()
            .map(|(key, value)| {
                if key.starts_with('[') { format!("{key}\n") } else { format!("{key}{value}\n") }
            })
            .collect();
        whole_way(&text);
    }

    #[test]
    fn a_damaged_book_makes_no_panic(
        book in any_book(12), at in any::<prop::sample::Index>(), length in 0_usize..40,
        put in "\\PC{0,12}",
    ) {
        let text = book.text();
        let mut at = at.index(text.len());
        while !text.is_char_boundary(at) { at -= 1; }
        let mut end = (at + length).min(text.len());
        while !text.is_char_boundary(end) { end -= 1; }
        whole_way(&format!("{}{put}{}", &text[..at], &text[end.max(at)..]));
    }

    #[test]
    fn every_error_says_what_and_what_to_do(
        book in any_book(6), at in any::<prop::sample::Index>(),
    ) {
        // One letter taken out, anywhere.
        let mut text = book.text();
        text.remove(at.index(text.len()));
        if let Err(errors) = read(&text) {
            for error in &errors.0 {
                prop_assert!(!error.to_string().is_empty());
                prop_assert!(!error.hint().is_empty(), "{}", error);
                let lines = text.lines().count() as u32 + 1;
                prop_assert!(error.line.is_none_or(|line| (1..=lines).contains(&line)));
            }
        }
    }
}
