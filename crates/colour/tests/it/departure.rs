use colour::{
    Compensation, Departure, InkLimit, Intent, Lab, PaperView, PressCondition, Profile, Readings,
    Recipe, Repurpose, Separation, SoftProof, delta_e_2000,
};
use proptest::prelude::*;

use crate::reference::Random;

/// A press with much dot gain and strong ink: about five ΔE00 from its condition.
pub fn heavy() -> Departure {
    Departure {
        tone: vec![
            (0.0, 0.0),
            (25.0, 20.0),
            (50.0, 43.0),
            (75.0, 70.0),
            (100.0, 100.0),
        ],
        saturation: vec![1.1, 1.05, 1.1, 1.0, 1.12, 1.08],
        hue: vec![0.0, 3.0, 0.0, -2.0],
        depth: vec![1.0, 1.05, 1.1],
        lift: vec![0.0, 1.0, 0.0, -1.0],
        cast: vec![(0.0, 0.0), (1.0, 0.5), (0.0, 0.0)],
    }
    .checked()
    .unwrap()
}

/// Departures of many shapes; those that are not to be trusted are left out.
fn departures() -> impl Strategy<Value = Departure> {
    let tone = proptest::collection::vec((-1.0..1.0_f64, 0.2..0.8_f64), 0..12).prop_map(
        |moves: Vec<(f64, f64)>| {
            let count = moves.len();
            moves
                .into_iter()
                .enumerate()
                .map(|(i, (shift, place))| {
                    let wanted: f64 = (i as f64 + place) * 100.0 / count as f64;
                    (
                        wanted,
                        (wanted + shift * 20.0 / count as f64).clamp(0.0, 100.0),
                    )
                })
                .collect::<Vec<(f64, f64)>>()
        },
    );
    (
        tone,
        proptest::collection::vec(0.7..1.4, 0..25),
        proptest::collection::vec(-6.0..6.0, 0..25),
        proptest::collection::vec(0.8..1.25, 0..12),
        proptest::collection::vec(-4.0..4.0, 0..25),
        proptest::collection::vec((-3.0..3.0, -3.0..3.0), 0..12),
    )
        .prop_filter_map(
            "not to be trusted",
            |(tone, saturation, hue, depth, lift, cast)| {
                Departure {
                    tone,
                    saturation,
                    hue,
                    depth,
                    lift,
                    cast,
                }
                .checked()
                .ok()
            },
        )
}

fn colours() -> impl Strategy<Value = Lab> {
    (0.0..100.0, -90.0..90.0, -90.0..90.0).prop_map(|(l, a, b)| Lab { l, a, b })
}

fn distance(one: Lab, other: Lab) -> f64 {
    ((one.l - other.l).powi(2) + (one.a - other.a).powi(2) + (one.b - other.b).powi(2)).sqrt()
}

proptest! {
    #[test]
    fn undoing_undoes(departure in departures(), colour in colours()) {
        let there = departure.undo(departure.apply(colour));
        prop_assert!(distance(colour, there) < 1e-6, "{colour:?} {there:?}");
        let back = departure.apply(departure.undo(colour));
        prop_assert!(distance(colour, back) < 1e-6, "{colour:?} {back:?}");
    }

    /// Greys of a press that casts nothing stay grey, and a lighter grey prints lighter.
    #[test]
    fn greys_stay_in_order(mut departure in departures()) {
        departure.cast.clear();
        let mut before = f64::MIN;
        for step in 0..=1000 {
            let printed = departure.apply(Lab { l: f64::from(step) / 10.0, a: 0.0, b: 0.0 });
            prop_assert!(printed.chroma() < 1e-9 && printed.l > before, "{step}: {printed:?}");
            before = printed.l;
        }
    }

    /// No colour jumps, on any way through hue 0 or grey.
    #[test]
    fn neighbours_stay_neighbours(departure in departures(), colour in colours(), step in -0.1..0.1_f64) {
        for near in [
            Lab { l: colour.l + step, ..colour },
            Lab { a: colour.a + step, ..colour },
            Lab { b: colour.b + step, ..colour },
        ] {
            let after = distance(departure.apply(colour), departure.apply(near));
            // Tone rises tenfold at most, and each other list adds its own.
            prop_assert!(after <= 40.0 * step.abs() + 1e-9, "{colour:?} {step}: {after}");
        }
    }

    #[test]
    fn any_floats_give_a_colour(
        tone in proptest::collection::vec(any::<(f64, f64)>(), 0..90),
        lists in proptest::collection::vec(
            proptest::collection::vec(any::<f64>(), 0..90), 4..=4),
        colour in any::<[f64; 3]>(),
    ) {
        let departure = Departure {
            cast: tone.clone(),
            tone,
            saturation: lists[0].clone(),
            hue: lists[1].clone(),
            depth: lists[2].clone(),
            lift: lists[3].clone(),
        };
        let [l, a, b] = colour;
        for colour in [Lab { l, a, b }, Lab { l: f64::NAN, a: f64::INFINITY, b }] {
            for out in [departure.apply(colour), departure.undo(colour)] {
                prop_assert!(out.l.is_finite() && out.chroma().is_finite(), "{out:?}");
            }
        }
        let _ = departure.checked();
    }
}

