//! Measuring by hand: what follows from a book on the shelf and from a dummy, held against worked
//! examples, against random errors, and against books whose paper is known.

use book::edit::apply;
use book::measured::dummy::{DummyMeasured, DummyRead};
use book::measured::shelf::{OnTheShelf, Told};
use book::measured::{MeasuredError, Tools};
use book::object::Object;
use book::{BindingKind, Book, read};
use measure::{Length, Mass, Size};
use proptest::prelude::*;

use crate::builder::BookText;

const EXAMPLES: &str = include_str!("../tables/spine_and_signature_examples.csv");

/// The row of the examples that begins so; a test must not outlive its source.
fn row(start: &str) -> &'static str {
    EXAMPLES
        .lines()
        .find(|line| line.starts_with(start))
        .unwrap_or_else(|| panic!("the table has no row `{start}`"))
}

fn near(found: f64, expected: f64, off: f64) {
    assert!((found - expected).abs() <= off, "{found} is not {expected}");
}

fn shelf() -> OnTheShelf {
    OnTheShelf {
        kind: BindingKind::GluedSoft,
        page: Size::from_mm(250.0, 300.0),
        block: Length::from_mm(12.96),
        pages: 192,
        mass: Mass::from_grams(1126.0),
        board: None,
        with: Vec::new(),
        weighed: vec![("cover".to_owned(), Mass::from_grams(46.0))],
        finish: None,
        tools: Tools::household(),
    }
}

#[test]
fn the_worked_spine_example_is_told_from_its_measures_with_their_error() {
    assert!(row("spine_example").contains("12.96 mm block (96 leaves x 0.135 mm)"));
    assert!(row("spine_example").contains("150 g/m2, bulk 0.90"));
    // Text: 96 leaves × 0.25 m × 0.3 m × 150 g/m² = 1,080 g; 46 g of cover were weighed.
    let told = Told::of(&shelf(), &[]).unwrap();
    near(told.caliper_um.value, 135.0, 1e-9);
    near(told.grammage_gsm.value, 150.0, 1e-9);
    near(told.bulk_cm3_per_g.value, 0.9, 1e-12);
    // By hand, as bounds ÷ √3: two weighings of ± 1 g are 0.0756 % of 1,080 g, the ruler 0.1155 % of
    // 250 mm and 0.0962 % of 300 mm, together 0.1683 %; twice that of 150 is 0.505.
    near(told.grammage_gsm.likely, 0.505, 0.001);
    // The ruler is 2.2274 % of the block: twice that of 135 is 6.014, and with the weight's error
    // 2.2338 %, twice of 0.9 is 0.0402.
    near(told.caliper_um.likely, 6.014, 0.001);
    near(told.bulk_cm3_per_g.likely, 0.0402, 0.0001);
    // Everything off at once: (1127 − 45) ÷ (96 × 0.2495 × 0.2995).
    near(
        told.grammage_gsm.highest,
        1082.0 / (96.0 * 0.2495 * 0.2995),
        1e-9,
    );
    assert_eq!(told.bulk_error[0].0, "block");
    assert!(told.advice.contains("caliper gauge"), "{}", told.advice);
    let first = &told.nearest[0];
    assert_eq!(
        (first.name.as_str(), first.grammage.gsm()),
        ("silk coated", 150.0)
    );
    assert!(first.can_be() && first.away < 0.1);
}

