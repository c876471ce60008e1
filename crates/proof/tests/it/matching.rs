//! Which line of a measurement is which patch.

use colour::PressCondition;
use proof::cgats::{Cgats, read};
use proof::{Mark, Matched, Measurement, PracticePress, ProofError, Strip};
use proptest::prelude::*;

use crate::bench_strip::{Random, art, mark, strip_of, table};

fn strip() -> Strip {
    let press = PressCondition::built_in("coated").unwrap();
    let table = table(&press, None);
    strip_of(&press, &art(1, 2000), &table, None)
}

/// A heavy press's measurement of the strip, as read.
fn cgats(strip: &Strip) -> Cgats {
    let press = PressCondition::built_in("coated").unwrap();
    let text = PracticePress::HEAVY
        .measure(&press, strip, &mark())
        .unwrap();
    read(&text).unwrap()
}

fn bare(mut cgats: Cgats) -> Cgats {
    cgats.keywords.clear();
    for (i, row) in cgats.rows.iter_mut().enumerate() {
        row.id = Some(format!("{}", i + 1));
        row.ink = None;
    }
    cgats
}

fn refusal(strip: &Strip, cgats: &Cgats) -> String {
    match Measurement::match_to(strip, &mark(), cgats) {
        Err(ProofError::OtherStrip(why)) => why,
        other => panic!("{other:?}"),
    }
}

fn shuffled(mut cgats: Cgats, seed: u64) -> Cgats {
    let mut random = Random::new(seed);
    for i in (1..cgats.rows.len()).rev() {
        cgats
            .rows
            .swap(i, (random.next() % (i as u64 + 1)) as usize);
    }
    cgats
}

#[test]
fn names_find_their_patches_in_any_order_and_what_lacks_is_listed() {
    let strip = strip();
    let whole = cgats(&strip);
    let right = Measurement::match_to(&strip, &mark(), &whole).unwrap();
    assert_eq!(right.matched, Matched::Names);
    assert!(right.missing.is_empty() && right.remarks.is_empty());
    assert_eq!(right.mark, Some(mark()));

    let mut other = shuffled(whole, 3);
    other.rows.retain(|row| row.id.as_deref() != Some("B3"));
    for row in &mut other.rows {
        // Instruments write names in their own ways.
        row.id = row
            .id
            .as_ref()
            .map(|id| format!("{}0{}", id[..1].to_lowercase(), &id[1..]));
    }
    let found = Measurement::match_to(&strip, &mark(), &other).unwrap();
    assert_eq!(found.missing, [14]);
    for reading in &found.readings {
        assert_eq!(right.lab_of(reading.patch), Some(reading.lab));
    }
}

#[test]
fn inks_do_where_names_are_other_peoples() {
    let strip = strip();
    let whole = cgats(&strip);
    let mut numbered = shuffled(whole.clone(), 4);
    for (i, row) in numbered.rows.iter_mut().enumerate() {
        row.id = Some(format!("{i}"));
    }
    let right = Measurement::match_to(&strip, &mark(), &whole).unwrap();
    let found = Measurement::match_to(&strip, &mark(), &numbered).unwrap();
    assert_eq!(found.matched, Matched::Inks);
    assert!(found.missing.is_empty());
    for reading in &found.readings {
        let ink = strip.patches[reading.patch].ink;
        // The two papers may be taken for each other; nothing else.
        assert!(ink == [0; 4] || right.lab_of(reading.patch) == Some(reading.lab));
    }
}

#[test]
fn plain_order_is_believed_only_where_colours_agree() {
    let strip = strip();
    let plain = bare(cgats(&strip));
    let found = Measurement::match_to(&strip, &mark(), &plain).unwrap();
    assert_eq!(found.matched, Matched::Order);
    assert_eq!(found.remarks.len(), 1);

    let mut turned = plain.clone();
    turned.rows.reverse();
    let back = Measurement::match_to(&strip, &mark(), &turned).unwrap();
    assert_eq!(back.readings, found.readings);
    assert!(
        back.remarks
            .iter()
            .any(|remark| remark.contains("backwards"))
    );

    assert!(refusal(&strip, &shuffled(plain.clone(), 5)).contains("another order"));
    let mut swapped = plain.clone();
    swapped.rows.swap(1, 2);
    assert!(refusal(&strip, &swapped).contains("A2 and A3 are exchanged"));
    let mut shifted = plain.clone();
    shifted.rows.rotate_left(1);
    refusal(&strip, &shifted);
    let mut short = plain;
    short.rows.pop();
    assert!(refusal(&strip, &short).contains("48 patches and the file 47 lines"));
}

