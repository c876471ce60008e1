//! Files and pictures for tests, made here.

use std::io::{Cursor, Write};

use art::{Picture, Samples};
use measure::PixelSize;

pub fn size(width: u32, height: u32) -> PixelSize {
    PixelSize { width, height }
}

pub fn picture(width: u32, height: u32, samples: Samples) -> Picture {
    Picture {
        size: size(width, height),
        samples,
        profile: None,
        remarks: Vec::new(),
    }
}

/// The same stream of numbers for the same seed, 0 to 1.
pub struct Numbers(u64);

impl Numbers {
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1)
    }

    pub fn next(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }
}

pub fn noise(seed: u64, count: usize) -> Vec<u8> {
    let mut numbers = Numbers::new(seed);
    (0..count).map(|_| (numbers.next() * 256.0) as u8).collect()
}

/// A smooth picture with some texture, as bytes of `channels` channels.
pub fn scene(width: usize, height: usize, channels: usize) -> Vec<u8> {
    let mut numbers = Numbers::new(7);
    let mut samples = Vec::with_capacity(width * height * channels);
    for y in 0..height {
        for x in 0..width {
            for channel in 0..channels {
                let wave = (x as f64 / 9.0 + channel as f64).sin() * (y as f64 / 13.0).cos();
                samples.push((128.0 + 90.0 * wave + 20.0 * numbers.next()) as u8);
            }
        }
    }
    samples
}

/// What a PNG is to be like.
pub struct PngKind {
    pub colour: png::ColorType,
    pub depth: png::BitDepth,
    pub palette: Option<Vec<u8>>,
    pub transparent: Option<Vec<u8>>,
}

pub fn png_of(width: u32, height: u32, kind: &PngKind, data: &[u8]) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, width, height);
    encoder.set_color(kind.colour);
    encoder.set_depth(kind.depth);
    if let Some(palette) = &kind.palette {
        encoder.set_palette(palette.clone());
    }
    if let Some(transparent) = &kind.transparent {
        encoder.set_trns(transparent.clone());
    }
    let mut writer = encoder.write_header().unwrap();
    writer.write_image_data(data).unwrap();
    writer.finish().unwrap();
    bytes
}

pub fn png_rgb8(width: u32, height: u32, data: &[u8]) -> Vec<u8> {
    png_of(
        width,
        height,
        &PngKind {
            colour: png::ColorType::Rgb,
            depth: png::BitDepth::Eight,
            palette: None,
            transparent: None,
        },
        data,
    )
}

/// Puts a chunk into a PNG, after its header.
pub fn with_chunk(png: &[u8], name: &[u8; 4], data: &[u8]) -> Vec<u8> {
    let mut chunk = name.to_vec();
    chunk.extend_from_slice(data);
    let mut crc = flate2::Crc::new();
    crc.update(&chunk);
    let mut bytes = png[..33].to_vec();
    bytes.extend((data.len() as u32).to_be_bytes());
    bytes.extend(chunk);
    bytes.extend(crc.sum().to_be_bytes());
    bytes.extend_from_slice(&png[33..]);
    bytes
}

pub fn deflated(data: &[u8]) -> Vec<u8> {
    let mut encoder = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::fast());
    encoder.write_all(data).unwrap();
    encoder.finish().unwrap()
}

/// An `iCCP` chunk's data.
pub fn packed_profile(profile: &[u8]) -> Vec<u8> {
    let mut data = b"test\0\0".to_vec();
    data.extend(deflated(profile));
    data
}

/// An EXIF block that asks for an orientation, without the JPEG prefix.
pub fn exif(orientation: u16) -> Vec<u8> {
    let mut bytes = b"II\x2a\0\x08\0\0\0\x01\0\x12\x01\x03\0\x01\0\0\0".to_vec();
    bytes.extend(orientation.to_le_bytes());
    bytes.extend([0; 6]);
    bytes
}

pub fn jpeg(
    width: u32,
    height: u32,
    kind: jpeg_encoder::ColorType,
    quality: u8,
    data: &[u8],
) -> Vec<u8> {
    let mut bytes = Vec::new();
    let mut encoder = jpeg_encoder::Encoder::new(&mut bytes, quality);
    encoder.set_sampling_factor(jpeg_encoder::SamplingFactor::F_1_1);
    encoder
        .encode(data, width as u16, height as u16, kind)
        .unwrap();
    bytes
}

