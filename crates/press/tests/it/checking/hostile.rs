//! Files made to do harm: each gets an answer, soon, and never a panic.

use std::time::{Duration, Instant};

use press::CheckReport;
use proptest::prelude::*;

use super::build::{Pdf, deflate};
use super::look;

/// Far more than any of these needs on an idle machine, far less than for ever.
const SOON: Duration = Duration::from_secs(120);

fn answers(name: &str, bytes: &[u8]) -> CheckReport {
    let start = Instant::now();
    let report = look(bytes);
    assert!(start.elapsed() < SOON, "{name} took {:?}", start.elapsed());
    assert!(
        report
            .findings
            .iter()
            .all(|finding| finding.code != "check-page-unreadable"),
        "{name} made a page panic"
    );
    report
}

fn found(report: &CheckReport, code: &str) -> bool {
    report.findings.iter().any(|finding| finding.code == code)
}

#[test]
fn kept_files_get_an_answer() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/it/checking/hostile");
    let mut count = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let report = answers(&path.display().to_string(), &std::fs::read(&path).unwrap());
        assert!(!report.findings.is_empty(), "{}", path.display());
        count += 1;
    }
    assert!(count > 0);
}

#[test]
fn circles_are_cut() {
    let tree = Pdf::of(&[
        (1, "<< /Type /Catalog /Pages 2 0 R >>"),
        (2, "<< /Type /Pages /Kids [3 0 R 2 0 R] /Count 2 >>"),
        (
            3,
            "<< /Type /Pages /Kids [2 0 R 3 0 R 4 0 R 4 0 R] /Parent 2 0 R >>",
        ),
        (4, "<< /Type /Page /MediaBox [0 0 100 100] >>"),
    ]);
    let report = answers("a page tree in a circle", &tree.bytes());
    assert!(found(&report, "check-page-list-broken"));
    assert_eq!(report.summary.pages, 1);

    let mut forms = Pdf::page("/A Do", "/XObject << /A 8 0 R >>");
    forms.stream(
        8,
        "/Subtype /Form /BBox [0 0 9 9] /Resources << /XObject << /B 9 0 R >> >>",
        b"/B Do",
    );
    forms.stream(
        9,
        "/Subtype /Form /BBox [0 0 9 9] /Resources << /XObject << /A 8 0 R >> >>",
        b"/A Do",
    );
    assert!(found(
        &answers("forms in a circle", &forms.bytes()),
        "check-page-damaged"
    ));

    let mut masks = Pdf::page("q 50 0 0 50 9 9 cm /I Do Q", "/XObject << /I 9 0 R >>");
    let entries = "/Subtype /Image /Width 1 /Height 1 /BitsPerComponent 8 /ColorSpace /DeviceGray /SMask 9 0 R";
    masks.stream(9, entries, &[0]);
    answers("a mask of itself", &masks.bytes());

    let mut spaces = Pdf::page(
        "/S cs 1 scn 9 9 9 9 re f",
        "/ColorSpace << /S 9 0 R /T /S /U [/Indexed 9 0 R 1 (x)] >>",
    );
    spaces.object(9, "[/Indexed 9 0 R 255 9 0 R]");
    answers("a colour space of itself", &spaces.bytes());

    let mut pattern = Pdf::page(
        "/Pattern cs /P scn 0 0 200 200 re f",
        "/Pattern << /P 9 0 R >>",
    );
    pattern.stream(
        9,
        "/PatternType 1 /PaintType 1 /BBox [0 0 9 9] /XStep 9 /YStep 9 /Resources << /Pattern << /P 9 0 R >> >>",
        b"/Pattern cs /P scn 0 0 9 9 re f",
    );
    answers("a pattern of itself", &pattern.bytes());

    let mut letters = Pdf::page("BT /F 9 Tf (AAAA) Tj ET", "/Font << /F 9 0 R >>");
    letters.object(9, "<< /Subtype /Type3 /FontMatrix [1 0 0 1 0 0] /Encoding << /Differences [65 /A] >> /CharProcs << /A 8 0 R >> /Resources << /Font << /F 9 0 R >> >> >>");
    letters.stream(8, "", b"1 0 d0 BT /F 9 Tf (AAAA) Tj ET");
    answers("letters of themselves", &letters.bytes());

    let lengths = Pdf::of(&[
        (1, "<< /Type /Catalog /Pages 2 0 R >>"),
        (2, "<< /Type /Pages /Kids [3 0 R] /Count 1 >>"),
        (3, "<< /Type /Page /MediaBox [0 0 99 99] /Contents 4 0 R >>"),
        (4, "<< /Length 4 0 R >>\nstream\n0 g\nendstream"),
    ]);
    answers("a length of itself", &lengths.bytes());

    let functions = {
        let mut pdf = Pdf::page(
            "/A sh",
            "/Shading << /A << /ShadingType 2 /ColorSpace /DeviceGray /Coords [0 0 9 9] /Function 9 0 R >> >>",
        );
        pdf.object(9, "<< /FunctionType 3 /Domain [0 1] /Functions [9 0 R 9 0 R] /Bounds [0.5] /Encode [0 1 0 1] >>");
        pdf
    };
    answers("a function of itself", &functions.bytes());
}

