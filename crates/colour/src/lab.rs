use crate::departure::finite;
use crate::perceptual;

/// A colour as CIE L*a*b*, D50, 2 degree observer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lab {
    /// Lightness, 0 to 100.
    pub l: f64,
    /// Green (negative) to red.
    pub a: f64,
    /// Blue (negative) to yellow.
    pub b: f64,
}

impl Lab {
    /// From the engine's floats.
    pub(crate) fn from_floats([l, a, b]: [f32; 3]) -> Self {
        Self {
            l: f64::from(l),
            a: f64::from(a),
            b: f64::from(b),
        }
    }

    /// To the engine's floats.
    pub(crate) fn floats(self) -> [f32; 3] {
        [self.l as f32, self.a as f32, self.b as f32]
    }

    /// This absolute colour as it looks to eyes that take the paper for white: XYZ is divided by the
    /// paper's, as between the ICC's absolute and relative intents (ICC.1:2022, 6.3.2.2).
    ///
    /// A paper that reflects nothing leaves the colour as it is.
    pub fn relative_to(self, paper: Self) -> Self {
        self.scaled(paper, |value, white, paper| value * white / paper)
    }

    /// This colour relative to the paper, in absolute terms: the inverse of [`Lab::relative_to`].
    pub fn absolute_on(self, paper: Self) -> Self {
        self.scaled(paper, |value, white, paper| value * paper / white)
    }

    fn scaled(self, paper: Self, scale: impl Fn(f64, f64, f64) -> f64) -> Self {
        let paper = perceptual::xyz(finite(paper));
        if paper.iter().any(|&value| value < 1e-3) {
            return self;
        }
        let xyz = perceptual::xyz(finite(self));
        perceptual::lab([0, 1, 2].map(|i| scale(xyz[i], perceptual::D50[i], paper[i])))
    }

    /// Chroma, the distance from grey.
    pub fn chroma(self) -> f64 {
        self.a.hypot(self.b)
    }
}
