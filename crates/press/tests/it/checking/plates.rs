use book::object::NoGo;
use finding::Severity::{Note, Stop, Warn};
use measure::{Length, Rect};
use press::{CheckReport, Expected, check};

use super::build::Pdf;
use super::{codes, expected};

/// Foil overprints in state O, knocks out in K.
const RESOURCES: &str = "/ColorSpace << /F [/Separation /Foil /DeviceCMYK 8 0 R] /G [/Separation \
                         /Gloss /DeviceCMYK 8 0 R] /A [/Separation /All /DeviceCMYK 8 0 R] >> \
                         /ExtGState << /O << /OP true /op true /OPM 1 >> /K << /OP false >> >>";

fn look(pdf: &Pdf, plates: &[&str]) -> CheckReport {
    let expected = Expected {
        plates: Some(plates.iter().map(|&name| name.to_owned()).collect()),
        ..expected()
    };
    check(&with_transform(pdf), &expected, &|_, _| true)
}

fn with_transform(pdf: &Pdf) -> Vec<u8> {
    let transform = "<< /FunctionType 2 /Domain [0 1] /C0 [0 0 0 0] /C1 [0 0.2 0.6 0] /N 1 >>";
    pdf.clone().object(8, transform).bytes()
}

#[test]
fn a_finishing_that_overprints_is_sound_and_counts_into_no_total() {
    // 290 percent under the foil: with it the total would pass 300.
    let content = "1 1 0.9 0 k 50 50 200 100 re f /O gs /F cs 1 scn 100 100 72 36 re f";
    let report = look(&Pdf::page(content, RESOURCES), &["Foil"]);
    assert_eq!(codes(&report), [("check-finishing-plates", Note)]);
    assert!((report.pages[0].ink_most - 290.0).abs() < 0.5);
    let plate = &report.pages[0].plates[0];
    assert!(!plate.knocks_out);
    // 72 × 36 points are 25.4 × 12.7 mm; a cell is a quarter of a millimetre.
    assert!((322.5..335.0).contains(&plate.touched_mm2), "{plate:?}");
    let extent = plate.extent.unwrap();
    let near = |length: Length, mm: f64| (length.mm() - mm).abs() < 0.3;
    assert!(near(extent.width, 25.4) && near(extent.height, 12.7));
    assert!(near(extent.x, (100.0 - 8.5) / 72.0 * 25.4));
    assert!(near(extent.y, (235.272 - 136.0) / 72.0 * 25.4));
    // As an ink it would be too much.
    let report = check(
        &with_transform(&Pdf::page(content, RESOURCES)),
        &expected(),
        &|_, _| true,
    );
    assert_eq!(
        codes(&report),
        [("check-spot-ink", Note), ("check-ink-total", Stop)]
    );
}

#[test]
fn what_is_taken_away_from_a_plate_does_not_count_and_is_no_white_overprint() {
    let content = "/O gs /F cs 1 scn 100 100 72 72 re f 0 scn 100 100 72 36 re f";
    let report = look(&Pdf::page(content, RESOURCES), &["Foil"]);
    assert_eq!(codes(&report), [("check-finishing-plates", Note)]);
    let touched = report.pages[0].plates[0].touched_mm2;
    assert!((322.5..350.0).contains(&touched), "{touched}");
    // Nothing is there that it could be taken from.
    let report = look(
        &Pdf::page("/O gs /F cs 0 scn 100 100 72 36 re f", RESOURCES),
        &["Foil"],
    );
    assert!(codes(&report).contains(&("check-white-overprint", Stop)));
}

#[test]
fn a_plate_that_knocks_out_is_found() {
    let over_ink = "0 0 0 0.5 k 50 50 200 100 re f /K gs /F cs 1 scn 100 100 72 36 re f";
    let report = look(&Pdf::page(over_ink, RESOURCES), &["Foil"]);
    assert_eq!(
        codes(&report),
        [
            ("check-finishing-plates", Note),
            ("check-plate-knocks-out", Stop)
        ]
    );
    assert!(report.pages[0].plates[0].knocks_out);
    // Of an ink that nobody calls a finishing it is only said where there is something under it.
    let codes_of = |content: &str| {
        let pdf = with_transform(&Pdf::page(content, RESOURCES));
        codes(&check(&pdf, &expected(), &|_, _| true))
    };
    assert_eq!(
        codes_of(over_ink),
        [("check-spot-ink", Note), ("check-spot-knocks-out", Note)]
    );
    assert_eq!(
        codes_of("/F cs 1 scn 100 100 72 36 re f"),
        [("check-spot-ink", Note)]
    );
}

