/// How a real press departs from its condition, as learned from a measured proof: colour that
/// should print as one Lab prints as another. Smooth and monotone in lightness.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Departure {
    /// Pairs of L* that the condition gives and L* that the press prints, both rising.
    pub tone: Vec<(f64, f64)>,
    /// Factor on chroma at hues evenly spread over the circle, beginning at 0°.
    pub saturation: Vec<f64>,
    /// Turn of hue in degrees at hues evenly spread over the circle, beginning at 0°.
    pub hue: Vec<f64>,
}
