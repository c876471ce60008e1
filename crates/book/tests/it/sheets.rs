//! Case, jacket, band and slipcase held against what binderies and printers publish, and sheets
//! that must be whole whatever the figures.
//!
//! `tables/case_and_wrap_examples.csv`; its last column names the sources.

use book::object::{Allowance, Basis, FlatKind, FlatSheet, Fold, Object};
use book::plan::Plan;
use measure::{Length, Mass};
use proptest::prelude::*;

use crate::builder::{BookText, any_book, any_object};

const EXAMPLES: &str = include_str!("../tables/case_and_wrap_examples.csv");

/// What the table says; a test must not outlive its source.
fn example(kind: &str) -> &'static str {
    EXAMPLES
        .lines()
        .find(|line| line.starts_with(&format!("{kind},")))
        .unwrap_or_else(|| panic!("the table has no `{kind}`"))
}

fn of(text: &BookText) -> Object {
    let book = text.book();
    let (plan, _) = Plan::lay_out(&book, &|_| None);
    Object::of(&book, &plan)
}

fn made(kind: &'static str, trim: &str, stock: &str, pages: usize, object: &str) -> Object {
    let text = BookText {
        kind,
        trim: trim.to_owned(),
        text_stock: stock.to_owned(),
        object: object.to_owned(),
        ..BookText::default()
    };
    of(&text.blanks(pages))
}

fn width(flat: &FlatSheet, panel: &str) -> f64 {
    let panel = flat.panel(panel).unwrap_or_else(|| {
        panic!("{} has no panel {panel}: {:?}", flat.name(), flat.panels);
    });
    panel.rect.width.mm()
}

fn codes(object: &Object) -> Vec<&'static str> {
    object.cautions.iter().map(|finding| finding.code).collect()
}

const SILK: &str = "grammage = \"150 g/m2\"\nbulk = \"0.9 cm3/g\"";

#[test]
fn a_case_comes_out_as_in_a_binderys_formulas() {
    assert!(example("case_flat").contains("sheet 490.5 x 337"));
    let object = made(
        "sewn case",
        "210x297mm",
        SILK,
        96,
        "board = \"2mm\"\nspine = \"23.5mm\"\n[case]\nsquare = \"3mm\"\nsetback = \"6.5mm\"\n\
         hinge = \"10mm\"\nturn_in = \"17mm\"",
    );
    let wrap = object.flat(FlatKind::CaseWrap).unwrap();
    assert_eq!(width(wrap, "front"), 206.5);
    assert_eq!(wrap.panel("front").unwrap().rect.height.mm(), 303.0);
    assert_eq!(width(wrap, "spine"), 23.5);
    assert_eq!(
        (wrap.trim.width.mm(), wrap.trim.height.mm()),
        (490.5, 337.0)
    );
    assert_eq!(wrap.allowance, Allowance::TurnIn(Length::from_mm(17.0)));
    // The spine was given by hand; the book reckons another, and says so.
    assert!(codes(&object).contains(&"book-spine-differs"));
}

#[test]
fn a_typical_case_keeps_the_rules_and_every_step_is_shown() {
    assert!(example("case_rules").contains("hinge 7 to 10, square 2 to 4, turn-in 12 to 16"));
    let object = made("sewn case", "250x300mm", SILK, 192, "");
    let wrap = object.flat(FlatKind::CaseWrap).unwrap();
    // By hand: 96 × 0.135 = 12.96; + 4 × 0.175 = 13.66; + 2 × 2.5 = 18.66.
    assert_eq!(object.spine, Length::from_mm(18.66));
    assert!((7.0..=10.0).contains(&width(wrap, "front hinge")));
    assert!((12.0..=16.0).contains(&width(wrap, "left turn-in")));
    let board = wrap.panel("front").unwrap().rect;
    assert!((2.0..=4.0).contains(&(250.0 - board.width.mm())));
    assert!((2.0..=4.0).contains(&((board.height.mm() - 300.0) / 2.0)));
    // By hand: 2 × 247 + 2 × 8 + 18.66 + 2 × 15 = 558.66; 306 + 30 = 336.
    assert_eq!(
        (wrap.trim.width, wrap.trim.height),
        (Length::from_mm(558.66), Length::from_mm(336.0))
    );
    // By hand: 2 × 247 × 306 × 2.5 mm³ × 0.645 g/cm³ = 243.75 g; 0.55866 × 0.336 × 135 = 25.34 g;
    // 4 × 0.25 × 0.3 × 140 = 42 g; 18.66 × 306 × 2.5 × 0.645 / 1000 = 9.21 g.
    for (part, grams) in [
        ("boards", 243.752),
        ("covering", 25.341),
        ("endpapers", 42.0),
        ("spine strip", 9.207),
    ] {
        let mass = object.part(part).unwrap().mass.grams();
        assert!((mass - grams).abs() < 0.001, "{part}: {mass}");
    }
    let spine = object.steps.iter().find(|step| step.what == "Spine");
    assert_eq!(spine.unwrap().formula, "13.66 mm + 2 boards × 2.5 mm");
    let square = object.part("boards").unwrap();
    let square = square.dimensions.iter().find(|one| one.name == "Square");
    assert_eq!(square.unwrap().basis, Basis::Typical);
    assert!(
        object
            .assumed
            .iter()
            .any(|said| said.contains("square 3 mm"))
    );
}

