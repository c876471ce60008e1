//! One measurement of a proof: what came, against what was meant, and what can be learned from it.

use desk::colour::Lab;
use desk::finding::capital;
use desk::proof::PatchKind;
use desk::proof::fit::{Lesson, Verdict};
use desk::proof::tolerance::{Judged, Status};
use desk::{PatchReading, ProofReading, ReadFrom, moment_in_words};
use maud::{Markup, html};

use super::strip::{ink_words, kind_words, lab_words};
use crate::drawing::short;
use crate::proofing::stopped;
use crate::rooms::order::hidden;
use crate::rooms::shape;
use crate::shell::spoken;
use crate::swatch;

/// The whole reading.
pub(crate) fn section(reading: &ProofReading) -> Markup {
    html! {
        section.reading #reading aria-labelledby="reading-title" {
            h2 #reading-title { "Proof " (reading.id) }
            p.soft { (came(reading)) }
            (verdict(reading))
            h3 { "Each patch, meant and measured" }
            (patches(reading))
            @if let Verdict::Enough(lesson) = &reading.verdict { (learned(reading, lesson)) }
            (tolerances(&reading.tolerances))
            (remarks(reading))
            (figures(reading))
        }
    }
}

/// How the measurement came.
fn came(reading: &ProofReading) -> Markup {
    html! {
        @match &reading.from {
            ReadFrom::Instrument => { "Measured by an instrument" },
            ReadFrom::Practice => { "From the practice press: no paper was printed" },
            ReadFrom::Scan { turned, ppi, .. } => {
                "Scanned at " (format!("{ppi:.0}")) " ppi"
                @if turned.abs() > 1.0 { ", turned by " (format!("{turned:.0}")) "°" }
            },
        }
        ", read " (moment_in_words(&reading.read_at)) ", " (reading.name) "."
        @if let ReadFrom::Scan { colour, .. } = &reading.from { " " (spoken(&stopped(colour))) }
    }
}

fn verdict(reading: &ProofReading) -> Markup {
    html! {
        div.verdict #verdict {
            @match &reading.verdict {
                Verdict::Enough(lesson) => {
                    p.lead {
                        "The book's colours came " b #error-before { (format!("{:.1}", lesson.before.mean)) } " ΔE00 from what was meant, on average. Corrected, "
                        b #error-after { (format!("{:.1}", lesson.after.mean)) } " are foretold."
                    }
                    (bars(&[("As measured", lesson.before.mean, lesson.before.most, true), ("Foretold", lesson.after.mean, lesson.after.most, false)]))
                    p.soft { "Foretold on patches that the correction had not seen: each by a correction learned from the others. The worst patch stands at the thin line." }
                },
                Verdict::Right { before, why, .. } => {
                    p.lead { "The book's colours came " b #error-before { (format!("{:.1}", before.mean)) } " ΔE00 from what was meant, on average. Nothing is proposed." }
                    (bars(&[("As measured", before.mean, before.most, true)]))
                    p { (spoken(&stopped(why))) }
                },
                Verdict::NotEnough { why, .. } => {
                    p.lead { "Not enough to say." }
                    p { (spoken(&stopped(why))) }
                },
            }
            @if !reading.stale.is_empty() {
                p { strong { "It was for an older book. " } (spoken(&stopped(&capital(&reading.stale.join("; "))))) }
            }
            (accepting(reading))
        }
    }
}

fn accepting(reading: &ProofReading) -> Markup {
    let proposed = matches!(reading.verdict, Verdict::Enough(_));
    html! {
        @if reading.in_force {
            p.in-force { strong { "In force." } " The book's inks are corrected by what this proof has taught." }
            form method="post" action="/proofs/forget" data-act {
                (hidden("room", "proofs"))
                button #forget { "Take the correction out again" }
            }
        } @else if let (true, Some(why)) = (proposed, &reading.refused) {
            p { (spoken(&stopped(why))) }
        } @else if proposed {
            form method="post" action="/proofs/accept" data-act {
                (hidden("room", "proofs"))
                (hidden("id", &reading.id.to_string()))
                button.strong #accept { "Take the correction into the book" }
            }
            @if let Some(when) = &reading.accepted { p.soft { "It was taken before, " (moment_in_words(when)) ", and is not in force now." } }
        }
    }
}

/// Mean errors as bars, each with its worst patch as a line; one scale for all.
fn bars(rows: &[(&str, f64, f64, bool)]) -> Markup {
    let most = rows.iter().map(|row| row.2).fold(4.0, f64::max);
    let scale = 100.0 / most;
    html! {
        ul.bars {
            @for (words, mean, worst, dark) in rows {
                li {
                    span.name { (words) }
                    svg viewBox="0 0 100 6" preserveAspectRatio="none" aria-hidden="true" {
                        rect.ground width="100" height="6" {}
                        rect class=(if *dark { "measured" } else { "foretold" }) y="0.8" height="4.4" width=(short(mean * scale)) {}
                        path.worst d={ "M" (short((worst * scale).min(99.7))) " 0v6" } {}
                    }
                    span.figure { (format!("{mean:.1}")) span.soft { ", worst " (format!("{worst:.1}")) } }
                }
            }
        }
    }
}

/// Every patch as a pair: above as it was meant, below as it came, and how far apart they are.
fn patches(reading: &ProofReading) -> Markup {
    let most = reading
        .patches
        .iter()
        .map(|patch| patch.delta_e)
        .fold(4.0, f64::max);
    html! {
        ul.patches #patches {
            @for patch in &reading.patches { (pair(patch, most)) }
        }
        p.soft.key {
            "Upper half: meant. Lower half: measured. The dark bar is the distance between them, in ΔE00"
            @if reading.patches.iter().any(|patch| patch.foretold.is_some()) { "; the light bar is what is foretold once it is corrected" }
            "."
        }
    }
}

