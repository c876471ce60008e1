//! How many to print: what a quantity moves, plans, sales, and what is told where something is missing.

use desk::{AnswerGiven, Desk, Edit, StageState};
use testkit::Folder;

use crate::shelf;

const EDITION: &str = r#"
[ask]
copies = 400

[[printer]]
key = "quay"
name = "Ellery Quay Printworks"

[edition]
price = "EUR 40"
storage = "EUR 20"

[[audience]]
place = "letter"
people = 20000
low = "0.4%"
likely = "1.5%"
high = "4%"

[[channel]]
name = "own shop"
kind = "own shop"
"#;

fn folder(edition: &str) -> Folder {
    shelf::folder().with("book.toml", format!("{}\n{edition}", shelf::text().text()))
}

/// A book with an answer: 2,000 fixed and 6 each, as three totals say.
fn priced() -> (Folder, Desk) {
    let folder = folder(EDITION);
    let desk = shelf::open(&folder);
    let fields = [
        ("printer", "quay"),
        ("currency", "EUR"),
        ("total 200", "3200"),
        ("total 400", "4400"),
        ("total 800", "6800"),
        ("freight", "200"),
        ("valid", "2099-01-01"),
    ];
    desk.read_answer(AnswerGiven {
        fields: &fields,
        agree: true,
        ..AnswerGiven::default()
    })
    .unwrap();
    (folder, desk)
}

#[test]
fn a_changed_quantity_moves_price_cash_cartons_and_room_at_once() {
    let (_folder, desk) = priced();
    let few = desk.quantity(Some(200)).unwrap();
    let many = desk.quantity(Some(800)).unwrap();
    let (few, many) = (&few.looked_at, &many.looked_at);
    assert_eq!((few.row.cost.copies, many.row.cost.copies), (200, 800));
    assert!(many.row.each < few.row.each);
    assert!(many.row.cash[1].unwrap().sum < few.row.cash[1].unwrap().sum);
    assert!(many.cartons > few.cartons && many.room > few.room);
    assert!(many.row.stock[1].copies.mean > few.row.stock[1].copies.mean);
    assert!(many.row.sold_out < few.row.sold_out);
    assert_eq!(few.printer(), "Ellery Quay Printworks");
    // Half with the order and half before dispatch, as long as nothing else is said.
    let paid: Vec<f64> = many.when.paid.iter().map(|paid| paid.share).collect();
    assert_eq!(paid.len(), 2);
    assert!((paid.iter().sum::<f64>() - 1.0).abs() < 1e-9);
}

#[test]
fn the_best_is_among_those_laid_side_by_side_and_the_rule_stands_beside_it() {
    let (_folder, desk) = priced();
    let view = desk.quantity(None).unwrap();
    let best = &view.sheet.rows[view.sheet.best];
    assert!(
        view.sheet
            .rows
            .iter()
            .all(|row| row.profit.mean <= best.profit.mean)
    );
    assert_eq!(view.best.row.cost.copies, best.cost.copies);
    assert_eq!(
        view.looked_at.row.cost.copies, 400,
        "the book asks for so many"
    );
    let rule = view.sheet.rule.unwrap();
    assert_eq!(view.sheet.rows[rule.row].cost.copies, 150);
    assert!(rule.regret > 0.0);
    assert!(
        view.ground
            .assumed
            .iter()
            .any(|taken| taken.contains("tax"))
    );
    // The same book gives the same figures.
    assert_eq!(desk.quantity(None).unwrap().sheet, view.sheet);
}

#[test]
fn where_it_stands_follows_price_wish_and_age_of_the_answer() {
    let line = |desk: &Desk| {
        let stages = desk.status().unwrap().stages;
        let found = stages.into_iter().find(|stage| stage.name == "quantity");
        found.unwrap()
    };
    let bare = shelf::folder();
    let told = line(&shelf::open(&bare));
    assert_eq!(told.state, StageState::Missing, "{}", told.because);

    let (_folder, desk) = priced();
    let view = desk.quantity(None).unwrap();
    let best = format!(
        "About {} copies are best",
        desk::figures::whole(view.best.row.cost.copies as f64)
    );
    let told = line(&desk);
    assert_eq!(told.state, StageState::Fresh, "{}", told.because);
    assert!(told.because.starts_with(&best), "{}", told.because);
    // Remembered, and reckoned anew when something moves.
    assert_eq!(line(&desk).because, told.because);
    let set = |key: &str, value: &str| {
        let (key, value) = (key.to_owned(), value.to_owned());
        desk.edit(&Edit::Set { key, value }).unwrap();
    };
    set("ask.copies", "30");
    assert!(line(&desk).because.ends_with("The book asks for 30."));
    set("edition.price", "EUR 90");
    assert_ne!(line(&desk).because, told.because);
    desk.undo().unwrap();
    desk.undo().unwrap();
    assert_eq!(line(&desk).because, told.because);
    set("format.trim", "200 x 240 mm");
    let older = line(&desk);
    assert_eq!(older.state, StageState::Stale, "{}", older.because);
}

