//! What one good copy costs in hand.

use book::{Delivery, DutyOn, Freight, Import, Landing, Leg, Payer, Rate, Term, TermWish};
use jiff::civil::date;
use measure::{Currency, Decimal, Money, UnitPrice};
use price::PriceError;
use price::answer::{Answer, Draft};
use price::landed::{Footing, Landed, PartKind, landed};
use proptest::prelude::*;

const EXAMPLES: &str = include_str!("../tables/landed_cost.csv");

fn decimal(text: &str) -> Decimal {
    text.parse().unwrap()
}

fn percent(text: &str) -> Decimal {
    decimal(text).over(Decimal::from_whole(100)).unwrap()
}

fn money(text: &str) -> Money {
    text.parse().unwrap()
}

fn answer(fields: &[(&str, &str)]) -> Answer {
    Draft::from_fields(fields).plain().unwrap()
}

fn reckon(answer: &Answer, copies: u64, landing: &Landing, home: bool) -> Landed {
    landed(answer, copies, &footing(landing, home)).unwrap()
}

fn footing(landing: &Landing, home: bool) -> Footing<'_> {
    Footing {
        landing,
        deliveries: &[],
        home,
        charges: &[],
    }
}

/// Nothing but what a test says.
fn bare() -> Landing {
    Landing {
        insurance: Some(Decimal::ZERO),
        spoilage: Some(Decimal::ZERO),
        ..Landing::default()
    }
}

fn import(duty: &str, tax: &str, broker: Option<&str>) -> Import {
    Import {
        printer: "delta".to_owned(),
        duty: Some(percent(duty)),
        duty_on: DutyOn::default(),
        tax: Some(percent(tax)),
        broker: broker.map(money),
        by: "broker".to_owned(),
        line: 1,
    }
}

fn dollars() -> Rate {
    Rate {
        from: Currency::USD,
        to: Currency::EUR,
        rate: decimal("0.92"),
        on: date(2026, 11, 20),
        by: "central bank".to_owned(),
        line: 1,
    }
}

#[test]
fn published_examples_of_import_come_out() {
    for line in EXAMPLES.lines().skip(2) {
        let cells: Vec<&str> = line.split(',').collect();
        let total = format!("total {}", cells[6]);
        let answer = answer(&[
            ("printer", "delta"),
            ("currency", "EUR"),
            (&total, cells[1]),
            ("term", "FOB"),
            ("freight", cells[2]),
        ]);
        let mut landing = bare();
        let broker = format!("EUR {}", cells[5]);
        landing
            .imports
            .push(import(cells[3], cells[4], Some(&broker)));
        let units: u64 = cells[6].parse().unwrap();
        let found = reckon(&answer, units, &landing, false);
        let expected = |cell: &str| Money::from_decimal(decimal(cell), Currency::EUR).unwrap();
        assert_eq!(
            found.of(PartKind::Duty).unwrap(),
            expected(cells[7]),
            "{line}"
        );
        assert_eq!(
            found.of(PartKind::Tax).unwrap(),
            expected(cells[8]),
            "{line}"
        );
        assert_eq!(found.total, expected(cells[9]), "{line}");
        assert_eq!(found.each, found.total.each(units).unwrap());
    }
}

