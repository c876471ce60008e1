use colour::{Lab, PressCondition};

use crate::{Mark, ProofError, Strip};

/// A press that does not exist: a press condition with dot gain and colour of its own, so that the
/// loop can be tried without paying for a proof.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PracticePress {
    /// Further dot gain of each ink at a 50 percent tint, in percent.
    pub gain: [f64; 4],
    /// Factor on chroma.
    pub chroma: f64,
    /// Standard deviation of each of L*, a*, b* from patch to patch.
    pub noise: f64,
    /// Seed of the noise: the same seed gives the same measurement.
    pub seed: u64,
}

impl PracticePress {
    /// Prints as its condition says, to the last digit.
    pub const RIGHT: Self = Self {
        gain: [0.0; 4],
        chroma: 1.0,
        noise: 0.0,
        seed: 1,
    };

    /// Prints heavy: tints too dark, colours too strong.
    pub const HEAVY: Self = Self {
        gain: [8.0, 7.0, 6.0, 10.0],
        chroma: 1.08,
        noise: 0.3,
        seed: 1,
    };

    /// What this press prints for these inks; absolute, D50.
    ///
    /// # Errors
    /// The profile's tables fail.
    pub fn print(&self, press: &PressCondition, inks: &[[u8; 4]]) -> Result<Vec<Lab>, ProofError> {
        let _ = (press, inks);
        todo!()
    }

    /// A measurement of the strip from this press as CGATS text, labelled as simulated.
    ///
    /// # Errors
    /// The profile's tables fail.
    pub fn measure(
        &self,
        press: &PressCondition,
        strip: &Strip,
        mark: &Mark,
    ) -> Result<String, ProofError> {
        let _ = (press, strip, mark);
        todo!()
    }
}
