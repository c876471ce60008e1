//! Judging the art: each picture decoded once, a few at a time, and remembered by what it is, how
//! large it is placed and which press it is for.

use std::collections::HashMap;
use std::path::PathBuf;

use art::{Fingerprint, Judgement, Limits, Use};
use finding::{Finding, Place, Severity};
use measure::{PixelSize, Resolution, Size};
use serde::{Deserialize, Serialize};

use crate::conveyor::{self, Load};
use crate::digest::{Digest, Gather};
use crate::inks::{self, Inks, Plates};
use crate::paper::{Paper, Treatment};
use crate::{ArtReport, Desk, DeskError, Standing, Watch, art_folder, files, preview};

/// Raised when the same picture would be judged otherwise.
const METHOD: &str = "3";
/// Memory for pictures in hand, and what a pixel of them takes while it is judged.
const JUDGING_BYTES: u64 = 900 << 20;
const BYTES_OF_PIXEL: u64 = 12;

/// How a piece is used: the largest size at which it is placed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Placing {
    on_paper: Option<Size>,
    accept_low_resolution: bool,
}

/// Judges all art of the folder.
pub(crate) fn run(desk: &Desk, watch: &dyn Watch) -> Result<ArtReport, DeskError> {
    let standing = desk.standing()?;
    let inks = desk.inks(&standing.snapshot.book)?;
    let tasks = tasks(desk, &standing, &inks)?;
    let needs: Vec<u64> = tasks
        .iter()
        .map(|task| match (&task.cached, &task.piece.size) {
            (None, Ok(size)) => size.count() * BYTES_OF_PIXEL,
            _ => 0,
        })
        .collect();
    let load = Load {
        workers: std::thread::available_parallelism().map_or(1, usize::from),
        bytes: JUDGING_BYTES,
    };
    let mut judged = Vec::new();
    let mut findings = Vec::new();
    conveyor::run(
        &needs,
        load,
        |index| {
            if watch.stopped() {
                return Err(DeskError::stopped("art"));
            }
            Ok(tasks[index].judge(desk, &inks))
        },
        |index, result: Result<Judgement, String>| {
            let task = &tasks[index];
            match result {
                Ok(judgement) => {
                    if task.cached.is_none()
                        && let Some(path) = &task.cache
                    {
                        // A judgement that is not remembered is only made again.
                        let _ = files::write_whole(path, &Kept::of(&judgement).text());
                    }
                    judged.push(judgement);
                }
                Err(problem) => findings.push(unreadable(&task.piece.name, &problem)),
            }
            watch.step(index + 1, tasks.len(), &task.piece.name);
            Ok(())
        },
    )?;
    if watch.stopped() {
        return Err(DeskError::stopped("art"));
    }
    let report = gathered(judged, findings, &standing);
    desk.with_record(|record| {
        let facts = JudgedFacts::of(&report, inputs(&tasks));
        record.add_made("judged", &facts.text())
    })?;
    Ok(report)
}

/// The report if every piece is judged already for the book as it is; reads no pixels.
pub(crate) fn known(
    desk: &Desk,
    standing: &Standing,
    inks: &Inks,
) -> Result<Option<ArtReport>, DeskError> {
    let mut judged = Vec::new();
    let mut findings = Vec::new();
    for task in tasks(desk, standing, inks)? {
        match (task.cached, &task.piece.size) {
            (Some(judgement), _) => judged.push(judgement),
            (None, Err(problem)) => findings.push(unreadable(&task.piece.name, problem)),
            (None, Ok(_)) => return Ok(None),
        }
    }
    Ok(Some(gathered(judged, findings, standing)))
}

/// What the last judging was of, and what it found, for the status.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct JudgedFacts {
    pub inputs: Digest,
    pub pieces: usize,
    pub stop: usize,
    pub warn: usize,
    /// The first thing that must not go to print.
    pub first: String,
}

impl JudgedFacts {
    fn of(report: &ArtReport, inputs: Digest) -> Self {
        let count = |severity| {
            report
                .findings
                .iter()
                .filter(|finding| finding.severity == severity)
                .count()
        };
        Self {
            inputs,
            pieces: report.pieces.len(),
            stop: count(Severity::Stop),
            warn: count(Severity::Warn),
            first: report
                .findings
                .iter()
                .find(|finding| finding.severity == Severity::Stop)
                .map(|finding| finding.message.clone())
                .unwrap_or_default(),
        }
    }

