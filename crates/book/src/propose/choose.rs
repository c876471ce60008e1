//! How each piece is shown first, and in which order.

use measure::{Length, PixelSize, Rect, Resolution, Size};

use crate::plan::fit;

/// Under this a picture is not fit for print unless the book says so.
const LEAST_PPI: f64 = 150.0;
/// From this on a picture is good in print.
const GOOD_PPI: f64 = 250.0;
/// The most that is cut off a piece without asking, as shares of its area. Our assumption.
const MOST_CUT_FROM_SPREAD: f64 = 0.27;
const MOST_CUT_FROM_PAGE: f64 = 0.21;
/// A piece this much wider than the page is taken as a wide one.
const WIDER: f64 = 1.2;
/// Pieces whose proportions differ by less may stand side by side.
const SAME_SHAPE: f64 = 0.03;
/// The least width of a picture that is made small for the sake of its resolution.
const LEAST_INSET: Length = Length::from_nm(60_000_000);

/// The page that pieces are chosen for.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sheet {
    pub(super) trim: Size,
    pub(super) bleed: Length,
    pub(super) fold: Length,
}

/// How a piece or a pair is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Showing {
    FullPage,
    Spread,
    Inset { margin: Length },
    Paired { margin: Length },
}

/// One entry to be: the pieces, by index, and how they are shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Unit {
    pub(super) pieces: Vec<usize>,
    pub(super) showing: Showing,
}

impl Unit {
    pub(super) fn pages(&self) -> u32 {
        match self.showing {
            Showing::FullPage | Showing::Inset { .. } => 1,
            Showing::Spread | Showing::Paired { .. } => 2,
        }
    }
}

impl Sheet {
    fn page(&self) -> Rect {
        Rect::new(
            -self.bleed,
            -self.bleed,
            self.trim.width + self.bleed * 2,
            self.trim.height + self.bleed * 2,
        )
    }

    fn both_pages(&self) -> Rect {
        let page = self.page();
        Rect {
            width: page.width + self.trim.width,
            ..page
        }
    }

    /// The front of a cover with its bleed.
    fn front(&self) -> Rect {
        let page = self.page();
        Rect {
            width: page.width - self.bleed,
            ..page
        }
    }

    fn usual_margin(&self) -> Length {
        let shorter = self.trim.width.min(self.trim.height);
        Length::from_mm((shorter.mm() / 10.0).round())
    }

    fn room(&self, margin: Length) -> Size {
        Size {
            width: self.trim.width - margin - margin.max(self.fold),
            height: self.trim.height - margin * 2,
        }
    }

    /// Resolution of a piece as it is shown.
    pub(super) fn ppi(&self, size: PixelSize, showing: Showing) -> f64 {
        match showing {
            Showing::FullPage => covering(self.page(), size).ppi,
            Showing::Spread => covering(self.both_pages(), size).ppi,
            Showing::Inset { margin } | Showing::Paired { margin } => {
                effective(size, fit::contain(self.room(margin), size))
            }
        }
    }

    /// How one piece is shown: across the fold if it is wide, over the page if it is near to the
    /// page's shape, and whole within margins if it is neither or too small for that.
    pub(super) fn showing(&self, size: PixelSize) -> Showing {
        let shape = proportions(size);
        let page = self.trim.width.ratio(self.trim.height);
        let on_page = covering(self.page(), size);
        let on_both = covering(self.both_pages(), size);
        if shape > page * WIDER && on_both.cut <= MOST_CUT_FROM_SPREAD && on_both.ppi >= LEAST_PPI {
            return Showing::Spread;
        }
        // A square picture on a page that is none looks like a mistake when it is cropped.
        let near_square = (0.87..=1.15).contains(&shape) && on_page.cut > 0.06;
        let inset = Showing::Inset {
            margin: self.margin(size),
        };
        // A smaller piece stands within margins if that makes it good.
        let small = on_page.ppi < LEAST_PPI
            || (on_page.ppi < GOOD_PPI && self.ppi(size, inset) >= GOOD_PPI);
        if !near_square && !small && on_page.cut <= MOST_CUT_FROM_PAGE {
            return Showing::FullPage;
        }
        inset
    }

    /// The usual margin, or the narrowest wider one that brings the resolution up, if any does.
    fn margin(&self, size: PixelSize) -> Length {
        let usual = self.usual_margin();
        let step = Length::from_mm(1.0);
        let shorter = self.trim.width.min(self.trim.height);
        let enough = |margin: Length| self.ppi(size, Showing::Inset { margin }) >= LEAST_PPI;
        let mut margin = usual;
        while shorter - margin * 2 >= LEAST_INSET {
            if enough(margin) {
                return margin;
            }
            margin += step;
        }
        usual
    }

    /// The piece for the front of the cover: the one that loses least by being cropped to it,
    /// among those with resolution enough; the first of equals.
    pub(super) fn front_piece(&self, sizes: &[PixelSize]) -> Option<usize> {
        let best = |least_ppi: f64, most_cut: f64| {
            sizes
                .iter()
                .map(|size| covering(self.front(), *size))
                .enumerate()
                .filter(|(_, shown)| shown.ppi >= least_ppi && shown.cut <= most_cut)
                // Whole percents: a hair's breadth is no reason to prefer a later piece.
                .min_by_key(|(index, shown)| ((shown.cut * 100.0).round() as u32, *index))
                .map(|(index, _)| index)
        };
        best(GOOD_PPI, 0.25).or_else(|| best(LEAST_PPI, 0.45))
    }

