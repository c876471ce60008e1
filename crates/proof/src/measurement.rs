use colour::Lab;

use crate::cgats::Cgats;
use crate::{Mark, ProofError, Strip};

/// How lines of a measurement were told to be which patch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Matched {
    /// By the patches' names.
    Names,
    /// By the inks beside the colours.
    Inks,
    /// By their order, checked against the colours.
    Order,
    /// By their place in a scan.
    Place,
}

/// One patch as it came from the press.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reading {
    /// Which patch of the strip, from 0.
    pub patch: usize,
    /// Its colour; absolute, D50.
    pub lab: Lab,
    /// How uneven it was: standard deviation in ΔE, where that is known.
    pub spread: Option<f64>,
}

/// A measured strip. Each patch is read at most once.
#[derive(Debug, Clone, PartialEq)]
pub struct Measurement {
    /// Readings in the patches' order.
    pub readings: Vec<Reading>,
    /// Patches without a reading, from 0.
    pub missing: Vec<usize>,
    /// How they were told apart.
    pub matched: Matched,
    /// The mark that came with it.
    pub mark: Option<Mark>,
    /// What had to be assumed or put right, as sentences.
    pub remarks: Vec<String>,
}

impl Measurement {
    /// Finds each line's patch: by name, else by ink, else by order.
    ///
    /// `expected` is the strip's own mark; without a page any page will do.
    ///
    /// # Errors
    /// The measurement is of another strip, or its lines cannot be told apart.
    pub fn match_to(strip: &Strip, expected: &Mark, cgats: &Cgats) -> Result<Self, ProofError> {
        let _ = (strip, expected, cgats);
        todo!()
    }

    /// A measurement from a scan: patch, colour and spread of each that was seen.
    pub fn of_scan(strip: &Strip, mark: Option<Mark>, seen: &[(usize, Lab, f64)]) -> Self {
        let _ = (strip, mark, seen);
        todo!()
    }
}
