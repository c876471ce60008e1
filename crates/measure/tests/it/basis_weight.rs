//! Held against `tables/paper_basis_weight.csv`: basis sizes and factors as read in the sources
//! that its first line names.

use measure::Grammage;

use crate::table::rows;

const TABLE: &str = include_str!("../tables/paper_basis_weight.csv");

#[test]
fn every_published_basis_weight_reads_as_its_grammage() {
    for row in rows(TABLE) {
        let [grade, pounds, exact, rounded] = row[..] else {
            panic!("{row:?}");
        };
        // The table names several grades for one basis sheet: `bond/writing/ledger (17x22)`.
        let (grades, _) = grade.split_once(" (").unwrap();
        for grade in grades.split('/') {
            let found: Grammage = format!("{pounds} lb {grade}").parse().unwrap();
            let exact: f64 = exact.parse().unwrap();
            // Held in milligrams, so within half of one.
            assert!(
                (found.gsm() - exact).abs() <= 0.0006,
                "{pounds} lb {grade}: {} against {exact}",
                found.gsm()
            );
            if !rounded.is_empty() {
                assert_eq!(format!("{:.0}", found.gsm()), rounded);
            }
        }
    }
}

#[test]
fn pounds_may_be_written_as_in_the_trade() {
    let expected: Grammage = "100 lb text".parse().unwrap();
    for text in ["100lb text", "100 lbs Text", "100# book", "100 LB OFFSET"] {
        assert_eq!(text.parse::<Grammage>().unwrap(), expected, "{text}");
    }
}
