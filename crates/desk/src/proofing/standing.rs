//! How it stands with the printed proof, for the status.

use proof::fit::Verdict;

use super::{ProofReading, ReadFrom, reading};
use crate::press_job::Plan;
use crate::{Desk, DeskError, Stage, StageState};
use finding::capital;

/// The stage of the proof.
pub(crate) fn stage(desk: &Desk, plan: &Plan<'_>) -> Result<Stage, DeskError> {
    let readings = reading::all_of(desk, plan)?;
    let corrected = plan.standing.snapshot.book.paper.learned.as_ref();
    let (state, because, next) = match (readings.last(), corrected) {
        (Some(newest), _) => of_newest(newest, &readings),
        (None, Some(learned)) => (
            StageState::Fresh,
            format!("The inks are corrected by what {} taught.", learned.from),
            String::new(),
        ),
        (None, None) => none_yet(desk)?,
    };
    Ok(Stage {
        name: "proof".to_owned(),
        state,
        because,
        next,
    })
}

type Said = (StageState, String, String);

fn none_yet(desk: &Desk) -> Result<Said, DeskError> {
    let made = desk.with_record(|record| record.last_proof())?;
    Ok(match made {
        Some(made) => (
            StageState::Missing,
            format!(
                "Proof pages with strip {} are made; no measurement of them was read yet.",
                made.strip
            ),
            "Have them printed and read what came: foredge proof read FILE".to_owned(),
        ),
        None => (
            StageState::Missing,
            "No printed proof was read yet: what this press does to the colours is only foretold."
                .to_owned(),
            "Make proof pages: foredge proof make".to_owned(),
        ),
    })
}

fn of_newest(newest: &ProofReading, readings: &[ProofReading]) -> Said {
    let id = newest.id;
    let name = &newest.name;
    let practice = match newest.from {
        ReadFrom::Practice => " on the practice press",
        ReadFrom::Instrument | ReadFrom::Scan { .. } => "",
    };
    let in_force = readings.iter().find(|reading| reading.in_force);
    match &newest.verdict {
        Verdict::Enough(lesson) if newest.in_force => corrected(
            newest,
            format!(
                "What proof {id}{practice} taught corrects the inks: {:.1} ΔE00 off on average, {:.1} \
                 foretold.",
                lesson.before.mean, lesson.after.mean
            ),
        ),
        Verdict::Enough(_) if newest.accepted.is_some() => (
            StageState::Missing,
            format!("What proof {id}{practice} taught was taken out of the book again."),
            format!("Take it in again: foredge proof accept {id}"),
        ),
        Verdict::Enough(_) if newest.refused.is_some() => (
            StageState::Stale,
            newest.refused.clone().unwrap_or_default(),
            "Make proof pages for the new one: foredge proof make".to_owned(),
        ),
        Verdict::Enough(lesson) => (
            StageState::Missing,
            format!(
                "Proof {id} ({name}){practice} is {:.1} ΔE00 off on average; with the correction {:.1} \
                 is foretold. Nothing is changed yet.",
                lesson.before.mean, lesson.after.mean
            ),
            format!("Look at it and take it in: foredge proof accept {id}"),
        ),
        Verdict::Right { before, .. } => {
            let said = format!(
                "Proof {id}{practice} prints as intended, {:.1} ΔE00 off on average.",
                before.mean
            );
            match in_force {
                Some(taught) => corrected(taught, said),
                None if !newest.stale.is_empty() => (
                    StageState::Stale,
                    format!("{said} {} since.", capital(&newest.stale.join("; "))),
                    "Make proof pages of the book as it is: foredge proof make".to_owned(),
                ),
                None => (StageState::Fresh, said, String::new()),
            }
        }
        Verdict::NotEnough { why, .. } => (
            StageState::Missing,
            format!("Proof {id} ({name}) is not enough to say what the press does. {why}"),
            "Measure it again, or make another proof: foredge proof make".to_owned(),
        ),
    }
}

/// The inks are corrected; by the practice press they must not stay so.
fn corrected(taught: &ProofReading, said: String) -> Said {
    match taught.from {
        ReadFrom::Practice => (
            StageState::Stale,
            format!(
                "{said} The inks are corrected for the practice press, and no such press exists."
            ),
            "Take that out before the book is printed: foredge proof forget".to_owned(),
        ),
        ReadFrom::Instrument | ReadFrom::Scan { .. } => (StageState::Fresh, said, String::new()),
    }
}
