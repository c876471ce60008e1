//! A press profile's colours as a small table, for the many look-ups of a search.

use crate::engine::{Exact, Rendering};
use crate::grid4::Grid4;
use crate::{ColourError, Lab, Profile};

/// Nodes of a side. Between the nodes the table is off by less than one ΔE00 from the profile;
/// a search compares colours of this one table only, so that most of the error cancels.
const SIDE: usize = 17;
const STEPS: [usize; 4] = [SIDE * SIDE * SIDE, SIDE * SIDE, SIDE, 1];

/// Inks (0 to 1) to Lab relative to the paper, smooth between its nodes.
pub(crate) struct Forward {
    nodes: Vec<[f32; 3]>,
}

impl Forward {
    pub(crate) fn of(profile: &Profile) -> Result<Self, ColourError> {
        let percent: Vec<[f32; 4]> = Grid4::places(SIDE)
            .into_iter()
            .map(|place| place.map(|ink| ink * 100.0))
            .collect();
        Ok(Self {
            nodes: Exact::<4, 3>::to_lab(profile, Rendering::Relative)?.convert_all(&percent),
        })
    }

    /// The mean of the sixteen nodes around, weighted by nearness along each axis.
    pub(crate) fn lab(&self, inks: [f64; 4]) -> Lab {
        let mut base = 0;
        let mut fractions = [0.0_f32; 4];
        for ((fraction, ink), step) in fractions.iter_mut().zip(inks).zip(STEPS) {
            let place = ink.clamp(0.0, 1.0) as f32 * (SIDE - 1) as f32;
            let cell = (place as usize).min(SIDE - 2);
            base += cell * step;
            *fraction = place - cell as f32;
        }
        let [c, m, y, k] = fractions;
        let along_k = |at: usize| mix(self.nodes[at], self.nodes[at + 1], k);
        let along_y = |at: usize| mix(along_k(at), along_k(at + STEPS[2]), y);
        let along_m = |at: usize| mix(along_y(at), along_y(at + STEPS[1]), m);
        Lab::from_floats(mix(along_m(base), along_m(base + STEPS[0]), c))
    }
}

fn mix(one: [f32; 3], other: [f32; 3], share: f32) -> [f32; 3] {
    [0, 1, 2].map(|i| one[i] + (other[i] - one[i]) * share)
}
