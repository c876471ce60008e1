//! Strips and measurements in the form in which the record keeps them: JSON of their own layout,
//! so that what the rooms below name things does not decide what old books can be read by.

use colour::{Departure, Lab};
use proof::fit::{Errors, Lesson, PatchError, Verdict};
use proof::{Chosen, Mark, Matched, Measurement, Patch, PatchKind, Reading, Strip};
use serde::{Deserialize, Serialize};

use super::ReadFrom;
use crate::digest::{Digest, Gather};

/// A patch.
#[derive(Debug, Serialize, Deserialize)]
struct KeptPatch {
    name: String,
    kind: String,
    art: Option<[u16; 3]>,
    ink: [u8; 4],
    predicted: [f64; 3],
    intended: [f64; 3],
    share: f64,
}

/// The words for the kinds of patches.
const KINDS: [(PatchKind, &str); 6] = [
    (PatchKind::Paper, "paper"),
    (PatchKind::Solid, "solid"),
    (PatchKind::Overprint, "overprint"),
    (PatchKind::BlackTint, "black tint"),
    (PatchKind::ArtGrey, "grey"),
    (PatchKind::ArtColour, "colour"),
];

/// The word for a kind of patch.
pub(crate) fn kind_word(kind: PatchKind) -> &'static str {
    KINDS
        .iter()
        .find(|(known, _)| *known == kind)
        .map_or("", |(_, word)| word)
}

/// The patches of a strip as JSON.
pub(super) fn patches_text(strip: &Strip) -> String {
    let patches: Vec<KeptPatch> = strip
        .patches
        .iter()
        .map(|patch| KeptPatch {
            name: patch.name.clone(),
            kind: kind_word(patch.kind).to_owned(),
            art: patch.art,
            ink: patch.ink,
            predicted: numbers(patch.predicted),
            intended: numbers(patch.intended),
            share: patch.share,
        })
        .collect();
    text(&patches)
}

/// A strip from its version and its patches; `None` where they cannot be understood.
pub(super) fn strip_of(version: u32, patches: &str) -> Option<Strip> {
    let patches: Vec<KeptPatch> = serde_json::from_str(patches).ok()?;
    let patches = patches
        .into_iter()
        .map(|patch| {
            Some(Patch {
                kind: KINDS.iter().find(|(_, word)| *word == patch.kind)?.0,
                name: patch.name,
                art: patch.art,
                ink: patch.ink,
                predicted: lab(patch.predicted),
                intended: lab(patch.intended),
                share: patch.share,
            })
        })
        .collect::<Option<_>>()?;
    Some(Strip { version, patches })
}

/// Digest of what makes a strip this very one: its patches, their inks and what they are meant to
/// look like, to a hundredth, so that no last digit of a computation makes another strip.
pub(super) fn fingerprint(strip: &Strip) -> Digest {
    let mut all = Gather::new("control strip");
    for patch in &strip.patches {
        let hundredths = |lab: Lab| numbers(lab).map(|value| (value * 100.0).round() as i64);
        all.put("name", &patch.name)
            .put("kind", kind_word(patch.kind))
            .put("art", format!("{:?}", patch.art))
            .put("ink", patch.ink)
            .put("predicted", format!("{:?}", hundredths(patch.predicted)))
            .put("intended", format!("{:?}", hundredths(patch.intended)));
    }
    all.done()
}

/// A colour that was chosen from the art.
#[derive(Debug, Serialize, Deserialize)]
struct KeptChosen {
    rgb: [u16; 3],
    lab: [f64; 3],
    share: f64,
    pull: f64,
}

/// Chosen colours as JSON.
pub(super) fn chosen_text(chosen: &[Chosen]) -> String {
    let chosen: Vec<KeptChosen> = chosen
        .iter()
        .map(|chosen| KeptChosen {
            rgb: chosen.rgb,
            lab: numbers(chosen.lab),
            share: chosen.share,
            pull: chosen.pull,
        })
        .collect();
    text(&chosen)
}

/// Chosen colours from JSON.
pub(super) fn chosen_of(text: &str) -> Option<Vec<Chosen>> {
    let chosen: Vec<KeptChosen> = serde_json::from_str(text).ok()?;
    Some(
        chosen
            .into_iter()
            .map(|chosen| Chosen {
                rgb: chosen.rgb,
                lab: lab(chosen.lab),
                share: chosen.share,
                pull: chosen.pull,
            })
            .collect(),
    )
}

/// What was found in a measurement.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Found {
    pub(super) from: ReadFrom,
    pub(super) measurement: Measurement,
    pub(super) verdict: Verdict,
}

