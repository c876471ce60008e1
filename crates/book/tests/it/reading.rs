//! What a book file may hold, and what is said when it holds something else.

use book::{
    BindingKind, Carrier, Corner, Finish, FinishingColour, ForPaper, MaskFit, OwnFigures,
    PaperRecipe, PictureCoding, PieceInks, PlateSource, Problem, Process, Rendering, Sharpening,
    SpineReads, Thickness, Treatment, WordInk, read,
};
use measure::{Length, Size};

use crate::builder::BookText;

/// The errors of a text, as they are shown.
fn errors(text: &str) -> String {
    match read(text) {
        Ok(book) => panic!("this reads: {book:#?}"),
        Err(errors) => errors.to_string(),
    }
}

#[test]
fn a_full_book_reads_as_it_is_written() {
    let book = read(include_str!("../books/full.toml")).unwrap();
    assert_eq!(book.about.title, "The Low Tide Line");
    assert_eq!(book.about.language, "en-GB");
    assert_eq!(book.format.trim, Size::from_mm(297.0, 210.0));
    assert_eq!(book.format.fold_repeat, Length::from_mm(1.5));
    assert!(!book.format.folios);
    assert_eq!(book.binding.kind, BindingKind::SewnCase);
    assert_eq!(book.binding.signature.pages(), 24);
    assert_eq!(book.binding.board, Length::from_mm(3.0));
    assert!((book.text_stock.grammage.gsm() - 148.0146).abs() < 0.001);
    assert_eq!(
        book.text_stock.thickness,
        Thickness::Caliper(Length::from_mm(0.12))
    );
    assert!(matches!(book.cover_stock.thickness, Thickness::Bulk(_)));
    assert_eq!(book.cover_stock.finish, Finish::Gloss);
    assert_eq!(book.press.condition, "profiles/house.icc");
    assert_eq!(book.press.rendering, Rendering::Relative);
    assert_eq!(book.press.ink_limit, Some(280.0));
    assert_eq!(book.press.pictures, PictureCoding::Jpeg);
    assert_eq!(book.paper.recipe, PaperRecipe::Usual);
    assert_eq!(book.paper.name, "quiet night");
    assert_eq!(
        book.paper.own,
        OwnFigures {
            contrast: Some(-10.0),
            lightening: Some(4.0),
            saturation: Some(-5.5),
            bands: [Some(2.0), None, None, None, None, Some(-3.0)],
            black: Some(4.0),
            white: Some(98.5),
        }
    );
    assert_eq!(book.paper.sharpening, Sharpening::Strong);
    assert!((book.paper.ruling.unwrap() - 203.2).abs() < 1e-9);
    let learned = book.paper.learned.as_ref().unwrap();
    assert_eq!(learned.from, "proof 1, strip 2, read 25 November 2026");
    assert_eq!(learned.tone[1], (25.0, 21.0));
    assert_eq!(learned.tone.len(), 5);
    assert_eq!(learned.saturation, [1.1, 1.08, 1.0, 1.0, 1.0, 1.05]);
    assert_eq!(learned.hue, [0.0, 0.0, -2.0, 0.0, 1.0, 0.0]);
    assert_eq!(learned.depth, [1.02, 1.0, 0.98]);
    assert_eq!(learned.lift[1], -1.5);
    assert_eq!(learned.cast, [(0.0, 0.0), (0.3, -0.2), (0.0, 0.0)]);
    let [harbour, crab] = &book.piece_wishes[..] else {
        panic!()
    };
    assert_eq!(harbour.piece, "coast/harbour.png");
    assert_eq!(harbour.recipe, Some(PaperRecipe::None));
    assert_eq!(harbour.own.white, Some(100.0));
    assert_eq!(harbour.inks, PieceInks::ByLook);
    assert_eq!(harbour.line, 70);
    assert_eq!((crab.recipe, crab.inks), (None, PieceInks::BlackAndYellow));
    assert_eq!(crab.sharpening, Some(Sharpening::None));
    assert_eq!(
        book.cover.front.as_ref().unwrap().piece,
        "coast/harbour.png"
    );
    assert_eq!(book.cover.back, None);
    assert_eq!(book.cover.ground, [60.0, 20.0, 0.0, 12.5]);
    assert_eq!(book.cover.ink, WordInk::Paper);
    let words: Vec<&str> = book
        .running_order
        .iter()
        .map(|entry| entry.treatment.word())
        .collect();
    assert_eq!(
        words,
        [
            "title",
            "blank",
            "full page",
            "spread",
            "inset",
            "paired",
            "ready page",
            "text",
            "full page",
            "colophon"
        ]
    );
    let Treatment::FullPage(wanted) = &book.running_order[2].treatment else {
        panic!()
    };
    assert_eq!(wanted.focus, (0.25, 0.75));
    assert!(wanted.accept_low_resolution);
    let Treatment::Text { paragraphs, .. } = &book.running_order[7].treatment else {
        panic!()
    };
    assert_eq!(
        paragraphs,
        &[
            "The line moves twice a day.",
            "Nobody has ever drawn it the same way twice."
        ]
    );
    assert_eq!(book.running_order[0].line, 82);
}

