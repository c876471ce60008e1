//! What a reader of one format hands over, before it is made into a [`Picture`].

use measure::PixelSize;

use crate::orientation::Orientation;
use crate::{ArtError, Limits, Picture, Remark, Samples};

/// Colour channels.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Colour {
    Grey,
    Rgb,
    /// 0 = no ink.
    Cmyk,
}

impl Colour {
    pub(super) const fn channels(self) -> usize {
        match self {
            Self::Grey => 1,
            Self::Rgb => 3,
            Self::Cmyk => 4,
        }
    }
}

/// Opacity as one more channel after the colours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Alpha {
    None,
    /// Colours are whole.
    Straight,
    /// Colours are already multiplied by the opacity (TIFF's 'associated').
    Multiplied,
}

/// Samples of all channels, alpha last.
#[derive(Debug, Clone)]
pub(super) enum Depth {
    Eight(Vec<u8>),
    Sixteen(Vec<u16>),
}

/// What the file says about its colour.
#[derive(Debug, Clone)]
pub(super) enum Embedded {
    /// Nothing.
    Nothing,
    /// That it is sRGB, without a profile.
    StatedSrgb,
    /// A profile.
    Profile(Vec<u8>),
    /// Something that cannot be used, and why.
    Unusable(String),
}

/// A picture as its format stores it.
#[derive(Debug)]
pub(super) struct Raw {
    pub(super) size: PixelSize,
    pub(super) colour: Colour,
    pub(super) alpha: Alpha,
    pub(super) depth: Depth,
    pub(super) embedded: Embedded,
    pub(super) orientation: Orientation,
}

impl Raw {
    /// Flattens, reduces, turns and opens the profile.
    pub(super) fn finish(self) -> Result<Picture, ArtError> {
        let mut remarks = Vec::new();
        let channels = self.colour.channels();
        let with_alpha = channels + usize::from(self.alpha != Alpha::None);
        let found = match &self.depth {
            Depth::Eight(samples) => samples.len(),
            Depth::Sixteen(samples) => samples.len(),
        };
        if found as u64 != self.size.count() * with_alpha as u64 {
            return Err(ArtError::damaged("its pixels do not fill its size"));
        }
        let (depth, flattened) = match self.depth {
            Depth::Eight(samples) => {
                let (samples, flattened) = flatten(samples, self.colour, self.alpha);
                (Depth::Eight(samples), flattened)
            }
            Depth::Sixteen(samples) => {
                let (samples, flattened) = flatten(samples, self.colour, self.alpha);
                (Depth::Sixteen(samples), flattened)
            }
        };
        if flattened {
            remarks.push(Remark::Flattened);
        }
        let profile = self.embedded.open(self.colour, &mut remarks);
        let depth = match depth {
            Depth::Sixteen(words) if self.colour == Colour::Cmyk => {
                remarks.push(Remark::Reduced);
                Depth::Eight(
                    words
                        .iter()
                        .map(|&word| ((u32::from(word) + 128) / 257) as u8)
                        .collect(),
                )
            }
            depth => depth,
        };
        let depth = if self.orientation.is_upright() {
            depth
        } else {
            remarks.push(Remark::Turned);
            match depth {
                Depth::Eight(samples) => {
                    Depth::Eight(self.orientation.apply(&samples, self.size, channels))
                }
                Depth::Sixteen(samples) => {
                    Depth::Sixteen(self.orientation.apply(&samples, self.size, channels))
                }
            }
        };
        Ok(Picture {
            size: self.orientation.apply_to_size(self.size),
            samples: match (self.colour, depth) {
                (Colour::Grey, Depth::Eight(samples)) => Samples::Grey8(samples),
                (Colour::Grey, Depth::Sixteen(samples)) => Samples::Grey16(samples),
                (Colour::Rgb, Depth::Eight(samples)) => Samples::Rgb8(samples),
                (Colour::Rgb, Depth::Sixteen(samples)) => Samples::Rgb16(samples),
                (Colour::Cmyk, Depth::Eight(samples)) => Samples::Cmyk8(samples),
                (Colour::Cmyk, Depth::Sixteen(_)) => unreachable!("reduced to 8 bits above"),
            },
            profile,
            remarks,
        })
    }
}

impl Embedded {
    /// The profile if it can be used for these colours; what was assumed instead is remarked.
    fn open(self, colour: Colour, remarks: &mut Vec<Remark>) -> Option<colour::Profile> {
        let (wanted, assumed) = match colour {
            Colour::Grey => (colour::Space::Grey, Remark::ProfileAssumed),
            Colour::Rgb => (colour::Space::Rgb, Remark::ProfileAssumed),
            Colour::Cmyk => (colour::Space::Cmyk, Remark::CmykAssumed),
        };
        match self {
            Self::StatedSrgb if colour != Colour::Cmyk => {}
            Self::StatedSrgb | Self::Nothing => remarks.push(assumed),
            Self::Unusable(why) => remarks.push(Remark::ProfileUnusable(why)),
            Self::Profile(bytes) => match colour::Profile::open(&bytes) {
                Ok(profile) if profile.space() == wanted => return Some(profile),
                Ok(profile) => remarks.push(Remark::ProfileUnusable(format!(
                    "`{}` is for {}, but the picture is {}",
                    profile.description(),
                    space_word(profile.space()),
                    space_word(wanted),
                ))),
                Err(error) => remarks.push(Remark::ProfileUnusable(error.to_string())),
            },
        }
        None
    }
}

