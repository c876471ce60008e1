//! What stands around a printed sheet, for the sheets of whole books.

use book::drawing::Drawing;
use book::plan::{Plan, SheetPlan};
use measure::{Length, Rect};
use press::document::{Drawn, Grey};
use press::{Beside, PageInput, PressWriter};
use proptest::prelude::*;

use super::{content, facts, intent, pages, read};

fn sheets(kind: &str, trim: (u32, u32), count: u32, more: &str) -> Vec<SheetPlan> {
    let (width, height) = trim;
    let mut text = format!(
        "[book]\ntitle = \"Tide\"\nisbn = \"978-0-306-40615-7\"\n[format]\ntrim = \
         \"{width}x{height}mm\"\n[binding]\nkind = \"{kind}\"\nsignature = 8\n[stock.text]\n\
         grammage = \"200 g/m2\"\nbulk = \"1.3 cm3/g\"\n{more}\n"
    );
    for page in 0..count {
        text.push_str(&format!(
            "[[page]]\nname = \"b{page}\"\ntreatment = \"blank\"\n"
        ));
    }
    let book = book::read(&text).unwrap();
    let (plan, _) = Plan::lay_out(&book, &|_| None);
    SheetPlan::lay_out_all(&book, &plan, &|_| None).0
}

fn around(sheet: &SheetPlan) -> Beside {
    let lines = [
        "what a printer reads, of which a narrow sheet has more to say than it is wide".to_owned(),
    ];
    let key = Drawing::key_of(sheet);
    Beside::of_sheet(&sheet.flat, &lines, Some(&key), "en").unwrap()
}

/// Frames of hatched bars: closed lines around a rectangle, above, below or beside the sheet.
fn bars(beside: &Beside) -> Vec<Rect> {
    beside
        .drawn
        .iter()
        .filter_map(|drawn| match drawn {
            Drawn::Line {
                points,
                closed: true,
                ..
            } => Some(bounds(points)),
            _ => None,
        })
        .collect()
}

fn bounds(points: &[(Length, Length)]) -> Rect {
    let across = || points.iter().map(|point| point.0);
    let down = || points.iter().map(|point| point.1);
    let (left, top) = (across().min().unwrap(), down().min().unwrap());
    let (right, foot) = (across().max().unwrap(), down().max().unwrap());
    Rect::new(left, top, right - left, foot - top)
}

/// Whether anything of a rectangle without its edges lies in the other; lines have no width here.
fn meets(one: Rect, other: Rect) -> bool {
    one.x < other.right()
        && one.right() > other.x
        && one.y < other.bottom()
        && one.bottom() > other.y
}

#[test]
fn a_bar_stands_on_both_sides_along_each_place_to_keep_clear() {
    for sheet in sheets("sewn case", (200, 240), 64, "[jacket]\n[slipcase]") {
        let beside = around(&sheet);
        let bars = bars(&beside);
        let trimmed = sheet.flat.trimmed();
        for place in &sheet.flat.no_go {
            let at = place.rect;
            let upright = at.height >= at.width;
            let along = |bar: &&Rect| match upright {
                true => (bar.x, bar.width) == (at.x, at.width) && bar.height.mm() == 2.5,
                false => (bar.y, bar.height) == (at.y, at.height) && bar.width.mm() == 2.5,
            };
            let found: Vec<&Rect> = bars.iter().filter(along).collect();
            let before = |bar: &&&Rect| match upright {
                true => bar.bottom() < trimmed.y,
                false => bar.right() < trimmed.x,
            };
            let first = found.iter().filter(before).count();
            assert!(
                first > 0 && found.len() == first * 2,
                "{} of the {}: {found:?}",
                place.why,
                sheet.flat.name()
            );
        }
    }
}

#[test]
fn what_is_drawn_around_a_sheet_is_black_ink_alone() {
    let sheet = &sheets("sewn soft", (200, 240), 64, "[flaps]")[0];
    let mut beside = around(sheet);
    beside.drawn.insert(
        0,
        Drawn::rect(Rect::from_mm(-20.0, 0.0, 1.0, 1.0), Grey(0.25)),
    );
    let mut press = PressWriter::begin(Vec::new(), &facts(), &intent()).unwrap();
    let bleed = Length::from_mm(3.0);
    press
        .page_beside(PageInput::bare(sheet.flat.trim, bleed), &beside)
        .unwrap();
    let pdf = press.finish().unwrap();
    let document = read(&pdf);
    let drawn = content(&document, pages(&document)[0]);
    assert!(drawn.contains("0 0 0 0.75 k"));
    for line in drawn.lines() {
        // No grey, no other ink: what is not black is the colour of every plate.
        let operator = line.rsplit(' ').next().unwrap();
        assert!(!["g", "G", "rg", "RG"].contains(&operator), "{line}");
        if ["k", "K"].contains(&operator) {
            assert!(line.starts_with("0 0 0 "), "{line}");
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn nothing_around_a_sheet_reaches_into_its_bleed_or_out_of_the_paper(
        kind in prop::sample::select(vec!["sewn case", "sewn soft", "glued soft", "wire-stitched"]),
        width in 60_u32..500, height in 60_u32..500, sections in 1_u32..20, square in 0_u32..6,
        flaps in any::<bool>(),
    ) {
        let more = match (kind, flaps) {
            ("sewn case", _) => format!("[case]\nsquare = \"{square}mm\"\n[jacket]\n[band]\n[slipcase]"),
            (_, true) => "[flaps]\nwidth = \"40mm\"\n[band]".to_owned(),
            _ => String::new(),
        };
        for sheet in sheets(kind, (width, height), sections * 8, &more) {
            let beside = around(&sheet);
            let printed = sheet.flat.printed();
            let margin = beside.margin;
            let paper = Rect::new(
                printed.x - margin.left,
                printed.y - margin.top,
                printed.width + margin.left + margin.right,
                printed.height + margin.top + margin.bottom,
            );
            for mark in &beside.marks {
                prop_assert!(mark.shared(printed).is_none() && paper.contains(*mark));
            }
            for drawn in &beside.drawn {
                let at = bounds(drawn.points());
                prop_assert!(!meets(at, printed), "{drawn:?} on the {}", sheet.flat.name());
                prop_assert!(paper.contains(at), "{drawn:?} off the paper of {}", sheet.flat.name());
            }
            for drawn in &beside.drawn {
                if let Drawn::Line { width, .. } = drawn {
                    // A quarter of a point: what is thinner may break up.
                    prop_assert!(width.nm() * 288 >= 25_400_000 - 288, "{drawn:?}");
                }
            }
            for words in &beside.words {
                prop_assert!(words.y > printed.bottom() && words.y < paper.bottom());
                prop_assert!(words.x >= paper.x && words.x < paper.right());
                let glyphs = words.galley.runs.iter().flat_map(|run| &run.glyphs);
                let end = glyphs.map(|glyph| glyph.x).max().unwrap_or(Length::ZERO);
                let across = words.reads == book::plan::Reads::Across;
                prop_assert!(!across || words.x + end < paper.right());
            }
        }
    }
}
