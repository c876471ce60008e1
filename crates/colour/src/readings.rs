use std::fmt;

use crate::engine::{Exact, Rendering};
use crate::source::Source;
use crate::{
    ColourError, Departure, DepartureCurves, Lab, PaperView, PressCondition, Profile, Space,
};

/// Exact colours of single places, for the numbers under a pointer: of the art, and of its print.
///
/// Building opens two profiles; asking is then a matter of microseconds.
pub struct Readings {
    art: Art,
    to_lab: Exact<4, 3>,
    departure: Option<DepartureCurves>,
    paper: Lab,
}

enum Art {
    Light(Source<3>),
    Inks(Exact<4, 3>),
}

impl Readings {
    /// For art of a profile (RGB, grey or CMYK) on a press and, if it is known, how the press
    /// departs.
    ///
    /// # Errors
    /// A profile whose tables fail.
    pub fn build(
        source: &Profile,
        press: &PressCondition,
        departure: Option<&Departure>,
    ) -> Result<Self, ColourError> {
        let art = match source.space() {
            Space::Grey | Space::Rgb => Art::Light(Source::to_lab(source, Rendering::Relative)?),
            Space::Cmyk => Art::Inks(Exact::to_lab(source, Rendering::Relative)?),
        };
        Ok(Self {
            art,
            to_lab: Exact::to_lab(&press.profile, Rendering::Relative)?,
            departure: departure
                .filter(|departure| !departure.is_none())
                .map(Departure::curves),
            paper: press.paper(),
        })
    }

    /// The art's colour relative to its own white. `device` holds its channels, 0 to 1 each: three
    /// for RGB, three equal ones for grey, four inks for CMYK. Missing channels count as 0.
    pub fn art(&self, device: &[f32]) -> Lab {
        let channel = |i: usize| device.get(i).map_or(0.0, |value| value.clamp(0.0, 1.0));
        let mut lab = [[0.0; 3]];
        match &self.art {
            Art::Light(source) => {
                if let [one] = source.convert(&[[0, 1, 2].map(channel)])[..] {
                    lab = [one];
                }
            }
            Art::Inks(exact) => {
                exact.convert(&[[0, 1, 2, 3].map(|i| channel(i) * 100.0)], &mut lab);
            }
        }
        Lab::from_floats(lab[0])
    }

    /// The colour that ink (bytes, 255 = solid) really prints as: relative to the paper where it is
    /// adapted to, absolute where it is shown.
    pub fn print(&self, inks: [u8; 4], paper: PaperView) -> Lab {
        let mut lab = [[0.0; 3]];
        self.to_lab
            .convert(&[inks.map(|byte| f32::from(byte) / 2.55)], &mut lab);
        let promised = Lab::from_floats(lab[0]);
        let printed = self
            .departure
            .as_ref()
            .map_or(promised, |departure| departure.apply(promised));
        match paper {
            PaperView::Adapted => printed,
            PaperView::Shown => printed.absolute_on(self.paper),
        }
    }
}

impl fmt::Debug for Readings {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Readings").finish_non_exhaustive()
    }
}
