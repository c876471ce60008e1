use std::path::Path;

use book::object::FlatKind;
use book::plan::Reads;
use measure::{Length, Rect, Size};
use press::{Beside, ImageCoding, ImageSource, Margin, PageInput, PressWriter, Tint, WordsInput};
use proptest::prelude::*;
use words::{Block, Style};

use super::{blank, content, facts, four_samples, intent, pages, read, rect, small, write};

/// Compares with a golden file beside this one; `BLESS=1` writes it anew.
pub(super) fn golden(name: &str, found: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/it/writing/golden")
        .join(name);
    if std::env::var_os("BLESS").is_some() {
        std::fs::write(&path, found).unwrap();
    }
    let wanted = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(
        found == wanted,
        "{name} differs; BLESS=1 accepts this:\n{found}"
    );
}

/// A PDF as text: streams that are no text are told by their length.
fn readable(pdf: &[u8]) -> String {
    let mut out = String::new();
    let mut rest = pdf;
    let find = |bytes: &[u8], wanted: &[u8]| bytes.windows(wanted.len()).position(|w| w == wanted);
    while let Some(at) = find(rest, b"stream\n") {
        let (head, tail) = rest.split_at(at + b"stream\n".len());
        let end = find(tail, b"\nendstream").unwrap();
        out.push_str(&String::from_utf8_lossy(head));
        match std::str::from_utf8(&tail[..end]) {
            Ok(text) if !text.contains('\0') => out.push_str(text),
            _ => out.push_str(&format!("… {end} bytes …")),
        }
        out.push_str("\nendstream");
        rest = &tail[end + b"\nendstream".len()..];
    }
    out.push_str(&String::from_utf8_lossy(rest));
    out.replace("\r\n", "\n")
}

#[test]
fn a_page_with_ground_and_pictures_reads_like_this() {
    let mut page = small();
    page.ground = Some(Tint([0.1, 0.0, 0.25, 1.0]));
    page.images = vec![
        (
            Rect::from_mm(-3.0, -3.0, 106.0, 126.0),
            ImageSource::Made(four_samples(ImageCoding::Lossless)),
        ),
        (
            Rect::from_mm(50.0, 60.0, 100.0, 20.0),
            ImageSource::Made(four_samples(ImageCoding::Jpeg)),
        ),
    ];
    let (pdf, _) = write(vec![page]).unwrap();
    golden("picture_page.txt", &readable(&pdf));
}

#[test]
fn words_black_and_bare_and_turned_read_like_this() {
    let galley = words::set(&Block {
        size: Size::from_mm(60.0, 10.0),
        style: Style::Caption,
        heading: String::new(),
        paragraphs: vec!["An office".to_owned()],
        language: "en".to_owned(),
    })
    .unwrap();
    let placed = |paper, reads| WordsInput {
        galley: galley.clone(),
        x: Length::from_mm(20.0),
        y: Length::from_mm(30.0),
        paper,
        reads,
    };
    let mut page = small();
    page.words = vec![placed(false, Reads::Across), placed(true, Reads::Down)];
    let (pdf, _) = write(vec![page]).unwrap();
    let document = read(&pdf);
    let content = content(&document, pages(&document)[0]);
    // Glyph numbers of two bytes are told in hexadecimal digits.
    let mut shown = String::new();
    for c in content.chars() {
        match c {
            '\n' | ' '..='~' => shown.push(c),
            _ => shown.push_str(&format!("\\{:02x}", u32::from(c))),
        }
    }
    golden("words_page.txt", &shown);
}

#[test]
fn a_strip_beside_a_page_lies_in_the_media_box_and_outside_the_bleed() {
    let mut press = PressWriter::begin(Vec::new(), &facts(), &intent()).unwrap();
    let mut page = small();
    page.images = vec![(
        Rect::from_mm(-50.0, -50.0, 300.0, 300.0),
        ImageSource::Made(four_samples(ImageCoding::Lossless)),
    )];
    let beside = Beside {
        margin: Margin {
            top: Length::from_mm(5.0),
            right: Length::from_mm(2.0),
            bottom: Length::from_mm(30.0),
            left: Length::from_mm(10.0),
        },
        // From the trim's left edge, 5 mm under its lower one.
        tints: vec![(
            Rect::from_mm(0.0, 125.0, 20.0, 10.0),
            Tint([0.25, 0.5, 0.0, 1.0]),
        )],
        ..Beside::default()
    };
    press.page_beside(page, &beside).unwrap();
    let pdf = press.finish().unwrap();
    let document = read(&pdf);
    let page = pages(&document)[0];
    let mm = |points: f32| (f64::from(points) * 25.4 / 72.0 * 100.0).round() / 100.0;
    // 100 × 120 mm with 3 mm of bleed, 118 × 161 mm of paper.
    let boxes = |name| rect(page, name).map(mm);
    assert_eq!(boxes("MediaBox"), [0.0, 0.0, 118.0, 161.0]);
    assert_eq!(boxes("BleedBox"), [10.0, 30.0, 116.0, 156.0]);
    assert_eq!(boxes("TrimBox"), [13.0, 33.0, 113.0, 153.0]);
    let content = content(&document, page);
    // The picture runs over and is clipped at the bleed; the tint is painted where it stands.
    let clip = content.find("W\n").unwrap();
    let clipped: Vec<f32> = content[..clip]
        .split_whitespace()
        .filter_map(|word| word.parse().ok())
        .collect();
    // Edges are rounded, not sides.
    assert_eq!(clipped, [28.346, 85.039, 300.473, 357.166]);
    assert!(
        content.contains("0.25 0.5 0 1 k\n36.85 51.024 56.693 28.346 re\nf"),
        "{content}"
    );
}

