//! Every printed sheet laid out: where things stand, what is left out and said, and what must hold
//! for all of them.

use book::object::{Allowance, FlatKind, FlatSheet, Object};
use book::plan::{PlacedWords, Plan, Reads, SheetPlan, WordPart, WordStyle};
use book::{BindingKind, Book, read};
use finding::{Finding, Severity};
use measure::{Length, PixelSize, Rect, Size};
use proptest::prelude::*;

use crate::builder::{BookText, any_book, any_object, pixels};

/// The keys of a section added to whatever a generated object has of it.
fn dressed(mut text: BookText, dresses: &[(&str, String)]) -> BookText {
    for (section, keys) in dresses {
        let header = format!("\n[{section}]\n");
        if text.object.contains(&header) {
            text.object = text.object.replace(&header, &format!("{header}{keys}\n"));
        } else {
            text.object.push_str(&format!("{header}{keys}\n"));
        }
    }
    text
}

fn sheets(text: &str) -> (Book, Vec<SheetPlan>, Vec<Finding>) {
    let book = read(text).unwrap_or_else(|errors| panic!("{errors}\n{text}"));
    let sizes = |_: &str| Some(pixels(3000, 4000));
    let (plan, _) = Plan::lay_out(&book, &sizes);
    let (sheets, findings) = SheetPlan::lay_out_all(&book, &plan, &sizes);
    (book, sheets, findings)
}

fn sheet(sheets: &[SheetPlan], kind: FlatKind) -> &SheetPlan {
    sheets
        .iter()
        .find(|sheet| sheet.kind() == kind)
        .unwrap_or_else(|| panic!("no {}", kind.word()))
}

fn codes(findings: &[Finding]) -> Vec<&'static str> {
    findings.iter().map(|finding| finding.code).collect()
}

fn find<'a>(findings: &'a [Finding], code: &str) -> &'a Finding {
    findings
        .iter()
        .find(|finding| finding.code == code)
        .unwrap_or_else(|| panic!("no {code} among {findings:#?}"))
}

/// A book of 160 pages, its binding, its cover's keys, and further sections.
fn of(kind: &'static str, cover: &str, others: &str) -> (Book, Vec<SheetPlan>, Vec<Finding>) {
    let text = BookText {
        kind,
        cover: cover.to_owned(),
        ..BookText::default()
    }
    .blanks(160);
    let text = text.text().replace(
        "title = \"Tide\"\n",
        "title = \"Tide\"\nisbn = \"978-0-306-40615-7\"\n",
    );
    sheets(&format!("{text}\n{others}"))
}

fn panel(flat: &FlatSheet, name: &str) -> Rect {
    flat.panel(name)
        .unwrap_or_else(|| panic!("no panel {name}"))
        .rect
}

#[test]
fn a_case_is_dressed_to_the_cut_and_its_title_stands_off_the_hinge() {
    let (book, sheets, findings) = of(
        "sewn case",
        "front = \"f.png\"\nspine_words = \"Tide\"",
        "[jacket]\nfront = \"j.png\"\nfront_flap_words = \"Of water.\"",
    );
    assert_eq!(findings, []);
    let case = sheet(&sheets, FlatKind::CaseWrap);
    let Allowance::TurnIn(turn_in) = case.flat.allowance else {
        panic!()
    };
    let (front, hinge) = (panel(&case.flat, "front"), panel(&case.flat, "front hinge"));
    let picture = case.pictures[0].window;
    // From the spine over the hinge and the board, and around its edges.
    assert_eq!(picture.x, hinge.x);
    assert_eq!(picture.right(), case.flat.trim.width);
    assert_eq!(picture.right() - front.right(), turn_in);
    assert_eq!(
        (picture.y, picture.bottom()),
        (Length::ZERO, case.flat.trim.height)
    );
    let title = &case.words[0];
    assert_eq!(title.style, WordStyle::CoverFront);
    assert!(title.rect.x - front.x >= Length::from_mm(8.0));
    // On the jacket the picture goes around the fold to the flap, and the flap has its words.
    let jacket = sheet(&sheets, FlatKind::Jacket);
    let front = panel(&jacket.flat, "front");
    let picture = jacket.pictures[0].window;
    assert_eq!(picture.x, front.x);
    assert_eq!(picture.right() - front.right(), Length::from_mm(3.0));
    assert_eq!(picture.y, -book.format.bleed);
    let flap = jacket
        .words
        .iter()
        .find(|words| words.style == WordStyle::Prose)
        .unwrap();
    assert!(panel(&jacket.flat, "front flap").contains(flap.rect));
    // The bar code goes where a bookseller finds it: on the outermost piece.
    assert!(jacket.bar_code.is_some() && case.bar_code.is_none());
}