    fn text(&self) -> String {
        serde_json::to_string(self).expect("numbers and texts are always written")
    }
}

/// Digest of what the art would be judged by now.
pub(crate) fn inputs_now(
    desk: &Desk,
    standing: &Standing,
    inks: &Inks,
) -> Result<Digest, DeskError> {
    Ok(inputs(&keyed(desk, standing, inks)?))
}

/// What a header tells of resolution, for art that was not judged.
pub(crate) fn resolution_findings(standing: &Standing) -> Vec<Finding> {
    /// Refused under this, as in the judgement of art.
    const LEAST: f64 = 150.0;
    let placings = placings(standing);
    standing
        .art
        .iter()
        .filter_map(|piece| {
            let placing = placings.get(piece.name.as_str())?;
            let has = Resolution::effective(*piece.size.as_ref().ok()?, placing.on_paper?)?;
            (has.ppi() < LEAST && !placing.accept_low_resolution).then(|| {
                Finding::new(
                    "art-resolution-low",
                    Severity::Stop,
                    Place::Piece(piece.name.clone()),
                    format!(
                        "At the size at which it is placed it has only {:.0} ppi.",
                        has.ppi()
                    ),
                )
                .hint("Place it smaller, or put a larger picture in its place.")
                .figures(format!("{:.0} ppi", has.ppi()), format!("{LEAST:.0} ppi"))
            })
        })
        .collect()
}

struct Task<'a> {
    piece: &'a art_folder::Piece,
    placing: Placing,
    treatment: Treatment,
    digest: Option<Digest>,
    key: Option<Digest>,
    cache: Option<PathBuf>,
    cached: Option<Judgement>,
}

impl Task<'_> {
    fn judge(&self, desk: &Desk, inks: &Inks) -> Result<Judgement, String> {
        if let Some(cached) = &self.cached {
            return Ok(cached.clone());
        }
        self.piece.size.clone()?;
        let bytes =
            art_folder::read(&self.piece.path, &self.piece.name).map_err(|error| error.problem)?;
        let picture = art::decode(&bytes, &Limits::default()).map_err(|error| error.to_string())?;
        drop(bytes);
        if let Some(digest) = self.digest {
            // The pixels are at hand: small pictures of the pages will want them.
            preview::note_small(desk, digest, &picture);
        }
        let profile = picture
            .profile
            .clone()
            .unwrap_or_else(colour::Profile::srgb);
        let plates = Plates::of(self.treatment.inks, inks::is_line_art(&picture));
        let reach = inks
            .reach(&profile, plates.few(), &self.treatment.compensation)
            .map_err(|error| error.to_string())?;
        let usage = Use {
            piece: &self.piece.name,
            on_paper: self.placing.on_paper,
            accept_low_resolution: self.placing.accept_low_resolution,
        };
        Ok(art::judge(&picture, &reach, &usage))
    }
}

fn tasks<'a>(desk: &Desk, standing: &'a Standing, inks: &Inks) -> Result<Vec<Task<'a>>, DeskError> {
    let mut tasks = keyed(desk, standing, inks)?;
    for task in &mut tasks {
        task.cached = task
            .cache
            .as_ref()
            .and_then(|path| std::fs::read(path).ok())
            .and_then(|text| serde_json::from_slice::<Kept>(&text).ok())
            .map(|kept| kept.judgement(&task.piece.name));
    }
    Ok(tasks)
}

