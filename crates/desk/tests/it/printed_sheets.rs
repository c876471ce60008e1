//! Every printed sheet beside the pages: its file, its spine, its plates, its bar code.

use desk::book::object::FlatKind;
use desk::press::CheckReport;
use desk::{Desk, Edit, FinishingView, PressReport, SheetName, StageState, View};
use testkit::{BookText, Folder};

use crate::shelf::{self, Quiet};

/// 120 × 160 mm, so that jacket, flaps and bar code have room.
fn text(binding: &str) -> BookText {
    let mut text = BookText::new("120x160mm")
        .bound(binding)
        .section("[press]\nresolution = \"150ppi\"")
        .page("title", "title", "")
        .shows("tall", "full page", "tall.png");
    for number in 0..24 {
        text = text.page(&format!("blank {number}"), "blank", "");
    }
    text
}

const COVER: &str = "[cover]\nfront = \"tall.png\"\nground = \"60 20 0 30\"\nspine_words = \"A \
                     Test\"\nink = \"paper\"";
const JACKET: &str = "[jacket]\nground = \"0 60 60 0\"\nfront_words = true";
const FOIL: &str = "[[finishing]]\nname = \"star\"\nprocess = \"foil\"\non = \"jacket\"\npanel = \
                    \"front\"\nmask = \"masks/star.svg\"\ncolour = \"gold\"";

fn folder(text: &BookText) -> Folder {
    Folder::new()
        .with("book.toml", text.text())
        .with("art/tall.png", shelf::moor(900, 1250))
}

fn book_file(folder: &Folder) -> String {
    std::fs::read_to_string(folder.at("book.toml")).unwrap()
}

fn in_case() -> BookText {
    text("sewn case")
        .section(COVER)
        .section(JACKET)
        .section("[slipcase]\nground = \"10 10 10 50\"")
        .section("[band]\nwords = \"New\"\nground = \"0 20 90 0\"")
        .section("[endpapers]\nground = \"30 0 10 0\"")
        .section("[barcode]\nmagnification = \"80%\"")
        .section(FOIL)
}

/// The front of that jacket, in millimetres.
fn front(desk: &Desk) -> (f64, f64) {
    let snapshot = desk.snapshot().unwrap();
    let jacket = snapshot.sheet(FlatKind::Jacket).unwrap();
    let rect = jacket.flat.panel("front").unwrap().rect;
    (rect.width.mm(), rect.height.mm())
}

/// An SVG of that size with a square, and a line so thin.
fn star(size: (f64, f64), line: f64) -> String {
    let (width, height) = size;
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" \
         viewBox=\"0 0 {width} {height}\"><rect x=\"30\" y=\"40\" width=\"20\" height=\"20\"/>\
         <rect x=\"30\" y=\"80\" width=\"40\" height=\"{line}\"/></svg>"
    )
}

fn with_isbn(text: &BookText) -> String {
    text.text().replace(
        "title = \"A Test\"",
        "title = \"A Test\"\nisbn = \"978-0-306-40615-7\"",
    )
}

fn names(report: &PressReport) -> Vec<String> {
    let name = |file: &std::path::PathBuf| file.file_name().unwrap().to_string_lossy().into_owned();
    report.files.iter().map(name).collect()
}

fn check(desk: &Desk, name: &str) -> CheckReport {
    let file = desk.root().join("press").join(name);
    desk.check(&file, &Quiet).unwrap()
}

fn stage(desk: &Desk, name: &str) -> (StageState, String) {
    let stages = desk.status().unwrap().stages;
    let stage = stages.into_iter().find(|stage| stage.name == name).unwrap();
    (stage.state, stage.because)
}

fn codes(view: &FinishingView) -> Vec<&str> {
    view.findings.iter().map(|finding| finding.code).collect()
}

