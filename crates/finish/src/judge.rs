use finding::{Finding, Place, Severity};
use measure::{Length, PixelSize, Rect};
use rayon::prelude::*;

use crate::morphology::{Disc, distances};
use crate::{Bounds, Plate, Process};

/// What is too fine.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FaultKind {
    /// A part of the plate.
    Line,
    /// What lies between parts of the plate.
    Gap,
}

/// A place where the process does not hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fault {
    /// What is too fine.
    pub kind: FaultKind,
    /// Where, from the upper left corner of the face.
    pub place: Rect,
    /// How wide it is there, within a pixel of the plate.
    pub width: Length,
}

/// A plate held against its process.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// The places that fail, widest reach first; at the most [`Judged::MOST`].
    pub faults: Vec<Fault>,
    /// How many places fail in all.
    pub count: usize,
    /// Share of the face that the plate covers, 0 to 1.
    pub share: f64,
    /// What a pixel of the plate measures: nothing finer than this is seen.
    pub pixel: Length,
}

impl Judged {
    /// Places that are marked one by one.
    pub const MOST: usize = 200;

    /// What is to be said of it. `name` is the finishing's own name.
    pub fn findings(&self, name: &str, process: Process, bounds: &Bounds) -> Vec<Finding> {
        let mut findings = Vec::new();
        let kinds = [
            (FaultKind::Line, "finish-line-too-fine", bounds.line),
            (FaultKind::Gap, "finish-gap-too-fine", bounds.gap),
        ];
        for (kind, code, bound) in kinds {
            let those = self.faults.iter().filter(|fault| fault.kind == kind);
            let Some(finest) = those.clone().map(|fault| fault.width).min() else {
                continue;
            };
            let count = those.count();
            let (what, becomes) = match kind {
                FaultKind::Line => ("line", process.fine_line()),
                FaultKind::Gap => ("gap", process.fine_gap()),
            };
            let places = if count == 1 {
                "one place".to_owned()
            } else {
                format!("{count} places")
            };
            findings.push(
                Finding::new(
                    code,
                    Severity::Stop,
                    Place::Whole,
                    format!(
                        "The {} `{name}` has a {what} in {places} that is finer than the process \
                         holds: it {becomes}.",
                        process.word(),
                    ),
                )
                .hint(format!(
                    "Draw it at least {bound} wide, or enter the finisher's own figure if it holds \
                     finer ones.",
                ))
                .figures(
                    format!("{finest} ± {}", self.pixel),
                    format!("at least {bound}"),
                ),
            );
        }
        if self.share > bounds.share {
            findings.push(
                Finding::new(
                    "finish-share-large",
                    Severity::Warn,
                    Place::Whole,
                    format!(
                        "The {} `{name}` covers {:.0} % of the face; so large a share costs more, \
                         and easily scuffs, curls the sheet or shows its seams.",
                        process.word(),
                        self.share * 100.0
                    ),
                )
                .hint("Ask the finisher, or make it smaller.")
                .figures(
                    format!("{:.0} %", self.share * 100.0),
                    format!("up to {:.0} % (our assumption)", bounds.share * 100.0),
                ),
            );
        }
        findings
    }
}

/// Looks for lines and gaps that are finer than the process holds, on the plate itself.
///
/// A part is too fine where a disc of the least width does not fit into it (morphological opening).
/// The corners of a thick shape do not count: only what reaches farther from where the disc fits
/// than a corner of sixty degrees does. A bridge or gap that is shorter than it may be narrow is
/// therefore not seen.
pub fn judge(plate: &Plate, bounds: &Bounds) -> Judged {
    let mut faults = Vec::new();
    let mut count = 0;
    let kinds = [
        (FaultKind::Line, bounds.line, 1),
        (FaultKind::Gap, bounds.gap, 0),
    ];
    for (kind, least, value) in kinds {
        let (found, all) = too_fine(plate, kind, least, value);
        faults.extend(found);
        count += all;
    }
    Judged {
        faults,
        count,
        share: plate.share(),
        pixel: Length::from_mm(1.0 / plate.pixels_per_mm()),
    }
}

fn too_fine(plate: &Plate, kind: FaultKind, least: Length, value: u8) -> (Vec<Fault>, usize) {
    let per_mm = plate.pixels_per_mm();
    // The largest disc of whole pixels that a part of just the least width still holds, wherever its
    // edges fall on the pixels.
    let Some(disc) = Disc::across((least.mm() * per_mm).max(0.0) as usize) else {
        return (Vec::new(), 0);
    };
    // A corner of sixty degrees reaches one radius from the disc in it (1 / sin 30° − 1); a fifth
    // more and a pixel are left to the lattice.
    let cap = disc.radius() + disc.radius().div_ceil(5) + 1;
    let mut narrow = Narrow::find(plate, value, disc, cap);
    let beyond = (cap * cap) as i16;
    let mut faults = Vec::new();
    let mut count = 0;
    let mut from = 0;
    while let Some(next) = narrow.there[from..].iter().position(|&there| there) {
        let start = from + next;
        from = start + 1;
        let blot = Blot::grow(start, &mut narrow);
        if blot.reach <= beyond {
            continue;
        }
        count += 1;
        if faults.len() < Judged::MOST {
            let mm = |pixels: usize| Length::from_mm(pixels as f64 / per_mm);
            // From the middle to the nearest pixel of the ground and as far back, without the half
            // pixels on both sides.
            let width = (2.0 * f64::from(blot.depth).sqrt() - 1.0).max(1.0);
            faults.push(Fault {
                kind,
                place: Rect::new(
                    mm(blot.left),
                    mm(blot.top),
                    mm(blot.right + 1 - blot.left),
                    mm(blot.bottom + 1 - blot.top),
                ),
                width: Length::from_mm(width / per_mm),
            });
        }
    }
    (faults, count)
}

