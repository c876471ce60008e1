//! Asking printers, what they answer, and what of it a change of the book makes stale.

use std::collections::BTreeSet;

use desk::{
    AnswerGiven, AnswerRead, AnswerView, Desk, Edit, Fields, GivenFile, InvoiceGiven, InvoiceTaken,
    NoteKind, StageState,
};
use testkit::Folder;

use crate::shelf;

const ASKING: &str = "
[ask]
copies = 800
answer_by = \"2026-12-11\"

[[printer]]
key = \"quay\"
name = \"Ellery Quay Printworks\"

[[printer]]
key = \"delta\"
";

fn folder() -> Folder {
    let text = format!("{}\n{ASKING}", shelf::text().text());
    shelf::folder().with("book.toml", text)
}

fn day(text: &str) -> jiff::civil::Date {
    text.parse().unwrap()
}

fn set(desk: &Desk, key: &str, value: &str) -> Vec<String> {
    let edit = Edit::Set {
        key: key.to_owned(),
        value: value.to_owned(),
    };
    desk.edit(&edit).unwrap().stale
}

fn kept(read: AnswerRead) -> AnswerView {
    match read {
        AnswerRead::Kept(view) => *view,
        AnswerRead::Doubtful(doubts) => panic!("doubtful: {doubts:?}"),
    }
}

fn doubts(read: AnswerRead) -> Vec<String> {
    match read {
        AnswerRead::Kept(view) => panic!("kept as answer {}", view.number),
        AnswerRead::Doubtful(doubts) => doubts.into_iter().map(|one| one.doubt.why).collect(),
    }
}

fn typed<'g>(fields: Fields<'g>) -> AnswerGiven<'g> {
    AnswerGiven {
        fields,
        received: Some(day("2026-12-10")),
        ..AnswerGiven::default()
    }
}

const PLAIN: Fields<'static> = &[
    ("printer", "quay"),
    ("currency", "EUR"),
    ("each 800", "9.85"),
    ("valid", "2099-01-01"),
];

fn files_of(folder: &Folder) -> BTreeSet<String> {
    fn walk(at: &std::path::Path, root: &std::path::Path, found: &mut BTreeSet<String>) {
        for entry in std::fs::read_dir(at).unwrap().flatten() {
            let path = entry.path();
            if path.is_dir() {
                walk(&path, root, found);
            } else {
                let name = path.strip_prefix(root).unwrap().to_string_lossy();
                found.insert(name.replace('\\', "/"));
            }
        }
    }
    let mut found = BTreeSet::new();
    walk(folder.path(), folder.path(), &mut found);
    found
}

#[test]
fn asking_writes_letters_and_nothing_else_and_no_picture_is_in_them() {
    let folder = folder();
    let desk = shelf::open(&folder);
    desk.printers().unwrap();
    let before = files_of(&folder);
    let requests = desk.ask(None, Some(day("2026-11-25"))).unwrap();
    assert_eq!(requests.len(), 2);
    let new: Vec<String> = files_of(&folder)
        .difference(&before)
        .filter(|name| !name.starts_with(".foredge/"))
        .cloned()
        .collect();
    let mut written: Vec<String> = requests.iter().flat_map(|one| one.files.clone()).collect();
    written.sort();
    assert_eq!(new, written);
    for file in &written {
        let bytes = std::fs::read(folder.path().join(file)).unwrap();
        let holds = |part: &[u8]| bytes.windows(part.len()).any(|window| window == part);
        assert!(!holds(b"/Image"), "{file} holds a picture");
        for art in ["art/wide.png", "art/tall.png", "art/small.png"] {
            let art = std::fs::read(folder.path().join(art)).unwrap();
            assert!(!holds(&art[64..128]), "{file} holds art");
        }
    }
    let letter = desk.request_file("R0001-quay.pdf").unwrap();
    assert!(letter.starts_with(b"%PDF"));
    assert!(desk.request_file("../book.toml").is_err());
}

