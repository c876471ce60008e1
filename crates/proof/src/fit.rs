//! Learning from a measured strip how the press departs from its condition.
//!
//! A few smooth curves are fitted: lightness, chroma and hue by hue, chroma by depth, lightness of
//! saturated colours by hue, and a cast of greys. All are drawn towards "no departure", as strongly
//! as colours that were left out of the fit ask for. What is promised is what fits that have not
//! seen a colour foretell for it.

mod errors;
mod model;
mod reach;
mod solve;
mod unseen;

use colour::{Departure, Lab, PressCondition};

pub use errors::{Errors, PatchError};

use crate::{Measurement, PatchKind, ProofError, Strip};
use model::Point;

/// What can be said from a measurement.
#[derive(Debug, Clone, PartialEq)]
pub enum Verdict {
    /// A departure was found whose correction helps.
    Enough(Lesson),
    /// The press does what is intended as nearly as can be told: correcting would not help.
    Right {
        /// ΔE00 of the book's own colours between intended and measured.
        before: Errors,
        /// A sentence that says why nothing is proposed.
        why: String,
        /// Each patch.
        patches: Vec<PatchError>,
    },
    /// Not enough to say.
    NotEnough {
        /// A sentence that says why.
        why: String,
        /// Each patch that was measured.
        patches: Vec<PatchError>,
    },
}

/// A departure, and what undoing it promises.
#[derive(Debug, Clone, PartialEq)]
pub struct Lesson {
    /// How the press departs; replaces whatever was learned before.
    pub departure: Departure,
    /// ΔE00 of the book's own colours (art colours and greys) between intended and measured.
    pub before: Errors,
    /// The same as foretold after the correction, each patch by a fit that has not seen it.
    pub after: Errors,
    /// Each patch.
    pub patches: Vec<PatchError>,
    /// Patches, from 0, that are so unlike all others that they were hardly counted: dust, a
    /// scratch, a slip of the instrument.
    pub doubtful: Vec<usize>,
}

/// Fewest of the book's own colours and greys from which anything is learned (our assumption).
const FEWEST: usize = 14;
/// Two readings of paper further apart than this, in ΔE00, are two papers.
const ONE_PAPER: f64 = 4.0;
/// How far a darker step may print lighter than the next, in L*.
const STEP_BACK: f64 = 2.5;
/// Mean ΔE00 beyond which no departure of a press is believed.
const BEYOND_BELIEF: f64 = 25.0;
/// Mean ΔE00 that a correction must save at least.
const WORTH_WHILE: f64 = 0.3;
/// Share of the mean ΔE00 that a correction must save at least.
const WORTH_SHARE: f64 = 0.15;
/// How many standard errors the saving must be from nothing.
const SURE: f64 = 3.0;
/// Mean ΔE00 up to which a press without a pattern counts as right: the mean that ISO 12647-7:2016
/// allows a proof, as far as known.
const RIGHT: f64 = 2.5;
/// ΔE00 from which on a paper's own tint is worth a word.
const TINTED: f64 = 1.5;

