//! The demonstration's three objects from the same pages, each as the set of files that a printer
//! gets: with pictures drawn small and printed coarsely, so that it takes a moment.

use desk::book::drawing::Drawing;
use desk::book::object::FlatKind;
use desk::finding::Severity;
use desk::measure::Size;
use desk::{Desk, Edit, StageState};
use testkit::Folder;

use crate::shelf::Quiet;

/// Pixels of a small picture, for each of the full one.
const SMALLER: u32 = 24;

/// The demonstration book with small art, and its other bindings.
fn three() -> (Folder, [Desk; 3]) {
    let soft = demo::Binding::Soft;
    let folder = Folder::new().with("book.toml", soft.book_toml());
    for piece in demo::book().pieces {
        let (name, bytes) = piece.encode_small(piece.width / SMALLER);
        folder.put(&format!("art/{name}"), bytes);
    }
    for (name, bytes) in soft.masks() {
        folder.put(name, bytes);
    }
    let first = Desk::open(folder.path()).unwrap();
    let others = desk::demo_bindings(&first).unwrap();
    let [case, zine] = <[Desk; 2]>::try_from(others).ok().unwrap();
    let desks = [first, case, zine];
    for desk in &desks {
        set(desk, "press.resolution", "72ppi");
    }
    (folder, desks)
}

fn set(desk: &Desk, key: &str, value: &str) {
    let edit = Edit::Set {
        key: key.to_owned(),
        value: value.to_owned(),
    };
    desk.edit(&edit).unwrap();
}

/// Points in a file are rounded to a thousandth.
fn near(file: Size, book: Size) {
    for (file, book) in [(file.width, book.width), (file.height, book.height)] {
        assert!((file.mm() - book.mm()).abs() < 0.001, "{file} and {book}");
    }
}

