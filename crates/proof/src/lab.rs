//! Lab of XYZ.

use colour::Lab;

/// White of D50 as the ICC writes it (ICC.1:2022, 7.2.16).
const D50: [f64; 3] = [0.9642, 1.0, 0.8249];
/// Where the cube root gives way to a straight line, and that line's slope (CIE 15:2004, 8.2.1).
const EPSILON: f64 = 216.0 / 24389.0;
const KAPPA: f64 = 24389.0 / 27.0;

/// Lab of XYZ, D50, Y = 1 for white.
pub(crate) fn from_xyz(xyz: [f64; 3]) -> Lab {
    let mut f = [0.0; 3];
    for (f, (value, white)) in f.iter_mut().zip(xyz.iter().zip(D50)) {
        let share = value / white;
        *f = if share > EPSILON {
            share.cbrt()
        } else {
            (KAPPA * share + 16.0) / 116.0
        };
    }
    Lab {
        l: 116.0 * f[1] - 16.0,
        a: 500.0 * (f[0] - f[1]),
        b: 200.0 * (f[1] - f[2]),
    }
}

/// XYZ of Lab, D50, Y = 1 for white.
pub(crate) fn to_xyz(lab: Lab) -> [f64; 3] {
    let middle = (lab.l + 16.0) / 116.0;
    let f = [middle + lab.a / 500.0, middle, middle - lab.b / 200.0];
    let mut xyz = [0.0; 3];
    for (value, (f, white)) in xyz.iter_mut().zip(f.iter().zip(D50)) {
        let cube = f.powi(3);
        let share = if cube > EPSILON {
            cube
        } else {
            (116.0 * f - 16.0) / KAPPA
        };
        *value = share * white;
    }
    xyz
}
