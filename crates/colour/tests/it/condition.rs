use colour::{ColourError, Lab, PaperView, PressCondition, Profile, delta_e_2000};

/// Patches of the sets that the profiles were made from; the file names its source.
const SOLIDS: &str = include_str!("../tables/solids_from_characterisation_sets.csv");

/// Worst ΔE00 allowed between a patch and the profile made from it: what the profile builder
/// itself reports as its worst error (0.72 in ΔE*ab), rounded up.
const WORST: f64 = 0.8;

#[test]
fn solids_and_tints_of_the_built_in_conditions_are_those_of_their_sets() {
    for (name, set) in [
        ("coated", "FOGRA39L"),
        ("coated-americas", "TR006"),
        ("uncoated", "FOGRA29L"),
    ] {
        let press = PressCondition::built_in(name).unwrap();
        let mut seen = 0;
        for line in SOLIDS.lines() {
            let fields = fields(line);
            if fields[0] != set {
                continue;
            }
            let number = |i: usize| fields[i].parse::<f64>().unwrap();
            // Only whole solids and paper are exact in bytes.
            let inks = [3, 4, 5, 6].map(number);
            if inks.iter().any(|&ink| ink != 0.0 && ink != 100.0) {
                continue;
            }
            let measured = Lab {
                l: number(7),
                a: number(8),
                b: number(9),
            };
            let bytes = inks.map(|ink| if ink > 0.0 { 255 } else { 0 });
            let found = press.lab_of(&[bytes], PaperView::Shown).unwrap()[0];
            let off = delta_e_2000(measured, found);
            assert!(
                off < WORST,
                "{name} {}: measured {measured:?}, profile {found:?}, ΔE00 {off:.2}",
                fields[2]
            );
            seen += 1;
        }
        assert!(seen >= 10, "{name}: only {seen} patches found");
    }
}

#[test]
fn paper_is_the_sets_paper() {
    let paper = PressCondition::built_in("coated").unwrap().paper();
    assert!((paper.l - 95.0).abs() < 0.1 && paper.a.abs() < 0.1 && (paper.b + 2.0).abs() < 0.1);
}

#[test]
fn every_built_in_name_opens_and_others_do_not() {
    assert_eq!(PressCondition::built_in_names()[0], "coated");
    for name in PressCondition::built_in_names() {
        let press = PressCondition::built_in(name).unwrap();
        assert_eq!(&press.name, name);
        // Opened as a stranger's profile it is as usable, and asks for no more ink.
        let stranger = PressCondition::from_profile(name, press.profile.clone()).unwrap();
        assert!(
            stranger.ink_limit.percent() <= press.ink_limit.percent() + 1.0,
            "{name}: {:?}",
            stranger.ink_limit
        );
    }
    assert!(PressCondition::built_in("newsprint").is_none());
}

#[test]
fn a_screen_profile_is_no_way_of_printing() {
    let error = PressCondition::from_profile("screen", Profile::srgb()).unwrap_err();
    assert!(matches!(error, ColourError::WrongSpace { .. }), "{error}");
}

/// Fields of a CSV line with quoted commas.
fn fields(line: &str) -> Vec<String> {
    let mut fields = vec![String::new()];
    let mut quoted = false;
    for character in line.chars() {
        match character {
            '"' => quoted = !quoted,
            ',' if !quoted => fields.push(String::new()),
            _ => fields.last_mut().unwrap().push(character),
        }
    }
    fields
}
