//! Files as they come: ours, changed and saved again, cut, and no PDF at all.

use finding::Severity;
use measure::{Length, PixelSize, Rect, Size};
use press::{
    Expected, Facts, FileKind, ImageCoding, ImageData, ImageSource, OutputIntent, PageInput,
    PressWriter, Tint, check,
};

use super::build::Pdf;
use super::{codes, look};

#[test]
fn what_our_own_writer_makes_has_no_finding_and_keeps_its_ink() {
    let condition = colour::PressCondition::built_in("coated").unwrap();
    let intent = OutputIntent {
        identifier: condition.identifier.clone(),
        registry: condition.registry.clone(),
        info: condition.info.clone(),
        profile: condition.profile.bytes().to_vec(),
    };
    let facts = Facts {
        kind: FileKind::Interior,
        title: "Harbour".to_owned(),
        author: String::new(),
        language: "en".to_owned(),
        created: "2026-11-25T14:00:00Z".to_owned(),
        id: [7; 16],
    };
    let trim = Size::from_mm(60.0, 50.0);
    let bleed = Length::from_mm(3.0);
    // 300 pixels an inch over trim and bleed.
    let size = PixelSize {
        width: 780,
        height: 662,
    };
    for coding in [ImageCoding::Lossless, ImageCoding::Jpeg] {
        let mut samples: Vec<u8> = Vec::new();
        for y in 0..size.height {
            for x in 0..size.width {
                samples.extend([x / 5, y / 5, (x + y) / 12, 30].map(|v| v as u8));
            }
        }
        if coding == ImageCoding::Lossless {
            // One sample stands out: 290 percent, 200 pixels across and 100 down.
            let at = (100 * 780 + 200) * 4;
            samples[at..at + 4].copy_from_slice(&[255, 255, 200, 30]);
        }
        let mut writer = PressWriter::begin(Vec::new(), &facts, &intent).unwrap();
        let page = PageInput {
            ground: Some(Tint([0.0, 0.0, 0.1, 0.0])),
            images: vec![(
                Rect::from_mm(-3.0, -3.0, 66.0, 56.0),
                ImageSource::Made(ImageData::encode(size, coding, &samples)),
            )],
            ..PageInput::bare(trim, bleed)
        };
        writer.page(page).unwrap();
        let pdf = writer.finish().unwrap();
        let expected = Expected {
            trim: Some(trim),
            bleed: Some(bleed),
            pages: Some(1),
            press: Some(condition.clone()),
            ..Expected::default()
        };
        let report = check(&pdf, &expected, &|_, _| true);
        assert_eq!(codes(&report), [], "{:#?}", report.findings);
        let page = &report.pages[0];
        if coding == ImageCoding::Lossless {
            assert!(
                (page.ink_most - 740.0 / 2.55).abs() < 0.01,
                "{}",
                page.ink_most
            );
            let (x, y) = (page.ink_most_at.0.mm(), page.ink_most_at.1.mm());
            let (px, py) = (200.5 / 780.0 * 66.0 - 3.0, 100.5 / 662.0 * 56.0 - 3.0);
            assert!(
                (x - px).abs() < 0.25 && (y - py).abs() < 0.25,
                "{x} {y} for {px} {py}"
            );
        } else {
            // The lower right corner, give or take what JPEG does to it.
            let corner = (779 / 5 + 661 / 5 + (779 + 661) / 12 + 30) as f64 / 2.55;
            assert!(
                (page.ink_most - corner).abs() < 3.0,
                "{} for {corner}",
                page.ink_most
            );
        }
        assert!((page.lowest_ppi.unwrap() - 300.0).abs() < 0.5);
    }
}

#[test]
fn the_last_saved_change_counts() {
    let mut bytes = Pdf::page("1 1 1 1 k 50 50 50 50 re f", "").bytes();
    let table = |bytes: &[u8]| {
        let text = String::from_utf8_lossy(bytes).into_owned();
        let start = text.rfind("startxref\n").unwrap() + 10;
        text[start..]
            .lines()
            .next()
            .unwrap()
            .parse::<usize>()
            .unwrap()
    };
    let before = table(&bytes);
    let object = bytes.len();
    bytes.extend_from_slice(
        b"4 0 obj\n<< /Length 29 >>\nstream\n0.5 0 0 0 k 50 50 50 50 re f \nendstream\nendobj\n",
    );
    let start = bytes.len();
    bytes.extend_from_slice(
        format!(
            "xref\n4 1\n{object:010} 00000 n \ntrailer\n<< /Size 100 /Root 1 0 R /Prev {before} /ID [<01> \
             <02>] >>\nstartxref\n{start}\n%%EOF\n"
        )
        .as_bytes(),
    );
    let report = look(&bytes);
    assert_eq!(codes(&report), []);
    assert!((report.pages[0].ink_most - 50.2).abs() < 0.1);
}

#[test]
fn a_cut_file_is_said_to_be_cut() {
    for bytes in [
        Pdf::page("0.5 g 9 9 9 9 re f", "").bytes(),
        Pdf::page("0.5 g 9 9 9 9 re f", "").packed(),
    ] {
        for length in 0..bytes.len() - 6 {
            let report = look(&bytes[..length]);
            let stops = codes(&report).iter().any(|(code, severity)| {
                *severity == Severity::Stop && matches!(*code, "check-damaged" | "check-not-a-pdf")
            });
            assert!(stops, "cut at {length}: {:?}", codes(&report));
        }
    }
}

#[test]
fn a_wrong_table_is_mended_and_said() {
    let text = String::from_utf8_lossy(&Pdf::page("0.5 g 9 9 9 9 re f", "").bytes()).into_owned();
    for (from, to) in [
        ("startxref\n", "startxref\n9"),
        (" 00000 n", " 00000 x"),
        ("%PDF-1.6\n", "%PDF-1.6\n%%%%%%%\n"),
    ] {
        let spoilt = text.replacen(from, to, 1);
        let report = look(spoilt.as_bytes());
        assert_eq!(report.summary.pages, 1, "{from}");
        assert_eq!(codes(&report)[0].0, "check-damaged", "{from}");
    }
}

#[test]
fn what_is_no_pdf_is_one_finding() {
    for bytes in [
        &b""[..],
        b"Dear reader",
        b"%PDF-1.6",
        b"%PDF-1.6\n1 0 obj\n<< >>\nendobj\n%%EOF",
    ] {
        let report = look(bytes);
        assert_eq!(codes(&report), [("check-not-a-pdf", Severity::Stop)]);
    }
}
