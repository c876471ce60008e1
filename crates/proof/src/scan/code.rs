//! From corner patterns to the mark's words and its exact place.

use rqrr::{BitGrid, Grid};

use super::finder::{Finder, finders};
use super::flat::{Flat, Point, corners, distance};
use super::plane::Plane;
use super::solve::least_squares;
use crate::{MARK_SIDE, Mark, MarkPicture};

const SIDE: f64 = MARK_SIDE as f64;
/// From the middle of one corner pattern to the next, in modules.
const APART: f64 = SIDE - 7.0;
/// Most groups of three patterns that are read; a scan of a strip needs one.
const MOST_TRIES: usize = 400;
/// Most modules that may differ from those of the text that was read.
const MOST_WRONG: usize = MARK_SIDE * MARK_SIDE / 5;

/// A mark on a plane.
#[derive(Debug, Clone)]
pub(super) struct Found {
    pub(super) mark: Mark,
    /// The corners of its square of modules on the plane, in its own order: upper left, upper
    /// right, lower right, lower left.
    pub(super) square: [Point; 4],
}

/// What looking for marks brought.
#[derive(Debug, Default)]
pub(super) struct Search {
    pub(super) found: Vec<Found>,
    /// Whether a mark was seen as in a mirror.
    pub(super) mirrored: bool,
    /// Whether a code was read that is no mark of ours.
    pub(super) foreign: bool,
}

/// Looks for marks.
pub(super) fn search(plane: &Plane) -> Search {
    let mut search = Search::default();
    let mut tries = 0;
    for square in squares(&finders(plane)) {
        let middle = centre(square);
        let size = distance(square[0], square[2]);
        let taken = |found: &Found| distance(centre(found.square), middle) < size / 3.0;
        if search.found.iter().any(taken) {
            continue;
        }
        tries += 1;
        if tries > MOST_TRIES {
            break;
        }
        read(plane, square, &mut search);
    }
    search
}

fn centre(square: [Point; 4]) -> Point {
    [0, 1].map(|axis| square.iter().map(|corner| corner[axis]).sum::<f64>() / 4.0)
}

/// The squares that groups of three patterns span, the best shaped first.
fn squares(finders: &[Finder]) -> Vec<[Point; 4]> {
    let mut squares: Vec<(f64, [Point; 4])> = Vec::new();
    for (at, corner) in finders.iter().enumerate() {
        for (one_at, one) in finders.iter().enumerate() {
            for (other_at, other) in finders.iter().enumerate() {
                if at != one_at && at != other_at && one_at != other_at {
                    squares.extend(square_of(corner, one, other));
                }
            }
        }
    }
    squares.sort_by(|one, other| one.0.total_cmp(&other.0));
    squares.into_iter().map(|(_, square)| square).collect()
}

/// The square of modules with these three patterns at its upper left, upper right and lower left,
/// and how ill they fit; `None` where they cannot be.
fn square_of(corner: &Finder, right: &Finder, down: &Finder) -> Option<(f64, [Point; 4])> {
    let across = [0, 1].map(|axis| right.middle[axis] - corner.middle[axis]);
    let along = [0, 1].map(|axis| down.middle[axis] - corner.middle[axis]);
    let (width, height) = (across[0].hypot(across[1]), along[0].hypot(along[1]));
    let turn = across[0] * along[1] - across[1] * along[0];
    let lean = (across[0] * along[0] + across[1] * along[1]) / (width * height);
    let uneven = (width / height).ln();
    let module = (width + height) / 2.0 / APART;
    // A line that crosses a pattern aslant is up to √2 longer.
    let sizes = [corner, right, down].map(|finder| (finder.module / module).ln());
    let fits = turn > 0.0
        && lean.abs() < 0.2
        && uneven.abs() < 0.2
        && sizes.iter().all(|size| (-0.35..0.6).contains(size));
    if !fits {
        return None;
    }
    let spread = sizes.iter().fold(f64::MIN, |most, size| most.max(*size))
        - sizes.iter().fold(f64::MAX, |least, size| least.min(*size));
    let at = |u: f64, v: f64| -> Point {
        [0, 1].map(|axis| {
            corner.middle[axis] + across[axis] * (u - 3.5) / APART + along[axis] * (v - 3.5) / APART
        })
    };
    let square = [at(0.0, 0.0), at(SIDE, 0.0), at(SIDE, SIDE), at(0.0, SIDE)];
    Some((lean.abs() + uneven.abs() + spread, square))
}

/// Reads the code in a square and adds what it says.
fn read(plane: &Plane, square: [Point; 4], search: &mut Search) {
    let Some(bits) = modules(plane, square) else {
        return;
    };
    let Ok((_, text)) = Grid::new(Modules(&bits)).decode() else {
        return;
    };
    let Ok(mark) = Mark::parse(&text) else {
        search.foreign = true;
        return;
    };
    let Some(picture) = MarkPicture::of(&mark) else {
        return;
    };
    let wrong = |turned: bool| {
        (0..MARK_SIDE * MARK_SIDE)
            .filter(|&at| {
                let (column, row) = (at % MARK_SIDE, at / MARK_SIDE);
                let seen = if turned {
                    bits[column * MARK_SIDE + row]
                } else {
                    bits[at]
                };
                seen != picture.is_dark(column, row)
            })
            .count()
    };
    if wrong(false) <= MOST_WRONG {
        let square = fitted(plane, square, &picture);
        search.found.push(Found { mark, square });
    } else if wrong(true) <= MOST_WRONG {
        search.mirrored = true;
    }
}