#[derive(Debug, Serialize, Deserialize)]
struct KeptFound {
    from: KeptFrom,
    readings: Vec<KeptReading>,
    missing: Vec<usize>,
    matched: String,
    mark: Option<String>,
    remarks: Vec<String>,
    verdict: KeptVerdict,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum KeptFrom {
    Instrument,
    Practice,
    Scan {
        turned_degrees: f64,
        ppi: f64,
        colour: String,
    },
}

#[derive(Debug, Serialize, Deserialize)]
struct KeptReading {
    patch: usize,
    lab: [f64; 3],
    spread: Option<f64>,
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum KeptVerdict {
    Enough {
        departure: KeptDeparture,
        before: KeptErrors,
        after: KeptErrors,
        patches: Vec<KeptError>,
        doubtful: Vec<usize>,
    },
    Right {
        before: KeptErrors,
        why: String,
        patches: Vec<KeptError>,
    },
    NotEnough {
        why: String,
        patches: Vec<KeptError>,
    },
}

#[derive(Debug, Serialize, Deserialize)]
struct KeptDeparture {
    tone: Vec<(f64, f64)>,
    saturation: Vec<f64>,
    hue: Vec<f64>,
    depth: Vec<f64>,
    lift: Vec<f64>,
    cast: Vec<(f64, f64)>,
}

#[derive(Debug, Serialize, Deserialize)]
struct KeptErrors {
    mean: f64,
    percentile95: f64,
    most: f64,
    patches: usize,
}

#[derive(Debug, Serialize, Deserialize)]
struct KeptError {
    patch: usize,
    before: f64,
    after: Option<f64>,
}

const MATCHES: [(Matched, &str); 4] = [
    (Matched::Names, "names"),
    (Matched::Inks, "inks"),
    (Matched::Order, "order"),
    (Matched::Place, "place"),
];

impl Found {
    /// As JSON.
    pub(super) fn text(&self) -> String {
        let measurement = &self.measurement;
        text(&KeptFound {
            from: match &self.from {
                ReadFrom::Instrument => KeptFrom::Instrument,
                ReadFrom::Practice => KeptFrom::Practice,
                ReadFrom::Scan {
                    turned,
                    ppi,
                    colour,
                } => KeptFrom::Scan {
                    turned_degrees: *turned,
                    ppi: *ppi,
                    colour: colour.clone(),
                },
            },
            readings: measurement
                .readings
                .iter()
                .map(|reading| KeptReading {
                    patch: reading.patch,
                    lab: numbers(reading.lab),
                    spread: reading.spread,
                })
                .collect(),
            missing: measurement.missing.clone(),
            matched: MATCHES
                .iter()
                .find(|(known, _)| *known == measurement.matched)
                .map_or("", |(_, word)| word)
                .to_owned(),
            mark: measurement.mark.as_ref().map(Mark::text),
            remarks: measurement.remarks.clone(),
            verdict: KeptVerdict::from(&self.verdict),
        })
    }

