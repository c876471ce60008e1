//! The strips and tiles of a TIFF: unpacking them and putting their samples in place.

use std::io::Read;

use flate2::read::ZlibDecoder;
use measure::PixelSize;
use weezl::{BitOrder, LzwStatus};

use super::jpeg;
use super::png::MOST_DEFLATED;
use super::raw::{Depth, check_plausible};
use crate::ArtError;

/// How chunks are packed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Compression {
    None,
    Lzw,
    Deflate,
    PackBits,
    /// The newer kind (Technical Note 2); the old kind of TIFF 6.0 is not read.
    Jpeg,
}

impl Compression {
    pub(super) fn from_tag(value: u64) -> Result<Self, ArtError> {
        let name = match value {
            1 => return Ok(Self::None),
            5 => return Ok(Self::Lzw),
            7 => return Ok(Self::Jpeg),
            8 | 32946 => return Ok(Self::Deflate),
            32773 => return Ok(Self::PackBits),
            2..=4 => "TIFFs with fax compression",
            6 => "TIFFs with JPEG of the old kind",
            50000 => "TIFFs with Zstandard compression",
            50001 | 50002 => "TIFFs with WebP or JPEG XL inside",
            other => {
                return Err(ArtError::Unsupported(format!(
                    "TIFFs with compression {other}"
                )));
            }
        };
        Err(ArtError::Unsupported(name.to_owned()))
    }

    /// The most pixels' bytes that one byte of the file can hold.
    const fn most_ratio(self) -> u64 {
        match self {
            Self::None => 1,
            // A run of 128 bytes takes two.
            Self::PackBits => 64,
            Self::Deflate => MOST_DEFLATED,
            // A code of 12 bits stands for at most about 4,000 bytes.
            Self::Lzw => 4096,
            // One bit a block of 64 samples.
            Self::Jpeg => 512,
        }
    }
}

/// Bytes that a pixel takes at most: eight channels of 16 bits.
const MOST_PIXEL_BYTES: u64 = 16;
/// Any picture may have a chunk of this many bytes.
const SMALL_CHUNK: u64 = 64 << 20;

/// Where the chunks are, and their size in pixels.
#[derive(Debug)]
pub(super) struct Chunks {
    pub(super) width: u64,
    pub(super) height: u64,
    pub(super) offsets: Vec<u64>,
    /// Old writers leave them out.
    pub(super) lengths: Option<Vec<u64>>,
}

/// Everything that is needed to read the samples.
#[derive(Debug)]
pub(super) struct Shape<'a> {
    pub(super) size: PixelSize,
    /// 1 to 16.
    pub(super) bits: u32,
    /// Samples of a pixel in the file.
    pub(super) stored: usize,
    /// Which of them are kept.
    pub(super) kept: Vec<usize>,
    /// Each channel has its own chunks.
    pub(super) planar: bool,
    /// Differences to the left neighbour are stored.
    pub(super) predicted: bool,
    /// The lowest bit of a byte comes first.
    pub(super) reversed_bits: bool,
    pub(super) big_endian: bool,
    pub(super) compression: Compression,
    pub(super) jpeg_tables: &'a [u8],
    pub(super) chunks: Chunks,
}

/// Where one chunk's samples go.
struct Place {
    /// Position of its first pixel.
    x: usize,
    y: usize,
    /// Size of the part inside the picture.
    width: usize,
    height: usize,
    /// Pixels of a stored row.
    stored_width: usize,
    /// Samples of a stored pixel.
    channels: usize,
    /// From which of them to which kept channel.
    moves: Vec<(usize, usize)>,
}

