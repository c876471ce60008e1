use crate::Lab;
use crate::departure::finite;
use crate::perceptual::Seen;
use crate::rising::{Knot, Rising};

/// What is done to art before it is separated, so that it looks on paper as it was meant: a little
/// flatter, lighter and less saturated.
///
/// It is computed on the art's colours in a perceptual space, is monotone in lightness, has no
/// breaks in hue and keeps neutral greys neutral. Every figure is zero (or, for `white`, 100) where
/// nothing is done.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Compensation {
    /// Change of contrast around middle grey, in percent: −40 to 20.
    pub contrast: f64,
    /// How much lighter middle grey becomes, in L*: −10 to 20.
    pub lightening: f64,
    /// Change of chroma, in percent: −60 to 30.
    pub saturation: f64,
    /// Further change of chroma around each hue of [`Compensation::BANDS`], in percent: −60 to 30.
    pub bands: [f64; 6],
    /// Lightness that the art's black is brought to, in L*: 0 to 20.
    pub black: f64,
    /// Lightness that the art's white is brought to, in L*: 85 to 100.
    pub white: f64,
}

impl Compensation {
    /// The hue bands, in the order of [`Compensation::bands`].
    pub const BANDS: [&'static str; 6] = ["red", "yellow", "green", "cyan", "blue", "magenta"];

    /// Nothing is done.
    pub const NONE: Self = Self {
        contrast: 0.0,
        lightening: 0.0,
        saturation: 0.0,
        bands: [0.0; 6],
        black: 0.0,
        white: 100.0,
    };

    /// Names of the built-in recipes, weakest first.
    pub const NAMES: [&'static str; 4] = ["none", "gentle", "usual", "strong"];

    /// A built-in recipe by name.
    ///
    /// The direction (flatter, lighter, less saturated, most of all reds and cyans) is common
    /// practice, no source; the figures are our assumption.
    pub fn built_in(name: &str) -> Option<Self> {
        let (contrast, lightening, saturation, red, cyan) = match name {
            "none" => return Some(Self::NONE),
            "gentle" => (-4.0, 1.5, -4.0, -3.0, -3.0),
            "usual" => (-8.0, 3.0, -8.0, -6.0, -6.0),
            "strong" => (-14.0, 5.0, -14.0, -10.0, -10.0),
            _ => return None,
        };
        Some(Self {
            contrast,
            lightening,
            saturation,
            bands: [red, 0.0, 0.0, cyan, 0.0, 0.0],
            ..Self::NONE
        })
    }

    /// Least and most of [`Compensation::contrast`], in percent.
    pub const CONTRAST: (f64, f64) = (-40.0, 20.0);
    /// Least and most of [`Compensation::lightening`], in L*.
    pub const LIGHTENING: (f64, f64) = (-10.0, 20.0);
    /// Least and most of [`Compensation::saturation`] and of a band, in percent.
    pub const SATURATION: (f64, f64) = (-60.0, 30.0);
    /// Least and most of [`Compensation::black`], in L*.
    pub const BLACK: (f64, f64) = (0.0, 20.0);
    /// Least and most of [`Compensation::white`], in L*.
    pub const WHITE: (f64, f64) = (85.0, 100.0);

    /// Whether nothing is done.
    pub fn is_none(&self) -> bool {
        *self == Self::NONE
    }

    /// The same with every figure in its range; what is no number does nothing.
    #[must_use]
    pub fn clamped(&self) -> Self {
        let within = |value: f64, (least, most): (f64, f64), otherwise: f64| {
            if value.is_nan() {
                otherwise
            } else {
                value.clamp(least, most)
            }
        };
        Self {
            contrast: within(self.contrast, Self::CONTRAST, 0.0),
            lightening: within(self.lightening, Self::LIGHTENING, 0.0),
            saturation: within(self.saturation, Self::SATURATION, 0.0),
            bands: self.bands.map(|band| within(band, Self::SATURATION, 0.0)),
            black: within(self.black, Self::BLACK, 0.0),
            white: within(self.white, Self::WHITE, 100.0),
        }
    }

    /// What becomes of one colour of the art: relative to the art's white, D50.
    ///
    /// For greys L* follows the tone curve: black goes to [`Compensation::black`], L* 50 to 50 plus
    /// [`Compensation::lightening`], white to [`Compensation::white`], and contrast is the slope
    /// between. Figures out of range count as their nearest in range.
    pub fn apply(&self, art: Lab) -> Lab {
        self.curves().apply(art)
    }

    /// The band of [`Compensation::BANDS`] whose middle hue is nearest to a colour of the art. Of a
    /// grey it says nothing that means anything.
    pub fn band_of(art: Lab) -> usize {
        let hue = Seen::of(finite(art)).hue();
        let away = |middle: f64| {
            let off = (hue - middle).rem_euclid(360.0);
            off.min(360.0 - off)
        };
        (0..HUES.len())
            .min_by(|&one, &other| away(HUES[one]).total_cmp(&away(HUES[other])))
            .unwrap_or(0)
    }

    /// The compensation made ready for many colours.
    pub(crate) fn curves(&self) -> Curves {
        let own = self.clamped();
        Curves {
            none: own.is_none(),
            tone: tone(&own),
            saturation: 1.0 + own.saturation / 100.0,
            bands: own.bands.map(|band| 1.0 + band / 100.0),
        }
    }
}

/// A [`Compensation`] made ready for many colours.
pub(crate) struct Curves {
    none: bool,
    tone: Rising,
    saturation: f64,
    bands: [f64; 6],
}

/// One colour of the art, looked at once.
pub(crate) struct Subject {
    art: Lab,
    seen: Seen,
    hue: f64,
}

impl Subject {
    pub(crate) fn of(art: Lab) -> Self {
        let seen = Seen::of(finite(art));
        Self {
            art,
            seen,
            hue: seen.hue(),
        }
    }
}

/// Hues of the bands in the perceptual space, in degrees: those of a screen's own red, yellow,
/// green, cyan, blue and magenta (sRGB).
const HUES: [f64; 6] = [29.2, 109.8, 142.5, 194.8, 264.1, 328.4];

impl Curves {
    pub(crate) fn apply(&self, art: Lab) -> Lab {
        if self.none {
            return art;
        }
        self.of_seen(&Subject::of(art))
    }

    /// The same for a colour that is compensated again and again.
    pub(crate) fn of_seen(&self, subject: &Subject) -> Lab {
        if self.none {
            return subject.art;
        }
        let factor = self.saturation * self.band(subject.hue);
        Seen {
            j: self.tone.value(subject.seen.j),
            a: subject.seen.a * factor,
            b: subject.seen.b * factor,
        }
        .lab()
    }

    /// The bands' factor at a hue: from one band's to the next along half a wave of a cosine, so
    /// that it is smooth, never leaves the two, and is a band's own at its middle.
    fn band(&self, hue: f64) -> f64 {
        let next = HUES.iter().position(|&middle| hue < middle).unwrap_or(0);
        let before = (next + HUES.len() - 1) % HUES.len();
        let gap = (HUES[next] - HUES[before]).rem_euclid(360.0);
        let share = (hue - HUES[before]).rem_euclid(360.0) / gap;
        let share = f64::midpoint(1.0, -(share * std::f64::consts::PI).cos());
        self.bands[before] + (self.bands[next] - self.bands[before]) * share
    }
}

/// Lightness wanted for lightness in the art: two cubic pieces that meet in middle grey with the
/// contrast as their slope. With no figure set both are the straight line.
fn tone(own: &Compensation) -> Rising {
    let middle = 50.0 + own.lightening;
    let rises = [(middle - own.black) / 50.0, (own.white - middle) / 50.0];
    // A slope of up to three times a piece's rise keeps the piece rising (Fritsch and Carlson
    // 1980); a little less leaves it no flat place.
    let wanted = (1.0 + own.contrast / 100.0) * (own.white - own.black) / 100.0;
    let slope = wanted.min(2.5 * rises[0]).min(2.5 * rises[1]);
    // The end's slope that makes a piece a plain parabola, as long as it rises.
    let end = |rise: f64| (2.0 * rise - slope).max(0.1 * rise);
    Rising::of(vec![
        Knot {
            at: 0.0,
            value: own.black,
            slope: end(rises[0]),
        },
        Knot {
            at: 50.0,
            value: middle,
            slope,
        },
        Knot {
            at: 100.0,
            value: own.white,
            slope: end(rises[1]),
        },
    ])
}
