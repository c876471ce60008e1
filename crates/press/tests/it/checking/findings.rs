use finding::{Place, Severity};
use press::{Depth, Expected, check, check_to};

use super::build::{Pdf, profile};
use super::{codes, expected, look};

use Severity::{Note, Stop, Warn};

const SQUARE: &str = "100 100 20 20 re";

#[track_caller]
fn finds(pdf: &Pdf, wanted: &[(&str, Severity)]) {
    let plain = look(&pdf.bytes());
    assert_eq!(codes(&plain), wanted, "{:#?}", plain.findings);
    let packed = look(&pdf.packed());
    assert_eq!(codes(&packed), wanted, "packed: {:#?}", packed.findings);
}

#[test]
fn a_sound_page_has_no_finding() {
    finds(&Pdf::page(&format!("0 0 0 1 k {SQUARE} f"), ""), &[]);
    finds(&Pdf::page("", ""), &[]);
}

#[test]
fn colours_that_are_no_ink_are_found() {
    finds(
        &Pdf::page(&format!("0.9 0.9 0.9 rg {SQUARE} f"), ""),
        &[
            ("check-rgb-without-profile", Stop),
            ("check-ink-estimated", Note),
        ],
    );
    finds(
        &Pdf::page(
            &format!("0.9 0.9 0.9 rg {SQUARE} f"),
            "/ColorSpace << /DefaultRGB [/CalRGB << >>] >>",
        ),
        &[("check-rgb", Warn), ("check-ink-estimated", Note)],
    );
    // A colour that is chosen but never painted with is no colour of the page.
    finds(&Pdf::page(&format!("1 0 0 rg 0 g {SQUARE} f"), ""), &[]);
    finds(
        &Pdf::page(
            &format!("/S cs 0.5 scn {SQUARE} f"),
            "/ColorSpace << /S [/Separation /Foil /DeviceCMYK 9 0 R] >>",
        ),
        &[("check-spot-ink", Note)],
    );
}

#[test]
fn boxes_are_held_against_the_book_and_each_other() {
    let with = |more: &str| Pdf::page_with("", "", more);
    finds(&with("/TrimBox null"), &[("check-trim-missing", Stop)]);
    finds(&with("/BleedBox null"), &[("check-bleed-short", Stop)]);
    finds(
        &with("/CropBox [0 0 200 200]"),
        &[("check-boxes-not-nested", Stop)],
    );
    finds(
        &with("/TrimBox [8.5 8.5 292 230]"),
        &[("check-trim-size", Stop)],
    );
    finds(
        &with("/Rotate 90"),
        &[("check-trim-size", Stop), ("check-page-turned", Note)],
    );
    let report = look(&with("/BleedBox [5 5 296 240]").bytes());
    let bleed = &report.findings[0];
    assert_eq!(bleed.code, "check-bleed-short");
    assert_eq!(bleed.place, Place::Page(1));
    assert_eq!(bleed.measured.as_deref(), Some("1.235 mm"));
    assert_eq!(bleed.required.as_deref(), Some("3 mm"));
    assert_eq!(
        bleed.message,
        "The page reaches only 1.2 mm beyond the cut."
    );
}

#[test]
fn boxes_may_be_inherited_and_count_in_units_of_their_own() {
    let mut pdf = Pdf::of(&[
        (1, "<< /Type /Catalog /Pages 2 0 R >>"),
        (
            2,
            "<< /Type /Pages /Kids [3 0 R] /Count 1 /MediaBox [0 0 150.236 121.89] /Rotate 180 >>",
        ),
        (
            3,
            "<< /Type /Pages /Kids [4 0 R] /Count 1 /Parent 2 0 R /CropBox [0 0 150.236 121.89] >>",
        ),
        (
            4,
            "<< /Type /Page /TrimBox [4.25 4.25 145.983 117.636] /BleedBox [0 0 150.236 121.89] \
             /UserUnit 2 >>",
        ),
    ]);
    pdf.trailer += " /ID [<01> <02>]";
    let report = look(&pdf.bytes());
    assert_eq!(report.pages[0].trim.unwrap().to_string(), "100.001 × 80 mm");
    let of_page: Vec<_> = report
        .findings
        .iter()
        .filter(|finding| finding.place == Place::Page(1))
        .map(|finding| finding.code)
        .collect();
    assert_eq!(of_page, ["check-user-unit", "check-page-turned"]);
}

