use book::object::{Allowance, FlatKind, FlatSheet, Fold};
use finish::{Command, FillRule, Plate, Shape};
use lopdf::Object;
use measure::{Length, PixelSize, Rect, Size};
use press::{Beside, PageInput, Painted, PlateInput, PlateName, PressError, PressWriter, Tint};
use proptest::prelude::*;

use super::pages::golden;
use super::{content, dict, facts, intent, pages, read, small, write};

const GOLD: Tint = Tint([0.0, 0.2, 0.6, 0.1]);

fn square(x: f64, y: f64, side: f64, adds: bool) -> Shape {
    let mut shape = Shape::rectangle(
        Length::from_mm(x),
        Length::from_mm(y),
        Length::from_mm(side),
        Length::from_mm(side),
    );
    shape.adds = adds;
    shape
}

fn plate<'a>(name: &str, painted: Painted<'a>) -> PlateInput<'a> {
    PlateInput {
        name: PlateName::new(name),
        alternate: GOLD,
        face: Rect::from_mm(10.0, 20.0, 40.0, 30.0),
        painted,
    }
}

fn page_of(plates: Vec<PlateInput<'_>>) -> PageInput<'_> {
    PageInput { plates, ..small() }
}

#[test]
fn a_page_with_bars_and_plates_reads_like_this() {
    let curve = Shape {
        outline: vec![
            Command::Line(9.0, 9.0),
            Command::Move(1.0, 2.0),
            Command::Cubic(3.0, 4.0, 5.0, 6.0, 7.0, 8.0),
            Command::Close,
            Command::Move(1.0, 1.0),
        ],
        rule: FillRule::EvenOdd,
        adds: true,
    };
    let nothing = Shape {
        outline: vec![Command::Move(1.0, 1.0)],
        ..curve.clone()
    };
    let shapes = [
        square(0.0, 0.0, 40.0, false),
        curve,
        square(5.0, 5.0, 2.0, false),
        nothing,
        square(10.0, 10.0, 20.0, true),
    ];
    let (mask, _) = Plate::from_picture(
        &[0, 255, 255, 0],
        PixelSize {
            width: 2,
            height: 2,
        },
        Size::from_mm(30.0, 30.0),
        finish::Fit::Exact,
    )
    .unwrap();
    let mut over_the_edge = plate("Gloss", Painted::Pixels(&mask));
    over_the_edge.face = Rect::from_mm(80.0, 100.0, 30.0, 30.0);
    let mut page = page_of(vec![plate("Foil", Painted::Shapes(&shapes)), over_the_edge]);
    page.tints = vec![
        (Rect::from_mm(60.0, 10.0, 20.0, 10.0), Tint([0.0; 4])),
        (
            Rect::from_mm(62.0, 11.0, 0.33, 8.0),
            Tint([0.0, 0.0, 0.0, 1.0]),
        ),
    ];
    let (pdf, _) = write(vec![page]).unwrap();
    let document = read(&pdf);
    golden("plates_page.txt", &content(&document, pages(&document)[0]));
}

#[test]
fn a_name_is_one_colour_through_the_file_and_the_first_alternate_stands() {
    let shapes = [square(0.0, 0.0, 5.0, true)];
    let foil = || plate("Möwe 漆 #1", Painted::Shapes(&shapes));
    let mut other_alternate = foil();
    other_alternate.alternate = Tint([1.0, 0.0, 0.0, 0.0]);
    let (pdf, _) = write(vec![
        page_of(vec![
            foil(),
            foil(),
            plate("Gloss", Painted::Shapes(&shapes)),
        ]),
        page_of(vec![other_alternate]),
    ])
    .unwrap();
    let document = read(&pdf);
    let spaces: Vec<&Vec<Object>> = document
        .objects
        .values()
        .filter_map(|object| object.as_array().ok())
        .filter(|array| matches!(array.first(), Some(Object::Name(name)) if name == b"Separation"))
        .collect();
    assert_eq!(spaces.len(), 2);
    let foil = spaces
        .iter()
        .find(|space| space[1] == Object::Name("Möwe 漆 #1".into()))
        .unwrap();
    assert_eq!(foil[2], Object::Name(b"DeviceCMYK".to_vec()));
    let transform = foil[3].as_dict().unwrap();
    let solid: Vec<f32> = transform
        .get(b"C1")
        .unwrap()
        .as_array()
        .unwrap()
        .iter()
        .map(|part| part.as_float().unwrap())
        .collect();
    assert_eq!(solid, GOLD.0);
    // Both pages mean the same object by it.
    let of_page = |index: usize| {
        let resources = dict(&document, pages(&document)[index], "Resources");
        let spaces = dict(&document, resources, "ColorSpace");
        spaces.get(b"Plate1").unwrap().as_reference().unwrap()
    };
    assert_eq!(of_page(0), of_page(1));
}

#[test]
fn names_that_differ_only_in_capitals_are_refused() {
    let shapes = [square(0.0, 0.0, 5.0, true)];
    let error = write(vec![page_of(vec![
        plate("Größe", Painted::Shapes(&shapes)),
        plate("GRÖßE", Painted::Shapes(&shapes)),
    ])])
    .unwrap_err();
    assert!(matches!(error, PressError::AlikePlates { .. }));
    assert_eq!(
        error.to_string(),
        "the finishings `Größe` and `GRÖßE` differ only in capitals, and a press would take them for \
         one plate; give one of them another name"
    );
}

#[test]
fn a_plate_is_never_named_as_an_ink_or_as_all_or_none() {
    for (given, name) in [
        ("title foil", "title foil"),
        ("  title \t\n foil ", "title foil"),
        ("Black", "Black plate"),
        ("ALL", "ALL plate"),
        ("none", "none plate"),
        ("", "plate"),
        ("\u{0}\u{7}", "plate"),
    ] {
        assert_eq!(PlateName::new(given).as_str(), name, "{given:?}");
    }
}

#[test]
fn ticks_stand_at_the_trim_and_the_folds_beyond_the_bleed_on_every_plate() {
    let bleed = Length::from_mm(3.0);
    let sheet = FlatSheet {
        kind: FlatKind::SoftCover,
        count: 1,
        trim: Size::from_mm(100.0, 120.0),
        allowance: Allowance::Bleed(bleed),
        panels: Vec::new(),
        folds: vec![
            Fold::Upright(Length::from_mm(45.0)),
            Fold::Level(Length::from_mm(70.0)),
        ],
        no_go: Vec::new(),
    };
    // The second line has signs that the typeface lacks.
    let lines = [
        "Small Weather – soft cover".to_owned(),
        "漆 and 漆".to_owned(),
    ];
    let beside = Beside::of_sheet(&sheet, &lines, None, "en").unwrap();
    let printed = sheet.printed();
    let mm = |length: Length| (length.mm() * 10.0).round() / 10.0;
    assert!(
        beside
            .marks
            .iter()
            .all(|mark| mark.shared(printed).is_none())
    );
    let mut upright: Vec<f64> = beside
        .marks
        .iter()
        .filter(|mark| mark.height > mark.width && mark.y < Length::ZERO)
        .map(|mark| mm(mark.x))
        .collect();
    upright.dedup();
    assert_eq!(upright, [0.0, 100.0, 45.0]);
    // A fold is told from a cut by its dashes.
    let count_at = |x: f64| {
        let at = |mark: &&Rect| mm(mark.x) == x && mark.height > mark.width;
        beside.marks.iter().filter(at).count()
    };
    assert_eq!((count_at(0.0), count_at(45.0)), (2, 6));
    assert_eq!(beside.words.len(), 2);
    assert!(beside.words.iter().all(|words| words.y > printed.bottom()));

    let mut press = PressWriter::begin(Vec::new(), &facts(), &intent()).unwrap();
    press
        .page_beside(PageInput::bare(sheet.trim, bleed), &beside)
        .unwrap();
    let pdf = press.finish().unwrap();
    let document = read(&pdf);
    let resources = dict(&document, pages(&document)[0], "Resources");
    let every = dict(&document, resources, "ColorSpace")
        .get(b"Every")
        .unwrap();
    let every = document.dereference(every).unwrap().1.as_array().unwrap();
    assert_eq!(every[1], Object::Name(b"All".to_vec()));
    // A turned-in sheet is cut where its print ends.
    let turned_in = FlatSheet {
        allowance: Allowance::TurnIn(Length::from_mm(15.0)),
        ..sheet
    };
    let beside = Beside::of_sheet(&turned_in, &[], None, "en").unwrap();
    let nearest = beside
        .marks
        .iter()
        .map(|mark| mm(mark.bottom()))
        .filter(|&y| y < 0.0);
    assert_eq!(nearest.reduce(f64::max), Some(-2.0));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn any_outline_and_any_name_give_a_file_that_can_be_read(
        name in "\\PC{0,80}",
        numbers in prop::collection::vec((0..4_u8, any::<[f64; 6]>(), any::<bool>()), 0..12),
        face in any::<[i64; 4]>(),
    ) {
        let outline = numbers.iter().map(|(kind, [a, b, c, d, x, y], _)| match kind {
            0 => Command::Move(*x, *y),
            1 => Command::Line(*x, *y),
            2 => Command::Cubic(*a, *b, *c, *d, *x, *y),
            _ => Command::Close,
        });
        let shapes: Vec<Shape> = outline
            .clone()
            .zip(&numbers)
            .map(|(command, (_, _, adds))| Shape {
                outline: vec![Command::Move(0.0, 0.0), command],
                rule: FillRule::NonZero,
                adds: *adds,
            })
            .chain([Shape { outline: outline.clone().collect(), rule: FillRule::EvenOdd, adds: true }])
            .collect();
        let [x, y, width, height] = face.map(Length::from_nm);
        let mut plate = plate(&name, Painted::Shapes(&shapes));
        plate.face = Rect::new(x, y, width, height);
        let kept = PlateName::new(&name);
        let (pdf, _) = write(vec![page_of(vec![plate])]).unwrap();
        let document = read(&pdf);
        let found = document.objects.values().any(|object| {
            object.as_array().is_ok_and(|array| {
                array.get(1) == Some(&Object::Name(kept.as_str().into()))
            })
        });
        prop_assert!(found, "{kept}");
        prop_assert!(!kept.as_str().is_empty() && kept.as_str().len() <= 133);
        let content = content(&document, pages(&document)[0]);
        prop_assert!(!content.contains("NaN") && !content.contains("inf"));
        let operators = lopdf::content::Content::decode(content.as_bytes()).unwrap();
        prop_assert!(operators.operations.len() > 3);
    }
}
