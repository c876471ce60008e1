//! Bar codes against the published examples of the table.

use book::bar_code::{Isbn, ean5, ean13};
use proptest::prelude::*;

/// Rows of a kind: key and value.
fn rows(kind: &str) -> Vec<(&'static str, &'static str)> {
    include_str!("../tables/barcodes.csv")
        .lines()
        .filter_map(|line| {
            let mut fields = line.splitn(4, ',');
            (fields.next() == Some(kind)).then(|| Some((fields.next()?, fields.next()?)))?
        })
        .collect()
}

fn text(modules: &[bool]) -> String {
    modules
        .iter()
        .map(|bar| if *bar { '1' } else { '0' })
        .collect()
}

#[test]
fn check_digits_are_those_of_the_worked_examples() {
    let rows = rows("isbn13_check");
    assert_eq!(rows.len(), 5);
    for (twelve, check) in rows {
        let right = format!("{twelve}{check}");
        assert!(right.parse::<Isbn>().is_ok(), "{right}");
    }
}

#[test]
fn modules_of_the_main_symbol_are_those_of_the_table() {
    let rows = rows("ean13_modules");
    assert_eq!(rows.len(), 3);
    for (isbn, modules) in rows {
        assert_eq!(text(&ean13(isbn.parse().unwrap())), modules, "{isbn}");
    }
}

#[test]
fn modules_of_the_add_on_are_those_of_the_published_examples() {
    let rows = rows("ean5_example");
    assert_eq!(rows.len(), 4);
    for (digits, modules) in rows {
        // The table counts the space before the first bar.
        let ours = format!("0{}", text(&ean5(digits.parse().unwrap())));
        assert_eq!(ours, modules, "{digits}");
    }
}

proptest! {
    #[test]
    fn any_text_is_a_number_or_refused(text in "[-0-9Xx ]{0,24}|.{0,24}") {
        if let Ok(isbn) = text.parse::<Isbn>() {
            prop_assert_eq!(isbn.to_string().parse::<Isbn>(), Ok(isbn));
            let modules = ean13(isbn);
            prop_assert_eq!(modules.len(), 95);
            // Each symbol has 30 bars: two guards of two, one of two in the middle, twice 12.
            let bars = modules.windows(2).filter(|pair| !pair[0] && pair[1]).count() + 1;
            prop_assert_eq!(bars, 30);
        }
    }
}
