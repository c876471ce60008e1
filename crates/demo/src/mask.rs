//! Masks of the finishings, drawn by program: a picture for the varnish, a drawing for the stamp.
//! Dark is plate. Nothing in them is finer than 0.8 mm, which every process holds.

use std::fmt::Write as _;

use crate::Pixels;
use crate::encode::{Encoding, Profile, encode};
use crate::noise::Dice;
use crate::pieces::MOON;
use crate::words::Binding;

/// Pixels of the picture to a millimetre: over 600 to the inch, so that edges show no steps.
const PER_MM: u32 = 24;
/// The front of the soft book, and what its picture runs over the trim, in mm.
const FRONT: (u32, u32) = (250, 300);
const BLEED: f32 = 3.0;
/// The picture of the front, in mm of its own.
const PICTURE: (f32, f32) = (256.0, 305.947);
/// The rails, and the line where the water begins, on the picture of the front.
const RAILS: f32 = 187.0;
const SHORE: f32 = 229.0;

impl Binding {
    /// Its masks: path in the book folder, and the file.
    pub fn masks(self) -> Vec<(&'static str, Vec<u8>)> {
        match self {
            Self::Soft => vec![("masks/moon.png", moon())],
            Self::Case => vec![
                ("masks/moonlight.svg", moonlight().into_bytes()),
                ("masks/viaduct.svg", viaduct().into_bytes()),
            ],
            Self::Zine => Vec::new(),
        }
    }
}

/// A glint on the water: a bar with round ends.
struct Glint {
    from: f32,
    to: f32,
    y: f32,
    radius: f32,
}

impl Glint {
    fn holds(&self, x: f32, y: f32) -> bool {
        (x - x.clamp(self.from, self.to)).hypot(y - self.y) < self.radius
    }
}

/// The broken reflection of the moon, on the front's picture.
fn glints() -> Vec<Glint> {
    let (x, _, radius) = MOON;
    let mut dice = Dice::new(17);
    let mut glints = Vec::new();
    for row in 0..11_u8 {
        let down = f32::from(row) * 4.4;
        let half = (radius * radius - (down * 1.5 - 20.0).powi(2))
            .max(64.0)
            .sqrt();
        let mut from = x - half + dice.between(0.0, 9.0);
        while from < x + half - 8.0 {
            let to = (from + dice.between(7.0, 26.0)).min(x + half);
            glints.push(Glint {
                from,
                to,
                y: SHORE + down,
                radius: dice.between(0.55, 1.1),
            });
            from = to + dice.between(4.0, 9.0);
        }
    }
    glints
}

/// The moon above the rails, and its broken reflection.
fn moon() -> Vec<u8> {
    let (x, y, radius) = MOON;
    let glints = glints();
    let (width, height) = (FRONT.0 * PER_MM, FRONT.1 * PER_MM);
    let mm = |pixel: u32| (pixel as f32 + 0.5) / PER_MM as f32 + BLEED;
    let mut pixels = Vec::with_capacity((width * height) as usize);
    for row in 0..height {
        let down = mm(row);
        let near: Vec<&Glint> = glints
            .iter()
            .filter(|glint| (glint.y - down).abs() < glint.radius)
            .collect();
        pixels.extend((0..width).map(|column| {
            let across = mm(column);
            let moon = down < RAILS && (across - x).hypot(down - y) < radius;
            if moon || near.iter().any(|glint| glint.holds(across, down)) {
                0
            } else {
                255_u8
            }
        }));
    }
    encode(
        Pixels::Grey8(pixels),
        (width, height),
        Encoding::Png,
        Profile::None,
    )
}

/// The rim of the moon above the rails, and its reflection, for the front of the jacket. That is
/// 259.486 mm wide and 306.243 mm high, and its picture runs over the trim at head and foot, so that
/// it is a little larger there than on the soft book.
fn moonlight() -> String {
    let (width, height) = (259.486, 306.243);
    let scale = (height + 2.0 * BLEED) / PICTURE.1;
    let left = (PICTURE.0 * scale - width) / 2.0;
    let (x, y, radius) = MOON;
    let below = RAILS - y - 2.0;
    let half = (radius * radius - below * below).sqrt();
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" \
         viewBox=\"0 0 {width} {height}\">\n\
         <title>The rim of the moon and its light on the water: dark is foil</title>\n\
         <g transform=\"translate({:.3} {:.3}) scale({scale:.5})\" fill=\"none\" stroke=\"#000\" \
         stroke-linecap=\"round\">\n\
         <path stroke-width=\"1.6\" d=\"M{:.2} {foot:.2}A{radius} {radius} 0 1 1 {:.2} {foot:.2}\"/>\n",
        -left,
        -BLEED,
        x - half,
        x + half,
        foot = y + below,
    );
    for glint in glints() {
        let _ = writeln!(
            svg,
            "<path stroke-width=\"{:.2}\" d=\"M{:.2} {:.2}H{:.2}\"/>",
            glint.radius * 2.0,
            glint.from,
            glint.y,
            glint.to
        );
    }
    svg.push_str("</g>\n</svg>\n");
    svg
}

/// The front of the case: board 247 mm wide and 306 mm high.
fn viaduct() -> String {
    let (width, height) = (247.0, 306.0);
    let (deck, foot, apart, pier) = (168.0, 206.0, 26.0, 4.0);
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}mm\" height=\"{height}mm\" \
         viewBox=\"0 0 {width} {height}\">\n\
         <title>The viaduct and the moon: dark is stamped</title>\n\
         <circle cx=\"{x}\" cy=\"136\" r=\"34\"/>\n\
         <path fill=\"#fff\" d=\"M40 162H207V206H40Z\"/>\n",
        x = width / 2.0,
    );
    // The deck with its arches: what is under each arch is taken away again.
    let (left, right) = (width / 2.0 - 3.0 * apart, width / 2.0 + 3.0 * apart);
    let _ = writeln!(
        svg,
        "<path d=\"M{left} {deck}H{right}V{foot}H{left}Z\"/>\n<g fill=\"#ffffff\">"
    );
    for arch in 0..6_u8 {
        let from = left + f64::from(arch) * apart + pier / 2.0;
        let to = from + apart - pier;
        let radius = (apart - pier) / 2.0;
        let spring = deck + 5.0 + radius;
        let _ = writeln!(
            svg,
            "<path d=\"M{from} {foot}V{spring}A{radius} {radius} 0 0 1 {to} {spring}V{foot}Z\"/>"
        );
    }
    svg.push_str("</g>\n<g stroke=\"#000\" stroke-width=\"1.6\" stroke-linecap=\"round\">\n");
    for (y, half) in [(214.0, 62.0), (221.0, 44.0), (228.0, 26.0), (235.0, 10.0)] {
        let middle = width / 2.0;
        let _ = writeln!(
            svg,
            "<path d=\"M{} {y}H{}\"/>",
            middle - half,
            middle + half
        );
    }
    svg.push_str("</g>\n</svg>\n");
    svg
}
