//! Erosion and dilation by a disc, by the distance to the nearest pixel of the other kind.
//!
//! A pixel stays under erosion by a disc of radius r (in pixels, centre to centre) when no pixel of
//! the ground lies within r of it. Beyond the edge of the plate there is neither plate nor ground.

use measure::PixelSize;

/// The largest radius; its square and the steps of the search stay within 15 bits.
pub(crate) const MOST_RADIUS: usize = 120;

/// Squared distance from each pixel to the nearest pixel whose value is `to`, centre to centre;
/// what is farther than `cap` gets a value above `cap²`.
pub(crate) fn distances(pixels: &[u8], size: PixelSize, to: u8, cap: usize) -> Vec<i16> {
    let cap = cap.clamp(1, MOST_RADIUS);
    let (width, height) = (size.width as usize, size.height as usize);
    let far = (cap + 1) as i16;
    // Along the rows first: how far to the nearest one on the same row.
    let mut rows = vec![0_i16; pixels.len()];
    for (out, row) in rows.chunks_mut(width).zip(pixels.chunks(width)) {
        let mut since = far;
        for (out, &pixel) in out.iter_mut().zip(row) {
            since = if pixel == to { 0 } else { (since + 1).min(far) };
            *out = since;
        }
        let mut since = far;
        for (out, &pixel) in out.iter_mut().zip(row).rev() {
            since = if pixel == to { 0 } else { (since + 1).min(far) };
            *out = (*out).min(since);
        }
        for out in out.iter_mut() {
            *out *= *out;
        }
    }
    // Then down the columns: the nearest over all rows within reach.
    let mut nearest = vec![far * far; pixels.len()];
    for (y, out) in nearest.chunks_mut(width).enumerate() {
        let from = y.saturating_sub(cap);
        let until = (y + cap + 1).min(height);
        for other in from..until {
            let down = other.abs_diff(y) as i16;
            let step = down * down;
            let row = &rows[other * width..(other + 1) * width];
            for (out, &across) in out.iter_mut().zip(row) {
                *out = (*out).min(across + step);
            }
        }
    }
    nearest
}

/// A disc of whole pixels, to be held against a plate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Disc {
    /// From the middle to the middle of the outermost pixel; of an even disc, whose middle is a corner of
    /// four pixels, from any of the four.
    radius: usize,
    even: bool,
}

impl Disc {
    /// One so many pixels across; nothing below two, since one pixel is held by everything. Beyond what
    /// the search is made for, the largest.
    pub fn across(pixels: usize) -> Option<Self> {
        let pixels = pixels.min(MOST_RADIUS - 2);
        (pixels >= 2).then(|| Self {
            radius: (pixels - 1) / 2,
            even: pixels.is_multiple_of(2),
        })
    }

    /// From its middle to the middle of its outermost pixels, rounded down.
    pub const fn radius(self) -> usize {
        self.radius
    }

    /// How far from a pixel others decide whether the disc fits there.
    pub fn reach(self) -> usize {
        2 * (self.radius + usize::from(self.even))
    }

    /// The plate after opening by the disc: what of it is nowhere narrower than the disc. An even disc is
    /// an odd one that covers four pixels for each of its own.
    pub fn opened(self, plate: &[u8], size: PixelSize) -> Vec<u8> {
        if !self.even {
            return opened(plate, size, self.radius);
        }
        let width = size.width as usize;
        let height = size.height as usize;
        let fours: Vec<u8> = (0..plate.len())
            .map(|index| {
                let (x, y) = (index % width, index / width);
                // Beyond the edge there is neither plate nor ground.
                let all = (y..(y + 2).min(height))
                    .all(|y| (x..(x + 2).min(width)).all(|x| plate[y * width + x] != 0));
                u8::from(all)
            })
            .collect();
        let fours = opened(&fours, size, self.radius);
        (0..plate.len())
            .map(|index| {
                let (x, y) = (index % width, index / width);
                let any = (y.saturating_sub(1)..=y)
                    .any(|y| (x.saturating_sub(1)..=x).any(|x| fours[y * width + x] != 0));
                u8::from(any)
            })
            .collect()
    }
}

/// The plate after opening by a disc of a radius, centre to centre.
fn opened(plate: &[u8], size: PixelSize, radius: usize) -> Vec<u8> {
    let reach = (radius * radius) as i16;
    let to_ground = distances(plate, size, 0, radius);
    let eroded: Vec<u8> = to_ground
        .iter()
        .map(|&distance| u8::from(distance > reach))
        .collect();
    let to_eroded = distances(&eroded, size, 1, radius);
    to_eroded
        .iter()
        .map(|&distance| u8::from(distance <= reach))
        .collect()
}