/// A file with its pages and its plates beside the inks.
type Made = (&'static str, usize, &'static [&'static str]);

const FILES: [&[Made]; 3] = [
    &[
        ("interior.pdf", 40, &[]),
        ("cover.pdf", 1, &["moon varnish"]),
    ],
    &[
        ("interior.pdf", 40, &[]),
        ("case.pdf", 1, &["viaduct stamp"]),
        ("jacket.pdf", 1, &["moonlight foil"]),
        ("endpapers.pdf", 2, &[]),
    ],
    &[("interior.pdf", 40, &[]), ("cover.pdf", 1, &[])],
];

/// Sheets around the pages, and the file of each.
const SHEETS: [(FlatKind, &str); 5] = [
    (FlatKind::SoftCover, "cover.pdf"),
    (FlatKind::CaseWrap, "case.pdf"),
    (FlatKind::Jacket, "jacket.pdf"),
    (FlatKind::FrontEndpaper, "endpapers.pdf"),
    (FlatKind::BackEndpaper, "endpapers.pdf"),
];

#[test]
fn each_binding_is_a_whole_set_of_files_and_more_pages_move_all_of_it() {
    let (_folder, desks) = three();
    for (desk, files) in desks.iter().zip(FILES) {
        is_a_whole_set_that_agrees_with_its_object(desk, files);
        more_pages_move_every_spine_and_the_mass(desk, files);
    }
}

fn is_a_whole_set_that_agrees_with_its_object(desk: &Desk, files: &[Made]) {
    let report = desk.press(&Quiet).unwrap();
    let names: Vec<_> = report
        .files
        .iter()
        .map(|file| file.file_name().unwrap().to_str().unwrap())
        .collect();
    let wanted: Vec<_> = files.iter().map(|(name, ..)| *name).collect();
    assert_eq!(names, wanted);
    let snapshot = desk.snapshot().unwrap();
    for (file, (name, pages, plates)) in report.files.iter().zip(files) {
        let checked = desk.check(file, &Quiet).unwrap();
        // Small pictures are too coarse for print, and are found to be; nothing else is.
        let grave: Vec<_> = checked
            .findings
            .iter()
            .filter(|found| found.severity == Severity::Stop && !found.code.contains("resolution"))
            .collect();
        assert!(grave.is_empty(), "{name}: {grave:?}");
        assert_eq!(checked.pages.len(), *pages, "{name}");
        let found: Vec<_> = checked.pages[0]
            .plates
            .iter()
            .map(|plate| (plate.name.as_str(), plate.knocks_out))
            .collect();
        let plates: Vec<_> = plates.iter().map(|plate| (*plate, false)).collect();
        assert_eq!(found, plates, "{name}");
        if *name == "interior.pdf" {
            for page in &checked.pages {
                near(page.trim.unwrap(), snapshot.book.format.trim);
                assert!(page.bleed.unwrap().mm() > 2.99, "{page:?}");
            }
        }
    }
    for (kind, name) in SHEETS {
        let Some(sheet) = snapshot.sheet(kind) else {
            assert!(!wanted.contains(&name));
            continue;
        };
        let checked = desk
            .check(&desk.root().join("press").join(name), &Quiet)
            .unwrap();
        near(checked.pages[0].trim.unwrap(), sheet.flat.trim);
    }
    assert_eq!(snapshot.object.flats.len(), snapshot.sheets.len());
}

/// Every place that shows the spine, in hundredths of a millimetre: the object, its printed sheets,
/// and the drawing.
fn spines(desk: &Desk) -> Vec<(FlatKind, f64)> {
    let snapshot = desk.snapshot().unwrap();
    let drawn = Drawing::whole_of(&snapshot.book, &snapshot.object, &snapshot.sheets).svg();
    let sheets = snapshot.sheets.iter();
    let spines: Vec<_> = sheets
        .filter(|sheet| sheet.spine().mm() > 0.0)
        .map(|sheet| (sheet.kind(), sheet.spine().mm()))
        .collect();
    for (kind, spine) in &spines {
        let flat = snapshot.object.flat(*kind).unwrap();
        assert_eq!(flat.panel("spine").unwrap().rect.width.mm(), *spine);
        let said = [format!("spine {spine:.2}"), format!("spine {spine:.1}")];
        assert!(
            said.iter()
                .any(|said| drawn.contains(said.trim_end_matches('0'))),
            "{kind:?}: {said:?}"
        );
    }
    spines
}

fn more_pages_move_every_spine_and_the_mass(desk: &Desk, files: &[Made]) {
    let before = (spines(desk), desk.snapshot().unwrap().object.copy_g());
    for _ in 0..8 {
        let edit = Edit::Insert { piece: None, at: 2 };
        desk.edit(&edit).unwrap();
    }
    let after = (spines(desk), desk.snapshot().unwrap().object.copy_g());
    let object = desk.snapshot().unwrap();
    assert_eq!(object.plan.pages.len(), 48);
    assert!(after.1 > before.1 + 20.0, "{before:?} {after:?}");
    // Eight pages are four leaves; each of them makes every spine thicker by itself.
    let thicker = object.book.text_stock.caliper().mm() * 4.0;
    for ((kind, before), (same, after)) in before.0.iter().zip(&after.0) {
        assert_eq!(kind, same);
        assert!(
            (after - before - thicker).abs() < 0.05,
            "{kind:?}: {before} {after}"
        );
    }
    assert_eq!(
        before.0.is_empty(),
        object.book.binding.kind.word() == "wire-stitched"
    );
    let stages = desk.status().unwrap().stages;
    for (name, ..) in files.iter().filter(|(name, ..)| *name != "endpapers.pdf") {
        let name = name.trim_end_matches(".pdf");
        let stage = stages.iter().find(|stage| stage.name == name).unwrap();
        // A stitched cover has no spine, and stays as it is.
        let same = before.0.is_empty() && name == "cover";
        let state = if same {
            StageState::Fresh
        } else {
            StageState::Stale
        };
        assert_eq!(stage.state, state, "{name}: {}", stage.because);
    }
    let drawing = stages.iter().find(|stage| stage.name == "drawing").unwrap();
    assert_eq!(drawing.state, StageState::Stale);
}
