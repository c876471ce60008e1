//! Where the bar code stands.

use finding::{Finding, Place, Severity};
use measure::{Length, Rect};

use super::room::{bar_code_clear, clear_of, named};
use super::say::{of_the, the};
use super::{PlacedBarCode, SheetPlan};
use crate::dress::Carrier;
use crate::finishing::{BarCodeWish, Corner};
use crate::model::Book;
use crate::object::{FlatKind, FlatSheet};

/// The white panel stands out around the quiet zones by this much. Our assumption.
const WHITE_AROUND: Length = Length::from_nm(1_500_000);
/// A scanner shines red light. Cyan and black drink it, so that with as much of them together, in
/// percent, the ground looks dark to it; magenta and yellow look white. The bound is our assumption.
const DARK_TO_SCANNER: f64 = 20.0;

/// Which of the sheets carries the bar code; says so if the wished one is not there.
pub(super) fn carrier(
    wish: &BarCodeWish,
    flats: &[FlatSheet],
    findings: &mut Vec<Finding>,
) -> Option<FlatKind> {
    let of = |carrier: Carrier| {
        flats
            .iter()
            .map(|flat| flat.kind)
            .find(|kind| carrier.is(*kind))
    };
    let Some(wished) = wish.on else {
        return of(Carrier::Jacket).or_else(|| of(Carrier::Cover));
    };
    let found = of(wished);
    if found.is_none() {
        findings.push(
            Finding::new(
                "book-bar-code-nowhere",
                Severity::Stop,
                Place::Whole,
                format!(
                    "The bar code is to stand on the {}, but the book has none.",
                    wished.word()
                ),
            )
            .hint("Set `barcode.on` to a piece that the book has."),
        );
    }
    found
}

/// Places it on its sheet; `None`, and a finding, if it finds no room.
pub(super) fn place(
    book: &Book,
    wish: &BarCodeWish,
    flat: &FlatSheet,
    findings: &mut Vec<Finding>,
) -> Option<PlacedBarCode> {
    let Some(panel) = named(flat, &wish.panel) else {
        findings.push(unknown_panel(
            "The bar code",
            "barcode.panel",
            &wish.panel,
            flat,
        ));
        return None;
    };
    let layout = wish.code.lay_out();
    let around = if wish.white {
        WHITE_AROUND
    } else {
        Length::ZERO
    };
    let (width, height) = (
        layout.size.width + around * 2,
        layout.size.height + around * 2,
    );
    let clear = bar_code_clear(panel.rect, book.format.safe);
    let blocked: Vec<Rect> = flat.no_go.iter().map(|no_go| no_go.rect).collect();
    let room = clear_of(panel.rect.grown(-clear), &blocked);
    let Some(room) = room.filter(|room| room.width >= width && room.height >= height) else {
        let (across, down) = room.map_or((Length::ZERO, Length::ZERO), |room| {
            (room.width, room.height)
        });
        findings.push(
            Finding::new(
                "book-bar-code-no-room",
                Severity::Stop,
                Place::Whole,
                format!(
                    "The bar code does not fit on the {} {}; it is left out.",
                    panel.name,
                    of_the(flat.kind)
                ),
            )
            .hint(
                "Lower `barcode.magnification` (80% is the least), or choose a larger panel with \
                 `barcode.panel`.",
            )
            .figures(
                format!("{:.1} × {:.1} mm", across.mm(), down.mm()),
                format!("{:.1} × {:.1} mm", width.mm(), height.mm()),
            ),
        );
        return None;
    };
    let x = match wish.place {
        Corner::FootRight | Corner::HeadRight => room.right() - width,
        Corner::FootLeft | Corner::HeadLeft => room.x,
    };
    let y = match wish.place {
        Corner::FootRight | Corner::FootLeft => room.bottom() - height,
        Corner::HeadRight | Corner::HeadLeft => room.y,
    };
    let whole = Rect::new(x, y, width, height);
    Some(PlacedBarCode {
        rect: whole.grown(-around),
        white: wish.white.then_some(whole),
        layout,
    })
}

/// What lies under bars that have no white panel of their own.
pub(super) fn on_ground(sheet: &SheetPlan, findings: &mut Vec<Finding>) {
    let Some(bars) = &sheet.bar_code else { return };
    if bars.white.is_some() {
        return;
    }
    let hint = "Set `barcode.white` to `true`, which leaves the paper bare under it.";
    let picture = sheet
        .pictures
        .iter()
        .rev()
        .find(|picture| picture.window.shared(bars.rect).is_some());
    if let Some(picture) = picture {
        findings.push(
            Finding::new(
                "book-bar-code-on-picture",
                Severity::Warn,
                Place::Whole,
                format!(
                    "The bar code stands on `{}`; a scanner needs a light and quiet ground.",
                    picture.piece
                ),
            )
            .hint(hint),
        );
        if picture.window.contains(bars.rect) {
            return;
        }
    }
    let [cyan, _, _, black] = sheet.ground;
    if cyan + black > DARK_TO_SCANNER {
        findings.push(
            Finding::new(
                "book-bar-code-on-dark",
                Severity::Stop,
                Place::Whole,
                format!(
                    "The bar code stands on the ground of {}, which is dark in the red light of a \
                     scanner.",
                    the(sheet.kind())
                ),
            )
            .hint(hint)
            .figures(
                format!("{:.0} % cyan and black", cyan + black),
                format!("up to {DARK_TO_SCANNER:.0} %"),
            ),
        );
    }
}

/// A panel that the sheet does not have.
pub(super) fn unknown_panel(what: &str, key: &str, panel: &str, flat: &FlatSheet) -> Finding {
    let known: Vec<String> = flat
        .panels
        .iter()
        .filter(|panel| !panel.name.contains("turn-in"))
        .map(|panel| format!("`{}`", panel.name))
        .collect();
    Finding::new(
        "book-panel-unknown",
        Severity::Stop,
        Place::Whole,
        format!(
            "{what} is to stand on the panel `{}`, which {} does not have.",
            crate::read::cut(panel),
            the(flat.kind)
        ),
    )
    .hint(format!("Set `{key}` to one of {}.", known.join(", ")))
}
