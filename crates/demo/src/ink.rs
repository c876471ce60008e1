//! Ink and graphite: tone made of lines.

use crate::noise::{clouds, smooth, value};

/// How much ink lies at a point when tone is engraved in lines: the lines run where `phase` (mm
/// across the lines) is a whole multiple of `apart` mm, and swell with `dark` (0..1).
/// `pixel` is the size of what can still be told apart, in mm.
pub(crate) fn engraved(phase: f32, apart: f32, dark: f32, pixel: f32) -> f32 {
    let place = phase / apart;
    let off = (place - place.floor() - 0.5).abs() * apart;
    let half = dark.clamp(0.0, 1.0) * apart * 0.5;
    if half < 0.012 {
        return 0.0;
    }
    smooth(half + pixel, half - pixel * 0.2, off)
}

/// A hand's unsteadiness: how far a line strays at a point, mm.
pub(crate) fn stray(x: f32, y: f32, by: f32, seed: u32) -> f32 {
    (clouds(x * 0.045, y * 0.045, 2, seed) - 0.5) * 2.0 * by
        + (value(x * 0.35, y * 0.35, seed ^ 9) - 0.5) * by * 0.16
}

/// The grain of a drawing paper: 0 in its valleys, 1 on its peaks. Each octave lies at an angle of
/// its own, since fibres know no grid, and the finest is about a pixel at 300 ppi.
pub(crate) fn grain(x: f32, y: f32, seed: u32) -> f32 {
    let turned = |sin: f32, cos: f32, per_mm: f32, seed: u32| {
        value(
            (x * cos - y * sin) * per_mm,
            (x * sin + y * cos) * per_mm,
            seed,
        )
    };
    let fine = turned(0.469, 0.883, 10.7, seed ^ 0x1d);
    let middle = turned(0.829, 0.559, 4.7, seed);
    let broad = turned(0.326, 0.945, 2.1, seed ^ 0x31);
    (fine * 0.3 + middle * 0.42 + broad * 0.28).clamp(0.0, 1.0)
}

/// Graphite at a point: pressed by `dark` (0..1) on the grain.
pub(crate) fn graphite(x: f32, y: f32, dark: f32, seed: u32) -> f32 {
    let tooth = grain(x, y, seed);
    // A light hand marks the peaks only, and those not fully.
    smooth(0.88 - dark * 0.92, 1.42 - dark * 0.78, tooth + dark * 0.2) * (0.42 + 0.58 * dark)
}
