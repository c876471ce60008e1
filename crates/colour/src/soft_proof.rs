use std::fmt;

use crate::engine::{Exact, Rendering};
use crate::grid4::Grid4;
use crate::{ColourError, PressCondition, Profile};

/// Nodes of a side of the table from inks to the screen.
const SIDE: usize = 17;

/// How a soft proof shows the paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PaperView {
    /// Absolute: the paper's own tint and the press's own black are seen.
    Shown,
    /// Paper is taken as the screen's white; blacks stay as far from it as they print.
    Adapted,
}

/// Press CMYK to screen (sRGB) bytes: how the print will look.
pub struct SoftProof {
    grid: Grid4,
}

impl SoftProof {
    /// Builds the table.
    ///
    /// # Errors
    /// A profile of the wrong kind.
    pub fn build(press: &PressCondition, paper: PaperView) -> Result<Self, ColourError> {
        let rendering = match paper {
            PaperView::Shown => Rendering::Absolute,
            PaperView::Adapted => Rendering::Relative,
        };
        Ok(Self {
            grid: screen_grid(&press.profile, rendering)?,
        })
    }

    /// CMYK bytes to sRGB bytes, for each whole pixel that both slices hold.
    pub fn convert(&self, cmyk: &[u8], rgb: &mut [u8]) {
        convert_inks(&self.grid, cmyk, rgb);
    }
}

impl fmt::Debug for SoftProof {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("SoftProof").finish_non_exhaustive()
    }
}

/// The table from a CMYK profile's inks to sRGB.
pub(crate) fn screen_grid(inks: &Profile, rendering: Rendering) -> Result<Grid4, ColourError> {
    let exact = Exact::<4, 3>::between(inks, &Profile::srgb(), rendering)?;
    let percent: Vec<[f32; 4]> = Grid4::places(SIDE)
        .into_iter()
        .map(|place| place.map(|ink| ink * 100.0))
        .collect();
    let values: Vec<[f32; 4]> = exact
        .convert_all(&percent)
        .into_iter()
        .map(|[r, g, b]| [r, g, b, 0.0])
        .collect();
    Ok(Grid4::new(SIDE, &values))
}

pub(crate) fn convert_inks(grid: &Grid4, cmyk: &[u8], rgb: &mut [u8]) {
    for (inks, out) in cmyk.chunks_exact(4).zip(rgb.chunks_exact_mut(3)) {
        let [r, g, b, _] = grid.convert([inks[0], inks[1], inks[2], inks[3]]);
        out.copy_from_slice(&[r, g, b]);
    }
}
