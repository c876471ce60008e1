use desk::art::Judgement;
use desk::finding::{Finding, Severity};
use desk::{ArtReport, Desk, DeskError};
use serde_json::{Value, json};

use crate::outcome::{Outcome, counted, findings_json, table};
use crate::progress::Terminal;

/// Judges all art.
pub fn art(desk: &Desk) -> Result<Outcome, DeskError> {
    let report = desk.judge(&Terminal::new())?;
    let rows: Vec<Vec<String>> = report
        .pieces
        .iter()
        .map(|piece| {
            vec![
                piece.piece.clone(),
                piece.size.to_string(),
                piece
                    .ppi
                    .map_or_else(|| "–".to_owned(), |ppi| format!("{ppi:.0} ppi")),
                share(piece, piece.out_of_reach),
                if piece.out_of_reach > 0.0 {
                    format!("{:.1}", piece.out_of_reach_by)
                } else {
                    "–".to_owned()
                },
                share(piece, piece.shadow_fills),
                format!("{:.0} %", piece.ink_most),
            ]
        })
        .collect();
    let head = [
        "picture",
        "size",
        "as placed",
        "out of reach",
        "by ΔE00",
        "shadow fills",
        "most ink",
    ];
    let text = format!(
        "{}\n\n{} judged: {}",
        table(&head, &rows),
        counted(report.pieces.len(), "picture"),
        summary(&report.findings)
    );
    Ok(Outcome::new(text, document(&report)).with_findings(&report.findings))
}

/// What was measured of a piece; of art that came as CMYK nothing was.
fn measured(piece: &Judgement, figure: f64) -> Option<f64> {
    (!piece.separated_already).then_some(figure)
}

fn share(piece: &Judgement, share: f64) -> String {
    measured(piece, share).map_or_else(
        || "not known".to_owned(),
        |share| format!("{:.0} %", share * 100.0),
    )
}

/// Judged art as a document.
pub fn document(report: &ArtReport) -> Value {
    json!({
        "pieces": report
            .pieces
            .iter()
            .map(|piece| {
                json!({
                    "piece": piece.piece,
                    "width_px": piece.size.width,
                    "height_px": piece.size.height,
                    "ppi": piece.ppi,
                    "separated_already": piece.separated_already,
                    "out_of_reach_percent": measured(piece, piece.out_of_reach * 100.0),
                    "out_of_reach_by_delta_e_2000": measured(piece, piece.out_of_reach_by),
                    "shadow_fills_percent": measured(piece, piece.shadow_fills * 100.0),
                    "ink_most_percent": piece.ink_most,
                })
            })
            .collect::<Vec<_>>(),
        "findings": findings_json(&report.findings),
    })
}

/// How many findings there are of each severity.
pub fn summary(findings: &[Finding]) -> String {
    let count = |severity| {
        findings
            .iter()
            .filter(|finding| finding.severity == severity)
            .count()
    };
    let (stop, warn, note) = (
        count(Severity::Stop),
        count(Severity::Warn),
        count(Severity::Note),
    );
    let mut parts = Vec::new();
    if stop > 0 {
        parts.push(format!("{stop} must not go to print as it is"));
    }
    if warn > 0 {
        parts.push(format!("{warn} to look at"));
    }
    if note > 0 {
        parts.push(counted(note, "note"));
    }
    if parts.is_empty() {
        "nothing found.".to_owned()
    } else {
        format!("{}.", parts.join(", "))
    }
}
