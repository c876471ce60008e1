//! The reference colour library at full precision: floats, nothing optimised, nothing cached.

use lcms2::{CIExyY, DisallowCache, Flags, GlobalContext, PixelFormat, Transform};
use rayon::prelude::*;

use crate::{ColourError, Profile, Space};

/// How colours outside of the target are treated, and what white means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Rendering {
    Perceptual,
    /// Relative colorimetric, blacks as they are.
    Relative,
    /// Relative colorimetric with black-point compensation.
    RelativeCompensated,
    /// Absolute colorimetric: paper has its colour.
    Absolute,
}

/// A conversion from pixels of `I` floats to pixels of `O` floats.
///
/// RGB and grey run 0 to 1, CMYK 0 to 100, Lab in its own units.
pub(crate) struct Exact<const I: usize, const O: usize> {
    transform: Transform<[f32; I], [f32; O], GlobalContext, DisallowCache>,
}

// SAFETY: The transform was made without cache, so that converting only reads it and keeps its
// scratch values on the stack; the global context carries no plug-in and is never changed here.
unsafe impl<const I: usize, const O: usize> Send for Exact<I, O> {}
// SAFETY: As above; `convert` takes `&self` and the library writes to the given output alone.
unsafe impl<const I: usize, const O: usize> Sync for Exact<I, O> {}

impl<const I: usize, const O: usize> Exact<I, O> {
    /// From one profile's device colour to another's.
    pub(crate) fn between(
        from: &Profile,
        to: &Profile,
        rendering: Rendering,
    ) -> Result<Self, ColourError> {
        Self::new(
            (&open(from)?, float_format(from.space())),
            (&open(to)?, float_format(to.space())),
            rendering,
        )
    }

    /// From a profile's device colour to Lab.
    pub(crate) fn to_lab(from: &Profile, rendering: Rendering) -> Result<Self, ColourError> {
        Self::new(
            (&open(from)?, float_format(from.space())),
            (&lab_profile()?, PixelFormat::Lab_FLT),
            rendering,
        )
    }

    /// From Lab to a profile's device colour.
    pub(crate) fn from_lab(to: &Profile, rendering: Rendering) -> Result<Self, ColourError> {
        Self::new(
            (&lab_profile()?, PixelFormat::Lab_FLT),
            (&open(to)?, float_format(to.space())),
            rendering,
        )
    }

    fn new(
        (from, from_format): (&lcms2::Profile, PixelFormat),
        (to, to_format): (&lcms2::Profile, PixelFormat),
        rendering: Rendering,
    ) -> Result<Self, ColourError> {
        if from_format.channels() != I || to_format.channels() != O {
            return Err(ColourError::Transform(format!(
                "expected {I} and {O} channels, but found {} and {}",
                from_format.channels(),
                to_format.channels()
            )));
        }
        let exact = Flags::NO_CACHE | Flags::NO_OPTIMIZE;
        let (intent, flags) = match rendering {
            Rendering::Perceptual => (lcms2::Intent::Perceptual, exact),
            Rendering::Relative => (lcms2::Intent::RelativeColorimetric, exact),
            Rendering::RelativeCompensated => (
                lcms2::Intent::RelativeColorimetric,
                exact | Flags::BLACKPOINT_COMPENSATION,
            ),
            Rendering::Absolute => (lcms2::Intent::AbsoluteColorimetric, exact),
        };
        let context = GlobalContext::new();
        Transform::new_flags_context(context, from, from_format, to, to_format, intent, flags)
            .map(|transform| Self { transform })
            .map_err(|error| ColourError::Transform(error.to_string()))
    }

    /// Converts one run of pixels; both have the same length.
    pub(crate) fn convert(&self, from: &[[f32; I]], to: &mut [[f32; O]]) {
        self.transform.transform_pixels(from, to);
        // A hostile table may hold anything; what is computed from here on must be finite.
        for value in to.iter_mut().flatten() {
            if !value.is_finite() {
                *value = 0.0;
            }
        }
    }

    /// Converts any number of pixels on all cores.
    pub(crate) fn convert_all(&self, from: &[[f32; I]]) -> Vec<[f32; O]> {
        let mut to = vec![[0.0; O]; from.len()];
        to.par_chunks_mut(4096)
            .zip(from.par_chunks(4096))
            .for_each(|(to, from)| self.convert(from, to));
        to
    }
}

/// RGB bytes to sRGB bytes by the library's own fast path: relative colorimetric with black-point
/// compensation.
pub(crate) struct Screen {
    transform: Transform<[u8; 3], [u8; 3], GlobalContext, DisallowCache>,
}

// SAFETY: As for `Exact`: made without cache, so converting only reads the transform.
unsafe impl Send for Screen {}
// SAFETY: As above; only the given pixels are written.
unsafe impl Sync for Screen {}

impl Screen {
    pub(crate) fn of(source: &Profile) -> Result<Self, ColourError> {
        if source.space() != Space::Rgb {
            return Err(ColourError::Transform("expected RGB bytes".into()));
        }
        Transform::new_flags_context(
            GlobalContext::new(),
            &open(source)?,
            PixelFormat::RGB_8,
            &open(&Profile::srgb())?,
            PixelFormat::RGB_8,
            lcms2::Intent::RelativeColorimetric,
            Flags::NO_CACHE | Flags::BLACKPOINT_COMPENSATION | Flags::HIGHRES_PRECALC,
        )
        .map(|transform| Self { transform })
        .map_err(|error| ColourError::Transform(error.to_string()))
    }

    pub(crate) fn convert(&self, pixels: &mut [[u8; 3]]) {
        self.transform.transform_in_place(pixels);
    }
}

pub(crate) fn open(profile: &Profile) -> Result<lcms2::Profile, ColourError> {
    lcms2::Profile::new_icc(profile.bytes())
        .map_err(|error| ColourError::Profile(error.to_string()))
}

fn lab_profile() -> Result<lcms2::Profile, ColourError> {
    // D50 of the ICC connection space, XYZ .9642 1 .8249 (ICC.1:2022, 7.2.16).
    let sum = 0.9642 + 1.0 + 0.8249;
    let white = CIExyY {
        x: 0.9642 / sum,
        y: 1.0 / sum,
        Y: 1.0,
    };
    lcms2::Profile::new_lab4_context(GlobalContext::new(), &white)
        .map_err(|error| ColourError::Transform(error.to_string()))
}

fn float_format(space: Space) -> PixelFormat {
    match space {
        Space::Grey => PixelFormat::GRAY_FLT,
        Space::Rgb => PixelFormat::RGB_FLT,
        Space::Cmyk => PixelFormat::CMYK_FLT,
    }
}
