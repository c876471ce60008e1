//! Measurement files, good and bad.

use proof::cgats::{Cgats, Row, read, write};
use proof::{Mark, ProofError};
use proptest::prelude::*;

fn file(format: &str, rows: &str) -> String {
    let fields = format.split_whitespace().count();
    let sets = rows.lines().count();
    format!(
        "CGATS.17\nORIGINATOR \"an instrument\"\nNUMBER_OF_FIELDS {fields}\nBEGIN_DATA_FORMAT\n\
         {format}\nEND_DATA_FORMAT\nNUMBER_OF_SETS {sets}\nBEGIN_DATA\n{rows}\nEND_DATA\n"
    )
}

fn refusal(text: &str) -> String {
    read(text).expect_err("refused").to_string()
}

#[test]
fn lab_is_read_with_names_and_inks() {
    let text = file(
        "SAMPLE_ID CMYK_C CMYK_M CMYK_Y CMYK_K LAB_L LAB_A LAB_B",
        "A1 0 0 0 0 95.00 0.00 -2.00\n\"A 2\" 0 100 0 0 48.00 74.00 -3.00 # magenta",
    );
    let cgats = read(&text).unwrap();
    assert_eq!(cgats.rows.len(), 2);
    let row = &cgats.rows[1];
    assert_eq!((row.line, row.id.as_deref()), (10, Some("A 2")));
    assert_eq!(row.ink, Some([0.0, 100.0, 0.0, 0.0]));
    assert_eq!((row.lab.l, row.lab.a, row.lab.b), (48.0, 74.0, -3.0));
    assert_eq!(cgats.keyword("originator"), Some("an instrument"));
    assert!(!cgats.decimal_comma);
}

#[test]
fn xyz_gives_the_lab_that_the_set_states_beside_it() {
    // Patch 9 of FOGRA39L (Debian icc-profiles-free): XYZ and Lab as its authors wrote both.
    let text = file(
        "SAMPLE_ID XYZ_X XYZ_Y XYZ_Z",
        "9 33.03 16.79 15.01\n10 75.23 79.55 73.29",
    );
    let cgats = read(&text).unwrap();
    for (row, [l, a, b]) in cgats
        .rows
        .iter()
        .zip([[48.0, 74.0, -3.0], [91.48, -2.97, -6.96]])
    {
        assert!((row.lab.l - l).abs() < 0.02, "{row:?}");
        assert!((row.lab.a - a).abs() < 0.05, "{row:?}");
        assert!((row.lab.b - b).abs() < 0.05, "{row:?}");
    }
}

#[test]
fn windows_lines_tabs_and_a_byte_order_mark_make_no_difference() {
    let plain = file(
        "SAMPLE_ID LAB_L LAB_A LAB_B",
        "A1 95.0 0.0 -2.0\nA2 50.0 1.0 2.0",
    );
    let odd = format!("\u{feff}{}", plain.replace('\n', "\r\n").replace(' ', "\t"));
    assert_eq!(read(&odd).unwrap().rows, read(&plain).unwrap().rows);
}

#[test]
fn a_decimal_comma_is_read_and_said() {
    let text = file(
        "SAMPLE_ID LAB_L LAB_A LAB_B",
        "A1 95,00 0,10 -2,50\nA2 50 1,0 2,0",
    );
    let cgats = read(&text).unwrap();
    assert!(cgats.decimal_comma);
    assert_eq!(cgats.rows[0].lab.b, -2.5);
}

#[test]
fn a_mix_of_comma_and_point_is_refused_with_its_line() {
    let text = file(
        "SAMPLE_ID LAB_L LAB_A LAB_B",
        "A1 95.00 0.10 -2.50\nA2 50,5 1,0 2,0",
    );
    assert_eq!(
        refusal(&text),
        "line 10: decimals are written with a comma on line 10 and with a point on line 9; write \
         them one way"
    );
}

#[test]
fn values_parted_by_commas_are_refused() {
    let text = file("SAMPLE_ID LAB_L LAB_A LAB_B", "A1,95.00,0.10,-2.50");
    assert_eq!(
        refusal(&text),
        "line 9: expected 4 values, one a column, but found 1; values must be parted by spaces or \
         tabs"
    );
}