    /// From JSON; `None` where it cannot be understood.
    pub(super) fn of(text: &str) -> Option<Self> {
        let kept: KeptFound = serde_json::from_str(text).ok()?;
        Some(Self {
            from: match kept.from {
                KeptFrom::Instrument => ReadFrom::Instrument,
                KeptFrom::Practice => ReadFrom::Practice,
                KeptFrom::Scan {
                    turned_degrees,
                    ppi,
                    colour,
                } => ReadFrom::Scan {
                    turned: turned_degrees,
                    ppi,
                    colour,
                },
            },
            measurement: Measurement {
                readings: kept
                    .readings
                    .into_iter()
                    .map(|reading| Reading {
                        patch: reading.patch,
                        lab: lab(reading.lab),
                        spread: reading.spread,
                    })
                    .collect(),
                missing: kept.missing,
                matched: MATCHES.iter().find(|(_, word)| *word == kept.matched)?.0,
                mark: kept.mark.and_then(|mark| Mark::parse(&mark).ok()),
                remarks: kept.remarks,
            },
            verdict: kept.verdict.into(),
        })
    }
}

impl From<&Verdict> for KeptVerdict {
    fn from(verdict: &Verdict) -> Self {
        match verdict {
            Verdict::Enough(lesson) => Self::Enough {
                departure: KeptDeparture {
                    tone: lesson.departure.tone.clone(),
                    saturation: lesson.departure.saturation.clone(),
                    hue: lesson.departure.hue.clone(),
                    depth: lesson.departure.depth.clone(),
                    lift: lesson.departure.lift.clone(),
                    cast: lesson.departure.cast.clone(),
                },
                before: lesson.before.into(),
                after: lesson.after.into(),
                patches: kept_errors(&lesson.patches),
                doubtful: lesson.doubtful.clone(),
            },
            Verdict::Right {
                before,
                why,
                patches,
            } => Self::Right {
                before: (*before).into(),
                why: why.clone(),
                patches: kept_errors(patches),
            },
            Verdict::NotEnough { why, patches } => Self::NotEnough {
                why: why.clone(),
                patches: kept_errors(patches),
            },
        }
    }
}

impl From<KeptVerdict> for Verdict {
    fn from(kept: KeptVerdict) -> Self {
        match kept {
            KeptVerdict::Enough {
                departure,
                before,
                after,
                patches,
                doubtful,
            } => Self::Enough(Lesson {
                departure: Departure {
                    tone: departure.tone,
                    saturation: departure.saturation,
                    hue: departure.hue,
                    depth: departure.depth,
                    lift: departure.lift,
                    cast: departure.cast,
                },
                before: before.into(),
                after: after.into(),
                patches: errors(patches),
                doubtful,
            }),
            KeptVerdict::Right {
                before,
                why,
                patches,
            } => Self::Right {
                before: before.into(),
                why,
                patches: errors(patches),
            },
            KeptVerdict::NotEnough { why, patches } => Self::NotEnough {
                why,
                patches: errors(patches),
            },
        }
    }
}

impl From<Errors> for KeptErrors {
    fn from(errors: Errors) -> Self {
        Self {
            mean: errors.mean,
            percentile95: errors.percentile95,
            most: errors.most,
            patches: errors.patches,
        }
    }
}

impl From<KeptErrors> for Errors {
    fn from(kept: KeptErrors) -> Self {
        Self {
            mean: kept.mean,
            percentile95: kept.percentile95,
            most: kept.most,
            patches: kept.patches,
        }
    }
}

fn kept_errors(patches: &[PatchError]) -> Vec<KeptError> {
    patches
        .iter()
        .map(|error| KeptError {
            patch: error.patch,
            before: error.before,
            after: error.after,
        })
        .collect()
}

fn errors(kept: Vec<KeptError>) -> Vec<PatchError> {
    kept.into_iter()
        .map(|error| PatchError {
            patch: error.patch,
            before: error.before,
            after: error.after,
        })
        .collect()
}

fn numbers(lab: Lab) -> [f64; 3] {
    [lab.l, lab.a, lab.b]
}

fn lab([l, a, b]: [f64; 3]) -> Lab {
    Lab { l, a, b }
}

fn text<T: Serialize>(value: &T) -> String {
    serde_json::to_string(value).expect("numbers, words and lists are always written")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn strip() -> Strip {
        let patch = |name: &str, kind, art, ink| Patch {
            name: name.to_owned(),
            kind,
            art,
            ink,
            predicted: lab([51.25, -3.5, 0.1]),
            intended: lab([52.0, -3.0, 0.3]),
            share: 0.125,
        };
        Strip {
            version: 3,
            patches: vec![
                patch("A1", PatchKind::Paper, None, [0; 4]),
                patch(
                    "A2",
                    PatchKind::ArtColour,
                    Some([1, 2, 65535]),
                    [1, 2, 3, 4],
                ),
            ],
        }
    }

    #[test]
    fn a_strip_comes_back_as_it_was_kept() {
        let strip = strip();
        let again = strip_of(3, &patches_text(&strip)).unwrap();
        assert_eq!(again, strip);
        assert_eq!(fingerprint(&again), fingerprint(&strip));
        assert_eq!(strip_of(3, "[{}]"), None);
    }

    #[test]
    fn another_ink_or_aim_is_another_strip_and_a_last_digit_is_not() {
        let one = strip();
        let mut other = strip();
        other.version = 9;
        other.patches[1].intended.l += 1e-6;
        assert_eq!(fingerprint(&one), fingerprint(&other));
        other.patches[1].ink[0] += 1;
        assert_ne!(fingerprint(&one), fingerprint(&other));
        let mut other = strip();
        other.patches[1].intended.l += 0.5;
        assert_ne!(fingerprint(&one), fingerprint(&other));
    }

    #[test]
    fn what_was_found_comes_back_as_it_was_kept() {
        let errors = Errors {
            mean: 6.5,
            percentile95: 9.25,
            most: 11.0,
            patches: 40,
        };
        let patches = vec![PatchError {
            patch: 1,
            before: 6.5,
            after: Some(1.5),
        }];
        let verdicts = [
            Verdict::Enough(Lesson {
                departure: Departure {
                    tone: vec![(0.0, 3.0), (100.0, 100.0)],
                    saturation: vec![1.125],
                    cast: vec![(0.5, -0.25)],
                    ..Departure::default()
                },
                before: errors,
                after: errors,
                patches: patches.clone(),
                doubtful: vec![1],
            }),
            Verdict::Right {
                before: errors,
                why: "It prints as intended.".to_owned(),
                patches: patches.clone(),
            },
            Verdict::NotEnough {
                why: "Too few.".to_owned(),
                patches,
            },
        ];
        let scan = ReadFrom::Scan {
            turned: 180.0,
            ppi: 299.5,
            colour: "Its colours come from the strip itself.".to_owned(),
        };
        for (verdict, from) in
            verdicts
                .into_iter()
                .zip([ReadFrom::Instrument, ReadFrom::Practice, scan])
        {
            let found = Found {
                from,
                measurement: Measurement {
                    readings: vec![Reading {
                        patch: 1,
                        lab: lab([50.0, 1.0, -1.0]),
                        spread: None,
                    }],
                    missing: vec![0],
                    matched: Matched::Order,
                    mark: Mark::parse("FOREDGE/1/12/0A1B2C3D/3").ok(),
                    remarks: vec!["Turned.".to_owned()],
                },
                verdict,
            };
            assert_eq!(Found::of(&found.text()), Some(found));
        }
    }
}
