//! Speed and accuracy of the tables against Little CMS in the same run, on one core, as one JSON
//! object a line: `name`, `value`, `unit`, `against`, `ratio`.
//!
//! Run alone and in release. CMYK output profiles given as arguments are measured besides the
//! built-in conditions; with the argument `accuracy` nothing is timed.

use std::hint::black_box;
use std::time::Instant;

use colour::{
    Compensation, Departure, InkLimit, Intent, Lab, PaperView, PressCondition, Profile, Recipe,
    Separation, SoftProof, Trial, delta_e_2000,
};
use lcms2::{CIExyY, DisallowCache, Flags, GlobalContext, PixelFormat, Transform};
use rayon::prelude::*;

/// Pixels of a timed picture.
const PIXELS: usize = 1 << 21;
/// Rounds of each; the best counts, since the machine is shared.
const ROUNDS: usize = 7;

type Bytes = Transform<u8, u8, GlobalContext, DisallowCache>;

fn main() {
    let painting = painting();
    let noise = noise(PIXELS);
    let mut presses: Vec<PressCondition> = PressCondition::built_in_names()
        .iter()
        .filter_map(|name| PressCondition::built_in(name))
        .collect();
    let mut timed = true;
    for path in std::env::args().skip(1) {
        if path == "accuracy" {
            timed = false;
            continue;
        }
        let opened = std::fs::read(&path)
            .map_err(|error| error.to_string())
            .and_then(|bytes| Profile::open(&bytes).map_err(|error| error.to_string()))
            .and_then(|profile| {
                PressCondition::from_profile(&path, profile).map_err(|error| error.to_string())
            });
        match opened {
            Ok(press) => presses.push(press),
            Err(error) => eprintln!("{path}: {error}"),
        }
    }
    for (i, press) in presses.iter().enumerate() {
        let recipe = recipe(press, 400.0);
        let table = Separation::build(&recipe).expect("a press condition separates");
        if timed {
            building(press);
            treating(press, &painting);
        }
        if i == 0 && timed {
            for (kind, rgb) in [("painting", &painting), ("noise", &noise)] {
                separating(kind, rgb, &recipe, &table);
            }
            proofing(press, &painting, &table);
        }
        accuracy(press, &recipe, &table, &noise[..3 * 200_000]);
    }
}

fn recipe(press: &PressCondition, limit: f64) -> Recipe {
    Recipe {
        source: Profile::srgb(),
        press: press.clone(),
        intent: Intent::Perceptual,
        ink_limit: InkLimit::from_percent(limit).expect("a limit in range"),
        compensation: Compensation::NONE,
        departure: None,
    }
}

fn building(press: &PressCondition) {
    for limit in [400.0, 300.0, 240.0, 200.0] {
        let recipe = recipe(press, limit);
        let seconds = best(|| {
            black_box(Separation::build(&recipe).is_ok());
        });
        line(
            &format!("colour.build.{}.{limit:.0}", press.name),
            seconds,
            "s",
            "all cores",
            None,
        );
    }
}

/// What a person waits for: a table with everything in it, and a figure that is slid.
fn treating(press: &PressCondition, rgb: &[u8]) {
    let usual = Compensation::built_in("usual").expect("a built-in recipe");
    let heavy = Departure {
        tone: vec![(0.0, 0.0), (25.0, 20.0), (50.0, 43.0), (100.0, 100.0)],
        saturation: vec![1.1, 1.05, 1.1, 1.0, 1.12, 1.08],
        hue: vec![0.0, 3.0, 0.0, -2.0],
        depth: vec![1.0, 1.05, 1.1],
        lift: vec![0.0, 1.0, 0.0, -1.0],
        cast: vec![(0.0, 0.0), (1.0, 0.5), (0.0, 0.0)],
    };
    for (what, departure) in [("compensated", None), ("corrected", Some(heavy))] {
        let recipe = Recipe {
            compensation: usual,
            departure,
            ..recipe(press, press.ink_limit.percent())
        };
        let seconds = best(|| {
            black_box(Separation::build(&recipe).is_ok());
        });
        let name = format!("colour.build.{what}.{}", press.name);
        line(
            &name,
            seconds,
            "s",
            "all cores; promised 1 s",
            Some(seconds),
        );
        let trial = Trial::prepare(&recipe, None, PaperView::Shown).expect("a condition tries");
        let picture = &rgb[..3 * 1_500_000];
        let mut screen = vec![0; picture.len()];
        let seconds = best(|| {
            let table = trial.table(black_box(&usual));
            screen
                .par_chunks_mut(3 << 16)
                .zip(picture.par_chunks(3 << 16))
                .for_each(|(screen, rgb)| table.convert_rgb8(rgb, screen));
        });
        let name = format!("colour.trial.{what}.{}", press.name);
        let against = "1.5 megapixels, all cores; promised 0.04 s";
        line(&name, seconds, "s", against, Some(seconds / 0.04));
    }
}

