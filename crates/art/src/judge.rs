use finding::Finding;
use measure::{PixelSize, Size};

use crate::Picture;

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
