//! Edits change what they are about and leave every other byte alone.

use book::edit::{Edit, apply};
use book::propose::{FirstBook, propose};
use book::{Book, Corner, ForPaper, Learned, PaperRecipe, PieceInks, Treatment, read};
use measure::Size;
use proptest::prelude::*;

use crate::builder::{BookText, any_book, pixels};

const COMMENTED: &str = include_str!("../books/commented.toml");

fn edited(text: &str, edit: &Edit) -> (String, String) {
    apply(text, edit).unwrap_or_else(|errors| panic!("{edit:?}: {errors}\n{text}"))
}

fn refused(text: &str, edit: &Edit) -> String {
    match apply(text, edit) {
        Ok((new, what)) => panic!("{edit:?} was done: {what}\n{new}"),
        Err(errors) => errors.to_string(),
    }
}

fn names(text: &str) -> Vec<String> {
    let book = read(text).unwrap();
    book.running_order
        .into_iter()
        .map(|entry| entry.name)
        .collect()
}

fn move_to(entry: &str, to: usize) -> Edit {
    Edit::Move {
        entry: entry.to_owned(),
        to,
    }
}

fn remove(entry: &str) -> Edit {
    Edit::Remove {
        entry: entry.to_owned(),
    }
}

fn treat(entry: &str, treatment: &str) -> Edit {
    Edit::Treat {
        entry: entry.to_owned(),
        treatment: treatment.to_owned(),
    }
}

fn insert(piece: Option<&str>, at: usize) -> Edit {
    Edit::Insert {
        piece: piece.map(str::to_owned),
        at,
    }
}

fn set(key: &str, value: &str) -> Edit {
    Edit::Set {
        key: key.to_owned(),
        value: value.to_owned(),
    }
}

/// The lines that one text has and the other has not, as a readable difference.
fn difference(before: &str, after: &str) -> String {
    let mut old: Vec<&str> = before.lines().collect();
    let mut added = Vec::new();
    for line in after.lines() {
        match old.iter().position(|other| *other == line) {
            Some(at) => {
                old.remove(at);
            }
            None => added.push(format!("+ {line}")),
        }
    }
    let mut lines: Vec<String> = old.iter().map(|line| format!("- {line}")).collect();
    lines.extend(added);
    lines.join("\n")
}

#[test]
fn remarks_above_and_below_an_entry_travel_with_it_and_others_stay() {
    let (text, what) = edited(COMMENTED, &move_to("harbour", 3));
    assert_eq!(names(&text), ["title", "flood", "crab", "harbour"]);
    assert_eq!(what, "Moved `harbour` from page 2 to page 5");
    let at = |words: &str| {
        text.find(words)
            .unwrap_or_else(|| panic!("{words}\n{text}"))
    };
    let harbour = at("name = \"harbour\"");
    assert!(at("# The first thing drawn.") < harbour && at("name = \"crab\"") < at("# The first"));
    assert!(harbour < at("# It hangs in the kitchen."));
    assert!(at("# --- Part one ---") < at("name = \"flood\""));
    assert!(at("name = \"flood\"") < at("# --- Part two ---"));
    assert!(at("# --- Part two ---") < at("name = \"crab\""));
    assert!(text.trim_end().ends_with("# The end."));
    // Nothing but its place is another, and no blank line is lost.
    let sorted = |text: &str| {
        let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
        lines.sort_unstable();
        lines
    };
    assert_eq!(sorted(&text), sorted(COMMENTED));
}

#[test]
fn an_entry_moved_up_joins_the_part_that_it_comes_to() {
    let (text, what) = edited(COMMENTED, &move_to("crab", 2));
    assert_eq!(names(&text), ["title", "harbour", "crab", "flood"]);
    assert_eq!(what, "Moved `crab` from page 6 to page 3");
    let at = |words: &str| {
        text.find(words)
            .unwrap_or_else(|| panic!("{words}\n{text}"))
    };
    assert!(at("# --- Part one ---") < at("name = \"crab\""));
    assert!(at("name = \"crab\"") < at("name = \"flood\""));
    assert!(text.trim_end().ends_with("# The end."));
}

#[test]
fn showing_a_piece_again_does_not_tie_its_entries_to_an_order() {
    let text = BookText::default()
        .page("a", "inset", "art = \"x.png\"")
        .page("b", "inset", "art = \"x.png\"\nagain = true")
        .text();
    assert_eq!(names(&edited(&text, &move_to("a", 1)).0), ["b", "a"]);
}

#[test]
fn removing_takes_an_entry_with_its_remarks_and_nothing_else() {
    let (text, what) = edited(COMMENTED, &remove("flood"));
    assert_eq!(names(&text), ["title", "harbour", "crab"]);
    assert_eq!(what, "Took `flood` (page 4) out of the running order");
    let taken = [
        "- [[page]]",
        "- name = \"flood\"  # two sheets",
        "- treatment = \"spread\"",
        "- art = \"flood.png\"",
        "- ",
    ];
    let mut expected = taken.to_vec();
    expected.sort_unstable();
    let found = difference(COMMENTED, &text);
    let mut found: Vec<&str> = found.lines().collect();
    found.sort_unstable();
    assert_eq!(found, expected, "{text}");
}

