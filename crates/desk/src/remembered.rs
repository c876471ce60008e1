//! Stages that take a tenth of a second to reckon, remembered until anything that they rest on changes.

use std::fs;

use serde::{Deserialize, Serialize};

use crate::digest::{Digest, Gather};
use crate::record::AskingKind;
use crate::report::Stage;
use crate::{Desk, DeskError, files, moment};

/// Raised when the same book would stand differently.
const METHOD: &str = "1";

#[derive(Serialize, Deserialize)]
struct Kept {
    from: Digest,
    stage: Stage,
}

/// The stage as it is remembered, or else reckoned and kept. `from` is what [`rests_on`] says now.
pub(crate) fn stage(
    desk: &Desk,
    from: Digest,
    name: &str,
    reckon: impl FnOnce(&Desk) -> Result<Stage, DeskError>,
) -> Result<Stage, DeskError> {
    let path = desk.private("cache/stages").join(format!("{name}.json"));
    let kept = fs::read(&path)
        .ok()
        .and_then(|text| serde_json::from_slice::<Kept>(&text).ok());
    if let Some(kept) = kept
        && kept.from == from
    {
        return Ok(kept.stage);
    }
    let stage = reckon(desk)?;
    let kept = Kept {
        from,
        stage: stage.clone(),
    };
    if let Ok(text) = serde_json::to_vec(&kept) {
        // What is not remembered is only reckoned again.
        let _ = files::write_whole(&path, &text);
    }
    Ok(stage)
}

/// Digest of the book file, the pages that came of it, all that was said and received, and the day.
pub(crate) fn rests_on(desk: &Desk) -> Result<Digest, DeskError> {
    let standing = desk.standing()?;
    let mut all = Gather::new("a stage");
    all.put("method", METHOD)
        .put("program", crate::PROGRAM)
        .put("today", moment::today().to_string())
        .put("book", standing.digest.to_string())
        .put("pages", standing.snapshot.plan.pages.len().to_le_bytes());
    desk.with_record(|record| {
        for kind in [AskingKind::Request, AskingKind::Answer] {
            all.put("asking", format!("{:?}", record.asking(kind)?));
        }
        all.put("sales", format!("{:?}", record.sales()?));
        all.put("steps", format!("{:?}", record.step_events()?));
        Ok(())
    })?;
    Ok(all.done())
}
