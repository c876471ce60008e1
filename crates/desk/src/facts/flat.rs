//! Sheets beside the pages as facts: their measures, finishings and bar code.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::change::Touched;
use super::{Change, Facts, SheetFacts, list};
use crate::PressFile;
use crate::digest::Digest;

/// The file of one or two sheets.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct FlatFacts {
    /// What its sheets are called.
    pub kinds: Vec<String>,
    /// Width of the spine; zero for a sheet without one.
    pub spine_mm: f64,
    /// Width and height of the cut sheet.
    pub width_mm: f64,
    pub height_mm: f64,
    /// Digest of its panels, folds and places to keep clear.
    pub shape: Digest,
    /// Its sheets, one a page.
    pub sheets: Vec<SheetFacts>,
    /// Finishings, by name.
    pub finishings: BTreeMap<String, FinishingFacts>,
    /// The number and measures of the bar code; empty without one.
    pub bar_code: String,
}

/// A finishing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct FinishingFacts {
    pub process: String,
    pub colour: String,
    pub panel: String,
    /// The mask's path, or `title`.
    pub from: String,
    /// Digest of the mask; `None` while it is not there.
    pub mask: Option<Digest>,
    /// By how much its lines are made wider, in millimetres.
    #[serde(default)]
    pub thicken_mm: f64,
    /// What becomes of a mask of other proportions; empty where it is refused.
    #[serde(default)]
    pub fit: String,
}

/// How the measures of a file's sheet changed: `spine 12.96 → 14.69 mm`.
pub(super) fn measures(then: &Facts, now: &Facts, file: PressFile) -> Option<String> {
    let then = then.flats.get(file.word())?;
    let now = now.flats.get(file.word())?;
    let mut parts = Vec::new();
    if differ(then.spine_mm, now.spine_mm) {
        parts.push(format!(
            "spine {:.2} → {:.2} mm",
            then.spine_mm, now.spine_mm
        ));
    }
    for (name, then, now) in [
        ("width", then.width_mm, now.width_mm),
        ("height", then.height_mm, now.height_mm),
    ] {
        if differ(then, now) {
            parts.push(format!("{name} of the sheet {then:.1} → {now:.1} mm"));
        }
    }
    // The spine says it all where the sheet grew by just that.
    let by_spine = (now.width_mm - then.width_mm) - (now.spine_mm - then.spine_mm);
    if parts.len() == 2 && differ(then.spine_mm, now.spine_mm) && by_spine.abs() < 0.05 {
        parts.pop();
    }
    (!parts.is_empty()).then(|| list(&parts))
}

/// More than a hundredth of a millimetre apart.
fn differ(one: f64, other: f64) -> bool {
    (one - other).abs() >= 0.005
}

/// Files whose sheets have other measures than before.
pub(super) fn measured_anew(then: &Facts, now: &Facts) -> Touched {
    now.flats
        .iter()
        .filter(|(word, now)| {
            then.flats
                .get(*word)
                .is_none_or(|then| then.shape != now.shape)
        })
        .filter_map(|(word, _)| PressFile::named(word))
        .collect()
}

/// What changed on the sheets beyond what is told already.
pub(super) fn changes(then: &Facts, now: &Facts, told: &[Change]) -> Vec<Change> {
    let mut changes = Vec::new();
    for (word, now) in &now.flats {
        let (Some(file), Some(then)) = (PressFile::named(word), then.flats.get(word)) else {
            continue;
        };
        let mut add = |text: String| {
            changes.push(Change {
                text,
                touches: [file].into_iter().collect(),
            });
        };
        let before = told.iter().any(|change| change.touches.has(file));
        let mut said = before;
        for text in finishings(then, now).into_iter().chain(bar_code(then, now)) {
            said = true;
            add(text);
        }
        let same = now.sheets.len() == then.sheets.len()
            && now
                .sheets
                .iter()
                .zip(&then.sheets)
                .all(|(now, then)| now.digest == then.digest);
        if same || said {
            continue;
        }
        add(if then.shape == now.shape {
            let verb = if file == PressFile::Endpapers {
                "show"
            } else {
                "shows"
            };
            format!("The {} {verb} something else", file.title())
        } else {
            format!("The measures of the {} changed", file.title())
        });
    }
    changes
}

fn finishings(then: &FlatFacts, now: &FlatFacts) -> Vec<String> {
    let mut texts = Vec::new();
    for (name, after) in &now.finishings {
        let Some(before) = then.finishings.get(name) else {
            texts.push(format!("The {} `{name}` was added", after.process));
            continue;
        };
        if before == after {
            continue;
        }
        let otherwise_same = FinishingFacts {
            thicken_mm: after.thicken_mm,
            ..before.clone()
        } == *after;
        if otherwise_same {
            let lines = format!("The lines of the {} `{name}`", after.process);
            texts.push(if after.thicken_mm > 0.0 {
                format!("{lines} were made {:.2} mm wider", after.thicken_mm)
            } else {
                format!("{lines} are as drawn again")
            });
        } else if before.from == after.from && before.mask != after.mask {
            texts.push(match (before.mask, after.mask) {
                (Some(_), None) => format!("`{}` is not there any more", after.from),
                (None, _) => format!("`{}` is there now", after.from),
                _ => format!("`{}` was saved anew", after.from),
            });
        } else {
            texts.push(format!("The {} `{name}` changed", after.process));
        }
    }
    for (name, before) in &then.finishings {
        if !now.finishings.contains_key(name) {
            texts.push(format!("The {} `{name}` was taken out", before.process));
        }
    }
    texts
}

fn bar_code(then: &FlatFacts, now: &FlatFacts) -> Option<String> {
    if then.bar_code == now.bar_code || then.shape != now.shape {
        return None;
    }
    let verb = match (then.bar_code.is_empty(), now.bar_code.is_empty()) {
        (true, _) => "was added",
        (_, true) => "was taken out",
        _ => "changed",
    };
    Some(format!("The bar code {verb}"))
}
