use measure::Length;
use words::{Style, WordsError, set};

use crate::{STYLES, block, copied, lines};

#[test]
fn words_are_data_and_never_markup() {
    let signs =
        "#set $x$ *bold* _it_ @ref <label> \\ // /* = - + `raw` [a](b) {c} ~ $$ #{1+1} \\u{41}";
    for style in STYLES {
        let galley = set(&block(style, 300.0, 300.0, signs, &[signs])).unwrap();
        let found = copied(&galley).replace(' ', "");
        let wanted = signs.replace(' ', "");
        // A folio shows its heading alone.
        let wanted = match style {
            Style::Folio => wanted,
            _ => wanted.repeat(2),
        };
        assert_eq!(found, wanted, "{style:?}");
    }
}

#[test]
fn straight_quotes_become_those_of_the_language() {
    let mut quoted = block(
        Style::Prose,
        100.0,
        100.0,
        "",
        &["\"It's here,\" she said."],
    );
    assert_eq!(copied(&set(&quoted).unwrap()), "“It’s here,” she said.");
    quoted.language = "de".to_owned();
    assert_eq!(copied(&set(&quoted).unwrap()), "„It’s here,“ she said.");
}

#[test]
fn the_runs_of_a_heading_stand_first_and_are_counted() {
    let heading = "The \"fine\" low-water line";
    for style in [Style::Title, Style::CoverFront, Style::Spine] {
        for paragraphs in [&["Ada Quill"][..], &[]] {
            let mut galley = set(&block(style, 200.0, 200.0, heading, paragraphs)).unwrap();
            let rest = galley.runs.split_off(galley.heading_runs);
            let shown = copied(&galley).replace(char::is_whitespace, "");
            assert_eq!(shown, "The“fine”low-waterline", "{style:?}");
            assert_eq!(rest.is_empty(), paragraphs.is_empty(), "{style:?}");
        }
    }
}

#[test]
fn signs_that_no_typeface_has_are_named() {
    let error = set(&block(
        Style::Prose,
        100.0,
        100.0,
        "",
        &["A 😀 and 漢字, 😀"],
    ))
    .unwrap_err();
    assert_eq!(
        error,
        WordsError::MissingGlyphs("`😀` (U+1F600), `漢` (U+6F22), `字` (U+5B57)".to_owned())
    );
    assert_eq!(
        error.to_string(),
        "no built-in typeface has `😀` (U+1F600), `漢` (U+6F22), `字` (U+5B57)"
    );
}

#[test]
fn other_alphabets_and_symbols_are_there() {
    for words in [
        "Ελληνικά",
        "Русский язык",
        "עברית",
        "tiếng Việt",
        "→ ✓ ∞ ☉ ½ № €",
    ] {
        let galley = set(&block(Style::Caption, 100.0, 100.0, "", &[words])).unwrap();
        let mut found: Vec<char> = copied(&galley).chars().collect();
        let mut wanted: Vec<char> = words.chars().collect();
        // Words that run from the right come in the order in which they stand on the line.
        found.sort_unstable();
        wanted.sort_unstable();
        assert_eq!(found, wanted, "{words}");
    }
}

#[test]
fn a_ligature_is_one_glyph_and_copies_as_its_letters() {
    let galley = set(&block(Style::Prose, 100.0, 100.0, "", &["The office"])).unwrap();
    let texts: Vec<&str> = galley.runs[0]
        .glyphs
        .iter()
        .map(|g| g.text.as_str())
        .collect();
    assert_eq!(texts, ["T", "h", "e", " ", "o", "ffi", "c", "e"]);
}

#[test]
fn prose_is_hyphenated_in_its_language() {
    let long = "Donaudampfschifffahrtselektrizitätenhauptbetriebswerkbauunterbeamtengesellschaft";
    let mut narrow = block(Style::Prose, 40.0, 100.0, "", &[long]);
    narrow.language = "de-AT".to_owned();
    let hyphenated = set(&narrow).unwrap();
    let parted = lines(&hyphenated);
    assert!(parted.len() > 2);
    assert!(parted[0].1.ends_with('-'), "{parted:?}");
    assert_eq!(hyphenated.overflow, Length::ZERO);
    narrow.language = String::new();
    let unknown = set(&narrow).unwrap();
    assert_eq!(lines(&unknown).len(), 1);
    assert!(unknown.overflow > Length::ZERO, "too wide is running over");
}

#[test]
fn what_does_not_fit_is_measured_in_whole_lines() {
    let paragraph = "Some words that fill a line or two of this narrow measure. ".repeat(20);
    let tall = set(&block(Style::Prose, 90.0, 200.0, "", &[&paragraph])).unwrap();
    assert_eq!(tall.overflow, Length::ZERO);
    let tall_lines = lines(&tall);
    let taken = tall_lines.last().unwrap().0;
    let short = set(&block(Style::Prose, 90.0, 20.0, "", &[&paragraph])).unwrap();
    assert_eq!(lines(&short), tall_lines, "nothing is lost or made smaller");
    let over = short.overflow - (taken - Length::from_mm(20.0));
    assert!(over.abs() < Length::from_um(5.0), "{}", short.overflow);
}

#[test]
fn lines_stand_at_even_distances() {
    let paragraph = "Some words that fill a line or two of this narrow measure. ".repeat(12);
    let galley = set(&block(
        Style::Prose,
        90.0,
        250.0,
        "",
        &[&paragraph, &paragraph],
    ))
    .unwrap();
    let lines = lines(&galley);
    let step = lines[1].0 - lines[0].0;
    for pair in lines.windows(2) {
        let off = pair[1].0 - pair[0].0 - step;
        assert!(off.abs() < Length::from_um(1.0), "off by {off}");
    }
}

