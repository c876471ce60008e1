//! What stands around a sheet beside the pages: its ticks, and the lines by which a printer knows it
//! without asking: what it is, how large, what its ticks and panels mean, where it keeps clear, and
//! which plates it has; under them, a small drawing of it.

use book::drawing::Drawing;
use book::object::{Allowance, FlatSheet};
use book::plan::SheetPlan;
use measure::{Length, Size};
use press::{Beside, PressError};

use super::{Plan, Unit};
use crate::finishing::Stamp;
use crate::unit::Sheet;

/// Width of a sign of such a line at the most, on the average of a line; generous, so that no line
/// runs over. Our assumption, for the built-in typeface at its size.
const SIGN: Length = Length::from_nm(1_500_000);

/// Ticks, name and plates of a sheet; nothing for pages.
pub(super) fn beside(
    plan: &Plan<'_>,
    unit: &Unit<'_>,
    sheet: &Sheet<'_>,
) -> Result<Beside, PressError> {
    let Some(flat) = sheet.flat else {
        return Ok(Beside::default());
    };
    let about = &plan.standing.snapshot.book.about;
    let plates: Vec<String> = unit.stamps.iter().map(Stamp::told).collect();
    let lines = lines(&about.title, flat, &plates);
    let key = Drawing::key_of(flat);
    Beside::of_sheet(&flat.flat, &lines, Some(&key), &about.language)
}

fn lines(title: &str, sheet: &SheetPlan, plates: &[String]) -> Vec<String> {
    let flat = &sheet.flat;
    let Size { width, height } = flat.trim;
    let mut name = vec![format!(
        "{title}: {}, {} × {} mm",
        flat.kind.word(),
        mm(width),
        mm(height)
    )];
    if let Some(spine) = flat.panel("spine") {
        name.push(format!("spine {} mm", hundredth(spine.rect.width)));
    }
    name.push("printed on one side".to_owned());
    let edge = match flat.allowance {
        Allowance::Bleed(bleed) => format!("bleed {} mm", mm(bleed)),
        Allowance::TurnIn(by) => format!("turned in by {} mm on all sides, no bleed", mm(by)),
    };
    let ticks = vec![
        finding::capital(&edge),
        "whole ticks: cut".to_owned(),
        "dashed ticks: fold".to_owned(),
    ];
    let mut groups = vec![(name, ", "), (ticks, "; ")];
    let row = columns(flat);
    if row.len() > 1 {
        let mut row: Vec<String> = row
            .iter()
            .map(|(name, width)| format!("{name} {}", mm(*width)))
            .collect();
        row[0] = format!("From the left in mm: {}", row[0]);
        groups.push((row, ", "));
    }
    groups.extend(clear(flat));
    if let Some(bars) = &sheet.bar_code {
        let at = bars.rect;
        let place = format!(
            "Bar code with its quiet zones {} × {}, {} from the left edge and {} from the head: black \
             alone",
            mm(at.width),
            mm(at.height),
            mm(at.x),
            mm(at.y)
        );
        groups.push((vec![place], ", "));
    }
    if !plates.is_empty() {
        let mut plates = plates.to_vec();
        plates[0] = format!("Plates beside the inks: {}", plates[0]);
        groups.push((plates, "; "));
    }
    groups
        .iter()
        .flat_map(|(phrases, between)| wrapped(phrases, between, width))
        .collect()
}

/// The panels that stand side by side between the turn-ins, from left to right, with their widths.
fn columns(flat: &FlatSheet) -> Vec<(&'static str, Length)> {
    let mut columns: Vec<_> = flat
        .panels
        .iter()
        .filter(|panel| !panel.name.contains("turn-in"))
        .collect();
    columns.sort_by_key(|panel| panel.rect.x);
    columns
        .iter()
        .map(|panel| (panel.name, panel.rect.width))
        .collect()
}

/// The places to keep clear: why, and from where to where.
fn clear(flat: &FlatSheet) -> Option<(Vec<String>, &'static str)> {
    let mut places: Vec<(&str, &str, Vec<String>)> = Vec::new();
    for no_go in &flat.no_go {
        let at = no_go.rect;
        let (edge, from, to) = match at.height >= at.width {
            true => ("from the left", at.x, at.right()),
            false => ("from the head", at.y, at.bottom()),
        };
        let span = format!("{}–{}", mm(from), mm(to));
        let alike =
            |place: &&mut (&str, &str, Vec<String>)| (place.0, place.1) == (no_go.why, edge);
        match places.iter_mut().find(alike) {
            Some((.., spans)) => spans.push(span),
            None => places.push((no_go.why, edge, vec![span])),
        }
    }
    let mut phrases: Vec<String> = places
        .iter()
        .map(|(why, edge, spans)| format!("{why}, {} mm {edge}", spans.join(" and ")))
        .collect();
    let first = phrases.first_mut()?;
    *first = format!("Hatched, keep words and faces clear: {first}");
    Some((phrases, "; "))
}

/// Phrases as lines that are no wider than that, parted between phrases.
fn wrapped(phrases: &[String], between: &str, width: Length) -> Vec<String> {
    let room = usize::try_from(width.nm() / SIGN.nm()).unwrap_or(0);
    let mut lines: Vec<String> = Vec::new();
    for phrase in phrases {
        match lines.last_mut() {
            Some(line) if line.chars().count() + between.len() + phrase.chars().count() <= room => {
                line.push_str(between);
                line.push_str(phrase);
            }
            Some(line) => {
                line.push_str(between.trim_end());
                lines.push(phrase.clone());
            }
            None => lines.push(phrase.clone()),
        }
    }
    lines
}

