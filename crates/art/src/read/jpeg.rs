//! JPEG (ITU-T T.81, JFIF, Adobe's APP14), decoded by `zune-jpeg`.
//!
//! Our own walk over the markers finds size, orientation, profile and colour model, and where the
//! picture ends. The decoder then gets only the segments that it needs, so that strange
//! application data cannot disturb it, and works strictly: what is cut is refused.

use measure::PixelSize;
use zune_jpeg::JpegDecoder;
use zune_jpeg::zune_core::bytestream::ZCursor;
use zune_jpeg::zune_core::colorspace::ColorSpace;
use zune_jpeg::zune_core::options::DecoderOptions;

use super::ifd::exif_orientation;
use super::raw::{Alpha, Colour, Depth, Embedded, Raw, check_plausible, check_size};
use crate::{ArtError, Limits};

pub(super) fn probe(bytes: &[u8], limits: &Limits) -> Result<PixelSize, ArtError> {
    let walk = Walk::over(bytes, Until::FirstScan)?;
    let frame = walk.frame()?;
    let size = check_size(frame.width.into(), frame.height.into(), limits)?;
    frame.check_kind()?;
    Ok(exif_orientation(walk.exif.unwrap_or_default()).apply_to_size(size))
}

pub(super) fn decode(bytes: &[u8], limits: &Limits) -> Result<Raw, ArtError> {
    let walk = Walk::over(bytes, Until::End)?;
    let frame = walk.frame()?;
    let size = check_size(frame.width.into(), frame.height.into(), limits)?;
    frame.check_kind()?;
    let model = walk.model(frame);
    let planes = decode_planes(&walk, frame, size, model)?;
    let (colour, samples) = match model {
        Model::Grey => (Colour::Grey, planes.samples),
        Model::Rgb | Model::YccRgb => (Colour::Rgb, planes.samples),
        Model::Cmyk | Model::YccK => {
            let mut inks = planes.samples;
            // Adobe writes CMYK inverted, and says so only by its marker being there.
            if walk.adobe_transform.is_some() {
                for ink in &mut inks {
                    *ink = 255 - *ink;
                }
            }
            (Colour::Cmyk, inks)
        }
    };
    Ok(Raw {
        size,
        colour,
        alpha: Alpha::None,
        depth: Depth::Eight(samples),
        embedded: walk.profile(),
        orientation: exif_orientation(walk.exif.unwrap_or_default()),
    })
}

/// Decoded channels, interleaved.
pub(super) struct Planes {
    pub(super) size: PixelSize,
    pub(super) channels: usize,
    pub(super) samples: Vec<u8>,
}

/// Decodes one JPEG stream inside another file, without any colour conversion, but refuses more
/// than `most` pixels.
pub(super) fn decode_raw(bytes: &[u8], most: u64) -> Result<Planes, ArtError> {
    let walk = Walk::over(bytes, Until::End)?;
    let frame = walk.frame()?;
    frame.check_kind()?;
    let size = check_size(
        frame.width.into(),
        frame.height.into(),
        &Limits { pixels: most },
    )?;
    let model = match frame.channels() {
        1 => Model::Grey,
        3 => Model::Rgb,
        _ => Model::Cmyk,
    };
    decode_planes(&walk, frame, size, model)
}

/// How the stored channels make colours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Model {
    Grey,
    Rgb,
    YccRgb,
    Cmyk,
    YccK,
}

fn decode_planes(
    walk: &Walk<'_>,
    frame: &Frame,
    size: PixelSize,
    model: Model,
) -> Result<Planes, ArtError> {
    if !walk.ended {
        return Err(ArtError::damaged("it is cut: its end is missing"));
    }
    walk.check_scans(frame)?;
    // Each block of 8 × 8 samples costs at least one bit, in whatever kind of JPEG.
    check_plausible(size, frame.blocks() / 8, walk.coded_bytes)?;
    let options = DecoderOptions::default()
        .set_strict_mode(true)
        .set_max_width(u16::MAX.into())
        .set_max_height(u16::MAX.into());
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(walk.essence()), options);
    let damaged = |error: zune_jpeg::errors::DecodeErrors| ArtError::damaged(error.to_string());
    decoder.decode_headers().map_err(damaged)?;
    let stored = decoder
        .input_colorspace()
        .ok_or_else(|| ArtError::damaged("it has no colours"))?;
    let converted = model == Model::YccRgb && stored == ColorSpace::YCbCr;
    let wanted = if converted { ColorSpace::RGB } else { stored };
    decoder.set_options(options.jpeg_set_out_colorspace(wanted));
    let mut samples = decoder.decode().map_err(damaged)?;
    let channels = frame.channels();
    if samples.len() as u64 != size.count() * channels as u64 {
        return Err(ArtError::damaged("its pixels do not fill its size"));
    }
    if matches!(model, Model::YccRgb | Model::YccK) && !converted {
        for pixel in samples.chunks_exact_mut(channels) {
            let rgb = ycc_to_rgb([pixel[0], pixel[1], pixel[2]]);
            if model == Model::YccK {
                // YCCK holds the inks' complements in its first three channels.
                for (stored, light) in pixel.iter_mut().zip(rgb) {
                    *stored = 255 - light;
                }
            } else {
                pixel[..3].copy_from_slice(&rgb);
            }
        }
    }
    Ok(Planes {
        size,
        channels,
        samples,
    })
}

