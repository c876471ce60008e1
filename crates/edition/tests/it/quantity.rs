//! Quantities held against worked examples, closed forms and each other.

use edition::quantity::{
    Around, Audience, Channel, Conversion, Cost, Demand, Draws, Ground, Offer, Path, Pays, Row,
    Season, Sheet, When,
};
use jiff::civil::date;
use measure::{Currency, Money};
use proptest::prelude::*;

const TABLE: &str = include_str!("../tables/newsvendor_examples.csv");

fn ground(people: u64, low: f64, likely: f64, high: f64) -> Ground {
    let spread = Conversion::of_points("letter", low, likely, high).unwrap();
    Ground {
        currency: Currency::EUR,
        audiences: vec![Audience {
            place: "letter".to_owned(),
            people,
            prior: spread,
            now: spread,
            sold: 0,
            by: String::new(),
        }],
        channels: vec![Channel {
            name: "own shop".to_owned(),
            share: 1.0,
            pledged: 0,
            brings: 30.0,
            pays_after: 5,
        }],
        season: Season::default(),
        together: 0.3,
        storage: 0.0,
        leftover: 4.0,
        too_many: 100,
        assumed: Vec::new(),
    }
    .checked()
    .unwrap()
}

fn when() -> When {
    When {
        order: date(2027, 1, 11),
        in_hand: date(2027, 4, 5),
        paid: Vec::new(),
    }
}

fn around(when: &When) -> Around<'_> {
    Around {
        when,
        volume: 0.002,
        sold_out_by: None,
    }
}

/// Costs with a fixed and a running part, in whole euros.
fn costs(fixed: i64, each: i64, step: u64, count: u64) -> Vec<Cost> {
    (1..=count)
        .map(|place| {
            let copies = place * step;
            let total = Money::from_minor((fixed + each * copies as i64) * 100, Currency::EUR);
            Cost {
                copies,
                good: copies,
                total,
                to_printer: total,
            }
        })
        .collect()
}

fn named(params: &str, name: &str) -> f64 {
    params
        .split([';', ','])
        .find_map(|part| part.trim().strip_prefix(&format!("{name}="))?.parse().ok())
        .unwrap_or_else(|| panic!("{name} in {params}"))
}

/// One line of the table, fields in quotes taken whole.
fn fields(line: &str) -> Vec<String> {
    let (mut fields, mut quoted) = (vec![String::new()], false);
    for letter in line.chars() {
        match letter {
            '"' => quoted = !quoted,
            ',' if !quoted => fields.push(String::new()),
            letter => fields.last_mut().unwrap().push(letter),
        }
    }
    fields
}

fn demand(kind: &str, params: &str) -> Demand {
    match kind {
        "normal" => Demand::Normal {
            mean: named(params, "mu"),
            deviation: named(params, "sd"),
        },
        "poisson" => Demand::Poisson {
            mean: named(params, "mean"),
        },
        "lognormal" => Demand::LogNormal {
            mean_log: named(params, "mulog"),
            deviation_log: named(params, "sdlog"),
        },
        "beta-binomial" => Demand::BetaBinomial {
            people: named(params, "n") as u64,
            alpha: named(params, "alpha"),
            beta: named(params, "beta"),
        },
        other => panic!("no such distribution: {other}"),
    }
}

#[test]
fn worked_examples_of_balancing_too_few_against_too_many() {
    // The source of each row stands in the table.
    let mut held = 0;
    for line in TABLE.lines().skip(2).filter(|line| !line.is_empty()) {
        let fields = fields(line);
        let (Ok(under), Ok(over)) = (fields[3].parse::<f64>(), fields[4].parse::<f64>()) else {
            continue;
        };
        let demand = demand(&fields[1], &fields[2]).checked().unwrap();
        let found = demand.balanced(under, over).unwrap();
        let ratio: f64 = fields[5].parse().unwrap();
        let copies: f64 = fields[6].parse().unwrap();
        assert!((found.ratio - ratio).abs() < 1e-12, "{line}: {found:?}");
        assert!(
            (found.copies - copies).abs() < 1e-8 * copies,
            "{line}: {found:?}"
        );
        for said in fields[7].split(';') {
            if let Some(cost) = said.trim().strip_prefix("cost ") {
                let cost: f64 = cost.parse().unwrap();
                assert!((found.cost - cost).abs() < 1e-9 * cost, "{line}: {found:?}");
            }
            if let Some(profit) = said.trim().strip_prefix("profit ") {
                let profit: f64 = profit.parse().unwrap();
                assert!(
                    (under * demand.mean() - found.cost - profit).abs() < 1e-6,
                    "{line}"
                );
            }
            if let Some(lost) = said.trim().strip_prefix("lost sales ") {
                let lost: f64 = lost.parse().unwrap();
                assert!((demand.missing(found.copies) - lost).abs() < 1e-6, "{line}");
            }
        }
        held += 1;
    }
    assert_eq!(held, 7, "the table has so many rows with both costs");
}