#[test]
fn a_spine_reads_as_is_the_custom_of_its_market_or_as_is_said() {
    let reads = |language: &str, said: &str| {
        let text = BookText {
            cover: format!("spine_words = \"Tide\"\n{said}"),
            ..BookText::default()
        }
        .blanks(160)
        .text()
        .replace("[book]\n", &format!("[book]\nlanguage = \"{language}\"\n"));
        let (_, sheets, _) = sheets(&text);
        let spine = sheets[0]
            .words
            .iter()
            .find(|words| words.reads.is_turned())
            .unwrap();
        assert!(spine.reads.is_turned());
        spine.reads
    };
    assert_eq!(reads("en", ""), Reads::Down);
    assert_eq!(reads("fr", ""), Reads::Up);
    assert_eq!(reads("it-CH", ""), Reads::Up);
    assert_eq!(reads("en", "spine_reads = \"up\""), Reads::Up);
    assert_eq!(reads("fr", "spine_reads = \"down\""), Reads::Down);
}

#[test]
fn words_that_a_spine_cannot_hold_are_left_out_and_said() {
    let long = BookText {
        trim: "A5".to_owned(),
        cover: format!("spine_words = \"{}\"", "A very long history ".repeat(14)),
        ..BookText::default()
    };
    let (_, sheets, findings) = self::sheets(&long.blanks(160).text());
    let finding = find(&findings, "book-spine-words-too-long");
    assert_eq!(finding.severity, Severity::Stop);
    assert!(finding.measured.as_ref().unwrap().contains("mm"));
    assert!(sheets[0].words.iter().all(|words| !words.reads.is_turned()));
    let thin = BookText {
        cover: "spine_words = \"Tide\"".to_owned(),
        object: "[jacket]\nspine_words = \"Tide\"".to_owned(),
        ..BookText::default()
    };
    let text = thin.blanks(16).text();
    let (_, _, findings) = self::sheets(&text);
    let thin: Vec<_> = findings
        .iter()
        .filter(|finding| finding.code == "book-spine-too-thin")
        .collect();
    assert_eq!(thin.len(), 2, "{findings:#?}");
    assert!(thin[1].message.contains("of the jacket is "), "{thin:?}");
    assert!(thin[1].hint.contains("`jacket.spine_words`"));
}

#[test]
fn a_bar_code_stands_in_its_corner_on_white_and_back_words_keep_off_it() {
    let long = "Words of the back. ".repeat(40);
    let (book, sheets, findings) = of("sewn soft", &format!("back_words = \"{long}\""), "");
    assert_eq!(findings, []);
    let cover = &sheets[0];
    let back = panel(&cover.flat, "back");
    let bars = cover.bar_code.as_ref().unwrap();
    assert!(bars.white.unwrap().contains(bars.rect));
    assert!(back.contains(bars.white.unwrap()));
    assert!(bars.rect.x > back.x + back.width / 2, "foot right");
    assert!(bars.rect.y > back.y + back.height / 2, "foot right");
    assert_eq!(bars.rect.width.mm(), 113.0 * 0.33);
    assert_eq!(bars.bars().count(), 30);
    assert_eq!(bars.digits().count(), 13);
    for bar in bars.bars() {
        assert!(bars.rect.contains(bar));
    }
    for words in &cover.words {
        assert!(words.rect.shared(bars.white.unwrap()).is_none());
    }
    assert_eq!(book.about.isbn, "9780306406157".parse().ok());
    let placed = |keys: &str| of("sewn soft", "", &format!("[barcode]\n{keys}"));
    let at = |place: &str| {
        let (_, sheets, _) = placed(&format!("place = \"{place}\""));
        sheets[0].bar_code.as_ref().unwrap().rect
    };
    assert_eq!(at("foot right"), bars.rect);
    assert_eq!(at("head left").x, at("foot left").x);
    assert_eq!(at("head left").y, at("head right").y);
    assert!(at("head left").y < at("foot left").y);
    assert!(placed("wanted = false").1[0].bar_code.is_none());
}

