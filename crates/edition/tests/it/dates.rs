//! Calendars, networks and histories.

use std::collections::BTreeMap;

use book::{Carriage, Whose};
use edition::dates::usual::{self, Making};
use edition::dates::{
    Again, Asked, At, Closure, DatesError, Facts, Foretold, Happened, Histories, LastDay, Payment,
    Pert, Rests, Schedule, Spread, Step, WorkCalendar,
};
use jiff::civil::{Date, date};
use measure::Money;
use proptest::prelude::*;
use statrs::distribution::{Beta, ContinuousCDF, LogNormal};

const TODAY: Date = date(2026, 11, 25);

fn step(key: &str, after: &[&str], takes: Spread) -> Step {
    Step {
        key: key.to_owned(),
        name: key.to_owned(),
        after: after.iter().map(|key| (*key).to_owned()).collect(),
        calendar: "days".to_owned(),
        takes,
        again: None,
        happened: None,
    }
}

fn three(least: f64, likely: f64, most: f64) -> Spread {
    Spread::ThreePoint {
        least,
        likely,
        most,
    }
}

fn schedule(steps: Vec<Step>) -> Schedule {
    Schedule::new(steps, vec![WorkCalendar::every_day("days")]).unwrap()
}

fn asked(histories: u32) -> Asked {
    Asked {
        today: TODAY,
        begin: TODAY,
        seed: 7,
        histories,
    }
}

fn usual_schedule(making: Making) -> Schedule {
    let shop = || WorkCalendar::weekdays(Whose::Printer.word());
    let closed = shop()
        .closed(Closure {
            name: "new year".to_owned(),
            from: date(2026, 12, 24),
            to: date(2027, 1, 3),
        })
        .unwrap();
    let calendars = vec![
        closed,
        WorkCalendar::every_day(Whose::Artist.word()),
        WorkCalendar::every_day(Whose::Carrier.word()),
        WorkCalendar::weekdays(Whose::Home.word()),
    ];
    Schedule::new(usual::steps(making), calendars).unwrap()
}

const MAKING: Making = Making {
    sewn: true,
    case: true,
    finished: true,
    overseas: true,
    carriage: Carriage::Sea,
    copies: 1000,
};

/// Every network of the table, each figure as published or recomputed there. Source: line 1 of
/// `tables/pert_cpm_networks.csv`.
#[test]
fn networks_are_reckoned_as_published() {
    let mut networks: BTreeMap<String, Vec<Vec<String>>> = BTreeMap::new();
    for line in include_str!("../tables/pert_cpm_networks.csv")
        .lines()
        .skip(2)
    {
        let cells: Vec<String> = line.split(',').map(str::to_owned).collect();
        if cells[1].starts_with('"') || cells[1].starts_with("P(") {
            continue;
        }
        networks.entry(cells[0].clone()).or_default().push(cells);
    }
    assert!(networks.len() >= 5, "{}", networks.len());
    for (name, rows) in networks {
        let number = |cell: &String| cell.parse::<f64>().ok();
        let (total, rows): (Vec<_>, Vec<_>) = rows.into_iter().partition(|row| row[1] == "TOTAL");
        let steps = rows
            .iter()
            .map(|row| {
                let after: Vec<&str> = row[2].split_whitespace().collect();
                let takes = match number(&row[3]) {
                    Some(least) => three(least, number(&row[4]).unwrap(), number(&row[5]).unwrap()),
                    None => Spread::Fixed(number(&row[6]).unwrap()),
                };
                step(&row[1], &after, takes)
            })
            .collect();
        let pert = Pert::of(&schedule(steps));
        for (row, found) in rows.iter().zip(&pert.steps) {
            let near = |found: f64, cell: &String| {
                let wanted = number(cell).unwrap();
                assert!(
                    (found - wanted).abs() < 1e-5,
                    "{name} {}: {found}, not {wanted}",
                    row[1]
                );
            };
            near(found.expected, &row[6]);
            if !row[7].is_empty() {
                near(found.variance, &row[7]);
            }
            near(found.earliest_start, &row[8]);
            near(found.earliest_finish, &row[9]);
            near(found.latest_start, &row[10]);
            near(found.latest_finish, &row[11]);
            near(found.slack(), &row[12]);
            assert_eq!(found.is_critical(), row[13] == "1", "{name} {}", row[1]);
        }
        assert!(
            (pert.expected - number(&total[0][6]).unwrap()).abs() < 1e-5,
            "{name}"
        );
        if let Some(variance) = number(&total[0][7]) {
            assert!(
                (pert.variance - variance).abs() < 1e-5,
                "{name}: {}",
                pert.variance
            );
        }
    }
}

