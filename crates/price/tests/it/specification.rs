//! What a book is described as to a printer, and what has changed since.

use std::path::Path;

use book::edit::{Edit, apply};
use book::object::Object;
use book::plan::Plan;
use book::read;
use price::specification::{Heading, Specification};
use proptest::prelude::*;
use testkit::golden;

/// Values that are set, and the lines that they change.
type Case = (
    &'static [(&'static str, &'static str)],
    &'static [&'static str],
);

/// The demonstration's books, whose art is not looked at here.
const SOFT: &str = include_str!("../../../demo/src/books/soft.toml");
const CASE: &str = include_str!("../../../demo/src/books/case.toml");
const ZINE: &str = include_str!("../../../demo/src/books/zine.toml");
const PAGES: &str = include_str!("../../../demo/src/books/pages.toml");

fn text_of(decisions: &str) -> String {
    [decisions, PAGES].concat()
}

fn specification(text: &str) -> Specification {
    let book = read(text).unwrap_or_else(|errors| panic!("{errors}"));
    let (plan, _) = Plan::lay_out(&book, &|_| None);
    Specification::of(&book, &Object::of(&book, &plan))
}

/// The specification of the text after settings.
fn after(text: &str, settings: &[(&str, &str)]) -> Specification {
    let values = settings
        .iter()
        .map(|(key, value)| ((*key).to_owned(), (*value).to_owned()));
    let edit = Edit::SetAll {
        values: values.collect(),
        what: String::new(),
    };
    let (text, _) = apply(text, &edit).unwrap_or_else(|errors| panic!("{settings:?}: {errors}"));
    specification(&text)
}

fn shown(specification: &Specification) -> String {
    let mut text = String::new();
    for heading in [Heading::Book, Heading::Terms] {
        for line in specification
            .lines
            .iter()
            .filter(|line| line.heading == heading)
        {
            let mark = if line.of_object { '*' } else { ' ' };
            text.push_str(&format!("{mark} {}: {}\n", line.what, line.said));
        }
        text.push('\n');
    }
    text
}

#[test]
fn each_binding_is_described_in_the_trades_terms() {
    let mut text = String::new();
    for (name, decisions) in [("soft", SOFT), ("case", CASE), ("stitched", ZINE)] {
        let specification = specification(&text_of(decisions));
        text.push_str(&format!("# {name}\n\n{}", shown(&specification)));
    }
    golden(
        &Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden/specification.txt"),
        &text,
    );
}

/// What a setting does to a description: keys of the lines of the thing itself that change.
#[test]
fn a_changed_decision_is_told_by_the_lines_that_it_changes() {
    let soft: &[Case] = &[
        (&[("stock.text.grammage", "170 g/m2")], &["text-paper"]),
        (&[("stock.text.finish", "uncoated")], &["text-paper"]),
        (&[("format.trim", "250x250mm")], &["format"]),
        (&[("stock.cover.grammage", "350 g/m2")], &["soft-cover"]),
        (&[("flaps.width", "90mm")], &["soft-cover"]),
        (&[("binding.kind", "glued soft")], &["binding"]),
        (
            &[("finishing.moon varnish.process", "foil")],
            &["finishings"],
        ),
        (&[("finishing.moon varnish.name", "")], &["finishings"]),
        (&[("piece.heron.png.inks", "all four")], &["text-colours"]),
        // A measured leaf is the same paper, and what follows from it is the same book.
        (&[("stock.text.caliper", "0.252mm")], &[]),
        (&[("binding.spine", "11.3mm")], &[]),
        // Neither words nor terms make a price stale.
        (&[("book.title", "The Ebb Line")], &[]),
        (&[("ask.packing", "on pallets")], &[]),
        (&[("ask.term", "FOB"), ("ask.overs", "3%")], &[]),
        (
            &[
                ("delivery.The Lamp Room, Fennick Halt.place", ""),
                (
                    "delivery.Vare Book Store, 9 Ropewalk, Port Ellery.share",
                    "",
                ),
            ],
            &[],
        ),
        (&[("barcode.wanted", "false")], &[]),
    ];
    let case: &[Case] = &[
        (&[("binding.board", "3mm")], &["boards"]),
        (&[("binding.board", "2.47mm")], &[]),
        (&[("case.back", "round")], &["back"]),
        (&[("case.ribbons", "2")], &["ribbons"]),
        (&[("case.bands", "false")], &["bands"]),
        (&[("case.covering", "150 g/m2")], &["case-wrap"]),
        (
            &[("endpapers.grammage", "120 g/m2")],
            &["front-endpaper", "back-endpaper"],
        ),
        (
            &[("endpapers.art", "")],
            &["front-endpaper", "back-endpaper"],
        ),
        (&[("jacket.flap", "80mm")], &["jacket"]),
        (&[("jacket.wanted", "false")], &["jacket"]),
        (&[("band.wanted", "true")], &["belly-band"]),
        (
            &[("slipcase.wanted", "true")],
            &["slipcase-wrap", "slipcase-ends", "slipcase-board"],
        ),
        (&[("case.hinge", "9mm")], &[]),
    ];
    for (decisions, rows) in [(SOFT, soft), (CASE, case)] {
        let text = text_of(decisions);
        let then = specification(&text);
        for (settings, wanted) in rows {
            let now = after(&text, settings);
            let changes = then.changed(&now);
            let changed: Vec<&str> = changes
                .iter()
                .filter(|change| change.of_object)
                .map(|change| change.key)
                .collect();
            assert_eq!(&changed, wanted, "{settings:?}: {changes:?}");
            assert!(!changes.is_empty(), "{settings:?}");
            assert_eq!(then.text() == now.text(), wanted.is_empty(), "{settings:?}");
        }
    }
}

