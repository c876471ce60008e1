//! What a person reads, held against golden text.

use std::path::Path;

use testkit::golden;

use crate::terminal::{book, golden_file, in_boards, session_text, studio};

fn holds(name: &str, folder: &Path, commands: &[&[&str]]) {
    let texts: Vec<String> = commands
        .iter()
        .map(|arguments| session_text(folder, arguments))
        .collect();
    golden(&golden_file(name), &texts.join("\n"));
}

#[test]
fn a_new_book() {
    let folder = studio();
    holds(
        "new",
        folder.path(),
        &[
            &[
                "new",
                "tides",
                "--art",
                "studio",
                "--title",
                "Tides",
                "--trim",
                "100x120mm",
            ],
            &["--book", "tides", "status"],
        ],
    );
}

#[test]
fn the_running_order_and_its_changes() {
    let folder = book();
    holds(
        "pages",
        folder.path(),
        &[
            &["pages"],
            &["pages", "move", "lamp", "--to", "2"],
            &["pages", "treat", "lamp", "inset"],
            &["pages", "insert", "--at", "1"],
            &["pages", "remove", "title"],
            &["pages"],
            &["undo"],
            &["undo"],
            &["redo"],
            &["pages", "move", "lamb", "--to", "2"],
        ],
    );
}

#[test]
fn the_object() {
    let folder = book();
    holds(
        "object",
        folder.path(),
        &[
            &["object"],
            &["set", "stock.text.grammage", "80 lb text"],
            &["object"],
        ],
    );
}

#[test]
fn the_object_in_boards() {
    let folder = book();
    holds(
        "object-in-boards",
        folder.path(),
        &[
            &["set", "binding.kind", "sewn case"],
            &["set", "jacket.flap", "30mm"],
            &["set", "case.hinge", "7.5mm"],
            &["object"],
            &["object", "drawing", "object.svg"],
            &["object", "drawing", "object.svg"],
            &["object", "drawing", "object.pdf"],
            &["object", "drawing", "object.doc"],
            &["set", "case.hinge", "3in"],
        ],
    );
    let drawn = std::fs::read_to_string(folder.path().join("object.svg")).unwrap();
    assert!(drawn.starts_with("<?xml") && drawn.contains("front hinge 7.5"));
    let drawn = std::fs::read(folder.path().join("object.pdf")).unwrap();
    assert!(drawn.starts_with(b"%PDF-"));
}

#[test]
fn art_is_judged() {
    let folder = book();
    holds("art", folder.path(), &[&["art"]]);
}

/// Sizes of files follow the compressor and are no behaviour.
fn sized(text: &str) -> String {
    text.lines()
        .map(|line| match line.strip_suffix(" MB") {
            Some(rest) => format!(
                "{} N MB\n",
                rest.trim_end_matches(|c: char| { c.is_ascii_digit() || c == '.' || c == ' ' })
            ),
            None => format!("{line}\n"),
        })
        .collect()
}

#[test]
fn pressing_checking_and_what_a_change_does() {
    let folder = book();
    let commands: [&[&str]; 8] = [
        &["press"],
        &["check", "press/interior.pdf"],
        &["check", "press/cover.pdf"],
        &["status"],
        &["set", "stock.text.grammage", "170 g/m2"],
        &["status"],
        &["press"],
        &["press"],
    ];
    let texts: Vec<String> = commands
        .iter()
        .map(|arguments| sized(&session_text(folder.path(), arguments)))
        .collect();
    golden(&golden_file("press"), &texts.join("\n"));
}

#[test]
fn a_book_in_boards_with_jacket_and_foil_is_pressed_checked_and_moved() {
    let folder = in_boards();
    let commands: [&[&str]; 12] = [
        &["status"],
        &["object", "finishings"],
        &["press"],
        &["check", "press/case.pdf"],
        &["check", "press/jacket.pdf"],
        &["check", "press/endpapers.pdf"],
        &["status"],
        &["pages", "insert", "--at", "3"],
        &["set", "stock.text.grammage", "170 g/m2"],
        &["status"],
        &["undo"],
        &["status"],
    ];
    let texts: Vec<String> = commands
        .iter()
        .map(|arguments| sized(&session_text(folder.path(), arguments)))
        .collect();
    golden(&golden_file("boards"), &texts.join("\n"));
}

