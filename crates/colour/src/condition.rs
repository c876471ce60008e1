use crate::engine::{Exact, Rendering};
use crate::profile::check_prints;
use crate::{ColourError, InkLimit, Lab, PaperView, Profile};

/// A way of printing: a CMYK output profile and what is printed about it in the press file.
#[derive(Debug, Clone)]
pub struct PressCondition {
    /// Our name for it (`coated`), or the profile's file name.
    pub name: String,
    /// OutputConditionIdentifier of the press file, such as `FOGRA39`.
    pub identifier: String,
    /// Registry of the identifier, if it is a registered one.
    pub registry: Option<String>,
    /// Info text: what it is in words.
    pub info: String,
    /// The profile.
    pub profile: Profile,
    /// Ink limit unless the book says otherwise.
    pub ink_limit: InkLimit,
}

/// What is known of a condition that is carried in the program.
struct BuiltIn {
    name: &'static str,
    /// Identifiers of the ICC characterisation data registry, from memory; the registry itself was
    /// not read.
    identifier: &'static str,
    info: &'static str,
    profile: &'static [u8],
    ink_limit: InkLimit,
}

/// Home of the ICC characterisation data registry, as written in press files (from memory).
const REGISTRY: &str = "http://www.color.org";

/// See profiles/README.md for where they come from. Limits are those that the profiles were made
/// with: 300 percent is a common sheetfed figure (common practice, no source); on uncoated paper
/// more than 280 percent darkens nothing and dries slowly (common practice, no source).
const BUILT_IN: [BuiltIn; 3] = [
    BuiltIn {
        name: "coated",
        identifier: "FOGRA39",
        info: "Offset on coated paper, paper type 1 or 2 of ISO 12647-2:2004/Amd 1, \
               from the FOGRA39L characterisation data",
        profile: include_bytes!("../profiles/coated.icc"),
        ink_limit: InkLimit::known(300.0),
    },
    BuiltIn {
        name: "coated-americas",
        identifier: "CGATS TR 006",
        info: "Offset on grade 1 coated paper, from the ANSI/CGATS/GRACoL TR 006-2007 \
               characterization data",
        profile: include_bytes!("../profiles/coated-americas.icc"),
        ink_limit: InkLimit::known(300.0),
    },
    BuiltIn {
        name: "uncoated",
        identifier: "FOGRA29",
        info: "Offset on white uncoated paper, paper type 4 of ISO/DIS 12647-2:2004, \
               from the FOGRA29L characterisation data",
        profile: include_bytes!("../profiles/uncoated.icc"),
        ink_limit: InkLimit::known(280.0),
    },
];

impl PressCondition {
    /// The built-in conditions' names, the default one first.
    pub fn built_in_names() -> &'static [&'static str] {
        const NAMES: [&str; 3] = [BUILT_IN[0].name, BUILT_IN[1].name, BUILT_IN[2].name];
        &NAMES
    }

    /// A built-in condition.
    pub fn built_in(name: &str) -> Option<Self> {
        let found = BUILT_IN.iter().find(|condition| condition.name == name)?;
        Some(Self {
            name: found.name.into(),
            identifier: found.identifier.into(),
            registry: Some(REGISTRY.into()),
            info: found.info.into(),
            profile: Profile::open(found.profile).expect("a built-in profile opens, as tested"),
            ink_limit: found.ink_limit,
        })
    }

    /// A condition from any CMYK output profile.
    ///
    /// Its ink limit is the most ink that the profile itself puts anywhere, in whole percent.
    ///
    /// # Errors
    /// Not a CMYK output (`prtr`) profile with both directions.
    pub fn from_profile(name: &str, profile: Profile) -> Result<Self, ColourError> {
        check_prints(&profile)?;
        Ok(Self {
            name: name.into(),
            identifier: name.into(),
            registry: None,
            info: profile.description().into(),
            ink_limit: heaviest_ink(&profile)?,
            profile,
        })
    }

    /// Colour of the bare paper, absolute.
    pub fn paper(&self) -> Lab {
        self.lab_of(&[[0; 4]], PaperView::Shown)
            .ok()
            .and_then(|colours| colours.first().copied())
            .unwrap_or(Lab {
                l: 100.0,
                a: 0.0,
                b: 0.0,
            })
    }

    /// Colours of printed inks (bytes, 255 = solid): absolute with the paper shown, relative to
    /// the paper with the paper adapted to.
    ///
    /// # Errors
    /// The profile's tables fail.
    pub fn lab_of(&self, inks: &[[u8; 4]], paper: PaperView) -> Result<Vec<Lab>, ColourError> {
        let percent: Vec<[f32; 4]> = inks
            .iter()
            .map(|ink| ink.map(|byte| f32::from(byte) / 2.55))
            .collect();
        self.lab_of_percent(&percent, paper)
    }

    /// The same for inks in percent, between the steps of bytes.
    ///
    /// # Errors
    /// The profile's tables fail.
    pub fn lab_of_percent(
        &self,
        percent: &[[f32; 4]],
        paper: PaperView,
    ) -> Result<Vec<Lab>, ColourError> {
        let exact = Exact::<4, 3>::to_lab(&self.profile, paper.rendering())?;
        Ok(exact
            .convert_all(percent)
            .into_iter()
            .map(Lab::from_floats)
            .collect())
    }
}

/// Most ink that a profile's own tables put anywhere, tried on a lattice of colours.
fn heaviest_ink(profile: &Profile) -> Result<InkLimit, ColourError> {
    let mut colours = Vec::new();
    for l in 0..=20 {
        for a in -8..=8 {
            for b in -8..=8 {
                colours.push([l as f32 * 5.0, a as f32 * 15.0, b as f32 * 15.0]);
            }
        }
    }
    let mut most = 0.0_f32;
    for rendering in [Rendering::Perceptual, Rendering::Relative] {
        let exact = Exact::<3, 4>::from_lab(profile, rendering)?;
        for inks in exact.convert_all(&colours) {
            most = most.max(inks.iter().sum());
        }
    }
    InkLimit::from_percent(f64::from(most).ceil().clamp(100.0, 400.0))
}
