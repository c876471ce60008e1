//! Thickness, spine and weight held against published examples.
//!
//! `tables/spine_and_signature_examples.csv`, `paper_basis_weight.csv` and `paper_sizes_iso.csv`;
//! their first lines and last columns name the sources.

use book::object::Object;
use book::plan::Plan;
use measure::{Grammage, Length, Mass};
use proptest::prelude::*;

use crate::builder::{BookText, any_book, any_object};

const EXAMPLES: &str = include_str!("../tables/spine_and_signature_examples.csv");
const BASIS_WEIGHTS: &str = include_str!("../tables/paper_basis_weight.csv");
const SHEETS: &str = include_str!("../tables/paper_sizes_iso.csv");

/// The row of the examples that begins so; a test must not outlive its source.
fn row(start: &str) -> &'static str {
    EXAMPLES
        .lines()
        .find(|line| line.starts_with(start))
        .unwrap_or_else(|| panic!("the table has no row `{start}`"))
}

/// A book of so many pages, on a paper.
fn object(pages: usize, trim: &str, text_stock: &str) -> Object {
    let text = BookText {
        trim: trim.to_owned(),
        text_stock: text_stock.to_owned(),
        ..BookText::default()
    }
    .blanks(pages);
    let book = text.book();
    let (plan, _) = Plan::lay_out(&book, &|_| None);
    Object::of(&book, &plan)
}

#[test]
fn one_hundred_and_twenty_eight_pages_of_offset_are_a_quarter_inch() {
    let row = row("spine,\"128 pages, caliper 0.0039 in\"");
    assert!(row.contains("0.2496 in"));
    let object = object(
        128,
        "8.5x11in",
        "grammage = \"50 lb offset\"\ncaliper = \"0.0039in\"",
    );
    assert_eq!(object.leaves, 64);
    assert!((object.block.inches() - 0.2496).abs() < 1e-9);
}

#[test]
fn two_hundred_pages_of_five_thousandths_are_half_an_inch() {
    assert!(row("spine,\"200 pages, 60 lb paper 0.005 in\"").contains("0.5 in"));
    let object = object(
        200,
        "6x9in",
        "grammage = \"60 lb text\"\ncaliper = \"0.005in\"",
    );
    assert!((object.block.inches() - 0.5).abs() < 1e-9);
}

#[test]
fn the_worked_example_shows_its_steps() {
    assert!(row("spine_example").contains("12.96 mm block (96 leaves x 0.135 mm)"));
    let object = object(
        192,
        "250x300mm",
        "grammage = \"150 g/m2\"\nbulk = \"0.90 cm3/g\"",
    );
    assert_eq!(object.block, Length::from_mm(12.96));
    let step = object
        .steps
        .iter()
        .find(|step| step.what == "Block")
        .unwrap();
    assert_eq!(
        (step.formula.as_str(), step.result.as_str()),
        ("96 leaves × 0.135 mm", "12.96 mm")
    );
    let shown: Vec<String> = object
        .steps
        .iter()
        .map(|step| format!("{}: {} = {}", step.what, step.formula, step.result))
        .collect();
    assert_eq!(
        shown,
        [
            "Leaves: 192 pages ÷ 2 = 96 leaves",
            "Thickness of one text sheet: 150 g/m² × 0.90 cm³/g ÷ 1000 = 0.135 mm",
            "Block: 96 leaves × 0.135 mm = 12.96 mm",
            "One leaf of the text: 250 × 300 mm × 150 g/m² = 11.25 g",
            "Text: 96 × 11.25 g = 1080.0 g",
            "Thickness of one cover sheet: 300 g/m² × 0.90 cm³/g ÷ 1000 = 0.27 mm",
            "Spine: 12.96 mm + 2 × 0.27 mm = 13.5 mm",
            "Cover: 513.5 × 300 mm × 300 g/m² = 46.2 g",
            "One copy: 1080.0 g + 46.2 g = 1126.2 g",
        ]
    );
}

#[test]
fn the_british_volume_rule_gives_the_same_block() {
    assert!(row("spine_formula,\"pages x gsm").contains("320 pp x 80 gsm x vol 18 = 23.04 mm"));
    let object = object(320, "A5", "grammage = \"80 gsm\"\nbulk = \"vol 18\"");
    assert!((object.block_mm() - 23.04).abs() < 1e-9);
}

#[test]
fn pages_to_the_inch_follow_from_the_caliper() {
    // The printed figures are rounded to five, so that they agree within a hundredth.
    assert!(row("caliper_ppi").contains("50 lb offset 0.0039 in = 515 ppi"));
    for (pounds, caliper, printed) in [
        (50, "0.0039in", 515.0),
        (60, "0.0046in", 435.0),
        (70, "0.0051in", 395.0),
    ] {
        let stock = format!("grammage = \"{pounds} lb offset\"\ncaliper = \"{caliper}\"");
        let object = object(32, "6x9in", &stock);
        let pages_to_the_inch = 32.0 / object.block.inches();
        assert!(
            (pages_to_the_inch / printed - 1.0).abs() < 0.01,
            "{pounds} lb: {pages_to_the_inch} against {printed}"
        );
    }
}