#[test]
fn a_bar_code_without_room_or_on_a_dark_ground_is_said() {
    let found = |cover: &str, keys: &str| {
        let (_, _, findings) = of("sewn soft", cover, &format!("[barcode]\n{keys}"));
        codes(&findings)
    };
    assert_eq!(found("", "panel = \"spine\""), ["book-bar-code-no-room"]);
    assert_eq!(found("", "panel = \"lid\""), ["book-panel-unknown"]);
    assert_eq!(found("", "on = \"jacket\""), ["book-bar-code-nowhere"]);
    assert_eq!(
        found("", "magnification = \"200%\"\nprice = \"52495\""),
        [""; 0]
    );
    let dark = "ground = \"60 0 0 0\"";
    assert_eq!(found(dark, ""), [""; 0]);
    assert_eq!(found(dark, "white = false"), ["book-bar-code-on-dark"]);
    // Red light does not see magenta and yellow.
    assert_eq!(found("ground = \"0 60 60 0\"", "white = false"), [""; 0]);
    assert_eq!(
        found("back = \"b.png\"", "white = false"),
        ["book-bar-code-on-picture"]
    );
    let wrong = "[book]\ntitle = \"T\"\nisbn = \"978-0-306-40615-8\"\n";
    let message = read(wrong).unwrap_err().to_string();
    assert!(
        message.contains("the last digit should be 7, but is 8"),
        "{message}"
    );
    let old = "[book]\ntitle = \"T\"\nisbn = \"0-306-40615-2\"\n";
    let message = read(old).unwrap_err().to_string();
    assert!(message.contains("`isbn = \"978 0306406157\"`"), "{message}");
}

#[test]
fn a_spine_holds_words_from_five_millimetres_on() {
    let cover = |pages: usize| {
        let text = BookText {
            cover: "spine_words = \"Tide\"".to_owned(),
            ..BookText::default()
        }
        .blanks(pages);
        let book = text.book();
        let (plan, _) = Plan::lay_out(&book, &|_| None);
        let (sheets, findings) = SheetPlan::lay_out_all(&book, &plan, &|_| None);
        (sheets.into_iter().next().unwrap(), findings)
    };
    let (thick, findings) = cover(80);
    assert!(!codes(&findings).contains(&"book-spine-too-thin"));
    let spine = thick
        .words
        .iter()
        .find(|words| words.reads.is_turned())
        .unwrap();
    // 40 leaves of 0.135 mm and two covers of 0.27 mm.
    assert_eq!(thick.spine(), Length::from_mm(5.94));
    assert_eq!(spine.rect.x, Length::from_mm(251.0));
    assert_eq!(spine.rect.width, Length::from_mm(3.94));
    let (thin, findings) = cover(64);
    assert!(codes(&findings).contains(&"book-spine-too-thin"));
    assert!(thin.words.iter().all(|words| !words.reads.is_turned()));
}

#[test]
fn words_on_a_ground_of_their_own_colour_are_said() {
    let findings = |cover: &str| {
        let text = BookText {
            cover: cover.to_owned(),
            ..BookText::default()
        }
        .blanks(4);
        let book = text.book();
        let (plan, _) = Plan::lay_out(&book, &|_| None);
        codes(&SheetPlan::lay_out_all(&book, &plan, &|_| None).1)
    };
    let code = "book-cover-words-unseen";
    assert!(findings("ink = \"paper\"").contains(&code));
    assert!(findings("ground = \"0 0 0 90\"").contains(&code));
    assert!(!findings("ink = \"paper\"\nground = \"80 40 0 20\"").contains(&code));
    assert!(!findings("ground = \"0 0 60 0\"").contains(&code));
}

const FOIL: &str = "[[finishing]]\nname = \"title foil\"\nprocess = \"foil\"\n";

