//! What paper will take from each piece.

use book::plan::ReaderPage;

use crate::{ArtReport, Desk, DeskError, Loss, Watch};

/// Judges all art and says what is lost.
pub(crate) fn run(desk: &Desk, watch: &dyn Watch) -> Result<Vec<Loss>, DeskError> {
    let report = desk.judge(watch)?;
    losses(desk, &report)
}

/// The losses if all art is judged already.
pub(crate) fn known(desk: &Desk) -> Result<Option<Vec<Loss>>, DeskError> {
    desk.judged()?
        .map(|report| losses(desk, &report))
        .transpose()
}

fn losses(desk: &Desk, report: &ArtReport) -> Result<Vec<Loss>, DeskError> {
    let snapshot = desk.snapshot()?;
    Ok(report
        .pieces
        .iter()
        .map(|judged| Loss {
            piece: judged.piece.clone(),
            pages: snapshot
                .plan
                .pages_with(&judged.piece)
                .collect::<Vec<ReaderPage>>(),
            sentence: String::new(),
            mean_lost: 0.0,
            out_of_reach: judged.out_of_reach,
            out_of_reach_by: judged.out_of_reach_by,
            out_of_reach_bands: [0.0; 6],
            shadow_fills: judged.shadow_fills,
            highlight_fades: 0.0,
            ink_most: judged.ink_most,
        })
        .collect())
}