#[test]
fn a_piece_or_a_blank_comes_in_where_it_is_wanted() {
    let (text, what) = edited(COMMENTED, &insert(Some("coast/reeds.png"), 2));
    assert_eq!(names(&text), ["title", "harbour", "reeds", "flood", "crab"]);
    assert_eq!(what, "Added `reeds` on page 3");
    let (text, what) = edited(&text, &insert(None, 5));
    assert_eq!(names(&text).last().unwrap(), "blank");
    assert_eq!(what, "Added a blank on page 7");
    assert!(text.trim_end().ends_with("# The end."), "{text}");
    // A piece that is shown already is meant to be seen twice.
    let (text, _) = edited(&text, &insert(Some("crab.png"), 0));
    assert!(
        text.contains("name = \"crab-2\"\ntreatment = \"inset\"\nart = \"crab.png\"\nagain = true")
    );
    // Into a book without pages.
    let (text, _) = edited(&BookText::default().text(), &insert(Some("a.png"), 0));
    assert_eq!(names(&text), ["a"]);
    assert!(refused(COMMENTED, &insert(None, 9)).contains("place 10"));
    assert!(refused(COMMENTED, &insert(Some("../a.png"), 0)).contains("leads out of"));
}

#[test]
fn a_treatment_keeps_aside_what_it_does_not_use_and_brings_it_back() {
    let (full, what) = edited(COMMENTED, &treat("crab", "full page"));
    assert_eq!(what, "Changed `crab` from inset to full page");
    assert_eq!(
        difference(COMMENTED, &full),
        "- treatment = \"inset\"\n- margin = \"40mm\"\n- caption = \"Shore crab\"  # or crabs?\n\
         + # kept for later: margin = \"40mm\"\n\
         + # kept for later: caption = \"Shore crab\"\n+ treatment = \"full page\""
    );
    let (inset, _) = edited(&full, &treat("crab", "inset"));
    assert!(!inset.contains("kept for later"), "{inset}");
    let book = read(&inset).unwrap();
    assert_eq!(book.running_order[3].treatment, treatment(COMMENTED, 3));
}

fn treatment(text: &str, index: usize) -> Treatment {
    read(text).unwrap().running_order[index].treatment.clone()
}

#[test]
fn two_singles_become_a_pair_and_a_pair_two_singles() {
    let text = BookText::default()
        .page(
            "a",
            "inset",
            "art = \"a.png\"\nfocus = \"0.1 0.2\"\ncaption = \"A\"",
        )
        .page("b", "full page", "art = \"b.png\"\nfocus = \"0.3 0.4\"")
        .text();
    let (paired, what) = edited(&text, &treat("a", "paired"));
    assert_eq!(what, "Paired `a` with `b`");
    assert_eq!(names(&paired), ["a"]);
    let Treatment::Paired { left, right, .. } = treatment(&paired, 0) else {
        panic!("{paired}")
    };
    assert_eq!((left.piece.as_str(), left.focus), ("a.png", (0.1, 0.2)));
    assert_eq!((right.piece.as_str(), right.focus), ("b.png", (0.3, 0.4)));
    let (single, what) = edited(&paired, &treat("a", "two single pages"));
    assert_eq!(what, "Parted `a` into two entries (inset): `a` and `b`");
    assert_eq!(names(&single), ["a", "b"]);
    let Treatment::Inset {
        picture, caption, ..
    } = treatment(&single, 0)
    else {
        panic!("{single}")
    };
    assert_eq!((picture.focus, caption.as_str()), ((0.1, 0.2), "A"));
    let Treatment::Inset { picture, .. } = treatment(&single, 1) else {
        panic!("{single}")
    };
    assert_eq!(picture.focus, (0.3, 0.4));
    // A pair may as well become two full pages.
    let (full, _) = edited(&paired, &treat("a", "full page"));
    assert!(matches!(treatment(&full, 1), Treatment::FullPage(_)));
}

#[test]
fn treatments_that_lose_something_are_refused_with_another_way() {
    let text = BookText::default()
        .page("a", "full page", "art = \"a.png\"")
        .page("words", "text", "words = \"Words.\"")
        .page("gap", "blank", "")
        .text();
    for (entry, word, why) in [
        ("a", "paired", "Move the other picture"),
        ("a", "blank", "it shows a picture"),
        ("a", "two single pages", "it shows one picture"),
        ("words", "blank", "it has words"),
        ("words", "spread", "it shows no picture"),
        ("gap", "inset", "it shows no picture"),
        ("a", "spred", "Did you mean `spread`?"),
        ("aa", "spread", "has no entry `aa`"),
    ] {
        let found = refused(&text, &treat(entry, word));
        assert!(found.contains(why), "{entry} {word}: {found}");
    }
    assert_eq!(
        edited(&text, &treat("gap", "text")).1,
        "Changed `gap` from blank to text"
    );
}

#[test]
fn one_value_is_set_on_its_line_and_its_remark_stays() {
    let (text, what) = edited(COMMENTED, &set("stock.text.grammage", "170 g/m2"));
    assert_eq!(
        difference(COMMENTED, &text),
        "- grammage = \"150 g/m2\" # ask Otto\n+ grammage = \"170 g/m2\" # ask Otto"
    );
    assert_eq!(
        what,
        "Changed the weight of the text stock from `150 g/m2` to `170 g/m2`"
    );
    let (text, what) = edited(COMMENTED, &set("page.crab.caption", "A \"crab\""));
    assert_eq!(
        what,
        "Changed the caption of `crab` from `Shore crab` to `A \"crab\"`"
    );
    let Treatment::Inset { caption, .. } = treatment(&text, 3) else {
        panic!()
    };
    assert_eq!(caption, "A \"crab\"");
}