#[test]
fn what_no_press_does_is_refused_in_words() {
    let empty = Departure::default;
    for (departure, word) in [
        (
            Departure {
                tone: vec![(0.0, 0.0), (50.0, 40.0), (60.0, 39.0)],
                ..empty()
            },
            "rise",
        ),
        (
            Departure {
                tone: vec![(0.0, 0.0), (50.0, 101.0)],
                ..empty()
            },
            "0 to 100",
        ),
        (
            Departure {
                tone: vec![(10.0, 60.0)],
                ..empty()
            },
            "more than 30",
        ),
        (
            Departure {
                tone: vec![(f64::NAN, 1.0)],
                ..empty()
            },
            "NaN",
        ),
        (
            Departure {
                saturation: vec![1.0, 3.0],
                ..empty()
            },
            "saturation",
        ),
        (
            Departure {
                depth: vec![f64::INFINITY],
                ..empty()
            },
            "depth",
        ),
        (
            Departure {
                hue: vec![31.0],
                ..empty()
            },
            "hue",
        ),
        (
            Departure {
                hue: [20.0, -20.0].repeat(12),
                ..empty()
            },
            "change places",
        ),
        (
            Departure {
                lift: vec![-16.0],
                ..empty()
            },
            "lift",
        ),
        (
            Departure {
                cast: vec![(0.0, 16.0)],
                ..empty()
            },
            "cast",
        ),
        (
            Departure {
                saturation: vec![1.0; 73],
                ..empty()
            },
            "73 values",
        ),
        (
            Departure {
                tone: vec![(0.0, 10.0), (100.0, 80.0)],
                depth: vec![2.0, 0.5],
                lift: vec![15.0],
                saturation: vec![2.0],
                ..empty()
            },
            "darker",
        ),
    ] {
        let shown = format!("{departure:?}");
        let refused = departure.checked().expect_err(&shown).to_string();
        assert!(refused.contains(word), "{shown}: {refused}");
    }
    assert!(empty().checked().unwrap().is_none());
    assert!(!heavy().is_none());
}

#[test]
fn paper_of_another_tint_is_no_departure() {
    let paper = Lab {
        l: 93.0,
        a: 1.0,
        b: 6.0,
    };
    assert!(
        distance(
            paper.relative_to(paper),
            Lab {
                l: 100.0,
                a: 0.0,
                b: 0.0
            }
        ) < 1e-9
    );
    let colour = Lab {
        l: 40.0,
        a: 30.0,
        b: -20.0,
    };
    assert!(distance(colour.relative_to(paper).absolute_on(paper), colour) < 1e-9);
    // The reference library's absolute against its relative intent.
    let press = PressCondition::built_in("coated").unwrap();
    let inks = [[200, 10, 40, 0], [0, 90, 200, 30], [0, 0, 0, 128]];
    let relative = press.lab_of(&inks, PaperView::Adapted).unwrap();
    let absolute = press.lab_of(&inks, PaperView::Shown).unwrap();
    for (one, other) in relative.into_iter().zip(absolute) {
        assert!(
            distance(one.absolute_on(press.paper()), other) < 0.02,
            "{one:?} {other:?}"
        );
    }
}

