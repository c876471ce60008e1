use measure::Length;
use proptest::prelude::*;
use words::letter::{Letter, Paper, Part, Table};

use crate::any_words::any_text;

fn any_part() -> impl Strategy<Value = Part> {
    let texts = |most| prop::collection::vec(any_text(), 0..most);
    let pairs = prop::collection::vec((any_text(), any_text()), 0..12);
    let rows = prop::collection::vec(texts(6), 0..8);
    prop_oneof![
        any_text().prop_map(Part::Heading),
        any_text().prop_map(Part::Paragraph),
        any_text().prop_map(Part::Signature),
        pairs.prop_map(Part::Facts),
        texts(12).prop_map(Part::Numbered),
        (texts(16), rows).prop_map(|(head, rows)| Part::Table(Table { head, rows })),
    ]
}

prop_compose! {
    fn any_letter()(
        us in any::<bool>(),
        language in prop_oneof!["[a-z]{2}", any_text()],
        lines in prop::collection::vec(any_text(), 0..8),
        particulars in prop::collection::vec((any_text(), any_text()), 0..5),
        subject in any_text(),
        running in any_text(),
        parts in prop::collection::vec(any_part(), 0..8),
    ) -> Letter {
        Letter {
            paper: if us { Paper::UsLetter } else { Paper::A4 },
            language,
            sender: lines.clone(),
            addressee: lines,
            particulars,
            subject: subject.clone(),
            running,
            parts,
            on_missing: subject,
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    #[test]
    fn any_letter_is_set_with_every_sign_there_and_nothing_panics(letter in any_letter()) {
        let set = letter.set();
        prop_assert!(set.is_ok(), "{:?}", set.err());
        let set = set.unwrap();
        prop_assert!(!set.pages.is_empty());
        for page in &set.pages {
            for run in &page.runs {
                prop_assert!(run.font < set.fonts.len());
                prop_assert!(run.glyphs.iter().all(|glyph| glyph.id != 0));
            }
            for rule in &page.rules {
                prop_assert!(rule.width > Length::ZERO && rule.height > Length::ZERO);
            }
        }
        let _ = letter.plain();
    }

    /// More to say never takes fewer pages, and all of it stands above the foot of its page.
    #[test]
    fn more_rows_take_no_fewer_pages(few in 0usize..80, more in 0usize..80) {
        let of = |count: usize| {
            let rows = (0..count).map(|n| (format!("row {n}"), "words".to_owned())).collect();
            let letter = Letter {
                paper: Paper::A4,
                language: "en".to_owned(),
                sender: vec!["Somebody".to_owned()],
                addressee: Vec::new(),
                particulars: Vec::new(),
                subject: "Rows".to_owned(),
                running: String::new(),
                parts: vec![Part::Facts(rows)],
                on_missing: String::new(),
            };
            letter.set().unwrap()
        };
        let (short, long) = (of(few), of(few + more));
        prop_assert!(short.pages.len() <= long.pages.len());
        for page in &long.pages {
            prop_assert!(page.depth() < long.size.height);
        }
    }
}