#[test]
fn foil_takes_the_title_out_of_ink_and_varnish_lies_over_it() {
    let finished = |finishings: &str| {
        let (_, sheets, findings) = of("sewn soft", "spine_words = \"Tide\"", finishings);
        (sheets.into_iter().next().unwrap(), findings)
    };
    let (foil, findings) = finished(&format!("{FOIL}words = \"title\""));
    assert_eq!(findings, []);
    let [placed] = &foil.finishings[..] else {
        panic!()
    };
    assert_eq!((placed.panel, placed.words.len()), ("front", 1));
    assert_eq!(placed.rect, panel(&foil.flat, "front"));
    assert_eq!(
        placed.with_allowance.right() - placed.rect.right(),
        Length::from_mm(3.0)
    );
    assert_eq!(placed.with_allowance.x, placed.rect.x);
    assert!(
        foil.words
            .iter()
            .all(|words| words.style == WordStyle::Spine)
    );
    let (whole, findings) = finished(&format!("{FOIL}words = \"title\"\npanel = \"whole\""));
    assert_eq!(codes(&findings), ["book-foil-over-fold"]);
    assert!(whole.words.is_empty() && whole.finishings[0].words.len() == 2);
    let varnish = "[[finishing]]\nname = \"gloss\"\nprocess = \"spot varnish\"\nwords = \"title\"";
    assert_eq!(finished(varnish).0.words.len(), 2);
    // The title alone leaves the author in ink, where the block has one.
    let by = |author: &str| {
        let alone = format!("{FOIL}words = \"title alone\"");
        let (mut book, _, _) = of("sewn soft", "spine_words = \"Tide\"", &alone);
        book.about.author = author.to_owned();
        let (plan, _) = Plan::lay_out(&book, &|_| None);
        SheetPlan::lay_out_all(&book, &plan, &|_| None).0.remove(0)
    };
    let alone = by("A. Writer");
    let front = |words: &[PlacedWords]| -> Vec<WordPart> {
        words
            .iter()
            .filter(|words| words.style == WordStyle::CoverFront)
            .map(|words| words.part)
            .collect()
    };
    assert_eq!(front(&alone.finishings[0].words), [WordPart::Heading]);
    assert_eq!(front(&alone.words), [WordPart::Paragraphs]);
    let no_author = by("");
    assert_eq!(front(&no_author.finishings[0].words), [WordPart::Whole]);
    assert!(front(&no_author.words).is_empty());
    // Foil and a stamp on the same letters.
    let stamp = "[[finishing]]\nname = \"sunk\"\nprocess = \"blind deboss\"\nwords = \"title\"";
    let (both, _) = finished(&format!("{FOIL}words = \"title\"\n{stamp}"));
    assert_eq!(both.finishings.len(), 2);
    assert_eq!(both.finishings[0].words, both.finishings[1].words);
}

#[test]
fn a_finishing_without_its_place_is_said() {
    let found = |cover: &str, keys: &str| {
        let (_, sheets, findings) = of("sewn case", cover, &format!("{FOIL}{keys}"));
        let count: usize = sheets.iter().map(|sheet| sheet.finishings.len()).sum();
        (codes(&findings), count)
    };
    let mask = "mask = \"masks/title.svg\"\n";
    assert_eq!(found("", mask), (vec![], 1));
    assert_eq!(
        found("", &format!("{mask}panel = \"lid\"")),
        (vec!["book-panel-unknown"], 0)
    );
    assert_eq!(
        found("", &format!("{mask}on = \"jacket\"")),
        (vec!["book-finishing-nowhere"], 0)
    );
    assert_eq!(
        found("", &format!("{mask}panel = \"front hinge\"")),
        (vec!["book-finishing-in-no-go"], 1)
    );
    assert_eq!(
        found("front_words = false", "words = \"title\""),
        (vec!["book-finishing-without-words"], 0)
    );
    let wrong = |lines: &str| {
        let text = BookText::default().blanks(8).text();
        read(&format!("{text}\n{lines}")).unwrap_err().to_string()
    };
    assert!(wrong(FOIL).contains("does not say `mask`"));
    assert!(wrong(&format!("{FOIL}{mask}words = \"title\"")).contains("both `mask` and `words`"));
    let twice = format!("{FOIL}{mask}{}{mask}", FOIL.replace("title", "TITLE"));
    assert!(wrong(&twice).contains("cannot be the name of a finishing"));
    assert!(wrong(&format!("{FOIL}{mask}").replace("title foil", "Black")).contains("means ink"));
    assert!(wrong(&format!("{FOIL}mask = \"../x.svg\"")).contains("leads out of the book folder"));
}

