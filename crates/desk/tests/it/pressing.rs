use std::collections::BTreeMap;
use std::path::Path;

use desk::finding::Severity;
use desk::{Desk, DeskError, Edit};
use serde_json::Value;
use testkit::{BookText, Folder, digests};

use crate::shelf::{self, Quiet, StopAfter};

pub fn press(desk: &Desk) -> u32 {
    desk.press(&Quiet).unwrap().rendered
}

pub fn manifest(folder: &Folder) -> Value {
    let text = std::fs::read_to_string(folder.at("press/manifest.json")).unwrap();
    serde_json::from_str(&text).unwrap()
}

/// Pictures of a file: page, width, height and the bytes of the stream.
pub fn streams(folder: &Folder, file: &str) -> Vec<(u64, usize, usize, Vec<u8>)> {
    let bytes = std::fs::read(folder.at("press").join(file)).unwrap();
    let manifest = manifest(folder);
    let files = manifest["files"].as_array().unwrap();
    let made = files.iter().find(|made| made["file"] == file).unwrap();
    let number = |value: &Value| value.as_u64().unwrap() as usize;
    let mut streams = Vec::new();
    for page in made["pages"].as_array().unwrap() {
        for picture in page["pictures"].as_array().unwrap() {
            let offset = number(&picture["offset_bytes"]);
            let length = number(&picture["length_bytes"]);
            streams.push((
                page["page"].as_u64().unwrap(),
                number(&picture["width_px"]),
                number(&picture["height_px"]),
                bytes[offset..offset + length].to_vec(),
            ));
        }
    }
    streams
}

/// CMYK bytes of a lossless stream: inflated, and the predictors of PNG (RFC 2083, 6) undone.
pub fn cmyk(width: usize, stream: &[u8]) -> Vec<u8> {
    let row = width * 4;
    let filtered = fdeflate::decompress_to_vec(stream).unwrap();
    let mut out: Vec<u8> = Vec::new();
    for line in filtered.chunks_exact(row + 1) {
        let above = out.len().checked_sub(row).map(|at| out[at..].to_vec());
        for (index, &byte) in line[1..].iter().enumerate() {
            let left = if index < 4 { 0 } else { out[out.len() - 4] };
            let up = above.as_ref().map_or(0, |above| above[index]);
            out.push(match line[0] {
                0 => byte,
                1 => byte.wrapping_add(left),
                2 => byte.wrapping_add(up),
                other => panic!("predictor {other} is not written here"),
            });
        }
    }
    out
}

pub fn checked(desk: &Desk, file: &str) {
    let report = desk.check(&desk.root().join(file), &Quiet).unwrap();
    let grave: Vec<_> = report
        .findings
        .iter()
        .filter(|finding| finding.severity == Severity::Stop)
        .collect();
    assert!(grave.is_empty(), "{grave:?}");
}

#[test]
fn a_book_becomes_an_interior_a_cover_and_a_manifest_that_pass_the_check() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let report = desk.press(&Quiet).unwrap();
    assert_eq!(report.pages, 8);
    assert_eq!(report.rendered, 4);
    checked(&desk, "press/interior.pdf");
    checked(&desk, "press/cover.pdf");
    let manifest = manifest(&folder);
    assert_eq!(manifest["art"].as_array().unwrap().len(), 3);
    for made in manifest["files"].as_array().unwrap() {
        let bytes = std::fs::read(folder.at("press").join(made["file"].as_str().unwrap())).unwrap();
        assert_eq!(
            made["blake3"].as_str().unwrap(),
            desk::Digest::of(&bytes).to_string()
        );
        assert_eq!(made["size_bytes"].as_u64().unwrap(), bytes.len() as u64);
    }
}

/// The picture of a spread is the same, to the byte, as the same picture on one page as wide as
/// both: nothing is lost, doubled or shifted at the fold.
#[test]
fn the_halves_of_a_spread_are_one_picture_cut_at_the_fold() {
    let picture = shelf::sea(1000, 800);
    let of = |trim: &str, treatment: &str| {
        let text = BookText::new(trim)
            .section("[press]\nresolution = \"100ppi\"")
            .page("title", "title", "")
            .shows("wide", treatment, "wide.png");
        Folder::new()
            .with("book.toml", text.text())
            .with("art/wide.png", &picture)
    };
    // 2 inches at 100 ppi are 200 pixels, so that both grids fall together.
    let spread = of("50.8x76.2mm", "spread");
    let whole = of("101.6x76.2mm", "full page");
    press(&shelf::open(&spread));
    press(&shelf::open(&whole));
    let halves = streams(&spread, "interior.pdf");
    let [(2, left, height, left_bytes), (3, right, _, right_bytes)] = &halves[..] else {
        panic!("two halves on pages 2 and 3");
    };
    let [(_, width, _, whole_bytes)] = &streams(&whole, "interior.pdf")[..] else {
        panic!("one picture");
    };
    let (one, other) = (cmyk(*left, left_bytes), cmyk(*right, right_bytes));
    let wanted = cmyk(*width, whole_bytes);
    // The fold may lie within what both halves hold; count from the outer edges.
    let fold = 12 + 200;
    assert!(*left >= fold && *right >= fold && *width == 2 * fold);
    for line in 0..*height {
        let row = |bytes: &[u8], width: usize, from: usize, to: usize| {
            bytes[(line * width + from) * 4..(line * width + to) * 4].to_vec()
        };
        assert_eq!(row(&one, *left, 0, fold), row(&wanted, *width, 0, fold));
        assert_eq!(
            row(&other, *right, right - fold, *right),
            row(&wanted, *width, fold, *width)
        );
    }
}