#[test]
fn a_given_figure_replaces_the_typical_one_and_says_so() {
    let object = made(
        "sewn case",
        "250x300mm",
        SILK,
        192,
        "board = \"3mm\"\n[case]\nsquare = \"4mm\"",
    );
    assert_eq!(object.spine, Length::from_mm(19.66));
    let boards = object.part("boards").unwrap();
    let basis = |name: &str| {
        let one = boards.dimensions.iter().find(|one| one.name == name);
        (one.unwrap().basis, one.unwrap().key)
    };
    assert_eq!(basis("Board"), (Basis::Given, Some("binding.board")));
    assert_eq!(basis("Square"), (Basis::Given, Some("case.square")));
    assert_eq!(
        basis("Setback of the boards"),
        (Basis::Typical, Some("case.setback"))
    );
    assert_eq!(basis("Height of the boards").0, Basis::Reckoned);
    assert!(!object.assumed.iter().any(|said| said.contains("square")));
    assert_eq!(object.bound.closed.height, Length::from_mm(308.243));
}

#[test]
fn board_weighs_as_board_makers_say() {
    assert!(example("board").contains("970 = 1.5 mm; 1290 = 2 mm; 1645 = 2.5 mm"));
    for (mm, gsm) in [("1.5", 970.0), ("2", 1290.0), ("2.5", 1645.0)] {
        let object = made(
            "sewn case",
            "250x300mm",
            SILK,
            192,
            &format!("board = \"{mm}mm\"\n[case]\nsetback = \"3mm\""),
        );
        // Boards of 250 × 306 mm.
        let published = 2.0 * 0.25 * 0.306 * gsm;
        let mass = object.part("boards").unwrap().mass.grams();
        assert!(
            (mass / published - 1.0).abs() < 0.025,
            "{mm}: {mass} against {published}"
        );
    }
}

#[test]
fn a_round_back_is_as_long_as_a_binder_measured_it() {
    assert!(example("round_back").contains("1.18 in over the back between the ridges"));
    // 13/16 in of block and endpapers: 20.6375 mm = 146 leaves of 0.1366 mm + 4 of 0.174 mm.
    let object = made(
        "sewn case",
        "6x9in",
        "grammage = \"100 g/m2\"\ncaliper = \"0.1366mm\"",
        292,
        "board = \"2.2mm\"\n[case]\nback = \"round\"",
    );
    let block = object.block + object.bound.endpapers * 2;
    assert!((block.inches() - 13.0 / 16.0).abs() < 0.02, "{block}");
    // One measured book against the usual angle: a millimetre or two is all that can be asked.
    let over = object.spine.inches();
    assert!((over / 1.18 - 1.0).abs() < 0.07, "{over}");
    assert!(object.bound.rise > Length::ZERO && object.bound.back == book::Back::Round);
}

#[test]
fn a_book_in_boards_measures_outside_as_a_printer_says() {
    assert!(example("outer").contains("outside 8.75 x 11.25 in"));
    let object = made(
        "sewn case",
        "8.5x11in",
        SILK,
        192,
        "[case]\nsquare = \"0.125in\"",
    );
    let closed = object.bound.closed;
    assert!(
        (closed.width.inches() - 8.75).abs() < 0.04,
        "{}",
        closed.width
    );
    assert!((closed.height.inches() - 11.25).abs() < 0.04);
}