#[test]
fn what_is_set_in_all_inks_stands_on_the_foil_too() {
    let inside = "/O gs /F cs 1 scn 100 100 72 36 re f /A cs 1 scn 20 20 10 10 re f";
    let report = look(&Pdf::page(inside, RESOURCES), &["Foil"]);
    assert!(codes(&report).contains(&("check-plate-under-all", Stop)));
    // Ticks beyond the bleed do no harm, though they are one path around the page.
    let beyond = "/O gs /F cs 1 scn 100 100 72 36 re f /A cs 1 scn -30 20 10 1 re 320 20 10 1 re f";
    let report = look(&Pdf::page(beyond, RESOURCES), &["Foil"]);
    assert_eq!(codes(&report), [("check-finishing-plates", Note)]);
}

#[test]
fn plates_are_held_against_those_of_the_book() {
    let content = "/O gs /F cs 1 scn 100 100 72 36 re f";
    let report = look(&Pdf::page(content, RESOURCES), &["Gloss"]);
    assert_eq!(
        codes(&report),
        [("check-plate-missing", Stop), ("check-plate-unknown", Warn)]
    );
    assert_eq!(
        report.findings[0].message,
        "The finishing `Gloss` has no plate in this file."
    );
    // Beyond the bleed nothing is printed.
    let report = look(
        &Pdf::page("/O gs /F cs 1 scn 900 100 72 36 re f", RESOURCES),
        &["Foil"],
    );
    assert!(codes(&report).contains(&("check-plate-empty", Stop)));
}

#[test]
fn names_that_differ_in_capitals_and_two_looks_of_one_name_are_found() {
    let content = "/O gs /F cs 1 scn 100 100 72 36 re f /H cs 1 scn 100 20 72 36 re f";
    let spaces = |second: &str| {
        format!(
            "/ColorSpace << /F [/Separation /Foil /DeviceCMYK 8 0 R] /H {second} >> /ExtGState << /O \
             << /OP true /OPM 1 >> >>"
        )
    };
    let codes_of = |second: &str| {
        let pdf = with_transform(&Pdf::page(content, &spaces(second)));
        codes(&check(&pdf, &expected(), &|_, _| true))
    };
    let transform = |solid: &str| {
        format!("<< /FunctionType 2 /Domain [0 1] /C0 [0 0 0 0] /C1 [{solid}] /N 1 >>")
    };
    assert!(
        codes_of("[/Separation /FOIL /DeviceCMYK 8 0 R]")
            .contains(&("check-plate-names-alike", Stop))
    );
    // The same said twice is no second look.
    let same = format!(
        "[/Separation /Foil /DeviceCMYK {}]",
        transform("0 0.2 0.6 0")
    );
    assert_eq!(codes_of(&same), [("check-spot-ink", Note)]);
    for other in [
        format!(
            "[/Separation /Foil /DeviceCMYK {}]",
            transform("0 0.3 0.6 0")
        ),
        format!("[/Separation /Foil /DeviceRGB {}]", transform("0 0.2 0.6")),
    ] {
        assert_eq!(
            codes_of(&other),
            [("check-plate-two-looks", Warn), ("check-spot-ink", Note)],
            "{other}"
        );
    }
}

#[test]
fn words_in_a_place_that_must_stay_free_are_found_however_the_page_is_turned() {
    // Three letters of 10 pt at 50, 50 points from the lower left corner of the sheet.
    let helvetica = "/Font << /F << /Type /Font /Subtype /Type1 /BaseFont /Helvetica >> >>";
    let content = "BT 0 0 0 1 k /F 10 Tf 50 50 Td (Hi!) Tj ET";
    // Around them, in millimetres from the top left corner of the trim, as the page is shown.
    for (turned, place) in [
        (0, Rect::from_mm(13.0, 60.0, 15.0, 6.0)),
        (90, Rect::from_mm(14.0, 13.0, 6.0, 15.0)),
        (180, Rect::from_mm(75.0, 14.0, 12.0, 6.0)),
        (270, Rect::from_mm(60.0, 75.0, 6.0, 12.0)),
    ] {
        let look = |place: Rect| {
            let expected = Expected {
                no_go: vec![NoGo {
                    rect: place,
                    why: "folded over the edge",
                }],
                ..Expected::default()
            };
            let pdf = Pdf::page_with(content, helvetica, &format!("/Rotate {turned}"));
            check(&pdf.bytes(), &expected, &|_, _| true)
        };
        let of_words = |report: &CheckReport| {
            report
                .findings
                .iter()
                .find(|finding| finding.code == "check-words-in-no-go")
                .map(|finding| finding.message.clone())
        };
        let message = of_words(&look(place)).unwrap_or_default();
        assert!(
            message.starts_with("3 letters stand where no words may: folded over the edge"),
            "{turned}: {message}"
        );
        for (x, y) in [(20.0, 0.0), (-20.0, 0.0), (0.0, 20.0), (0.0, -20.0)] {
            let beside = place.moved(Length::from_mm(x), Length::from_mm(y));
            assert_eq!(of_words(&look(beside)), None, "{turned} {x} {y}");
        }
    }
}
