//! What holds for every demand, season, purse and ground, whatever the figures.

use edition::cash::{Curve, Flow};
use edition::quantity::{
    Around, Audience, Channel, Conversion, Cost, Demand, Draws, Ground, Row, Season, Sheet, Terms,
    When,
};
use jiff::ToSpan;
use jiff::civil::date;
use measure::{Currency, Decimal, Money};
use proptest::prelude::*;

fn any_demand() -> impl Strategy<Value = Demand> {
    prop_oneof![
        (50.0..5_000.0_f64, 1.0..900.0_f64)
            .prop_map(|(mean, deviation)| Demand::Normal { mean, deviation }),
        (2.0..8.0_f64, 0.05..1.5_f64).prop_map(|(mean_log, deviation_log)| {
            Demand::LogNormal {
                mean_log,
                deviation_log,
            }
        }),
        (0.1..800.0_f64).prop_map(|mean| Demand::Poisson { mean }),
        (0.0..900.0_f64, 1.0..900.0_f64).prop_map(|(least, more)| Demand::Uniform {
            least,
            most: least + more
        }),
        (1_u64..2_000, 0.4..9.0_f64, 0.4..300.0_f64).prop_map(|(people, alpha, beta)| {
            Demand::BetaBinomial {
                people,
                alpha,
                beta,
            }
        }),
        prop::collection::vec((0.0..900.0_f64, 0.01..1.0_f64), 1..9).prop_map(Demand::Discrete),
    ]
}

fn audience(place: &str, people: u64, alpha: f64, beta: f64) -> Audience {
    let share = Conversion { alpha, beta };
    Audience {
        place: place.to_owned(),
        people,
        prior: share,
        now: share,
        sold: 0,
        by: String::new(),
    }
}

fn ground(audiences: Vec<Audience>, together: f64) -> Ground {
    Ground {
        currency: Currency::EUR,
        audiences,
        channels: vec![Channel {
            name: "own shop".to_owned(),
            share: 1.0,
            pledged: 12,
            brings: 30.0,
            pays_after: 9,
        }],
        season: Season::default(),
        together,
        storage: 15.0,
        leftover: 3.0,
        too_many: 90,
        assumed: Vec::new(),
    }
    .checked()
    .unwrap()
}

fn cost(copies: u64) -> Cost {
    let total = Money::from_minor(300_000 + copies as i64 * 900, Currency::EUR);
    Cost {
        copies,
        good: copies,
        total,
        to_printer: total,
    }
}

/// Mean and variance of a sum of independent beta-binomial demands: closed forms.
#[test]
fn audiences_that_know_nothing_of_each_other_add_their_variances() {
    let audiences = vec![
        audience("letter", 8_000, 3.0, 200.0),
        audience("online", 52_000, 2.0, 450.0),
        audience("fair", 1_800, 4.0, 110.0),
    ];
    let closed: Vec<Demand> = audiences
        .iter()
        .map(|audience| Demand::BetaBinomial {
            people: audience.people,
            alpha: audience.now.alpha,
            beta: audience.now.beta,
        })
        .collect();
    let mean: f64 = closed.iter().map(Demand::mean).sum();
    let variance: f64 = closed.iter().map(Demand::variance).sum();
    for together in [0.0, 0.3, 1.0] {
        let draws = Draws::of(&ground(audiences.clone(), together), 3);
        let count = draws.count() as f64;
        let squares = draws.all().iter().map(|x| (x - draws.mean()).powi(2));
        let found = squares.sum::<f64>() / (count - 1.0);
        // Luck that goes together moves no mean.
        assert!(
            (draws.mean() - mean).abs() < 4.0 * (found / count).sqrt(),
            "{together}: {} against {mean}",
            draws.mean()
        );
        if together == 0.0 {
            // The spreads have long tails: a variance of 16,384 histories is off by 2 % or so.
            assert!((found / variance - 1.0).abs() < 0.08, "{found} {variance}");
        } else {
            assert!(found > 1.05 * variance, "{together}: {found} {variance}");
        }
    }
}