/// Puts a segment into a JPEG, after its start.
pub fn with_segment(jpeg: &[u8], marker: u8, data: &[u8]) -> Vec<u8> {
    let mut bytes = jpeg[..2].to_vec();
    bytes.extend([0xff, marker]);
    bytes.extend((data.len() as u16 + 2).to_be_bytes());
    bytes.extend_from_slice(data);
    bytes.extend_from_slice(&jpeg[2..]);
    bytes
}

pub fn webp(width: u32, height: u32, alpha: bool, data: &[u8]) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    let colour = if alpha {
        image_webp::ColorType::Rgba8
    } else {
        image_webp::ColorType::Rgb8
    };
    image_webp::WebPEncoder::new(&mut bytes)
        .encode(data, width, height, colour)
        .unwrap();
    bytes.into_inner()
}

/// A TIFF, put together tag by tag.
pub struct TiffKind<'a> {
    pub big_endian: bool,
    pub width: u32,
    pub height: u32,
    pub tags: Vec<(u16, Vec<u32>)>,
    /// Strips or tiles, packed.
    pub chunks: Vec<Vec<u8>>,
    pub tiled: bool,
    pub profile: Option<&'a [u8]>,
}

impl TiffKind<'_> {
    pub fn bytes(&self) -> Vec<u8> {
        let word = |value: u32| {
            if self.big_endian {
                value.to_be_bytes()
            } else {
                value.to_le_bytes()
            }
        };
        let half = |value: u16| {
            if self.big_endian {
                value.to_be_bytes()
            } else {
                value.to_le_bytes()
            }
        };
        let mut bytes = if self.big_endian {
            b"MM\0\x2a".to_vec()
        } else {
            b"II\x2a\0".to_vec()
        };
        bytes.extend([0; 4]);
        let mut offsets = Vec::new();
        for chunk in &self.chunks {
            offsets.push(bytes.len() as u32);
            bytes.extend_from_slice(chunk);
        }
        let lengths = self.chunks.iter().map(|chunk| chunk.len() as u32).collect();
        let (offsets_tag, lengths_tag) = if self.tiled { (324, 325) } else { (273, 279) };
        let mut tags = vec![
            (256, vec![self.width]),
            (257, vec![self.height]),
            (offsets_tag, offsets),
            (lengths_tag, lengths),
        ];
        tags.extend(self.tags.iter().cloned());
        let mut entries = Vec::new();
        for (tag, values) in &tags {
            let mut entry = half(*tag).to_vec();
            entry.extend(half(4));
            entry.extend(word(values.len() as u32));
            if let [value] = values[..] {
                entry.extend(word(value));
            } else {
                entry.extend(word(bytes.len() as u32));
                for value in values {
                    bytes.extend(word(*value));
                }
            }
            entries.push(entry);
        }
        if let Some(profile) = self.profile {
            let mut entry = half(34675).to_vec();
            entry.extend(half(7));
            entry.extend(word(profile.len() as u32));
            entry.extend(word(bytes.len() as u32));
            bytes.extend_from_slice(profile);
            entries.push(entry);
        }
        entries.sort();
        let at = bytes.len() as u32;
        bytes[4..8].copy_from_slice(&word(at));
        bytes.extend(half(entries.len() as u16));
        bytes.extend(entries.concat());
        bytes.extend([0; 4]);
        bytes
    }
}

/// A TIFF of one strip.
pub fn tiff(width: u32, height: u32, tags: &[(u16, &[u32])], strip: Vec<u8>) -> Vec<u8> {
    TiffKind {
        big_endian: false,
        width,
        height,
        tags: tags
            .iter()
            .map(|(tag, values)| (*tag, values.to_vec()))
            .collect(),
        chunks: vec![strip],
        tiled: false,
        profile: None,
    }
    .bytes()
}

pub fn lzw(data: &[u8]) -> Vec<u8> {
    weezl::encode::Encoder::with_tiff_size_switch(weezl::BitOrder::Msb, 8)
        .encode(data)
        .unwrap()
}

/// Differences to the left neighbour, channel by channel.
pub fn predicted(data: &[u8], width: usize, channels: usize) -> Vec<u8> {
    let mut out = data.to_vec();
    for row in out.chunks_exact_mut(width * channels) {
        for at in (channels..row.len()).rev() {
            row[at] = row[at].wrapping_sub(row[at - channels]);
        }
    }
    out
}
