//! Costs of quantities that were not quoted.

use measure::{Currency, Money};
use price::PriceError;
use price::curve::Curve;
use proptest::prelude::*;

fn eur(minor: i64) -> Money {
    Money::from_minor(minor, Currency::EUR)
}

fn curve(points: &[(u64, i64)]) -> Curve {
    let points: Vec<(u64, Money)> = points.iter().map(|(n, cost)| (*n, eur(*cost))).collect();
    Curve::of(&points).unwrap()
}

#[test]
fn a_quoted_quantity_costs_what_was_quoted_and_between_it_runs_straight() {
    let curve = curve(&[(500, 400_000), (1000, 600_000)]);
    let at = |copies| curve.at(copies).unwrap();
    assert_eq!(at(500).cost, eur(400_000));
    assert!(at(500).quoted);
    assert_eq!(at(750).cost, eur(500_000));
    // By unit price: at least three quarters of the larger sum, and never more than it.
    assert_eq!((at(750).low, at(750).high), (eur(450_000), eur(600_000)));
    let beyond = at(1500);
    assert!(beyond.beyond && !beyond.quoted);
    assert_eq!(beyond.cost, eur(800_000));
    assert_eq!((beyond.low, beyond.high), (eur(600_000), eur(900_000)));
    assert_eq!(at(250).cost, eur(300_000));
}

#[test]
fn one_point_tells_a_wide_range_and_no_parts() {
    let curve = curve(&[(800, 800_000)]);
    let twice = curve.at(1600).unwrap();
    assert_eq!((twice.low, twice.high), (eur(800_000), eur(1_600_000)));
    assert_eq!(twice.cost, eur(1_200_000));
    assert_eq!(curve.parts().unwrap(), None);
}

#[test]
fn two_points_make_a_line_of_unknown_trust_and_three_an_interval() {
    let two = curve(&[(500, 400_000), (1000, 600_000)]);
    let parts = two.parts().unwrap().unwrap();
    assert_eq!(parts.fixed, eur(200_000));
    assert_eq!(parts.running.to_string(), "EUR 4.00");
    assert_eq!(parts.within, None);
    // y = 1980 + 4.04 x by numpy.polyfit([500, 750, 1000], [4000, 5010, 6020], 1).
    let on_a_line = curve(&[(500, 400_000), (750, 501_000), (1000, 602_000)]);
    let parts = on_a_line.parts().unwrap().unwrap();
    assert_eq!(parts.fixed, eur(198_000));
    assert_eq!(parts.running.amount().to_string(), "4.04");
    let (fixed, running) = parts.within.unwrap();
    assert_eq!((fixed, running.amount().to_string()), (eur(0), "0".into()));
    // Off the line three points tell little: by SciPy's t of one degree of freedom.
    let off = curve(&[(500, 400_000), (750, 520_000), (1000, 600_000)]);
    let (fixed, running) = off.parts().unwrap().unwrap().within.unwrap();
    assert!(fixed.minor() > 200_000, "{fixed}");
    assert!(running.amount().approximate() > 2.0, "{running}");
}

#[test]
fn points_that_are_none_are_refused() {
    let of = |points: &[(u64, Money)]| Curve::of(points).unwrap_err();
    assert!(matches!(of(&[]), PriceError::Lacking(_)));
    assert_eq!(of(&[(5, eur(1)), (5, eur(2))]), PriceError::Twice(5));
    assert!(matches!(of(&[(0, eur(1))]), PriceError::NoAmount(_)));
    let usd = Money::from_minor(1, Currency::USD);
    assert!(matches!(of(&[(5, eur(1)), (6, usd)]), PriceError::Money(_)));
}

proptest! {
    #[test]
    fn the_cost_lies_within_its_bounds_and_meets_every_quote(
        points in prop::collection::btree_map(1_u64..5_000, 1_i64..5_000_000, 1..8),
        copies in 1_u64..10_000,
    ) {
        let points: Vec<(u64, i64)> = points.into_iter().collect();
        let curve = curve(&points);
        let at = curve.at(copies).unwrap();
        prop_assert!(at.low.minor() <= at.cost.minor() && at.cost.minor() <= at.high.minor());
        for (copies, cost) in &points {
            prop_assert_eq!(curve.at(*copies).unwrap().cost, eur(*cost));
        }
        let _ = curve.parts().unwrap();
    }

    #[test]
    fn no_size_of_sums_panics(
        points in prop::collection::btree_map(any::<u64>(), any::<i64>(), 1..5),
        copies in any::<u64>(),
    ) {
        let points: Vec<(u64, Money)> = points.into_iter().map(|(n, cost)| (n, eur(cost))).collect();
        if let Ok(curve) = Curve::of(&points) {
            let _ = curve.at(copies);
            let _ = curve.parts();
        }
    }
}