#[test]
fn a_value_that_was_not_said_is_added_and_an_empty_one_taken_out() {
    let (text, what) = edited(COMMENTED, &set("format.bleed", "4mm"));
    assert_eq!(difference(COMMENTED, &text), "+ bleed = \"4mm\"");
    assert_eq!(what, "Set the bleed to `4mm`");
    let (back, what) = edited(&text, &set("format.bleed", ""));
    assert_eq!(back, COMMENTED);
    assert_eq!(what, "Took the bleed out (it was `4mm`)");
    // A section that is not there comes in front of the pages.
    let (text, _) = edited(COMMENTED, &set("press.ink_limit", "280%"));
    assert!(
        text.find("[press]").unwrap() < text.find("# The running order").unwrap(),
        "{text}"
    );
    assert_eq!(read(&text).unwrap().press.ink_limit, Some(280.0));
    let (text, _) = edited(COMMENTED, &set("format.folios", "no"));
    assert!(!read(&text).unwrap().format.folios);
    let (text, _) = edited(COMMENTED, &set("binding.signature", "8"));
    assert_eq!(read(&text).unwrap().binding.signature.pages(), 8);
}

#[test]
fn bulk_takes_the_place_of_caliper() {
    let (text, _) = edited(COMMENTED, &set("stock.text.caliper", "0.14mm"));
    let (text, _) = edited(&text, &set("stock.text.bulk", "0.95 cm3/g"));
    assert!(
        text.contains("bulk = ") && !text.contains("caliper = "),
        "{text}"
    );
}

#[test]
fn words_of_a_page_may_run_over_lines() {
    let text = BookText::default()
        .page("w", "text", "heading = \"H\"")
        .text();
    let (text, _) = edited(
        &text,
        &set("page.w.words", "One \"\"\" \\ two.\r\n\r\nThree."),
    );
    let Treatment::Text { paragraphs, .. } = treatment(&text, 0) else {
        panic!()
    };
    assert_eq!(paragraphs, ["One \"\"\" \\ two.", "Three."]);
}

#[test]
fn sections_in_braces_and_dotted_keys_can_be_set_too() {
    let text = "book.title = 'T'\nformat = { trim = \"A4\" } # small\nbinding.kind = 'sewn soft'\n\
                [stock]\ntext = { grammage = \"150gsm\" }\n";
    let (text, _) = edited(text, &set("format.bleed", "5mm"));
    let (text, _) = edited(&text, &set("book.author", "A. Mole"));
    let (text, _) = edited(&text, &set("stock.text.finish", "matt"));
    let (text, _) = edited(&text, &set("format.trim", "A5"));
    let book = read(&text).unwrap();
    assert_eq!(book.format.bleed.mm(), 5.0);
    assert_eq!(book.format.trim, Size::from_mm(148.0, 210.0));
    assert_eq!(book.about.author, "A. Mole");
    assert_eq!(book.text_stock.finish.word(), "matt");
    let (text, _) = edited(&text, &set("format.bleed", ""));
    assert_eq!(read(&text).unwrap().format.bleed.mm(), 3.0);
}

#[test]
fn settings_that_do_not_exist_or_do_not_fit_are_refused() {
    for (key, value, why) in [
        ("format.bled", "4mm", "Did you mean `format.bleed`?"),
        (
            "stock.text.gramage",
            "1",
            "Did you mean `stock.text.grammage`?",
        ),
        (
            "page.crab.captoin",
            "x",
            "Did you mean `page.crab.caption`?",
        ),
        ("page.carb.caption", "x", "Did you mean `crab`?"),
        ("bleed", "4mm", "section and key"),
        ("format.bleed", "4", "expected a length"),
        ("format.bleed", "400mm", "outside the range"),
        ("format.folios", "perhaps", "expected `true` or `false`"),
        ("format.trim", "", "does not say `trim`"),
        ("page.crab.heading", "x", "means nothing"),
        ("page.crab.name", "harbour", "is taken"),
        ("", "", "is not a setting"),
        ("page.", "", "is not a setting"),
        ("page..", "", "is not a setting"),
    ] {
        let found = refused(COMMENTED, &set(key, value));
        assert!(found.contains(why), "{key} = {value}: {found}");
    }
}

#[test]
fn setting_a_value_may_mend_a_broken_book_and_nothing_else_may() {
    let broken = COMMENTED.replace("\"250x300mm\"", "\"250x300\"");
    assert!(refused(&broken, &move_to("crab", 0)).contains("`trim`"));
    let (mended, _) = edited(&broken, &set("format.trim", "250x300mm"));
    assert_eq!(mended, COMMENTED);
}

