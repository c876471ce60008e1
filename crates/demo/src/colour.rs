//! Colours of paint: red, green and blue in 0..1, encoded as sRGB, in which paints are mixed.

use crate::noise::mix_f;

/// A paint.
pub(crate) type Rgb = [f32; 3];

/// A paint from six hexadecimal digits.
pub(crate) const fn hex(code: u32) -> Rgb {
    [
        ((code >> 16) & 255) as f32 / 255.0,
        ((code >> 8) & 255) as f32 / 255.0,
        (code & 255) as f32 / 255.0,
    ]
}

/// Between two paints.
pub(crate) fn blend(a: Rgb, b: Rgb, t: f32) -> Rgb {
    [
        mix_f(a[0], b[0], t),
        mix_f(a[1], b[1], t),
        mix_f(a[2], b[2], t),
    ]
}

/// Lighter or darker by an amount.
pub(crate) fn lift(a: Rgb, by: f32) -> Rgb {
    [a[0] + by, a[1] + by, a[2] + by]
}

/// Scaled.
pub(crate) fn scale(a: Rgb, by: f32) -> Rgb {
    [a[0] * by, a[1] * by, a[2] * by]
}

/// Light added to a paint, never beyond white.
pub(crate) fn screen(a: Rgb, light: Rgb) -> Rgb {
    [
        1.0 - (1.0 - a[0]) * (1.0 - light[0].clamp(0.0, 1.0)),
        1.0 - (1.0 - a[1]) * (1.0 - light[1].clamp(0.0, 1.0)),
        1.0 - (1.0 - a[2]) * (1.0 - light[2].clamp(0.0, 1.0)),
    ]
}

/// A glaze over a paint.
pub(crate) fn multiply(a: Rgb, glaze: Rgb) -> Rgb {
    [a[0] * glaze[0], a[1] * glaze[1], a[2] * glaze[2]]
}

/// How light it looks, 0..1.
pub(crate) fn luminance(a: Rgb) -> f32 {
    0.3 * a[0] + 0.59 * a[1] + 0.11 * a[2]
}

/// A ramp of paints: stops at ascending positions.
pub(crate) fn ramp(stops: &[(f32, Rgb)], at: f32) -> Rgb {
    let mut last = stops[0];
    for &stop in stops {
        if at <= stop.0 {
            let span = stop.0 - last.0;
            if span <= 0.0 {
                return stop.1;
            }
            return blend(last.1, stop.1, (at - last.0) / span);
        }
        last = stop;
    }
    last.1
}