/// Width, height and alpha of a grey PNG with alpha.
fn alpha_of(bytes: &[u8]) -> (u32, u32, Vec<u8>) {
    let mut reader = png::Decoder::new(std::io::Cursor::new(bytes))
        .read_info()
        .unwrap();
    let mut pixels = vec![0; reader.output_buffer_size().unwrap()];
    let info = reader.next_frame(&mut pixels).unwrap();
    assert_eq!(info.color_type, png::ColorType::GrayscaleAlpha);
    let alpha = pixels.as_chunks::<2>().0.iter().map(|&[_, alpha]| alpha);
    (info.width, info.height, alpha.collect())
}

#[test]
fn each_binding_makes_its_own_files_and_each_passes_the_check() {
    for (text, expected) in [
        (text("wire-stitched"), vec!["interior.pdf", "cover.pdf"]),
        (
            text("glued soft").section(COVER).section("[flaps]"),
            vec!["interior.pdf", "cover.pdf"],
        ),
        (
            in_case(),
            vec![
                "interior.pdf",
                "case.pdf",
                "jacket.pdf",
                "band.pdf",
                "slipcase.pdf",
                "slipcase-ends.pdf",
                "endpapers.pdf",
            ],
        ),
    ] {
        let folder = folder(&text);
        if text.text().contains("star.svg") {
            folder.put("book.toml", with_isbn(&text));
            let size = front(&shelf::open(&folder));
            folder.put("masks/star.svg", star(size, 0.5));
        }
        let desk = shelf::open(&folder);
        let report = desk.press(&Quiet).unwrap();
        assert_eq!(names(&report), expected);
        for name in expected {
            let report = check(&desk, name);
            let grave: Vec<_> = report
                .findings
                .iter()
                .filter(|finding| finding.severity == desk::finding::Severity::Stop)
                .collect();
            assert!(grave.is_empty(), "{name}: {grave:?}");
            if name == "endpapers.pdf" {
                assert_eq!(report.summary.pages, 2);
            }
            if name == "jacket.pdf" {
                let plates = &report.pages[0].plates;
                assert_eq!(plates.len(), 1, "{plates:?}");
                assert_eq!(plates[0].name, "star");
                assert!(!plates[0].knocks_out);
                // 400 mm² and 20 mm², counted in cells of a quarter of a millimetre.
                assert!(
                    (420.0..470.0).contains(&plates[0].touched_mm2),
                    "{plates:?}"
                );
            }
        }
    }
}

#[test]
fn a_changed_page_count_makes_all_stale_with_each_spine_and_undo_brings_them_back() {
    let folder = folder(&in_case());
    let size = front(&shelf::open(&folder));
    folder.put("masks/star.svg", star(size, 0.5));
    let desk = shelf::open(&folder);
    desk.press(&Quiet).unwrap();
    let spine = |desk: &Desk, kind: FlatKind| {
        let snapshot = desk.snapshot().unwrap();
        snapshot.sheet(kind).unwrap().spine().mm()
    };
    let before = [FlatKind::CaseWrap, FlatKind::Jacket].map(|kind| spine(&desk, kind));
    let all = ["interior", "case", "jacket"];
    for name in all {
        assert_eq!(stage(&desk, name).0, StageState::Fresh, "{name}");
    }
    let longer = in_case();
    let longer = (0..16).fold(longer, |text, number| {
        text.page(&format!("more {number}"), "blank", "")
    });
    folder.put("book.toml", longer.text());
    let after = [FlatKind::CaseWrap, FlatKind::Jacket].map(|kind| spine(&desk, kind));
    for (name, (before, after)) in ["case", "jacket"].iter().zip(before.iter().zip(after)) {
        assert!(after > before + 0.5);
        let (state, because) = stage(&desk, name);
        assert_eq!(state, StageState::Stale);
        let moved = format!("spine {before:.2} → {after:.2} mm");
        assert!(
            because.contains("The page count changed from 28 to 44") && because.contains(&moved),
            "{because}"
        );
    }
    let (state, because) = stage(&desk, "interior");
    assert_eq!(state, StageState::Stale);
    assert!(
        because.contains("The page count changed from 28 to 44"),
        "{because}"
    );
    assert_eq!(stage(&desk, "endpapers").0, StageState::Fresh);
    // The change by hand is an edit of its own, so that it can be taken back.
    let taken_back = desk.undo().unwrap().unwrap();
    assert!(taken_back.stale.is_empty());
    for name in all {
        assert_eq!(stage(&desk, name).0, StageState::Fresh, "{name}");
    }
}

