use std::path::Path;

use desk::book::plan::ReaderPage;
use desk::proof::PatchKind;
use desk::proof::fit::{Errors, Verdict};
use desk::{Desk, DeskError, PatchReading, ProofReading, ReadFrom, StripView};
use serde_json::{Value, json};

use super::{edit, press};
use crate::arguments::{Pages, ProofStep};
use crate::outcome::{Outcome, counted, findings_json, table};
use crate::progress::Terminal;

/// The worst patches that are listed.
const WORST: usize = 6;

/// Everything that was measured so far.
pub fn show(desk: &Desk) -> Result<Outcome, DeskError> {
    let readings = desk.proofs()?;
    let json = readings.iter().map(document).collect::<Vec<_>>();
    let json = json!({ "proofs": json });
    if readings.is_empty() {
        return Ok(Outcome::new("No proof was read yet.", json).advising(
            "Make proof pages:      foredge proof make --pages 4,9-12\n\
                 Or try it without one: foredge proof practise",
        ));
    }
    let rows: Vec<Vec<String>> = readings
        .iter()
        .map(|reading| {
            vec![
                reading.id.to_string(),
                reading.name.clone(),
                format!("{}", reading.strip.version),
                from_word(&reading.from).to_owned(),
                format!("{:.1}", reading.colours.mean),
                match &reading.verdict {
                    Verdict::Enough(lesson) => format!("{:.1}", lesson.after.mean),
                    _ => "–".to_owned(),
                },
                state(reading),
            ]
        })
        .collect();
    let head = [
        "proof", "file", "strip", "from", "ΔE00", "foretold", "state",
    ];
    let mut outcome = Outcome::new(table(&head, &rows), json);
    if let Some(open) = readings.iter().rev().find(|reading| is_open(reading)) {
        outcome = outcome.advising(format!(
            "Take its lesson in: foredge proof accept {}",
            open.id
        ));
    }
    Ok(outcome)
}

/// One step of the loop.
pub fn step(desk: &Desk, step: &ProofStep) -> Result<Outcome, DeskError> {
    match step {
        ProofStep::Strip => strip(desk),
        ProofStep::Make { pages } => make(desk, pages.as_ref()),
        ProofStep::Practise => practise(desk),
        ProofStep::Read { file, scanner } => read(desk, file, scanner.as_deref()),
        ProofStep::Accept { proof } => accept(desk, *proof),
        ProofStep::Forget => desk.forget_proof().map(|edited| edit::done(&edited)),
    }
}

fn strip(desk: &Desk) -> Result<Outcome, DeskError> {
    let view = desk.strip(&Terminal::new())?;
    let rows: Vec<Vec<String>> = view
        .strip
        .patches
        .iter()
        .map(|patch| {
            vec![
                patch.name.clone(),
                kind_word(patch.kind).to_owned(),
                patch
                    .ink
                    .map(|byte| format!("{:>3.0}", f64::from(byte) / 2.55))
                    .join(" "),
                lab_words(patch.intended),
                if patch.share > 0.0 {
                    format!("{:.1} %", patch.share * 100.0)
                } else {
                    "–".to_owned()
                },
            ]
        })
        .collect();
    let size = view.layout.size;
    let mut text = format!(
        "Strip {}, {}, {:.0} × {:.0} mm{}.",
        view.strip.version,
        format_args!("{} patches", view.strip.patches.len()),
        size.width.mm(),
        size.height.mm(),
        if view.kept {
            ""
        } else {
            "; not on any proof yet"
        },
    );
    for why in &view.changed {
        text.push_str(&format!("\nNew since the last strip: {why}."));
    }
    let head = [
        "patch",
        "what it is",
        "  C   M   Y   K",
        "  L*    a*    b*",
        "of the art",
    ];
    text.push_str(&format!("\n\n{}", table(&head, &rows)));
    Ok(Outcome::new(text, strip_document(&view))
        .advising("Put it on proof pages:  foredge proof make --pages 4,9-12"))
}

