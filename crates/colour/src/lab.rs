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

    /// Chroma, the distance from grey.
    pub fn chroma(self) -> f64 {
        self.a.hypot(self.b)
    }
}