/// What of a part the disc does not reach.
struct Narrow {
    size: PixelSize,
    /// Where it is.
    there: Vec<bool>,
    /// Squared distance from where the disc fits.
    to_open: Vec<i16>,
    /// Squared distance to the ground.
    to_ground: Vec<i16>,
}

/// Pixels are looked at in squares of this side: small enough for the processor's nearest memory.
const SQUARE: usize = 192;

/// A narrow pixel: its index, and its squared distances from where the disc fits and to the ground.
type NarrowPixel = (usize, i16, i16);

impl Narrow {
    /// Looks square by square, and only where plate and ground meet: most of a plate is one or the
    /// other for far around.
    fn find(plate: &Plate, value: u8, disc: Disc, cap: usize) -> Self {
        let size = plate.size();
        let (width, height) = (size.width as usize, size.height as usize);
        let count = width * height;
        let mut narrow = Self {
            size,
            there: vec![false; count],
            to_open: vec![0; count],
            to_ground: vec![0; count],
        };
        // Whether the disc fits at a pixel is decided within its width of it, and how far that is
        // from another one within the cap.
        let margin = cap + disc.reach();
        let side = SQUARE.max(margin * 3);
        for top in (0..height).step_by(side) {
            let found: Vec<Vec<NarrowPixel>> = (0..width.div_ceil(side))
                .into_par_iter()
                .map(|column| {
                    let square = Square {
                        left: column * side,
                        top,
                        right: ((column + 1) * side).min(width),
                        bottom: (top + side).min(height),
                    };
                    square.narrow(plate, value, disc, cap, margin)
                })
                .collect();
            for (at, to_open, to_ground) in found.into_iter().flatten() {
                narrow.there[at] = true;
                narrow.to_open[at] = to_open;
                narrow.to_ground[at] = to_ground;
            }
        }
        narrow
    }
}

/// Pixels of a plate, up to `right` and `bottom`.
#[derive(Clone, Copy)]
struct Square {
    left: usize,
    top: usize,
    right: usize,
    bottom: usize,
}

impl Square {
    fn narrow(
        self,
        plate: &Plate,
        value: u8,
        disc: Disc,
        cap: usize,
        margin: usize,
    ) -> Vec<NarrowPixel> {
        let width = plate.size().width as usize;
        let around = Self {
            left: self.left.saturating_sub(margin),
            top: self.top.saturating_sub(margin),
            right: (self.right + margin).min(width),
            bottom: (self.bottom + margin).min(plate.size().height as usize),
        };
        let row = |y: usize| &plate.pixels()[y * width + around.left..y * width + around.right];
        let first = row(around.top)[0];
        if (around.top..around.bottom).all(|y| row(y).iter().all(|&pixel| pixel == first)) {
            return Vec::new();
        }
        let part: Vec<u8> = (around.top..around.bottom)
            .flat_map(row)
            .map(|&pixel| u8::from(pixel == value))
            .collect();
        let wide = around.right - around.left;
        let size = PixelSize {
            width: wide as u32,
            height: (around.bottom - around.top) as u32,
        };
        let open = disc.opened(&part, size);
        let is_narrow = |at: usize| part[at] != 0 && open[at] == 0;
        let within = |y: usize| {
            let from = (y - around.top) * wide + self.left - around.left;
            from..from + self.right - self.left
        };
        if !(self.top..self.bottom).flat_map(within).any(is_narrow) {
            return Vec::new();
        }
        let to_open = distances(&open, size, 1, cap);
        let to_ground = distances(&part, size, 0, cap);
        let mut found = Vec::new();
        for y in self.top..self.bottom {
            let start = y * width + self.left;
            for (index, at) in within(y).enumerate() {
                if is_narrow(at) {
                    found.push((start + index, to_open[at], to_ground[at]));
                }
            }
        }
        found
    }
}

/// Pixels that hang together.
struct Blot {
    left: usize,
    top: usize,
    right: usize,
    bottom: usize,
    /// Largest squared distance from where the disc fits.
    reach: i16,
    /// Largest squared distance to the ground.
    depth: i16,
}

impl Blot {
    /// Takes the pixels out of those that are narrow.
    fn grow(start: usize, narrow: &mut Narrow) -> Self {
        let size = narrow.size;
        let (width, height) = (size.width as usize, size.height as usize);
        let mut blot = Self {
            left: usize::MAX,
            top: usize::MAX,
            right: 0,
            bottom: 0,
            reach: 0,
            depth: 0,
        };
        narrow.there[start] = false;
        let mut stack = vec![start];
        while let Some(at) = stack.pop() {
            let (x, y) = (at % width, at / width);
            blot.left = blot.left.min(x);
            blot.right = blot.right.max(x);
            blot.top = blot.top.min(y);
            blot.bottom = blot.bottom.max(y);
            blot.reach = blot.reach.max(narrow.to_open[at]);
            blot.depth = blot.depth.max(narrow.to_ground[at]);
            for near_y in y.saturating_sub(1)..(y + 2).min(height) {
                for near_x in x.saturating_sub(1)..(x + 2).min(width) {
                    let near = near_y * width + near_x;
                    if narrow.there[near] {
                        narrow.there[near] = false;
                        stack.push(near);
                    }
                }
            }
        }
        blot
    }
}
