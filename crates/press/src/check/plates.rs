//! The plates of one page: for each cell the amounts of ink at its inkiest point.
//!
//! Of everything that is visible in a cell, the point with the highest total is kept, never a mean.
//! So the highest total of the page is that of a real point, and an image's highest sample is found
//! whatever the size of the cells.

use super::ink::{Colour, MOST_INKS};
use super::raster::{COVERED, Mask, Window};

/// How paint meets what lies below.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Meeting {
    /// Hides it.
    Opaque,
    /// See-through: the inkier of the two is kept, which no mixture of them can exceed.
    AtMost,
    /// See-through by multiplication, which adds ink.
    Multiply,
}

/// Whether inks that a colour does not speak of are left alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Overprint {
    /// They are knocked out.
    Off,
    /// They are left alone.
    On,
    /// So are those of amount zero, if the colour is DeviceCMYK (overprint mode 1).
    NonZero,
}

/// How paint is laid down.
#[derive(Debug, Clone, Copy)]
pub(super) struct Manner {
    pub(super) meeting: Meeting,
    pub(super) overprint: Overprint,
}

/// Where the highest total is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Peak {
    /// 255 is 100 percent.
    pub(super) total: u32,
    pub(super) x: usize,
    pub(super) y: usize,
}

/// The plates.
pub(super) struct Plates {
    width: usize,
    height: usize,
    /// One plane an ink, four at least.
    planes: Vec<Vec<u8>>,
    totals: Vec<u16>,
    /// Bits of the planes that are finishings, no ink, and count into no total.
    pub(super) finishings: u32,
    /// For each plane beside the four, the cells that it touches.
    touched: Vec<Vec<bool>>,
}

/// What a plate beside the four inks touches.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Touched {
    pub(super) cells: usize,
    /// The cells around it.
    pub(super) extent: Window,
}

impl Plates {
    pub(super) fn new(width: usize, height: usize) -> Self {
        Self {
            width,
            height,
            planes: vec![vec![0; width * height]; 4],
            totals: vec![0; width * height],
            finishings: 0,
            touched: Vec::new(),
        }
    }

    fn make_planes(&mut self, count: usize) {
        while self.planes.len() < count.min(MOST_INKS) {
            self.planes.push(vec![0; self.width * self.height]);
            self.touched.push(vec![false; self.width * self.height]);
        }
    }

    /// Lays one colour onto a shape.
    pub(super) fn paint(&mut self, mask: &Mask, colour: &Colour, manner: Manner) {
        let highest = colour.amounts.iter().rposition(|&amount| amount > 0);
        self.make_planes(highest.map_or(0, |highest| highest + 1));
        let rule = Rule::of(colour, manner.overprint, self.planes.len());
        let window = mask.window;
        let hides = manner.meeting == Meeting::Opaque;
        for y in window.top..window.bottom {
            let row = mask.row(y);
            let start = y * self.width + window.left;
            let mut x = 0;
            while x < row.len() {
                let state = row[x];
                let run = row[x..].iter().take_while(|&&other| other == state).count();
                if state == COVERED && hides {
                    self.fill(start + x..start + x + run, &rule);
                } else if state > 0 {
                    for at in start + x..start + x + run {
                        self.lay(at, &rule, state == COVERED, manner.meeting);
                    }
                }
                x += run;
            }
        }
    }

    /// Sets a stretch of cells that are covered by opaque paint.
    fn fill(&mut self, cells: std::ops::Range<usize>, rule: &Rule) {
        let mut total = 0;
        let mut keeps_some = false;
        for (ink, plane) in self.planes.iter_mut().enumerate() {
            if rule.sets & 1 << ink == 0 {
                keeps_some = true;
                continue;
            }
            plane[cells.clone()].fill(rule.amounts[ink]);
            if let Some(touched) = ink
                .checked_sub(4)
                .and_then(|spot| self.touched.get_mut(spot))
            {
                touched[cells.clone()].fill(rule.amounts[ink] > 0);
            }
            if self.finishings & 1 << ink == 0 {
                total += u16::from(rule.amounts[ink]);
            }
        }
        if !keeps_some {
            self.totals[cells].fill(total);
            return;
        }
        for at in cells {
            self.totals[at] = (0..)
                .zip(&self.planes)
                .filter(|(ink, _)| self.finishings & 1_u32 << ink == 0)
                .map(|(_, plane)| u16::from(plane[at]))
                .sum();
        }
    }