#[test]
fn an_edit_says_which_sheets_it_made_stale() {
    let folder = folder(&in_case());
    let desk = shelf::open(&folder);
    desk.press(&Quiet).unwrap();
    let edited = desk
        .edit(&Edit::Set {
            key: "stock.text.grammage".to_owned(),
            value: "170 g/m2".to_owned(),
        })
        .unwrap();
    let told = edited.stale.join("\n");
    for name in ["case", "jacket", "band", "slipcase"] {
        assert!(told.contains(&format!("press/{name}.pdf (")), "{told}");
    }
    assert!(told.contains("spine"), "{told}");
    assert!(!told.contains("press/endpapers.pdf"), "{told}");
    assert!(!told.contains("press/interior.pdf"), "{told}");
}

#[test]
fn a_mask_that_is_missing_unfit_or_elsewhere_is_found_and_gets_no_plate() {
    let folder = folder(&in_case());
    let desk = shelf::open(&folder);
    let look = || desk.finishings().unwrap().remove(0);
    let size = front(&desk);

    let missing = look();
    assert_eq!(codes(&missing), ["finish-mask-missing"]);
    assert!(!missing.made && missing.trouble.unwrap().contains("masks/star.svg"));
    assert!(desk.plate_picture("star", 200).is_err());
    let report = desk.press(&Quiet).unwrap();
    assert!(
        report
            .findings
            .iter()
            .any(|finding| finding.code == "finish-mask-missing")
    );
    // The jacket is made without it, and neither its stage nor the check is content with that.
    let (state, because) = stage(&desk, "jacket");
    assert_eq!(state, StageState::Blocked);
    assert!(because.contains("gets no plate"), "{because}");
    let found = check(&desk, "jacket.pdf").findings;
    assert!(
        found.iter().any(|finding| finding.message.contains("star")),
        "{found:?}"
    );

    folder.put("masks/star.svg", star((size.0 * 2.0, size.1), 0.5));
    assert_eq!(codes(&look()), ["finish-mask-unfit"]);
    folder.put(
        "masks/star.svg",
        "<svg xmlns=\"http://www.w3.org/2000/svg\"",
    );
    assert_eq!(codes(&look()), ["finish-mask-unusable"]);
    folder.put("masks/star.svg", testkit::grey_png(300, 300, |_, _| 0));
    assert_eq!(codes(&look()), ["finish-mask-unfit"]);

    folder.put("masks/star.svg", star(size, 0.5));
    assert!(codes(&look()).is_empty(), "{:?}", look().findings);
    let (state, because) = stage(&desk, "jacket");
    assert_eq!(state, StageState::Stale);
    assert!(
        because.contains("`masks/star.svg` is there now"),
        "{because}"
    );

    for path in ["../star.svg", "/etc/hostname", "masks/../../star.svg"] {
        let text = in_case().text().replace("masks/star.svg", path);
        folder.put("book.toml", text);
        match desk.finishings() {
            Ok(views) => assert_eq!(codes(&views[0]), ["finish-mask-outside"], "{path}"),
            Err(error) => assert!(error.place.contains("book.toml"), "{error}"),
        }
    }
}

#[cfg(unix)]
#[test]
fn a_link_out_of_the_book_folder_is_not_followed() {
    let elsewhere = Folder::new().with("star.svg", star((120.0, 160.0), 0.5));
    let folder = folder(&in_case());
    std::fs::create_dir(folder.at("masks")).unwrap();
    std::os::unix::fs::symlink(elsewhere.at("star.svg"), folder.at("masks/star.svg")).unwrap();
    let view = shelf::open(&folder).finishings().unwrap().remove(0);
    assert_eq!(codes(&view), ["finish-mask-outside"]);
}