impl Shape<'_> {
    /// All kept samples, interleaved, as they are stored (not yet brought to full range).
    pub(super) fn read(&self, bytes: &[u8]) -> Result<Depth, ArtError> {
        let kept_samples = self.size.count() * self.kept.len() as u64;
        self.check(bytes)?;
        let length = usize::try_from(kept_samples)
            .map_err(|_| ArtError::damaged("its size cannot be reckoned"))?;
        if self.bits > 8 {
            let mut samples = vec![0_u16; length];
            self.fill(bytes, &mut samples, |wide| wide)?;
            Ok(Depth::Sixteen(samples))
        } else {
            let mut samples = vec![0_u8; length];
            self.fill(bytes, &mut samples, |wide| wide as u8)?;
            Ok(Depth::Eight(samples))
        }
    }

    /// Holds the claims against each other and against the file, before room is made.
    fn check(&self, bytes: &[u8]) -> Result<(), ArtError> {
        let chunks = &self.chunks;
        // A tile may stick out of a small picture, but not absurdly.
        let widest = u64::from(self.size.width.max(self.size.height)).max(4096) * 2;
        if chunks.width == 0 || chunks.height == 0 {
            return Err(ArtError::damaged("its strips or tiles have no size"));
        }
        if chunks.width > widest || chunks.height > widest {
            return Err(ArtError::damaged(format!(
                "its tiles claim {} × {} pixels",
                chunks.width, chunks.height
            )));
        }
        let chunk_row_bits = chunks.width * self.stored as u64 * u64::from(self.bits);
        let chunk_bytes =
            chunk_row_bits.div_ceil(8) * chunks.height.min(u64::from(self.size.height));
        if chunk_bytes > self.size.count() * MOST_PIXEL_BYTES + SMALL_CHUNK {
            return Err(ArtError::damaged(
                "its strips or tiles claim far more than its size",
            ));
        }
        let needed = self.across() * self.down() * self.planes() as u64;
        if (chunks.offsets.len() as u64) < needed {
            return Err(ArtError::damaged(format!(
                "it needs {needed} strips or tiles, but has {}",
                chunks.offsets.len()
            )));
        }
        if let Some(lengths) = &chunks.lengths
            && lengths.len() < chunks.offsets.len()
        {
            return Err(ArtError::damaged(
                "it does not say how long its strips or tiles are",
            ));
        }
        if chunks.lengths.is_none() && self.compression != Compression::None {
            return Err(ArtError::damaged(
                "it does not say how long its strips or tiles are",
            ));
        }
        let row_bits = u64::from(self.size.width) * self.stored as u64 * u64::from(self.bits);
        let whole = row_bits.div_ceil(8) * u64::from(self.size.height);
        check_plausible(
            self.size,
            whole / self.compression.most_ratio(),
            bytes.len() as u64,
        )
    }

    fn across(&self) -> u64 {
        u64::from(self.size.width).div_ceil(self.chunks.width)
    }

    fn down(&self) -> u64 {
        u64::from(self.size.height).div_ceil(self.chunks.height)
    }

    fn planes(&self) -> usize {
        if self.planar { self.stored } else { 1 }
    }

    fn fill<T: Copy>(
        &self,
        bytes: &[u8],
        samples: &mut [T],
        narrow: impl Fn(u16) -> T,
    ) -> Result<(), ArtError> {
        let (across, down) = (self.across() as usize, self.down() as usize);
        for plane in 0..self.planes() {
            let moves: Vec<(usize, usize)> = self
                .kept
                .iter()
                .enumerate()
                .filter(|&(_, &stored)| !self.planar || stored == plane)
                .map(|(to, &stored)| (if self.planar { 0 } else { stored }, to))
                .collect();
            // A channel that is not kept need not be unpacked.
            if moves.is_empty() {
                continue;
            }
            for row in 0..down {
                for column in 0..across {
                    let index = (plane * down + row) * across + column;
                    let place = self.place(row, column, moves.clone());
                    let packed = self.packed(bytes, index, &place)?;
                    let mut unpacked = self.unpack(packed, &place)?;
                    self.put(&mut unpacked, &place, samples, &narrow);
                }
            }
        }
        Ok(())
    }

    fn place(&self, row: usize, column: usize, moves: Vec<(usize, usize)>) -> Place {
        let (wide, high) = (self.chunks.width as usize, self.chunks.height as usize);
        let (x, y) = (column * wide, row * high);
        Place {
            x,
            y,
            width: wide.min(self.size.width as usize - x),
            height: high.min(self.size.height as usize - y),
            stored_width: wide,
            channels: if self.planar { 1 } else { self.stored },
            moves,
        }
    }

    fn row_bytes(&self, place: &Place) -> usize {
        (place.stored_width * place.channels * self.bits as usize).div_ceil(8)
    }

    /// The chunk's bytes in the file.
    fn packed<'b>(
        &self,
        bytes: &'b [u8],
        index: usize,
        place: &Place,
    ) -> Result<&'b [u8], ArtError> {
        let cut = || ArtError::damaged(format!("it is cut: strip or tile {index} is missing"));
        let start = usize::try_from(self.chunks.offsets[index]).map_err(|_| cut())?;
        let rest = bytes
            .get(start..)
            .filter(|rest| !rest.is_empty())
            .ok_or_else(cut)?;
        let length = match (&self.chunks.lengths, self.compression) {
            // Lengths of bare pixels are known, whatever is written.
            (_, Compression::None) | (None, _) => self.row_bytes(place) * place.height,
            (Some(lengths), _) => usize::try_from(lengths[index]).unwrap_or(usize::MAX),
        };
        Ok(&rest[..rest.len().min(length)])
    }

    /// The chunk's rows inside the picture, unpacked.
    fn unpack(&self, packed: &[u8], place: &Place) -> Result<Vec<u8>, ArtError> {
        let turned;
        let packed = if self.reversed_bits && self.compression != Compression::Jpeg {
            turned = packed
                .iter()
                .map(|byte| byte.reverse_bits())
                .collect::<Vec<_>>();
            &turned
        } else {
            packed
        };
        let length = self.row_bytes(place) * place.height;
        let unpacked = match self.compression {
            Compression::None => packed.to_vec(),
            Compression::Lzw => unpack_lzw(packed, length),
            Compression::Deflate => unpack_deflate(packed, length),
            Compression::PackBits => unpack_bits(packed, length),
            Compression::Jpeg => return self.unpack_jpeg(packed, place),
        };
        if unpacked.len() < length {
            return Err(ArtError::damaged(format!(
                "a strip or tile at row {} ends after {} of {length} bytes",
                place.y,
                unpacked.len()
            )));
        }
        Ok(unpacked)
    }

    /// Each chunk is a JPEG of its own, whose tables may be kept once for all.
    fn unpack_jpeg(&self, packed: &[u8], place: &Place) -> Result<Vec<u8>, ArtError> {
        if self.bits != 8 {
            return Err(ArtError::Unsupported(format!(
                "TIFFs with JPEG of {} bits",
                self.bits
            )));
        }
        let mut joined = Vec::new();
        let stream = match (
            self.jpeg_tables.strip_suffix(&[0xff, 0xd9]),
            packed.strip_prefix(&[0xff, 0xd8]),
        ) {
            (Some(tables), Some(rest)) => {
                joined.extend_from_slice(tables);
                joined.extend_from_slice(rest);
                &joined
            }
            _ => packed,
        };
        let most = (place.stored_width as u64 + 64) * (self.chunks.height + 64);
        let planes = jpeg::decode_raw(stream, most)?;
        let (width, height) = (planes.size.width as usize, planes.size.height as usize);
        if planes.channels != place.channels
            || width != place.stored_width
            || height < place.height
            || height as u64 > self.chunks.height
        {
            return Err(ArtError::damaged(format!(
                "a strip or tile at row {} is {}, which is not what the directory says",
                place.y, planes.size
            )));
        }
        Ok(planes.samples)
    }

    /// Undoes the prediction and copies the kept samples to their places.
    fn put<T: Copy>(
        &self,
        unpacked: &mut [u8],
        place: &Place,
        samples: &mut [T],
        narrow: impl Fn(u16) -> T,
    ) {
        let predicted = self.predicted
            && matches!(self.compression, Compression::Lzw | Compression::Deflate)
            && matches!(self.bits, 8 | 16);
        let kept = self.kept.len();
        let picture_width = self.size.width as usize;
        let mut row_samples = vec![0_u16; place.stored_width * place.channels];
        for (row, packed) in unpacked
            .chunks_exact(self.row_bytes(place))
            .take(place.height)
            .enumerate()
        {
            self.widen(packed, &mut row_samples);
            if predicted {
                let mask = if self.bits == 8 { 0xff } else { 0xffff };
                for at in place.channels..row_samples.len() {
                    let left = row_samples[at - place.channels];
                    row_samples[at] = row_samples[at].wrapping_add(left) & mask;
                }
            }
            let start = ((place.y + row) * picture_width + place.x) * kept;
            let target = &mut samples[start..start + place.width * kept];
            for (to, from) in target
                .chunks_exact_mut(kept)
                .zip(row_samples.chunks_exact(place.channels))
            {
                for &(stored, channel) in &place.moves {
                    to[channel] = narrow(from[stored]);
                }
            }
        }
    }

    fn widen(&self, packed: &[u8], samples: &mut [u16]) {
        match self.bits {
            8 => {
                for (sample, &byte) in samples.iter_mut().zip(packed) {
                    *sample = byte.into();
                }
            }
            16 => {
                for (sample, two) in samples.iter_mut().zip(packed.chunks_exact(2)) {
                    let two = [two[0], two[1]];
                    *sample = if self.big_endian {
                        u16::from_be_bytes(two)
                    } else {
                        u16::from_le_bytes(two)
                    };
                }
            }
            bits => {
                let (mut held, mut count) = (0_u32, 0);
                let mut bytes = packed.iter();
                for sample in samples {
                    while count < bits {
                        held = held << 8 | u32::from(bytes.next().copied().unwrap_or(0));
                        count += 8;
                    }
                    count -= bits;
                    *sample = (held >> count & ((1 << bits) - 1)) as u16;
                }
            }
        }
    }
}

