//! The recipe for paper, its exceptions, and what they do to press files and previews.

use desk::book::plan::ReaderPage;
use desk::colour::Compensation;
use desk::{Desk, Edit, SheetName, StageState, View};
use testkit::{BookText, Folder};

use crate::pressing::{checked, cmyk, press, streams};
use crate::shelf::{self, Quiet};

const LEFT: ReaderPage = ReaderPage(2);

fn set(desk: &Desk, key: &str, value: &str) -> Vec<String> {
    desk.edit(&Edit::Set {
        key: key.to_owned(),
        value: value.to_owned(),
    })
    .unwrap()
    .stale
}

/// Inks of every picture of the interior, by page.
fn interior(folder: &Folder) -> Vec<(u64, usize, Vec<u8>)> {
    streams(folder, "interior.pdf")
        .into_iter()
        .map(|(page, width, _, stream)| (page, width, cmyk(width, &stream)))
        .collect()
}

fn stale(desk: &Desk) -> Vec<String> {
    let stages = desk.status().unwrap().stages;
    let stale = stages
        .into_iter()
        .filter(|stage| stage.state == StageState::Stale);
    stale.map(|stage| stage.name).collect()
}

fn pixels(bytes: &[u8]) -> (u32, u32, Vec<u8>) {
    let picture = desk::art::decode(bytes, &desk::art::Limits::default()).unwrap();
    let desk::art::Samples::Rgb8(rgb) = picture.samples else {
        panic!("pictures of pages are RGB");
    };
    (picture.size.width, picture.size.height, rgb)
}

/// Edges, saturated colours and a dark part with detail.
fn roofs(width: u32, height: u32) -> Vec<u8> {
    testkit::png(width, height, |x, y| {
        let tile = (x / 9 + y / 7) % 2 == 0;
        match (y * 3 / height, tile) {
            (0, true) => [0, 210, 40],
            (0, false) => [90, 60, 220],
            (1, true) => [200, 190, 180],
            (1, false) => [120, 110, 100],
            (_, true) => [16, 16, 18],
            (_, false) => [2, 2, 3],
        }
    })
}

/// Mean difference of bytes.
fn off(one: &[u8], other: &[u8]) -> f64 {
    assert_eq!(one.len(), other.len());
    let sum: u64 = one
        .iter()
        .zip(other)
        .map(|(one, other)| u64::from(one.abs_diff(*other)))
        .sum();
    sum as f64 / one.len() as f64
}

#[test]
fn another_recipe_changes_every_picture_and_is_named_as_the_reason() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    press(&desk);
    let before = interior(&folder);
    let told = set(&desk, "paper.recipe", "strong");
    assert_eq!(
        told,
        ["press/interior.pdf (The recipe for paper changed from none to strong)"]
    );
    assert_eq!(stale(&desk), ["interior"]);
    assert_eq!(press(&desk), 4);
    checked(&desk, "press/interior.pdf");
    let after = interior(&folder);
    for ((page, _, before), (_, _, after)) in before.iter().zip(&after) {
        assert!(off(before, after) > 2.0, "page {page}");
    }
}

#[test]
fn an_exception_makes_only_its_pages_anew_and_undo_brings_the_file_back_as_fresh() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    set(&desk, "paper.recipe", "usual");
    press(&desk);
    let told = set(&desk, "piece.tall.png.recipe", "none");
    assert_eq!(
        told,
        ["press/interior.pdf (`tall.png` has the recipe `none` for paper now)"]
    );
    desk.undo().unwrap().unwrap();
    assert!(stale(&desk).is_empty());
    assert_eq!(press(&desk), 0);
    desk.redo().unwrap().unwrap();
    assert_eq!(press(&desk), 1);
}

#[test]
fn a_piece_that_opted_out_keeps_its_bytes_under_every_recipe() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    set(&desk, "piece.tall.png.recipe", "none");
    press(&desk);
    let page = |all: &[(u64, usize, Vec<u8>)], wanted: u64| {
        all.iter()
            .find(|(page, ..)| *page == wanted)
            .unwrap()
            .2
            .clone()
    };
    let before = interior(&folder);
    set(&desk, "paper.recipe", "strong");
    assert_eq!(press(&desk), 3);
    let after = interior(&folder);
    assert!(page(&before, 4) == page(&after, 4));
    assert!(page(&before, 2) != page(&after, 2));
}