#[test]
fn a_request_is_never_written_over() {
    let folder = folder().with("asking/R0001-quay.txt", "a letter of my own");
    let desk = shelf::open(&folder);
    let first = desk.ask(Some("quay"), None).unwrap();
    assert_eq!(first[0].number, 2);
    let again = desk.ask(Some("quay"), None).unwrap();
    assert_eq!(again[0].number, 3);
    let own = std::fs::read_to_string(folder.path().join("asking/R0001-quay.txt")).unwrap();
    assert_eq!(own, "a letter of my own");
    assert_eq!(desk.requests().unwrap().len(), 2);
}

#[test]
fn where_nothing_can_be_written_nothing_is_remembered() {
    let folder = folder().with("asking", "a file in the place of the folder");
    let desk = shelf::open(&folder);
    assert!(desk.ask(None, None).is_err());
    assert_eq!(desk.requests().unwrap(), []);
}

#[test]
fn a_change_of_the_thing_makes_prices_stale_and_undo_makes_them_good() {
    let folder = folder();
    let desk = shelf::open(&folder);
    desk.ask(None, None).unwrap();
    let answer = kept(desk.read_answer(typed(PLAIN)).unwrap());
    assert_eq!(answer.request, Some(1));
    assert!(answer.holds());

    assert_eq!(set(&desk, "ask.overs", "5%"), Vec::<String>::new());
    assert!(desk.answers().unwrap()[0].holds());

    let stale = set(&desk, "stock.text.grammage", "170 g/m2");
    let change = "The text paper changed from 150 to 170 g/m²";
    assert_eq!(
        stale,
        [format!("the prices of Ellery Quay Printworks ({change})")]
    );
    let now = &desk.answers().unwrap()[0];
    assert_eq!(now.stale, [change]);
    assert_eq!(now.terms.len(), 1);
    let stages = desk.status().unwrap().stages;
    let stage = stages.iter().find(|stage| stage.name == "prices").unwrap();
    assert_eq!(stage.state, StageState::Stale);
    assert_eq!(
        stage.because,
        format!("{change}; the answer of Ellery Quay Printworks is for the book before that.")
    );

    desk.undo().unwrap();
    assert!(desk.answers().unwrap()[0].holds());
    let other = desk.ask(Some("delta"), None).unwrap();
    assert_eq!(other[0].stale, Vec::<String>::new());
}

#[test]
fn an_answer_is_for_the_request_that_it_names_and_not_for_the_newest() {
    let folder = folder();
    let desk = shelf::open(&folder);
    let old = desk.ask(Some("quay"), None).unwrap();
    set(&desk, "stock.text.grammage", "170 g/m2");
    let new = desk.ask(Some("quay"), None).unwrap();
    let mut fields = PLAIN.to_vec();
    fields.push(("digest", &old[0].digest));
    let by_digest = kept(desk.read_answer(typed(&fields)).unwrap());
    assert_eq!(by_digest.request, Some(1));
    assert_eq!(by_digest.stale.len(), 1);
    // A number that does not fit the digest is doubtful; the digest counts.
    fields.push(("request", "2"));
    assert_eq!(doubts(desk.read_answer(typed(&fields)).unwrap()).len(), 1);
    fields.pop();
    fields.pop();
    fields.push(("request", &new[0].reference));
    let by_number = kept(desk.read_answer(typed(&fields)).unwrap());
    assert_eq!((by_number.request, by_number.stale.len()), (Some(2), 0));
}

