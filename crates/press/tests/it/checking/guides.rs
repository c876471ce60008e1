//! Templates read for their boxes and straight lines.

use std::time::{Duration, Instant};

use press::{GuidesError, guide_pages, guides};
use proptest::prelude::*;

use super::build::{Pdf, SHEET, TRIM};

fn millimetres(points: f64) -> f64 {
    points * 25.4 / 72.0
}

/// Where the upright (or the level) lines stand, in millimetres to the hundredth.
fn at(pdf: &[u8], upright: bool) -> Vec<f64> {
    guides(pdf, 1)
        .unwrap()
        .lines
        .iter()
        .filter(|line| line.upright == upright)
        .map(|line| (line.at.mm() * 100.0).round() / 100.0)
        .collect()
}

#[test]
fn boxes_and_lines_come_in_millimetres_from_the_upper_left() {
    // Stroked, dashed, a thin bar, a box's edges; in a form; askew ones and short ones are none.
    let mut pdf = Pdf::page(
        "28.3464567 0 0 28.3464567 0 0 cm 0.01 w 1 0 m 1 8 l S [0.3 0.2] 0 d 2 0 m 2 8 l S \
         2.99 0 0.02 8 re f 4 1 2 5 re S 7 0 m 7.5 8 l S 0.05 0 m 0.05 0.1 l S /A Do",
        "/XObject << /A 8 0 R >>",
    );
    pdf.stream(
        8,
        "/Type /XObject /Subtype /Form /BBox [0 0 9 9] /Matrix [1 0 0 1 1 0]",
        b"7 0 m 7 8 l S",
    );
    let bytes = pdf.bytes();
    assert_eq!(at(&bytes, true), [10.0, 20.0, 30.0, 40.0, 60.0, 80.0]);
    let height = millimetres(SHEET[3]);
    let level = [height - 60.0, height - 10.0].map(|mm| (mm * 100.0).round() / 100.0);
    assert_eq!(at(&bytes, false), level);
    let found = guides(&bytes, 1).unwrap();
    let trim = found.trim.unwrap();
    assert!((trim.x.mm() - millimetres(TRIM[0])).abs() < 1e-4);
    assert!((trim.width.mm() - 100.0).abs() < 1e-3 && (trim.height.mm() - 80.0).abs() < 1e-3);
    // A bleed box that is the page says no more than the page.
    assert_eq!(found.bleed, None);
}

#[test]
fn dashes_drawn_one_by_one_are_one_line_and_layers_switched_off_are_read() {
    let dashes: String = (0..12)
        .map(|index| format!("50 {} m 50 {} l S ", index * 15, index * 15 + 8))
        .collect();
    let mut pdf = Pdf::page(
        &format!("/OC /Off BDC {dashes} EMC"),
        "/Properties << /Off 9 0 R >>",
    );
    pdf.object(9, "<< /Type /OCG /Name (Guides) >>");
    pdf.object(
        1,
        "<< /Type /Catalog /Pages 2 0 R /OCProperties << /OCGs [9 0 R] /D << /OFF [9 0 R] >> >> >>",
    );
    let found = guides(&pdf.bytes(), 1).unwrap();
    assert_eq!(found.lines.len(), 1, "{:?}", found.lines);
    let run = found.lines[0].to - found.lines[0].from;
    assert!((run.mm() - millimetres(173.0)).abs() < 0.01);
}

#[test]
fn a_page_that_is_shown_turned_is_measured_as_it_is_shown() {
    let straight = Pdf::page("40 0 m 40 243.78 l S", "").bytes();
    assert_eq!(at(&straight, true).len(), 1);
    let x = millimetres(40.0);
    for (turn, upright, expected) in [
        (90, false, x),
        (180, true, millimetres(SHEET[2]) - x),
        (270, false, millimetres(SHEET[2]) - x),
    ] {
        let turned = Pdf::page_with("40 0 m 40 243.78 l S", "", &format!("/Rotate {turn}")).bytes();
        let lines = at(&turned, upright);
        assert_eq!(lines.len(), 1, "{turn}");
        assert!((lines[0] - expected).abs() < 0.01, "{turn}: {lines:?}");
        let page = guides(&turned, 1).unwrap().page;
        assert_eq!(page.width > page.height, turn == 180, "{turn}");
    }
}

#[test]
fn what_says_nothing_gives_one_clear_error() {
    assert_eq!(guides(b"not a pdf", 1), Err(GuidesError::NotPdf));
    let sound = Pdf::page("40 0 m 40 200 l S", "");
    assert_eq!(
        guides(&sound.bytes(), 7).unwrap_err().to_string(),
        "this PDF has 1 page, and none with the number 7"
    );
    assert!(guides(&sound.bytes(), 0).is_err());
    assert_eq!(guide_pages(&sound.bytes()), Ok(1));
    assert_eq!(guide_pages(b"not a pdf"), Err(GuidesError::NotPdf));
    let mut locked = sound.clone();
    locked.trailer += " /Encrypt << /Filter /Standard >>";
    assert_eq!(guides(&locked.bytes(), 1), Err(GuidesError::Locked));
    assert_eq!(guide_pages(&locked.bytes()), Err(GuidesError::Locked));
    let mut broken = sound;
    broken.stream(4, "/Filter /FlateDecode", b"this is not deflated");
    assert_eq!(guides(&broken.bytes(), 1), Err(GuidesError::Damaged(1)));
    // A form that draws itself a thousandfold, and lines without end.
    let mut heavy = Pdf::page(&"/A Do ".repeat(2_000), "/XObject << /A 8 0 R >>");
    for form in 8..20 {
        let content = format!("/A{} Do ", form + 1).repeat(2_000);
        let entries = format!(
            "/Type /XObject /Subtype /Form /BBox [0 0 900 900] /Resources << /XObject << /A{} {} 0 \
             R >> >>",
            form + 1,
            form + 1
        );
        heavy.stream(form, &entries, content.as_bytes());
    }
    let start = Instant::now();
    assert_eq!(guides(&heavy.bytes(), 1), Err(GuidesError::TooHeavy(1)));
    assert!(start.elapsed() < Duration::from_secs(60));
}

#[test]
fn kept_hostile_files_get_an_answer() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/it/checking/hostile");
    for entry in std::fs::read_dir(folder).unwrap() {
        let _ = guides(&std::fs::read(entry.unwrap().path()).unwrap(), 1);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn any_contents_and_any_damage_are_answered(
        content in "([0-9.\\- ]{1,12} (m|l|c|re|S|f|h|q|Q|cm|w) ){0,60}",
        cut in 0..4000_usize,
        flip in (0..4000_usize, any::<u8>()),
    ) {
        let mut bytes = Pdf::page(&content, "").bytes();
        let _ = guides(&bytes, 1);
        let place = flip.0 % bytes.len();
        bytes[place] = flip.1;
        let _ = guides(&bytes, 1);
        bytes.truncate(cut);
        let _ = guide_pages(&bytes);
        let _ = guides(&bytes, 1);
    }
}
