//! The crate as a filter, for checks from outside.
//!
//! `rows FILE`: what is read of a measurement, a line a patch: C M Y K in percent, L* a* b*.
//! `strip CONDITION`: the patches of a strip and art that it has not seen: what it is, name, inks in
//! percent, intended L* a* b*.
//! `learn CONDITION FILE`: errors, the verdict, and the inks of the unseen art after the correction.

use std::process::ExitCode;

use colour::PressCondition;
use proof::fit::{PatchError, Verdict, learn};
use proof::{Measurement, Strip, cgats};

#[path = "../tests/it/bench_strip.rs"]
#[expect(dead_code, reason = "the tests use more of it than this filter")]
mod bench_strip;

use bench_strip::{art, inks, labs, mark, strip_of, table};

type Outcome = Result<(), Box<dyn std::error::Error>>;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let done = match words[..] {
        ["rows", file] => rows(file),
        ["strip", condition] => strip(condition),
        ["learn", condition, file] => learned(condition, file),
        _ => Err("expected `rows FILE`, `strip CONDITION` or `learn CONDITION FILE`".into()),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{error}");
            ExitCode::from(2)
        }
    }
}

fn read(file: &str) -> Result<cgats::Cgats, Box<dyn std::error::Error>> {
    let bytes = std::fs::read(file)?;
    Ok(cgats::read(&String::from_utf8_lossy(&bytes))?)
}

fn rows(file: &str) -> Outcome {
    for row in read(file)?.rows {
        let [c, m, y, k] = row.ink.ok_or("a line has no inks")?;
        let lab = row.lab;
        println!("{c} {m} {y} {k} {:.4} {:.4} {:.4}", lab.l, lab.a, lab.b);
    }
    Ok(())
}

/// A press condition, its strip and art that the strip has not seen.
struct Bench {
    press: PressCondition,
    strip: Strip,
    unseen: Vec<[u16; 3]>,
}

fn bench(condition: &str) -> Result<Bench, Box<dyn std::error::Error>> {
    let press = PressCondition::built_in(condition).ok_or("no such condition")?;
    let strip = strip_of(&press, &art(1, 4000), &table(&press, None), None);
    Ok(Bench {
        press,
        strip,
        unseen: art(2, 1500),
    })
}

fn strip(condition: &str) -> Outcome {
    let bench = bench(condition)?;
    let line = |what: &str, name: &str, ink: [u8; 4], lab: colour::Lab| {
        let [c, m, y, k] = ink.map(|byte| f64::from(byte) / 2.55);
        println!(
            "{what} {name} {c:.4} {m:.4} {y:.4} {k:.4} {:.4} {:.4} {:.4}",
            lab.l, lab.a, lab.b
        );
    };
    for patch in &bench.strip.patches {
        let what = if patch.art.is_some() {
            "art"
        } else {
            "control"
        };
        line(what, &patch.name, patch.ink, patch.intended);
    }
    let unseen = inks(&table(&bench.press, None), &bench.unseen);
    for (ink, lab) in unseen.iter().zip(labs(&bench.press, &unseen)) {
        line("unseen", "-", *ink, lab);
    }
    Ok(())
}

fn learned(condition: &str, file: &str) -> Outcome {
    let bench = bench(condition)?;
    let measurement = Measurement::match_to(&bench.strip, &mark(), &read(file)?)?;
    let errors = |patches: &[PatchError]| {
        for error in patches {
            let name = &bench.strip.patches[error.patch].name;
            println!("error {name} {:.6}", error.before);
        }
    };
    match learn(&bench.strip, &measurement, &bench.press)? {
        Verdict::Enough(lesson) => {
            errors(&lesson.patches);
            for (name, all) in [("before", lesson.before), ("after", lesson.after)] {
                println!(
                    "{name} {:.6} {:.6} {:.6}",
                    all.mean, all.percentile95, all.most
                );
            }
            println!("verdict enough");
            let corrected = table(&bench.press, Some(lesson.departure));
            for ink in inks(&corrected, &bench.unseen) {
                let [c, m, y, k] = ink.map(|byte| f64::from(byte) / 2.55);
                println!("corrected {c:.4} {m:.4} {y:.4} {k:.4}");
            }
        }
        Verdict::Right { why, patches, .. } => {
            errors(&patches);
            println!("verdict right {why}");
        }
        Verdict::NotEnough { why, patches } => {
            errors(&patches);
            println!("verdict not-enough {why}");
        }
    }
    Ok(())
}
