//! Finding the three corner patterns of a mark: dark and light rings whose widths along any line
//! through the middle are as 1 : 1 : 3 : 1 : 1 (ISO/IEC 18004).

use rayon::prelude::*;

use super::flat::{Point, distance};
use super::plane::Plane;

/// Side of the squares from whose lightest and darkest pixel the local threshold is made.
const BLOCK: usize = 16;
/// Contrast under which a neighbourhood counts as flat, in bytes.
const FLAT: u8 = 32;
/// Most places that are taken over from the rows, and most patterns that are kept.
const MOST_PLACES: usize = 6000;
const MOST_PATTERNS: usize = 48;

/// One corner pattern.
#[derive(Debug, Clone, Copy)]
pub(super) struct Finder {
    pub(super) middle: Point,
    /// Width of a module, in pixels.
    pub(super) module: f64,
    /// On how many lines it was seen.
    seen: f64,
}

/// The likeliest patterns, at most a few dozen.
pub(super) fn finders(plane: &Plane) -> Vec<Finder> {
    let dark = Dark::of(plane);
    // The middle of a pattern is three modules high: every second row meets it.
    let step = if plane.height > 1500 { 2 } else { 1 };
    let rows: Vec<usize> = (0..plane.height).step_by(step).collect();
    let mut places: Vec<Finder> = rows.par_iter().flat_map_iter(|&y| dark.places(y)).collect();
    if places.len() > MOST_PLACES {
        // A texture full of such rings: look at an even choice of them.
        let every = places.len().div_ceil(MOST_PLACES);
        places = places.into_iter().step_by(every).collect();
    }
    let mut patterns: Vec<Finder> = Vec::new();
    for place in places {
        let same = patterns.iter_mut().find(|known| {
            distance(known.middle, place.middle) < known.module * 2.0
                && (known.module - place.module).abs() < known.module * 0.4
        });
        if let Some(known) = same {
            let share = 1.0 / (known.seen + 1.0);
            for axis in 0..2 {
                known.middle[axis] += (place.middle[axis] - known.middle[axis]) * share;
            }
            known.module += (place.module - known.module) * share;
            known.seen += 1.0;
        } else if patterns.len() < MOST_PLACES / 4 {
            patterns.push(place);
        }
    }
    let rank = |finder: &Finder| (finder.seen * step as f64 / finder.module).min(2.5);
    patterns.sort_by(|one, other| rank(other).total_cmp(&rank(one)));
    patterns.truncate(MOST_PATTERNS);
    patterns
}

/// Which pixels are dark in their own neighbourhood.
struct Dark {
    width: usize,
    height: usize,
    bits: Vec<bool>,
}

impl Dark {
    fn of(plane: &Plane) -> Self {
        let (width, height) = (plane.width, plane.height);
        let mut bits = vec![false; width * height];
        if width > 0 {
            let thresholds = Thresholds::of(plane);
            bits.par_chunks_mut(width)
                .zip(plane.rows().collect::<Vec<_>>())
                .enumerate()
                .for_each(|(y, (bits, light))| {
                    for (x, (bit, &light)) in bits.iter_mut().zip(light).enumerate() {
                        *bit = light < thresholds.at(x, y);
                    }
                });
        }
        Self {
            width,
            height,
            bits,
        }
    }

    fn at(&self, x: isize, y: isize) -> Option<bool> {
        let inside = x >= 0 && y >= 0 && x < self.width as isize && y < self.height as isize;
        inside.then(|| self.bits[y as usize * self.width + x as usize])
    }

    /// Places in a row that look like a pattern along it, and across it.
    fn places(&self, y: usize) -> Vec<Finder> {
        let row = &self.bits[y * self.width..(y + 1) * self.width];
        let mut places = Vec::new();
        let mut runs: [usize; 5] = [0; 5];
        let mut start = 0;
        for x in 1..=row.len() {
            if x < row.len() && row[x] == row[start] {
                continue;
            }
            runs.rotate_left(1);
            runs[4] = x - start;
            // Five runs that end with a dark one.
            if row[start] && runs[0] > 0 && ringed(runs.map(|run| run as f64)) {
                let middle = x as f64 - (runs[4] + runs[3]) as f64 - runs[2] as f64 / 2.0;
                places.extend(self.confirmed(middle, y, runs.iter().sum()));
            }
            start = x;
        }
        places
    }

