//! Reading single values that are written in a way of their own.

/// A user's text shortened for a message.
pub(crate) fn cut(text: &str) -> String {
    const LONGEST: usize = 80;
    if text.chars().count() <= LONGEST {
        return text.to_owned();
    }
    let kept: String = text.chars().take(LONGEST - 1).collect();
    format!("{kept}…")
}

/// What is wrong with a path below the book folder, as the end of a sentence that begins with the
/// path; `None` for a path that can be used.
///
/// The rules are those of every system at once, so that a book folder can be carried anywhere.
pub(crate) fn path_fault(path: &str) -> Option<&'static str> {
    const LONGEST: usize = 400;
    if path.is_empty() {
        return Some("names nothing");
    }
    if path.len() > LONGEST {
        return Some("is too long for a name");
    }
    if path.starts_with(['/', '\\']) || path.as_bytes().get(1) == Some(&b':') {
        return Some("leads out of the book folder");
    }
    if path.contains('\\') {
        return Some("has a backslash in it");
    }
    if path.chars().any(char::is_control) {
        return Some("has a character in it that cannot be seen");
    }
    for part in path.split('/') {
        match part {
            ".." => return Some("leads out of the book folder"),
            "" | "." => return Some("has an empty step in it"),
            _ => {}
        }
    }
    None
}

/// Whether a text can be a BCP 47 language: `en`, `de-CH`, `zh-Hant-TW`.
///
/// Only the shape is looked at, not whether anybody speaks it.
pub(super) fn is_language(text: &str) -> bool {
    let mut parts = text.split('-');
    let primary = parts.next().unwrap_or_default();
    (2..=3).contains(&primary.len())
        && primary.bytes().all(|b| b.is_ascii_alphabetic())
        && text.len() <= 35
        && parts.all(|part| {
            (1..=8).contains(&part.len()) && part.bytes().all(|b| b.is_ascii_alphanumeric())
        })
}

/// Exactly `N` plain numbers parted by spaces or commas.
pub(super) fn numbers<const N: usize>(text: &str) -> Option<[f64; N]> {
    let mut found = [0.0; N];
    let mut parts = text.split([' ', ',', '\t']).filter(|part| !part.is_empty());
    for slot in &mut found {
        let value: f64 = parts.next()?.parse().ok()?;
        if !value.is_finite() {
            return None;
        }
        // A negative zero is a zero.
        *slot = value + 0.0;
    }
    parts.next().is_none().then_some(found)
}

/// A plain number, with a minus sign or a hyphen in front of what is below zero.
pub(super) fn number(text: &str) -> Option<f64> {
    let text = text.trim();
    let plain = |c: char| c.is_ascii_digit() || matches!(c, '.' | '+' | '-' | '\u{2212}');
    if !text.chars().all(plain) {
        return None;
    }
    let value: f64 = text.replace('\u{2212}', "-").parse().ok()?;
    // A negative zero is a zero.
    value.is_finite().then_some(value + 0.0)
}

/// A change in percent: `-8%`, `+3 %`.
pub(super) fn change_in_percent(text: &str) -> Option<f64> {
    number(text.trim().strip_suffix('%')?)
}

/// A screen ruling in lines to the inch: `175lpi`, `70 l/cm`.
pub(super) fn ruling(text: &str) -> Option<f64> {
    let text = text.trim();
    if let Some(lines) = text.strip_suffix("lpi") {
        return number(lines);
    }
    let lines = text
        .strip_suffix("l/cm")
        .or_else(|| text.strip_suffix("lpcm"))?;
    Some(number(lines)? * 2.54)
}

/// Any number of plain numbers parted by spaces or commas, up to a limit.
pub(super) fn list(text: &str, most: usize) -> Option<Vec<f64>> {
    let parts = text.split([' ', ',', '\t']).filter(|part| !part.is_empty());
    let found: Vec<f64> = parts.take(most + 1).map(number).collect::<Option<_>>()?;
    (found.len() <= most).then_some(found)
}

/// Pairs of plain numbers, parted by commas: `0 3, 50 44, 100 100`.
pub(super) fn pairs(text: &str, most: usize) -> Option<Vec<(f64, f64)>> {
    let parts = text
        .split(',')
        .map(str::trim)
        .filter(|part| !part.is_empty());
    let found: Vec<(f64, f64)> = parts
        .take(most + 1)
        .map(|pair| numbers::<2>(pair).map(|[first, second]| (first, second)))
        .collect::<Option<_>>()?;
    (found.len() <= most).then_some(found)
}

/// Paragraphs: parted by blank lines, each on one line, without spaces at its ends.
pub(super) fn paragraphs(words: &str) -> Vec<String> {
    let mut paragraphs = Vec::new();
    let mut open = String::new();
    for line in words.lines().map(str::trim).chain([""]) {
        if !line.is_empty() {
            if !open.is_empty() {
                open.push(' ');
            }
            open.push_str(line);
        } else if !open.is_empty() {
            paragraphs.push(std::mem::take(&mut open));
        }
    }
    paragraphs
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_paths_that_stay_inside_are_used() {
        for good in ["a.png", "coast/harbour at dusk.tif", "…/ü.jpg", "a..b.png"] {
            assert_eq!(path_fault(good), None, "{good}");
        }
        for bad in [
            "",
            "/a.png",
            "../a.png",
            "a/../../b",
            "a//b",
            "./a",
            "C:/a",
            "c:a",
            "a\\b",
            "\\\\x",
            "a\u{0}b",
            "a\nb",
            "a/",
            "..",
        ] {
            assert!(path_fault(bad).is_some(), "{bad:?}");
        }
    }

    #[test]
    fn languages_have_the_shape_of_the_standard() {
        for good in ["en", "de-CH", "zh-Hant-TW", "gsw"] {
            assert!(is_language(good), "{good}");
        }
        for bad in ["", "e", "english", "en_GB", "en-", "12", "ü-x"] {
            assert!(!is_language(bad), "{bad}");
        }
    }

    #[test]
    fn numbers_are_counted_and_finite() {
        assert_eq!(numbers("0.5 0.4"), Some([0.5, 0.4]));
        assert_eq!(numbers("10, 20,30 40"), Some([10.0, 20.0, 30.0, 40.0]));
        assert_eq!(numbers::<2>("0.5"), None);
        assert_eq!(numbers::<2>("1 2 3"), None);
        assert_eq!(numbers::<2>("nan inf"), None);
    }

    #[test]
    fn a_blank_line_parts_paragraphs() {
        assert_eq!(
            paragraphs("\n one\n two \n\n  \nthree\n"),
            ["one two", "three"]
        );
        assert!(paragraphs(" \n\n").is_empty());
    }
}
