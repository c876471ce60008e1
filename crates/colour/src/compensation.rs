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
}