#[test]
fn files_from_other_systems_keep_their_line_ends() {
    let windows = format!("\u{feff}{}", COMMENTED.replace('\n', "\r\n"));
    let (moved, _) = edited(&windows, &move_to("harbour", 3));
    let (plain, _) = edited(COMMENTED, &move_to("harbour", 3));
    assert_eq!(moved, format!("\u{feff}{}", plain.replace('\n', "\r\n")));
    let (set_once, _) = edited(&windows, &set("stock.text.grammage", "170 g/m2"));
    assert_eq!(set_once, windows.replace("\"150 g/m2\"", "\"170 g/m2\""));
}

#[test]
fn lines_inside_words_are_never_taken_for_pages() {
    let text = BookText::default()
        .page(
            "a",
            "text",
            "words = '''\n# no remark\n[[page]]\nname = \"x\"\n\n# nor this\n'''",
        )
        .page(
            "b",
            "text",
            "words = '''\n# kept for later: heading = \"no\"\n'''",
        )
        .text();
    let (moved, _) = edited(&text, &move_to("b", 0));
    assert_eq!(names(&moved), ["b", "a"]);
    assert_eq!(treatment(&moved, 1), treatment(&text, 0));
    assert_eq!(edited(&moved, &move_to("b", 1)).0, text);
}

/// An edit of any kind on a book with so many entries; names are those of the builder.
fn any_edit(entries: usize) -> impl Strategy<Value = Edit> {
    let name = (0..entries + 2).prop_map(|number| format!("e{number}"));
    let word = prop::sample::select(vec![
        "full page",
        "spread",
        "inset",
        "paired",
        "ready page",
        "title",
        "text",
        "colophon",
        "blank",
        "two single pages",
        "nonsense",
    ]);
    let key = prop::sample::select(vec![
        "book.title",
        "format.bleed",
        "format.trim",
        "stock.text.bulk",
        "stock.text.caliper",
        "cover.front",
        "press.ink_limit",
        "binding.signature",
        "page.e0.caption",
        "page.e1.words",
        "page.e0.focus",
        "page.e0.name",
        "page.e1.again",
        "paper.recipe",
        "paper.red",
        "paper.white",
        "paper.learned.tone",
        "paper.learned.cast",
        "piece.p0.png.recipe",
        "piece.p0.png.contrast",
        "piece.p1.png.inks",
        "piece.p1.png.art",
        "piece...art",
        "finishing.title foil.process",
        "finishing.title foil.mask",
        "finishing.title foil.name",
        "finishing...words",
        "barcode.price",
        "book.isbn",
        "jacket.ground",
        "x.y",
        "page.",
    ]);
    let value = "([0-9]{1,3}(mm|%| cm3/g)|-[0-9]{1,2}%|A5|true|none|black|0 3, 100 9[0-9]|\\PC{0,12}|\
                 a\nb|)";
    let setting = (key, value).prop_map(|(key, value)| (key.to_owned(), value));
    prop_oneof![
        (name.clone(), 0..entries + 2).prop_map(|(entry, to)| Edit::Move { entry, to }),
        name.clone().prop_map(|entry| Edit::Remove { entry }),
        (name, word).prop_map(|(entry, treatment)| Edit::Treat {
            entry,
            treatment: treatment.to_owned(),
        }),
        (prop::option::of("[a-z/.\"\\\\]{0,8}"), 0..entries + 2)
            .prop_map(|(piece, at)| Edit::Insert { piece, at }),
        setting
            .clone()
            .prop_map(|(key, value)| Edit::Set { key, value }),
        (prop::collection::vec(setting, 0..4), "[a-z ]{0,8}")
            .prop_map(|(values, what)| Edit::SetAll { values, what }),
    ]
}

/// A setting of the recipe, or of a piece, that is never what holds without it.
fn any_wish() -> impl Strategy<Value = (String, String)> {
    let place = prop::sample::select(vec![
        "paper",
        "piece.p0.png",
        "piece.p1l.png",
        "piece.some where/else.v2.tif",
    ]);
    let figure = prop_oneof![
        prop::sample::select(vec!["gentle", "usual", "strong"])
            .prop_map(|word| ("recipe", word.to_owned())),
        (1..40_u32).prop_map(|number| ("contrast", format!("-{number}%"))),
        (1..30_u32).prop_map(|number| ("cyan", format!("+{number} %"))),
        (0..200_u32).prop_map(|tenths| ("black", format!("{}", f64::from(tenths) / 10.0))),
        Just(("sharpening", "strong".to_owned())),
    ];
    (place, figure).prop_map(|(place, (key, value))| (format!("{place}.{key}"), value))
}

/// A book without the lines that its entries stand on.
fn without_lines(text: &str) -> Book {
    let mut book = read(text).unwrap();
    for entry in &mut book.running_order {
        entry.line = 0;
    }
    for wish in &mut book.piece_wishes {
        wish.line = 0;
    }
    book
}

/// Treatments of a book, sorted, so that two orders of the same entries are equal.
fn multiset(book: &Book) -> Vec<String> {
    let mut entries: Vec<String> = book
        .running_order
        .iter()
        .map(|entry| format!("{} {:?}", entry.name, entry.treatment))
        .collect();
    entries.sort_unstable();
    entries
}

