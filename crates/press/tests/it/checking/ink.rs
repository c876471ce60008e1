use finding::Severity;
use press::Expected;
use proptest::prelude::*;

use super::build::{Pdf, SHEET, deflate};
use super::{codes, look};

/// Highest total in percent, and its place in millimetres from the trim's corner.
fn most(pdf: &Pdf) -> (f64, f64, f64) {
    let report = look(&pdf.bytes());
    let page = &report.pages[0];
    (
        page.ink_most,
        page.ink_most_at.0.mm(),
        page.ink_most_at.1.mm(),
    )
}

/// A page with one picture in object 9.
fn picture(width: usize, height: usize, entries: &str, data: &[u8], matrix: &str) -> Pdf {
    let mut pdf = Pdf::page(
        &format!("q {matrix} cm /I Do Q"),
        "/XObject << /I 9 0 R >> /ColorSpace << /S [/Separation /Foil /DeviceCMYK 8 0 R] >>",
    );
    let entries =
        format!("/Subtype /Image /Width {width} /Height {height} /BitsPerComponent 8 {entries}");
    pdf.stream(9, &entries, data);
    pdf
}

#[test]
fn the_inkiest_point_is_found_where_it_is() {
    // 10 mm down and 20 mm across from the trim's corner, 2 mm wide.
    let pdf = Pdf::page(
        "0.2 g 0 0 300 240 re f 1 1 1 1 k 65.19 201.26 5.67 5.67 re f",
        "",
    );
    let (ink, x, y) = most(&pdf);
    assert!((ink - 400.0).abs() < 0.01);
    assert!(
        (19.8..22.2).contains(&x) && (9.8..12.2).contains(&y),
        "{x} {y}"
    );
    let report = look(&pdf.bytes());
    assert_eq!(codes(&report), [("check-ink-total", Severity::Stop)]);
    assert_eq!(report.findings[0].measured.as_deref(), Some("400.0 %"));
}

#[test]
fn a_speck_warns_and_an_area_stops() {
    let square = |side: f64| Pdf::page(&format!("1 1 1 0.5 k 100 100 {side} {side} re f"), "");
    let severity = |side| codes(&look(&square(side).bytes()))[0];
    assert_eq!(severity(0.7), ("check-ink-total", Severity::Warn));
    assert_eq!(severity(9.0), ("check-ink-total", Severity::Stop));
    // Rounding of four plates is no fault.
    let nearly = Pdf::page("0.751 0.751 0.75 0.75 k 100 100 50 50 re f", "");
    assert_eq!(codes(&look(&nearly.bytes())), []);
}

#[test]
fn only_what_is_printed_counts() {
    // Registration marks beyond the bleed are in every ink, and must be.
    let pdf = Pdf::page_with(
        "/S cs 1 scn 0 0 8 8 re f 0 0 0 0.5 k 100 100 50 50 re f",
        "/ColorSpace << /S [/Separation /All /DeviceCMYK 8 0 R] >>",
        "/MediaBox [-50 -50 350 300] /BleedBox [9 9 291 235] /TrimBox [17.5 17.5 282.5 226.5]",
    );
    assert!((most(&pdf).0 - 50.2).abs() < 0.1);
}

#[test]
fn every_way_of_stating_a_colour_comes_to_its_ink() {
    let spaces = "/ColorSpace << /S [/Separation /Foil /DeviceCMYK 8 0 R] /N [/DeviceN [/Cyan /None \
                  /Foil] /DeviceCMYK 8 0 R] /I [/Indexed /DeviceCMYK 1 <00000000 FF80FF80>] /C \
                  [/ICCBased 5 0 R] /A [/Separation /All /DeviceCMYK 8 0 R] /K [/Separation /Black \
                  /DeviceCMYK 8 0 R] >>";
    for (colour, expected) in [
        ("0.25 g", 75.0),
        ("0.1 0.2 0.3 0.4 k", 100.0),
        ("/S cs 0.7 scn", 70.0),
        ("/N cs 0.5 1 0.25 scn", 75.0),
        ("/I cs 1 sc", 300.4),
        ("/C cs 0.5 0.5 0 0 sc", 100.0),
        ("/A cs 0.5 scn", 200.0),
        ("/K cs 0.5 scn", 50.0),
        ("1 1 1 rg", 0.0),
    ] {
        let pdf = Pdf::page(&format!("{colour} 100 100 50 50 re f"), spaces);
        let (ink, ..) = most(&pdf);
        assert!((ink - expected).abs() < 0.9, "{colour}: {ink}");
    }
}