#[test]
fn what_is_not_said_has_a_sensible_value() {
    let book = read(
        "[book]\ntitle='T'\n[format]\ntrim='A4'\n[binding]\nkind='sewn soft'\n\
         [stock.text]\ngrammage='150gsm'\n",
    )
    .unwrap();
    assert_eq!(book.about.language, "en");
    assert_eq!(book.format.bleed, Length::from_mm(3.0));
    assert_eq!(book.format.fold_repeat, Length::ZERO);
    assert_eq!(book.binding.signature.pages(), 16);
    assert_eq!(book.binding.board, Length::from_mm(2.5));
    assert!(matches!(book.text_stock.thickness, Thickness::Assumed(_)));
    assert_eq!(book.press.resolution.ppi(), 300.0);
    assert_eq!(book.press.ink_limit, None);
    assert!(book.running_order.is_empty());
    assert_eq!(book.paper, ForPaper::default());
    assert_eq!(book.paper.recipe, PaperRecipe::None);
    assert!(book.piece_wishes.is_empty());
}

#[test]
fn a_needed_key_that_is_misspelt_is_one_problem() {
    let text = BookText::default().text();
    for (right, wrong, hint) in [
        ("trim =", "trimm =", "Did you mean `trim`?"),
        ("kind =", "knid =", "Did you mean `kind`?"),
        ("[format]", "[formt]", "Did you mean `format`?"),
        ("[stock.text]", "[stock.txet]", "Did you mean `text`?"),
        ("[stock.text]", "[stok.text]", "Did you mean `stock`?"),
    ] {
        let errors = read(&text.replacen(right, wrong, 1)).unwrap_err();
        let [error] = &errors.0[..] else {
            panic!("{wrong}: {errors}")
        };
        assert_eq!(error.hint(), hint);
    }
    let page = BookText::default().page("a", "full page", "atr = \"x.png\"");
    let errors = read(&page.text()).unwrap_err();
    assert_eq!(errors.0.len(), 1, "{errors}");
    // A name too far from any other still leaves the needed one missing.
    let errors = read(&text.replacen("trim =", "paper_size =", 1)).unwrap_err();
    assert_eq!(errors.0.len(), 2, "{errors}");
}

