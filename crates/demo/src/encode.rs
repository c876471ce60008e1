//! Drawn pieces as files, each in the way that its maker is said to have saved it.

use std::io::Cursor;

use jpeg_encoder::{ColorType, Encoder, SamplingFactor};
use tiff::encoder::{Compression, TiffEncoder, colortype};
use tiff::tags::Tag;

use crate::Pixels;

/// The profile that a file carries.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Profile {
    /// None: the reader has to assume one.
    None,
    /// sRGB.
    Srgb,
    /// A wide-gamut RGB.
    Wide,
    /// Grey of gamma 2.2.
    Grey,
}

/// How a file is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Encoding {
    /// PNG.
    Png,
    /// JPEG, nothing subsampled.
    Jpeg {
        /// 1 to 100.
        quality: u8,
        /// Stored lying on its side, with the EXIF tag that turns it upright.
        on_its_side: bool,
    },
    /// TIFF; LZW, but for 16 bits.
    Tiff,
    /// WebP, lossless.
    WebP,
}

/// Resolution that is written into the files: 300 to the inch, as pixels to the metre.
const PIXELS_PER_METRE: u32 = 11_811;

/// EXIF with one tag: orientation 6, 'turn a quarter clockwise to see it upright'.
const TURN_CLOCKWISE: &[u8] = &[
    b'E', b'x', b'i', b'f', 0, 0, b'M', b'M', 0, 42, 0, 0, 0, 8, 0, 1, 0x01, 0x12, 0, 3, 0, 0, 0,
    1, 0, 6, 0, 0, 0, 0, 0, 0,
];

/// Writes pixels as a file.
pub(crate) fn encode(
    pixels: Pixels,
    size: (u32, u32),
    encoding: Encoding,
    profile: Profile,
) -> Vec<u8> {
    let profile = match profile {
        Profile::None => None,
        Profile::Srgb => Some(crate::icc::srgb()),
        Profile::Wide => Some(crate::icc::wide()),
        Profile::Grey => Some(crate::icc::grey()),
    };
    match encoding {
        Encoding::Png => png(&pixels, size, profile),
        Encoding::Jpeg {
            quality,
            on_its_side,
        } => jpeg(pixels, size, quality, on_its_side, profile.as_deref()),
        Encoding::Tiff => tiff(&pixels, size, profile.as_deref()),
        Encoding::WebP => webp(&pixels, size, profile),
    }
}

fn png(pixels: &Pixels, size: (u32, u32), profile: Option<Vec<u8>>) -> Vec<u8> {
    let (colour, depth, bytes): (_, _, std::borrow::Cow<'_, [u8]>) = match pixels {
        Pixels::Grey8(bytes) => (
            png::ColorType::Grayscale,
            png::BitDepth::Eight,
            bytes.into(),
        ),
        Pixels::Rgb8(bytes) | Pixels::Cmyk8(bytes) => {
            (png::ColorType::Rgb, png::BitDepth::Eight, bytes.into())
        }
        Pixels::Rgba8(bytes) => (png::ColorType::Rgba, png::BitDepth::Eight, bytes.into()),
        Pixels::Rgb16(samples) => (
            png::ColorType::Rgb,
            png::BitDepth::Sixteen,
            samples
                .iter()
                .flat_map(|sample| sample.to_be_bytes())
                .collect(),
        ),
    };
    let mut info = png::Info::with_size(size.0, size.1);
    info.color_type = colour;
    info.bit_depth = depth;
    info.pixel_dims = Some(png::PixelDimensions {
        xppu: PIXELS_PER_METRE,
        yppu: PIXELS_PER_METRE,
        unit: png::Unit::Meter,
    });
    info.icc_profile = profile.map(Into::into);
    let mut out = Vec::new();
    let mut encoder = png::Encoder::with_info(&mut out, info).expect("the size is not zero");
    encoder.set_compression(png::Compression::Fast);
    let mut writer = encoder.write_header().expect("memory takes every write");
    writer
        .write_image_data(&bytes)
        .expect("the pixels fill the size");
    writer.finish().expect("memory takes every write");
    out
}

