//! WebP (RFC 9649), decoded by `image-webp`; of an animation the first frame.

use std::io::Cursor;

use image_webp::WebPDecoder;
use measure::PixelSize;

use super::ifd::exif_orientation;
use super::raw::{Alpha, Colour, Depth, Embedded, Raw, check_plausible, check_size};
use crate::{ArtError, Limits};

/// Pictures of more pixels than this must have some bytes to show for it,
const LARGE: u64 = 64_000_000;
/// one for so many pixels.
const MOST_PIXELS: u64 = 8192;

pub(super) fn probe(bytes: &[u8], limits: &Limits) -> Result<PixelSize, ArtError> {
    let facts = Facts::read(bytes)?;
    let size = check_size(facts.width, facts.height, limits)?;
    Ok(exif_orientation(facts.exif.unwrap_or_default()).apply_to_size(size))
}

pub(super) fn decode(bytes: &[u8], limits: &Limits) -> Result<Raw, ArtError> {
    let facts = Facts::read(bytes)?;
    let size = check_size(facts.width, facts.height, limits)?;
    if !facts.whole {
        return Err(ArtError::damaged("it is cut: its end is missing"));
    }
    // A flat picture of any size takes a few bytes in this format, so that only absurd claims can
    // be told from honest ones.
    if size.count() > LARGE {
        check_plausible(size, size.count() / MOST_PIXELS, facts.bytes.len() as u64)?;
    }
    let damaged = |error: image_webp::DecodingError| ArtError::damaged(error.to_string());
    let mut decoder = WebPDecoder::new(Cursor::new(facts.bytes)).map_err(damaged)?;
    if decoder.dimensions() != (size.width, size.height) {
        return Err(ArtError::damaged("it states two different sizes"));
    }
    let length = decoder
        .output_buffer_size()
        .ok_or_else(|| ArtError::damaged("its size cannot be reckoned"))?;
    decoder.set_memory_limit(length.saturating_mul(2).saturating_add(16 << 20));
    let alpha = if decoder.has_alpha() {
        Alpha::Straight
    } else {
        Alpha::None
    };
    let mut samples = vec![0; length];
    decoder.read_image(&mut samples).map_err(damaged)?;
    Ok(Raw {
        size,
        colour: Colour::Rgb,
        alpha,
        depth: Depth::Eight(samples),
        embedded: facts.profile.map_or(Embedded::Nothing, |profile| {
            Embedded::Profile(profile.to_vec())
        }),
        orientation: exif_orientation(facts.exif.unwrap_or_default()),
    })
}

/// What the container says.
struct Facts<'a> {
    width: u64,
    height: u64,
    exif: Option<&'a [u8]>,
    profile: Option<&'a [u8]>,
    /// The file without what follows it.
    bytes: &'a [u8],
    /// The file is as long as its container says.
    whole: bool,
}

impl<'a> Facts<'a> {
    fn read(bytes: &'a [u8]) -> Result<Self, ArtError> {
        let cut = || ArtError::damaged("it is cut within its header");
        let claimed = u64::from(little(bytes, 4, 4).ok_or_else(cut)?) + 8;
        let end = usize::try_from(claimed)
            .unwrap_or(usize::MAX)
            .min(bytes.len());
        let mut facts = Self {
            width: 0,
            height: 0,
            exif: None,
            profile: None,
            bytes: &bytes[..end],
            whole: bytes.len() as u64 >= claimed,
        };
        let mut at = 12;
        let mut first = true;
        while let (Some(name), Some(length)) =
            (facts.bytes.get(at..at + 4), little(bytes, at + 4, 4))
        {
            let from = at + 8;
            let rest = facts.bytes.get(from..).unwrap_or_default();
            let data = &rest[..rest.len().min(length as usize)];
            if first {
                (facts.width, facts.height) = stated_size(name, data).ok_or_else(cut)?;
                first = false;
            }
            match name {
                b"EXIF" => facts.exif = facts.exif.or(Some(data)),
                b"ICCP" => facts.profile = facts.profile.or(Some(data)),
                _ => {}
            }
            // Chunks are padded to even lengths.
            at = match from.checked_add(length as usize + (length as usize & 1)) {
                Some(next) => next,
                None => break,
            };
        }
        if first {
            return Err(cut());
        }
        Ok(facts)
    }
}

/// Width and height as the first chunk states them.
fn stated_size(name: &[u8], data: &[u8]) -> Option<(u64, u64)> {
    let pair = |width: u32, height: u32| (u64::from(width), u64::from(height));
    match name {
        b"VP8X" => Some(pair(little(data, 4, 3)? + 1, little(data, 7, 3)? + 1)),
        b"VP8L" => {
            let packed = little(data, 1, 4)?;
            Some(pair((packed & 0x3fff) + 1, (packed >> 14 & 0x3fff) + 1))
        }
        b"VP8 " => Some(pair(
            little(data, 6, 2)? & 0x3fff,
            little(data, 8, 2)? & 0x3fff,
        )),
        _ => None,
    }
}

fn little(bytes: &[u8], at: usize, size: usize) -> Option<u32> {
    let bytes = bytes.get(at..at.checked_add(size)?)?;
    Some(
        bytes
            .iter()
            .rev()
            .fold(0, |sum, &byte| sum << 8 | u32::from(byte)),
    )
}
