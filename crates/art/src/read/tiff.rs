//! TIFF 6.0 and BigTIFF: the first directory's picture.
//!
//! Read by ourselves, with libraries for the compressions: the reading crate at hand refuses
//! palettes and grey with alpha, and mistakes the samples of a picture with extra channels under
//! the horizontal predictor, which drawing programs write every day.

use measure::PixelSize;

use super::ifd::{Directory, Layout, orientation_of};
use super::jpeg::ycc_to_rgb;
use super::raw::{Alpha, Colour, Depth, Embedded, Raw, check_size};
use super::tiff_chunks::{Chunks, Compression, Shape};
use crate::{ArtError, Limits};

/// Tags of TIFF 6.0, by their names there.
mod tag {
    pub(super) const IMAGE_WIDTH: u16 = 256;
    pub(super) const IMAGE_LENGTH: u16 = 257;
    pub(super) const BITS_PER_SAMPLE: u16 = 258;
    pub(super) const COMPRESSION: u16 = 259;
    pub(super) const PHOTOMETRIC: u16 = 262;
    pub(super) const FILL_ORDER: u16 = 266;
    pub(super) const STRIP_OFFSETS: u16 = 273;
    pub(super) const SAMPLES_PER_PIXEL: u16 = 277;
    pub(super) const ROWS_PER_STRIP: u16 = 278;
    pub(super) const STRIP_BYTE_COUNTS: u16 = 279;
    pub(super) const PLANAR_CONFIGURATION: u16 = 284;
    pub(super) const PREDICTOR: u16 = 317;
    pub(super) const COLOR_MAP: u16 = 320;
    pub(super) const TILE_WIDTH: u16 = 322;
    pub(super) const TILE_LENGTH: u16 = 323;
    pub(super) const TILE_OFFSETS: u16 = 324;
    pub(super) const TILE_BYTE_COUNTS: u16 = 325;
    pub(super) const INK_SET: u16 = 332;
    pub(super) const EXTRA_SAMPLES: u16 = 338;
    pub(super) const SAMPLE_FORMAT: u16 = 339;
    pub(super) const JPEG_TABLES: u16 = 347;
    pub(super) const YCBCR_SUBSAMPLING: u16 = 530;
    pub(super) const ICC_PROFILE: u16 = 34675;
}

pub(super) fn probe(bytes: &[u8], limits: &Limits) -> Result<PixelSize, ArtError> {
    let (_, directory) = open(bytes)?;
    let size = size_of(&directory, limits)?;
    Ok(orientation_of(&directory).apply_to_size(size))
}

pub(super) fn decode(bytes: &[u8], limits: &Limits) -> Result<Raw, ArtError> {
    let (layout, directory) = open(bytes)?;
    let size = size_of(&directory, limits)?;
    let compression = Compression::from_tag(directory.number(tag::COMPRESSION).unwrap_or(1))?;
    let kind = Kind::of(&directory)?;
    let shape = shape(&layout, &directory, size, &kind, compression)?;
    let samples = shape.read(bytes)?;
    let depth = kind.interpret(samples, shape.bits)?;
    Ok(Raw {
        size,
        colour: kind.colour,
        alpha: kind.alpha,
        depth,
        embedded: directory
            .bytes(tag::ICC_PROFILE)
            .map_or(Embedded::Nothing, |profile| {
                Embedded::Profile(profile.to_vec())
            }),
        orientation: orientation_of(&directory),
    })
}

fn open(bytes: &[u8]) -> Result<(Layout<'_>, Directory<'_>), ArtError> {
    Layout::open(bytes)
        .and_then(|(layout, at)| Some((layout, layout.directory(at)?)))
        .ok_or_else(|| ArtError::damaged("its directory is cut or missing"))
}

fn size_of(directory: &Directory<'_>, limits: &Limits) -> Result<PixelSize, ArtError> {
    let side = |tag| {
        directory
            .number(tag)
            .ok_or_else(|| ArtError::damaged("its directory does not state its size"))
    };
    check_size(side(tag::IMAGE_WIDTH)?, side(tag::IMAGE_LENGTH)?, limits)
}

