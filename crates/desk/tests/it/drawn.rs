//! The dimensioned drawing beside the press files: made with them, kept, and stale when the object
//! changes.

use desk::{Desk, Edit, Stage, StageState};

use crate::shelf::{self, Quiet};

fn stage(desk: &Desk) -> Stage {
    let stages = desk.status().unwrap().stages;
    let drawing = |stage: &Stage| stage.name == "drawing";
    stages.into_iter().find(drawing).unwrap()
}

/// Gives what the edit says has become stale.
fn set(desk: &Desk, key: &str, value: &str) -> Vec<String> {
    let edit = Edit::Set {
        key: key.to_owned(),
        value: value.to_owned(),
    };
    desk.edit(&edit).unwrap().stale
}

#[test]
fn the_drawing_is_made_with_the_press_files_and_listed_in_the_manifest() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    assert_eq!(stage(&desk).state, StageState::Missing);
    let report = desk.press(&Quiet).unwrap();
    assert_eq!(report.drawing, desk.root().join("press/drawing.pdf"));
    assert!(desk.press_files().contains(&"drawing.pdf"));
    assert_eq!(stage(&desk).state, StageState::Fresh);

    let bytes = std::fs::read(&report.drawing).unwrap();
    let manifest = std::fs::read(desk.root().join("press/manifest.json")).unwrap();
    let manifest: serde_json::Value = serde_json::from_slice(&manifest).unwrap();
    let files = manifest["files"].as_array().unwrap();
    let made = files
        .iter()
        .find(|made| made["file"] == "drawing.pdf")
        .unwrap();
    assert_eq!(made["size_bytes"], bytes.len());
    assert_eq!(made["blake3"], desk::Digest::of(&bytes).to_string());
    // The section, and the one sheet of a soft book.
    assert_eq!(made["pages"].as_array().unwrap().len(), 2);
}

#[test]
fn another_spine_makes_the_drawing_stale_and_the_way_back_fresh() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    desk.press(&Quiet).unwrap();
    let before = desk.snapshot().unwrap().object.spine_mm();
    let told = set(&desk, "stock.text.grammage", "170 g/m2");
    let after = desk.snapshot().unwrap().object.spine_mm();
    let drawing = told
        .iter()
        .find(|told| told.starts_with("press/drawing.pdf"));
    let wanted = format!("spine {before:.2} → {after:.2} mm)");
    assert!(drawing.unwrap().ends_with(&wanted), "{told:?}");
    let stale = stage(&desk);
    assert_eq!(stale.state, StageState::Stale);
    assert_eq!(
        stale.because,
        format!(
            "The text stock changed from 150 to 170 g/m²: spine {before:.2} → {after:.2} mm; \
             press/drawing.pdf was made for the book before that."
        )
    );
    desk.undo().unwrap();
    assert_eq!(stage(&desk).state, StageState::Fresh);

    // What it does not show does not touch it.
    let told = set(&desk, "press.resolution", "200 ppi");
    assert!(!told.join("").contains("drawing"), "{told:?}");
    assert_eq!(stage(&desk).state, StageState::Fresh);
}

#[test]
fn a_drawing_of_the_same_object_is_kept_byte_by_byte_and_a_harmed_one_made_anew() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let file = desk.press(&Quiet).unwrap().drawing;
    let first = std::fs::read(&file).unwrap();
    set(&desk, "press.resolution", "200 ppi");
    desk.press(&Quiet).unwrap();
    assert!(std::fs::read(&file).unwrap() == first);

    std::fs::write(&file, b"something else").unwrap();
    let stale = stage(&desk);
    assert_eq!(stale.state, StageState::Stale);
    assert!(
        stale.because.contains("something else"),
        "{}",
        stale.because
    );
    desk.press(&Quiet).unwrap();
    assert_eq!(std::fs::read(&file).unwrap().len(), first.len());
    assert_eq!(stage(&desk).state, StageState::Fresh);
}

#[test]
fn the_drawing_wanted_now_is_of_the_book_as_it_is() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    desk.press(&Quiet).unwrap();
    let made = std::fs::read(desk.root().join("press/drawing.pdf")).unwrap();
    set(&desk, "stock.text.grammage", "250 g/m2");
    let now = desk.drawing().unwrap();
    assert!(now.starts_with(b"%PDF-") && now != made);
}