/// Chances of `P(X <= mean)` in the table are held by the quantiles just at and below them. Source: line 1
/// of `tables/newsvendor_examples.csv`.
#[test]
fn the_mean_of_a_beta_binomial_is_where_the_table_has_it() {
    let mut held = 0;
    for line in include_str!("../tables/newsvendor_examples.csv")
        .lines()
        .filter(|line| line.starts_with("betabinom_moments"))
    {
        let number = |after: &str| -> f64 {
            let rest = line.split(after).nth(1).unwrap();
            let end = rest
                .find(|letter: char| !letter.is_ascii_digit() && letter != '.')
                .unwrap();
            rest[..end].parse().unwrap()
        };
        let demand = Demand::BetaBinomial {
            people: number("n=") as u64,
            alpha: number("alpha="),
            beta: number("beta="),
        };
        let (mean, share) = (number("mean "), number("P(X<=mean) "));
        assert_eq!(demand.quantile(share - 1e-6), mean, "{line}");
        assert_eq!(demand.quantile(share + 1e-6), mean + 1.0, "{line}");
        held += 1;
    }
    assert_eq!(held, 3);
}

#[test]
fn a_price_under_the_cost_is_told_by_what_it_lacks() {
    let when = When {
        order: date(2027, 1, 11),
        in_hand: date(2027, 4, 5),
        paid: Vec::new(),
    };
    let around = Around {
        when: &when,
        volume: 0.001,
        sold_out_by: None,
    };
    let costs: Vec<Cost> = (1..=20).map(|place| cost(place * 25)).collect();
    let mut ground = ground(vec![audience("letter", 8_000, 3.0, 200.0)], 0.3);
    let draws = Draws::of(&ground, 3);
    let sheet = |ground: &Ground| Sheet::of(ground, &draws, &costs, around).unwrap();
    ground.channels[0].brings = 60.0;
    assert_eq!(sheet(&ground).lacks(), None);
    // A copy costs 9 beside the 3,000 that all of them cost.
    ground.channels[0].brings = 10.0;
    let poor = sheet(&ground);
    assert!(poor.rows[poor.best].profit.mean < 0.0);
    let lacks = poor.lacks().unwrap();
    ground.channels[0].brings += lacks;
    let even = sheet(&ground);
    let best = even.rows[even.best].profit.mean;
    assert!(lacks > 0.0 && best.abs() < 1e-6, "{lacks} {best}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn nothing_near_the_balanced_quantity_costs_less(demand in any_demand(), under in 0.1..50.0_f64, over in 0.1..50.0_f64) {
        let demand = demand.checked().unwrap();
        let best = demand.balanced(under, over).unwrap();
        let cost = |copies: f64| under * demand.missing(copies) + over * demand.left(copies);
        let reach = demand.variance().sqrt().max(1.0);
        for away in [-1.0, -0.1, -0.01, 0.01, 0.1, 1.0] {
            let other = cost(best.copies + away * reach);
            prop_assert!(other >= best.cost - 1e-7 * best.cost.max(1.0), "{best:?}: {away} costs {other}");
        }
    }

    #[test]
    fn what_is_missing_falls_ever_slower(demand in any_demand(), copies in 0.0..3_000.0_f64, step in 0.5..200.0_f64) {
        let demand = demand.checked().unwrap();
        let [a, b, c] = [0.0, 1.0, 2.0].map(|steps| demand.missing(copies + steps * step));
        let little = 1e-7 * (1.0 + demand.mean().abs());
        prop_assert!(c >= -little && b >= c - little && a >= b - little, "{a} {b} {c}");
        prop_assert!(a + c >= 2.0 * b - little, "{a} {b} {c}");
        // One copy more never saves more than one copy.
        prop_assert!(a - b <= step + little, "{a} {b}");
    }

    #[test]
    fn quantiles_rise(demand in any_demand(), a in -0.1..1.1_f64, b in -0.1..1.1_f64) {
        let demand = demand.checked().unwrap();
        let (low, high) = (a.min(b), a.max(b));
        prop_assert!(demand.quantile(low) <= demand.quantile(high));
    }

    #[test]
    fn wild_demands_are_refused_and_never_panic(a in any::<f64>(), b in any::<f64>(), people: u64, copies in any::<f64>()) {
        let few = people % 5_000;
        for demand in [
            Demand::Normal { mean: a, deviation: b },
            Demand::LogNormal { mean_log: a, deviation_log: b },
            Demand::Poisson { mean: a.abs().min(9e3) },
            Demand::Uniform { least: a, most: b },
            Demand::BetaBinomial { people: few, alpha: a, beta: b },
            Demand::Discrete(vec![(a, b), (b, a)]),
        ] {
            if let Ok(demand) = demand.checked() {
                prop_assert!(demand.mean().is_finite());
                prop_assert!(!demand.missing(100.0).is_nan(), "{demand:?}");
                let _ = demand.missing(copies);
                let _ = demand.balanced(b, a);
            }
        }
    }

    #[test]
    fn a_season_comes_once_and_whole(months in prop::collection::vec(0.0..0.2_f64, 0..30), tail in 0_usize..90, at in -5.0..90.0_f64) {
        let Ok(season) = Season::of(&months, tail) else {
            prop_assert!(months.iter().sum::<f64>() > 1.0);
            return Ok(());
        };
        prop_assert!((0.0..=1.0 + 1e-9).contains(&season.come(at)));
        prop_assert!(season.come(at) <= season.come(at + 0.3) + 1e-12);
        prop_assert!((season.come(season.months() as f64) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn a_purse_adds_up(opening in -1e4..1e4_f64, sums in prop::collection::vec((0_i64..400, -5e3..5e3_f64), 0..40)) {
        let first = date(2027, 1, 1);
        let flows: Vec<Flow> = sums
            .iter()
            .map(|(day, sum)| Flow { day: first.checked_add(day.days()).unwrap(), sum: *sum, what: String::new() })
            .collect();
        let curve = Curve::of(opening, &flows);
        let end = opening + sums.iter().map(|(_, sum)| sum).sum::<f64>();
        prop_assert!((curve.at(opening, date(2029, 1, 1)) - end).abs() < 1e-6);
        prop_assert_eq!(curve.at(opening, date(2026, 12, 31)), opening);
        prop_assert!(curve.points.windows(2).all(|pair| pair[0].0 < pair[1].0));
        prop_assert_eq!(curve.low.is_none(), flows.is_empty());
        if let Some((day, low)) = curve.low {
            prop_assert!(curve.points.iter().all(|point| point.1 >= low && (point.1 > low || point.0 >= day)));
        }
    }

    #[test]
    fn rows_hold_shares_and_spreads_in_order(
        people in 1_u64..60_000,
        (alpha, beta) in (0.5..9.0_f64, 5.0..900.0_f64),
        together in 0.0..1.0_f64,
        copies in prop::collection::vec(1_u64..5_000, 1..6),
    ) {
        let ground = ground(vec![audience("here", people, alpha, beta), audience("there", 300, 2.0, 40.0)], together);
        let draws = Draws::of(&ground, 1);
        let when = When { order: date(2027, 1, 11), in_hand: date(2027, 4, 5), paid: Vec::new() };
        let around = Around { when: &when, volume: 0.001, sold_out_by: Some(date(2027, 12, 1)) };
        let costs: Vec<Cost> = copies.iter().map(|copies| cost(*copies)).collect();
        let sheet = Sheet::of(&ground, &draws, &costs, around).unwrap();
        for row in &sheet.rows {
            for share in [row.loss, row.sold_out, row.too_many, row.sold_out_by.unwrap()] {
                prop_assert!((0.0..=1.0).contains(&share), "{row:?}");
            }
            prop_assert!(row.sold_out_by.unwrap() <= row.sold_out);
            prop_assert!(row.profit.low <= row.profit.middle && row.profit.middle <= row.profit.high);
            prop_assert!(row.error >= 0.0 && row.missed >= -1e-9);
            for stock in row.stock.windows(2) {
                prop_assert!(stock[1].copies.mean <= stock[0].copies.mean + 1e-9);
            }
            // More buyers never empty a purse further.
            let [slow, middle, quick] = row.cash.map(|low| low.unwrap().sum);
            prop_assert!(slow <= middle + 1e-6 && middle <= quick + 1e-6, "{:?}", row.cash);
            // A row by itself is the row of the sheet.
            prop_assert_eq!(&Row::of(&ground, &draws, row.cost, around), row);
        }
        prop_assert!(sheet.hardly.0 <= sheet.best && sheet.best <= sheet.hardly.1);
        for pair in sheet.rows.windows(2) {
            prop_assert!(pair[1].sold_out <= pair[0].sold_out && pair[1].missed <= pair[0].missed);
        }
    }

    #[test]
    fn no_terms_panic(
        price in any::<i64>(), tax in -3_i128..4, discount in -3_i128..4, fee in -3_i128..4, returns in -3_i128..4, each in any::<i64>(),
    ) {
        let share = |halves: i128| Decimal::from_billionths(halves * 500_000_000).unwrap();
        let sum = Some(Money::from_minor(each, Currency::EUR));
        let terms = Terms {
            name: "a channel".to_owned(),
            price: Money::from_minor(price, Currency::EUR),
            tax: share(tax),
            discount: share(discount),
            fee: share(fee),
            fee_each: sum,
            postage: sum,
            postage_paid: None,
            returns: share(returns),
        };
        if let Ok(brings) = terms.brings() {
            prop_assert!(brings > 0.0);
        }
    }
}
