//! Drawings: what a printer and an artist must find in them, and that no figure breaks them.

use book::drawing::{Drawing, Shown};
use book::object::Object;
use book::plan::{Plan, SheetPlan};
use book::read;
use proptest::prelude::*;

use crate::builder::{BookText, any_book, any_object};

fn drawn(text: &BookText) -> (String, Vec<Drawing>) {
    let book = text.book();
    let (plan, _) = Plan::lay_out(&book, &|_| None);
    let object = Object::of(&book, &plan);
    (Drawing::whole(&book, &object).svg(), Drawing::all(&object))
}

fn case(object: &str) -> BookText {
    BookText {
        kind: "sewn case",
        object: object.to_owned(),
        ..BookText::default()
    }
    .blanks(192)
}

#[test]
fn the_whole_drawing_names_every_sheet_its_measures_and_what_is_typical() {
    let (svg, drawings) = drawn(&case(
        "[case]\nhinge = \"9mm\"\n[jacket]\n[band]\n[slipcase]",
    ));
    let names: Vec<&str> = drawings.iter().map(|one| one.name.as_str()).collect();
    assert_eq!(
        names,
        [
            "section",
            "case wrap",
            "front endpaper",
            "back endpaper",
            "jacket",
            "belly band",
            "slipcase wrap",
            "slipcase ends"
        ]
    );
    // By hand: 2 × 247 + 2 × 9 + 18.66 + 30 = 560.66.
    for said in [
        "560.7 mm cut",
        "336 mm cut",
        "spine 18.7",
        "front hinge 9",
        "Slipcase ends (2 of them)",
        "no words, no faces",
        "square (boards) 3 mm",
        "block 12.96",
        "board 2.5",
        "setback 6",
        "square 3",
    ] {
        assert!(svg.contains(said), "{said}");
    }
    let given = svg.split("Given: ").nth(1).unwrap();
    let typical = svg.find("Typical, until").unwrap();
    assert!(given.contains("hinge (covering) 9 mm"));
    assert!(svg.find("hinge (covering) 9 mm").unwrap() < typical);
}

#[test]
fn a_paper_without_thickness_is_assumed_in_the_drawing_too() {
    let assumed = |stock: &str| {
        let text = BookText {
            text_stock: stock.to_owned(),
            ..BookText::default()
        };
        let (svg, _) = drawn(&text.blanks(64));
        // Words are broken into lines.
        let words = svg.replace("</text>", " ");
        words.contains("is assumed for the text stock")
    };
    assert!(assumed("grammage = \"150 g/m2\""));
    assert!(!assumed("grammage = \"150 g/m2\"\nbulk = \"0.9 cm3/g\""));
    assert!(!assumed("grammage = \"150 g/m2\"\ncaliper = \"0.135mm\""));
}

#[test]
fn the_bar_code_and_each_finishing_are_named_where_they_stand() {
    let text = case("[jacket]")
        .text()
        .replace("[book]\n", "[book]\nisbn = \"978-0-306-40615-7\"\n")
        + "[[finishing]]\nname = \"title foil\"\nprocess = \"foil\"\non = \"jacket\"\n\
         words = \"title\"\ncolour = \"copper\"\nthicken = \"0.12mm\"\n[[finishing]]\n\
         name = \"shell\"\nprocess = \"blind deboss\"\nmask = \"shell.svg\"\nfit = \"centre\"\n";
    let book = read(&text).unwrap();
    let (plan, _) = Plan::lay_out(&book, &|_| None);
    let object = Object::of(&book, &plan);
    let (sheets, _) = SheetPlan::lay_out_all(&book, &plan, &|_| None);
    let svg = Drawing::whole_of(&book, &object, &sheets).svg();
    for said in [
        "copper foil: title foil (lines + 0.12 mm)",
        "blind deboss: shell (mask centred)",
        "bar code",
        "37.3 × 25.9",
    ] {
        assert!(svg.contains(said), "{said}");
    }
    let drawings = Drawing::all_of(&book, &object, &sheets);
    let jacket = drawings.iter().find(|one| one.name == "jacket").unwrap();
    assert!(jacket.described.contains("Bar code 37.3 by 25.9 mm"));
    assert!(
        jacket
            .described
            .contains("Foil `title foil` (lines + 0.12 mm) on the front.")
    );
    let bare = Drawing::all_of(&book, &object, &[]);
    assert_eq!(bare, Drawing::all(&object));
}

#[test]
fn a_title_cannot_break_out_of_the_drawing() {
    let mut text = case("");
    text.pages = text.pages.clone();
    let written = text
        .text()
        .replace("title = \"Tide\"", "title = \"</text><script>&\\\"\"");
    let book = book::read(&written).unwrap();
    let (plan, _) = Plan::lay_out(&book, &|_| None);
    let object = Object::of(&book, &plan);
    let svg = Drawing::whole(&book, &object).svg();
    assert!(!svg.contains("<script>"));
    assert!(svg.contains("&lt;/text&gt;&lt;script&gt;&amp;&quot;"));
}

