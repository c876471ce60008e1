//! The pieces, each in a module of its own.

mod engine;
mod fog;
mod gulls;
mod hall;
mod heron;
mod keeper;
mod map;
mod market;
mod moonrise;
mod neon;
mod night;
mod plants;
mod postcard;
mod poster;
mod signal;
mod sketch;
mod storm;
mod viaduct;

use crate::{Draw, Encoding, Kind, Piece, Profile};

pub(crate) use moonrise::MOON;

/// Page and spread with 3 mm of bleed at 300 ppi.
const PAGE: (u32, u32, f32) = (3024, 3614, 256.0);
const SPREAD: (u32, u32, f32) = (5976, 3614, 506.0);

/// The page at half the resolution.
const SKETCH: (u32, u32, f32) = (1512, 1807, 256.0);

/// A plant on its own.
const PLANT: (u32, u32, f32) = (2008, 2480, 170.0);

/// All pieces, in the order in which they were made.
pub(crate) fn all() -> Vec<Piece> {
    vec![
        piece(
            "viaduct-at-dawn.jpg",
            SPREAD,
            Kind::Painterly,
            JPEG,
            Profile::Srgb,
            Draw::Rgb(viaduct::scene),
        ),
        piece(
            "night-crossing.png",
            SPREAD,
            Kind::Dark,
            Encoding::Png,
            Profile::Srgb,
            Draw::Rgb(night::scene),
        ),
        piece(
            "platform-nine.jpg",
            SPREAD,
            Kind::Saturated,
            JPEG,
            Profile::Wide,
            Draw::Rgb(neon::scene),
        ),
        piece(
            "weather-coming.jpg",
            SPREAD,
            Kind::Painterly,
            JPEG,
            Profile::None,
            Draw::Rgb(storm::scene),
        ),
        piece(
            "signal-box.tif",
            PAGE,
            Kind::Painterly,
            Encoding::Tiff,
            Profile::Srgb,
            Draw::Deep(signal::scene),
        ),
        piece(
            "fog-on-the-causeway.jpg",
            PAGE,
            Kind::Painterly,
            ON_ITS_SIDE,
            Profile::Srgb,
            Draw::Rgb(fog::scene),
        ),
        piece(
            "lamp-keeper.webp",
            PAGE,
            Kind::Flat,
            Encoding::WebP,
            Profile::None,
            Draw::Rgb(keeper::scene),
        ),
        piece(
            "the-engine.png",
            PAGE,
            Kind::Flat,
            Encoding::Png,
            Profile::Srgb,
            Draw::Rgb(engine::scene),
        ),
        piece(
            "market-on-the-sand.jpg",
            SPREAD,
            Kind::Painterly,
            JPEG,
            Profile::Srgb,
            Draw::Rgb(market::scene),
        ),
        piece(
            "poster.png",
            PAGE,
            Kind::Flat,
            Encoding::Png,
            Profile::Srgb,
            Draw::Rgb(poster::scene),
        ),
        piece(
            "the-hall-at-terminus.jpg",
            PAGE,
            Kind::Painterly,
            JPEG,
            Profile::Srgb,
            Draw::Rgb(hall::scene),
        ),
        piece(
            "gulls.jpg",
            PAGE,
            Kind::Painterly,
            JPEG,
            Profile::Srgb,
            Draw::Rgb(gulls::scene),
        ),
        piece(
            "gulls-second-try.jpg",
            SKETCH,
            Kind::Painterly,
            JPEG,
            Profile::Srgb,
            Draw::Rgb(gulls::second_try),
        ),
        piece(
            "moonrise.jpg",
            PAGE,
            Kind::Painterly,
            JPEG,
            Profile::Srgb,
            Draw::Rgb(moonrise::scene),
        ),
        piece(
            "heron.png",
            (2244, 2811, 190.0),
            Kind::Line,
            Encoding::Png,
            Profile::Grey,
            Draw::Grey(heron::scene),
        ),
        piece(
            "map-of-the-line.tif",
            (2480, 2953, 210.0),
            Kind::Flat,
            Encoding::Tiff,
            Profile::None,
            Draw::Cmyk(map::colours, map::black),
        ),
        piece(
            "saltern-cross.jpg",
            (2362, 2362, 200.0),
            Kind::Pencil,
            JPEG,
            Profile::Grey,
            Draw::Grey(sketch::scene),
        ),
        piece(
            "old-postcard.jpg",
            (1260, 840, 150.0),
            Kind::Painterly,
            SAVED_TOO_OFTEN,
            Profile::None,
            Draw::Rgb(postcard::scene),
        ),
        piece(
            "glasswort.png",
            PLANT,
            Kind::Cutout,
            Encoding::Png,
            Profile::Srgb,
            Draw::Rgba(plants::glasswort),
        ),
        piece(
            "sea-lavender.png",
            PLANT,
            Kind::Cutout,
            Encoding::Png,
            Profile::Srgb,
            Draw::Rgba(plants::sea_lavender),
        ),
        piece(
            "sea-holly.png",
            PLANT,
            Kind::Cutout,
            Encoding::Png,
            Profile::Srgb,
            Draw::Rgba(plants::sea_holly),
        ),
        piece(
            "eelgrass.png",
            PLANT,
            Kind::Cutout,
            Encoding::Png,
            Profile::Srgb,
            Draw::Rgba(plants::eelgrass),
        ),
    ]
}

const JPEG: Encoding = Encoding::Jpeg {
    quality: 92,
    on_its_side: false,
};

const SAVED_TOO_OFTEN: Encoding = Encoding::Jpeg {
    quality: 24,
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