#[test]
fn the_front_of_a_jacket_lies_between_two_printers_rules() {
    assert!(example("jacket_front").contains("223 x 305"));
    let object = made("sewn case", "A4", SILK, 192, "[jacket]");
    let jacket = object.flat(FlatKind::Jacket).unwrap();
    assert!(
        (217.6..=223.0).contains(&width(jacket, "front")),
        "{jacket:?}"
    );
    // Both printers have larger squares than 3 mm.
    assert!((302.5..=305.0).contains(&jacket.trim.height.mm()));
    assert!((width(jacket, "front flap") - object.bound.closed.face.mm() / 3.0).abs() < 0.001);
    assert!(width(jacket, "spine") > object.spine.mm());
}

#[test]
fn a_band_is_half_a_millimetre_wider_than_what_it_goes_around() {
    assert!(example("band").contains("band spine 21.5, front 134, tucks 100.25, whole 490"));
    let text = BookText {
        trim: "133.25x188mm".to_owned(),
        object: "spine = \"21mm\"\n[band]\ntuck = \"100.25mm\"\n[stock.cover]\n\
                 grammage = \"250 g/m2\"\ncaliper = \"0.25mm\""
            .to_owned(),
        ..BookText::default()
    };
    let object = of(&text.blanks(256));
    let band = object.flat(FlatKind::BellyBand).unwrap();
    assert_eq!(width(band, "front"), 134.0);
    assert_eq!(width(band, "spine"), 21.5);
    assert_eq!(band.trim.width.mm(), 490.0);
    assert_eq!(band.trim.height.mm(), 70.0);
    // Around a jacket as well, give or take the paper of the jacket.
    let object = made("sewn case", "A4", SILK, 192, "[jacket]\n[band]");
    let (jacket, band) = (
        object.flat(FlatKind::Jacket).unwrap(),
        object.flat(FlatKind::BellyBand).unwrap(),
    );
    for panel in ["front", "spine"] {
        let wider = width(band, panel) - width(jacket, panel);
        assert!((0.5..0.7).contains(&wider), "{panel}: {wider}");
    }
}

#[test]
fn a_slipcase_leaves_two_millimetres_of_room() {
    assert!(example("slipcase").contains("14 inside"));
    let object = made("sewn case", "A5", SILK, 192, "[slipcase]");
    let wrap = object.flat(FlatKind::SlipcaseWrap).unwrap();
    let ends = object.flat(FlatKind::SlipcaseEnds).unwrap();
    let inside = width(wrap, "closed edge") - 2.0 * (2.0 + 0.1215);
    assert!((inside - object.bound.closed.thickness.mm() - 2.0).abs() < 1e-6);
    assert_eq!(ends.count, 2);
    assert_eq!(width(ends, "head or foot"), width(wrap, "closed edge"));
    // The pieces meet: the ends are as deep as the sides are wide.
    let end = ends.panel("head or foot").unwrap().rect;
    assert_eq!(end.height.mm(), width(wrap, "left side"));
}

#[test]
fn cautions_name_what_is_too_thin_too_thick_and_too_heavy() {
    let stitched = |pages| made("wire-stitched", "250x300mm", SILK, pages, "");
    // 38 leaves of 0.135 mm are 5.13 mm, 36 leaves 4.86 mm.
    assert!(codes(&stitched(76)).contains(&"book-too-thick-to-stitch"));
    let fits = stitched(72);
    assert!(!codes(&fits).contains(&"book-too-thick-to-stitch"));
    assert!(codes(&fits).contains(&"book-creep"));
    let glued = |pages| made("glued soft", "250x300mm", SILK, pages, "");
    assert!(codes(&glued(40)).contains(&"book-too-thin-to-glue"));
    assert!(!codes(&glued(48)).contains(&"book-too-thin-to-glue"));
    // 16 leaves are 2.16 mm, 32 leaves 4.32 mm, 160 leaves 21.6 mm.
    let case = |pages| made("sewn case", "250x300mm", SILK, pages, "");
    assert!(codes(&case(32)).contains(&"book-too-thin-for-case"));
    assert!(!codes(&case(64)).contains(&"book-too-thin-for-case"));
    assert!(codes(&case(320)).contains(&"book-flat-back-thick"));
    assert!(codes(&case(320)).contains(&"book-heavy"));
    assert!(!codes(&case(64)).contains(&"book-heavy"));
    let wide = made("sewn soft", "A5", SILK, 64, "[flaps]\nwidth = \"150mm\"");
    assert!(codes(&wide).contains(&"book-flap-too-wide"));
    let high = made(
        "sewn case",
        "A5",
        SILK,
        64,
        "[jacket]\nheight = \"230mm\"\n[flaps]",
    );
    assert!(codes(&high).contains(&"book-wrap-too-high"));
    assert!(codes(&high).contains(&"book-flaps-on-case"));
    assert!(
        high.asks
            .iter()
            .any(|ask| ask.contains("Grain parallel to the spine")
                && ask.contains("boards")
                && ask.contains("jacket"))
    );
}