fn make(desk: &Desk, pages: Option<&Pages>) -> Result<Outcome, DeskError> {
    let pages: Vec<ReaderPage> = pages.map_or_else(Vec::new, |pages| {
        pages.0.iter().copied().map(ReaderPage).collect()
    });
    let made = desk.make_proof(&pages, &Terminal::new())?;
    let what = if made.pages.is_empty() {
        "the strip on a sheet of its own".to_owned()
    } else {
        format!(
            "{} with the strip beside each",
            counted(made.pages.len(), "page")
        )
    };
    let text = format!(
        "{}: {what}; strip {}, file {}, {:.1} MB.",
        press::short(desk, &made.path),
        made.version,
        made.mark,
        made.bytes as f64 / 1e6,
    );
    let json = json!({
        "file": press::short(desk, &made.path),
        "pages": made.pages.iter().map(|page| page.0).collect::<Vec<_>>(),
        "strip": made.version,
        "mark": made.mark,
        "size_bytes": made.bytes,
        "findings": findings_json(&made.findings),
    });
    Ok(Outcome::new(text, json)
        .with_findings(&made.findings)
        .advising(
            "Have it printed by the press that will print the book, at 100 %, without any change of \
             colour. Then measure or scan the strip:  foredge proof read FILE",
        ))
}

fn practise(desk: &Desk) -> Result<Outcome, DeskError> {
    let path = desk.practise(&Terminal::new())?;
    let file = press::short(desk, &path);
    let text =
        format!("{file}: the strip as a heavy practice press prints it. No paper was printed.");
    let json = json!({ "file": file, "simulated": true });
    Ok(Outcome::new(text, json)
        .advising(format!("Read it:  foredge proof read {}", path.display())))
}

fn read(desk: &Desk, file: &Path, scanner: Option<&Path>) -> Result<Outcome, DeskError> {
    let reading = desk.read_proof(file, scanner, &Terminal::new())?;
    let outcome = Outcome::new(words(&reading), document(&reading));
    Ok(if is_open(&reading) {
        outcome.advising(format!(
            "Nothing has changed in the book. Take the lesson in:  foredge proof accept {}",
            reading.id
        ))
    } else {
        outcome
    })
}

fn accept(desk: &Desk, proof: u32) -> Result<Outcome, DeskError> {
    let edited = desk.accept_proof(proof)?;
    Ok(edit::done(&edited).advising(
        "Make the press files again:  foredge press\n\
         Then a new proof, to see the error fall:  foredge proof make --pages 4,9-12\n\
         Take it back at any time:  foredge undo",
    ))
}

/// A measurement as a person reads it.
fn words(reading: &ProofReading) -> String {
    let mut blocks = vec![about(reading), errors_words(reading)];
    let tolerances: Vec<Vec<String>> = reading
        .tolerances
        .iter()
        .map(|judged| {
            let limit = judged.limit;
            vec![
                if judged.holds { "holds" } else { "beyond" }.to_owned(),
                limit.item.words().to_owned(),
                format!("{:.1} {}", judged.found, limit.unit),
                format!("{:.1}", limit.most),
                judged
                    .patch
                    .and_then(|patch| Some(reading.strip.patches.get(patch)?.name.clone()))
                    .unwrap_or_default(),
                limit.origin.to_owned(),
            ]
        })
        .collect();
    blocks.push(table(
        &[
            "",
            "tolerance of a proof",
            "found",
            "at most",
            "patch",
            "source",
        ],
        &tolerances,
    ));
    let mut worst: Vec<&PatchReading> = reading.patches.iter().collect();
    worst.sort_by(|one, other| other.delta_e.total_cmp(&one.delta_e));
    let worst: Vec<Vec<String>> = worst.into_iter().take(WORST).map(patch_row).collect();
    blocks.push(table(
        &[
            "worst",
            "what it is",
            "intended L* a* b*",
            "measured",
            "ΔE00",
            "foretold",
        ],
        &worst,
    ));
    blocks.push(verdict_words(reading));
    blocks.join("\n\n")
}