fn separating(kind: &str, rgb: &[u8], recipe: &Recipe, table: &Separation) {
    let theirs = bytes(
        (&recipe.source, PixelFormat::RGB_8),
        (&recipe.press.profile, PixelFormat::CMYK_8),
        lcms2::Intent::Perceptual,
        Flags::NO_CACHE,
    );
    let mut cmyk = vec![0; rgb.len() / 3 * 4];
    let (ours, theirs) = race(
        &mut cmyk,
        |cmyk| table.convert_rgb8(rgb, cmyk),
        |cmyk| theirs.transform_pixels(rgb, cmyk),
    );
    let rate = |seconds: f64| rgb.len() as f64 / 3e6 / seconds;
    line(
        &format!("colour.separate.{kind}"),
        rate(ours),
        "Mpixel/s",
        &format!("Little CMS 8 bit, no cache: {:.1} Mpixel/s", rate(theirs)),
        Some(theirs / ours),
    );
    let wide: Vec<u16> = rgb.iter().map(|&byte| u16::from(byte) * 257).collect();
    let seconds = best(|| table.convert_rgb16(&wide, &mut cmyk));
    line(
        &format!("colour.separate16.{kind}"),
        rate(seconds),
        "Mpixel/s",
        "Little CMS 8 bit, no cache",
        Some(theirs / seconds),
    );
}

fn proofing(press: &PressCondition, rgb: &[u8], table: &Separation) {
    let mut inks = vec![0; rgb.len() / 3 * 4];
    table.convert_rgb8(rgb, &mut inks);
    let theirs = bytes(
        (&press.profile, PixelFormat::CMYK_8),
        (&Profile::srgb(), PixelFormat::RGB_8),
        lcms2::Intent::AbsoluteColorimetric,
        Flags::NO_CACHE,
    );
    // The library's CMYK bytes run 0 to 255 for no ink to solid, as ours do.
    let proof = SoftProof::build(press, PaperView::Shown).expect("a press condition proofs");
    let mut screen = vec![0; rgb.len()];
    let (ours, theirs) = race(
        &mut screen,
        |screen| proof.convert(&inks, screen),
        |screen| theirs.transform_pixels(&inks, screen),
    );
    let rate = |seconds: f64| rgb.len() as f64 / 3e6 / seconds;
    line(
        "colour.proof.painting",
        rate(ours),
        "Mpixel/s",
        &format!("Little CMS 8 bit, no cache: {:.1} Mpixel/s", rate(theirs)),
        Some(theirs / ours),
    );
}

/// ΔE00 to the library's unoptimised floats: ours, and the library's own 8-bit ways.
fn accuracy(press: &PressCondition, recipe: &Recipe, table: &Separation, rgb: &[u8]) {
    let floats: Vec<[f32; 3]> = rgb
        .chunks_exact(3)
        .map(|pixel| [0, 1, 2].map(|i| f32::from(pixel[i]) / 255.0))
        .collect();
    let exact: Transform<[f32; 3], [f32; 4]> = Transform::new_flags(
        &open(&recipe.source),
        PixelFormat::RGB_FLT,
        &open(&press.profile),
        PixelFormat::CMYK_FLT,
        lcms2::Intent::Perceptual,
        Flags::NO_OPTIMIZE,
    )
    .expect("the library builds the transform");
    let mut inks = vec![[0.0; 4]; floats.len()];
    exact.transform_pixels(&floats, &mut inks);
    let wanted = labs(press, &inks);

    let mut cmyk = vec![0; floats.len() * 4];
    table.convert_rgb8(rgb, &mut cmyk);
    let ours = off(press, &wanted, &cmyk);
    let theirs = |flags: Flags<DisallowCache>| {
        let transform = bytes(
            (&recipe.source, PixelFormat::RGB_8),
            (&press.profile, PixelFormat::CMYK_8),
            lcms2::Intent::Perceptual,
            flags,
        );
        let mut cmyk = vec![0; floats.len() * 4];
        transform.transform_pixels(rgb, &mut cmyk);
        off(press, &wanted, &cmyk)
    };
    let fine = theirs(Flags::NO_CACHE | Flags::HIGHRES_PRECALC);
    let usual = theirs(Flags::NO_CACHE);
    let floor: Vec<u8> = inks
        .iter()
        .flatten()
        .map(|ink| (ink * 2.55).round().clamp(0.0, 255.0) as u8)
        .collect();
    let floor = off(press, &wanted, &floor);
    for (name, which) in [("mean", 0), ("p99", 1), ("max", 2)] {
        line(
            &format!("colour.error.{name}.{}", press.name),
            ours[which],
            "ΔE00",
            &format!(
                "Little CMS high resolution {:.4}, default {:.4}, rounding alone {:.4}; {} nodes a side",
                fine[which],
                usual[which],
                floor[which],
                table.side()
            ),
            Some(ours[which] / fine[which]),
        );
    }
}

