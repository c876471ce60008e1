//! Books for tests, written as text and read like any other.

use book::plan::Plan;
use book::{Book, read};
use finding::Finding;
use measure::PixelSize;
use proptest::prelude::*;

/// A book file under construction: sections with sensible values, and pages as given.
#[derive(Debug, Clone)]
pub struct BookText {
    pub trim: String,
    pub format: String,
    pub kind: &'static str,
    pub signature: u8,
    pub text_stock: String,
    /// Further keys of `[binding]`, then the sections of the object.
    pub object: String,
    pub cover: String,
    pub pages: String,
}

impl Default for BookText {
    fn default() -> Self {
        Self {
            trim: "250x300mm".to_owned(),
            format: String::new(),
            kind: "sewn soft",
            signature: 16,
            text_stock: "grammage = \"150 g/m2\"\nbulk = \"0.9 cm3/g\"".to_owned(),
            object: String::new(),
            cover: String::new(),
            pages: String::new(),
        }
    }
}

impl BookText {
    pub fn text(&self) -> String {
        format!(
            "[book]\ntitle = \"Tide\"\nauthor = \"A. Mole\"\n\n[format]\ntrim = \"{}\"\n{}\n\n\
             [binding]\nkind = \"{}\"\nsignature = {}\n{}\n\n[stock.text]\n{}\n\n[cover]\n{}\n\n{}",
            self.trim,
            self.format,
            self.kind,
            self.signature,
            self.object,
            self.text_stock,
            self.cover,
            self.pages
        )
    }

    pub fn page(mut self, name: &str, treatment: &str, rest: &str) -> Self {
        self.pages.push_str(&format!(
            "[[page]]\nname = \"{name}\"\ntreatment = \"{treatment}\"\n{rest}\n\n"
        ));
        self
    }

    pub fn blanks(mut self, count: usize) -> Self {
        for number in 0..count {
            self = self.page(&format!("b{number}"), "blank", "");
        }
        self
    }

    pub fn book(&self) -> Book {
        read(&self.text()).unwrap_or_else(|errors| panic!("{errors}\n{}", self.text()))
    }

    pub fn plan(&self) -> (Plan, Vec<Finding>) {
        Plan::lay_out(&self.book(), &|_| Some(pixels(3000, 4000)))
    }
}

pub const fn pixels(width: u32, height: u32) -> PixelSize {
    PixelSize { width, height }
}

/// One entry of a running order, as its treatment word and its further lines; `{}` stands for a
/// number that makes pieces different.
pub fn any_entry() -> impl Strategy<Value = (&'static str, &'static str)> {
    prop::sample::select(vec![
        ("full page", "art = \"{}.png\"\nfocus = \"0.2 0.9\""),
        ("spread", "art = \"{}.png\"\nfocus = \"0.3 0.5\""),
        ("spread", "art = \"{}.png\""),
        ("inset", "art = \"{}.png\"\nmargin = \"15mm\""),
        ("inset", "art = \"{}.png\"\ncaption = \"Harbour, evening\""),
        ("paired", "left = \"{}l.png\"\nright = \"{}r.png\""),
        ("ready page", "art = \"{}.png\""),
        ("title", ""),
        (
            "text",
            "heading = \"One\"\nwords = \"\"\"\nWords.\n\nMore.\n\"\"\"",
        ),
        ("colophon", "words = \"Printed.\""),
        ("blank", ""),
    ])
}

/// A whole book of up to `most` entries, any binding, any page.
pub fn any_book(most: usize) -> impl Strategy<Value = BookText> {
    (
        prop::collection::vec(any_entry(), 0..most),
        (50..600_u32, 50..600_u32),
        prop::sample::select(vec![
            "sewn case",
            "sewn soft",
            "glued soft",
            "wire-stitched",
        ]),
        prop::sample::select(vec![8_u8, 12, 16, 24, 32]),
        (0..10_u32, 0..10_u32, 0..15_u32, 0..8_u32, any::<bool>()),
    )
        .prop_map(|(entries, trim, kind, signature, format)| {
            let (bleed, safe, fold, repeat, folios) = format;
            let mut book = BookText {
                trim: format!("{}x{}mm", trim.0, trim.1),
                format: format!(
                    "bleed = \"{bleed}mm\"\nsafe = \"{safe}mm\"\nfold = \"{fold}mm\"\n\
                     fold_repeat = \"{repeat}mm\"\nfolios = {folios}"
                ),
                kind,
                signature,
                ..BookText::default()
            };
            for (number, (treatment, rest)) in entries.into_iter().enumerate() {
                let rest = rest.replace("{}", &format!("p{number}"));
                book = book.page(&format!("e{number}"), treatment, &rest);
            }
            book
        })
}

/// Sections of the object with any figures that are allowed, any of them there or not.
pub fn any_object() -> impl Strategy<Value = String> {
    let figures: Vec<(&str, &str, i32, i32)> = vec![
        ("", "board", 10, 50),
        ("", "spine", 1, 3000),
        ("", "swell", 0, 200),
        ("case", "rise", 5, 600),
        ("case", "square", 0, 100),
        ("case", "setback", 0, 200),
        ("case", "hinge", 20, 250),
        ("case", "turn_in", 50, 400),
        ("case", "strip", 2, 50),
        ("endpapers", "caliper", 1, 10),
        ("jacket", "height", 300, 10400),
        ("jacket", "turn", 0, 200),
        ("jacket", "flap", 200, 6000),
        ("flaps", "width", 200, 6000),
        ("flaps", "over", 0, 50),
        ("band", "height", 100, 10000),
        ("band", "tuck", 200, 6000),
        ("band", "ease", 0, 50),
        ("slipcase", "board", 10, 50),
        ("slipcase", "clearance", 0, 100),
        ("slipcase", "turn_in", 50, 400),
    ];
    let each: Vec<_> = figures
        .into_iter()
        .map(|(section, key, least, most)| {
            prop::option::weighted(0.4, least..=most).prop_map(move |tenths| (section, key, tenths))
        })
        .collect();
    (each, any::<bool>(), 0_u8..4).prop_map(|(each, round, ribbons)| {
        let mut text = String::new();
        let mut open = "";
        for (section, key, tenths) in each {
            let Some(tenths) = tenths else { continue };
            if section != open {
                text.push_str(&format!("\n[{section}]\n"));
                if section == "case" {
                    let back = if round { "round" } else { "flat" };
                    text.push_str(&format!("back = \"{back}\"\nribbons = {ribbons}\n"));
                }
                open = section;
            }
            text.push_str(&format!("{key} = \"{}mm\"\n", f64::from(tenths) / 10.0));
        }
        text
    })
}
