use crate::perceptual::degrees;
use crate::rising::{Around, Rising};
use crate::{ColourError, Lab};

/// How a real press departs from its condition, as learned from a measured proof: colour that
/// should print as one Lab prints as another. Smooth and monotone in lightness.
///
/// All Lab here is relative to the paper ([`Lab::relative_to`]): bare paper is 100, 0, 0, and greys
/// have no chroma. Empty lists mean that nothing departs.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Departure {
    /// Pairs of L* that the condition gives and L* that the press prints, both rising. Below the
    /// first and above the last pair the distance stays as it is there.
    pub tone: Vec<(f64, f64)>,
    /// Factor on chroma at hues evenly spread over the circle, beginning at 0°.
    pub saturation: Vec<f64>,
    /// Turn of hue in degrees at hues evenly spread over the circle, beginning at 0°.
    pub hue: Vec<f64>,
}

/// Least and most of what a press may be said to do: our assumption. What lies beyond is a broken
/// measurement and not a press.
const FACTOR: (f64, f64) = (0.5, 2.0);
/// Most that hue turns, in degrees.
const TURN: f64 = 30.0;
/// Most that lightness moves, in L*.
const SHIFT: f64 = 30.0;
/// Least and most rise of what is printed for a rise of what was wanted.
const STEEP: (f64, f64) = (0.1, 10.0);
/// Most values in a list.
const MOST: usize = 72;
/// Least that hue goes forward from one value to the next, as a share of their distance.
const FORWARD: f64 = 0.2;

impl Departure {
    /// The same departure if it can be trusted to be smooth and monotone.
    ///
    /// # Errors
    /// Says which value is wrong: more than 72 values in a list, one that is no number, lightness
    /// outside 0 to 100 or moved by more than 30, pairs that do not both rise or rise by less than
    /// a tenth or more than ten times as much, a factor outside 0.5 to 2, a turn of more than 30°,
    /// or turns so uneven that hues would change places.
    pub fn checked(self) -> Result<Self, ColourError> {
        for (name, count) in [
            ("tone", self.tone.len()),
            ("saturation", self.saturation.len()),
            ("hue", self.hue.len()),
        ] {
            if count > MOST {
                return Err(wrong(format!(
                    "{name} has {count} values, but at most {MOST} are of use"
                )));
            }
        }
        for &(wanted, printed) in &self.tone {
            if !((0.0..=100.0).contains(&wanted) && (0.0..=100.0).contains(&printed)) {
                return Err(wrong(format!(
                    "tone must be lightness of 0 to 100, but has {wanted} {printed}"
                )));
            }
            if (wanted - printed).abs() > SHIFT {
                return Err(wrong(format!(
                    "tone moves lightness {wanted} to {printed}, by more than {SHIFT}"
                )));
            }
        }
        for pair in self.tone.windows(2) {
            if !follows(pair[0], pair[1]) {
                return Err(wrong(format!(
                    "tone must rise steadily, but {} {} is followed by {} {}",
                    pair[0].0, pair[0].1, pair[1].0, pair[1].1
                )));
            }
        }
        for &factor in &self.saturation {
            if !(FACTOR.0..=FACTOR.1).contains(&factor) {
                return Err(wrong(format!(
                    "saturation must be {} to {}, but has {factor}",
                    FACTOR.0, FACTOR.1
                )));
            }
        }
        for &turn in &self.hue {
            if !(-TURN..=TURN).contains(&turn) {
                return Err(wrong(format!(
                    "hue must turn by no more than {TURN} degrees, but turns by {turn}"
                )));
            }
        }
        if let Some((one, next)) = backwards(&self.hue) {
            return Err(wrong(format!(
                "hue turns by {one} and next to it by {next} degrees, so that hues change places"
            )));
        }
        Ok(self)
    }

    /// Whether nothing departs.
    pub fn is_none(&self) -> bool {
        self.tone.iter().all(|(wanted, printed)| wanted == printed)
            && self.saturation.iter().all(|&factor| factor == 1.0)
            && self.hue.iter().all(|&turn| turn == 0.0)
    }

    /// What the press prints for the colour that the condition promises.
    pub fn apply(&self, promised: Lab) -> Lab {
        self.curves().apply(promised)
    }

    /// What the condition must promise for the press to print `wanted`: the inverse of
    /// [`Departure::apply`].
    pub fn undo(&self, wanted: Lab) -> Lab {
        self.curves().undo(wanted)
    }

