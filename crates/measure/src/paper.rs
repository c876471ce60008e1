use std::fmt;
use std::str::FromStr;

use crate::parse::{MeasureError, number_and_unit, strange_unit};
use crate::{Length, Size};

/// Mass of a square metre of paper, held as whole milligrams. Between 1 and 5,000 g/m².
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Grammage(u32);

/// The sheet whose 500-sheet ream gives a US basis weight its meaning.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum BasisSheet {
    /// Bond, writing, ledger: 17 × 22 in.
    Bond,
    /// Text, book, offset: 25 × 38 in.
    Text,
    /// Cover: 20 × 26 in.
    Cover,
    /// Index: 25.5 × 30.5 in.
    Index,
    /// Tag, newsprint: 24 × 36 in.
    Tag,
    /// Printing bristol: 22.5 × 28.5 in.
    Bristol,
}

impl BasisSheet {
    /// Width × height of the basis sheet in inches.
    ///
    /// Source: PrintWiki "Grammage" and "Basis Weight", as listed in the table of basis weights
    /// that the tests read.
    pub const fn inches(self) -> (f64, f64) {
        match self {
            Self::Bond => (17.0, 22.0),
            Self::Text => (25.0, 38.0),
            Self::Cover => (20.0, 26.0),
            Self::Index => (25.5, 30.5),
            Self::Tag => (24.0, 36.0),
            Self::Bristol => (22.5, 28.5),
        }
    }

    fn from_word(word: &str) -> Option<Self> {
        Some(match word {
            "bond" | "writing" | "ledger" => Self::Bond,
            "text" | "book" | "offset" => Self::Text,
            "cover" => Self::Cover,
            "index" => Self::Index,
            "tag" | "newsprint" => Self::Tag,
            "bristol" => Self::Bristol,
            _ => return None,
        })
    }
}

impl Grammage {
    /// From grams per square metre, rounded to the milligram; `None` outside 1 to 5,000.
    pub fn from_gsm(gsm: f64) -> Option<Self> {
        (1.0..=5000.0)
            .contains(&gsm)
            .then(|| Self((gsm * 1000.0).round() as u32))
    }

    /// From a US basis weight in pounds: lb × 453.59237 g / (500 sheets × sheet area).
    pub fn from_basis_weight(pounds: f64, sheet: BasisSheet) -> Option<Self> {
        const GRAMS_PER_POUND: f64 = 453.592_37;
        const SQUARE_METRES_PER_SQUARE_INCH: f64 = 0.000_645_16;
        let (width, height) = sheet.inches();
        Self::from_gsm(
            pounds * GRAMS_PER_POUND / (500.0 * width * height * SQUARE_METRES_PER_SQUARE_INCH),
        )
    }

    /// Grams per square metre.
    pub fn gsm(self) -> f64 {
        f64::from(self.0) / 1000.0
    }

    /// The mass of one sheet of this size.
    pub fn mass_of(self, sheet: Size) -> Mass {
        Mass::from_grams(self.gsm() * sheet.square_metres())
    }
}

impl FromStr for Grammage {
    type Err = MeasureError;

    /// Reads `150 g/m2`, `150gsm` or a US basis weight with its grade: `80 lb text`, `100# cover`.
    fn from_str(text: &str) -> Result<Self, MeasureError> {
        const EXPECTED: &str = "a paper weight such as `150 g/m2` or `80 lb text`";
        let (value, unit) = number_and_unit(text, EXPECTED)?;
        let unit = unit.to_lowercase();
        let out_of_range = || MeasureError::OutOfRange {
            found: text.to_owned(),
            range: "1 to 5,000 g/m²",
        };
        if matches!(unit.as_str(), "g/m2" | "g/m²" | "gsm" | "g") {
            return Self::from_gsm(value).ok_or_else(out_of_range);
        }
        for pound in ["lbs", "lb", "#"] {
            if let Some(grade) = unit.strip_prefix(pound) {
                return match BasisSheet::from_word(grade.trim()) {
                    Some(sheet) => Self::from_basis_weight(value, sheet).ok_or_else(out_of_range),
                    None => Err(MeasureError::Unreadable {
                        expected: "a basis weight with its grade, such as `80 lb text`, \
                                   `100 lb cover` or `24 lb bond`",
                        found: text.to_owned(),
                    }),
                };
            }
        }
        Err(strange_unit(
            &unit,
            text,
            EXPECTED,
            "g/m2, or lb with a grade (text, cover, bond, index, tag, bristol)",
        ))
    }
}

