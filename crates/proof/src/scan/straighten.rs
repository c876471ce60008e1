//! The strip's place on a scan, to a fraction of a pixel from end to end.

use measure::Rect;

use super::ScanError;
use super::code::Found;
use super::flat::{Flat, Point, corners, distance};
use super::plane::Plane;
use super::solve::least_squares;
use crate::StripLayout;

/// Farthest that the corner marks may lie from where the straightened strip has them, in mm. Patches
/// are measured in their middle, well over a millimetre from their edges.
const MOST_OFF: f64 = 0.8;
/// How sure the places are, in pixels: the mark's corners and the corner marks.
const SURE_MARK: f64 = 0.1;
const SURE_CORNER: f64 = 0.25;

/// A straightened strip.
pub(super) struct Straight {
    /// From millimetres on the strip to pixels of the plane.
    pub(super) flat: Flat,
    /// Corner marks that should be on the plane, but were not found.
    pub(super) lost: usize,
    /// How far the corner marks lie from where they should be, root mean square in mm.
    pub(super) off: f64,
}

/// Lays the strip's plan on the scan.
///
/// # Errors
/// What lies around the mark is not this strip, or not flat.
pub(super) fn straighten(
    plane: &Plane,
    found: &Found,
    layout: &StripLayout,
) -> Result<Straight, ScanError> {
    let mark = edges(layout.mark);
    let mut known: Vec<Known> = mark
        .into_iter()
        .zip(found.square)
        .map(|(on_strip, on_plane)| Known {
            on_strip,
            on_plane,
            sure: SURE_MARK,
        })
        .collect();
    let size = [layout.size.width.mm(), layout.size.height.mm()];
    let middle = centre(layout.mark);
    let mut wanted: Vec<Rect> = layout.corners.clone();
    wanted.sort_by(|one, other| {
        distance(centre(*one), middle).total_cmp(&distance(centre(*other), middle))
    });

    let (mut lost, mut off_scan) = (0, 0);
    let mut flat = laid(&known, size, Lie::Flat).ok_or_else(astray)?;
    for corner in &wanted {
        let at = flat.map(centre(*corner));
        match corner_mark(plane, &flat, *corner, distance(centre(*corner), middle)) {
            Some(on_plane) => {
                known.push(Known {
                    on_strip: centre(*corner),
                    on_plane,
                    sure: SURE_CORNER,
                });
                flat = laid(&known, size, Lie::Flat).ok_or_else(astray)?;
            }
            None if plane.holds(at, 0.0) => lost += 1,
            None => off_scan += 1,
        }
    }
    if known.len() == mark.len() && lost > 0 && off_scan == 0 {
        return Err(ScanError::Strip(
            "the black squares at the strip's corners are not where they should be: it was laid \
             out for another width, or what was scanned is not the strip itself"
                .into(),
        ));
    }
    // Only with marks at both ends can a slant of the camera be told from noise.
    if known.len() == mark.len() + layout.corners.len() && layout.corners.len() >= 4 {
        flat = laid(&known, size, Lie::Slanted).ok_or_else(astray)?;
    }
    let pixel = pixels_per_mm(&flat, size);
    let errors: Vec<f64> = known[mark.len()..]
        .iter()
        .map(|known| (distance(flat.map(known.on_strip), known.on_plane) / pixel).powi(2))
        .collect();
    let off = (errors.iter().sum::<f64>() / errors.len().max(1) as f64).sqrt();
    if !pixel.is_finite() || pixel <= 0.0 || off > MOST_OFF {
        return Err(astray());
    }
    Ok(Straight { flat, lost, off })
}

fn astray() -> ScanError {
    ScanError::Strip(
        "the strip around it cannot be laid straight: the paper is bent, or the picture is \
         distorted; lay it flat and scan it again"
            .into(),
    )
}

/// Pixels of the plane to a millimetre at the strip's middle.
pub(super) fn pixels_per_mm(flat: &Flat, size: [f64; 2]) -> f64 {
    let [x, y] = flat.steps([size[0] / 2.0, size[1] / 2.0]);
    (x[0] * y[1] - x[1] * y[0]).abs().sqrt()
}