#[test]
fn a_lesson_that_teaches_nothing_is_none_and_one_without_figures_is_refused() {
    let text = BookText::default().text();
    let with = |lines: &str| format!("{text}\n[paper.learned]\n{lines}");
    assert_eq!(read(&with("")).unwrap().paper.learned, None);
    let found = errors(&with("from = 'proof 1'"));
    assert!(found.contains("does not say `tone`"), "{found}");
    let bent = [
        "tone = '0 3, 50 2, 100 100'",
        "tone = '0 3, 0 5, 100 100'",
        "tone = '0 3'",
        "tone = '0 -3, 100 100'",
        "tone = '0 3, 100 nan'",
        "tone = '0,5 3, 100 100'",
        "saturation = '1 0 1'",
        "saturation = '1 inf'",
        "hue = '0 31'",
        "depth = '0.4'",
        "lift = '16'",
        "cast = '0 0, 0 16'",
        "cast = '0 0, 0'",
    ];
    for lines in bent {
        assert!(read(&with(lines)).is_err(), "{lines}");
    }
    let many = vec!["1"; 100_000].join(" ");
    assert!(errors(&with(&format!("saturation = '{many}'"))).len() < 1000);
}

#[test]
fn the_dress_of_a_full_book_reads_as_it_is_written() {
    let book = read(include_str!("../books/full.toml")).unwrap();
    assert_eq!(book.about.isbn, "978-0-306-40615-7".parse().ok());
    let jacket = &book.jacket;
    let whole = jacket.whole.as_ref().unwrap();
    assert_eq!(
        (whole.piece.as_str(), whole.focus),
        ("coast/harbour.png", (0.5, 0.25))
    );
    assert_eq!(jacket.front.as_ref().unwrap().focus, (0.0, 1.0));
    assert_eq!((&jacket.back, jacket.front_words), (&None, false));
    assert_eq!(jacket.ground, [0.0, 0.0, 20.0, 0.0]);
    assert_eq!(
        jacket.back_words,
        ["First of the back.", "Second of the back."]
    );
    assert_eq!(jacket.spine_words, "Low Tide");
    assert_eq!(jacket.spine_reads, Some(SpineReads::Up));
    assert_eq!(jacket.front_flap_words, ["Of the shore."]);
    assert_eq!(jacket.back_flap_words, ["Of the hand."]);
    assert_eq!(jacket.ink, WordInk::Paper);
    assert_eq!(
        book.object.jacket.unwrap().flap,
        Some(Length::from_mm(90.0))
    );
    assert_eq!(book.band.words, ["Every tide", "of one year"]);
    assert_eq!(book.slipcase.front.as_ref().unwrap().piece, "crab.jpg");
    assert_eq!(book.endpapers.whole.as_ref().unwrap().piece, "flood.tif");
    let bars = book.bar_code.as_ref().unwrap();
    assert_eq!(
        (bars.on, bars.panel.as_str()),
        (Some(Carrier::Slipcase), "right side")
    );
    assert_eq!((bars.place, bars.white), (Corner::HeadLeft, false));
    assert_eq!(bars.code.magnification(), 90.0);
    assert_eq!(bars.code.add_on().unwrap().digits(), [5, 2, 4, 9, 5]);
    let [foil, shell] = &book.finishings[..] else {
        panic!()
    };
    assert_eq!(
        (foil.name.as_str(), foil.process),
        ("title foil", Process::Foil)
    );
    assert_eq!((foil.on, foil.panel.as_str()), (Carrier::Jacket, "spine"));
    assert_eq!(
        (&foil.source, foil.colour),
        (&PlateSource::Title, FinishingColour::Copper)
    );
    assert_eq!(foil.least_line, Some(Length::from_mm(0.25)));
    assert_eq!(foil.least_gap, Some(Length::from_mm(0.5)));
    assert_eq!(
        (foil.thicken, foil.fit),
        (Length::from_mm(0.12), MaskFit::Exact)
    );
    assert_eq!((shell.thicken, shell.fit), (Length::ZERO, MaskFit::Centre));
    assert_eq!((shell.on, shell.panel.as_str()), (Carrier::Cover, "front"));
    assert_eq!(
        shell.source,
        PlateSource::Mask("masks/shell.svg".to_owned())
    );
    assert_eq!(
        (shell.colour, shell.least_line),
        (FinishingColour::Clear, None)
    );
}

