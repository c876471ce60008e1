//! The terms, against the table (its source stands on its first line).

use book::Term;
use price::incoterms::{Payer, Step, arrives, by_ship, freight_paid, payer};

const TABLE: &str = include_str!("../tables/incoterms2020.csv");

#[test]
fn the_terms_divide_as_the_table_does() {
    let mut rows = 0;
    for line in TABLE.lines().skip(2) {
        let cells: Vec<&str> = line.split(',').collect();
        let term = Term::from_code(cells[0]).unwrap();
        assert_eq!(by_ship(term), cells[1] == "sea", "{line}");
        for (step, cell) in Step::ALL.into_iter().zip(&cells[2..14]) {
            let expected = match *cell {
                "S" => Payer::Printer,
                "B" => Payer::Artist,
                "S/B" => Payer::ByContract,
                "-" => Payer::Nobody,
                insured if insured.starts_with("S(") => Payer::Printer,
                other => panic!("{other}"),
            };
            assert_eq!(payer(term, step), expected, "{} {}", cells[0], step.word());
        }
        rows += 1;
    }
    assert_eq!(rows, Term::ALL.len());
}

#[test]
fn only_the_terms_of_arrival_leave_the_risk_with_the_printer() {
    for term in Term::ALL {
        if arrives(term) {
            assert!(freight_paid(term), "{}", term.code());
        }
        if freight_paid(term) {
            assert_eq!(payer(term, Step::MainCarriage), Payer::Printer);
        }
    }
}