#[test]
fn a_cover_is_held_against_its_spine() {
    let cover = Expected {
        trim: "45x80mm".parse().ok(),
        cover_spine: "13.9mm".parse().ok(),
        ..expected()
    };
    let report = check(&Pdf::page("", "").bytes(), &cover, &|_, _| true);
    assert_eq!(codes(&report), [("check-spine-width", Stop)]);
    assert_eq!(
        report.findings[0].message,
        "The spine in this file is 10.0 mm, the book now needs 13.9 mm."
    );
    let fits = Expected {
        cover_spine: "10mm".parse().ok(),
        ..cover
    };
    let report = check(&Pdf::page("", "").bytes(), &fits, &|_, _| true);
    assert_eq!(codes(&report), []);
}

#[test]
fn pictures_are_judged_at_the_size_at_which_they_lie() {
    let image = |width: u32, height: u32, entries: &str, bytes: usize, matrix: &str| {
        let mut pdf = Pdf::page(&format!("q {matrix} cm /I Do Q"), "/XObject << /I 9 0 R >>");
        let entries = format!("/Subtype /Image /Width {width} /Height {height} {entries}");
        pdf.stream(9, &entries, &vec![0; bytes]);
        pdf
    };
    let cmyk = "/ColorSpace /DeviceCMYK /BitsPerComponent 8";
    let at = |matrix: &str| look(&image(100, 50, cmyk, 20_000, matrix).bytes());
    // 100 px over a third of an inch, 50 px over a sixth, in three ways of lying.
    for matrix in ["24 0 0 12 50 50", "0 24 -12 0 50 50", "-24 0 0 -12 90 90"] {
        let report = at(matrix);
        assert!(
            (report.pages[0].lowest_ppi.unwrap() - 300.0).abs() < 0.01,
            "{matrix}"
        );
        assert_eq!(codes(&report), []);
    }
    assert_eq!(
        codes(&at("36 0 0 12 50 50")),
        [("check-resolution-low", Warn)]
    );
    assert_eq!(
        codes(&at("72 0 0 12 50 50")),
        [("check-resolution-low", Stop)]
    );
    // Off the page it is nobody's matter.
    assert_eq!(codes(&at("72 0 0 72 500 500")), []);
    let grey = "/ColorSpace /DeviceGray /BitsPerComponent 1 /Decode [1 0]";
    let line_art = image(100, 50, grey, 13 * 50, "24 0 0 12 50 50");
    assert_eq!(
        codes(&look(&line_art.bytes())),
        [("check-line-art-low", Warn)]
    );
    let broken = image(100, 50, cmyk, 10_000, "24 0 0 12 50 50");
    assert_eq!(
        codes(&look(&broken.bytes())),
        [("check-picture-broken", Stop)]
    );
}

#[test]
fn type_lines_and_overprint_are_looked_at() {
    let helvetica = "/Font << /F << /Type /Font /Subtype /Type1 /BaseFont /Helvetica >> >>";
    finds(
        &Pdf::page("BT 0 0 0 1 k /F 10 Tf 50 50 Td (Hi) Tj ET", helvetica),
        &[
            ("check-font-missing", Stop),
            ("check-ink-approximate", Note),
        ],
    );
    finds(
        &Pdf::page(
            "BT 0.6 0.5 0.5 0.9 k /F 10 Tf 50 50 Td (Hi) Tj ET",
            helvetica,
        ),
        &[
            ("check-font-missing", Stop),
            ("check-small-type-in-several-inks", Warn),
            ("check-ink-approximate", Note),
        ],
    );
    // Text that is not drawn needs no typeface.
    finds(
        &Pdf::page("BT 3 Tr /F 10 Tf 50 50 Td (Hi) Tj ET", helvetica),
        &[],
    );
    finds(
        &Pdf::page("0 0 0 1 K 0.1 w 20 20 m 100 100 l S", ""),
        &[("check-hairline", Warn)],
    );
    let overprint = "/ExtGState << /G << /OP true /OPM 1 >> >>";
    finds(
        &Pdf::page(&format!("/G gs 0 0 0 0 k {SQUARE} f"), overprint),
        &[("check-white-overprint", Stop)],
    );
    finds(
        &Pdf::page(&format!("/G gs 0 0 0 1 k {SQUARE} f"), overprint),
        &[],
    );
    finds(
        &Pdf::page(
            &format!("/G gs 0 0 0 1 k {SQUARE} f"),
            "/ExtGState << /G << /ca 0.5 >> >>",
        ),
        &[("check-transparency", Warn)],
    );
}

