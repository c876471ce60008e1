//! From a scan to a reading: the steps in their order.

use art::{Picture, Samples};
use colour::{Lab, Profile, Space, delta_e_2000};
use measure::{Length, Rect};

use super::code::{Found, search};
use super::error::in_words;
use super::flat::{Flat, Point, corners};
use super::light::{linear_of_srgb, linear_of_xyz, xyz_by_profile};
use super::plane::Plane;
use super::sample::{PARTS, PatchPixels, sample};
use super::scanner::{FEWEST, Known, Light, MOST_ERROR, Scanner};
use super::straighten::{pixels_per_mm, straighten};
use super::{ColourFrom, ScanError, ScanReading, Wanted};
use crate::{Mark, PatchKind, Strip, StripLayout, lab};

/// How far a patch may be from what it should be and still be taken for it, in ΔE00. A press that
/// departs as far as that is beyond all learning.
const MOST_APART: f64 = 25.0;
/// How far the fixed patches may be on average from what they should be under a scanner's profile.
/// ISO 12647-2 allows solids 5 ΔE (from memory); twice that is no press any more.
const MOST_DISAGREEMENT: f64 = 10.0;
/// Unevenness above which a patch's colour is not to be trusted, in ΔE.
const MOST_UNEVEN: f64 = 4.0;
/// Resolution under which more would help.
const FINE: f64 = 200.0;

/// All marks on a scan, and the plane that they were found on.
pub(super) fn find(picture: &Picture) -> Result<(Plane, Vec<Found>), ScanError> {
    let (mut mirrored, mut foreign, mut flat) = (false, false, true);
    for coarser in [1, 2, 4] {
        let plane = Plane::of(picture, coarser)?;
        if coarser == 1 {
            let mut all = plane.rows().flatten();
            let first = all.next().copied().unwrap_or(0);
            flat = all.all(|light| light.abs_diff(first) < 16);
        }
        let search = search(&plane);
        if !search.found.is_empty() {
            return Ok((plane, search.found));
        }
        mirrored |= search.mirrored;
        foreign |= search.foreign;
    }
    let why = if mirrored {
        "it is there as in a mirror; scan the printed side, and do not mirror the picture".into()
    } else if foreign {
        "a square code is there, but it is not the mark of a strip".into()
    } else if flat {
        "the picture is of one colour throughout".into()
    } else {
        format!(
            "the square mark at the strip's left end cannot be read in these {}. It must be wholly \
             on the scan, sharp, and scanned at 150 ppi or more",
            picture.size
        )
    };
    Err(ScanError::NoMark(why))
}

/// The found mark that is wanted.
pub(super) fn choose(found: Vec<Found>, wanted: &Mark) -> Result<Found, ScanError> {
    let fits = |mark: &Mark| {
        mark.version == wanted.version
            && mark.file.eq_ignore_ascii_case(&wanted.file)
            && (wanted.page.is_none() || mark.page == wanted.page)
    };
    let mut fitting: Vec<Mark> = Vec::new();
    for found in &found {
        if fits(&found.mark) && !fitting.contains(&found.mark) {
            fitting.push(found.mark.clone());
        }
    }
    if fitting.len() > 1 {
        return Err(ScanError::Several(fitting));
    }
    let seen = found.first().map(|found| found.mark.clone());
    found
        .into_iter()
        .find(|found| fits(&found.mark))
        .ok_or_else(|| match seen {
            Some(seen) => other(&seen, wanted),
            None => ScanError::NoMark("no mark is on it".into()),
        })
}

/// Says what another mark means.
fn other(seen: &Mark, wanted: &Mark) -> ScanError {
    let what = if seen.version != wanted.version {
        "its patches are others than those of the strip that is wanted"
    } else if !seen.file.eq_ignore_ascii_case(&wanted.file) {
        "it was made from another state of the book, or from another book"
    } else {
        "it is the same strip on another page"
    };
    ScanError::OtherStrip {
        found: in_words(seen),
        wanted: match wanted.page {
            Some(_) => in_words(wanted),
            None => format!(
                "version {} of the strip, on any page, file {}",
                wanted.version, wanted.file
            ),
        },
        what: what.into(),
    }
}

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

/// Whether a profile says of itself that it is an input device's (ICC.1:2022, 7.2.5).
fn is_scanners(profile: &Profile) -> bool {
    profile.bytes().get(12..16) == Some(b"scnr") && profile.space() == Space::Rgb
}

/// One patch as it was read.
#[derive(Debug, Clone, Copy)]
struct Read {
    lab: Lab,
    spread: f64,
}

/// Light of one patch: its good parts pooled, and each part alone.
struct PatchLight {
    pooled: Vec<[f64; 3]>,
    parts: Vec<Vec<[f64; 3]>>,
    /// Whether so many parts had to be left out that nothing is sure.
    spoiled: bool,
}

