//! What goes around the closed book: jacket, belly band, slipcase.

use measure::{Length, Size};

use super::bound::Closed;
use super::figure::long;
use super::flat::{Allowance, FlatKind, FlatSheet};
use super::reckoning::Reckoning;
use super::soft::{FOLD_CLEAR, SPINE_EDGE};
use super::typical::{self, BOARD_DENSITY, um};
use crate::model::Book;
use crate::object_wishes::{BandWishes, JacketWishes, SlipcaseWishes};

/// A wrap's usual width of what lies inside the cover: a third of the front, at least 70 mm where
/// the page is wide enough.
fn usual_flap(face: Length) -> Length {
    (face / 3).max(um(70_000)).min(face.scaled(0.8))
}

/// Reckons the jacket. Gives the sheet, and the book with the jacket around it.
pub(super) fn jacket(
    book: &Book,
    wishes: &JacketWishes,
    closed: Closed,
    reckoning: &mut Reckoning,
) -> (FlatSheet, Closed) {
    let paper = reckoning.said(wishes.paper.grammage, &typical::JACKET, typical::gsm(150.0));
    let caliper = reckoning.said(
        wishes.paper.caliper,
        &typical::JACKET_CALIPER,
        typical::coated(paper),
    );
    let height = reckoning.said(wishes.height, &typical::JACKET_HEIGHT, closed.height);
    let turn = reckoning.said(wishes.turn, &typical::JACKET_TURN, closed.edge + um(1_000));
    let flap = reckoning.said(wishes.flap, &typical::JACKET_FLAP, usual_flap(closed.face));
    let face = closed.face + turn;
    reckoning.step(
        "Front and back",
        format!("{} + {} turn", long(closed.face), long(turn)),
        face.into(),
    );
    let spine = closed.over_spine + caliper * 2;
    reckoning.step(
        "Spine of the jacket",
        format!("{} + 2 × {}", long(closed.over_spine), long(caliper)),
        spine.into(),
    );
    let mut flat = FlatSheet::columns(
        FlatKind::Jacket,
        height,
        Allowance::Bleed(book.format.bleed),
        &[
            ("back flap", flap),
            ("back", face),
            ("spine", spine),
            ("front", face),
            ("front flap", flap),
        ],
    );
    around_folds(&mut flat, ["back", "front flap"]);
    let mass = reckoning.sheets("Jacket", 1, "sheet", flat.trim, paper);
    reckoning.part("jacket", mass);
    // Whatever goes around the jacket turns where it turns.
    let wrapped = Closed {
        edge: turn,
        ..closed.wrapped(caliper)
    };
    (flat, wrapped)
}

/// Reckons the belly band. Gives the sheet, and the book with the band around it.
pub(super) fn band(
    book: &Book,
    wishes: &BandWishes,
    closed: Closed,
    reckoning: &mut Reckoning,
) -> (FlatSheet, Closed) {
    let paper = reckoning.said(wishes.paper.grammage, &typical::BAND, typical::gsm(135.0));
    let caliper = reckoning.said(
        wishes.paper.caliper,
        &typical::BAND_CALIPER,
        typical::coated(paper),
    );
    let height = reckoning.said(
        wishes.height,
        &typical::BAND_HEIGHT,
        um(70_000).min(closed.height / 2),
    );
    let tuck = reckoning.said(wishes.tuck, &typical::BAND_TUCK, usual_flap(closed.face));
    let ease = reckoning.said(wishes.ease, &typical::BAND_EASE, um(500));
    let face = closed.face + closed.edge + ease;
    reckoning.step(
        "Front and back",
        format!(
            "{} + {} edge + {} ease",
            long(closed.face),
            long(closed.edge),
            long(ease)
        ),
        face.into(),
    );
    let spine = closed.over_spine + ease;
    reckoning.step(
        "Spine of the band",
        format!("{} + {} ease", long(closed.over_spine), long(ease)),
        spine.into(),
    );
    let mut flat = FlatSheet::columns(
        FlatKind::BellyBand,
        height,
        Allowance::Bleed(book.format.bleed),
        &[
            ("back tuck", tuck),
            ("back", face),
            ("spine", spine),
            ("front", face),
            ("front tuck", tuck),
        ],
    );
    around_folds(&mut flat, ["back", "front tuck"]);
    let mass = reckoning.sheets("Belly band", 1, "sheet", flat.trim, paper);
    reckoning.part("belly band", mass);
    (flat, closed.wrapped(caliper))
}

fn around_folds(flat: &mut FlatSheet, at_the_edge: [&str; 2]) {
    for panel in ["spine", "front"] {
        flat.clear(panel, SPINE_EDGE, SPINE_EDGE, "fold of the spine");
    }
    for panel in at_the_edge {
        flat.clear(panel, FOLD_CLEAR, FOLD_CLEAR, "fold at the fore edge");
    }
}

/// Reckons the slipcase: five boards, the closed edge towards the fore edge of the book.
pub(super) fn slipcase(
    wishes: &SlipcaseWishes,
    closed: Closed,
    reckoning: &mut Reckoning,
) -> [FlatSheet; 2] {
    let board = reckoning.said(wishes.board, &typical::SLIPCASE_BOARD, um(2_000));
    let room = reckoning.said(wishes.clearance, &typical::CLEARANCE, um(2_000));
    let paper = reckoning.said(
        wishes.covering.grammage,
        &typical::SLIPCASE_COVERING,
        typical::gsm(135.0),
    );
    let caliper = reckoning.said(
        wishes.covering.caliper,
        &typical::SLIPCASE_COVERING_CALIPER,
        typical::coated(paper),
    );
    let turn_in = reckoning.said(wishes.turn_in, &typical::SLIPCASE_TURN_IN, um(15_000));
    let mut outside = |name: &str, of: Length, boards: i64| {
        let whole = of + room + (board + caliper) * boards;
        reckoning.step(
            name,
            format!(
                "{} + {} room + {boards} × ({} board + {} covering)",
                long(of),
                long(room),
                long(board),
                long(caliper)
            ),
            whole.into(),
        );
        whole
    };
    let height = outside("Height outside", closed.height, 2);
    let depth = outside("Depth outside", closed.width, 1);
    let thickness = outside("Thickness outside", closed.thickness, 2);
    let side = Size {
        width: depth,
        height,
    };
    let sides = reckoning.boards("Sides", 2, side, board, BOARD_DENSITY);
    let edge = Size {
        width: thickness,
        height,
    };
    let edge = reckoning.boards("Closed edge", 1, edge, board, BOARD_DENSITY);
    let end = Size {
        width: thickness,
        height: depth,
    };
    let ends = reckoning.boards("Head and foot", 2, end, board, BOARD_DENSITY);
    let wrap = FlatSheet::columns(
        FlatKind::SlipcaseWrap,
        height,
        Allowance::TurnIn(turn_in),
        &[
            ("left side", depth),
            ("closed edge", thickness),
            ("right side", depth),
        ],
    )
    .turned_in(turn_in);
    let mut caps = FlatSheet::columns(
        FlatKind::SlipcaseEnds,
        depth,
        Allowance::TurnIn(turn_in),
        &[("head or foot", thickness)],
    )
    .turned_in(turn_in);
    caps.count = 2;
    let covering = reckoning.sheets("Covering around", 1, "sheet", wrap.trim, paper);
    let capping = reckoning.sheets("Covering of the ends", 2, "sheet", caps.trim, paper);
    reckoning.part("slipcase", sides + edge + ends + covering + capping);
    [wrap, caps]
}
