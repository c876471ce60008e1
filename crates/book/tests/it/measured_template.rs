//! A printer's template laid over our sheet.

use book::edit::apply;
use book::measured::template::{Believe, Guide, Guides, Laid, figures};
use book::object::{Allowance, FlatKind, FlatSheet, Fold, Object};
use book::{Book, read};
use measure::{Length, Rect, Size};
use proptest::prelude::*;

use crate::builder::BookText;

fn text(kind: &'static str, stock: &str, sections: &str) -> String {
    BookText {
        kind,
        text_stock: stock.to_owned(),
        object: sections.to_owned(),
        ..BookText::default()
    }
    .blanks(192)
    .text()
}

fn object(text: &str) -> (Book, Object) {
    let book = read(text).unwrap_or_else(|errors| panic!("{errors}\n{text}"));
    let object = Object::of_pages(&book, 192, vec![16; 12]);
    (book, object)
}

const SILK: &str = "grammage = \"150 g/m2\"\nfinish = \"silk\"";

fn mm(mm: f64) -> Length {
    Length::from_mm(mm)
}

fn believed(laid: &Laid, what: &str) -> (Believe, f64) {
    let one = laid
        .differences
        .iter()
        .find(|one| one.what == what)
        .unwrap_or_else(|| panic!("nothing is said of {what}: {:?}", laid.differences));
    (one.believe, one.by().mm())
}

/// A sheet drawn as a template: every fold and edge across the whole page, crop marks outside, and
/// if wanted a safety line on each side of every fold.
fn drawn(flat: &FlatSheet, corner: Length, says_boxes: bool, safety: Option<Length>) -> Guides {
    let bleed = match flat.allowance {
        Allowance::Bleed(bleed) => bleed,
        Allowance::TurnIn(_) => Length::ZERO,
    };
    let Size { width, height } = flat.trim;
    let page = Size {
        width: width + corner * 2,
        height: height + corner * 2,
    };
    let mut lines = Vec::new();
    let mut line = |upright: bool, at: Length| {
        let run = if upright { page.height } else { page.width };
        lines.push(Guide {
            upright,
            at: at + corner,
            from: Length::ZERO,
            to: run,
        });
    };
    for (upright, far) in [(true, width), (false, height)] {
        line(upright, Length::ZERO);
        line(upright, far);
    }
    for fold in &flat.folds {
        match fold {
            Fold::Upright(x) => {
                line(true, *x);
                if let Some(safety) = safety {
                    line(true, *x + safety);
                    line(true, *x - safety);
                }
            }
            Fold::Level(y) => line(false, *y),
        }
    }
    // Short marks at odd places.
    for at in [1.5, 3.3] {
        lines.push(Guide {
            upright: true,
            at: mm(at),
            from: Length::ZERO,
            to: mm(5.0),
        });
    }
    let trim = Rect::new(corner, corner, width, height);
    Guides {
        page,
        trim: says_boxes.then_some(trim),
        bleed: says_boxes.then(|| trim.grown(bleed)),
        lines,
    }
}

#[test]
fn our_own_sheets_drawn_as_templates_agree_in_every_figure() {
    let (book, object) = object(&text(
        "sewn case",
        SILK,
        "[jacket]\nwanted = true\n[band]\nwanted = true\n[slipcase]\nwanted = true",
    ));
    for flat in &object.flats {
        for says_boxes in [true, false] {
            let guides = drawn(flat, mm(20.0), says_boxes, Some(mm(5.0)));
            let laid = Laid::drawn(&book, &object, flat.kind, &guides).unwrap();
            for one in &laid.differences {
                assert_eq!(one.believe, Believe::Same, "{}: {one:?}", flat.name());
            }
            let found: Vec<&str> = laid.differences.iter().map(|one| one.what).collect();
            for (name, _) in figures(flat) {
                if name != "bleed" || says_boxes {
                    assert!(found.contains(&name), "{}: no {name}", flat.name());
                }
            }
            assert!(laid.edit("it").is_none());
            // Every line that is ours lies on ours.
            for line in laid.lines.iter().filter(|line| line.ours.is_some()) {
                assert_eq!(line.ours, Some(line.at), "{}: {line:?}", flat.name());
            }
        }
    }
}