fn jpeg(
    pixels: Pixels,
    size: (u32, u32),
    quality: u8,
    on_its_side: bool,
    profile: Option<&[u8]>,
) -> Vec<u8> {
    let (colour, channels, mut bytes) = match pixels {
        Pixels::Grey8(bytes) => (ColorType::Luma, 1, bytes),
        Pixels::Cmyk8(bytes) => (ColorType::CmykAsYcck, 4, bytes),
        Pixels::Rgb8(bytes) => (ColorType::Rgb, 3, bytes),
        Pixels::Rgba8(bytes) => (ColorType::Rgba, 4, bytes),
        Pixels::Rgb16(samples) => (
            ColorType::Rgb,
            3,
            samples.iter().map(|sample| (sample >> 8) as u8).collect(),
        ),
    };
    let mut stored = size;
    if on_its_side {
        bytes = turned_anticlockwise(&bytes, size, channels);
        stored = (size.1, size.0);
    }
    let mut out = Vec::new();
    let mut encoder = Encoder::new(&mut out, quality);
    encoder.set_sampling_factor(SamplingFactor::F_1_1);
    encoder.set_density(jpeg_encoder::PixelDensity::dpi(300));
    if on_its_side {
        encoder
            .add_app_segment(1, TURN_CLOCKWISE.to_vec())
            .expect("the segment is short");
    }
    if let Some(profile) = profile {
        encoder
            .add_icc_profile(profile)
            .expect("the profile is short");
    }
    encoder
        .encode(&bytes, stored.0 as u16, stored.1 as u16, colour)
        .expect("memory takes every write and no side passes 65535");
    out
}

/// The picture lying on its left side, as a camera held upright stores it.
fn turned_anticlockwise(bytes: &[u8], size: (u32, u32), channels: usize) -> Vec<u8> {
    let (across, down) = (size.0 as usize, size.1 as usize);
    let mut out = Vec::with_capacity(bytes.len());
    for column in (0..across).rev() {
        for row in 0..down {
            let at = (row * across + column) * channels;
            out.extend_from_slice(&bytes[at..at + channels]);
        }
    }
    out
}

fn tiff(pixels: &Pixels, size: (u32, u32), profile: Option<&[u8]>) -> Vec<u8> {
    let mut out = Cursor::new(Vec::new());
    // The low bytes of 16-bit brushwork are noise, which LZW makes longer.
    let compression = match pixels {
        Pixels::Rgb16(_) => Compression::Uncompressed,
        _ => Compression::Lzw,
    };
    let mut file = TiffEncoder::new(&mut out)
        .expect("memory takes every write")
        .with_compression(compression);
    macro_rules! write {
        ($kind:ty, $samples:expr) => {{
            let mut image = file
                .new_image::<$kind>(size.0, size.1)
                .expect("memory takes every write");
            image.resolution(
                tiff::tags::ResolutionUnit::Inch,
                tiff::encoder::Rational { n: 300, d: 1 },
            );
            if let Some(profile) = profile {
                image
                    .encoder()
                    .write_tag(Tag::IccProfile, profile)
                    .expect("memory takes every write");
            }
            image
                .write_data($samples)
                .expect("the pixels fill the size");
        }};
    }
    match pixels {
        Pixels::Grey8(bytes) => write!(colortype::Gray8, bytes),
        Pixels::Rgb8(bytes) => write!(colortype::RGB8, bytes),
        Pixels::Rgba8(bytes) => write!(colortype::RGBA8, bytes),
        Pixels::Rgb16(samples) => write!(colortype::RGB16, samples),
        Pixels::Cmyk8(bytes) => write!(colortype::CMYK8, bytes),
    }
    out.into_inner()
}

fn webp(pixels: &Pixels, size: (u32, u32), profile: Option<Vec<u8>>) -> Vec<u8> {
    let mut out = Vec::new();
    let mut encoder = image_webp::WebPEncoder::new(&mut out);
    if let Some(profile) = profile {
        encoder.set_icc_profile(profile);
    }
    let (bytes, colour) = match pixels {
        Pixels::Grey8(bytes) => (bytes, image_webp::ColorType::L8),
        Pixels::Rgba8(bytes) => (bytes, image_webp::ColorType::Rgba8),
        Pixels::Rgb8(bytes) | Pixels::Cmyk8(bytes) => (bytes, image_webp::ColorType::Rgb8),
        Pixels::Rgb16(_) => unreachable!("no piece asks for 16 bits in WebP, which has none"),
    };
    encoder
        .encode(bytes, size.0, size.1, colour)
        .expect("no side passes 16383");
    out
}