/// JFIF's full-range conversion (ITU-R BT.601 coefficients), in 16-bit fixed point.
pub(super) fn ycc_to_rgb([y, cb, cr]: [u8; 3]) -> [u8; 3] {
    let y = i32::from(y) << 16 | 0x8000;
    let (cb, cr) = (i32::from(cb) - 128, i32::from(cr) - 128);
    // 1.402, 0.344136, 0.714136 and 1.772 times 65536.
    let red = y + 91_881 * cr;
    let green = y - 22_554 * cb - 46_802 * cr;
    let blue = y + 116_130 * cb;
    [red, green, blue].map(|value| (value >> 16).clamp(0, 255) as u8)
}

/// A frame header (SOF).
#[derive(Debug, Clone)]
struct Frame {
    marker: u8,
    precision: u8,
    width: u16,
    height: u16,
    /// Identifier and sampling factors of each component.
    components: Vec<(u8, u8)>,
}

impl Frame {
    fn read(marker: u8, segment: &[u8]) -> Option<Self> {
        let count = usize::from(*segment.get(5)?);
        let components = segment.get(6..6 + count * 3)?;
        Some(Self {
            marker,
            precision: segment[0],
            height: u16::from_be_bytes([segment[1], segment[2]]),
            width: u16::from_be_bytes([segment[3], segment[4]]),
            components: components
                .chunks_exact(3)
                .map(|component| (component[0], component[1]))
                .collect(),
        })
    }

    fn channels(&self) -> usize {
        self.components.len()
    }

    /// Refuses the kinds that the decoder does not know.
    fn check_kind(&self) -> Result<(), ArtError> {
        let unsupported = |what: &str| Err(ArtError::Unsupported(what.to_owned()));
        match self.marker {
            0xc0..=0xc2 => {}
            0xc3 | 0xc7 | 0xcb | 0xcf => return unsupported("lossless JPEGs of the old kind"),
            0xc9..=0xce => return unsupported("JPEGs with arithmetic coding"),
            _ => return unsupported("hierarchical JPEGs"),
        }
        if self.precision != 8 {
            return unsupported(&format!("JPEGs of {} bits", self.precision));
        }
        if !matches!(self.channels(), 1 | 3 | 4) {
            return unsupported(&format!("JPEGs with {} channels", self.channels()));
        }
        Ok(())
    }

    /// How many blocks of 8 × 8 samples the picture is made of, at the least.
    fn blocks(&self) -> u64 {
        (0..self.channels())
            .map(|component| self.blocks_of(component))
            .sum()
    }

    /// How many blocks one component has that hold a part of the picture.
    fn blocks_of(&self, component: usize) -> u64 {
        let (across, down) = factors(self.components[component].1);
        let (most_across, most_down) = self.most_factors();
        (u64::from(self.width) * across).div_ceil(8 * most_across)
            * (u64::from(self.height) * down).div_ceil(8 * most_down)
    }

    /// How many units a scan over these components is coded in: blocks of one component, or
    /// groups of blocks that cover the same square of the picture (T.81, A.2).
    fn units_of(&self, components: &[usize]) -> u64 {
        if let [component] = components {
            return self.blocks_of(*component);
        }
        let (most_across, most_down) = self.most_factors();
        u64::from(self.width).div_ceil(8 * most_across)
            * u64::from(self.height).div_ceil(8 * most_down)
    }

    fn most_factors(&self) -> (u64, u64) {
        let all = self.components.iter().map(|(_, both)| factors(*both));
        all.fold((1, 1), |most, one| (most.0.max(one.0), most.1.max(one.1)))
    }
}

/// Sampling factors across and down, as one byte holds them.
fn factors(both: u8) -> (u64, u64) {
    (u64::from(both >> 4).max(1), u64::from(both & 15).max(1))
}

