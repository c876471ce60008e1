//! What is done to the art for paper, as facts that can be compared and told.

use std::collections::BTreeMap;

use book::{Book, PieceInks, Sharpening};
use colour::Compensation;
use serde::{Deserialize, Serialize};

use super::change::{touched_by, treated_anew};
use super::words::{from_to, short_list};
use super::{Change, Facts, list};
use crate::digest::Digest;
use crate::paper::{Paper, Softens};

/// The recipe for paper and the exceptions from it.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub(crate) struct PaperFacts {
    /// Name of the built-in recipe; empty in facts that are older than recipes.
    pub recipe: String,
    /// Figures in force, by name.
    pub figures: BTreeMap<String, String>,
    pub sharpening: String,
    pub ruling: String,
    /// What a proof has taught.
    pub learned: Option<LearnedFacts>,
    /// Exceptions, by piece.
    pub pieces: BTreeMap<String, PieceFacts>,
}

/// What a proof has taught.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct LearnedFacts {
    /// Which proof, in words.
    pub from: String,
    /// Digest of what it taught.
    pub digest: Digest,
}

/// The exceptions of one piece.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub(crate) struct PieceFacts {
    /// Name of its own recipe, or empty where it has the book's.
    pub recipe: String,
    /// Figures in force, by name; empty where it has the book's.
    pub figures: BTreeMap<String, String>,
    /// Its inks.
    pub inks: String,
    /// Its own sharpening, or empty where it has the book's.
    pub sharpening: String,
}

impl PaperFacts {
    pub(super) fn of(book: &Book) -> Self {
        let paper = Paper::of(book);
        let whole = &book.paper;
        let softens = Softens::new(book.text_stock.finish, whole);
        let ruling = softens.ruling.unwrap_or(softens.surface.usual_ruling());
        Self {
            recipe: whole.recipe.word().to_owned(),
            figures: figures(&paper.compensation(None)),
            sharpening: whole.sharpening.word().to_owned(),
            ruling: format!("{ruling:.0} lpi"),
            learned: whole.learned.as_ref().map(|learned| LearnedFacts {
                from: learned.from.clone(),
                digest: Digest::of(format!("{learned:?}").as_bytes()),
            }),
            pieces: book
                .piece_wishes
                .iter()
                .map(|wish| {
                    let facts = PieceFacts {
                        recipe: wish
                            .recipe
                            .map_or_else(String::new, |recipe| recipe.word().to_owned()),
                        figures: if paper.is_exception(&wish.piece) {
                            figures(&paper.compensation(Some(&wish.piece)))
                        } else {
                            BTreeMap::new()
                        },
                        inks: wish.inks.word().to_owned(),
                        sharpening: wish
                            .sharpening
                            .map_or_else(String::new, |how| how.word().to_owned()),
                    };
                    (wish.piece.clone(), facts)
                })
                .collect(),
        }
    }
}

/// Figures by name, as they are read.
fn figures(compensation: &Compensation) -> BTreeMap<String, String> {
    let percent = |value: f64| format!("{} %", short(value));
    let mut all = BTreeMap::from([
        ("contrast".to_owned(), percent(compensation.contrast)),
        ("lightening".to_owned(), short(compensation.lightening)),
        ("saturation".to_owned(), percent(compensation.saturation)),
        ("black".to_owned(), short(compensation.black)),
        ("white".to_owned(), short(compensation.white)),
    ]);
    for (name, band) in Compensation::BANDS.iter().zip(compensation.bands) {
        all.insert((*name).to_owned(), percent(band));
    }
    all
}

/// A number with no more places than it needs, with a true minus.
fn short(value: f64) -> String {
    let text = format!("{:.2}", value + 0.0);
    let text = text.trim_end_matches('0').trim_end_matches('.');
    match text.strip_prefix('-') {
        Some("0") => "0".to_owned(),
        Some(digits) => format!("−{digits}"),
        None => text.to_owned(),
    }
}

/// What changed in what is done for paper.
pub(super) fn changes(then: &Facts, now: &Facts) -> Vec<Change> {
    let (before, after) = (&then.paper, &now.paper);
    if before.recipe.is_empty() {
        // Older than recipes: what changed is told by the tables.
        return Vec::new();
    }
    let mut changes = Vec::new();
    let touched = treated_anew(then, now);
    let mut whole = |text: String| {
        changes.push(Change {
            text,
            touches: touched.clone(),
        });
    };
    if before.recipe != after.recipe {
        whole(format!(
            "The recipe for paper changed {}",
            from_to(&before.recipe, &after.recipe)
        ));
    } else if let Some(changed) = figures_changed(&before.figures, &after.figures) {
        whole(format!("The recipe for paper changed: {changed}"));
    }
    for (name, then, now) in [
        ("Sharpening", &before.sharpening, &after.sharpening),
        ("The screen ruling", &before.ruling, &after.ruling),
    ] {
        if then != now {
            whole(format!("{name} changed {}", from_to(then, now)));
        }
    }
    if before.learned != after.learned {
        let touched = touched_by(then, now, |_| true);
        changes.push(Change {
            text: lesson(before.learned.as_ref(), after.learned.as_ref()),
            touches: touched,
        });
    }
    changes.extend(piece_changes(then, now));
    changes
}

