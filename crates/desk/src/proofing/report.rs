//! What the proof's use cases give.

use std::path::PathBuf;
use std::sync::Arc;

use book::plan::ReaderPage;
use colour::Lab;
use finding::Finding;
use proof::fit::{Errors, Verdict};
use proof::tolerance::Judged;
use proof::{Mark, Measurement, PatchKind, Strip, StripLayout};

/// The book's control strip as it is now.
#[derive(Debug, Clone)]
pub struct StripView {
    /// Its patches, with what they print and are intended to look like.
    pub strip: Arc<Strip>,
    /// How it stands on a sheet as wide as the page with its bleed.
    pub layout: StripLayout,
    /// Whether this very strip was already made or measured; otherwise its version is the one
    /// that it will get.
    pub kept: bool,
    /// Why it is another one than the last strip that was made: sentences without a full stop.
    /// Empty when it is the same, or the first.
    pub changed: Vec<String>,
}

/// Proof pages made.
#[derive(Debug, Clone)]
pub struct ProofFile {
    /// `press/proof.pdf`.
    pub path: PathBuf,
    /// Pages of the book in it, each with the strip under it; empty when it holds the strip on a
    /// sheet of its own.
    pub pages: Vec<ReaderPage>,
    /// The strip's version.
    pub version: u32,
    /// The file's name in the marks: eight hexadecimal digits.
    pub mark: String,
    /// What our own check found in it.
    pub findings: Vec<Finding>,
    /// Size in bytes.
    pub bytes: u64,
}

/// How a measurement came.
#[derive(Debug, Clone, PartialEq)]
pub enum ReadFrom {
    /// From an instrument, as CGATS text.
    Instrument,
    /// From the practice press: no paper was printed.
    Practice,
    /// From a scan.
    Scan {
        /// How far the strip lay turned clockwise on it, in degrees.
        turned: f64,
        /// Its resolution, in pixels per inch.
        ppi: f64,
        /// Where its colours come from and how far they can be trusted, as a sentence.
        colour: String,
    },
}

/// One measured patch.
#[derive(Debug, Clone, PartialEq)]
pub struct PatchReading {
    /// Which patch of the strip, from 0.
    pub patch: usize,
    /// Its name on the strip.
    pub name: String,
    /// What it is there for.
    pub kind: PatchKind,
    /// The art's colour, sRGB, where it comes from art.
    pub art: Option<[u8; 3]>,
    /// Ink: C, M, Y, K, 255 = solid.
    pub ink: [u8; 4],
    /// What it was meant to look like; absolute, D50.
    pub intended: Lab,
    /// What came; absolute, D50.
    pub measured: Lab,
    /// ΔE00 between them.
    pub delta_e: f64,
    /// ΔE00 foretold after the correction, by a fit that has not seen this patch; `None` where no
    /// correction reaches it or none is proposed.
    pub foretold: Option<f64>,
    /// How uneven it was: standard deviation in ΔE, where that is known.
    pub spread: Option<f64>,
}

/// A measurement of a proof that was read, and what follows from it.
#[derive(Debug, Clone)]
pub struct ProofReading {
    /// Its number in this book, from 1.
    pub id: u32,
    /// When it was read, in UTC.
    pub read_at: String,
    /// Name of the file as it was given.
    pub name: String,
    /// Where the original is kept, below the book folder: `proofs/…`.
    pub kept: PathBuf,
    /// How it came.
    pub from: ReadFrom,
    /// The mark that it carried.
    pub mark: Option<Mark>,
    /// The strip that it was for.
    pub strip: Arc<Strip>,
    /// The readings, what is missing, and what had to be assumed.
    pub measurement: Measurement,
    /// Every measured patch, in the strip's order.
    pub patches: Vec<PatchReading>,
    /// ΔE00 over all measured patches.
    pub all: Errors,
    /// ΔE00 over the measured patches that are the book's own colours.
    pub colours: Errors,
    /// What can be learned from it.
    pub verdict: Verdict,
    /// What was learned, in plain sentences; empty when nothing was.
    pub lesson: Vec<String>,
    /// Published tolerances held against it.
    pub tolerances: Vec<Judged>,
    /// When its lesson was accepted, in UTC; the last time, if more than once.
    pub accepted: Option<String>,
    /// Whether the book's inks are corrected by its lesson now.
    pub in_force: bool,
    /// Why the strip that it was for is no longer the book's: sentences without a full stop.
    pub stale: Vec<String>,
    /// Why its lesson cannot be accepted, in a sentence; `None` when it can.
    pub refused: Option<String>,
}