#[test]
fn fine_lines_are_marked_where_they_stand_on_the_sheet() {
    let folder = folder(&in_case());
    let desk = shelf::open(&folder);
    folder.put("masks/star.svg", star(front(&desk), 0.15));
    let snapshot = desk.snapshot().unwrap();
    let panel = snapshot
        .sheet(FlatKind::Jacket)
        .unwrap()
        .flat
        .panel("front")
        .unwrap()
        .rect;
    let view = desk.finishings().unwrap().remove(0);
    assert_eq!(view.sheet, Some(FlatKind::Jacket));
    assert_eq!(view.fault_count, 1);
    let place = view.faults[0].place;
    assert!((place.x - panel.x).mm() - 30.0 < 0.05);
    assert!(((place.y - panel.y).mm() - 80.0).abs() < 0.05);
    assert!((view.faults[0].width.mm() - 0.15).abs() < 0.05);
    assert_eq!(codes(&view), ["finish-line-too-fine"]);
    // Remembered, and found again alike.
    assert_eq!(desk.finishings().unwrap().remove(0), view);
}

#[test]
fn thin_lines_are_made_as_wide_as_the_process_needs_and_undo_brings_them_back() {
    let folder = folder(&in_case());
    let desk = shelf::open(&folder);
    let size = front(&desk);
    // Beside the thin line a square, so near that the gap closes.
    let near = star(size, 0.15).replace(
        "</svg>",
        "<rect x=\"30\" y=\"80.25\" width=\"40\" height=\"9\"/></svg>",
    );
    folder.put("masks/star.svg", near);
    let before = book_file(&folder);
    let found = desk.thicken("star").unwrap();
    assert!(found.holds);
    assert!((0.14..=0.17).contains(&found.by.mm()), "{}", found.by);
    assert_eq!(found.closes.len(), 1, "{:?}", found.closes);
    assert!(found.left.is_empty(), "{:?}", found.left);
    assert_eq!(found.said.len(), 1);
    assert!(
        found.said[0].starts_with("Gaps close in one place by it, 0."),
        "{:?}",
        found.said
    );
    let text = book_file(&folder);
    assert!(
        text.contains(&format!("thicken = \"{:.2}mm\"", found.by.mm())),
        "{text}"
    );
    let view = desk.finishings().unwrap().remove(0);
    assert_eq!((view.fault_count, view.thicken), (0, found.by));
    assert!(codes(&view).is_empty(), "{:?}", view.findings);
    let again = desk.thicken("star").unwrap();
    assert!(again.edited.what.contains("wider already"), "{again:?}");
    desk.undo().unwrap().unwrap();
    assert_eq!(book_file(&folder), before);
    assert_eq!(
        codes(&desk.finishings().unwrap().remove(0)),
        ["finish-line-too-fine", "finish-gap-too-fine"]
    );

    // A gap that is left too narrow is told and found again; what holds as drawn is left alone.
    folder.put(
        "masks/star.svg",
        star(size, 0.15).replace(
            "</svg>",
            "<rect x=\"30\" y=\"80.6\" width=\"40\" height=\"9\"/></svg>",
        ),
    );
    let found = desk.thicken("star").unwrap();
    assert!(found.closes.is_empty() && found.left.len() == 1);
    assert!(
        found.said[0].contains("narrower than the 0.4 mm"),
        "{found:?}"
    );
    assert_eq!(
        codes(&desk.finishings().unwrap().remove(0)),
        ["finish-gap-too-fine"]
    );
    folder.put("masks/star.svg", star(size, 0.8));
    let found = desk.thicken("star").unwrap();
    assert!(found.edited.what.contains("as drawn"), "{found:?}");
    assert!(!book_file(&folder).contains("thicken"));

    // Lines that no thickening mends, and a finishing that is not there.
    let coarse = FOIL.replace("colour", "least_line = \"3mm\"\ncolour");
    folder.put("book.toml", in_case().text().replace(FOIL, &coarse));
    let before = book_file(&folder);
    let found = desk.thicken("star").unwrap();
    assert!(
        !found.holds && found.said[0].contains("too thin"),
        "{found:?}"
    );
    assert_eq!(book_file(&folder), before);
    assert!(
        desk.thicken("moon")
            .unwrap_err()
            .problem
            .contains("no finishing `moon`")
    );
}