/// A scan header (SOS), and how much coded data follows.
#[derive(Debug)]
struct Scan {
    /// Identifiers of the components.
    names: Vec<u8>,
    /// First and last coefficient.
    coefficients: (u8, u8),
    /// Lowest bit that it brings.
    bit: u8,
    /// Coded units between restarts; 0 = no restarts.
    interval: u64,
    /// Restarts in the coded data.
    restarts: u64,
}

impl Scan {
    fn read(segment: &[u8], interval: u64) -> Option<Self> {
        let count = usize::from(*segment.first()?);
        let names = segment.get(1..1 + count * 2)?;
        let last = segment.get(1 + count * 2..4 + count * 2)?;
        Some(Self {
            names: names.iter().step_by(2).copied().collect(),
            coefficients: (last[0], last[1]),
            bit: last[2] & 15,
            interval,
            restarts: 0,
        })
    }
}

/// How far to walk.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Until {
    FirstScan,
    End,
}

/// What a walk over the markers found.
#[derive(Debug, Default)]
struct Walk<'a> {
    frame: Option<Frame>,
    exif: Option<&'a [u8]>,
    /// Number, count and bytes of each part of the profile.
    profile_parts: Vec<(u8, u8, &'a [u8])>,
    adobe_transform: Option<u8>,
    has_jfif: bool,
    /// Segments and coded data that the decoder needs, markers included.
    needed: Vec<&'a [u8]>,
    coded_bytes: u64,
    scans: Vec<Scan>,
    /// Coded units between restarts from here on.
    interval: u64,
    /// The end marker was seen.
    ended: bool,
}

const START: [u8; 2] = [0xff, 0xd8];
const END: [u8; 2] = [0xff, 0xd9];

impl<'a> Walk<'a> {
    fn over(bytes: &'a [u8], until: Until) -> Result<Self, ArtError> {
        let cut = || ArtError::damaged("it is cut within its header");
        let mut walk = Self::default();
        let mut at = 2;
        loop {
            // Bytes that belong to nothing are stepped over, as all readers do.
            let Some(skip) = next_marker(bytes.get(at..).unwrap_or_default()) else {
                return match until {
                    Until::FirstScan => Err(cut()),
                    Until::End => Ok(walk),
                };
            };
            let start = at + skip;
            let marker = bytes[start + 1];
            at = start + 2;
            match marker {
                0xd9 => {
                    walk.ended = true;
                    return Ok(walk);
                }
                // Markers that stand alone.
                0x01 | 0xd0..=0xd8 => continue,
                _ => {}
            }
            let length = bytes
                .get(at..at + 2)
                .map(|two| usize::from(u16::from_be_bytes([two[0], two[1]])));
            let Some(segment) = length.and_then(|length| bytes.get(at + 2..at + length)) else {
                return match until {
                    Until::End if walk.coded_bytes > 0 => Ok(walk),
                    _ => Err(cut()),
                };
            };
            at += 2 + segment.len();
            walk.take(marker, segment)?;
            if matches!(marker, 0xc0..=0xcf | 0xda | 0xdb | 0xdd) {
                walk.needed.push(&bytes[start..at]);
            }
            if marker == 0xda {
                if until == Until::FirstScan {
                    return Ok(walk);
                }
                let (coded, restarts) = coded_length(&bytes[at..]);
                if let Some(scan) = walk.scans.last_mut() {
                    scan.restarts = restarts;
                }
                walk.needed.push(&bytes[at..at + coded]);
                walk.coded_bytes += coded as u64;
                at += coded;
            }
        }
    }

    fn take(&mut self, marker: u8, segment: &'a [u8]) -> Result<(), ArtError> {
        match marker {
            0xc4 | 0xc8 | 0xcc => {}
            0xc0..=0xcf => {
                if self.frame.is_some() {
                    return Err(ArtError::damaged("it has two frames in one"));
                }
                self.frame = Some(
                    Frame::read(marker, segment)
                        .ok_or_else(|| ArtError::damaged("its frame header is cut"))?,
                );
            }
            0xdd => {
                self.interval = segment
                    .get(..2)
                    .map_or(0, |two| u64::from(u16::from_be_bytes([two[0], two[1]])));
            }
            0xda => self.scans.push(
                Scan::read(segment, self.interval)
                    .ok_or_else(|| ArtError::damaged("a scan header is cut"))?,
            ),
            0xe0 if segment.starts_with(b"JFIF\0") => self.has_jfif = true,
            0xe1 if self.exif.is_none() && segment.starts_with(b"Exif\0\0") => {
                self.exif = Some(segment);
            }
            0xe2 => {
                if let Some([number, count, part @ ..]) = segment.strip_prefix(b"ICC_PROFILE\0") {
                    self.profile_parts.push((*number, *count, part));
                }
            }
            0xee if segment.starts_with(b"Adobe") && segment.len() >= 12 => {
                self.adobe_transform = Some(segment[11]);
            }
            _ => {}
        }
        Ok(())
    }