/// A soft cover of another spine, with zones in which words are safe, and the middle of the spine.
fn with_zones(says_boxes: bool) -> (Laid, FlatSheet) {
    let (book, ours) = object(&text("sewn soft", SILK, "[flaps]\nwidth = \"100mm\""));
    let theirs = text("sewn soft", SILK, "[flaps]\nwidth = \"96mm\"");
    let (_, theirs) = object(&theirs.replace("silk", "matt"));
    let flat = theirs.flat(FlatKind::SoftCover).unwrap().clone();
    let corner = mm(30.0);
    let mut guides = drawn(&flat, corner, says_boxes, None);
    let height = flat.trim.height;
    for panel in &flat.panels {
        let mut line = |at: Length, from: Length, to: Length| {
            guides.lines.push(Guide {
                upright: true,
                at: at + corner,
                from: from + corner,
                to: to + corner,
            });
        };
        if panel.name == "spine" {
            let middle = panel.rect.x + panel.rect.width / 2;
            line(middle, Length::ZERO, height);
        } else {
            for at in [panel.rect.x + mm(5.0), panel.rect.right() - mm(5.0)] {
                line(at, mm(5.0), height - mm(5.0));
            }
        }
    }
    let laid = Laid::drawn(&book, &ours, FlatKind::SoftCover, &guides).unwrap();
    (laid, flat)
}

#[test]
fn zones_within_the_sheet_and_the_middle_of_the_spine_raise_no_doubt() {
    for says_boxes in [true, false] {
        let (laid, flat) = with_zones(says_boxes);
        for (name, length) in figures(&flat) {
            if name == "bleed" && !says_boxes {
                continue;
            }
            let one = laid.differences.iter().find(|one| one.what == name);
            let one = one.unwrap_or_else(|| panic!("{name} was not seen"));
            assert_eq!(one.theirs, length, "{name}");
            assert_eq!(one.doubt, None, "{name}");
        }
        assert!(believed(&laid, "front flap").1 < -3.0);
        // A figure that was given is asked about; once the printer has said so, it is taken alone.
        assert_eq!(believed(&laid, "front flap").0, Believe::Ask);
        let before = text("sewn soft", SILK, "[flaps]\nwidth = \"100mm\"");
        let edit = laid.edit_figure("front flap", "the printer").unwrap();
        let after = apply(&before, &edit).unwrap().0;
        let (after, _) = object(&after);
        assert_eq!(after.object.flaps.unwrap().width, Some(mm(96.0)));
        assert_eq!(after.source_of("flaps.width"), Some("the printer"));
        assert!(laid.edit_figure("height", "the printer").is_none());
        assert!(laid.edit_figure("nothing", "the printer").is_none());
        assert_eq!(laid.trim.is_some(), says_boxes);
    }
}

#[test]
fn boxes_alone_tell_width_height_and_bleed_for_sure() {
    let (book, object) = object(&text("sewn soft", SILK, ""));
    let trim = Rect::from_mm(20.0, 20.0, 400.0, 250.0);
    let guides = Guides {
        page: Size::from_mm(440.0, 290.0),
        trim: Some(trim),
        bleed: Some(trim.grown(mm(5.0))),
        lines: Vec::new(),
    };
    let laid = Laid::drawn(&book, &object, FlatKind::SoftCover, &guides).unwrap();
    let (theirs, bleed) = (laid.trim.unwrap(), laid.bleed.unwrap());
    assert_eq!(theirs.width, trim.width);
    assert_eq!(bleed, theirs.grown(mm(5.0)));
    let told: Vec<(&str, f64, bool)> = laid
        .differences
        .iter()
        .map(|one| (one.what, one.theirs.mm(), one.doubt.is_some()))
        .collect();
    assert_eq!(
        told,
        [
            ("width", 400.0, false),
            ("height", 250.0, false),
            ("bleed", 5.0, false)
        ]
    );
    assert!(laid.unseen.iter().any(|name| name == "spine"));
}

