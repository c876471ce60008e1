//! The loop from the dummy: what the bindery's blank book measures teaches the true thickness of
//! its papers and boards, so that spine, cover and mass of the real one follow.
//!
//! # Which figure learns from which measurement
//! - Boards, a cover sheet and an endpaper that were measured by themselves are taken as measured.
//! - One leaf is the block ÷ leaves; without a block, the spine less all that is not text, ÷ leaves.
//! - What a measured spine has beyond a measured block and the rest is, in this order: the boards of
//!   a case whose boards were not measured; otherwise the swell of a sewn back; otherwise two
//!   thicknesses of a glued soft cover that was not measured.
//! - A mass gives the weight of the text paper.
//!
//! A typical figure gives way to a measured one. A figure that somebody has given gives way only
//! where it lies further from the measured one than that is likely to be off.

mod bench;

use finding::Finding;
use measure::{Length, Mass};

use bench::Bench;

use super::MeasuredError;
use super::shelf::{tools, within};
use super::source::{Accepted, edit};
use super::unsure::{Tools, Unsure};
use crate::edit::Edit;
use crate::model::{BindingKind, Book};
use crate::object::Object;

/// What was measured on a blank dummy.
#[derive(Debug, Clone, PartialEq)]
pub struct DummyMeasured {
    /// Pages of the dummy; those of the book unless said.
    pub pages: Option<u32>,
    /// Thickness of all leaves, pressed, without cover, boards and endpapers.
    pub block: Option<Length>,
    /// Width of the spine, from edge to edge; over a round back, along its arc.
    pub spine: Option<Length>,
    /// What the dummy weighs, bound, without jacket, band and slipcase.
    pub mass: Option<Mass>,
    /// Thickness of one board of a case.
    pub board: Option<Length>,
    /// Thickness of one sheet of a soft cover.
    pub cover: Option<Length>,
    /// Thickness of one leaf of an endpaper.
    pub endpaper: Option<Length>,
    /// How far the tools may be off.
    pub tools: Tools,
}

/// The unit of a compared figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unit {
    /// Millimetres.
    Millimetre,
    /// Micrometres.
    Micrometre,
    /// Grams.
    Gram,
    /// Grams to the square metre.
    GramPerSquareMetre,
}

impl Unit {
    /// `mm`, `µm`, `g`, `g/m²`.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Millimetre => "mm",
            Self::Micrometre => "µm",
            Self::Gram => "g",
            Self::GramPerSquareMetre => "g/m²",
        }
    }

    const fn decimals(self) -> usize {
        match self {
            Self::Millimetre => 2,
            Self::Micrometre | Self::Gram | Self::GramPerSquareMetre => 1,
        }
    }

    /// A figure as it is read, without its unit.
    pub fn shown(self, value: f64) -> String {
        format!("{value:.*}", self.decimals())
    }
}

/// One figure: what was foretold, what was measured, and what is foretold once the measurement is
/// accepted.
#[derive(Debug, Clone, PartialEq)]
pub struct Compared {
    /// `Block`, `Spine`, `One leaf`, `Board`, `Cover sheet`, `Endpaper`, `Swell`, `Copy`,
    /// `Text paper`.
    pub what: &'static str,
    /// Its unit.
    pub unit: Unit,
    /// As the book foretold it for the pages of the dummy.
    pub predicted: f64,
    /// As measured, or as it follows from what was.
    pub measured: Unsure,
    /// As the book foretells it with the lessons.
    pub after: f64,
}

impl Compared {
    /// Whether what was foretold lies within what the measurement is likely to be off.
    pub fn fits(&self) -> bool {
        (self.measured.value - self.predicted).abs() <= self.measured.likely
    }
}

/// A figure of the book that the dummy puts right.
#[derive(Debug, Clone, PartialEq)]
pub struct Lesson {
    /// Dotted key: `stock.text.caliper`.
    pub key: &'static str,
    /// What people call it.
    pub what: &'static str,
    /// As it stands now, with where that comes from: `0.135 mm, typical`.
    pub before: String,
    /// As it is written in the book file once accepted; empty takes the key out.
    pub value: String,
    /// How it follows, as a sentence.
    pub how: String,
}