/// Scatters remarks and blank lines over a book's text, never inside its words.
fn remarked(text: &str, remarks: &[u8]) -> String {
    let mut inside = false;
    let mut remarks = remarks.iter().cycle();
    text.lines()
        .map(|line| {
            let was_inside = inside;
            if line.contains("\"\"\"") && line.matches("\"\"\"").count() == 1 {
                inside = !inside;
            }
            let before = if was_inside {
                ""
            } else {
                match remarks.next().unwrap_or(&0) % 8 {
                    0 => "# remark\n",
                    1 => "\n",
                    2 => "# one\n\n# two\n",
                    3 => "  # indented\n",
                    _ => "",
                }
            };
            format!("{before}{line}\n")
        })
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn moving_keeps_every_entry_and_every_remark(
        book in any_book(12), from in any::<prop::sample::Index>(), to in any::<prop::sample::Index>(),
        remarks in prop::collection::vec(any::<u8>(), 1..40),
    ) {
        let text = remarked(&book.text(), &remarks);
        let before = read(&text).unwrap();
        prop_assume!(!before.running_order.is_empty());
        let count = before.running_order.len();
        let (from, to) = (from.index(count), to.index(count));
        let name = before.running_order[from].name.clone();
        let (moved, _) = edited(&text, &move_to(&name, to));
        let after = read(&moved).unwrap();
        prop_assert_eq!(multiset(&before), multiset(&after));
        prop_assert_eq!(&after.running_order[to].name, &name);
        // The others keep their order.
        let others = |book: &Book| -> Vec<String> {
            let names = book.running_order.iter().map(|entry| entry.name.clone());
            names.filter(|other| *other != name).collect()
        };
        prop_assert_eq!(others(&before), others(&after));
        // No line is lost and none comes in, but for blank ones.
        let lines = |text: &str| -> Vec<String> {
            let mut lines: Vec<String> = text
                .lines()
                .filter(|line| !line.trim().is_empty())
                .map(str::to_owned)
                .collect();
            lines.sort_unstable();
            lines
        };
        prop_assert_eq!(lines(&text), lines(&moved));
        // Moving it back gives the same entries in the same order.
        let (back, _) = edited(&moved, &move_to(&name, from));
        prop_assert_eq!(names(&back), names(&text));
        prop_assert_eq!(lines(&back), lines(&text));
    }

    #[test]
    fn removing_and_inserting_touch_no_other_entry(
        book in any_book(12), at in any::<prop::sample::Index>(),
        remarks in prop::collection::vec(any::<u8>(), 1..40),
    ) {
        let text = remarked(&book.text(), &remarks);
        let before = read(&text).unwrap();
        let count = before.running_order.len();
        let at = at.index(count + 1);
        let (with, _) = edited(&text, &insert(None, at));
        let after = read(&with).unwrap();
        prop_assert_eq!(after.running_order.len(), count + 1);
        prop_assert_eq!(&after.running_order[at].treatment, &Treatment::Blank);
        let name = after.running_order[at].name.clone();
        let (without, _) = edited(&with, &remove(&name));
        let back = read(&without).unwrap();
        let entries = |book: &Book| -> Vec<String> {
            let order = book.running_order.iter();
            order.map(|entry| format!("{} {:?}", entry.name, entry.treatment)).collect()
        };
        prop_assert_eq!(entries(&back), entries(&before));
        prop_assert_eq!(
            text.lines().filter(|line| !line.trim().is_empty()).collect::<Vec<_>>(),
            without.lines().filter(|line| !line.trim().is_empty()).collect::<Vec<_>>()
        );
    }

    #[test]
    fn every_edit_gives_a_book_or_says_why_not(
        book in any_book(8), edits in prop::collection::vec(any_edit(8), 1..6),
        remarks in prop::collection::vec(any::<u8>(), 1..40),
    ) {
        let mut text = remarked(&book.text(), &remarks);
        for edit in &edits {
            match apply(&text, edit) {
                Ok((new, what)) => {
                    prop_assert!(read(&new).is_ok(), "{edit:?}\n{new}");
                    prop_assert!(!what.is_empty());
                    text = new;
                }
                Err(errors) => {
                    for error in &errors.0 {
                        prop_assert!(!error.to_string().is_empty());
                        prop_assert!(!error.hint().is_empty(), "{}", error);
                    }
                }
            }
        }
    }

    #[test]
    fn a_treatment_and_its_way_back_change_nothing_that_counts(
        book in any_book(8), at in any::<prop::sample::Index>(),
        word in prop::sample::select(vec!["full page", "spread", "inset", "ready page"]),
    ) {
        let text = book.text();
        let before = read(&text).unwrap();
        prop_assume!(!before.running_order.is_empty());
        let entry = &before.running_order[at.index(before.running_order.len())];
        let was = entry.treatment.word();
        prop_assume!(matches!(was, "full page" | "spread" | "inset" | "ready page"));
        let (there, _) = edited(&text, &treat(&entry.name, word));
        let (back, _) = edited(&there, &treat(&entry.name, was));
        prop_assert_eq!(multiset(&read(&back).unwrap()), multiset(&before));
    }

    #[test]
    fn no_text_makes_an_edit_panic(text in "\\PC{0,200}", edit in any_edit(3)) {
        let _ = apply(&text, &edit);
    }

    #[test]
    fn a_damaged_book_makes_no_edit_panic(
        book in any_book(6), at in any::<prop::sample::Index>(), length in 0_usize..20,
        put in "[\\[\\]\"'#=\n a-z\u{e9}]{0,6}", edit in any_edit(6),
    ) {
        let text = book.text();
        let at = at.index(text.len());
        let end = (at + length).min(text.len());
        let _ = apply(&format!("{}{put}{}", &text[..at], &text[end..]), &edit);
    }
}