#[test]
fn a_mask_of_another_shape_is_centred_or_stretched_if_the_book_says_so() {
    let wish = |fit: &str| {
        let wished = FOIL.replace("colour", &format!("fit = \"{fit}\"\ncolour"));
        in_case().text().replace(FOIL, &wished)
    };
    let folder = folder(&in_case());
    let desk = shelf::open(&folder);
    let size = front(&desk);
    folder.put("masks/star.svg", star((size.0 * 2.0, size.1), 0.8));
    let look = || desk.finishings().unwrap().remove(0);
    let unfit = look();
    assert_eq!(codes(&unfit), ["finish-mask-unfit"]);
    let (found, wanted) = (
        format!("{:.1} × {:.1} mm", size.0 * 2.0, size.1),
        format!("{:.1} × {:.1} mm", size.0 * 2.0, size.1 * 2.0),
    );
    let said = &unfit.findings[0].message;
    assert!(said.contains(&found) && said.contains(&wanted), "{said}");

    folder.put("book.toml", wish("centre"));
    let centred = look();
    assert_eq!(codes(&centred), ["finish-mask-fitted"]);
    let free = format!("{:.1} mm free at the head", size.1 / 4.0);
    assert!(
        centred.findings[0].message.contains(&free),
        "{:?}",
        centred.findings
    );
    let place = centred.extent.unwrap();
    let face = centred.face.unwrap();
    // Drawn from 40 mm down, at half its size.
    assert!(((place.y - face.y).mm() - (size.1 / 4.0 + 20.0)).abs() < 0.1);
    assert!((place.width.mm() - 20.0).abs() < 0.1);

    folder.put("book.toml", wish("stretch"));
    let stretched = look();
    assert!(
        stretched.findings[0].message.contains("100.0 % higher"),
        "{:?}",
        stretched.findings
    );
    let place = stretched.extent.unwrap();
    assert!(((place.y - face.y).mm() - 40.0).abs() < 0.1);
    assert!((place.width.mm() - 20.0).abs() < 0.1);
}

#[test]
fn what_a_drawing_takes_away_is_cut_out_and_shows_no_white_in_the_press_file() {
    let folder = folder(&in_case());
    let desk = shelf::open(&folder);
    let (width, height) = front(&desk);
    folder.put(
        "masks/star.svg",
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" \
             viewBox=\"0 0 {width} {height}\"><circle cx=\"50\" cy=\"50\" r=\"20\"/>\
             <rect x=\"20\" y=\"50\" width=\"70\" height=\"40\" fill=\"#fff\"/>\
             <rect x=\"40\" y=\"60\" width=\"20\" height=\"20\"/></svg>"
        ),
    );
    desk.press(&Quiet).unwrap();
    let pdf = std::fs::read(folder.at("press/jacket.pdf")).unwrap();
    let text = String::from_utf8_lossy(&pdf);
    let (_, plate) = text.split_once("/Plate1 cs\n").unwrap();
    let (plate, _) = plate.split_once("\nQ\n").unwrap();
    assert!(
        plate.contains("1 scn") && !plate.contains("0 scn"),
        "{plate}"
    );
    assert!(plate.contains("\nf"), "{plate}");
    // Half a disc and the square.
    let share = desk.finishings().unwrap().remove(0).share * width * height;
    let wanted = std::f64::consts::PI * 200.0 + 400.0;
    assert!((share - wanted).abs() < 2.0, "{share} {wanted}");
}

#[test]
fn the_picture_of_a_plate_fills_its_face() {
    let folder = folder(&in_case());
    let desk = shelf::open(&folder);
    let size = front(&desk);
    folder.put("masks/star.svg", star(size, 0.5));
    let png = desk.plate_picture("star", 400).unwrap();
    let picture = alpha_of(&png);
    assert_eq!(picture.0.max(picture.1), 400);
    let (across, down) = (f64::from(picture.0) / size.0, f64::from(picture.1) / size.1);
    let at = |x: f64, y: f64| {
        picture.2[((y * down) as usize) * picture.0 as usize + (x * across) as usize]
    };
    assert_eq!(at(40.0, 50.0), 255);
    assert_eq!(at(40.0, 70.0), 0);
    assert_eq!(at(10.0, 50.0), 0);
}

