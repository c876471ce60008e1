//! What speaks against a reading.

use colour::{Lab, delta_e_2000};
use measure::Length;

use super::MOST_APART;
use super::colours::Read;
use super::sample::PatchPixels;
use crate::{PatchKind, Strip, StripLayout};

/// Patches whose reading cannot be theirs.
pub(super) fn unlike(
    strip: &Strip,
    layout: &StripLayout,
    readings: &[Option<Read>],
    corner_lost: bool,
) -> Vec<usize> {
    let papers: Vec<Lab> = (0..readings.len())
        .filter(|&at| strip.patches[at].kind == PatchKind::Paper)
        .filter_map(|at| readings[at].map(|read| read.lab))
        .collect();
    let blank = |lab: Lab| papers.iter().any(|&paper| delta_e_2000(paper, lab) < 2.0);
    let mut wrong: Vec<bool> = readings
        .iter()
        .enumerate()
        .map(|(at, reading)| {
            let patch = &strip.patches[at];
            reading.is_some_and(|read| {
                let should_be_seen = delta_e_2000(patch.predicted, strip.paper()) > 6.0;
                delta_e_2000(read.lab, patch.predicted) > MOST_APART
                    || should_be_seen && blank(read.lab)
            })
        })
        .collect();
    // Where part of the strip is covered or beyond the paper's edge, pale patches there cannot be
    // told from what covers them: they go with their neighbours.
    let mut more = corner_lost && wrong.contains(&true);
    while more {
        more = false;
        for at in 0..wrong.len() {
            let around = layout.patches[at].grown(Length::from_mm(4.0));
            let neighbours = (0..wrong.len())
                .filter(|&other| other != at && around.shared(layout.patches[other]).is_some());
            let (mut count, mut bad) = (0, 0);
            for other in neighbours {
                count += 1;
                bad += usize::from(wrong[other] || readings[other].is_none());
            }
            if !wrong[at] && readings[at].is_some() && bad * 2 >= count && bad > 0 {
                wrong[at] = true;
                more = true;
            }
        }
    }
    (0..wrong.len()).filter(|&at| wrong[at]).collect()
}

/// Says that light falls unevenly, where the same paper is read differently at both ends.
pub(super) fn uneven_light(strip: &Strip, readings: &[Option<Read>]) -> Option<String> {
    let papers: Vec<Lab> = (0..readings.len())
        .filter(|&at| strip.patches[at].kind == PatchKind::Paper)
        .filter_map(|at| readings[at].map(|read| read.lab))
        .collect();
    let apart = papers
        .iter()
        .flat_map(|&one| papers.iter().map(move |&other| delta_e_2000(one, other)))
        .fold(0.0, f64::max);
    (apart > 1.5).then(|| {
        format!(
            "The same paper is read {apart:.1} ΔE00 apart in two places: the light is uneven, and \
             every patch is unsure by as much"
        )
    })
}

/// Says that the paper is at the end of the scanner's scale.
pub(super) fn overexposed(strip: &Strip, taken: &[Option<PatchPixels>]) -> Option<String> {
    strip
        .patches
        .iter()
        .zip(taken)
        .any(|(patch, pixels)| {
            patch.kind == PatchKind::Paper
                && pixels
                    .as_ref()
                    .is_some_and(|pixels| pixels.cut_light().contains(&true))
        })
        .then(|| {
            "The scan is too light: the paper is at the end of the scale, so pale tints cannot be \
             told from it; scan it darker"
                .into()
        })
}
