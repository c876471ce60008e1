//! Inks of a page, colours as amounts of ink, and the estimate for colours that are not made of ink.

use std::sync::OnceLock;

use colour::{Intent, PressCondition, Profile, Recipe, Separation};

/// Most inks on one page; further spot inks share the last place.
pub(super) const MOST_INKS: usize = 24;

/// Most looks that are kept of one spot ink; two are one too many.
const MOST_LOOKS: usize = 4;

/// An ink or a finishing beside the four of process printing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Spot {
    pub(super) name: String,
    /// How it is shown where there is no such plate, in words that compare; a sound file has one.
    pub(super) looks: Vec<String>,
}

/// The inks of a page: the four of process printing, then spot inks as they turn up.
#[derive(Debug, Clone, Default)]
pub(super) struct Inks {
    spots: Vec<Spot>,
    /// Names that are no inks but finishings.
    finishings: Vec<String>,
    /// Objects whose looks are known, with the place of their ink.
    looked_at: Vec<(usize, u32)>,
}

impl Inks {
    /// Of a page that is to carry these finishings.
    pub(super) fn with_finishings(finishings: &[String]) -> Self {
        Self {
            finishings: finishings.to_vec(),
            ..Self::default()
        }
    }

    /// A bit for the place of each finishing that has turned up.
    pub(super) fn finishings(&self) -> u32 {
        self.spots
            .iter()
            .enumerate()
            .filter(|(_, spot)| self.finishings.contains(&spot.name))
            .fold(0, |bits, (index, _)| bits | 1 << (4 + index))
    }

    /// Whether the looks of a spot ink, stated by an object, are still to be read; asked once.
    pub(super) fn wants_look(&mut self, place: usize, object: Option<u32>) -> bool {
        let Some(object) = object else { return true };
        let new = !self.looked_at.contains(&(place, object)) && self.looked_at.len() < 256;
        if new {
            self.looked_at.push((place, object));
        }
        new
    }

    /// Remembers how a spot ink is shown.
    pub(super) fn note_look(&mut self, place: usize, look: String) {
        let spot = place.checked_sub(4).and_then(|at| self.spots.get_mut(at));
        if let Some(spot) = spot
            && spot.looks.len() < MOST_LOOKS
            && !spot.looks.contains(&look)
        {
            spot.looks.push(look);
        }
    }

    /// The place of an ink among the plates; a new spot ink gets the next one.
    pub(super) fn place(&mut self, name: &str) -> usize {
        if let Some(process) = ["Cyan", "Magenta", "Yellow", "Black"]
            .iter()
            .position(|process| *process == name)
        {
            return process;
        }
        if let Some(spot) = self.spots.iter().position(|spot| spot.name == name) {
            return 4 + spot;
        }
        if 4 + self.spots.len() < MOST_INKS {
            self.spots.push(Spot {
                name: name.to_owned(),
                looks: Vec::new(),
            });
        }
        3 + self.spots.len()
    }

    pub(super) fn count(&self) -> usize {
        4 + self.spots.len()
    }

    pub(super) fn spots(&self) -> &[Spot] {
        &self.spots
    }
}

/// A colour as amounts of ink, 0 = none to 255 = solid, with what overprinting needs to know.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Colour {
    pub(super) amounts: [u8; MOST_INKS],
    /// Bit for each ink that the colour speaks of.
    pub(super) named: u32,
    /// Written as DeviceCMYK itself, where overprint mode 1 leaves out inks of amount zero.
    pub(super) direct: bool,
    /// In every ink there is, as registration marks are.
    pub(super) all: bool,
}

impl Colour {
    pub(super) fn none() -> Self {
        Self {
            amounts: [0; MOST_INKS],
            named: 0,
            direct: false,
            all: false,
        }
    }

    pub(super) fn cmyk(cmyk: [u8; 4], direct: bool) -> Self {
        let mut colour = Self::none();
        colour.amounts[..4].copy_from_slice(&cmyk);
        colour.named = 0b1111;
        colour.direct = direct;
        colour
    }

    pub(super) fn grey(grey: u8) -> Self {
        Self::cmyk([0, 0, 0, 255 - grey], false)
    }

