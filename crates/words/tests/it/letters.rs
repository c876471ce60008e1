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

#[test]
fn words_are_data_and_never_markup() {
    let signs =
        "#set $x$ *bold* _it_ @ref <label> \\ // /* = - + `raw` [a](b) {c} ~ $$ #{1+1} \\u{41}";
    let set = letter(vec![
        Part::Heading(signs.to_owned()),
        Part::Paragraph(signs.to_owned()),
        Part::Facts(vec![(signs.to_owned(), signs.to_owned())]),
        Part::Numbered(vec![signs.to_owned()]),
        Part::Table(Table {
            head: vec![signs.to_owned()],
            rows: vec![vec![signs.to_owned()]],
        }),
    ])
    .set()
    .unwrap();
    let bare = |words: &str| words.replace(char::is_whitespace, "");
    // Words that are parted at the end of a line are parted by nothing else.
    assert_eq!(bare(&all(&set)).matches(&bare(signs)).count(), 7);
}

#[test]
fn a_sign_that_no_typeface_has_is_named_and_an_open_box_stands_for_it() {
    let mut chinese = letter(vec![Part::Paragraph("Ask 漢字印刷 today".to_owned())]);
    chinese.addressee = vec!["漢 Press".to_owned()];
    let set = chinese.set().unwrap();
    assert_eq!(set.missing, ['漢', '字', '印', '刷']);
    let words = all(&set);
    assert_eq!(words.matches(STAND_IN).count(), 5, "{words}");
    assert!(words.contains("Signs are missing."), "{words}");
    let plain = letter(vec![Part::Paragraph("Ask today".to_owned())])
        .set()
        .unwrap();
    assert!(plain.missing.is_empty());
    assert!(!all(&plain).contains("Signs are missing."));
}

#[test]
fn what_is_too_much_for_a_page_flows_to_the_next() {
    let rows = |count: usize| {
        let row = |n| {
            (
                format!("plate {n}"),
                "foil, on the jacket, front".to_owned(),
            )
        };
        letter(vec![Part::Facts((0..count).map(row).collect())])
    };
    let few = rows(3).set().unwrap();
    let many = rows(400).set().unwrap();
    assert_eq!(few.pages.len(), 1);
    assert!(many.pages.len() > 8, "{}", many.pages.len());
    for (index, page) in many.pages.iter().enumerate() {
        let foot = format!("{} of {}", index + 1, many.pages.len());
        assert!(copied(page).contains(&foot), "page {index}");
        assert!(page.depth() <= many.size.height);
    }
    let words = all(&many);
    for n in 0..400 {
        assert_eq!(words.matches(&format!("plate {n} ")).count(), 1, "{n}");
    }
}

#[test]
fn a_long_cell_is_parted_and_nothing_of_it_is_lost() {
    let long = "many words ".repeat(2_000);
    let set = letter(vec![Part::Facts(vec![("Finishings".to_owned(), long)])])
        .set()
        .unwrap();
    assert!(set.pages.len() > 3);
    assert_eq!(all(&set).matches("many").count(), 2_000);
}

#[test]
fn a_cell_to_write_in_has_a_rule_below_it() {
    let table = |rows: usize| {
        letter(vec![Part::Table(Table {
            head: vec!["Once".to_owned(), "Price".to_owned()],
            rows: vec![vec!["Plates".to_owned()]; rows],
        })])
        .set()
        .unwrap()
        .pages[0]
            .rules
            .len()
    };
    assert!(table(5) > table(2));
}

#[test]
fn the_paper_is_that_of_the_country() {
    assert_eq!(Paper::of_country("us"), Paper::UsLetter);
    assert_eq!(Paper::of_country(" CA "), Paper::UsLetter);
    assert_eq!(Paper::of_country("PT"), Paper::A4);
    assert_eq!(Paper::of_country(""), Paper::A4);
    let mut american = letter(Vec::new());
    american.paper = Paper::UsLetter;
    assert_eq!(american.set().unwrap().size, Paper::UsLetter.size());
}

#[test]
fn a_letter_without_names_is_a_letter_still() {
    let mut bare = letter(Vec::new());
    bare.sender.clear();
    bare.addressee.clear();
    bare.particulars.clear();
    bare.subject.clear();
    bare.running.clear();
    assert_eq!(bare.set().unwrap().pages.len(), 1);
    assert_eq!(bare.plain().trim(), "");
}

#[test]
fn what_is_no_letter_any_more_is_refused_in_words() {
    let error = letter(vec![Part::Paragraph("a ".repeat(150_000))])
        .set()
        .unwrap_err();
    assert_eq!(
        error.to_string(),
        "the words could not be set: there are more than 200000 characters, which is no letter"
    );
}

#[test]
fn plain_text_keeps_to_its_line_and_says_all() {
    let text = letter(vec![
        Part::Heading("The book".to_owned()),
        Part::Paragraph("word ".repeat(60)),
        Part::Facts(vec![("Format".to_owned(), "wide ".repeat(40))]),
        Part::Table(Table {
            head: ["For all", "9 copies", "90 copies"]
                .map(str::to_owned)
                .to_vec(),
            rows: vec![vec!["Printed".to_owned(), "EUR 7".to_owned()]],
        }),
    ])
    .plain();
    assert!(
        text.lines().all(|line| line.chars().count() <= 72),
        "{text}"
    );
    assert_eq!(text.matches("word").count(), 60);
    assert_eq!(text.matches("wide").count(), 40);
    assert!(
        text.contains("\n   9 copies: EUR 7\n  90 copies: ______________\n"),
        "{text}"
    );
}
