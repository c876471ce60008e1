//! Published tolerances, and what they are held against.

use colour::{Lab, PressCondition};
use proof::tolerance::{Item, Status, judge, published};
use proof::{Measurement, PatchKind, PracticePress};

use crate::bench_strip::{art, measured, strip_of, table};

/// The rows of the table of sources; its first line says where they come from.
fn rows() -> Vec<Vec<String>> {
    include_str!("../tables/proof_tolerances_tac.csv")
        .lines()
        .map(|line| {
            let mut cells = vec![String::new()];
            let mut quoted = false;
            for c in line.chars() {
                match c {
                    '"' => quoted = !quoted,
                    ',' if !quoted => cells.push(String::new()),
                    c => cells.last_mut().unwrap().push(c),
                }
            }
            cells
        })
        .collect()
}

#[test]
fn limits_are_those_of_the_table_of_sources() {
    let limit = |item| published().into_iter().find(|l| l.item == item).unwrap();
    for (cell, item) in [
        ("all control strip patches, mean", Item::Mean),
        ("95th percentile (full chart)", Item::Percentile95),
        ("all control strip patches, max", Item::Most),
        ("paper simulation", Item::Paper),
        ("CMYK solids", Item::Solids),
        ("CMY solids hue", Item::SolidsHue),
    ] {
        let row = rows()
            .into_iter()
            .find(|row| row[0] == "12647-7:2016" && row.get(1).is_some_and(|name| name == cell))
            .unwrap();
        assert_eq!(limit(item).most, row[2].parse::<f64>().unwrap(), "{cell}");
        assert_eq!(
            limit(item).status == Status::Memory,
            row[4] == "MEMORY",
            "{cell}"
        );
    }
    let greys = rows()
        .into_iter()
        .find(|row| row.get(1).is_some_and(|name| name == "CMY grey patches"))
        .unwrap();
    let found = (limit(Item::GreyMean).most, limit(Item::GreyMost).most);
    assert_eq!(greys[2], format!("mean {:.1}, max {:.1}", found.0, found.1));
}

#[test]
fn a_press_that_is_right_keeps_all_limits_and_a_heavy_one_breaks_the_mean() {
    let press = PressCondition::built_in("coated").unwrap();
    let strip = strip_of(&press, &art(1, 2000), &table(&press, None), None);
    let right = measured(&strip, &press, &PracticePress::RIGHT);
    let judged = judge(&strip, &right, &published());
    assert_eq!(judged.len(), published().len());
    assert!(
        judged
            .iter()
            .all(|judged| judged.holds && judged.found < 0.01)
    );

    let heavy = measured(&strip, &press, &PracticePress::HEAVY);
    let judged = judge(&strip, &heavy, &published());
    let mean = judged.iter().find(|j| j.limit.item == Item::Mean).unwrap();
    assert!(!mean.holds && mean.found > 2.5, "{mean:?}");
    let paper = judged.iter().find(|j| j.limit.item == Item::Paper).unwrap();
    assert!(paper.holds, "{paper:?}");
}

#[test]
fn hue_and_greys_are_told_from_lightness() {
    let press = PressCondition::built_in("coated").unwrap();
    let strip = strip_of(&press, &art(1, 2000), &table(&press, None), None);
    let mut measurement = measured(&strip, &press, &PracticePress::RIGHT);
    for reading in &mut measurement.readings {
        match strip.patches[reading.patch].kind {
            // Darker and of more chroma, but of the same hue.
            PatchKind::Solid => {
                let Lab { l, a, b } = reading.lab;
                reading.lab = Lab {
                    l: l - 5.0,
                    a: a * 1.1,
                    b: b * 1.1,
                };
            }
            PatchKind::ArtGrey => {
                reading.lab.l -= 5.0;
                reading.lab.a += 1.5;
            }
            _ => {}
        }
    }
    let judged = judge(&strip, &measurement, &published());
    let found = |item| judged.iter().find(|j| j.limit.item == item).unwrap().found;
    assert!(found(Item::SolidsHue) < 0.01);
    assert!(found(Item::Solids) > 3.0);
    assert!((found(Item::GreyMean) - 1.5).abs() < 0.01);
    assert!((found(Item::GreyMost) - 1.5).abs() < 0.01);
}

#[test]
fn what_was_not_measured_is_not_judged() {
    let press = PressCondition::built_in("coated").unwrap();
    let strip = strip_of(&press, &art(1, 500), &table(&press, None), None);
    let none = Measurement::of_scan(&strip, None, &[]);
    assert!(judge(&strip, &none, &published()).is_empty());
}

#[test]
fn practice_says_that_it_is_practice_and_repeats_itself() {
    let press = PressCondition::built_in("coated").unwrap();
    let strip = strip_of(&press, &art(1, 500), &table(&press, None), None);
    let mark = crate::bench_strip::mark();
    let text = PracticePress::HEAVY.measure(&press, &strip, &mark).unwrap();
    assert!(text.contains("simulated, no paper was printed"));
    assert_eq!(
        text,
        PracticePress::HEAVY.measure(&press, &strip, &mark).unwrap()
    );
    let other = PracticePress {
        seed: 2,
        ..PracticePress::HEAVY
    };
    assert_ne!(text, other.measure(&press, &strip, &mark).unwrap());
}
