//! The sheet that a printer fills in: written, filled and spoiled part by part, and read back.

use std::fmt::Write as _;
use std::io::{Cursor, Read, Write};

use measure::Currency;
use price::answer::DraftFreight;
use price::sheet::{self, Sheet, SheetError};
use proptest::prelude::*;
use zip::write::SimpleFileOptions;
use zip::{ZipArchive, ZipWriter};

use crate::request::request;

const PAGE: &str = "xl/worksheets/sheet1.xml";

fn parts(bytes: &[u8]) -> Vec<(String, Vec<u8>)> {
    let mut zip = ZipArchive::new(Cursor::new(bytes)).unwrap();
    (0..zip.len())
        .map(|index| {
            let mut part = zip.by_index(index).unwrap();
            let mut bytes = Vec::new();
            part.read_to_end(&mut bytes).unwrap();
            (part.name().unwrap().into_owned(), bytes)
        })
        .collect()
}

fn packed(parts: &[(String, Vec<u8>)]) -> Vec<u8> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in parts {
        zip.start_file(name.as_str(), SimpleFileOptions::default())
            .unwrap();
        zip.write_all(bytes).unwrap();
    }
    zip.finish().unwrap().into_inner()
}

/// The written sheet with a part changed.
fn changed(part: &str, change: impl Fn(String) -> String) -> Vec<u8> {
    let mut parts = parts(&sheet::write(&request()).unwrap());
    let found = parts.iter_mut().find(|(name, _)| name == part).unwrap();
    found.1 = change(String::from_utf8(std::mem::take(&mut found.1)).unwrap()).into_bytes();
    packed(&parts)
}

/// The page with cells filled in: what stands inside of `<c>`, with attributes before it.
fn filled_page(page: String, cells: &[(&str, &str)]) -> String {
    let mut page = page;
    for (place, inner) in cells {
        let start = page
            .find(&format!("<c r=\"{place}\""))
            .unwrap_or_else(|| panic!("the sheet has a cell {place}"));
        let end = start + page[start..].find("/>").unwrap();
        let kind = if inner.starts_with("<is>") {
            " t=\"inlineStr\""
        } else {
            ""
        };
        page.replace_range(end..end + 2, &format!("{kind}>{inner}</c>"));
    }
    page
}

fn filled(cells: &[(&str, &str)]) -> Vec<u8> {
    changed(PAGE, |page| filled_page(page, cells))
}

fn text(words: &str) -> String {
    format!("<is><t>{words}</t></is>")
}

/// Where the sheet of the request asks for things: rows by the words in them.
const GOOD: [(&str, &str); 10] = [
    ("B9", "<is><t>EUR</t></is>"),
    ("B11", "<v>6820</v>"),
    ("C11", "<v>7882.5</v>"),
    ("D12", "<v>8.4525000000000006</v>"),
    ("B13", "<v>310</v>"),
    ("B16", "<v>640</v>"),
    ("B25", "<is><t>DAP Port Ellery</t></is>"),
    ("B27", "<v>25</v>"),
    ("B28", "<v>46418</v>"),
    ("B29", "<v>0.05</v>"),
];

fn read(bytes: &[u8]) -> Sheet {
    sheet::read("answer.xlsx", bytes).unwrap_or_else(|error| panic!("{error}"))
}

fn told(sheet: &Sheet) -> Vec<String> {
    sheet
        .doubts
        .iter()
        .map(|one| {
            let doubt = &one.doubt;
            format!(
                "{} | {} | {} | {}",
                doubt.cell,
                doubt.found,
                doubt.why,
                doubt.taken.as_deref().unwrap_or("left out")
            )
        })
        .collect()
}

#[test]
fn the_same_request_gives_the_same_bytes() {
    assert_eq!(sheet::write(&request()), sheet::write(&request()));
}

#[test]
fn a_filled_sheet_is_read_without_a_doubt() {
    let sheet = read(&filled(&GOOD));
    assert_eq!(told(&sheet), Vec::<String>::new());
    assert_eq!(sheet.reference.as_deref(), Some("cell B5"));
    assert_eq!(sheet.specification.as_deref(), Some("cell B7"));
    let draft = &sheet.draft;
    assert_eq!(draft.request, Some(3));
    assert_eq!(draft.digest.as_deref(), Some("1a2b3c4d5e6f"));
    assert_eq!(draft.valid_until, Some(jiff::civil::date(2027, 1, 31)));
    let mut draft = draft.clone();
    draft.printer = Some("quay".to_owned());
    let answer = draft.answer().unwrap();
    let totals: Vec<(u64, i64)> = answer
        .prices
        .iter()
        .map(|price| (price.copies, price.total().unwrap().minor()))
        .collect();
    assert_eq!(totals, [(550, 682_000), (800, 788_250), (1050, 887_513)]);
    assert_eq!(answer.currency, Currency::EUR);
    assert_eq!(answer.one_offs.len(), 1);
    assert_eq!(answer.one_offs[0].cost.minor(), 64_000);
    assert_eq!(answer.term_place, "Port Ellery");
    assert_eq!(answer.lead.unwrap().working_days, 25);
    assert_eq!(answer.overs.unwrap().to_string(), "0.05");
}

