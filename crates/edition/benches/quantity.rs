//! How long it takes to draw the demand, which is done when audiences change, and to reckon all quantities,
//! which is done when a slider moves.

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use edition::quantity::{
    Around, Audience, Channel, Conversion, Cost, Draws, Ground, Season, Sheet, When,
};
use jiff::civil::date;
use measure::{Currency, Money};

fn ground() -> Ground {
    let audiences = [
        ("letter to readers", 8_000, 0.005, 0.015, 0.04),
        ("pictures shown online", 52_000, 0.001, 0.004, 0.012),
        ("conventions", 1_800, 0.01, 0.03, 0.07),
    ];
    let audiences = audiences.map(|(place, people, low, likely, high)| {
        let share = Conversion::of_points(place, low, likely, high).expect("these are in order");
        Audience {
            place: place.to_owned(),
            people,
            prior: share,
            now: share,
            sold: 0,
            by: String::new(),
        }
    });
    let channels = [
        ("own shop", 0.55, 0, 35.0, 7),
        ("conventions", 0.15, 0, 41.0, 0),
        ("bookshops", 0.25, 0, 21.0, 60),
        ("campaign", 0.05, 140, 38.0, 14),
    ];
    let channels = channels.map(|(name, share, pledged, brings, pays_after)| Channel {
        name: name.to_owned(),
        share,
        pledged,
        brings,
        pays_after,
    });
    Ground {
        currency: Currency::EUR,
        audiences: audiences.to_vec(),
        channels: channels.to_vec(),
        season: Season::default(),
        together: 0.3,
        storage: 18.0,
        leftover: 5.0,
        too_many: 200,
        assumed: Vec::new(),
    }
    .checked()
    .expect("this ground is sound")
}

/// Sixty quantities.
fn costs() -> Vec<Cost> {
    let costs = (1..=60_u64).map(|place| {
        let copies = place * 50;
        let total = Money::from_minor(420_000 + 780 * copies as i64, Currency::EUR);
        Cost {
            copies,
            good: copies * 99 / 100,
            total,
            to_printer: total,
        }
    });
    costs.collect()
}

fn quantity(criterion: &mut Criterion) {
    let (ground, costs) = (ground(), costs());
    let draws = Draws::of(&ground, 1);
    let when = When {
        order: date(2027, 1, 11),
        in_hand: date(2027, 4, 5),
        paid: Vec::new(),
    };
    let around = Around {
        when: &when,
        volume: 0.0012,
        sold_out_by: Some(date(2027, 12, 1)),
    };
    let one = rayon::ThreadPoolBuilder::new()
        .num_threads(1)
        .build()
        .expect("one thread can be had");
    let mut group = criterion.benchmark_group("quantity");
    group.bench_function("draw the demand of three audiences, one core", |bencher| {
        one.install(|| bencher.iter(|| Draws::of(black_box(&ground), 1)));
    });
    group.bench_function("reckon sixty quantities", |bencher| {
        bencher.iter(|| Sheet::of(&ground, black_box(&draws), &costs, around));
    });
    group.finish();
}

criterion_group!(benches, quantity);
criterion_main!(benches);
