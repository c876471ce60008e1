//! What to be careful about with the book as a thing, and what to ask the printer for.

use finding::{Finding, Place, Severity};
use measure::{Length, Mass};

use super::Object;
use super::figure::long;
use super::typical::um;
use crate::model::{BindingKind, Book};
use crate::object_wishes::Back;

/// A block over this does not close flat when it is stitched through the fold. Common practice, no
/// source.
const THICKEST_STITCHED: Length = um(5_000);
/// A block under this gives glue too little to hold. Common practice, no source.
const THINNEST_GLUED: Length = um(3_000);
/// A shift of the innermost pages under this is not seen. Our assumption.
const UNSEEN_CREEP: Length = um(500);
/// A block under this is lost between two boards. Our assumption; printers' least spine for a case
/// is about 8 mm, boards included.
const THINNEST_IN_CASE: Length = um(3_000);
/// A block over this wants a round back: read in the binderies' rules that `typical` names.
const THICKEST_FLAT: Length = um(20_000);
/// From here on many posts take another class, and a hand notices. Common practice, no source.
const HEAVY_GRAMS: f64 = 2000.0;
/// From here on, a copy is hard to hold, and its sewing hard to keep. Our assumption.
const VERY_HEAVY_GRAMS: f64 = 4000.0;
/// A given spine may differ so much from the reckoned one before it is worth a word.
const SPINE_TOLERANCE: Length = um(1_000);

/// All cautions.
pub(super) fn cautions(book: &Book, object: &Object, reckoned_spine: Length) -> Vec<Finding> {
    let mut findings = Vec::new();
    on_block(book, object, &mut findings);
    on_case(book, object, &mut findings);
    on_spine(book, object, reckoned_spine, &mut findings);
    on_flaps(book, object, &mut findings);
    on_mass(object, &mut findings);
    findings
}

/// What to ask the printer and the bindery for, each as a sentence.
pub(super) fn asks(book: &Book, object: &Object) -> Vec<String> {
    let mut with_grain = vec!["text"];
    match book.binding.kind {
        BindingKind::SewnCase => with_grain.extend(["boards", "endpapers", "covering"]),
        _ => with_grain.push("cover"),
    }
    for (wanted, name) in [
        (book.object.jacket.is_some(), "jacket"),
        (book.object.band.is_some(), "belly band"),
        (book.object.slipcase.is_some(), "slipcase"),
    ] {
        if wanted {
            with_grain.push(name);
        }
    }
    let mut asks = vec![format!(
        "Grain parallel to the spine in {}: across it, pages stand open in waves and boards warp.",
        list(&with_grain)
    )];
    if object.spine > Length::ZERO {
        asks.push(
            "A blank dummy in the very papers: measure its spine and its weight, and set what it \
             says before the cover is printed."
                .to_owned(),
        );
    }
    asks
}

fn warn(code: &'static str, message: String) -> Finding {
    Finding::new(code, Severity::Warn, Place::Whole, message)
}

fn on_block(book: &Book, object: &Object, findings: &mut Vec<Finding>) {
    let (leaves, block) = (object.leaves, object.block);
    match book.binding.kind {
        BindingKind::WireStitched if block > THICKEST_STITCHED => findings.push(
            warn(
                "book-too-thick-to-stitch",
                format!(
                    "The block of {leaves} leaves is {block} thick; stitched with wire it will \
                     not lie closed."
                ),
            )
            .hint("Choose `glued soft` or `sewn soft`, a thinner text stock, or fewer pages.")
            .figures(block.to_string(), format!("up to {THICKEST_STITCHED}")),
        ),
        BindingKind::WireStitched => {
            // Each nested sheet lies one thickness further out than the sheet around it.
            let creep = object.caliper * (i64::from(leaves) / 2 - 1).max(0);
            if creep > UNSEEN_CREEP {
                findings.push(
                    Finding::new(
                        "book-creep",
                        Severity::Note,
                        Place::Whole,
                        format!(
                            "Nested sheets push each other out: the innermost pages lose {creep} \
                             at their outer edge."
                        ),
                    )
                    .hint("Keep what matters away from the outer edge in the middle of the book."),
                );
            }
        }
        BindingKind::GluedSoft if block < THINNEST_GLUED => findings.push(
            warn(
                "book-too-thin-to-glue",
                format!(
                    "The block of {leaves} leaves is {block} thick, too thin for glue to hold its \
                     leaves."
                ),
            )
            .hint("Choose `wire-stitched`, a bulkier text stock, or more pages.")
            .figures(block.to_string(), format!("at least {THINNEST_GLUED}")),
        ),
        _ => {}
    }
}

