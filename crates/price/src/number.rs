//! Amounts as people write them: `1.234,50`, `1,234.50`, `1 234,50`, `approx. 9`, `9.-`, `€ 12`,
//! `12 k`. Exact; nothing passes through floating point.
//!
//! What cannot mean but one thing is read without a word. What may mean two things, or is said to be
//! inexact, is read with a doubt, so that a person can agree or mend it. What names no single amount is
//! not read.

use measure::{Currency, Decimal};

/// Decimals that a part of a number may have.
const MOST_DECIMALS: usize = 9;
/// The longest text that is looked at; our assumption.
const LONGEST: usize = 120;

/// An amount that was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Number {
    /// The amount, in main units of its currency. Of two meanings, the one with groups of three.
    pub amount: Decimal,
    /// The same text with its only sign taken for a decimal sign, where both are possible: `1.234` is
    /// 1234 or 1.234.
    pub or: Option<Decimal>,
    /// The currency that stands beside it.
    pub currency: Option<Currency>,
    /// What is doubtful, each as a sentence without its full stop.
    pub doubts: Vec<String>,
}

/// Why a text is no amount, as a sentence without its full stop.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum NumberError {
    /// No digit.
    #[error("no number stands here")]
    None,
    /// More than one number.
    #[error("two numbers stand here, and one amount was expected")]
    Two,
    /// A formula as text.
    #[error("this is a formula, and formulas are not reckoned here")]
    Formula,
    /// A share.
    #[error("this is a share in percent, and an amount was expected")]
    Percent,
    /// Below zero.
    #[error("this is below zero, and no price is")]
    Negative,
    /// Signs between digits that fit no way of writing.
    #[error("the points, commas or spaces in it fit no way of writing a number")]
    Signs,
    /// A power of ten.
    #[error("this is written with a power of ten")]
    Power,
    /// Beyond what can be reckoned with.
    #[error("this has more digits than can be reckoned with")]
    Range,
    /// Two currencies.
    #[error("two currencies stand here")]
    TwoCurrencies,
}

/// Reads an amount.
///
/// # Errors
/// The text names no single amount of nothing or more.
pub fn read(text: &str) -> Result<Number, NumberError> {
    let text = text.trim();
    if text.starts_with('=') {
        return Err(NumberError::Formula);
    }
    if text.chars().count() > LONGEST {
        return Err(NumberError::None);
    }
    let letters: Vec<char> = text.chars().collect();
    let (from, to) = single_run(&letters)?;
    let (mut amount, or) = decimal(&letters[from..to])?;
    let mut or = or;
    let (before, behind) = (said(&letters[..from]), said(&letters[to..]));
    negative_or_power(&before, &behind)?;
    let around = words_around(&before, &behind);
    let mut number = Number {
        amount,
        or: None,
        currency: None,
        doubts: Vec::new(),
    };
    for word in around {
        match word_of(&word) {
            Word::Nothing => {}
            Word::Currency(currency) => {
                if number.currency.is_some_and(|known| known != currency) {
                    return Err(NumberError::TwoCurrencies);
                }
                number.currency = Some(currency);
            }
            Word::Several(currency, why) => {
                if number.currency.is_none() {
                    number.currency = Some(currency);
                    number.doubts.push(why.to_owned());
                }
            }
            Word::Inexact => number
                .doubts
                .push(format!("`{word}` says that it is no exact amount")),
            Word::Thousands => {
                let thousand = Decimal::from_whole(1000);
                // Beside a mark for thousands, a sign before three digits is no group.
                let said = or.take().unwrap_or(amount);
                amount = said.times(thousand).ok_or(NumberError::Range)?;
                number
                    .doubts
                    .push(format!("`{word}` is taken for thousands"));
            }
            Word::Percent => return Err(NumberError::Percent),
            Word::Other => number
                .doubts
                .push(format!("`{word}` stands beside the amount")),
        }
    }
    if let Some(or) = or {
        number
            .doubts
            .push(format!("this may mean {amount} or {or}"));
    }
    number.amount = amount;
    number.or = or;
    Ok(number)
}

/// Whether a text in a number's format names a currency, and which; the first where several may be.
pub fn currency_of_format(format: &str) -> Option<Currency> {
    // `[$€-407]`, `[$USD] #,##0.00`, `"EUR" 0.00`, `#,##0.00\ "€"`.
    format
        .split(|c: char| c.is_whitespace() || c.is_ascii_digit() || "[]\"\\#,.;_*?()/-".contains(c))
        .flat_map(|part| {
            // In brackets, a dollar only says that a currency follows.
            let bare = part.strip_prefix('$').filter(|rest| !rest.is_empty());
            [bare, Some(part)]
        })
        .flatten()
        .find_map(|word| match word_of(word) {
            Word::Currency(currency) | Word::Several(currency, _) => Some(currency),
            _ => None,
        })
}