#[test]
fn a_quantity_beyond_those_quoted_is_told_with_its_bounds() {
    let (_folder, desk) = priced();
    let edit = Edit::Set {
        key: "audience.letter.people".to_owned(),
        value: "400000".to_owned(),
    };
    desk.edit(&edit).unwrap();
    let view = desk.quantity(None).unwrap();
    let cost = view.best.cost.as_ref().unwrap();
    assert!(cost.beyond() && cost.quoted == (200, 800), "{cost:?}");
    let (low, high) = cost.range.unwrap();
    assert!(low.minor() <= cost.total.minor() && cost.total.minor() <= high.minor());
    let told = view.remarks.iter().any(|remark| {
        remark.contains("quoted 200 to 800 copies") && remark.contains(&low.to_string())
    });
    assert!(told, "{:?}", view.remarks);
}

#[test]
fn a_plan_is_kept_laid_beside_others_dropped_and_taken_back() {
    let (_folder, desk) = priced();
    desk.keep_plan("bold", 800).unwrap();
    desk.keep_plan("careful", 200).unwrap();
    let view = desk.quantity(None).unwrap();
    let copies: Vec<u64> = view
        .plans
        .iter()
        .map(|plan| plan.picture.as_ref().unwrap().row.cost.copies)
        .collect();
    assert_eq!(copies, [800, 200]);
    desk.drop_plan("bold").unwrap();
    assert_eq!(desk.quantity(None).unwrap().plans.len(), 1);
    desk.undo().unwrap();
    assert_eq!(desk.quantity(None).unwrap().plans.len(), 2);
    let wrong = desk.drop_plan("bald").unwrap_err();
    assert!(wrong.hint.contains("careful"), "{wrong}");
}

#[test]
fn what_was_sold_teaches_and_can_be_taken_back() {
    let (_folder, desk) = priced();
    let before = desk.quantity(None).unwrap();
    let told = desk
        .sold("letter", 900, desk::today(), true, "all gone")
        .unwrap();
    assert!(told.after.mean() > told.before.mean());
    let after = desk.quantity(None).unwrap();
    assert!(after.wanted.mean > before.wanted.mean);
    assert!(
        after.sheet.rows[after.sheet.best].cost.copies
            > before.sheet.rows[before.sheet.best].cost.copies
    );
    let back = desk.take_sale_back(told.number).unwrap();
    assert_eq!(back.after, told.before);
    assert_eq!(desk.quantity(None).unwrap().sheet, before.sheet);
    assert_eq!(desk.quantity(None).unwrap().sales.len(), 1, "the row stays");
    assert!(desk.take_sale_back(told.number).is_err());
    let wrong = desk.sold("leter", 1, desk::today(), false, "").unwrap_err();
    assert!(wrong.hint.contains("letter"), "{wrong}");
    let too_many = desk
        .sold("letter", 20_001, desk::today(), false, "")
        .unwrap_err();
    assert!(too_many.problem.contains("20000 people"), "{too_many}");
    let later = desk::today().tomorrow().unwrap();
    assert!(desk.sold("letter", 1, later, false, "").is_err());
}

#[test]
fn what_is_missing_is_told_with_what_it_would_take() {
    let nothing = folder("");
    let wrong = shelf::open(&nothing).quantity(None).unwrap_err();
    assert!(
        wrong.hint.contains("edition.price"),
        "{wrong} {}",
        wrong.hint
    );
    let unpriced = folder(EDITION);
    let wrong = shelf::open(&unpriced).quantity(None).unwrap_err();
    assert!(wrong.hint.contains("foredge ask"), "{wrong} {}", wrong.hint);
    let guessed = folder(&EDITION.replace(
        "storage =",
        "guess_fixed = \"EUR 2000\"\nguess_each = \"EUR 6\"\nstorage =",
    ));
    let view = shelf::open(&guessed).quantity(None).unwrap();
    assert!(view.rests_on.contains("guess"), "{}", view.rests_on);
    let dear = folder(&EDITION.replace("storage =", "guess_each = \"EUR 60\"\nstorage ="));
    let view = shelf::open(&dear).quantity(None).unwrap();
    assert!(
        view.remarks
            .iter()
            .any(|remark| remark.contains("no quantity earns")),
        "{:?}",
        view.remarks
    );
    let dollars = folder(
        &EDITION
            .replace("EUR 40", "USD 40")
            .replace("EUR 20", "USD 20")
            .replace("[edition]", "[edition]\nguess_each = \"USD 6\""),
    );
    assert!(shelf::open(&dollars).quantity(None).is_ok());
}
