//! From what a person typed to data that can be set.

use crate::{Block, Style, WordsError};

/// Parts heading and paragraphs in the data, and the cells of a letter's row; it is taken out of the words.
pub(crate) const PARTS: char = '\u{1f}';

/// More characters than any page holds at a size that can be read (our assumption: a sheet of
/// 500 × 700 mm in 9 point takes about 40,000).
const MOST_CHARACTERS: usize = 50_000;

/// Words longer than this get places to break in, after the marks that addresses are made of.
const LONG_WORD: usize = 24;

/// A block's words, ready to be set.
#[derive(Debug, PartialEq, Eq)]
pub(crate) struct Clean {
    pub(crate) heading: String,
    pub(crate) paragraphs: Vec<String>,
}

impl Clean {
    pub(crate) fn from(block: &Block) -> Result<Self, WordsError> {
        let characters = std::iter::once(&block.heading)
            .chain(&block.paragraphs)
            .map(|text| text.len())
            .fold(0usize, usize::saturating_add);
        // Bytes are at least as many as characters, and cheap to count.
        if characters > MOST_CHARACTERS * 4 || count(block) > MOST_CHARACTERS {
            return Err(WordsError::Typesetter(format!(
                "there are more than {MOST_CHARACTERS} characters, which no page holds"
            )));
        }
        let keep_breaks = matches!(
            block.style,
            Style::Title | Style::Colophon | Style::CoverFront
        );
        let clean = |text: &String| clean(text, keep_breaks);
        Ok(Self {
            heading: clean(&block.heading),
            paragraphs: block
                .paragraphs
                .iter()
                .map(clean)
                .filter(|text| !text.is_empty())
                .collect(),
        })
    }

    pub(crate) fn is_empty(&self) -> bool {
        self.heading.is_empty() && self.paragraphs.is_empty()
    }

    /// Heading and paragraphs in one text.
    pub(crate) fn data(&self) -> String {
        let mut data = self.heading.clone();
        for paragraph in &self.paragraphs {
            data.push(PARTS);
            data.push_str(paragraph);
        }
        data
    }
}

fn count(block: &Block) -> usize {
    std::iter::once(&block.heading)
        .chain(&block.paragraphs)
        .map(|text| text.chars().count())
        .sum()
}

/// Line breaks become spaces or are kept as `\n`; other control characters are dropped, since no
/// typeface has a sign for them; spaces are not doubled.
pub(crate) fn clean(text: &str, keep_breaks: bool) -> String {
    let text = text.replace("\r\n", "\n");
    let lines: Vec<String> = text
        .split([
            '\n', '\r', '\u{b}', '\u{c}', '\u{85}', '\u{2028}', '\u{2029}',
        ])
        .map(|line| {
            let words: Vec<String> = line
                .split([' ', '\t'])
                .map(|word| word.chars().filter(|c| !c.is_control()).collect::<String>())
                .filter(|word| !word.is_empty())
                .map(open_long_word)
                .collect();
            join(&words)
        })
        .collect();
    if keep_breaks {
        lines.join("\n").trim_matches('\n').to_owned()
    } else {
        let lines: Vec<String> = lines.into_iter().filter(|line| !line.is_empty()).collect();
        lines.join(" ")
    }
}

/// Joins words by spaces, which do not break where a measure would come apart: `41 × 49 cm`.
fn join(words: &[String]) -> String {
    let mut line = String::new();
    let mut before = "";
    for word in words {
        if !line.is_empty() {
            let after_figure = before.ends_with(|c: char| c.is_ascii_digit());
            let is_unit = ["mm", "cm"].contains(&word.trim_end_matches(['.', ',', ';', ':', ')']));
            let holds = before == "×" || (after_figure && (word == "×" || is_unit));
            line.push(if holds { '\u{a0}' } else { ' ' });
        }
        line.push_str(word);
        before = word;
    }
    line
}

/// Adds places of no width to break in to a very long word, such as an address on the web.
fn open_long_word(word: String) -> String {
    if word.chars().count() <= LONG_WORD {
        return word;
    }
    let mut open = String::with_capacity(word.len() * 2);
    let mut before_is_mark = false;
    for c in word.chars() {
        let is_mark = "/.-_?&=#@:,;+".contains(c);
        if before_is_mark && !is_mark {
            open.push('\u{200b}');
        }
        open.push(c);
        before_is_mark = is_mark;
    }
    open
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn line_breaks_flow_in_prose_and_stand_in_a_colophon() {
        let typed = "One\r\n  two\tthree \n\u{7}four\n";
        assert_eq!(clean(typed, false), "One two three four");
        assert_eq!(clean(typed, true), "One\ntwo three\nfour");
    }

    #[test]
    fn a_measure_stays_in_one_piece() {
        assert_eq!(
            clean("paper, 41 × 49 cm. The 2 of", false),
            "paper, 41\u{a0}×\u{a0}49\u{a0}cm. The 2 of"
        );
    }

    #[test]
    fn an_address_may_break_after_its_marks() {
        assert_eq!(
            open_long_word("https://example.org/a-long-path/x".to_owned()),
            "https://\u{200b}example.\u{200b}org/\u{200b}a-\u{200b}long-\u{200b}path/\u{200b}x"
        );
        assert_eq!(open_long_word("well-known".to_owned()), "well-known");
    }
}
