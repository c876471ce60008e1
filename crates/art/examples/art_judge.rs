//! Judges pictures against the built-in coated condition: one JSON line a file, then one line of
//! near-duplicates.
//!
//! `art_judge [--mm WIDTH HEIGHT] FILE…`; with `--mm` every picture is judged as if it filled a
//! frame of that size.

use std::collections::HashMap;
use std::time::Instant;

use art::{Judgement, Limits, Use, decode, judge, near_duplicates};
use colour::{InkLimit, Intent, PressCondition, Profile, Reach, Recipe, Separation};
use finding::{Finding, Place};
use measure::Size;

fn main() {
    let mut on_paper = None;
    let mut files = Vec::new();
    let mut arguments = std::env::args().skip(1);
    let number = |text: Option<String>| -> f64 {
        text.and_then(|text| text.parse().ok())
            .expect("--mm is followed by two numbers")
    };
    while let Some(argument) = arguments.next() {
        if argument == "--mm" {
            let width = number(arguments.next());
            on_paper = Some(Size::from_mm(width, number(arguments.next())));
        } else {
            files.push(argument);
        }
    }
    let press = PressCondition::built_in("coated").expect("the condition is built in");
    let mut reaches: HashMap<Vec<u8>, Reach> = HashMap::new();
    let mut judged: Vec<Judgement> = Vec::new();
    for file in &files {
        let bytes = std::fs::read(file).expect("the file can be read");
        let picture = match decode(&bytes, &Limits::default()) {
            Ok(picture) => picture,
            Err(error) => {
                println!(
                    "{}",
                    serde_json::json!({"file": file, "error": error.to_string()})
                );
                continue;
            }
        };
        let source = match &picture.profile {
            Some(profile) if profile.space() != colour::Space::Cmyk => profile.clone(),
            _ => Profile::srgb(),
        };
        let reach = reaches
            .entry(source.bytes().to_vec())
            .or_insert_with(|| build(&press, source));
        let start = Instant::now();
        let judgement = judge(
            &picture,
            reach,
            &Use {
                piece: file,
                on_paper,
                accept_low_resolution: false,
            },
        );
        println!(
            "{}",
            serde_json::json!({
                "file": file,
                "judge_ms": start.elapsed().as_secs_f64() * 1e3,
                "ppi": judgement.ppi,
                "out_of_reach": judgement.out_of_reach,
                "out_of_reach_by": judgement.out_of_reach_by,
                "shadow_fills": judgement.shadow_fills,
                "ink_most": judgement.ink_most,
                "findings": judgement.findings.iter().map(json).collect::<Vec<_>>(),
            })
        );
        judged.push(judgement);
    }
    let start = Instant::now();
    let pairs: Vec<_> = near_duplicates(&judged).iter().map(json).collect();
    println!(
        "{}",
        serde_json::json!({
            "near_duplicates": pairs,
            "compare_ms": start.elapsed().as_secs_f64() * 1e3,
        })
    );
}

fn build(press: &PressCondition, source: Profile) -> Reach {
    let recipe = Recipe {
        source,
        press: press.clone(),
        intent: Intent::Relative,
        ink_limit: InkLimit::from_percent(300.0).expect("300 percent is a limit"),
        compensation: colour::Compensation::NONE,
        departure: None,
    };
    let separation = Separation::build(&recipe).expect("the condition is built in");
    Reach::build(&recipe, &separation).expect("the condition is built in")
}

fn json(finding: &Finding) -> serde_json::Value {
    let piece = match &finding.place {
        Place::Piece(name) => name.as_str(),
        _ => "",
    };
    serde_json::json!({
        "code": finding.code, "severity": finding.severity.word(), "piece": piece,
        "message": finding.message, "hint": finding.hint,
        "measured": finding.measured, "required": finding.required,
    })
}
