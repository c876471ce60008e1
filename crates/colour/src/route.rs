//! The way of one colour from art to ink, at full precision: what a table is sampled from.

use crate::compensation::Curves;
use crate::engine::Exact;
use crate::engine::Rendering;
use crate::source::Source;
use crate::{ColourError, Departure, DepartureCurves, Lab, Profile, Recipe};

/// How often the inks are moved: the second time leaves half of what the first one left (measured
/// on the built-in conditions: 0.21 for 0.47 ΔE00 of 5.4).
const STEPS: usize = 2;

/// From a table's RGB places to inks, 0 to 100 each.
pub(crate) struct Route {
    start: Start,
    correction: Option<Correction>,
}

enum Start {
    /// Profile to profile, as the reference library does it.
    Direct(Source<4>),
    /// By the art's Lab, compensated.
    Compensated {
        art: Source<3>,
        curves: Curves,
        press: Exact<3, 4>,
    },
}

impl Route {
    /// The recipe's way, but for its ink limit.
    pub(crate) fn of(recipe: &Recipe) -> Result<Self, ColourError> {
        let press = &recipe.press.profile;
        let rendering = recipe.intent.rendering();
        let start = if recipe.compensation.is_none() {
            Start::Direct(Source::between(&recipe.source, press, rendering)?)
        } else {
            // The library takes Lab for a space whose black is 0. So the first step brings the
            // source's black there, where the rendering compensates black points, and the second
            // goes on from there: together they do what one step would.
            Start::Compensated {
                art: Source::to_lab(&recipe.source, rendering)?,
                curves: recipe.compensation.curves(),
                press: Exact::from_lab(press, rendering)?,
            }
        };
        let correction = match &recipe.departure {
            Some(departure) if !departure.is_none() => Some(Correction::new(press, departure)?),
            _ => None,
        };
        Ok(Self { start, correction })
    }

    /// Inks of one run of places, on this thread.
    pub(crate) fn inks(&self, places: &[[f32; 3]]) -> Vec<[f32; 4]> {
        let mut inks = match &self.start {
            Start::Direct(source) => source.convert(places),
            Start::Compensated { art, curves, press } => {
                let mut wished = art.convert(places);
                for colour in &mut wished {
                    *colour = curves.apply(Lab::from_floats(*colour)).floats();
                }
                let mut inks = vec![[0.0; 4]; wished.len()];
                press.convert(&wished, &mut inks);
                inks
            }
        };
        if let Some(correction) = &self.correction {
            correction.correct(&mut inks);
        }
        inks
    }
}

/// Undoes a departure in ink.
///
/// For inks whose promised colour is T, the press must be promised P = undo(T). The profile's own
/// way back from colour to ink is coarse, and may build the same colour of other inks; so the inks
/// are moved only by the difference that it makes between P and what they promise. What it has wrong
/// in both cancels, and where nothing departs nothing moves.
pub(crate) struct Correction {
    curves: DepartureCurves,
    to_lab: Exact<4, 3>,
    to_inks: Exact<3, 4>,
}

impl Correction {
    pub(crate) fn new(press: &Profile, departure: &Departure) -> Result<Self, ColourError> {
        Ok(Self {
            curves: departure.curves(),
            to_lab: Exact::to_lab(press, Rendering::Relative)?,
            to_inks: Exact::from_lab(press, Rendering::Relative)?,
        })
    }

    pub(crate) fn correct(&self, inks: &mut [[f32; 4]]) {
        for ink in inks.iter_mut().flatten() {
            *ink = ink.clamp(0.0, 100.0);
        }
        let mut promised = vec![[0.0; 3]; inks.len()];
        self.to_lab.convert(inks, &mut promised);
        let asked: Vec<[f32; 3]> = promised
            .iter()
            .map(|&colour| self.curves.undo(Lab::from_floats(colour)).floats())
            .collect();
        let mut there = vec![[0.0; 4]; inks.len()];
        let mut here = there.clone();
        self.to_inks.convert(&asked, &mut there);
        for step in 0..STEPS {
            if step > 0 {
                self.to_lab.convert(inks, &mut promised);
            }
            self.to_inks.convert(&promised, &mut here);
            for ((inks, there), here) in inks.iter_mut().zip(&there).zip(&here) {
                for i in 0..4 {
                    inks[i] = (inks[i] + there[i] - here[i]).clamp(0.0, 100.0);
                }
            }
        }
    }
}
