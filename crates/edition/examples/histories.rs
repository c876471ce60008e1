//! Times 100,000 histories of a calendar of forty steps on one core.

use std::time::Instant;

use edition::dates::{Again, Asked, Histories, Schedule, Spread, Step, WorkCalendar};
use jiff::civil::date;

fn main() {
    let steps: Vec<Step> = (0..40_usize)
        .map(|place| Step {
            key: format!("s{place}"),
            name: String::new(),
            after: [1, 3, 7]
                .into_iter()
                .filter_map(|back| place.checked_sub(back))
                .map(|before| format!("s{before}"))
                .collect(),
            calendar: if place % 3 == 0 { "carrier" } else { "printer" }.to_owned(),
            takes: Spread::ThreePoint {
                least: 1.0,
                likely: 3.0,
                most: 9.0,
            },
            again: (place % 8 == 0).then_some(Again {
                chance: 0.3,
                takes: Spread::Lognormal {
                    median: 5.0,
                    p95: 12.0,
                },
                at_most: 3,
            }),
            happened: None,
        })
        .collect();
    let calendars = vec![
        WorkCalendar::weekdays("printer"),
        WorkCalendar::every_day("carrier"),
    ];
    let schedule = Schedule::new(steps, calendars).expect("these steps are sound");
    let today = date(2026, 11, 25);
    let asked = Asked {
        today,
        begin: today,
        seed: 1,
        histories: 100_000,
    };
    let one = rayon::ThreadPoolBuilder::new()
        .num_threads(1)
        .build()
        .expect("one thread can be had");
    one.install(|| {
        let begun = Instant::now();
        let histories = Histories::of(&schedule, asked).expect("these dates can be foretold");
        let took = begun.elapsed().as_secs_f64();
        println!(
            "100000 histories of 40 steps on one core: {took:.3} s, half done by {}",
            histories.ends.by(0.5)
        );
        let begun = Instant::now();
        let launch = histories.ends.by(0.9);
        let last = Histories::last_day(&schedule, asked, launch, 0.8);
        println!(
            "last day for {launch}: {last:?} in {:.3} s",
            begun.elapsed().as_secs_f64()
        );
    });
}