#[test]
fn the_answer_to_another_book_is_kept_only_if_a_person_agrees() {
    let folder = folder();
    let desk = shelf::open(&folder);
    desk.ask(None, None).unwrap();
    let mut fields = PLAIN.to_vec();
    fields.extend([("request", "7"), ("digest", "0123456789ab")]);
    let why = doubts(desk.read_answer(typed(&fields)).unwrap());
    assert!(why[0].contains("another book"), "{why:?}");
    assert_eq!(desk.answers().unwrap(), []);
    let given = AnswerGiven {
        agree: true,
        ..typed(&fields)
    };
    let view = kept(desk.read_answer(given).unwrap());
    assert_eq!((view.request, view.agreed.len()), (None, 1));
    assert!(view.stale.is_empty());
    // It was taken for the book of that day, and grows stale like the others.
    set(&desk, "stock.text.grammage", "170 g/m2");
    assert_eq!(desk.answers().unwrap()[0].stale.len(), 1);
}

#[test]
fn answers_know_whether_they_are_late_or_have_lapsed() {
    let folder = folder();
    let desk = shelf::open(&folder);
    desk.ask(None, None).unwrap();
    let fields = [
        ("printer", "quay"),
        ("currency", "EUR"),
        ("each 800", "9"),
        ("valid", "2020-01-31"),
    ];
    let given = AnswerGiven {
        received: Some(day("2026-12-14")),
        ..typed(&fields)
    };
    let view = kept(desk.read_answer(given).unwrap());
    assert_eq!(view.late_days, Some(3));
    assert!(view.lapsed_days.unwrap() > 2000);
    assert!(view.stands() && !view.holds());
    let remarks = view.remarks().join(" ");
    assert!(remarks.contains("3 days late") && remarks.contains("lapsed on 31 January 2020"));
}

#[test]
fn the_original_is_kept_whole_and_a_change_of_it_is_noticed() {
    let folder = folder();
    let desk = shelf::open(&folder);
    let file = GivenFile {
        name: "C:\\mail\\offer.pdf",
        bytes: b"%PDF-1.4 an offer",
    };
    let given = AnswerGiven {
        file: Some(file),
        ..typed(PLAIN)
    };
    let view = kept(desk.read_answer(given).unwrap());
    let original = view.file.unwrap();
    assert_eq!(original.name, "offer.pdf");
    assert!(original.path.starts_with(".foredge/kept/"));
    assert_eq!(desk.kept_file(&original).unwrap(), file.bytes);
    std::fs::write(folder.path().join(&original.path), "another").unwrap();
    assert!(desk.kept_file(&original).is_err());
}

#[test]
fn a_corrected_answer_takes_the_place_of_the_first_and_both_stay() {
    let folder = folder();
    let desk = shelf::open(&folder);
    let first = kept(desk.read_answer(typed(PLAIN)).unwrap());
    let given = AnswerGiven {
        replaces: Some(first.number),
        ..typed(PLAIN)
    };
    let second = kept(desk.read_answer(given).unwrap());
    let all = desk.answers().unwrap();
    assert_eq!(all.len(), 2);
    assert_eq!(all[0].replaced_by, Some(second.number));
    assert!(!all[0].stands() && all[1].stands());
    // Laying the correction aside brings the first one back.
    desk.lay_answer_aside(second.number, true).unwrap();
    let all = desk.answers().unwrap();
    assert!(all[0].stands() && !all[1].stands());
    let given = AnswerGiven {
        replaces: Some(9),
        ..typed(PLAIN)
    };
    assert!(desk.read_answer(given).is_err());
    assert!(desk.lay_answer_aside(9, true).is_err());
}

#[test]
fn what_is_noted_of_a_printer_outlives_its_place_in_the_book() {
    let folder = folder();
    let desk = shelf::open(&folder);
    let on = Some(day("2026-11-02"));
    desk.note_printer("delta", NoteKind::SampleAsked, "", on, None)
        .unwrap();
    assert!(
        desk.note_printer("nobody", NoteKind::Said, "yes", None, None)
            .is_err()
    );
    assert!(
        desk.note_printer("delta", NoteKind::File, "", None, None)
            .is_err()
    );
    desk.edit(&Edit::remove_entry("printer", "delta").unwrap())
        .unwrap();
    let all = desk.printers().unwrap();
    let delta = all.iter().find(|view| view.key == "delta").unwrap();
    assert!(delta.printer.is_none());
    assert_eq!(delta.last(NoteKind::SampleAsked), on);
}