/// What a dummy teaches.
#[derive(Debug, Clone, PartialEq)]
pub struct DummyRead {
    /// Pages of the dummy.
    pub pages: u32,
    /// Foretold against measured.
    pub compared: Vec<Compared>,
    /// What would change in the book.
    pub lessons: Vec<Lesson>,
    /// Figures that stay, each as a sentence that says why.
    pub kept: Vec<String>,
    /// What to be careful about.
    pub findings: Vec<Finding>,
}

impl DummyRead {
    /// Holds a dummy against the book, whose object is given.
    ///
    /// # Errors
    /// Nothing was measured, figures that no book has, or figures that contradict each other.
    pub fn of(
        book: &Book,
        object: &Object,
        measured: &DummyMeasured,
    ) -> Result<Self, MeasuredError> {
        check(book, measured)?;
        let pages = measured.pages.unwrap_or(object.pages);
        if pages < 4 || pages % 2 == 1 {
            return Err(MeasuredError::Nothing {
                missing: "a dummy has at least 4 pages, two on every leaf; say how many it has",
            });
        }
        Bench::new(book, object, measured, pages).learned(measured)
    }

    /// All lessons as one change of the book, each with its source in words; `None` when the dummy
    /// has nothing to teach.
    pub fn edit(&self, source: &str) -> Option<Edit> {
        let accepted: Vec<Accepted> = self
            .lessons
            .iter()
            .map(|lesson| Accepted {
                key: lesson.key,
                value: lesson.value.clone(),
            })
            .collect();
        let names: Vec<&str> = self.lessons.iter().map(|lesson| lesson.what).collect();
        let what = format!("Took in {} from {source}", names.join(", "));
        edit(&accepted, source, &what)
    }
}

fn check(book: &Book, measured: &DummyMeasured) -> Result<(), MeasuredError> {
    let length = |what, length: Option<Length>, least: f64, most: f64, range| {
        length.map_or(Ok(()), |length| {
            within(what, length.mm(), length.to_string(), least, most, range)
        })
    };
    length("the block", measured.block, 0.5, 200.0, "0.5 to 200 mm")?;
    length("the spine", measured.spine, 0.5, 300.0, "0.5 to 300 mm")?;
    length("the board", measured.board, 1.0, 5.0, "1 to 5 mm")?;
    length("the cover sheet", measured.cover, 0.02, 2.0, "0.02 to 2 mm")?;
    length("the endpaper", measured.endpaper, 0.02, 1.0, "0.02 to 1 mm")?;
    if let Some(mass) = measured.mass {
        within(
            "the mass",
            mass.grams(),
            mass.to_string(),
            5.0,
            20_000.0,
            "5 g to 20 kg",
        )?;
    }
    if let Some(pages) = measured.pages {
        within(
            "the number of pages",
            f64::from(pages),
            pages.to_string(),
            4.0,
            2000.0,
            "4 to 2,000",
        )?;
    }
    let kind = book.binding.kind;
    let is_case = kind == BindingKind::SewnCase;
    if kind == BindingKind::WireStitched && measured.spine.is_some() {
        return Err(MeasuredError::Contradiction {
            why: "a wire-stitched book has a fold and no spine; measure its block".to_owned(),
        });
    }
    if !is_case && (measured.board.is_some() || measured.endpaper.is_some()) {
        return Err(MeasuredError::Contradiction {
            why: format!("a {} book has no boards and no endpapers", kind.word()),
        });
    }
    if is_case && measured.cover.is_some() {
        return Err(MeasuredError::Contradiction {
            why: "a case has boards; measure those instead of a cover sheet".to_owned(),
        });
    }
    let any = [
        measured.block,
        measured.spine,
        measured.board,
        measured.cover,
        measured.endpaper,
    ];
    let smallest = [measured.block, measured.spine, measured.board]
        .into_iter()
        .flatten()
        .min();
    if any.iter().all(Option::is_none) && measured.mass.is_none() {
        return Err(MeasuredError::Nothing {
            missing: "nothing was measured: a dummy teaches by its block, its spine or its mass",
        });
    }
    // A single sheet under a ruler says nothing.
    let thinnest = [measured.cover, measured.endpaper]
        .into_iter()
        .flatten()
        .chain(smallest)
        .min();
    tools(measured.tools, thinnest.unwrap_or(Length::from_mm(100.0)))
}