fn off(press: &PressCondition, wanted: &[Lab], cmyk: &[u8]) -> [f64; 3] {
    let inks: Vec<[f32; 4]> = cmyk
        .chunks_exact(4)
        .map(|pixel| [0, 1, 2, 3].map(|i| f32::from(pixel[i]) / 2.55))
        .collect();
    let mut off: Vec<f64> = wanted
        .iter()
        .zip(labs(press, &inks))
        .map(|(one, other)| delta_e_2000(*one, other))
        .collect();
    off.sort_by(f64::total_cmp);
    [
        off.iter().sum::<f64>() / off.len() as f64,
        off[off.len() * 99 / 100],
        off[off.len() - 1],
    ]
}

fn labs(press: &PressCondition, inks: &[[f32; 4]]) -> Vec<Lab> {
    let white = CIExyY {
        x: 0.345_702_915,
        y: 0.358_538_597,
        Y: 1.0,
    };
    let lab = lcms2::Profile::new_lab4_context(GlobalContext::new(), &white)
        .expect("the library makes a Lab profile");
    let transform: Transform<[f32; 4], [f32; 3]> = Transform::new_flags(
        &open(&press.profile),
        PixelFormat::CMYK_FLT,
        &lab,
        PixelFormat::Lab_FLT,
        lcms2::Intent::RelativeColorimetric,
        Flags::NO_OPTIMIZE,
    )
    .expect("the library builds the transform");
    let mut labs = vec![[0.0; 3]; inks.len()];
    transform.transform_pixels(inks, &mut labs);
    labs.into_iter()
        .map(|[l, a, b]| Lab {
            l: f64::from(l),
            a: f64::from(a),
            b: f64::from(b),
        })
        .collect()
}

fn bytes(
    (from, from_format): (&Profile, PixelFormat),
    (to, to_format): (&Profile, PixelFormat),
    intent: lcms2::Intent,
    flags: Flags<DisallowCache>,
) -> Bytes {
    Transform::new_flags_context(
        GlobalContext::new(),
        &open(from),
        from_format,
        &open(to),
        to_format,
        intent,
        flags,
    )
    .expect("the library builds the transform")
}

fn open(profile: &Profile) -> lcms2::Profile {
    lcms2::Profile::new_icc(profile.bytes()).expect("a profile that was opened opens")
}

/// Best seconds of each, by turns.
fn race(
    to: &mut [u8],
    mut ours: impl FnMut(&mut [u8]),
    mut theirs: impl FnMut(&mut [u8]),
) -> (f64, f64) {
    let mut least = (f64::MAX, f64::MAX);
    for _ in 0..ROUNDS {
        let start = Instant::now();
        ours(to);
        black_box(&mut *to);
        least.0 = least.0.min(start.elapsed().as_secs_f64());
        let start = Instant::now();
        theirs(to);
        black_box(&mut *to);
        least.1 = least.1.min(start.elapsed().as_secs_f64());
    }
    least
}

fn best(mut run: impl FnMut()) -> f64 {
    (0..ROUNDS)
        .map(|_| {
            let start = Instant::now();
            run();
            start.elapsed().as_secs_f64()
        })
        .fold(f64::MAX, f64::min)
}

/// Soft washes of colour with grain, as in a scanned painting: neighbours differ by a few bytes.
fn painting() -> Vec<u8> {
    let width = 2048;
    let mut grain = Grain(5);
    let mut rgb = Vec::with_capacity(3 * PIXELS);
    for pixel in 0..PIXELS {
        let x = (pixel % width) as f32 / width as f32;
        let y = (pixel / width) as f32 / (PIXELS / width) as f32;
        for channel in 0..3 {
            let c = channel as f32;
            let wash = 128.0
                + 70.0 * (x * (9.0 + 4.0 * c) + y * 5.0 + c).sin()
                + 50.0 * (y * (13.0 - 3.0 * c) - x * 7.0).cos();
            let grain = (grain.next() >> 61) as f32 - 3.5;
            rgb.push((wash + grain).clamp(0.0, 255.0) as u8);
        }
    }
    rgb
}

/// Every pixel another colour: the worst case for memory.
fn noise(pixels: usize) -> Vec<u8> {
    let mut grain = Grain(1);
    (0..3 * pixels)
        .map(|_| (grain.next() >> 56) as u8)
        .collect()
}

/// SplitMix64, after Steele, Lea and Flood 2014.
struct Grain(u64);

impl Grain {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }
}

fn line(name: &str, value: f64, unit: &str, against: &str, ratio: Option<f64>) {
    let ratio = ratio.map_or("null".into(), |ratio| format!("{ratio:.3}"));
    let name = name.escape_default();
    let against = against.replace(['"', '\\'], "");
    println!(
        r#"{{"name":"{name}","value":{value:.4},"unit":"{unit}","against":"{against}","ratio":{ratio}}}"#
    );
}
