use std::path::Path;
use std::sync::LazyLock;

use desk::book::plan::ReaderPage;
use desk::finding::Severity;
use desk::proof::fit::Verdict;
use desk::proof::{Mark, PatchKind, PracticePress, cgats};
use desk::{Desk, DeskError, Edit, ProofReading, ReadFrom, StageState};
use proptest::prelude::*;
use testkit::Folder;

use crate::shelf::{self, Quiet};

fn set(desk: &Desk, key: &str, value: &str) -> Vec<String> {
    desk.edit(&Edit::Set {
        key: key.to_owned(),
        value: value.to_owned(),
    })
    .unwrap()
    .stale
}

fn read(desk: &Desk, text: &str) -> Result<ProofReading, DeskError> {
    desk.read_proof_bytes("measured.txt", text.as_bytes(), None, &Quiet)
}

/// What a press of ours measures for the book's strip as it is; the mark of the file that it was
/// made in stands in it.
fn measured(desk: &Desk, press: PracticePress) -> String {
    let practice = desk.practise(&Quiet).unwrap();
    let text = std::fs::read_to_string(practice).unwrap();
    let mark = cgats::read(&text).unwrap().mark().unwrap().unwrap();
    let strip = desk.strip(&Quiet).unwrap().strip;
    let condition = desk::colour::PressCondition::built_in("coated").unwrap();
    press.measure(&condition, &strip, &mark).unwrap()
}

/// The lines of data of a measurement changed.
fn with_data(text: &str, change: impl FnOnce(&mut Vec<String>)) -> String {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let from = lines.iter().position(|line| line == "BEGIN_DATA").unwrap() + 1;
    let to = lines.iter().position(|line| line == "END_DATA").unwrap();
    let mut data: Vec<String> = lines.drain(from..to).collect();
    change(&mut data);
    let count = data.len();
    lines.splice(from..from, data);
    for line in &mut lines {
        if line.starts_with("NUMBER_OF_SETS") {
            *line = format!("NUMBER_OF_SETS {count}");
        }
    }
    lines.join("\n")
}

/// The same measurement without names and inks: order alone tells the patches apart.
fn bare(text: &str) -> String {
    let read = cgats::read(text).unwrap();
    let mut bare = String::from("CGATS.17\n");
    if let Some(mark) = read.mark().unwrap() {
        bare.push_str(&format!(
            "KEYWORD \"FOREDGE_MARK\"\nFOREDGE_MARK \"{}\"\n",
            mark.text()
        ));
    }
    bare.push_str("NUMBER_OF_FIELDS 3\nBEGIN_DATA_FORMAT\nLAB_L LAB_A LAB_B\nEND_DATA_FORMAT\n");
    bare.push_str(&format!("NUMBER_OF_SETS {}\nBEGIN_DATA\n", read.rows.len()));
    for row in &read.rows {
        bare.push_str(&format!(
            "{:.3} {:.3} {:.3}\n",
            row.lab.l, row.lab.a, row.lab.b
        ));
    }
    bare.push_str("END_DATA\n");
    bare
}

fn proof_stage(desk: &Desk) -> desk::Stage {
    desk.status()
        .unwrap()
        .stages
        .into_iter()
        .find(|stage| stage.name == "proof")
        .unwrap()
}

fn book_text(folder: &Folder) -> String {
    std::fs::read_to_string(folder.path().join("book.toml")).unwrap()
}

fn kept_files(folder: &Folder) -> usize {
    std::fs::read_dir(folder.path().join("proofs")).map_or(0, Iterator::count)
}

#[test]
fn the_strip_is_made_of_the_press_and_of_the_art_in_the_book() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let view = desk.strip(&Quiet).unwrap();
    assert_eq!((view.strip.version, view.kept), (1, false));
    let count = |kind| {
        view.strip
            .patches
            .iter()
            .filter(|patch| patch.kind == kind)
            .count()
    };
    assert_eq!(count(PatchKind::Solid), 4);
    assert!(count(PatchKind::Paper) >= 1 && count(PatchKind::ArtGrey) >= 5);
    assert!(count(PatchKind::ArtColour) >= 12);
    // Shares are of what is printed from the art: all of it is near one of the colours.
    let shares: f64 = view.strip.patches.iter().map(|patch| patch.share).sum();
    assert!((shares - 1.0).abs() < 1e-9, "{shares}");
    // Looking at it makes no version; the second look gives the same.
    assert_eq!(desk.strip(&Quiet).unwrap().strip, view.strip);
}

