//! From lengths to points, once: whole thousandths of a point (0.35 µm), by one function that
//! never lets a longer length become a shorter one, so that the boxes of a page nest by
//! construction.

use measure::{Length, Rect, Size};

/// Thousandths of a point, rounded to the nearest.
///
/// A point is 1/72 inch, so a thousandth is 25,400,000 / 72,000 nanometres, that is 3175 / 9.
fn thousandths(nm: i128) -> i64 {
    let doubled = nm * 18 + nm.signum() * 3175;
    i64::try_from(doubled / 6350).unwrap_or(if nm < 0 { i64::MIN / 4 } else { i64::MAX / 4 })
}

/// Thousandths of a point as the points that a PDF states.
pub(super) fn points(thousandths: i64) -> f32 {
    (thousandths as f64 / 1000.0) as f32
}

/// A length as points, rounded to the thousandth.
pub(super) fn length_in_points(length: Length) -> f32 {
    points(thousandths(i128::from(length.nm())))
}

/// A rectangle of a PDF page in thousandths of a point, from the lower left corner.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Place {
    pub(super) left: i64,
    pub(super) bottom: i64,
    pub(super) right: i64,
    pub(super) top: i64,
}

impl Place {
    pub(super) fn width(self) -> i64 {
        self.right - self.left
    }

    pub(super) fn height(self) -> i64 {
        self.top - self.bottom
    }

    pub(super) fn contains(self, inner: Self) -> bool {
        self.left <= inner.left
            && self.bottom <= inner.bottom
            && self.right >= inner.right
            && self.top >= inner.top
    }

    pub(super) fn pdf(self) -> pdf_writer::Rect {
        pdf_writer::Rect::new(
            points(self.left),
            points(self.bottom),
            points(self.right),
            points(self.top),
        )
    }
}

/// Paper beyond the bleed of a proof page, on each side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Margin {
    /// Above.
    pub top: Length,
    /// On the right.
    pub right: Length,
    /// Below.
    pub bottom: Length,
    /// On the left.
    pub left: Length,
}

/// The boxes of one page. Without a margin the media box is the bleed box.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Boxes {
    /// From the media box's left and top edge to the trim's.
    left_nm: i128,
    top_nm: i128,
    /// Media box.
    pub(super) media: Place,
    /// Bleed box.
    pub(super) bleed: Place,
    /// Trim box.
    pub(super) trim: Place,
}

impl Boxes {
    /// A negative bleed or margin counts as none.
    pub(super) fn new(trim: Size, bleed: Length, margin: Margin) -> Self {
        let positive = |length: Length| i128::from(length.nm().max(0));
        let bleed_nm = positive(bleed);
        let width = i128::from(trim.width.nm());
        let height = i128::from(trim.height.nm());
        let left_nm = positive(margin.left) + bleed_nm;
        let top_nm = positive(margin.top) + bleed_nm;
        let whole_width = left_nm + width + bleed_nm + positive(margin.right);
        let whole_height = thousandths(top_nm + height + bleed_nm + positive(margin.bottom));
        let up = |down: i128| whole_height - thousandths(top_nm + down);
        let across = |right: i128| thousandths(left_nm + right);
        Self {
            left_nm,
            top_nm,
            media: Place {
                left: 0,
                bottom: 0,
                right: thousandths(whole_width),
                top: whole_height,
            },
            bleed: Place {
                left: across(-bleed_nm),
                bottom: up(height + bleed_nm),
                right: across(width + bleed_nm),
                top: up(-bleed_nm),
            },
            trim: Place {
                left: across(0),
                bottom: up(height),
                right: across(width),
                top: up(0),
            },
        }
    }

    /// A distance right of the trim's left edge, from the page's left edge.
    pub(super) fn across(&self, x: Length) -> i64 {
        thousandths(self.left_nm + i128::from(x.nm()))
    }

    /// A distance down from the trim's top edge, as height above the page's lower edge.
    pub(super) fn up(&self, y: Length) -> i64 {
        self.media.top - thousandths(self.top_nm + i128::from(y.nm()))
    }

    /// A rectangle from the trim's top left corner.
    pub(super) fn place(&self, rect: Rect) -> Place {
        let right = Length::from_nm(rect.x.nm().saturating_add(rect.width.nm()));
        let bottom = Length::from_nm(rect.y.nm().saturating_add(rect.height.nm()));
        Place {
            left: self.across(rect.x),
            bottom: self.up(bottom),
            right: self.across(right),
            top: self.up(rect.y),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn an_inch_is_72_points_and_rounding_is_to_the_nearest() {
        assert_eq!(thousandths(25_400_000), 72_000);
        assert_eq!(thousandths(-25_400_000), -72_000);
        // 210 mm are 595.27559… points (ISO 32000-1, 8.3.2.3: a point is 1/72 inch).
        assert_eq!(thousandths(210_000_000), 595_276);
        assert_eq!(thousandths(176), 0);
        assert_eq!(thousandths(177), 1);
    }

    #[test]
    fn a_picture_over_the_whole_bleed_fills_the_media_box_exactly() {
        let trim = Size::from_mm(250.0, 300.0);
        let bleed = Length::from_mm(3.0);
        let boxes = Boxes::new(trim, bleed, Margin::default());
        let whole = Rect::new(Length::ZERO, Length::ZERO, trim.width, trim.height).grown(bleed);
        assert_eq!(boxes.place(whole), boxes.bleed);
        assert_eq!(boxes.media, boxes.bleed);
        assert_eq!(
            boxes.place(Rect::from_mm(0.0, 0.0, 250.0, 300.0)),
            boxes.trim
        );
    }

    proptest! {
        #[test]
        fn boxes_nest_for_any_size(
            width in any::<i64>(), height in any::<i64>(), bleed in any::<i64>(),
            sides in any::<[i64; 4]>(),
        ) {
            let size = |nm: i64| Length::from_nm(nm.saturating_abs());
            let trim = Size { width: size(width), height: size(height) };
            let [top, right, bottom, left] = sides.map(Length::from_nm);
            let margin = Margin { top, right, bottom, left };
            let boxes = Boxes::new(trim, Length::from_nm(bleed), margin);
            prop_assert!(boxes.media.contains(boxes.bleed));
            prop_assert!(boxes.bleed.contains(boxes.trim));
            prop_assert!(boxes.trim.width() >= 0 && boxes.trim.height() >= 0);
        }

        #[test]
        fn nested_rectangles_stay_nested(
            x in -500_000_000i64..500_000_000, y in -500_000_000i64..500_000_000,
            width in 0i64..1_000_000_000, height in 0i64..1_000_000_000,
            inset in 0i64..10_000_000,
        ) {
            let boxes = Boxes::new(Size::from_mm(210.0, 297.0), Length::from_mm(3.175), Margin::default());
            let outer = Rect::new(
                Length::from_nm(x), Length::from_nm(y),
                Length::from_nm(width + inset * 2), Length::from_nm(height + inset * 2),
            );
            let inner = outer.grown(Length::from_nm(-inset));
            prop_assert!(boxes.place(outer).contains(boxes.place(inner)));
        }
    }
}
