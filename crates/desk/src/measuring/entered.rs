//! From what somebody typed to what was measured.

use std::str::FromStr;

use book::BindingKind;
use book::measured::Tools;
use book::measured::dummy::DummyMeasured;
use book::measured::shelf::OnTheShelf;
use measure::{Length, Mass, Size};

use super::Fields;
use crate::DeskError;

/// A book on the shelf, and what it is called.
pub(super) fn shelf(fields: Fields<'_>) -> Result<(String, OnTheShelf), DeskError> {
    let form = Form { fields };
    form.only(&[
        "name", "kind", "width", "height", "block", "pages", "mass", "board", "finish", "with",
        "ruler", "gauge", "scale",
    ])?;
    let measured = OnTheShelf {
        kind: form
            .word("kind", &BINDINGS)?
            .ok_or_else(|| missing("kind", "how it is bound"))?,
        page: Size {
            width: form.needed("width", "the width of a page")?,
            height: form.needed("height", "the height of a page")?,
        },
        block: form.needed("block", "the thickness of the block")?,
        pages: form
            .count("pages")?
            .ok_or_else(|| missing("pages", "the number of its pages"))?,
        mass: form
            .mass("mass")?
            .ok_or_else(|| missing("mass", "what it weighs"))?,
        board: form.length("board")?,
        with: form
            .text("with")
            .unwrap_or_default()
            .split(',')
            .map(|part| part.trim().to_lowercase())
            .filter(|part| !part.is_empty())
            .collect(),
        weighed: form.weighed()?,
        finish: form.word("finish", &FINISHES)?,
        tools: form.tools()?,
    };
    Ok((form.text("name").unwrap_or_default().to_owned(), measured))
}

/// A dummy.
pub(super) fn dummy(fields: Fields<'_>) -> Result<DummyMeasured, DeskError> {
    let form = Form { fields };
    form.only(&[
        "pages", "block", "spine", "mass", "board", "cover", "endpaper", "ruler", "gauge", "scale",
    ])?;
    Ok(DummyMeasured {
        pages: form.count("pages")?,
        block: form.length("block")?,
        spine: form.length("spine")?,
        mass: form.mass("mass")?,
        board: form.length("board")?,
        cover: form.length("cover")?,
        endpaper: form.length("endpaper")?,
        tools: form.tools()?,
    })
}

/// Figures of a template, whatever their names.
pub(super) fn lengths(fields: Fields<'_>) -> Result<Vec<(String, Length)>, DeskError> {
    let form = Form { fields };
    let mut lengths = Vec::new();
    for (name, _) in fields {
        if let Some(length) = form.length(name)? {
            lengths.push(((*name).to_owned(), length));
        }
    }
    Ok(lengths)
}

const BINDINGS: [(&str, BindingKind); 4] = [
    ("sewn case", BindingKind::SewnCase),
    ("sewn soft", BindingKind::SewnSoft),
    ("glued soft", BindingKind::GluedSoft),
    ("wire-stitched", BindingKind::WireStitched),
];

const FINISHES: [(&str, book::Finish); 4] = [
    ("gloss", book::Finish::Gloss),
    ("silk", book::Finish::Silk),
    ("matt", book::Finish::Matt),
    ("uncoated", book::Finish::Uncoated),
];

/// Before the name of a part that was weighed by itself.
const WEIGHED: &str = "weighed ";

struct Form<'f> {
    fields: Fields<'f>,
}