fn figures_changed(
    then: &BTreeMap<String, String>,
    now: &BTreeMap<String, String>,
) -> Option<String> {
    let changed: Vec<String> = now
        .iter()
        .filter_map(|(name, now)| {
            let then = then.get(name)?;
            (then != now).then(|| format!("{name} {}", from_to(then, now)))
        })
        .collect();
    (!changed.is_empty()).then(|| list(&changed))
}

/// `What proof 1 taught was taken in`.
fn lesson(then: Option<&LearnedFacts>, now: Option<&LearnedFacts>) -> String {
    let which = |learned: &LearnedFacts| {
        let named = learned.from.split(',').next().unwrap_or_default().trim();
        if named.is_empty() {
            "a proof".to_owned()
        } else {
            named.to_owned()
        }
    };
    match (then, now) {
        (Some(then), None) => format!("What {} taught was taken out again", which(then)),
        (Some(then), Some(now)) if which(then) == which(now) => {
            format!("What {} taught was changed", which(now))
        }
        (_, Some(now)) => format!("What {} taught was taken in", which(now)),
        (None, None) => String::new(),
    }
}

/// Exceptions that came, went or changed; pieces with the same change are named together.
fn piece_changes(then: &Facts, now: &Facts) -> Vec<Change> {
    let none = PieceFacts {
        inks: PieceInks::ByLook.word().to_owned(),
        ..PieceFacts::default()
    };
    let names = then.paper.pieces.keys().chain(now.paper.pieces.keys());
    let mut told: Vec<(Said, Vec<String>)> = Vec::new();
    let mut seen = std::collections::BTreeSet::new();
    for piece in names.filter(|piece| seen.insert(*piece)) {
        let before = then.paper.pieces.get(piece).unwrap_or(&none);
        let after = now.paper.pieces.get(piece).unwrap_or(&none);
        for said in said(before, after) {
            match told.iter_mut().find(|(known, _)| *known == said) {
                Some((_, pieces)) => pieces.push(piece.clone()),
                None => told.push((said, vec![piece.clone()])),
            }
        }
    }
    told.into_iter()
        .map(|(said, pieces)| {
            let touched = touched_by(then, now, |piece| pieces.contains(piece));
            let names: Vec<String> = pieces.iter().map(|piece| format!("`{piece}`")).collect();
            Change {
                text: said.about(&short_list(&names), pieces.len()),
                touches: touched,
            }
        })
        .collect()
}

/// What is said of a piece.
#[derive(PartialEq)]
enum Said {
    Inks(String),
    Recipe(String),
    Figures(String),
    Sharpening(String),
}

fn said(then: &PieceFacts, now: &PieceFacts) -> Vec<Said> {
    let mut all = Vec::new();
    if then.inks != now.inks {
        all.push(Said::Inks(now.inks.clone()));
    }
    if then.recipe != now.recipe || then.figures.is_empty() != now.figures.is_empty() {
        all.push(Said::Recipe(
            match (now.recipe.as_str(), now.figures.is_empty()) {
                ("", true) => String::new(),
                ("", false) => "with own figures".to_owned(),
                (recipe, _) => format!("`{recipe}`"),
            },
        ));
    } else if let Some(changed) = figures_changed(&then.figures, &now.figures) {
        all.push(Said::Figures(changed));
    }
    if then.sharpening != now.sharpening {
        all.push(Said::Sharpening(now.sharpening.clone()));
    }
    all
}