#[test]
fn the_press_condition() {
    let folder = book();
    holds(
        "colour",
        folder.path(),
        &[
            &["colour"],
            &["colour", "use", "uncoated"],
            &["colour", "use", "nowhere.icc"],
        ],
    );
}

#[test]
fn the_recipe_for_paper_and_what_paper_takes() {
    let folder = book();
    holds(
        "recipe",
        folder.path(),
        &[
            &["colour", "recipe", "usual"],
            &["colour", "recipe", "none", "--piece", "lamp.png"],
            &["set", "piece.harbour.png.inks", "black and cyan"],
            &["colour"],
            &["colour", "losses"],
            &["colour", "recipe", "loud"],
            &["colour", "contact", "art/lamp.png"],
            &["colour", "contact", "sheet.jpg", "--view", "upside-down"],
            &["undo"],
        ],
    );
}

/// Names of proof files and sizes follow from digests and compressors; days from the clock.
fn proof_text(folder: &Path, arguments: &[&str]) -> String {
    let mut words: Vec<String> = Vec::new();
    let text = session_text(folder, arguments);
    let parts: Vec<&str> = text.split(' ').collect();
    for (index, part) in parts.iter().enumerate() {
        let before = |back: usize| index.checked_sub(back).map_or("", |at| parts[at]);
        let is_number = |word: &str| word.bytes().all(|byte| byte.is_ascii_digit());
        words.push(
            if before(1) == "file"
                && part.len() >= 8
                && part[..8].bytes().all(|byte| byte.is_ascii_hexdigit())
            {
                format!("XXXXXXXX{}", &part[8..])
            } else if parts
                .get(index + 1)
                .is_some_and(|next| next.starts_with("MB"))
            {
                "N".to_owned()
            } else if before(3) == "read" && part.len() >= 4 && is_number(&part[..4]) {
                format!("YEAR{}", &part[4..])
            } else if before(2) == "read" && is_number(before(1)) {
                "MONTH".to_owned()
            } else if before(1) == "read" && is_number(part) && !part.is_empty() {
                "DAY".to_owned()
            } else {
                (*part).to_owned()
            },
        );
    }
    words.join(" ")
}

#[test]
fn the_loop_with_the_printed_proof() {
    let folder = book();
    let commands: [&[&str]; 16] = [
        &["proof"],
        &["proof", "strip"],
        &["proof", "make", "--pages", "2-4"],
        &["proof", "make"],
        &["proof", "practise"],
        &["proof", "read", "proofs/practice-1.txt"],
        &["proof"],
        &["proof", "accept", "1"],
        &["proof"],
        &["colour"],
        &["status"],
        &["proof", "practise"],
        &["proof", "read", "proofs/practice-2.txt"],
        &["proof", "accept", "2"],
        &["proof", "forget"],
        &["proof"],
    ];
    let texts: Vec<String> = commands
        .iter()
        .map(|arguments| proof_text(folder.path(), arguments))
        .collect();
    golden(&golden_file("proof"), &texts.join("\n"));
}

