//! Lists and changes, as a sentence says them.

/// `page 4`, `pages 4, 6–9 and 12`.
pub(super) fn pages_words(pages: &[u32]) -> String {
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for &page in pages {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == page => *last = page,
            _ => runs.push((page, page)),
        }
    }
    let words: Vec<String> = runs
        .iter()
        .map(|&(first, last)| {
            if first == last {
                first.to_string()
            } else {
                format!("{first}–{last}")
            }
        })
        .collect();
    let noun = if pages.len() == 1 { "page" } else { "pages" };
    format!("{noun} {}", short_list(&words))
}

/// `from 150 to 170 g/m²`: a unit that both share is said once.
pub(super) fn from_to(then: &str, now: &str) -> String {
    let named = |text: &str| {
        if text.is_empty() {
            "nothing".to_owned()
        } else {
            text.to_owned()
        }
    };
    match (then.split_once(' '), now.split_once(' ')) {
        (Some((number, unit)), Some((_, same)))
            if unit == same && number.parse::<f64>().is_ok() =>
        {
            format!("from {number} to {now}")
        }
        _ => format!("from {} to {}", named(then), named(now)),
    }
}

/// `a`, `a and b`, `a, b and c`.
pub(crate) fn list(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

/// A list of at most four; the others are counted.
pub(super) fn short_list(words: &[String]) -> String {
    const MOST: usize = 4;
    if words.len() <= MOST {
        return list(words);
    }
    let mut short = words[..MOST - 1].to_vec();
    short.push(format!("{} more", words.len() - short.len()));
    list(&short)
}