#[test]
fn a_book_without_a_wish_or_a_printer_is_told_so() {
    let folder = shelf::folder();
    let desk = shelf::open(&folder);
    assert!(
        desk.ask(None, None)
            .unwrap_err()
            .problem
            .contains("no printer")
    );
    desk.edit(&Edit::set_entry("printer", "quay", &[("country", "XA")]))
        .unwrap();
    let error = desk.ask(None, None).unwrap_err();
    assert!(error.hint.contains("copies"), "{error}");
    assert!(!folder.path().join("asking").exists());
}

#[test]
fn answers_stand_on_one_footing_and_only_those_that_hold_are_the_cheapest() {
    let folder = folder();
    let desk = shelf::open(&folder);
    desk.ask(None, None).unwrap();
    let cheap = [
        ("printer", "delta"),
        ("currency", "EUR"),
        ("each 800", "5"),
        ("term", "DAP"),
        ("valid", "2099-01-01"),
    ];
    kept(desk.read_answer(typed(&cheap)).unwrap());
    set(&desk, "stock.text.grammage", "170 g/m2");
    desk.ask(Some("quay"), None).unwrap();
    let mut dear = PLAIN.to_vec();
    dear.push(("term", "DAP"));
    let second = kept(desk.read_answer(typed(&dear)).unwrap());
    assert_eq!((second.request, second.stale.len()), (Some(3), 0));

    let view = desk.comparison(&[800]).unwrap();
    assert_eq!(view.answers.len(), 2);
    assert!(
        view.comparison
            .columns
            .iter()
            .all(|column| column.landed[0].is_ok())
    );
    assert!(view.among_holding);
    assert_eq!(view.comparison.ranges.len(), 1);
    assert_eq!(
        view.answers[view.comparison.ranges[0].answer]
            .answer
            .printer,
        "quay"
    );
    let run = desk.run_cost(800).unwrap().unwrap();
    assert!(run.holds && run.answer == second.number);

    // Where none holds, the cheapest of all is named, and that it does not hold.
    desk.lay_answer_aside(second.number, true).unwrap();
    let view = desk.comparison(&[]).unwrap();
    assert!(!view.among_holding);
    assert_eq!(view.comparison.copies, [550, 800, 1050]);
    assert!(!desk.run_cost(800).unwrap().unwrap().holds);
    assert!(
        shelf::open(&shelf::folder())
            .run_cost(800)
            .unwrap()
            .is_none()
    );
}

#[test]
fn an_invoice_is_kept_beside_the_answer_that_was_ordered_by() {
    let folder = folder();
    let desk = shelf::open(&folder);
    desk.ask(None, None).unwrap();
    let answer = kept(desk.read_answer(typed(PLAIN)).unwrap());
    let fields = [
        ("currency", "EUR"),
        ("delivered", "850"),
        ("print", "8372.50"),
    ];
    let given = InvoiceGiven {
        answer: answer.number,
        ordered: 800,
        fields: &fields,
        file: Some(GivenFile {
            name: "bill.pdf",
            bytes: b"%PDF-1.4 a bill",
        }),
        received: Some(day("2027-02-01")),
        agree: false,
    };
    let InvoiceTaken::Kept(view) = desk.hold_invoice(given).unwrap() else {
        panic!("nothing in it is doubtful");
    };
    let read = view.read.as_ref().unwrap();
    assert!(
        read.findings
            .iter()
            .any(|one| one.code == "invoice-overs-beyond")
    );
    assert!(desk.kept_file(view.file.as_ref().unwrap()).is_ok());

    let doubtful = [
        ("print", "about 90"),
        ("currency", "EUR"),
        ("delivered", "9"),
        ("tax", "1"),
    ];
    let given = InvoiceGiven {
        fields: &doubtful,
        file: None,
        ..given
    };
    assert!(matches!(
        desk.hold_invoice(given).unwrap(),
        InvoiceTaken::Doubtful(_)
    ));
    assert!(
        desk.hold_invoice(InvoiceGiven { answer: 9, ..given })
            .is_err()
    );
    assert_eq!(desk.invoices().unwrap().len(), 1);
    let aside = desk.lay_invoice_aside(view.number, true).unwrap();
    assert!(aside.aside.is_some());
    assert!(
        desk.lay_invoice_aside(view.number, false)
            .unwrap()
            .aside
            .is_none()
    );
}