#[test]
fn words_become_a_plate_and_are_no_longer_printed() {
    let gilt = FOIL.replace("mask = \"masks/star.svg\"", "words = \"title\"");
    let folder = folder(
        &text("sewn case")
            .section(COVER)
            .section(JACKET)
            .section(&gilt),
    );
    let desk = shelf::open(&folder);
    let view = desk.finishings().unwrap().remove(0);
    assert!(view.made, "{view:?}");
    assert!(view.share > 0.0);
    desk.press(&Quiet).unwrap();
    let report = check(&desk, "jacket.pdf");
    assert_eq!(report.pages[0].plates.len(), 1);
    assert!(report.pages[0].plates[0].touched_mm2 > 10.0);
}

#[test]
fn the_title_alone_becomes_a_plate_and_the_author_stays_where_it_was() {
    let extent = |words: &str| {
        let gilt = FOIL.replace("mask = \"masks/star.svg\"", words);
        let book = text("sewn case")
            .section(COVER)
            .section(JACKET)
            .section(&gilt);
        let written = book.text().replace(
            "title = \"A Test\"",
            "title = \"A Test\"\nauthor = \"Ada Quill\"",
        );
        let folder = folder(&book);
        folder.put("book.toml", written);
        let desk = shelf::open(&folder);
        let view = desk.finishings().unwrap().remove(0);
        let jacket = desk
            .snapshot()
            .unwrap()
            .sheet(FlatKind::Jacket)
            .unwrap()
            .clone();
        (view.extent.unwrap(), jacket.words.len())
    };
    let (both, in_ink) = extent("words = \"title\"");
    let (alone, also_in_ink) = extent("words = \"title alone\"");
    assert_eq!(
        (alone.x, alone.y, alone.width),
        (both.x, both.y, both.width)
    );
    assert!(
        alone.height.mm() * 3.0 < both.height.mm(),
        "{alone:?} {both:?}"
    );
    assert_eq!(also_in_ink, in_ink + 1);
}

#[test]
fn every_sheet_can_be_looked_at_and_the_bar_code_is_black_alone_on_bare_paper() {
    let folder = folder(&in_case());
    folder.put("book.toml", with_isbn(&in_case()));
    let desk = shelf::open(&folder);
    let snapshot = desk.snapshot().unwrap();
    for sheet in &snapshot.sheets {
        let name = SheetName::from(sheet.kind());
        let size = desk.sheet_size(name).unwrap();
        let trim = desk.sheet_trim(name).unwrap();
        assert!(trim[0] + trim[2] <= size.width && trim[1] + trim[3] <= size.height);
        desk.tile(name, View::Print, 0, 0, 0).unwrap();
        desk.page_picture(name, View::Adapted, 200).unwrap();
    }
    let jacket = snapshot.sheet(FlatKind::Jacket).unwrap();
    let bars = jacket.bar_code.as_ref().unwrap();
    let bar = bars.bars().next().unwrap();
    let trim = desk.sheet_trim(FlatKind::Jacket).unwrap();
    let scale = f64::from(trim[2]) / jacket.flat.trim.width.mm();
    let under = |x: f64, y: f64| {
        let place = |at: f64, from: u32| from + (at * scale) as u32;
        let sample = desk.under(FlatKind::Jacket, place(x, trim[0]), place(y, trim[1]));
        sample.unwrap().unwrap().cmyk
    };
    let white = bars.white.unwrap();
    assert_eq!(under(white.x.mm() + 1.0, white.y.mm() + 1.0), [0; 4]);
    let [c, m, y, k] = under(bar.x.mm() + bar.width.mm() / 2.0, bar.y.mm() + 5.0);
    assert_eq!([c, m, y], [0; 3]);
    assert!(k > 150, "{k}");
    let ground = under(white.x.mm() - 3.0, white.y.mm() + 1.0);
    assert_eq!(ground, [0, 153, 153, 0]);
}

