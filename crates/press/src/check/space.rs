//! Colour spaces, as far as ink is concerned.

use super::document::Document;
use super::filter;
use super::function::Function;
use super::ink::{Colour, Estimate, Inks, MOST_INKS, byte, lab_to_rgb};
use super::object::{Dict, Obj};

/// Deepest nesting of spaces (a pattern over an index over an ink).
const DEEPEST: u32 = 6;

/// A colour space.
#[derive(Debug, Clone)]
pub(super) enum Space {
    Grey,
    /// `device` when nothing says which red, green and blue are meant.
    Rgb {
        device: bool,
    },
    Cmyk {
        device: bool,
    },
    /// Ranges of a and b.
    Lab([f64; 4]),
    /// Separation or DeviceN: the places of its inks; `None` for one that prints nothing.
    Spots {
        places: Vec<Option<usize>>,
        all: bool,
        names: Vec<String>,
    },
    Indexed {
        base: Box<Space>,
        table: Vec<u8>,
    },
    Pattern(Option<Box<Space>>),
}

impl Space {
    /// Reads a space by name or array. `None` when it makes no sense.
    pub(super) fn read(
        document: &Document<'_>,
        value: &Obj,
        resources: &Dict,
        inks: &mut Inks,
    ) -> Option<Self> {
        Self::read_within(document, value, resources, inks, DEEPEST)
    }

    fn read_within(
        document: &Document<'_>,
        value: &Obj,
        resources: &Dict,
        inks: &mut Inks,
        depth: u32,
    ) -> Option<Self> {
        let depth = depth.checked_sub(1)?;
        let value = document.resolve(value);
        if let Some(name) = value.name() {
            let spaces = document.get_dict(resources, "ColorSpace");
            // A default space takes the place of the device's own.
            let instead = |key: &str| spaces.has(key);
            return match name {
                "DeviceGray" | "G" | "CalGray" => Some(Self::Grey),
                "DeviceRGB" | "RGB" => Some(Self::Rgb {
                    device: !instead("DefaultRGB"),
                }),
                "CalRGB" => Some(Self::Rgb { device: false }),
                "DeviceCMYK" | "CMYK" => Some(Self::Cmyk {
                    device: !instead("DefaultCMYK"),
                }),
                "Pattern" => Some(Self::Pattern(None)),
                other => {
                    let named = spaces.raw(other)?.clone();
                    if named.name() == Some(other) {
                        return None;
                    }
                    Self::read_within(document, &named, resources, inks, depth)
                }
            };
        }
        let items = value.array()?;
        let item = |index: usize| items.get(index).map(|item| document.resolve(item));
        let mut inner = |value: &Obj| Self::read_within(document, value, resources, inks, depth);
        match item(0)?.name()? {
            "DeviceGray" | "G" | "CalGray" => Some(Self::Grey),
            "DeviceRGB" | "RGB" => inner(&Obj::Name("DeviceRGB".into())),
            "DeviceCMYK" | "CMYK" => inner(&Obj::Name("DeviceCMYK".into())),
            "CalRGB" => Some(Self::Rgb { device: false }),
            "Lab" => {
                let parameters = item(1)?;
                let range = document.get_numbers(parameters.dict()?, "Range");
                let range = range.and_then(|range| range.try_into().ok());
                Some(Self::Lab(range.unwrap_or([-100.0, 100.0, -100.0, 100.0])))
            }
            "ICCBased" => {
                let profile = item(1)?;
                match document.get(profile.dict()?, "N").int()? {
                    1 => Some(Self::Grey),
                    3 => Some(Self::Rgb { device: false }),
                    4 => Some(Self::Cmyk { device: false }),
                    _ => None,
                }
            }
            "Separation" => {
                let name = item(1)?;
                let space = Self::spots(&[name.name()?], inks);
                if let Self::Spots { places, .. } = &space
                    && let Some(&[Some(place)]) = places.get(..1)
                    && place >= 4
                {
                    note_look(document, items, place, inks);
                }
                Some(space)
            }
            "DeviceN" => {
                let names = item(1)?;
                let names: Vec<Obj> = names
                    .array()?
                    .iter()
                    .take(MOST_INKS)
                    .map(|name| document.resolve(name))
                    .collect();
                let names: Vec<&str> = names.iter().filter_map(Obj::name).collect();
                Some(Self::spots(&names, inks))
            }
            "Indexed" | "I" => {
                let base = Box::new(inner(&item(1)?)?);
                let high = item(2)?.int()?.clamp(0, 255) as usize;
                let mut table = match item(3)? {
                    Obj::Str(bytes) => bytes.to_vec(),
                    Obj::Stream(stream) => filter::decode(document, &stream, 64 << 10).bytes,
                    _ => return None,
                };
                table.resize((high + 1) * base.components(), 0);
                if matches!(&*base, Self::Indexed { .. } | Self::Pattern(_)) {
                    return None;
                }
                Some(Self::Indexed { base, table })
            }
            "Pattern" => Some(Self::Pattern(
                item(1).and_then(|base| inner(&base)).map(Box::new),
            )),
            _ => None,
        }
    }