#[test]
fn what_is_no_measurement() {
    let folder = book();
    session_text(folder.path(), &["proof", "practise"]);
    let whole = std::fs::read_to_string(folder.at("proofs/practice-1.txt")).unwrap();
    folder.put("empty.txt", "");
    folder.put("letter.txt", "Dear artist,\nit looks lovely.\n");
    folder.put(
        "count.txt",
        whole.replace("NUMBER_OF_SETS ", "NUMBER_OF_SETS 1"),
    );
    folder.put("word.txt", whole.replacen("\nA4 ", "\nA4 yellow ", 1));
    folder.put("columns.txt", whole.replace("LAB_B", "LAB_X"));
    let mark = whole
        .split('"')
        .find(|part| part.starts_with("FOREDGE/"))
        .unwrap();
    folder.put(
        "other-book.txt",
        whole.replace(mark, "FOREDGE/1/4/00000000/1"),
    );
    folder.put("no-mark.txt", whole.replace(mark, "A POSTCARD"));
    folder.put("proof.pdf", "%PDF-1.6");
    folder.put(
        "scan.png",
        std::fs::read(folder.at("art/lamp.png")).unwrap(),
    );
    let commands: [&[&str]; 13] = [
        &["proof", "read", "nowhere.txt"],
        &["proof", "read", "art"],
        &["proof", "read", "empty.txt"],
        &["proof", "read", "letter.txt"],
        &["proof", "read", "count.txt"],
        &["proof", "read", "word.txt"],
        &["proof", "read", "columns.txt"],
        &["proof", "read", "other-book.txt"],
        &["proof", "read", "no-mark.txt"],
        &["proof", "read", "proof.pdf"],
        &["proof", "read", "scan.png"],
        &["proof", "accept", "1"],
        &["proof", "make", "--pages", "9-4"],
    ];
    let texts: Vec<String> = commands
        .iter()
        .map(|arguments| proof_text(folder.path(), arguments))
        .collect();
    golden(&golden_file("proof_refusals"), &texts.join("\n"));
    // Nothing was kept of any of them.
    let said = session_text(folder.path(), &["proof"]);
    assert!(said.contains("No proof was read yet"), "{said}");
}

#[test]
fn what_is_measured_by_hand() {
    let folder = book();
    holds(
        "measured",
        folder.path(),
        &[
            &["object", "shelf"],
            &[
                "object",
                "shelf",
                "--name",
                "Dunes",
                "--kind",
                "glued soft",
                "--width",
                "250mm",
                "--height",
                "300mm",
                "--block",
                "12.96mm",
                "--pages",
                "192",
                "--mass",
                "1126 g",
                "--weighed",
                "cover=46 g",
            ],
            &["object", "shelf", "--take", "1"],
            &["undo"],
            &["object", "shelf", "--kind", "sewn case", "--width", "8.5in"],
            &[
                "object", "dummy", "--pages", "160", "--block", "11.2mm", "--spine", "11.9mm",
                "--gauge", "0.05mm", "--mass", "52 g",
            ],
            &["object", "dummy", "--accept", "1"],
            &["object", "dummy", "--accept", "1"],
            &["object", "dummy", "--block", "heavy"],
            &["object", "template", "cover"],
            &[
                "object",
                "template",
                "cover",
                "height=80mm",
                "bleed=5mm",
                "hinge=8mm",
            ],
            &["object", "template", "cover", "height=80mm", "bleed=5mm"],
            &["object", "template", "--accept", "1"],
            &["object", "template", "jacket", "flap=80mm"],
            &["object", "template"],
        ],
    );
}

#[test]
fn help() {
    let folder = book();
    holds(
        "help",
        folder.path(),
        &[
            &["--help"],
            &["new", "--help"],
            &["pages", "--help"],
            &["colour", "--help"],
            &["proof", "--help"],
        ],
    );
}

