//! Art of three channels, whatever its profile has.

use crate::engine::{Exact, Rendering};
use crate::{ColourError, Profile, Space};

/// The conversion from a table's RGB places to a profile or to Lab.
///
/// Grey art comes as three equal bytes; only the grey diagonal of its table is ever read, but
/// every node is given a meaning: the mean of the three.
pub(crate) enum Source<const O: usize> {
    Grey(Exact<1, O>),
    Rgb(Exact<3, O>),
}

impl<const O: usize> Source<O> {
    pub(crate) fn between(
        from: &Profile,
        to: &Profile,
        rendering: Rendering,
    ) -> Result<Self, ColourError> {
        match from.space() {
            Space::Grey => Exact::between(from, to, rendering).map(Self::Grey),
            Space::Rgb => Exact::between(from, to, rendering).map(Self::Rgb),
            Space::Cmyk => Err(wrong(from)),
        }
    }

    pub(crate) fn to_lab(from: &Profile, rendering: Rendering) -> Result<Self, ColourError> {
        match from.space() {
            Space::Grey => Exact::to_lab(from, rendering).map(Self::Grey),
            Space::Rgb => Exact::to_lab(from, rendering).map(Self::Rgb),
            Space::Cmyk => Err(wrong(from)),
        }
    }

    /// Converts one run of places on this thread.
    pub(crate) fn convert(&self, places: &[[f32; 3]]) -> Vec<[f32; O]> {
        let mut to = vec![[0.0; O]; places.len()];
        match self {
            Self::Rgb(exact) => exact.convert(places, &mut to),
            Self::Grey(exact) => exact.convert(&greys(places), &mut to),
        }
        to
    }

    /// Converts any number of places on all cores.
    pub(crate) fn convert_all(&self, places: &[[f32; 3]]) -> Vec<[f32; O]> {
        match self {
            Self::Rgb(exact) => exact.convert_all(places),
            Self::Grey(exact) => exact.convert_all(&greys(places)),
        }
    }
}

fn greys(places: &[[f32; 3]]) -> Vec<[f32; 1]> {
    places
        .iter()
        .map(|place| [place.iter().sum::<f32>() / 3.0])
        .collect()
}

fn wrong(found: &Profile) -> ColourError {
    ColourError::WrongSpace {
        expected: "RGB or grey",
        found: format!("a profile for {}", found.space_name()),
    }
}
