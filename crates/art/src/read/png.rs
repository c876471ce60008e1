//! PNG (W3C PNG, third edition), decoded by `png`. Checksums are held to.
//!
//! Our own walk over the chunks finds the profile and the orientation, wherever they stand.

use std::io::{Cursor, Read};

use flate2::read::ZlibDecoder;
use measure::PixelSize;
use png::{BitDepth, ColorType, DecodeOptions, Decoder, Transformations};

use super::ifd::exif_orientation;
use super::raw::{Alpha, Colour, Depth, Embedded, Raw, check_plausible, check_size};
use crate::{ArtError, Limits};

/// Deflate never packs more than this many bytes into one.
pub(super) const MOST_DEFLATED: u64 = 1032;
/// No honest profile is larger: those of presses take two or three megabytes.
const LARGEST_PROFILE: u64 = 32 << 20;

pub(super) fn probe(bytes: &[u8], limits: &Limits) -> Result<PixelSize, ArtError> {
    let size = size_of(bytes, limits)?;
    let exif = chunks(bytes).find_map(|(name, data)| (name == *b"eXIf").then_some(data));
    Ok(exif_orientation(exif.unwrap_or_default()).apply_to_size(size))
}

pub(super) fn decode(bytes: &[u8], limits: &Limits) -> Result<Raw, ArtError> {
    let size = size_of(bytes, limits)?;
    let (mut held, mut exif, mut ended) = (0, None, false);
    let mut embedded = Embedded::Nothing;
    for (name, data) in chunks(bytes) {
        match &name {
            b"IDAT" => held += data.len() as u64,
            b"eXIf" => exif = exif.or(Some(data)),
            b"iCCP" => embedded = profile(data),
            b"cICP" => embedded = coding_point(data, embedded),
            b"sRGB" if matches!(embedded, Embedded::Nothing) => embedded = Embedded::StatedSrgb,
            b"IEND" => ended = true,
            _ => {}
        }
    }
    if !ended {
        return Err(ArtError::damaged("it is cut: its end is missing"));
    }
    let bits = bits_of_pixel(bytes)?;
    let row_bytes = 1 + (u64::from(size.width) * bits).div_ceil(8);
    check_plausible(
        size,
        row_bytes * u64::from(size.height) / MOST_DEFLATED,
        held,
    )?;

    let mut options = DecodeOptions::default();
    options.set_ignore_adler32(false);
    options.set_ignore_text_chunk(true);
    options.set_ignore_iccp_chunk(true);
    let mut decoder = Decoder::new_with_options(Cursor::new(bytes), options);
    decoder.set_limits(png::Limits {
        bytes: usize::try_from(row_bytes * 8 + (16 << 20)).unwrap_or(usize::MAX),
    });
    decoder.set_transformations(Transformations::EXPAND);
    let damaged = |error: png::DecodingError| ArtError::damaged(error.to_string());
    let mut reader = decoder.read_info().map_err(damaged)?;
    let (colour_type, depth) = reader.output_color_type();
    let length = reader
        .output_buffer_size()
        .ok_or_else(|| ArtError::damaged("its size cannot be reckoned"))?;
    let mut samples = vec![0; length];
    let info = reader.next_frame(&mut samples).map_err(damaged)?;
    samples.truncate(info.buffer_size());
    let (colour, alpha) = match colour_type {
        ColorType::Grayscale => (Colour::Grey, Alpha::None),
        ColorType::GrayscaleAlpha => (Colour::Grey, Alpha::Straight),
        ColorType::Rgb => (Colour::Rgb, Alpha::None),
        ColorType::Rgba => (Colour::Rgb, Alpha::Straight),
        ColorType::Indexed => return Err(ArtError::damaged("its palette is missing")),
    };
    Ok(Raw {
        size,
        colour,
        alpha,
        depth: match depth {
            BitDepth::Sixteen => Depth::Sixteen(
                samples
                    .chunks_exact(2)
                    .map(|two| u16::from_be_bytes([two[0], two[1]]))
                    .collect(),
            ),
            _ => Depth::Eight(samples),
        },
        embedded,
        orientation: exif_orientation(exif.unwrap_or_default()),
    })
}

const SIGNATURE: usize = 8;

/// The chunks in order, as far as they are whole. Their checksums are the decoder's affair.
fn chunks(bytes: &[u8]) -> impl Iterator<Item = ([u8; 4], &[u8])> {
    let mut at = SIGNATURE;
    std::iter::from_fn(move || {
        let head = bytes.get(at..at + 8)?;
        let length = u32::from_be_bytes([head[0], head[1], head[2], head[3]]) as usize;
        let end = (at + 8).checked_add(length)?;
        let data = bytes.get(at + 8..end)?;
        // The checksum must be there as well.
        bytes.get(end..end + 4)?;
        at = end + 4;
        Some(([head[4], head[5], head[6], head[7]], data))
    })
}

fn header(bytes: &[u8]) -> Result<&[u8], ArtError> {
    match chunks(bytes).next() {
        Some(([b'I', b'H', b'D', b'R'], data)) if data.len() == 13 => Ok(data),
        _ => Err(ArtError::damaged("it is cut within its header")),
    }
}

fn size_of(bytes: &[u8], limits: &Limits) -> Result<PixelSize, ArtError> {
    let header = header(bytes)?;
    let side = |at: usize| {
        u64::from(u32::from_be_bytes([
            header[at],
            header[at + 1],
            header[at + 2],
            header[at + 3],
        ]))
    };
    check_size(side(0), side(4), limits)
}

fn bits_of_pixel(bytes: &[u8]) -> Result<u64, ArtError> {
    let header = header(bytes)?;
    let channels = match header[9] {
        0 | 3 => 1,
        2 => 3,
        4 => 2,
        6 => 4,
        other => {
            return Err(ArtError::damaged(format!(
                "its colour type is {other}, which does not exist"
            )));
        }
    };
    Ok(channels * u64::from(header[8]))
}

/// A name, a zero, the method (0) and a deflated profile.
fn profile(data: &[u8]) -> Embedded {
    let unusable = |why: &str| Embedded::Unusable(why.to_owned());
    let Some(end) = data.iter().take(80).position(|&byte| byte == 0) else {
        return unusable("its name has no end");
    };
    let Some([0, packed @ ..]) = data.get(end + 1..) else {
        return unusable("it is packed in an unknown way");
    };
    let mut bytes = Vec::new();
    match ZlibDecoder::new(packed)
        .take(LARGEST_PROFILE + 1)
        .read_to_end(&mut bytes)
    {
        Ok(length) if length as u64 <= LARGEST_PROFILE => Embedded::Profile(bytes),
        Ok(_) => unusable("it is larger than any profile is"),
        Err(_) => unusable("it is cut or damaged"),
    }
}

/// Coding-independent code points (ITU-T H.273) stand above a profile; of them only sRGB itself
/// (primaries 1, transfer 13) is read.
fn coding_point(data: &[u8], otherwise: Embedded) -> Embedded {
    match data {
        [1, 13, 0, 1] => Embedded::StatedSrgb,
        [primaries, transfer, ..] if matches!(otherwise, Embedded::Nothing) => Embedded::Unusable(
            format!("its colours are given as H.273 code points {primaries}/{transfer}"),
        ),
        _ => otherwise,
    }
}