#[test]
fn samples_come_out_of_every_storage() {
    let samples: Vec<u8> = (0..8 * 6 * 4).map(|at| (at * 5 % 251) as u8).collect();
    let expected = samples
        .chunks(4)
        .map(|sample| sample.iter().map(|&s| u32::from(s)).sum::<u32>())
        .max()
        .unwrap();
    let cmyk = "/ColorSpace /DeviceCMYK";
    let inverted: Vec<u8> = samples.iter().map(|sample| 255 - sample).collect();
    let hex: String = samples
        .iter()
        .map(|sample| format!("{sample:02x}"))
        .collect();
    let place = "60 0 0 45 50 50";
    for (name, pdf) in [
        ("plain", picture(8, 6, cmyk, &samples, place)),
        (
            "deflated",
            picture(
                8,
                6,
                &format!("{cmyk} /Filter /FlateDecode"),
                &deflate(&samples),
                place,
            ),
        ),
        (
            "hex then deflated",
            picture(
                8,
                6,
                &format!("{cmyk} /Filter [/ASCIIHexDecode]"),
                format!("{hex}>").as_bytes(),
                place,
            ),
        ),
        (
            "inverted",
            picture(
                8,
                6,
                &format!("{cmyk} /Decode [1 0 1 0 1 0 1 0]"),
                &inverted,
                place,
            ),
        ),
        ("turned", picture(8, 6, cmyk, &samples, "0 60 -45 0 150 50")),
        (
            "askew",
            picture(8, 6, cmyk, &samples, "40 30 -25 40 150 50"),
        ),
    ] {
        let (ink, ..) = most(&pdf);
        assert!(
            (ink - f64::from(expected) / 2.55).abs() < 0.01,
            "{name}: {ink}"
        );
    }
}

#[test]
fn what_a_mask_hides_does_not_count() {
    let mut samples = vec![20_u8; 4 * 4 * 4];
    samples[..4].fill(255);
    let keyed = picture(
        4,
        4,
        "/ColorSpace /DeviceCMYK /Mask [255 255 255 255 255 255 255 255]",
        &samples,
        "60 0 0 60 50 50",
    );
    assert!((most(&keyed).0 - 80.0 / 2.55).abs() < 0.01);
    let mut masked = picture(
        4,
        4,
        "/ColorSpace /DeviceCMYK /Mask 7 0 R",
        &samples,
        "60 0 0 60 50 50",
    );
    masked.stream(
        7,
        "/Subtype /Image /ImageMask true /Width 4 /Height 4 /BitsPerComponent 1",
        &[0x80, 0, 0, 0],
    );
    assert!((most(&masked).0 - 80.0 / 2.55).abs() < 0.01);
}

#[test]
fn a_picture_written_into_the_contents_is_read() {
    let pdf = Pdf::page(
        "q 60 0 0 60 50 50 cm BI /W 2 /H 1 /CS /CMYK /BPC 8 /F /AHx ID 10101010 EEEEEEEE > EI Q \
         0 0 0 1 k 5 5 2 2 re f",
        "",
    );
    assert!((most(&pdf).0 - 4.0 * 238.0 / 2.55).abs() < 0.01);
}

#[test]
fn overprint_adds_ink_and_knocking_out_does_not() {
    let with = |state: &str| {
        Pdf::page(
            "0.8 0.7 0.6 0 k 0 0 200 200 re f /G gs 0 0 0 1 k 50 50 50 50 re f",
            &format!("/ExtGState << /G << {state} >> >>"),
        )
    };
    assert!((most(&with("/OP true /OPM 1")).0 - 310.0).abs() < 0.6);
    assert!((most(&with("/OP true /OPM 0")).0 - 210.0).abs() < 0.6);
    assert!((most(&with("/OP false")).0 - 210.0).abs() < 0.6);
}