fn words(drawing: &Drawing) -> Vec<&str> {
    let words = |shown| match shown {
        Shown::Words { text, .. } => Some(text),
        _ => None,
    };
    drawing.shown().into_iter().filter_map(words).collect()
}

fn paged(text: &BookText) -> Vec<Drawing> {
    let book = text.book();
    let (plan, _) = Plan::lay_out(&book, &|_| None);
    let object = Object::of(&book, &plan);
    let (sheets, _) = SheetPlan::lay_out_all(&book, &plan, &|_| None);
    Drawing::pages_of(&book, &object, &sheets)
}

#[test]
fn the_pages_say_together_what_the_whole_says_each_sheet_on_its_own() {
    let text = case("[jacket]\n[slipcase]");
    let pages = paged(&text);
    let names: Vec<&str> = pages.iter().map(|page| page.name.as_str()).collect();
    assert_eq!(
        names,
        [
            "section",
            "case wrap",
            "front endpaper",
            "back endpaper",
            "jacket",
            "slipcase wrap",
            "slipcase ends"
        ]
    );
    let book = text.book();
    let (plan, _) = Plan::lay_out(&book, &|_| None);
    let whole = Drawing::whole(&book, &Object::of(&book, &plan));
    let said: Vec<&str> = pages.iter().flat_map(words).collect();
    // Paragraphs are broken elsewhere; headings of sheets stand after the title of the book.
    let all = said.join(" ").to_lowercase();
    for line in words(&whole) {
        if line.contains("sheets at true size") {
            continue; // The scale is said page by page.
        }
        let found = line
            .split_whitespace()
            .all(|word| all.contains(&word.to_lowercase()));
        assert!(found, "{line}");
    }
    for (number, page) in (1..).zip(&pages).skip(1) {
        let said = words(page);
        let count = format!("Page {number} of 7, true size if printed at 100 percent.");
        assert!(said.contains(&count.as_str()), "{said:?}");
        assert!(said.contains(&"100 mm on paper"));
    }
    assert!(words(&pages[6]).contains(&"Tide: slipcase ends (2 of them)"));
}

#[test]
fn the_line_for_a_ruler_is_as_long_as_it_says() {
    for page in &paged(&case(""))[1..] {
        let shown = page.shown();
        let at = shown
            .iter()
            .position(|one| matches!(one, Shown::Words { text, .. } if text.ends_with("on paper")));
        // The line, its two ticks, then what it says.
        let Some(Shown::Line { points, .. }) = at.and_then(|at| shown.get(at - 3)) else {
            panic!("no line on `{}`", page.name);
        };
        assert_eq!((points[1].0 - points[0].0).mm(), 100.0);
        assert_eq!(points[0].1, points[1].1);
    }
}

#[test]
fn a_sheet_larger_than_any_page_is_drawn_at_a_scale_that_is_said() {
    let text = BookText {
        kind: "sewn case",
        trim: "1000x1000mm".to_owned(),
        text_stock: "grammage = \"500 g/m2\"\ncaliper = \"2mm\"".to_owned(),
        object: "[jacket]\nflap = \"600mm\"".to_owned(),
        ..BookText::default()
    }
    .blanks(2000);
    let pages = paged(&text);
    let jacket = pages.iter().find(|page| page.name == "jacket").unwrap();
    let said = words(jacket);
    assert!(
        said.iter().any(|line| line.ends_with("scale 1 : 2.")),
        "{said:?}"
    );
    assert!(jacket.size().width.mm() <= 5080.0);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn any_object_fits_on_pages_that_can_be_opened(mut text in any_book(12), made in any_object()) {
        text.object = made;
        for page in paged(&text) {
            let size = page.size();
            prop_assert!(size.width.mm() > 10.0 && size.width.mm() <= 5080.0);
            prop_assert!(size.height.mm() > 10.0 && size.height.mm() <= 5080.0);
        }
    }

    #[test]
    fn any_object_can_be_drawn(mut text in any_book(12), made in any_object()) {
        text.object = made;
        let (svg, drawings) = drawn(&text);
        prop_assert!(!svg.contains("NaN") && !svg.contains("inf"));
        prop_assert!(svg.len() < 8_000_000, "{} bytes", svg.len());
        // Each mark is one line, and every element is closed.
        prop_assert_eq!(svg.matches("<text").count(), svg.matches("</text>").count());
        for drawing in drawings {
            let size = drawing.size();
            prop_assert!(size.width.mm() > 10.0 && size.width.mm() < 20_000.0);
            prop_assert!(size.height.mm() > 3.0 && size.height.mm() < 20_000.0);
            prop_assert!(!drawing.described.is_empty());
        }
    }
}