#[test]
fn worked_examples_of_losses_and_moments() {
    let mut held = 0;
    for line in TABLE.lines().skip(2).filter(|line| !line.is_empty()) {
        let fields = fields(line);
        match fields[0].as_str() {
            "std_normal_loss" => {
                let demand = Demand::Normal {
                    mean: 0.0,
                    deviation: 1.0,
                };
                let loss: f64 = fields[7].parse().unwrap();
                assert!((demand.missing(named(&fields[2], "z")) - loss).abs() < 1e-10);
            }
            "normal_loss" => {
                let loss: f64 = fields[7].parse().unwrap();
                let x = named(&fields[2], "x");
                let demand = demand("normal", &fields[2]);
                assert!((demand.missing(x) - loss).abs() < 1e-10);
                assert!((demand.left(x) - 3.768_307_352_151_490_3).abs() < 1e-10);
            }
            "lognormal_loss" => {
                let x = named(&fields[2], "x");
                let demand = demand("lognormal", &fields[2]);
                assert!((demand.missing(x) - 0.283_649_738_881_063_26).abs() < 1e-10);
                assert!((demand.left(x) - 2.554_491_200_971_183_3).abs() < 1e-10);
            }
            "betabinom_moments" | "lognormal_moments" => {
                let demand = demand(&fields[1], &fields[2]);
                for said in fields[7].split(';') {
                    let (what, value) = said.trim().rsplit_once(' ').unwrap();
                    let value: f64 = value.parse().unwrap();
                    let found = match what {
                        "mean" => demand.mean(),
                        "var" => demand.variance(),
                        "q05" => demand.quantile(0.05),
                        "q50" | "median" => demand.quantile(0.5),
                        "q90" => demand.quantile(0.9),
                        "q95" => demand.quantile(0.95),
                        "P(X<=mean)" => continue,
                        other => panic!("no such figure: {other}"),
                    };
                    assert!(
                        (found - value).abs() < 1e-9 * value,
                        "{line}: {what} is {found}"
                    );
                }
            }
            _ => continue,
        }
        held += 1;
    }
    assert_eq!(held, 8, "the table has so many rows of losses and moments");
}

#[test]
fn histories_have_the_moments_of_a_beta_binomial() {
    // One audience: the demand is beta-binomial, whose mean and variance are closed forms.
    let ground = ground(20_000, 0.004, 0.01, 0.03);
    let Conversion { alpha, beta } = ground.audiences[0].now;
    let closed = Demand::BetaBinomial {
        people: 20_000,
        alpha,
        beta,
    };
    let draws = Draws::of(&ground, 7);
    let count = draws.count() as f64;
    let error = (closed.variance() / count).sqrt();
    assert!(
        (draws.mean() - closed.mean()).abs() < 4.0 * error,
        "{} {}",
        draws.mean(),
        closed.mean()
    );
    let variance = draws
        .all()
        .iter()
        .map(|x| (x - draws.mean()).powi(2))
        .sum::<f64>()
        / count;
    assert!(
        (variance / closed.variance() - 1.0).abs() < 0.06,
        "{variance} {}",
        closed.variance()
    );
    for share in [0.05, 0.25, 0.5, 0.75, 0.95] {
        // Four standard errors of a share, seen from the quantile.
        let error = 4.0 * (share * (1.0 - share) / count).sqrt();
        let (low, high) = (
            closed.quantile(share - error),
            closed.quantile(share + error),
        );
        let found = draws.quantile(share);
        assert!(
            (low..=high).contains(&found),
            "{share}: {found} not within {low} to {high}"
        );
    }
    for copies in [100.0, 250.0, 400.0] {
        let closed = closed.mean() - closed.missing(copies);
        assert!(
            (draws.sold(1.0, copies) - closed).abs() < 4.0 * error,
            "{copies}"
        );
    }
}

