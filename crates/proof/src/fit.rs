//! Learning from a measured strip how the press departs from its condition.

use colour::{Departure, PressCondition};

use crate::{Measurement, ProofError, Strip};

/// What can be said from a measurement.
#[derive(Debug, Clone, PartialEq)]
pub enum Verdict {
    /// A departure was found whose correction helps.
    Enough(Lesson),
    /// The press does what is intended as nearly as can be told: correcting would not help.
    Right {
        /// Errors as measured.
        before: Errors,
        /// A sentence that says why nothing is proposed.
        why: String,
        /// Each patch.
        patches: Vec<PatchError>,
    },
    /// Not enough to say.
    NotEnough {
        /// A sentence that says why.
        why: String,
        /// Each patch that was measured.
        patches: Vec<PatchError>,
    },
}

/// A departure, and what undoing it promises.
#[derive(Debug, Clone, PartialEq)]
pub struct Lesson {
    /// How the press departs; replaces whatever was learned before.
    pub departure: Departure,
    /// ΔE00 of the book's own colours between intended and measured.
    pub before: Errors,
    /// The same as foretold after the correction, each patch by a fit that has not seen it.
    pub after: Errors,
    /// Each patch.
    pub patches: Vec<PatchError>,
}

/// ΔE00 over some patches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Errors {
    /// Mean.
    pub mean: f64,
    /// 95th percentile.
    pub percentile95: f64,
    /// Greatest.
    pub most: f64,
    /// How many patches.
    pub patches: usize,
}

/// One patch's errors.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PatchError {
    /// Which patch of the strip, from 0.
    pub patch: usize,
    /// ΔE00 between intended and measured.
    pub before: f64,
    /// Foretold after the correction by a fit that has not seen this patch; `None` for patches
    /// that no correction reaches (paper, solids, overprints, black tints).
    pub after: Option<f64>,
}

/// Learns how the press departs.
///
/// # Errors
/// The profile's tables fail.
pub fn learn(
    strip: &Strip,
    measurement: &Measurement,
    press: &PressCondition,
) -> Result<Verdict, ProofError> {
    let _ = (strip, measurement, press);
    todo!()
}