fn recipe(press: &str, compensation: Compensation, departure: Option<Departure>) -> Recipe {
    Recipe {
        source: Profile::srgb(),
        press: PressCondition::built_in(press).unwrap(),
        intent: Intent::Perceptual,
        ink_limit: InkLimit::from_percent(400.0).unwrap(),
        compensation,
        departure,
    }
}

fn convert(recipe: &Recipe, rgb: &[u8]) -> Vec<[u8; 4]> {
    let mut cmyk = vec![0; rgb.len() / 3 * 4];
    Separation::build(recipe)
        .unwrap()
        .convert_rgb8(rgb, &mut cmyk);
    cmyk.as_chunks::<4>().0.to_vec()
}

/// Mean and 99th of 100.
fn judged(mut off: Vec<f64>) -> (f64, f64) {
    off.sort_by(f64::total_cmp);
    (
        off.iter().sum::<f64>() / off.len() as f64,
        off[off.len() * 99 / 100],
    )
}

#[test]
fn a_table_undoes_nine_tenths_of_a_departure() {
    let rgb = Random::new(3).bytes(90_000);
    let heavy = heavy();
    let usual = Compensation::built_in("usual").unwrap();
    for press in PressCondition::built_in_names() {
        let plain = recipe(press, usual, None);
        let labs = |inks: &[[u8; 4]]| plain.press.lab_of(inks, PaperView::Adapted).unwrap();
        let wanted = labs(&convert(&plain, &rgb));
        let undone = labs(&convert(&recipe(press, usual, Some(heavy.clone())), &rgb));
        let off = |printed: &[Lab]| {
            let each = printed.iter().zip(&wanted);
            judged(
                each.map(|(&lab, &wanted)| delta_e_2000(wanted, heavy.apply(lab)))
                    .collect(),
            )
        };
        let (before, after) = (off(&wanted), off(&undone));
        println!(
            "{press}: mean {:.2} to {:.2}, 99th {:.2} to {:.2}",
            before.0, after.0, before.1, after.1
        );
        assert!(
            before.0 > 4.0 && after.0 < 0.1 * before.0,
            "{press}: {before:?} {after:?}"
        );
        assert!(after.1 < 2.0, "{press}: {after:?}");
    }
}

#[test]
fn a_departure_of_nothing_leaves_every_byte() {
    let rgb = Random::new(4).bytes(90_000);
    let nothing = Departure {
        tone: vec![(0.0, 0.0), (100.0, 100.0)],
        saturation: vec![1.0; 24],
        ..Departure::default()
    };
    for compensation in [Compensation::NONE, Compensation::built_in("usual").unwrap()] {
        let plain = convert(&recipe("coated", compensation, None), &rgb);
        assert_eq!(
            plain,
            convert(&recipe("coated", compensation, Some(nothing.clone())), &rgb)
        );
    }
}

#[test]
fn paper_stays_bare_and_the_limit_holds_on_a_press_that_departs() {
    let mut recipe = recipe("uncoated", Compensation::NONE, Some(heavy()));
    recipe.ink_limit = InkLimit::from_percent(239.9).unwrap();
    let mut rgb = Random::new(8).bytes(300_000);
    rgb.extend([255; 3]);
    let inks = convert(&recipe, &rgb);
    assert_eq!(inks.last(), Some(&[0; 4]));
    for inks in inks {
        let total: u32 = inks.iter().map(|&ink| u32::from(ink)).sum();
        assert!(total <= recipe.ink_limit.byte_sum(), "{inks:?}");
    }
}