#[test]
fn packed_objects_cannot_lead_back_into_their_own_stream() {
    let bytes = Pdf::page("", "").packed();
    let text: Vec<u8> = bytes
        .windows(13)
        .position(|window| window == b"/FlateDecode ")
        .map(|at| {
            let mut spoilt = bytes.clone();
            spoilt[at..at + 13].copy_from_slice(b"3 0 R        ");
            spoilt
        })
        .unwrap();
    answers("a filter inside its own stream", &text);
}

#[test]
fn small_files_cannot_ask_for_endless_work() {
    // Each form draws the next ten times: ten to the fifteenth squares.
    let mut pdf = Pdf::page("/F Do", "/XObject << /F 20 0 R >>");
    for level in 20..35 {
        let resources = format!(
            "/Subtype /Form /BBox [0 0 999 999] /Resources << /XObject << /F {} 0 R >> >>",
            level + 1
        );
        pdf.stream(level, &resources, "/F Do ".repeat(10).as_bytes());
    }
    pdf.stream(
        35,
        "/Subtype /Form /BBox [0 0 999 999]",
        b"0 0 999 999 re f",
    );
    let report = answers("forms that multiply", &pdf.bytes());
    assert!(found(&report, "check-page-too-heavy") || found(&report, "check-page-damaged"));

    let paints = "0 0 999 999 re f 5 5 m 900 3 40 900 200 200 c W n ".repeat(30_000);
    answers("paint without end", &Pdf::page(&paints, "").bytes());

    let edges: String = (0..60_000)
        .map(|at| format!("{} {} l ", at % 7 * 40, at % 2 * 240))
        .collect();
    answers(
        "edges without end",
        &Pdf::page(&format!("0 0 m {edges} f* 0 0 m {edges} S"), "").bytes(),
    );

    let mut bomb = Pdf::page("", "");
    bomb.stream(
        4,
        "/Filter [/FlateDecode /FlateDecode]",
        &deflate(&deflate(&vec![b' '; 200 << 20])),
    );
    let report = answers("contents that swell", &bomb.bytes());
    assert!(found(&report, "check-page-damaged"));
}

