use measure::PixelSize;

/// Samples of a picture, row by row, no padding.
#[derive(Debug, Clone, PartialEq)]
pub enum Samples {
    /// One byte a pixel.
    Grey8(Vec<u8>),
    /// Two bytes a pixel.
    Grey16(Vec<u16>),
    /// R, G, B.
    Rgb8(Vec<u8>),
    /// R, G, B.
    Rgb16(Vec<u16>),
    /// C, M, Y, K; 0 = no ink.
    Cmyk8(Vec<u8>),
}

impl Samples {
    /// Samples a pixel: 1, 3 or 4.
    pub const fn channels(&self) -> usize {
        match self {
            Self::Grey8(_) | Self::Grey16(_) => 1,
            Self::Rgb8(_) | Self::Rgb16(_) => 3,
            Self::Cmyk8(_) => 4,
        }
    }

    /// How many samples there are.
    pub fn len(&self) -> usize {
        match self {
            Self::Grey8(bytes) | Self::Rgb8(bytes) | Self::Cmyk8(bytes) => bytes.len(),
            Self::Grey16(words) | Self::Rgb16(words) => words.len(),
        }
    }

    /// Whether there are no samples at all.
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The colour of one pixel as RGB bytes in the picture's own encoding; grey repeats, wide
    /// samples are rounded. `None` for CMYK, and beyond the last pixel.
    pub fn rgb8(&self, pixel: usize) -> Option<[u8; 3]> {
        let narrow = |word: u16| ((u32::from(word) + 128) / 257) as u8;
        match self {
            Self::Grey8(bytes) => bytes.get(pixel).map(|&grey| [grey; 3]),
            Self::Grey16(words) => words.get(pixel).map(|&grey| [narrow(grey); 3]),
            Self::Rgb8(bytes) => bytes
                .get(pixel * 3..pixel * 3 + 3)
                .map(|rgb| [rgb[0], rgb[1], rgb[2]]),
            Self::Rgb16(words) => words
                .get(pixel * 3..pixel * 3 + 3)
                .map(|rgb| [narrow(rgb[0]), narrow(rgb[1]), narrow(rgb[2])]),
            Self::Cmyk8(_) => None,
        }
    }
}

/// Something said about how a picture was read: `flattened on paper white`, `sRGB assumed`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Remark {
    /// Transparency was flattened on white.
    Flattened,
    /// No profile is embedded: sRGB (or a plain grey) is assumed.
    ProfileAssumed,
    /// The embedded profile cannot be used; assumed as above.
    ProfileUnusable(String),
    /// Turned as its EXIF orientation asks.
    Turned,
    /// CMYK without a profile: taken as made for the book's own press condition.
    CmykAssumed,
    /// Wider samples were reduced (16-bit CMYK to 8).
    Reduced,
}

/// A decoded picture: upright, without transparency.
#[derive(Debug, Clone)]
pub struct Picture {
    /// Size.
    pub size: PixelSize,
    /// Samples.
    pub samples: Samples,
    /// Embedded profile, if there is a usable one. Its space is that of the samples.
    pub profile: Option<colour::Profile>,
    /// What was done in reading.
    pub remarks: Vec<Remark>,
}
