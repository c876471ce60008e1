//! Running the binary.

use std::path::{Path, PathBuf};
use std::process::Command;

use testkit::{BookText, Folder};

/// What a command said.
pub struct Said {
    pub code: i32,
    pub out: String,
    pub err: String,
}

/// Runs the binary in a folder.
pub fn foredge(folder: &Path, arguments: &[&str]) -> Said {
    let output = Command::new(env!("CARGO_BIN_EXE_foredge"))
        .args(arguments)
        .current_dir(folder)
        .output()
        .expect("the binary runs");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("words are UTF-8");
    Said {
        code: output.status.code().expect("it ends by itself"),
        out: text(output.stdout),
        err: text(output.stderr),
    }
}

/// Exit code, stdout and stderr as one readable text; what differs from run to run is replaced.
pub fn session_text(folder: &Path, arguments: &[&str]) -> String {
    let said = foredge(folder, arguments);
    let shown: Vec<String> = arguments
        .iter()
        .map(|argument| {
            if argument.contains(' ') || argument.is_empty() {
                format!("\"{argument}\"")
            } else {
                (*argument).to_owned()
            }
        })
        .collect();
    let mut text = format!("$ foredge {}\n", shown.join(" "));
    text.push_str(&said.out);
    if !said.err.is_empty() {
        text.push_str("--- stderr\n");
        text.push_str(&said.err);
    }
    text.push_str(&format!("--- exit {}\n", said.code));
    without_moments(&text.replace(&folder.display().to_string(), "FOLDER"))
}

/// Moments such as `2026-11-25 14:00` become `SOME DAY`.
fn without_moments(text: &str) -> String {
    let shape = "dddd-dd-dd dd:dd";
    let mut out = String::new();
    let mut rest = text;
    while let Some(first) = rest.chars().next() {
        let fits = rest.len() >= shape.len()
            && rest.bytes().zip(shape.bytes()).all(|(found, wanted)| {
                if wanted == b'd' {
                    found.is_ascii_digit()
                } else {
                    found == wanted
                }
            });
        if fits {
            out.push_str("SOME DAY");
            rest = &rest[shape.len()..];
        } else {
            out.push(first);
            rest = &rest[first.len_utf8()..];
        }
    }
    out
}

/// The golden file of a name.
pub fn golden_file(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/golden")
        .join(format!("{name}.txt"))
}

fn soft(width: u32, height: u32, shift: u32) -> Vec<u8> {
    testkit::png(width, height, |x, y| {
        [
            (70 + x * 90 / width + shift) as u8,
            (80 + y * 90 / height) as u8,
            (110 + (x + y) / 40 % 30) as u8,
        ]
    })
}

/// A folder of art, for making a book from.
pub fn studio() -> Folder {
    Folder::new()
        .with("studio/harbour wall.png", soft(800, 560, 0))
        .with("studio/lamp.png", soft(500, 620, 60))
}

/// The text of a small book.
pub fn text() -> BookText {
    BookText::new("50.8x76.2mm")
        .section("[press]\nresolution = \"200ppi\"")
        .page("title", "title", "")
        .shows("harbour", "spread", "harbour.png")
        .shows("lamp", "full page", "lamp.png")
}

/// A small book.
pub fn book() -> Folder {
    Folder::new()
        .with("book.toml", text().text())
        .with("art/harbour.png", soft(1100, 840, 0))
        .with("art/lamp.png", soft(600, 860, 60))
}
