//! Art at the size of a screen, remembered on the disk, so that small pictures of many pages need no
//! full decoding.
//!
//! The pixels keep the encoding of the art and its profile; they are stored as JPEG of high
//! quality, CMYK as it is.

use std::path::PathBuf;
use std::sync::Arc;

use art::{Limits, Picture, Samples};
use jpeg_encoder::{ColorType, Encoder, SamplingFactor};
use measure::PixelSize;
use serde::{Deserialize, Serialize};

use super::kept::Bytes;
use crate::digest::{Digest, Gather};
use crate::press_job::{self, ArtFile};
use crate::{Desk, DeskError, files, inks};

/// Its longer side in pixels: a spread that fills a large screen.
pub(super) const LONGEST: u32 = 2048;
/// Raised when the same art would be remembered otherwise.
const METHOD: &str = "1";
const QUALITY: u8 = 94;

/// A piece at the size of a screen.
pub(super) struct SmallArt {
    /// At 8 bits, as it was encoded.
    pub picture: Picture,
    /// What looking at all of its pixels has told.
    pub line_art: bool,
}

impl Bytes for SmallArt {
    fn bytes(&self) -> usize {
        self.picture.samples.len()
    }
}

/// What stands before the pixels in the file: one line of JSON.
#[derive(Serialize, Deserialize)]
struct Head {
    width: u32,
    height: u32,
    channels: usize,
    line_art: bool,
    profile_bytes: usize,
}

/// The small copy of a piece, remembered or made.
pub(super) fn get(desk: &Desk, art: &ArtFile<'_>, name: &str) -> Result<SmallArt, DeskError> {
    if let Some(known) = remembered(desk, art.known.digest) {
        return Ok(known);
    }
    let picture = press_job::decode(art, name)?;
    Ok(remember(desk, art.known.digest, &picture))
}

/// Makes the small copy of a decoded piece and remembers it.
pub(crate) fn note(desk: &Desk, digest: Digest, picture: &Picture) {
    if !path(desk, digest).is_file() {
        remember(desk, digest, picture);
    }
}

fn remember(desk: &Desk, digest: Digest, picture: &Picture) -> SmallArt {
    let small = SmallArt {
        line_art: inks::is_line_art(picture),
        picture: art::shrink(picture, LONGEST),
    };
    if let Some(bytes) = written(&small) {
        // A copy that is not remembered is only made again.
        let _ = files::write_whole(&path(desk, digest), &bytes);
    }
    small
}

fn remembered(desk: &Desk, digest: Digest) -> Option<SmallArt> {
    read(&std::fs::read(path(desk, digest)).ok()?)
}

fn path(desk: &Desk, digest: Digest) -> PathBuf {
    let key = Gather::new("small art")
        .put("method", METHOD)
        .put("art", digest.to_string())
        .done();
    desk.private("cache/small").join(format!("{key}.art"))
}

fn written(small: &SmallArt) -> Option<Vec<u8>> {
    let picture = &small.picture;
    let profile = picture.profile.as_ref().map(colour::Profile::bytes);
    let head = Head {
        width: picture.size.width,
        height: picture.size.height,
        channels: picture.samples.channels(),
        line_art: small.line_art,
        profile_bytes: profile.map_or(0, <[u8]>::len),
    };
    let mut bytes = serde_json::to_vec(&head).ok()?;
    bytes.push(b'\n');
    bytes.extend_from_slice(profile.unwrap_or_default());
    let (samples, kind) = match &picture.samples {
        Samples::Grey8(samples) => (samples, ColorType::Luma),
        Samples::Rgb8(samples) => (samples, ColorType::Rgb),
        Samples::Cmyk8(samples) => {
            bytes.extend_from_slice(samples);
            return Some(bytes);
        }
        Samples::Grey16(_) | Samples::Rgb16(_) => return None,
    };
    let mut encoder = Encoder::new(&mut bytes, QUALITY);
    encoder.set_sampling_factor(SamplingFactor::R_4_4_4);
    let width = u16::try_from(picture.size.width).ok()?;
    let height = u16::try_from(picture.size.height).ok()?;
    encoder.encode(samples, width, height, kind).ok()?;
    Some(bytes)
}

/// `None` for anything that is not as it was written.
fn read(bytes: &[u8]) -> Option<SmallArt> {
    let end = bytes.iter().position(|&byte| byte == b'\n')?;
    let head: Head = serde_json::from_slice(&bytes[..end]).ok()?;
    let rest = &bytes[end + 1..];
    let profile = rest.get(..head.profile_bytes)?;
    let pixels = &rest[head.profile_bytes..];
    let profile = match profile {
        [] => None,
        bytes => Some(colour::Profile::open(bytes).ok()?),
    };
    let size = PixelSize {
        width: head.width,
        height: head.height,
    };
    let samples = if head.channels == 4 {
        Samples::Cmyk8(pixels.to_vec())
    } else {
        let decoded = art::decode(pixels, &Limits::default()).ok()?;
        (decoded.size == size).then_some(decoded.samples)?
    };
    let whole = samples.channels() == head.channels
        && samples.len() as u64 == size.count() * head.channels as u64;
    whole.then_some(SmallArt {
        picture: Picture {
            size,
            samples,
            profile,
            remarks: Vec::new(),
        },
        line_art: head.line_art,
    })
}

/// A shared small copy.
pub(super) type Shared = Arc<SmallArt>;

#[cfg(test)]
mod tests {
    use super::*;

    fn small(samples: Samples, profile: Option<colour::Profile>) -> SmallArt {
        SmallArt {
            picture: Picture {
                size: PixelSize {
                    width: 4,
                    height: 2,
                },
                samples,
                profile,
                remarks: Vec::new(),
            },
            line_art: true,
        }
    }

    #[test]
    fn a_small_copy_comes_back_as_it_was_kept() {
        let srgb = colour::Profile::srgb();
        for kept in [
            small(Samples::Grey8(vec![120; 8]), None),
            small(Samples::Rgb8(vec![200; 24]), Some(srgb)),
            small(Samples::Cmyk8((0..32).collect()), None),
        ] {
            let back = read(&written(&kept).unwrap()).unwrap();
            assert_eq!(back.picture.size, kept.picture.size);
            assert_eq!(back.picture.samples, kept.picture.samples);
            assert_eq!(
                back.picture.profile.map(|it| it.bytes().to_vec()),
                kept.picture.profile.map(|it| it.bytes().to_vec())
            );
            assert!(back.line_art);
        }
    }

    #[test]
    fn what_is_cut_or_strange_is_made_anew() {
        let whole = written(&small(Samples::Cmyk8((0..32).collect()), None)).unwrap();
        for end in 0..whole.len() {
            assert!(read(&whole[..end]).is_none(), "{end}");
        }
        assert!(read(b"{}\n").is_none());
    }
}
