use std::sync::LazyLock;

use colour::{
    InkLimit, Intent, PaperView, PressCondition, Profile, Recipe, Separation, delta_e_2000,
};
use proptest::prelude::*;

use crate::reference::{self, Random};

fn recipe(press: &str, intent: Intent, limit: f64) -> Recipe {
    Recipe {
        source: Profile::srgb(),
        press: PressCondition::built_in(press).unwrap(),
        intent,
        ink_limit: InkLimit::from_percent(limit).unwrap(),
        compensation: colour::Compensation::NONE,
        departure: None,
    }
}

fn convert(table: &Separation, rgb: &[u8]) -> Vec<[u8; 4]> {
    let mut cmyk = vec![0; rgb.len() / 3 * 4];
    table.convert_rgb8(rgb, &mut cmyk);
    cmyk.chunks_exact(4)
        .map(|pixel| pixel.try_into().unwrap())
        .collect()
}

fn total(inks: [u8; 4]) -> u32 {
    inks.iter().map(|&ink| u32::from(ink)).sum()
}

/// The table against the reference library in unoptimised floats, on 100,000 random colours and on
/// all greys. Bounds are a little over what is seen; rounding to bytes alone costs 0.08 mean, 0.27
/// worst.
#[test]
fn agrees_with_the_reference_library() {
    let mut rgb = Random::new(1).bytes(300_000);
    rgb.extend((0..=255_u8).flat_map(|grey| [grey; 3]));
    let exact: Vec<[f32; 3]> = rgb
        .chunks_exact(3)
        .map(|pixel| [0, 1, 2].map(|i| f32::from(pixel[i]) / 255.0))
        .collect();
    for press in PressCondition::built_in_names() {
        for (intent, theirs, compensate) in [
            (Intent::Perceptual, lcms2::Intent::Perceptual, false),
            (Intent::Relative, lcms2::Intent::RelativeColorimetric, true),
        ] {
            let recipe = recipe(press, intent, 400.0);
            let table = Separation::build(&recipe).unwrap();
            let profile = &recipe.press.profile;
            let wanted = reference::inks(&recipe.source, profile, theirs, compensate, &exact);
            let ours: Vec<[f32; 4]> = convert(&table, &rgb)
                .into_iter()
                .map(|inks| inks.map(|ink| f32::from(ink) / 2.55))
                .collect();
            let (mut sum, mut worst) = (0.0_f64, 0.0_f64);
            for (one, other) in reference::labs(profile, &wanted)
                .into_iter()
                .zip(reference::labs(profile, &ours))
            {
                let off = delta_e_2000(one, other);
                sum += off;
                worst = worst.max(off);
            }
            let mean = sum / exact.len() as f64;
            println!("{press} {intent:?}: mean {mean:.4}, worst {worst:.3}");
            assert!(
                mean < 0.12 && worst < 0.9,
                "{press} {intent:?}: {mean} {worst}"
            );
        }
    }
}

#[test]
fn white_is_bare_paper() {
    for press in PressCondition::built_in_names() {
        for intent in [Intent::Perceptual, Intent::Relative] {
            let table = Separation::build(&recipe(press, intent, 300.0)).unwrap();
            assert_eq!(convert(&table, &[255; 3]), [[0; 4]], "{press}");
        }
    }
}

#[test]
fn greys_darken_evenly() {
    for press in PressCondition::built_in_names() {
        for limit in [400.0, 300.0, 240.0] {
            let recipe = recipe(press, Intent::Perceptual, limit);
            let table = Separation::build(&recipe).unwrap();
            let ramp: Vec<u16> = (0..=1020_u32)
                .flat_map(|step| [(step * 65535 / 1020) as u16; 3])
                .collect();
            let mut cmyk = vec![0; ramp.len() / 3 * 4];
            table.convert_rgb16(&ramp, &mut cmyk);
            let inks: Vec<[u8; 4]> = cmyk
                .chunks_exact(4)
                .map(|pixel| pixel.try_into().unwrap())
                .collect();
            let mut lightest = f64::MIN;
            for (step, lab) in recipe
                .press
                .lab_of(&inks, PaperView::Adapted)
                .unwrap()
                .into_iter()
                .enumerate()
            {
                // Rounding to bytes may step back by part of one byte of each ink.
                assert!(
                    lab.l > lightest - 0.3,
                    "{press} {limit}: grey {step} of 1020 is {lab:?}, after {lightest}"
                );
                lightest = lightest.max(lab.l);
            }
        }
    }
}

static TIGHT: LazyLock<Vec<(u32, Separation)>> = LazyLock::new(|| {
    let mut tables = Vec::new();
    for press in ["coated", "uncoated"] {
        for limit in [180.0, 239.9, 300.0] {
            let recipe = recipe(press, Intent::Relative, limit);
            let bytes = (limit * 2.55 + 1e-9) as u32;
            tables.push((bytes, Separation::build(&recipe).unwrap()));
        }
    }
    tables
});

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]
    #[test]
    fn no_input_exceeds_the_ink_limit(rgb in proptest::collection::vec(any::<u16>(), 3..600)) {
        for (limit, table) in TIGHT.iter() {
            let mut cmyk = vec![0; rgb.len() / 3 * 4];
            table.convert_rgb16(&rgb, &mut cmyk);
            for pixel in cmyk.chunks_exact(4) {
                let found = total(pixel.try_into().unwrap());
                prop_assert!(found <= *limit, "{} > {}", found, limit);
            }
        }
    }
}