#[test]
fn art_without_pixels_to_spare_keeps_its_own() {
    let folder = Folder::new()
        .with(
            "book.toml",
            BookText::new("50.8x76.2mm")
                .section("[press]\nresolution = \"300ppi\"")
                .shows("tall", "full page", "tall.png")
                .text(),
        )
        // 56.8 × 82.2 mm with bleed: 134 ppi.
        .with("art/tall.png", shelf::moor(300, 434));
    press(&shelf::open(&folder));
    let [(_, width, height, _)] = streams(&folder, "interior.pdf")[..] else {
        panic!("one picture");
    };
    assert_eq!((width, height), (300, 434));
}

#[test]
fn a_line_drawing_prints_in_black_ink_alone() {
    let drawing = testkit::grey_png(
        300,
        434,
        |x, y| {
            if x % 60 < 3 || y % 60 < 3 { 0 } else { 255 }
        },
    );
    let folder = Folder::new()
        .with(
            "book.toml",
            BookText::new("50.8x76.2mm")
                .section("[press]\nresolution = \"100ppi\"")
                .shows("lines", "full page", "lines.png")
                .text(),
        )
        .with("art/lines.png", drawing);
    press(&shelf::open(&folder));
    let [(_, width, _, stream)] = &streams(&folder, "interior.pdf")[..] else {
        panic!("one picture");
    };
    let inks = cmyk(*width, stream);
    assert!(inks.chunks_exact(4).all(|ink| ink[..3] == [0, 0, 0]));
    assert!(inks.chunks_exact(4).any(|ink| ink[3] > 200));
}

#[test]
fn nothing_is_made_anew_when_nothing_changed() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    assert_eq!(press(&desk), 4);
    let before = digests(&folder.at("press"), &["manifest.json"]);
    assert_eq!(press(&desk), 0);
    assert_eq!(digests(&folder.at("press"), &["manifest.json"]), before);
}

#[test]
fn one_picture_changed_renders_its_pages_alone() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    press(&desk);
    let before = streams(&folder, "interior.pdf");
    folder.put("art/tall.png", shelf::sea(480, 700));
    assert_eq!(press(&desk), 1);
    let after = streams(&folder, "interior.pdf");
    for (old, new) in before.iter().zip(&after) {
        assert_eq!(old.3 == new.3, old.0 != 4, "page {}", old.0);
    }
    checked(&desk, "press/interior.pdf");
}

#[test]
fn pages_that_only_moved_are_taken_over() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    press(&desk);
    let sorted = |folder: &Folder| {
        let mut streams: Vec<_> = streams(folder, "interior.pdf")
            .into_iter()
            .map(|(_, _, _, bytes)| bytes)
            .collect();
        streams.sort();
        streams
    };
    let before = sorted(&folder);
    desk.edit(&Edit::Move {
        entry: "wide".to_owned(),
        to: 3,
    })
    .unwrap();
    assert_eq!(press(&desk), 0);
    assert_eq!(sorted(&folder), before);
    checked(&desk, "press/interior.pdf");
}

#[test]
fn a_harmed_press_file_is_not_taken_over() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    press(&desk);
    let good = streams(&folder, "interior.pdf");
    let path = folder.at("press/interior.pdf");
    let mut bytes = std::fs::read(&path).unwrap();
    let manifest = manifest(&folder);
    let offset = manifest["files"][0]["pages"][1]["pictures"][0]["offset_bytes"]
        .as_u64()
        .unwrap() as usize;
    bytes[offset + 20] ^= 1;
    std::fs::write(&path, &bytes).unwrap();
    // Both halves of the spread come from one picture and are made together.
    assert_eq!(press(&desk), 2);
    assert_eq!(streams(&folder, "interior.pdf"), good);
}

#[test]
fn a_cut_press_file_or_a_strange_manifest_is_made_anew() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    press(&desk);
    let bytes = std::fs::read(folder.at("press/interior.pdf")).unwrap();
    folder.put("press/interior.pdf", &bytes[..bytes.len() / 3]);
    assert!(press(&desk) > 0);
    checked(&desk, "press/interior.pdf");
    folder.put("press/manifest.json", "{\"layout\": 99}");
    assert_eq!(press(&desk), 4);
    // A manifest that lies about places and sizes leads nowhere.
    let text = manifest(&folder).to_string().replace(
        "\"offset_bytes\":",
        "\"offset_bytes\":18446744073709551615,\"was\":",
    );
    folder.put("press/manifest.json", text);
    folder.put("art/tall.png", shelf::sea(480, 700));
    assert_eq!(press(&desk), 4);
}