#[test]
fn thickness_and_weight_rows_of_the_tables_come_back() {
    // The publishers' rule in British volumes: 320 pages of 80 g/m² at volume 18 are 23.04 mm.
    assert!(EXAMPLES.contains("320 pp x 80 gsm x vol 18 = 23.04 mm"));
    let page = Size::from_mm(129.0, 198.0);
    let text = 160.0 * page.square_metres() * 80.0;
    let book = OnTheShelf {
        page,
        block: Length::from_mm(23.04),
        pages: 320,
        mass: Mass::from_grams(text + 12.0),
        weighed: vec![("cover".to_owned(), Mass::from_grams(12.0))],
        ..shelf()
    };
    let told = Told::of(&book, &[]).unwrap();
    near(told.bulk_cm3_per_g.value, 1.8, 1e-6);
    assert_eq!(told.nearest[0].name, "volume 18 uncoated");
    // A hundred leaves of A4 at 150 g/m² weigh 935.55 g.
    assert!(row("weight").contains("935.55 g"));
    let book = OnTheShelf {
        page: Size::from_mm(210.0, 297.0),
        block: Length::from_mm(13.5),
        pages: 200,
        mass: Mass::from_grams(935.55),
        weighed: vec![("cover".to_owned(), Mass::ZERO)],
        ..shelf()
    };
    near(
        Told::of(&book, &[]).unwrap().grammage_gsm.value,
        150.0,
        1e-6,
    );
}

#[test]
fn what_nobody_weighed_is_reckoned_and_counts_into_the_error() {
    let weighed = Told::of(&shelf(), &[]).unwrap();
    let unweighed = Told::of(
        &OnTheShelf {
            weighed: Vec::new(),
            ..shelf()
        },
        &[],
    )
    .unwrap();
    let cover = &unweighed.parts[0];
    assert_eq!((cover.name.as_str(), cover.weighed), ("cover", false));
    assert!(unweighed.grammage_gsm.likely > weighed.grammage_gsm.likely * 2.0);
    assert_eq!(unweighed.weight_error[0].0, "cover");
}

#[test]
fn figures_that_cannot_be_say_why() {
    let wrong = |book: OnTheShelf| Told::of(&book, &[]).unwrap_err();
    let odd = wrong(OnTheShelf {
        pages: 191,
        ..shelf()
    });
    assert!(odd.to_string().contains("191 pages are odd"), "{odd}");
    let light = wrong(OnTheShelf {
        mass: Mass::from_grams(40.0),
        ..shelf()
    });
    assert!(
        matches!(light, MeasuredError::Contradiction { .. }),
        "{light}"
    );
    let inches = wrong(OnTheShelf {
        page: Size::from_mm(8.5, 11.0),
        ..shelf()
    });
    assert_eq!(
        inches.to_string(),
        "the width of a page is 8.5 mm; it must lie within 50 to 1,000 mm"
    );
    let spoon = wrong(OnTheShelf {
        weighed: vec![("spoon".to_owned(), Mass::from_grams(40.0))],
        ..shelf()
    });
    assert!(
        spoon
            .to_string()
            .contains("no part `spoon`; its parts are cover"),
        "{spoon}"
    );
    let airy = wrong(OnTheShelf {
        block: Length::from_mm(60.0),
        ..shelf()
    });
    assert!(airy.to_string().contains("4.17 cm³/g"), "{airy}");
    let thin = wrong(OnTheShelf {
        block: Length::from_mm(0.8),
        pages: 16,
        ..shelf()
    });
    assert!(thin.to_string().contains("too thin for a tool"), "{thin}");
}

/// A plain pseudo-random number from −1 to 1 (a 64-bit linear congruence, Knuth's constants).
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1_u64 << 52) as f64 - 1.0
    }
}