#[test]
fn typed_figures_of_a_case_take_the_place_of_typical_ones() {
    let text = text("sewn case", SILK, "");
    let (book, before) = object(&text);
    // Typical: square 3, setback 6 (boards 247 × 306), hinge 8, turn-in 15.
    let typed: Vec<(String, Length)> = [
        ("hinge", 9.5),
        ("turn-in", 17.0),
        ("board height", 307.0),
        ("front", 248.0),
        ("back", 248.0),
    ]
    .map(|(name, figure)| (name.to_owned(), mm(figure)))
    .to_vec();
    let laid = Laid::typed(&book, &before, FlatKind::CaseWrap, &typed).unwrap();
    assert_eq!(believed(&laid, "front hinge"), (Believe::Theirs, 1.5));
    assert_eq!(believed(&laid, "turn-in"), (Believe::Theirs, 2.0));
    assert_eq!(laid.unseen, ["width", "height", "spine"]);
    let edit = laid.edit("the printer's template").unwrap();
    let (text, what) = apply(&text, &edit).unwrap();
    assert_eq!(
        what,
        "Took the figures of the printer's template for the case wrap"
    );
    let (book, after) = object(&text);
    let flat = after.flat(FlatKind::CaseWrap).unwrap();
    assert_eq!(flat.panel("front").unwrap().rect.width, mm(248.0));
    let laid = Laid::typed(&book, &after, FlatKind::CaseWrap, &typed).unwrap();
    assert!(
        laid.differences
            .iter()
            .all(|one| one.believe == Believe::Same)
    );
    let hinge = after
        .parts
        .iter()
        .flat_map(|part| &part.dimensions)
        .find(|one| one.key == Some("case.hinge"))
        .unwrap();
    assert_eq!(hinge.how, "the printer's template");
}

#[test]
fn a_spine_is_believed_by_what_stands_behind_ours() {
    let typed = |spine: f64| vec![("spine".to_owned(), mm(spine))];
    let lay = |text: &str, spine: f64| {
        let (book, object) = object(text);
        Laid::typed(&book, &object, FlatKind::SoftCover, &typed(spine)).unwrap()
    };
    let assumed = text("glued soft", SILK, "");
    let (_, ours) = object(&assumed);
    let spine = ours.spine_mm();
    // Ours is assumed, theirs is near: the paper learns, and the spine goes on moving.
    let laid = lay(&assumed, spine + 0.96);
    assert_eq!(laid.differences[0].believe, Believe::Theirs);
    assert_eq!(
        laid.differences[0].sets(),
        Some(("stock.text.caliper", "0.145mm"))
    );
    let (learned, _) = apply(&assumed, &laid.edit("the template").unwrap()).unwrap();
    assert!((object(&learned).1.spine_mm() - spine - 0.96).abs() < 1e-6);
    // It would be another book.
    let laid = lay(&assumed, spine * 1.5);
    assert_eq!(laid.differences[0].believe, Believe::Ask);
    assert!(laid.differences[0].why.contains("and there are 192"));
    assert_eq!(laid.findings[0].code, "book-template-ask");
    // Ours was measured.
    let measured = assumed.replace(
        "finish = \"silk\"",
        "caliper = \"0.14mm\"\n[source]\n\"stock.text.caliper\" = \"0.14mm, from dummy 1 (x)\"",
    );
    let laid = lay(&measured, spine);
    assert_eq!(laid.differences[0].believe, Believe::Ours);
    // Both reckon from what is stated.
    let stated = text(
        "glued soft",
        "grammage = \"150 g/m2\"\nbulk = \"0.92 cm3/g\"",
        "",
    );
    assert_eq!(lay(&stated, spine).differences[0].believe, Believe::Ask);
}