    /// A bit for each ink of which there is some.
    pub(super) fn shown(&self) -> u32 {
        let amounts = (0..).zip(&self.amounts);
        amounts.fold(0, |bits, (ink, &amount)| {
            bits | u32::from(amount > 0) << ink
        })
    }

    /// Sum of all amounts; 255 is 100 percent.
    pub(super) fn total(&self) -> u32 {
        self.amounts.iter().map(|&amount| u32::from(amount)).sum()
    }
}

/// Nearest byte of a value from 0 to 1.
pub(super) fn byte(value: f64) -> u8 {
    (value.clamp(0.0, 1.0) * 255.0).round() as u8
}

/// What becomes of colours that are given as light, RGB or Lab: with a press condition by its own
/// separation from sRGB, without one by bare complement, which is far from what a printer does.
pub(super) struct Estimate {
    press: Option<PressCondition>,
    table: OnceLock<Option<Separation>>,
}

impl Estimate {
    pub(super) fn new(press: Option<PressCondition>) -> Self {
        Self {
            press,
            table: OnceLock::new(),
        }
    }

    /// RGB bytes, three a colour, to CMYK bytes, four a colour.
    pub(super) fn convert(&self, rgb: &[u8], cmyk: &mut [u8]) {
        let table = self.table.get_or_init(|| {
            let press = self.press.clone()?;
            let ink_limit = press.ink_limit;
            Separation::build(&Recipe {
                source: Profile::srgb(),
                press,
                intent: Intent::Relative,
                ink_limit,
                compensation: colour::Compensation::NONE,
                departure: None,
            })
            .ok()
        });
        match table {
            Some(table) => table.convert_rgb8(rgb, cmyk),
            None => {
                for (rgb, cmyk) in rgb.chunks_exact(3).zip(cmyk.chunks_exact_mut(4)) {
                    cmyk.copy_from_slice(&[255 - rgb[0], 255 - rgb[1], 255 - rgb[2], 0]);
                }
            }
        }
    }

    pub(super) fn rgb(&self, rgb: [u8; 3]) -> Colour {
        let mut cmyk = [0; 4];
        self.convert(&rgb, &mut cmyk);
        Colour::cmyk(cmyk, false)
    }
}

/// CIE L*a*b* (D50) to sRGB bytes, clipped. Matrix: XYZ (D50) to linear sRGB, Bradford-adapted, from
/// IEC 61966-2-1 primaries. Good enough for an estimate.
pub(super) fn lab_to_rgb([l, a, b]: [f64; 3]) -> [u8; 3] {
    let fy = (l + 16.0) / 116.0;
    let inverse = |f: f64| {
        if f > 6.0 / 29.0 {
            f * f * f
        } else {
            3.0 * (6.0_f64 / 29.0).powi(2) * (f - 4.0 / 29.0)
        }
    };
    let x = 0.9642 * inverse(fy + a / 500.0);
    let y = inverse(fy);
    let z = 0.8251 * inverse(fy - b / 200.0);
    [
        3.1339 * x - 1.6169 * y - 0.4906 * z,
        -0.9788 * x + 1.9161 * y + 0.0335 * z,
        0.0719 * x - 0.2290 * y + 1.4052 * z,
    ]
    .map(|linear| {
        byte(if linear <= 0.003_130_8 {
            12.92 * linear
        } else {
            1.055 * linear.powf(1.0 / 2.4) - 0.055
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inks_keep_their_places() {
        let mut inks = Inks::default();
        assert_eq!(inks.place("Black"), 3);
        assert_eq!(inks.place("Foil"), 4);
        assert_eq!(inks.place("Varnish"), 5);
        assert_eq!(inks.place("Foil"), 4);
        for spot in 0..100 {
            assert!(inks.place(&format!("s{spot}")) < MOST_INKS);
        }
    }

    #[test]
    fn lab_white_and_grey_are_neutral() {
        assert_eq!(lab_to_rgb([100.0, 0.0, 0.0]), [255; 3]);
        let [r, g, b] = lab_to_rgb([53.585, 0.0, 0.0]);
        assert!(r.abs_diff(128) < 2 && g.abs_diff(128) < 2 && b.abs_diff(128) < 2);
    }
}
