//! Light as XYZ and as linear RGB, in which areas may be averaged.

use colour::Profile;

use super::solve::solve;
use crate::lab;

/// Linear sRGB to XYZ at D50: the primaries of IEC 61966-2-1 adapted with the Bradford matrix, as
/// ICC profiles of sRGB have them.
const SRGB: [[f64; 3]; 3] = [
    [0.436_065_7, 0.385_151_5, 0.143_078_4],
    [0.222_493_2, 0.716_887_0, 0.060_616_7],
    [0.013_916_6, 0.097_081_6, 0.714_076_7],
];

/// Linear sRGB to XYZ.
pub(super) fn xyz_of_linear(rgb: [f64; 3]) -> [f64; 3] {
    SRGB.map(|row| row.iter().zip(rgb).map(|(row, rgb)| row * rgb).sum())
}

/// XYZ to linear sRGB; below 0 and above 1 where sRGB does not reach.
pub(super) fn linear_of_xyz(xyz: [f64; 3]) -> [f64; 3] {
    let rows = SRGB.map(|row| row.to_vec()).to_vec();
    let rgb = solve(rows, xyz.to_vec()).expect("the primaries of sRGB are no plane");
    [rgb[0], rgb[1], rgb[2]]
}

/// sRGB words to linear light, by the curve of IEC 61966-2-1.
pub(super) fn linear_of_srgb(rgb: [u16; 3]) -> [f64; 3] {
    rgb.map(|word| {
        let value = f64::from(word) / 65535.0;
        if value <= 0.040_45 {
            value / 12.92
        } else {
            ((value + 0.055) / 1.055).powf(2.4)
        }
    })
}

/// Words of a profile's RGB to XYZ.
pub(super) fn xyz_by_profile(
    profile: &Profile,
    pixels: &[[u16; 3]],
) -> Result<Vec<[f64; 3]>, colour::ColourError> {
    let device: Vec<[f32; 3]> = pixels
        .iter()
        .map(|rgb| rgb.map(|word| f32::from(word) / 65535.0))
        .collect();
    Ok(profile
        .lab_of(&device)?
        .into_iter()
        .map(lab::to_xyz)
        .collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn light_goes_there_and_back() {
        for rgb in [[0.2, 0.5, 0.9], [1.0, 1.0, 1.0], [0.0, 0.001, 0.0]] {
            let xyz = xyz_of_linear(rgb);
            let back = linear_of_xyz(lab::to_xyz(lab::from_xyz(xyz)));
            for (one, other) in rgb.into_iter().zip(back) {
                assert!((one - other).abs() < 1e-9, "{rgb:?} {back:?}");
            }
        }
    }

    #[test]
    fn srgb_agrees_with_the_colour_library() {
        let words = [
            [0, 0, 0],
            [65535; 3],
            [40000, 9000, 52000],
            [3000, 60000, 20000],
        ];
        let library = xyz_by_profile(&Profile::srgb(), &words).unwrap();
        for (words, library) in words.into_iter().zip(library) {
            let own = lab::from_xyz(xyz_of_linear(linear_of_srgb(words)));
            let difference = colour::delta_e_2000(own, lab::from_xyz(library));
            assert!(difference < 0.05, "{words:?}: {difference}");
        }
    }
}