#[test]
fn a_proposed_book_can_be_rearranged() {
    let art = ["a", "b", "c", "d"].map(|name| (format!("{name}.png"), pixels(3000, 3700)));
    let text = propose(&FirstBook {
        title: "Tide".to_owned(),
        author: String::new(),
        trim: Size::from_mm(250.0, 300.0),
        art: art.to_vec(),
    })
    .unwrap();
    let (moved, _) = edited(&text, &move_to("a", 4));
    assert_eq!(names(&moved), ["title", "b", "c", "d", "a", "colophon"]);
    let (moved, _) = edited(&moved, &move_to("title", 2));
    // What is said about the running order as a whole stays above it.
    let order = moved.find("# The running order").unwrap();
    assert!(order < moved.find("[[page]]").unwrap());
    assert_eq!(
        edited(&edited(&moved, &move_to("title", 0)).0, &move_to("a", 1)).0,
        text
    );
}

/// Two commented sections, nothing said of paper or of single pieces.
fn plain_book() -> String {
    BookText::default()
        .page("night", "full page", "art = \"coast/night.v2.png\"")
        .page("day", "inset", "art = \"day.png\"")
        .text()
}

#[test]
fn a_recipe_is_set_and_taken_back_to_the_letter() {
    let text = plain_book();
    let (with, what) = edited(&text, &set("paper.recipe", "strong"));
    assert_eq!(what, "Set the recipe for paper to `strong`");
    assert_eq!(read(&with).unwrap().paper.recipe, PaperRecipe::Strong);
    assert_eq!(
        difference(&text, &with).trim(),
        "+ [paper]\n+ recipe = \"strong\"\n+"
    );
    let (with, _) = edited(&with, &set("paper.cyan", "-9%"));
    let own = read(&with).unwrap().paper.own;
    assert_eq!(own.bands[3], Some(-9.0));
    let (with, what) = edited(&with, &set("paper.cyan", ""));
    assert_eq!(what, "Took the saturation of cyans out (it was `-9%`)");
    assert_eq!(read(&with).unwrap().paper.own, Default::default());
    assert!(refused(&text, &set("paper.cyan", "-99%")).contains("outside the range"));
    assert!(refused(&text, &set("paper.cyn", "-9%")).contains("Did you mean `paper.cyan`?"));
}

#[test]
fn a_lesson_comes_in_as_one_step_and_stays_apart_from_the_recipe() {
    let text = propose(&FirstBook {
        title: "T".to_owned(),
        author: String::new(),
        trim: Size::from_mm(200.0, 200.0),
        art: vec![("a.png".to_owned(), pixels(2400, 2400))],
    })
    .unwrap();
    let lesson = Learned {
        from: "proof 1, strip 2".to_owned(),
        tone: vec![(0.0, 3.0), (50.0, 44.12345), (100.0, 100.0)],
        saturation: vec![1.1, 1.0, 1.0],
        hue: vec![-0.0001, -2.0, 1.0],
        depth: Vec::new(),
        lift: vec![1.25],
        cast: vec![(0.0, 0.0), (0.3, -0.2)],
    };
    let learn = Edit::learn(&lesson, "Took in what proof 1 has taught");
    let (taught, what) = edited(&text, &learn);
    assert_eq!(what, "Took in what proof 1 has taught");
    let learned = read(&taught).unwrap().paper.learned.unwrap();
    let rounded = Learned {
        tone: vec![(0.0, 3.0), (50.0, 44.123), (100.0, 100.0)],
        hue: vec![0.0, -2.0, 1.0],
        ..lesson.clone()
    };
    assert_eq!(learned, rounded);
    // Another lesson takes the place of all that the first has taught.
    let other = Learned {
        from: "proof 2".to_owned(),
        hue: vec![1.0],
        ..Learned::default()
    };
    let (again, _) = edited(&taught, &Edit::learn(&other, "x"));
    assert_eq!(read(&again).unwrap().paper.learned, Some(other));
    let at = |words: &str| {
        taught
            .find(words)
            .unwrap_or_else(|| panic!("{words}\n{taught}"))
    };
    assert!(at("# ruling = ") < at("[paper.learned]") && at("[paper.learned]") < at("[cover]"));
    // What is set in the recipe afterwards does not slip into the lesson below it.
    let (both, _) = edited(&taught, &set("paper.contrast", "-3%"));
    let paper = read(&both).unwrap().paper;
    assert_eq!(paper.own.contrast, Some(-3.0));
    assert_eq!(paper.learned, Some(learned));
    // All forgotten.
    let forget = Edit::forget_lesson("");
    let (forgot, what) = edited(&both, &forget);
    assert_eq!(read(&forgot).unwrap().paper.learned, None);
    assert!(
        what.contains("; Took the tone learned from the proof out"),
        "{what}"
    );
}

