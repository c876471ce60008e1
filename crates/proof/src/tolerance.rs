//! Published tolerances of a proof, each with how it came to us.

use colour::{Lab, delta_e_2000};

use crate::{Measurement, PatchKind, Strip};

/// What must be said beside every judgement.
pub const CAUTION: &str = "The limits are written for a standard control wedge; here they are held \
    against this book's own strip. The standard's text was not read.";

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
    /// Mean chromaticness difference of the greys, ΔCh: the distance in a*, b*. The standard means
    /// greys of cyan, magenta and yellow; ours are the art's own greys.
    GreyMean,
    /// Greatest chromaticness difference of the greys, ΔCh.
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
        match self {
            Self::Mean => "all patches, mean",
            Self::Most => "all patches, worst",
            Self::Percentile95 => "all patches, 95 of 100",
            Self::Paper => "paper",
            Self::Solids => "solids, worst",
            Self::SolidsHue => "hue of cyan, magenta and yellow, worst",
            Self::GreyMean => "greys, mean",
            Self::GreyMost => "greys, worst",
        }
    }
}

/// ISO 12647-7:2016 as far as known; the figures are for whoever shows them to edit.
///
/// Sources stand beside each; what is marked as from memory was read nowhere.
pub fn published() -> Vec<Limit> {
    const STANDARD: &str = "ISO 12647-7:2016, from memory";
    const TRAINING: &str = "ISO 12647-7:2016 as taught by a training module on quality assurance";
    const NOTE: &str = "ISO 12647-7:2016 as quoted by a public research note";
    let limit = |item, most, unit, status, origin| Limit {
        item,
        most,
        unit,
        status,
        origin,
    };
    vec![
        limit(Item::Mean, 2.5, "ΔE00", Status::Read, TRAINING),
        limit(Item::Percentile95, 5.0, "ΔE00", Status::Read, TRAINING),
        limit(Item::Most, 5.0, "ΔE00", Status::Read, NOTE),
        limit(Item::Paper, 3.0, "ΔE00", Status::Memory, STANDARD),
        limit(Item::Solids, 3.0, "ΔE00", Status::Memory, STANDARD),
        limit(Item::SolidsHue, 2.5, "ΔH", Status::Memory, STANDARD),
        limit(Item::GreyMean, 2.0, "ΔCh", Status::Read, NOTE),
        limit(Item::GreyMost, 3.5, "ΔCh", Status::Read, NOTE),
    ]
}

/// Holds a measurement against limits; what was not measured is left out.
pub fn judge(strip: &Strip, measurement: &Measurement, limits: &[Limit]) -> Vec<Judged> {
    limits
        .iter()
        .filter_map(|&limit| {
            let (found, patch) = found(strip, measurement, limit.item)?;
            Some(Judged {
                limit,
                found,
                // Both are shown with one decimal; half of its last digit decides nothing.
                holds: found <= limit.most + 1e-9,
                patch,
            })
        })
        .collect()
}

fn found(strip: &Strip, measurement: &Measurement, item: Item) -> Option<(f64, Option<usize>)> {
    let differences = |wanted: &dyn Fn(PatchKind, [u8; 4]) -> bool,
                       difference: fn(Lab, Lab) -> f64| {
        measurement
            .readings
            .iter()
            .filter_map(|reading| {
                let patch = strip.patches.get(reading.patch)?;
                wanted(patch.kind, patch.ink)
                    .then(|| (difference(patch.intended, reading.lab), reading.patch))
            })
            .collect::<Vec<_>>()
    };
    let all = |_, _| true;
    let greys = |kind, _| kind == PatchKind::ArtGrey;
    match item {
        Item::Mean => mean(&differences(&all, delta_e_2000)),
        Item::Most => most(&differences(&all, delta_e_2000)),
        Item::Percentile95 => {
            let values: Vec<f64> = differences(&all, delta_e_2000)
                .into_iter()
                .map(|(value, _)| value)
                .collect();
            percentile(&values, 95.0).map(|value| (value, None))
        }
        Item::Paper => most(&differences(
            &|kind, _| kind == PatchKind::Paper,
            delta_e_2000,
        )),
        Item::Solids => most(&differences(
            &|kind, _| kind == PatchKind::Solid,
            delta_e_2000,
        )),
        Item::SolidsHue => most(&differences(
            &|kind, ink: [u8; 4]| kind == PatchKind::Solid && ink[3] == 0,
            hue_difference,
        )),
        Item::GreyMean => mean(&differences(&greys, off_grey)),
        Item::GreyMost => most(&differences(&greys, off_grey)),
    }
}

fn mean(values: &[(f64, usize)]) -> Option<(f64, Option<usize>)> {
    let sum: f64 = values.iter().map(|(value, _)| value).sum();
    (!values.is_empty()).then(|| (sum / values.len() as f64, None))
}

fn most(values: &[(f64, usize)]) -> Option<(f64, Option<usize>)> {
    values
        .iter()
        .max_by(|one, other| one.0.total_cmp(&other.0))
        .map(|&(value, patch)| (value, Some(patch)))
}

/// The smallest value that at least this percentage of values do not pass (nearest rank).
pub(crate) fn percentile(values: &[f64], percent: f64) -> Option<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let rank = (sorted.len() as f64 * percent / 100.0).ceil().max(1.0) as usize;
    sorted.get(rank - 1).copied()
}

/// ΔH*ab: what of the difference in a*, b* is no difference in chroma (CIE 15:2004, 8.2.2).
fn hue_difference(one: Lab, other: Lab) -> f64 {
    let chroma = one.chroma() - other.chroma();
    (off_grey(one, other).powi(2) - chroma.powi(2))
        .max(0.0)
        .sqrt()
}

fn off_grey(one: Lab, other: Lab) -> f64 {
    (one.a - other.a).hypot(one.b - other.b)
}
