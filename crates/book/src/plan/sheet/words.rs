//! Words on a flat sheet.

use finding::{Finding, Place, Severity};
use measure::{Length, Rect};

use super::SheetPlan;
use super::room::{Role, clear_of, clear_of_edges};
use super::say::{of_the, the};
use crate::dress::{Dress, SpineReads};
use crate::model::{BindingKind, Book};
use crate::object::{FlatKind, FlatSheet, Panel, SPINE_EDGE};
use crate::plan::page::author;
use crate::plan::{PlacedWords, Reads, WordPart, WordStyle};

/// No line of prose is longer, as on the pages.
const LONGEST_LINE: Length = Length::from_nm(120_000_000);
/// The least room that words are set in. Our assumption.
const LEAST_ROOM: Length = Length::from_nm(5_000_000);
/// The smallest type of words on a spine, in millimetres: 5.5 points. Common practice, no source.
const SMALLEST_ON_SPINE: f64 = 5.5 * 25.4 / 72.0;

/// Places a sheet's words, each clear of everything that is blocked.
pub(super) struct Writer<'a> {
    pub(super) book: &'a Book,
    pub(super) dress: &'a Dress,
    pub(super) flat: &'a FlatSheet,
    /// Where nothing may stand: the sheet's places to keep clear, and the bar code.
    pub(super) blocked: Vec<Rect>,
    pub(super) findings: &'a mut Vec<Finding>,
}

impl Writer<'_> {
    /// All words of the dress.
    pub(super) fn words(&mut self) -> Vec<PlacedWords> {
        let mut placed = Vec::new();
        placed.extend(self.front());
        placed.extend(self.spine());
        let dress = self.dress;
        placed.extend(self.prose(Role::Back, &dress.back_words, "back_words"));
        placed.extend(self.prose(Role::FrontFlap, &dress.front_flap_words, "front_flap_words"));
        placed.extend(self.prose(Role::BackFlap, &dress.back_flap_words, "back_flap_words"));
        placed
    }

    /// Title and author, or the words that stand in their stead.
    fn front(&mut self) -> Option<PlacedWords> {
        let (style, heading, paragraphs) = match self.dress.words.split_first() {
            Some((first, others)) => (WordStyle::Title, first.clone(), others.to_vec()),
            None if self.dress.front_words => (
                WordStyle::CoverFront,
                self.book.about.title.clone(),
                author(self.book),
            ),
            None => return None,
        };
        let panel = Role::Front.panel(self.flat)?;
        let rect = self.room(panel)?;
        Some(PlacedWords {
            rect,
            style,
            heading,
            paragraphs,
            ink: self.dress.ink,
            part: WordPart::Whole,
            reads: Reads::Across,
        })
    }

    fn prose(&mut self, role: Role, paragraphs: &[String], key: &str) -> Option<PlacedWords> {
        if paragraphs.is_empty() {
            return None;
        }
        let Some(panel) = role.panel(self.flat) else {
            self.say_no_panel(key);
            return None;
        };
        let panel = panel.clone();
        let room = self.room(&panel)?;
        // On a face as in the old canon: a ninth from the head, in a column that is read with
        // ease. A flap has nothing to give.
        let rect = if role == Role::Back {
            let width = (room.width * 4 / 5)
                .min(LONGEST_LINE)
                .max(room.width.min(LONGEST_LINE / 2));
            let top = (panel.rect.y + panel.rect.height / 9).max(room.y);
            let column = Rect::new(
                room.x + (room.width - width) / 2,
                top,
                width,
                room.bottom() - top,
            );
            if column.height >= LEAST_ROOM {
                column
            } else {
                room
            }
        } else {
            room
        };
        Some(PlacedWords {
            rect,
            style: WordStyle::Prose,
            heading: String::new(),
            paragraphs: paragraphs.to_vec(),
            ink: self.dress.ink,
            part: WordPart::Whole,
            reads: Reads::Across,
        })
    }

    /// The room for words on a panel; says so if there is none.
    fn room(&mut self, panel: &Panel) -> Option<Rect> {
        let clear = clear_of_edges(self.flat, panel.rect, self.book.format.safe);
        let room = clear_of(panel.rect.grown(-clear), &self.blocked);
        let enough = |room: &Rect| room.width >= LEAST_ROOM && room.height >= LEAST_ROOM;
        if let Some(room) = room.filter(enough) {
            return Some(room);
        }
        let left = room.map_or(Length::ZERO, |room| room.width.min(room.height));
        self.findings.push(
            Finding::new(
                "book-words-no-room",
                Severity::Warn,
                Place::Whole,
                format!(
                    "The {} {} leaves no room for its words beside its folds; they are left out.",
                    panel.name,
                    of_the(self.flat.kind)
                ),
            )
            .hint("Make the panel larger, or take its words out.")
            .figures(left.to_string(), format!("at least {LEAST_ROOM}")),
        );
        None
    }

    fn spine(&mut self) -> Option<PlacedWords> {
        let words = &self.dress.spine_words;
        if words.is_empty() {
            return None;
        }
        let kind = self.flat.kind;
        let section = Book::dress_section(kind);
        let panel = Role::Spine.panel(self.flat);
        let spine = panel.map_or(Length::ZERO, |panel| panel.rect.width);
        let Some(panel) = panel.filter(|_| spine >= SheetPlan::THINNEST_WITH_WORDS) else {
            let message = match kind {
                FlatKind::SoftCover if self.book.binding.kind == BindingKind::WireStitched => {
                    "A wire-stitched book has no spine; the spine's words are left out.".to_owned()
                }
                FlatKind::SoftCover => {
                    format!("The spine is {spine} wide, too thin for words; they are left out.")
                }
                _ => format!(
                    "The spine {} is {spine} wide, too thin for words; they are left out.",
                    of_the(kind)
                ),
            };
            self.findings.push(
                Finding::new("book-spine-too-thin", Severity::Warn, Place::Whole, message)
                    .hint(format!(
                        "Take `{section}.spine_words` out, or make the block thicker: more pages \
                         or a bulkier text stock."
                    ))
                    .figures(
                        spine.to_string(),
                        format!("at least {}", SheetPlan::THINNEST_WITH_WORDS),
                    ),
            );
            return None;
        };
        // Clear paper at head and foot, and off the folds.
        let height = panel.rect.height;
        let clear = self.book.format.safe.max(height / 18).min(height / 4);
        let wished = Rect::new(
            panel.rect.x + SPINE_EDGE,
            panel.rect.y + clear,
            spine - SPINE_EDGE * 2,
            height - clear * 2,
        );
        let rect = clear_of(wished, &self.blocked)?;
        let long = Length::from_mm(ems(words) * SMALLEST_ON_SPINE);
        if long > rect.height {
            self.findings.push(
                Finding::new(
                    "book-spine-words-too-long",
                    Severity::Stop,
                    Place::Whole,
                    format!(
                        "The words on the spine {} are longer than the spine even in the smallest \
                         type; they are left out.",
                        of_the(kind)
                    ),
                )
                .hint(format!("Shorten `{section}.spine_words`."))
                .figures(
                    format!("about {:.0} mm in 5.5 pt", long.mm()),
                    format!("up to {:.0} mm", rect.height.mm()),
                ),
            );
            return None;
        }
        Some(PlacedWords {
            rect,
            style: WordStyle::Spine,
            heading: words.clone(),
            paragraphs: Vec::new(),
            ink: self.dress.ink,
            part: WordPart::Whole,
            reads: match self.book.spine_reads(self.dress) {
                SpineReads::Down => Reads::Down,
                SpineReads::Up => Reads::Up,
            },
        })
    }

    fn say_no_panel(&mut self, key: &str) {
        let kind = self.flat.kind;
        let section = Book::dress_section(kind);
        let remedy = match kind {
            FlatKind::SoftCover => ", or give the cover flaps with `[flaps]`",
            FlatKind::CaseWrap => ", or put them on a jacket: a case has no flaps",
            _ => "",
        };
        self.findings.push(
            Finding::new(
                "book-words-without-panel",
                Severity::Warn,
                Place::Whole,
                format!(
                    "`{section}.{key}` has words, but {} has no such panel; they are left out.",
                    the(kind)
                ),
            )
            .hint(format!("Take the words out{remedy}.")),
        );
    }
}