/// By hand: print 800 × USD 6.545 = 5,236.00 → 4,817.12; plates USD 420 → 386.40; freight USD 700 +
/// 800 × 0.55 = 1,140 → 1,048.80; insurance 0.4 % of 6,252.32 = 25.01; duty none; tax 7 % of
/// 6,277.33 = 439.41; broker 140; bank 25. In all 6,881.74 over 792 good copies.
#[test]
fn an_answer_from_overseas_is_reckoned_part_by_part() {
    let answer = answer(&[
        ("printer", "delta"),
        ("currency", "USD"),
        ("each 550", "8.12"),
        ("each 800", "6.545"),
        ("one-off printing plates", "420"),
        ("term", "FOB Vessamar"),
        ("overs", "5%"),
    ]);
    let mut landing = Landing {
        insurance: Some(percent("0.4")),
        spoilage: Some(percent("1")),
        bank_fee: Some(money("EUR 25")),
        ..Landing::default()
    };
    landing.rates.push(dollars());
    landing.imports.push(import("0", "7", Some("EUR 140")));
    landing.freights.push(Freight {
        printer: "delta".to_owned(),
        term: Term::Fob,
        fixed: money("USD 700"),
        each: UnitPrice::new(decimal("0.55"), Currency::USD),
        on: date(2026, 11, 18),
        by: "forwarder".to_owned(),
        line: 1,
    });
    let found = reckon(&answer, 800, &landing, false);
    let of = |kind| found.of(kind).unwrap();
    assert_eq!(of(PartKind::Print), money("EUR 4817.12"));
    assert_eq!(of(PartKind::OneOff), money("EUR 386.40"));
    assert_eq!(of(PartKind::Freight), money("EUR 1048.80"));
    assert_eq!(of(PartKind::Insurance), money("EUR 25.01"));
    assert_eq!(of(PartKind::Duty), money("EUR 0"));
    assert_eq!(of(PartKind::Tax), money("EUR 439.41"));
    assert_eq!(found.total, money("EUR 6881.74"));
    assert_eq!(found.good, 792);
    assert_eq!(found.each, money("EUR 6881.74").each(792).unwrap());
    assert_eq!(found.missing, Vec::<String>::new());
    let overs = found.overs.unwrap();
    assert_eq!((overs.copies, overs.cost), (40, money("EUR 240.86")));
    let freight = found
        .parts
        .iter()
        .find(|part| part.kind == PartKind::Freight)
        .unwrap();
    assert!(freight.assumed && freight.how.contains("forwarder"));
    assert!(freight.how.contains("0.92 EUR for 1 USD of 2026-11-20"));
}

#[test]
fn what_nobody_has_said_is_named_and_not_guessed() {
    let answer = answer(&[("printer", "delta"), ("currency", "EUR"), ("each 800", "6")]);
    let found = reckon(&answer, 800, &bare(), false);
    assert_eq!(found.total, money("EUR 4800"));
    for missing in ["freight", "duty, tax", "bank", "delivery term"] {
        assert!(
            found.missing.iter().any(|said| said.contains(missing)),
            "{missing}: {:?}",
            found.missing
        );
    }
    let at_home = reckon(&answer, 800, &bare(), true);
    assert!(!at_home.missing.iter().any(|said| said.contains("duty")));
}

#[test]
fn the_term_says_who_bears_freight_and_risk() {
    let with_term = |term: &str| {
        answer(&[
            ("printer", "delta"),
            ("currency", "EUR"),
            ("each 800", "6"),
            ("term", term),
        ])
    };
    let landing = Landing {
        insurance: Some(percent("1")),
        ..bare()
    };
    let kinds = |term: &str| -> Vec<PartKind> {
        let found = reckon(&with_term(term), 800, &landing, true);
        found.parts.iter().map(|part| part.kind).collect()
    };
    assert!(kinds("DAP").contains(&PartKind::Freight));
    assert!(!kinds("DAP").contains(&PartKind::Insurance));
    assert!(!kinds("CIF").contains(&PartKind::Insurance));
    assert!(kinds("CPT").contains(&PartKind::Insurance));
    assert!(!kinds("EXW").contains(&PartKind::Freight));
    // Delivered duty paid: nothing is left to import.
    let paid = reckon(&with_term("DDP"), 800, &landing, false);
    assert!(!paid.missing.iter().any(|said| said.contains("duty")));

    // The contract goes before the usual reading.
    let mut landing = landing.clone();
    let says = |term: Term, payers: &[(Leg, Payer)]| TermWish {
        term,
        payers: payers.to_vec(),
        by: String::new(),
        line: 1,
    };
    landing.terms = vec![
        says(
            Term::Exw,
            &[
                (Leg::MainCarriage, Payer::Printer),
                (Leg::ToDestination, Payer::Printer),
            ],
        ),
        says(
            Term::Dap,
            &[
                (Leg::MainCarriage, Payer::Artist),
                (Leg::Import, Payer::Printer),
            ],
        ),
    ];
    let works = reckon(&with_term("EXW"), 800, &landing, true);
    assert!(
        works
            .parts
            .iter()
            .any(|part| part.kind == PartKind::Freight)
    );
    let there = reckon(&with_term("DAP"), 800, &landing, false);
    assert!(
        there.missing.iter().any(|said| said.contains("freight")),
        "{:?}",
        there.missing
    );
    assert!(
        !there.missing.iter().any(|said| said.contains("duty")),
        "{:?}",
        there.missing
    );
}