#[test]
fn words_are_judged_on_the_ground_of_their_own_sheet() {
    let (_, _, findings) = of(
        "sewn case",
        "",
        "[jacket]\nground = \"0 0 0 90\"\n[press]\nink_limit = \"280%\"\n[slipcase]\n\
         ground = \"100 90 90 20\"",
    );
    let unseen = find(&findings, "book-cover-words-unseen");
    assert!(
        unseen.message.starts_with("The jacket's words"),
        "{unseen:?}"
    );
    assert!(unseen.hint.contains("`jacket.ink`"));
    let over: Vec<_> = findings
        .iter()
        .filter(|finding| finding.code == "book-ground-over-ink-limit")
        .collect();
    assert_eq!(over.len(), 1, "once for both coverings of the slipcase");
    assert_eq!(over[0].severity, Severity::Stop);
}

#[test]
fn endpapers_are_printed_if_something_is_said_of_them() {
    let bare = of("sewn case", "", "").1;
    let printed = of("sewn case", "", "[endpapers]\nart = \"e.png\"").1;
    for kind in [FlatKind::FrontEndpaper, FlatKind::BackEndpaper] {
        assert!(!sheet(&bare, kind).has_print());
        let endpaper = sheet(&printed, kind);
        assert!(endpaper.has_print());
        assert_eq!(endpaper.pictures[0].window, endpaper.flat.printed());
    }
    let (_, _, findings) = of(
        "sewn soft",
        "front_flap_words = \"x\"",
        "[endpapers]\nart = \"e.png\"",
    );
    assert_eq!(
        codes(&findings),
        ["book-endpapers-idle", "book-words-without-panel"]
    );
}

#[test]
fn what_stands_in_the_way_is_measured_by_the_shortest_way_out() {
    let (_, sheets, _) = of("sewn case", "", "");
    let case = sheet(&sheets, FlatKind::CaseWrap);
    let hinge = panel(&case.flat, "front hinge");
    // The hinge is kept clear, and a strip on each side of it.
    let mark = Rect::new(
        hinge.right() - Length::from_mm(2.0),
        hinge.y + hinge.height / 2,
        Length::from_mm(40.0),
        Length::from_mm(5.0),
    );
    let found = case.in_the_way(mark);
    assert_eq!(found.len(), 2, "hinge and edge of the board: {found:#?}");
    assert_eq!(found[0].by, Length::from_mm(5.0));
    let said = &case.say_in_the_way("The finishing `x`", mark)[0];
    assert!(
        said.message
            .starts_with("The finishing `x` reaches 5.0 mm into")
    );
    assert!(
        said.message
            .ends_with(&format!("on the case: {}.", found[0].no_go.why))
    );
    let free = case.in_the_way(mark.moved(Length::from_mm(30.0), Length::ZERO));
    assert_eq!(free, []);
}

#[test]
fn a_changed_page_count_moves_the_spine_panel_of_every_sheet_alike() {
    let made = |kind, pages| {
        let text = BookText {
            kind,
            cover: "front = \"f.png\"\nback = \"b.png\"\nspine_words = \"Tide\"".to_owned(),
            object: "[jacket]\nfront = \"f.png\"\n[band]\nwords = \"New\"\n[slipcase]".to_owned(),
            ..BookText::default()
        };
        sheets(&text.blanks(pages).text()).1
    };
    // 16 leaves more of 0.135 mm.
    let more = Length::from_mm(2.16);
    for kind in ["sewn soft", "sewn case"] {
        let (before, after) = (made(kind, 96), made(kind, 128));
        let mut spines = 0;
        for (old, new) in before.iter().zip(&after) {
            if old.spine() > Length::ZERO {
                assert_eq!(new.spine() - old.spine(), more, "{}", old.flat.name());
                spines += 1;
            }
            // What stands on the front moves with the front, and what stands on the back stays.
            let (Some(from), Some(to)) = (old.flat.panel("front"), new.flat.panel("front")) else {
                continue;
            };
            let by = to.rect.x - from.rect.x;
            assert_eq!(by, more, "{}", old.flat.name());
            for (one, other) in old.words.iter().zip(&new.words) {
                if from.rect.contains(one.rect) {
                    assert_eq!(one.rect.moved(by, Length::ZERO), other.rect);
                }
            }
            for (one, other) in old.pictures.iter().zip(&new.pictures) {
                let moved = one.window.x >= from.rect.x - Length::from_mm(20.0);
                let by = if moved { by } else { Length::ZERO };
                assert_eq!(one.window.moved(by, Length::ZERO), other.window);
            }
        }
        assert_eq!(spines, 4, "cover, jacket, band and slipcase");
    }
}

