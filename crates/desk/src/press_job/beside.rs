//! What stands around a sheet beside the pages: its ticks, and the lines by which a printer knows it
//! without asking: what it is, how large, what its ticks and panels mean, and which plates it has.

use book::object::{Allowance, FlatSheet};
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
    let lines = lines(&about.title, &flat.flat, &plates);
    Beside::of_sheet(&flat.flat, &lines, &about.language)
}

fn lines(title: &str, flat: &FlatSheet, plates: &[String]) -> Vec<String> {
    let Size { width, height } = flat.trim;
    let mut name = vec![format!(
        "{title}: {}, {} × {} mm",
        flat.kind.word(),
        mm(width),
        mm(height)
    )];
    if let Some(spine) = flat.panel("spine") {
        name.push(format!("spine {} mm", mm(spine.rect.width)));
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

/// Millimetres to the hundredth, which no guillotine keeps, half of one upwards: `250`, `10.9`,
/// `306.24`.
fn mm(length: Length) -> String {
    let hundredths = (length.nm() + 5_000).div_euclid(10_000);
    let text = format!("{}.{:02}", hundredths / 100, hundredths % 100);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use book::object::Object;
    use book::plan::Plan;

    fn flats(kind: &str, more: &str) -> Vec<FlatSheet> {
        let mut text = format!(
            "[book]\ntitle = \"Tide\"\n[format]\ntrim = \"250x300mm\"\n[binding]\nkind = \
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
        Object::of(&book, &plan).flats
    }

    #[test]
    fn a_printer_reads_size_edge_ticks_panels_and_plates() {
        let cover = &flats("sewn soft", "[flaps]\nwidth = \"110mm\"")[0];
        assert_eq!(
            lines(
                "Tide",
                cover,
                &["moon varnish (spot varnish, clear)".to_owned()]
            ),
            [
                "Tide: soft cover, 725.74 × 300 mm, spine 5.74 mm, printed on one side",
                "Bleed 3 mm; whole ticks: cut; dashed ticks: fold",
                "From the left in mm: back flap 110, back 250, spine 5.74, front 250, front flap 110",
                "Plates beside the inks: moon varnish (spot varnish, clear)",
            ]
        );
        let case = flats("sewn case", "[endpapers]\nground = \"10 0 0 0\"");
        let of = |name: &str| {
            let flat = case.iter().find(|flat| flat.name() == name).unwrap();
            lines("Tide", flat, &[]).join("\n")
        };
        let wrap = of("case wrap");
        assert!(wrap.contains("Turned in by"), "{wrap}");
        assert!(
            wrap.contains("back hinge") && !wrap.contains("turn-in"),
            "{wrap}"
        );
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
    fn lengths_are_said_to_the_hundredth() {
        for (nm, said) in [
            (250_000_000, "250"),
            (10_900_000, "10.9"),
            (306_243_000, "306.24"),
            // Panels of 259.4875 are 259.49 each, so that the whole must not be 710.38.
            (710_385_000, "710.39"),
            (4_999, "0"),
        ] {
            assert_eq!(mm(Length::from_nm(nm)), said);
        }
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