/// The modules in a square: whether each is dark.
fn modules(plane: &Plane, square: [Point; 4]) -> Option<Vec<bool>> {
    let flat = Flat::between(corners(0.0, 0.0, SIDE, SIDE), square)?;
    let light: Vec<f64> = (0..MARK_SIDE * MARK_SIDE)
        .map(|at| {
            let (u, v) = ((at % MARK_SIDE) as f64, (at / MARK_SIDE) as f64);
            let mut sum = 0.0;
            for dv in [0.3, 0.5, 0.7] {
                for du in [0.3, 0.5, 0.7] {
                    sum += plane.between(flat.map([u + du, v + dv]));
                }
            }
            sum / 9.0
        })
        .collect();
    let mut sorted = light.clone();
    sorted.sort_by(f64::total_cmp);
    let (low, high) = (sorted[sorted.len() / 8], sorted[sorted.len() * 7 / 8]);
    (high - low > 16.0).then(|| {
        let threshold = f64::midpoint(low, high);
        light.into_iter().map(|light| light < threshold).collect()
    })
}

/// The square moved until the modules that are known lie on those that are seen.
fn fitted(plane: &Plane, square: [Point; 4], picture: &MarkPicture) -> [Point; 4] {
    const POINTS: usize = 4;
    let places: Vec<(Point, f64)> = (0..MARK_SIDE * POINTS)
        .flat_map(|row| (0..MARK_SIDE * POINTS).map(move |column| (column, row)))
        .map(|(column, row)| {
            let middle = |at: usize| (at as f64 + 0.5) / POINTS as f64;
            let place = [middle(column), middle(row)];
            (place, expected(picture, place))
        })
        .collect();
    let residuals = |moved: &[f64]| -> Vec<f64> {
        let Some(flat) = Flat::between(corners(0.0, 0.0, SIDE, SIDE), points(moved)) else {
            return vec![f64::INFINITY; places.len()];
        };
        let seen: Vec<f64> = places
            .iter()
            .map(|(place, _)| plane.between(flat.map(*place)))
            .collect();
        // Dark and light are what fits best: a straight line from expected to seen.
        let count = places.len() as f64;
        let mean_seen = seen.iter().sum::<f64>() / count;
        let mean_expected = places.iter().map(|(_, light)| light).sum::<f64>() / count;
        let mut both = 0.0;
        let mut own = 0.0;
        for ((_, light), seen) in places.iter().zip(&seen) {
            both += (light - mean_expected) * (seen - mean_seen);
            own += (light - mean_expected).powi(2);
        }
        let slope = both / own.max(1e-9);
        places
            .iter()
            .zip(seen)
            .map(|((_, light), seen)| seen - mean_seen - slope * (light - mean_expected))
            .collect()
    };
    let mut moved: Vec<f64> = square.into_iter().flatten().collect();
    least_squares(&mut moved, &[0.05; 8], 12, residuals);
    let moved = points(&moved);
    // A fit that ran away would carry the whole strip with it.
    let module = distance(square[0], square[1]) / SIDE;
    let near = square
        .into_iter()
        .zip(moved)
        .all(|(one, other)| distance(one, other) < module * 3.0);
    if near { moved } else { square }
}

fn points(values: &[f64]) -> [Point; 4] {
    [0, 1, 2, 3].map(|at| [values[at * 2], values[at * 2 + 1]])
}

/// Lightness of the mark at a place in modules, 0 to 1, its edges a little soft.
fn expected(picture: &MarkPicture, [u, v]: Point) -> f64 {
    let split = |value: f64| {
        let from = (value - 0.5).floor();
        let soft = ((value - 0.5 - from - 0.25) * 2.0).clamp(0.0, 1.0);
        (from as isize, soft)
    };
    let ((column, right), (row, down)) = (split(u), split(v));
    let light = |dx: isize, dy: isize| {
        let dark = usize::try_from(column + dx)
            .ok()
            .zip(usize::try_from(row + dy).ok())
            .is_some_and(|(column, row)| picture.is_dark(column, row));
        if dark { 0.0 } else { 1.0 }
    };
    let upper = light(0, 0) * (1.0 - right) + light(1, 0) * right;
    let lower = light(0, 1) * (1.0 - right) + light(1, 1) * right;
    upper * (1.0 - down) + lower * down
}

/// Modules as the decoder wants them.
struct Modules<'a>(&'a [bool]);

impl BitGrid for Modules<'_> {
    fn size(&self) -> usize {
        MARK_SIDE
    }

    fn bit(&self, y: usize, x: usize) -> bool {
        self.0.get(y * MARK_SIDE + x).copied().unwrap_or(false)
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn no_modules_bring_the_decoder_down(seed in any::<u64>(), flips in 0_usize..841) {
            // A right code with more and more modules turned over, up to noise.
            let mark = Mark { page: Some(7), file: "0a1b2c3d".into(), version: 2 };
            let picture = MarkPicture::of(&mark).unwrap();
            let mut bits: Vec<bool> = (0..MARK_SIDE * MARK_SIDE)
                .map(|at| picture.is_dark(at % MARK_SIDE, at / MARK_SIDE))
                .collect();
            let mut state = seed | 1;
            for _ in 0..flips {
                state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                let at = (state >> 33) as usize % bits.len();
                bits[at] = !bits[at];
            }
            let read = Grid::new(Modules(&bits)).decode().ok().map(|(_, text)| text);
            // Three wrong modules are mended wherever they lie (ISO/IEC 18004: the format's own code
            // mends three, the words' code more); more of them usually are.
            if flips <= 3 {
                prop_assert_eq!(&read, &Some(mark.text()));
            }
            if let Some(read) = read {
                prop_assert!(flips > 40 || read == mark.text(), "{read}");
            }
        }
    }
}