#[test]
fn absurd_numbers_are_no_danger() {
    for (name, pdf) in [
        (
            "a sheet of no size",
            Pdf::page_with(
                "0 g 0 0 9 9 re f",
                "",
                "/MediaBox [5 5 5 5] /BleedBox [0 0 0 0] /TrimBox [1 1 0 1]",
            ),
        ),
        (
            "a vast sheet",
            Pdf::page_with(
                "0 g 0 0 9 9 re f",
                "",
                "/MediaBox [0 0 250000 250000] /BleedBox [0 0 250000 250000] /TrimBox [1 1 249999 249999]",
            ),
        ),
        (
            "a sheet past all sense",
            Pdf::page_with(
                "0 g 0 0 9 9 re f",
                "",
                "/MediaBox [0 0 1e30 99999999999999999999] /BleedBox null /TrimBox null",
            ),
        ),
        (
            "a thin sheet",
            Pdf::page_with(
                "0 g 0 0 9 9 re f",
                "",
                "/MediaBox [0 0 250000 0.02] /BleedBox null /TrimBox null",
            ),
        ),
        (
            "a vast unit",
            Pdf::page_with("0 g 0 0 9 9 re f", "", "/UserUnit 999"),
        ),
        (
            "matrices",
            Pdf::page(
                "99999999999 0 0 99999999999 0 0 cm 99999999999 0 0 99999999999 0 0 cm 0 0 0 0 0 0 cm 1 1 1 1 1 1 cm 0 0 9 9 re B 9 w 0 0 m 9 9 l S",
                "",
            ),
        ),
        (
            "dashes",
            Pdf::page(
                "[0.0001 0.0001] 0 d 9 w 0 0 m 250 200 l S [0 0] 0 d 0 0 m 9 9 l S [5 -5] -99999 d 0 0 m 9 9 l S",
                "",
            ),
        ),
        (
            "text",
            Pdf::page(
                "BT /F 99999999999 Tf 99999 Tz (AAA) Tj 99999999999 99999999999 Td (A) Tj [99999999999 (A)] TJ ET",
                "/Font << /F << /Subtype /TrueType /FirstChar -5 /Widths [99999999999] >> >>",
            ),
        ),
    ] {
        answers(name, &pdf.bytes());
        answers(name, &pdf.packed());
    }
    for size in ["1048576", "99999999999", "-1", "0"] {
        let mut pdf = Pdf::page("q 99 0 0 99 0 0 cm /I Do Q", "/XObject << /I 9 0 R >>");
        for more in [
            "/ColorSpace /DeviceCMYK",
            "/ImageMask true",
            "/Filter /DCTDecode /ColorSpace /DeviceRGB",
            "/Filter /JPXDecode",
        ] {
            pdf.stream(
                9,
                &format!(
                    "/Subtype /Image /Width {size} /Height {size} /BitsPerComponent 16 {more}"
                ),
                b"data",
            );
            answers(size, &pdf.bytes());
        }
    }
}

/// A page with something of everything, to be spoilt.
fn everything() -> Pdf {
    let mut pdf = Pdf::page(
        "/G gs q 1 0 0 1 5 5 cm 0.1 0.2 0.3 0.4 k 9 9 m 20 20 l 30 5 40 5 50 50 c h W* n 0 0 200 200 re \
         B* Q /S cs 0.5 scn [3 2] 1 d 10 10 m 100 90 l S BT /F 12 Tf 1 0 0 1 20 20 Tm [(AB) -20 (C)] TJ \
         /T 9 Tf (a) ' ET q 50 0 0 40 60 60 cm /I Do Q /X Do /A sh /B sh /Pattern cs /P scn 0 0 30 30 re \
         f BI /W 2 /H 2 /IM true /BPC 1 ID \u{1}\u{2} EI /OC /L BDC 1 g 5 5 5 5 re f EMC",
        "/ExtGState << /G << /OP true /op false /OPM 1 /ca 0.9 /BM /Multiply /LW 2 >> >> /ColorSpace << \
         /S [/Separation /Foil /DeviceCMYK 10 0 R] /I [/Indexed /DeviceRGB 3 <000102030405060708090A0B>] \
         >> /Font << /F << /Type /Font /Subtype /Type1 /BaseFont /Times-Roman /FirstChar 65 /Widths [700 \
         600 500] /Encoding << /BaseEncoding /WinAnsiEncoding /Differences [66 /eacute] >> >> /T 11 0 R >> \
         /XObject << /I 12 0 R /X 13 0 R >> /Shading << /A 14 0 R /B 15 0 R >> /Pattern << /P 16 0 R >> \
         /Properties << /L 17 0 R >>",
    );
    pdf.object(
        10,
        "<< /FunctionType 2 /Domain [0 1] /N 1 /C0 [0 0 0 0] /C1 [0 1 0 0] >>",
    );
    pdf.object(11, "<< /Subtype /Type3 /FontMatrix [0.1 0 0 0.1 0 0] /FirstChar 97 /Widths [9] /Encoding << /Differences [97 /a] >> /CharProcs << /a 18 0 R >> >>");
    pdf.stream(12, "/Subtype /Image /Width 4 /Height 2 /BitsPerComponent 8 /ColorSpace /DeviceCMYK /Filter /FlateDecode /DecodeParms << /Predictor 15 /Colors 4 /Columns 4 >>", &deflate(&[1_u8; 34]));
    pdf.stream(
        13,
        "/Subtype /Form /BBox [0 0 90 90] /Matrix [1 0 0 1 3 3] /Group << /S /Transparency >>",
        b"0 0 1 RG 2 w 0 0 50 50 re S",
    );
    pdf.object(14, "<< /ShadingType 2 /ColorSpace /DeviceCMYK /Coords [0 0 90 90] /Function << /FunctionType 3 /Domain [0 1] /Functions [<< /FunctionType 2 /Domain [0 1] /N 2 /C0 [0 0 0 0] /C1 [1 0 0 0] >>] /Bounds [] /Encode [0 1] >> /Extend [true true] >>");
    pdf.object(15, "<< /ShadingType 3 /ColorSpace /DeviceGray /Coords [50 50 0 60 60 30] /Function << /FunctionType 2 /Domain [0 1] /N 1 >> >>");
    pdf.stream(
        16,
        "/PatternType 1 /PaintType 1 /BBox [0 0 5 5] /XStep 6 /YStep 6 /Resources << >>",
        b"0 1 1 0 k 0 0 4 4 re f",
    );
    pdf.object(17, "<< /Type /OCG /Name (L) >>");
    pdf.stream(18, "", b"9 0 0 0 5 5 d1 0 0 5 5 re f");
    pdf
}