/// A place that is known on both.
struct Known {
    on_strip: Point,
    on_plane: Point,
    sure: f64,
}

/// How the strip may lie.
#[derive(Clone, Copy, PartialEq)]
enum Lie {
    /// On a scanner's glass.
    Flat,
    /// Before a camera.
    Slanted,
}

/// The mapping that suits the known places best. It is sought as the places of the strip's four
/// corners on the plane.
fn laid(known: &[Known], size: [f64; 2], lie: Lie) -> Option<Flat> {
    let strip = corners(0.0, 0.0, size[0], size[1]);
    // A first guess from the mark alone, as a parallelogram.
    let [a, b, c, d] = [0, 1, 2, 3].map(|at| known.get(at));
    let (a, b, c, d) = (a?, b?, c?, d?);
    let side = b.on_strip[0] - a.on_strip[0];
    let axis = |one: &Known, other: &Known, third: &Known, fourth: &Known| -> Point {
        [0, 1].map(|i| {
            (other.on_plane[i] - one.on_plane[i] + fourth.on_plane[i] - third.on_plane[i])
                / (2.0 * side)
        })
    };
    let (right, down) = (axis(a, b, d, c), axis(a, d, b, c));
    let guess = strip.map(|[x, y]| {
        [0, 1]
            .map(|i| a.on_plane[i] + right[i] * (x - a.on_strip[0]) + down[i] * (y - a.on_strip[1]))
    });
    let long = distance(guess[0], guess[1]).max(1.0);
    let slack = match lie {
        Lie::Flat => 0.5,
        Lie::Slanted => 0.1 * long,
    };
    let mut places: Vec<f64> = guess.into_iter().flatten().collect();
    let square = |places: &[f64]| [0, 1, 2, 3].map(|at| [places[at * 2], places[at * 2 + 1]]);
    least_squares(&mut places, &[0.01; 8], 20, |places| {
        let square = square(places);
        let Some(flat) = Flat::between(strip, square) else {
            return vec![f64::INFINITY];
        };
        let mut errors = Vec::with_capacity(known.len() * 2 + 2);
        for known in known {
            let there = flat.map(known.on_strip);
            for (there, seen) in there.into_iter().zip(known.on_plane) {
                errors.push((there - seen) / known.sure);
            }
        }
        // A flat strip stays a parallelogram.
        let [a, b, c, d] = square;
        errors.extend([0, 1].map(|i| (a[i] - b[i] + c[i] - d[i]) / slack));
        errors
    });
    Flat::between(strip, square(&places))
}

/// The middle of a corner mark on the plane, looked for around where it should be.
fn corner_mark(plane: &Plane, flat: &Flat, corner: Rect, from_mark: f64) -> Option<Point> {
    let expected = flat.map(centre(corner));
    let pixel = pixels_per_mm(flat, centre(corner).map(|x| x * 2.0));
    let side = corner.width.mm() * pixel;
    let search = pixel * (1.0 + 0.02 * from_mark);
    let half = (side * 0.75 + search).ceil();
    if !(half.is_finite() && (2.0..2000.0).contains(&half)) {
        return None;
    }
    let window = Window::around(plane, expected, half as isize)?;
    let (low, high) = window.bounds();
    if high - low < 40 {
        return None;
    }
    let threshold = low.midpoint(high);
    let start = window.nearest_dark(threshold, search + side / 2.0)?;
    let blob = window.blob(start, threshold)?;
    let area = side * side;
    let fits = blob.count > 0.6 * area
        && blob.count < 1.5 * area
        // A square at any turn fills at least half of the box around it.
        && blob.count > 0.45 * blob.boxed;
    let middle = window.weighted_middle(&blob, low, high);
    (fits && distance(middle, expected) <= search + 1.0).then_some(middle)
}

/// A part of the plane.
struct Window<'a> {
    plane: &'a Plane,
    left: isize,
    top: isize,
    width: usize,
    height: usize,
    middle: Point,
}

/// A connected dark shape in a window.
struct Blob {
    inside: Vec<bool>,
    count: f64,
    /// Area of the upright box around it.
    boxed: f64,
}

