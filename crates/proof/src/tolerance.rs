//! Published tolerances of a proof, each with how it came to us.

use crate::{Measurement, Strip};

/// How a figure came to us.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Status {
    /// Read in a secondary source; the standard itself was not read.
    Read,
    /// From memory.
    Memory,
}

/// What is held against a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Item {
    /// Mean ΔE00 of all patches.
    Mean,
    /// Greatest ΔE00 of all patches.
    Most,
    /// 95th percentile of ΔE00 of all patches.
    Percentile95,
    /// ΔE00 of the paper.
    Paper,
    /// Greatest ΔE00 of the four solids.
    Solids,
    /// Greatest hue difference of the cyan, magenta and yellow solids, ΔH*ab.
    SolidsHue,
    /// Mean chromaticness difference of the greys of three inks, ΔCh.
    GreyMean,
    /// Greatest chromaticness difference of the greys of three inks, ΔCh.
    GreyMost,
}

/// One limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limit {
    /// What it is for.
    pub item: Item,
    /// Most that is allowed.
    pub most: f64,
    /// Unit: `ΔE00`, `ΔCh` or `ΔH`.
    pub unit: &'static str,
    /// How it came to us.
    pub status: Status,
    /// Where it was read.
    pub origin: &'static str,
}

/// One limit held against a measurement.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judged {
    /// The limit.
    pub limit: Limit,
    /// What was found.
    pub found: f64,
    /// Whether it is within the limit.
    pub holds: bool,
    /// The worst patch, where one decides.
    pub patch: Option<usize>,
}

impl Item {
    /// Plain words, such as `all patches, mean`.
    pub fn words(self) -> &'static str {
        todo!()
    }
}

/// ISO 12647-7:2016 as far as known; ours to edit.
pub fn published() -> Vec<Limit> {
    todo!()
}

/// Holds a measurement against limits; what was not measured is left out.
pub fn judge(strip: &Strip, measurement: &Measurement, limits: &[Limit]) -> Vec<Judged> {
    let _ = (strip, measurement, limits);
    todo!()
}
