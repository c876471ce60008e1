use colour::Lab;

use crate::{Mark, Measurement, Strip};

/// Where the colours of a reading come from.
#[derive(Debug, Clone, PartialEq)]
pub enum ColourFrom {
    /// From a profile of the scanner.
    Profile {
        /// The profile's own name.
        name: String,
        /// Mean ΔE00 between what the strip's fixed patches (paper, solids, overprints) should be
        /// and what was read: press and scanner together, not to be told apart.
        agreement: f64,
    },
    /// From the strip itself.
    Characterised {
        /// What was fitted, in words.
        model: &'static str,
        /// What one has to reckon with, in ΔE00: the mean error of the fixed patches (solids,
        /// overprints), each foretold by a fit that has not seen it, or how unsure greys between
        /// them are by the same fits, whichever is more.
        error: f64,
        /// The greatest of these.
        most: f64,
        /// How many fixed patches there were.
        patches: usize,
    },
}

/// A strip read from a scan.
#[derive(Debug, Clone, PartialEq)]
pub struct ScanReading {
    /// The mark on the scan.
    pub mark: Mark,
    /// Patch (from 0), colour (absolute, D50), and how uneven it was (standard deviation in ΔE
    /// between parts of the patch), in the patches' order.
    pub seen: Vec<(usize, Lab, f64)>,
    /// Patches that are not on the scan or cannot be trusted, from 0.
    pub missing: Vec<usize>,
    /// How far the strip lies turned clockwise on the scan, in degrees, 0 to 360.
    pub turned: f64,
    /// Resolution of the scan as the strip's own size tells it, in pixels per inch.
    pub ppi: f64,
    /// Where the colours come from.
    pub colour: ColourFrom,
    /// What had to be assumed, left out or put right, as sentences.
    pub remarks: Vec<String>,
    /// Each patch's outline on the scan, in pixels, clockwise from its upper left corner; patches
    /// off the scan included.
    pub outlines: Vec<[[f64; 2]; 4]>,
}

impl ScanReading {
    /// The same as a measurement, its remarks carried over.
    pub fn measurement(&self, strip: &Strip) -> Measurement {
        let mut measurement = Measurement::of_scan(strip, Some(self.mark.clone()), &self.seen);
        for remark in &self.remarks {
            if !measurement.remarks.contains(remark) {
                measurement.remarks.push(remark.clone());
            }
        }
        measurement
    }
}