/// About how wide words are, in ems of the spine's face, with its tracking.
///
/// Widths by class of letter, read off the built-in semibold; titles that were tried came out
/// within five percent. What is nearly too long is for the typesetter to say.
fn ems(words: &str) -> f64 {
    words
        .chars()
        .map(|letter| {
            let width = match letter {
                'i' | 'j' | 'l' | 'I' | '.' | ',' | ';' | ':' | '!' | '\'' | '’' | '|' | ' ' => {
                    0.26
                }
                'f' | 'r' | 's' | 't' | 'c' | 'z' | 'J' | '(' | ')' | '-' => 0.38,
                'm' | 'w' | 'M' | 'W' | '—' => 0.84,
                letter if letter.is_uppercase() => 0.64,
                '\u{1100}'..='\u{11ff}' | '\u{2e80}'..='\u{d7ff}' | '\u{f900}'..='\u{faff}' => 1.0,
                _ => 0.51,
            };
            width + 0.02
        })
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn widths_are_near_those_of_the_typeface() {
        // Sums of the advance widths in the font file, in ems, with 0.02 em of tracking a letter.
        for (words, font) in [
            ("The Low Tide Line", 7.912),
            ("A Book of Hours, Wind and Water", 14.68),
            ("ILLUSTRATIONS", 7.284),
            ("Öl und Wasser", 6.297),
        ] {
            let expected = font + 0.02 * words.chars().count() as f64;
            let found = ems(words);
            assert!(
                (found / expected - 1.0).abs() < 0.06,
                "{words}: {found} {expected}"
            );
        }
    }
}