#[test]
fn a_strip_gets_a_new_version_when_its_inks_change_and_the_old_one_when_they_come_back() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    desk.practise(&Quiet).unwrap();
    assert!(desk.strip(&Quiet).unwrap().kept);
    set(&desk, "paper.recipe", "strong");
    let view = desk.strip(&Quiet).unwrap();
    assert_eq!((view.strip.version, view.kept), (2, false));
    assert!(view.changed[0].contains("recipe"), "{:?}", view.changed);
    desk.practise(&Quiet).unwrap();
    desk.undo().unwrap();
    let view = desk.strip(&Quiet).unwrap();
    assert_eq!((view.strip.version, view.kept), (1, true));
    // What no ink depends on changes no strip.
    set(&desk, "book.title", "Another title");
    set(&desk, "stock.text.grammage", "170 g/m2");
    assert_eq!(desk.strip(&Quiet).unwrap().strip.version, 1);
}

#[test]
fn art_that_is_no_longer_shown_leaves_the_strip() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let before = desk.strip(&Quiet).unwrap().strip;
    desk.edit(&Edit::Remove {
        entry: "tall".to_owned(),
    })
    .unwrap();
    assert_ne!(desk.strip(&Quiet).unwrap().strip.patches, before.patches);
}

#[test]
fn the_loop_closes_measure_accept_press_measure_again() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    desk.press(&Quiet).unwrap();
    let text = book_text(&folder);
    assert_eq!(proof_stage(&desk).state, StageState::Missing);

    let practice = desk.practise(&Quiet).unwrap();
    let first = desk.read_proof(&practice, None, &Quiet).unwrap();
    assert_eq!((first.id, &first.from), (1, &ReadFrom::Practice));
    let Verdict::Enough(lesson) = &first.verdict else {
        panic!("{:?}", first.verdict);
    };
    assert!(first.colours.mean > 3.0, "{:?}", first.colours);
    assert!(lesson.after.mean < 0.4 * lesson.before.mean);
    assert_eq!(first.patches.len(), first.strip.patches.len());
    // Nothing changes until a person says so.
    assert_eq!(book_text(&folder), text);
    let stage = proof_stage(&desk);
    assert_eq!(
        stage.next,
        "Look at it and take it in: foredge proof accept 1"
    );

    let accepted = desk.accept_proof(1).unwrap();
    // The cover of this book has no picture.
    assert_eq!(accepted.stale.len(), 1, "{accepted:?}");
    assert!(accepted.stale[0].contains("proof 1"), "{accepted:?}");
    assert!(book_text(&folder).contains("[paper.learned]"));
    assert!(proof_stage(&desk).next.contains("foredge proof forget"));
    let known = desk.proofs().unwrap();
    assert!(known[0].in_force && known[0].accepted.is_some());

    desk.press(&Quiet).unwrap();
    let practice = desk.practise(&Quiet).unwrap();
    let second = desk.read_proof(&practice, None, &Quiet).unwrap();
    assert_eq!(second.strip.version, 2);
    // Against the very same intention as before.
    for (one, other) in first.strip.patches.iter().zip(&second.strip.patches) {
        if one.kind == PatchKind::ArtColour {
            assert!(desk::colour::delta_e_2000(one.intended, other.intended) < 0.05);
        }
    }
    assert!(
        second.colours.mean < 0.4 * first.colours.mean,
        "{:?} {:?}",
        first.colours,
        second.colours
    );
    assert!(second.refused.is_some(), "{:?}", second.verdict);

    // One step takes it back, to the very text.
    desk.undo().unwrap();
    assert_eq!(book_text(&folder), text);
    assert!(!desk.proofs().unwrap()[0].in_force);
    desk.redo().unwrap();
    assert!(desk.proofs().unwrap()[0].in_force);
    desk.forget_proof().unwrap();
    assert_eq!(desk.snapshot().unwrap().book.paper.learned, None);
}

