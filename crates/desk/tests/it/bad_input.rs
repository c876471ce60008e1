//! One clear error that says where and what to do; the book and the art untouched.

use desk::Desk;
use testkit::{Folder, digests};

use crate::shelf::{self, Quiet};

fn refused(folder: &Folder, work: impl Fn(&Desk) -> Option<desk::DeskError>) -> desk::DeskError {
    let before = digests(folder.path(), &[".foredge"]);
    let error = work(&shelf::open(folder)).expect("this is refused");
    assert!(!error.stopped);
    assert!(!error.hint.is_empty(), "{error}");
    assert_eq!(digests(folder.path(), &[".foredge"]), before);
    error
}

fn book_says(from: &str, to: &str) -> desk::DeskError {
    let folder = shelf::folder();
    let text = shelf::text().text();
    assert!(text.contains(from));
    folder.put("book.toml", text.replacen(from, to, 1));
    let error = refused(&folder, |desk| desk.press(&Quiet).err());
    let same = refused(&folder, |desk| desk.status().err());
    assert_eq!(error, same);
    error
}

#[test]
fn a_misspelt_key_is_named_with_its_line() {
    let error = book_says("signature =", "signatur =");
    assert_eq!(error.place, "book.toml:9");
    assert!(error.problem.contains("signatur"), "{error}");
    assert!(error.hint.contains("signature"), "{}", error.hint);
}

#[test]
fn an_unknown_unit_is_named_with_its_line() {
    let error = book_says("150 g/m2", "150 stone");
    assert!(error.place.starts_with("book.toml:"), "{error}");
    assert!(error.problem.contains("stone"), "{error}");
}

#[test]
fn a_page_in_two_places_is_named_with_its_line() {
    let error = book_says("name = \"tall\"", "name = \"wide\"");
    assert!(error.place.starts_with("book.toml:"), "{error}");
    assert!(error.problem.contains("wide"), "{error}");
}

#[test]
fn a_book_file_that_is_no_text_says_where() {
    let folder = shelf::folder();
    let mut bytes = shelf::text().text().into_bytes();
    let at = bytes.len() / 2;
    let line = 1 + bytes[..at].iter().filter(|&&byte| byte == b'\n').count();
    bytes[at] = 0xFF;
    folder.put("book.toml", bytes);
    let error = refused(&folder, |desk| desk.status().err());
    assert_eq!(error.place, format!("book.toml:{line}"));
}

#[test]
fn a_picture_that_is_not_there_is_named() {
    let folder = shelf::folder();
    std::fs::remove_file(folder.at("art/tall.png")).unwrap();
    let error = refused(&folder, |desk| desk.press(&Quiet).err());
    assert_eq!(error.place, "art/tall.png");
}

#[test]
fn a_header_that_claims_too_much_is_refused_before_any_memory_is_taken() {
    let folder = shelf::folder().with("art/tall.png", testkit::png_that_claims(100_000, 100_000));
    let error = refused(&folder, |desk| desk.press(&Quiet).err());
    assert_eq!(error.place, "art/tall.png");
    assert!(error.problem.contains("100000"), "{error}");
}

#[test]
fn a_jpeg_that_is_cut_is_refused() {
    let whole = testkit::jpeg(330, 480, |x, y| [(x % 256) as u8, (y % 256) as u8, 90]);
    let folder = shelf::folder().with("art/tall.png", &whole[..whole.len() / 2]);
    let error = refused(&folder, |desk| desk.press(&Quiet).err());
    assert_eq!(error.place, "art/tall.png");
}

#[test]
fn a_profile_of_no_size_is_refused() {
    let folder = shelf::folder().with("works.icc", "");
    let text = shelf::text()
        .text()
        .replace("[press]", "[press]\ncondition = \"works.icc\"");
    folder.put("book.toml", text);
    let error = refused(&folder, |desk| desk.press(&Quiet).err());
    assert_eq!(error.place, "works.icc");
}

#[test]
fn an_unknown_condition_lists_what_is_known() {
    let folder = shelf::folder();
    let text = shelf::text()
        .text()
        .replace("[press]", "[press]\ncondition = \"glosy\"");
    folder.put("book.toml", text);
    let error = refused(&folder, |desk| desk.press(&Quiet).err());
    assert!(error.problem.contains("glosy"), "{error}");
    let all = format!("{error} {}", error.hint);
    assert!(all.contains("coated-americas"), "{all}");
}

#[test]
fn a_record_that_is_damaged_says_so_and_the_book_is_untouched() {
    let folder = shelf::folder().with(".foredge/record.sqlite", vec![b'x'; 5000]);
    let error = refused(&folder, |desk| desk.status().err());
    assert_eq!(error.problem, "the record is damaged");
}

#[cfg(unix)]
#[test]
fn a_press_folder_that_cannot_be_written_to_is_named() {
    use std::os::unix::fs::PermissionsExt;
    let folder = shelf::folder();
    let press = folder.at("press");
    std::fs::create_dir(&press).unwrap();
    std::fs::set_permissions(&press, std::fs::Permissions::from_mode(0o555)).unwrap();
    // Whoever may write anywhere sees no refusal.
    if std::fs::write(press.join("try"), "").is_ok() {
        return;
    }
    let error = refused(&folder, |desk| desk.press(&Quiet).err());
    assert!(error.place.contains("press"), "{error}");
    std::fs::set_permissions(&press, std::fs::Permissions::from_mode(0o755)).unwrap();
}
