//! What a person reads, held against golden text.

use std::path::Path;

use testkit::golden;

use crate::terminal::{book, golden_file, session_text, studio};

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
fn art_is_judged() {
    let folder = book();
    holds("art", folder.path(), &[&["art"]]);
}

#[test]
fn pressing_checking_and_what_a_change_does() {
    let folder = book();
    // Sizes of files follow the compressor and are no behaviour.
    let sized = |text: String| -> String {
        text.lines()
            .map(|line| match line.strip_suffix(" MB") {
                Some(rest) => format!(
                    "{} N MB\n",
                    rest.trim_end_matches(|c: char| { c.is_ascii_digit() || c == '.' || c == ' ' })
                ),
                None => format!("{line}\n"),
            })
            .collect()
    };
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
        .map(|arguments| sized(session_text(folder.path(), arguments)))
        .collect();
    golden(&golden_file("press"), &texts.join("\n"));
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
fn help() {
    let folder = book();
    holds(
        "help",
        folder.path(),
        &[&["--help"], &["new", "--help"], &["pages", "--help"]],
    );
}