#[test]
fn a_bar_code_on_a_dark_picture_must_not_go_to_print() {
    let codes = |white: bool, back: &str| {
        let text = text("glued soft")
            .section(&format!("[cover]\nback = \"{back}\""))
            .section(&format!(
                "[barcode]\nmagnification = \"80%\"\nwhite = {white}"
            ));
        let folder = folder(&text)
            .with(
                "art/night.png",
                testkit::png(900, 1250, |_, _| [10, 20, 60]),
            )
            .with(
                "art/day.png",
                testkit::png(900, 1250, |_, _| [255, 250, 235]),
            );
        folder.put("book.toml", with_isbn(&text));
        let desk = shelf::open(&folder);
        let codes = |report: PressReport| -> Vec<&str> {
            let codes = report.findings.into_iter().map(|finding| finding.code);
            codes.filter(|code| code.starts_with("press-bar")).collect()
        };
        let first = codes(desk.press(&Quiet).unwrap());
        // The same is said of a file that is taken over as it is.
        assert_eq!(codes(desk.press(&Quiet).unwrap()), first);
        first
    };
    assert_eq!(codes(false, "night.png"), ["press-bar-code-ground-dark"]);
    assert!(codes(false, "day.png").is_empty());
    assert!(codes(true, "night.png").is_empty());
}

#[test]
fn what_stands_in_the_way_of_a_sheet_is_told_by_the_object() {
    let nowhere = FOIL.replace("on = \"jacket\"", "on = \"band\"");
    let folder = folder(&text("sewn case").section(&nowhere));
    let desk = shelf::open(&folder);
    let (state, because) = stage(&desk, "object");
    assert_eq!(state, StageState::Blocked);
    assert!(because.contains("`star` is for the band"), "{because}");
    assert_eq!(stage(&desk, "running order").0, StageState::Fresh);
    let view = desk.finishings().unwrap().remove(0);
    assert_eq!(view.sheet, None);
    assert!(view.trouble.unwrap().contains("the book has none"));
    assert!(desk.plate_picture("star", 100).is_err());
    assert!(desk.plate_picture("moon", 100).is_err());
}

#[test]
fn nothing_is_stamped_on_the_bar_code_or_its_quiet_zones() {
    let case = in_case().section(&FOIL.replace("front", "back"));
    let text = with_isbn(&case).replacen(FOIL, "", 1);
    let folder = Folder::new()
        .with("book.toml", text)
        .with("art/tall.png", shelf::moor(900, 1250));
    let desk = shelf::open(&folder);
    let size = front(&desk);
    let bars = {
        let snapshot = desk.snapshot().unwrap();
        let jacket = snapshot.sheet(FlatKind::Jacket).unwrap();
        let back = jacket.flat.panel("back").unwrap().rect;
        let bars = jacket.bar_code.as_ref().unwrap().rect;
        bars.moved(-back.x, -back.y)
    };
    let stamp = |x: f64, y: f64| {
        let square = format!(
            "<rect x=\"{x}\" y=\"{y}\" width=\"6\" height=\"6\"/><rect x=\"9\" y=\"60\" width=\"9\" height=\"9\"/></svg>"
        );
        let (head, _) = star(size, 0.5)
            .split_once("<rect")
            .map(|(head, _)| (head.to_owned(), ()))
            .unwrap();
        folder.put("masks/star.svg", format!("{head}{square}"));
        desk.finishings().unwrap().remove(0)
    };
    let on = stamp(bars.x.mm() - 3.0, bars.y.mm() + 2.0);
    let found = on
        .findings
        .iter()
        .find(|one| one.code == "finish-on-bar-code");
    let found = found.unwrap_or_else(|| panic!("{:?}", on.findings));
    assert_eq!(found.measured.as_deref(), Some("3.0 × 6.0 mm on it"));
    let beside = stamp(bars.x.mm() - 8.0, bars.y.mm() + 2.0);
    assert!(codes(&beside).is_empty(), "{:?}", beside.findings);
}
