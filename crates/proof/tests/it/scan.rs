//! Strips read from scans whose true colours are known.

use std::sync::OnceLock;

use art::Picture;
use colour::{
    Compensation, InkLimit, Intent, Lab, PressCondition, Profile, Recipe, Separation, delta_e_2000,
};
use measure::Length;
use proof::scan::{self, ColourFrom, ScanError, ScanReading, Wanted};
use proof::{Chosen, Mark, PracticePress, Strip, StripLayout, StripTables};

use crate::scan_simulated::Scene;

/// A strip of two dozen colours on the coated condition, and what two presses print of it.
pub struct Bench {
    pub strip: Strip,
    pub layout: StripLayout,
    pub mark: Mark,
    pub right: Vec<Lab>,
    pub heavy: Vec<Lab>,
}

pub fn bench() -> &'static Bench {
    static BENCH: OnceLock<Bench> = OnceLock::new();
    BENCH.get_or_init(|| {
        let press = PressCondition::built_in("coated").unwrap();
        let ink_limit = InkLimit::from_percent(300.0).unwrap();
        let printed = Separation::build(&Recipe {
            source: Profile::srgb(),
            press: press.clone(),
            intent: Intent::Relative,
            ink_limit,
            compensation: Compensation::NONE,
            departure: None,
        })
        .unwrap();
        let colours: Vec<Chosen> = (0..24_u32)
            .map(|i| {
                let word = |step: u32| ((i * step % 24) * 2700 + 2000) as u16;
                let rgb = [word(1), word(7), word(11)];
                let device = rgb.map(|word| f32::from(word) / 65535.0);
                let lab = Profile::srgb().lab_of(&[device]).unwrap()[0];
                Chosen {
                    rgb,
                    lab,
                    share: 1.0 / 24.0,
                    pull: 1.0,
                }
            })
            .collect();
        let strip = Strip::build(
            3,
            &colours,
            StripTables {
                press: &press,
                ink_limit,
                printed: &printed,
                unlearned: None,
            },
        )
        .unwrap();
        let layout = StripLayout::of(&strip, Length::from_mm(206.0));
        let inks: Vec<[u8; 4]> = strip.patches.iter().map(|patch| patch.ink).collect();
        Bench {
            right: PracticePress::RIGHT.print(&press, &inks).unwrap(),
            heavy: PracticePress::HEAVY.print(&press, &inks).unwrap(),
            layout,
            mark: Mark {
                page: Some(12),
                file: "0a1b2c3d".into(),
                version: 3,
            },
            strip,
        }
    })
}

impl Bench {
    fn read(&self, picture: &Picture) -> Result<ScanReading, ScanError> {
        let wanted = Wanted {
            strip: &self.strip,
            layout: &self.layout,
            mark: &self.mark,
        };
        scan::read(picture, wanted, None)
    }
}

/// Mean and greatest ΔE00 against the truth.
fn errors(reading: &ScanReading, truth: &[Lab]) -> (f64, f64) {
    let all: Vec<f64> = reading
        .seen
        .iter()
        .map(|&(at, lab, _)| delta_e_2000(lab, truth[at]))
        .collect();
    (
        all.iter().sum::<f64>() / all.len() as f64,
        all.iter().fold(0.0, |most, error| error.max(most)),
    )
}

#[test]
fn look() {
    let bench = bench();
    let plain = Scene::plain(&bench.layout);
    let usual = Scene::usual(&bench.layout);
    for (name, scene) in [
        ("plain", plain.clone()),
        ("usual", usual.clone()),
        ("tilt 3", Scene { turn: 3.0, ..usual.clone() }),
        ("tilt -3", Scene { turn: -3.0, glass: (230.0, 70.0), ..usual.clone() }),
        ("perspective", Scene { perspective: 0.02, ..usual.clone() }),
        ("gamma 0.8", Scene { exponent: 0.8, ..usual.clone() }),
        ("gamma 1.25", Scene { exponent: 1.25, ..usual.clone() }),
        ("mixing 0.1", Scene { mixing: 0.1, ..usual.clone() }),
        ("150 ppi", Scene { ppi: 150.0, ..usual.clone() }),
        ("dust", Scene { dust: 60, ..usual.clone() }),
        ("180", Scene { turn: 180.0, ..usual.clone() }),
    ] {
        for (press, truth) in [("right", &bench.right), ("heavy", &bench.heavy)] {
            let picture = scene.scan(&bench.strip, &bench.layout, &bench.mark, truth);
            let start = std::time::Instant::now();
            match bench.read(&picture) {
                Ok(reading) => {
                    let (mean, most) = errors(&reading, truth);
                    println!(
                        "{name} {press}: mean {mean:.2} most {most:.2} missing {:?} turned {:.2} ppi {:.1} {:?} {:?}\n   {:?}",
                        reading.missing, reading.turned, reading.ppi, reading.colour, start.elapsed(), reading.remarks.len()
                    );
                }
                Err(error) => println!("{name} {press}: {error}"),
            }
        }
    }
}
