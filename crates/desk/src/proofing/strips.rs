//! The book's strip as it stands, and the strips that were made before.

use colour::PressCondition;
use proof::{Mark, ProofError, Strip, StripTables};

use super::{colours, kept};
use crate::digest::{Digest, Gather};
use crate::facts::{self, Facts};
use crate::inks::Inks;
use crate::paper::Paper;
use crate::press_job::Plan;
use crate::record::StripRow;
use crate::{Desk, DeskError, Watch};

/// The strip of the book as it is.
pub(super) struct Now {
    pub(super) strip: Strip,
    /// Whether it was made before.
    pub(super) kept: bool,
    /// Why it is another one than the last that was made.
    pub(super) changed: Vec<String>,
    row: StripRow,
}

/// Chooses and builds it; looks at small pictures of the art unless its colours are known.
pub(super) fn now(desk: &Desk, plan: &Plan<'_>, watch: &dyn Watch) -> Result<Now, DeskError> {
    let chosen = colours::chosen(desk, plan, watch)?;
    let inks = plan.inks;
    let compensation = Paper::of(&plan.standing.snapshot.book).compensation(None);
    let failed = |error: colour::ColourError| crate::inks::unusable(&error);
    let printed = inks.printed(&compensation).map_err(failed)?;
    let unlearned = inks.unlearned(&compensation).map_err(failed)?;
    let tables = StripTables {
        press: &inks.condition,
        ink_limit: inks.ink_limit,
        printed: &printed,
        unlearned: unlearned.as_deref(),
    };
    let mut strip = Strip::build(1, &chosen, tables).map_err(|error| not_built(&error))?;
    let fingerprint = kept::fingerprint(&strip);
    let profile = Digest::of(inks.condition.profile.bytes());
    let (same, last) =
        desk.with_record(|record| Ok((record.strip_of(fingerprint)?, record.last_strip()?)))?;
    let same = same.filter(|row| row.profile == profile);
    strip.version = match (&same, &last) {
        (Some(row), _) => row.version,
        (None, Some(row)) => row.version + 1,
        (None, None) => 1,
    };
    let changed = match (&same, &last) {
        (None, Some(last)) => changes(last, plan),
        _ => Vec::new(),
    };
    let row = StripRow {
        version: strip.version,
        fingerprint,
        inputs: inputs(plan),
        condition: inks.condition.name.clone(),
        profile,
        facts: serde_json::to_string(&plan.facts)
            .expect("facts hold only strings, numbers and lists"),
        patches: kept::patches_text(&strip),
    };
    Ok(Now {
        strip,
        kept: same.is_some(),
        changed,
        row,
    })
}

impl Now {
    /// Keeps the strip in the record, so that a measurement of it finds it again.
    pub(super) fn keep(&mut self, desk: &Desk) -> Result<(), DeskError> {
        if !self.kept {
            self.strip.version = desk.with_record(|record| record.add_strip(&self.row))?;
            self.kept = true;
        }
        Ok(())
    }

    /// The name in the marks of a file that holds this strip and this.
    pub(super) fn mark_of(&self, file: &[u8]) -> String {
        let digest = Gather::new("file with a control strip")
            .put("strip", self.row.fingerprint.to_string())
            .put("version", self.strip.version.to_le_bytes())
            .put("file", file)
            .done();
        digest.to_string()[..8].to_owned()
    }

    /// The mark of this strip in a file of that name.
    pub(super) fn mark(&self, file: &str, page: Option<u32>) -> Mark {
        Mark {
            page,
            file: file.to_owned(),
            version: self.strip.version,
        }
    }
}

/// Digest of all that decides the strip of the book as it is. Reads no pixels.
pub(super) fn inputs(plan: &Plan<'_>) -> Digest {
    let compensation = Paper::of(&plan.standing.snapshot.book).compensation(None);
    Gather::new("control strip of a book")
        .put("colours", colours::key(plan).to_string())
        .put("inks", plan.inks.whole.to_string())
        .put("compensation", format!("{compensation:?}"))
        .done()
}

/// A strip that was made before.
pub(super) fn kept(desk: &Desk, version: u32) -> Result<Option<(Strip, StripRow)>, DeskError> {
    let Some(row) = desk.with_record(|record| record.strip(version))? else {
        return Ok(None);
    };
    let strip = kept::strip_of(version, &row.patches).ok_or_else(|| unreadable(desk))?;
    Ok(Some((strip, row)))
}

/// Why the book's strip is not that one any more, in words; empty when it is.
pub(super) fn changes(then: &StripRow, plan: &Plan<'_>) -> Vec<String> {
    if then.inputs == inputs(plan) {
        return Vec::new();
    }
    let now = &plan.facts;
    let Ok(mut before) = serde_json::from_str::<Facts>(&then.facts) else {
        return vec!["The book changed".to_owned()];
    };
    // These never reach a strip, so they are not why it is another.
    before.title.clone_from(&now.title);
    before.author.clone_from(&now.author);
    before.language.clone_from(&now.language);
    before.resolution.clone_from(&now.resolution);
    before.pictures.clone_from(&now.pictures);
    let reasons = facts::reasons(&before, now, crate::PressFile::Interior);
    if reasons.is_empty() {
        vec!["What the book shows, or how it is brought to ink, changed".to_owned()]
    } else {
        reasons
    }
}

/// The press condition that a strip was made for, if the program or the book still has it.
pub(super) fn condition_of(row: &StripRow, inks: &Inks) -> Option<PressCondition> {
    let is_it = |condition: &PressCondition| Digest::of(condition.profile.bytes()) == row.profile;
    if is_it(&inks.condition) {
        return Some(inks.condition.clone());
    }
    PressCondition::built_in(&row.condition).filter(is_it)
}

fn not_built(error: &ProofError) -> DeskError {
    DeskError::new(
        "book.toml [press]",
        format!("the control strip could not be made: {error}"),
        "Name a built-in condition (coated, coated-americas, uncoated) or another output profile.",
    )
}

/// A record that holds what this program does not understand.
pub(super) fn unreadable(desk: &Desk) -> DeskError {
    DeskError::new(
        desk.private("record.sqlite").display().to_string(),
        "the record holds a proof that this version cannot read",
        "Use the newer version of the program that wrote it.",
    )
}
