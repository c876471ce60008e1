//! How sheets are named in sentences.

use crate::object::FlatKind;

/// `the jacket`.
pub(super) const fn the(kind: FlatKind) -> &'static str {
    match kind {
        FlatKind::SoftCover => "the cover",
        FlatKind::CaseWrap => "the case",
        FlatKind::FrontEndpaper => "the front endpaper",
        FlatKind::BackEndpaper => "the back endpaper",
        FlatKind::Jacket => "the jacket",
        FlatKind::BellyBand => "the belly band",
        FlatKind::SlipcaseWrap | FlatKind::SlipcaseEnds => "the slipcase",
    }
}

/// `of the jacket`.
pub(super) fn of_the(kind: FlatKind) -> String {
    format!("of {}", the(kind))
}

/// `The jacket's`.
pub(super) fn owned_by(kind: FlatKind) -> String {
    let the = the(kind);
    format!("T{}'s", &the[1..])
}