#[test]
fn a_recipe_that_every_piece_opts_out_of_leaves_the_files_fresh() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    for piece in ["wide", "tall", "small"] {
        set(&desk, &format!("piece.{piece}.png.recipe"), "none");
    }
    press(&desk);
    assert!(set(&desk, "paper.recipe", "strong").is_empty());
    assert!(stale(&desk).is_empty());
}

#[test]
fn black_alone_and_two_inks_use_only_their_plates() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    for (inks, used, told) in [
        ("black", [false, false, false, true], "in black ink alone"),
        (
            "black and cyan",
            [true, false, false, true],
            "in black and cyan",
        ),
        (
            "black and magenta",
            [false, true, false, true],
            "in black and magenta",
        ),
        (
            "black and yellow",
            [false, false, true, true],
            "in black and yellow",
        ),
    ] {
        press(&desk);
        let stale = set(&desk, "piece.tall.png.inks", inks);
        assert_eq!(
            stale,
            [format!(
                "press/interior.pdf (`tall.png` is now printed {told})"
            )]
        );
        assert_eq!(press(&desk), 1);
        checked(&desk, "press/interior.pdf");
        let made = interior(&folder);
        let (_, _, ink) = made.iter().find(|(page, ..)| *page == 4).unwrap();
        for (plate, used) in used.into_iter().enumerate() {
            let most = ink.iter().skip(plate).step_by(4).max();
            assert_eq!(most > Some(&0), used, "{inks}, plate {plate}");
        }
    }
}

#[test]
fn the_preview_in_print_is_the_ink_of_the_press_file() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    set(&desk, "paper.recipe", "usual");
    set(&desk, "paper.sharpening", "strong");
    press(&desk);
    // A picture on one page: to the byte.
    let made = interior(&folder);
    let (_, width, ink) = made.iter().find(|(page, ..)| *page == 4).unwrap();
    let size = desk.sheet_size(ReaderPage(4)).unwrap();
    assert_eq!(size.width as usize, *width);
    for y in (0..size.height).step_by(7) {
        for x in 0..size.width {
            let at = (y as usize * width + x as usize) * 4;
            let sample = desk.under(ReaderPage(4), x, y).unwrap().unwrap();
            assert_eq!(sample.cmyk, ink[at..at + 4], "{x}, {y}");
        }
    }
    // A half of a spread, brought to pixels by itself: within two steps, at the fold too.
    let (_, width, ink) = made.iter().find(|(page, ..)| *page == 2).unwrap();
    let height = desk.sheet_size(LEFT).unwrap().height as usize;
    let rows = ink.len() / 4 / width;
    assert_eq!(rows, height);
    for y in (0..rows).step_by(11) {
        for x in 0..*width {
            let sample = desk.under(LEFT, x as u32, y as u32).unwrap().unwrap();
            let at = (y * width + x) * 4;
            let most = sample.cmyk.iter().zip(&ink[at..at + 4]);
            let most = most.map(|(one, other)| one.abs_diff(*other)).max();
            assert!(most <= Some(2), "{x}, {y}: {most:?}");
        }
    }
}

#[test]
fn sharpening_changes_the_press_file_and_never_line_art() {
    let drawing = testkit::grey_png(
        700,
        1000,
        |x, y| if x % 60 < 3 || y % 60 < 3 { 0 } else { 255 },
    );
    let folder = Folder::new()
        .with(
            "book.toml",
            BookText::new("50.8x76.2mm")
                .section("[press]\nresolution = \"300ppi\"")
                .shows("lines", "full page", "lines.png")
                .shows("sea", "full page", "sea.png")
                .text(),
        )
        .with("art/lines.png", drawing)
        .with("art/sea.png", roofs(800, 1100));
    let desk = shelf::open(&folder);
    set(&desk, "paper.sharpening", "none");
    press(&desk);
    let before = interior(&folder);
    set(&desk, "paper.sharpening", "strong");
    press(&desk);
    let after = interior(&folder);
    assert!(before[0].2 == after[0].2);
    assert!(before[1].2 != after[1].2);
}