#[test]
fn a_template_for_another_page_is_refused_and_a_given_figure_is_asked_about() {
    let (book, object) = object(&text("sewn soft", SILK, "[flaps]\nwidth = \"80mm\""));
    let lay = |typed: &[(&str, f64)]| {
        let typed: Vec<(String, Length)> = typed
            .iter()
            .map(|(name, figure)| ((*name).to_owned(), mm(*figure)))
            .collect();
        Laid::typed(&book, &object, FlatKind::SoftCover, &typed)
    };
    let laid = lay(&[("height", 297.0), ("flap", 85.0), ("bleed", 5.0)]).unwrap();
    assert_eq!(believed(&laid, "height").0, Believe::Ours);
    assert_eq!(believed(&laid, "back flap").0, Believe::Ask);
    assert_eq!(believed(&laid, "bleed").0, Believe::Theirs);
    let codes: Vec<&str> = laid.findings.iter().map(|finding| finding.code).collect();
    assert!(
        codes.contains(&"book-template-for-another-book"),
        "{codes:?}"
    );
    // A width follows from its parts, or somebody has to be asked.
    let width = object.flat(FlatKind::SoftCover).unwrap().trim.width.mm();
    let laid = lay(&[("width", width + 10.0), ("flap", 85.0)]).unwrap();
    assert_eq!(believed(&laid, "width").0, Believe::Follows);
    let laid = lay(&[("width", width + 14.0), ("flap", 85.0)]).unwrap();
    assert_eq!(believed(&laid, "width").0, Believe::Ask);
    let of_width = |one: &&finding::Finding| one.message.starts_with("Width");
    let said = laid.findings.iter().find(of_width).unwrap();
    assert!(said.hint.contains("back, spine, front"), "{said:?}");
    let wrong = lay(&[("hinge", 8.0)]).unwrap_err().to_string();
    assert!(
        wrong.contains("the soft cover has no figure `hinge`; it has width"),
        "{wrong}"
    );
    let none = Laid::drawn(
        &book,
        &object,
        FlatKind::SoftCover,
        &Guides {
            page: Size::from_mm(200.0, 200.0),
            trim: None,
            bleed: None,
            lines: Vec::new(),
        },
    );
    assert!(none.is_err() || !none.unwrap().differences.is_empty());
    assert!(matches!(
        Laid::typed(&book, &object, FlatKind::Jacket, &[]),
        Err(book::measured::MeasuredError::NoSuchSheet { sheet: "jacket" })
    ));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    /// A case drawn to other figures, anywhere on its page, among marks: each figure is read off as it
    /// was drawn. Among safety lines too; where those could be meant, nothing wrong is believed, and
    /// the doubt is said.
    #[test]
    fn a_drawn_case_is_read_as_it_was_drawn(
        hinge in 60..110_i64,
        turn_in in 120..200_i64,
        square in 20..40_i64,
        board in 20..30_i64,
        corner in 0..60_i64,
        says_boxes in any::<bool>(),
        safety in prop::option::of(30..60_i64),
    ) {
        let tenth = |tenths: i64| Length::from_um(tenths as f64 * 100.0);
        let (book, ours) = object(&text("sewn case", SILK, ""));
        let (_, theirs) = object(&text("sewn case", SILK, &format!(
            "board = \"{}\"\n[case]\nhinge = \"{}\"\nturn_in = \"{}\"\nsquare = \"{}\"",
            tenth(board), tenth(hinge), tenth(turn_in), tenth(square),
        )));
        let flat = theirs.flat(FlatKind::CaseWrap).unwrap();
        let guides = drawn(flat, tenth(corner) + mm(10.0), says_boxes, safety.map(tenth));
        let laid = Laid::drawn(&book, &ours, FlatKind::CaseWrap, &guides).unwrap();
        for (name, length) in figures(flat) {
            let one = laid.differences.iter().find(|one| one.what == name).unwrap();
            if safety.is_none() {
                prop_assert_eq!(one.theirs, length, "{}", name);
            } else if one.theirs != length {
                prop_assert!(one.doubt.is_some(), "{} is {} and not {length}", name, one.theirs);
                prop_assert_ne!(one.believe, Believe::Theirs, "{}", name);
            }
        }
    }

    #[test]
    fn any_lines_are_answered(
        lines in prop::collection::vec((any::<bool>(), -50.0..900.0_f64, 0.0..500.0_f64, 0.0..500.0_f64), 0..120),
        trim in prop::option::of((0.0..50.0_f64, 0.0..50.0_f64, 0.0..900.0_f64, 0.0..900.0_f64)),
    ) {
        let (book, object) = object(&text("sewn case", SILK, "[jacket]"));
        let guides = Guides {
            page: Size::from_mm(800.0, 500.0),
            trim: trim.map(|(x, y, width, height)| Rect::from_mm(x, y, width, height)),
            bleed: None,
            lines: lines
                .into_iter()
                .map(|(upright, at, from, run)| Guide {
                    upright,
                    at: mm(at),
                    from: mm(from),
                    to: mm(from + run),
                })
                .collect(),
        };
        for kind in [FlatKind::CaseWrap, FlatKind::Jacket] {
            if let Ok(laid) = Laid::drawn(&book, &object, kind, &guides)
                && let Some(edit) = laid.edit("it")
            {
                // What is believed fits a book, or is refused with a sentence.
                let _ = apply(&text("sewn case", SILK, "[jacket]"), &edit);
            }
        }
    }
}