fn on_case(book: &Book, object: &Object, findings: &mut Vec<Finding>) {
    if book.binding.kind != BindingKind::SewnCase {
        return;
    }
    let block = object.block;
    if block < THINNEST_IN_CASE {
        findings.push(
            warn(
                "book-too-thin-for-case",
                format!(
                    "The block is {} thick, less than the boards around it: a case will gape and \
                     its spine look hollow.",
                    long(block)
                ),
            )
            .hint("Choose a soft binding, a bulkier text stock, or more pages.")
            .figures(long(block), format!("at least {THINNEST_IN_CASE}")),
        );
    }
    if block > THICKEST_FLAT && object.bound.back == Back::Flat {
        findings.push(
            Finding::new(
                "book-flat-back-thick",
                Severity::Note,
                Place::Whole,
                format!(
                    "The block is {} thick; a flat back of that width sinks in with use.",
                    long(block)
                ),
            )
            .hint("Set `case.back` to `round`, or ask the bindery.")
            .figures(long(block), format!("up to {THICKEST_FLAT}")),
        );
    }
}

fn on_spine(book: &Book, object: &Object, reckoned: Length, findings: &mut Vec<Finding>) {
    if let Some(given) = book.object.spine
        && object.spine == given
        && (given - reckoned).abs() > SPINE_TOLERANCE
    {
        findings.push(
            warn(
                "book-spine-differs",
                format!(
                    "The spine is given as {given}, but the book as it is now comes to {}.",
                    long(reckoned)
                ),
            )
            .hint(
                "If pages or papers have changed since the printer gave it, ask again, or take \
                 `binding.spine` out.",
            )
            .figures(given.to_string(), long(reckoned)),
        );
    }
}

fn on_flaps(book: &Book, object: &Object, findings: &mut Vec<Finding>) {
    if book.object.flaps.is_some() && book.binding.kind == BindingKind::SewnCase {
        findings.push(
            warn(
                "book-flaps-on-case",
                "A case has no flaps of its own; they are left out.".to_owned(),
            )
            .hint("Flaps belong to a jacket: set `jacket.wanted` to `true`."),
        );
    }
    let inside = [
        ("back flap", "front flap", "flaps"),
        ("back tuck", "front tuck", "tucks"),
    ];
    for flat in &object.flats {
        for (back, _, what) in inside {
            let (Some(flap), Some(face)) = (flat.panel(back), flat.panel("back")) else {
                continue;
            };
            if flap.rect.width >= face.rect.width {
                findings.push(
                    warn(
                        "book-flap-too-wide",
                        format!(
                            "The {what} of the {} are {} wide and reach into the spine.",
                            flat.name(),
                            long(flap.rect.width)
                        ),
                    )
                    .hint("Make them narrower: a third of the page is usual.")
                    .figures(
                        long(flap.rect.width),
                        format!("under {}", long(face.rect.width)),
                    ),
                );
            }
        }
        let higher = flat.panel("back tuck").is_some() || flat.panel("back flap").is_some();
        if higher && flat.trim.height > object.bound.closed.height + um(1_000) {
            findings.push(
                warn(
                    "book-wrap-too-high",
                    format!(
                        "The {} is {} high and stands over the book.",
                        flat.name(),
                        long(flat.trim.height)
                    ),
                )
                .hint("Make it as high as the cover, or lower.")
                .figures(
                    long(flat.trim.height),
                    format!("up to {}", long(object.bound.closed.height)),
                ),
            );
        }
    }
}

fn on_mass(object: &Object, findings: &mut Vec<Finding>) {
    let (severity, message) = if object.copy > Mass::from_grams(VERY_HEAVY_GRAMS) {
        (
            Severity::Warn,
            format!(
                "One copy weighs {}: hard to hold, hard on its own sewing, dear to post.",
                object.copy
            ),
        )
    } else if object.copy > Mass::from_grams(HEAVY_GRAMS) {
        (
            Severity::Note,
            format!(
                "One copy weighs {}; many posts take another class from 2 kg, packing included.",
                object.copy
            ),
        )
    } else {
        return;
    };
    findings.push(
        Finding::new("book-heavy", severity, Place::Whole, message)
            .hint("A lighter text stock, a smaller trim or fewer pages save most."),
    );
}

/// `text, boards and covering`.
fn list(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [most @ .., last] => format!("{} and {last}", most.join(", ")),
    }
}
