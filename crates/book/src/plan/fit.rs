//! Fitting pictures into rectangles, in whole nanometres.

use measure::{Length, PixelSize, Rect, Size};

/// The smallest frame with the picture's proportions that covers the target, moved so that the
/// focus comes as near to the middle of the target as it can.
///
/// Sides are rounded up to the nanometre, so that the frame covers the target without a gap.
pub(crate) fn cover(target: Rect, picture: PixelSize, focus: (f64, f64)) -> Rect {
    let (across, down) = (i128::from(picture.width), i128::from(picture.height));
    let (width, height) = (target.width.nm(), target.height.nm());
    let (frame_width, frame_height) = if across * i128::from(height) >= down * i128::from(width) {
        (divided_up(i128::from(height) * across, down), height)
    } else {
        (width, divided_up(i128::from(width) * down, across))
    };
    let frame_width = Length::from_nm(frame_width);
    let frame_height = Length::from_nm(frame_height);
    Rect::new(
        slid(target.x, target.width, frame_width, focus.0),
        slid(target.y, target.height, frame_height, focus.1),
        frame_width,
        frame_height,
    )
}

/// The largest size with the picture's proportions that fits into the room.
pub(crate) fn contain(room: Size, picture: PixelSize) -> Size {
    let (across, down) = (i128::from(picture.width), i128::from(picture.height));
    let (width, height) = (room.width.nm(), room.height.nm());
    // A side never vanishes, however long and thin the picture is.
    if across * i128::from(height) >= down * i128::from(width) {
        Size {
            width: room.width,
            height: Length::from_nm(divided_up(i128::from(width) * down, across).min(height)),
        }
    } else {
        Size {
            width: Length::from_nm(divided_up(i128::from(height) * across, down).min(width)),
            height: room.height,
        }
    }
}

/// The share of a frame's area that lies outside the target, from 0 to 1.
pub(crate) fn share_cropped(target: Rect, frame: Rect) -> f64 {
    1.0 - target.width.ratio(frame.width) * target.height.ratio(frame.height)
}

/// Where a frame of length `frame` begins so that its focus lies nearest to the middle of the
/// target and the target stays covered.
fn slid(target: Length, room: Length, frame: Length, focus: f64) -> Length {
    let wished = target + room / 2 - frame.scaled(focus);
    wished.max(target + room - frame).min(target)
}

/// Division of positive numbers, rounded up.
fn divided_up(value: i128, by: i128) -> i64 {
    i64::try_from((value + by - 1) / by).unwrap_or(i64::MAX / 4)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pixels(width: u32, height: u32) -> PixelSize {
        PixelSize { width, height }
    }

    #[test]
    fn a_covering_frame_follows_its_focus_to_the_edge_and_no_further() {
        let target = Rect::from_mm(0.0, 0.0, 100.0, 100.0);
        let at = |focus| cover(target, pixels(200, 100), (focus, 0.5)).x;
        assert_eq!(at(0.5), Length::from_mm(-50.0));
        assert_eq!(at(0.0), Length::ZERO);
        assert_eq!(at(1.0), Length::from_mm(-100.0));
        assert_eq!(at(0.4), Length::from_mm(-30.0));
    }

    #[test]
    fn a_contained_picture_touches_two_sides() {
        let room = Size::from_mm(100.0, 50.0);
        assert_eq!(contain(room, pixels(300, 300)), Size::from_mm(50.0, 50.0));
        assert_eq!(contain(room, pixels(400, 100)), Size::from_mm(100.0, 25.0));
    }

    #[test]
    fn the_thinnest_picture_overflows_nothing() {
        let target = Rect::from_mm(-20.0, -20.0, 2040.0, 1040.0);
        for picture in [pixels(u32::MAX, 1), pixels(1, u32::MAX)] {
            let frame = cover(target, picture, (0.3, 0.3));
            assert!(frame.contains(target));
            assert!(share_cropped(target, frame) < 1.0);
            let size = contain(Size::from_mm(1000.0, 1000.0), picture);
            assert!(size.width > Length::ZERO && size.height > Length::ZERO);
        }
    }
}
