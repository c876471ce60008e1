use colour::{Lab, delta_e_2000};
use proptest::prelude::*;

/// Sharma, Wu and Dalal 2005, table 1; the file names its source.
const PAIRS: &str = include_str!("../tables/ciede2000_sharma2005.csv");

#[test]
fn gives_the_34_published_pairs_in_both_orders() {
    let mut seen = 0;
    for line in PAIRS
        .lines()
        .filter(|line| line.starts_with(|c: char| c.is_ascii_digit()))
    {
        let fields: Vec<f64> = line
            .split(',')
            .map(|field| field.parse().unwrap())
            .collect();
        let one = Lab {
            l: fields[1],
            a: fields[2],
            b: fields[3],
        };
        let other = Lab {
            l: fields[4],
            a: fields[5],
            b: fields[6],
        };
        let published = *fields.last().unwrap();
        for (first, second) in [(one, other), (other, one)] {
            let found = delta_e_2000(first, second);
            assert!(
                (found - published).abs() <= 1e-4,
                "pair {}: published {published}, found {found}",
                fields[0]
            );
        }
        seen += 1;
    }
    assert_eq!(seen, 34);
}

proptest! {
    #[test]
    fn is_finite_and_never_negative(
        l1 in 0.0..100.0_f64, a1 in -128.0..128.0_f64, b1 in -128.0..128.0_f64,
        l2 in 0.0..100.0_f64, a2 in -128.0..128.0_f64, b2 in -128.0..128.0_f64,
    ) {
        let one = Lab { l: l1, a: a1, b: b1 };
        let other = Lab { l: l2, a: a2, b: b2 };
        let found = delta_e_2000(one, other);
        prop_assert!(found.is_finite() && found >= 0.0);
        prop_assert_eq!(delta_e_2000(one, one), 0.0);
    }
}
