//! Greys in black ink, alone or with one more.

use crate::engine::{Exact, Rendering};
use crate::{ColourError, Departure, Lab, Recipe};

/// What prints beside black in a picture of two inks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum DuoInk {
    /// Nothing: black ink alone.
    Alone,
    /// Cyan: cool greys.
    Cyan,
    /// Magenta: rosy greys.
    Magenta,
    /// Yellow: warm greys.
    Yellow,
}

impl DuoInk {
    /// How much of the second ink stands beside light tints of black, as a share of the black, and
    /// how much beside solid black. Our assumption: enough to be seen as a tint of the greys
    /// (chroma about 10 in the middle), and as much under solid black as deepens it.
    const fn shares(self) -> (f64, f64) {
        match self {
            Self::Alone => (0.0, 0.0),
            Self::Cyan => (0.35, 0.7),
            Self::Magenta => (0.25, 0.5),
            Self::Yellow => (0.3, 0.6),
        }
    }

    /// Inks of a step from bare paper (0) to the deepest black (1), 0 to 1 each, summing to at most
    /// `limit`.
    fn inks(self, step: f64, limit: f64) -> [f64; 4] {
        let (light, deep) = self.shares();
        let black = step.min(limit);
        let second = (light * step + (deep - light) * step.powi(3)).min(limit - black);
        match self {
            Self::Alone => [0.0, 0.0, 0.0, black],
            Self::Cyan => [second, 0.0, 0.0, black],
            Self::Magenta => [0.0, second, 0.0, black],
            Self::Yellow => [0.0, 0.0, second, black],
        }
    }
}

/// From lightness to black and the second ink.
pub(crate) struct DuoRamp {
    /// Inks for evenly spread lightness, 0 to 100.
    inks: Vec<[f32; 4]>,
}

/// Steps of the ramp that is asked for its lightness, and of the one that gives inks.
const STEPS: usize = 1024;

impl DuoRamp {
    /// `limit` in solids: 3 is 300 percent.
    pub(crate) fn of(recipe: &Recipe, second: DuoInk, limit: f64) -> Result<Self, ColourError> {
        let steps: Vec<[f64; 4]> = (0..=STEPS)
            .map(|step| second.inks(step as f64 / STEPS as f64, limit))
            .collect();
        let percent: Vec<[f32; 4]> = steps
            .iter()
            .map(|inks| inks.map(|ink| (ink * 100.0) as f32))
            .collect();
        let departure = recipe.departure.as_ref().map(Departure::curves);
        // What is printed at each step; a step that prints no darker counts as the one before.
        let mut least = 100.0_f64;
        let printed: Vec<f64> = Exact::<4, 3>::to_lab(&recipe.press.profile, Rendering::Relative)?
            .convert_all(&percent)
            .into_iter()
            .map(|lab| {
                let lab = Lab::from_floats(lab);
                let lab = departure.as_ref().map_or(lab, |curves| curves.apply(lab));
                least = least.min(lab.l);
                least
            })
            .collect();
        let toe = Toe::to(least.clamp(0.0, 100.0));
        let mut after = 0;
        let mut inks: Vec<[f32; 4]> = (0..=STEPS)
            .rev()
            .map(|level| {
                let wanted = toe.lightness(level as f64 * 100.0 / STEPS as f64);
                while after < STEPS && printed[after] > wanted {
                    after += 1;
                }
                between(&steps, &printed, after, wanted)
            })
            .collect();
        inks.reverse();
        // Paper stays bare and black is the deepest there is, whatever was rounded.
        inks[STEPS] = [0.0; 4];
        inks[0] = steps[STEPS].map(|ink| ink as f32);
        Ok(Self { inks })
    }

    /// Inks (0 to 1) that print as light as `lightness`, as far as ink can.
    pub(crate) fn inks(&self, lightness: f64) -> [f32; 4] {
        // What is no number counts as paper.
        if lightness.is_nan() {
            return [0.0; 4];
        }
        let place = lightness.clamp(0.0, 100.0) / 100.0 * STEPS as f64;
        let cell = (place as usize).min(STEPS - 1);
        let share = (place - cell as f64) as f32;
        let (one, other) = (self.inks[cell], self.inks[cell + 1]);
        [0, 1, 2, 3].map(|i| one[i] + (other[i] - one[i]) * share)
    }
}

/// The inks that print as `wanted`, between the step `after` and the one before it.
fn between(steps: &[[f64; 4]], printed: &[f64], after: usize, wanted: f64) -> [f32; 4] {
    let Some(before) = after.checked_sub(1) else {
        return steps[0].map(|ink| ink as f32);
    };
    let span = printed[before] - printed[after];
    let share = if span > 0.0 {
        ((printed[before] - wanted) / span).clamp(0.0, 1.0)
    } else {
        1.0
    };
    [0, 1, 2, 3].map(|i| (steps[before][i] + (steps[after][i] - steps[before][i]) * share) as f32)
}

/// Lightness as it is, but for the darks that no ink reaches: they close up evenly to the deepest
/// black there is instead of running together.
struct Toe {
    darkest: f64,
    /// Up to here the toe goes.
    knee: f64,
}

impl Toe {
    fn to(darkest: f64) -> Self {
        // The further up the knee, the more evenly the darks close up, and the more of the greys
        // print too light. This keeps the cubic below rising (its end is under three times as steep
        // as the whole) and the middle of a picture right on coated paper.
        Self {
            darkest,
            knee: (1.75 * darkest + 8.0).min(100.0),
        }
    }

    /// A cubic from the darkest at 0 to the straight line at the knee, that rises throughout.
    fn lightness(&self, wanted: f64) -> f64 {
        if wanted >= self.knee {
            return wanted;
        }
        let t = wanted / self.knee;
        let rise = self.knee - self.darkest;
        let (start, end) = (rise.min(3.0 * rise - self.knee).max(0.0), self.knee);
        self.darkest
            + t * (start + t * ((3.0 * rise - 2.0 * start - end) + t * (start + end - 2.0 * rise)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_toe_rises_and_joins_its_line() {
        for darkest in [0.0, 5.0, 16.0, 30.0, 45.0] {
            let toe = Toe::to(darkest);
            assert_eq!(toe.lightness(0.0), darkest);
            let mut before = darkest - 1e-9;
            for step in 0..=10_000 {
                let wanted = f64::from(step) / 100.0;
                let found = toe.lightness(wanted);
                assert!(found > before, "{darkest} at {wanted}: {found}");
                assert!(
                    found >= wanted - 1e-9 || darkest == 0.0,
                    "{darkest} {wanted}"
                );
                before = found;
            }
        }
    }
}