    /// Lays colours that differ from cell to cell onto a shape.
    pub(super) fn paint_with(
        &mut self,
        mask: &Mask,
        inks: usize,
        manner: Manner,
        mut colour_at: impl FnMut(usize, usize) -> Option<(Colour, bool)>,
    ) {
        self.make_planes(inks);
        let window = mask.window;
        for y in window.top..window.bottom {
            for (x, &state) in (window.left..).zip(mask.row(y)) {
                if state == 0 {
                    continue;
                }
                if let Some((colour, whole)) = colour_at(x, y) {
                    let rule = Rule::of(&colour, manner.overprint, self.planes.len());
                    let covered = state == COVERED && whole;
                    self.lay(y * self.width + x, &rule, covered, manner.meeting);
                }
            }
        }
    }

    fn lay(&mut self, at: usize, rule: &Rule, covered: bool, meeting: Meeting) {
        let mut total = 0;
        let mut after = [0_u8; MOST_INKS];
        for (ink, plane) in self.planes.iter().enumerate() {
            let below = plane[at];
            let laid = if rule.sets & 1 << ink != 0 {
                rule.amounts[ink]
            } else {
                below
            };
            let value = match meeting {
                Meeting::Multiply => multiply(below, rule.amounts[ink]),
                _ => laid,
            };
            after[ink] = value;
            if self.finishings & 1 << ink == 0 {
                total += u16::from(value);
            }
        }
        let hides = covered && meeting == Meeting::Opaque;
        for (ink, touched) in (4_usize..).zip(&mut self.touched) {
            if rule.sets & 1 << ink != 0 {
                touched[at] = rule.amounts[ink] > 0 || (touched[at] && !hides);
            }
        }
        if hides || total > self.totals[at] {
            self.totals[at] = total;
            for (plane, value) in self.planes.iter_mut().zip(after) {
                plane[at] = value;
            }
        }
    }

    /// The highest total; the first one in reading order if there are several.
    pub(super) fn peak(&self) -> Peak {
        let mut peak = Peak {
            total: 0,
            x: 0,
            y: 0,
        };
        for (index, &total) in self.totals.iter().enumerate() {
            if u32::from(total) > peak.total {
                peak = Peak {
                    total: u32::from(total),
                    x: index % self.width,
                    y: index / self.width,
                };
            }
        }
        peak
    }

    /// How many cells hold a point with more than this total.
    pub(super) fn cells_over(&self, total: f64) -> usize {
        self.totals
            .iter()
            .filter(|&&cell| f64::from(cell) > total)
            .count()
    }

    /// What the plate at a place beside the four touches; none if that is nothing.
    pub(super) fn touched(&self, place: usize) -> Option<Touched> {
        let plane = self.touched.get(place.checked_sub(4)?)?;
        let mut cells = 0;
        let mut extent: Option<Window> = None;
        for (index, _) in plane.iter().enumerate().filter(|(_, touched)| **touched) {
            let (x, y) = (index % self.width, index / self.width);
            cells += 1;
            let so_far = extent.get_or_insert(Window {
                left: x,
                top: y,
                right: x + 1,
                bottom: y + 1,
            });
            so_far.left = so_far.left.min(x);
            so_far.right = so_far.right.max(x + 1);
            so_far.bottom = y + 1;
        }
        extent.map(|extent| Touched { cells, extent })
    }

    /// Whether there is ink in a shape beside those named by bits.
    pub(super) fn has_other_ink(&self, mask: &Mask, named: u32) -> bool {
        let window = mask.window;
        let others = || {
            (0..)
                .zip(&self.planes)
                .filter(move |(ink, _)| named & 1_u32 << ink == 0)
        };
        (window.top..window.bottom).any(|y| {
            let start = y * self.width;
            (window.left..)
                .zip(mask.row(y))
                .any(|(x, &state)| state > 0 && others().any(|(_, plane)| plane[start + x] > 0))
        })
    }

    /// Amounts in a cell.
    #[cfg(test)]
    pub(super) fn at(&self, x: usize, y: usize) -> Vec<u8> {
        let at = y * self.width + x;
        self.planes.iter().map(|plane| plane[at]).collect()
    }
}

/// A colour with the inks that it sets, as overprinting has it (ISO 32000-1, 8.6.7).
struct Rule {
    amounts: [u8; MOST_INKS],
    sets: u32,
}

impl Rule {
    fn of(colour: &Colour, overprint: Overprint, planes: usize) -> Self {
        let every = (1_u32 << planes) - 1;
        let mut amounts = colour.amounts;
        if colour.all {
            let all = amounts[0];
            amounts[..planes].fill(all);
        }
        let sets = match overprint {
            Overprint::Off => every,
            Overprint::On => colour.named & every,
            Overprint::NonZero if colour.direct => amounts
                .iter()
                .take(4)
                .enumerate()
                .filter(|(_, amount)| **amount > 0)
                .fold(0, |sets, (ink, _)| sets | 1 << ink),
            Overprint::NonZero => colour.named & every,
        };
        Self { amounts, sets }
    }
}