#[test]
fn the_page_with_everything_is_read() {
    let report = answers("everything", &everything().bytes());
    assert_eq!(report.pages.len(), 1);
    assert!(report.pages[0].ink_most > 100.0);
    assert!(!found(&report, "check-page-damaged"));
}

#[derive(Debug, Clone)]
enum Harm {
    Change(usize, u8),
    Remove(usize, usize),
    Repeat(usize, usize),
    Word(usize, &'static str),
    Cut(usize),
}

fn harm() -> impl Strategy<Value = Harm> {
    let at = any::<u32>().prop_map(|at| at as usize);
    prop_oneof![
        4 => (at.clone(), any::<u8>()).prop_map(|(at, byte)| Harm::Change(at, byte)),
        2 => (at.clone(), 1_usize..60).prop_map(|(at, length)| Harm::Remove(at, length)),
        2 => (at.clone(), 1_usize..300).prop_map(|(at, length)| Harm::Repeat(at, length)),
        3 => (at.clone(), prop::sample::select(vec![
            " 99999999999 ", " -1 ", " 0 ", "[", "]", "<<", ">>", "(", ")", " 3 0 R ", " 4 0 R ",
            " endobj ", " endstream ", " stream\n", " q ", " Q ", " /Kids ", " 0.00001 ", " null ",
        ])).prop_map(|(at, word)| Harm::Word(at, word)),
        1 => at.prop_map(Harm::Cut),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn a_spoilt_file_gets_an_answer(harms in prop::collection::vec(harm(), 1..12), packed in any::<bool>()) {
        let pdf = everything();
        let mut bytes = if packed { pdf.packed() } else { pdf.bytes() };
        for harm in harms {
            let length = bytes.len().max(1);
            match harm {
                Harm::Change(at, byte) => {
                    if let Some(place) = bytes.get_mut(at % length) {
                        *place = byte;
                    }
                }
                Harm::Remove(at, count) => {
                    let at = at % length;
                    bytes.drain(at..(at + count).min(bytes.len()));
                }
                Harm::Repeat(at, count) => {
                    let at = at % length;
                    let part = bytes[at..(at + count).min(bytes.len())].to_vec();
                    bytes.splice(at..at, part);
                }
                Harm::Word(at, word) => {
                    let at = at % length;
                    bytes.splice(at..at, word.bytes());
                }
                Harm::Cut(at) => bytes.truncate(at % length),
            }
            if bytes.is_empty() {
                break;
            }
        }
        answers("a spoilt file", &bytes);
    }
}
