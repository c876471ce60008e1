use desk::{Desk, Edit, Edited};

use crate::shelf;

fn moved(desk: &Desk, entry: &str, to: usize) -> Edited {
    desk.edit(&Edit::Move {
        entry: entry.to_owned(),
        to,
    })
    .unwrap()
}

fn text(desk: &Desk) -> String {
    std::fs::read_to_string(desk.root().join("book.toml")).unwrap()
}

#[test]
fn edits_are_taken_back_and_brought_again_to_the_letter() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let first = text(&desk);
    let edited = moved(&desk, "small", 0);
    assert!(edited.what.contains("small"), "{}", edited.what);
    let second = text(&desk);
    assert_ne!(first, second);
    moved(&desk, "tall", 0);
    let third = text(&desk);

    desk.undo().unwrap().unwrap();
    assert_eq!(text(&desk), second);
    desk.undo().unwrap().unwrap();
    assert_eq!(text(&desk), first);
    assert!(desk.undo().unwrap().is_none());
    desk.redo().unwrap().unwrap();
    desk.redo().unwrap().unwrap();
    assert_eq!(text(&desk), third);
    assert!(desk.redo().unwrap().is_none());
}

#[test]
fn undo_survives_closing_the_book() {
    let folder = shelf::folder();
    let before = text(&shelf::open(&folder));
    moved(&shelf::open(&folder), "small", 0);
    let undone = shelf::open(&folder).undo().unwrap().unwrap();
    assert!(undone.what.starts_with("Took back: "), "{}", undone.what);
    assert_eq!(text(&shelf::open(&folder)), before);
}

#[test]
fn a_change_by_hand_is_a_version_of_its_own() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    moved(&desk, "small", 0);
    let by_program = text(&desk);
    let by_hand = format!("# a remark by hand\n{by_program}");
    folder.put("book.toml", &by_hand);
    assert_eq!(
        desk.history().unwrap().undo.as_deref(),
        Some("Edited by hand")
    );
    desk.undo().unwrap().unwrap();
    assert_eq!(text(&desk), by_program);
    desk.redo().unwrap().unwrap();
    assert_eq!(text(&desk), by_hand);
}

#[test]
fn undo_saves_a_book_that_an_edit_by_hand_has_broken() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    desk.history().unwrap();
    let good = text(&desk);
    folder.put("book.toml", good.replace("[format]", "[format"));
    assert!(desk.snapshot().is_err());
    desk.undo().unwrap().unwrap();
    assert_eq!(text(&desk), good);
    desk.snapshot().unwrap();
}

#[test]
fn an_edit_that_does_not_fit_changes_nothing() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let before = text(&desk);
    for edit in [
        Edit::Move {
            entry: "nobody".to_owned(),
            to: 0,
        },
        Edit::Set {
            key: "format.trim".to_owned(),
            value: "12 parsecs".to_owned(),
        },
        Edit::Set {
            key: "format.trimm".to_owned(),
            value: "10x10mm".to_owned(),
        },
    ] {
        let error = desk.edit(&edit).unwrap_err();
        assert!(error.place.starts_with("book.toml"), "{error}");
        assert_eq!(text(&desk), before);
    }
    assert_eq!(desk.history().unwrap().undo, None);
}

#[test]
fn a_profile_comes_into_the_book_with_the_condition() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let profile = desk::colour::PressCondition::built_in("uncoated")
        .unwrap()
        .profile;
    folder.put("elsewhere/works.icc", profile.bytes());
    desk.use_condition(&folder.at("elsewhere/works.icc").display().to_string())
        .unwrap();
    let snapshot = desk.snapshot().unwrap();
    assert_eq!(snapshot.book.press.condition, "profiles/works.icc");
    desk.status().unwrap();
    desk.use_condition("coated").unwrap();
    assert_eq!(desk.snapshot().unwrap().book.press.condition, "coated");
}

#[test]
fn what_is_no_cmyk_profile_is_refused_and_not_brought_in() {
    let folder = shelf::folder()
        .with("elsewhere/empty.icc", "")
        .with("elsewhere/srgb.icc", desk::colour::Profile::srgb().bytes());
    let desk = shelf::open(&folder);
    let before = text(&desk);
    for name in [
        "elsewhere/empty.icc",
        "elsewhere/srgb.icc",
        "elsewhere/none.icc",
    ] {
        let error = desk
            .use_condition(&folder.at(name).display().to_string())
            .unwrap_err();
        assert!(error.place.contains("elsewhere"), "{error}");
        assert!(!error.hint.is_empty());
    }
    assert_eq!(text(&desk), before);
    assert!(!folder.at("profiles").exists());
}

#[test]
fn a_condition_never_leads_out_of_the_book() {
    let folder = shelf::folder();
    let outside = shelf::text()
        .text()
        .replace("[press]", "[press]\ncondition = \"../../etc/passwd\"");
    folder.put("book.toml", outside);
    let desk = shelf::open(&folder);
    assert!(desk.status().is_err());
}
