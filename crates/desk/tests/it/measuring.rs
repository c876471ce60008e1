//! Books on the shelf, dummies and templates: kept, taken in as one change, and taken back.

use book::measured::template::Believe;
use book::object::FlatKind;
use desk::{Desk, TemplateFile, book};
use testkit::{BookText, Folder};

use crate::shelf::{self, Quiet};

fn text(desk: &Desk) -> String {
    std::fs::read_to_string(desk.root().join("book.toml")).unwrap()
}

const SHELF: [(&str, &str); 8] = [
    ("name", "Dunes"),
    ("kind", "glued soft"),
    ("width", "250"),
    ("height", "300 mm"),
    ("block", "12.96mm"),
    ("pages", "192"),
    ("mass", "1,126kg"),
    ("weighed cover", "46 g"),
];

/// A dummy of so many pages, each leaf of 140 µm, measured finely.
const DUMMY: [(&str, &str); 3] = [("pages", "200"), ("block", "14mm"), ("gauge", "0.05mm")];

#[test]
fn a_book_on_the_shelf_gives_this_one_its_paper() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    let before = text(&desk);
    let view = desk.read_shelf(&SHELF).unwrap();
    assert_eq!((view.number, view.name.as_str()), (1, "Dunes"));
    let told = view.told.as_ref().unwrap();
    assert!((told.grammage_gsm.value - 150.0).abs() < 1e-6);
    // It is kept; nothing is changed until somebody takes it.
    assert_eq!(text(&desk), before);
    let again = shelf::open(&folder).shelves().unwrap();
    assert_eq!(again[0].measured, view.measured);
    desk.take_shelf(1, 0).unwrap();
    let book = &desk.snapshot().unwrap().book;
    assert_eq!(book.text_stock.grammage, told.nearest[0].grammage);
    let source = book.source_of("stock.text.grammage").unwrap();
    assert!(
        source.starts_with("the book \"Dunes\" on the shelf (shelf 1"),
        "{source}"
    );
    desk.undo().unwrap().unwrap();
    assert_eq!(text(&desk), before);
    assert!(desk.take_shelf(1, 99).is_err() && desk.take_shelf(2, 0).is_err());
}

#[test]
fn a_dummy_moves_spine_and_cover_and_says_what_is_stale() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    desk.press(&Quiet).unwrap();
    let before = desk.snapshot().unwrap().object.clone();
    let first = text(&desk);
    let view = desk.read_dummy(&DUMMY).unwrap();
    assert_eq!(text(&desk), first, "reading changes nothing");
    let read = view.read.as_ref().unwrap();
    assert_eq!(read.lessons[0].key, "stock.text.caliper");
    assert_eq!(view.then, read.compared);
    let edited = desk.accept_dummy(view.number).unwrap();
    assert!(
        edited.what.contains("dummy 1 (200 pages, block 14 mm"),
        "{}",
        edited.what
    );
    assert!(
        edited.stale.iter().any(|stale| stale.contains("cover")),
        "{:?}",
        edited.stale
    );
    let after = desk.snapshot().unwrap().object.clone();
    assert!((after.caliper.um() - 140.0).abs() < 1e-9);
    assert!(after.spine > before.spine);
    let cover = after.flat(FlatKind::SoftCover).unwrap();
    assert!(cover.trim.width > before.flat(FlatKind::SoftCover).unwrap().trim.width);
    let status = desk.status().unwrap();
    let stage = status
        .stages
        .iter()
        .find(|stage| stage.name == "cover")
        .unwrap();
    assert_eq!(stage.state, desk::StageState::Stale, "{stage:?}");
    // What was foretold then stays to be seen, though the book foretells it rightly now.
    let view = desk.dummies().unwrap().remove(0);
    assert!(view.accepted.is_some());
    assert!(view.read.as_ref().unwrap().lessons.is_empty());
    let leaf = |all: &[book::measured::dummy::Compared]| {
        all.iter()
            .find(|one| one.what == "One leaf")
            .unwrap()
            .predicted
    };
    assert!((leaf(&view.then) - before.caliper.um()).abs() < 1e-6);
    assert!((leaf(&view.read.unwrap().compared) - 140.0).abs() < 1e-6);
    let error = desk.accept_dummy(1).unwrap_err();
    assert!(error.problem.contains("nothing sure enough"), "{error}");
    desk.undo().unwrap().unwrap();
    assert_eq!(text(&desk), first);
}

