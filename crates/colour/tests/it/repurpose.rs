use colour::{InkLimit, Intent, PaperView, PressCondition, Profile, Repurpose, delta_e_2000};
use proptest::prelude::*;

use crate::reference::{self, Random};

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
    let mut pairs: Vec<[u8; 4]> = Vec::new();
    for (one, other) in before.chunks_exact(4).zip(after.chunks_exact(4)) {
        let sum = |pixel: &[u8]| pixel.iter().map(|&ink| u32::from(ink)).sum::<u32>();
        assert!(sum(other) <= 714);
        if sum(one) <= 714 {
            assert_eq!(one, other);
        } else {
            pairs.extend([one, other].map(|pixel| <[u8; 4]>::try_from(pixel).unwrap()));
        }
    }
    let held = pairs.len() / 2;
    let worst = press
        .lab_of(&pairs, PaperView::Adapted)
        .unwrap()
        .chunks_exact(2)
        .map(|labs| delta_e_2000(labs[0], labs[1]))
        .fold(0.0, f64::max);
    println!("{held} held, worst ΔE00 {worst:.2}");
    assert!(held > 100 && worst < 2.5, "{held} {worst}");
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

/// The table against the reference library in unoptimised floats, on 100,000 inks that hold more
/// than black: the difference of the two prints.
#[test]
fn other_inks_go_where_the_reference_library_takes_them() {
    let source = PressCondition::built_in("coated-americas").unwrap();
    let press = PressCondition::built_in("coated").unwrap();
    let table = Repurpose::build(&source.profile, &press, Intent::Relative, limit(400.0)).unwrap();
    let mut before = Random::new(8).bytes(400_000);
    for pixel in before.chunks_exact_mut(4) {
        while pixel.iter().map(|&ink| u32::from(ink)).sum::<u32>() > 816 {
            pixel.iter_mut().for_each(|ink| *ink -= *ink / 8);
        }
    }
    let percent: Vec<[f32; 4]> = before
        .chunks_exact(4)
        .map(|pixel| [0, 1, 2, 3].map(|i| f32::from(pixel[i]) / 2.55))
        .collect();
    let transform: lcms2::Transform<[f32; 4], [f32; 4]> = lcms2::Transform::new_flags(
        &reference::open(&source.profile),
        lcms2::PixelFormat::CMYK_FLT,
        &reference::open(&press.profile),
        lcms2::PixelFormat::CMYK_FLT,
        lcms2::Intent::RelativeColorimetric,
        lcms2::Flags::NO_OPTIMIZE | lcms2::Flags::BLACKPOINT_COMPENSATION,
    )
    .unwrap();
    let mut theirs = vec![[0.0; 4]; percent.len()];
    transform.transform_pixels(&percent, &mut theirs);
    let mut after = before.clone();
    table.convert(&mut after);
    let ours: Vec<[f32; 4]> = after
        .chunks_exact(4)
        .map(|pixel| [0, 1, 2, 3].map(|i| f32::from(pixel[i]) / 2.55))
        .collect();
    let (mut sum, mut worst) = (0.0_f64, 0.0_f64);
    for (one, other) in reference::labs(&press.profile, &theirs)
        .into_iter()
        .zip(reference::labs(&press.profile, &ours))
    {
        let off = delta_e_2000(one, other);
        sum += off;
        worst = worst.max(off);
    }
    let mean = sum / percent.len() as f64;
    println!("mean ΔE00 {mean:.3}, worst {worst:.2}");
    assert!(mean < 0.2 && worst < 2.0, "{mean} {worst}");
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