impl fmt::Display for Grammage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = format!("{:.1}", self.gsm());
        write!(f, "{} g/m²", text.trim_end_matches(".0"))
    }
}

/// Apparent specific volume in cm³/g (ISO 534): thickness in µm over grammage. 0.3 to 4.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Bulk(f64);

impl Bulk {
    /// From cm³/g; `None` outside 0.3 to 4.
    pub fn from_cm3_per_g(value: f64) -> Option<Self> {
        (0.3..=4.0).contains(&value).then_some(Self(value))
    }

    /// cm³/g.
    pub const fn cm3_per_g(self) -> f64 {
        self.0
    }

    /// Thickness of one sheet: grammage × bulk, in micrometres.
    pub fn caliper(self, grammage: Grammage) -> Length {
        Length::from_um(grammage.gsm() * self.0)
    }
}

impl FromStr for Bulk {
    type Err = MeasureError;

    /// Reads `0.9 cm3/g` or the British `vol 18` (ten times cm³/g).
    fn from_str(text: &str) -> Result<Self, MeasureError> {
        let out_of_range = || MeasureError::OutOfRange {
            found: text.to_owned(),
            range: "0.3 to 4 cm³/g",
        };
        const EXPECTED: &str = "a bulk such as `0.9 cm3/g` or `vol 18`";
        if let Some(volume) = text.trim().strip_prefix("vol") {
            let (value, _) = number_and_unit(volume, "a volume such as `vol 18`")?;
            return Self::from_cm3_per_g(value / 10.0).ok_or_else(out_of_range);
        }
        let (value, unit) = number_and_unit(text, EXPECTED)?;
        match unit {
            "cm3/g" | "cm³/g" => Self::from_cm3_per_g(value).ok_or_else(out_of_range),
            other => Err(strange_unit(
                other,
                text,
                EXPECTED,
                "cm3/g, or `vol` before the number",
            )),
        }
    }
}

impl fmt::Display for Bulk {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.2} cm³/g", self.0)
    }
}

/// A mass, held as whole micrograms.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Mass(i64);

impl Mass {
    /// Nothing at all.
    pub const ZERO: Self = Self(0);

    /// From grams, rounded to the microgram.
    pub fn from_grams(grams: f64) -> Self {
        Self((grams * 1e6).round() as i64)
    }

    /// Grams.
    pub fn grams(self) -> f64 {
        self.0 as f64 / 1e6
    }
}

impl std::ops::Add for Mass {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl std::ops::Mul<i64> for Mass {
    type Output = Self;
    fn mul(self, times: i64) -> Self {
        Self(self.0 * times)
    }
}

impl std::iter::Sum for Mass {
    fn sum<I: Iterator<Item = Self>>(masses: I) -> Self {
        masses.fold(Self::ZERO, std::ops::Add::add)
    }
}

impl fmt::Display for Mass {
    /// Whole grams, or kilograms with two decimals from 1 kg up: `936 g`, `1.25 kg`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.0 >= 1_000_000_000 {
            write!(f, "{:.2} kg", self.grams() / 1000.0)
        } else {
            write!(f, "{:.0} g", self.grams())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_leaf_of_a4_at_eighty_grams_weighs_just_under_five() {
        let mass = Grammage::from_gsm(80.0)
            .unwrap()
            .mass_of(Size::from_mm(210.0, 297.0));
        assert!((mass.grams() - 4.9896).abs() < 1e-9);
    }

    #[test]
    fn a_basis_weight_needs_its_grade() {
        let text: Grammage = "80 lb text".parse().unwrap();
        assert!((text.gsm() - 118.412).abs() < 0.001);
        assert!("80 lb".parse::<Grammage>().is_err());
        assert!("80# cover".parse::<Grammage>().unwrap() > text);
        assert!("150 oz".parse::<Grammage>().is_err());
    }

    #[test]
    fn bulk_reads_in_both_customs() {
        let bulk: Bulk = "vol 18".parse().unwrap();
        assert_eq!(bulk, "1.8 cm3/g".parse().unwrap());
        assert_eq!(
            bulk.caliper(Grammage::from_gsm(80.0).unwrap()),
            Length::from_um(144.0)
        );
    }
}
