//! Signs that no built-in typeface has, where words are set all the same.

use crate::WordsError;
use crate::faces::Faces;

/// What stands for a sign that no built-in typeface has.
pub const STAND_IN: char = '\u{25af}';

/// Rounds of replacing signs until all is there.
const ROUNDS: usize = 3;

/// What was set, and the signs that something else stands for.
pub(crate) type WithMissing<T> = (T, Vec<char>);

/// Sets words in rounds. `set` passes each character through [`sign`] with the list that it is given,
/// and says what came of it and which signs were missing after all: shaping may want signs that the
/// list of a typeface promised, and the next round replaces those too.
pub(crate) fn in_rounds<T>(
    mut set: impl FnMut(&mut Vec<char>) -> Result<WithMissing<T>, WordsError>,
) -> Result<WithMissing<T>, WordsError> {
    let mut missing = Vec::new();
    for _ in 0..ROUNDS {
        let (done, lacking) = set(&mut missing)?;
        if lacking.is_empty() {
            return Ok((done, missing));
        }
        for c in lacking {
            if c != STAND_IN && !missing.contains(&c) {
                missing.push(c);
            }
        }
    }
    Err(WordsError::Typesetter(
        "some of its signs cannot be set, nor what would stand for them".to_owned(),
    ))
}

/// The sign as it is set: itself, the one that stands for it, or nothing for a sign that is never
/// seen, such as a joiner.
pub(crate) fn sign(c: char, missing: &mut Vec<char>) -> Option<char> {
    if missing.contains(&c) {
        return Some(STAND_IN);
    }
    if c == ' ' || c == '\n' || Faces::get().have(c) {
        return Some(c);
    }
    // Joiners, marks of direction and variation selectors change their neighbours and show nothing.
    let unseen = matches!(c,
        '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{180b}'..='\u{180f}' | '\u{200b}'..='\u{200f}'
        | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}'
        | '\u{e0000}'..='\u{e0fff}');
    if unseen {
        return None;
    }
    if c.is_whitespace() {
        return Some(' ');
    }
    missing.push(c);
    Some(STAND_IN)
}