#[test]
fn inked_art_is_corrected_too_and_pure_black_stays_pure() {
    let press = PressCondition::built_in("coated").unwrap();
    let heavy = heavy();
    let limit = InkLimit::from_percent(400.0).unwrap();
    let table = Repurpose::build_with(
        &press.profile,
        &press,
        Intent::Relative,
        limit,
        Some(&heavy),
    )
    .unwrap();
    let mut inks = Random::new(9).bytes(40_000);
    for pixel in inks.chunks_exact_mut(4) {
        // Middle tints, whose correction the press has room for.
        pixel[..3].iter_mut().for_each(|ink| *ink = 20 + *ink / 2);
        pixel[3] /= 4;
    }
    let mut corrected = inks.clone();
    table.convert(&mut corrected);
    let labs = |inks: &[u8]| {
        press
            .lab_of(inks.as_chunks::<4>().0, PaperView::Adapted)
            .unwrap()
    };
    let wanted = labs(&inks);
    let off = |printed: Vec<Lab>| {
        let each = printed.into_iter().zip(&wanted);
        judged(
            each.map(|(lab, &wanted)| delta_e_2000(wanted, heavy.apply(lab)))
                .collect(),
        )
    };
    let (before, after) = (off(wanted.clone()), off(labs(&corrected)));
    println!("mean {:.2} to {:.2}", before.0, after.0);
    assert!(after.0 < 0.2 * before.0, "{before:?} {after:?}");

    let mut blacks: Vec<u8> = (0..=255).flat_map(|black| [0, 0, 0, black]).collect();
    table.convert(&mut blacks);
    assert_eq!(
        (&blacks[..4], &blacks[1020..]),
        (&[0; 4][..], &[0, 0, 0, 255][..])
    );
    let wanted = press.lab_of(&[[0, 0, 0, 128]], PaperView::Adapted).unwrap()[0];
    for (level, pixel) in blacks.chunks_exact(4).enumerate() {
        assert_eq!(pixel[..3], [0; 3]);
        if level == 128 {
            let printed = heavy.apply(labs(pixel)[0]);
            assert!((printed.l - wanted.l).abs() < 1.0, "{printed:?} {wanted:?}");
        }
    }
}

#[test]
fn readings_and_the_soft_proof_show_what_the_press_really_prints() {
    let press = PressCondition::built_in("uncoated").unwrap();
    let heavy = heavy();
    let inks = [[120, 40, 60, 10], [0, 150, 200, 0], [0, 0, 0, 128], [0; 4]];
    let readings = Readings::build(&Profile::srgb(), &press, Some(&heavy)).unwrap();
    let promised = press.lab_of(&inks, PaperView::Adapted).unwrap();
    for (paper, inks) in [PaperView::Shown, PaperView::Adapted]
        .into_iter()
        .flat_map(|paper| inks.map(|inks| (paper, inks)))
    {
        let i = [[120, 40, 60, 10], [0, 150, 200, 0], [0, 0, 0, 128], [0; 4]]
            .iter()
            .position(|other| *other == inks)
            .unwrap();
        let mut wanted = heavy.apply(promised[i]);
        if paper == PaperView::Shown {
            wanted = wanted.absolute_on(press.paper());
        }
        assert!(distance(readings.print(inks, paper), wanted) < 1e-3);
        let mut rgb = [0; 3];
        SoftProof::build_with(&press, paper, Some(&heavy))
            .unwrap()
            .convert(&inks, &mut rgb);
        let seen = crate::reference::screen_labs(&rgb)[0];
        assert!(
            delta_e_2000(seen, wanted) < 1.0,
            "{inks:?} {paper:?}: {seen:?} {wanted:?}"
        );
    }
    let art = readings.art(&[1.0, 0.0, 0.0]);
    assert!(distance(art, crate::reference::screen_labs(&[255, 0, 0])[0]) < 0.05);
    readings.art(&[]);
    readings.art(&[f32::NAN, 7.0, -1.0, 0.0]);
    let inked = Readings::build(&press.profile, &press, None).unwrap();
    assert!(
        distance(
            inked.art(&[0.0; 4]),
            Lab {
                l: 100.0,
                a: 0.0,
                b: 0.0
            }
        ) < 0.1
    );
}
