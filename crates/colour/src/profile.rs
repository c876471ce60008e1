use std::fmt;
use std::sync::{Arc, LazyLock};

use lcms2::{ColorSpaceSignature, InfoType, Locale, ProfileClassSignature};

use crate::engine::{self, Exact, Rendering};
use crate::guard;
use crate::source::Source;
use crate::{ColourError, Lab};

/// Colour space of a profile's device side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Space {
    /// One channel.
    Grey,
    /// Three channels.
    Rgb,
    /// Four inks.
    Cmyk,
}

/// An ICC profile that was opened and understood; cheap to clone.
#[derive(Clone)]
pub struct Profile {
    bytes: Arc<[u8]>,
    space: Space,
    description: String,
}

impl Profile {
    /// Opens a profile; any device class with grey, RGB or CMYK on its device side.
    ///
    /// Bytes after the profile's own end are left out.
    ///
    /// # Errors
    /// Not a profile, cut, lying about its size, or of another space.
    pub fn open(bytes: &[u8]) -> Result<Self, ColourError> {
        let whole = guard::whole_profile(bytes).map_err(ColourError::Profile)?;
        let opened = lcms2::Profile::new_icc(whole)
            .map_err(|error| ColourError::Profile(error.to_string()))?;
        check_class(&opened)?;
        let profile = Self {
            bytes: whole.into(),
            space: device_space(&opened)?,
            description: describe(&opened),
        };
        profile.check_usable()?;
        Ok(profile)
    }

    /// The built-in sRGB (IEC 61966-2-1), the same bytes each time.
    pub fn srgb() -> Self {
        static SRGB: LazyLock<Profile> = LazyLock::new(|| {
            let mut bytes = lcms2::Profile::new_srgb()
                .icc()
                .expect("the library writes the profile that it made");
            // The date of making and the digest would differ from run to run.
            bytes[24..36].copy_from_slice(&[0x07, 0xe8, 0, 1, 0, 1, 0, 0, 0, 0, 0, 0]);
            bytes[84..100].fill(0);
            Profile::open(&bytes).expect("the library reads the profile that it made")
        });
        SRGB.clone()
    }

    /// The profile file.
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// Device space.
    pub fn space(&self) -> Space {
        self.space
    }

    /// Its name, as it states it.
    pub fn description(&self) -> &str {
        &self.description
    }

    /// Absolute colorimetric Lab (D50) of device colours, RGB or grey, each channel 0 to 1; grey is
    /// the mean of the three.
    ///
    /// # Errors
    /// A CMYK profile: its inks are told by [`crate::PressCondition::lab_of`].
    pub fn lab_of(&self, device: &[[f32; 3]]) -> Result<Vec<Lab>, ColourError> {
        let exact = Source::<3>::to_lab(self, Rendering::Absolute)?;
        Ok(exact
            .convert_all(device)
            .into_iter()
            .map(Lab::from_floats)
            .collect())
    }

    /// Whether both are the same file.
    pub(crate) fn same_as(&self, other: &Self) -> bool {
        self.bytes == other.bytes
    }

    /// The space in words.
    pub(crate) fn space_name(&self) -> &'static str {
        match self.space {
            Space::Grey => "grey",
            Space::Rgb => "RGB",
            Space::Cmyk => "CMYK",
        }
    }

    /// Whether the library can tell the colour of device values: all that art needs.
    fn check_usable(&self) -> Result<(), ColourError> {
        let tried = match self.space {
            Space::Grey => Exact::<1, 3>::to_lab(self, Rendering::Relative).map(drop),
            Space::Rgb => Exact::<3, 3>::to_lab(self, Rendering::Relative).map(drop),
            Space::Cmyk => Exact::<4, 3>::to_lab(self, Rendering::Relative).map(drop),
        };
        tried.map_err(|_| {
            ColourError::Profile(
                "its tables are missing or broken, so its colours are unknown".into(),
            )
        })
    }
}

impl fmt::Debug for Profile {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Profile")
            .field("description", &self.description)
            .field("space", &self.space)
            .field("bytes", &self.bytes.len())
            .finish()
    }
}

/// What a CMYK profile must bring to print by it.
pub(crate) fn check_prints(profile: &Profile) -> Result<(), ColourError> {
    if profile.space != Space::Cmyk {
        return Err(ColourError::WrongSpace {
            expected: "CMYK output",
            found: format!("a profile for {}", profile.space_name()),
        });
    }
    let opened = engine::open(profile)?;
    if opened.device_class() != ProfileClassSignature::OutputClass {
        return Err(ColourError::WrongSpace {
            expected: "CMYK output",
            found: "a CMYK profile of another class".into(),
        });
    }
    for rendering in [Rendering::Perceptual, Rendering::Relative] {
        Exact::<3, 4>::from_lab(profile, rendering).map_err(|_| {
            ColourError::Profile(
                "it has no table from colour to ink, so one cannot print by it".into(),
            )
        })?;
    }
    Ok(())
}

fn check_class(opened: &lcms2::Profile) -> Result<(), ColourError> {
    let found = match opened.device_class() {
        ProfileClassSignature::InputClass
        | ProfileClassSignature::DisplayClass
        | ProfileClassSignature::OutputClass
        | ProfileClassSignature::ColorSpaceClass => return Ok(()),
        ProfileClassSignature::LinkClass => "a device link",
        ProfileClassSignature::AbstractClass => "an abstract profile",
        ProfileClassSignature::NamedColorClass => "a list of named colours",
        _ => "a profile of unknown class",
    };
    Err(ColourError::WrongSpace {
        expected: "device",
        found: found.into(),
    })
}

fn device_space(opened: &lcms2::Profile) -> Result<Space, ColourError> {
    match opened.color_space() {
        ColorSpaceSignature::GrayData => Ok(Space::Grey),
        ColorSpaceSignature::RgbData => Ok(Space::Rgb),
        ColorSpaceSignature::CmykData => Ok(Space::Cmyk),
        other => Err(ColourError::WrongSpace {
            expected: "grey, RGB or CMYK",
            found: format!("a profile for {other:?}"),
        }),
    }
}

/// The description on one line, without control characters, of bounded length.
fn describe(opened: &lcms2::Profile) -> String {
    let stated = opened
        .info(InfoType::Description, Locale::none())
        .unwrap_or_default();
    let plain: String = stated
        .chars()
        .filter(|character| !character.is_control())
        .take(200)
        .collect();
    match plain.trim() {
        "" => "unnamed profile".into(),
        name => name.into(),
    }
}
