//! The perceptual space in which art is compensated.
//!
//! It is OKLab (B. Ottosson, "A perceptual color space for image processing", 2020) with two
//! changes. The cube root has CIELAB's linear toe, so that the way there and back has bounded slopes
//! near black and for colours that no light can have. And white is D50, brought to the space's own
//! white by Bradford's cones. Of the known simple spaces it keeps hue best when chroma shrinks: in
//! CIELAB a blue turns violet on the way to grey.
//!
//! For greys `j` is exactly L*.

use crate::Lab;

/// A colour in the space: lightness 0 to 100, and two axes of chroma in the same measure.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Seen {
    pub j: f64,
    pub a: f64,
    pub b: f64,
}

/// D50 of the ICC connection space (ICC.1:2022, 7.2.16).
pub(crate) const D50: [f64; 3] = [0.9642, 1.0, 0.8249];

/// From XYZ of D65 to the space's cones (Ottosson 2020).
const CONES: [[f64; 3]; 3] = [
    [0.818_933_010_1, 0.361_866_742_4, -0.128_859_713_7],
    [0.032_984_543_6, 0.929_311_871_5, 0.036_145_638_7],
    [0.048_200_301_8, 0.264_366_269_1, 0.633_851_707_0],
];
/// From XYZ of D50 to XYZ of D65 (Bradford; Lindbloom's table, from memory, checked by white).
const TO_D65: [[f64; 3]; 3] = [
    [0.955_576_6, -0.023_039_3, 0.063_163_6],
    [-0.028_289_5, 1.009_941_6, 0.021_007_7],
    [0.012_298_2, -0.020_483_0, 1.329_909_8],
];
/// From compressed cones to the axes (Ottosson 2020). The last number of each row is what makes
/// greys exactly `j`, 0, 0; the published ones do so to seven digits.
const AXES: [[f64; 3]; 3] = [
    [
        0.210_454_255_3,
        0.793_617_785_0,
        1.0 - 0.210_454_255_3 - 0.793_617_785_0,
    ],
    [
        1.977_998_495_1,
        -2.428_592_205_0,
        2.428_592_205_0 - 1.977_998_495_1,
    ],
    [
        0.025_904_037_1,
        0.782_771_766_2,
        -0.025_904_037_1 - 0.782_771_766_2,
    ],
];

/// The matrices there and back, once computed.
struct Ways {
    to_cones: [[f64; 3]; 3],
    from_cones: [[f64; 3]; 3],
    from_axes: [[f64; 3]; 3],
}

static WAYS: std::sync::LazyLock<Ways> = std::sync::LazyLock::new(|| {
    let mut to_cones = product(&CONES, &TO_D65);
    // White is exactly one in each cone, so that greys stay grey to the last digit.
    for row in &mut to_cones {
        let white = dot(*row, D50);
        *row = row.map(|value| value / white);
    }
    Ways {
        from_cones: inverse(&to_cones),
        to_cones,
        from_axes: inverse(&AXES),
    }
});

impl Seen {
    /// From CIELAB, D50.
    pub(crate) fn of(lab: Lab) -> Self {
        let cones = times(&WAYS.to_cones, xyz(lab)).map(compress);
        let [j, a, b] = times(&AXES, cones);
        Self {
            j: 116.0 * j - 16.0,
            a: 116.0 * a,
            b: 116.0 * b,
        }
    }

    /// To CIELAB, D50.
    pub(crate) fn lab(self) -> Lab {
        let axes = [(self.j + 16.0) / 116.0, self.a / 116.0, self.b / 116.0];
        let cones = times(&WAYS.from_axes, axes).map(expand);
        lab(times(&WAYS.from_cones, cones))
    }

    /// Hue in degrees, 0 to 360.
    pub(crate) fn hue(self) -> f64 {
        degrees(self.a, self.b)
    }
}

/// The angle of a point in degrees, 0 to 360.
pub(crate) fn degrees(a: f64, b: f64) -> f64 {
    let angle = b.atan2(a).to_degrees().rem_euclid(360.0);
    // A hair under zero becomes 360 by rounding.
    if angle < 360.0 { angle } else { 0.0 }
}

/// XYZ of a CIELAB colour (CIE 15), white of Y = 1.
pub(crate) fn xyz(lab: Lab) -> [f64; 3] {
    let y = (lab.l + 16.0) / 116.0;
    [
        D50[0] * expand(y + lab.a / 500.0),
        D50[1] * expand(y),
        D50[2] * expand(y - lab.b / 200.0),
    ]
}