/// Tasks with their keys, without what is remembered.
fn keyed<'a>(desk: &Desk, standing: &'a Standing, inks: &Inks) -> Result<Vec<Task<'a>>, DeskError> {
    let pieces: Vec<&art_folder::Piece> = standing.art.iter().collect();
    let digests = desk.with_record(|record| art_folder::digests(&pieces, record))?;
    let placings = placings(standing);
    let folder = desk.private("cache/judged");
    let paper = Paper::of(&standing.snapshot.book);
    Ok(pieces
        .into_iter()
        .zip(digests)
        .map(|(piece, digest)| {
            let placing = placings
                .get(piece.name.as_str())
                .copied()
                .unwrap_or(Placing {
                    on_paper: None,
                    accept_low_resolution: false,
                });
            let treatment = paper.treatment(&piece.name);
            let key = digest.map(|digest| {
                Gather::new("judgement")
                    .put("method", METHOD)
                    .put("program", crate::PROGRAM)
                    .put("piece", &piece.name)
                    .put("art", digest.to_string())
                    .put("inks", inks.whole.to_string())
                    .put("treatment", treatment.digest().to_string())
                    .put("placing", format!("{placing:?}"))
                    .done()
            });
            Task {
                piece,
                placing,
                treatment,
                digest,
                key,
                cache: key.map(|key| folder.join(format!("{key}.json"))),
                cached: None,
            }
        })
        .collect())
}