#[test]
fn a_quantity_that_was_not_quoted_is_said_to_be_one() {
    let answer = answer(&[
        ("printer", "quay"),
        ("currency", "EUR"),
        ("total 500", "4000"),
        ("total 1000", "6000"),
        ("freight 500", "100"),
        ("freight 1000", "200"),
        ("term", "DAP"),
    ]);
    let found = reckon(&answer, 750, &bare(), true);
    assert_eq!(found.total, money("EUR 5150"));
    assert_eq!(found.range, Some((money("EUR 4650"), money("EUR 6150"))));
    assert!(found.parts.iter().all(|part| part.assumed));
    assert_eq!(reckon(&answer, 500, &bare(), true).range, None);
}

#[test]
fn a_rate_serves_both_ways_and_without_one_nothing_is_added() {
    let mut landing = bare();
    landing.currency = Currency::USD;
    let answer = answer(&[
        ("printer", "quay"),
        ("currency", "EUR"),
        ("total 100", "920"),
    ]);
    let none = landed(&answer, 100, &footing(&landing, true)).unwrap_err();
    assert!(matches!(none, PriceError::NoRate { .. }), "{none}");
    landing.rates.push(dollars());
    assert_eq!(
        reckon(&answer, 100, &landing, true).total,
        money("USD 1000")
    );
}

/// 1.00 GBP by 200.000000001 GBP for 1 EUR is 0.004999999999975 EUR: to nine decimals first it would be
/// 0.005, and then a cent.
#[test]
fn a_sum_in_another_currency_is_rounded_once() {
    let mut landing = bare();
    landing.rates.push(Rate {
        from: Currency::EUR,
        to: Currency::GBP,
        rate: decimal("200.000000001"),
        ..dollars()
    });
    let answer = answer(&[("printer", "quay"), ("currency", "GBP"), ("total 100", "1")]);
    let found = reckon(&answer, 100, &landing, true);
    assert_eq!(found.total, money("EUR 0.00"));
    // A rate that is said the other way round is named as one where the sum stands.
    let how = &found.parts[0].how;
    assert!(
        how.contains("the other way round, divided by 200.000000001 GBP for 1 EUR"),
        "{how}"
    );
}

/// Two examples of the customs of New Zealand (goods NZ$1,000, insurance and freight NZ$100, duty 5 % of
/// the goods, tax 15 %), published with an answer under the Official Information Act: fyi.org.nz, request
/// 657, "Examples of how to calculate Customs Charges".
#[test]
fn duty_may_be_taken_on_the_goods_alone() {
    let answer = answer(&[
        ("printer", "delta"),
        ("currency", "EUR"),
        ("total 1", "1000"),
        ("term", "FOB"),
        ("freight", "100"),
    ]);
    let reckoned = |duty: &str, duty_on: DutyOn| {
        let mut landing = bare();
        let import = import(duty, "15", None);
        landing.imports.push(Import { duty_on, ..import });
        let found = reckon(&answer, 1, &landing, false);
        (
            found.of(PartKind::Duty).unwrap(),
            found.of(PartKind::Tax).unwrap(),
        )
    };
    let goods = |duty| reckoned(duty, DutyOn::Goods);
    assert_eq!(goods("0"), (money("EUR 0"), money("EUR 165")));
    assert_eq!(goods("5"), (money("EUR 50"), money("EUR 172.50")));
    assert_eq!(
        reckoned("5", DutyOn::GoodsAndWay),
        (money("EUR 55"), money("EUR 173.25"))
    );
}

#[test]
fn a_sum_beyond_reckoning_says_so() {
    let answer = answer(&[
        ("printer", "quay"),
        ("currency", "EUR"),
        ("total 1", "999999999999999"),
        ("one-off dies", "999999999999999"),
    ]);
    let error = landed(&answer, 1, &footing(&bare(), true)).unwrap_err();
    assert!(error.to_string().contains("larger than any"), "{error}");
}

#[test]
fn copies_that_cross_one_more_border_are_named() {
    let answer = answer(&[
        ("printer", "quay"),
        ("currency", "EUR"),
        ("total 10", "92"),
        ("freight", "9"),
        ("term", "DAP"),
    ]);
    let landing = bare();
    let place = |name: &str, country: &str, share: &str| Delivery {
        place: name.to_owned(),
        country: country.to_owned(),
        share: percent(share),
        line: 1,
    };
    let places = [place("Studio", "PT", "75"), place("Fair", "NO", "25")];
    let there = Footing {
        deliveries: &places,
        ..footing(&landing, true)
    };
    let found = landed(&answer, 10, &there).unwrap();
    assert!(
        found.missing[0].contains("customs of NO for 25 %"),
        "{:?}",
        found.missing
    );
    let to_check = price::landed::to_check(&answer, &there).unwrap().join(" ");
    assert!(
        to_check.contains("Studio (75 %), Fair (25 %)"),
        "{to_check}"
    );
}