/// At most `length` bytes; fewer where the data is cut or damaged.
fn unpack_lzw(packed: &[u8], length: usize) -> Vec<u8> {
    // The oldest writers began with the lowest bit and switched code sizes later.
    let mut decoder = if matches!(packed, [0, second, ..] if second & 1 == 1) {
        weezl::decode::Decoder::new(BitOrder::Lsb, 8)
    } else {
        weezl::decode::Decoder::with_tiff_size_switch(BitOrder::Msb, 8)
    };
    let mut unpacked = vec![0; length];
    let (mut read, mut written) = (0, 0);
    while written < length {
        let result = decoder.decode_bytes(&packed[read..], &mut unpacked[written..]);
        read += result.consumed_in;
        written += result.consumed_out;
        match result.status {
            Ok(LzwStatus::Ok) if result.consumed_in + result.consumed_out > 0 => {}
            _ => break,
        }
    }
    unpacked.truncate(written);
    unpacked
}

/// At most `length` bytes; fewer where the data is cut or damaged.
fn unpack_deflate(packed: &[u8], length: usize) -> Vec<u8> {
    let mut unpacked = Vec::with_capacity(length);
    // What came out before an error is kept: the caller sees that it is too short.
    let _ = ZlibDecoder::new(packed)
        .take(length as u64)
        .read_to_end(&mut unpacked);
    unpacked
}

/// At most `length` bytes; fewer where the data is cut (TIFF 6.0, section 9).
fn unpack_bits(packed: &[u8], length: usize) -> Vec<u8> {
    let mut unpacked = Vec::with_capacity(length);
    let mut rest = packed;
    while unpacked.len() < length {
        let Some((&head, tail)) = rest.split_first() else {
            break;
        };
        match head {
            0..=127 => {
                let count = (usize::from(head) + 1).min(tail.len());
                unpacked.extend_from_slice(&tail[..count]);
                rest = &tail[count..];
            }
            128 => rest = tail,
            129..=255 => {
                let Some((&byte, after)) = tail.split_first() else {
                    break;
                };
                unpacked.resize(unpacked.len() + 257 - usize::from(head), byte);
                rest = after;
            }
        }
    }
    unpacked.truncate(length);
    unpacked
}
