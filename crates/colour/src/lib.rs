//! Colour from art to ink and back to the screen: ICC profiles, press conditions, the fused table,
//! the ink limit, colour difference and the soft proof.
//!
//! Bytes of CMYK here always run 0 = no ink to 255 = solid.

use std::sync::Arc;

use thiserror::Error;

/// What went wrong with a profile or a table.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ColourError {
    /// Not a profile that can be used.
    #[error("not a usable ICC profile: {0}")]
    Profile(String),
    /// A profile for another kind of colour than wanted.
    #[error("expected a {expected} profile, but found {found}")]
    WrongSpace {
        /// What was needed.
        expected: &'static str,
        /// What it is.
        found: String,
    },
    /// An ink limit outside 100 to 400 percent.
    #[error("the ink limit must be between 100 and 400 percent, but is {0}")]
    InkLimit(String),
    /// The colour library failed.
    #[error("the colour library could not build the transform: {0}")]
    Transform(String),
}

/// Colour space of a profile's device side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Space {
    /// One channel.
    Grey,
    /// Three channels.
    Rgb,
    /// Four inks.
    Cmyk,
}

/// An ICC profile that was opened and understood; cheap to clone.
#[derive(Debug, Clone)]
pub struct Profile {
    bytes: Arc<[u8]>,
    space: Space,
    description: String,
}

impl Profile {
    /// Opens a profile; any device class with grey, RGB or CMYK on its device side.
    ///
    /// # Errors
    /// Not a profile, cut, lying about its size, or of another space.
    pub fn open(bytes: &[u8]) -> Result<Self, ColourError> {
        let _ = bytes;
        todo!()
    }

    /// The built-in sRGB.
    pub fn srgb() -> Self {
        todo!()
    }

    /// The profile file.
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// Device space.
    pub fn space(&self) -> Space {
        self.space
    }

    /// Its name, as it states it.
    pub fn description(&self) -> &str {
        &self.description
    }
}

/// CIE L*a*b*, D50.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lab {
    /// Lightness, 0 to 100.
    pub l: f64,
    /// Green to red.
    pub a: f64,
    /// Blue to yellow.
    pub b: f64,
}

/// CIEDE2000 colour difference (ISO/CIE 11664-6), k = 1.
pub fn delta_e_2000(one: Lab, other: Lab) -> f64 {
    let _ = (one, other);
    todo!()
}

/// Most ink in one place, in percent of one solid: 100 to 400.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct InkLimit(f64);

impl InkLimit {
    /// From percent.
    ///
    /// # Errors
    /// Outside 100 to 400.
    pub fn from_percent(percent: f64) -> Result<Self, ColourError> {
        let _ = percent;
        todo!()
    }

    /// Percent.
    pub const fn percent(self) -> f64 {
        self.0
    }
}

/// A way of printing: a CMYK output profile and what is printed about it in the press file.
#[derive(Debug, Clone)]
pub struct PressCondition {
    /// Our name for it (`coated`), or the profile's file name.
    pub name: String,
    /// OutputConditionIdentifier of the press file, such as `FOGRA39`.
    pub identifier: String,
    /// Registry of the identifier, if it is a registered one.
    pub registry: Option<String>,
    /// Info text: what it is in words.
    pub info: String,
    /// The profile.
    pub profile: Profile,
    /// Ink limit unless the book says otherwise.
    pub ink_limit: InkLimit,
}

impl PressCondition {
    /// The built-in conditions' names, the default one first.
    pub fn built_in_names() -> &'static [&'static str] {
        &["coated", "coated-americas", "uncoated"]
    }

    /// A built-in condition.
    pub fn built_in(name: &str) -> Option<Self> {
        let _ = name;
        todo!()
    }

    /// A condition from any CMYK output profile.
    ///
    /// # Errors
    /// Not a CMYK output (`prtr`) profile with both directions.
    pub fn from_profile(name: &str, profile: Profile) -> Result<Self, ColourError> {
        let _ = (name, profile);
        todo!()
    }

    /// Colour of the bare paper.
    pub fn paper(&self) -> Lab {
        todo!()
    }
}

/// Rendering intent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Intent {
    /// ICC perceptual.
    Perceptual,
    /// Relative colorimetric with black-point compensation.
    Relative,
}

/// What a fused table is built from.
#[derive(Debug, Clone)]
pub struct Recipe {
    /// Profile of the art: RGB or grey.
    pub source: Profile,
    /// The press.
    pub press: PressCondition,
    /// Rendering.
    pub intent: Intent,
    /// Ink limit.
    pub ink_limit: InkLimit,
}

