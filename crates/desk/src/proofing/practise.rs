//! The practice press: a measurement without paper.

use std::path::PathBuf;

use proof::PracticePress;

use super::{FOLDER, make, strips};
use crate::digest::Gather;
use crate::press_job::Plan;
use crate::record::{ProofFileKind, ProofFileRow};
use crate::{Desk, DeskError, Watch, files};

/// Measures the strip of the book as it is on a heavy practice press.
pub(super) fn run(desk: &Desk, watch: &dyn Watch) -> Result<PathBuf, DeskError> {
    let standing = desk.standing()?;
    let inks = desk.inks(&standing.snapshot.book)?;
    let plan = Plan::new(desk, &standing, &inks)?;
    let mut now = strips::now(desk, &plan, watch)?;
    now.keep(desk)?;
    let folder = desk.root().join(FOLDER);
    let number = (desk.with_record(|record| record.practices())? + 1..)
        .find(|number| !folder.join(file_name(*number)).exists())
        .unwrap_or(u32::MAX);
    let place = folder.join(file_name(number));

    let content = Gather::new("practice")
        .put("number", number.to_le_bytes())
        .done();
    let name = now.mark_of(content.to_string().as_bytes());
    let press = PracticePress {
        seed: u64::from(number),
        ..PracticePress::HEAVY
    };
    let text = press
        .measure(&inks.condition, &now.strip, &now.mark(&name, None))
        .map_err(|error| DeskError::new("proof", error.to_string(), ""))?;
    files::write_whole(&place, text.as_bytes())?;
    desk.with_record(|record| {
        record.add_proof_file(&ProofFileRow {
            mark: name,
            strip: now.strip.version,
            kind: ProofFileKind::Practice,
            width_nm: make::width(&plan).nm(),
            pages: Vec::new(),
        })
    })?;
    Ok(place)
}

fn file_name(number: u32) -> String {
    format!("practice-{number}.txt")
}