#[test]
fn a_press_that_is_right_is_left_alone() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    for noise in [0.0, 0.5] {
        let press = PracticePress {
            noise,
            ..PracticePress::RIGHT
        };
        let reading = read(&desk, &measured(&desk, press)).unwrap();
        assert!(
            matches!(reading.verdict, Verdict::Right { .. }),
            "{reading:?}"
        );
        let error = desk.accept_proof(reading.id).unwrap_err();
        assert!(error.problem.contains("nothing to accept"), "{error}");
    }
}

#[test]
fn the_same_file_read_again_is_the_same_proof() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let text = measured(&desk, PracticePress::HEAVY);
    let one = read(&desk, &text).unwrap();
    let again = desk
        .read_proof_bytes("C:\\other name.txt", text.as_bytes(), None, &Quiet)
        .unwrap();
    assert_eq!(one.id, again.id);
    assert_eq!(desk.proofs().unwrap().len(), 1);
    assert_eq!(one.kept, Path::new("proofs/measured.txt"));
    let kept = std::fs::read_to_string(folder.path().join(&one.kept)).unwrap();
    assert_eq!(kept, text);
    // Another one of the same name is kept beside it.
    let other = read(&desk, &text.replace("simulated", "simulated again")).unwrap();
    assert_eq!(other.kept, Path::new("proofs/measured-2.txt"));
}

#[test]
fn lines_in_another_order_are_told_by_their_names() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let text = measured(&desk, PracticePress::HEAVY);
    let one = read(&desk, &text).unwrap();
    let other = read(&desk, &with_data(&text, |data| data.rotate_left(7))).unwrap();
    assert_eq!(one.colours, other.colours);
}

#[test]
fn without_names_the_order_counts_and_a_strip_measured_backwards_is_turned() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let text = measured(&desk, PracticePress::HEAVY);
    let named = read(&desk, &text).unwrap();
    let bare = bare(&text);
    let forwards = read(&desk, &bare).unwrap();
    assert!((forwards.colours.mean - named.colours.mean).abs() < 0.01);
    let backwards = read(&desk, &with_data(&bare, |data| data.reverse())).unwrap();
    assert_eq!(backwards.colours, forwards.colours);
    assert!(
        backwards
            .measurement
            .remarks
            .iter()
            .any(|remark| remark.contains("backwards")),
        "{:?}",
        backwards.measurement.remarks
    );
    // A shuffled one is none of the two.
    let error = read(&desk, &with_data(&bare, |data| data.rotate_left(9))).unwrap_err();
    assert!(error.problem.contains("order"), "{error}");
    let error = read(&desk, &with_data(&bare, |data| data.truncate(20))).unwrap_err();
    assert!(error.problem.contains("20 lines"), "{error}");
}

#[test]
fn missing_patches_are_named_and_too_few_are_not_enough_to_say() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let text = measured(&desk, PracticePress::HEAVY);
    let some = read(&desk, &with_data(&text, |data| drop(data.drain(20..23)))).unwrap();
    assert_eq!(some.measurement.missing, [20, 21, 22]);
    assert!(matches!(some.verdict, Verdict::Enough(_)));
    let few = read(&desk, &with_data(&text, |data| drop(data.drain(20..)))).unwrap();
    let Verdict::NotEnough { why, .. } = &few.verdict else {
        panic!("{:?}", few.verdict);
    };
    assert!(!why.is_empty());
    assert_eq!(few.refused.as_ref(), Some(why));
    assert!(desk.accept_proof(few.id).is_err());
    assert!(proof_stage(&desk).because.contains("not enough to say"));
}