    /// All entries, in the order of the pieces as far as it can be kept: neighbours of one shape
    /// that are shown whole become pairs, and single pages are brought forward where a spread
    /// would begin on a right page. The first of them lies on the left, behind a title page.
    pub(super) fn units(&self, sizes: &[PixelSize]) -> Vec<Unit> {
        let mut units: Vec<Unit> = Vec::with_capacity(sizes.len());
        for (index, size) in sizes.iter().enumerate() {
            let showing = self.showing(*size);
            if let Some(last) = units.last_mut()
                && let (Showing::Inset { margin: before }, Showing::Inset { margin }) =
                    (last.showing, showing)
                && same_shape(sizes[last.pieces[0]], *size)
            {
                last.pieces.push(index);
                last.showing = Showing::Paired {
                    margin: before.max(margin),
                };
            } else {
                units.push(Unit {
                    pieces: vec![index],
                    showing,
                });
            }
        }
        on_left_pages(units)
    }
}

/// Brings single pages forward, so that every unit of two pages begins an even number of pages
/// after the first; the first lies on the left.
fn on_left_pages(units: Vec<Unit>) -> Vec<Unit> {
    let mut waiting = std::collections::VecDeque::from(units);
    let mut placed: Vec<Unit> = Vec::with_capacity(waiting.len());
    let mut pages = 0;
    while let Some(next) = waiting.front() {
        let on_right = pages % 2 == 1;
        if next.pages() == 2 && on_right {
            if let Some(single) = waiting.iter().position(|unit| unit.pages() == 1) {
                let unit = waiting.remove(single).expect("the position was just found");
                pages += 1;
                placed.push(unit);
                continue;
            }
            // Only pairs and spreads are left. The last single page lies on the left, or this
            // page would not lie on the right: it goes behind them all.
            if let Some(single) = placed.iter().rposition(|unit| unit.pages() == 1) {
                let unit = placed.remove(single);
                placed.extend(waiting.drain(..));
                placed.push(unit);
                break;
            }
        }
        pages += next.pages();
        placed.extend(waiting.pop_front());
    }
    placed
}

/// A picture that covers a rectangle.
struct Covering {
    /// Share of the picture that is cut off.
    cut: f64,
    ppi: f64,
}

fn covering(target: Rect, size: PixelSize) -> Covering {
    let frame = fit::cover(target, size, (0.5, 0.5));
    Covering {
        cut: fit::share_cropped(target, frame),
        ppi: effective(
            size,
            Size {
                width: frame.width,
                height: frame.height,
            },
        ),
    }
}

fn effective(size: PixelSize, on_paper: Size) -> f64 {
    Resolution::effective(size, on_paper).map_or(0.0, Resolution::ppi)
}

fn proportions(size: PixelSize) -> f64 {
    f64::from(size.width) / f64::from(size.height)
}

fn same_shape(a: PixelSize, b: PixelSize) -> bool {
    (proportions(a) / proportions(b) - 1.0).abs() < SAME_SHAPE
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sheet(width: f64, height: f64) -> Sheet {
        Sheet {
            trim: Size::from_mm(width, height),
            bleed: Length::from_mm(3.0),
            fold: Length::from_mm(10.0),
        }
    }

    fn pixels(width: u32, height: u32) -> PixelSize {
        PixelSize { width, height }
    }

    #[test]
    fn wide_pieces_cross_the_fold_and_tall_ones_fill_a_page() {
        let sheet = sheet(250.0, 300.0);
        assert_eq!(sheet.showing(pixels(6000, 4000)), Showing::Spread);
        assert_eq!(sheet.showing(pixels(3000, 4000)), Showing::FullPage);
        let usual = Showing::Inset {
            margin: Length::from_mm(25.0),
        };
        assert_eq!(sheet.showing(pixels(4000, 4000)), usual);
        // A long strip would lose half of itself across the fold.
        assert_eq!(sheet.showing(pixels(12000, 3000)), usual);
    }

    #[test]
    fn a_small_piece_stands_where_its_pixels_last() {
        let sheet = sheet(250.0, 300.0);
        // 2400 pixels across two pages of 250 mm are 120 to the inch.
        let wide = sheet.showing(pixels(2400, 1600));
        assert!(matches!(wide, Showing::Inset { .. }));
        assert!(sheet.ppi(pixels(2400, 1600), wide) >= 150.0);
        // 198 to the inch over the page, 252 within margins of a tenth.
        let drawing = sheet.showing(pixels(2008, 2480));
        assert!(matches!(drawing, Showing::Inset { .. }));
        assert!(sheet.ppi(pixels(2008, 2480), drawing) >= 250.0);
        // 900 pixels want wider margins than usual.
        let small = sheet.showing(pixels(900, 1100));
        assert!(sheet.ppi(pixels(900, 1100), small) >= 150.0);
        assert!(matches!(small, Showing::Inset { margin } if margin > Length::from_mm(25.0)));
    }

    #[test]
    fn singles_come_forward_to_put_spreads_on_the_left() {
        let unit = |piece: usize, showing| Unit {
            pieces: vec![piece],
            showing,
        };
        let (single, wide) = (Showing::FullPage, Showing::Spread);
        let order = |showings: &[Showing]| -> Vec<usize> {
            let units = showings
                .iter()
                .enumerate()
                .map(|(piece, showing)| unit(piece, *showing))
                .collect();
            on_left_pages(units)
                .iter()
                .map(|unit| unit.pieces[0])
                .collect()
        };
        assert_eq!(order(&[wide, single, wide, single]), [0, 1, 3, 2]);
        // No later single page is left: the one before goes to the end.
        assert_eq!(order(&[wide, single, wide, wide]), [0, 2, 3, 1]);
        assert_eq!(order(&[single, single, wide]), [0, 1, 2]);
    }
}