#[test]
fn errors_carried_on_are_those_of_random_measuring() {
    let truth = OnTheShelf {
        weighed: Vec::new(),
        ..shelf()
    };
    let told = Told::of(&truth, &[]).unwrap();
    let cover = &told.parts[0];
    let mut dice = Dice(20_261_125);
    let (mut weights, mut bulks, mut within) = (Vec::new(), Vec::new(), 0);
    for _ in 0..100_000 {
        let mass = 1126.0 + dice.roll() - cover.mass.grams() + cover.off.grams() * dice.roll();
        let (width, height) = (250.0 + 0.5 * dice.roll(), 300.0 + 0.5 * dice.roll());
        let block = 12.96 + 0.5 * dice.roll();
        let weight = mass * 1e6 / (96.0 * width * height);
        let bulk = block * 1000.0 / 96.0 / weight;
        within += u32::from((bulk - told.bulk_cm3_per_g.value).abs() <= told.bulk_cm3_per_g.likely);
        assert!(told.bulk_cm3_per_g.allows(bulk) && told.grammage_gsm.allows(weight));
        weights.push(weight);
        bulks.push(bulk);
    }
    for (values, unsure) in [(weights, told.grammage_gsm), (bulks, told.bulk_cm3_per_g)] {
        let count = values.len() as f64;
        let mean = values.iter().sum::<f64>() / count;
        let variance = values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / count;
        let likely = 2.0 * variance.sqrt();
        assert!(
            (likely / unsure.likely - 1.0).abs() < 0.02,
            "{likely} drawn, {} carried on",
            unsure.likely
        );
    }
    // One bound rules here (the block), and two deviations of a flat distribution hold all of it.
    assert!(within > 95_000, "{within}");
}

/// A book of known papers, as it is reckoned forward.
fn made(kind: &'static str, trim: (u32, u32), pages: u32, gsm: u32, bulk: u32) -> (Book, Object) {
    let book = BookText {
        trim: format!("{}x{}mm", trim.0, trim.1),
        kind,
        text_stock: format!(
            "grammage = \"{gsm} g/m2\"\nbulk = \"{:.2} cm3/g\"",
            f64::from(bulk) / 100.0
        ),
        format: "safe = \"0mm\"\nfold = \"0mm\"".to_owned(),
        ..BookText::default()
    }
    .book();
    let object = Object::of_pages(&book, pages, vec![16]);
    (book, object)
}