const fn space_word(space: colour::Space) -> &'static str {
    match space {
        colour::Space::Grey => "grey",
        colour::Space::Rgb => "RGB",
        colour::Space::Cmyk => "CMYK",
    }
}

/// Refuses a picture without area or above the limit.
pub(super) fn check_size(width: u64, height: u64, limits: &Limits) -> Result<PixelSize, ArtError> {
    if width == 0 || height == 0 {
        return Err(ArtError::damaged(format!(
            "its size is {width} × {height} pixels"
        )));
    }
    match (u32::try_from(width), u32::try_from(height)) {
        (Ok(width), Ok(height)) if u64::from(width) * u64::from(height) <= limits.pixels => {
            Ok(PixelSize { width, height })
        }
        _ => Err(ArtError::TooLarge {
            claimed: format!("{width} × {height} pixels"),
            limit: format!("{} million pixels", limits.pixels / 1_000_000),
        }),
    }
}

/// Refuses a size that so few bytes cannot describe, before room is made for it.
pub(super) fn check_plausible(
    size: PixelSize,
    needed_bytes: u64,
    held_bytes: u64,
) -> Result<(), ArtError> {
    if held_bytes < needed_bytes {
        return Err(ArtError::damaged(format!(
            "it claims {size}, but {held_bytes} bytes cannot hold them"
        )));
    }
    Ok(())
}

/// A sample of 8 or 16 bits.
trait Sample: Copy {
    const MOST: u64;
    fn wide(self) -> u64;
    fn narrow(value: u64) -> Self;
}

impl Sample for u8 {
    const MOST: u64 = 255;
    fn wide(self) -> u64 {
        u64::from(self)
    }
    fn narrow(value: u64) -> Self {
        value.min(Self::MOST) as Self
    }
}

impl Sample for u16 {
    const MOST: u64 = 65535;
    fn wide(self) -> u64 {
        u64::from(self)
    }
    fn narrow(value: u64) -> Self {
        value.min(Self::MOST) as Self
    }
}

/// Lays the picture on paper white and drops the alpha channel; says whether anything showed
/// through.
///
/// The blending is done on the encoded values, not in linear light: painting programs and
/// browsers do the same, so that soft edges come out as the artist saw them.
fn flatten<T: Sample>(mut samples: Vec<T>, colour: Colour, alpha: Alpha) -> (Vec<T>, bool) {
    if alpha == Alpha::None {
        return (samples, false);
    }
    let channels = colour.channels();
    // Paper is the full value of light, and no ink.
    let paper = if colour == Colour::Cmyk { 0 } else { T::MOST };
    let mut shows = false;
    let pixels = samples.len() / (channels + 1);
    for pixel in 0..pixels {
        let from = pixel * (channels + 1);
        let opacity = samples[from + channels].wide();
        shows |= opacity < T::MOST;
        for channel in 0..channels {
            let value = samples[from + channel].wide();
            let own = match alpha {
                Alpha::Multiplied => value * T::MOST,
                _ => value * opacity,
            };
            let mixed = (own + paper * (T::MOST - opacity) + T::MOST / 2) / T::MOST;
            samples[pixel * channels + channel] = T::narrow(mixed);
        }
    }
    samples.truncate(pixels * channels);
    samples.shrink_to_fit();
    (samples, shows)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn transparency_is_laid_on_white() {
        let straight = vec![200, 0, 100, 255, 200, 0, 100, 0, 200, 0, 100, 51_u8];
        assert_eq!(
            flatten(straight, Colour::Rgb, Alpha::Straight),
            (vec![200, 0, 100, 255, 255, 255, 244, 204, 224], true)
        );
        let multiplied = vec![40, 0, 20, 51_u8];
        assert_eq!(
            flatten(multiplied, Colour::Rgb, Alpha::Multiplied),
            (vec![244, 204, 224], true)
        );
        let opaque = vec![7, 65535_u16];
        assert_eq!(
            flatten(opaque, Colour::Grey, Alpha::Straight),
            (vec![7], false)
        );
        let ink = vec![255, 0, 0, 100, 51_u8];
        assert_eq!(
            flatten(ink, Colour::Cmyk, Alpha::Straight),
            (vec![51, 0, 0, 20], true)
        );
    }
}