#[test]
fn justified_lines_end_together() {
    let paragraph = "Some words that fill a line or two of this narrow measure. ".repeat(12);
    let galley = set(&block(Style::Prose, 90.0, 250.0, "", &[&paragraph])).unwrap();
    // The origin of the last letter of full lines; hanging punctuation may reach a little over.
    let mut ends: Vec<Length> = Vec::new();
    for (y, _) in lines(&galley) {
        let end = galley.runs.iter().flat_map(|run| &run.glyphs);
        ends.push(end.filter(|g| g.y == y).map(|g| g.x).max().unwrap());
    }
    ends.pop();
    let (least, most) = (ends.iter().min().unwrap(), ends.iter().max().unwrap());
    assert!(*most - *least < Length::from_mm(3.0), "{least} to {most}");
}

#[test]
fn a_colophon_and_a_folio_stand_on_the_foot() {
    for style in [Style::Colophon, Style::Folio] {
        let galley = set(&block(style, 100.0, 150.0, "12", &["Printed somewhere."])).unwrap();
        let last = lines(&galley).last().unwrap().0;
        let off = last - Length::from_mm(150.0);
        assert!(off.abs() < Length::from_um(5.0), "{style:?}: {last}");
    }
}

#[test]
fn a_title_is_made_smaller_until_it_fits() {
    let size = |heading: &str| {
        let galley = set(&block(Style::Title, 100.0, 120.0, heading, &["A. Person"])).unwrap();
        assert_eq!(galley.overflow, Length::ZERO, "{heading}");
        galley.runs[0].size
    };
    let short = size("Nets");
    let long = size("Antidisestablishmentarianism");
    assert!(long < short, "{long} is less than {short}");
}

#[test]
fn a_title_stands_above_the_middle_and_in_the_centre() {
    let galley = set(&block(Style::Title, 150.0, 200.0, "Nets", &["A. Person"])).unwrap();
    let lines = lines(&galley);
    let middle = (lines[0].0 + lines.last().unwrap().0) / 2;
    assert!(middle > Length::from_mm(60.0) && middle < Length::from_mm(100.0));
    let xs = galley.runs[0].glyphs.iter().map(|g| g.x);
    let (left, right) = (xs.clone().min().unwrap(), xs.max().unwrap());
    let centre = (left + right) / 2;
    assert!((centre - Length::from_mm(75.0)).abs() < Length::from_mm(5.0));
}

#[test]
fn a_cover_has_the_title_above_and_the_author_on_the_foot() {
    let galley = set(&block(
        Style::CoverFront,
        150.0,
        200.0,
        "Nets",
        &["A. Person"],
    ))
    .unwrap();
    let lines = lines(&galley);
    assert_eq!(lines[0].1, "Nets");
    assert!(lines[0].0 < Length::from_mm(60.0));
    let off = lines[1].0 - Length::from_mm(200.0);
    assert!(off.abs() < Length::from_um(5.0), "{off}");
}

#[test]
fn a_spine_is_one_line_in_the_middle_of_its_height() {
    for (heading, spine) in [
        ("Nets", 14.0),
        ("A title that is rather long for so thin a book", 6.0),
    ] {
        let galley = set(&block(Style::Spine, 120.0, spine, heading, &["A. Person"])).unwrap();
        assert_eq!(galley.overflow, Length::ZERO);
        let lines = lines(&galley);
        assert_eq!(lines.len(), 1, "{lines:?}");
        assert!(lines[0].1.starts_with(heading));
        // Half the height of capitals below the middle.
        let capitals = galley.runs[0].size.scaled(0.65);
        let off = lines[0].0 - (Length::from_mm(spine) + capitals) / 2;
        assert!(off.abs() < Length::from_um(10.0), "{off}");
    }
    let thin = set(&block(Style::Spine, 120.0, 1.0, "Nets", &[])).unwrap();
    assert!(thin.overflow > Length::ZERO);
}

#[test]
fn nothing_to_set_is_an_empty_block() {
    for style in STYLES {
        let galley = set(&block(style, 100.0, 100.0, " \n", &["", "\u{7}"])).unwrap();
        assert!(galley.runs.is_empty() && galley.fonts.is_empty());
    }
}

#[test]
fn the_same_block_is_set_the_same_every_time() {
    let words = block(
        Style::Prose,
        90.0,
        250.0,
        "Once",
        &["more with feeling, please."],
    );
    let once = format!("{:?}", set(&words).unwrap().runs);
    set(&block(Style::Title, 50.0, 50.0, "Between", &[])).unwrap();
    assert_eq!(format!("{:?}", set(&words).unwrap().runs), once);
}

#[test]
fn more_words_than_any_page_holds_are_refused() {
    let text = "word ".repeat(20_000);
    let error = set(&block(Style::Prose, 90.0, 250.0, "", &[&text])).unwrap_err();
    assert_eq!(
        error.to_string(),
        "the words could not be set: there are more than 50000 characters, which no page holds"
    );
}

#[test]
fn a_title_keeps_its_compounds_in_one_piece() {
    for style in [Style::Title, Style::CoverFront] {
        for width in [60.0, 80.0, 120.0, 200.0] {
            let words = block(
                style,
                width,
                200.0,
                "The Low-Water Line",
                &["Ilse Marrowby"],
            );
            let galley = set(&words).unwrap();
            assert_eq!(galley.overflow, Length::ZERO);
            let lines = lines(&galley);
            assert!(
                lines.iter().all(|(_, line)| !line.trim().ends_with('-')),
                "{lines:?}"
            );
        }
    }
}