#[test]
fn what_is_not_as_it_was_asked_is_told_with_its_cell() {
    for (cell, inner, expected) in [
        (
            "B12",
            text("approx. 9"),
            "cell B12 | approx. 9 | this is text, and a number was expected; `approx.` says that it is no exact amount | 9",
        ),
        (
            "B12",
            text("1.234,50"),
            "cell B12 | 1.234,50 | this is text, and a number was expected | 1234.5",
        ),
        (
            "D11",
            text("9.240"),
            "cell D11 | 9.240 | this is text, and a number was expected; this may mean 9240 or 9.24 | 9240",
        ),
        (
            "D11",
            text("USD 9100"),
            "cell D11 | USD 9100 | this is text, and a number was expected; this is in USD, and EUR was said before | left out",
        ),
        (
            "D11",
            "<f>C11*1.2</f><v>9459</v>".to_owned(),
            "cell D11 | =C11*1.2 | this is a formula; it is not reckoned here, and its stored value is taken | 9459",
        ),
        (
            "D11",
            "<f>C11*1.2</f>".to_owned(),
            "cell D11 | =C11*1.2 | this is a formula; it is not reckoned here, and its stored value is taken; the formula has no stored value | left out",
        ),
        (
            "D11",
            "<v>-5</v>".to_owned(),
            "cell D11 | -5 | this is below zero, and no price is | left out",
        ),
        (
            "D11",
            "<v>9240.333</v>".to_owned(),
            "cell D11 | 9240.333 | this is finer than the smallest unit of EUR, and is rounded to it | 9240.33",
        ),
        (
            "C12",
            "<v>11</v>".to_owned(),
            "cell C12 | 11 | 800 times this is not the price of all copies, 7882.5 | 7882.5 for all copies",
        ),
        (
            "B29",
            text("two"),
            "cell B29 | two | a share is written as 5% | left out",
        ),
        (
            "B32",
            text("next week"),
            "cell B32 | next week | a day is written as 2026-11-25 | left out",
        ),
    ] {
        let mut cells: Vec<(&str, &str)> = GOOD.to_vec();
        cells.retain(|(place, _)| *place != cell);
        cells.push((cell, &inner));
        // The price of one of 1050 copies makes way for one of all.
        if cell == "D11" || cell == "B12" {
            cells.retain(|(place, _)| *place != "D12" && (cell != "B12" || *place != "B11"));
        }
        assert_eq!(told(&read(&filled(&cells))), [expected], "{cell}");
    }
}

#[test]
fn merged_cells_and_macros_are_told() {
    let merged = changed(PAGE, |page| {
        filled_page(page, &GOOD).replace(
            "</sheetData>",
            "</sheetData><mergeCells count=\"1\"><mergeCell ref=\"B11:D11\"/></mergeCells>",
        )
    });
    assert_eq!(
        told(&read(&merged))[0],
        "cell B11 | 6820 | cells B11 to D11 are merged, and this value is taken for this cell alone | 6820"
    );
    let mut with_macro = parts(&filled(&GOOD));
    with_macro.push(("xl/vbaProject.bin".to_owned(), b"Sub".to_vec()));
    let sheet = read(&packed(&with_macro));
    assert_eq!(sheet.doubts.len(), 1);
    assert!(sheet.doubts[0].doubt.why.contains("never run"));
}

#[test]
fn columns_that_were_moved_are_found_by_their_words() {
    // What stood in B to D stands in C to E, and the names of the cells stay behind.
    let moved = changed(PAGE, |page| {
        let mut page = filled_page(page, &GOOD);
        for (from, to) in [("E", "F"), ("D", "E"), ("C", "D"), ("B", "C")] {
            for row in 5..=32 {
                page = page.replace(
                    &format!("<c r=\"{from}{row}\""),
                    &format!("<c r=\"{to}{row}\""),
                );
            }
        }
        page
    });
    let sheet = read(&moved);
    assert_eq!(sheet.draft.prices, read(&filled(&GOOD)).draft.prices);
    let told = told(&sheet);
    assert!(
        told.iter()
            .any(|one| one.starts_with("cell E11 | 7882.5 |")
                || one.starts_with("cell D11 | 7882.5 |")),
        "{told:?}"
    );
    assert!(
        told.iter()
            .any(|one| one.contains("asked in cell B9") && one.starts_with("cell C9 | EUR")),
        "{told:?}"
    );
}

