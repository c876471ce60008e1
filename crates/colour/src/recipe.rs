use crate::engine::Rendering;
use crate::{Compensation, Departure, InkLimit, PressCondition, Profile};

/// Rendering intent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Intent {
    /// ICC perceptual.
    Perceptual,
    /// Relative colorimetric with black-point compensation.
    Relative,
}

impl Intent {
    pub(crate) fn rendering(self) -> Rendering {
        match self {
            Self::Perceptual => Rendering::Perceptual,
            Self::Relative => Rendering::RelativeCompensated,
        }
    }

    /// A word that stays the same from version to version.
    pub fn word(self) -> &'static str {
        match self {
            Self::Perceptual => "perceptual",
            Self::Relative => "relative",
        }
    }
}

/// Changes whenever the same recipe would give another table.
const METHOD: u32 = 1;

/// What a fused table is built from.
#[derive(Debug, Clone)]
pub struct Recipe {
    /// Profile of the art: RGB or grey.
    pub source: Profile,
    /// The press.
    pub press: PressCondition,
    /// Rendering.
    pub intent: Intent,
    /// Ink limit.
    pub ink_limit: InkLimit,
    /// What is done to the art so that it looks right on paper.
    pub compensation: Compensation,
    /// How the press departs from its condition, if a proof has told; undone on the way.
    pub departure: Option<Departure>,
}

impl Recipe {
    /// What decides the table besides the bytes of the two profiles (`source` and
    /// `press.profile`): whoever digests a recipe digests those bytes and this text.
    pub fn settings(&self) -> String {
        format!(
            "separation method {METHOD}, intent {}, ink limit {:.3}%, {:?}, {:?}",
            self.intent.word(),
            self.ink_limit.percent(),
            self.compensation,
            self.departure,
        )
    }
}
