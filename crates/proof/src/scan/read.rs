//! From a scan to a reading: the steps in their order.

use art::{Picture, Samples};
use colour::{Lab, Profile, Space};
use measure::Rect;

use super::colours::{by_profile, by_strip, is_scanners};
use super::doubt::{overexposed, uneven_light, unlike};
use super::flat::{Flat, Point, corners};
use super::patch_light::lights;
use super::sample::{PatchPixels, sample};
use super::straighten::{pixels_per_mm, straighten};
use super::which::{choose, find};
use super::{ScanError, ScanReading, Wanted};
use crate::{PatchKind, Strip, StripLayout};

/// Unevenness above which a patch's colour is not to be trusted, in ΔE.
const MOST_UNEVEN: f64 = 4.0;
/// Resolution under which more would help.
const FINE: f64 = 200.0;

/// Reads the wanted strip.
pub(super) fn read(
    picture: &Picture,
    wanted: Wanted<'_>,
    scanner: Option<&Profile>,
) -> Result<ScanReading, ScanError> {
    let Wanted {
        strip,
        layout,
        mark,
    } = wanted;
    if layout.patches.len() != strip.patches.len() {
        return Err(ScanError::Strip(format!(
            "its plan has {} patches, and the strip has {}",
            layout.patches.len(),
            strip.patches.len()
        )));
    }
    if !matches!(picture.samples, Samples::Rgb8(_) | Samples::Rgb16(_)) {
        return Err(ScanError::Picture(
            "it holds no RGB; scan the strip in colour, as RGB".into(),
        ));
    }
    if let Some(profile) = scanner.filter(|profile| profile.space() != Space::Rgb) {
        return Err(ScanError::Picture(format!(
            "the profile `{}` is not for RGB, so it is not the scanner's",
            profile.description()
        )));
    }
    let (plane, found) = find(picture)?;
    let found = choose(found, mark)?;
    let straight = straighten(&plane, &found, layout)?;
    let flat = on_scan(&straight.flat, plane.factor as f64, layout)
        .ok_or_else(|| ScanError::Strip("the strip around it cannot be laid straight".into()))?;
    let size = [layout.size.width.mm(), layout.size.height.mm()];
    let [right, _] = flat.steps([size[0] / 2.0, size[1] / 2.0]);
    let ppi = pixels_per_mm(&flat, size) * 25.4;

    let mut remarks = Vec::new();
    let taken: Vec<Option<PatchPixels>> = layout
        .patches
        .iter()
        .map(|&patch| sample(picture, &flat, patch))
        .collect();
    let off_scan = |at: usize| taken[at].is_none();
    name(
        &mut remarks,
        strip,
        &(0..taken.len())
            .filter(|&at| off_scan(at))
            .collect::<Vec<_>>(),
        "not on the scan",
    );

    let profile = scanner.cloned().or_else(|| {
        let embedded = picture.profile.clone()?;
        is_scanners(&embedded).then_some(embedded)
    });
    let cut: Vec<usize> = (0..taken.len())
        .filter(|&at| {
            let paper = strip.patches[at].kind == PatchKind::Paper;
            taken[at].as_ref().is_some_and(|pixels| {
                let light = pixels.cut_light().contains(&true);
                pixels.cut_dark().contains(&true) || light && !paper
            })
        })
        .collect();
    name(
        &mut remarks,
        strip,
        &cut,
        "left out: its colour is stronger than the scan's file can hold (a channel stands at the \
         end of its scale); scan into a wider colour space, or as the scanner's own RGB",
    );
    let lights = lights(picture, profile.as_ref(), &taken)?;
    let seen = match &profile {
        Some(profile) => by_profile(strip, &lights, profile)?,
        None => by_strip(strip, &lights, &taken)?,
    };
    let mut readings = seen.readings;
    for at in cut {
        readings[at] = None;
    }

    let wrong = unlike(strip, layout, &readings, straight.lost > 0);
    name(
        &mut remarks,
        strip,
        &wrong,
        "left out: what is seen there is not that patch (covered, torn, or beyond the paper's edge)",
    );
    for at in wrong {
        readings[at] = None;
    }
    let uneven: Vec<usize> = (0..readings.len())
        .filter(|&at| readings[at].is_some_and(|reading| reading.spread > MOST_UNEVEN))
        .collect();
    name(
        &mut remarks,
        strip,
        &uneven,
        "left out: its colour is uneven (dust, a fold, or shine)",
    );
    for at in uneven {
        readings[at] = None;
    }
    remarks.extend(seen.remarks);
    if straight.lost > 0 {
        remarks.push(format!(
            "{} of the black squares at the strip's corners {} not to be seen",
            straight.lost,
            if straight.lost == 1 { "is" } else { "are" }
        ));
    }
    if straight.off > 0.3 {
        remarks.push(format!(
            "The paper did not lie quite flat: its corners are {:.1} mm from where they should be",
            straight.off
        ));
    }
    if ppi < FINE {
        remarks.push(format!(
            "The scan has {ppi:.0} ppi only; 300 ppi would measure each patch on more of its dots"
        ));
    }
    remarks.extend(uneven_light(strip, &readings));
    remarks.extend(overexposed(strip, &taken));

    let missing: Vec<usize> = (0..readings.len())
        .filter(|&at| readings[at].is_none())
        .collect();
    let seen_now: Vec<(usize, Lab, f64)> = readings
        .iter()
        .enumerate()
        .filter_map(|(at, reading)| reading.map(|reading| (at, reading.lab, reading.spread)))
        .collect();
    if seen_now.is_empty() {
        return Err(ScanError::Strip("not one of its patches is".into()));
    }
    Ok(ScanReading {
        mark: found.mark,
        seen: seen_now,
        missing,
        turned: turned(right),
        ppi,
        colour: seen.colour,
        remarks,
        outlines: layout
            .patches
            .iter()
            .map(|&patch| outline(&flat, patch))
            .collect(),
    })
}

/// The direction of a step to the right, in degrees clockwise, to a hundredth.
fn turned([x, y]: Point) -> f64 {
    let hundredths = (y.atan2(x).to_degrees() * 100.0).round() as i64;
    hundredths.rem_euclid(36_000) as f64 / 100.0
}

/// The mapping to the scan's own pixels.
fn on_scan(flat: &Flat, factor: f64, layout: &StripLayout) -> Option<Flat> {
    let strip = corners(0.0, 0.0, layout.size.width.mm(), layout.size.height.mm());
    let scan = strip.map(|corner| flat.map(corner).map(|value| value * factor));
    Flat::between(strip, scan)
}

fn outline(flat: &Flat, patch: Rect) -> [Point; 4] {
    corners(
        patch.x.mm(),
        patch.y.mm(),
        patch.width.mm(),
        patch.height.mm(),
    )
    .map(|corner| flat.map(corner))
}

/// Adds a sentence that names patches.
fn name(remarks: &mut Vec<String>, strip: &Strip, patches: &[usize], what: &str) {
    if patches.is_empty() {
        return;
    }
    let names: Vec<&str> = patches
        .iter()
        .map(|&at| strip.patches[at].name.as_str())
        .collect();
    let word = if names.len() == 1 { "Patch" } else { "Patches" };
    remarks.push(format!("{word} {}: {what}", names.join(", ")));
}
