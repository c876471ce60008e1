use std::fmt;

use rayon::prelude::*;

use crate::engine::{Exact, Rendering};
use crate::grid4::Grid4;
use crate::limiter::Limiter;
use crate::route::Correction;
use crate::{
    ColourError, Departure, DepartureCurves, InkLimit, Intent, Lab, PressCondition, Profile, Space,
};

/// Nodes of a side.
const SIDE: usize = 25;

/// CMYK art made for one condition, brought to the book's condition.
///
/// Pure black stays pure black (type and line in the art stay on one plate), matched in lightness.
/// The sum of the four bytes of every result is at most `limit · 2.55`, as with
/// [`crate::Separation`].
pub struct Repurpose {
    grid: Option<Grid4>,
    /// Inks that sum to no more are left as they are: only where source and press are the same.
    keep: u32,
}

impl Repurpose {
    /// Identity (but for the ink limit) where `source` is the press profile itself.
    ///
    /// # Errors
    /// A profile of the wrong kind.
    pub fn build(
        source: &Profile,
        press: &PressCondition,
        intent: Intent,
        ink_limit: InkLimit,
    ) -> Result<Self, ColourError> {
        Self::build_with(source, press, intent, ink_limit, None)
    }

    /// The same for a press that is known to depart from its condition: what it does is undone.
    /// Pure black still stays pure black, and solid black solid.
    ///
    /// # Errors
    /// A profile of the wrong kind.
    pub fn build_with(
        source: &Profile,
        press: &PressCondition,
        intent: Intent,
        ink_limit: InkLimit,
        departure: Option<&Departure>,
    ) -> Result<Self, ColourError> {
        if source.space() != Space::Cmyk {
            return Err(ColourError::WrongSpace {
                expected: "CMYK",
                found: format!("a profile for {}", source.space_name()),
            });
        }
        let places = Grid4::places(SIDE);
        let departure = departure.filter(|departure| !departure.is_none());
        let same = source.same_as(&press.profile);
        let kept = same && departure.is_none();
        let limited = ink_limit.percent() < 400.0;
        if kept && !limited {
            return Ok(Self {
                grid: None,
                keep: 4 * 255,
            });
        }
        let mut values = if kept {
            places.clone()
        } else {
            converted(source, press, intent, departure, &places)?
        };
        if limited {
            let most_black = if same {
                1.0
            } else {
                values.iter().map(|value| value[3]).fold(0.0, f32::max)
            };
            // Two byte steps for the rounding of results, and a hair for that of nodes.
            let limit = f64::from(ink_limit.byte_sum() - 2) / 255.0 - 2e-4;
            let limiter = Limiter::new(&press.profile, limit, f64::from(most_black))?;
            values.par_iter_mut().for_each(|value| {
                *value = limiter.hold(value.map(f64::from)).map(|ink| ink as f32);
            });
        }
        Ok(Self {
            grid: Some(Grid4::new(SIDE, &values)),
            keep: if kept { ink_limit.byte_sum() } else { 0 },
        })
    }

    /// CMYK bytes in place, for each whole pixel.
    pub fn convert(&self, cmyk: &mut [u8]) {
        let Some(grid) = &self.grid else {
            return;
        };
        for pixel in cmyk.chunks_exact_mut(4) {
            if pixel.iter().map(|&ink| u32::from(ink)).sum::<u32>() > self.keep {
                let inks = grid.convert([pixel[0], pixel[1], pixel[2], pixel[3]]);
                pixel.copy_from_slice(&inks);
            }
        }
    }
}

impl fmt::Debug for Repurpose {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Repurpose")
            .field("identity", &self.grid.is_none())
            .finish_non_exhaustive()
    }
}

/// Inks of the press for each of the source's inks, 0 to 1.
fn converted(
    source: &Profile,
    press: &PressCondition,
    intent: Intent,
    departure: Option<&Departure>,
    places: &[[f32; 4]],
) -> Result<Vec<[f32; 4]>, ColourError> {
    let percent: Vec<[f32; 4]> = places
        .iter()
        .map(|place| place.map(|ink| ink * 100.0))
        .collect();
    let mut inks = if source.same_as(&press.profile) {
        percent
    } else {
        Exact::<4, 4>::between(source, &press.profile, intent.rendering())?.convert_all(&percent)
    };
    if let Some(departure) = departure {
        let correction = Correction::new(&press.profile, departure)?;
        inks.par_chunks_mut(4096)
            .for_each(|inks| correction.correct(inks));
    }
    let blacks = MatchedBlack::new(source, &press.profile, departure)?;
    Ok(places
        .iter()
        .zip(inks)
        .map(|(place, inks)| {
            if place[..3] == [0.0; 3] {
                [0.0, 0.0, 0.0, blacks.like(place[3])]
            } else {
                inks.map(|ink| (ink / 100.0).clamp(0.0, 1.0))
            }
        })
        .collect())
}

/// Black alone on the press as light as black alone in the source, paper for paper.
struct MatchedBlack {
    source: Vec<f32>,
    press: Vec<f32>,
}

impl MatchedBlack {
    const STEPS: usize = 256;

    fn new(
        source: &Profile,
        press: &Profile,
        departure: Option<&Departure>,
    ) -> Result<Self, ColourError> {
        let ramp: Vec<[f32; 4]> = (0..=Self::STEPS)
            .map(|step| [0.0, 0.0, 0.0, step as f32 * 100.0 / Self::STEPS as f32])
            .collect();
        let curves = departure.map(Departure::curves);
        let lightness = |profile: &Profile, curves: Option<&DepartureCurves>| {
            let exact = Exact::<4, 3>::to_lab(profile, Rendering::Relative)?;
            Ok::<Vec<f32>, ColourError>(
                exact
                    .convert_all(&ramp)
                    .into_iter()
                    .map(|lab| {
                        curves.map_or(lab[0], |curves| {
                            curves.apply(Lab::from_floats(lab)).l as f32
                        })
                    })
                    .collect(),
            )
        };
        Ok(Self {
            source: lightness(source, None)?,
            press: lightness(press, curves.as_ref())?,
        })
    }

    /// No ink stays none and solid stays solid.
    fn like(&self, black: f32) -> f32 {
        if black <= 0.0 || black >= 1.0 {
            return black.clamp(0.0, 1.0);
        }
        let wanted = self.source[(black * Self::STEPS as f32).round() as usize];
        let dark = self
            .press
            .iter()
            .position(|&lightness| lightness <= wanted)
            .unwrap_or(Self::STEPS);
        if dark == 0 {
            return 0.0;
        }
        let (light, next) = (self.press[dark - 1], self.press[dark]);
        let share = if light > next {
            ((light - wanted) / (light - next)).clamp(0.0, 1.0)
        } else {
            0.0
        };
        (dark as f32 - 1.0 + share) / Self::STEPS as f32
    }
}
