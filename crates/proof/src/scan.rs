//! Reading a strip from a flatbed scan: the mark is found and read, the strip is straightened by it
//! and by the corner marks, and each patch's middle is measured.

mod code;
mod colours;
mod doubt;
mod error;
mod finder;
mod flat;
mod light;
mod patch_light;
mod plane;
mod read;
mod reading;
mod sample;
mod scanner;
mod solve;
mod straighten;
mod which;

use art::Picture;
use colour::Profile;

use crate::{Mark, Strip, StripLayout};

pub use error::ScanError;
pub use reading::{ColourFrom, ScanReading};

/// How far a patch may be from what it should be and still be taken for it, in ΔE00. A press that
/// departs as far as that is beyond all learning.
const MOST_APART: f64 = 25.0;

/// The strip that a scan is expected to show.
#[derive(Debug, Clone, Copy)]
pub struct Wanted<'a> {
    /// Its patches.
    pub strip: &'a Strip,
    /// Where they stand.
    pub layout: &'a StripLayout,
    /// Its mark. Without a page, a strip on any page will do, as long as the scan shows one only.
    pub mark: &'a Mark,
}

/// Reads every mark that a scan shows, in no particular order, without reading any colour.
///
/// # Errors
/// The scan is no picture that could show one, or shows none.
pub fn marks(picture: &Picture) -> Result<Vec<Mark>, ScanError> {
    let (_, found) = which::find(picture)?;
    Ok(found.into_iter().map(|found| found.mark).collect())
}

/// Reads a strip from a scan.
///
/// Colours come from `scanner`, the scanner's ICC profile, where it is given; else from the profile
/// embedded in the scan if it is a scanner's (class `scnr`); else the scanner is characterised from
/// the strip itself.
///
/// # Errors
/// No mark is found, the strip is another one, too little of it is on the scan, or its colours
/// cannot be told.
pub fn read(
    picture: &Picture,
    wanted: Wanted<'_>,
    scanner: Option<&Profile>,
) -> Result<ScanReading, ScanError> {
    read::read(picture, wanted, scanner)
}