/// What the samples stand for.
struct Kind {
    photometric: Photometric,
    colour: Colour,
    alpha: Alpha,
    /// Samples of a pixel in the file.
    stored: usize,
    /// Which of them are kept: the colours, then alpha.
    kept: Vec<usize>,
    /// Palette as RGB bytes.
    palette: Vec<[u8; 3]>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Photometric {
    WhiteIsZero,
    BlackIsZero,
    Rgb,
    Palette,
    Separated,
    Ycc,
}

impl Kind {
    fn of(directory: &Directory<'_>) -> Result<Self, ArtError> {
        let unsupported = |what: &str| Err(ArtError::Unsupported(what.to_owned()));
        let photometric = match directory.number(tag::PHOTOMETRIC) {
            Some(0) => Photometric::WhiteIsZero,
            Some(1) => Photometric::BlackIsZero,
            Some(2) => Photometric::Rgb,
            Some(3) => Photometric::Palette,
            Some(5) => Photometric::Separated,
            Some(6) => Photometric::Ycc,
            Some(8..=10) => return unsupported("TIFFs in L*a*b*"),
            Some(other) => {
                return unsupported(&format!("TIFFs of photometric interpretation {other}"));
            }
            None => return Err(ArtError::damaged("it does not say what its colours mean")),
        };
        let colour = match photometric {
            Photometric::WhiteIsZero | Photometric::BlackIsZero => Colour::Grey,
            Photometric::Rgb | Photometric::Palette | Photometric::Ycc => Colour::Rgb,
            Photometric::Separated => Colour::Cmyk,
        };
        if photometric == Photometric::Separated && directory.number(tag::INK_SET) == Some(2) {
            return unsupported("TIFFs in inks other than CMYK");
        }
        let stored = directory.number(tag::SAMPLES_PER_PIXEL).unwrap_or(1);
        let stored = usize::try_from(stored)
            .ok()
            .filter(|stored| (1..=64).contains(stored))
            .ok_or_else(|| ArtError::damaged(format!("it claims {stored} samples a pixel")))?;
        let colours = match photometric {
            Photometric::Palette => 1,
            _ => colour.channels(),
        };
        if stored < colours {
            return Err(ArtError::damaged(format!(
                "its colours need {colours} samples a pixel, but it has {stored}"
            )));
        }
        // 1 is associated alpha, 2 unassociated; 0 may be anything, and is left out. Where the
        // tag is missing, a fourth sample of RGB is taken as alpha, as other readers take it.
        let extra =
            directory
                .numbers(tag::EXTRA_SAMPLES)
                .unwrap_or_else(|| match (colour, stored) {
                    (Colour::Rgb, 4) => vec![2],
                    _ => Vec::new(),
                });
        let found = extra
            .iter()
            .take(stored - colours)
            .position(|meaning| matches!(meaning, 1 | 2));
        let mut kept: Vec<usize> = (0..colours).collect();
        let alpha = match found {
            // The opacity of a palette's picture is not told by any writer known.
            Some(index) if photometric != Photometric::Palette => {
                kept.push(colours + index);
                if extra[index] == 1 {
                    Alpha::Multiplied
                } else {
                    Alpha::Straight
                }
            }
            _ => Alpha::None,
        };
        let palette = if photometric == Photometric::Palette {
            palette(directory)?
        } else {
            Vec::new()
        };
        Ok(Self {
            photometric,
            colour,
            alpha,
            stored,
            kept,
            palette,
        })
    }