#[test]
fn views_differ_and_plain_is_print_without_sharpening() {
    let folder = shelf::folder();
    folder.put("art/wide.png", roofs(900, 675));
    let desk = shelf::open(&folder);
    set(&desk, "paper.sharpening", "strong");
    let tile = |view| pixels(&desk.tile(LEFT, view, 0, 0, 0).unwrap().1).2;
    let shown: Vec<Vec<u8>> = View::ALL.into_iter().map(tile).collect();
    for (index, one) in shown.iter().enumerate() {
        for other in &shown[index + 1..] {
            assert!(one != other);
        }
    }
    set(&desk, "paper.sharpening", "none");
    let tile = |view| desk.tile(LEFT, view, 0, 0, 0).unwrap().1;
    assert!(tile(View::Plain) == tile(View::Print));
    for view in View::ALL {
        assert_eq!(View::of(view.word()), Some(view));
    }
    assert_eq!(View::of("else"), None);
}

#[test]
fn maps_have_legends_and_show_no_colour_that_is_not_in_them() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    for view in [View::Reach, View::Ink, View::Shadows] {
        let legend = desk.legend(view).unwrap();
        assert!(legend.len() >= 4, "{view:?}");
    }
    assert!(desk.legend(View::Print).unwrap().is_empty());
    let legend = desk.legend(View::Ink).unwrap();
    let (_, _, rgb) = pixels(&desk.tile(LEFT, View::Ink, 0, 0, 0).unwrap().1);
    let known = |rgb: &[u8]| {
        legend.iter().any(|step| {
            let off = step
                .rgb
                .iter()
                .zip(rgb)
                .map(|(one, other)| one.abs_diff(*other));
            off.max() <= Some(6)
        })
    };
    let stray = rgb.chunks_exact(3).filter(|rgb| !known(rgb)).count();
    // JPEG blurs the borders between steps.
    assert!((stray as f64) < 0.1 * (rgb.len() / 3) as f64, "{stray}");
}

#[test]
fn the_number_under_the_pointer_tells_art_and_print() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let sample = desk.under(LEFT, 100, 100).unwrap().unwrap();
    // sRGB to CIE L*a*b* D50 by the reference library, to the rounding of bytes.
    let share = sample.rgb.map(|value| f32::from(value) / 255.0);
    let lab = desk::colour::Profile::srgb().lab_of(&[share]).unwrap()[0];
    assert!((lab.l - sample.art.l).abs() < 0.3 && (lab.a - sample.art.a).abs() < 0.5);
    let off = desk::colour::delta_e_2000(sample.art, sample.print);
    assert!((off - sample.delta_e).abs() < 1e-9);
    let ink: f64 = sample.cmyk.iter().map(|&ink| f64::from(ink) / 2.55).sum();
    assert!((ink - sample.ink_percent).abs() < 1e-9);
    assert!(desk.under(SheetName::COVER, 0, 0).unwrap().is_some());
}

#[test]
fn a_trial_shows_what_the_recipe_would_print() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let strong = Compensation::built_in("strong").unwrap();
    let trial = |figures: &Compensation, piece: Option<&str>| {
        pixels(&desk.trial(LEFT, figures, piece, View::Print, 400).unwrap())
    };
    let (width, height, none) = trial(&Compensation::NONE, None);
    let size = desk.sheet_size(LEFT).unwrap();
    assert!((396..=400).contains(&height));
    assert!(
        (f64::from(width) / f64::from(height) - f64::from(size.width) / f64::from(size.height))
            .abs()
            < 0.01
    );
    let (_, _, tried) = trial(&strong, None);
    assert!(off(&none, &tried) > 2.0);
    // On another piece, or on pieces without an exception only.
    assert!(trial(&strong, Some("tall.png")).2 == none);
    assert!(trial(&strong, Some("wide.png")).2 == tried);
    set(&desk, "piece.wide.png.recipe", "none");
    assert!(trial(&strong, None).2 == none);
    set(&desk, "piece.wide.png.recipe", "strong");
    assert_eq!(desk.compensation(Some("wide.png")).unwrap(), strong);
    assert_eq!(desk.compensation(None).unwrap(), Compensation::NONE);
    let (_, _, accepted) = trial(&Compensation::NONE, None);
    assert!(accepted == tried);
    // And the page in print, small, is what was tried.
    let (_, _, page) = pixels(&desk.page_picture(LEFT, View::Print, 300).unwrap());
    let mean = |rgb: &[u8]| rgb.iter().map(|&v| f64::from(v)).sum::<f64>() / rgb.len() as f64;
    assert!((mean(&page) - mean(&accepted)).abs() < 2.0);
    assert!(desk.trial(LEFT, &strong, None, View::Ink, 400).is_err());
    desk.trial(SheetName::COVER, &strong, None, View::Adapted, 400)
        .unwrap();
}

