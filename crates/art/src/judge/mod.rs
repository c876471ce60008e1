//! Judging a picture for print.

mod blocking;
mod duplicates;
mod enlargement;
mod findings;
mod lightness;
pub mod on_press;

use finding::Finding;
use measure::{PixelSize, Resolution, Size};

use crate::{Picture, Samples};

pub use duplicates::{Fingerprint, near_duplicates};
pub use on_press::OUT_OF_REACH;

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
    /// Whether it came as CMYK, made of inks already. What its colours were before is not known, so
    /// that of what paper takes all that follows is 0 and says nothing.
    pub separated_already: bool,
    /// Mean ΔE00 between the art's colours, as the book's recipe wishes them on paper, and their
    /// print, each seen relative to its own white.
    pub mean_lost: f64,
    /// The ΔE00 of the same kind that 95 percent of the area do not pass, in tenths.
    pub lost_most: f64,
    /// Share of the area that the press cannot reach within ΔE00 3 ([`OUT_OF_REACH`]), 0 to 1.
    pub out_of_reach: f64,
    /// Mean ΔE00 over that share.
    pub out_of_reach_by: f64,
    /// The part of `out_of_reach` whose hue lies nearest to each band of
    /// [`colour::Compensation::BANDS`]. Near-greys (chroma under 5) count to no band.
    pub out_of_reach_bands: [f64; 6],
    /// Share of the area whose shadow detail will fill in, 0 to 1.
    pub shadow_fills: f64,
    /// Share of the area whose highlight detail will fade into bare paper, 0 to 1.
    pub highlight_fades: f64,
    /// Fingerprint for near-duplicates.
    pub fingerprint: Fingerprint,
    /// Highest ink total in percent.
    pub ink_most: f64,
    /// Findings.
    pub findings: Vec<Finding>,
}

/// Judges one picture for print.
///
/// `reach` must have been built for the picture's own profile (sRGB where it has none). Of CMYK
/// art it says nothing, since such art is already made of inks: its totals are summed as they
/// stand, and the shares that the press changes are 0.
///
/// Colours are looked up for up to a million pixels, evenly spread, not averaged: the mean of a
/// line and its ground is a colour that the art does not have.
pub fn judge(picture: &Picture, reach: &colour::Reach, usage: &Use<'_>) -> Judgement {
    let ppi = usage
        .on_paper
        .and_then(|on_paper| Resolution::effective(picture.size, on_paper))
        .map(Resolution::ppi);
    let on_press = on_press::OnPress::of(picture, reach);
    let detail = enlargement::Detail::of(picture);
    let blocking = blocking::Blocking::of(picture);
    let findings = findings::Facts {
        picture,
        usage,
        ppi,
        on_press: &on_press,
        detail,
        blocking,
    }
    .findings();
    Judgement {
        piece: usage.piece.to_owned(),
        size: picture.size,
        ppi,
        separated_already: matches!(picture.samples, Samples::Cmyk8(_)),
        mean_lost: on_press.mean_lost,
        lost_most: on_press.lost_most,
        out_of_reach: on_press.out_of_reach,
        out_of_reach_by: on_press.out_of_reach_by,
        out_of_reach_bands: on_press.out_of_reach_bands,
        shadow_fills: on_press.shadow_fills,
        highlight_fades: on_press.highlight_fades,
        fingerprint: Fingerprint::of(picture),
        ink_most: on_press.ink_most,
        findings,
    }
}
