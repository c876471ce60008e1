//! Reading single values that are written in a way of their own.

use jiff::civil::Date;
use measure::Decimal;

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

/// Languages that are written from right to left, by their primary subtag, and such scripts. From
/// memory of ISO 639 and ISO 15924; rare ones may be missing.
const LANGUAGES_FROM_RIGHT: [&str; 21] = [
    "ar", "arc", "ara", "ckb", "div", "dv", "fa", "fas", "he", "heb", "iw", "ji", "pnb", "ps",
    "pus", "sd", "syr", "ug", "ur", "urd", "yi",
];
const SCRIPTS_FROM_RIGHT: [&str; 9] = [
    "Adlm", "Arab", "Aran", "Hebr", "Mand", "Nkoo", "Rohg", "Syrc", "Thaa",
];

/// Whether a BCP 47 language is written from right to left: by its script where the tag names one,
/// as in `az-Arab` or `he-Latn`, else by what is usual.
pub(super) fn reads_from_right(tag: &str) -> bool {
    let mut parts = tag.split('-');
    let primary = parts.next().unwrap_or_default();
    let script = parts.next().filter(|part| part.len() == 4);
    let is = |word: &str, list: &[&str]| list.iter().any(|known| known.eq_ignore_ascii_case(word));
    match script {
        Some(script) => is(script, &SCRIPTS_FROM_RIGHT),
        None => is(primary, &LANGUAGES_FROM_RIGHT),
    }
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

/// A share in percent as an exact part of one: `70%`, `0.4 %`.
///
/// Percentages finer than a ten-millionth are rounded half away from zero.
pub(super) fn share(text: &str) -> Option<Decimal> {
    let percent: Decimal = text.trim().strip_suffix('%')?.parse().ok()?;
    percent.over(Decimal::from_whole(100))
}

/// A day of the calendar: year, month and day, as in ISO 8601.
pub(super) fn day(text: &str) -> Option<Date> {
    let text = text.trim();
    // Nothing else that a reader of moments might take, such as a time behind the day.
    let plain = text.len() == 10 && text.bytes().all(|b| b.is_ascii_digit() || b == b'-');
    text.parse().ok().filter(|_| plain)
}

/// Whether a text can be the name of a time zone: `Europe/Lisbon`, `Etc/GMT+3`, `UTC`.
///
/// Only the shape is looked at, not whether there is such a zone.
pub(super) fn is_zone(text: &str) -> bool {
    let plain = |b: u8| b.is_ascii_alphanumeric() || matches!(b, b'_' | b'-' | b'+');
    text.len() <= 60
        && text.starts_with(|c: char| c.is_ascii_alphabetic())
        && text
            .split('/')
            .all(|part| !part.is_empty() && part.bytes().all(plain))
}

/// Whether a text can be an e-mail address: one name, one `@`, one domain with a dot.
///
/// Only the shape is looked at, and signs that could make two addresses of one are refused.
pub(super) fn is_email(text: &str) -> bool {
    let strange = |c: char| c.is_whitespace() || c.is_control() || "<>()[],;:\\\"?&%".contains(c);
    let Some((name, domain)) = text.split_once('@') else {
        return false;
    };
    let labels = domain.split('.');
    text.len() <= 254
        && !name.is_empty()
        && !text.contains(strange)
        && !domain.contains('@')
        && labels.clone().count() > 1
        && labels.into_iter().all(|label| !label.is_empty())
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
    fn what_is_written_from_the_right_is_known_by_language_or_script() {
        for right in [
            "ar",
            "he",
            "HE-il",
            "fa-AF",
            "ur",
            "yi",
            "az-Arab",
            "ku-arab-IQ",
        ] {
            assert!(reads_from_right(right), "{right}");
        }
        for left in [
            "en",
            "de-CH",
            "he-Latn",
            "zh-Hant-TW",
            "az",
            "ja",
            "are",
            "",
        ] {
            assert!(!reads_from_right(left), "{left}");
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
    fn shares_are_exact_and_need_their_sign() {
        let exact = |text: &str| share(text).map(|share| share.to_string());
        assert_eq!(exact("70%").as_deref(), Some("0.7"));
        assert_eq!(exact(" 0.4 % ").as_deref(), Some("0.004"));
        for bad in [
            "", "%", "70", "0.7", "7,5%", "70%%", "about 5%", "1e2%", "NaN%",
        ] {
            assert_eq!(share(bad), None, "{bad}");
        }
    }

    #[test]
    fn days_are_those_of_the_calendar() {
        assert_eq!(day("2028-02-29"), Some(jiff::civil::date(2028, 2, 29)));
        for bad in [
            "",
            "2026-02-29",
            "2026-13-01",
            "2026-1-1",
            "20.12.2026",
            "20261220",
            "2026-12-20T10:00",
            "+02026-12-20",
            "tomorrow",
        ] {
            assert_eq!(day(bad), None, "{bad}");
        }
    }

    #[test]
    fn zones_and_addresses_have_their_shape() {
        for good in [
            "UTC",
            "Europe/Lisbon",
            "America/Argentina/Ushuaia",
            "Etc/GMT+3",
        ] {
            assert!(is_zone(good), "{good}");
        }
        for bad in [
            "",
            "/",
            "Europe/",
            "Europe//Lisbon",
            "../etc",
            "Länder/Wien",
            "+1",
        ] {
            assert!(!is_zone(bad), "{bad}");
        }
        for good in ["prices@quay.example", "a.b+c@d-e.f.example"] {
            assert!(is_email(good), "{good}");
        }
        for bad in [
            "",
            "quay",
            "@quay.example",
            "a@",
            "a@b",
            "a@b.",
            "a@@b.example",
            "a b@c.example",
            "a@b.example, c@d.example",
            "a@b.example?bcc=c",
            "A <a@b.example>",
            "a@b.example\n",
        ] {
            assert!(!is_email(bad), "{bad}");
        }
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
