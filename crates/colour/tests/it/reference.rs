//! The reference library itself, asked at full precision.

use colour::{Lab, Profile};
use lcms2::{CIExyY, Flags, GlobalContext, Intent, PixelFormat, Transform};

pub fn open(profile: &Profile) -> lcms2::Profile {
    lcms2::Profile::new_icc(profile.bytes()).unwrap()
}

/// RGB of 0 to 1 to inks of 0 to 100.
pub fn inks(
    source: &Profile,
    press: &Profile,
    intent: Intent,
    compensate: bool,
    from: &[[f32; 3]],
) -> Vec<[f32; 4]> {
    let mut flags = Flags::NO_OPTIMIZE;
    if compensate {
        flags = flags | Flags::BLACKPOINT_COMPENSATION;
    }
    let transform = Transform::new_flags(
        &open(source),
        PixelFormat::RGB_FLT,
        &open(press),
        PixelFormat::CMYK_FLT,
        intent,
        flags,
    )
    .unwrap();
    let mut to = vec![[0.0; 4]; from.len()];
    transform.transform_pixels(from, &mut to);
    to
}

/// Inks of 0 to 100 to Lab relative to the paper.
pub fn labs(press: &Profile, from: &[[f32; 4]]) -> Vec<Lab> {
    let transform = Transform::new_flags(
        &open(press),
        PixelFormat::CMYK_FLT,
        &lab(),
        PixelFormat::Lab_FLT,
        Intent::RelativeColorimetric,
        Flags::NO_OPTIMIZE,
    )
    .unwrap();
    let mut to = vec![[0.0_f32; 3]; from.len()];
    transform.transform_pixels(from, &mut to);
    to.into_iter()
        .map(|[l, a, b]| Lab {
            l: f64::from(l),
            a: f64::from(a),
            b: f64::from(b),
        })
        .collect()
}

/// Lab of sRGB bytes, D50, by the reference library.
pub fn screen_labs(rgb: &[u8]) -> Vec<Lab> {
    let transform: Transform<[u8; 3], [f64; 3]> = Transform::new(
        &open(&Profile::srgb()),
        PixelFormat::RGB_8,
        &lab(),
        PixelFormat::Lab_DBL,
        Intent::RelativeColorimetric,
    )
    .unwrap();
    let pixels: Vec<[u8; 3]> = rgb.chunks_exact(3).map(|p| p.try_into().unwrap()).collect();
    let mut labs = vec![[0.0; 3]; pixels.len()];
    transform.transform_pixels(&pixels, &mut labs);
    labs.into_iter().map(|[l, a, b]| Lab { l, a, b }).collect()
}

/// The same random bytes at every run.
pub struct Random(u64);

impl Random {
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// SplitMix64, after Steele, Lea and Flood 2014.
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    pub fn bytes(&mut self, count: usize) -> Vec<u8> {
        (0..count).map(|_| (self.next() >> 56) as u8).collect()
    }
}

/// Lab relative to the paper to inks of 0 to 100: relative colorimetric with black-point
/// compensation.
pub fn inks_of_labs(press: &Profile, from: &[[f32; 3]]) -> Vec<[f32; 4]> {
    let transform = Transform::new_flags(
        &lab(),
        PixelFormat::Lab_FLT,
        &open(press),
        PixelFormat::CMYK_FLT,
        Intent::RelativeColorimetric,
        Flags::NO_OPTIMIZE | Flags::BLACKPOINT_COMPENSATION,
    )
    .unwrap();
    let mut to = vec![[0.0; 4]; from.len()];
    transform.transform_pixels(from, &mut to);
    to
}

/// A profile for Lab itself.
pub fn lab() -> lcms2::Profile {
    let white = CIExyY {
        x: 0.345_702_915,
        y: 0.358_538_597,
        Y: 1.0,
    };
    lcms2::Profile::new_lab4_context(GlobalContext::new(), &white).unwrap()
}