#[test]
fn dark_and_saturated_corners_stay_within_the_ink_limit() {
    // Every colour of the darkest eighth, and the faces of the cube.
    let mut rgb = Vec::new();
    for r in 0..32_u8 {
        for g in 0..32 {
            for b in 0..32 {
                rgb.extend([r, g, b]);
            }
        }
    }
    for one in 0..=255_u8 {
        for other in (0..=255).step_by(5) {
            rgb.extend([0, one, other, one, 0, other, one, other, 0]);
        }
    }
    for (limit, table) in TIGHT.iter() {
        for inks in convert(table, &rgb) {
            assert!(total(inks) <= *limit, "{inks:?} over {limit}");
        }
    }
}

#[test]
fn inks_under_the_limit_are_left_alone() {
    let free = Separation::build(&recipe("coated", Intent::Perceptual, 400.0)).unwrap();
    let held = Separation::build(&recipe("coated", Intent::Perceptual, 240.0)).unwrap();
    let rgb = Random::new(7).bytes(30_000);
    let mut touched = 0;
    for (one, other) in convert(&free, &rgb).into_iter().zip(convert(&held, &rgb)) {
        // A cell that reaches across the limit may give a little below it.
        if total(one) < 190 * 255 / 100 {
            assert_eq!(one, other);
        } else if one != other {
            touched += 1;
        }
    }
    assert!(touched > 0);
}

#[test]
fn bytes_and_their_16_bit_twins_give_the_same_inks() {
    let table = Separation::build(&recipe("coated", Intent::Perceptual, 300.0)).unwrap();
    let rgb = Random::new(3).bytes(3_000);
    let wide: Vec<u16> = rgb.iter().map(|&byte| u16::from(byte) * 257).collect();
    let mut cmyk = vec![0; 4_000];
    table.convert_rgb16(&wide, &mut cmyk);
    assert_eq!(convert(&table, &rgb).concat(), cmyk);
}

#[test]
fn uneven_slices_convert_the_whole_pixels_that_both_hold() {
    let table = Separation::build(&recipe("coated", Intent::Perceptual, 300.0)).unwrap();
    let mut cmyk = [9; 9];
    table.convert_rgb8(&[0; 11], &mut cmyk);
    assert_eq!(cmyk[8], 9);
    assert!(cmyk[..8].iter().any(|&ink| ink > 9));
    table.convert_rgb8(&[], &mut cmyk);
    table.convert_rgb16(&[1, 2], &mut []);
}

#[test]
fn grey_art_prints_like_the_same_greys() {
    // A grey profile with sRGB's curve prints as sRGB's greys do.
    let curve = lcms2::ToneCurve::new_parametric(
        4,
        &[2.4, 1.0 / 1.055, 0.055 / 1.055, 1.0 / 12.92, 0.04045],
    )
    .unwrap();
    let white = lcms2::CIExyY {
        x: 0.345_702_915,
        y: 0.358_538_597,
        Y: 1.0,
    };
    let grey = lcms2::Profile::new_gray(&white, &curve)
        .unwrap()
        .icc()
        .unwrap();
    let grey = Profile::open(&grey).unwrap();
    let press = PressCondition::built_in("coated").unwrap();
    let from_grey = Separation::build(&Recipe {
        source: grey,
        press,
        intent: Intent::Perceptual,
        ink_limit: InkLimit::from_percent(300.0).unwrap(),
        compensation: colour::Compensation::NONE,
        departure: None,
    })
    .unwrap();
    let from_rgb = Separation::build(&recipe("coated", Intent::Perceptual, 300.0)).unwrap();
    let rgb: Vec<u8> = (0..=255).flat_map(|grey| [grey; 3]).collect();
    for (one, other) in convert(&from_grey, &rgb)
        .into_iter()
        .zip(convert(&from_rgb, &rgb))
    {
        for (a, b) in one.into_iter().zip(other) {
            assert!(a.abs_diff(b) <= 1, "{one:?} {other:?}");
        }
    }
}

#[test]
fn inks_have_no_separation() {
    let mut recipe = recipe("coated", Intent::Perceptual, 300.0);
    recipe.source = recipe.press.profile.clone();
    assert!(Separation::build(&recipe).is_err());
}

/// What the limit costs where it bites, on a million random colours, rounding to bytes included.
#[test]
fn a_usual_ink_limit_is_hardly_seen() {
    let rgb = Random::new(17).bytes(3_000_000);
    for press in PressCondition::built_in_names() {
        let free = recipe(press, Intent::Relative, 400.0);
        let held = recipe(press, Intent::Relative, 240.0);
        let free_inks = convert(&Separation::build(&free).unwrap(), &rgb);
        let held_inks = convert(&Separation::build(&held).unwrap(), &rgb);
        let pairs: Vec<[[u8; 4]; 2]> = free_inks
            .into_iter()
            .zip(held_inks)
            .filter(|(free, _)| total(*free) > 612)
            .map(|(free, held)| [free, held])
            .collect();
        let off: Vec<f64> = free
            .press
            .lab_of(pairs.as_flattened(), PaperView::Adapted)
            .unwrap()
            .chunks_exact(2)
            .map(|labs| delta_e_2000(labs[0], labs[1]))
            .collect();
        let mean = off.iter().sum::<f64>() / off.len().max(1) as f64;
        let worst = off.iter().copied().fold(0.0, f64::max);
        println!(
            "{press}: {} over, mean {mean:.3}, worst {worst:.2}",
            off.len()
        );
        assert!(mean < 0.3 && worst < 1.5, "{press}: {mean} {worst}");
    }
}
