/// How a real press departs from its condition, as learned from a measured proof: colour that
/// should print as one Lab prints as another. Smooth and monotone in lightness.
///
/// Both sides are relative to the paper (L* of the bare paper is 100), so that a paper of another
/// tint counts as no departure. All lists are read by straight lines between their values; lists
/// by hue close at 360°. An empty list does nothing.
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
    /// Pairs of L* that the condition gives and L* that the press prints, both rising.
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