#[test]
fn stopping_leaves_the_former_files_whole_and_nothing_half_written() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    press(&desk);
    folder.put("art/wide.png", shelf::moor(900, 675));
    let before = digests(folder.path(), &[".foredge"]);
    for limit in 0..8 {
        let error = desk.press(&StopAfter::new(limit)).unwrap_err();
        assert!(error.stopped, "{error}");
        assert_eq!(
            digests(folder.path(), &[".foredge"]),
            before,
            "after {limit}"
        );
    }
    assert!(press(&desk) > 0);
}

#[test]
fn art_that_cannot_be_pressed_is_named_all_at_once_and_nothing_is_written() {
    let mut cut = shelf::moor(480, 700);
    cut.truncate(24);
    let folder = shelf::folder().with("art/tall.png", cut);
    std::fs::remove_file(folder.at("art/small.png")).unwrap();
    let before = digests(folder.path(), &[".foredge"]);
    let error = shelf::open(&folder).press(&Quiet).unwrap_err();
    let all = format!("{error}\n{}", error.hint);
    assert!(
        all.contains("art/small.png") && all.contains("art/tall.png"),
        "{all}"
    );
    assert_eq!(digests(folder.path(), &[".foredge"]), before);
}

#[test]
fn art_that_is_cut_behind_its_header_is_named_and_the_former_files_stay() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    press(&desk);
    let mut cut = shelf::sea(480, 700);
    cut.truncate(cut.len() / 2);
    folder.put("art/tall.png", cut);
    let before = digests(folder.path(), &[".foredge"]);
    let error = desk.press(&Quiet).unwrap_err();
    assert_eq!(error.place, "art/tall.png");
    assert_eq!(digests(folder.path(), &[".foredge"]), before);
}

#[test]
fn two_at_once_are_kept_apart() {
    let folder = shelf::folder();
    let (one, other) = (shelf::open(&folder), shelf::open(&folder));
    let results: Vec<Result<u32, DeskError>> = std::thread::scope(|scope| {
        let threads = [&one, &other]
            .map(|desk| scope.spawn(|| desk.press(&Quiet).map(|report| report.rendered)));
        threads.map(|thread| thread.join().unwrap()).into()
    });
    // Either one was refused, or it came after the other and had nothing to do.
    assert!(results.iter().any(Result::is_ok));
    for error in results.into_iter().filter_map(Result::err) {
        assert_eq!(error.problem, "the press files are being made already");
    }
    checked(&one, "press/interior.pdf");
}

#[test]
fn words_that_do_not_fit_must_not_go_to_print() {
    let long = "word ".repeat(3000);
    let folder = Folder::new().with(
        "book.toml",
        BookText::new("50.8x76.2mm")
            .page("long", "text", &format!("words = \"{long}\""))
            .text(),
    );
    let desk = shelf::open(&folder);
    let overflow = |desk: &Desk| {
        let report = desk.press(&Quiet).unwrap();
        report
            .findings
            .iter()
            .any(|finding| finding.code == "press-words-overflow")
    };
    assert!(overflow(&desk));
    assert!(overflow(&desk), "also when nothing had to be made anew");
}

#[test]
fn jpeg_pictures_can_be_asked_for() {
    let folder = shelf::folder();
    let text = shelf::text()
        .text()
        .replace("[press]", "[press]\npictures = \"jpeg\"");
    folder.put("book.toml", text);
    let desk = shelf::open(&folder);
    press(&desk);
    checked(&desk, "press/interior.pdf");
    for (page, _, _, stream) in streams(&folder, "interior.pdf") {
        assert_eq!(stream[..2], [0xFF, 0xD8], "page {page}");
    }
}

#[test]
fn what_a_killed_program_left_is_swept_away() {
    let folder = shelf::folder().with("press/.foredge-unfinished-abc", "half a file");
    press(&shelf::open(&folder));
    let names: BTreeMap<_, _> = digests(&folder.at("press"), &[]);
    assert_eq!(
        names.keys().map(String::as_str).collect::<Vec<_>>(),
        ["cover.pdf", "drawing.pdf", "interior.pdf", "manifest.json"]
    );
}

#[test]
fn a_foreign_file_is_checked_without_a_book() {
    let folder = Folder::new().with("strange.pdf", "this is no PDF");
    let report = desk::check_alone(&folder.at("strange.pdf"), &Quiet).unwrap();
    assert_eq!(desk::finding::worst(&report.findings), Some(Severity::Stop));
    let error = desk::check_alone(Path::new("/nowhere/at/all.pdf"), &Quiet).unwrap_err();
    assert!(error.hint.contains("PDF"));
}