fn multiply(below: u8, above: u8) -> u8 {
    let left = (255 - u32::from(below)) * (255 - u32::from(above));
    255 - ((left + 127) / 255) as u8
}

#[cfg(test)]
mod tests {
    use super::super::raster::{Budget, Clip, Matrix, Path};
    use super::*;

    const OPAQUE: Manner = Manner {
        meeting: Meeting::Opaque,
        overprint: Overprint::Off,
    };

    fn rectangle(x: f64, width: f64) -> Mask {
        let mut path = Path::default();
        path.rectangle(Matrix::IDENTITY, [x, 0.0, width, 2.0]);
        path.fill(
            false,
            &Clip::rect(0.0, 0.0, 10.0, 2.0),
            &Budget::new(u64::MAX),
        )
    }

    fn spot(place: usize, amount: u8) -> Colour {
        let mut colour = Colour::none();
        colour.amounts[place] = amount;
        colour.named = 1 << place;
        colour
    }

    fn over(overprint: Overprint) -> Manner {
        Manner {
            overprint,
            ..OPAQUE
        }
    }

    #[test]
    fn paint_hides_what_it_covers_and_keeps_the_inkier_where_it_only_touches() {
        let mut plates = Plates::new(10, 2);
        plates.paint(
            &rectangle(0.0, 10.0),
            &Colour::cmyk([100, 100, 0, 0], true),
            OPAQUE,
        );
        plates.paint(
            &rectangle(2.0, 2.5),
            &Colour::cmyk([0, 0, 0, 50], true),
            OPAQUE,
        );
        assert_eq!(plates.at(2, 0), [0, 0, 0, 50]);
        assert_eq!(plates.at(4, 0), [100, 100, 0, 0]);
        plates.paint(
            &rectangle(6.0, 0.5),
            &Colour::cmyk([0, 0, 0, 255], true),
            OPAQUE,
        );
        assert_eq!(plates.at(6, 0), [0, 0, 0, 255]);
        assert_eq!(
            plates.peak(),
            Peak {
                total: 255,
                x: 6,
                y: 0
            }
        );
    }

    #[test]
    fn overprint_leaves_the_other_inks_alone() {
        let under = Colour::cmyk([10, 20, 30, 40], true);
        let check = |colour: &Colour, overprint, expected: &[u8]| {
            let mut plates = Plates::new(10, 2);
            plates.paint(&rectangle(0.0, 10.0), &under, OPAQUE);
            plates.paint(&rectangle(0.0, 10.0), colour, over(overprint));
            assert_eq!(plates.at(5, 1), expected, "{overprint:?}");
        };
        let black = Colour::cmyk([0, 0, 0, 255], true);
        check(&black, Overprint::Off, &[0, 0, 0, 255]);
        check(&black, Overprint::On, &[0, 0, 0, 255]);
        check(&black, Overprint::NonZero, &[10, 20, 30, 255]);
        // Grey is no DeviceCMYK, so mode 1 does not spare it the other inks.
        check(&Colour::grey(0), Overprint::NonZero, &[0, 0, 0, 255]);
        check(&spot(4, 200), Overprint::Off, &[0, 0, 0, 0, 200]);
        check(&spot(4, 200), Overprint::On, &[10, 20, 30, 40, 200]);
        check(&spot(3, 200), Overprint::On, &[10, 20, 30, 200]);
    }

    #[test]
    fn see_through_paint_never_loses_ink() {
        let mut plates = Plates::new(10, 2);
        plates.paint(
            &rectangle(0.0, 10.0),
            &Colour::cmyk([255, 0, 0, 0], true),
            OPAQUE,
        );
        let at_most = Manner {
            meeting: Meeting::AtMost,
            ..OPAQUE
        };
        plates.paint(
            &rectangle(0.0, 5.0),
            &Colour::cmyk([0, 0, 0, 100], true),
            at_most,
        );
        assert_eq!(plates.at(0, 0), [255, 0, 0, 0]);
        let times = Manner {
            meeting: Meeting::Multiply,
            ..OPAQUE
        };
        plates.paint(
            &rectangle(0.0, 5.0),
            &Colour::cmyk([0, 255, 0, 128], true),
            times,
        );
        assert_eq!(plates.at(0, 0), [255, 255, 0, 128]);
    }
}