#[test]
fn broken_files_say_what_and_where() {
    let lab = "SAMPLE_ID LAB_L LAB_A LAB_B";
    let good = file(lab, "A1 95 0 -2\nA2 50 1 2");
    for (text, wanted) in [
        (
            String::new(),
            "not a measurement that can be used: expected CGATS text with a line \
             BEGIN_DATA_FORMAT, but there is none",
        ),
        (
            good.replace("A2 50 1 2\n", ""),
            "line 7: NUMBER_OF_SETS says 2, but 1 lines of data are there",
        ),
        (
            good.replace("A2 50 1 2", "A2 50 1"),
            "line 10: expected 4 values, one a column, but found 3",
        ),
        (
            good.replace("A2 50 1 2", "A2 50 one 2"),
            "line 10: expected a number for LAB_A, but found `one`",
        ),
        (
            good.replace("A2 50 1 2", "A2 50 NaN 2"),
            "line 10: expected a number for LAB_A, but found `NaN`",
        ),
        (
            good.replace("A2 50 1 2", "A2 50 1e9 2"),
            "line 10: no printed colour is L* 50.0, a* 1000000000.0, b* 2.0",
        ),
        (
            good.replace("NUMBER_OF_FIELDS 4", "NUMBER_OF_FIELDS 5"),
            "line 3: NUMBER_OF_FIELDS says 5, but 4 columns are named",
        ),
        (
            good.replace("END_DATA\n", ""),
            "not a measurement that can be used: END_DATA is missing; the file was probably cut",
        ),
        (
            good.replace("LAB_A", "LAB_L"),
            "line 5: the column `LAB_L` is named twice",
        ),
        (
            good.replace("LAB_B", "LAB_C"),
            "line 6: expected the columns LAB_L, LAB_A and LAB_B, but found only LAB_L and LAB_A",
        ),
        (
            format!("{good}{good}"),
            "line 15: a second table begins; expected one table with the strip alone",
        ),
        (
            good.replace("ORIGINATOR", "ILLUMINANT \"D65\"\nORIGINATOR"),
            "line 2: expected colours under D50, but these are under D65",
        ),
        (
            file("SAMPLE_ID XYZ_X XYZ_Y XYZ_Z", "A1 0.84 0.88 0.74"),
            "not a measurement that can be used: XYZ should run to about 100, but Y is 0.880 at \
             most",
        ),
        (
            file("SAMPLE_ID NM380 NM390", "A1 0.84 0.88"),
            "line 6: expected the columns LAB_L, LAB_A, LAB_B or XYZ_X, XYZ_Y, XYZ_Z, but found \
             neither; it holds spectra: save the measurement with Lab, D50 and 2°",
        ),
    ] {
        assert_eq!(refusal(&text), wanted);
    }
}

#[test]
fn a_mark_goes_there_and_back_and_nothing_else_passes_for_one() {
    for mark in [
        Mark {
            page: Some(12),
            file: "0a1b2c3d".into(),
            version: 3,
        },
        Mark {
            page: None,
            file: "ffffffff".into(),
            version: 1,
        },
    ] {
        assert_eq!(Mark::parse(&mark.text()), Ok(mark));
    }
    for text in [
        "",
        "FOREDGE/1/12/0A1B2C3D",
        "FOREDGE/2/12/0A1B2C3D/3",
        "FOREDGE/1/0/0A1B2C3D/3",
        "FOREDGE/1/+1/0A1B2C3D/3",
        "FOREDGE/1/12/0A1B2C3/3",
        "FOREDGE/1/12/0A1B2C3G/3",
        "FOREDGE/1/12/0A1B2C3D/3/4",
        "https://somewhere/1/12/0A1B2C3D/3",
    ] {
        let refused = Mark::parse(text);
        assert!(matches!(refused, Err(ProofError::Mark(_))), "{text}");
    }
}

fn row() -> impl Strategy<Value = Row> {
    (
        "[A-Z]{1,2}[1-9][0-9]?",
        "[ -!#-~]{1,12}",
        prop::array::uniform4(0_u32..100_000),
        (0_i32..100_000, -120_000_i32..120_000, -120_000_i32..120_000),
    )
        .prop_map(|(id, name, ink, (l, a, b))| Row {
            line: 0,
            id: Some(id),
            name: Some(name),
            ink: Some(ink.map(|value| f64::from(value) / 1000.0)),
            lab: colour::Lab {
                l: f64::from(l) / 1000.0,
                a: f64::from(a) / 1000.0,
                b: f64::from(b) / 1000.0,
            },
        })
}

proptest! {
    #[test]
    fn what_is_written_is_read_back(rows in prop::collection::vec(row(), 1..40)) {
        let cgats = Cgats {
            keywords: vec![("FOREDGE_MARK".into(), "FOREDGE/1/-/0A1B2C3D/3".into())],
            rows,
            decimal_comma: false,
        };
        let mut back = read(&write(&cgats)).unwrap();
        prop_assert_eq!(back.mark().unwrap().map(|mark| mark.version), Some(3));
        for row in &mut back.rows {
            row.line = 0;
        }
        prop_assert_eq!(back, cgats);
    }

    #[test]
    fn no_text_makes_it_panic(text in "(\\PC|\n|\t|\"|#){0,200}") {
        let _ = read(&text);
    }

    #[test]
    fn no_damage_makes_it_panic(
        cuts in prop::collection::vec((0_usize..400, "[ -~\n\"#,]{0,4}"), 1..6)
    ) {
        let mut text = file(
            "SAMPLE_ID CMYK_C CMYK_M CMYK_Y CMYK_K LAB_L LAB_A LAB_B",
            "A1 0 0 0 0 95.00 0.00 -2.00\nA2 0 100 0 0 48.00 74.00 -3.00",
        );
        for (at, put) in cuts {
            let at = at % (text.len() + 1);
            let end = (at + 3).min(text.len());
            text.replace_range(at..end, &put);
        }
        let _ = read(&text);
    }
}