#[test]
fn findings_are_sentences_with_something_to_do() {
    let cases = [
        (
            "sewn soft",
            "front_flap_words = \"x\"\nground = \"0 0 0 90\"",
            "[barcode]\npanel = \"x\"\n[endpapers]\nart = \"e\"",
        ),
        (
            "sewn case",
            "",
            "[[finishing]]\nname = \"a\"\nprocess = \"foil\"\nmask = \"m.png\"\npanel = \"left turn-in\"",
        ),
        (
            "wire-stitched",
            "spine_words = \"x\"",
            "[barcode]\non = \"band\"",
        ),
        (
            "sewn soft",
            "",
            "[[finishing]]\nname = \"a\"\nprocess = \"foil\"\nmask = \"m.png\"\npanel = \"whole\"\n[barcode]\nwhite = false\n[jacket]\nground = \"50 0 0 0\"",
        ),
    ];
    let mut count = 0;
    for (kind, cover, others) in cases {
        for finding in of(kind, cover, others).2 {
            assert!(finding.code.starts_with("book-"));
            assert!(finding.message.ends_with('.'), "{finding:?}");
            assert!(finding.hint.ends_with('.'), "{finding:?}");
            count += 1;
        }
    }
    assert!(count >= 8, "{count}");
}

/// The keys of any dress, each there or not.
fn any_dress() -> impl Strategy<Value = String> {
    let keys = vec![
        "art = \"w.png\"\nfocus = \"0.1 0.9\"",
        "front = \"f.png\"\nfront_focus = \"0.3 0.2\"",
        "back = \"b.png\"",
        "ground = \"40 30 20 10\"",
        "front_words = false",
        "back_words = \"Of the tide.\\n\\nAnd more.\"",
        "spine_words = \"The Low Tide Line\"",
        "spine_reads = \"up\"",
        "front_flap_words = \"Of the shore.\"",
        "back_flap_words = \"Of the hand.\"",
        "ink = \"paper\"",
    ];
    let each: Vec<_> = keys
        .into_iter()
        .map(|key| prop::option::weighted(0.6, Just(key)))
        .collect();
    each.prop_map(|keys| keys.into_iter().flatten().collect::<Vec<_>>().join("\n"))
}

fn any_bar_code() -> impl Strategy<Value = String> {
    (
        80..=200_u32,
        prop::sample::select(vec!["foot left", "foot right", "head left", "head right"]),
        prop::sample::select(vec!["back", "front", "spine", "back flap", "nowhere"]),
        any::<bool>(),
        any::<bool>(),
    )
        .prop_map(|(size, place, panel, white, price)| {
            let price = if price { "price = \"52495\"\n" } else { "" };
            format!(
                "magnification = \"{size}%\"\nplace = \"{place}\"\npanel = \"{panel}\"\n\
                 white = {white}\n{price}"
            )
        })
}

/// A dressed book of any kind.
fn any_dressed() -> impl Strategy<Value = BookText> {
    (
        any_book(12),
        any_object(),
        any_dress(),
        any_dress(),
        any_bar_code(),
        prop::option::of("[a-z ]{1,20}"),
    )
        .prop_map(|(mut text, object, cover, jacket, bar_code, band)| {
            text.object = object;
            text.cover = cover;
            let band = band.map_or(String::new(), |words| {
                format!("words = \"{words}\"\nart = \"w.png\"")
            });
            dressed(
                text,
                &[
                    ("jacket", jacket),
                    ("band", band),
                    (
                        "slipcase",
                        "front = \"f.png\"\nspine_words = \"Tide\"".to_owned(),
                    ),
                    ("endpapers", "art = \"e.png\"".to_owned()),
                    ("barcode", bar_code),
                ],
            )
        })
}

fn with_isbn(text: &BookText) -> String {
    text.text().replace(
        "author = \"A. Mole\"\n",
        "author = \"A. Mole\"\nisbn = \"978-0-306-40615-7\"\n",
    )
}

