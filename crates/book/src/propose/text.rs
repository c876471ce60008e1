//! The words of a new book file.

use std::fmt::Write as _;

use measure::{Length, PixelSize};
use toml_edit::Value;

use super::choose::{Sheet, Showing, Unit};

/// Everything that goes into the text.
pub(super) struct Draft<'a> {
    pub(super) title: String,
    pub(super) author: String,
    pub(super) sheet: Sheet,
    pub(super) stitched: bool,
    pub(super) spine_words: String,
    /// The piece on the front of the cover, by index.
    pub(super) front: Option<usize>,
    pub(super) art: &'a [(&'a str, PixelSize)],
    pub(super) units: &'a [(String, Unit)],
    pub(super) left_out: usize,
}

/// Writes the text.
pub(super) fn write(draft: &Draft<'_>) -> String {
    let mut text = head(draft);
    text.push_str(&cover(draft));
    text.push_str(RUNNING_ORDER);
    for (name, unit) in draft.units {
        text.push_str(&entry(draft, name, unit));
    }
    text.push_str(&colophon(draft));
    if draft.left_out > 0 {
        let _ = writeln!(
            text,
            "\n# Pictures left out because of their names: {}. Give them names without backslashes, \
             colons\n# at the second place and unseen characters, and add them as above.",
            draft.left_out
        );
    }
    text
}

fn head(draft: &Draft<'_>) -> String {
    let title = quoted(&draft.title);
    let author = quoted(&draft.author);
    let width = draft.sheet.trim.width.to_string();
    let width = width.trim_end_matches(" mm");
    let height = draft.sheet.trim.height.to_string().replace(' ', "");
    let kind = if draft.stitched {
        "wire-stitched"
    } else {
        "sewn soft"
    };
    format!(
        r##"# Everything decided about this book. Change what you like, here or in the browser:
# nothing else needs to be told. Lines that begin with # are remarks.

[book]
title = {title}
author = {author}
# Language of the words, for breaking lines: "en", "de", "fr" …
language = "en"

[format]
# The page as it is after trimming: "250x300mm", "8.5x11in" or "A4 landscape".
trim = "{width}x{height}"
# How far pictures run over the edge, so that no white shows if the trim is a little off.
bleed = "3mm"
# How far words keep from the edge.
safe = "8mm"
# How far words and pictures within margins keep from the fold.
fold = "10mm"
# A strip on each side of the fold that both pages of a spread repeat, for glued books that
# swallow some of it. None cuts the picture exactly at the fold.
fold_repeat = "0mm"
# Page numbers on pages of words and pages with margins.
folios = true

[binding]
# "sewn case", "sewn soft", "glued soft" or "wire-stitched"
kind = "{kind}"
# Pages folded from one sheet: 8, 12, 16, 24 or 32. Ask your printer.
signature = 16

[stock.text]
name = ""
# "150 g/m2", or a US basis weight with its grade: "100 lb text"
grammage = "150 g/m2"
# "gloss", "silk", "matt" or "uncoated"
finish = "silk"
# As soon as the printer tells you, say bulk or caliper (thickness of one sheet), for the spine:
# bulk = "0.9 cm3/g"
# caliper = "0.135mm"

[stock.cover]
name = ""
grammage = "300 g/m2"
finish = "silk"

[press]
# "coated", "coated-americas", "uncoated", or an ICC profile in this folder
condition = "coated"
# "perceptual" keeps shades apart, "relative" keeps colours that the press can reach
rendering = "perceptual"
# Most ink in one place. Without this line the press condition's own limit holds.
# ink_limit = "300%"
resolution = "300ppi"
# "lossless", or "jpeg" for smaller files
pictures = "lossless"

[paper]
# On paper, pictures come out heavier and stronger in colour than on the screen. A recipe makes them
# a little flatter, lighter and quieter beforehand: "none", "gentle", "usual" or "strong".
recipe = "gentle"
# Figures of your own go over those of the recipe, and so do reds, yellows, greens, cyans, blues
# and magentas one by one:
# contrast = "-8%"
# lightening = "3"
# saturation = "-10%"
# red = "-6%"
# Paper softens edges; pictures are sharpened against it: "none", "modest" or "strong".
sharpening = "modest"
# Lines to the inch of the press's screen, if your printer tells you:
# ruling = "175lpi"

# A single picture can have wishes of its own, wherever it stands:
# [[piece]]
# art = "picture.png"
# recipe = "none"
# inks = "black"

"##
    )
}