/// The fused table: RGB to CMYK at 16 bit, every node within the ink limit.
#[derive(Debug)]
pub struct Separation {
    _nodes: Vec<u16>,
}

impl Separation {
    /// Samples the reference library at full precision, then holds the ink limit at each node.
    ///
    /// # Errors
    /// A profile of the wrong kind.
    pub fn build(recipe: &Recipe) -> Result<Self, ColourError> {
        let _ = recipe;
        todo!()
    }

    /// RGB bytes to CMYK bytes. `rgb.len() / 3 == cmyk.len() / 4`.
    pub fn convert_rgb8(&self, rgb: &[u8], cmyk: &mut [u8]) {
        let _ = (rgb, cmyk);
        todo!()
    }

    /// RGB in 16 bit (0 to 65535, encoded like the source profile) to CMYK bytes.
    pub fn convert_rgb16(&self, rgb: &[u16], cmyk: &mut [u8]) {
        let _ = (rgb, cmyk);
        todo!()
    }
}

/// CMYK art made for one condition, brought to the book's condition.
#[derive(Debug)]
pub struct Repurpose {
    _nodes: Vec<u16>,
}

impl Repurpose {
    /// Identity (but for the ink limit) where `source` is the press profile itself.
    ///
    /// # Errors
    /// A profile of the wrong kind.
    pub fn build(
        source: &Profile,
        press: &PressCondition,
        intent: Intent,
        ink_limit: InkLimit,
    ) -> Result<Self, ColourError> {
        let _ = (source, press, intent, ink_limit);
        todo!()
    }

    /// CMYK bytes in place.
    pub fn convert(&self, cmyk: &mut [u8]) {
        let _ = cmyk;
        todo!()
    }
}

/// How a soft proof shows the paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PaperView {
    /// Absolute: the paper's own tint and the press's own black are seen.
    Shown,
    /// Paper is taken as the screen's white.
    Adapted,
}

/// Press CMYK to screen (sRGB) bytes: how the print will look.
#[derive(Debug)]
pub struct SoftProof {
    _nodes: Vec<u16>,
}

impl SoftProof {
    /// Builds the table.
    ///
    /// # Errors
    /// A profile of the wrong kind.
    pub fn build(press: &PressCondition, paper: PaperView) -> Result<Self, ColourError> {
        let _ = (press, paper);
        todo!()
    }

    /// CMYK bytes to sRGB bytes.
    pub fn convert(&self, cmyk: &[u8], rgb: &mut [u8]) {
        let _ = (cmyk, rgb);
        todo!()
    }
}

/// Art to screen (sRGB) bytes, by its own profile.
#[derive(Debug)]
pub struct ScreenView {
    _nodes: Vec<u16>,
}

impl ScreenView {
    /// RGB or CMYK source; the identity for sRGB itself.
    ///
    /// # Errors
    /// A profile of the wrong kind.
    pub fn build(source: &Profile) -> Result<Self, ColourError> {
        let _ = source;
        todo!()
    }

    /// RGB bytes to sRGB bytes, in place. For an RGB source.
    pub fn convert_rgb8(&self, rgb: &mut [u8]) {
        let _ = rgb;
        todo!()
    }

    /// CMYK bytes to sRGB bytes. For a CMYK source.
    pub fn convert_cmyk8(&self, cmyk: &[u8], rgb: &mut [u8]) {
        let _ = (cmyk, rgb);
        todo!()
    }
}

/// What paper does to one colour of the art.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fate {
    /// ΔE00 between the art's colour (white-adapted) and its print.
    pub lost: f32,
    /// Lightness in the art.
    pub art_lightness: f32,
    /// Lightness on paper.
    pub print_lightness: f32,
    /// Total ink in percent.
    pub ink: f32,
}

/// What paper does to every colour of the art, by table: cheap enough for each pixel.
#[derive(Debug)]
pub struct Reach {
    _nodes: Vec<f32>,
}

impl Reach {
    /// Builds from the same recipe as the separation.
    ///
    /// # Errors
    /// A profile of the wrong kind.
    pub fn build(recipe: &Recipe, separation: &Separation) -> Result<Self, ColourError> {
        let _ = (recipe, separation);
        todo!()
    }

    /// The fate of one colour.
    pub fn fate(&self, rgb: [u8; 3]) -> Fate {
        let _ = rgb;
        todo!()
    }
}
