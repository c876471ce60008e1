//! What changed between the facts of two moments, and which files that makes stale.

use std::collections::BTreeSet;

use finding::capital;

use super::words::{from_to, pages_words, short_list};
use super::{Facts, SheetFacts, flat, on_paper};
use crate::PressFile;

/// What changed between two books, each change as a sentence without its full stop, and the files
/// that it is a reason to make anew.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Change {
    pub text: String,
    pub touches: Touched,
}

/// Files that a change reaches.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Touched(BTreeSet<PressFile>);

impl Touched {
    pub(crate) fn all() -> Self {
        Self(PressFile::ALL.into())
    }

    pub(crate) fn has(&self, file: PressFile) -> bool {
        self.0.contains(&file)
    }

    pub(super) fn is_all(&self) -> bool {
        self.0.len() == PressFile::ALL.len()
    }

    /// The interior too, if so.
    pub(super) fn and_interior(mut self, touched: bool) -> Self {
        if touched {
            self.0.insert(PressFile::Interior);
        }
        self
    }

    pub(super) fn and(mut self, other: Self) -> Self {
        self.0.extend(other.0);
        self
    }

    pub(super) fn only(mut self, file: impl Fn(PressFile) -> bool) -> Self {
        self.0.retain(|&one| file(one));
        self
    }
}

impl FromIterator<PressFile> for Touched {
    fn from_iter<T: IntoIterator<Item = PressFile>>(files: T) -> Self {
        Self(files.into_iter().collect())
    }
}

/// Why a press file is not fit for the book any more, in words.
pub(crate) fn reasons(then: &Facts, now: &Facts, file: PressFile) -> Vec<String> {
    let mut reasons: Vec<String> = changes(then, now)
        .into_iter()
        .filter(|change| change.touches.has(file))
        .map(|change| change.text)
        .collect();
    if let Some(measures) = flat::measures(then, now, file) {
        // The gravest of the reasons brought them about.
        match reasons.first_mut() {
            Some(first) => first.push_str(&format!(": {measures}")),
            None => reasons.push(capital(&measures)),
        }
    }
    reasons
}

/// Why the drawing is not fit for the book any more, in words.
pub(crate) fn reason_of_drawing(then: &Facts, now: &Facts) -> String {
    let measured = now
        .flats
        .keys()
        .filter_map(|word| PressFile::named(word))
        .find(|&file| flat::measures(then, now, file).is_some());
    // The gravest reason of a sheet with other measures is told with these.
    let reason = measured.and_then(|file| reasons(then, now, file).into_iter().next());
    reason.unwrap_or_else(|| "What it shows of the object changed".to_owned())
}

/// All changes, gravest first.
pub(crate) fn changes(then: &Facts, now: &Facts) -> Vec<Change> {
    let mut changes = Vec::new();
    let mut add = |text: String, touches: Touched| changes.push(Change { text, touches });
    let whole = |name: &str, then: &str, now: &str| {
        (then != now).then(|| format!("{name} changed {}", from_to(then, now)))
    };
    // These reach other sheets through their measures alone.
    let measured = flat::measured_anew(then, now);
    if then.binding != now.binding {
        add(
            format!(
                "The binding changed {}",
                from_to(&then.binding, &now.binding)
            ),
            measured.clone(),
        );
    }
    if then.page_count != now.page_count {
        add(
            format!(
                "The page count changed from {} to {}",
                then.page_count, now.page_count
            ),
            measured.clone().and_interior(true),
        );
    }
    // Another surface wants other sharpening.
    let touched = treated_anew(then, now);
    if let Some(change) = then.text_stock.change(&now.text_stock) {
        let sharpened = then.text_stock.finish != now.text_stock.finish;
        add(
            format!("The text stock changed {change}"),
            measured
                .clone()
                .and_interior(sharpened && touched.has(PressFile::Interior)),
        );
    }
    if let Some(change) = then.cover_stock.change(&now.cover_stock) {
        let sharpened = then.cover_stock.finish != now.cover_stock.finish;
        let sharpened = touched
            .clone()
            .only(|file| sharpened && file != PressFile::Interior);
        add(
            format!("The cover stock changed {change}"),
            measured.and(sharpened),
        );
    }
    for (name, then, now) in [
        ("The trim", &then.trim, &now.trim),
        ("The bleed", &then.bleed, &now.bleed),
        ("The press condition", &then.condition, &now.condition),
        ("The rendering of colours", &then.rendering, &now.rendering),
        ("The picture resolution", &then.resolution, &now.resolution),
        ("The storage of pictures", &then.pictures, &now.pictures),
        ("The title", &then.title, &now.title),
        ("The author", &then.author, &now.author),
        ("The language", &then.language, &now.language),
    ] {
        if let Some(text) = whole(name, then, now) {
            add(text, Touched::all());
        }
    }
    if then.condition == now.condition && then.inks != now.inks {
        let text = if then.ink_limit_percent == now.ink_limit_percent {
            "The colour tables changed".to_owned()
        } else {
            format!(
                "The ink limit changed from {:.0} to {:.0} %",
                then.ink_limit_percent, now.ink_limit_percent
            )
        };
        add(text, Touched::all());
    }
    changes.extend(on_paper::changes(then, now));
    changes.extend(art_changes(then, now));
    changes.extend(page_changes(then, now, &changes));
    changes.extend(flat::changes(then, now, &changes));
    changes
}