#[test]
fn a_dress_that_is_wrong_is_said_with_its_line() {
    let with = |lines: &str| {
        errors(&format!(
            "{}\n{lines}",
            BookText::default().blanks(4).text()
        ))
    };
    for (lines, said) in [
        (
            "[barcode]\nmagnification = \"79%\"",
            "the magnification of the bar code is `79%`",
        ),
        (
            "[barcode]\nprice = \"5249\"",
            "`price` expected five digits",
        ),
        (
            "[barcode]\nplace = \"foot rihgt\"",
            "Did you mean `foot right`?",
        ),
        (
            "[barcode]\nmirror = true",
            "`mirror` is not known in `[barcode]`",
        ),
        (
            "[barcode]\nink = \"0 100 100 0\"",
            "`ink` cannot be chosen: bars are printed in black ink alone",
        ),
        (
            "[jacket]\nground = \"1 2 3\"",
            "`ground` expected percent of cyan",
        ),
        (
            "[jacket]\nspine_reads = \"left\"",
            "`spine_reads` expected `down`, `up`",
        ),
        (
            "[jacket]\nfront = \"../x.png\"",
            "leads out of the book folder",
        ),
        (
            "[band]\nfront_words = 3",
            "`front_words` is not known in `[band]`",
        ),
        ("[endpapers]\nart = 3", "`art` expected text in quotes"),
        (
            "[finishing]\nname = \"x\"",
            "each finishing under its own `[[finishing]]`",
        ),
        (
            "[[finishing]]\nname = \"x\"\nmask = \"m.svg\"",
            "does not say `process`",
        ),
        (
            "[[finishing]]\nprocess = \"foil\"\nmask = \"m.svg\"",
            "does not say `name`",
        ),
        (
            "[[finishing]]\nname = \"x\"\nprocess = \"foil\"\nwords = \"all\"",
            "`words` expected `title`, `title alone`, but found `all`",
        ),
        (
            "[[finishing]]\nname = \"x\"\nprocess = \"foil\"\nmask = \"m.svg\"\nthicken = \"0.6mm\"",
            "how much wider the lines of a finishing are made is `0.6mm`",
        ),
        (
            "[[finishing]]\nname = \"x\"\nprocess = \"foil\"\nmask = \"m.svg\"\nfit = \"middle\"",
            "`fit` expected `exact`, `centre`, `stretch`, but found `middle`",
        ),
        (
            "[[finishing]]\nname = \"a(b\"\nprocess = \"foil\"\nmask = \"m.svg\"",
            "only letters, digits, spaces and hyphens",
        ),
        (
            "[[finishing]]\nname = \"x\"\nprocess = \"gilding\"\nmask = \"m.svg\"",
            "`process` expected `foil`, `spot varnish`, `blind emboss`, `blind deboss`",
        ),
        (
            "[[finishing]]\nname = \"x\"\nprocess = \"foil\"\nmask = \"m.svg\"\n\
             least_line = \"0.3\"",
            "`least_line`",
        ),
    ] {
        let found = with(lines);
        assert!(found.contains(said), "{lines}: {found}");
        assert!(found.starts_with("line "), "{lines}: {found}");
    }
    // Half a module at most, and the module follows from the magnification.
    let text = BookText::default()
        .blanks(4)
        .text()
        .replace("[book]\n", "[book]\nisbn = \"9780306406157\"\n");
    let found = errors(&format!(
        "{text}\n[barcode]\nmagnification = \"80%\"\nwidth_reduction = \"0.15mm\""
    ));
    assert!(found.contains("leaves too little of bars"), "{found}");
}