impl Said {
    /// The sentence, without its full stop, about one or more pieces.
    fn about(&self, names: &str, count: usize) -> String {
        let (is, has) = if count == 1 {
            ("is", "has")
        } else {
            ("are", "have")
        };
        match self {
            Self::Inks(inks) => {
                let how = match inks.as_str() {
                    "black" => "in black ink alone".to_owned(),
                    "by look" => "in the inks that suit their look".to_owned(),
                    "all four" => "in all four inks".to_owned(),
                    two => format!("in {two}"),
                };
                let how = match (inks.as_str(), count) {
                    ("by look", 1) => "in the inks that suit its look".to_owned(),
                    _ => how,
                };
                format!("{names} {is} now printed {how}")
            }
            Self::Recipe(recipe) => match recipe.as_str() {
                "" => format!("{names} {has} the book's recipe for paper again"),
                "with own figures" => format!("{names} {has} own figures for paper now"),
                recipe => format!("{names} {has} the recipe {recipe} for paper now"),
            },
            Self::Figures(changed) => {
                format!("The figures for paper of {names} changed: {changed}")
            }
            Self::Sharpening(how) => {
                if how.is_empty() {
                    format!("{names} {is} sharpened as the book is again")
                } else if how == Sharpening::None.word() {
                    format!("{names} {is} not sharpened any more")
                } else {
                    format!("{names} {has} {how} sharpening now")
                }
            }
        }
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::super::tests::{facts, told};
    use super::*;
    use crate::PressFile;

    pub(crate) fn usual() -> PaperFacts {
        PaperFacts {
            recipe: "usual".to_owned(),
            figures: figures(&Compensation::built_in("usual").unwrap()),
            sharpening: "modest".to_owned(),
            ruling: "175 lpi".to_owned(),
            learned: None,
            pieces: BTreeMap::new(),
        }
    }

    /// The facts with other pixels on the pages and the cover that show these pieces.
    fn treated(pieces: &[&str]) -> Facts {
        let mut now = facts();
        for piece in pieces {
            now.treated
                .insert((*piece).to_owned(), Digest::of(b"other"));
        }
        let flats = now.flats.values_mut().flat_map(|flat| &mut flat.sheets);
        for sheet in now.pages.iter_mut().chain(flats) {
            if sheet
                .shows
                .iter()
                .any(|shown| pieces.contains(&shown.as_str()))
            {
                sheet.digest = Digest::of(format!("{:?} anew", sheet.shows).as_bytes());
            }
        }
        now
    }

    #[test]
    fn another_recipe_is_told_once_and_touches_what_shows_art() {
        let mut now = treated(&["a.png", "b.png", "c.png", "d.png"]);
        now.paper.recipe = "strong".to_owned();
        now.paper.figures = figures(&Compensation::built_in("strong").unwrap());
        // A page of words alone stays as it is.
        let mut then = facts();
        for facts in [&mut then, &mut now] {
            facts.pages.push(super::super::SheetFacts {
                digest: Digest::of(b"words"),
                shows: vec![],
            });
        }
        let changes: Vec<_> = super::super::change::changes(&then, &now)
            .into_iter()
            .map(|change| {
                let touches = |file| change.touches.has(file);
                let both = (touches(PressFile::Interior), touches(PressFile::Cover));
                (change.text.clone(), both.0, both.1)
            })
            .collect();
        assert_eq!(
            changes,
            [(
                "The recipe for paper changed from usual to strong".to_owned(),
                true,
                true
            )]
        );
    }

    #[test]
    fn a_recipe_that_no_piece_follows_touches_nothing() {
        let mut now = facts();
        now.paper.recipe = "strong".to_owned();
        let told = told(&now);
        assert_eq!(told.len(), 1);
        assert!(!told[0].1 && !told[0].2);
    }

    #[test]
    fn own_figures_are_told_with_what_they_were() {
        let mut now = treated(&["a.png", "b.png", "c.png", "d.png"]);
        now.paper.figures.insert("contrast".into(), "−6 %".into());
        assert_eq!(
            told(&now)[0].0,
            "The recipe for paper changed: contrast from −8 % to −6 %"
        );
    }

    #[test]
    fn an_exception_touches_only_the_files_that_show_the_piece() {
        let mut now = treated(&["b.png"]);
        now.paper.pieces.insert(
            "b.png".to_owned(),
            PieceFacts {
                inks: "black".to_owned(),
                ..PieceFacts::default()
            },
        );
        assert_eq!(
            told(&now),
            [(
                "`b.png` is now printed in black ink alone".to_owned(),
                true,
                false
            )]
        );
    }

    #[test]
    fn equal_exceptions_are_told_together() {
        let mut now = treated(&["b.png", "c.png"]);
        for piece in ["b.png", "c.png"] {
            now.paper.pieces.insert(
                piece.to_owned(),
                PieceFacts {
                    recipe: "none".to_owned(),
                    figures: figures(&Compensation::NONE),
                    inks: "by look".to_owned(),
                    ..PieceFacts::default()
                },
            );
        }
        assert_eq!(
            told(&now)[0].0,
            "`b.png` and `c.png` have the recipe `none` for paper now"
        );
    }

    #[test]
    fn a_lesson_of_a_proof_is_told_by_its_name() {
        let mut now = treated(&["a.png", "b.png", "c.png", "d.png"]);
        now.treated = facts().treated;
        now.paper.learned = Some(LearnedFacts {
            from: "proof 1, strip 2, read 25 November 2026".to_owned(),
            digest: Digest::of(b"lesson"),
        });
        assert_eq!(
            told(&now),
            [("What proof 1 taught was taken in".to_owned(), true, true)]
        );
    }

    #[test]
    fn numbers_are_as_short_as_they_are() {
        assert_eq!(short(-8.0), "−8");
        assert_eq!(short(-0.001), "0");
        assert_eq!(short(1.5), "1.5");
        assert_eq!(short(100.0), "100");
    }
}
