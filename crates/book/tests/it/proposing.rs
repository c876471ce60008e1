//! A first book: it reads back, shows every piece once, and leaves no blank before a spread.

use book::plan::{Cause, Plan, ReaderPage, Side};
use book::propose::{FirstBook, propose};
use book::{BindingKind, Book, Treatment, read};
use measure::{PixelSize, Size};
use proptest::prelude::*;

use crate::builder::pixels;

fn first(art: &[(&str, PixelSize)]) -> FirstBook {
    FirstBook {
        title: "The Low Tide Line".to_owned(),
        author: "Ines Marlow".to_owned(),
        trim: Size::from_mm(250.0, 300.0),
        art: art
            .iter()
            .map(|(name, size)| ((*name).to_owned(), *size))
            .collect(),
    }
}

fn proposed(first: &FirstBook) -> (Book, Plan, String) {
    let text = propose(first).unwrap_or_else(|errors| panic!("{errors}"));
    let book = read(&text).unwrap_or_else(|errors| panic!("{errors}\n{text}"));
    let sizes = |piece: &str| {
        let found = first.art.iter().find(|(name, _)| name == piece);
        found.map(|(_, size)| *size)
    };
    let (plan, _) = Plan::lay_out(&book, &sizes);
    (book, plan, text)
}

/// Entries as `treatment: pieces`.
fn outline(book: &Book) -> Vec<String> {
    book.running_order
        .iter()
        .map(|entry| {
            let pieces: Vec<&str> = entry
                .treatment
                .pictures()
                .iter()
                .map(|picture| picture.piece.as_str())
                .collect();
            format!("{}: {}", entry.treatment.word(), pieces.join(" + "))
        })
        .collect()
}

#[test]
fn a_folder_of_art_becomes_a_book() {
    let (book, plan, text) = proposed(&first(&[
        ("09 square.png", pixels(3000, 3000)),
        ("01 wide.png", pixels(6000, 3600)),
        ("02 tall.png", pixels(3000, 3700)),
        ("03 wide.png", pixels(6000, 3600)),
        ("04 wide but small.png", pixels(1500, 900)),
        ("10 tall.png", pixels(3000, 3700)),
        ("11 boat.png", pixels(2000, 1000)),
        ("12 boat.png", pixels(2000, 1010)),
    ]));
    assert_eq!(
        outline(&book),
        [
            "title: ",
            "spread: 01 wide.png",
            "full page: 02 tall.png",
            // Brought forward, so that the next spread begins on the left.
            "inset: 04 wide but small.png",
            "spread: 03 wide.png",
            "inset: 09 square.png",
            "full page: 10 tall.png",
            "paired: 11 boat.png + 12 boat.png",
            "colophon: ",
        ]
    );
    assert_eq!(plan.pages[0].number.side(), Side::Right);
    assert_eq!(book.cover.front.as_ref().unwrap().piece, "02 tall.png");
    assert!(text.contains("# 6000 × 3600 px, "), "{text}");
}

#[test]
fn a_thin_book_is_stitched_and_a_thick_one_sewn_with_words_on_its_spine() {
    let (thin, ..) = proposed(&first(&[("a.png", pixels(3000, 3700))]));
    assert_eq!(thin.binding.kind, BindingKind::WireStitched);
    assert_eq!(thin.cover.spine_words, "");
    let many: Vec<(String, PixelSize)> = (0..100)
        .map(|number| (format!("{number}.png"), pixels(3000, 3700)))
        .collect();
    let (thick, plan, _) = proposed(&FirstBook {
        art: many,
        ..first(&[])
    });
    assert_eq!(thick.binding.kind, BindingKind::SewnSoft);
    assert_eq!(thick.cover.spine_words, "The Low Tide Line");
    // Numbers are counted, not spelt.
    assert_eq!(plan.pages_with("9.png").next(), Some(ReaderPage(11)));
    assert_eq!(plan.pages_with("10.png").next(), Some(ReaderPage(12)));
}

#[test]
fn names_that_no_book_can_hold_are_left_out_and_counted() {
    let (book, _, text) = proposed(&first(&[
        ("good.png", pixels(3000, 3700)),
        ("../evil.png", pixels(3000, 3700)),
        ("line\nbreak.png", pixels(3000, 3700)),
        ("nothing.png", pixels(0, 10)),
    ]));
    assert_eq!(outline(&book).len(), 3);
    assert!(
        text.contains("left out because of their names: 3"),
        "{text}"
    );
}

#[test]
fn a_title_or_a_page_beyond_reason_is_refused_in_words() {
    let mut book = first(&[]);
    book.title = " \n ".to_owned();
    assert!(propose(&book).unwrap_err().to_string().contains("`title`"));
    let mut book = first(&[("a.png", pixels(100, 100))]);
    book.trim = Size::from_mm(2500.0, 300.0);
    assert!(
        propose(&book)
            .unwrap_err()
            .to_string()
            .contains("trimmed page")
    );
}

/// The whole text, so that its words are looked at when they change.
#[test]
fn the_text_is_pleasant_to_read() {
    let text = propose(&first(&[
        ("coast/flood.png", pixels(6000, 3600)),
        ("coast/harbour.png", pixels(3000, 3700)),
    ]))
    .unwrap();
    let expected = include_str!("../books/proposed.toml");
    assert!(text == expected, "found:\n{text}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn whatever_is_proposed_reads_back_and_shows_every_piece_once(
        title in "\\PC{0,40}[a-z\"\\\\{}]",
        author in "[^a]{0,30}",
        trim in (50.0..900.0_f64, 50.0..900.0_f64),
        art in prop::collection::vec(("\\PC{1,20}|[a-c]{1,2}/[0-9]{1,3}\\.png", 1_u32..9000, 1_u32..9000), 0..40),
    ) {
        let first = FirstBook {
            title,
            author,
            trim: Size::from_mm(trim.0, trim.1),
            art: art
                .into_iter()
                .map(|(name, width, height)| (name, pixels(width, height)))
                .collect(),
        };
        let (book, plan, text) = proposed(&first);
        // Every piece once, but those that cannot be held.
        let mut shown: Vec<&str> = book
            .running_order
            .iter()
            .flat_map(|entry| entry.treatment.pictures())
            .map(|wanted| wanted.piece.as_str())
            .collect();
        let count = shown.len();
        shown.sort_unstable();
        shown.dedup();
        prop_assert_eq!(shown.len(), count);
        let left_out = text
            .split_once("left out because of their names: ")
            .map_or(0, |(_, rest)| rest.split('.').next().unwrap().parse().unwrap());
        prop_assert_eq!(count + left_out, first.art.len());
        // Title first, colophon last.
        prop_assert_eq!(&book.running_order[0].treatment, &Treatment::Title);
        let last = &book.running_order.last().unwrap().treatment;
        prop_assert!(matches!(last, Treatment::Colophon { .. }), "{:?}", last);
        // Blanks only as the signature forces them.
        for page in &plan.pages {
            let forced_by_fold = matches!(page.cause, Cause::ForcedByFold { .. });
            prop_assert!(!forced_by_fold, "{:?}", page);
        }
    }
}