    fn spots(names: &[&str], inks: &mut Inks) -> Self {
        let mut places = Vec::new();
        let mut kept = Vec::new();
        let all = names == ["All"];
        for &name in names {
            places.push(match name {
                "None" | "All" => None,
                name => {
                    kept.push(name.to_owned());
                    Some(inks.place(name))
                }
            });
        }
        Self::Spots {
            places,
            all,
            names: kept,
        }
    }

    /// Number of components of one colour.
    pub(super) fn components(&self) -> usize {
        match self {
            Self::Grey | Self::Indexed { .. } => 1,
            Self::Rgb { .. } | Self::Lab(_) => 3,
            Self::Cmyk { .. } => 4,
            Self::Spots { places, .. } => places.len(),
            Self::Pattern(base) => base.as_ref().map_or(0, |base| base.components()),
        }
    }

    /// A bit for each ink that it speaks of, and whether it speaks of all there are.
    pub(super) fn inks(&self) -> (u32, bool) {
        match self {
            Self::Spots { places, all, .. } => (
                places
                    .iter()
                    .flatten()
                    .fold(0, |bits, place| bits | 1 << place),
                *all,
            ),
            Self::Indexed { base, .. } | Self::Pattern(Some(base)) => base.inks(),
            Self::Pattern(None) => (0, false),
            _ => (0b1111, false),
        }
    }

    /// The colour that stands before any is chosen.
    pub(super) fn initial(&self) -> Vec<f64> {
        match self {
            Self::Cmyk { .. } => vec![0.0, 0.0, 0.0, 1.0],
            Self::Spots { places, .. } => vec![1.0; places.len()],
            other => vec![0.0; other.components()],
        }
    }

    /// The lowest and highest value of each component, in which samples are stated by default.
    pub(super) fn ranges(&self, bits: u32) -> Vec<[f64; 2]> {
        match self {
            Self::Lab([a, b, c, d]) => vec![[0.0, 100.0], [*a, *b], [*c, *d]],
            Self::Indexed { .. } => vec![[0.0, f64::from((1_u32 << bits.min(16)) - 1)]],
            other => vec![[0.0, 1.0]; other.components()],
        }
    }