fn about(reading: &ProofReading) -> String {
    let measurement = &reading.measurement;
    let mut lines = vec![format!(
        "Proof {}: {}, strip {}{}, {} of {} patches.",
        reading.id,
        reading.name,
        reading.strip.version,
        match reading.mark.as_ref().and_then(|mark| mark.page) {
            Some(page) => format!(" on page {page}"),
            None => String::new(),
        },
        measurement.readings.len(),
        reading.strip.patches.len(),
    )];
    match &reading.from {
        ReadFrom::Instrument => {}
        ReadFrom::Practice => {
            lines.push("From the practice press: no paper was printed.".to_owned());
        }
        ReadFrom::Scan {
            turned,
            ppi,
            colour,
        } => {
            lines.push(format!(
                "From a scan of {ppi:.0} ppi, turned by {turned:.1}°."
            ));
            lines.push(colour.clone());
        }
    }
    if !measurement.missing.is_empty() {
        let names: Vec<&str> = measurement
            .missing
            .iter()
            .filter_map(|patch| Some(reading.strip.patches.get(*patch)?.name.as_str()))
            .collect();
        lines.push(format!("Missing: {}.", names.join(", ")));
    }
    lines.extend(measurement.remarks.iter().cloned());
    for why in &reading.stale {
        lines.push(format!("The book has moved on since this strip: {why}."));
    }
    lines.join("\n")
}

fn errors_words(reading: &ProofReading) -> String {
    let row = |name: &str, errors: &Errors| {
        vec![
            name.to_owned(),
            format!("{:.1}", errors.mean),
            format!("{:.1}", errors.percentile95),
            format!("{:.1}", errors.most),
            errors.patches.to_string(),
        ]
    };
    let mut rows = vec![
        row("all patches", &reading.all),
        row("the book's own colours", &reading.colours),
    ];
    if let Verdict::Enough(lesson) = &reading.verdict {
        rows.push(row(
            "the same, foretold after the correction",
            &lesson.after,
        ));
    }
    table(&["ΔE00", "mean", "95 of 100", "worst", "patches"], &rows)
}

fn patch_row(patch: &PatchReading) -> Vec<String> {
    vec![
        patch.name.clone(),
        kind_word(patch.kind).to_owned(),
        lab_words(patch.intended),
        lab_words(patch.measured),
        format!("{:.1}", patch.delta_e),
        patch
            .foretold
            .map_or_else(|| "–".to_owned(), |foretold| format!("{foretold:.1}")),
    ]
}

fn verdict_words(reading: &ProofReading) -> String {
    match &reading.verdict {
        Verdict::Enough(lesson) => format!(
            "{}\nUndoing that is foretold to bring the book's own colours from {:.1} to {:.1} ΔE00, \
             each colour foretold without having been looked at.",
            reading.lesson.join("\n"),
            lesson.before.mean,
            lesson.after.mean,
        ),
        Verdict::Right { why, .. } => why.clone(),
        Verdict::NotEnough { why, .. } => format!("Not enough to say. {why}"),
    }
}

/// Whether a person has to say yes or no.
fn is_open(reading: &ProofReading) -> bool {
    reading.refused.is_none() && reading.accepted.is_none()
}

fn state(reading: &ProofReading) -> String {
    match (&reading.verdict, reading.in_force, &reading.accepted) {
        (_, true, _) => "in force".to_owned(),
        (_, false, Some(_)) => "was accepted, no longer in force".to_owned(),
        (Verdict::Enough(_), _, None) if reading.refused.is_some() => {
            "for another press condition".to_owned()
        }
        (Verdict::Enough(_), _, None) => "waits for your word".to_owned(),
        (Verdict::Right { .. }, _, None) => "prints as intended".to_owned(),
        (Verdict::NotEnough { .. }, _, None) => "not enough to say".to_owned(),
    }
}

const fn from_word(from: &ReadFrom) -> &'static str {
    match from {
        ReadFrom::Instrument => "instrument",
        ReadFrom::Practice => "practice press",
        ReadFrom::Scan { .. } => "scan",
    }
}

const fn kind_word(kind: PatchKind) -> &'static str {
    match kind {
        PatchKind::Paper => "paper",
        PatchKind::Solid => "solid",
        PatchKind::Overprint => "overprint",
        PatchKind::BlackTint => "black tint",
        PatchKind::ArtGrey => "grey of the art",
        PatchKind::ArtColour => "colour of the art",
    }
}

