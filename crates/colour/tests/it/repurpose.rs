use colour::{InkLimit, Intent, PaperView, PressCondition, Profile, Repurpose, delta_e_2000};
use proptest::prelude::*;

use crate::reference::Random;

fn limit(percent: f64) -> InkLimit {
    InkLimit::from_percent(percent).unwrap()
}

#[test]
fn art_for_the_same_press_stays_as_it_is_under_the_limit() {
    let press = PressCondition::built_in("coated").unwrap();
    let table = Repurpose::build(&press.profile, &press, Intent::Relative, limit(280.0)).unwrap();
    let before = Random::new(4).bytes(40_000);
    let mut after = before.clone();
    table.convert(&mut after);
    let mut held = 0;
    let mut worst = 0.0_f64;
    for (one, other) in before.chunks_exact(4).zip(after.chunks_exact(4)) {
        let sum = |pixel: &[u8]| pixel.iter().map(|&ink| u32::from(ink)).sum::<u32>();
        assert!(sum(other) <= 714);
        if sum(one) <= 714 {
            assert_eq!(one, other);
        } else {
            held += 1;
            let both = [one.try_into().unwrap(), other.try_into().unwrap()];
            let labs = press.lab_of(&both, PaperView::Adapted).unwrap();
            worst = worst.max(delta_e_2000(labs[0], labs[1]));
        }
    }
    println!("{held} held, worst ΔE00 {worst:.2}");
    assert!(held > 100);
}

#[test]
fn art_for_another_press_keeps_its_colours_and_its_pure_black() {
    let source = PressCondition::built_in("coated-americas").unwrap();
    let press = PressCondition::built_in("coated").unwrap();
    let table = Repurpose::build(&source.profile, &press, Intent::Relative, limit(300.0)).unwrap();
    for black in 0..=255 {
        let mut pixel = [0, 0, 0, black];
        table.convert(&mut pixel);
        assert_eq!(pixel[..3], [0; 3], "black {black}");
        if black == 0 || black == 255 {
            assert_eq!(pixel[3], black);
        }
    }
    // Two conditions that are nearly the same: light colours stay within a just visible step.
    let mut before = Random::new(6).bytes(4_000);
    before.iter_mut().for_each(|ink| *ink /= 3);
    let mut after = before.clone();
    table.convert(&mut after);
    let four = |bytes: &[u8]| -> Vec<[u8; 4]> {
        bytes
            .chunks_exact(4)
            .map(|p| p.try_into().unwrap())
            .collect()
    };
    let one = source.lab_of(&four(&before), PaperView::Adapted).unwrap();
    let other = press.lab_of(&four(&after), PaperView::Adapted).unwrap();
    let mean = one
        .iter()
        .zip(&other)
        .map(|(one, other)| delta_e_2000(*one, *other))
        .sum::<f64>()
        / one.len() as f64;
    println!("mean ΔE00 {mean:.2}");
    assert!(mean < 1.5, "{mean}");
}

#[test]
fn screen_art_has_no_inks_to_bring_over() {
    let press = PressCondition::built_in("coated").unwrap();
    assert!(Repurpose::build(&Profile::srgb(), &press, Intent::Relative, limit(300.0)).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn no_inks_exceed_the_limit(bytes in proptest::collection::vec(any::<u8>(), 4..400)) {
        use std::sync::LazyLock;
        static TABLES: LazyLock<Vec<Repurpose>> = LazyLock::new(|| {
            let source = PressCondition::built_in("coated-americas").unwrap();
            let press = PressCondition::built_in("uncoated").unwrap();
            [&source.profile, &press.profile]
                .map(|from| Repurpose::build(from, &press, Intent::Perceptual, limit(240.0)).unwrap())
                .into()
        });
        for table in TABLES.iter() {
            let mut inks = bytes.clone();
            table.convert(&mut inks);
            for pixel in inks.chunks_exact(4) {
                prop_assert!(pixel.iter().map(|&ink| u32::from(ink)).sum::<u32>() <= 612);
            }
        }
    }
}
