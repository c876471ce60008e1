//! Which colours a book's strip shows.

use std::collections::BTreeSet;

use colour::{InkLimit, Lab, PressCondition, delta_e_2000};
use proof::fit::{Verdict, learn};
use proof::{Chosen, PatchKind, PracticePress, Sample, Strip, StripTables, choose};
use proptest::prelude::*;

use crate::bench_strip::{art, inks, labs, measured, strip_of, table};

fn sample(l: f64, a: f64, b: f64, weight: f64) -> Sample {
    Sample {
        rgb: [l as u16, (a + 200.0) as u16, (b + 200.0) as u16],
        lab: Lab { l, a, b },
        weight,
        pull: 2.0,
    }
}

#[test]
fn a_small_vivid_thing_is_not_drowned_by_the_sky() {
    let mut samples: Vec<Sample> = (0..4000)
        .map(|i| {
            sample(
                70.0 + f64::from(i % 20),
                -5.0,
                -20.0 - f64::from(i % 13),
                1.0,
            )
        })
        .collect();
    samples.push(sample(50.0, 70.0, 45.0, 4.0));
    let chosen = choose(&samples, 24);
    let red = chosen.iter().find(|colour| colour.lab.a > 60.0).unwrap();
    assert!((red.share - 4.0 / 4004.0).abs() < 1e-9);
}

#[test]
fn colours_that_the_press_pulls_come_before_others_of_the_same_area() {
    let mut samples = Vec::new();
    for i in 0..40 {
        let hue = f64::from(i) * 9.0_f64.to_radians();
        let mut one = sample(60.0, 40.0 * hue.cos(), 40.0 * hue.sin(), 1.0);
        one.pull = if i < 20 { 12.0 } else { 0.0 };
        samples.push(one);
    }
    let chosen = choose(&samples, 10);
    let pulled = chosen.iter().filter(|colour| colour.pull > 6.0).count();
    assert!(pulled > 5, "{pulled} of {}", chosen.len());
}

#[test]
fn plain_art_gives_only_the_colours_it_has() {
    let samples = [
        sample(10.0, 0.0, 0.0, 3.0),
        sample(90.0, 0.0, 0.0, 1.0),
        sample(90.5, 0.2, 0.0, 1.0),
    ];
    let chosen = choose(&samples, 24);
    assert_eq!(chosen.len(), 2, "{chosen:?}");
    assert!((chosen[0].share - 0.6).abs() < 1e-9);
    assert!(choose(&[], 24).is_empty());
    assert!(choose(&samples, 0).is_empty());
}

fn any_sample() -> impl Strategy<Value = Sample> {
    let odd = prop_oneof![
        8 => -150.0..150.0_f64,
        1 => Just(f64::NAN),
        1 => Just(f64::INFINITY),
        1 => Just(0.0),
        1 => Just(-1e300),
    ];
    (
        any::<[u16; 3]>(),
        odd.clone(),
        odd.clone(),
        odd.clone(),
        odd.clone(),
        odd,
    )
        .prop_map(|(rgb, l, a, b, weight, pull)| Sample {
            rgb,
            lab: Lab { l, a, b },
            weight,
            pull,
        })
}

proptest! {
    #[test]
    fn chosen_colours_are_real_few_apart_and_share_all_area(
        samples in prop::collection::vec(any_sample(), 0..200),
        count in 0_usize..30,
    ) {
        let chosen = choose(&samples, count);
        prop_assert!(chosen.len() <= count);
        prop_assert_eq!(&chosen, &choose(&samples, count));
        for colour in &chosen {
            prop_assert!(samples.iter().any(|s| s.rgb == colour.rgb && s.lab == colour.lab));
        }
        let share: f64 = chosen.iter().map(|colour| colour.share).sum();
        prop_assert!(chosen.is_empty() || (share - 1.0).abs() < 1e-9, "{share}");
    }
}

#[test]
fn a_full_strip_has_everything_once_in_its_place() {
    for name in PressCondition::built_in_names() {
        let press = PressCondition::built_in(name).unwrap();
        let plain = table(&press, None);
        let strip = strip_of(&press, &art(1, 4000), &plain, None);
        let count = |kind| strip.patches.iter().filter(|p| p.kind == kind).count();
        assert_eq!(count(PatchKind::Paper), 2);
        assert_eq!(count(PatchKind::Solid), 4);
        assert_eq!(count(PatchKind::BlackTint), 5);
        assert_eq!(count(PatchKind::ArtGrey), 9);
        assert_eq!(count(PatchKind::ArtColour), 24);
        let names: BTreeSet<&str> = strip.patches.iter().map(|p| p.name.as_str()).collect();
        assert_eq!(names.len(), strip.patches.len());
        for patch in &strip.patches {
            let ink: u32 = patch.ink.iter().map(|&byte| u32::from(byte)).sum();
            assert!(ink <= press.ink_limit.byte_sum(), "{name} {patch:?}");
            assert_eq!(patch.predicted, labs(&press, &[patch.ink])[0]);
            assert_eq!(patch.intended, patch.predicted);
            let is_art = matches!(patch.kind, PatchKind::ArtColour | PatchKind::ArtGrey);
            assert_eq!(patch.art.is_some(), is_art);
            if patch.kind == PatchKind::ArtGrey {
                let seen = patch.predicted.relative_to(strip.paper());
                assert!(seen.chroma() < 2.5, "{name} {seen:?}");
            }
        }
        assert_eq!(strip.paper(), press.paper());
    }
}

#[test]
fn an_overprint_above_the_ink_limit_is_left_out() {
    let press = PressCondition::built_in("coated").unwrap();
    let plain = table(&press, None);
    let tables = StripTables {
        press: &press,
        ink_limit: InkLimit::from_percent(290.0).unwrap(),
        printed: &plain,
        unlearned: None,
    };
    let strip = Strip::build(1, &[], tables).unwrap();
    let heaviest = strip
        .patches
        .iter()
        .filter(|patch| patch.kind == PatchKind::Overprint)
        .map(|patch| patch.ink.iter().map(|&byte| u32::from(byte)).sum::<u32>())
        .max();
    assert_eq!(heaviest, Some(510));
}

#[test]
fn what_is_intended_stays_when_a_departure_is_undone() {
    let press = PressCondition::built_in("coated").unwrap();
    let plain = table(&press, None);
    let strip = strip_of(&press, &art(1, 3000), &plain, None);
    let measurement = measured(&strip, &press, &PracticePress::HEAVY);
    let Verdict::Enough(lesson) = learn(&strip, &measurement, &press).unwrap() else {
        panic!("nothing learned");
    };
    let printed = table(&press, Some(lesson.departure));
    let colours: Vec<Chosen> = strip
        .patches
        .iter()
        .filter(|patch| patch.kind == PatchKind::ArtColour)
        .map(|patch| Chosen {
            rgb: patch.art.unwrap(),
            lab: patch.predicted,
            share: patch.share,
            pull: 0.0,
        })
        .collect();
    let tables = StripTables {
        press: &press,
        ink_limit: press.ink_limit,
        printed: &printed,
        unlearned: Some(&plain),
    };
    let next = Strip::build(2, &colours, tables).unwrap();
    let mut moved = 0;
    for (one, other) in strip.patches.iter().zip(&next.patches) {
        assert_eq!(one.intended, other.intended);
        moved += usize::from(delta_e_2000(other.intended, other.predicted) > 1.0);
        if let Some(art) = other.art {
            assert_eq!(other.ink, inks(&printed, &[art])[0]);
        }
    }
    assert!(moved > 15, "{moved}");
}