#[test]
fn a_copy_of_a_hundred_leaves_of_a4_weighs_what_was_reckoned() {
    assert!(row("weight").contains("200 pp (100 leaves) A4 at 150 g/m2 = 935.55 g"));
    let copy = object(200, "A4", "grammage = \"150 g/m2\"");
    let text = &copy.parts[0];
    assert_eq!(text.name, "text");
    assert_eq!(text.mass, Mass::from_grams(935.55));
    assert!(row("weight").contains("A4 80 g/m2 = 4.9896 g"));
    let light = object(200, "A4", "grammage = \"80 g/m2\"");
    let leaf = light
        .steps
        .iter()
        .find(|step| step.what == "One leaf of the text")
        .unwrap();
    assert_eq!(leaf.result, "4.99 g");
    assert_eq!(light.parts[0].mass, Mass::from_grams(498.96));
}

#[test]
fn leaves_of_every_standard_size_weigh_area_times_grammage() {
    let mut checked = 0;
    for line in SHEETS.lines().skip(2) {
        let cells: Vec<&str> = line.split(',').collect();
        let [width, height]: [f64; 2] = [cells[1].parse().unwrap(), cells[2].parse().unwrap()];
        if !(50.0..=1000.0).contains(&width) || !(50.0..=1000.0).contains(&height) {
            continue;
        }
        let object = object(16, cells[0], "grammage = \"100 g/m2\"");
        let expected = 8.0 * width * height * 100.0 / 1e6;
        assert!(
            (object.parts[0].mass.grams() - expected).abs() < 1e-5,
            "{line}"
        );
        checked += 1;
    }
    assert!(checked > 25, "only {checked} sizes were checked");
}

#[test]
fn basis_weights_weigh_like_their_grammage() {
    let mut checked = 0;
    for line in BASIS_WEIGHTS.lines().skip(2) {
        let Some(rest) = line.strip_prefix("text/book/offset (25x38),") else {
            continue;
        };
        let cells: Vec<&str> = rest.split(',').collect();
        let (pounds, exact): (f64, f64) = (cells[0].parse().unwrap(), cells[1].parse().unwrap());
        if pounds < 40.0 {
            continue;
        }
        let object = object(32, "250x300mm", &format!("grammage = \"{pounds} lb text\""));
        let expected = 16.0 * 0.075 * exact;
        assert!(
            (object.parts[0].mass.grams() - expected).abs() < 0.001,
            "{line}"
        );
        checked += 1;
    }
    assert_eq!(checked, 9);
}

#[test]
fn a_soft_spine_has_two_covers_and_a_case_two_boards() {
    let with = |kind| {
        let text = BookText {
            kind,
            ..BookText::default()
        }
        .blanks(192);
        let book = text.book();
        let (plan, _) = Plan::lay_out(&book, &|_| None);
        Object::of(&book, &plan)
    };
    // The cover is silk of 300 g/m² with an assumed bulk of 0.9: 0.27 mm.
    let soft = with("sewn soft");
    assert_eq!(soft.spine, Length::from_mm(12.96 + 0.54));
    assert!(soft.assumed.iter().any(|note| note.contains("cover stock")));
    assert!(!soft.assumed.iter().any(|note| note.contains("text stock")));
    // A case has four leaves of endpapers as well, of 140 g/m² at 1.25 cm³/g: 0.175 mm each.
    let case = with("sewn case");
    assert_eq!(case.spine, Length::from_mm(12.96 + 4.0 * 0.175 + 5.0));
    assert!(case.copy > soft.copy);
    assert_eq!(with("wire-stitched").spine_mm(), 0.0);
}

proptest! {
    #[test]
    fn parts_sum_to_the_copy_and_more_pages_weigh_more(
        mut text in any_book(30), made in any_object(),
    ) {
        text.object = made;
        let book = text.book();
        let (plan, _) = Plan::lay_out(&book, &|_| None);
        let object = Object::of(&book, &plan);
        prop_assert_eq!(object.parts.iter().map(|part| part.mass).sum::<Mass>(), object.copy);
        prop_assert_eq!(object.pages, plan.pages.len() as u32);
        prop_assert_eq!(object.leaves * 2, object.pages);
        let given = book.object.spine.is_some();
        prop_assert!(given || object.spine >= object.block || object.spine == Length::ZERO);

        let mut longer = text.clone();
        longer.pages.push_str("[[page]]\nname = \"more\"\ntreatment = \"blank\"\n");
        for number in 0..40 {
            longer = longer.page(&format!("more{number}"), "blank", "");
        }
        let book = longer.book();
        let (plan, _) = Plan::lay_out(&book, &|_| None);
        prop_assert!(Object::of(&book, &plan).copy > object.copy);
    }

    #[test]
    fn a_heavier_paper_makes_a_thicker_and_heavier_book(gsm in 60_u32..300, more in 1_u32..100) {
        let of = |gsm: u32| object(64, "A5", &format!("grammage = \"{gsm} g/m2\""));
        let (light, heavy) = (of(gsm), of(gsm + more));
        prop_assert!(heavy.block > light.block && heavy.copy > light.copy);
        let caliper = light.caliper.um();
        let expected = Grammage::from_gsm(f64::from(gsm)).unwrap().gsm() * 0.9;
        prop_assert!((caliper - expected).abs() < 0.001);
    }
}
