use colour::{Lab, PaperView, PressCondition};

use crate::cgats::{self, Cgats, Row};
use crate::{Mark, ProofError, Strip};

/// A press that does not exist: a press condition with dot gain and colour of its own, so that the
/// loop can be tried without paying for a proof.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PracticePress {
    /// Further dot gain of each ink at a 50 percent tint, in percent: −25 to 25.
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
    /// Dot gain is a parabola over the tint (our simplification): solids and paper stay.
    ///
    /// # Errors
    /// The profile's tables fail.
    pub fn print(&self, press: &PressCondition, inks: &[[u8; 4]]) -> Result<Vec<Lab>, ProofError> {
        let percent: Vec<[f32; 4]> = inks
            .iter()
            .map(|ink| ink.map(|byte| f32::from(byte) / 2.55))
            .collect();
        self.print_percent(press, &percent)
    }

    /// The same for inks in percent.
    ///
    /// # Errors
    /// The profile's tables fail.
    pub fn print_percent(
        &self,
        press: &PressCondition,
        percent: &[[f32; 4]],
    ) -> Result<Vec<Lab>, ProofError> {
        let grown: Vec<[f32; 4]> = percent
            .iter()
            .map(|ink| {
                let mut grown = *ink;
                for (ink, gain) in grown.iter_mut().zip(self.gain) {
                    let tint = f64::from(*ink) / 100.0;
                    let more = 4.0 * gain / 100.0 * tint * (1.0 - tint);
                    *ink = ((tint + more).clamp(0.0, 1.0) * 100.0) as f32;
                }
                grown
            })
            .collect();
        let paper = press.paper();
        let mut noise = Noise(self.seed);
        let colours = press
            .lab_of_percent(&grown, PaperView::Shown)?
            .into_iter()
            .map(|lab| Lab {
                l: lab.l + self.noise * noise.normal(),
                // The paper's own tint is no ink, so it is not made stronger.
                a: paper.a + (lab.a - paper.a) * self.chroma + self.noise * noise.normal(),
                b: paper.b + (lab.b - paper.b) * self.chroma + self.noise * noise.normal(),
            })
            .collect();
        Ok(colours)
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
        let inks: Vec<[u8; 4]> = strip.patches.iter().map(|patch| patch.ink).collect();
        let colours = self.print(press, &inks)?;
        let rows = strip
            .patches
            .iter()
            .zip(colours)
            .map(|(patch, lab)| Row {
                line: 0,
                id: Some(patch.name.clone()),
                name: None,
                ink: Some(patch.ink.map(|byte| f64::from(byte) / 2.55)),
                lab,
            })
            .collect();
        let simulated = "practice press: simulated, no paper was printed";
        Ok(cgats::write(&Cgats {
            keywords: vec![
                ("ORIGINATOR".into(), "Foredge".into()),
                ("DESCRIPTOR".into(), simulated.into()),
                (cgats::MARK.into(), mark.text()),
            ],
            rows,
            decimal_comma: false,
        }))
    }
}

/// Noise that is the same at every run.
struct Noise(u64);

impl Noise {
    /// SplitMix64, after Steele, Lea and Flood 2014.
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Evenly in (0, 1).
    fn even(&mut self) -> f64 {
        ((self.next() >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    /// Of standard deviation 1, after Box and Muller 1958.
    fn normal(&mut self) -> f64 {
        let radius = (-2.0 * self.even().ln()).sqrt();
        radius * (std::f64::consts::TAU * self.even()).cos()
    }
}
