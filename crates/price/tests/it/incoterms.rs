//! The terms, against the table (its source stands on its first line).

use book::{Landing, Term, TermWish};
use price::incoterms::{Division, Payer, Step, arrives, by_ship, freight_paid, payer};

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

#[test]
fn where_the_book_says_nothing_the_usual_reading_holds() {
    let landing = Landing::default();
    for term in Term::ALL {
        let division = Division::of(term, &landing);
        for step in Step::ALL {
            assert_eq!(division.payer(step), payer(term, step));
        }
        assert_eq!(
            division.freight_paid(),
            freight_paid(term),
            "{}",
            term.code()
        );
        assert!(
            division
                .left_to_artist(false)
                .contains("check the contract")
        );
    }
}

#[test]
fn what_the_contract_says_goes_before_the_usual_reading_and_is_named() {
    let mut landing = Landing::default();
    landing.terms.push(TermWish {
        term: Term::Fob,
        payers: vec![
            (Step::MainCarriage, Payer::Printer),
            (Step::ToDestination, Payer::Printer),
            (Step::Export, Payer::Artist),
        ],
        by: "the contract of May".to_owned(),
        line: 1,
    });
    let fob = Division::of(Term::Fob, &landing);
    assert!(fob.freight_paid() && !freight_paid(Term::Fob));
    assert_eq!(fob.payer(Step::Packing), Payer::Printer);
    let sentence = fob.left_to_artist(false);
    assert!(
        sentence
            .starts_with("FOB leaves to you: export clearance, terminal here, unloading, import"),
        "{sentence}"
    );
    assert!(
        sentence
            .contains("carriage to the destination, export clearance as the contract of May says"),
        "{sentence}"
    );
    assert!(!Division::of(Term::Cfr, &landing).freight_paid());
}
