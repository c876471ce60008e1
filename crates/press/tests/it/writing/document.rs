//! Plain documents: what is on a page, what a reader finds in them, and what cannot be one.

use book::drawing::Drawing;
use book::object::Object;
use book::plan::{Plan, Reads};
use lopdf::Dictionary;
use measure::{Length, Rect, Size};
use press::PressError;
use press::document::{self, Document, Drawn, Facts, Grey, LONGEST_SIDE, Mark, Page};
use proptest::prelude::*;
use words::label::{Label, Weight};
use words::letter::{Letter, Paper, Part};

use super::pages::golden;
use super::{content, dict, pages, read, rect};

fn facts() -> Facts {
    Facts {
        title: "Small Weather (drawing)".to_owned(),
        author: "Ann Other".to_owned(),
        subject: "A case & a jacket".to_owned(),
        language: "en".to_owned(),
        created: "2026-11-25T14:00:00Z".to_owned(),
        id: *b"sixteen bytes in",
    }
}

fn mm(x: f64, y: f64) -> (Length, Length) {
    (Length::from_mm(x), Length::from_mm(y))
}

fn line(from: (f64, f64), to: (f64, f64), dashes: Option<[Length; 2]>) -> Mark<'static> {
    Mark::Drawn(Drawn::Line {
        points: vec![mm(from.0, from.1), mm(to.0, to.1)],
        closed: false,
        width: Length::from_mm(0.5),
        grey: Grey::BLACK,
        dashes,
    })
}

/// The text that a reader finds on each page.
fn found(pdf: &[u8]) -> Vec<String> {
    let document = read(pdf);
    let numbers: Vec<u32> = document.get_pages().into_keys().collect();
    let text = |number| document.extract_text(&[number]).unwrap();
    numbers.into_iter().map(text).collect()
}

#[test]
fn a_page_of_an_area_lines_and_words_reads_like_this() {
    let label = Label {
        text: "spine 18.7",
        size: Length::from_mm(5.0),
        weight: Weight::Regular,
    };
    let set = words::label::set(&[label], "en").unwrap();
    let words = |reads, x| Mark::Words {
        runs: &set.lines[0].runs,
        at: mm(x, 80.0),
        reads,
        grey: Grey(0.25),
    };
    let dash = [Length::from_mm(2.0), Length::from_mm(1.0)];
    let page = Page {
        size: Size::from_mm(100.0, 100.0),
        name: "case wrap",
        fonts: &set.fonts,
        marks: vec![
            Mark::rect(Rect::from_mm(10.0, 20.0, 30.0, 40.0), Grey(0.5)),
            line((10.0, 10.0), (90.0, 10.0), None),
            line((10.0, 15.0), (90.0, 15.0), Some(dash)),
            Mark::Drawn(Drawn::Line {
                points: vec![mm(50.0, 20.0), mm(60.0, 20.0), mm(60.0, 30.0)],
                closed: true,
                width: Length::ZERO,
                grey: Grey(f32::NAN),
                dashes: None,
            }),
            words(Reads::Across, 10.0),
            words(Reads::Up, 50.0),
            words(Reads::Down, 70.0),
        ],
    };
    let mut document = Document::begin(Vec::new(), &facts()).unwrap();
    document.page(&page).unwrap();
    let pdf = document.finish().unwrap();
    let document = read(&pdf);
    golden(
        "document_page.txt",
        &content(&document, pages(&document)[0]),
    );
    assert_eq!(found(&pdf)[0].matches("spine 18.7").count(), 3);
}

#[test]
fn a_document_says_what_it_is_and_claims_to_be_no_press_file() {
    let mut document = Document::begin(Vec::new(), &facts()).unwrap();
    for name in ["section", "", "jacket"] {
        let page = Page {
            size: Size::from_mm(210.0, 297.0),
            name,
            fonts: &[],
            marks: Vec::new(),
        };
        document.page(&page).unwrap();
    }
    let pdf = document.finish().unwrap();
    let text = String::from_utf8_lossy(&pdf);
    for wanted in [
        "<rdf:li xml:lang=\"x-default\">Small Weather (drawing)</rdf:li>",
        "<rdf:li xml:lang=\"x-default\">A case &amp; a jacket</rdf:li>",
        "<rdf:li>en</rdf:li>",
        "/Lang (en)",
        "/PrintScaling /None",
    ] {
        assert!(text.contains(wanted), "{wanted}");
    }
    for unwanted in ["GTS_PDFX", "OutputIntent", "Trapped", "TrimBox"] {
        assert!(!text.contains(unwanted), "{unwanted}");
    }
    let read = read(&pdf);
    let page = pages(&read)[0];
    assert_eq!(rect(page, "MediaBox"), [0.0, 0.0, 595.276, 841.89]);
    let list = dict(&read, read.catalog().unwrap(), "Outlines");
    let title = |item: &Dictionary| lopdf::decode_text_string(item.get(b"Title").unwrap()).unwrap();
    assert_eq!(title(dict(&read, list, "First")), "section");
    assert_eq!(title(dict(&read, list, "Last")), "jacket");
}