#[test]
fn one_step_falls_as_its_distribution_says() {
    // Shapes of the beta distribution by its definition; the library's own is the reference.
    let (least, likely, most) = (10.0, 22.0, 60.0);
    let shape = |points: f64| 1.0 + 4.0 * points / (most - least);
    let beta = Beta::new(shape(likely - least), shape(most - likely)).unwrap();
    let lognormal = LogNormal::new(20.0_f64.ln(), (50.0_f64 / 20.0).ln() / 1.644_853_627).unwrap();
    let count = 100_000;
    let spreads = [
        three(least, likely, most),
        Spread::Lognormal {
            median: 20.0,
            p95: 50.0,
        },
    ];
    let below = |spread: Spread, x: f64| match spread {
        Spread::ThreePoint { .. } => beta.cdf((x - least) / (most - least)),
        _ => lognormal.cdf(x),
    };
    for spread in spreads {
        let histories =
            Histories::of(&schedule(vec![step("a", &[], spread)]), asked(count)).unwrap();
        for days in [12_i64, 18, 25, 33, 45, 55, 90] {
            let found = histories
                .ends
                .share_by(TODAY + jiff::Span::new().days(days - 1));
            let wanted = below(spread, days as f64);
            // Four standard errors, and the table's own fineness.
            let error = 4.0 * (wanted * (1.0 - wanted) / f64::from(count)).sqrt() + 1e-5;
            assert!(
                (found - wanted).abs() < error,
                "{spread:?} {days}: {found}, not {wanted}"
            );
        }
    }
}

#[test]
fn rounds_come_as_often_as_their_chance() {
    let mut again = step("proofs", &[], Spread::Fixed(10.0));
    again.again = Some(Again {
        chance: 0.4,
        takes: Spread::Fixed(7.0),
        at_most: 2,
    });
    let histories = Histories::of(&schedule(vec![again]), asked(100_000)).unwrap();
    let share = |days: i64| {
        histories
            .ends
            .share_by(TODAY + jiff::Span::new().days(days - 1))
    };
    for (days, wanted) in [(9, 0.0), (10, 0.6), (16, 0.6), (17, 0.84), (24, 1.0)] {
        assert!(
            (share(days) - wanted).abs() < 0.007,
            "{days}: {}",
            share(days)
        );
    }
    assert!((histories.steps[0].rounds - 0.56).abs() < 0.01);
}

#[test]
fn a_step_that_the_end_waits_for_drives_it() {
    let histories = Histories::of(
        &schedule(vec![
            step("long", &[], three(20.0, 30.0, 70.0)),
            step("short", &[], three(1.0, 2.0, 3.0)),
            step("last", &["long", "short"], three(4.0, 5.0, 6.0)),
        ]),
        asked(20_000),
    )
    .unwrap();
    let [long, short, last] = &histories.steps[..] else {
        panic!("three steps")
    };
    assert_eq!(
        (long.critical, short.critical, last.critical),
        (1.0, 0.0, 1.0)
    );
    assert!(
        long.drives > 0.95 && short.drives < 0.02,
        "{} {}",
        long.drives,
        short.drives
    );
}

