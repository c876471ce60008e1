use desk::book::plan::ReaderPage;
use desk::{Desk, SheetName, View};

use crate::shelf;

const TITLE: ReaderPage = ReaderPage(1);
const LEFT: ReaderPage = ReaderPage(2);

fn pixels(desk: &Desk, page: ReaderPage, view: View) -> (u32, u32, Vec<u8>) {
    let (media, bytes) = desk.tile(page, view, 0, 0, 0).unwrap();
    assert_eq!(media, "image/jpeg");
    let picture = desk::art::decode(&bytes, &desk::art::Limits::default()).unwrap();
    let desk::art::Samples::Rgb8(rgb) = picture.samples else {
        panic!("tiles are RGB");
    };
    (picture.size.width, picture.size.height, rgb)
}

#[test]
fn a_page_is_shown_with_its_bleed_at_press_resolution() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    // 2 × 3 inches at 150 ppi, and 3 mm = 17.7 pixels of bleed around, snapped outward.
    let size = desk.sheet_size(LEFT).unwrap();
    assert_eq!((size.width, size.height), (336, 486));
    assert_eq!(desk.sheet_trim(LEFT).unwrap(), [18, 18, 300, 450]);
    let (width, height, _) = pixels(&desk, LEFT, View::Screen);
    assert_eq!((width, height), (336, 486));
    assert!(desk.tile(LEFT, View::Screen, 0, 1, 0).is_err());
    assert!(desk.tile(LEFT, View::Screen, 1, 0, 0).is_err());
    assert!(desk.sheet_size(ReaderPage(0)).is_err());
    assert!(desk.sheet_size(ReaderPage(99)).is_err());
}

#[test]
fn words_are_seen_on_the_screen_and_in_print() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    for view in [View::Screen, View::Print] {
        let (_, _, rgb) = pixels(&desk, TITLE, view);
        let dark = rgb.chunks_exact(3).filter(|rgb| rgb[1] < 100).count();
        let share = dark as f64 / (rgb.len() / 3) as f64;
        assert!((0.001..0.2).contains(&share), "{view:?}: {share}");
    }
}

#[test]
fn paper_is_white_on_the_screen_and_has_its_tint_in_print() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let (_, _, screen) = pixels(&desk, TITLE, View::Screen);
    assert_eq!(screen[..3], [255, 255, 255]);
    let (_, _, print) = pixels(&desk, TITLE, View::Print);
    assert!(
        print[..3].iter().any(|&value| value < 252),
        "{:?}",
        &print[..3]
    );
}

#[test]
fn the_number_under_the_pointer_is_the_ink_of_the_press_file() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let paper = desk.under(TITLE, 0, 0).unwrap().unwrap();
    assert_eq!((paper.rgb, paper.cmyk), ([255; 3], [0; 4]));
    let picture = desk.under(LEFT, 100, 100).unwrap().unwrap();
    assert!(picture.cmyk.iter().any(|&ink| ink > 0));
    assert_eq!(desk.under(LEFT, 336, 0).unwrap(), None);
}

#[test]
fn the_two_halves_of_a_spread_meet_in_the_view() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let right = ReaderPage(3);
    let size = desk.sheet_size(LEFT).unwrap();
    let trim = desk.sheet_trim(LEFT).unwrap();
    let fold = trim[0] + trim[2];
    for y in (trim[1]..size.height - trim[1]).step_by(40) {
        let before = desk.under(LEFT, fold - 1, y).unwrap().unwrap().rgb;
        let after = desk
            .under(right, desk.sheet_trim(right).unwrap()[0], y)
            .unwrap()
            .unwrap()
            .rgb;
        // The picture grows redder by 160 in 900 pixels across: less than one step a pixel.
        assert!(before[0].abs_diff(after[0]) <= 2, "{before:?} {after:?}");
    }
}

#[test]
fn the_cover_is_shown_flat() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let size = desk.sheet_size(SheetName::COVER).unwrap();
    // Two pages of 2 inches and the bleed; the spine of a few leaves is thin.
    assert!(size.width >= 636 && size.width < 656, "{size}");
    desk.tile(SheetName::COVER, View::Print, 0, 0, 0).unwrap();
    folder.put("book.toml", shelf::text().bound("sewn case").text());
    assert!(desk.sheet_size(SheetName::COVER).is_err());
}

#[test]
fn an_edit_shows_at_once() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let (_, _, before) = pixels(&desk, LEFT, View::Screen);
    folder.put("art/wide.png", shelf::moor(900, 675));
    let (_, _, after) = pixels(&desk, LEFT, View::Screen);
    assert_ne!(before, after);
}

#[test]
fn thumbnails_are_small_and_kept() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let bytes = desk.thumbnail("wide.png", 160).unwrap();
    let picture = desk::art::decode(&bytes, &desk::art::Limits::default()).unwrap();
    assert_eq!((picture.size.width, picture.size.height), (160, 120));
    assert_eq!(desk.thumbnail("wide.png", 160).unwrap(), bytes);
    assert!(desk.thumbnail("../book.toml", 160).is_err());
    assert!(desk.thumbnail("nowhere.png", 160).is_err());
}

#[test]
fn a_page_whose_art_is_gone_is_shown_without_it() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    std::fs::remove_file(folder.at("art/wide.png")).unwrap();
    let (_, _, rgb) = pixels(&desk, LEFT, View::Screen);
    assert!(rgb.iter().all(|&value| value == 255));
}