#[test]
fn what_press_files_must_not_hold_is_found() {
    let mut pdf = Pdf::page_with(
        "",
        "",
        "/Annots [<< /Subtype /Link /Rect [50 50 90 90] /A << /S /URI >> >>]",
    );
    finds(
        &pdf,
        &[("check-comment-in-print", Stop), ("check-action", Warn)],
    );
    // Marks of the printer, and notes beside the sheet, are in nobody's way.
    let beside = Pdf::page_with(
        "",
        "",
        "/Annots [<< /Subtype /Text /Rect [500 5 520 20] >>]",
    );
    finds(&beside, &[]);
    pdf = Pdf::page("", "");
    pdf.object(
        1,
        "<< /Type /Catalog /Pages 2 0 R /Metadata 6 0 R /OpenAction << /S /JavaScript >> /Names << \
         /EmbeddedFiles << >> >> /AcroForm << /Fields [7 0 R] >> >>",
    );
    finds(
        &pdf,
        &[
            ("check-output-intent-missing", Stop),
            ("check-script", Stop),
            ("check-action", Warn),
            ("check-attachment", Warn),
            ("check-form", Stop),
        ],
    );
}

#[test]
fn the_output_intent_is_looked_into() {
    let mut pdf = Pdf::page("", "");
    pdf.stream(5, "/N 3", &profile(b"RGB "));
    finds(&pdf, &[("check-output-profile-kind", Stop)]);
    pdf.stream(5, "/N 4", b"short");
    finds(&pdf, &[("check-output-profile-broken", Stop)]);
    let with_press = |name: &str| Expected {
        press: colour::PressCondition::built_in(name),
        ..expected()
    };
    let sound = Pdf::page("", "").bytes();
    let report = check(&sound, &with_press("coated"), &|_, _| true);
    assert_eq!(codes(&report), []);
    let report = check(&sound, &with_press("uncoated"), &|_, _| true);
    assert_eq!(codes(&report), [("check-output-intent-differs", Warn)]);
    assert_eq!(report.findings[0].measured.as_deref(), Some("`FOGRA39`"));
}

#[test]
fn a_locked_file_is_said_to_be_locked() {
    let mut pdf = Pdf::page("1 1 1 1 k 0 0 100 100 re f", "");
    pdf.trailer += " /Encrypt << /Filter /Standard >>";
    let report = look(&pdf.bytes());
    assert_eq!(codes(&report), [("check-encrypted", Stop)]);
    assert_eq!(report.pages[0].trim.unwrap().to_string(), "100 × 80 mm");
}

#[test]
fn a_quick_look_finds_all_but_ink() {
    let pdf = Pdf::page("1 1 1 1 k 0 0 100 100 re f 0.5 g 0 0 1 rg 9 9 9 9 re f", "").bytes();
    let quick = check_to(&pdf, &expected(), Depth::Quick, &|_, _| true);
    assert_eq!(codes(&quick), [("check-rgb-without-profile", Stop)]);
    assert_eq!(
        quick.pages[0].colour_spaces,
        ["CMYK", "RGB without a profile"]
    );
    assert_eq!(quick.pages[0].ink_most, 0.0);
}

#[test]
fn findings_come_by_page_and_a_check_can_be_stopped() {
    let mut pdf = Pdf::page("1 1 1 1 k 0 0 100 100 re f", "");
    let kids: String = (0..40).map(|page| format!("{} 0 R ", page + 20)).collect();
    pdf.object(2, &format!("<< /Type /Pages /Kids [{kids}] /Count 40 >>"));
    for page in 0..40 {
        pdf.object(
            page + 20,
            "<< /Type /Page /MediaBox [0 0 300 240] /TrimBox [9 9 290 230] /Contents 4 0 R >>",
        );
    }
    let bytes = pdf.bytes();
    let report = check(&bytes, &Expected::default(), &|_, _| true);
    assert_eq!(report.summary.pages, 40);
    assert_eq!(report.summary.checked, 40);
    let numbers: Vec<u32> = report.pages.iter().map(|page| page.page).collect();
    assert_eq!(numbers, (1..=40).collect::<Vec<_>>());
    let limited = Expected {
        ink_limit: Some(300.0),
        ..Expected::default()
    };
    let places: Vec<Place> = check(&bytes, &limited, &|_, _| true)
        .findings
        .iter()
        .map(|finding| finding.place.clone())
        .collect();
    assert_eq!(places, (1..=40).map(Place::Page).collect::<Vec<_>>());
    let stopped = check(&bytes, &Expected::default(), &|_, _| false);
    assert_eq!(stopped.summary.checked, 0);
    assert_eq!(codes(&stopped), [("check-stopped", Note)]);
}
