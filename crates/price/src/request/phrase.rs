//! Small pieces of wording: dates, counts, languages and addresses.

use jiff::civil::Date;

/// `20 December 2026`: a day that is read alike on both sides of an ocean.
pub(super) fn date(date: Date) -> String {
    date.strftime("%-d %B %Y").to_string()
}

/// `1050`, and `12 000` from five figures on: neither point nor comma, which mean a thousand here and
/// a fraction there.
pub(super) fn count(count: u64) -> String {
    let figures = count.to_string();
    if figures.len() < 5 {
        return figures;
    }
    let mut grouped = String::new();
    for (index, figure) in figures.chars().enumerate() {
        if index > 0 && (figures.len() - index).is_multiple_of(3) {
            grouped.push('\u{a0}');
        }
        grouped.push(figure);
    }
    grouped
}

/// `one copy`, `800 copies`.
pub(super) fn copies(copies: u64) -> String {
    match copies {
        1 => "one copy".to_owned(),
        _ => format!("{} copies", count(copies)),
    }
}

/// One line of what may be several.
pub(crate) fn one_line(text: &str) -> String {
    text.split(|c: char| c.is_whitespace() || c.is_control())
        .filter(|word| !word.is_empty())
        .collect::<Vec<_>>()
        .join(" ")
}

/// Name and address by lines: as they were written, or parted at the commas of a single line.
pub(super) fn address(written: &str) -> Vec<String> {
    let lines = |parts: Vec<&str>| -> Vec<String> {
        parts
            .into_iter()
            .map(one_line)
            .filter(|line| !line.is_empty())
            .collect()
    };
    let by_lines = lines(written.lines().collect());
    match by_lines.as_slice() {
        [single] => lines(single.split(", ").collect()),
        _ => by_lines,
    }
}

/// What a language is called in English, by its code (ISO 639-1, from memory); `None` for others.
pub(super) fn language(tag: &str) -> Option<&'static str> {
    const NAMES: [(&str, &str); 40] = [
        ("ar", "Arabic"),
        ("bg", "Bulgarian"),
        ("bs", "Bosnian"),
        ("ca", "Catalan"),
        ("cs", "Czech"),
        ("da", "Danish"),
        ("de", "German"),
        ("el", "Greek"),
        ("en", "English"),
        ("es", "Spanish"),
        ("et", "Estonian"),
        ("fi", "Finnish"),
        ("fr", "French"),
        ("ga", "Irish"),
        ("he", "Hebrew"),
        ("hi", "Hindi"),
        ("hr", "Croatian"),
        ("hu", "Hungarian"),
        ("id", "Indonesian"),
        ("is", "Icelandic"),
        ("it", "Italian"),
        ("ja", "Japanese"),
        ("ko", "Korean"),
        ("lt", "Lithuanian"),
        ("lv", "Latvian"),
        ("ms", "Malay"),
        ("nb", "Norwegian"),
        ("nl", "Dutch"),
        ("no", "Norwegian"),
        ("pl", "Polish"),
        ("pt", "Portuguese"),
        ("ro", "Romanian"),
        ("sk", "Slovak"),
        ("sl", "Slovenian"),
        ("sr", "Serbian"),
        ("sv", "Swedish"),
        ("th", "Thai"),
        ("tr", "Turkish"),
        ("uk", "Ukrainian"),
        ("zh", "Chinese"),
    ];
    let code = tag.split(['-', '_']).next()?.trim();
    NAMES
        .iter()
        .find(|(known, _)| known.eq_ignore_ascii_case(code))
        .map(|(_, name)| *name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_have_no_sign_that_means_a_fraction_elsewhere() {
        assert_eq!(count(1050), "1050");
        assert_eq!(count(12_000), "12\u{a0}000");
        assert_eq!(count(1_234_567), "1\u{a0}234\u{a0}567");
        assert_eq!(copies(1), "one copy");
    }

    #[test]
    fn an_address_on_one_line_is_parted_at_its_commas() {
        let parted = ["Ines Almada", "4 Harbour Lane", "Port Ellery"];
        assert_eq!(address("Ines Almada, 4 Harbour Lane, Port Ellery"), parted);
        assert_eq!(
            address("Ines Almada\n 4 Harbour Lane, first floor\r\n\nPort Ellery"),
            ["Ines Almada", "4 Harbour Lane, first floor", "Port Ellery"]
        );
        assert!(address(" \n ").is_empty());
    }

    #[test]
    fn days_are_said_in_full() {
        assert_eq!(date(jiff::civil::date(2026, 12, 1)), "1 December 2026");
    }

    #[test]
    fn a_language_is_named_by_its_tag() {
        assert_eq!(language("pt-BR"), Some("Portuguese"));
        assert_eq!(language("tlh"), None);
        assert_eq!(language(""), None);
    }
}
