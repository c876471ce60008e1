//! Figures of the object: what they amount to, and where each of them comes from.

use std::fmt;

use measure::{Grammage, Length, Mass, Size};

use crate::object_wishes::Back;

/// What a figure amounts to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// So many of something.
    Count(u32),
    /// A length, a width or a thickness.
    Length(Length),
    /// Width and height.
    Size(Size),
    /// Mass per area.
    Weight(Grammage),
    /// A mass.
    Mass(Mass),
    /// g/cm³.
    Density(f64),
    /// There or not.
    Switch(bool),
    /// Shape of a back.
    Back(Back),
}

impl Amount {
    /// As it is written in the book file, without quotes: `3mm`, `135 g/m2`.
    pub fn written(&self) -> String {
        match self {
            Self::Count(count) => count.to_string(),
            Self::Length(length) => length.to_string().replace(' ', ""),
            Self::Size(size) => format!(
                "{}x{}",
                size.width.to_string().trim_end_matches(" mm"),
                size.height.to_string().replace(' ', "")
            ),
            Self::Weight(weight) => weight.to_string().replace('²', "2"),
            Self::Mass(mass) => format!("{} g", mass.grams()),
            Self::Density(density) => format!("{density} g/cm3"),
            Self::Switch(there) => there.to_string(),
            Self::Back(back) => back.word().to_owned(),
        }
    }
}

impl fmt::Display for Amount {
    /// As people read it: lengths to the hundredth of a millimetre (thin ones to the thousandth),
    /// sizes to the tenth, masses to the tenth of a gram.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Count(count) => write!(f, "{count}"),
            Self::Length(length) => f.write_str(&long(*length)),
            Self::Size(size) => f.write_str(&sheet_size(*size)),
            Self::Weight(weight) => write!(f, "{weight}"),
            Self::Mass(mass) => f.write_str(&grams(*mass)),
            Self::Density(density) => write!(f, "{density} g/cm³"),
            Self::Switch(true) => f.write_str("yes"),
            Self::Switch(false) => f.write_str("none"),
            Self::Back(back) => f.write_str(back.word()),
        }
    }
}

macro_rules! amounts {
    ($($kind:ty => $variant:ident),*) => {
        $(impl From<$kind> for Amount {
            fn from(value: $kind) -> Self {
                Self::$variant(value)
            }
        })*
    };
}

amounts!(u32 => Count, Length => Length, Size => Size, Grammage => Weight, Mass => Mass,
    f64 => Density, bool => Switch, Back => Back);

/// Where a figure comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Basis {
    /// It stands in the book file: the artist or the printer has said it.
    Given,
    /// What is usual stands in for what nobody has said yet.
    Typical,
    /// It follows from other figures.
    Reckoned,
}

impl Basis {
    /// `given`, `typical` or `reckoned`.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Given => "given",
            Self::Typical => "typical",
            Self::Reckoned => "reckoned",
        }
    }
}

/// One figure of the object.
#[derive(Debug, Clone, PartialEq)]
pub struct Dimension {
    /// What it is, within its part: `Square`.
    pub name: String,
    /// What it amounts to.
    pub amount: Amount,
    /// The amount as people read it.
    pub shown: String,
    /// Where it comes from.
    pub basis: Basis,
    /// How it comes about: the reckoning, or where a typical figure is taken from.
    pub how: String,
    /// The value of the book file that overrules it, if there is one: `case.square`.
    pub key: Option<&'static str>,
}

/// A part of the copy: its figures and its weight.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// `text`, `cover`, `endpapers`, `boards`, `spine strip`, `covering`, `bands`, `ribbons`,
    /// `jacket`, `belly band`, `slipcase`.
    pub name: String,
    /// Weight of it in one copy.
    pub mass: Mass,
    /// Its figures, in the order in which they follow from each other.
    pub dimensions: Vec<Dimension>,
}

/// One step of a reckoning that a person can follow.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Step {
    /// What is reckoned: `Block`.
    pub what: String,
    /// How: `96 leaves × 0.135 mm`.
    pub formula: String,
    /// What comes out: `12.96 mm`.
    pub result: String,
}

/// A length to the hundredth of a millimetre, a thin one to the thousandth.
pub(super) fn long(length: Length) -> String {
    let step = if length.abs() < Length::from_nm(1_000_000) {
        0.001
    } else {
        0.01
    };
    rounded(length, step)
}

/// A weight as it is read on kitchen scales: `46.2 g`.
pub(super) fn grams(mass: Mass) -> String {
    format!("{:.1} g", mass.grams())
}

/// The weight of one sheet of many, with a decimal more, so that the product can be followed.
pub(super) fn grams_of_one(mass: Mass) -> String {
    format!("{:.2} g", mass.grams())
}

/// The size of a sheet to the tenth of a millimetre.
pub(super) fn sheet_size(size: Size) -> String {
    let width = rounded(size.width, 0.1);
    let width = width.trim_end_matches(" mm");
    format!("{width} × {}", rounded(size.height, 0.1))
}

fn rounded(length: Length, step_mm: f64) -> String {
    Length::from_mm((length.mm() / step_mm).round() * step_mm).to_string()
}