#[test]
fn a_lesson_may_stand_before_there_is_a_recipe() {
    let (text, _) = edited(&plain_book(), &set("paper.learned.hue", "1 2 3"));
    let (text, _) = edited(&text, &set("paper.recipe", "usual"));
    let paper = read(&text).unwrap().paper;
    assert_eq!(paper.recipe, PaperRecipe::Usual);
    assert_eq!(paper.learned.unwrap().hue, [1.0, 2.0, 3.0]);
    assert_eq!(names(&text), ["night", "day"]);
}

#[test]
fn several_values_are_set_together_or_not_at_all() {
    let text = plain_book();
    let both = |second: &str| Edit::SetAll {
        values: vec![
            ("format.bleed".to_owned(), "5mm".to_owned()),
            (second.to_owned(), "4mm".to_owned()),
        ],
        what: String::new(),
    };
    let (new, what) = edited(&text, &both("format.safe"));
    assert_eq!(what, "Set the bleed to `5mm`; Set the safe margin to `4mm`");
    let format = read(&new).unwrap().format;
    assert_eq!((format.bleed.mm(), format.safe.mm()), (5.0, 4.0));
    assert!(refused(&text, &both("format.saef")).contains("not a setting"));
    let nothing = Edit::SetAll {
        values: Vec::new(),
        what: String::new(),
    };
    assert_eq!(edited(&text, &nothing).0, text);
}

#[test]
fn a_piece_gets_wishes_of_its_own_and_loses_them() {
    let text = plain_book();
    let (with, what) = edited(&text, &set("piece.coast/night.v2.png.recipe", "none"));
    assert_eq!(
        what,
        "Set the recipe for paper of `coast/night.v2.png` to `none`"
    );
    let at = |text: &str, words: &str| {
        text.find(words)
            .unwrap_or_else(|| panic!("{words}\n{text}"))
    };
    assert!(at(&with, "[cover]") < at(&with, "[[piece]]"));
    assert!(at(&with, "[[piece]]") < at(&with, "[[page]]"));
    let (with, _) = edited(&with, &set("piece.day.png.inks", "black and cyan"));
    let (with, _) = edited(&with, &set("piece.coast/night.v2.png.red", "-12%"));
    let wishes = read(&with).unwrap().piece_wishes;
    assert_eq!(wishes.len(), 2, "{with}");
    assert_eq!(wishes[0].piece, "coast/night.v2.png");
    assert_eq!(wishes[0].recipe, Some(PaperRecipe::None));
    assert_eq!(wishes[0].own.bands[0], Some(-12.0));
    assert_eq!(wishes[1].inks, PieceInks::BlackAndCyan);
    assert_eq!(names(&with), ["night", "day"]);
    // What is said no more leaves nothing behind.
    let mut back = with;
    for key in [
        "coast/night.v2.png.recipe",
        "day.png.inks",
        "coast/night.v2.png.red",
    ] {
        back = edited(&back, &set(&format!("piece.{key}"), "")).0;
    }
    assert!(read(&back).unwrap().piece_wishes.is_empty(), "{back}");
    let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(words(&back), words(&text));
    // Nothing is made of nothing.
    let (same, what) = edited(&text, &set("piece.day.png.inks", ""));
    assert_eq!(same, text);
    assert_eq!(what, "Left the inks of `day.png` unsaid");
}

#[test]
fn a_finishing_is_made_in_one_step_changed_and_taken_out() {
    let text = plain_book();
    let made = Edit::SetAll {
        values: [
            ("process", "foil"),
            ("on", "cover"),
            ("panel", "front"),
            ("words", "title"),
            ("colour", "copper"),
        ]
        .map(|(key, value)| (format!("finishing.Title v1.2.{key}"), value.to_owned()))
        .to_vec(),
        what: "Added the finishing `Title v1.2`".to_owned(),
    };
    // A dot is none of the letters that a plate's name may have.
    assert!(refused(&text, &made).contains("cannot be the name of a finishing"));
    let Edit::SetAll { values, what } = made else {
        panic!()
    };
    let values = values
        .into_iter()
        .map(|(key, value)| (key.replace("Title v1.2", "title foil"), value))
        .collect();
    let (with, _) = edited(&text, &Edit::SetAll { values, what });
    let finishings = read(&with).unwrap().finishings;
    assert_eq!(finishings.len(), 1, "{with}");
    assert_eq!(finishings[0].name, "title foil");
    assert_eq!(names(&with), ["night", "day"]);
    let (other, what) = edited(&with, &set("finishing.title foil.least_line", "0.4mm"));
    assert_eq!(what, "Set the finest line of `title foil` to `0.4mm`");
    assert_eq!(difference(&with, &other), "+ least_line = \"0.4mm\"");
    let (named, _) = edited(&other, &set("finishing.title foil.name", "letters"));
    assert_eq!(read(&named).unwrap().finishings[0].name, "letters");
    assert!(refused(&with, &set("finishing.title foil.process", "")).contains("`process`"));
    assert!(refused(&with, &set("finishing.new.process", "foil")).contains("`mask`"));
    let (back, what) = edited(&with, &set("finishing.title foil.name", ""));
    assert_eq!(what, "Took the finishing `title foil` out");
    let words = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert_eq!(words(&back), words(&text));
    let (same, _) = edited(&text, &set("finishing.title foil.name", ""));
    assert_eq!(same, text);
}