/// CIELAB of XYZ (CIE 15).
pub(crate) fn lab(xyz: [f64; 3]) -> Lab {
    let [x, y, z] = [0, 1, 2].map(|i| compress(xyz[i] / D50[i]));
    Lab {
        l: 116.0 * y - 16.0,
        a: 500.0 * (x - y),
        b: 200.0 * (y - z),
    }
}

/// Where the cube root gives way to its toe, and the toe's slope (CIE 15).
const TOE: f64 = 6.0 / 29.0;

fn compress(value: f64) -> f64 {
    if value > TOE * TOE * TOE {
        value.cbrt()
    } else {
        value / (3.0 * TOE * TOE) + 4.0 / 29.0
    }
}

fn expand(value: f64) -> f64 {
    if value > TOE {
        value * value * value
    } else {
        3.0 * TOE * TOE * (value - 4.0 / 29.0)
    }
}

fn dot(one: [f64; 3], other: [f64; 3]) -> f64 {
    one[0] * other[0] + one[1] * other[1] + one[2] * other[2]
}

fn times(matrix: &[[f64; 3]; 3], vector: [f64; 3]) -> [f64; 3] {
    [0, 1, 2].map(|i| dot(matrix[i], vector))
}

fn product(one: &[[f64; 3]; 3], other: &[[f64; 3]; 3]) -> [[f64; 3]; 3] {
    one.map(|row| [0, 1, 2].map(|j| dot(row, [other[0][j], other[1][j], other[2][j]])))
}

fn inverse(m: &[[f64; 3]; 3]) -> [[f64; 3]; 3] {
    // The cofactor of row j and column i, by rows and columns taken round.
    let cofactor = |i: usize, j: usize| {
        let (r, s) = ((j + 1) % 3, (j + 2) % 3);
        let (c, d) = ((i + 1) % 3, (i + 2) % 3);
        m[r][c] * m[s][d] - m[r][d] * m[s][c]
    };
    let determinant = dot(m[0], [cofactor(0, 0), cofactor(1, 0), cofactor(2, 0)]);
    [0, 1, 2].map(|i| [0, 1, 2].map(|j| cofactor(i, j) / determinant))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ottosson's page gives these pairs of XYZ (D65) and OKLab, to three digits. The third
    /// of his four has a negative cone, where our toe departs.
    #[test]
    fn agrees_with_the_published_examples() {
        for (xyz, wanted) in [
            ([0.950, 1.000, 1.089], [1.000, 0.000, 0.000]),
            ([1.000, 0.000, 0.000], [0.450, 1.236, -0.019]),
            ([0.000, 1.000, 0.000], [0.922, -0.671, 0.263]),
        ] {
            let axes = times(&AXES, times(&CONES, xyz).map(compress));
            for (found, wanted) in axes.into_iter().zip(wanted) {
                assert!((found - wanted).abs() < 1e-3, "{xyz:?}: {axes:?}");
            }
        }
    }

    /// The white of D50 goes to that of D65 (CIE 15: .9505 1 1.0891), and the space's own
    /// scaling afterwards is all but nothing.
    #[test]
    fn white_is_adapted() {
        let white = times(&TO_D65, D50);
        for (found, wanted) in white.into_iter().zip([0.950_47, 1.0, 1.088_83]) {
            // D50 is rounded to four digits, which costs as many here.
            assert!((found - wanted).abs() < 6e-4, "{white:?}");
        }
        for cone in times(&CONES, white) {
            assert!((cone - 1.0).abs() < 1e-3, "{cone}");
        }
    }

    #[test]
    fn goes_there_and_back_and_keeps_greys() {
        for l in [-5.0, 0.0, 3.0, 8.0, 40.0, 100.0] {
            let grey = Seen::of(Lab { l, a: 0.0, b: 0.0 });
            assert!((grey.j - l).abs() < 1e-9 && grey.a.hypot(grey.b) < 1e-9);
            for (a, b) in [(60.0, -110.0), (-90.0, 80.0), (127.0, 127.0)] {
                let lab = Lab { l, a, b };
                let back = Seen::of(lab).lab();
                let off = (back.l - l).abs() + (back.a - a).abs() + (back.b - b).abs();
                assert!(off < 1e-6, "{lab:?} {back:?}");
            }
        }
    }
}
