//! Where on a flat sheet pictures reach and words may stand.

use measure::{Length, Rect};

use crate::object::{Allowance, FlatKind, FlatSheet, Panel};

/// A picture runs this far around the fold to a flap, so that the ground of the flap does not show
/// on the edge of the book where the fold is a little off. Our assumption.
const OVER_FOLD: Length = Length::from_nm(3_000_000);
/// Words on a face keep this clear of its edges, where it has the room. Our assumption.
const CLEAR_OF_EDGE: Length = Length::from_nm(12_000_000);
/// A bar code keeps this clear of edges: nearer to one, a hand scanner loses it. From memory of the
/// placement rules of the GS1 General Specifications.
const BAR_CODE_CLEAR: Length = Length::from_nm(8_000_000);

/// What a panel is, whatever its sheet calls it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    Front,
    Back,
    Spine,
    FrontFlap,
    BackFlap,
}

impl Role {
    /// Names of the panels that play it. A slipcase lies with its closed edge towards the fore edge
    /// of the book, so that its left side covers the front.
    const fn names(self) -> &'static [&'static str] {
        match self {
            Self::Front => &["front", "left side"],
            Self::Back => &["back", "right side"],
            Self::Spine => &["spine", "closed edge"],
            Self::FrontFlap => &["front flap"],
            Self::BackFlap => &["back flap"],
        }
    }

    /// The panel that plays it.
    pub(super) fn panel(self, flat: &FlatSheet) -> Option<&Panel> {
        self.names().iter().find_map(|name| flat.panel(name))
    }
}

/// A panel by the name that somebody wrote: its own, or `front`, `back` and `spine` for what plays
/// them.
pub(super) fn named<'f>(flat: &'f FlatSheet, name: &str) -> Option<&'f Panel> {
    let name = name.trim().to_lowercase();
    flat.panel(&name).or_else(|| {
        [Role::Front, Role::Back, Role::Spine]
            .into_iter()
            .find(|role| role.names()[0] == name)
            .and_then(|role| role.panel(flat))
    })
}

/// The panel with what its print needs beyond it: bleed or turn-in at the edges of the sheet, the
/// hinge of a case up to the spine, and a strip around the fold to a flap.
pub(super) fn reach(flat: &FlatSheet, panel: &Panel) -> Rect {
    let printed = flat.printed();
    let rect = panel.rect;
    let beyond = |side: Side| -> Length {
        let Some(next) = neighbour(flat, rect, side) else {
            return match flat.allowance {
                Allowance::Bleed(bleed) => bleed,
                Allowance::TurnIn(_) => Length::ZERO,
            };
        };
        let size = match side {
            Side::Left | Side::Right => next.rect.width,
            Side::Above | Side::Below => next.rect.height,
        };
        if next.name.contains("turn-in") || next.name.ends_with("hinge") {
            size
        } else if next.name.ends_with("flap") || next.name.ends_with("tuck") {
            OVER_FOLD.min(size / 2)
        } else {
            Length::ZERO
        }
    };
    let (left, right) = (beyond(Side::Left), beyond(Side::Right));
    let (above, below) = (beyond(Side::Above), beyond(Side::Below));
    let grown = Rect::new(
        rect.x - left,
        rect.y - above,
        rect.width + left + right,
        rect.height + above + below,
    );
    grown.shared(printed).unwrap_or(rect)
}

/// The panel with bleed or turn-in where it meets the edge of the sheet, and nothing of its
/// neighbours.
pub(super) fn with_allowance(flat: &FlatSheet, panel: &Panel) -> Rect {
    let rect = panel.rect;
    let beyond = |side: Side| -> Length {
        match (neighbour(flat, rect, side), flat.allowance) {
            (None, Allowance::Bleed(bleed)) => bleed,
            (Some(next), _) if next.name.contains("turn-in") => match side {
                Side::Left | Side::Right => next.rect.width,
                Side::Above | Side::Below => next.rect.height,
            },
            _ => Length::ZERO,
        }
    };
    let (left, right) = (beyond(Side::Left), beyond(Side::Right));
    let (above, below) = (beyond(Side::Above), beyond(Side::Below));
    Rect::new(
        rect.x - left,
        rect.y - above,
        rect.width + left + right,
        rect.height + above + below,
    )
}