#[test]
fn a_table_is_read_by_whatever_parts_it() {
    let rows = [
        vec!["Reference", "R3-quay-1a2b3c"],
        vec!["Specification", "1a2b3c4d5e6f"],
        vec!["Currency of all prices", "€"],
        vec!["Number of copies", "550", "800"],
        vec![
            "Price of all copies, printed, bound and packed",
            "6.820,00",
            "7 882,50",
        ],
        vec!["Freight to all places of delivery", "included"],
        vec!["Prices hold until", "31.1.2027"],
    ];
    for sign in [';', ',', '\t'] {
        for latin in [false, true] {
            let mut table = String::from("Prices\r\n\r\n");
            for row in &rows {
                let row: Vec<String> = row.iter().map(|cell| format!("\"{cell}\"")).collect();
                write!(table, "{}\r\n", row.join(&sign.to_string())).unwrap();
            }
            let bytes = if latin {
                table
                    .replace('€', "\u{80}")
                    .chars()
                    .map(|c| c as u8)
                    .collect()
            } else {
                format!("\u{feff}{table}").into_bytes()
            };
            let sheet = sheet::read("answer.csv", &bytes).unwrap();
            assert_eq!(told(&sheet), Vec::<String>::new());
            assert_eq!(sheet.reference.as_deref(), Some("cell B3"));
            assert_eq!(sheet.draft.currency, Some(Currency::EUR));
            let amounts: Vec<String> = sheet
                .draft
                .prices
                .iter()
                .map(|price| price.amount.to_string())
                .collect();
            assert_eq!(amounts, ["6820", "7882.5"]);
            assert_eq!(sheet.draft.freight, DraftFreight::Included);
        }
    }
}

#[test]
fn what_is_no_sheet_of_ours_is_refused_in_words() {
    let zeros = vec![0_u8; 30 << 20];
    let mut bomb = parts(&filled(&GOOD));
    bomb.push(("xl/media/picture.bin".to_owned(), zeros));
    assert!(matches!(
        sheet::read("a.xlsx", &packed(&bomb)),
        Err(SheetError::TooLarge { .. })
    ));
    // A text that says it is larger than it is, and cells at the far end of the page, cost nothing.
    let far = changed(PAGE, |page| {
        filled_page(page, &GOOD).replace(
            "</sheetData>",
            "<row r=\"1048576\"><c r=\"XFD1048576\"><v>1</v></c></row></sheetData>",
        )
    });
    assert_eq!(read(&far).draft, read(&filled(&GOOD)).draft);
    let claims = changed("xl/sharedStrings.xml", |text| {
        text.replacen("uniqueCount=\"", "uniqueCount=\"99999999999", 1)
    });
    assert!(sheet::read("a.xlsx", &claims).is_ok());
    for (name, bytes, expected) in [
        ("a.xlsx", b"PK\x03\x04 nothing".to_vec(), "no workbook"),
        ("a.xlsx", b"\xd0\xcf\x11\xe0 older".to_vec(), "password"),
        ("a.ods", b"PK".to_vec(), "not read"),
        ("a.csv", b"a;b\nc;d\n".to_vec(), "none of the words"),
        ("a.csv", vec![0; 100], "none of the words"),
    ] {
        let error = sheet::read(name, &bytes).unwrap_err();
        assert!(error.to_string().contains(expected), "{error}");
        assert!(!error.hint().is_empty());
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn a_spoiled_file_is_read_or_refused(at in any::<prop::sample::Index>(), byte in any::<u8>(), cut in any::<prop::sample::Index>(), cuts in any::<bool>()) {
        let mut bytes = filled(&GOOD);
        let at = at.index(bytes.len());
        bytes[at] = byte;
        if cuts {
            bytes.truncate(cut.index(bytes.len()));
        }
        let _ = sheet::read("a.xlsx", &bytes);
    }

    #[test]
    fn spoiled_parts_are_read_or_refused(part in any::<prop::sample::Index>(), at in any::<prop::sample::Index>(), with in ".{0,12}", gone in 0_usize..40) {
        let mut parts = parts(&filled(&GOOD));
        let part = part.index(parts.len());
        let bytes = &mut parts[part].1;
        let from = at.index(bytes.len() + 1);
        let to = (from + gone).min(bytes.len());
        bytes.splice(from..to, with.into_bytes());
        if let Ok(sheet) = sheet::read("a.xlsx", &packed(&parts)) {
            for one in sheet.doubts {
                prop_assert!(!one.doubt.why.is_empty());
                prop_assert!(one.doubt.cell.starts_with("cell "));
            }
        }
    }

    #[test]
    fn any_words_in_a_cell_are_read(words in "[^<>&\\x00-\\x1f]{0,20}", column in 0_usize..3, row in 9_u32..=33) {
        let cell = format!("{}{row}", ["B", "C", "D"][column]);
        let written = String::from_utf8(parts(&sheet::write(&request()).unwrap()).into_iter().find(|(name, _)| name == PAGE).unwrap().1).unwrap();
        prop_assume!(written.contains(&format!("<c r=\"{cell}\" ")) && row != 10);
        let sheet = read(&filled(&[(cell.as_str(), text(&words).as_str())]));
        for one in &sheet.doubts {
            prop_assert!(!one.doubt.why.is_empty());
        }
        let _ = sheet.draft.answer();
    }

    #[test]
    fn any_table_is_read_or_refused(text in "(Reference|Currency of all prices|Number of copies|Prices hold until|Charged once, whatever the quantity|[0-9.,;\t\"\r\n €]{0,6}|.){0,60}") {
        let _ = sheet::read("a.csv", text.as_bytes());
    }
}
