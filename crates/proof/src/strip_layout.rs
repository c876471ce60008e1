use measure::{Length, Rect, Size};

use crate::Strip;

/// Where things stand on a strip, from its upper left corner.
///
/// From left to right: two corner marks over each other, the machine-readable mark, the patches in
/// rows, two corner marks. Patches of a row touch; under each row there is room for the patches'
/// names.
#[derive(Debug, Clone, PartialEq)]
pub struct StripLayout {
    /// The whole strip, quiet zones included.
    pub size: Size,
    /// The machine-readable mark's modules as one square, its quiet zone excluded.
    pub mark: Rect,
    /// One rectangle a patch, in the patches' order.
    pub patches: Vec<Rect>,
    /// Corner marks: squares of solid black by which a scan is straightened. Upper left, upper
    /// right, lower right, lower left.
    pub corners: Vec<Rect>,
}

/// Bare paper around the strip, in mm.
const QUIET: f64 = 3.0;
/// Side of a corner mark, in mm.
const CORNER: f64 = 4.0;
/// Side of the machine-readable mark, in mm: modules of at least half a millimetre, which a flatbed
/// at 150 ppi still tells apart.
const MARK: f64 = 15.0;
/// Bare paper beside the mark, in mm: four modules and more.
const GAP: f64 = 4.0;
/// Side of a patch, in mm: instruments look through openings of 4 to 6 mm (common practice, no
/// source).
const PATCH: f64 = 8.0;
/// Room for names under a row, in mm.
const NAMES: f64 = 3.0;
/// Fewest and most patches in a row.
const COLUMNS: (usize, usize) = (8, 24);

impl StripLayout {
    /// Lays a strip out in a width.
    ///
    /// A strip has a least width of 105 mm and is that wide if less is given; it never takes
    /// more than it needs.
    pub fn of(strip: &Strip, width: Length) -> Self {
        let count = strip.patches.len();
        let left = QUIET + CORNER + GAP + MARK + GAP;
        let right = GAP + CORNER + QUIET;
        let fitting = ((width.mm() - left - right) / PATCH + 1e-6).floor();
        let columns = (fitting.max(0.0) as usize).clamp(COLUMNS.0, COLUMNS.1);
        let rows = count.div_ceil(columns).max(1);
        // The same rows evenly filled.
        let columns = count.div_ceil(rows).max(1);

        let pitch = PATCH + NAMES;
        let height = (rows as f64 * pitch).max(MARK).max(2.0 * CORNER + GAP);
        let size = Size::from_mm(left + columns as f64 * PATCH + right, height + 2.0 * QUIET);
        let top = QUIET + (height - rows as f64 * pitch) / 2.0;
        let patches = (0..count)
            .map(|i| {
                let (row, column) = (i / columns, i % columns);
                Rect::from_mm(
                    left + column as f64 * PATCH,
                    top + row as f64 * pitch,
                    PATCH,
                    PATCH,
                )
            })
            .collect();
        let far = size.width.mm() - QUIET - CORNER;
        let low = size.height.mm() - QUIET - CORNER;
        let corners = [(QUIET, QUIET), (far, QUIET), (far, low), (QUIET, low)]
            .map(|(x, y)| Rect::from_mm(x, y, CORNER, CORNER))
            .to_vec();
        let mark = Rect::from_mm(
            QUIET + CORNER + GAP,
            QUIET + (height - MARK) / 2.0,
            MARK,
            MARK,
        );
        Self {
            size,
            mark,
            patches,
            corners,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Patch, PatchKind};
    use colour::Lab;
    use proptest::prelude::*;

    fn strip(count: usize) -> Strip {
        let paper = Lab {
            l: 95.0,
            a: 0.0,
            b: 0.0,
        };
        let patches = (0..count)
            .map(|i| Patch {
                name: format!("{i}"),
                kind: PatchKind::Paper,
                art: None,
                ink: [0; 4],
                predicted: paper,
                intended: paper,
                share: 0.0,
            })
            .collect();
        Strip {
            version: 1,
            patches,
        }
    }

    proptest! {
        #[test]
        fn nothing_on_a_strip_touches_anything_else(count in 0..80_usize, mm in 0.0..600.0_f64) {
            let layout = StripLayout::of(&strip(count), Length::from_mm(mm));
            prop_assert_eq!(layout.patches.len(), count);
            prop_assert!(layout.size.width.mm() <= mm.max(105.0) + 1e-6);
            let whole = Rect::new(Length::ZERO, Length::ZERO, layout.size.width, layout.size.height);
            let mut all = layout.patches.clone();
            all.push(layout.mark);
            all.extend(&layout.corners);
            for (i, one) in all.iter().enumerate() {
                prop_assert!(whole.contains(*one));
                for other in &all[..i] {
                    let shared = one.shared(*other);
                    prop_assert!(
                        shared.is_none_or(|s| s.width == Length::ZERO || s.height == Length::ZERO),
                        "{one:?} {other:?}"
                    );
                }
            }
        }
    }

    #[test]
    fn a_full_strip_fits_under_a_page_of_240_mm_in_two_rows() {
        let layout = StripLayout::of(&strip(48), Length::from_mm(240.0));
        assert!(layout.size.width.mm() <= 240.0);
        assert!(layout.size.height.mm() <= 30.0, "{}", layout.size.height);
        assert_eq!(layout.patches[24].x, layout.patches[0].x);
    }
}
