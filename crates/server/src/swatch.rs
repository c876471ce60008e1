//! Measured colours as the screen shows them.

use desk::colour::Lab;

/// D50 white of the ICC's connection space, XYZ (ICC.1:2022, 6.3.4.3).
const WHITE: [f64; 3] = [0.9642, 1.0, 0.8249];
/// XYZ under D50 to linear sRGB: the primaries of IEC 61966-2-1, adapted from D65 by the Bradford
/// transform (from memory, to seven digits; the tests hold it against the primaries' own Lab).
const TO_RED_GREEN_BLUE: [[f64; 3]; 3] = [
    [3.133_856_1, -1.616_866_7, -0.490_614_6],
    [-0.978_768_4, 1.916_141_5, 0.033_454_0],
    [0.071_945_3, -0.228_991_4, 1.405_242_7],
];

/// A colour as sRGB bytes; what the screen cannot show is cut off.
pub(crate) fn on_screen(lab: Lab) -> [u8; 3] {
    let y = (lab.l + 16.0) / 116.0;
    let [x, y, z] = [y + lab.a / 500.0, y, y - lab.b / 200.0].map(unfolded);
    let xyz = [x * WHITE[0], y * WHITE[1], z * WHITE[2]];
    TO_RED_GREEN_BLUE.map(|row| {
        let linear: f64 = row
            .iter()
            .zip(xyz)
            .map(|(factor, part)| factor * part)
            .sum();
        (encoded(linear.clamp(0.0, 1.0)) * 255.0).round() as u8
    })
}

/// A colour as drawings name it.
pub(crate) fn fill(lab: Lab) -> String {
    hex(on_screen(lab))
}

/// Bytes as drawings name them.
pub(crate) fn hex([red, green, blue]: [u8; 3]) -> String {
    format!("#{red:02x}{green:02x}{blue:02x}")
}

/// The inverse of the CIE's cube root with its straight foot (CIE 15:2018, 8.2.1).
fn unfolded(value: f64) -> f64 {
    const FOOT: f64 = 6.0 / 29.0;
    if value > FOOT {
        value.powi(3)
    } else {
        3.0 * FOOT * FOOT * (value - 4.0 / 29.0)
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
            let got = on_screen(Lab { l, a, b });
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
        let got = on_screen(Lab {
            l: 60.0,
            a: -120.0,
            b: -60.0,
        });
        assert_eq!(got[0], 0);
        assert_eq!(
            on_screen(Lab {
                l: 140.0,
                a: 0.0,
                b: 0.0
            }),
            [255; 3]
        );
    }
}