/// Three figures under each other from patch to patch, and no negative zero.
fn lab_words(lab: desk::colour::Lab) -> String {
    let tenth = |value: f64| (value * 10.0).round() / 10.0 + 0.0;
    let [l, a, b] = [lab.l, lab.a, lab.b].map(tenth);
    format!("{l:>5.1} {a:>5.1} {b:>5.1}")
}

fn lab(lab: desk::colour::Lab) -> Value {
    json!([hundredth(lab.l), hundredth(lab.a), hundredth(lab.b)])
}

fn hundredth(value: f64) -> f64 {
    (value * 100.0).round() / 100.0 + 0.0
}

fn errors(errors: &Errors) -> Value {
    json!({
        "mean_de00": hundredth(errors.mean),
        "percentile95_de00": hundredth(errors.percentile95),
        "most_de00": hundredth(errors.most),
        "patches": errors.patches,
    })
}

fn strip_document(view: &StripView) -> Value {
    json!({
        "strip": view.strip.version,
        "kept": view.kept,
        "changed": view.changed,
        "width_mm": hundredth(view.layout.size.width.mm()),
        "height_mm": hundredth(view.layout.size.height.mm()),
        "patches": view
            .strip
            .patches
            .iter()
            .zip(&view.layout.patches)
            .map(|(patch, place)| {
                json!({
                    "name": patch.name,
                    "kind": kind_word(patch.kind),
                    "left_mm": place.x.mm(),
                    "top_mm": place.y.mm(),
                    "side_mm": place.width.mm(),
                    "ink_percent": patch.ink.map(|byte| hundredth(f64::from(byte) / 2.55)),
                    "art_srgb16": patch.art,
                    "intended_lab": lab(patch.intended),
                    "predicted_lab": lab(patch.predicted),
                    "share": patch.share,
                })
            })
            .collect::<Vec<_>>(),
    })
}

/// A measurement as a document.
fn document(reading: &ProofReading) -> Value {
    let (verdict, why, after) = match &reading.verdict {
        Verdict::Enough(lesson) => ("enough", None, Some(errors(&lesson.after))),
        Verdict::Right { why, .. } => ("right", Some(why.clone()), None),
        Verdict::NotEnough { why, .. } => ("not enough to say", Some(why.clone()), None),
    };
    json!({
        "proof": reading.id,
        "read_at": reading.read_at,
        "file": reading.name,
        "kept": reading.kept.to_string_lossy(),
        "from": from_word(&reading.from),
        "mark": reading.mark.as_ref().map(desk::proof::Mark::text),
        "strip": reading.strip.version,
        "read_patches": reading.measurement.readings.len(),
        "missing": reading
            .measurement
            .missing
            .iter()
            .filter_map(|patch| Some(reading.strip.patches.get(*patch)?.name.clone()))
            .collect::<Vec<_>>(),
        "remarks": reading.measurement.remarks,
        "all": errors(&reading.all),
        "colours": errors(&reading.colours),
        "foretold": after,
        "verdict": verdict,
        "why": why,
        "lesson": reading.lesson,
        "tolerances": reading
            .tolerances
            .iter()
            .map(|judged| {
                json!({
                    "item": judged.limit.item.words(),
                    "found": hundredth(judged.found),
                    "most": judged.limit.most,
                    "unit": judged.limit.unit,
                    "holds": judged.holds,
                    "source": judged.limit.origin,
                })
            })
            .collect::<Vec<_>>(),
        "patches": reading
            .patches
            .iter()
            .map(|patch| {
                json!({
                    "name": patch.name,
                    "kind": kind_word(patch.kind),
                    "intended_lab": lab(patch.intended),
                    "measured_lab": lab(patch.measured),
                    "de00": hundredth(patch.delta_e),
                    "foretold_de00": patch.foretold.map(hundredth),
                })
            })
            .collect::<Vec<_>>(),
        "accepted": reading.accepted,
        "in_force": reading.in_force,
        "stale": reading.stale,
        "refused": reading.refused,
    })
}