impl<'a> Window<'a> {
    /// `None` where it would not lie wholly on the plane by more than half.
    fn around(plane: &'a Plane, middle: Point, half: isize) -> Option<Self> {
        if !plane.holds(middle, 0.0) {
            return None;
        }
        let (x, y) = (middle[0] as isize, middle[1] as isize);
        let (left, top) = ((x - half).max(0), (y - half).max(0));
        let right = (x + half + 1).min(plane.width as isize);
        let bottom = (y + half + 1).min(plane.height as isize);
        Some(Self {
            plane,
            left,
            top,
            width: usize::try_from(right - left).ok()?,
            height: usize::try_from(bottom - top).ok()?,
            middle,
        })
    }

    fn light(&self, x: usize, y: usize) -> u8 {
        self.plane.at(self.left + x as isize, self.top + y as isize)
    }

    fn pixels(&self) -> impl Iterator<Item = (usize, usize)> {
        let width = self.width;
        (0..self.height).flat_map(move |y| (0..width).map(move |x| (x, y)))
    }

    /// Dark and light in it, without the few most extreme pixels.
    fn bounds(&self) -> (u8, u8) {
        let mut sorted: Vec<u8> = self.pixels().map(|(x, y)| self.light(x, y)).collect();
        sorted.sort_unstable();
        let last = sorted.len() - 1;
        (sorted[last / 50], sorted[last - last / 50])
    }

    fn nearest_dark(&self, threshold: u8, reach: f64) -> Option<(usize, usize)> {
        let far = |(x, y): (usize, usize)| {
            let middle = [
                self.left as f64 + x as f64 + 0.5,
                self.top as f64 + y as f64 + 0.5,
            ];
            distance(middle, self.middle)
        };
        self.pixels()
            .filter(|&(x, y)| self.light(x, y) < threshold && far((x, y)) <= reach)
            .min_by(|&one, &other| far(one).total_cmp(&far(other)))
    }

    /// The dark shape around a pixel; `None` where it runs out of the window.
    fn blob(&self, start: (usize, usize), threshold: u8) -> Option<Blob> {
        let mut inside = vec![false; self.width * self.height];
        let mut open = vec![start];
        inside[start.1 * self.width + start.0] = true;
        let (mut count, mut least, mut most) = (0.0, start, start);
        while let Some((x, y)) = open.pop() {
            if x == 0 || y == 0 || x + 1 == self.width || y + 1 == self.height {
                return None;
            }
            count += 1.0;
            least = (least.0.min(x), least.1.min(y));
            most = (most.0.max(x), most.1.max(y));
            for (x, y) in [(x - 1, y), (x + 1, y), (x, y - 1), (x, y + 1)] {
                let at = y * self.width + x;
                if !inside[at] && self.light(x, y) < threshold {
                    inside[at] = true;
                    open.push((x, y));
                }
            }
        }
        let boxed = (most.0 - least.0 + 1) as f64 * (most.1 - least.1 + 1) as f64;
        Some(Blob {
            inside,
            count,
            boxed,
        })
    }

    /// The middle of a shape, its soft edge weighted by how dark it is.
    fn weighted_middle(&self, blob: &Blob, low: u8, high: u8) -> Point {
        let at = |x: usize, y: usize| blob.inside[y * self.width + x];
        let (mut sum, mut total) = ([0.0; 2], 0.0);
        for (x, y) in self.pixels() {
            // The shape and a rim of two pixels.
            let near = (x.saturating_sub(2)..(x + 3).min(self.width))
                .any(|x| (y.saturating_sub(2)..(y + 3).min(self.height)).any(|y| at(x, y)));
            if near {
                let light = f64::from(self.light(x, y).clamp(low, high));
                let weight = f64::from(high) - light;
                sum[0] += weight * (self.left as f64 + x as f64 + 0.5);
                sum[1] += weight * (self.top as f64 + y as f64 + 0.5);
                total += weight;
            }
        }
        sum.map(|sum| sum / total)
    }
}

fn edges(rect: Rect) -> [Point; 4] {
    corners(rect.x.mm(), rect.y.mm(), rect.width.mm(), rect.height.mm())
}

fn centre(rect: Rect) -> Point {
    [
        rect.x.mm() + rect.width.mm() / 2.0,
        rect.y.mm() + rect.height.mm() / 2.0,
    ]
}