#[test]
fn readings_without_a_pattern_are_not_enough_to_say() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    // Names shuffled among the colours, as when the strip was measured in another order than the
    // list said.
    let text = measured(&desk, PracticePress::HEAVY);
    let shuffled = with_data(&text, |data| {
        let tails: Vec<String> = data
            .iter()
            .map(|line| line.split_once(char::is_whitespace).unwrap().1.to_owned())
            .collect();
        let count = data.len();
        for (index, line) in data.iter_mut().enumerate() {
            let name = line.split_whitespace().next().unwrap().to_owned();
            *line = format!("{name} {}", tails[(index + 5) % count]);
        }
    });
    // Inks stand beside the colours and contradict the names.
    let error = read(&desk, &shuffled).unwrap_err();
    assert!(error.problem.contains("other ink"), "{error}");
    let noisy = PracticePress {
        noise: 12.0,
        ..PracticePress::RIGHT
    };
    let reading = read(&desk, &measured(&desk, noisy)).unwrap();
    assert!(
        matches!(reading.verdict, Verdict::NotEnough { .. }),
        "{:?}",
        reading.verdict
    );
}

#[test]
fn a_comma_for_the_decimal_point_is_read_right() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let text = measured(&desk, PracticePress::HEAVY);
    let one = read(&desk, &text).unwrap();
    let commas = with_data(&text, |data| {
        for line in data {
            *line = line.replace('.', ",");
        }
    });
    let reading = read(&desk, &commas).unwrap();
    assert_eq!(reading.colours, one.colours);
    assert!(reading.measurement.remarks[0].contains("comma"));
}

#[test]
fn marks_of_other_strips_pages_and_books_are_refused() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let text = measured(&desk, PracticePress::HEAVY);
    let mark = cgats::read(&text).unwrap().mark().unwrap().unwrap();
    let with_mark = |changed: Mark| text.replace(&mark.text(), &changed.text());
    for (changed, said) in [
        (
            Mark {
                version: 9,
                ..mark.clone()
            },
            "says strip 9",
        ),
        (
            Mark {
                file: "00000000".to_owned(),
                ..mark.clone()
            },
            "not made for this book",
        ),
        (
            Mark {
                page: Some(3),
                ..mark.clone()
            },
            "page 3",
        ),
    ] {
        let error = read(&desk, &with_mark(changed)).unwrap_err();
        assert!(error.problem.contains(said), "{error}");
        assert!(!error.hint.is_empty());
    }
    let error = read(&desk, &text.replace(&mark.text(), "FOREDGE/7/x")).unwrap_err();
    assert!(error.problem.contains("FOREDGE/7/x"), "{error}");
    // A measurement of the same book in another copy of its folder.
    let other = shelf::folder();
    let stranger = shelf::open(&other);
    let error = read(&stranger, &text).unwrap_err();
    assert!(error.problem.contains("not made for this book"), "{error}");
    let unmarked = text
        .lines()
        .filter(|line| !line.contains("FOREDGE_MARK"))
        .collect::<Vec<_>>()
        .join("\n");
    let error = read(&stranger, &unmarked).unwrap_err();
    assert!(error.problem.contains("no strip was made yet"), "{error}");
    let taken = read(&desk, &unmarked).unwrap();
    assert!(taken.measurement.remarks[0].contains("no mark"));
    // What was refused is not kept.
    assert_eq!(kept_files(&other), 0);
}

#[test]
fn a_measurement_of_an_older_strip_is_held_against_that_very_strip() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let text = measured(&desk, PracticePress::HEAVY);
    set(&desk, "paper.recipe", "strong");
    desk.practise(&Quiet).unwrap();
    let reading = read(&desk, &text).unwrap();
    assert_eq!(reading.strip.version, 1);
    assert!(reading.stale[0].contains("recipe"), "{:?}", reading.stale);
    assert!(matches!(reading.verdict, Verdict::Enough(_)));
    // What the press does is learned all the same, for any recipe.
    assert_eq!(reading.refused, None);
}

#[test]
fn a_lesson_of_another_press_condition_cannot_be_taken_in() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let reading = read(&desk, &measured(&desk, PracticePress::HEAVY)).unwrap();
    desk.use_condition("uncoated").unwrap();
    let known = desk.proofs().unwrap();
    assert!(known[0].refused.as_ref().unwrap().contains("uncoated"));
    assert!(desk.accept_proof(reading.id).is_err());
}