#[test]
fn a_book_that_opens_at_the_other_side_is_refused() {
    let with = |from: &str, to: &str| {
        let text = BookText::default().blanks(4).text();
        assert!(text.contains(from), "{text}");
        text.replacen(from, to, 1)
    };
    // Its spread halves, its spine and its flaps would be made for the wrong side in silence.
    for language in ["he", "ar-EG", "fa", "az-Arab"] {
        let found = errors(&with(
            "[book]\n",
            &format!("[book]\nlanguage = \"{language}\"\n"),
        ));
        assert!(
            found.starts_with(&format!("line 2: `language` is `{language}`"))
                && found.contains("bound at their left edge"),
            "{found}"
        );
    }
    for (section, line) in [
        ("[book]\n", "reading = \"right to left\""),
        ("[binding]\n", "edge = \"right\""),
    ] {
        let found = errors(&with(section, &format!("{section}{line}\n")));
        assert!(
            found.starts_with("line ")
                && found.contains("every book is bound at its left edge")
                && found.contains("Take it out"),
            "{found}"
        );
    }
    // The same language in letters that run from the left is a book like any other.
    assert!(read(&with("[book]\n", "[book]\nlanguage = \"he-Latn\"\n")).is_ok());
}

#[test]
fn everything_wrong_is_said_at_once_with_its_line_and_what_to_do() {
    let found = errors(include_str!("../books/wrong.toml"));
    let expected = include_str!("../books/wrong.txt");
    if found.trim_end() != expected.trim_end() {
        panic!("found:\n{found}\n\nexpected:\n{expected}");
    }
}

#[test]
fn an_empty_file_names_what_every_book_must_say() {
    let found = errors("");
    for wanted in ["`title`", "`trim`", "`kind`", "`grammage`"] {
        assert!(found.contains(wanted), "{found}");
    }
}

#[test]
fn text_that_is_not_toml_names_the_line() {
    assert!(errors("[book]\ntitle = Tide\n").starts_with("line 2: this cannot be read"));
    assert_eq!(
        errors("[book]\ntitle = \"a\"\n\ntitle = \"b\"\n"),
        "line 4: `title` stands here a second time; it stood first on line 2\n  \
         Keep one `title` and take the other out."
    );
    assert!(
        errors("[book]\ntitle='a'\n[format]\ntrim='A4'\n[book]\nauthor='b'\n")
            .starts_with("line 5: `book` stands here a second time; it stood first on line 1"),
    );
}

#[test]
fn a_page_that_is_written_elsewhere_is_explained() {
    let found = errors("page = [{ name = 'a' }]\n");
    assert!(
        found.contains("each page under its own `[[page]]`"),
        "{found}"
    );
}

#[test]
fn margins_must_leave_something() {
    let tight = BookText {
        trim: "60x60mm".to_owned(),
        format: "safe = \"20mm\"\nfold = \"30mm\"".to_owned(),
        ..BookText::default()
    };
    let found = errors(&tight.text());
    assert!(
        found.contains("leaves 10 mm, less than the 20 mm"),
        "{found}"
    );
    let wide = BookText::default().page("a", "inset", "art = \"a.png\"\nmargin = \"120mm\"");
    let found = errors(&wide.text());
    assert!(found.contains("the margin leaves 10 mm"), "{found}");
}

#[test]
fn one_piece_shown_twice_must_be_meant() {
    let once = BookText::default().page("a", "full page", "art = \"x.png\"");
    let found = errors(&once.clone().page("b", "inset", "art = \"x.png\"").text());
    assert!(
        found.contains("`x.png` is placed already by `a` on line"),
        "{found}"
    );
    assert!(found.contains("again = true"), "{found}");
    once.page("b", "inset", "art = \"x.png\"\nagain = true")
        .book();
}

#[test]
fn problems_can_be_told_apart_by_program() {
    let text = BookText::default().page("a", "spred", "art = \"x.png\"");
    let errors = read(&text.text()).unwrap_err();
    let [error] = &errors.0[..] else {
        panic!("{errors}")
    };
    assert!(
        matches!(&error.problem, Problem::UnknownWord { near: Some(near), .. } if near == "spread")
    );
    assert_eq!(error.hint(), "Did you mean `spread`?");
}