#[test]
fn the_best_quantity_is_that_of_the_critical_ratio() {
    let ground = ground(20_000, 0.004, 0.01, 0.03);
    let draws = Draws::of(&ground, 7);
    let when = when();
    // 30 for a sold copy, 10 for each printed one, 4 for one left: 20 against 6.
    let sheet = Sheet::of(&ground, &draws, &costs(2_000, 10, 1, 900), around(&when)).unwrap();
    let wanted = draws.quantile(20.0 / 26.0);
    let found = sheet.rows[sheet.best].cost.copies as f64;
    assert!((found - wanted).abs() <= 1.0, "{found} against {wanted}");
    let balance = sheet.balance.unwrap();
    assert!((balance.ratio - 20.0 / 26.0).abs() < 1e-9, "{balance:?}");
    assert!((balance.covers - 20.0 / 26.0).abs() < 0.01, "{balance:?}");
    // Expected profit by the loss function of the same beta-binomial.
    let Conversion { alpha, beta } = ground.audiences[0].now;
    let closed = Demand::BetaBinomial {
        people: 20_000,
        alpha,
        beta,
    };
    for row in [100, 300, 500].map(|place| &sheet.rows[place - 1]) {
        let copies = row.cost.good as f64;
        let sold = closed.mean() - closed.missing(copies);
        let profit = 30.0 * sold + 4.0 * (copies - sold) - 2_000.0 - 10.0 * copies;
        assert!(
            (row.profit.mean - profit).abs() < 4.0 * row.error.max(1.0),
            "{copies}"
        );
    }
}

#[test]
fn the_rule_of_thumb_gives_up_what_its_row_lacks() {
    let ground = ground(20_000, 0.004, 0.01, 0.03);
    let draws = Draws::of(&ground, 7);
    let when = when();
    let sheet = Sheet::of(&ground, &draws, &costs(2_000, 10, 50, 12), around(&when)).unwrap();
    let rule = sheet.rule.unwrap();
    assert_eq!(sheet.rows[rule.row].cost.copies, 150);
    let gap = sheet.rows[sheet.best].profit.mean - sheet.rows[rule.row].profit.mean;
    assert!((rule.regret - gap).abs() < 1e-9 && rule.regret > 0.0);
    assert!(rule.error > 0.0 && rule.error < rule.regret);
}

#[test]
fn chances_agree_on_any_number_of_threads() {
    let mut ground = ground(9_000, 0.005, 0.02, 0.05);
    let more = ground.audiences[0].clone();
    ground.audiences.push(Audience {
        place: "fair".to_owned(),
        people: 700,
        ..more
    });
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap();
        pool.install(|| Draws::of(&ground, 11))
    };
    assert_eq!(on(1), on(3));
    assert_ne!(on(1), Draws::of(&ground, 12));
}

#[test]
fn luck_that_goes_together_spreads_the_whole_wider() {
    let mut ground = ground(9_000, 0.005, 0.02, 0.05);
    let more = ground.audiences[0].clone();
    ground.audiences.push(Audience {
        place: "fair".to_owned(),
        ..more
    });
    let spread = |together: f64| {
        let draws = Draws::of(
            &Ground {
                together,
                ..ground.clone()
            },
            5,
        );
        draws.quantile(0.95) - draws.quantile(0.05)
    };
    // With one luck, spreads add up; apart, their squares do.
    let ratio = spread(1.0) / spread(0.0);
    assert!((1.3..1.5).contains(&ratio), "{ratio}");
}

#[test]
fn three_points_are_held_by_the_peak_and_the_width() {
    let spread = Conversion::of_points("letter", 0.005, 0.015, 0.04).unwrap();
    let peak = (spread.alpha - 1.0) / (spread.alpha + spread.beta - 2.0);
    assert!((peak - 0.015).abs() < 1e-9);
    let width = spread.quantile(0.95) - spread.quantile(0.05);
    assert!((width - 0.035).abs() < 1e-6, "{width}");
    for (low, likely, high) in [
        (0.02, 0.01, 0.03),
        (0.0, 0.0, 0.1),
        (0.1, 0.2, 1.0),
        (0.1, 0.1, 0.1),
    ] {
        assert!(Conversion::of_points("letter", low, likely, high).is_err());
    }
}

#[test]
fn sales_move_what_is_known_and_a_sold_out_edition_moves_it_up() {
    let prior = Conversion::of_points("letter", 0.005, 0.015, 0.04).unwrap();
    let few = prior.learned(8_000, 20, 1.0, false);
    assert!(few.mean() < prior.mean() && few.variance() < prior.variance());
    // The conjugate rule: shapes grow by those who bought and those who did not.
    assert!((few.alpha - prior.alpha - 20.0).abs() < 1e-9);
    assert!((few.beta - prior.beta - 7_980.0).abs() < 1e-9);
    let open = prior.learned(8_000, 160, 1.0, false);
    let gone = prior.learned(8_000, 160, 1.0, true);
    assert!(gone.mean() > open.mean(), "{} {}", gone.mean(), open.mean());
    assert!(
        gone.quantile(0.05) > 0.015,
        "at least two percent were there to buy"
    );
    assert_eq!(prior.learned(8_000, 0, 0.0, false), prior);
}