/// The request to one printer.
fn asked(desk: &Desk) -> desk::RequestView {
    let requests = desk.ask(Some("quay"), Some(day("2026-11-25")));
    requests.unwrap().remove(0)
}

/// The sheet of a request, filled in and saved as text.
fn table(request: &desk::RequestView, each: &str) -> String {
    format!(
        "Reference;{}\nSpecification;{}\nCurrency of all prices;EUR\nNumber of copies;550;800\n\
         Price of all copies, printed, bound and packed;6.820,00;\n\
         or, if you rather say so: price of one copy;;{each}\n\
         Freight to all places of delivery;included;included\n",
        request.reference, request.digest
    )
}

fn sheet<'g>(bytes: &'g str, fields: Fields<'g>) -> AnswerGiven<'g> {
    AnswerGiven {
        file: Some(GivenFile {
            name: "prices.csv",
            bytes: bytes.as_bytes(),
        }),
        ..typed(fields)
    }
}

#[test]
fn a_filled_sheet_is_known_for_its_request_and_kept_with_its_original() {
    let folder = folder();
    let desk = shelf::open(&folder);
    let request = asked(&desk);
    assert_eq!(request.files.len(), 3);
    let written = desk.request_file("R0001-quay.xlsx").unwrap();
    assert_eq!(
        desk::price::sheet::read("a.xlsx", &written)
            .unwrap()
            .draft
            .digest,
        Some(request.digest.clone())
    );
    let bytes = table(&request, "9,85");
    let view = kept(desk.read_answer(sheet(&bytes, &[])).unwrap());
    assert_eq!(view.request, Some(1));
    assert_eq!(view.answer.printer, "quay");
    assert_eq!(view.answer.prices[1].total().unwrap().minor(), 788_000);
    assert_eq!(
        desk.kept_file(&view.file.unwrap()).unwrap(),
        bytes.as_bytes()
    );
}

#[test]
fn a_doubtful_sheet_names_its_cell_and_keeps_nothing_until_it_is_settled() {
    let folder = folder();
    let desk = shelf::open(&folder);
    let request = asked(&desk);
    let bytes = table(&request, "approx. 9");
    let before = files_of(&folder);
    let AnswerRead::Doubtful(doubts) = desk.read_answer(sheet(&bytes, &[])).unwrap() else {
        panic!("kept what is doubtful");
    };
    assert_eq!(doubts.len(), 1);
    assert_eq!(doubts[0].doubt.cell, "cell C6");
    assert_eq!(doubts[0].doubt.taken.as_deref(), Some("9"));
    assert_eq!(files_of(&folder), before);
    assert!(desk.answers().unwrap().is_empty());
    let typed_beside = kept(
        desk.read_answer(sheet(&bytes, &[("each 800", "9.20")]))
            .unwrap(),
    );
    assert_eq!(typed_beside.agreed, []);
    assert_eq!(
        typed_beside.answer.prices[1].total().unwrap().minor(),
        736_000
    );
    let agreed = AnswerGiven {
        agree: true,
        ..sheet(&bytes, &[])
    };
    let agreed = kept(desk.read_answer(agreed).unwrap());
    assert_eq!(agreed.agreed[0].cell, "cell C6");
    assert_eq!(agreed.answer.prices[1].total().unwrap().minor(), 720_000);
}

