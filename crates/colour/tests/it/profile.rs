use colour::{
    ColourError, InkLimit, Intent, PaperView, PressCondition, Profile, Reach, Recipe, Repurpose,
    ScreenView, Separation, SoftProof, Space,
};
use proptest::prelude::*;

use crate::reference::Random;

fn coated() -> Vec<u8> {
    PressCondition::built_in("coated")
        .unwrap()
        .profile
        .bytes()
        .to_vec()
}

fn refused(bytes: &[u8]) -> String {
    let error = Profile::open(bytes).unwrap_err();
    assert!(matches!(error, ColourError::Profile(_)), "{error}");
    error.to_string()
}

#[test]
fn srgb_is_the_same_file_each_time() {
    let srgb = Profile::srgb();
    assert_eq!(srgb.space(), Space::Rgb);
    assert!(
        srgb.description().contains("sRGB"),
        "{}",
        srgb.description()
    );
    assert_eq!(srgb.bytes(), Profile::srgb().bytes());
    assert_eq!(Profile::open(srgb.bytes()).unwrap().bytes(), srgb.bytes());
}

#[test]
fn says_what_is_wrong_with_a_file_that_is_no_profile() {
    assert!(refused(&[]).contains("empty"));
    assert!(refused(b"hello").contains("5 bytes"));
    assert!(refused(&[0; 4000]).contains("too few"));
    let whole = coated();
    assert!(refused(&whole[..whole.len() - 1]).contains("cut"));
    assert!(refused(&whole[..1000]).contains("cut"));
}

#[test]
fn refuses_a_header_or_table_that_lies() {
    let whole = coated();
    let change = |at: usize, with: &[u8]| {
        let mut bytes = whole.clone();
        bytes[at..at + with.len()].copy_from_slice(with);
        bytes
    };
    assert!(refused(&change(0, &[255; 4])).contains("cut"));
    assert!(refused(&change(36, b"none")).contains("acsp"));
    assert!(refused(&change(128, &[255; 4])).contains("contents"));
    assert!(refused(&change(128, &[0; 4])).contains("contents"));
    assert!(refused(&change(136, &[255; 4])).contains("outside"));
    assert!(refused(&change(140, &[255; 4])).contains("outside"));
    // The grid of the table from inks to colour claims 255 points a side.
    let table = whole.windows(4).position(|four| four == b"mft2").unwrap();
    assert!(refused(&change(table + 10, &[255])).contains("more values"));
}

#[test]
fn what_trails_a_profile_is_left_out() {
    let whole = coated();
    let mut longer = whole.clone();
    longer.extend([7; 100]);
    assert_eq!(Profile::open(&longer).unwrap().bytes(), &whole[..]);
}

#[test]
fn a_device_link_is_not_a_device() {
    let mut bytes = coated();
    bytes[12..16].copy_from_slice(b"link");
    assert!(matches!(
        Profile::open(&bytes).unwrap_err(),
        ColourError::WrongSpace { .. }
    ));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(250))]

    #[test]
    fn no_mutated_press_profile_brings_it_down(
        changes in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..30),
        in_front in any::<bool>(),
        cut in proptest::option::of(any::<prop::sample::Index>()),
    ) {
        let mut bytes = coated();
        let length = if in_front { 1200 } else { bytes.len() };
        for (at, value) in changes {
            bytes[at.index(length)] = value;
        }
        if let Some(cut) = cut {
            let end = cut.index(bytes.len());
            bytes.truncate(end);
        }
        use_fully(&bytes);
    }

    #[test]
    fn no_mutated_screen_profile_brings_it_down(
        changes in proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..10),
    ) {
        let mut bytes = Profile::srgb().bytes().to_vec();
        for (at, value) in changes {
            let at = at.index(bytes.len());
            bytes[at] = value;
        }
        use_fully(&bytes);
    }

    #[test]
    fn no_noise_brings_it_down(bytes in proptest::collection::vec(any::<u8>(), 0..600)) {
        use_fully(&bytes);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(6))]

    #[test]
    fn tables_of_noise_neither_bring_it_down_nor_break_the_ink_limit(seed in any::<u64>()) {
        let mut bytes = coated();
        let mut random = Random::new(seed);
        // The first table begins behind the header, the tag table and the texts.
        let tables = 1200..bytes.len();
        for _ in 0..1 << (seed % 16) {
            let at = tables.start + random.next() as usize % tables.len();
            bytes[at] = (random.next() >> 56) as u8;
        }
        let Ok(profile) = Profile::open(&bytes) else {
            return Ok(());
        };
        let Ok(press) = PressCondition::from_profile("noise", profile.clone()) else {
            return Ok(());
        };
        let recipe = Recipe {
            source: Profile::srgb(),
            press: press.clone(),
            intent: Intent::Perceptual,
            ink_limit: InkLimit::from_percent(300.0).unwrap(), compensation: colour::Compensation::NONE, departure: None,
};
        let Ok(table) = Separation::build(&recipe) else {
            return Ok(());
        };
        let rgb = random.bytes(3_000);
        let mut cmyk = vec![0; 4_000];
        table.convert_rgb8(&rgb, &mut cmyk);
        for pixel in cmyk.chunks_exact(4) {
            prop_assert!(pixel.iter().map(|&ink| u32::from(ink)).sum::<u32>() <= 765);
        }
        if let Ok(reach) = Reach::build(&recipe, &table) {
            prop_assert!(reach.fate([1, 2, 3]).lost.is_finite());
        }
        let _ = SoftProof::build(&press, PaperView::Shown);
        let _ = Repurpose::build(&profile, &press, Intent::Relative, recipe.ink_limit);
    }
}

/// Opens a profile and, if it opens, has its colours computed.
fn use_fully(bytes: &[u8]) {
    let Ok(profile) = Profile::open(bytes) else {
        return;
    };
    let _ = ScreenView::build(&profile);
    if let Ok(press) = PressCondition::from_profile("x", profile) {
        let paper = press.paper();
        assert!(paper.l.is_finite());
    }
}
