//! Held against `tables/paper_sizes_iso.csv` (ISO 216, 269 and 217).

use measure::Size;

use crate::table::rows;

const TABLE: &str = include_str!("../tables/paper_sizes_iso.csv");

#[test]
fn every_sheet_of_the_standards_is_known_by_its_name() {
    for row in rows(TABLE) {
        let [name, width, height] = row[..] else {
            panic!("{row:?}");
        };
        let expected = Size::from_mm(width.parse().unwrap(), height.parse().unwrap());
        assert_eq!(name.parse::<Size>().unwrap(), expected, "{name}");
        let turned = Size::from_mm(height.parse().unwrap(), width.parse().unwrap());
        let landscape = format!("{} landscape", name.to_lowercase());
        assert_eq!(landscape.parse::<Size>().unwrap(), turned, "{landscape}");
    }
}

#[test]
fn a_name_outside_the_standards_is_refused() {
    for text in [
        "A11",
        "D4",
        "A",
        "A4 sideways",
        "A4 landscape too",
        "RA5",
        "Ä4",
        "A-1",
        "A+1",
    ] {
        assert!(text.parse::<Size>().is_err(), "{text}");
    }
}
