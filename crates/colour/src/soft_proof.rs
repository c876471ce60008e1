use std::fmt;

use rayon::prelude::*;

use crate::engine::{Exact, Rendering};
use crate::grid4::Grid4;
use crate::{ColourError, Departure, DepartureCurves, Lab, PressCondition, Profile};

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

impl PaperView {
    pub(crate) fn rendering(self) -> Rendering {
        match self {
            Self::Shown => Rendering::Absolute,
            Self::Adapted => Rendering::Relative,
        }
    }
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
        Self::build_with(press, paper, None)
    }

    /// The same for a press that is known to depart from its condition: how it will really look.
    ///
    /// # Errors
    /// A profile of the wrong kind.
    pub fn build_with(
        press: &PressCondition,
        paper: PaperView,
        departure: Option<&Departure>,
    ) -> Result<Self, ColourError> {
        let departs = departure.filter(|departure| !departure.is_none());
        let grid = if let Some(departure) = departs {
            let percent: Vec<[f32; 4]> = Grid4::places(SIDE)
                .into_iter()
                .map(|place| place.map(|ink| ink * 100.0))
                .collect();
            let printed =
                Exact::<4, 3>::to_lab(&press.profile, Rendering::Relative)?.convert_all(&percent);
            let curves = departure.curves();
            Grid4::new(SIDE, &on_screen(press, paper, Some(&curves), printed)?)
        } else {
            screen_grid(&press.profile, paper.rendering())?
        };
        Ok(Self { grid })
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

/// How colours that a condition promises (Lab relative to the paper) look on the screen: sRGB, 1 for
/// byte 255, not cut to its range.
pub(crate) fn on_screen(
    press: &PressCondition,
    paper: PaperView,
    departure: Option<&DepartureCurves>,
    mut promised: Vec<[f32; 3]>,
) -> Result<Vec<[f32; 4]>, ColourError> {
    let white = match paper {
        PaperView::Shown => Some(press.paper()),
        PaperView::Adapted => None,
    };
    promised.par_iter_mut().for_each(|colour| {
        let mut seen = Lab::from_floats(*colour);
        if let Some(departure) = departure {
            seen = departure.apply(seen);
        }
        if let Some(white) = white {
            seen = seen.absolute_on(white);
        }
        *colour = seen.floats();
    });
    Ok(
        Exact::<3, 3>::from_lab(&Profile::srgb(), Rendering::Relative)?
            .convert_all(&promised)
            .into_iter()
            .map(|[r, g, b]| [r, g, b, 0.0])
            .collect(),
    )
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
