//! What is learned, held against presses whose departure is known.

use std::time::Instant;

use colour::PressCondition;
use proof::PracticePress;
use proof::fit::{Verdict, learn};

use crate::bench_strip::{art, inks, labs, measured, off, strip_of, table};

#[test]
fn scratch() {
    for name in ["coated", "uncoated"] {
        let press = PressCondition::built_in(name).unwrap();
        let plain = table(&press, None);
        let known = art(1, 4000);
        let strip = strip_of(&press, &known, &plain, None);
        let unseen = art(2, 2000);
        let plain_inks = inks(&plain, &unseen);
        let want = labs(&press, &plain_inks);
        for practice in [
            PracticePress::HEAVY,
            PracticePress {
                gain: [6.0; 4],
                ..PracticePress::HEAVY
            },
            PracticePress {
                gain: [10.0; 4],
                ..PracticePress::HEAVY
            },
            PracticePress {
                gain: [10.0, 6.0, 8.0, 7.0],
                ..PracticePress::HEAVY
            },
            PracticePress {
                gain: [14.0, 3.0, 5.0, 6.0],
                chroma: 1.0,
                ..PracticePress::HEAVY
            },
            PracticePress {
                gain: [-6.0; 4],
                chroma: 0.95,
                ..PracticePress::HEAVY
            },
            PracticePress::RIGHT,
            PracticePress {
                noise: 0.5,
                ..PracticePress::RIGHT
            },
            PracticePress {
                noise: 1.5,
                ..PracticePress::RIGHT
            },
            PracticePress {
                noise: 1.0,
                ..PracticePress::HEAVY
            },
        ] {
            let measurement = measured(&strip, &press, &practice);
            let began = Instant::now();
            let verdict = learn(&strip, &measurement, &press).unwrap();
            let took = began.elapsed();
            let before = off(&press, &practice, &plain_inks, &want);
            match verdict {
                Verdict::Enough(lesson) => {
                    let corrected = table(&press, Some(lesson.departure.clone()));
                    let after = off(&press, &practice, &inks(&corrected, &unseen), &want);
                    println!(
                        "{name} {practice:?}: strip {:.2} -> {:.2}; unseen {before:.2} -> {after:.2} ({:.0} %) {took:?} doubtful {:?}",
                        lesson.before.mean,
                        lesson.after.mean,
                        100.0 * (1.0 - after / before),
                        lesson.doubtful
                    );
                }
                Verdict::Right { why, .. } => {
                    println!("{name} {practice:?}: RIGHT {before:.2} {why} {took:?}")
                }
                Verdict::NotEnough { why, .. } => {
                    println!("{name} {practice:?}: NOT {before:.2} {why} {took:?}")
                }
            }
        }
    }
}