#[test]
fn boxes_are_rounded_once_to_a_thousandth_of_a_point() {
    let (pdf, _) = write(vec![blank(
        Size::from_mm(250.0, 300.0),
        Length::from_mm(3.0),
    )])
    .unwrap();
    let document = read(&pdf);
    let page = pages(&document)[0];
    // 256 mm and 306 mm, and 3 mm inside them, at 72 points to 25.4 mm.
    assert_eq!(rect(page, "MediaBox"), [0.0, 0.0, 725.669, 867.402]);
    assert_eq!(rect(page, "BleedBox"), rect(page, "MediaBox"));
    assert_eq!(rect(page, "TrimBox"), [8.504, 8.504, 717.165, 858.898]);
    assert!(!page.has(b"CropBox") && !page.has(b"ArtBox"));
}

#[test]
fn an_interior_lies_open_with_odd_pages_on_the_right_and_a_cover_lies_alone() {
    for (kind, layout, title) in [
        (
            press::FileKind::Interior,
            Some("TwoPageRight"),
            "Small Weather",
        ),
        (
            press::FileKind::Sheet(FlatKind::SoftCover),
            None,
            "Small Weather (cover)",
        ),
    ] {
        let facts = press::Facts { kind, ..facts() };
        let mut press = press::PressWriter::begin(Vec::new(), &facts, &intent()).unwrap();
        press.page(small()).unwrap();
        let document = read(&press.finish().unwrap());
        let found = document.catalog().unwrap().get(b"PageLayout").ok();
        assert_eq!(
            found.map(|name| name.as_name().unwrap()),
            layout.map(str::as_bytes)
        );
        let info = super::dict(&document, &document.trailer, "Info");
        assert_eq!(
            info.get(b"Title").unwrap().as_str().unwrap(),
            title.as_bytes()
        );
    }
}

#[derive(Debug, Clone)]
struct AnyPage {
    trim: Size,
    bleed: Length,
    ground: Option<[f32; 4]>,
    images: Vec<(Rect, ImageCoding)>,
}

fn any_page() -> impl Strategy<Value = AnyPage> {
    let nm = |range: std::ops::Range<i64>| range.prop_map(Length::from_nm);
    let side = || nm(1_000_000..2_000_000_000);
    let place = || nm(-600_000_000..600_000_000);
    let extent = || nm(0..900_000_000);
    let rect = (place(), place(), extent(), extent())
        .prop_map(|(x, y, width, height)| Rect::new(x, y, width, height));
    let coding = prop_oneof![Just(ImageCoding::Lossless), Just(ImageCoding::Jpeg)];
    (
        (side(), side()),
        nm(-1_000_000..20_000_000),
        prop::option::of(prop::array::uniform4(any::<f32>())),
        prop::collection::vec((rect, coding), 0..4),
    )
        .prop_map(|((width, height), bleed, ground, images)| AnyPage {
            trim: Size { width, height },
            bleed,
            ground,
            images,
        })
}

impl AnyPage {
    fn input(&self) -> PageInput<'static> {
        let mut page = blank(self.trim, self.bleed);
        page.ground = self.ground.map(Tint);
        page.images = self
            .images
            .iter()
            .map(|(rect, coding)| (*rect, ImageSource::Made(four_samples(*coding))))
            .collect();
        page
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn any_pages_come_out_in_order_with_nested_boxes(
        input in prop::collection::vec(any_page(), 1..5),
    ) {
        let (pdf, stored) = write(input.iter().map(AnyPage::input).collect()).unwrap();
        let document = read(&pdf);
        let pages = pages(&document);
        prop_assert_eq!(pages.len(), input.len());
        for (index, page) in pages.iter().enumerate() {
            let [left, bottom, right, top] = rect(page, "TrimBox");
            let media = rect(page, "MediaBox");
            prop_assert!(0.0 <= left && left < right && right <= media[2]);
            prop_assert!(0.0 <= bottom && bottom < top && top <= media[3]);
            prop_assert_eq!(rect(page, "BleedBox"), media);
            // Within a thousandth of a point, and the float that carries it.
            let wanted = input[index].trim.width.inches() * 72.0;
            prop_assert!((f64::from(right - left) - wanted).abs() < 0.002);
            prop_assert_eq!(stored[index].images.len(), input[index].images.len());
            for image in &stored[index].images {
                let data = &pdf[image.offset as usize..(image.offset + image.length) as usize];
                prop_assert_eq!(data, &four_samples(image.coding).bytes[..]);
            }
        }
    }
}