fn case() -> Folder {
    let text = BookText::new("50.8x76.2mm")
        .bound("sewn case")
        .section("[press]\nresolution = \"150ppi\"")
        .page("title", "title", "")
        .shows("tall", "full page", "tall.png");
    Folder::new()
        .with("book.toml", text.text())
        .with("art/tall.png", shelf::moor(480, 700))
}

#[test]
fn a_template_takes_the_place_of_typical_figures() {
    let folder = case();
    let desk = shelf::open(&folder);
    let figures = desk.template_figures(FlatKind::CaseWrap).unwrap();
    assert!(
        figures
            .iter()
            .any(|(name, length)| *name == "turn-in" && length.mm() == 15.0)
    );
    let view = desk
        .read_template(
            FlatKind::CaseWrap,
            &[("hinge", "9mm"), ("turn-in", "18")],
            None,
        )
        .unwrap();
    let laid = view.laid.as_ref().unwrap();
    assert!(
        laid.differences
            .iter()
            .all(|one| one.believe == Believe::Theirs)
    );
    desk.accept_template(view.number).unwrap();
    let snapshot = desk.snapshot().unwrap();
    assert_eq!(snapshot.book.object.case.hinge.unwrap().mm(), 9.0);
    let source = snapshot.book.source_of("case.turn_in").unwrap();
    assert!(
        source.starts_with("the printer's template (template 1"),
        "{source}"
    );
    let again = desk.templates().unwrap().remove(0);
    assert!(again.accepted.is_some());
    let laid = again.laid.unwrap();
    assert!(
        laid.differences
            .iter()
            .all(|one| one.believe == Believe::Same)
    );
}

/// A PDF of pages of a hundred millimetres by a hundred, each with what is drawn on it.
fn pdf(pages: &[String]) -> Vec<u8> {
    let mut objects = vec![
        "<< /Type /Catalog /Pages 2 0 R >>".to_owned(),
        String::new(),
    ];
    let mut kids = String::new();
    for drawn in pages {
        let content = format!("2.8346457 0 0 2.8346457 0 0 cm 0.1 w {drawn}");
        objects.push(format!(
            "<< /Length {} >>\nstream\n{content}\nendstream",
            content.len()
        ));
        objects.push(format!(
            "<< /Type /Page /Parent 2 0 R /MediaBox [0 0 567 567] /Contents {} 0 R >>",
            objects.len()
        ));
        kids.push_str(&format!("{} 0 R ", objects.len()));
    }
    objects[1] = format!("<< /Type /Pages /Kids [{kids}] /Count {} >>", pages.len());
    let mut out = b"%PDF-1.6\n".to_vec();
    let mut places = Vec::new();
    for (index, object) in objects.iter().enumerate() {
        places.push(out.len());
        out.extend(format!("{} 0 obj\n{object}\nendobj\n", index + 1).bytes());
    }
    let start = out.len();
    out.extend(format!("xref\n0 {}\n0000000000 65535 f \n", places.len() + 1).bytes());
    for place in &places {
        out.extend(format!("{place:010} 00000 n \n").bytes());
    }
    let size = places.len() + 1;
    out.extend(
        format!("trailer << /Size {size} /Root 1 0 R >>\nstartxref\n{start}\n%%EOF\n").bytes(),
    );
    out
}

