use crate::perceptual::degrees;
use crate::rising::{Rising, Smooth};
use crate::{ColourError, Lab};

/// How a real press departs from its condition, as learned from a measured proof: colour that
/// should print as one Lab prints as another. Smooth, and monotone in lightness.
///
/// Both sides are relative to the paper ([`Lab::relative_to`]; L* of the bare paper is 100), so that
/// a paper of another tint counts as no departure. All lists are read by smooth curves through their
/// values that never overshoot; lists by hue close at 360°. An empty list does nothing.
///
/// For a colour of lightness L, chroma C and hue h that the condition gives, the press prints
///
/// - hue `h' = h + hue(h)`,
/// - chroma `C' = C · saturation(h) · depth(L)`,
/// - lightness `L' = tone(L) + lift(h) · C' / 50`,
/// - and at that, `cast(L')` is added to a* and b*.
///
/// Each line needs only what stands before it, so that it can be undone backwards, line by line.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Departure {
    /// Pairs of L* that the condition gives and L* that the press prints, both rising. Below the
    /// first and above the last pair the distance stays as it is there.
    pub tone: Vec<(f64, f64)>,
    /// Factor on chroma at hues evenly spread over the circle, beginning at 0°.
    pub saturation: Vec<f64>,
    /// Turn of hue in degrees at hues evenly spread over the circle, beginning at 0°.
    pub hue: Vec<f64>,
    /// Further factor on chroma at the condition's lightnesses, evenly spread from L* 0 to 100.
    pub depth: Vec<f64>,
    /// L* added at a printed chroma of 50, in proportion to chroma, at hues evenly spread over the
    /// circle, beginning at 0°.
    pub lift: Vec<f64>,
    /// Pairs of a* and b* added to greys at printed lightnesses, evenly spread from L* 0 to 100.
    pub cast: Vec<(f64, f64)>,
}

/// Least and most factor on chroma that a press may be said to have. This and the bounds below are
/// our assumption: what lies beyond is a broken measurement and not a press.
const FACTOR: (f64, f64) = (0.5, 2.0);
/// Most that hue turns, in degrees.
const TURN: f64 = 30.0;
/// Most that lightness moves, in L*.
const SHIFT: f64 = 30.0;
/// Most that lightness moves for a chroma of 50, in L*.
const LIFT: f64 = 15.0;
/// Most that greys move in a* or b*.
const CAST: f64 = 15.0;
/// Least and most rise of what is printed for a rise of what was wanted.
const STEEP: (f64, f64) = (0.1, 10.0);
/// Most values in a list.
const MOST: usize = 72;
/// Least that hue goes forward from one value to the next, as a share of their distance.
const FORWARD: f64 = 0.2;
/// Chroma up to which lightness must rise: nothing printed has more (the solids of coated paper
/// reach 95).
const CHROMA: f64 = 100.0;

impl Departure {
    /// The same departure if it can be trusted to be smooth and monotone.
    ///
    /// # Errors
    /// Says which value is wrong: more than 72 values in a list, one that is no number, lightness
    /// outside 0 to 100 or moved by more than 30, pairs that do not both rise or rise by less than
    /// a tenth or more than ten times as much, a factor outside 0.5 to 2, a turn of more than 30°,
    /// turns so uneven that hues would change places, a lift or cast of more than 15, or lists that
    /// together would print a lighter colour darker.
    pub fn checked(self) -> Result<Self, ColourError> {
        for (name, count) in [
            ("tone", self.tone.len()),
            ("saturation", self.saturation.len()),
            ("hue", self.hue.len()),
            ("depth", self.depth.len()),
            ("lift", self.lift.len()),
            ("cast", self.cast.len()),
        ] {
            if count > MOST {
                return Err(wrong(format!(
                    "{name} has {count} values, but at most {MOST} are of use"
                )));
            }
        }
        self.check_tone()?;
        all_within("saturation", self.saturation.iter().copied(), FACTOR)?;
        all_within("depth", self.depth.iter().copied(), FACTOR)?;
        all_within("hue", self.hue.iter().copied(), (-TURN, TURN))?;
        all_within("lift", self.lift.iter().copied(), (-LIFT, LIFT))?;
        let casts = self.cast.iter().flat_map(|&(a, b)| [a, b]);
        all_within("cast", casts, (-CAST, CAST))?;
        if let Some((one, next)) = backwards(&self.hue) {
            return Err(wrong(format!(
                "hue turns by {one} and next to it by {next} degrees, so that hues change places"
            )));
        }
        if let Some((hue, lightness)) = self.curves().falls() {
            return Err(wrong(format!(
                "tone, depth and lift together print a lighter colour darker, at hue {hue} and \
                 lightness {lightness}"
            )));
        }
        Ok(self)
    }

    fn check_tone(&self) -> Result<(), ColourError> {
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
        Ok(())
    }

