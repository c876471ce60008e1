//! Names for entries of the running order.

/// The name itself if it is free, else with the first number that makes it so: `reeds-2`.
pub(crate) fn free_name(name: &str, taken: impl Fn(&str) -> bool) -> String {
    if !taken(name) {
        return name.to_owned();
    }
    (2_u64..)
        .map(|number| format!("{name}-{number}"))
        .find(|candidate| !taken(candidate))
        .expect("a finite number of names is taken")
}

/// A name for the entry that shows a piece: its file name without folder and ending.
pub(crate) fn name_of_piece(piece: &str) -> String {
    let file = piece.rsplit('/').next().unwrap_or(piece);
    let stem = match file.rsplit_once('.') {
        Some((stem, _)) if !stem.is_empty() => stem,
        _ => file,
    };
    let name: String = stem
        .trim()
        .chars()
        .filter(|c| !c.is_control())
        .take(120)
        .collect();
    let name = name.trim();
    if name.is_empty() {
        "piece".to_owned()
    } else {
        name.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_piece_lends_its_name_without_folder_and_ending() {
        assert_eq!(
            name_of_piece("coast/harbour at dusk.png"),
            "harbour at dusk"
        );
        assert_eq!(name_of_piece(".png"), ".png");
        assert_eq!(name_of_piece(" .png"), "piece");
    }

    #[test]
    fn a_taken_name_gets_the_next_free_number() {
        let taken = ["reeds", "reeds-2"];
        assert_eq!(free_name("reeds", |name| taken.contains(&name)), "reeds-3");
        assert_eq!(free_name("ebb", |name| taken.contains(&name)), "ebb");
    }
}