#[test]
fn the_page_of_a_template_that_fits_is_found_and_another_can_be_turned_to() {
    let folder = case();
    let desk = shelf::open(&folder);
    let figures = desk.template_figures(FlatKind::CaseWrap).unwrap();
    let ours = |name: &str| {
        let found = figures.iter().find(|(known, _)| *known == name).unwrap();
        found.1.mm()
    };
    // The case with another hinge, every edge and fold of it drawn; and one with a third hinge.
    let case = |hinge: f64| {
        let (turn_in, board, height) = (ours("turn-in"), ours("front"), ours("board height"));
        let steps = [turn_in, board, hinge, ours("spine"), hinge, board, turn_in];
        let mut x = 10.0;
        let mut drawn = format!("{x} 10 m {x} {} l S ", 10.0 + height + 2.0 * turn_in);
        for step in steps {
            x += step;
            drawn.push_str(&format!(
                "{x} 10 m {x} {} l S ",
                10.0 + height + 2.0 * turn_in
            ));
        }
        for y in [0.0, turn_in, turn_in + height, turn_in * 2.0 + height] {
            drawn.push_str(&format!("10 {} m {x} {} l S ", y + 10.0, y + 10.0));
        }
        drawn
    };
    let notes = "20 20 m 20 60 l S 20 60 m 90 60 l S".to_owned();
    let bytes = pdf(&[notes, case(12.0), case(9.0)]);
    let file = TemplateFile {
        name: "case.pdf",
        bytes: &bytes,
        page: None,
    };
    let hinge = |view: &desk::TemplateView| {
        let laid = view.laid.as_ref().unwrap();
        let one = laid
            .differences
            .iter()
            .find(|one| one.what == "front hinge");
        one.unwrap().theirs.mm()
    };
    let view = desk
        .read_template(FlatKind::CaseWrap, &[], Some(file))
        .unwrap();
    let page = view.page.clone().unwrap();
    assert_eq!((page.number, page.of), (3, 3));
    assert!(page.others.contains(&2), "{page:?}");
    assert!((hinge(&view) - 9.0).abs() < 0.01);
    let turned = desk.turn_template(view.number, 2).unwrap();
    assert_eq!(turned.page.clone().unwrap().number, 2);
    assert!(turned.page.clone().unwrap().others.contains(&3));
    assert!((hinge(&turned) - 12.0).abs() < 0.01);
    assert_eq!(desk.templates().unwrap().len(), 2, "the one before stays");
    // One figure alone is taken, with where it comes from.
    desk.accept_template_figure(view.number, "front hinge")
        .unwrap();
    let snapshot = desk.snapshot().unwrap();
    assert_eq!(snapshot.book.object.case.hinge.unwrap().mm(), 9.0);
    assert!(
        snapshot
            .book
            .source_of("case.hinge")
            .unwrap()
            .contains("case.pdf")
    );
    let error = desk
        .accept_template_figure(view.number, "width")
        .unwrap_err();
    assert!(error.problem.contains("no figure `width`"), "{error}");
    assert!(desk.turn_template(view.number, 7).is_err());
    assert!(desk.turn_template(99, 1).is_err());
    let said = TemplateFile {
        page: Some(2),
        ..file
    };
    let view = desk
        .read_template(FlatKind::CaseWrap, &[], Some(said))
        .unwrap();
    assert_eq!(view.page.unwrap().number, 2);
    for (page, says) in [(4, "3 pages"), (0, "none with the number 0")] {
        let none = TemplateFile {
            page: Some(page),
            ..file
        };
        let error = desk
            .read_template(FlatKind::CaseWrap, &[], Some(none))
            .unwrap_err();
        assert!(error.problem.contains(says), "{error}");
    }
}

#[test]
fn a_template_that_says_nothing_gives_one_clear_error_and_is_not_kept() {
    let folder = case();
    let desk = shelf::open(&folder);
    let file = TemplateFile {
        name: "case.pdf",
        bytes: b"no pdf at all",
        page: Some(1),
    };
    let error = desk
        .read_template(FlatKind::CaseWrap, &[], Some(file))
        .unwrap_err();
    assert_eq!(
        error.to_string(),
        "case.pdf: this is no PDF that can be read"
    );
    let error = desk
        .read_template(FlatKind::Jacket, &[("flap", "80mm")], None)
        .unwrap_err();
    assert_eq!(error.to_string(), "the template: this book has no jacket");
    let missing = folder.path().join("nowhere.pdf");
    assert!(
        desk.read_template_file(FlatKind::CaseWrap, &missing, None)
            .is_err()
    );
    assert!(desk.read_shelf(&[("kind", "sewn case")]).is_err());
    assert!(desk.read_dummy(&[]).is_err());
    assert!(desk.templates().unwrap().is_empty());
    assert!(desk.shelves().unwrap().is_empty() && desk.dummies().unwrap().is_empty());
}