/// Pieces that were saved anew under their old name.
fn art_changes(then: &Facts, now: &Facts) -> Option<Change> {
    let anew: Vec<&String> = now
        .art
        .iter()
        .filter(|(piece, digest)| then.art.get(*piece).is_some_and(|then| then != *digest))
        .map(|(piece, _)| piece)
        .collect();
    if anew.is_empty() {
        return None;
    }
    let shown_on = |sheet: &SheetFacts| anew.iter().any(|piece| sheet.shows.contains(*piece));
    let names: Vec<String> = anew.iter().map(|piece| format!("`{piece}`")).collect();
    let was = if anew.len() == 1 { "was" } else { "were" };
    Some(Change {
        text: format!("{} {was} saved anew", short_list(&names)),
        touches: now
            .files()
            .filter(|(_, sheets)| sheets.iter().any(shown_on))
            .map(|(file, _)| file)
            .collect(),
    })
}

impl Facts {
    /// Every file with its sheets.
    pub(super) fn files(&self) -> impl Iterator<Item = (PressFile, &[SheetFacts])> {
        let flats = self
            .flats
            .iter()
            .filter_map(|(word, flat)| Some((PressFile::named(word)?, flat.sheets.as_slice())));
        std::iter::once((PressFile::Interior, self.pages.as_slice())).chain(flats)
    }

    pub(super) fn sheets(&self, file: PressFile) -> &[SheetFacts] {
        match file {
            PressFile::Interior => &self.pages,
            flat => self
                .flats
                .get(flat.word())
                .map_or(&[], |flat| flat.sheets.as_slice()),
        }
    }
}

/// Which files show art to which something else is done for paper.
pub(super) fn treated_anew(then: &Facts, now: &Facts) -> Touched {
    let anew = |piece: &String| {
        then.treated
            .get(piece)
            .is_some_and(|then| now.treated.get(piece) != Some(then))
    };
    touched_by(then, now, anew)
}

/// Which files show a piece of a kind on a sheet that is not as it was.
pub(super) fn touched_by(then: &Facts, now: &Facts, piece: impl Fn(&String) -> bool) -> Touched {
    let shown = |now: &SheetFacts, then: Option<&SheetFacts>| {
        then.is_none_or(|then| then.digest != now.digest) && now.shows.iter().any(&piece)
    };
    now.files()
        .filter(|(file, sheets)| {
            let before = then.sheets(*file);
            sheets
                .iter()
                .enumerate()
                .any(|(index, sheet)| shown(sheet, before.get(index)))
        })
        .map(|(file, _)| file)
        .collect()
}

/// Pages that show something else, beyond what art saved anew explains. When all pages changed
/// for a reason already told, nothing is added.
fn page_changes(then: &Facts, now: &Facts, told: &[Change]) -> Option<Change> {
    let same_lesson = then.paper.learned == now.paper.learned;
    let same_art = |sheet: &SheetFacts| {
        sheet.shows.iter().all(|piece| {
            then.art.get(piece) == now.art.get(piece)
                && then.treated.get(piece) == now.treated.get(piece)
                && same_lesson
        })
    };
    let changed: Vec<u32> = now
        .pages
        .iter()
        .zip(&then.pages)
        .zip(1u32..)
        .filter(|((now, then), _)| {
            now.digest != then.digest && (now.shows != then.shows || same_art(now))
        })
        .map(|(_, page)| page)
        .collect();
    let explained = told.iter().any(|change| change.touches.is_all());
    if changed.is_empty() || explained && changed.len() == now.pages.len() {
        return None;
    }
    let verb = if changed.len() == 1 { "shows" } else { "show" };
    Some(Change {
        text: format!("{} {verb} something else", capital(&pages_words(&changed))),
        touches: Touched::default().and_interior(true),
    })
}
