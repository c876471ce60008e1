//! Pages of the interior made for proof pages: the same pictures and words as in the press file,
//! taken over from it where it still holds them.

use book::plan::ReaderPage;
use finding::Finding;
use press::{FileKind, OutputIntent, PageInput};

use super::last_file::LastFile;
use super::sheet::make_unit;
use super::{INTERIOR, MANIFEST, Plan, unusable_art};
use crate::manifest::Manifest;
use crate::unit::Sheet;
use crate::{Desk, DeskError, Watch};

/// What is done with a made page.
pub(crate) type Take<'t> =
    dyn FnMut(ReaderPage, &Sheet<'_>, PageInput<'_>) -> Result<(), DeskError> + 't;

/// Makes pages, in the order of the book, and hands each over as soon as it is made; gives what was
/// found about their words.
pub(crate) fn pages(
    desk: &Desk,
    plan: &Plan<'_>,
    wanted: &[ReaderPage],
    watch: &dyn Watch,
    take: &mut Take<'_>,
) -> Result<Vec<Finding>, DeskError> {
    let folder = desk.root().join("press");
    let manifest = Manifest::read(&folder.join(MANIFEST));
    let last = LastFile::find(manifest.as_ref(), &folder.join(INTERIOR), INTERIOR);
    let mut findings = Vec::new();
    let mut done = 0;
    for unit in &plan.interior {
        let number = |index: usize| ReaderPage(unit.first + index as u32);
        let count = (0..unit.sheets.len())
            .filter(|&index| wanted.contains(&number(index)))
            .count();
        if count == 0 {
            continue;
        }
        for placed in unit.sheets.iter().flat_map(|sheet| sheet.pictures) {
            if !plan.art.contains_key(placed.piece.as_str()) {
                return Err(unusable_art(
                    &placed.piece,
                    "it is not there, or cannot be read",
                ));
            }
        }
        let made = make_unit(plan, unit, last.as_ref(), &|| watch.stopped())?;
        for (index, (sheet, mut made)) in unit.sheets.iter().zip(made).enumerate() {
            let page = number(index);
            if !wanted.contains(&page) {
                continue;
            }
            if watch.stopped() {
                return Err(DeskError::stopped("proof"));
            }
            findings.extend(made.findings(FileKind::Proof, page.0));
            take(page, sheet, made.input(sheet))?;
            done += 1;
            watch.step(done, wanted.len(), &format!("proof of page {}", page.0));
        }
    }
    Ok(findings)
}

/// The output intent of a condition.
pub(crate) fn output_intent(condition: &colour::PressCondition) -> OutputIntent {
    OutputIntent {
        identifier: condition.identifier.clone(),
        registry: condition.registry.clone(),
        info: condition.info.clone(),
        profile: condition.profile.bytes().to_vec(),
    }
}
