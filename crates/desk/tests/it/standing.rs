use desk::{Desk, Edit, Stage, StageState};

use crate::shelf::{self, Quiet};

fn stage(desk: &Desk, name: &str) -> Stage {
    desk.status()
        .unwrap()
        .stages
        .into_iter()
        .find(|stage| stage.name == name)
        .unwrap()
}

fn set(desk: &Desk, key: &str, value: &str) -> Vec<String> {
    desk.edit(&Edit::Set {
        key: key.to_owned(),
        value: value.to_owned(),
    })
    .unwrap()
    .stale
}

fn check_all(desk: &Desk) {
    for file in ["press/interior.pdf", "press/cover.pdf"] {
        desk.check(&desk.root().join(file), &Quiet).unwrap();
    }
}

#[test]
fn the_stages_go_from_missing_to_fresh() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    for name in ["art", "interior", "cover", "check"] {
        assert_eq!(stage(&desk, name).state, StageState::Missing, "{name}");
    }
    for name in ["running order", "object"] {
        assert_eq!(stage(&desk, name).state, StageState::Fresh, "{name}");
    }
    desk.judge(&Quiet).unwrap();
    desk.press(&Quiet).unwrap();
    check_all(&desk);
    // Printed proofs, prices, quantity and dates are other matters: nobody has to ask for them.
    for stage in desk.status().unwrap().stages {
        if !["proof", "prices", "quantity", "dates"].contains(&stage.name.as_str()) {
            assert_eq!(stage.state, StageState::Fresh, "{stage:?}");
        }
    }
}

#[test]
fn a_heavier_paper_leaves_the_interior_and_makes_the_cover_stale() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    desk.press(&Quiet).unwrap();
    check_all(&desk);
    let before = desk.snapshot().unwrap().object.spine_mm();
    let stale = set(&desk, "stock.text.grammage", "170 g/m2");
    let after = desk.snapshot().unwrap().object.spine_mm();
    let change =
        format!("The text stock changed from 150 to 170 g/m²: spine {before:.2} → {after:.2} mm");
    let all = ["cover", "drawing"].map(|name| format!("press/{name}.pdf ({change})"));
    assert_eq!(stale, all);
    let cover = stage(&desk, "cover");
    assert_eq!(cover.state, StageState::Stale);
    assert_eq!(
        cover.because,
        format!("{change}; press/cover.pdf was made for the book before that.")
    );
    assert_eq!(stage(&desk, "interior").state, StageState::Fresh);
    assert_eq!(stage(&desk, "check").state, StageState::Missing);

    desk.undo().unwrap();
    assert_eq!(stage(&desk, "cover").state, StageState::Fresh);
    assert_eq!(stage(&desk, "check").state, StageState::Fresh);
}

#[test]
fn a_picture_saved_anew_is_named_as_the_reason() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    desk.judge(&Quiet).unwrap();
    desk.press(&Quiet).unwrap();
    folder.put("art/tall.png", shelf::sea(480, 700));
    let interior = stage(&desk, "interior");
    assert_eq!(interior.state, StageState::Stale);
    assert!(
        interior.because.starts_with("`tall.png` was saved anew; "),
        "{}",
        interior.because
    );
    assert_eq!(stage(&desk, "art").state, StageState::Stale);
    assert_eq!(stage(&desk, "cover").state, StageState::Fresh);
}

#[test]
fn art_that_is_gone_blocks_and_is_named() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    desk.press(&Quiet).unwrap();
    std::fs::remove_file(folder.at("art/tall.png")).unwrap();
    let interior = stage(&desk, "interior");
    assert_eq!(interior.state, StageState::Blocked);
    assert!(
        interior.because.contains("tall.png"),
        "{}",
        interior.because
    );
    assert_eq!(stage(&desk, "running order").state, StageState::Blocked);
}

#[test]
fn a_press_file_that_something_else_changed_is_not_taken_for_ours() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    desk.press(&Quiet).unwrap();
    let path = folder.at("press/interior.pdf");
    let mut bytes = std::fs::read(&path).unwrap();
    bytes.extend_from_slice(b"\n% stamped by another program\n");
    std::fs::write(&path, bytes).unwrap();
    let interior = stage(&desk, "interior");
    assert_eq!(interior.state, StageState::Stale);
    assert!(interior.because.contains("changed by something else"));
}

#[test]
fn a_case_has_a_wrap_and_the_old_soft_cover_is_pointed_out() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    desk.press(&Quiet).unwrap();
    set(&desk, "binding.kind", "sewn case");
    let named = |name: &str| {
        let stages = desk.status().unwrap().stages;
        stages.into_iter().find(|stage| stage.name == name)
    };
    assert!(named("cover").is_none());
    assert_eq!(named("case").unwrap().state, StageState::Missing);
    let report = desk.press(&Quiet).unwrap();
    let left_over = report
        .findings
        .iter()
        .find(|finding| finding.code == "press-file-left-over")
        .unwrap();
    assert!(left_over.message.contains("press/cover.pdf"));
    let names: Vec<_> = report
        .files
        .iter()
        .map(|file| file.file_name().unwrap())
        .collect();
    assert_eq!(names, ["interior.pdf", "case.pdf"]);
    assert_eq!(named("case").unwrap().state, StageState::Fresh);
}

#[test]
fn judgements_are_remembered_and_only_what_changed_is_judged_again() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    assert!(desk.judged().unwrap().is_none());
    let first = desk.judge(&Quiet).unwrap();
    let again = desk.judged().unwrap().unwrap();
    assert_eq!(first.findings, again.findings);
    let remembered = || {
        std::fs::read_dir(folder.at(".foredge/cache/judged"))
            .unwrap()
            .count()
    };
    assert_eq!(remembered(), 3);
    folder.put("art/tall.png", shelf::sea(481, 700));
    assert!(desk.judged().unwrap().is_none());
    desk.judge(&Quiet).unwrap();
    assert_eq!(remembered(), 4);
}

#[test]
fn one_picture_that_fails_does_not_stop_the_judgement_of_the_others() {
    let mut cut = shelf::sea(300, 300);
    cut.truncate(cut.len() / 2);
    let folder = shelf::folder().with("art/cut.png", cut);
    let report = shelf::open(&folder).judge(&Quiet).unwrap();
    assert_eq!(report.pieces.len(), 3);
    let finding = report
        .findings
        .iter()
        .find(|finding| finding.code == "art-unreadable")
        .unwrap();
    assert_eq!(
        finding.place,
        desk::finding::Place::Piece("cut.png".to_owned())
    );
}