#[test]
fn the_same_seed_gives_the_same_dates_on_any_number_of_cores() {
    let schedule = usual_schedule(MAKING);
    let alone = rayon::ThreadPoolBuilder::new()
        .num_threads(1)
        .build()
        .unwrap();
    let many = rayon::ThreadPoolBuilder::new()
        .num_threads(5)
        .build()
        .unwrap();
    let run = || Histories::of(&schedule, asked(20_000)).unwrap();
    let (one, other) = (alone.install(run), many.install(run));
    assert_eq!(one, other);
    let seeded = Asked {
        seed: 8,
        ..asked(20_000)
    };
    assert_ne!(one, Histories::of(&schedule, seeded).unwrap());
}

#[test]
fn the_last_day_keeps_its_promise_and_the_next_one_does_not() {
    let schedule = usual_schedule(MAKING);
    let launch = date(2027, 6, 1);
    let LastDay::On(last) = Histories::last_day(&schedule, asked(1), launch, 0.8).unwrap() else {
        panic!("there is time enough");
    };
    let share = |begin: Date| {
        let asked = Asked {
            begin,
            ..asked(100_000)
        };
        Histories::of(&schedule, asked)
            .unwrap()
            .ends
            .share_by(launch)
    };
    assert!(share(last) > 0.79, "{last}: {}", share(last));
    assert!(share(last + jiff::Span::new().days(7)) < 0.8, "{last}");
    // Nothing but a halving of days over the same histories: counted to their end, they say the same.
    let over = |begin: Date| {
        let asked = Asked {
            begin,
            ..asked(20_000)
        };
        let histories = Histories::of(&schedule, asked).unwrap();
        histories.ends.share_by(launch)
    };
    let LastDay::On(exact) = Histories::last_day(&schedule, asked(20_000), launch, 0.8).unwrap()
    else {
        panic!("there is time enough");
    };
    assert!(
        over(exact) >= 0.8 && over(exact.tomorrow().unwrap()) < 0.8,
        "{exact}"
    );
    let soon = Histories::last_day(&schedule, asked(1), date(2026, 12, 20), 0.8).unwrap();
    assert_eq!(soon, LastDay::TooLate(0.0));
}

#[test]
fn a_late_correction_moves_the_end_and_what_is_due_before_it() {
    let run = |steps: Vec<Step>| {
        let schedule = schedule(steps);
        let histories = Histories::of(&schedule, asked(4_000)).unwrap();
        let payment = Payment {
            name: "second half".to_owned(),
            step: "packed".to_owned(),
            at: At::End,
            days: 10,
            sum: "EUR 4000".parse::<Money>().unwrap(),
        };
        (
            histories.ends.by(0.5),
            payment.due(&schedule, &histories).unwrap().middle,
        )
    };
    let steps = |proofs: f64| {
        vec![
            step("proofs", &[], Spread::Fixed(proofs)),
            step("packed", &["proofs"], Spread::Fixed(20.0)),
            step("in-hand", &["packed"], Spread::Fixed(5.0)),
        ]
    };
    assert_eq!(run(steps(10.0)), (date(2026, 12, 29), date(2027, 1, 3)));
    assert_eq!(run(steps(24.0)), (date(2027, 1, 12), date(2027, 1, 17)));
}

#[test]
fn what_has_happened_replaces_what_was_guessed() {
    let mut steps = vec![
        step("files", &[], three(1.0, 2.0, 9.0)),
        step("proofs", &["files"], three(4.0, 6.0, 20.0)),
        step("in-hand", &["proofs"], Spread::Fixed(3.0)),
    ];
    steps[0].happened = Some(Happened::Done(date(2026, 11, 10)));
    steps[1].happened = Some(Happened::Begun(date(2026, 11, 11)));
    let histories = Histories::of(&schedule(steps.clone()), asked(20_000)).unwrap();
    // Under way for fourteen days of twenty at most: it ends from today on, and by the thirtieth.
    assert_eq!(histories.steps[0].ends.by(1.0), date(2026, 11, 10));
    assert!(histories.steps[1].ends.by(0.0) >= date(2026, 11, 24));
    assert!(histories.steps[1].ends.by(1.0) <= date(2026, 11, 30));
    assert!(histories.ends.by(1.0) <= date(2026, 12, 3));

    let mut wrong = steps.clone();
    wrong[0].happened = None;
    let error = Histories::of(&schedule(wrong), asked(10)).unwrap_err();
    assert!(matches!(error, DatesError::DoneTooEarly { .. }), "{error}");
    steps[1].happened = Some(Happened::Done(date(2026, 11, 26)));
    let error = Histories::of(&schedule(steps), asked(10)).unwrap_err();
    assert!(matches!(error, DatesError::DoneLater { .. }), "{error}");
}

