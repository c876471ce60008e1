//! A kept measurement with all that a person wants to see of it.

use std::path::PathBuf;
use std::sync::Arc;

use book::Learned;
use colour::{Departure, delta_e_2000};
use proof::fit::{Errors, Lesson, Verdict};
use proof::{PatchKind, tolerance};

use super::kept::Found;
use super::{PatchReading, ProofReading, ReadFrom, lesson, strips};
use crate::press_job::Plan;
use crate::record::ReadingRow;
use crate::{Desk, DeskError, moment};

/// All measurements, oldest first.
pub(super) fn all(desk: &Desk) -> Result<Vec<ProofReading>, DeskError> {
    let rows = desk.with_record(|record| record.readings())?;
    if rows.is_empty() {
        return Ok(Vec::new());
    }
    let standing = desk.standing()?;
    let inks = desk.inks(&standing.snapshot.book)?;
    let plan = Plan::new(desk, &standing, &inks)?;
    rows.into_iter().map(|row| of(desk, &plan, row)).collect()
}

/// The same for a book that is laid out already.
pub(super) fn all_of(desk: &Desk, plan: &Plan<'_>) -> Result<Vec<ProofReading>, DeskError> {
    let rows = desk.with_record(|record| record.readings())?;
    rows.into_iter().map(|row| of(desk, plan, row)).collect()
}

/// One of them, with the book as it stands.
pub(super) fn of(desk: &Desk, plan: &Plan<'_>, row: ReadingRow) -> Result<ProofReading, DeskError> {
    let found = Found::of(&row.result).ok_or_else(|| strips::unreadable(desk))?;
    let (strip, strip_row) =
        strips::kept(desk, row.strip)?.ok_or_else(|| strips::unreadable(desk))?;
    let foretold = |patch: usize| {
        let (Verdict::Enough(Lesson { patches, .. })
        | Verdict::Right { patches, .. }
        | Verdict::NotEnough { patches, .. }) = &found.verdict;
        patches
            .iter()
            .find(|error| error.patch == patch)
            .and_then(|error| error.after)
    };
    let patches: Vec<PatchReading> = found
        .measurement
        .readings
        .iter()
        .filter_map(|reading| {
            let patch = strip.patches.get(reading.patch)?;
            Some(PatchReading {
                patch: reading.patch,
                name: patch.name.clone(),
                kind: patch.kind,
                art: patch
                    .art
                    .map(|rgb| rgb.map(|word| ((u32::from(word) + 128) / 257) as u8)),
                ink: patch.ink,
                intended: patch.intended,
                measured: reading.lab,
                delta_e: delta_e_2000(patch.intended, reading.lab),
                foretold: foretold(reading.patch),
                spread: reading.spread,
            })
        })
        .collect();
    let is_own =
        |patch: &&PatchReading| matches!(patch.kind, PatchKind::ArtColour | PatchKind::ArtGrey);
    let learned = &plan.standing.snapshot.book.paper.learned;
    let in_force = match (&found.verdict, learned) {
        (Verdict::Enough(lesson), Some(learned)) => {
            let words = from_words(row.id, row.strip, &row.at, &found.from);
            *learned == rounded(&lesson_of(&lesson.departure, words))
        }
        _ => false,
    };
    let same_condition = strip_row.condition == plan.inks.condition.name
        && strip_row.profile == crate::Digest::of(plan.inks.condition.profile.bytes());
    let refused = match &found.verdict {
        Verdict::Enough(_) if !same_condition => Some(format!(
            "It is of a proof for the press condition `{}`, and the book is printed by `{}` now.",
            strip_row.condition, plan.inks.condition.name
        )),
        Verdict::Enough(_) => None,
        Verdict::Right { why, .. } | Verdict::NotEnough { why, .. } => Some(why.clone()),
    };
    Ok(ProofReading {
        accepted: desk.with_record(|record| record.accepted(row.id))?,
        all: Errors::of(patches.iter().map(|patch| patch.delta_e)),
        colours: Errors::of(patches.iter().filter(is_own).map(|patch| patch.delta_e)),
        tolerances: tolerance::judge(&strip, &found.measurement, &tolerance::published()),
        lesson: match &found.verdict {
            Verdict::Enough(learned) => lesson::words(&learned.departure),
            Verdict::Right { .. } | Verdict::NotEnough { .. } => Vec::new(),
        },
        stale: strips::changes(&strip_row, plan),
        id: row.id,
        read_at: row.at,
        name: row.name,
        kept: PathBuf::from(row.kept),
        from: found.from,
        mark: found.measurement.mark.clone(),
        strip: Arc::new(strip),
        measurement: found.measurement,
        patches,
        verdict: found.verdict,
        in_force,
        refused,
    })
}

/// How the book names the measurement that it was taught by.
pub(super) fn from_words(id: u32, strip: u32, read_at: &str, from: &ReadFrom) -> String {
    let practice = match from {
        ReadFrom::Practice => " on the practice press",
        ReadFrom::Instrument | ReadFrom::Scan { .. } => "",
    };
    format!(
        "proof {id}{practice}, strip {strip}, read {}",
        moment::day(read_at)
    )
}

/// A departure as the book keeps it.
pub(super) fn lesson_of(departure: &Departure, from: String) -> Learned {
    Learned {
        from,
        tone: departure.tone.clone(),
        saturation: departure.saturation.clone(),
        hue: departure.hue.clone(),
        depth: departure.depth.clone(),
        lift: departure.lift.clone(),
        cast: departure.cast.clone(),
    }
}

/// As the book file keeps it, to three decimals.
fn rounded(learned: &Learned) -> Learned {
    let round = |value: f64| (value * 1000.0).round() / 1000.0 + 0.0;
    let pairs = |pairs: &[(f64, f64)]| {
        pairs
            .iter()
            .map(|&(one, other)| (round(one), round(other)))
            .collect()
    };
    let list = |list: &[f64]| list.iter().copied().map(round).collect();
    Learned {
        from: learned.from.clone(),
        tone: pairs(&learned.tone),
        saturation: list(&learned.saturation),
        hue: list(&learned.hue),
        depth: list(&learned.depth),
        lift: list(&learned.lift),
        cast: pairs(&learned.cast),
    }
}
