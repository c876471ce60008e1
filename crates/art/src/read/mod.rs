//! From bytes to pixels, one module a format.

mod ifd;
mod jpeg;
mod png;
mod raw;
mod tiff;
mod tiff_chunks;
mod webp;

use measure::PixelSize;

use crate::{ArtError, Picture};

/// Limits on what is read.
#[derive(Debug, Clone, Copy)]
pub struct Limits {
    /// Most pixels; 400 million unless said.
    pub pixels: u64,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            pixels: 400_000_000,
        }
    }
}

/// Kind of file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Format {
    /// JPEG.
    Jpeg,
    /// PNG.
    Png,
    /// TIFF.
    Tiff,
    /// WebP.
    WebP,
}

impl Format {
    /// Tells the kind of file by its first bytes.
    pub fn of(bytes: &[u8]) -> Option<Self> {
        match bytes {
            [0xff, 0xd8, 0xff, ..] => Some(Self::Jpeg),
            [0x89, b'P', b'N', b'G', ..] => Some(Self::Png),
            [b'I', b'I', 42 | 43, 0, ..] | [b'M', b'M', 0, 42 | 43, ..] => Some(Self::Tiff),
            [
                b'R',
                b'I',
                b'F',
                b'F',
                _,
                _,
                _,
                _,
                b'W',
                b'E',
                b'B',
                b'P',
                ..,
            ] => Some(Self::WebP),
            _ => None,
        }
    }
}

/// What a picture's header says, read without decoding.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Header {
    /// Kind of file.
    pub format: Format,
    /// Size as a person sees it, after turning by the EXIF orientation.
    pub size: PixelSize,
}

/// Reads the header.
///
/// # Errors
/// As [`decode`], as far as the header shows it.
pub fn probe(bytes: &[u8], limits: &Limits) -> Result<Header, ArtError> {
    let format = Format::of(bytes).ok_or(ArtError::UnknownFormat)?;
    let size = match format {
        Format::Jpeg => jpeg::probe(bytes, limits),
        Format::Png => png::probe(bytes, limits),
        Format::Tiff => tiff::probe(bytes, limits),
        Format::WebP => webp::probe(bytes, limits),
    }?;
    Ok(Header { format, size })
}

/// Reads a picture: the first page or frame where there are several.
///
/// Transparency is laid on paper white by blending the encoded values, as painting programs do.
/// A file that ends too early is an error, never half a picture.
///
/// # Errors
/// See [`ArtError`]; never panics, whatever the bytes. Room for pixels is made only after the
/// size has been held against the limits and against the length of the file.
pub fn decode(bytes: &[u8], limits: &Limits) -> Result<Picture, ArtError> {
    match Format::of(bytes).ok_or(ArtError::UnknownFormat)? {
        Format::Jpeg => jpeg::decode(bytes, limits),
        Format::Png => png::decode(bytes, limits),
        Format::Tiff => tiff::decode(bytes, limits),
        Format::WebP => webp::decode(bytes, limits),
    }?
    .finish()
}