/// Millimetres to the tenth, as on the drawing: no guillotine keeps more, and the boxes of the file
/// say it exactly. `250`, `10.9`, `306.2`.
fn mm(length: Length) -> String {
    to_the(Length::from_um(100.0), length)
}

/// Millimetres to the hundredth, for a spine, which follows from paper.
fn hundredth(length: Length) -> String {
    to_the(Length::from_um(10.0), length)
}

fn to_the(step: Length, length: Length) -> String {
    let text = length.rounded(step).to_string();
    text.trim_end_matches(" mm").to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use book::plan::Plan;

    fn sheets(kind: &str, more: &str) -> Vec<SheetPlan> {
        let mut text = format!(
            "[book]\ntitle = \"Tide\"\nisbn = \"978-0-306-40615-7\"\n[format]\ntrim = \"250x300mm\"\n[binding]\nkind = \
             \"{kind}\"\nsignature = 8\n[stock.text]\ngrammage = \"200 g/m2\"\nbulk = \"1.3 \
             cm3/g\"\n{more}\n"
        );
        for page in 0..40 {
            text.push_str(&format!(
                "[[page]]\nname = \"b{page}\"\ntreatment = \"blank\"\n"
            ));
        }
        let book = book::read(&text).unwrap();
        let (plan, _) = Plan::lay_out(&book, &|_| None);
        SheetPlan::lay_out_all(&book, &plan, &|_| None).0
    }

    #[test]
    fn a_printer_reads_size_edge_ticks_panels_and_plates() {
        let cover = &sheets("sewn soft", "[flaps]\nwidth = \"110mm\"")[0];
        assert_eq!(
            lines(
                "Tide",
                cover,
                &["moon varnish (spot varnish, clear)".to_owned()]
            ),
            [
                "Tide: soft cover, 725.7 × 300 mm, spine 5.74 mm, printed on one side",
                "Bleed 3 mm; whole ticks: cut; dashed ticks: fold",
                "From the left in mm: back flap 110, back 250, spine 5.7, front 250, front flap 110",
                "Hatched, keep words and faces clear: fold of the spine, 359–361 and 364.7–366.7 mm from the left; fold of the flap, 107–113 and 612.7–618.7 mm from the left",
                "Bar code with its quiet zones 37.3 × 25.9, 313.2 from the left edge and 264.6 from the head: black alone",
                "Plates beside the inks: moon varnish (spot varnish, clear)",
            ]
        );
        let case = sheets("sewn case", "[endpapers]\nground = \"10 0 0 0\"");
        let of = |name: &str| {
            let sheet = case.iter().find(|one| one.kind().word() == name);
            lines("Tide", sheet.unwrap(), &[]).join("\n")
        };
        let wrap = of("case wrap");
        assert!(wrap.contains("Turned in by"), "{wrap}");
        assert!(
            wrap.contains("back hinge") && !wrap.contains("turn-in"),
            "{wrap}"
        );
        for clear in [
            "turned in and pasted down, 0–15 and 321–336 mm from the head",
            "hinge: pressed into the joint, 261–271 and",
            "edge of the board, 259–262 and",
        ] {
            assert!(wrap.contains(clear), "{clear}: {wrap}");
        }
        // Which half is pasted to the board is what a printer would have to ask.
        let front = of("front endpaper");
        assert!(
            front.contains("pasted down 250, flying leaf 250"),
            "{front}"
        );
        let back = of("back endpaper");
        assert!(back.contains("flying leaf 250, pasted down 250"), "{back}");
    }

    #[test]
    fn every_place_to_keep_clear_and_the_bar_code_are_named_on_every_sheet() {
        let everything = "[jacket]\n[band]\n[slipcase]\n[endpapers]\nground = \"10 0 0 0\"";
        let mut bar_codes = 0;
        for kind in ["sewn case", "sewn soft", "glued soft", "wire-stitched"] {
            for sheet in sheets(kind, if kind == "sewn case" { everything } else { "" }) {
                let said = lines("Tide", &sheet, &[]).join("\n");
                for place in &sheet.flat.no_go {
                    let at = place.rect;
                    let span = match at.height >= at.width {
                        true => format!("{}–{}", mm(at.x), mm(at.right())),
                        false => format!("{}–{}", mm(at.y), mm(at.bottom())),
                    };
                    assert!(
                        said.contains(place.why) && said.contains(&span),
                        "{place:?}: {said}"
                    );
                }
                if let Some(bars) = &sheet.bar_code {
                    bar_codes += 1;
                    let size = format!("{} × {}", mm(bars.rect.width), mm(bars.rect.height));
                    assert!(said.contains(&format!("quiet zones {size}")), "{said}");
                }
            }
        }
        assert_eq!(bar_codes, 4);
    }

    #[test]
    fn sizes_are_said_to_the_tenth_and_a_spine_to_the_hundredth() {
        for (nm, said) in [
            (250_000_000, "250"),
            (10_900_000, "10.9"),
            (306_243_000, "306.2"),
            (710_385_000, "710.4"),
            (306_250_000, "306.3"),
            (49_999, "0"),
        ] {
            assert_eq!(mm(Length::from_nm(nm)), said);
        }
        assert_eq!(hundredth(Length::from_nm(11_413_000)), "11.41");
    }

    #[test]
    fn lines_keep_to_the_width_of_a_narrow_sheet() {
        let phrases = ["one phrase", "another phrase", "a third"].map(str::to_owned);
        assert_eq!(
            wrapped(&phrases, "; ", SIGN * 30),
            ["one phrase; another phrase;", "a third"]
        );
        assert_eq!(wrapped(&phrases, "; ", SIGN * 100).len(), 1);
        assert_eq!(wrapped(&phrases, "; ", SIGN * 5).len(), 3);
    }
}