    fn frame(&self) -> Result<&Frame, ArtError> {
        self.frame
            .as_ref()
            .ok_or_else(|| ArtError::damaged("it has no frame header"))
    }

    /// Holds the scans against the frame: a file that was cut and closed again lacks some.
    fn check_scans(&self, frame: &Frame) -> Result<(), ArtError> {
        const NOT_YET: u8 = u8::MAX;
        let mut bits = vec![[NOT_YET; 64]; frame.channels()];
        for scan in &self.scans {
            let components: Vec<usize> = (0..frame.channels())
                .filter(|&component| scan.names.contains(&frame.components[component].0))
                .collect();
            let (first, last) = match frame.marker {
                0xc2 => scan.coefficients,
                _ => (0, 63),
            };
            for &component in &components {
                for coefficient in first..=last.min(63) {
                    bits[component][usize::from(coefficient)] = scan.bit;
                }
            }
            if scan.interval > 0 {
                let wanted = frame.units_of(&components).div_ceil(scan.interval);
                if scan.restarts + 1 < wanted {
                    return Err(ArtError::damaged(format!(
                        "it is cut: {} of {wanted} stretches are there",
                        scan.restarts + 1
                    )));
                }
            }
        }
        if bits.iter().flatten().any(|&bit| bit != 0) {
            return Err(ArtError::damaged("it is cut: its finer scans are missing"));
        }
        Ok(())
    }

    /// Which colours the channels stand for. Files do not say so outright; the order of the clues
    /// is that of the reference library (JFIF, then Adobe, then the components' names).
    fn model(&self, frame: &Frame) -> Model {
        match frame.channels() {
            1 => Model::Grey,
            4 if self.adobe_transform == Some(2) => Model::YccK,
            4 => Model::Cmyk,
            _ if self.has_jfif => Model::YccRgb,
            _ => match self.adobe_transform {
                Some(0) => Model::Rgb,
                Some(_) => Model::YccRgb,
                None => {
                    let names: Vec<u8> = frame.components.iter().map(|(name, _)| *name).collect();
                    if names == *b"RGB" {
                        Model::Rgb
                    } else {
                        Model::YccRgb
                    }
                }
            },
        }
    }

    /// The profile, put together from its parts (ICC.1, annex B.4).
    fn profile(&self) -> Embedded {
        if self.profile_parts.is_empty() {
            return Embedded::Nothing;
        }
        let mut parts = self.profile_parts.clone();
        parts.sort_by_key(|(number, ..)| *number);
        let whole = parts.iter().enumerate().all(|(index, (number, count, _))| {
            usize::from(*number) == index + 1 && usize::from(*count) == parts.len()
        });
        if whole {
            Embedded::Profile(parts.iter().flat_map(|(.., part)| *part).copied().collect())
        } else {
            Embedded::Unusable("parts of it are missing".to_owned())
        }
    }

    /// A JPEG of nothing but what decoding needs.
    ///
    /// Bits of one are put before the end. No code may consist of them alone (T.81, C.2), so that
    /// a decoder that runs out of data stumbles at once instead of painting the rest grey.
    fn essence(&self) -> Vec<u8> {
        let mut bytes = START.to_vec();
        for part in &self.needed {
            bytes.extend_from_slice(part);
        }
        bytes.extend([0xff, 0x00].repeat(16));
        bytes.extend(END);
        bytes
    }
}

/// Where the next marker begins: 0xff and a byte that is neither filling nor stuffing.
fn next_marker(bytes: &[u8]) -> Option<usize> {
    bytes
        .windows(2)
        .position(|two| two[0] == 0xff && !matches!(two[1], 0 | 0xff))
}

/// How long the coded data is, up to a marker that is not a restart, and how many restarts are
/// in it.
fn coded_length(bytes: &[u8]) -> (usize, u64) {
    let (mut at, mut restarts) = (0, 0);
    while let Some(skip) = bytes
        .get(at..)
        .and_then(|rest| rest.iter().position(|&byte| byte == 0xff))
    {
        at += skip;
        match bytes.get(at + 1) {
            Some(0) => at += 2,
            Some(0xd0..=0xd7) => {
                restarts += 1;
                at += 2;
            }
            Some(0xff) => at += 1,
            Some(_) => return (at, restarts),
            None => break,
        }
    }
    (bytes.len(), restarts)
}