fn pair(patch: &PatchReading, most: f64) -> Markup {
    let high = |value: f64| 20.0 * (value / most).min(1.0);
    let words = format!(
        "{}, {}: meant {}, measured {}",
        patch.name,
        kind_words(patch.kind),
        lab_words(patch.intended),
        lab_words(patch.measured)
    );
    html! {
        li {
            svg viewBox="0 0 30 54" role="img" aria-label={ (words) } {
                title { (words) }
                rect width="30" height="15" fill=(swatch::fill(patch.intended)) {}
                rect y="15" width="30" height="15" fill=(swatch::fill(patch.measured)) {}
                rect.measured x="4" width="10" y=(short(54.0 - high(patch.delta_e))) height=(short(high(patch.delta_e))) {}
                @if let Some(foretold) = patch.foretold {
                    rect.foretold x="16" width="10" y=(short(54.0 - high(foretold))) height=(short(high(foretold))) {}
                }
            }
            span.name { (patch.name) }
            span.figure { (format!("{:.1}", patch.delta_e)) }
        }
    }
}

/// What the press does, as a curve and a rose.
fn learned(reading: &ProofReading, lesson: &Lesson) -> Markup {
    let paper = |of: fn(&PatchReading) -> Lab| {
        let bare = reading
            .patches
            .iter()
            .find(|patch| patch.kind == PatchKind::Paper);
        bare.map_or_else(|| reading.strip.paper(), of)
    };
    let (meant, came) = (paper(|patch| patch.intended), paper(|patch| patch.measured));
    let points: Vec<(f64, f64)> = reading
        .patches
        .iter()
        .filter(|patch| matches!(patch.kind, PatchKind::ArtGrey | PatchKind::ArtColour))
        .map(|patch| {
            (
                patch.intended.relative_to(meant).l,
                patch.measured.relative_to(came).l,
            )
        })
        .collect();
    html! {
        h3 { "What this press does" }
        div.shapes.learned {
            figure {
                (shape::curve(|lab| lesson.departure.apply(lab), &points))
                figcaption { "Light and dark: from left to right as meant, upwards as it came. Below the dashed line it comes darker. The dots are the book's own colours." }
            }
            figure {
                (shape::rose(|lab| lesson.departure.apply(lab)))
                figcaption { "Strength of colours: on the dashed circle each hue comes as strong as it was meant, outside of it stronger." }
            }
        }
    }
}

fn tolerances(judged: &[Judged]) -> Markup {
    html! {
        @if !judged.is_empty() {
            h3 { "Held against the published tolerances of a proof, ISO 12647-7" }
            ul.tolerances {
                @for one in judged {
                    li data-holds[one.holds] {
                        span.verdict-word { (tick(one.holds)) (if one.holds { "kept" } else { "not kept" }) }
                        span { (one.limit.item.words()) }
                        span.figure { (format!("{:.1}", one.found)) " of " (short(one.limit.most)) " " (one.limit.unit) }
                        span.soft {
                            @match one.limit.status {
                                Status::Read => { "limit read in: " (one.limit.origin) },
                                Status::Memory => { "limit: " (one.limit.origin) },
                            }
                        }
                    }
                }
            }
        }
    }
}

fn tick(holds: bool) -> Markup {
    html! {
        svg.icon viewBox="0 0 16 16" width="15" height="15" aria-hidden="true" {
            @if holds { path d="M2.5 8.5l3.5 3.5 7.5-8" {} } @else { path d="M3 3l10 10M13 3L3 13" {} }
        }
    }
}

fn remarks(reading: &ProofReading) -> Markup {
    let measurement = &reading.measurement;
    let missing: Vec<&str> = measurement
        .missing
        .iter()
        .filter_map(|index| reading.strip.patches.get(*index))
        .map(|patch| patch.name.as_str())
        .collect();
    html! {
        @if !measurement.remarks.is_empty() || !missing.is_empty() {
            h3 { "Noticed while reading" }
            ul.remarks {
                @for remark in &measurement.remarks { li { (spoken(&stopped(&capital(remark)))) } }
                @if !missing.is_empty() { li { "Without a reading: " (missing.join(", ")) "." } }
            }
        }
    }
}

/// All figures, for those who want them.
fn figures(reading: &ProofReading) -> Markup {
    html! {
        details {
            summary { "All figures" }
            div.scrolled tabindex="0" role="group" aria-label="All figures of this proof" {
                table {
                    thead { tr {
                        th scope="col" { "Patch" } th scope="col" { "What it is" } th scope="col" { "Ink, C M Y K" }
                        th scope="col" { "Meant, L*a*b*" } th scope="col" { "Measured, L*a*b*" }
                        th scope="col" { "ΔE00" } th scope="col" { "Foretold" } th scope="col" { "Uneven by" }
                    } }
                    tbody {
                        @for patch in &reading.patches {
                            tr {
                                th scope="row" { (patch.name) }
                                td { (kind_words(patch.kind)) }
                                td { (ink_words(patch.ink)) }
                                td { (lab_words(patch.intended)) }
                                td { (lab_words(patch.measured)) }
                                td { (format!("{:.2}", patch.delta_e)) }
                                td { @if let Some(foretold) = patch.foretold { (format!("{foretold:.2}")) } }
                                td { @if let Some(spread) = patch.spread { (format!("{spread:.2}")) } }
                            }
                        }
                    }
                }
            }
        }
    }
}