/// Pixels as linear light: XYZ under a scanner's profile, else linear RGB as the picture's own
/// encoding says.
fn lights(
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

fn mean(values: &[[f64; 3]]) -> [f64; 3] {
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

/// Colours of all patches.
struct Seen {
    readings: Vec<Option<Read>>,
    colour: ColourFrom,
    remarks: Vec<String>,
}

fn by_profile(
    strip: &Strip,
    lights: &[Option<PatchLight>],
    profile: &Profile,
) -> Result<Seen, ScanError> {
    let readings = readings(lights, |light| lab::from_xyz(mean(light)));
    let apart: Vec<f64> = fixed(strip)
        .filter_map(|at| {
            readings[at].map(|read| delta_e_2000(read.lab, strip.patches[at].predicted))
        })
        .collect();
    let agreement = apart.iter().sum::<f64>() / apart.len().max(1) as f64;
    if agreement > MOST_DISAGREEMENT {
        return Err(ScanError::Colour(format!(
            "under the profile `{}`, paper and solid inks are {agreement:.1} ΔE00 on average from \
             what they should be, more than {MOST_DISAGREEMENT} and so more than any press. The \
             profile is not this scanner's, or the scanner's program has changed the colours: \
             switch its corrections off",
            profile.description()
        )));
    }
    Ok(Seen {
        readings,
        colour: ColourFrom::Profile {
            name: profile.description().into(),
            agreement,
        },
        remarks: Vec::new(),
    })
}

fn by_strip(
    strip: &Strip,
    lights: &[Option<PatchLight>],
    taken: &[Option<PatchPixels>],
) -> Result<Seen, ScanError> {
    let mut remarks = Vec::new();
    let known_of = |at: usize| {
        let light = lights[at].as_ref().filter(|light| !light.spoiled)?;
        let paper = strip.patches[at].kind == PatchKind::Paper;
        let pixels = taken[at].as_ref()?;
        let (dark, high) = (pixels.cut_dark(), pixels.cut_light());
        let cuts: Vec<usize> = (0..3).filter(|&channel| dark[channel]).collect();
        // Two channels cut leave too little to learn from.
        if cuts.len() > 1 || high.contains(&true) && !paper {
            return None;
        }
        let known = Known {
            light: Light::of(&light.pooled),
            lab: strip.patches[at].predicted,
            paper,
            cut: cuts.first().copied(),
        };
        Some((at, known))
    };
    let mut known: Vec<(usize, Known)> = fixed(strip).filter_map(known_of).collect();
    check_enough(strip, &known)?;
    // What is covered or beyond the paper's edge must not teach the scanner's colours.
    let all: Vec<Known> = known.iter().map(|(_, known)| known.clone()).collect();
    let rough = Scanner::rough(&all);
    known.retain(|(_, known)| rough.error(known) <= MOST_APART);
    check_enough(strip, &known)?;
    let all: Vec<Known> = known.iter().map(|(_, known)| known.clone()).collect();
    let (scanner, tried) = Scanner::characterised(&all);
    if !(tried.error <= MOST_ERROR) {
        return Err(ScanError::Colour(format!(
            "paper, solid inks and their overprints do not foretell each other: each, told from the \
             others, is {:.1} ΔE00 off on average, and more than {MOST_ERROR} (the mean that ISO \
             12647-7 allows a whole proof) cannot tell a good print from a bad one. Switch off all \
             corrections of the scanner's program, or give the scanner's ICC profile",
            tried.error
        )));
    }
    remarks.push(format!(
        "The scanner's colours were told from the strip's own paper, solid inks and overprints, to \
         {:.1} ΔE00. These are taken to be printed right, so the scan shows how tints and mixtures \
         depart, not whether the inks themselves are too strong; for that, give the scanner's ICC \
         profile",
        tried.error
    ));
    Ok(Seen {
        readings: readings(lights, |light| scanner.lab(&Light::of(light))),
        colour: ColourFrom::Characterised {
            model: scanner.model.words(),
            error: tried.error,
            most: tried.most,
            patches: all.len(),
        },
        remarks,
    })
}

/// Patches that dot gain cannot touch.
fn fixed(strip: &Strip) -> impl Iterator<Item = usize> {
    strip
        .patches
        .iter()
        .enumerate()
        .filter(|(_, patch)| {
            matches!(
                patch.kind,
                PatchKind::Paper | PatchKind::Solid | PatchKind::Overprint
            )
        })
        .map(|(at, _)| at)
}

fn check_enough(strip: &Strip, known: &[(usize, Known)]) -> Result<(), ScanError> {
    let has =
        |wanted: fn(&crate::Patch) -> bool| known.iter().any(|&(at, _)| wanted(&strip.patches[at]));
    let paper = has(|patch| patch.kind == PatchKind::Paper);
    let black = has(|patch| patch.kind == PatchKind::Solid && patch.ink[3] == 255);
    let others = known.iter().filter(|(_, known)| !known.paper).count();
    if others + 1 >= FEWEST && paper && black {
        return Ok(());
    }
    let lost: Vec<&str> = fixed(strip)
        .filter(|at| known.iter().all(|(known, _)| known != at))
        .map(|at| strip.patches[at].name.as_str())
        .collect();
    Err(ScanError::Colour(format!(
        "without a profile they are told from bare paper, solid inks and overprints, but of these \
         too few can be told ({FEWEST} at least are needed, paper and black among them; not to be told: \
         {}). Scan the whole strip, not too dark, or give the scanner's ICC profile",
        lost.join(", ")
    )))
}

/// Colours of all patches by a way from light to colour.
fn readings(
    lights: &[Option<PatchLight>],
    colour: impl Fn(&[[f64; 3]]) -> Lab,
) -> Vec<Option<Read>> {
    lights
        .iter()
        .map(|light| {
            let light = light.as_ref()?;
            let lab = colour(&light.pooled);
            let squares: Vec<f64> = light
                .parts
                .iter()
                .map(|part| {
                    let part = colour(part);
                    (part.l - lab.l).powi(2) + (part.a - lab.a).powi(2) + (part.b - lab.b).powi(2)
                })
                .collect();
            let spread = (squares.iter().sum::<f64>() / squares.len().max(1) as f64).sqrt();
            // A patch spoiled for the most part has no spread that could be believed.
            let spread = if light.spoiled { f64::INFINITY } else { spread };
            Some(Read { lab, spread })
        })
        .collect()
}

/// Patches whose reading cannot be theirs.
fn unlike(
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
fn uneven_light(strip: &Strip, readings: &[Option<Read>]) -> Option<String> {
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
fn overexposed(strip: &Strip, taken: &[Option<PatchPixels>]) -> Option<String> {
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
