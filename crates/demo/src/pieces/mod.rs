//! The pieces, each in a module of its own.

mod engine;
mod fog;
mod gulls;
mod hall;
mod keeper;
mod market;
mod moonrise;
mod neon;
mod night;
mod poster;
mod signal;
mod storm;
mod viaduct;

use crate::{Draw, Encoding, Kind, Piece, Profile};

/// Page and spread with 3 mm of bleed at 300 ppi.
const PAGE: (u32, u32, f32) = (3024, 3614, 256.0);
const SPREAD: (u32, u32, f32) = (5976, 3614, 506.0);

/// The page at half the resolution.
const SKETCH: (u32, u32, f32) = (1512, 1807, 256.0);

/// All pieces, in the order in which they were made.
pub(crate) fn all() -> Vec<Piece> {
    vec![
        piece("viaduct-at-dawn.jpg", SPREAD, Kind::Painterly, JPEG, Profile::Srgb, Draw::Rgb(viaduct::scene)),
        piece("night-crossing.png", SPREAD, Kind::Dark, Encoding::Png, Profile::Srgb, Draw::Rgb(night::scene)),
        piece("platform-nine.jpg", SPREAD, Kind::Saturated, JPEG, Profile::Wide, Draw::Rgb(neon::scene)),
        piece("weather-coming.jpg", SPREAD, Kind::Painterly, JPEG, Profile::None, Draw::Rgb(storm::scene)),
        piece("signal-box.tif", PAGE, Kind::Painterly, Encoding::Tiff, Profile::Srgb, Draw::Deep(signal::scene)),
        piece("fog-on-the-causeway.jpg", PAGE, Kind::Painterly, ON_ITS_SIDE, Profile::Srgb, Draw::Rgb(fog::scene)),
        piece("lamp-keeper.webp", PAGE, Kind::Flat, Encoding::WebP, Profile::None, Draw::Rgb(keeper::scene)),
        piece("the-engine.png", PAGE, Kind::Flat, Encoding::Png, Profile::Srgb, Draw::Rgb(engine::scene)),
        piece("market-on-the-sand.jpg", SPREAD, Kind::Painterly, JPEG, Profile::Srgb, Draw::Rgb(market::scene)),
        piece("poster.png", PAGE, Kind::Flat, Encoding::Png, Profile::Srgb, Draw::Rgb(poster::scene)),
        piece("the-hall-at-terminus.jpg", PAGE, Kind::Painterly, JPEG, Profile::Srgb, Draw::Rgb(hall::scene)),
        piece("gulls.jpg", PAGE, Kind::Painterly, JPEG, Profile::Srgb, Draw::Rgb(gulls::scene)),
        piece("gulls-second-try.jpg", SKETCH, Kind::Painterly, JPEG, Profile::Srgb, Draw::Rgb(gulls::second_try)),
        piece("moonrise.jpg", PAGE, Kind::Painterly, JPEG, Profile::Srgb, Draw::Rgb(moonrise::scene)),
    ]
}

const JPEG: Encoding = Encoding::Jpeg {
    quality: 92,
    on_its_side: false,
};

const ON_ITS_SIDE: Encoding = Encoding::Jpeg {
    quality: 93,
    on_its_side: true,
};

fn piece(
    name: &'static str,
    size: (u32, u32, f32),
    kind: Kind,
    encoding: Encoding,
    profile: Profile,
    draw: Draw,
) -> Piece {
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