fn any_kind() -> impl Strategy<Value = (&'static str, BindingKind)> {
    prop::sample::select(vec![
        ("sewn case", BindingKind::SewnCase),
        ("sewn soft", BindingKind::SewnSoft),
        ("glued soft", BindingKind::GluedSoft),
        ("wire-stitched", BindingKind::WireStitched),
    ])
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    /// Made of a known paper, and measured with a ruler and a scale that are off by anything they
    /// may be off by, each book tells its paper within the error that is stated.
    #[test]
    fn a_book_of_known_paper_is_told_within_the_stated_error(
        (kind, bound) in any_kind(),
        trim in (110..400_u32, 110..400_u32),
        leaves in 30..300_u32,
        gsm in 70..250_u32,
        bulk in 75..190_u32,
        errors in prop::array::uniform4(-1.0..=1.0_f64),
        weighs_parts in any::<bool>(),
    ) {
        let (book, object) = made(kind, trim, leaves * 2, gsm, bulk);
        prop_assume!(object.block.mm() < 190.0 && object.copy_g() < 15_000.0);
        let mm = |mm: f64, off: f64| Length::from_mm(mm + 0.5 * off);
        let weighed = if weighs_parts {
            object
                .parts
                .iter()
                .filter(|part| part.name != "text" && part.mass.grams() > 0.0)
                .map(|part| (part.name.clone(), part.mass))
                .collect()
        } else {
            Vec::new()
        };
        let told = Told::of(&OnTheShelf {
            kind: bound,
            page: Size {
                width: mm(f64::from(trim.0), errors[0]),
                height: mm(f64::from(trim.1), errors[1]),
            },
            block: mm(object.block.mm(), errors[2]),
            pages: object.pages,
            mass: Mass::from_grams(object.copy_g() + errors[3]),
            board: None,
            with: Vec::new(),
            weighed,
            finish: None,
            tools: Tools::household(),
        }, &[]);
        let told = match told {
            Ok(told) => told,
            // Parts that nobody weighed may outweigh a thin text: that is said, and not guessed.
            Err(MeasuredError::Contradiction { .. }) if !weighs_parts => return Ok(()),
            Err(error) => return Err(TestCaseError::fail(error.to_string())),
        };
        let grammage = book.text_stock.grammage.gsm();
        prop_assert!(told.grammage_gsm.allows(grammage), "{} of {grammage}", told.grammage_gsm);
        prop_assert!(told.caliper_um.allows(object.caliper.um()), "{}", told.caliper_um);
        let real = object.caliper.um() / grammage;
        prop_assert!(told.bulk_cm3_per_g.allows(real), "{} of {real}", told.bulk_cm3_per_g);
        prop_assert!(told.bulk_cm3_per_g.likely > 0.0);
    }

    /// A dummy made of another paper, with another swell or other boards, teaches them: with what it
    /// taught, the book foretells what was measured, and a second dummy teaches nothing more.
    #[test]
    fn what_a_dummy_teaches_foretells_the_dummy(
        (kind, bound) in any_kind(),
        leaves in 48..300_u32,
        bulk in 80..160_u32,
        board_um in 1500..3500_i64,
        swell_um in 300..2500_i64,
        knows in any::<bool>(),
    ) {
        let text = BookText {
            kind,
            text_stock: if knows {
                "grammage = \"150 g/m2\"\ncaliper = \"0.12mm\"".to_owned()
            } else {
                "grammage = \"150 g/m2\"\nfinish = \"silk\"".to_owned()
            },
            ..BookText::default()
        }
        .blanks(8)
        .text();
        let book = read(&text).unwrap();
        // The real one.
        let (mut real, _) = made(kind, (250, 300), leaves * 2, 150, bulk);
        let is_case = bound == BindingKind::SewnCase;
        if is_case {
            real.binding.board = Length::from_um(board_um as f64);
            real.object.board = Some(real.binding.board);
        } else if bound == BindingKind::SewnSoft {
            real.object.swell = Some(Length::from_um(swell_um as f64));
        }
        let dummy = Object::of_pages(&real, leaves * 2, vec![16]);
        let stitched = bound == BindingKind::WireStitched;
        let measured = DummyMeasured {
            pages: Some(leaves * 2),
            block: Some(dummy.block),
            spine: (!stitched).then_some(dummy.spine),
            mass: None,
            board: None,
            cover: None,
            endpaper: None,
            tools: Tools { gauge: Length::from_um(20.0), ..Tools::household() },
        };
        let foretold = Object::of_pages(&book, leaves * 2, vec![16]);
        let taught = DummyRead::of(&book, &foretold, &measured).unwrap();
        if let Some(edit) = taught.edit("dummy 1 (block as measured)") {
            let (text, _) = apply(&text, &edit).unwrap();
            let learned = read(&text).unwrap();
            let after = Object::of_pages(&learned, leaves * 2, vec![16]);
            // Where a given figure already lay within the error, it may have stayed.
            let block = (after.block - dummy.block).abs().mm();
            prop_assert!(block < 0.035, "{} of {}", after.block, dummy.block);
            let spine = (after.spine - dummy.spine).abs().mm();
            prop_assert!(spine < 0.4, "{} of {}", after.spine, dummy.spine);
            let again = DummyRead::of(&learned, &after, &measured).unwrap();
            prop_assert!(
                again.lessons.is_empty(),
                "{:?}", again.lessons
            );
            for lesson in &taught.lessons {
                prop_assert_eq!(
                    learned.source_of(lesson.key),
                    Some("dummy 1 (block as measured)")
                );
            }
        }
    }

    #[test]
    fn any_figures_are_answered(
        (kind, bound) in any_kind(),
        figures in prop::array::uniform6(prop::option::of(-10.0..400.0_f64)),
        pages in prop::option::of(0..3000_u32),
        tools in (0.0..6.0_f64, 0.0..6.0_f64, 0.0..120.0_f64),
    ) {
        let (book, object) = made(kind, (250, 300), 160, 150, 90);
        let length = |index: usize| figures[index].map(Length::from_mm);
        let tools = Tools {
            ruler: Length::from_mm(tools.0),
            gauge: Length::from_mm(tools.1),
            scale: Mass::from_grams(tools.2),
        };
        let _ = DummyRead::of(&book, &object, &DummyMeasured {
            pages,
            block: length(0),
            spine: length(1),
            mass: figures[2].map(|grams| Mass::from_grams(grams * 10.0)),
            board: length(3),
            cover: length(4),
            endpaper: length(5),
            tools,
        });
        let _ = Told::of(&OnTheShelf {
            kind: bound,
            page: Size {
                width: length(0).unwrap_or(Length::from_mm(200.0)),
                height: length(1).unwrap_or(Length::from_mm(200.0)),
            },
            block: length(2).unwrap_or(Length::from_mm(20.0)),
            pages: pages.unwrap_or(200),
            mass: Mass::from_grams(figures[3].unwrap_or(500.0)),
            board: length(4),
            with: vec!["jacket".to_owned(), "ribbons".to_owned()],
            weighed: vec![("cover".to_owned(), Mass::from_grams(figures[5].unwrap_or(20.0)))],
            finish: None,
            tools,
        }, &[]);
    }
}