fn cover(draft: &Draft<'_>) -> String {
    let front = match draft.front {
        Some(index) => format!("front = {}", quoted(draft.art[index].0)),
        None => r#"# front = "picture.png""#.to_owned(),
    };
    let spine = quoted(&draft.spine_words);
    let spine_remark = if draft.spine_words.is_empty() {
        "# Words along the spine; it takes about 5 mm of thickness to hold any."
    } else {
        "# Words along the spine."
    };
    format!(
        r#"[cover]
# Pictures of the front and of the back.
{front}
# back = "picture.png"
# Ground where no picture is: percent of cyan, magenta, yellow and black.
ground = "0 0 0 0"
# Title and author on the front.
front_words = true
{spine_remark}
spine_words = {spine}
# Ink of these words: "black", or "paper" to leave them white on a dark picture.
ink = "black"

"#
    )
}

const RUNNING_ORDER: &str = r#"# The running order, first page to last. Move an entry by moving its lines.
#
# treatment = "full page"    fills a page and its bleed
#             "spread"       fills a left and a right page, across the fold
#             "inset"        the whole picture within margins, with a caption if you like
#             "paired"       two pictures facing each other, at one height
#             "ready page"   a picture made at page size with its bleed
#             "title", "text", "colophon", "blank"
#
# focus = "0.5 0.3" says which point stays in view when a picture is cropped: across and down.

[[page]]
name = "title"
treatment = "title"

"#;

fn entry(draft: &Draft<'_>, name: &str, unit: &Unit) -> String {
    let mut text = String::new();
    let piece = |at: usize| draft.art[unit.pieces[at]];
    let remark = |at: usize| {
        let (_, size) = piece(at);
        let ppi = draft.sheet.ppi(size, unit.showing);
        let small = if ppi < 150.0 {
            ": too few for print, make it smaller or accept it"
        } else {
            ""
        };
        format!("# {size}, {ppi:.0} ppi on the page{small}\n")
    };
    for at in 0..unit.pieces.len() {
        text.push_str(&remark(at));
    }
    let word = match unit.showing {
        Showing::FullPage => "full page",
        Showing::Spread => "spread",
        Showing::Inset { .. } => "inset",
        Showing::Paired { .. } => "paired",
    };
    let _ = writeln!(
        text,
        "[[page]]\nname = {}\ntreatment = \"{word}\"",
        quoted(name)
    );
    match unit.showing {
        Showing::FullPage | Showing::Spread => {
            let _ = writeln!(text, "art = {}", quoted(piece(0).0));
        }
        Showing::Inset { margin } => {
            let _ = writeln!(text, "art = {}", quoted(piece(0).0));
            let _ = writeln!(text, "margin = {}\ncaption = \"\"", measured(margin));
        }
        Showing::Paired { margin } => {
            let _ = writeln!(text, "left = {}", quoted(piece(0).0));
            let _ = writeln!(text, "right = {}", quoted(piece(1).0));
            let _ = writeln!(text, "margin = {}", measured(margin));
        }
    }
    text.push('\n');
    text
}

fn colophon(draft: &Draft<'_>) -> String {
    // The title and the author stand inside words of several lines, where a quotation mark or a
    // backslash of theirs must stay what it is.
    let escaped = |text: &str| text.replace('\\', "\\\\").replace('"', "\\\"");
    let rights = if draft.author.is_empty() {
        String::new()
    } else {
        format!("\n{}\n", escaped(&draft.author))
    };
    format!(
        r#"# How the book was made. Add the year, the printer, the papers, and whom you thank.
[[page]]
name = "colophon"
treatment = "colophon"
words = """
{}
{rights}
Made with Foredge.
"""
"#,
        escaped(&draft.title)
    )
}

fn quoted(text: &str) -> String {
    Value::from(text).to_string()
}

fn measured(length: Length) -> String {
    quoted(&length.to_string().replace(' ', ""))
}