#[derive(Clone, Copy)]
enum Side {
    Left,
    Right,
    Above,
    Below,
}

/// The panel that lies along a whole side of a rectangle.
fn neighbour(flat: &FlatSheet, rect: Rect, side: Side) -> Option<&Panel> {
    flat.panels.iter().find(|other| {
        let other = other.rect;
        let beside = other.y <= rect.y && other.bottom() >= rect.bottom();
        let over = other.x <= rect.x && other.right() >= rect.right();
        match side {
            Side::Left => beside && other.right() == rect.x,
            Side::Right => beside && other.x == rect.right(),
            Side::Above => over && other.bottom() == rect.y,
            Side::Below => over && other.y == rect.bottom(),
        }
    })
}

/// How far words on a panel keep from its edges: as on the front of a soft cover, but never more
/// than a sixth of a lesser panel.
pub(super) fn clear_of_edges(flat: &FlatSheet, panel: Rect, safe: Length) -> Length {
    let clear = safe.max(CLEAR_OF_EDGE.min(panel.width / 10));
    if flat.kind == FlatKind::SoftCover && flat.panel("front").is_some_and(|it| it.rect == panel) {
        return clear;
    }
    clear.min(panel.width.min(panel.height) / 6)
}

/// How far a bar code keeps from the edges of its panel.
pub(super) fn bar_code_clear(panel: Rect, safe: Length) -> Length {
    safe.max(BAR_CODE_CLEAR)
        .min(panel.width.min(panel.height) / 6)
}

/// The largest part of a rectangle that is clear of every blocked one, found by cutting along their
/// sides one after the other; `None` if nothing is left.
pub(super) fn clear_of(rect: Rect, blocked: &[Rect]) -> Option<Rect> {
    let is_there = |rect: &Rect| rect.width > Length::ZERO && rect.height > Length::ZERO;
    let mut rest = Some(rect).filter(is_there);
    // What is cut once never overlaps that one again, so one pass is enough.
    for block in blocked {
        let Some(rect) = rest else { break };
        if rect.shared(*block).is_none() {
            continue;
        }
        let parts = [
            Rect::new(rect.x, rect.y, rect.width, block.y - rect.y),
            Rect::new(
                rect.x,
                block.bottom(),
                rect.width,
                rect.bottom() - block.bottom(),
            ),
            Rect::new(rect.x, rect.y, block.x - rect.x, rect.height),
            Rect::new(
                block.right(),
                rect.y,
                rect.right() - block.right(),
                rect.height,
            ),
        ];
        rest = parts.into_iter().filter(is_there).max_by(|one, other| {
            let area = |rect: &Rect| i128::from(rect.width.nm()) * i128::from(rect.height.nm());
            area(one).cmp(&area(other))
        });
    }
    rest
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_largest_part_beside_a_block_is_kept() {
        let rect = Rect::from_mm(0.0, 0.0, 100.0, 200.0);
        let cut = |blocked: &[Rect]| clear_of(rect, blocked);
        assert_eq!(cut(&[]), Some(rect));
        assert_eq!(
            cut(&[Rect::from_mm(60.0, 150.0, 40.0, 30.0)]),
            Some(Rect::from_mm(0.0, 0.0, 100.0, 150.0))
        );
        assert_eq!(
            cut(&[
                Rect::from_mm(-5.0, -5.0, 10.0, 300.0),
                Rect::from_mm(95.0, -5.0, 10.0, 300.0)
            ]),
            Some(Rect::from_mm(5.0, 0.0, 90.0, 200.0))
        );
        assert_eq!(cut(&[rect.grown(Length::from_mm(1.0))]), None);
    }
}
