use colour::Lab;

/// One colour of the art, with what it weighs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// sRGB in 16 bit.
    pub rgb: [u16; 3],
    /// The same colour seen relative to white, D50.
    pub lab: Lab,
    /// Printed area that it stands for, in any unit; nothing that is not positive counts.
    pub weight: f64,
    /// How far the press pulls it: ΔE00 between art and print.
    pub pull: f64,
}

/// A colour that stands for many of the art.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chosen {
    /// sRGB in 16 bit, a colour that is really in the art.
    pub rgb: [u16; 3],
    /// The same colour seen relative to white, D50.
    pub lab: Lab,
    /// Share of the art's area that is nearer to it than to another chosen one, 0 to 1.
    pub share: f64,
    /// How far the press pulls these colours on average, in ΔE00.
    pub pull: f64,
}

/// The colours that matter most in this book, at most `count`, dark to light.
pub fn choose(samples: &[Sample], count: usize) -> Vec<Chosen> {
    let _ = (samples, count);
    todo!()
}