    /// The departure made ready for many colours.
    ///
    /// Values that [`Departure::checked`] would refuse are left out or brought into range.
    pub fn curves(&self) -> DepartureCurves {
        let mut tone: Vec<(f64, f64)> = Vec::new();
        for &(wanted, printed) in self.tone.iter().take(MOST) {
            let sound = (0.0..=100.0).contains(&wanted)
                && (0.0..=100.0).contains(&printed)
                && (wanted - printed).abs() <= SHIFT;
            if sound
                && tone
                    .last()
                    .is_none_or(|&before| follows(before, (wanted, printed)))
            {
                tone.push((wanted, printed));
            }
        }
        let factors: Vec<f64> = self
            .saturation
            .iter()
            .take(MOST)
            .map(|&factor| within(factor, FACTOR, 1.0))
            .collect();
        let turns: Vec<f64> = self
            .hue
            .iter()
            .take(MOST)
            .map(|&turn| within(turn, (-TURN, TURN), 0.0))
            .collect();
        let hue = if backwards(&turns).is_some() {
            None
        } else {
            let step = 360.0 / turns.len() as f64;
            let turned: Vec<f64> = turns
                .iter()
                .enumerate()
                .map(|(i, turn)| i as f64 * step + turn)
                .collect();
            Rising::around(&turned, 360.0)
        };
        DepartureCurves {
            tone: Rising::through(&tone),
            saturation: Around::through(&factors),
            hue,
        }
    }
}

/// A [`Departure`] made ready for many colours.
#[derive(Debug, Clone)]
pub struct DepartureCurves {
    tone: Option<Rising>,
    saturation: Option<Around>,
    /// Hue wanted to hue printed, from 0 to 360.
    hue: Option<Rising>,
}

impl DepartureCurves {
    /// What the press prints for the colour that the condition promises.
    pub fn apply(&self, promised: Lab) -> Lab {
        let Lab { l, a, b } = finite(promised);
        let l = self.tone.as_ref().map_or(l, |tone| tone.value(l));
        if self.saturation.is_none() && self.hue.is_none() {
            return Lab { l, a, b };
        }
        let hue = degrees(a, b);
        let chroma = a.hypot(b) * self.factor(hue);
        polar(
            l,
            chroma,
            self.hue.as_ref().map_or(hue, |turned| turned.value(hue)),
        )
    }

    /// What the condition must promise for the press to print `wanted`.
    pub fn undo(&self, wanted: Lab) -> Lab {
        let Lab { l, a, b } = finite(wanted);
        let l = self.tone.as_ref().map_or(l, |tone| tone.place(l));
        if self.saturation.is_none() && self.hue.is_none() {
            return Lab { l, a, b };
        }
        let printed = degrees(a, b);
        let hue = self.hue.as_ref().map_or(printed, |turned| {
            // The circle begins where hue 0 is turned to.
            let start = turned.value(0.0);
            turned
                .place(start + (printed - start).rem_euclid(360.0))
                .rem_euclid(360.0)
        });
        polar(l, a.hypot(b) / self.factor(hue), hue)
    }

    fn factor(&self, hue: f64) -> f64 {
        self.saturation
            .as_ref()
            .map_or(1.0, |factors| factors.value(hue))
    }
}

fn polar(l: f64, chroma: f64, hue: f64) -> Lab {
    let (sin, cos) = hue.to_radians().sin_cos();
    Lab {
        l,
        a: chroma * cos,
        b: chroma * sin,
    }
}

/// Whether a pair of lightness may follow another.
fn follows(before: (f64, f64), next: (f64, f64)) -> bool {
    let (wanted, printed) = (next.0 - before.0, next.1 - before.1);
    // Closer pairs than a hundredth say nothing and make slopes of noise.
    wanted >= 0.01 && printed >= STEEP.0 * wanted && printed <= STEEP.1 * wanted
}

/// Neighbouring turns by which hues would change places, or come too near to it.
fn backwards(turns: &[f64]) -> Option<(f64, f64)> {
    let step = 360.0 / turns.len() as f64;
    (0..turns.len())
        .map(|i| (turns[i], turns[(i + 1) % turns.len()]))
        .find(|(one, next)| step + next - one < FORWARD * step)
}

fn within(value: f64, (least, most): (f64, f64), otherwise: f64) -> f64 {
    if value.is_finite() {
        value.clamp(least, most)
    } else {
        otherwise
    }
}

/// What is no number counts as zero, and nothing is further out than any colour can be.
pub(crate) fn finite(lab: Lab) -> Lab {
    let tame = |value: f64| within(value, (-1000.0, 1000.0), 0.0);
    Lab {
        l: tame(lab.l),
        a: tame(lab.a),
        b: tame(lab.b),
    }
}

fn wrong(what: String) -> ColourError {
    ColourError::Departure(what)
}
