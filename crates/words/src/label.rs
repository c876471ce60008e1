//! Labels: short lines of a drawing in, placed glyphs out. Quotes and figures are set as they are
//! typed, since a drawing is searched.

use measure::Length;

use crate::clean::PARTS;
use crate::records::RECORDS;
use crate::signs::{in_rounds, sign};
use crate::typeset::typeset_labels;
use crate::walk::{Walked, length};
use crate::{Font, Run, WordsError};

/// Part of the type size by which the layout puts the baseline below the top of a label.
const ABOVE: f64 = 0.65;

/// More characters than all labels of a drawing have (our assumption).
const MOST_CHARACTERS: usize = 200_000;

/// A line to set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label<'a> {
    /// The words; a line break counts as a space.
    pub text: &'a str,
    /// Type size.
    pub size: Length,
    /// Weight.
    pub weight: Weight,
}

/// How heavy letters are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Weight {
    /// As running words.
    Regular,
    /// As headings.
    Strong,
}

/// A line, set; `x` is measured from its start, `y` from its baseline.
#[derive(Debug, Clone)]
pub struct Line {
    /// Glyphs.
    pub runs: Vec<Run>,
    /// How wide it came out.
    pub width: Length,
}

/// Lines, set.
#[derive(Debug, Clone)]
pub struct Lines {
    /// Fonts used.
    pub fonts: Vec<Font>,
    /// The lines, in the order of the labels.
    pub lines: Vec<Line>,
    /// Signs that no built-in typeface has, each once; [`crate::letter::STAND_IN`] stands for them.
    pub missing: Vec<char>,
}

/// Sets labels, all at once.
///
/// # Errors
/// [`WordsError::Typesetter`] for more than any drawing says, or if the typesetter gave up.
pub fn set(labels: &[Label<'_>], language: &str) -> Result<Lines, WordsError> {
    let bytes: usize = labels.iter().map(|label| label.text.len()).sum();
    if bytes > MOST_CHARACTERS {
        return Err(WordsError::Typesetter(format!(
            "there are more than {MOST_CHARACTERS} characters, which is no drawing"
        )));
    }
    let ((lines, fonts), missing) = in_rounds(|missing| {
        let mut data = String::with_capacity(bytes + labels.len() * 24);
        // Whether each label has anything to set.
        let mut set = Vec::with_capacity(labels.len());
        for label in labels {
            let text: String = label
                .text
                .chars()
                .map(|c| if c.is_whitespace() { ' ' } else { c })
                .filter(|c| !c.is_control())
                .filter_map(|c| sign(c, missing))
                .collect();
            let is_set = !text.trim().is_empty() && label.size > Length::ZERO;
            set.push(is_set);
            if !is_set {
                continue;
            }
            if !data.is_empty() {
                data.push(RECORDS);
            }
            data.push_str(match label.weight {
                Weight::Regular => "regular",
                Weight::Strong => "semibold",
            });
            data.push(PARTS);
            data.push_str(&format!("{:.4}", label.size.inches() * 72.0));
            data.push(PARTS);
            data.push_str(text.trim());
        }
        let frames = match data.is_empty() {
            true => Vec::new(),
            false => typeset_labels(data, language)?,
        };
        let wanted = set.iter().filter(|is_set| **is_set).count();
        if frames.len() != wanted {
            return Err(WordsError::Typesetter(format!(
                "{} labels came out of {wanted}",
                frames.len()
            )));
        }
        let mut frames = frames.iter();
        let mut walked = Walked::new();
        let mut lines = Vec::with_capacity(labels.len());
        for (label, is_set) in labels.iter().zip(set) {
            let frame = if is_set { frames.next() } else { None };
            let Some(frame) = frame else {
                lines.push(Line {
                    runs: Vec::new(),
                    width: Length::ZERO,
                });
                continue;
            };
            walked.add(frame)?;
            let mut runs = std::mem::take(&mut walked.runs);
            for glyph in runs.iter_mut().flat_map(|run| &mut run.glyphs) {
                glyph.y -= label.size.scaled(ABOVE);
            }
            lines.push(Line {
                runs,
                width: length(frame.width()),
            });
        }
        Ok(((lines, walked.fonts), walked.missing))
    })?;
    Ok(Lines {
        fonts,
        lines,
        missing,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::letter::STAND_IN;
    use proptest::prelude::*;

    fn label(text: &str, weight: Weight) -> Label<'_> {
        Label {
            text,
            size: Length::from_mm(5.0),
            weight,
        }
    }

    fn said(line: &Line) -> String {
        let glyphs = line.runs.iter().flat_map(|run| &run.glyphs);
        glyphs.map(|glyph| glyph.text.as_str()).collect()
    }

    #[test]
    fn each_label_stands_on_its_baseline_and_says_just_what_was_typed() {
        let texts = ["spine 18.7", "", "\"Tide\"  41 × 49 mm", "3/4"];
        let labels = texts.map(|text| label(text, Weight::Regular));
        let set = set(&labels, "de").unwrap();
        assert_eq!(set.lines.len(), 4);
        for (line, text) in set.lines.iter().zip(texts) {
            assert_eq!(said(line), text);
            assert_eq!(line.width > Length::ZERO, !text.is_empty());
            for glyph in line.runs.iter().flat_map(|run| &run.glyphs) {
                assert!(glyph.y.abs() < Length::from_um(1.0), "{:?}", glyph.y);
                assert!(glyph.x >= Length::ZERO && glyph.x < line.width);
            }
        }
        assert!(set.missing.is_empty());
    }

    #[test]
    fn a_strong_label_is_set_in_a_heavier_face_of_which_each_is_named_once() {
        let labels = [
            label("case", Weight::Regular),
            label("case", Weight::Strong),
            label("wrap", Weight::Strong),
        ];
        let set = set(&labels, "en").unwrap();
        let names: Vec<&str> = set.fonts.iter().map(|font| font.name.as_str()).collect();
        assert_eq!(
            names,
            ["LibertinusSerif-Regular", "LibertinusSerif-Semibold"]
        );
        assert_eq!(set.lines[2].runs[0].font, 1);
    }

    #[test]
    fn a_sign_that_no_typeface_has_is_stood_for_and_named() {
        let set = set(&[label("潮 tide", Weight::Regular)], "en").unwrap();
        assert_eq!(said(&set.lines[0]), format!("{STAND_IN} tide"));
        assert_eq!(set.missing, ['潮']);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(24))]

        #[test]
        fn any_labels_give_as_many_lines(texts in prop::collection::vec(".*", 0..4), size in 0..40_000_000i64) {
            let labels: Vec<Label<'_>> = texts
                .iter()
                .map(|text| Label { size: Length::from_nm(size), ..label(text, Weight::Strong) })
                .collect();
            let set = set(&labels, "en").unwrap();
            prop_assert_eq!(set.lines.len(), texts.len());
        }
    }
}
