use std::fmt;

use rayon::prelude::*;

use crate::compensation::Subject;
use crate::duo::DuoRamp;
use crate::engine::{Exact, Rendering};
use crate::grid3::{Grid3, Side, quantise};
use crate::grid4::Grid4;
use crate::limiter::Limiter;
use crate::route::Correction;
use crate::soft_proof::on_screen;
use crate::source::Source;
use crate::{
    ColourError, Compensation, Departure, DuoInk, InkLimit, Lab, PaperView, PressCondition,
    Profile, Recipe,
};

/// Nodes of a side of the table from inks to the screen.
const SIDE: usize = 17;
/// Nodes that one core takes at a time.
const RUN: usize = 1024;

/// Compensations tried on the screen, each seen at once: straight from the art to how its print
/// will look.
///
/// What no figure of a compensation changes is prepared once: the art's colours, and for any ink
/// how it prints under the limit and with a known departure undone. A [`TrialTable`] is then made in
/// milliseconds. It is coarser than a [`crate::Separation`] followed by a [`crate::SoftProof`], and
/// differs from them by less than one ΔE00 in the mean; nothing is printed from it.
pub struct Trial {
    /// The art's colours at the table's nodes.
    art: Vec<Subject>,
    inks: Inks,
    seen: Grid4,
}

/// From a wished colour to inks.
enum Inks {
    Four(Exact<3, 4>),
    Duo(DuoRamp),
}

impl Trial {
    /// Prepares trials of a recipe, whose own compensation does not matter. `duo` is the second ink
    /// of art that prints in black and one more.
    ///
    /// # Errors
    /// A profile of the wrong kind.
    pub fn prepare(
        recipe: &Recipe,
        duo: Option<DuoInk>,
        paper: PaperView,
    ) -> Result<Self, ColourError> {
        let press = &recipe.press.profile;
        let rendering = recipe.intent.rendering();
        let art = Source::<3>::to_lab(&recipe.source, rendering)?
            .convert_all(&Grid3::places(Side::Nodes33))
            .into_par_iter()
            .map(|colour| Subject::of(Lab::from_floats(colour)))
            .collect();
        let inks = match duo {
            None => Inks::Four(Exact::from_lab(press, rendering)?),
            Some(second) => Inks::Duo(DuoRamp::of(
                recipe,
                second,
                recipe.ink_limit.percent() / 100.0,
            )?),
        };
        let departure = recipe
            .departure
            .as_ref()
            .filter(|departure| !departure.is_none());
        // Black and one more know the departure by their ramp.
        let undone = departure.filter(|_| duo.is_none());
        Ok(Self {
            art,
            inks,
            seen: seen(&recipe.press, recipe.ink_limit, undone, departure, paper)?,
        })
    }

    /// The table that shows one compensation.
    pub fn table(&self, compensation: &Compensation) -> TrialTable {
        let curves = compensation.curves();
        let mut values = vec![[0; 4]; self.art.len()];
        values
            .par_chunks_mut(RUN)
            .zip(self.art.par_chunks(RUN))
            .for_each(|(values, art)| {
                let wished: Vec<[f32; 3]> = art
                    .iter()
                    .map(|subject| curves.of_seen(subject).floats())
                    .collect();
                let inks: Vec<[f32; 4]> = match &self.inks {
                    Inks::Four(exact) => {
                        let mut inks = vec![[0.0; 4]; wished.len()];
                        exact.convert(&wished, &mut inks);
                        inks.into_iter()
                            .map(|inks| inks.map(|ink| ink / 100.0))
                            .collect()
                    }
                    Inks::Duo(ramp) => wished
                        .iter()
                        .map(|wished| ramp.inks(f64::from(wished[0])))
                        .collect(),
                };
                for (value, inks) in values.iter_mut().zip(inks) {
                    *value = self.seen.unrounded(inks).map(quantise);
                }
            });
        TrialTable {
            grid: Grid3::new(Side::Nodes33, &values),
        }
    }
}

impl fmt::Debug for Trial {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Trial").finish_non_exhaustive()
    }
}

/// From any inks that the art asks for to the screen: the departure undone, the limit held, printed
/// on the real press.
fn seen(
    press: &PressCondition,
    limit: InkLimit,
    undone: Option<&Departure>,
    departure: Option<&Departure>,
    paper: PaperView,
) -> Result<Grid4, ColourError> {
    let mut inks: Vec<[f32; 4]> = Grid4::places(SIDE)
        .into_iter()
        .map(|place| place.map(|ink| ink * 100.0))
        .collect();
    if let Some(departure) = undone {
        let correction = Correction::new(&press.profile, departure)?;
        inks.par_chunks_mut(RUN)
            .for_each(|inks| correction.correct(inks));
    }
    let most = limit.percent() / 100.0;
    if most < 4.0 {
        let limiter = Limiter::new(&press.profile, most, most_black(&press.profile)?)?;
        inks.par_iter_mut().for_each(|inks| {
            let held = limiter.hold(inks.map(|ink| f64::from(ink) / 100.0));
            *inks = held.map(|ink| (ink * 100.0) as f32);
        });
    }
    let promised = Exact::<4, 3>::to_lab(&press.profile, Rendering::Relative)?.convert_all(&inks);
    let curves = departure.map(Departure::curves);
    let values = on_screen(press, paper, curves.as_ref(), promised)?;
    Ok(Grid4::new(SIDE, &values))
}

/// Most black that the profile's own way to ink uses: that of the darkest colour.
fn most_black(press: &Profile) -> Result<f64, ColourError> {
    let mut inks = [[0.0; 4]];
    Exact::<3, 4>::from_lab(press, Rendering::Relative)?.convert(&[[0.0; 3]], &mut inks);
    Ok(f64::from(inks[0][3] / 100.0).clamp(0.0, 1.0))
}

/// One compensation, from the art's RGB bytes straight to the screen.
pub struct TrialTable {
    grid: Grid3,
}

/// Pixels that are converted at a time, so that they stay in the fastest memory.
const AT_ONCE: usize = 2048;

impl TrialTable {
    /// The art's RGB bytes (a grey's as three equal ones) to sRGB bytes, for each whole pixel that
    /// both slices hold.
    pub fn convert_rgb8(&self, rgb: &[u8], screen: &mut [u8]) {
        let mut four = [0; 4 * AT_ONCE];
        for (rgb, screen) in rgb.chunks(3 * AT_ONCE).zip(screen.chunks_mut(3 * AT_ONCE)) {
            let pixels = (rgb.len() / 3).min(screen.len() / 3);
            let four = &mut four[..4 * pixels];
            self.grid.convert8(&rgb[..3 * pixels], four);
            for (to, from) in screen.chunks_exact_mut(3).zip(four.chunks_exact(4)) {
                to.copy_from_slice(&from[..3]);
            }
        }
    }
}

impl fmt::Debug for TrialTable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("TrialTable").finish_non_exhaustive()
    }
}