#[test]
fn another_strip_is_refused() {
    let strip = strip();
    let whole = cgats(&strip);
    for (other, said) in [
        (
            Mark {
                version: 2,
                ..mark()
            },
            "version 2 of the strip",
        ),
        (
            Mark {
                file: "ffffffff".into(),
                ..mark()
            },
            "of the file ffffffff",
        ),
    ] {
        let mut cgats = whole.clone();
        cgats.keywords = vec![("FOREDGE_MARK".into(), other.text())];
        assert!(refusal(&strip, &cgats).contains(said));
    }
    let mut garbled = whole.clone();
    garbled.keywords = vec![("FOREDGE_MARK".into(), "FOREDGE/1".into())];
    let refused = Measurement::match_to(&strip, &mark(), &garbled);
    assert!(matches!(refused, Err(ProofError::Mark(_))));

    let mut renamed = whole.clone();
    renamed.rows.swap(1, 2);
    renamed.rows[1].id = Some("A2".into());
    renamed.rows[2].id = Some("A3".into());
    assert!(refusal(&strip, &renamed).contains("other ink here"));

    let mut foreign = whole;
    for (i, row) in foreign.rows.iter_mut().enumerate() {
        row.id = Some(format!("{i}"));
        row.ink = Some([3.0 + i as f64, 50.0, 7.0, 0.0]);
    }
    assert!(refusal(&strip, &foreign).contains("are on this strip"));
}

#[test]
fn another_page_is_refused_only_where_one_is_expected() {
    let strip = strip();
    let mut cgats = cgats(&strip);
    let on = |page| Mark { page, ..mark() };
    cgats.keywords = vec![("FOREDGE_MARK".into(), on(Some(4)).text())];
    assert!(Measurement::match_to(&strip, &on(None), &cgats).is_ok());
    assert!(Measurement::match_to(&strip, &on(Some(4)), &cgats).is_ok());
    let refused = Measurement::match_to(&strip, &on(Some(6)), &cgats).unwrap_err();
    assert!(
        refused.to_string().contains("page 4, and this is page 6"),
        "{refused}"
    );
}

#[test]
fn a_patch_measured_twice_gives_the_mean_or_is_refused() {
    let strip = strip();
    let mut cgats = cgats(&strip);
    let mut again = cgats.rows[5].clone();
    again.lab.l += 1.0;
    let one = cgats.rows[5].lab.l;
    cgats.rows.push(again);
    let found = Measurement::match_to(&strip, &mark(), &cgats).unwrap();
    assert!((found.lab_of(5).unwrap().l - one - 0.5).abs() < 1e-9);
    assert_eq!(
        found.remarks,
        ["The patch A6 was measured 2 times; the mean was taken."]
    );

    cgats.rows.last_mut().unwrap().lab.l += 40.0;
    let refused = Measurement::match_to(&strip, &mark(), &cgats).unwrap_err();
    assert!(
        refused.to_string().contains("A6 is measured 2 times"),
        "{refused}"
    );
}

#[test]
fn a_scan_keeps_each_patch_once() {
    let strip = strip();
    let lab = strip.paper();
    let seen = [
        (3, lab, 0.5),
        (0, lab, 0.2),
        (3, lab, 9.0),
        (4000, lab, 0.1),
    ];
    let found = Measurement::of_scan(&strip, None, &seen);
    let patches: Vec<usize> = found.readings.iter().map(|reading| reading.patch).collect();
    assert_eq!(patches, [0, 3]);
    assert_eq!(found.readings[1].spread, Some(0.5));
    assert_eq!(found.missing.len(), strip.patches.len() - 2);
}

#[test]
fn three_lines_that_changed_places_in_a_ring_are_noticed() {
    let strip = strip();
    let plain = bare(cgats(&strip));
    let count = plain.rows.len();
    for one in 0..count {
        for step in [1, 5, 11] {
            let mut other = plain.clone();
            let (two, three) = ((one + step) % count, (one + 3 * step) % count);
            other.rows.swap(one, two);
            other.rows.swap(two, three);
            if let Ok(found) = Measurement::match_to(&strip, &mark(), &other) {
                for reading in &found.readings {
                    let own = plain.rows[reading.patch].lab;
                    let off = colour::delta_e_2000(own, reading.lab);
                    // What is noticed is a gain of 15 over a place that may itself be off by some.
                    assert!(off < 24.0, "{one} {two} {three}: {off}");
                }
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn shuffled_plain_lines_are_never_read_as_another_patch(seed in any::<u64>(), swaps in 1..6_usize) {
        thread_local!(static STRIP: (Strip, Cgats) = {
            let strip = strip();
            let cgats = bare(cgats(&strip));
            (strip, cgats)
        });
        STRIP.with(|(strip, plain)| {
            let right = Measurement::match_to(strip, &mark(), plain).unwrap();
            let mut other = plain.clone();
            let mut random = Random::new(seed);
            for _ in 0..swaps {
                let count = other.rows.len() as u64;
                other.rows.swap((random.next() % count) as usize, (random.next() % count) as usize);
            }
            if let Ok(found) = Measurement::match_to(strip, &mark(), &other) {
                // What passes was hardly changed: colours that look alike changed places.
                for reading in &found.readings {
                    let own = right.lab_of(reading.patch).unwrap();
                    let off = colour::delta_e_2000(own, reading.lab);
                    prop_assert!(off < 16.0, "{off}");
                }
            }
            Ok(())
        })?;
    }
}