    /// Its name in words, for the report. Empty for a bare pattern.
    pub(super) fn words(&self) -> Vec<String> {
        match self {
            Self::Grey => vec!["grey".to_owned()],
            Self::Rgb { device: true } => vec!["RGB without a profile".to_owned()],
            Self::Rgb { device: false } => vec!["RGB with a profile".to_owned()],
            Self::Cmyk { device: true } => vec!["CMYK".to_owned()],
            Self::Cmyk { device: false } => vec!["CMYK with a profile of its own".to_owned()],
            Self::Lab(_) => vec!["Lab".to_owned()],
            Self::Spots { all: true, .. } => vec!["all inks (registration)".to_owned()],
            Self::Spots { names, .. } => names
                .iter()
                .map(|name| match name.as_str() {
                    "Cyan" | "Magenta" | "Yellow" | "Black" => format!("{name} alone"),
                    spot => format!("spot ink {spot}"),
                })
                .collect(),
            Self::Indexed { base, .. } => base.words(),
            Self::Pattern(base) => base.as_ref().map_or_else(Vec::new, |base| base.words()),
        }
    }

    /// The ink of a colour.
    pub(super) fn colour(&self, values: &[f64], estimate: &Estimate) -> Colour {
        let value = |index: usize| values.get(index).copied().unwrap_or(0.0);
        match self {
            Self::Grey => Colour::grey(byte(value(0))),
            Self::Rgb { .. } => estimate.rgb([0, 1, 2].map(|index| byte(value(index)))),
            Self::Cmyk { device } => {
                Colour::cmyk([0, 1, 2, 3].map(|index| byte(value(index))), *device)
            }
            Self::Lab(_) => estimate.rgb(lab_to_rgb([0, 1, 2].map(value))),
            Self::Spots { places, all, .. } => {
                let mut colour = Colour::none();
                if *all {
                    colour.amounts[..4].fill(byte(value(0)));
                    colour.named = u32::MAX;
                    colour.all = true;
                }
                for (index, place) in places.iter().enumerate() {
                    if let Some(place) = *place {
                        colour.amounts[place] = colour.amounts[place].max(byte(value(index)));
                        colour.named |= 1 << place;
                    }
                }
                colour
            }
            Self::Indexed { base, table } => {
                let count = base.components().max(1);
                let index = value(0).clamp(0.0, 255.0) as usize;
                let index = index.min((table.len() / count).saturating_sub(1));
                let entry = table.get(index * count..(index + 1) * count);
                let values: Vec<f64> = base
                    .ranges(8)
                    .iter()
                    .zip(entry.unwrap_or_default())
                    .map(|([low, high], &byte)| low + (high - low) * f64::from(byte) / 255.0)
                    .collect();
                let mut colour = base.colour(&values, estimate);
                colour.direct = false;
                colour
            }
            Self::Pattern(_) => Colour::none(),
        }
    }

    /// The colour that a shading's function gives at a parameter.
    pub(super) fn shaded(&self, functions: &[Function], at: &[f64], estimate: &Estimate) -> Colour {
        let values: Vec<f64> = if functions.is_empty() {
            at.to_vec()
        } else {
            functions
                .iter()
                .flat_map(|function| function.at(at))
                .collect()
        };
        self.colour(&values, estimate)
    }
}

/// Remembers the alternate and the tint transform of a Separation: the solid and the half as they
/// come out, so that two ways of writing the same are the same.
fn note_look(document: &Document<'_>, items: &[Obj], place: usize, inks: &mut Inks) {
    let (Some(alternate), Some(transform)) = (items.get(2), items.get(3)) else {
        return;
    };
    let object = match transform {
        Obj::Ref(number) => Some(*number),
        _ => None,
    };
    if !inks.wants_look(place, object) {
        return;
    }
    let alternate = document.resolve(alternate);
    let family = alternate
        .array()
        .and_then(|items| items.first())
        .map_or_else(|| alternate.clone(), |first| document.resolve(first));
    let Some(function) = Function::read(document, transform).filter(Function::is_run) else {
        return;
    };
    let mut look = family.name().unwrap_or("unknown").to_owned();
    for tint in [1.0, 0.5] {
        for value in function.at(&[tint]) {
            look.push_str(&format!(" {value:.2}"));
        }
    }
    inks.note_look(place, look);
}
