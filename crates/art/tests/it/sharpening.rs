//! Sharpening does what it says of edges, and nothing to flats, greys, hues and noise.

use art::{Picture, Samples, Sharpen, Softening, Strength, Surface, sharpen};
use measure::Resolution;
use proptest::prelude::*;

use crate::making::*;

/// L*, a*, b* of sRGB, 0 to 1, under its own white (IEC 61966-2-1, CIE 15).
fn lab(rgb: [f64; 3]) -> [f64; 3] {
    let [r, g, b] = rgb.map(|value| {
        if value <= 0.04045 {
            value / 12.92
        } else {
            ((value + 0.055) / 1.055).powf(2.4)
        }
    });
    let x = (0.4124 * r + 0.3576 * g + 0.1805 * b) / 0.9505;
    let y = 0.2126 * r + 0.7152 * g + 0.0722 * b;
    let z = (0.0193 * r + 0.1192 * g + 0.9505 * b) / 1.089;
    let f = |t: f64| {
        if t > 216.0 / 24389.0 {
            t.cbrt()
        } else {
            (t * 24389.0 / 27.0 + 16.0) / 116.0
        }
    };
    let [x, y, z] = [x, y, z].map(f);
    [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
}

/// The grey of an L*, as 16 bits.
fn grey(lightness: f64) -> u16 {
    let y = if lightness > 8.0 {
        ((lightness + 16.0) / 116.0).powi(3)
    } else {
        lightness * 27.0 / 24389.0
    };
    let encoded = if y <= 0.003_130_8 {
        y * 12.92
    } else {
        1.055 * y.powf(1.0 / 2.4) - 0.055
    };
    (encoded * 65535.0).round() as u16
}

fn lightness(grey: u16) -> f64 {
    lab([f64::from(grey) / 65535.0; 3])[0]
}

fn greys(picture: &Picture) -> Vec<f64> {
    match &picture.samples {
        Samples::Grey16(samples) => samples.iter().map(|&grey| lightness(grey)).collect(),
        _ => panic!("expected 16-bit grey"),
    }
}

fn plain(amount: f64, radius: f64) -> Sharpen {
    Sharpen::new(amount, radius, 0.0, 100.0).unwrap()
}

fn softening(surface: Surface, ppi: f64) -> Softening {
    Softening {
        surface,
        ruling_lpi: None,
        resolution: Resolution::from_ppi(ppi).unwrap(),
    }
}

fn for_paper(surface: Surface, ppi: f64, strength: Strength) -> Sharpen {
    Sharpen::for_paper(softening(surface, ppi), strength).unwrap()
}

/// Waves of a frequency across the picture, `depth` L* to either side of 50.
fn waves(width: usize, height: usize, cycles_per_px: f64, depth: f64) -> Picture {
    let samples = (0..width * height)
        .map(|at| {
            let turn = std::f64::consts::TAU * cycles_per_px * ((at % width) as f64 + 0.25);
            grey(50.0 + depth * turn.sin())
        })
        .collect();
    picture(width as u32, height as u32, Samples::Grey16(samples))
}

/// How deep the waves of a frequency are in the middle row, by its Fourier component.
fn depth(picture: &Picture, cycles_per_px: f64) -> f64 {
    let width = picture.size.width as usize;
    let middle = picture.size.height as usize / 2;
    let row = &greys(picture)[middle * width..][..width];
    // Whole periods away from the borders.
    let (from, to) = (width / 4, width / 4 * 3);
    let (mut sine, mut cosine) = (0.0, 0.0);
    for (x, value) in row.iter().enumerate().take(to).skip(from) {
        let turn = std::f64::consts::TAU * cycles_per_px * x as f64;
        sine += (value - 50.0) * turn.sin();
        cosine += (value - 50.0) * turn.cos();
    }
    2.0 * f64::hypot(sine, cosine) / (to - from) as f64
}

#[test]
fn flats_stay_as_they_are_to_the_last_bit() {
    for value in [0, 1, 77, 128, 254, 255_u8] {
        let flat = picture(
            70,
            50,
            Samples::Rgb8([value, value / 2, 255 - value].repeat(3500)),
        );
        let sharp = sharpen(flat.clone(), &Sharpen::new(5.0, 3.0, 0.0, 100.0).unwrap());
        assert_eq!(sharp.samples, flat.samples);
        let wide = u16::from(value) * 251;
        let flat = picture(70, 50, Samples::Grey16(vec![wide; 3500]));
        let sharp = sharpen(
            flat.clone(),
            &for_paper(Surface::Uncoated, 300.0, Strength::Strong),
        );
        assert_eq!(sharp.samples, flat.samples);
    }
}

#[test]
fn modulation_grows_by_the_gain_that_is_stated() {
    for (amount, radius) in [(1.0, 0.6), (1.7, 1.0), (0.5, 4.0), (3.0, 2.0)] {
        let how = plain(amount, radius);
        for cycles_per_px in [1.0 / 64.0, 1.0 / 16.0, 1.0 / 8.0, 0.25, 0.375] {
            let before = waves(256, 40, cycles_per_px, 5.0);
            let grown = depth(&sharpen(before.clone(), &how), cycles_per_px)
                / depth(&before, cycles_per_px);
            let stated = how.gain(cycles_per_px);
            assert!(
                (grown / stated - 1.0).abs() < 0.01,
                "{amount} at {radius} px, {cycles_per_px}: {grown} for {stated}"
            );
        }
    }
}

#[test]
fn the_gain_is_that_of_a_gaussian() {
    // Formula: 1 + a (1 - exp(-2 (π s f)²)), exact for deviations well over a pixel.
    let how = plain(1.5, 2.0);
    for f in [0.01, 0.05, 0.1, 0.2] {
        let left = (-2.0 * (std::f64::consts::PI * 2.0 * f).powi(2)).exp();
        assert!(
            (how.gain(f) - (1.0 + 1.5 * (1.0 - left))).abs() < 0.01,
            "{f}"
        );
    }
    assert!((how.gain(0.0) - 1.0).abs() < 1e-6);
}

#[test]
fn modest_sharpening_makes_good_what_paper_and_screen_take() {
    for surface in [Surface::Coated, Surface::Uncoated] {
        for ppi in [200.0, 300.0, 400.0, 600.0] {
            let how = for_paper(surface, ppi, Strength::Modest);
            // What the paper leaves, as a Gaussian of the same spread.
            let blur = plain(1.0, how.radius_px());
            let left = |f: f64| 2.0 - blur.gain(f);
            let px = |per_mm: f64| per_mm * 25.4 / ppi;
            let whole = how.gain(px(2.0)) * left(px(2.0));
            assert!((whole - 1.0).abs() < 0.001, "{surface:?} {ppi}: {whole}");
            // Coarser detail is not overdone, and all is nearer to the art than without.
            for per_mm in [0.1, 0.25, 0.5, 1.0, 1.5, 2.0, 3.0] {
                let f = px(per_mm);
                let (with, without) = (how.gain(f) * left(f), left(f));
                assert!(with < 1.10, "{surface:?} {ppi} {per_mm}: {with}");
                assert!(
                    (with - 1.0).abs() <= (without - 1.0).abs() + 0.1,
                    "{per_mm}"
                );
            }
            let strong = for_paper(surface, ppi, Strength::Strong);
            assert!((strong.amount() / how.amount() - 1.5).abs() < 1e-9);
        }
        // The same blur on paper, however many pixels there are to the inch.
        let mm = |ppi: f64| for_paper(surface, ppi, Strength::Modest).radius_px() * 25.4 / ppi;
        assert!((mm(200.0) - mm(600.0)).abs() < 1e-9);
    }
    let amount = |surface| for_paper(surface, 300.0, Strength::Modest).amount();
    assert!(amount(Surface::Uncoated) > amount(Surface::Coated));
}

#[test]
fn a_coarser_screen_wants_more_and_a_pixel_that_is_too_coarse_none() {
    let with = |ruling_lpi| {
        let softening = Softening {
            ruling_lpi,
            ..softening(Surface::Coated, 300.0)
        };
        Sharpen::for_paper(softening, Strength::Modest).unwrap()
    };
    assert!(with(Some(85.0)).amount() > with(Some(133.0)).amount());
    assert_eq!(with(Some(175.0)), with(None));
    let at = |ppi| Sharpen::for_paper(softening(Surface::Coated, ppi), Strength::Modest);
    assert_eq!(at(72.0), None);
    assert!(at(150.0).is_some());
    let absurd = [f64::NAN, 0.0, -1.0, f64::INFINITY, 1e-300, 1e300];
    for ruling in absurd {
        let softening = Softening {
            ruling_lpi: Some(ruling),
            ..softening(Surface::Coated, 300.0)
        };
        if let Some(how) = Sharpen::for_paper(softening, Strength::Strong) {
            assert!(how.amount().is_finite() && how.radius_px().is_finite());
        }
    }
}

#[test]
fn overshoot_at_an_edge_is_bounded() {
    let how = for_paper(Surface::Uncoated, 300.0, Strength::Modest);
    let samples = (0..60 * 40)
        .map(|at| grey(if at % 60 < 30 { 20.0 } else { 80.0 }))
        .collect();
    let edge = picture(60, 40, Samples::Grey16(samples));
    let sharp = greys(&sharpen(edge, &how));
    let low = sharp.iter().copied().fold(f64::INFINITY, f64::min);
    let high = sharp.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    assert!((15.99..16.02).contains(&low), "{low}");
    assert!((83.98..84.01).contains(&high), "{high}");
}

#[test]
fn an_edge_that_paper_blurs_comes_out_nearer_to_the_art() {
    // The same Gaussian that paper and screen are taken for, in light, over a row.
    fn printed(row: &[f64], deviation: f64) -> Vec<f64> {
        (0..row.len())
            .map(|x| {
                let (mut sum, mut weights) = (0.0, 0.0);
                for (other, value) in row.iter().enumerate() {
                    let off = (other as f64 - x as f64) / deviation;
                    let weight = (-0.5 * off * off).exp();
                    sum += weight * value;
                    weights += weight;
                }
                sum / weights
            })
            .collect()
    }
    for surface in [Surface::Coated, Surface::Uncoated] {
        let how = for_paper(surface, 300.0, Strength::Modest);
        // A soft edge, such as a drawn one is after resampling.
        let row: Vec<f64> = (0..80)
            .map(|x| 50.0 + 25.0 * ((f64::from(x) - 39.5) / 1.2).tanh())
            .collect();
        let samples: Vec<u16> = (0..20).flat_map(|_| row.iter().map(|&l| grey(l))).collect();
        let sharp = sharpen(picture(80, 20, Samples::Grey16(samples)), &how);
        let sharp = greys(&sharp)[80 * 10..80 * 11].to_vec();
        let off = |shown: Vec<f64>| -> f64 {
            let squares = shown.iter().zip(&row).map(|(a, b)| (a - b) * (a - b));
            (squares.sum::<f64>() / row.len() as f64).sqrt()
        };
        let (without, with) = (
            off(printed(&row, how.radius_px())),
            off(printed(&sharp, how.radius_px())),
        );
        assert!(with < without / 2.0, "{surface:?}: {without} to {with}");
    }
}

#[test]
fn noise_hardly_grows() {
    let mut numbers = Numbers::new(5);
    let samples: Vec<u16> = (0..128 * 128)
        .map(|_| grey(50.0 + (numbers.next() - 0.5) * 0.8))
        .collect();
    let before = picture(128, 128, Samples::Grey16(samples));
    let spread = |picture: &Picture| {
        let values = greys(picture);
        let squares = values.iter().map(|value| (value - 50.0) * (value - 50.0));
        (squares.sum::<f64>() / values.len() as f64).sqrt()
    };
    let how = for_paper(Surface::Uncoated, 300.0, Strength::Modest);
    let after = sharpen(before.clone(), &how);
    let grown = spread(&after) / spread(&before);
    assert!((1.0..1.10).contains(&grown), "{grown}");
    // Without the threshold the same noise would grow much more.
    let bare = Sharpen::new(how.amount(), how.radius_px(), 0.0, 100.0).unwrap();
    assert!(spread(&sharpen(before.clone(), &bare)) / spread(&before) > 1.8);
}

#[test]
fn hues_and_neutral_greys_stay() {
    let mut numbers = Numbers::new(11);
    // Blocks of colours that lie side by side.
    let colours: Vec<[u16; 3]> = (0..40)
        .map(|_| [(); 3].map(|()| (6000.0 + numbers.next() * 56000.0) as u16))
        .collect();
    let samples: Vec<u16> = (0..60 * 60)
        .flat_map(|at| colours[(at % 60 / 6 + at / 60 / 6 * 7) % 40])
        .collect();
    let how = Sharpen::new(2.0, 1.0, 0.0, 8.0).unwrap();
    let before = picture(60, 60, Samples::Rgb16(samples.clone()));
    let Samples::Rgb16(after) = sharpen(before, &how).samples else {
        panic!()
    };
    assert_ne!(after, samples);
    let unit = |rgb: &[u16]| lab([rgb[0], rgb[1], rgb[2]].map(|v| f64::from(v) / 65535.0));
    for (old, new) in samples.chunks_exact(3).zip(after.chunks_exact(3)) {
        let ([_, a, b], [_, c, d]) = (unit(old), unit(new));
        if a.hypot(b) > 10.0 && c.hypot(d) > 5.0 {
            let turn = (b.atan2(a) - d.atan2(c)).to_degrees().abs();
            let turn = turn.min(360.0 - turn);
            assert!(turn < 2.5, "{old:?} to {new:?} by {turn} degrees");
        }
    }
    let neutral: Vec<u8> = noise(3, 50 * 50).iter().flat_map(|&v| [v; 3]).collect();
    let Samples::Rgb8(after) = sharpen(picture(50, 50, Samples::Rgb8(neutral)), &how).samples
    else {
        panic!()
    };
    assert!(
        after
            .chunks_exact(3)
            .all(|rgb| rgb[0] == rgb[1] && rgb[1] == rgb[2])
    );
}

#[test]
fn inks_are_left_alone() {
    let inks = picture(30, 30, Samples::Cmyk8(noise(9, 30 * 30 * 4)));
    let sharp = sharpen(inks.clone(), &Sharpen::new(2.0, 1.0, 0.0, 8.0).unwrap());
    assert_eq!(sharp.samples, inks.samples);
}

#[test]
fn eight_bits_and_sixteen_agree() {
    let bytes = scene(90, 70, 3);
    let words = bytes.iter().map(|&byte| u16::from(byte) * 257).collect();
    let how = for_paper(Surface::Coated, 300.0, Strength::Strong);
    let narrow = sharpen(picture(90, 70, Samples::Rgb8(bytes.clone())), &how);
    let wide = sharpen(picture(90, 70, Samples::Rgb16(words)), &how);
    let (Samples::Rgb8(narrow), Samples::Rgb16(wide)) = (narrow.samples, wide.samples) else {
        panic!()
    };
    assert_ne!(narrow, bytes);
    for (&byte, &word) in narrow.iter().zip(&wide) {
        assert!((f64::from(byte) - f64::from(word) / 257.0).abs() <= 0.51);
    }
}

#[test]
fn a_part_is_sharpened_as_the_whole_is() {
    // Higher than the rows that one core takes at a time.
    let (width, height) = (64, 150);
    let bytes = scene(width, height, 3);
    let how = for_paper(Surface::Uncoated, 300.0, Strength::Modest);
    let whole = sharpen(picture(64, 150, Samples::Rgb8(bytes.clone())), &how);
    let part = bytes[20 * width * 3..130 * width * 3].to_vec();
    let part = sharpen(picture(64, 110, Samples::Rgb8(part)), &how);
    let (Samples::Rgb8(whole), Samples::Rgb8(part)) = (whole.samples, part.samples) else {
        panic!()
    };
    let margin = how.margin_px() as usize;
    let count = 110 - 2 * margin;
    let rows =
        |samples: &[u8], from: usize| samples[from * width * 3..][..count * width * 3].to_vec();
    assert_eq!(rows(&whole, 20 + margin), rows(&part, margin));
    assert!(margin < 6, "{margin}");
}

#[test]
fn figures_that_mean_nothing_make_no_sharpening() {
    for bad in [f64::NAN, -0.1, f64::INFINITY, 1e9] {
        assert_eq!(Sharpen::new(bad, 1.0, 1.0, 1.0), None);
        assert_eq!(Sharpen::new(1.0, bad, 1.0, 1.0), None);
        assert_eq!(Sharpen::new(1.0, 1.0, bad, 1.0), None);
        assert_eq!(Sharpen::new(1.0, 1.0, 1.0, bad), None);
    }
    assert_eq!(Sharpen::new(1.0, 0.0, 1.0, 1.0), None);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]

    #[test]
    fn no_pixel_passes_its_neighbours_by_more_than_the_halo(
        width in 1_usize..24, height in 1_usize..50, seed in 0_u64..1000,
        amount in 0.0..5.0_f64, radius in 0.25..12.0_f64, halo in 0.0..12.0_f64,
    ) {
        let how = Sharpen::new(amount, radius, 0.5, halo).unwrap();
        let samples: Vec<u16> = noise(seed, width * height)
            .iter()
            .map(|&byte| u16::from(byte) * 257)
            .collect();
        let before = picture(width as u32, height as u32, Samples::Grey16(samples));
        let (old, new) = (greys(&before), greys(&sharpen(before.clone(), &how)));
        for y in 0..height {
            for x in 0..width {
                let around = (y.saturating_sub(1)..=(y + 1).min(height - 1))
                    .flat_map(|y| (x.saturating_sub(1)..=(x + 1).min(width - 1)).map(move |x| (x, y)))
                    .map(|(x, y)| old[y * width + x]);
                let low = around.clone().fold(f64::INFINITY, f64::min) - halo - 0.02;
                let high = around.fold(f64::NEG_INFINITY, f64::max) + halo + 0.02;
                let value = new[y * width + x];
                prop_assert!((low..=high).contains(&value), "{} {} {}", low, value, high);
            }
        }
    }

    #[test]
    fn any_picture_keeps_its_size(
        width in 0_u32..9, height in 0_u32..9, kind in 0_u8..5, seed in 0_u64..1000,
    ) {
        let count = (width * height) as usize;
        let wide = |count| noise(seed, count).iter().map(|&b| u16::from(b) * 199).collect();
        let samples = match kind {
            0 => Samples::Grey8(noise(seed, count)),
            1 => Samples::Grey16(wide(count)),
            2 => Samples::Rgb8(noise(seed, count * 3)),
            3 => Samples::Rgb16(wide(count * 3)),
            _ => Samples::Cmyk8(noise(seed, count * 4)),
        };
        let sharp = sharpen(
            picture(width, height, samples.clone()),
            &Sharpen::new(3.0, 2.0, 0.0, 100.0).unwrap(),
        );
        prop_assert_eq!(sharp.samples.len(), samples.len());
        prop_assert_eq!(sharp.samples.channels(), samples.channels());
    }
}