    /// The pattern around a place, if it is one across and aslant as well.
    fn confirmed(&self, x: f64, y: usize, across: usize) -> Option<Finder> {
        let most = across * 2;
        let (row, column) = (y as isize, x as isize);
        let down = self.rings(column, row, (0, 1), most)?;
        let middle_y = y as f64 + 0.5 + down.offset;
        let right = self.rings(column, middle_y as isize, (1, 0), most)?;
        let middle_x = column as f64 + 0.5 + right.offset;
        let alike = |one: f64, other: f64| (one - other).abs() < 0.35 * one.max(other);
        if !alike(down.length, right.length) {
            return None;
        }
        self.rings(middle_x as isize, middle_y as isize, (1, 1), most)?;
        Some(Finder {
            middle: [middle_x, middle_y],
            module: (down.length + right.length) / 14.0,
            seen: 1.0,
        })
    }

    /// The rings along a line through a place, if their widths are as they should be.
    fn rings(&self, x: isize, y: isize, (dx, dy): (isize, isize), most: usize) -> Option<Rings> {
        // Lengths of the middle, the light ring and the dark ring on one side.
        let side = |sign: isize| -> Option<[f64; 3]> {
            let mut lengths = [0.0; 3];
            let mut step = 0;
            for (ring, length) in lengths.iter_mut().enumerate() {
                let dark = ring != 1;
                let from = step;
                while self.at(x + dx * sign * step, y + dy * sign * step) == Some(dark) {
                    step += 1;
                    if step as usize > most {
                        return None;
                    }
                }
                *length = (step - from) as f64;
            }
            Some(lengths)
        };
        let (before, after) = (side(-1)?, side(1)?);
        // Both sides counted the pixel in the middle.
        let middle = before[0] + after[0] - 1.0;
        let runs = [before[2], before[1], middle, after[1], after[2]];
        ringed(runs).then(|| Rings {
            offset: (after[0] - before[0]) / 2.0,
            length: runs.iter().sum(),
        })
    }
}

/// What a line through a pattern showed.
struct Rings {
    /// How far the middle lies after the pixel that the line was laid through.
    offset: f64,
    /// Length of the whole pattern along the line, in steps.
    length: f64,
}

/// Whether five lengths are as 1 : 1 : 3 : 1 : 1, as nearly as blur and few pixels allow.
fn ringed(runs: [f64; 5]) -> bool {
    let module = runs.iter().sum::<f64>() / 7.0;
    module >= 1.3
        && runs
            .iter()
            .zip([1.0, 1.0, 3.0, 1.0, 1.0])
            .all(|(&run, modules)| {
                run > 0.0
                    && (run - modules * module).abs()
                        <= module * if modules > 1.0 { 1.1 } else { 0.7 }
            })
}

/// A threshold for each block of pixels.
struct Thresholds {
    across: usize,
    values: Vec<u8>,
}

impl Thresholds {
    fn of(plane: &Plane) -> Self {
        let across = plane.width.div_ceil(BLOCK);
        let down = plane.height.div_ceil(BLOCK);
        let rows: Vec<&[u8]> = plane.rows().collect();
        let bounds: Vec<(u8, u8)> = (0..across * down)
            .into_par_iter()
            .map(|block| bounds(&rows, block % across * BLOCK, block / across * BLOCK))
            .collect();
        let whole = bounds.iter().fold((255, 0), wider);
        let values = (0..across * down)
            .map(|block| {
                let (column, row) = (block % across, block / across);
                let mut around = (255, 0);
                for y in row.saturating_sub(1)..(row + 2).min(down) {
                    for x in column.saturating_sub(1)..(column + 2).min(across) {
                        around = wider(around, &bounds[y * across + x]);
                    }
                }
                let (low, high) = if around.1 - around.0 < FLAT {
                    whole
                } else {
                    around
                };
                low.midpoint(high)
            })
            .collect();
        Self { across, values }
    }

    fn at(&self, x: usize, y: usize) -> u8 {
        self.values[y / BLOCK * self.across + x / BLOCK]
    }
}

fn wider(one: (u8, u8), other: &(u8, u8)) -> (u8, u8) {
    (one.0.min(other.0), one.1.max(other.1))
}

/// Darkest and lightest pixel of a block.
fn bounds(rows: &[&[u8]], x: usize, y: usize) -> (u8, u8) {
    let mut bounds = (255, 0);
    for row in &rows[y..(y + BLOCK).min(rows.len())] {
        for light in &row[x..(x + BLOCK).min(row.len())] {
            bounds = wider(bounds, &(*light, *light));
        }
    }
    bounds
}