#[test]
fn a_piece_is_made_if_its_section_is_there_and_does_not_refuse() {
    let jacket = |object: &str| {
        let object = made("sewn soft", "A5", SILK, 64, object);
        object.flat(FlatKind::Jacket).is_some()
    };
    assert!(jacket("[jacket]"));
    assert!(jacket("[jacket]\nflap = \"80mm\""));
    assert!(!jacket("[jacket]\nwanted = false\nflap = \"80mm\""));
    assert!(!jacket(""));
}

#[test]
fn a_changed_page_count_moves_spine_cover_jacket_and_mass_together() {
    let grown = |kind, object: &str| {
        let before = made(kind, "250x300mm", SILK, 96, object);
        let after = made(kind, "250x300mm", SILK, 128, object);
        (before, after)
    };
    // 16 leaves more of 0.135 mm.
    let more = Length::from_mm(2.16);
    for kind in ["sewn soft", "sewn case"] {
        let (before, after) = grown(kind, "[jacket]\n[band]\n[slipcase]");
        assert_eq!(after.spine - before.spine, more, "{kind}");
        for (old, new) in before.flats.iter().zip(&after.flats) {
            let grows = !matches!(old.kind, FlatKind::FrontEndpaper | FlatKind::BackEndpaper);
            let expected = if grows { more } else { Length::ZERO };
            assert_eq!(new.trim.width - old.trim.width, expected, "{}", old.name());
        }
        // 16 leaves of 250 × 300 mm and 150 g/m² are 180 g; cover and wraps grow with the spine.
        assert!(after.copy.grams() - before.copy.grams() > 180.0);
    }
    let given = grown("sewn soft", "spine = \"7mm\"");
    assert_eq!(given.0.spine, given.1.spine);
    assert!(codes(&given.1).contains(&"book-spine-differs"));
}

/// Whether panels cover the sheet: as much area as the sheet, none outside, no two on each other.
fn tiles(flat: &FlatSheet) -> Result<(), TestCaseError> {
    let area = |width: Length, height: Length| i128::from(width.nm()) * i128::from(height.nm());
    let sheet = flat.trimmed();
    let mut sum = 0;
    for (index, panel) in flat.panels.iter().enumerate() {
        prop_assert!(sheet.contains(panel.rect), "{panel:?} in {}", flat.name());
        prop_assert!(panel.rect.width > Length::ZERO && panel.rect.height > Length::ZERO);
        sum += area(panel.rect.width, panel.rect.height);
        for other in &flat.panels[..index] {
            prop_assert!(
                panel.rect.shared(other.rect).is_none(),
                "{panel:?} {other:?}"
            );
            prop_assert_ne!(panel.name, other.name);
        }
    }
    prop_assert_eq!(sum, area(sheet.width, sheet.height));
    for no_go in &flat.no_go {
        prop_assert!(sheet.contains(no_go.rect), "{no_go:?} in {}", flat.name());
    }
    for fold in &flat.folds {
        let (at, whole) = match *fold {
            Fold::Upright(at) => (at, sheet.width),
            Fold::Level(at) => (at, sheet.height),
        };
        prop_assert!(at > Length::ZERO && at < whole);
    }
    Ok(())
}

proptest! {
    #[test]
    fn panels_tile_every_sheet_and_masses_sum(mut text in any_book(20), made in any_object()) {
        text.object = made;
        let object = of(&text);
        for flat in &object.flats {
            tiles(flat)?;
        }
        prop_assert_eq!(object.parts.iter().map(|part| part.mass).sum::<Mass>(), object.copy);
        for part in &object.parts {
            prop_assert!(part.mass >= Mass::ZERO, "{part:?}");
        }
    }
}