#[test]
fn page_pictures_and_the_contact_sheet_show_every_page_and_are_kept() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let (width, height, _) = pixels(&desk.page_picture(LEFT, View::Print, 120).unwrap());
    assert_eq!((width, height), (80, 120));
    for view in View::ALL {
        desk.page_picture(SheetName::COVER, view, 100).unwrap();
    }
    let sheet = desk.contact_sheet(View::Print, 900, &Quiet).unwrap();
    let (width, _, rgb) = pixels(&sheet);
    assert_eq!(width, 900);
    let table = rgb
        .chunks_exact(3)
        .filter(|rgb| rgb.iter().all(|v| v.abs_diff(214) < 4))
        .count();
    assert!(table > 0 && table < rgb.len() / 6);
    assert!(desk.contact_sheet(View::Print, 900, &Quiet).unwrap() == sheet);
    set(&desk, "paper.recipe", "strong");
    assert!(desk.contact_sheet(View::Print, 900, &Quiet).unwrap() != sheet);
    let stop = shelf::StopAfter::new(1);
    assert!(desk.contact_sheet(View::Screen, 900, &stop).is_err());
}

#[test]
fn of_art_that_came_as_cmyk_no_loss_is_claimed() {
    let folder = shelf::folder();
    let mut maps = demo::book().pieces.into_iter();
    let map = maps.find(|piece| piece.name == "map-of-the-line.tif");
    let (name, bytes) = map.unwrap().encode_small(200);
    folder.put(&format!("art/{name}"), bytes);
    let desk = shelf::open(&folder);
    let losses = desk.losses(&Quiet).unwrap();
    let known = desk.losses_known().unwrap().unwrap();
    assert_eq!(losses.len(), 4);
    for loss in losses.iter().chain(&known) {
        assert_eq!(loss.separated_already, loss.piece == name, "{loss:?}");
        let said = loss.sentence.contains("It came separated already, as CMYK");
        assert_eq!(said, loss.separated_already, "{loss:?}");
    }
}

#[test]
fn losses_are_said_for_every_piece_and_remembered() {
    let folder = shelf::folder();
    folder.put("art/tall.png", testkit::png(480, 700, |_, _| [0, 255, 60]));
    let desk = shelf::open(&folder);
    assert!(desk.losses_known().unwrap().is_none());
    let losses = desk.losses(&Quiet).unwrap();
    assert_eq!(losses.len(), 3);
    assert_eq!(losses[0].piece, "wide.png");
    let green = losses.iter().find(|loss| loss.piece == "tall.png").unwrap();
    assert!(green.out_of_reach > 0.9, "{green:?}");
    assert!(
        green
            .sentence
            .starts_with("Nearly all of it, mostly greens, is beyond this press"),
        "{}",
        green.sentence
    );
    let known = desk.losses_known().unwrap().unwrap();
    for (known, loss) in known.iter().zip(&losses) {
        assert_eq!(known.sentence, loss.sentence);
        // As remembered in decimal digits.
        assert!((known.mean_lost - loss.mean_lost).abs() < 1e-9);
    }
    set(&desk, "piece.tall.png.inks", "black");
    assert!(desk.losses_known().unwrap().is_none());
}

#[test]
fn a_broken_lesson_is_refused_with_its_place() {
    let folder = shelf::folder();
    let text = shelf::text()
        .section("[paper.learned]\nfrom = \"proof 1\"\ntone = \"0 0, 50 90, 100 100\"")
        .text();
    folder.put("book.toml", text);
    let error = shelf::open(&folder).press(&Quiet).unwrap_err();
    assert!(error.to_string().contains("paper.learned"), "{error}");
}