fn dummy(block: Option<&str>, spine: Option<&str>) -> DummyMeasured {
    let length = |text: Option<&str>| text.map(|text| text.parse().unwrap());
    DummyMeasured {
        pages: None,
        block: length(block),
        spine: length(spine),
        mass: None,
        board: None,
        cover: None,
        endpaper: None,
        tools: Tools::household(),
    }
}

#[test]
fn the_published_spines_teach_their_calipers() {
    assert!(row("spine,\"128 pages, caliper 0.0039 in\"").contains("0.2496 in"));
    assert!(row("spine,\"200 pages, 60 lb paper 0.005 in\"").contains("0.5 in"));
    for (pages, block, caliper) in [(128, "0.2496in", 0.0039), (200, "0.5in", 0.005)] {
        let (book, object) = made("glued soft", (152, 229), pages, 90, 150);
        let read = DummyRead::of(&book, &object, &dummy(Some(block), None)).unwrap();
        let leaf = read
            .compared
            .iter()
            .find(|one| one.what == "One leaf")
            .unwrap();
        near(leaf.measured.value / 25_400.0, caliper, 1e-9);
        let lesson = &read.lessons[0];
        assert_eq!(lesson.key, "stock.text.caliper");
        let length: Length = lesson.value.parse().unwrap();
        near(length.inches(), caliper, 2e-6);
    }
}

#[test]
fn a_dummy_of_a_case_teaches_its_boards_and_its_paper() {
    // By hand: 192 pages of assumed silk at 0.9 are foretold 12.96 mm; 13.44 mm are measured, so
    // a leaf is 140 µm. The spine of 20.1 mm leaves 20.1 − 13.44 − 4 × 0.175 = 5.96: boards of 2.98.
    let text = BookText {
        kind: "sewn case",
        text_stock: "grammage = \"150 g/m2\"\nfinish = \"silk\"".to_owned(),
        ..BookText::default()
    }
    .blanks(192)
    .text();
    let book = read(&text).unwrap();
    let object = Object::of_pages(&book, 192, vec![16; 12]);
    let mut measured = dummy(Some("13.44mm"), Some("20.1mm"));
    measured.tools.gauge = Length::from_mm(0.05);
    let read_off = DummyRead::of(&book, &object, &measured).unwrap();
    let values: Vec<(&str, &str)> = read_off
        .lessons
        .iter()
        .map(|lesson| (lesson.key, lesson.value.as_str()))
        .collect();
    assert_eq!(
        values,
        [
            ("stock.text.caliper", "0.14mm"),
            ("binding.board", "2.98mm")
        ]
    );
    let (text, what) = apply(&text, &read_off.edit("dummy 1 (measured)").unwrap()).unwrap();
    assert_eq!(
        what,
        "Took in the thickness of the text paper, the board from dummy 1 (measured)"
    );
    assert!(
        text.contains("[source]\n\"stock.text.caliper\" = \"0.14mm, from dummy 1 (measured)\"\n"),
        "{text}"
    );
    let after = Object::of_pages(&read(&text).unwrap(), 192, vec![16; 12]);
    assert_eq!(after.spine, Length::from_mm(20.1));
    let board = after
        .part("boards")
        .unwrap()
        .dimensions
        .iter()
        .find(|one| one.name == "Board");
    assert_eq!(board.unwrap().how, "dummy 1 (measured)");
    // A figure that is set by hand afterwards no longer comes from the dummy.
    let set = book::edit::Edit::Set {
        key: "binding.board".to_owned(),
        value: "3mm".to_owned(),
    };
    let (text, _) = apply(&text, &set).unwrap();
    assert!(!text.contains("\"binding.board\""), "{text}");
    // Nor does one that was changed in the file itself.
    let by_hand = text.replace("caliper = \"0.14mm\"", "caliper = \"0.15mm\"");
    assert_eq!(
        read(&by_hand).unwrap().source_of("stock.text.caliper"),
        None
    );
}