#[test]
fn a_circle_is_named_and_so_is_what_nobody_knows() {
    let fixed = Spread::Fixed(1.0);
    let days = || vec![WorkCalendar::every_day("days")];
    let circle = vec![
        step("files", &[], fixed),
        step("proofs", &["files", "bound"], fixed),
        step("printed", &["proofs"], fixed),
        step("bound", &["printed"], fixed),
    ];
    let error = Schedule::new(circle, days()).unwrap_err().to_string();
    assert!(
        error.contains("proofs → printed → bound → proofs"),
        "{error}"
    );
    let unknown = Schedule::new(vec![step("a", &["b"], fixed)], days()).unwrap_err();
    assert_eq!(
        unknown.to_string(),
        "`a` waits for `b`, which is no step here"
    );
    let twice = Schedule::new(vec![step("a", &[], fixed), step("a", &[], fixed)], days());
    assert!(twice.is_err());
    let mut unsure = step("a", &[], fixed);
    unsure.again = Some(Again {
        chance: 1.5,
        takes: fixed,
        at_most: 1,
    });
    let error = Schedule::new(vec![unsure], days()).unwrap_err().to_string();
    assert!(error.contains("between 0 and 1"), "{error}");
    for spread in [
        Spread::Fixed(-1.0),
        Spread::Fixed(f64::NAN),
        three(3.0, 2.0, 5.0),
        Spread::Fixed(1e9),
    ] {
        assert!(
            Schedule::new(vec![step("a", &[], spread)], days()).is_err(),
            "{spread:?}"
        );
    }
    let past = Histories::last_day(
        &schedule(vec![step("a", &[], fixed)]),
        asked(1),
        date(2026, 11, 1),
        0.9,
    );
    assert!(past.unwrap_err().to_string().contains("before today"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn no_schedule_panics(
        lengths in prop::collection::vec((0.0_f64..800.0, 0.0_f64..800.0, 0.0_f64..800.0), 1..12),
        waits in prop::collection::vec((0_usize..12, 0_usize..12), 0..20),
        chance in -0.5_f64..1.5,
        begin in -400_i64..4000,
    ) {
        let name = |place: usize| format!("s{place}");
        let mut steps: Vec<Step> = lengths
            .iter()
            .enumerate()
            .map(|(place, (a, m, b))| step(&name(place), &[], three(*a, *m, *b)))
            .collect();
        for (from, to) in waits {
            if let Some(step) = steps.get_mut(from) {
                step.after.push(name(to));
            }
        }
        steps[0].again = Some(Again { chance, takes: Spread::Fixed(5.0), at_most: 3 });
        if let Ok(schedule) = Schedule::new(steps, vec![WorkCalendar::weekdays("days")]) {
            let begin = TODAY + jiff::Span::new().days(begin);
            let asked = Asked { begin, ..asked(200) };
            if let Ok(histories) = Histories::of(&schedule, asked) {
                prop_assert!(histories.ends.by(0.5) >= TODAY || begin < TODAY);
                prop_assert!(histories.ends.by(0.95) >= histories.ends.by(0.5));
            }
            let _ = Pert::of(&schedule);
        }
    }

    #[test]
    fn later_files_are_never_in_hand_earlier(days in 0_i64..120, more in 1_i64..60) {
        let schedule = usual_schedule(MAKING);
        let by = |days: i64| {
            let begin = TODAY + jiff::Span::new().days(days);
            let asked = Asked { begin, ..asked(400) };
            Histories::of(&schedule, asked).unwrap().ends.by(0.8)
        };
        prop_assert!(by(days + more) >= by(days));
    }
}

const BOOK: &str = r#"
[book]
title = "Tide"
[format]
trim = "250x300mm"
[binding]
kind = "sewn case"
[stock.text]
grammage = "150 g/m2"
[[page]]
name = "first"
treatment = "blank"
"#;

fn foretold(lines: &str, happened: &[(String, Happened)]) -> Result<Foretold, DatesError> {
    let book = book::read(&format!("{BOOK}{lines}")).unwrap();
    let facts = Facts {
        payments: &[],
        today: TODAY,
        copies: 800,
        printer: None,
        cost: Some("EUR 8000.01".parse().unwrap()),
        happened,
        seed: 3,
        histories: 8_000,
    };
    Foretold::of(&book, &facts)
}

#[test]
fn a_book_without_wishes_gets_the_usual_dates_and_says_so() {
    let usual = foretold("", &[]).unwrap();
    assert_eq!(usual.send, TODAY);
    assert!(usual.rests.iter().all(|rests| *rests == Rests::Usual));
    assert!(usual.launch.is_none());
    let sums: i64 = usual.due.iter().map(|due| due.sum.minor()).sum();
    assert_eq!((usual.due.len(), sums), (2, 800_001));
    assert_eq!(usual.due[0].middle, TODAY);
    assert!(usual.due[1].middle < usual.histories.ends.by(0.5));
}

#[test]
fn what_the_book_says_of_a_step_holds() {
    let said = foretold(
        "[dates]\nsend = \"2027-01-11\"\nlaunch = \"2027-06-30\"\nsurety = \"90%\"\n\
         [[step]]\nkey = \"printed\"\ntakes = 9\nby = \"the printer\"\n\
         [[step]]\nkey = \"advance\"\nskip = true\n\
         [[step]]\nkey = \"photographs\"\nafter = [\"bound\"]\nbefore = [\"in-hand\"]\ntakes = \"2, 3, 4\"\nof = \"artist\"\n\
         [[payment]]\nshare = \"100%\"\nstep = \"in-hand\"\ndays = 30",
        &[],
    )
    .unwrap();
    let schedule = &said.schedule;
    let printed = schedule.place("printed").unwrap();
    assert_eq!(schedule.steps()[printed].takes, Spread::Fixed(9.0));
    assert_eq!(said.rests[printed], Rests::Said("the printer".to_owned()));
    assert!(schedule.place("advance").is_none());
    let packed = &schedule.steps()[schedule.place("packed").unwrap()];
    assert_eq!(packed.after, ["bound"]);
    let hand = &schedule.steps()[schedule.place("in-hand").unwrap()];
    assert!(hand.after.contains(&"photographs".to_owned()));
    let launch = said.launch.unwrap();
    assert!(launch.chance > 0.99, "{}", launch.chance);
    assert!(matches!(launch.last, LastDay::On(day) if day > date(2027, 1, 11)));
    assert_eq!(said.due[0].sum.minor(), 800_001);
    assert!(said.due[0].early > said.histories.ends.by(0.05));
}

#[test]
fn steps_that_cannot_be_are_named() {
    let wrong = |lines: &str| foretold(lines, &[]).unwrap_err().to_string();
    let circle = wrong("[[step]]\nkey = \"files\"\nafter = [\"in-hand\"]");
    assert!(
        circle.contains("files → ") && circle.contains("in-hand"),
        "{circle}"
    );
    let new = wrong("[[step]]\nkey = \"photographs\"");
    assert!(new.contains("how long"), "{new}");
    let nobody = wrong("[[payment]]\nname = \"all\"\nshare = \"100%\"\nstep = \"shipped\"");
    assert!(nobody.contains("shipped"), "{nobody}");
    let past = wrong("[dates]\nlaunch = \"2026-11-01\"");
    assert!(past.contains("before today"), "{past}");
}
