//! What was seen while a page's contents were read.

use std::collections::{BTreeMap, BTreeSet};

use super::font::Home;
use super::guides::Straight;
use super::image::Trouble;

/// A picture as it stands on the page.
#[derive(Debug, Clone)]
pub(super) struct SeenImage {
    pub(super) width: usize,
    pub(super) height: usize,
    /// Pixels an inch as placed, the lower of the two directions.
    pub(super) ppi: f64,
    pub(super) line_art: bool,
    pub(super) trouble: Option<Trouble>,
}

/// All of it.
#[derive(Debug, Clone, Default)]
pub(super) struct Seen {
    pub(super) spaces: BTreeSet<String>,
    /// RGB or Lab was used by something that is painted.
    pub(super) light: bool,
    /// So was RGB that nothing defines.
    pub(super) bare_rgb: bool,
    /// CMYK with a profile of its own.
    pub(super) other_cmyk: bool,
    pub(super) fonts: BTreeMap<String, Home>,
    pub(super) images: Vec<SeenImage>,
    /// See-through things, in words.
    pub(super) transparency: BTreeSet<&'static str>,
    /// White that overprints, and so does not print at all.
    pub(super) white_overprint: bool,
    /// Bits of the inks that were painted with so far.
    pub(super) laid: u32,
    /// Bits of the spot inks that are set to take away what lies under them.
    pub(super) set_to_knock_out: u32,
    /// Bits of those that do take away some ink.
    pub(super) take_away: u32,
    /// Something that is printed stands on every plate there is.
    pub(super) on_every_plate: bool,
    /// Letters in each place where no words may stand.
    pub(super) misplaced: BTreeMap<usize, usize>,
    /// The thinnest line under a quarter point, in points.
    pub(super) hairline: Option<f64>,
    /// The smallest type in several inks, in points, with its number of inks.
    pub(super) small_type: Option<(f64, u32)>,
    /// What the plates only approximate, in words.
    pub(super) approximate: BTreeSet<&'static str>,
    /// Straight lines, where they are asked for.
    pub(super) straight: Option<Straight>,
    pub(super) transfer: bool,
    pub(super) lzw: bool,
    pub(super) postscript: bool,
    pub(super) old_links: bool,
    pub(super) reference: bool,
    pub(super) alternates: bool,
    pub(super) outside_data: bool,
    pub(super) hidden_layers: bool,
    /// Some data broke off or made no sense.
    pub(super) damaged: bool,
    /// The page asked for more work than a check does.
    pub(super) too_heavy: bool,
}