#[test]
fn a_mass_that_speaks_of_another_paper_is_said_and_one_that_does_not_is_kept() {
    let (book, object) = made("glued soft", (250, 300), 192, 150, 90);
    let mut measured = dummy(None, None);
    measured.mass = Some(Mass::from_grams(object.copy_g() - 5.0));
    let read = DummyRead::of(&book, &object, &measured).unwrap();
    assert!(read.lessons.is_empty() && read.findings.is_empty());
    assert_eq!(read.kept.len(), 1);
    // 1,080 g of text become 900: 125 g/m².
    measured.mass = Some(Mass::from_grams(object.copy_g() - 180.0));
    let read = DummyRead::of(&book, &object, &measured).unwrap();
    assert_eq!(read.lessons[0].value, "125 g/m2");
    assert_eq!(read.findings[0].code, "book-dummy-other-paper");
}

#[test]
fn a_given_spine_gives_way_to_a_measured_one() {
    let text = BookText {
        object: "spine = \"14.5mm\"".to_owned(),
        ..BookText::default()
    }
    .blanks(192)
    .text();
    let book = read(&text).unwrap();
    let object = Object::of_pages(&book, 192, vec![16; 12]);
    let read_off = DummyRead::of(&book, &object, &dummy(Some("13mm"), Some("15.4mm"))).unwrap();
    let lesson = read_off
        .lessons
        .iter()
        .find(|one| one.key == "binding.spine")
        .unwrap();
    assert_eq!(
        (lesson.value.as_str(), lesson.before.as_str()),
        ("", "14.5 mm, given")
    );
    let (text, _) = apply(&text, &read_off.edit("dummy 1").unwrap()).unwrap();
    assert!(!text.contains("14.5mm"), "{text}");
}

#[test]
fn a_dummy_that_cannot_be_says_why() {
    let (book, object) = made("wire-stitched", (250, 300), 48, 150, 90);
    let wrong = |measured: &DummyMeasured| {
        DummyRead::of(&book, &object, measured)
            .unwrap_err()
            .to_string()
    };
    assert!(wrong(&dummy(None, Some("3mm"))).contains("a fold and no spine"));
    assert!(wrong(&dummy(None, None)).contains("nothing was measured"));
    assert!(wrong(&dummy(Some("0.6mm"), None)).contains("too thin for a tool"));
    let (book, object) = made("sewn case", (250, 300), 192, 150, 90);
    let narrow = DummyRead::of(&book, &object, &dummy(Some("13mm"), Some("13mm")));
    assert!(
        narrow
            .unwrap_err()
            .to_string()
            .contains("no room for two boards")
    );
}