#[test]
fn an_offer_meets_the_same_demand() {
    let ground = ground(20_000, 0.004, 0.01, 0.03);
    let draws = Draws::of(&ground, 7);
    let own = costs(2_000, 10, 300, 1)[0];
    let offer = |advance: f64, pays: Pays| Offer {
        name: "a house".to_owned(),
        advance,
        pays,
        reach: 1.0,
        copies: None,
    };
    let half = offer(0.0, Pays::Profit { share: 0.5 }).held(&ground, &draws, own, 0.002);
    // Half of a profit is better only where there is a loss.
    let row = Row::of(&ground, &draws, own, around(&when()));
    assert!((half.better - row.loss).abs() < 1e-9, "{half:?}");
    assert!((half.takes.high - half.own.high / 2.0).abs() < 1e-9);
    let royal = offer(
        500.0,
        Pays::Royalty {
            share: 0.1,
            on: 40.0,
        },
    )
    .held(&ground, &draws, own, 0.002);
    assert_eq!(royal.takes.low, 500.0);
    assert_eq!(royal.takes.high, 0.1 * 40.0 * 300.0);
}

#[test]
fn the_purse_ends_where_profit_without_leftovers_does() {
    let mut ground = ground(20_000, 0.004, 0.01, 0.03);
    ground.storage = 15.0;
    let cost = costs(2_000, 10, 300, 1)[0];
    let path = Path::new(&ground, cost, 0.002);
    let when = when();
    for wanted in [0.0, 90.0, 250.0, 900.0] {
        let curve = path.purse(&when, wanted);
        let left = path.left(wanted, 36.0);
        let end = curve.points.last().unwrap().1;
        let profit = path.profit(wanted) - left * ground.leftover;
        assert!((end - profit).abs() < 1e-6, "{wanted}: {end} {profit}");
        assert!(curve.low.unwrap().1 <= end);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn more_copies_sell_out_less_often_and_more_demand_never_earns_less(
        wanted in prop::collection::vec(0.0..5_000.0_f64, 1..200),
        copies in 1_u64..4_000,
        more in 1.0..500.0_f64,
    ) {
        let ground = ground(20_000, 0.004, 0.01, 0.03);
        let draws = Draws::sorted(wanted.clone());
        let greater = Draws::sorted(wanted.iter().map(|copies| copies + more).collect());
        let cost = |copies: u64| {
            let total = Money::from_minor(copies as i64 * 1_000, Currency::EUR);
            Cost { copies, good: copies, total, to_printer: total }
        };
        let when = when();
        let row = Row::of(&ground, &draws, cost(copies), around(&when));
        let larger = Row::of(&ground, &draws, cost(copies + 50), around(&when));
        prop_assert!(larger.sold_out <= row.sold_out);
        let luckier = Row::of(&ground, &greater, cost(copies), around(&when));
        prop_assert!(luckier.profit.mean >= row.profit.mean - 1e-6);
        prop_assert!((0.0..=1.0).contains(&row.loss) && (0.0..=1.0).contains(&row.too_many));
        // The mean by sums is the mean by histories.
        let path = Path::new(&ground, cost(copies), 0.002);
        let plain = draws.all().iter().map(|wanted| path.profit(*wanted)).sum::<f64>() / draws.count() as f64;
        prop_assert!((plain - row.profit.mean).abs() < 1e-6 * plain.abs().max(1.0));
    }

    #[test]
    fn wild_input_is_refused_or_gives_shares(
        low in -0.5..1.5_f64, likely in -0.5..1.5_f64, high in -0.5..1.5_f64,
        people in 1_u64..100_000_000, sold in 0_u64..200_000_000, elapsed in -1.0..2.0_f64, out: bool,
    ) {
        if let Ok(spread) = Conversion::of_points("letter", low, likely, high) {
            for u in [0.0, 0.05, 0.5, 0.95, 1.0] {
                prop_assert!((0.0..=1.0).contains(&spread.quantile(u)));
            }
            let learned = spread.learned(people, sold, elapsed, out);
            prop_assert!((0.0..=1.0).contains(&learned.mean()), "{learned:?}");
        }
        let _ = Conversion::of_sales("letter", sold, people);
    }
}