/// Learns how the press departs.
///
/// Lightness and colour are compared relative to each paper, so that a paper of another tint is
/// reported but not "corrected". Nothing is proposed unless colours that the fit has not seen are
/// foretold to come out better, beyond doubt, by at least 0.3 ΔE00 and 15 percent.
///
/// # Errors
/// The profile's tables fail.
pub fn learn(
    strip: &Strip,
    measurement: &Measurement,
    press: &PressCondition,
) -> Result<Verdict, ProofError> {
    let patches = errors::measured(strip, measurement);
    if let Some(why) = unusable(strip, measurement) {
        return Ok(Verdict::NotEnough { why, patches });
    }
    let before = Errors::of(
        patches
            .iter()
            .filter(|p| is_art(strip, p.patch))
            .map(|p| p.before),
    );
    if before.mean > BEYOND_BELIEF {
        let why = format!(
            "The colours are {:.0} ΔE00 off on average. That is no press that departs, but another \
             strip, other paper or a wrong reading.",
            before.mean
        );
        return Ok(Verdict::NotEnough { why, patches });
    }

    let paper = measured_paper(strip, measurement).unwrap_or(strip.paper());
    let points = points(strip, measurement, paper);
    let fitted = unseen::best(&points);
    let departure = fitted.departure();
    let foretold = reach::foretell(strip, press, paper, &points, &unseen::foretold(&points))?;
    let patches = with_after(patches, &foretold);
    let after = Errors::of(foretold.iter().map(|&(_, error)| error));

    if helps(&patches) {
        return Ok(Verdict::Enough(Lesson {
            departure,
            before,
            after,
            patches,
            doubtful: fitted.doubtful(&points),
        }));
    }
    let reading = format!(
        "The book's own colours are {:.1} ΔE00 off on average, and with the best correction {:.1} \
         would be left.",
        before.mean, after.mean
    );
    let paper_off = colour::delta_e_2000(strip.paper(), paper);
    let paper_note = if paper_off > TINTED {
        format!(" The paper itself is {paper_off:.1} ΔE00 off, which no ink can mend.")
    } else {
        String::new()
    };
    Ok(if off_on_this_paper(strip, &points) <= RIGHT {
        let why = format!(
            "{reading}{paper_note} The press prints as intended; nothing needs to be undone."
        );
        Verdict::Right {
            before,
            why,
            patches,
        }
    } else {
        let why = format!(
            "{reading}{paper_note} The errors follow no pattern that could be undone: measure \
             again, or ask the printer for another proof."
        );
        Verdict::NotEnough { why, patches }
    })
}

/// Mean ΔE00 of the book's own colours, each seen relative to its own paper.
fn off_on_this_paper(strip: &Strip, points: &[Point]) -> f64 {
    let promised_paper = strip.paper();
    let art = points.iter().filter(|point| point.art);
    Errors::of(art.map(|point| {
        let intended = strip.patches[point.patch].intended;
        colour::delta_e_2000(intended.relative_to(promised_paper), point.printed)
    }))
    .mean
}

fn is_art(strip: &Strip, patch: usize) -> bool {
    matches!(
        strip.patches[patch].kind,
        PatchKind::ArtColour | PatchKind::ArtGrey
    )
}

/// Why a measurement allows no fit at all.
fn unusable(strip: &Strip, measurement: &Measurement) -> Option<String> {
    let name = |patch: usize| strip.patches[patch].name.as_str();
    let papers: Vec<Lab> = labs_of(strip, measurement, PatchKind::Paper)
        .map(|(_, lab)| lab)
        .collect();
    let Some(&paper) = papers.first() else {
        return Some(
            "The bare paper was not measured, and every colour is judged against it.".into(),
        );
    };
    if papers
        .iter()
        .any(|&other| colour::delta_e_2000(paper, other) > ONE_PAPER)
    {
        return Some(
            "The bare paper has two colours at the strip's two paper patches: one of them is not \
             paper, or the sheet is stained."
                .into(),
        );
    }
    if paper.l < 50.0 {
        return Some(format!(
            "What should be bare paper has a lightness of {:.0}; these readings are not of this \
             strip.",
            paper.l
        ));
    }
    let art = measurement
        .readings
        .iter()
        .filter(|reading| is_art(strip, reading.patch))
        .count();
    if art < FEWEST {
        return Some(format!(
            "Only {art} of the book's own colours and greys were measured; at least {FEWEST} are \
             needed."
        ));
    }
    if let Some((one, other)) = measurement.exchanged(strip) {
        return Some(format!(
            "{} looks as {} should, and the other way round: the strip was measured out of order, \
             or it is another strip.",
            name(one),
            name(other)
        ));
    }
    for kind in [PatchKind::BlackTint, PatchKind::ArtGrey] {
        if let Some((light, dark)) = steps_back(strip, measurement, kind) {
            return Some(format!(
                "{} should be lighter than {}, but was measured darker: the readings contradict \
                 each other.",
                name(light),
                name(dark)
            ));
        }
    }
    None
}

