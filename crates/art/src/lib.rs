//! Reading pictures and judging them for print. Takes bytes and gives pixels; knows no files.

use finding::Finding;
use measure::{PixelSize, Size};
use thiserror::Error;

/// A picture that cannot be used, and why. The caller knows the file's name and says it.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ArtError {
    /// Not JPEG, PNG, TIFF or WebP.
    #[error("not a JPEG, PNG, TIFF or WebP picture")]
    UnknownFormat,
    /// Cut, damaged or contradicting itself.
    #[error("the picture is damaged: {0}")]
    Damaged(String),
    /// Beyond the limits.
    #[error("the picture claims {claimed}, more than the {limit} that are accepted")]
    TooLarge {
        /// What its header claims.
        claimed: String,
        /// The limit.
        limit: String,
    },
    /// A kind of picture that is not read, such as floating-point samples.
    #[error("{0} are not read")]
    Unsupported(String),
}

/// Limits on what is read.
#[derive(Debug, Clone, Copy)]
pub struct Limits {
    /// Most pixels; 400 million unless said.
    pub pixels: u64,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            pixels: 400_000_000,
        }
    }
}

/// Kind of file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Format {
    /// JPEG.
    Jpeg,
    /// PNG.
    Png,
    /// TIFF.
    Tiff,
    /// WebP.
    WebP,
}

/// What a picture's header says, read without decoding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Header {
    /// Kind of file.
    pub format: Format,
    /// Size as a person sees it, after turning by the EXIF orientation.
    pub size: PixelSize,
}

/// Reads the header.
///
/// # Errors
/// As [`decode`], as far as the header shows it.
pub fn probe(bytes: &[u8], limits: &Limits) -> Result<Header, ArtError> {
    let _ = (bytes, limits);
    todo!()
}

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
    /// Embedded profile, if there is a usable one.
    pub profile: Option<colour::Profile>,
    /// What was done in reading.
    pub remarks: Vec<Remark>,
}

/// Reads a picture.
///
/// # Errors
/// See [`ArtError`]; never panics, whatever the bytes.
pub fn decode(bytes: &[u8], limits: &Limits) -> Result<Picture, ArtError> {
    let _ = (bytes, limits);
    todo!()
}

/// A part of a picture, in its pixels (fractions allowed).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// Left.
    pub x: f64,
    /// Top.
    pub y: f64,
    /// Across.
    pub width: f64,
    /// Down.
    pub height: f64,
}

/// Brings a window of the picture to a new size: Lanczos 3 in linear light (grey and RGB by their
/// encoding's curve, CMYK as it stands). 8-bit input gives 16-bit output where precision asks it.
pub fn resample(picture: &Picture, window: Window, to: PixelSize) -> Picture {
    let _ = (picture, window, to);
    todo!()
}

/// How a picture is used, for judging it.
#[derive(Debug, Clone)]
pub struct Use<'a> {
    /// The art's name.
    pub piece: &'a str,
    /// Size of the whole picture on paper (the frame), the largest if it is used twice.
    pub on_paper: Option<Size>,
    /// The book accepts a resolution under 150 ppi.
    pub accept_low_resolution: bool,
}

/// What was measured of one picture.
#[derive(Debug, Clone)]
pub struct Judgement {
    /// The art's name.
    pub piece: String,
    /// Size in pixels.
    pub size: PixelSize,
    /// Effective resolution at the size placed.
    pub ppi: Option<f64>,
    /// Share of the area that the press cannot reach within ΔE00 3, 0 to 1.
    pub out_of_reach: f64,
    /// Mean ΔE00 over that share.
    pub out_of_reach_by: f64,
    /// Share of the area whose shadow detail will fill in, 0 to 1.
    pub shadow_fills: f64,
    /// Fingerprint for near-duplicates.
    pub fingerprint: Fingerprint,
    /// Highest ink total in percent.
    pub ink_most: f64,
    /// Findings.
    pub findings: Vec<Finding>,
}

/// A small description of what a picture shows, for finding near-duplicates.
#[derive(Debug, Clone, PartialEq)]
pub struct Fingerprint(pub Vec<u8>);

/// Judges one picture for print.
pub fn judge(picture: &Picture, reach: &colour::Reach, usage: &Use<'_>) -> Judgement {
    let _ = (picture, reach, usage);
    todo!()
}

/// Findings on pairs of pictures that show almost the same.
pub fn near_duplicates(judged: &[Judgement]) -> Vec<Finding> {
    let _ = judged;
    todo!()
}
