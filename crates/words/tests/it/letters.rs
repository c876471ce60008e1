use words::letter::{Letter, Page, Pages, Paper, Part, STAND_IN, Table};

fn letter(parts: Vec<Part>) -> Letter {
    Letter {
        paper: Paper::A4,
        language: "en".to_owned(),
        sender: vec!["Ines Almada".to_owned(), "4 Harbour Lane".to_owned()],
        addressee: vec!["Quayside Press".to_owned(), "Port Ellery".to_owned()],
        particulars: vec![("Date".to_owned(), "1 December 2026".to_owned())],
        subject: "Request for prices".to_owned(),
        running: "R1".to_owned(),
        parts,
        on_missing: "Signs are missing.".to_owned(),
    }
}

/// All words of a page, as copied out.
fn copied(page: &Page) -> String {
    page.runs
        .iter()
        .flat_map(|run| {
            run.glyphs
                .iter()
                .map(|glyph| glyph.text.as_str())
                .chain([" "])
        })
        .collect()
}

fn all(pages: &Pages) -> String {
    pages.pages.iter().map(copied).collect()
}

#[test]
fn a_letter_says_everything_in_the_order_in_which_it_is_read() {
    let said = [
        Part::Heading("The book".to_owned()),
        Part::Paragraph("Some words.".to_owned()),
        Part::Facts(vec![("Format".to_owned(), "upright".to_owned())]),
        Part::Numbered(vec!["First?".to_owned(), "Second?".to_owned()]),
    ];
    let set = letter(said.to_vec()).set().unwrap();
    assert_eq!(set.pages.len(), 1);
    let words = all(&set);
    let mut from = 0;
    for expected in [
        "Quayside Press",
        "1 December 2026",
        "Request for prices",
        "The book",
        "Some words.",
        "Format",
        "upright",
        "First?",
        "Second?",
    ] {
        let found = words[from..].find(expected);
        from += found.unwrap_or_else(|| panic!("`{expected}` is not in {words}")) + expected.len();
    }
    assert!(words.contains("1 of 1"), "{words}");
}