impl<'f> Form<'f> {
    /// What was typed under a name, if anything was.
    fn text(&self, name: &str) -> Option<&'f str> {
        self.fields
            .iter()
            .find(|(known, _)| *known == name)
            .map(|(_, value)| value.trim())
            .filter(|value| !value.is_empty())
    }

    fn only(&self, known: &[&str]) -> Result<(), DeskError> {
        let strange = self
            .fields
            .iter()
            .find(|(name, _)| !known.contains(name) && !name.starts_with(WEIGHED));
        match strange {
            None => Ok(()),
            Some((name, _)) => Err(DeskError::new(
                (*name).to_owned(),
                "there is no such figure here",
                format!("There are {}.", known.join(", ")),
            )),
        }
    }

    fn length(&self, name: &str) -> Result<Option<Length>, DeskError> {
        let Some(typed) = self.text(name) else {
            return Ok(None);
        };
        let text = with_unit(typed, "mm");
        Length::from_str(&text).map(Some).map_err(|error| {
            DeskError::new(
                name,
                error.to_string(),
                "Give a length with its unit, such as `12.5mm` or `8.5in`.",
            )
        })
    }

    fn needed(&self, name: &'static str, what: &str) -> Result<Length, DeskError> {
        self.length(name)?.ok_or_else(|| missing(name, what))
    }

    fn mass(&self, name: &str) -> Result<Option<Mass>, DeskError> {
        let Some(typed) = self.text(name) else {
            return Ok(None);
        };
        mass(typed).map(Some).ok_or_else(|| {
            DeskError::new(
                name,
                format!("`{typed}` is no mass"),
                "Give it with its unit, such as `512 g`, `1.2 kg`, `18 oz` or `1.1 lb`.",
            )
        })
    }

    fn count(&self, name: &str) -> Result<Option<u32>, DeskError> {
        let Some(typed) = self.text(name) else {
            return Ok(None);
        };
        typed.parse().map(Some).map_err(|_| {
            DeskError::new(
                name,
                format!("`{typed}` is no number of pages"),
                "Give a whole number, such as `192`.",
            )
        })
    }

    fn word<T: Copy>(&self, name: &str, known: &[(&str, T)]) -> Result<Option<T>, DeskError> {
        let Some(typed) = self.text(name) else {
            return Ok(None);
        };
        let found = known
            .iter()
            .find(|(word, _)| word.eq_ignore_ascii_case(typed));
        match found {
            Some((_, value)) => Ok(Some(*value)),
            None => {
                let words: Vec<&str> = known.iter().map(|(word, _)| *word).collect();
                Err(DeskError::new(
                    name,
                    format!("`{typed}` is not known here"),
                    format!("Choose one of {}.", words.join(", ")),
                ))
            }
        }
    }

    fn weighed(&self) -> Result<Vec<(String, Mass)>, DeskError> {
        let mut weighed = Vec::new();
        for (name, _) in self.fields {
            if let Some(part) = name.strip_prefix(WEIGHED)
                && let Some(mass) = self.mass(name)?
            {
                weighed.push((part.trim().to_lowercase(), mass));
            }
        }
        Ok(weighed)
    }

    /// A gauge is the ruler unless said.
    fn tools(&self) -> Result<Tools, DeskError> {
        let usual = Tools::household();
        let ruler = self.length("ruler")?.unwrap_or(usual.ruler);
        Ok(Tools {
            ruler,
            gauge: self.length("gauge")?.unwrap_or(ruler),
            scale: self.mass("scale")?.unwrap_or(usual.scale),
        })
    }
}

fn missing(name: &str, what: &str) -> DeskError {
    DeskError::new(
        name,
        format!("{what} is missing"),
        "Measure it, and give it with its unit.",
    )
}

/// A number alone gets its unit; a comma between digits counts as a point.
fn with_unit(typed: &str, unit: &str) -> String {
    let text = typed.replace(',', ".");
    if text.parse::<f64>().is_ok() {
        format!("{text}{unit}")
    } else {
        text
    }
}

/// A mass in grams, kilograms, ounces of 28.349523125 g or pounds of 453.59237 g.
fn mass(typed: &str) -> Option<Mass> {
    let text = with_unit(typed, "g");
    let text = text.trim();
    let digits = text
        .find(|letter: char| !(letter.is_ascii_digit() || letter == '.'))
        .unwrap_or(text.len());
    let (number, unit) = text.split_at(digits);
    let factor = match unit.trim() {
        "g" => 1.0,
        "kg" => 1000.0,
        "oz" => 28.349_523_125,
        "lb" | "lbs" => 453.592_37,
        _ => return None,
    };
    let grams = number.parse::<f64>().ok()? * factor;
    (0.0..=1e6)
        .contains(&grams)
        .then(|| Mass::from_grams(grams))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_without_units_are_millimetres_and_grams() {
        let fields = [
            ("block", "12,5"),
            ("mass", "1.2 kg"),
            ("spine", ""),
            ("scale", "2"),
        ];
        let dummy = dummy(&fields).unwrap();
        assert_eq!(dummy.block, Some(Length::from_mm(12.5)));
        assert_eq!(dummy.mass, Some(Mass::from_grams(1200.0)));
        assert_eq!(dummy.spine, None);
        assert_eq!(dummy.tools.scale, Mass::from_grams(2.0));
    }

    #[test]
    fn what_cannot_be_read_says_so_with_its_name() {
        let wrong = |name: &str, value: &str| dummy(&[(name, value)]).unwrap_err().to_string();
        assert_eq!(wrong("mass", "heavy"), "mass: `heavy` is no mass");
        assert_eq!(
            wrong("thickness", "3"),
            "thickness: there is no such figure here"
        );
        assert!(wrong("block", "12 ells").starts_with("block: `ells`"));
        assert!(wrong("pages", "-4").contains("no number of pages"));
    }

    proptest::proptest! {
        #[test]
        fn nothing_typed_makes_it_fall(value in ".{0,40}") {
            for name in ["pages", "block", "mass", "scale"] {
                let _ = dummy(&[(name, &value)]);
            }
            let _ = shelf(&[("with", &value), ("kind", &value), ("weighed cover", &value)]);
        }
    }
}