#[test]
fn what_is_no_measurement_is_refused_and_nothing_is_kept() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    desk.make_proof(&[], &Quiet).unwrap();
    let picture = shelf::sea(300, 200);
    for (bytes, said) in [
        (&b""[..], "empty"),
        (b"%PDF-1.6\n", "PDF"),
        (b"a\0b", "no text"),
        (b"dear printer, all fine", "expected"),
        (&picture, "mark"),
        (&picture[..200], ""),
    ] {
        let error = desk
            .read_proof_bytes("thing", bytes, None, &Quiet)
            .unwrap_err();
        assert!(error.problem.contains(said), "{said}: {error}");
        assert!(!error.hint.is_empty(), "{error}");
    }
    let nowhere = folder.path().join("nowhere.txt");
    assert!(desk.read_proof(&nowhere, None, &Quiet).is_err());
    assert!(desk.read_proof(folder.path(), None, &Quiet).is_err());
    assert_eq!(kept_files(&folder), 0);
    assert!(desk.proofs().unwrap().is_empty());
    assert!(desk.accept_proof(1).is_err());
}

/// One book for many wounds.
static WOUNDED: LazyLock<(Folder, Desk, String)> = LazyLock::new(|| {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let text = measured(&desk, PracticePress::HEAVY);
    (folder, desk, text)
});

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn no_bytes_make_it_panic(
        bytes in prop::collection::vec(any::<u8>(), 0..400),
        at in any::<prop::sample::Index>(),
    ) {
        let (_, desk, text) = &*WOUNDED;
        prop_assert!(desk.read_proof_bytes("x", &bytes, None, &Quiet).is_err());
        // And a good measurement with a wound in it.
        let mut wounded = text.clone().into_bytes();
        let at = at.index(wounded.len());
        let end = (at + bytes.len()).min(wounded.len());
        wounded[at..end].copy_from_slice(&bytes[..end - at]);
        if let Ok(reading) = desk.read_proof_bytes("x", &wounded, None, &Quiet) {
            prop_assert!(reading.colours.mean.is_finite());
        }
    }
}

#[test]
fn proof_pages_pass_our_own_check() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let pages = [ReaderPage(4), ReaderPage(2), ReaderPage(4)];
    let made = desk.make_proof(&pages, &Quiet).unwrap();
    assert_eq!(made.pages, [ReaderPage(2), ReaderPage(4)]);
    let report = desk.check(&made.path, &Quiet).unwrap();
    assert_eq!(report.summary.pages, 2);
    assert_eq!(
        report.pages[0].trim,
        Some(desk.snapshot().unwrap().book.format.trim)
    );
    let stops = |severity| {
        report
            .findings
            .iter()
            .filter(|finding| finding.severity == severity)
            .collect::<Vec<_>>()
    };
    assert_eq!(stops(Severity::Stop), Vec::<&desk::finding::Finding>::new());
    assert!(desk.press_files().contains(&"proof.pdf"));
    let (_, bytes) = desk.press_file("proof.pdf").unwrap();
    assert_eq!(bytes, made.bytes);
    // The strip on a sheet of its own.
    let alone = desk.make_proof(&[], &Quiet).unwrap();
    assert!(alone.findings.is_empty(), "{:?}", alone.findings);
    assert_eq!(desk.check(&alone.path, &Quiet).unwrap().summary.pages, 1);
    assert_ne!(alone.mark, made.mark);
    let error = desk.make_proof(&[ReaderPage(99)], &Quiet).unwrap_err();
    assert!(error.problem.contains("no such page"), "{error}");
    assert!(made.path.is_file());
}

#[test]
fn proof_pages_take_pictures_over_from_the_press_file_and_have_the_same() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let fresh = desk.make_proof(&[ReaderPage(4)], &Quiet).unwrap();
    let before = std::fs::read(&fresh.path).unwrap();
    desk.press(&Quiet).unwrap();
    let again = desk.make_proof(&[ReaderPage(4)], &Quiet).unwrap();
    assert_eq!(again.mark, fresh.mark);
    let after = std::fs::read(&again.path).unwrap();
    assert_eq!(before.len(), after.len());
}
