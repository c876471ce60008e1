//! A strip as a book would have it, without a book.

use colour::{
    Compensation, Departure, Intent, Lab, PaperView, PressCondition, Profile, Recipe, Separation,
    delta_e_2000,
};
use proof::{Mark, Measurement, PracticePress, Sample, Strip, StripTables, cgats, choose};

/// The same random numbers at every run.
pub struct Random(u64);

impl Random {
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// SplitMix64, after Steele, Lea and Flood 2014.
    pub fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Evenly from 0 to 1.
    pub fn even(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// From about −1 to 1, mostly near 0.
    pub fn middling(&mut self) -> f64 {
        (0..4).map(|_| self.even()).sum::<f64>() / 2.0 - 1.0
    }
}

/// Colours of invented art: of every lightness, mostly of middling saturation, some vivid.
pub fn art(seed: u64, count: usize) -> Vec<[u16; 3]> {
    let mut random = Random::new(seed);
    (0..count)
        .map(|_| {
            let light = random.even();
            let vivid = if random.even() < 0.3 { 0.9 } else { 0.35 };
            [0; 3].map(|_| {
                let channel: f64 = light + vivid * random.middling();
                (channel.clamp(0.0, 1.0) * 65535.0) as u16
            })
        })
        .collect()
}

pub fn table(press: &PressCondition, departure: Option<Departure>) -> Separation {
    Separation::build(&Recipe {
        source: Profile::srgb(),
        press: press.clone(),
        intent: Intent::Relative,
        ink_limit: press.ink_limit,
        compensation: Compensation::NONE,
        departure,
    })
    .unwrap()
}

pub fn inks(table: &Separation, art: &[[u16; 3]]) -> Vec<[u8; 4]> {
    let mut inks = vec![0; art.len() * 4];
    table.convert_rgb16(art.as_flattened(), &mut inks);
    inks.chunks_exact(4)
        .map(|ink| [ink[0], ink[1], ink[2], ink[3]])
        .collect()
}

pub fn labs(press: &PressCondition, inks: &[[u8; 4]]) -> Vec<Lab> {
    press.lab_of(inks, PaperView::Shown).unwrap()
}

pub fn strip_of(
    press: &PressCondition,
    art: &[[u16; 3]],
    printed: &Separation,
    unlearned: Option<&Separation>,
) -> Strip {
    let white = press.paper();
    let samples: Vec<Sample> = art
        .iter()
        .zip(labs(press, &inks(printed, art)))
        .map(|(&rgb, lab)| Sample {
            rgb,
            lab: lab.relative_to(white),
            weight: 1.0,
            pull: 1.0,
        })
        .collect();
    let colours = choose(&samples, Strip::COLOURS);
    Strip::build(
        1,
        &colours,
        StripTables {
            press,
            ink_limit: press.ink_limit,
            printed,
            unlearned,
        },
    )
    .unwrap()
}

pub fn mark() -> Mark {
    Mark {
        page: None,
        file: "0a1b2c3d".into(),
        version: 1,
    }
}

pub fn measured(strip: &Strip, press: &PressCondition, practice: &PracticePress) -> Measurement {
    let text = practice.measure(press, strip, &mark()).unwrap();
    Measurement::match_to(strip, &mark(), &cgats::read(&text).unwrap()).unwrap()
}

/// Mean ΔE00 between what is intended and what a practice press prints, without its noise.
pub fn off(
    press: &PressCondition,
    practice: &PracticePress,
    inks: &[[u8; 4]],
    want: &[Lab],
) -> f64 {
    let quiet = PracticePress {
        noise: 0.0,
        ..*practice
    };
    let printed = quiet.print(press, inks).unwrap();
    let sum: f64 = printed
        .iter()
        .zip(want)
        .map(|(one, other)| delta_e_2000(*one, *other))
        .sum();
    sum / want.len() as f64
}
