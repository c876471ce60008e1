//! CMYK samples as streams: exact by Flate, or small by JPEG.

use fdeflate::Compressor;
use jpeg_encoder::{ColorType, Encoder, SamplingFactor};
use measure::PixelSize;
use pdf_writer::{Dict, Finish, Name};

/// Storage of an image's CMYK samples.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ImageCoding {
    /// Flate with PNG predictors: every byte comes back.
    Lossless,
    /// DCT of quality 95 as YCCK without subsampling, stored inverted.
    Jpeg,
}

/// Encoded CMYK samples, ready to be a stream.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ImageData {
    /// Size.
    pub size: PixelSize,
    /// Coding.
    pub coding: ImageCoding,
    /// The stream.
    pub bytes: Vec<u8>,
}

/// Inks of a sample.
const INKS: usize = 4;

/// Filter type bytes of PNG (W3C PNG, 9.2).
const SUB: u8 = 1;
const UP: u8 = 2;

/// PDF's number for "each row names its PNG filter" (ISO 32000-1, table 10: any from 10 to 15).
const PNG_PREDICTOR: i32 = 15;

/// JPEG quality: the difference is not seen in print, and screens stay clean (our choice).
const QUALITY: u8 = 95;

/// The longest side that JPEG can state.
const LONGEST_JPEG: u32 = u16::MAX as u32;

impl ImageData {
    /// Compresses CMYK bytes (0 = no ink), row by row. For JPEG, quality 95 without subsampling;
    /// a picture with a side over 65,535 pixels, which JPEG cannot hold, is stored lossless.
    ///
    /// # Panics
    /// When `cmyk` is not four bytes for each pixel of a `size` with some area: a slip of the
    /// caller's, not of the picture's.
    pub fn encode(size: PixelSize, coding: ImageCoding, cmyk: &[u8]) -> Self {
        assert_eq!(
            cmyk.len() as u64,
            size.count() * INKS as u64,
            "four bytes for each pixel"
        );
        assert!(!cmyk.is_empty(), "a picture has some area");
        let fits_jpeg = size.width.max(size.height) <= LONGEST_JPEG;
        let coding = if fits_jpeg {
            coding
        } else {
            ImageCoding::Lossless
        };
        let bytes = match coding {
            ImageCoding::Lossless => flate(size, cmyk),
            ImageCoding::Jpeg => jpeg(size, cmyk),
        };
        Self {
            size,
            coding,
            bytes,
        }
    }
}

/// Writes all keys of an image's dictionary but its length.
pub(super) fn describe(dict: &mut Dict<'_>, size: PixelSize, coding: ImageCoding) {
    let side = |pixels: u32| i32::try_from(pixels).unwrap_or(i32::MAX);
    dict.pair(Name(b"Type"), Name(b"XObject"));
    dict.pair(Name(b"Subtype"), Name(b"Image"));
    dict.pair(Name(b"Width"), side(size.width));
    dict.pair(Name(b"Height"), side(size.height));
    dict.pair(Name(b"ColorSpace"), Name(b"DeviceCMYK"));
    dict.pair(Name(b"BitsPerComponent"), 8);
    match coding {
        ImageCoding::Lossless => {
            dict.pair(Name(b"Filter"), Name(b"FlateDecode"));
            let mut parms = dict.insert(Name(b"DecodeParms")).dict();
            parms.pair(Name(b"Predictor"), PNG_PREDICTOR);
            parms.pair(Name(b"Colors"), INKS as i32);
            parms.pair(Name(b"BitsPerComponent"), 8);
            parms.pair(Name(b"Columns"), side(size.width));
            parms.finish();
        }
        ImageCoding::Jpeg => {
            dict.pair(Name(b"Filter"), Name(b"DCTDecode"));
            // CMYK in JPEG is kept inverted by custom, and the encoder follows it.
            dict.insert(Name(b"Decode"))
                .array()
                .items([1, 0, 1, 0, 1, 0, 1, 0]);
        }
    }
}

fn flate(size: PixelSize, cmyk: &[u8]) -> Vec<u8> {
    let row_bytes = size.width as usize * INKS;
    let out = Vec::with_capacity(cmyk.len() / 2 + 1024);
    let mut out = Compressor::new(out).expect("writing to memory does not fail");
    // One row with its filter byte in front.
    let mut line = vec![0; row_bytes + 1];
    let mut above: Option<&[u8]> = None;
    for row in cmyk.chunks_exact(row_bytes) {
        let before = &row[..row_bytes - INKS];
        let sideways = cost(&row[INKS..], before) + cost(&row[..INKS], &[0; INKS]);
        match above {
            Some(above) if cost(row, above) < sideways => {
                line[0] = UP;
                difference(row, above, &mut line[1..]);
            }
            _ => {
                line[0] = SUB;
                line[1..=INKS].copy_from_slice(&row[..INKS]);
                difference(&row[INKS..], before, &mut line[1 + INKS..]);
            }
        }
        out.write_data(&line)
            .expect("writing to memory does not fail");
        above = Some(row);
    }
    out.finish().expect("writing to memory does not fail")
}

fn difference(row: &[u8], from: &[u8], out: &mut [u8]) {
    for ((out, now), before) in out.iter_mut().zip(row).zip(from) {
        *out = now.wrapping_sub(*before);
    }
}

/// How much is about left to say after prediction: the sum of the differences' sizes, of which a
/// quarter is looked at, since this only chooses between two ways that are both right.
fn cost(row: &[u8], from: &[u8]) -> u64 {
    const LOOKED_AT: usize = 64;
    row.chunks(LOOKED_AT * 4)
        .zip(from.chunks(LOOKED_AT * 4))
        .map(|(row, from)| {
            let pairs = row.iter().zip(from).take(LOOKED_AT);
            let sum: u16 = pairs
                .map(|(now, before)| {
                    let step = now.wrapping_sub(*before);
                    u16::from(step.min(step.wrapping_neg()))
                })
                .sum();
            u64::from(sum)
        })
        .sum()
}

fn jpeg(size: PixelSize, cmyk: &[u8]) -> Vec<u8> {
    let side = |pixels: u32| u16::try_from(pixels).expect("sides over 65,535 are stored lossless");
    let mut out = Vec::with_capacity(cmyk.len() / 4 + 1024);
    let mut encoder = Encoder::new(&mut out, QUALITY);
    encoder.set_sampling_factor(SamplingFactor::F_1_1);
    encoder
        .encode(
            cmyk,
            side(size.width),
            side(size.height),
            ColorType::CmykAsYcck,
        )
        .expect("memory takes what the encoder writes, and the lengths agree");
    out
}