#[test]
fn a_change_is_said_in_words() {
    let text = text_of(CASE);
    let then = specification(&text);
    let said = |settings: &[(&str, &str)]| {
        let changes = then.changed(&after(&text, settings));
        changes
            .iter()
            .filter(|change| change.of_object)
            .map(ToString::to_string)
            .collect::<Vec<_>>()
    };
    assert_eq!(
        said(&[("stock.text.grammage", "170 g/m2"), ("case.ribbons", "")]),
        [
            "Text paper: was “bulky matt white”, matt coated, 200 g/m², bulky, is “bulky matt white”, \
             matt coated, 170 g/m², bulky",
            "Ribbons: was one, is none",
        ]
    );
    assert_eq!(
        said(&[("band.wanted", "true"), ("jacket.wanted", "false")]),
        [
            "Belly band: new, 135 g/m², not printed, 70 mm high",
            "Jacket: gone, was 150 g/m², printed 4/0, flaps of 90 mm",
        ]
    );
}

#[test]
fn added_pages_change_the_extent_and_what_follows_from_it() {
    let text = text_of(SOFT);
    let then = specification(&text);
    let more: Vec<String> = (0..9)
        .map(|number| format!("\n[[page]]\nname = \"more {number}\"\ntreatment = \"blank\"\n"))
        .collect();
    let more = format!("{text}{}", more.concat());
    let changes = then.changed(&specification(&more));
    let keys: Vec<&str> = changes.iter().map(|change| change.key).collect();
    assert_eq!(
        keys,
        ["extent", "folding", "soft-cover-size", "spine", "weight"],
        "{changes:?}"
    );
}

#[test]
fn what_nobody_has_said_is_asked_of_the_printer() {
    let bare = specification(&text_of(ZINE));
    let terms = bare
        .lines
        .iter()
        .filter(|line| line.heading == Heading::Terms);
    for line in terms {
        let asks = line.said.ends_with('?') || line.key == "delivery";
        assert!(asks, "{line:?}");
    }
    let said = specification(&text_of(SOFT));
    assert!(!said.lines.iter().any(|line| line.said.contains('?')));
}

/// Settings of which any may follow any other.
fn setting() -> impl Strategy<Value = (&'static str, String)> {
    prop_oneof![
        (60_u32..300).prop_map(|gsm| ("stock.text.grammage", format!("{gsm} g/m2"))),
        (60_u32..300).prop_map(|bulk| (
            "stock.text.bulk",
            format!("{}.{} cm3/g", bulk / 100, bulk % 100)
        )),
        (100_u32..400).prop_map(|mm| ("format.trim", format!("{mm}x300mm"))),
        "[a-z]{1,9}( [a-z“”·/:]{1,9}){0,3}".prop_map(|words| ("book.title", words)),
        "[a-z]{1,9}( [a-z;%]{1,9}){0,3}".prop_map(|words| ("ask.packing", words)),
        prop::sample::select(vec![
            "sewn case",
            "sewn soft",
            "glued soft",
            "wire-stitched"
        ])
        .prop_map(|kind| ("binding.kind", kind.to_owned())),
        (0_u32..51).prop_map(|overs| ("ask.overs", format!("{overs}%"))),
        any::<bool>().prop_map(|wanted| ("jacket.wanted", wanted.to_string())),
        any::<bool>().prop_map(|wanted| ("slipcase.wanted", wanted.to_string())),
        prop::sample::select(book::Term::ALL.to_vec())
            .prop_map(|term| ("ask.term", term.code().to_owned())),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn lines_are_single_and_said_and_what_differs_is_told(
        settings in prop::collection::vec(setting(), 0..6),
        more in setting(),
    ) {
        let text = text_of(SOFT);
        let apply_all = |settings: &[(&str, String)]| {
            let mut text = text.clone();
            for (key, value) in settings {
                let edit = Edit::Set { key: (*key).to_owned(), value: value.clone() };
                // A setting that does not fit this book leaves it as it is.
                if let Ok((new, _)) = apply(&text, &edit) {
                    text = new;
                }
            }
            specification(&text)
        };
        let then = apply_all(&settings);
        let now = apply_all(&[settings.clone(), vec![more]].concat());
        for specification in [&then, &now] {
            let mut keys: Vec<&str> = specification.lines.iter().map(|line| line.key).collect();
            keys.sort_unstable();
            let all = keys.len();
            keys.dedup();
            prop_assert_eq!(keys.len(), all, "two lines have one key");
            for line in &specification.lines {
                prop_assert!(!line.said.trim().is_empty() && !line.said.contains(char::is_control));
            }
        }
        prop_assert!(then.changed(&then).is_empty());
        let changes = then.changed(&now);
        prop_assert_eq!(changes.is_empty(), then == now);
        let of_object = changes.iter().any(|change| change.of_object);
        prop_assert_eq!(of_object, then.text() != now.text());
        let back: Vec<_> = now.changed(&then).iter().map(|change| (change.now.clone(), change.then.clone())).collect();
        for change in &changes {
            prop_assert!(back.contains(&(change.then.clone(), change.now.clone())));
        }
    }
}
