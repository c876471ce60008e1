//! The soft cover: back, spine and front of one sheet, with flaps if they are wanted.

use measure::{Length, Size};

use super::block::Block;
use super::bound::{Bound, Closed};
use super::flat::{Allowance, FlatKind, FlatSheet};
use super::reckoning::Reckoning;
use super::typical;
use crate::model::{BindingKind, Book, Thickness};
use crate::object_wishes::Back;

/// Words keep this far from the edges of a spine, on each side of the fold. Common practice, no
/// source.
pub(crate) const SPINE_EDGE: Length = typical::um(1_000);
/// What matters keeps this far from any other fold. Printers ask for an eighth of an inch.
pub(super) const FOLD_CLEAR: Length = typical::um(3_000);

/// Reckons cover, spine and flaps. Gives the spine, the bound book and the sheet.
pub(super) fn reckon(
    book: &Book,
    block: &Block,
    signatures: Vec<u32>,
    reckoning: &mut Reckoning,
) -> (Length, Bound, FlatSheet) {
    let key = match book.cover_stock.thickness {
        Thickness::Caliper(_) => "stock.cover.caliper",
        _ => "stock.cover.bulk",
    };
    let stitched = book.binding.kind == BindingKind::WireStitched;
    let mut thickness = block.thickness + book.cover_stock.caliper() * 2;
    let spine = if stitched {
        reckoning.given("Paper", book.cover_stock.grammage, "stock.cover.grammage");
        reckoning.step_shown(
            "Spine",
            "stitched through the fold",
            Length::ZERO.into(),
            "no spine".to_owned(),
        );
        Length::ZERO
    } else {
        reckoning.given("Paper", book.cover_stock.grammage, "stock.cover.grammage");
        let cover = reckoning.caliper("cover", &book.cover_stock, key);
        let (words, back) = block.at_the_back();
        thickness = back + cover * 2;
        reckoning.spine(
            book.object.spine,
            format!("{words} + 2 × {cover}"),
            thickness,
        )
    };
    let trim = book.format.trim;
    let cover = book.cover_stock.caliper();
    let (mut flap, mut over) = (Length::ZERO, Length::ZERO);
    if let Some(wishes) = book.object.flaps {
        over = reckoning.said(wishes.over, &typical::FLAP_OVER, Length::ZERO);
        let usual = (trim.width / 3)
            .clamp(typical::um(60_000), typical::um(90_000))
            .min(trim.width.scaled(0.8));
        flap = reckoning.said(wishes.width, &typical::COVER_FLAP, usual);
        thickness += cover * 2;
    }
    let mut flat = FlatSheet::columns(
        FlatKind::SoftCover,
        trim.height,
        Allowance::Bleed(book.format.bleed),
        &[
            ("back flap", flap),
            ("back", trim.width + over),
            ("spine", spine),
            ("front", trim.width + over),
            ("front flap", flap),
        ],
    );
    flat.clear("spine", SPINE_EDGE, SPINE_EDGE, "fold of the spine");
    flat.clear("front", SPINE_EDGE, SPINE_EDGE, "fold of the spine");
    if flap > Length::ZERO {
        flat.clear("back", FOLD_CLEAR, FOLD_CLEAR, "fold of the flap");
        flat.clear("front flap", FOLD_CLEAR, FOLD_CLEAR, "fold of the flap");
    }
    let mass = reckoning.sheets("Cover", 1, "sheet", flat.trim, book.cover_stock.grammage);
    reckoning.part("cover", mass);
    let bound = Bound {
        kind: book.binding.kind,
        signatures,
        block: block.thickness,
        swell: block.swell,
        page_width: trim.width,
        flap,
        endpapers: Length::ZERO,
        board: Length::ZERO,
        cover,
        square: Length::ZERO,
        setback: Length::ZERO,
        strip: Length::ZERO,
        back: Back::Flat,
        rise: Length::ZERO,
        closed: Closed {
            width: trim.width + over + if stitched { Length::ZERO } else { cover },
            height: trim.height,
            thickness,
            over_spine: if stitched { thickness } else { spine },
            face: trim.width + over,
            edge: if flap > Length::ZERO {
                cover * 2
            } else {
                cover
            },
        },
    };
    (spine, bound, flat)
}

/// The two endpapers of a case, each as wide as a spread.
pub(super) fn endpapers(book: &Book) -> [FlatSheet; 2] {
    let Size { width, height } = book.format.trim;
    [
        (FlatKind::FrontEndpaper, ["pasted down", "flying leaf"]),
        (FlatKind::BackEndpaper, ["flying leaf", "pasted down"]),
    ]
    .map(|(kind, [left, right])| {
        let mut flat = FlatSheet::columns(
            kind,
            height,
            Allowance::Bleed(book.format.bleed),
            &[(left, width), (right, width)],
        );
        flat.clear(
            right,
            FOLD_CLEAR,
            FOLD_CLEAR,
            "fold at the back of the block",
        );
        flat
    })
}
