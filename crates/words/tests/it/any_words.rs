use measure::{Length, Size};
use proptest::prelude::*;
use words::{Block, Style, set};

use crate::STYLES;

/// Words of all kinds: any characters at all, what usually upsets a typesetter, and long words.
pub fn any_text() -> impl Strategy<Value = String> {
    let upsetting = prop::sample::select(vec![
        "\u{0}",
        "\u{1f}",
        "\u{7f}",
        "\u{85}",
        "\u{ad}",
        "\u{200b}",
        "\u{200d}",
        "\u{200f}",
        "\u{202e}",
        "\u{2028}",
        "\u{2029}",
        "\u{2060}",
        "\u{feff}",
        "\u{fffd}",
        "\u{ffff}",
        "\u{e000}",
        "\u{1f468}\u{200d}\u{1f469}",
        "e\u{301}\u{302}\u{303}",
        "שלום",
        "مرحبا",
        "漢",
        "\"",
        "'",
        "''\"",
        "#",
        "$",
        "\\",
        "\n",
        "\r\n",
        "\t",
        " ",
        "\u{a0}",
        "\u{3000}",
    ]);
    let part = prop_oneof![
        4 => "[a-zA-Z .,-]{1,30}",
        2 => upsetting.prop_map(str::to_owned),
        1 => any::<char>().prop_map(String::from),
        1 => "[a-z]{40,300}",
    ];
    prop::collection::vec(part, 0..12).prop_map(|parts| parts.concat())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn any_words_are_set_or_refused_but_never_panic(
        style in prop::sample::select(STYLES.to_vec()),
        heading in any_text(),
        paragraphs in prop::collection::vec(any_text(), 0..4),
        language in prop_oneof!["[a-z]{2}", "[a-zA-Z-]{0,8}", any_text()],
        width in 1i64..600_000_000,
        height in -5i64..600_000_000,
    ) {
        let block = Block {
            size: Size { width: Length::from_nm(width), height: Length::from_nm(height) },
            style, heading, paragraphs, language,
        };
        if let Ok(galley) = set(&block) {
            prop_assert!(galley.overflow >= Length::ZERO);
            for run in &galley.runs {
                prop_assert!(run.font < galley.fonts.len());
                prop_assert!(run.size > Length::ZERO);
                prop_assert!(run.glyphs.iter().all(|glyph| glyph.id != 0));
            }
        }
    }

    /// What is refused is refused for a reason: plain words always come out, all of them.
    #[test]
    fn plain_words_all_come_out(words in prop::collection::vec("[a-z]{1,9}", 1..40)) {
        let text = words.join(" ");
        let block = Block {
            size: Size::from_mm(80.0, 200.0),
            style: Style::Colophon,
            heading: String::new(),
            paragraphs: vec![text],
            language: "en".to_owned(),
        };
        let found: String = crate::copied(&set(&block).unwrap());
        let found: String = found.split_whitespace().collect();
        prop_assert_eq!(found, words.concat());
    }
}