#[test]
fn a_doubtful_cell_is_left_out_and_the_rest_is_taken() {
    let folder = folder();
    let desk = shelf::open(&folder);
    let request = asked(&desk);
    let bytes = table(&request, "approx. 9");
    // What is not doubtful is never left out, and a slip in a name takes nothing over.
    let slip = AnswerGiven {
        without: &["each 800", "total 550"],
        agree: true,
        ..sheet(&bytes, &[])
    };
    let refused = desk.read_answer(slip).unwrap_err().to_string();
    assert!(refused.contains("no doubt about `total 550`"), "{refused}");
    // Leaving out is agreed to like anything else.
    let mut rest = AnswerGiven {
        without: &["each 800"],
        ..sheet(&bytes, &[])
    };
    let AnswerRead::Doubtful(doubts) = desk.read_answer(rest).unwrap() else {
        panic!("kept before a person agreed");
    };
    assert_eq!((doubts.len(), doubts[0].field.as_str()), (1, "each 800"));
    assert_eq!(doubts[0].doubt.taken, None);
    rest.agree = true;
    let view = kept(desk.read_answer(rest).unwrap());
    let copies: Vec<u64> = view.answer.prices.iter().map(|one| one.copies).collect();
    assert_eq!(copies, [550]);
    assert_eq!(
        (view.agreed[0].cell.as_str(), &view.agreed[0].taken),
        ("cell C6", &None)
    );
    assert_eq!(
        desk.kept_file(&view.file.unwrap()).unwrap(),
        bytes.as_bytes()
    );
}

#[test]
fn a_sheet_for_another_book_or_an_older_one_is_told_by_its_cell() {
    let folder = folder();
    let desk = shelf::open(&folder);
    let request = asked(&desk);
    let bytes = table(&request, "9,85");
    let strange = bytes
        .replace(&request.reference, "R8-quay-000000")
        .replace(&request.digest, "000000000000");
    let AnswerRead::Doubtful(doubts) = desk.read_answer(sheet(&strange, &[])).unwrap() else {
        panic!("kept an answer to another book");
    };
    assert_eq!(doubts[0].doubt.cell, "cell B1");
    assert!(doubts[0].doubt.why.contains("another book"));
    set(&desk, "stock.text.grammage", "170 g/m2");
    let AnswerRead::Doubtful(doubts) = desk.read_answer(sheet(&bytes, &[])).unwrap() else {
        panic!("kept an answer to an older book");
    };
    assert_eq!(doubts[0].doubt.cell, "cell B2");
    assert!(
        doubts[0].doubt.why.contains("older specification"),
        "{:?}",
        doubts
    );
    let agreed = AnswerGiven {
        agree: true,
        ..sheet(&bytes, &[])
    };
    assert!(!kept(desk.read_answer(agreed).unwrap()).stale.is_empty());
}

#[test]
fn a_sheet_without_a_mark_and_prices_upside_down_wait_for_a_word() {
    let folder = folder();
    let desk = shelf::open(&folder);
    let request = asked(&desk);
    let whys = |given: AnswerGiven<'_>| match desk.read_answer(given).unwrap() {
        AnswerRead::Doubtful(doubts) => doubts.into_iter().map(|one| one.doubt.why).collect(),
        AnswerRead::Kept(_) => Vec::new(),
    };
    let marked = table(&request, "9,85");
    let bare: String = marked
        .lines()
        .skip(2)
        .map(|line| format!("{line}\n"))
        .collect();
    let found = whys(sheet(&bare, &[("printer", "quay")]));
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].contains("which request"), "{found:?}");
    // 550 for 6,820.00, and 800 of them for 4,000.00.
    let found = whys(sheet(&table(&request, "5,00"), &[]));
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].contains("more copies cost less"), "{found:?}");
    let found = whys(sheet(&table(&request, "13,00"), &[]));
    assert!(
        found[0].contains("each of more copies costs more"),
        "{found:?}"
    );
    assert!(desk.answers().unwrap().is_empty());
}