fn inputs(tasks: &[Task<'_>]) -> Digest {
    let mut all = Gather::new("judged");
    for task in tasks {
        all.put(
            "piece",
            task.key.map_or_else(String::new, |key| key.to_string()),
        );
    }
    all.done()
}

/// The largest frame of each piece that is placed. A low resolution is accepted only where every
/// place of the piece accepts it.
fn placings(standing: &Standing) -> HashMap<&str, Placing> {
    let snapshot = &standing.snapshot;
    let pages = snapshot.plan.pages.iter().flat_map(|page| &page.pictures);
    let flats = snapshot.sheets.iter().flat_map(|sheet| &sheet.pictures);
    let mut placings: HashMap<&str, Placing> = HashMap::new();
    for placed in pages.chain(flats) {
        let size = Size {
            width: placed.frame.width,
            height: placed.frame.height,
        };
        let placing = placings.entry(&placed.piece).or_insert(Placing {
            on_paper: Some(size),
            accept_low_resolution: true,
        });
        placing.accept_low_resolution &= placed.accept_low_resolution;
        if placing
            .on_paper
            .is_none_or(|largest| largest.width < size.width)
        {
            placing.on_paper = Some(size);
        }
    }
    placings
}

fn gathered(judged: Vec<Judgement>, mut findings: Vec<Finding>, standing: &Standing) -> ArtReport {
    findings.extend(
        judged
            .iter()
            .flat_map(|judgement| judgement.findings.iter().cloned()),
    );
    findings.extend(art::near_duplicates(&judged));
    // Art that the book wants and the folder does not have is no piece that could be judged.
    findings.extend(
        standing
            .snapshot
            .findings
            .iter()
            .filter(|finding| finding.code == "book-art-missing")
            .filter(|missing| {
                !findings
                    .iter()
                    .any(|finding| finding.place == missing.place)
            })
            .cloned()
            .collect::<Vec<_>>(),
    );
    findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    ArtReport {
        pieces: judged,
        findings,
    }
}

fn unreadable(piece: &str, problem: &str) -> Finding {
    Finding::new(
        "art-unreadable",
        Severity::Stop,
        Place::Piece(piece.to_owned()),
        format!("`{piece}` cannot be used: {problem}."),
    )
    .hint("Save it again from the program that made it, or take it out of the folder.")
}

/// A judgement as it is remembered.
#[derive(Serialize, Deserialize)]
struct Kept {
    width: u32,
    height: u32,
    ppi: Option<f64>,
    separated_already: bool,
    mean_lost: f64,
    lost_most: f64,
    out_of_reach: f64,
    out_of_reach_by: f64,
    out_of_reach_bands: [f64; 6],
    shadow_fills: f64,
    highlight_fades: f64,
    fingerprint: Vec<u8>,
    ink_most: f64,
    findings: Vec<KeptFinding>,
}

#[derive(Serialize, Deserialize)]
struct KeptFinding {
    code: String,
    severity: String,
    message: String,
    hint: String,
    measured: Option<String>,
    required: Option<String>,
}

impl Kept {
    fn of(judgement: &Judgement) -> Self {
        Self {
            width: judgement.size.width,
            height: judgement.size.height,
            ppi: judgement.ppi,
            separated_already: judgement.separated_already,
            mean_lost: judgement.mean_lost,
            lost_most: judgement.lost_most,
            out_of_reach: judgement.out_of_reach,
            out_of_reach_by: judgement.out_of_reach_by,
            out_of_reach_bands: judgement.out_of_reach_bands,
            shadow_fills: judgement.shadow_fills,
            highlight_fades: judgement.highlight_fades,
            fingerprint: judgement.fingerprint.0.clone(),
            ink_most: judgement.ink_most,
            findings: judgement
                .findings
                .iter()
                .map(|finding| KeptFinding {
                    code: finding.code.to_owned(),
                    severity: finding.severity.word().to_owned(),
                    message: finding.message.clone(),
                    hint: finding.hint.clone(),
                    measured: finding.measured.clone(),
                    required: finding.required.clone(),
                })
                .collect(),
        }
    }

    fn text(&self) -> Vec<u8> {
        serde_json::to_vec(self).expect("numbers and texts are always written")
    }

    fn judgement(self, piece: &str) -> Judgement {
        Judgement {
            piece: piece.to_owned(),
            size: PixelSize {
                width: self.width,
                height: self.height,
            },
            ppi: self.ppi,
            separated_already: self.separated_already,
            mean_lost: self.mean_lost,
            lost_most: self.lost_most,
            out_of_reach: self.out_of_reach,
            out_of_reach_by: self.out_of_reach_by,
            out_of_reach_bands: self.out_of_reach_bands,
            shadow_fills: self.shadow_fills,
            highlight_fades: self.highlight_fades,
            fingerprint: Fingerprint(self.fingerprint),
            ink_most: self.ink_most,
            findings: self
                .findings
                .into_iter()
                .map(|kept| Finding {
                    code: lasting(kept.code),
                    severity: match kept.severity.as_str() {
                        "stop" => Severity::Stop,
                        "warn" => Severity::Warn,
                        _ => Severity::Note,
                    },
                    place: Place::Piece(piece.to_owned()),
                    message: kept.message,
                    hint: kept.hint,
                    measured: kept.measured,
                    required: kept.required,
                })
                .collect(),
        }
    }
}

/// A code that lives as long as the program. There are few codes, so each is kept once.
fn lasting(code: String) -> &'static str {
    use std::sync::{Mutex, PoisonError};
    static CODES: Mutex<Vec<&'static str>> = Mutex::new(Vec::new());
    let mut codes = CODES.lock().unwrap_or_else(PoisonError::into_inner);
    match codes.iter().find(|known| **known == code) {
        Some(known) => known,
        None => {
            let known: &'static str = Box::leak(code.into_boxed_str());
            codes.push(known);
            known
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_judgement_comes_back_as_it_was_kept() {
        let judgement = Judgement {
            piece: "sea.png".to_owned(),
            size: PixelSize {
                width: 30,
                height: 20,
            },
            ppi: Some(281.5),
            separated_already: true,
            mean_lost: 1.5,
            lost_most: 6.2,
            out_of_reach: 0.125,
            out_of_reach_by: 4.5,
            out_of_reach_bands: [0.1, 0.0, 0.0, 0.025, 0.0, 0.0],
            shadow_fills: 0.01,
            highlight_fades: 0.02,
            fingerprint: Fingerprint(vec![1, 2, 3]),
            ink_most: 299.0,
            findings: vec![
                Finding::new(
                    "art-resolution-low",
                    Severity::Warn,
                    Place::Piece("sea.png".to_owned()),
                    "coarse",
                )
                .hint("smaller")
                .figures("281 ppi", "300 ppi"),
            ],
        };
        let text = Kept::of(&judgement).text();
        let back = serde_json::from_slice::<Kept>(&text)
            .unwrap()
            .judgement("sea.png");
        assert_eq!(back.findings, judgement.findings);
        assert_eq!(back.fingerprint, judgement.fingerprint);
        assert!(back.separated_already);
        assert_eq!(
            (back.size, back.ppi, back.out_of_reach, back.ink_most),
            (
                judgement.size,
                judgement.ppi,
                judgement.out_of_reach,
                judgement.ink_most
            )
        );
    }
}
