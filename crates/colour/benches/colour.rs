//! The tables' speed by themselves, to see what a change of a kernel does. Ratios against the
//! reference library are in `examples/bench_colour.rs`.

use std::hint::black_box;

use colour::{
    Compensation, Departure, InkLimit, Intent, PaperView, PressCondition, Profile, Recipe,
    Separation, SoftProof, Trial,
};
use criterion::{Criterion, Throughput, criterion_group, criterion_main};

const PIXELS: usize = 1 << 18;

fn tables(criterion: &mut Criterion) {
    let press = PressCondition::built_in("coated").expect("a built-in condition");
    let recipe = Recipe {
        source: Profile::srgb(),
        press: press.clone(),
        intent: Intent::Perceptual,
        ink_limit: InkLimit::from_percent(280.0).expect("a limit in range"),
        compensation: Compensation::NONE,
        departure: None,
    };
    let table = Separation::build(&recipe).expect("a built-in condition separates");
    let rgb: Vec<u8> = (0..3 * PIXELS).map(|i| (i * 7 / 11 % 256) as u8).collect();
    let wide: Vec<u16> = rgb.iter().map(|&byte| u16::from(byte) * 257).collect();
    let mut cmyk = vec![0; 4 * PIXELS];
    let mut screen = vec![0; 3 * PIXELS];

    let mut group = criterion.benchmark_group("colour");
    group.throughput(Throughput::Elements(PIXELS as u64));
    group.bench_function("separate 8 bit", |bencher| {
        bencher.iter(|| table.convert_rgb8(black_box(&rgb), &mut cmyk));
    });
    group.bench_function("separate 16 bit", |bencher| {
        bencher.iter(|| table.convert_rgb16(black_box(&wide), &mut cmyk));
    });
    let proof = SoftProof::build(&press, PaperView::Shown).expect("a built-in condition proofs");
    group.bench_function("soft proof", |bencher| {
        bencher.iter(|| proof.convert(black_box(&cmyk), &mut screen));
    });
    let trial = Trial::prepare(&recipe, None, PaperView::Shown).expect("a built-in condition");
    let usual = Compensation::built_in("usual").expect("a built-in recipe");
    let tried = trial.table(&usual);
    group.bench_function("trial", |bencher| {
        bencher.iter(|| tried.convert_rgb8(black_box(&rgb), &mut screen));
    });
    group.finish();
    criterion.bench_function("a trial's table", |bencher| {
        bencher.iter(|| trial.table(black_box(&usual)));
    });
    let whole = Recipe {
        compensation: usual,
        departure: Some(Departure {
            tone: vec![(0.0, 0.0), (50.0, 43.0), (100.0, 100.0)],
            saturation: vec![1.1, 1.05, 1.1],
            hue: vec![0.0, 3.0, -2.0],
            depth: vec![1.0, 1.1],
            lift: vec![0.0, 1.0, -1.0],
            cast: vec![(0.0, 0.0), (1.0, 0.5), (0.0, 0.0)],
        }),
        ..recipe.clone()
    };
    criterion.bench_function("build with compensation and departure", |bencher| {
        bencher.iter(|| Separation::build(black_box(&whole)).is_ok());
    });
    criterion.bench_function("build a separation", |bencher| {
        bencher.iter(|| Separation::build(black_box(&recipe)).is_ok());
    });
}

criterion_group!(benches, tables);
criterion_main!(benches);