/// Where the only number begins and ends. Spaces belong to it where exactly three digits follow.
fn single_run(letters: &[char]) -> Result<(usize, usize), NumberError> {
    let digit = |index: usize| letters.get(index).is_some_and(char::is_ascii_digit);
    let first = (0..letters.len())
        .find(|&index| digit(index))
        .ok_or(NumberError::None)?;
    // `.50` is a part without a whole.
    let from = match first.checked_sub(1) {
        Some(before) if matches!(letters[before], '.' | ',') && no_letter(letters, before) => {
            before
        }
        _ => first,
    };
    let mut to = first;
    loop {
        while digit(to) {
            to += 1;
        }
        let joined = match letters.get(to) {
            Some('.' | ',' | '\'' | '’') => digit(to + 1),
            Some(c) if c.is_whitespace() => {
                (1..=3).all(|ahead| digit(to + ahead)) && !digit(to + 4)
            }
            _ => false,
        };
        if !joined {
            break;
        }
        to += 1;
    }
    match letters[to..].iter().any(char::is_ascii_digit) {
        true => Err(NumberError::Two),
        false => Ok((from, to)),
    }
}

/// Whether no letter stands right before an index, as in `ca.9`.
fn no_letter(letters: &[char], index: usize) -> bool {
    index
        .checked_sub(1)
        .is_none_or(|before| !letters[before].is_alphanumeric())
}

/// The value of digits with signs between them, and the other one that it may have.
fn decimal(run: &[char]) -> Result<(Decimal, Option<Decimal>), NumberError> {
    let mut signs: Vec<char> = Vec::new();
    let mut parts: Vec<String> = vec![String::new()];
    for &c in run {
        if c.is_ascii_digit() {
            parts.last_mut().expect("it begins with one part").push(c);
        } else {
            signs.push(match c {
                '.' | ',' => c,
                '’' | '\'' => '\'',
                _ => ' ',
            });
            parts.push(String::new());
        }
    }
    let grouped = |parts: &[String]| {
        (1..=3).contains(&parts[0].len()) && parts[1..].iter().all(|part| part.len() == 3)
    };
    let whole = |parts: &[String]| exact(&parts.concat(), "");
    match signs.as_slice() {
        [] => Ok((whole(&parts)?, None)),
        [' ' | '\''] => match grouped(&parts) {
            true => Ok((whole(&parts)?, None)),
            false => Err(NumberError::Signs),
        },
        [_] => {
            let (before, behind) = (&parts[0], &parts[1]);
            let part = exact(before, behind)?;
            let may_be_group = grouped(&parts) && before != "0";
            match may_be_group {
                true => Ok((whole(&parts)?, Some(part))),
                false => Ok((part, None)),
            }
        }
        [groups @ .., last] if groups.iter().all(|sign| sign == &groups[0]) => {
            if *last == groups[0] {
                return match grouped(&parts) {
                    true => Ok((whole(&parts)?, None)),
                    false => Err(NumberError::Signs),
                };
            }
            let (behind, wholes) = parts
                .split_last()
                .expect("there is a part behind each sign");
            match matches!(last, '.' | ',') && grouped(wholes) {
                true => Ok((exact(&wholes.concat(), behind)?, None)),
                false => Err(NumberError::Signs),
            }
        }
        _ => Err(NumberError::Signs),
    }
}

fn exact(whole: &str, part: &str) -> Result<Decimal, NumberError> {
    if part.len() > MOST_DECIMALS {
        return Err(NumberError::Range);
    }
    let whole = if whole.is_empty() { "0" } else { whole };
    let text = match part {
        "" => whole.to_owned(),
        part => format!("{whole}.{part}"),
    };
    text.parse().map_err(|_| NumberError::Range)
}

fn said(letters: &[char]) -> String {
    letters.iter().collect::<String>().trim().to_owned()
}

fn negative_or_power(before: &str, behind: &str) -> Result<(), NumberError> {
    let minus = |text: &str| text.ends_with(['-', '−', '–']) && !text.ends_with(".-");
    let bracketed = before.ends_with('(') && behind.starts_with(')') && before == "(";
    if minus(before) || bracketed || before.starts_with(['-', '−']) {
        return Err(NumberError::Negative);
    }
    // `1e3` has its second number found already; `1e` alone is a slip of it.
    if behind.eq_ignore_ascii_case("e") {
        return Err(NumberError::Power);
    }
    Ok(())
}