#[test]
fn a_letter_of_some_pages_can_be_searched_on_each() {
    let letter = Letter {
        paper: Paper::A4,
        language: "en".to_owned(),
        sender: vec!["Ann Other".to_owned()],
        addressee: vec!["Some Press".to_owned()],
        particulars: vec![("Date".to_owned(), "1 December 2026".to_owned())],
        subject: "Prices, please".to_owned(),
        running: "R3".to_owned(),
        parts: (0..60)
            .map(|n| Part::Facts(vec![(format!("Part {n}"), "figures".to_owned())]))
            .collect(),
        on_missing: String::new(),
    };
    let set = letter.set().unwrap();
    assert!(set.pages.len() > 1);
    let pdf = document::letter(Vec::new(), &facts(), &set).unwrap();
    let found = found(&pdf);
    assert_eq!(found.len(), set.pages.len());
    assert!(found[0].contains("Prices, please"), "{}", found[0]);
    assert!(found.last().unwrap().contains("Part 59"));
    let again = document::letter(Vec::new(), &facts(), &set).unwrap();
    assert!(pdf == again, "the same letter gives the same bytes");
}

#[test]
fn a_drawing_has_its_size_and_all_its_words() {
    let book = book::read(
        "[book]\ntitle = \"Tide\"\n[format]\ntrim = \"250x300mm\"\n[binding]\nkind = \"sewn case\"\n\
         [jacket]\n[stock.text]\ngrammage = \"150 g/m2\"\nbulk = \"0.9 cm3/g\"\n[[page]]\n\
         name = \"one\"\ntreatment = \"blank\"\n",
    )
    .unwrap();
    let (plan, _) = Plan::lay_out(&book, &|_| None);
    let object = Object::of(&book, &plan);
    let drawings = Drawing::pages_of(&book, &object, &[]);
    let pdf = document::drawing(Vec::new(), &facts(), &drawings).unwrap();
    let read = read(&pdf);
    let said = found(&pdf);
    assert_eq!(said.len(), drawings.len());
    for ((page, drawing), said) in pages(&read).into_iter().zip(&drawings).zip(&said) {
        let [_, _, width, height] = rect(page, "MediaBox");
        let size = drawing.size();
        for (points, length) in [(width, size.width), (height, size.height)] {
            assert!((f64::from(points) - length.inches() * 72.0).abs() < 0.001);
        }
        for shown in drawing.shown() {
            if let book::drawing::Shown::Words { text, .. } = shown {
                assert!(said.contains(text), "`{text}` in {said}");
            }
        }
    }
}

#[test]
fn a_page_that_no_reader_opens_is_refused_and_so_is_all_after_it() {
    let page = |width| Page {
        size: Size {
            width,
            height: Length::from_mm(10.0),
        },
        name: "",
        fonts: &[],
        marks: Vec::new(),
    };
    let mut document = Document::begin(Vec::new(), &facts()).unwrap();
    document.page(&page(LONGEST_SIDE)).unwrap();
    let wide = page(LONGEST_SIDE + Length::from_um(1.0));
    let error = document.page(&wide).unwrap_err();
    assert!(
        error.to_string().contains("is none that a PDF can have"),
        "{error}"
    );
    let after = document.page(&page(LONGEST_SIDE)).unwrap_err();
    assert!(matches!(after, PressError::Broken));
    assert!(matches!(document.finish(), Err(PressError::Broken)));
}

fn any_length() -> impl Strategy<Value = Length> {
    prop_oneof![
        any::<i64>().prop_map(Length::from_nm),
        (-6_000.0..6_000.0).prop_map(Length::from_mm),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn any_marks_and_facts_give_a_document_that_can_be_read(
        title in any::<String>(), name in any::<String>(), points in prop::collection::vec((any_length(), any_length()), 0..5),
        width in any_length(), dash in any_length(), grey in any::<f32>(), closed in any::<bool>(),
    ) {
        let grey = Grey(grey);
        let marks = vec![
            Mark::Drawn(Drawn::Area { points: points.clone(), grey }),
            Mark::Drawn(Drawn::Line { points, closed, width, grey, dashes: Some([dash, width]) }),
        ];
        let facts = Facts { title, subject: name.clone(), ..facts() };
        let mut document = Document::begin(Vec::new(), &facts).unwrap();
        document.page(&Page { size: Size::from_mm(100.0, 100.0), name: &name, fonts: &[], marks }).unwrap();
        let pdf = document.finish().unwrap();
        let read = read(&pdf);
        prop_assert_eq!(read.get_pages().len(), 1);
        let drawn = content(&read, pages(&read)[0]);
        prop_assert!(!drawn.contains("NaN") && !drawn.contains("inf"), "{}", drawn);
    }
}
