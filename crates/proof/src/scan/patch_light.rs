//! The light of each patch, without what dust and scratches spoil.

use art::Picture;
use colour::{Profile, Space};

use super::ScanError;
use super::light::{linear_of_srgb, linear_of_xyz, xyz_by_profile};
use super::sample::{PARTS, PatchPixels};

/// Light of one patch: its good parts pooled, and each part alone.
pub(super) struct PatchLight {
    pub(super) pooled: Vec<[f64; 3]>,
    pub(super) parts: Vec<Vec<[f64; 3]>>,
    /// Whether so many parts had to be left out that nothing is sure.
    pub(super) spoiled: bool,
}

/// Pixels as linear light: XYZ under a scanner's profile, else linear RGB as the picture's own
/// encoding says.
pub(super) fn lights(
    picture: &Picture,
    scanner: Option<&Profile>,
    taken: &[Option<PatchPixels>],
) -> Result<Vec<Option<PatchLight>>, ScanError> {
    let encoding = picture
        .profile
        .as_ref()
        .filter(|profile| profile.space() == Space::Rgb);
    let mut lights = Vec::with_capacity(taken.len());
    for pixels in taken {
        let Some(pixels) = pixels else {
            lights.push(None);
            continue;
        };
        let light: Vec<[f64; 3]> = match (scanner, encoding) {
            (Some(scanner), _) => xyz_by_profile(scanner, &pixels.pixels)?,
            (None, Some(encoding)) => xyz_by_profile(encoding, &pixels.pixels)?
                .into_iter()
                .map(linear_of_xyz)
                .collect(),
            (None, None) => pixels
                .pixels
                .iter()
                .map(|&rgb| linear_of_srgb(rgb))
                .collect(),
        };
        lights.push(Some(good_parts(&light, pixels.each)));
    }
    Ok(lights)
}

/// Leaves out the parts of a patch that dust, hairs and scratches spoil.
fn good_parts(light: &[[f64; 3]], each: usize) -> PatchLight {
    let parts: Vec<&[[f64; 3]]> = light.chunks_exact(each).collect();
    let means: Vec<[f64; 3]> = parts
        .iter()
        .map(|part| mean(part).map(|value| value.max(0.0).cbrt()))
        .collect();
    let middle = [0, 1, 2].map(|channel| median(means.iter().map(|mean| mean[channel]).collect()));
    // Cube roots are about as even as eyes are: a difference here goes with one in lightness.
    let far: Vec<f64> = means
        .iter()
        .map(|mean| {
            (0..3)
                .map(|i| (mean[i] - middle[i]).powi(2))
                .sum::<f64>()
                .sqrt()
        })
        .collect();
    let usual = median(far.clone());
    let most = (usual * 3.0).max(0.005);
    let good: Vec<&[[f64; 3]]> = parts
        .iter()
        .zip(&far)
        .filter(|&(_, &far)| far <= most)
        .map(|(&part, _)| part)
        .collect();
    PatchLight {
        spoiled: good.len() * 2 < PARTS * PARTS,
        pooled: good.concat(),
        parts: good.into_iter().map(<[_]>::to_vec).collect(),
    }
}

pub(super) fn mean(values: &[[f64; 3]]) -> [f64; 3] {
    let mut sum = [0.0; 3];
    for value in values {
        for (sum, value) in sum.iter_mut().zip(value) {
            *sum += value;
        }
    }
    sum.map(|sum| sum / values.len().max(1) as f64)
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or(0.0)
}
