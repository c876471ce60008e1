use colour::delta_e_2000;

use crate::tolerance::percentile;
use crate::{Measurement, Strip};

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

impl Errors {
    /// Of no errors at all everything is zero.
    pub fn of(errors: impl Iterator<Item = f64>) -> Self {
        let errors: Vec<f64> = errors.collect();
        Self {
            mean: errors.iter().sum::<f64>() / errors.len().max(1) as f64,
            percentile95: percentile(&errors, 95.0).unwrap_or(0.0),
            most: errors.iter().copied().fold(0.0, f64::max),
            patches: errors.len(),
        }
    }
}

/// Each measured patch against what was intended.
pub(crate) fn measured(strip: &Strip, measurement: &Measurement) -> Vec<PatchError> {
    measurement
        .readings
        .iter()
        .filter_map(|reading| {
            let patch = strip.patches.get(reading.patch)?;
            Some(PatchError {
                patch: reading.patch,
                before: delta_e_2000(patch.intended, reading.lab),
                after: None,
            })
        })
        .collect()
}
