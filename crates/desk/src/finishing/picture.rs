//! A plate as a picture to lay over its sheet: white, as opaque as the plate covers.

use std::path::PathBuf;
use std::sync::{Arc, PoisonError};

use finish::Plate;
use measure::PixelSize;
use rayon::prelude::*;

use super::plate::MadePlate;
use super::{Stamp, stamp};
use crate::{Desk, DeskError, files};

/// Sides of such pictures in pixels.
const SIDES: std::ops::RangeInclusive<u32> = 16..=2400;
/// The side that is made as soon as the plate is at hand.
const USUAL: u32 = 1600;

/// A PNG of a finishing's plate that fills its face, its longer side at most `longest`.
pub(crate) fn picture(desk: &Desk, name: &str, longest: u32) -> Result<Arc<[u8]>, DeskError> {
    let snapshot = &desk.standing()?.snapshot;
    let longest = longest.clamp(*SIDES.start(), *SIDES.end());
    let failed = |problem: String| {
        DeskError::new(
            format!("book.toml [[finishing]] `{name}`"),
            problem,
            "Look at what is said of it in the list of finishings.",
        )
    };
    let stamp = stamp(desk, snapshot, name)?
        .ok_or_else(|| failed("it stands on no sheet of this book".to_owned()))?;
    let path = path(desk, &stamp, longest);
    if let Ok(bytes) = std::fs::read(&path) {
        return Ok(bytes.into());
    }
    let _alone = desk
        .room
        .plates
        .lock()
        .unwrap_or_else(PoisonError::into_inner);
    let made = MadePlate::make(&stamp).map_err(|trouble| failed(trouble.sentence(&stamp)))?;
    let bytes = png(made.painted.plate(), longest)
        .ok_or_else(|| failed("no picture of its plate could be made".to_owned()))?;
    // A picture that is not remembered is only made again.
    let _ = files::write_whole(&path, &bytes);
    Ok(bytes.into())
}

/// Keeps the usual picture while the plate is at hand.
pub(super) fn note(desk: &Desk, stamp: &Stamp<'_>, made: &MadePlate) {
    let path = path(desk, stamp, USUAL);
    if !path.exists()
        && let Some(bytes) = png(made.painted.plate(), USUAL)
    {
        let _ = files::write_whole(&path, &bytes);
    }
}

fn path(desk: &Desk, stamp: &Stamp<'_>, longest: u32) -> PathBuf {
    let name = format!("{}-{longest}.png", stamp.digest());
    desk.private("cache/plates").join(name)
}

fn png(plate: &Plate, longest: u32) -> Option<Vec<u8>> {
    let (size, alpha) = alpha(plate, longest);
    let pixels: Vec<u8> = alpha.iter().flat_map(|&alpha| [255, alpha]).collect();
    let mut out = Vec::new();
    let mut encoder = png::Encoder::new(&mut out, size.width, size.height);
    encoder.set_color(png::ColorType::GrayscaleAlpha);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_compression(png::Compression::Fast);
    let mut writer = encoder.write_header().ok()?;
    writer.write_image_data(&pixels).ok()?;
    writer.finish().ok()?;
    Some(out)
}

/// The share of each pixel of a smaller picture that the plate covers; never enlarged.
fn alpha(plate: &Plate, longest: u32) -> (PixelSize, Vec<u8>) {
    let full = plate.size();
    let scale = (f64::from(longest) / f64::from(full.width.max(full.height))).min(1.0);
    let side = |pixels: u32| (f64::from(pixels) * scale).round().max(1.0) as u32;
    let size = PixelSize {
        width: side(full.width),
        height: side(full.height),
    };
    let edge = |index: u32, small: u32, full: u32| {
        (u64::from(index) * u64::from(full) / u64::from(small)) as usize
    };
    let width = full.width as usize;
    let mut alpha = vec![0; size.count() as usize];
    alpha
        .par_chunks_mut(size.width as usize)
        .enumerate()
        .for_each(|(y, row)| {
            let y = y as u32;
            let (top, bottom) = (
                edge(y, size.height, full.height),
                edge(y + 1, size.height, full.height),
            );
            for (x, out) in (0..).zip(row) {
                let (left, right) = (
                    edge(x, size.width, full.width),
                    edge(x + 1, size.width, full.width),
                );
                let covered: usize = (top..bottom)
                    .map(|y| {
                        let line = &plate.pixels()[y * width + left..y * width + right];
                        line.iter().filter(|&&pixel| pixel != 0).count()
                    })
                    .sum();
                let all = ((bottom - top) * (right - left)).max(1);
                *out = ((covered * 255 + all / 2) / all) as u8;
            }
        });
    (size, alpha)
}