#[test]
fn the_bar_code_and_a_jackets_words_are_set_like_anything_else() {
    let text = plain_book();
    let (with, what) = edited(&text, &set("book.isbn", "978-0-306-40615-7"));
    assert_eq!(what, "Set the book number to `978-0-306-40615-7`");
    let (with, _) = edited(&with, &set("barcode.place", "head left"));
    let (with, _) = edited(&with, &set("jacket.back_words", "One.\n\nTwo."));
    let book = read(&with).unwrap();
    assert_eq!(book.bar_code.unwrap().place, Corner::HeadLeft);
    assert_eq!(book.jacket.back_words, ["One.", "Two."]);
    let wrong = refused(&text, &set("book.isbn", "978-0-306-40615-8"));
    assert!(wrong.contains("the last digit should be 7"), "{wrong}");
}

#[test]
fn a_piece_with_a_remark_keeps_it_when_its_last_wish_goes() {
    let text = plain_book().replacen(
        "[[page]]",
        "# Ask Ines.\n[[piece]]\nart = \"day.png\"\nrecipe = \"none\"\n\n[[page]]",
        1,
    );
    let (back, _) = edited(&text, &set("piece.day.png.recipe", ""));
    assert_eq!(difference(&text, &back), "- recipe = \"none\"");
}

#[test]
fn wishes_that_cannot_be_are_refused() {
    let text = plain_book();
    for (key, value, wanted) in [
        ("piece.day.png.inks", "blue", "`inks` expected"),
        (
            "piece.../day.png.inks",
            "black",
            "leads out of the book folder",
        ),
        ("piece.day.png.ruling", "150lpi", "not a setting"),
        (
            "piece.day.png.recpie",
            "none",
            "Did you mean `piece.day.png.recipe`?",
        ),
        ("piece.recipe", "none", "not a setting"),
        ("piece", "none", "not a setting"),
        ("piece..recipe", "none", "does not say `art`"),
        ("paper.learned", "x", "not a setting"),
    ] {
        let found = refused(&text, &set(key, value));
        assert!(found.contains(wanted), "{key}: {found}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn wishes_for_paper_change_nothing_else_and_go_without_a_trace(
        book in any_book(6), wishes in prop::collection::vec(any_wish(), 1..6),
        remarks in prop::collection::vec(any::<u8>(), 1..40),
    ) {
        let text = remarked(&book.text(), &remarks);
        let before = without_lines(&text);
        let mut with = text.clone();
        for (key, value) in &wishes {
            with = edited(&with, &set(key, value)).0;
        }
        let after = without_lines(&with);
        let others = Book {
            paper: before.paper.clone(),
            piece_wishes: before.piece_wishes.clone(),
            ..after.clone()
        };
        prop_assert_eq!(&others, &before, "{}", with);
        prop_assert_ne!(&after, &before, "{}", with);
        // Remarks are all still there.
        for line in text.lines().filter(|line| line.starts_with('#')) {
            prop_assert!(with.contains(line), "{}", line);
        }
        // In one step, the book is the same.
        let all = Edit::SetAll { values: wishes.clone(), what: "All".to_owned() };
        prop_assert_eq!(&edited(&text, &all).0, &with);
        for (key, _) in &wishes {
            with = edited(&with, &set(key, "")).0;
        }
        prop_assert_eq!(&without_lines(&with), &before, "{}", with);
    }

    #[test]
    fn a_lesson_reads_back_as_it_was_taught(
        book in any_book(4),
        rises in prop::collection::vec((0.01_f64..9.0, 0.01_f64..9.0), 2..11),
        saturation in prop::collection::vec(0.5..2.0_f64, 0..40),
        hue in prop::collection::vec(-30.0..30.0_f64, 0..40),
        depth in prop::collection::vec(0.5..2.0_f64, 0..20),
        lift in prop::collection::vec(-15.0..15.0_f64, 0..20),
        cast in prop::collection::vec((-15.0..15.0_f64, -15.0..15.0_f64), 0..20),
    ) {
        let (mut intended, mut printed) = (0.0, 0.0);
        let tone = rises
            .iter()
            .map(|(more, prints)| {
                intended += more;
                printed += prints;
                (intended, printed)
            })
            .collect();
        let lesson = Learned {
            from: "proof 7".to_owned(),
            tone, saturation, hue, depth, lift, cast,
        };
        let (text, _) = edited(&book.text(), &Edit::learn(&lesson, "x"));
        let found = read(&text).unwrap().paper.learned.unwrap();
        let near = |one: &[f64], two: &[f64]| {
            one.len() == two.len()
                && one.iter().zip(two).all(|(one, two)| (one - two).abs() < 0.000_501)
        };
        let flat = |pairs: &[(f64, f64)]| -> Vec<f64> {
            pairs.iter().flat_map(|(one, two)| [*one, *two]).collect()
        };
        prop_assert!(near(&flat(&found.tone), &flat(&lesson.tone)));
        prop_assert!(near(&found.saturation, &lesson.saturation));
        prop_assert!(near(&found.hue, &lesson.hue));
        prop_assert!(near(&found.depth, &lesson.depth));
        prop_assert!(near(&found.lift, &lesson.lift));
        prop_assert!(near(&flat(&found.cast), &flat(&lesson.cast)));
        let (without, _) = edited(&text, &Edit::forget_lesson("x"));
        prop_assert_eq!(read(&without).unwrap().paper, ForPaper::default());
    }
}