/// Words before and behind the number; the dash that stands for no cents (`9.-`, `9,--`) is left out.
fn words_around(before: &str, behind: &str) -> Vec<String> {
    let bare = behind.trim_start_matches(['.', ',']);
    let behind = match bare.starts_with(['-', '–', '—', '−']) && bare.len() < behind.len() {
        true => bare.trim_start_matches(['-', '–', '—', '−']),
        false => behind,
    };
    let mut words = Vec::new();
    for text in [before, behind] {
        let mut word = String::new();
        for c in text.chars() {
            let alone = "€£$¥~≈%?±<>≤≥+*".contains(c);
            if c.is_whitespace() || alone || "()[]:;,=/".contains(c) {
                if !word.is_empty() {
                    words.push(std::mem::take(&mut word));
                }
                // `US$`, `A$`: the dollar belongs to what stands before it.
                match words.last_mut() {
                    Some(last) if c == '$' && last.len() <= 2 && last.is_ascii() => last.push(c),
                    _ if alone => words.push(c.to_string()),
                    _ => {}
                }
            } else {
                word.push(c);
            }
        }
        if !word.is_empty() {
            words.push(word);
        }
    }
    words
}

enum Word {
    Nothing,
    Currency(Currency),
    /// The likeliest of several, and what is doubtful.
    Several(Currency, &'static str),
    Inexact,
    Thousands,
    Percent,
    Other,
}

fn word_of(word: &str) -> Word {
    let bare = word.trim_matches(['.', ':', '-', '–', '—']);
    if let Some(currency) = Currency::from_code(bare).filter(|_| is_code(bare)) {
        return Word::Currency(currency);
    }
    match bare.to_lowercase().as_str() {
        "" => Word::Nothing,
        "€" | "euro" | "euros" => Word::Currency(Currency::EUR),
        "£" => Word::Currency(Currency::GBP),
        "us$" => Word::Currency(Currency::USD),
        "$" => Word::Several(
            Currency::USD,
            "`$` is the sign of several currencies; it is taken for USD",
        ),
        "¥" => Word::Several(
            Currency::from_code("JPY").unwrap_or(Currency::USD),
            "`¥` is the sign of several currencies; it is taken for JPY",
        ),
        "~" | "≈" | "?" | "±" | "<" | ">" | "≤" | "≥" | "+" | "approx" | "approximately"
        | "about" | "around" | "roughly" | "circa" | "ca" | "c" | "from" | "up" | "to"
        | "under" | "over" | "min" | "max" | "est" | "estimated" | "ab" | "etwa" | "env"
        | "environ" => Word::Inexact,
        "k" | "thousand" | "tsd" | "mille" => Word::Thousands,
        "%" | "percent" => Word::Percent,
        _ => Word::Other,
    }
}

/// Three capitals, or three small letters: `Dop` is a name, `DOP` and `dop` are a currency.
fn is_code(word: &str) -> bool {
    word.len() == 3
        && (word.bytes().all(|byte| byte.is_ascii_uppercase())
            || word.bytes().all(|byte| byte.is_ascii_lowercase()))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn amount(text: &str) -> String {
        let number = read(text).unwrap_or_else(|error| panic!("{text}: {error}"));
        assert_eq!(number.doubts, Vec::<String>::new(), "{text}");
        number.amount.to_string()
    }

    #[test]
    fn what_can_mean_but_one_thing_is_read_without_a_word() {
        for (text, value) in [
            ("9", "9"),
            ("1234.5", "1234.5"),
            ("1.234,50", "1234.5"),
            ("1,234.50", "1234.5"),
            ("1 234,50", "1234.5"),
            ("1\u{a0}234\u{202f}567.25", "1234567.25"),
            ("1'234.50", "1234.5"),
            ("1’234", "1234"),
            ("1.234.567", "1234567"),
            ("9,4", "9.4"),
            ("9.4525", "9.4525"),
            ("0.125", "0.125"),
            ("1234,567", "1234.567"),
            (".50", "0.5"),
            ("9.-", "9"),
            ("9,--", "9"),
            ("12.—", "12"),
            ("1 234", "1234"),
        ] {
            assert_eq!(amount(text), value, "{text}");
        }
    }

    #[test]
    fn a_currency_beside_it_is_told() {
        for (text, code) in [
            ("EUR 12.40", "EUR"),
            ("12.40 eur", "EUR"),
            ("€ 12", "EUR"),
            ("12,40€", "EUR"),
            ("£9.45", "GBP"),
            ("US$ 6.10", "USD"),
            ("CHF 9.-", "CHF"),
        ] {
            let number = read(text).unwrap();
            assert_eq!(number.currency, Currency::from_code(code), "{text}");
            assert_eq!(number.doubts, Vec::<String>::new(), "{text}");
        }
        assert_eq!(read("EUR 5 USD"), Err(NumberError::TwoCurrencies));
    }

    #[test]
    fn what_may_mean_two_things_is_a_doubt() {
        let number = read("EUR 1.234").unwrap();
        assert_eq!(number.amount.to_string(), "1234");
        assert_eq!(number.or.map(|or| or.to_string()), Some("1.234".to_owned()));
        assert_eq!(number.doubts, ["this may mean 1234 or 1.234"]);
        for (text, value) in [
            ("approx. 9", "9"),
            ("ca. 9,50", "9.5"),
            ("ca.9", "9"),
            ("~ 9", "9"),
            ("9?", "9"),
            ("12 k", "12000"),
            ("1.234 k", "1234"),
            ("$ 5", "5"),
            ("9.45 per copy", "9.45"),
        ] {
            let number = read(text).unwrap_or_else(|error| panic!("{text}: {error}"));
            assert_eq!(number.amount.to_string(), value, "{text}");
            assert!(!number.doubts.is_empty(), "{text}");
        }
    }

    #[test]
    fn what_names_no_single_amount_is_not_read() {
        for (text, why) in [
            ("", NumberError::None),
            ("on request", NumberError::None),
            ("9-10", NumberError::Two),
            ("9 or 10", NumberError::Two),
            ("1 2", NumberError::Two),
            ("1e3", NumberError::Two),
            ("=B2*800", NumberError::Formula),
            ("5 %", NumberError::Percent),
            ("-9", NumberError::Negative),
            ("EUR -9", NumberError::Negative),
            ("(9)", NumberError::Negative),
            ("1,23,456", NumberError::Signs),
            ("1.234.56", NumberError::Signs),
            ("1.2345,6", NumberError::Signs),
            ("9.1234567891", NumberError::Range),
            ("99999999999999999", NumberError::Range),
        ] {
            assert_eq!(read(text), Err(why), "{text}");
        }
    }

    #[test]
    fn a_format_says_its_currency() {
        for (format, code) in [
            ("#,##0.00", None),
            ("General", None),
            ("0%", None),
            ("[$€-407] #,##0.00", Some("EUR")),
            ("[$USD] #,##0.00", Some("USD")),
            ("#,##0.00\\ \"CHF\"", Some("CHF")),
            ("\"$\"#,##0.00", Some("USD")),
            ("[$£-809]#,##0.00", Some("GBP")),
            ("[Red]-0.00;@", None),
        ] {
            let expected = code.and_then(Currency::from_code);
            assert_eq!(currency_of_format(format), expected, "{format}");
        }
    }

    proptest! {
        #[test]
        fn every_way_of_writing_an_amount_reads_the_same(
            whole in 0_u64..1_000_000_000,
            cents in 0_u64..100,
            groups in prop::sample::select(vec!["", ".", ",", " ", "\u{a0}", "'", "’"]),
            comma in any::<bool>(),
        ) {
            let point = if comma { "," } else { "." };
            prop_assume!(groups != point);
            let digits = whole.to_string();
            let mut written = String::new();
            for (index, digit) in digits.chars().enumerate() {
                if index > 0 && (digits.len() - index) % 3 == 0 {
                    written.push_str(groups);
                }
                written.push(digit);
            }
            let number = read(&format!("{written}{point}{cents:02}")).unwrap();
            prop_assert_eq!(number.amount.with_decimals(2), format!("{whole}.{cents:02}"));
            prop_assert_eq!(number.doubts, Vec::<String>::new());
        }

        #[test]
        fn any_text_is_read_or_refused_in_words(text in ".{0,40}") {
            match read(&text) {
                Ok(number) => prop_assert!(number.amount >= Decimal::ZERO),
                Err(error) => prop_assert!(!error.to_string().is_empty()),
            }
        }

        #[test]
        fn any_text_around_a_number_does_no_harm(before in ".{0,6}", digits in "[0-9.,' ]{1,14}", behind in ".{0,6}") {
            let _ = read(&format!("{before}{digits}{behind}"));
        }
    }
}
