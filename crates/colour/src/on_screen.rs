//! Measured colours as a screen shows them.

use crate::departure::finite;
use crate::{Lab, perceptual};

/// XYZ under D50 to linear sRGB: the primaries of IEC 61966-2-1, adapted from D65 by the Bradford
/// transform (from memory, to seven digits; the tests hold it against the primaries' own Lab).
const TO_RED_GREEN_BLUE: [[f64; 3]; 3] = [
    [3.133_856_1, -1.616_866_7, -0.490_614_6],
    [-0.978_768_4, 1.916_141_5, 0.033_454_0],
    [0.071_945_3, -0.228_991_4, 1.405_242_7],
];

impl Lab {
    /// An absolute colour as sRGB bytes; what the screen cannot show is cut off.
    pub fn on_screen(self) -> [u8; 3] {
        let xyz = perceptual::xyz(finite(self));
        TO_RED_GREEN_BLUE.map(|row| {
            let linear: f64 = row
                .iter()
                .zip(xyz)
                .map(|(factor, part)| factor * part)
                .sum();
            (encoded(linear.clamp(0.0, 1.0)) * 255.0).round() as u8
        })
    }
}

/// The tone curve of IEC 61966-2-1.
fn encoded(linear: f64) -> f64 {
    if linear <= 0.003_130_8 {
        12.92 * linear
    } else {
        1.055 * linear.powf(1.0 / 2.4) - 0.055
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Lab under D50 of the sRGB primaries and greys, as any colour-managed program gives them
    /// (from memory, to a hundredth).
    #[test]
    fn the_primaries_come_back() {
        for (l, a, b, wanted) in [
            (100.0, 0.0, 0.0, [255, 255, 255]),
            (0.0, 0.0, 0.0, [0, 0, 0]),
            (54.29, 80.81, 69.89, [255, 0, 0]),
            (87.82, -79.27, 80.99, [0, 255, 0]),
            (29.57, 68.30, -112.03, [0, 0, 255]),
            (53.39, 0.0, 0.0, [127, 127, 127]),
        ] {
            let got = Lab { l, a, b }.on_screen();
            let off = got
                .iter()
                .zip(wanted)
                .map(|(one, other)| one.abs_diff(other));
            assert!(
                off.max().is_some_and(|most| most <= 1),
                "{l} {a} {b}: {got:?}"
            );
        }
    }

    #[test]
    fn what_no_screen_shows_is_cut_off() {
        let got = Lab {
            l: 60.0,
            a: -120.0,
            b: -60.0,
        }
        .on_screen();
        assert_eq!(got[0], 0);
        assert_eq!(
            Lab {
                l: 140.0,
                a: 0.0,
                b: 0.0
            }
            .on_screen(),
            [255; 3]
        );
    }
}
