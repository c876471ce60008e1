//! Drawings: what a printer and an artist must find in them, and that no figure breaks them.

use book::drawing::Drawing;
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
fn the_bar_code_and_each_finishing_are_named_where_they_stand() {
    let text = case("[jacket]")
        .text()
        .replace("[book]\n", "[book]\nisbn = \"978-0-306-40615-7\"\n")
        + "[[finishing]]\nname = \"title foil\"\nprocess = \"foil\"\non = \"jacket\"\n\
         words = \"title\"\ncolour = \"copper\"\n[[finishing]]\nname = \"shell\"\n\
         process = \"blind deboss\"\nmask = \"shell.svg\"\n";
    let book = read(&text).unwrap();
    let (plan, _) = Plan::lay_out(&book, &|_| None);
    let object = Object::of(&book, &plan);
    let (sheets, _) = SheetPlan::lay_out_all(&book, &plan, &|_| None);
    let svg = Drawing::whole_of(&book, &object, &sheets).svg();
    for said in [
        "copper foil: title foil",
        "blind deboss: shell",
        "bar code",
        "37.3 × 25.9",
    ] {
        assert!(svg.contains(said), "{said}");
    }
    let drawings = Drawing::all_of(&book, &object, &sheets);
    let jacket = drawings.iter().find(|one| one.name == "jacket").unwrap();
    assert!(jacket.described.contains("Bar code 37.3 by 25.9 mm"));
    assert!(jacket.described.contains("Foil `title foil` on the front."));
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

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

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
