//! The pieces, each in a module of its own.

mod neon;
mod night;
mod storm;
mod viaduct;

use crate::{Draw, Encoding, Kind, Piece, Profile};

/// Page and spread with 3 mm of bleed at 300 ppi.
const PAGE: (u32, u32, f32) = (3024, 3614, 256.0);
const SPREAD: (u32, u32, f32) = (5976, 3614, 506.0);

/// All pieces, in the order in which they were made.
pub(crate) fn all() -> Vec<Piece> {
    vec![
        piece("viaduct-at-dawn.jpg", SPREAD, Kind::Painterly, JPEG, Profile::Srgb, Draw::Rgb(viaduct::scene)),
        piece("night-crossing.png", SPREAD, Kind::Dark, Encoding::Png, Profile::Srgb, Draw::Rgb(night::scene)),
        piece("platform-nine.jpg", SPREAD, Kind::Saturated, JPEG, Profile::Wide, Draw::Rgb(neon::scene)),
        piece("weather-coming.jpg", SPREAD, Kind::Painterly, JPEG, Profile::None, Draw::Rgb(storm::scene)),
    ]
}

const JPEG: Encoding = Encoding::Jpeg {
    quality: 92,
    on_its_side: false,
};

fn piece(
    name: &'static str,
    size: (u32, u32, f32),
    kind: Kind,
    encoding: Encoding,
    profile: Profile,
    draw: Draw,
) -> Piece {
    let _ = PAGE;
    Piece {
        name,
        width: size.0,
        height: size.1,
        kind,
        encoding,
        profile,
        across_mm: size.2,
        draw,
    }
}