#[test]
fn no_copies_cost_nothing_that_could_be_said() {
    let answer = answer(&[("printer", "quay"), ("currency", "EUR"), ("total 1", "92")]);
    let of = |copies| landed(&answer, copies, &footing(&Landing::default(), true));
    assert!(matches!(of(0), Err(PriceError::NoAmount(_))));
    // The one copy is not fit to be sold by the usual spoilage, rounded up.
    assert!(matches!(of(1), Err(PriceError::NoAmount(_))));
    assert!(of(u64::MAX).is_err());
}

proptest! {
    #[test]
    fn dearer_freight_is_never_cheaper_in_hand(
        freight in 0_u32..100_000,
        more in 0_u32..100_000,
        rates in prop::array::uniform3(0_u32..40),
        goods_alone in any::<bool>(),
    ) {
        let of = |part: u32| percent(&part.to_string());
        let mut landing = Landing {
            insurance: Some(of(rates[0])),
            ..bare()
        };
        landing.rates.push(dollars());
        let on = if goods_alone { DutyOn::Goods } else { DutyOn::GoodsAndWay };
        let import = import(&rates[1].to_string(), &rates[2].to_string(), None);
        landing.imports.push(Import { duty_on: on, ..import });
        let total = |freight: u32| {
            let answer = answer(&[
                ("printer", "delta"),
                ("currency", "USD"),
                ("term", "FCA"),
                ("total 100", "1234.56"),
                ("freight", &freight.to_string()),
            ]);
            reckon(&answer, 100, &landing, false).total.minor()
        };
        prop_assert!(total(freight) <= total(freight + more));
    }

    #[test]
    fn the_parts_sum_to_the_total_and_a_copy_costs_its_share(
        prices in prop::collection::btree_map(1_u64..3_000, 1_u32..2_000_000, 1..5),
        copies in 2_u64..6_000,
        one_off in 0_u32..100_000,
        freight in 0_u32..100_000,
        rates in prop::array::uniform4(0_u32..40),
        home in any::<bool>(),
    ) {
        let mut fields = vec![
            ("printer".to_owned(), "delta".to_owned()),
            ("currency".to_owned(), "USD".to_owned()),
            ("term".to_owned(), "FCA".to_owned()),
            ("one-off plates".to_owned(), one_off.to_string()),
            ("freight".to_owned(), freight.to_string()),
        ];
        fields.extend(prices.iter().map(|(n, cents)| {
            (format!("total {n}"), format!("{}.{:02}", cents / 100, cents % 100))
        }));
        let fields: Vec<(&str, &str)> = fields
            .iter()
            .map(|(name, value)| (name.as_str(), value.as_str()))
            .collect();
        let of = |part: u32| percent(&part.to_string());
        let mut landing = Landing {
            insurance: Some(of(rates[0])),
            spoilage: Some(of(rates[1])),
            ..Landing::default()
        };
        landing.rates.push(dollars());
        landing.imports.push(import(&rates[2].to_string(), &rates[3].to_string(), None));
        match landed(&answer(&fields), copies, &footing(&landing, home)) {
            Ok(found) => {
                let mut sum = Money::zero(Currency::EUR);
                for part in &found.parts {
                    sum = sum.plus(part.in_hand).unwrap();
                }
                prop_assert_eq!(sum, found.total);
                prop_assert!(found.good <= copies && found.good > 0);
                if let Some((low, high)) = found.range {
                    prop_assert!(low.minor() <= found.total.minor() + 3);
                    prop_assert!(found.total.minor() <= high.minor() + 3);
                }
            }
            Err(error) => prop_assert!(matches!(error, PriceError::NoAmount(_)), "{error}"),
        }
    }
}

#[test]
fn deliveries_do_not_change_what_is_reckoned() {
    let answer = answer(&[("printer", "quay"), ("currency", "EUR"), ("total 10", "92")]);
    let landing = bare();
    let places = [Delivery {
        place: "Studio".to_owned(),
        country: String::new(),
        share: Decimal::ONE,
        line: 1,
    }];
    let there = Footing {
        landing: &landing,
        deliveries: &places,
        home: true,
        charges: &[],
    };
    assert_eq!(
        landed(&answer, 10, &there).unwrap().total,
        reckon(&answer, 10, &landing, true).total
    );
}
