//! The blocks of a heavily compressed JPEG, which stay visible when it is saved as something else.

use super::lightness::{Lightness, transposed};
use crate::Picture;

/// Side of a square in pixels; a multiple of the block.
const SIDE: usize = 128;
/// Squares that are looked at.
const LOOKED_AT: usize = 256;
/// Side of a JPEG's block.
const BLOCK: usize = 8;

/// How blocky a picture is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Blocking {
    /// Not to be seen, or too busy to tell.
    Unseen,
    /// Edges of blocks stand out.
    Seen {
        /// Step of lightness at the edges above that elsewhere, in levels of 255.
        step: f32,
        /// Step at the edges over that elsewhere.
        times: f32,
    },
}

/// Our thresholds: JPEGs of quality 30 and less (libjpeg's scale) pass them as a rule, those of
/// 75 and more do not.
const LEAST_STEP: f32 = 1.2;
const LEAST_TIMES: f32 = 4.5;
/// The other direction may be a little less clear.
const LEAST_TIMES_OTHER: f32 = 3.5;
/// By how much the edges' line among the eight must stand apart from the next highest, over the
/// spread of the seven others.
const LEAST_APART: f32 = 1.0;
/// Share of the pixels that must be quiet for the blocks to be seen.
const LEAST_QUIET: f32 = 0.02;

impl Blocking {
    pub(super) fn of(picture: &Picture) -> Self {
        let lightness = Lightness::of(picture);
        let (mut across, mut down) = (Steps::default(), Steps::default());
        for (x, y) in lightness.places(SIDE, LOOKED_AT) {
            let square = lightness.square(x, y, SIDE);
            across.take(&square);
            down.take(&transposed(&square, SIDE));
        }
        let (Some(across), Some(down)) = (across.edge(), down.edge()) else {
            return Self::Unseen;
        };
        let step = across.step.min(down.step);
        let (less, more) = (across.times.min(down.times), across.times.max(down.times));
        let seen = step >= LEAST_STEP
            && more >= LEAST_TIMES
            && less >= LEAST_TIMES_OTHER
            && across.apart.min(down.apart) >= LEAST_APART;
        if seen {
            Self::Seen { step, times: less }
        } else {
            Self::Unseen
        }
    }
}

/// Steps of lightness between neighbours, by their place modulo a block.
#[derive(Default)]
struct Steps {
    sum: [f64; BLOCK],
    quiet: [u64; BLOCK],
    all: u64,
}

/// How one of the eight places stands out.
struct Edge {
    step: f32,
    times: f32,
    apart: f32,
}

impl Steps {
    /// Only places whose surroundings are quiet count: there blocks are seen, and there the
    /// picture's own edges do not drown them.
    fn take(&mut self, square: &[f32]) {
        const QUIET: f32 = 4.0;
        const OWN_EDGE: f32 = 24.0;
        for row in square.chunks_exact(SIDE) {
            for (at, four) in row.windows(4).enumerate() {
                let (before, here, after) =
                    (four[1] - four[0], four[2] - four[1], four[3] - four[2]);
                self.all += 1;
                if before.abs() < QUIET && after.abs() < QUIET && here.abs() < OWN_EDGE {
                    self.sum[at % BLOCK] += f64::from((here - (before + after) / 2.0).abs());
                    self.quiet[at % BLOCK] += 1;
                }
            }
        }
    }

    fn edge(&self) -> Option<Edge> {
        let quiet: u64 = self.quiet.iter().sum();
        if self.all == 0 || (quiet as f32) < LEAST_QUIET * self.all as f32 {
            return None;
        }
        let mut means: Vec<f32> = (0..BLOCK)
            .map(|at| (self.sum[at] / self.quiet[at].max(1) as f64) as f32)
            .collect();
        means.sort_by(f32::total_cmp);
        let [lowest, .., next, highest] = means[..] else {
            return None;
        };
        let elsewhere = means[BLOCK / 2 - 1];
        Some(Edge {
            step: highest - elsewhere,
            times: highest / elsewhere.max(0.05),
            apart: (highest - next) / (next - lowest).max(1e-3),
        })
    }
}
