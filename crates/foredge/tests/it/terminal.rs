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

/// A small book in boards with jacket, endpapers, bar code, a foil and a blind stamp. The foil has a
/// line that is too fine.
pub fn in_boards() -> Folder {
    let mut text = BookText::new("120x160mm")
        .bound("sewn case")
        .section("[press]\nresolution = \"150ppi\"")
        .section("[cover]\nground = \"30 45 60 12\"\nspine_words = \"A Test\"\nink = \"paper\"")
        .section("[endpapers]\nground = \"30 0 10 0\"")
        .section(
            "[jacket]\nfront = \"lamp.png\"\nground = \"60 20 0 30\"\nspine_words = \"A Test\"\nink \
             = \"paper\"",
        )
        .section("[barcode]\nmagnification = \"80%\"")
        .section(
            "[[finishing]]\nname = \"star foil\"\nprocess = \"foil\"\non = \"jacket\"\npanel = \
             \"front\"\nmask = \"masks/star.svg\"\ncolour = \"gold\"",
        )
        .section(
            "[[finishing]]\nname = \"moon stamp\"\nprocess = \"blind deboss\"\non = \
             \"cover\"\npanel = \"front\"\nmask = \"masks/moon.svg\"",
        )
        .page("title", "title", "")
        .shows("lamp", "full page", "lamp.png");
    for number in 0..38 {
        text = text.page(&format!("blank {number}"), "blank", "");
    }
    let number = "title = \"A Test\"\nisbn = \"978-0-306-40615-7\"";
    // At the size of the faces of jacket and case.
    let mask = |(width, height): (f64, f64), shapes: &str| {
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" \
             width=\"{width}mm\" height=\"{height}mm\">{shapes}</svg>"
        )
    };
    Folder::new()
        .with(
            "book.toml",
            text.text().replace("title = \"A Test\"", number),
        )
        .with("art/lamp.png", soft(1100, 1440, 60))
        .with(
            "masks/star.svg",
            mask(
                (129.5, 166.24),
                "<rect x='30' y='40' width='20' height='20'/><rect x='30' y='80' width='40' \
                 height='0.1'/>",
            ),
        )
        .with(
            "masks/moon.svg",
            mask((117.0, 166.0), "<circle cx='60' cy='70' r='25'/>"),
        )
}