#[test]
fn printers_are_named_noted_and_asked() {
    let folder = book();
    std::fs::write(folder.path().join("stock.txt"), "Silk, 150 g/m2").unwrap();
    holds(
        "asking",
        folder.path(),
        &[
            &["printers"],
            &["ask", "--all"],
            &[
                "printers",
                "add",
                "quay",
                "name=Ellery Quay Printworks",
                "place=Port Ellery",
                "country=XA",
                "makes=sewn soft covers",
            ],
            &["printers", "add", "delta", "name=Delta House", "country=XB"],
            &[
                "printers",
                "note",
                "quay",
                "sample-asked",
                "--on",
                "2026-11-02",
            ],
            &[
                "printers",
                "note",
                "quay",
                "said",
                "paper is in the house until spring",
                "--on",
                "2026-11-04",
                "--file",
                "stock.txt",
            ],
            &["printers", "note", "quay", "said"],
            &["printers", "note", "key", "said", "a word"],
            &["printers", "forget", "1"],
            &["printers"],
            &["printers", "recall", "1"],
            &["ask", "quay"],
            &["set", "ask.copies", "800"],
            &["ask", "quay", "--dated", "2026-11-25"],
            &["ask", "--all", "--dated", "2026-11-26"],
            &["ask", "nobody"],
            &["set", "stock.text.grammage", "170 g/m2"],
            &["set", "ask.overs", "5%"],
            &["ask"],
            &["printers", "remove", "delta"],
            &["printers"],
        ],
    );
    let asked = folder.path().join("asking");
    let letter = std::fs::read(asked.join("R0001-quay.pdf")).unwrap();
    assert!(letter.starts_with(b"%PDF"));
}

#[test]
fn answers_are_typed_in_and_held_against_the_book() {
    let folder = book();
    std::fs::write(folder.path().join("letter.pdf"), "%PDF-1.4 a letter").unwrap();
    holds(
        "prices",
        folder.path(),
        &[
            &["prices"],
            &["printers", "add", "quay", "name=Ellery Quay Printworks"],
            &["printers", "add", "delta", "name=Delta House"],
            &["set", "ask.copies", "800"],
            &["set", "ask.answer_by", "2026-12-11"],
            &["ask", "--all", "--dated", "2026-11-25"],
            &[
                "prices",
                "enter",
                "printer=quay",
                "currency=EUR",
                "each 550=12.4",
                "each 800=9.8525",
                "total 1050=9240",
                "one-off printing plates=640",
                "freight=included",
                "term=DAP Port Ellery",
                "lead=25",
                "valid=2099-01-31",
                "overs=5%",
                "--on",
                "2026-12-14",
                "--file",
                "letter.pdf",
            ],
            &[
                "prices",
                "enter",
                "printer=delta",
                "currency=USD",
                "each 800=approx. 6",
                "each 1000=5.10",
                "valid=next year",
                "--on",
                "2026-12-01",
            ],
            &[
                "prices",
                "enter",
                "printer=delta",
                "currency=USD",
                "each 800=approx. 6",
                "each 1000=5.10",
                "valid=next year",
                "--on",
                "2026-12-01",
                "--agree",
            ],
            &["prices", "enter", "printer=quay", "each 800=9"],
            &[
                "prices",
                "enter",
                "printer=lamp",
                "currency=EUR",
                "each 800=9",
            ],
            &[
                "prices",
                "enter",
                "request=R9",
                "printer=quay",
                "currency=EUR",
                "each 800=9",
            ],
            &["prices", "answers"],
            &["prices"],
            &["set", "rate.USD EUR.rate", "0.92"],
            &["set", "rate.USD EUR.on", "2026-11-20"],
            &["set", "rate.USD EUR.by", "central bank's list"],
            &["prices", "--at", "600,800"],
            &["prices", "show", "1", "--copies", "900"],
            &["prices", "show", "7"],
            &[
                "prices",
                "invoice",
                "1",
                "--ordered",
                "800",
                "number=Q-12",
                "currency=EUR",
                "delivered=850",
                "print=8374.63",
                "one-off printing plates=640",
                "alterations=65",
                "total=9079.63",
                "--on",
                "2027-02-01",
            ],
            &["prices", "invoices"],
            &["prices", "forget-invoice", "1"],
            &["prices", "invoices"],
            &["status"],
            &["set", "stock.text.grammage", "170 g/m2"],
            &["prices"],
            &["status"],
            &["prices", "forget", "2"],
            &["prices", "answers"],
            &["prices", "recall", "2"],
        ],
    );
}