#[test]
fn forms_and_hidden_layers_are_followed() {
    let mut pdf = Pdf::page(
        "/OC /Shown BDC 0.5 g 10 10 20 20 re f EMC /OC /Off BDC 1 1 1 1 k 50 50 20 20 re f EMC \
         q 1 0 0 1 90 90 cm /F Do Q",
        "/XObject << /F 9 0 R >> /Properties << /Shown 20 0 R /Off 21 0 R >>",
    );
    pdf.object(
        1,
        "<< /Type /Catalog /Pages 2 0 R /Metadata 6 0 R /OCProperties << /OCGs [20 0 R 21 0 R] /D << \
         /OFF [21 0 R] >> >> >>",
    );
    pdf.object(20, "<< /Type /OCG >>")
        .object(21, "<< /Type /OCG >>");
    pdf.stream(
        9,
        "/Subtype /Form /BBox [0 0 10 10]",
        b"0.5 0.5 0.5 0 k 0 0 99 99 re f",
    );
    let report = look(&pdf.bytes());
    assert!((report.pages[0].ink_most - 150.6).abs() < 0.1);
    let found: Vec<&str> = codes(&report).iter().map(|(code, _)| *code).collect();
    assert_eq!(
        found,
        [
            "check-output-intent-missing",
            "check-layers",
            "check-layer-hidden"
        ]
    );
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    /// However a picture lies, its highest sample is found, no less and no more.
    #[test]
    fn the_highest_sample_is_exact(
        width in 1_usize..60,
        height in 1_usize..60,
        seed in any::<u64>(),
        (across, down) in (30.0..200.0_f64, 30.0..150.0_f64),
        (x, y) in (0.0..90.0_f64, 0.0..80.0_f64),
        kind in 0..3,
    ) {
        let mut state = seed | 1;
        let samples: Vec<u8> = (0..width * height * 4)
            .map(|_| {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
                (state >> 56) as u8
            })
            .collect();
        let matrix = match kind {
            0 => format!("{across} 0 0 {down} {x} {y}"),
            // Lying on its side it must still end on the sheet: what is beyond is not printed.
            1 => format!("0 {} {down} 0 {x} {y}", across.min(SHEET[3] - y)),
            _ => format!("{} {} {} {} 120 {y}", across * 0.6, across * 0.3, -down * 0.2, down * 0.6),
        };
        let pdf = picture(width, height, "/ColorSpace /DeviceCMYK", &samples, &matrix);
        let expected = samples
            .chunks(4)
            .map(|sample| sample.iter().map(|&s| u32::from(s)).sum::<u32>())
            .max()
            .unwrap();
        let (ink, ..) = most(&pdf);
        prop_assert!((ink - f64::from(expected) / 2.55).abs() < 0.01, "{} {}", ink, expected);
    }

    /// The total never exceeds the sum of what was painted, and never falls below one paint alone.
    #[test]
    fn totals_stay_within_what_was_painted(
        paints in proptest::collection::vec((0.0..1.0_f64, 0.0..1.0_f64, 0.0..200.0_f64, 1.0..90.0_f64, any::<bool>()), 1..8),
    ) {
        let mut content = String::new();
        for (cyan, black, at, side, overprint) in &paints {
            let state = if *overprint { "/G" } else { "/H" };
            content += &format!("{state} gs {cyan} 0 0 {black} k {at} {at} {side} {side} re f\n");
        }
        let pdf = Pdf::page(&content, "/ExtGState << /G << /OP true /OPM 1 >> /H << /OP false >> >>");
        let (ink, ..) = most(&pdf);
        let highest = paints.iter().map(|p| p.0).fold(0.0, f64::max) + paints.iter().map(|p| p.1).fold(0.0, f64::max);
        let last = paints.last().unwrap();
        prop_assert!(ink <= highest * 100.0 + 0.5);
        prop_assert!(ink >= (last.0 + last.1) * 100.0 - 0.5);
    }
}

#[test]
fn without_a_limit_no_total_is_too_high() {
    let pdf = Pdf::page("1 1 1 1 k 50 50 50 50 re f", "").bytes();
    let report = press::check(&pdf, &Expected::default(), &|_, _| true);
    assert_eq!(codes(&report), []);
    assert!((report.pages[0].ink_most - 400.0).abs() < 0.01);
}