fn labs_of<'a>(
    strip: &'a Strip,
    measurement: &'a Measurement,
    kind: PatchKind,
) -> impl Iterator<Item = (usize, Lab)> + 'a {
    measurement
        .readings
        .iter()
        .filter(move |reading| strip.patches[reading.patch].kind == kind)
        .map(|reading| (reading.patch, reading.lab))
}

/// Two greys of which the lighter was measured darker.
fn steps_back(strip: &Strip, measurement: &Measurement, kind: PatchKind) -> Option<(usize, usize)> {
    let mut steps: Vec<(usize, Lab)> = labs_of(strip, measurement, kind).collect();
    steps.sort_by(|one, other| {
        let lightness = |patch: usize| strip.patches[patch].predicted.l;
        lightness(one.0).total_cmp(&lightness(other.0))
    });
    steps
        .windows(2)
        .find(|pair| pair[0].1.l > pair[1].1.l + STEP_BACK)
        .map(|pair| (pair[1].0, pair[0].0))
}

fn measured_paper(strip: &Strip, measurement: &Measurement) -> Option<Lab> {
    let papers: Vec<Lab> = labs_of(strip, measurement, PatchKind::Paper)
        .map(|(_, lab)| lab)
        .collect();
    let count = papers.len() as f64;
    let mean = |value: fn(&Lab) -> f64| papers.iter().map(value).sum::<f64>() / count;
    (!papers.is_empty()).then(|| Lab {
        l: mean(|lab| lab.l),
        a: mean(|lab| lab.a),
        b: mean(|lab| lab.b),
    })
}

/// Every measured patch but paper, relative to the paper it is promised and printed on.
fn points(strip: &Strip, measurement: &Measurement, paper: Lab) -> Vec<Point> {
    let promised_paper = strip.paper();
    measurement
        .readings
        .iter()
        .filter(|reading| strip.patches[reading.patch].kind != PatchKind::Paper)
        .map(|reading| {
            let patch = &strip.patches[reading.patch];
            let art = is_art(strip, reading.patch);
            // An uneven patch says less; solids and tints are not made by the book's table.
            let even = 1.0 / (1.0 + (reading.spread.unwrap_or(0.0).max(0.0) / 3.0).powi(2));
            Point::new(
                reading.patch,
                patch.predicted.relative_to(promised_paper),
                reading.lab.relative_to(paper),
                if art { even } else { 0.5 * even },
                art,
            )
        })
        .collect()
}

fn with_after(mut patches: Vec<PatchError>, foretold: &[(usize, f64)]) -> Vec<PatchError> {
    for patch in &mut patches {
        patch.after = foretold
            .iter()
            .find(|(which, _)| *which == patch.patch)
            .map(|&(_, error)| error);
    }
    patches
}

/// Whether the correction helps beyond doubt.
fn helps(patches: &[PatchError]) -> bool {
    let pairs: Vec<(f64, f64)> = patches
        .iter()
        .filter_map(|patch| Some((patch.before, patch.after?)))
        .collect();
    let count = pairs.len() as f64;
    if pairs.len() < 2 {
        return false;
    }
    let before = pairs.iter().map(|(before, _)| before).sum::<f64>() / count;
    let saved: Vec<f64> = pairs.iter().map(|(before, after)| before - after).collect();
    let mean = saved.iter().sum::<f64>() / count;
    let variance = saved.iter().map(|s| (s - mean).powi(2)).sum::<f64>() / (count - 1.0);
    mean >= WORTH_WHILE && mean >= WORTH_SHARE * before && mean >= SURE * (variance / count).sqrt()
}