    /// Brings the samples to full range, light upwards and ink downwards.
    fn interpret(&self, samples: Depth, bits: u32) -> Result<Depth, ArtError> {
        Ok(match (self.photometric, samples) {
            (Photometric::Palette, Depth::Eight(indices)) => {
                let mut rgb = Vec::with_capacity(indices.len() * 3);
                for index in indices {
                    let colour = self.palette.get(usize::from(index)).ok_or_else(|| {
                        ArtError::damaged("it uses a colour that its palette lacks")
                    })?;
                    rgb.extend_from_slice(colour);
                }
                Depth::Eight(rgb)
            }
            (Photometric::Palette, Depth::Sixteen(_)) => {
                return Err(ArtError::Unsupported(
                    "palettes of more than 256 colours".to_owned(),
                ));
            }
            (_, Depth::Eight(mut samples)) => {
                if bits < 8 {
                    let most = (1_u32 << bits) - 1;
                    for sample in &mut samples {
                        *sample = (u32::from(*sample) * 255 / most) as u8;
                    }
                }
                match self.photometric {
                    Photometric::WhiteIsZero => {
                        for pixel in samples.chunks_exact_mut(self.kept.len()) {
                            pixel[0] = 255 - pixel[0];
                        }
                    }
                    Photometric::Ycc => {
                        for pixel in samples.chunks_exact_mut(self.kept.len()) {
                            let rgb = ycc_to_rgb([pixel[0], pixel[1], pixel[2]]);
                            pixel[..3].copy_from_slice(&rgb);
                        }
                    }
                    _ => {}
                }
                Depth::Eight(samples)
            }
            (Photometric::Ycc, Depth::Sixteen(_)) => {
                return Err(ArtError::Unsupported("16-bit YCbCr TIFFs".to_owned()));
            }
            (_, Depth::Sixteen(mut samples)) => {
                if bits < 16 {
                    let most = (1_u32 << bits) - 1;
                    for sample in &mut samples {
                        *sample = (u32::from(*sample) * 65535 / most) as u16;
                    }
                }
                if self.photometric == Photometric::WhiteIsZero {
                    for pixel in samples.chunks_exact_mut(self.kept.len()) {
                        pixel[0] = 65535 - pixel[0];
                    }
                }
                Depth::Sixteen(samples)
            }
        })
    }
}

/// Three runs of 16-bit values: all reds, all greens, all blues. The high byte is the colour.
fn palette(directory: &Directory<'_>) -> Result<Vec<[u8; 3]>, ArtError> {
    let map = directory
        .numbers(tag::COLOR_MAP)
        .ok_or_else(|| ArtError::damaged("its palette is missing"))?;
    let count = map.len() / 3;
    // Some writers store bytes instead of words; then no value is above 255.
    let shift = if map.iter().all(|&value| value < 256) {
        0
    } else {
        8
    };
    Ok((0..count)
        .map(|index| [0, 1, 2].map(|run| (map[run * count + index] >> shift) as u8))
        .collect())
}

fn shape<'a>(
    layout: &Layout<'_>,
    directory: &Directory<'a>,
    size: PixelSize,
    kind: &Kind,
    compression: Compression,
) -> Result<Shape<'a>, ArtError> {
    if kind.photometric == Photometric::Ycc
        && compression != Compression::Jpeg
        && directory.numbers(tag::YCBCR_SUBSAMPLING) != Some(vec![1, 1])
    {
        return Err(ArtError::Unsupported(
            "TIFFs in subsampled YCbCr without JPEG".to_owned(),
        ));
    }
    match directory.number(tag::SAMPLE_FORMAT).unwrap_or(1) {
        1 | 4 => {}
        2 => return Err(ArtError::Unsupported("signed samples".to_owned())),
        _ => {
            return Err(ArtError::Unsupported("floating-point samples".to_owned()));
        }
    }
    let all_bits = directory
        .numbers(tag::BITS_PER_SAMPLE)
        .filter(|bits| !bits.is_empty())
        .unwrap_or_else(|| vec![1]);
    // Some writers list more depths than there are samples.
    if all_bits
        .iter()
        .take(kind.stored)
        .any(|&bits| bits != all_bits[0])
    {
        return Err(ArtError::Unsupported(
            "TIFFs whose channels differ in depth".to_owned(),
        ));
    }
    let bits = match all_bits[0] {
        bits @ 1..=16 => bits as u32,
        0 => return Err(ArtError::damaged("its samples have no bits")),
        bits => return Err(ArtError::Unsupported(format!("{bits}-bit samples"))),
    };
    let predicted = match directory.number(tag::PREDICTOR).unwrap_or(1) {
        1 => false,
        2 => true,
        _ => {
            return Err(ArtError::Unsupported(
                "TIFFs with the floating-point predictor".to_owned(),
            ));
        }
    };
    let planar = match directory.number(tag::PLANAR_CONFIGURATION).unwrap_or(1) {
        1 => false,
        2 => true,
        other => {
            return Err(ArtError::damaged(format!(
                "its planar configuration is {other}, which does not exist"
            )));
        }
    };
    Ok(Shape {
        size,
        bits,
        stored: kind.stored,
        kept: kind.kept.clone(),
        planar,
        predicted,
        reversed_bits: directory.number(tag::FILL_ORDER) == Some(2),
        big_endian: layout.is_big_endian(),
        compression,
        jpeg_tables: directory.bytes(tag::JPEG_TABLES).unwrap_or_default(),
        chunks: chunks(directory, size)?,
    })
}

fn chunks(directory: &Directory<'_>, size: PixelSize) -> Result<Chunks, ArtError> {
    let missing = || ArtError::damaged("it does not say where its pixels are");
    if directory.has(tag::TILE_OFFSETS) {
        return Ok(Chunks {
            width: directory.number(tag::TILE_WIDTH).ok_or_else(missing)?,
            height: directory.number(tag::TILE_LENGTH).ok_or_else(missing)?,
            offsets: directory.numbers(tag::TILE_OFFSETS).ok_or_else(missing)?,
            lengths: directory
                .numbers(tag::TILE_BYTE_COUNTS)
                .or_else(|| directory.numbers(tag::STRIP_BYTE_COUNTS)),
        });
    }
    Ok(Chunks {
        width: size.width.into(),
        height: directory
            .number(tag::ROWS_PER_STRIP)
            .unwrap_or(u64::MAX)
            .min(size.height.into()),
        offsets: directory.numbers(tag::STRIP_OFFSETS).ok_or_else(missing)?,
        lengths: directory.numbers(tag::STRIP_BYTE_COUNTS),
    })
}
