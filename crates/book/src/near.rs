//! Finding the word that somebody meant.

/// The candidate nearest to `word`, if it is near enough to be a slip of the fingers: at most two
/// edits, and fewer than half of the letters.
pub(crate) fn nearest<'a>(
    word: &str,
    candidates: impl IntoIterator<Item = &'a str>,
) -> Option<&'a str> {
    // Long words are no slips, and the comparison costs the product of the lengths.
    const LONGEST: usize = 64;
    let lower = word.to_lowercase();
    if lower.chars().count() > LONGEST {
        return None;
    }
    candidates
        .into_iter()
        .filter(|candidate| candidate.chars().count() <= LONGEST)
        .map(|candidate| (edits(&lower, &candidate.to_lowercase()), candidate))
        .filter(|(edits, candidate)| *edits <= 2 && edits * 2 < candidate.chars().count())
        .min_by_key(|(edits, _)| *edits)
        .map(|(_, candidate)| candidate)
}

/// Optimal string alignment distance: insertions, deletions, changes and swaps of neighbours.
fn edits(a: &str, b: &str) -> usize {
    let a: Vec<char> = a.chars().collect();
    let b: Vec<char> = b.chars().collect();
    let mut before_last = vec![0; b.len() + 1];
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i; b.len() + 1];
        for j in 1..=b.len() {
            let change = usize::from(a[i - 1] != b[j - 1]);
            row[j] = (last[j - 1] + change).min(last[j] + 1).min(row[j - 1] + 1);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                row[j] = row[j].min(before_last[j - 2] + 1);
            }
        }
        before_last = std::mem::replace(&mut last, row);
    }
    last[b.len()]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_slip_finds_the_word_and_nonsense_finds_none() {
        let keys = ["grammage", "bulk", "caliper", "finish", "name"];
        assert_eq!(nearest("gramage", keys), Some("grammage"));
        assert_eq!(nearest("Calipre", keys), Some("caliper"));
        assert_eq!(nearest("nmae", keys), Some("name"));
        assert_eq!(nearest("weight", keys), None);
        assert_eq!(nearest("", keys), None);
        assert_eq!(nearest(&"x".repeat(100_000), keys), None);
    }
}