fn size_of(seed: u32) -> impl Fn(&str) -> Option<PixelSize> {
    move |name: &str| {
        let name: u32 = name.bytes().map(u32::from).sum();
        let mix = |by: u32| 1 + (seed.rotate_left(by) ^ name.wrapping_mul(2_654_435_761)) % 9000;
        Some(pixels(mix(3), mix(17)))
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn pictures_fill_their_panels_and_words_keep_to_theirs(text in any_dressed(), seed: u32) {
        let book = read(&with_isbn(&text)).unwrap();
        let sizes = size_of(seed);
        let (plan, _) = Plan::lay_out(&book, &sizes);
        let (sheets, _) = SheetPlan::lay_out_all(&book, &plan, &sizes);
        for sheet in &sheets {
            let flat = &sheet.flat;
            let printed = flat.printed();
            for picture in &sheet.pictures {
                prop_assert!(picture.frame.contains(picture.window));
                prop_assert!(printed.contains(picture.window));
                let filled: Vec<&str> = flat
                    .panels
                    .iter()
                    .filter(|panel| picture.window.contains(panel.rect))
                    .map(|panel| panel.name)
                    .collect();
                prop_assert!(!filled.is_empty());
                // Wherever its panel meets the edge of the sheet, it runs to the edge of the print.
                prop_assert!(picture.window.y == printed.y);
                prop_assert!(picture.window.bottom() == printed.bottom());
                if filled.contains(&"front") && flat.panel("front flap").is_none()
                    && flat.panel("front tuck").is_none()
                {
                    prop_assert_eq!(picture.window.right(), printed.right());
                }
            }
            let bars = sheet.bar_code.as_ref();
            let taken = sheet.finishings.iter().flat_map(|placed| &placed.words);
            let all: Vec<&PlacedWords> = sheet.words.iter().chain(taken).collect();
            for words in &all {
                prop_assert!(words.rect.width > Length::ZERO && words.rect.height > Length::ZERO);
                prop_assert!(
                    flat.panels.iter().any(|panel| panel.rect.contains(words.rect)),
                    "{words:?}"
                );
                prop_assert_eq!(sheet.in_the_way(words.rect), vec![]);
                if let Some(bars) = bars {
                    prop_assert!(bars.white.unwrap_or(bars.rect).shared(words.rect).is_none());
                }
            }
            for (index, words) in all.iter().enumerate() {
                for other in &all[..index] {
                    prop_assert!(words.rect.shared(other.rect).is_none());
                }
            }
            if let Some(bars) = bars {
                let white = bars.white.unwrap_or(bars.rect);
                prop_assert!(flat.panels.iter().any(|panel| panel.rect.contains(white)));
                prop_assert_eq!(sheet.in_the_way(white), vec![]);
            }
        }
        prop_assert!(sheets.iter().filter(|sheet| sheet.bar_code.is_some()).count() <= 1);
    }

    #[test]
    fn a_soft_cover_without_flaps_has_its_parts_side_by_side(
        mut text in any_book(40), seed: u32,
    ) {
        text.cover = "front = \"f.png\"\nback = \"b.png\"\nspine_words = \"Tide\"".to_owned();
        let book = text.book();
        prop_assume!(book.binding.kind != BindingKind::SewnCase);
        let sizes = size_of(seed);
        let (plan, _) = Plan::lay_out(&book, &sizes);
        let (sheets, findings) = SheetPlan::lay_out_all(&book, &plan, &sizes);
        let [cover] = &sheets[..] else { panic!("{sheets:?}") };
        let spine = Object::of(&book, &plan).spine;
        let Size { width, height } = book.format.trim;
        let bleed = book.format.bleed;
        prop_assert_eq!(cover.flat.trim, Size { width: width * 2 + spine, height });
        prop_assert_eq!(cover.spine(), spine);
        let [back, front] = &cover.pictures[..] else { panic!() };
        let high = height + bleed * 2;
        prop_assert_eq!(back.window, Rect::new(-bleed, -bleed, width + bleed, high));
        prop_assert_eq!(front.window, Rect::new(width + spine, -bleed, width + bleed, high));
        let clear = book.format.safe.max(Length::from_mm(12.0).min(width / 10));
        let title = Rect::new(width + spine, Length::ZERO, width, height).grown(-clear);
        prop_assert_eq!(cover.words[0].rect, title);
        let thick = spine >= Length::from_mm(5.0);
        prop_assert_eq!(codes(&findings).contains(&"book-spine-too-thin"), !thick);
        if thick {
            let edge = Length::from_mm(1.0);
            let off = book.format.safe.max(height / 18);
            prop_assert_eq!(
                cover.words[1].rect,
                Rect::new(width + edge, off, spine - edge * 2, height - off * 2)
            );
        }
    }
}