    /// Whether nothing departs.
    pub fn is_none(&self) -> bool {
        self.tone.iter().all(|(wanted, printed)| wanted == printed)
            && self.saturation.iter().all(|&factor| factor == 1.0)
            && self.hue.iter().all(|&turn| turn == 0.0)
            && self.depth.iter().all(|&factor| factor == 1.0)
            && self.lift.iter().all(|&lift| lift == 0.0)
            && self.cast.iter().all(|&cast| cast == (0.0, 0.0))
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
        let tamed = |values: &[f64], range: (f64, f64), otherwise: f64| -> Vec<f64> {
            values
                .iter()
                .take(MOST)
                .map(|&value| within(value, range, otherwise))
                .collect()
        };
        let turns = tamed(&self.hue, (-TURN, TURN), 0.0);
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
        let (cast_a, cast_b): (Vec<f64>, Vec<f64>) = self.cast.iter().copied().unzip();
        DepartureCurves {
            tone: Rising::through(&tone),
            saturation: Smooth::around(&tamed(&self.saturation, FACTOR, 1.0)),
            hue,
            depth: Smooth::along(&tamed(&self.depth, FACTOR, 1.0)),
            lift: Smooth::around(&tamed(&self.lift, (-LIFT, LIFT), 0.0)),
            cast: Smooth::along(&tamed(&cast_a, (-CAST, CAST), 0.0)).zip(Smooth::along(&tamed(
                &cast_b,
                (-CAST, CAST),
                0.0,
            ))),
        }
    }
}

/// A [`Departure`] made ready for many colours.
#[derive(Debug, Clone)]
pub struct DepartureCurves {
    tone: Option<Rising>,
    saturation: Option<Smooth>,
    /// Hue wanted to hue printed, from 0 to 360.
    hue: Option<Rising>,
    depth: Option<Smooth>,
    lift: Option<Smooth>,
    cast: Option<(Smooth, Smooth)>,
}

impl DepartureCurves {
    /// What the press prints for the colour that the condition promises.
    pub fn apply(&self, promised: Lab) -> Lab {
        let Lab { l, a, b } = finite(promised);
        let hue = degrees(a, b);
        let chroma = a.hypot(b) * read(self.saturation.as_ref(), hue, 1.0) * self.depth(l);
        let l = self.tone(l) + self.lift(hue) * chroma;
        let hue = self.hue.as_ref().map_or(hue, |turned| turned.value(hue));
        let (sin, cos) = hue.to_radians().sin_cos();
        let cast = self.cast(l);
        Lab {
            l,
            a: chroma * cos + cast.0,
            b: chroma * sin + cast.1,
        }
    }

    /// What the condition must promise for the press to print `wanted`.
    pub fn undo(&self, wanted: Lab) -> Lab {
        let Lab { l, a, b } = finite(wanted);
        let cast = self.cast(l);
        let (a, b) = (a - cast.0, b - cast.1);
        let printed = degrees(a, b);
        let hue = self.hue.as_ref().map_or(printed, |turned| {
            // The circle begins where hue 0 is turned to.
            let start = turned.value(0.0);
            turned
                .place(start + (printed - start).rem_euclid(360.0))
                .rem_euclid(360.0)
        });
        let chroma = a.hypot(b);
        let l = l - self.lift(hue) * chroma;
        let l = self.tone.as_ref().map_or(l, |tone| tone.place(l));
        let chroma = chroma / (read(self.saturation.as_ref(), hue, 1.0) * self.depth(l));
        let (sin, cos) = hue.to_radians().sin_cos();
        Lab {
            l,
            a: chroma * cos,
            b: chroma * sin,
        }
    }

    fn tone(&self, l: f64) -> f64 {
        self.tone.as_ref().map_or(l, |tone| tone.value(l))
    }

    fn depth(&self, l: f64) -> f64 {
        read(self.depth.as_ref(), l, 1.0)
    }

    /// L* added for a chroma of one.
    fn lift(&self, hue: f64) -> f64 {
        read(self.lift.as_ref(), hue, 0.0) / 50.0
    }

    fn cast(&self, l: f64) -> (f64, f64) {
        self.cast
            .as_ref()
            .map_or((0.0, 0.0), |(a, b)| (a.value(l), b.value(l)))
    }

    /// A hue and lightness from where on a lighter colour of the same chroma prints darker, if there
    /// is one: the lift of a chroma that grows with depth may outrun the tone curve.
    fn falls(&self) -> Option<(f64, f64)> {
        self.depth.as_ref()?;
        self.lift.as_ref()?;
        (0..72).map(|i| f64::from(i) * 5.0).find_map(|hue| {
            let gain = self.lift(hue) * CHROMA * read(self.saturation.as_ref(), hue, 1.0);
            let printed = |l: f64| self.tone(l) + gain * self.depth(l);
            (0..100)
                .map(f64::from)
                .find(|&l| printed(l + 1.0) <= printed(l))
                .map(|l| (hue, l))
        })
    }
}

fn read(curve: Option<&Smooth>, at: f64, otherwise: f64) -> f64 {
    curve.map_or(otherwise, |curve| curve.value(at))
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

fn all_within(
    name: &str,
    mut values: impl Iterator<Item = f64>,
    (least, most): (f64, f64),
) -> Result<(), ColourError> {
    match values.find(|value| !(least..=most).contains(value)) {
        None => Ok(()),
        Some(value) => Err(wrong(format!(
            "{name} must be {least} to {most}, but has {value}"
        ))),
    }
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
