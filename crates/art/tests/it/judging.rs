use std::sync::LazyLock;

use art::{Judgement, Picture, Samples, Use, judge, near_duplicates, shrink};
use colour::{InkLimit, Intent, PressCondition, Profile, Reach, Recipe, Separation};
use finding::{Finding, Severity};
use measure::Size;

use crate::making::*;

static REACH: LazyLock<Reach> = LazyLock::new(|| reach("coated"));

fn reach(press: &str) -> Reach {
    let recipe = Recipe {
        source: Profile::srgb(),
        press: PressCondition::built_in(press).unwrap(),
        intent: Intent::Relative,
        ink_limit: InkLimit::from_percent(300.0).unwrap(),
        compensation: colour::Compensation::NONE,
        departure: None,
    };
    Reach::build(&recipe, &Separation::build(&recipe).unwrap()).unwrap()
}

fn judged(picture: &Picture, on_paper: Option<Size>) -> Judgement {
    let usage = Use {
        piece: "heron.png",
        on_paper,
        accept_low_resolution: false,
    };
    judge(picture, &REACH, &usage)
}

fn has<'a>(judgement: &'a Judgement, code: &str) -> Option<&'a Finding> {
    judgement
        .findings
        .iter()
        .find(|finding| finding.code == code)
}

fn flat(rgb: [u8; 3]) -> Picture {
    picture(200, 200, Samples::Rgb8(rgb.repeat(200 * 200)))
}

#[test]
fn resolution_is_good_warned_of_or_stopped() {
    let one = flat([128; 3]);
    // 200 pixels: 300, 249, 151 and 149 ppi.
    for (ppi, expected) in [
        (300.0, None),
        (249.0, Some(("art-resolution-below-good", Severity::Warn))),
        (151.0, Some(("art-resolution-below-good", Severity::Warn))),
        (149.0, Some(("art-resolution-low", Severity::Stop))),
    ] {
        let side = 200.0 / ppi * 25.4;
        let judgement = judged(&one, Some(Size::from_mm(side, side / 2.0)));
        assert!((judgement.ppi.unwrap() - ppi).abs() < 0.01);
        let found = judgement
            .findings
            .iter()
            .find(|finding| finding.code.starts_with("art-resolution"))
            .map(|finding| (finding.code, finding.severity));
        assert_eq!(found, expected, "{ppi} ppi");
    }
    let accepted = judge(
        &one,
        &REACH,
        &Use {
            piece: "heron.png",
            on_paper: Some(Size::from_mm(100.0, 100.0)),
            accept_low_resolution: true,
        },
    );
    let finding = has(&accepted, "art-resolution-low").unwrap();
    assert_eq!(finding.severity, Severity::Note);
    assert_eq!(finding.measured.as_deref(), Some("51 ppi"));
    assert_eq!(finding.required.as_deref(), Some("150 ppi"));
    assert!(judged(&one, None).ppi.is_none());
}

#[test]
fn a_low_resolution_is_told_in_plain_words() {
    let judgement = judged(&flat([128; 3]), Some(Size::from_mm(50.0, 50.0)));
    let finding = has(&judgement, "art-resolution-low").unwrap();
    assert_eq!(
        finding.message,
        "At 50 × 50 mm on paper it has only 102 ppi: its pixels will be seen."
    );
    assert_eq!(
        finding.hint,
        "Use the original at full size, or place it no larger than 33 × 33 mm. If the roughness \
         is wanted, say in the book that a low resolution is accepted."
    );
}

#[test]
fn colours_that_no_press_has_are_measured() {
    let green = judged(&flat([0, 255, 0]), None);
    assert_eq!(green.out_of_reach, 1.0);
    assert!(green.out_of_reach_by > 10.0, "{}", green.out_of_reach_by);
    assert_eq!(
        has(&green, "art-colour-out-of-reach").unwrap().severity,
        Severity::Warn
    );
    // Black is not 'too colourful', though no paper is as dark as a screen.
    for reachable in [[255; 3], [128; 3], [150, 110, 90], [0; 3], [12, 10, 9]] {
        let judgement = judged(&flat(reachable), None);
        assert_eq!(judgement.out_of_reach, 0.0, "{reachable:?}");
        assert!(has(&judgement, "art-colour-out-of-reach").is_none());
    }
}

#[test]
fn what_is_beyond_reach_is_told_by_hue() {
    // The six corners of sRGB, and what the press cannot reach of each, all in its own band.
    let corners = [
        [255, 0, 0],
        [255, 255, 0],
        [0, 255, 0],
        [0, 255, 255],
        [0, 0, 255],
        [255, 0, 255],
    ];
    for (band, corner) in corners.into_iter().enumerate() {
        let judgement = judged(&flat(corner), None);
        let mut expected = [0.0; 6];
        expected[band] = judgement.out_of_reach;
        assert_eq!(judgement.out_of_reach_bands, expected, "{corner:?}");
    }
    // A quarter green, a quarter blue, the rest grey.
    let data: Vec<u8> = (0..400 * 400)
        .flat_map(|pixel| match pixel % 400 / 100 {
            0 => [0, 255, 0],
            1 => [0, 0, 255],
            _ => [128; 3],
        })
        .collect();
    let judgement = judged(&picture(400, 400, Samples::Rgb8(data)), None);
    let [red, yellow, green, cyan, blue, magenta] = judgement.out_of_reach_bands;
    assert_eq!([red, yellow, cyan, magenta], [0.0; 4]);
    for share in [green, blue] {
        assert!((share - 0.25).abs() < 0.001, "{share}");
    }
    let sum = judgement.out_of_reach_bands.iter().sum::<f64>();
    assert!((sum - judgement.out_of_reach).abs() < 1e-9);
}

#[test]
fn what_is_lost_on_average_and_at_most_is_told() {
    let (grey, green) = (flat([128; 3]), flat([0, 255, 0]));
    let (grey, green) = (judged(&grey, None), judged(&green, None));
    // One colour: the mean is its own loss, and the most that with rounding up to a tenth.
    for one in [&grey, &green] {
        let over = one.lost_most - one.mean_lost;
        assert!((0.0..=0.1001).contains(&over), "{one:?}");
    }
    assert!(grey.mean_lost < 2.0 && green.mean_lost > 10.0);
    // Four percent green are under the twentieth that may lose more, and six are over it.
    for (percent, most) in [(4, grey.lost_most), (6, green.lost_most)] {
        let data: Vec<u8> = (0..400 * 400)
            .flat_map(|pixel| {
                if pixel % 400 < 4 * percent {
                    [0, 255, 0]
                } else {
                    [128; 3]
                }
            })
            .collect();
        let mixed = judged(&picture(400, 400, Samples::Rgb8(data)), None);
        assert_eq!(mixed.lost_most, most, "{percent}");
        let share = percent as f64 / 100.0;
        let mean = share * green.mean_lost + (1.0 - share) * grey.mean_lost;
        assert!((mixed.mean_lost - mean).abs() < 0.01);
    }
}

#[test]
fn highlight_detail_that_goes_to_bare_paper_is_measured() {
    let chequers = |dark: u8, light: u8| {
        let data: Vec<u8> = (0..200 * 200)
            .flat_map(|pixel| {
                let odd = (pixel % 200 + pixel / 200) % 2 == 1;
                [if odd { dark } else { light }; 3]
            })
            .collect();
        judged(&picture(200, 200, Samples::Rgb8(data)), None)
    };
    // Two steps of grey under white: 0.7 L*, which nobody sees in the art either.
    assert_eq!(chequers(253, 255).highlight_fades, 0.0);
    // Clear detail prints.
    for dark in [235, 215, 180] {
        assert_eq!(chequers(dark, 255).highlight_fades, 0.0, "{dark}");
    }
    assert_eq!(chequers(255, 255).highlight_fades, 0.0);
    // Six steps are 2.1 L*, which a screen shows; on paper they are tints of 2 to 3 %.
    assert_eq!(chequers(249, 255).highlight_fades, 1.0);
    assert_eq!(chequers(249, 255).shadow_fills, 0.0);
    assert_eq!(chequers(4, 8).highlight_fades, 0.0);
}

#[test]
fn fine_saturated_lines_are_not_averaged_away() {
    // A green line on every fourth row of white: a quarter of the pixels.
    let data: Vec<u8> = (0..400 * 400)
        .flat_map(|pixel| {
            if pixel / 400 % 4 == 0 {
                [0, 255, 0]
            } else {
                [255; 3]
            }
        })
        .collect();
    let judgement = judged(&picture(400, 400, Samples::Rgb8(data)), None);
    assert!(
        (judgement.out_of_reach - 0.25).abs() < 0.01,
        "{}",
        judgement.out_of_reach
    );
}

#[test]
fn shadow_detail_that_prints_alike_is_measured() {
    // The darkest steps of a screen beside clear steps in the middle tones.
    let columns = |dark: u8, light: u8| {
        let row: Vec<u8> = (0..300)
            .flat_map(|x| [if x / 2 % 2 == 0 { dark } else { light }; 3])
            .collect();
        picture(300, 300, Samples::Rgb8(row.repeat(300)))
    };
    let middle = judged(&columns(100, 130), None);
    assert_eq!(middle.shadow_fills, 0.0);
    assert_eq!(
        judged(&flat([4; 3]), None).shadow_fills,
        0.0,
        "nothing to lose"
    );
    // 0 and 16 of 255 are almost 5 L* apart on a screen; uncoated paper shows half a step, coated
    // paper two.
    let dark = columns(0, 16);
    let usage = Use {
        piece: "heron.png",
        on_paper: None,
        accept_low_resolution: false,
    };
    let on_uncoated = judge(&dark, &reach("uncoated"), &usage);
    assert_eq!(on_uncoated.shadow_fills, 1.0);
    assert_eq!(
        has(&on_uncoated, "art-shadows-fill").unwrap().severity,
        Severity::Warn
    );
    assert_eq!(judged(&dark, None).shadow_fills, 0.0);
}

#[test]
fn ink_totals_of_cmyk_art_are_summed_as_they_stand() {
    let mut inks = vec![0; 100 * 4];
    inks[40..44].copy_from_slice(&[255, 255, 204, 255]);
    let mut one = picture(10, 10, Samples::Cmyk8(inks));
    one.remarks = vec![art::Remark::CmykAssumed];
    let judgement = judged(&one, None);
    assert!((judgement.ink_most - 380.0).abs() < 0.01);
    // What it lost when it was separated is not known, which is said of it and of nothing else.
    assert!(judgement.separated_already && !judged(&flat([0; 3]), None).separated_already);
    assert_eq!(
        has(&judgement, "art-ink-heavy")
            .unwrap()
            .measured
            .as_deref(),
        Some("380 %")
    );
    assert!(has(&judgement, "art-cmyk-assumed").is_some());
    assert!(judged(&flat([0; 3]), None).ink_most <= 300.5);
}

/// Texture whose power falls off evenly up to the finest frequency, by the square: noise shaped in
/// the frequency domain. `side` must be even.
fn texture(seed: u64, side: usize) -> Vec<f32> {
    use rustfft::num_complex::Complex;
    let mut numbers = Numbers::new(seed);
    let mut field: Vec<Complex<f32>> = (0..side * side)
        .map(|_| Complex::new(numbers.next() as f32 - 0.5, 0.0))
        .collect();
    let mut planner = rustfft::FftPlanner::new();
    let mut both_ways = |field: &mut Vec<Complex<f32>>, inverse: bool| {
        let fft = if inverse {
            planner.plan_fft_inverse(side)
        } else {
            planner.plan_fft_forward(side)
        };
        for _ in 0..2 {
            fft.process(field);
            *field = (0..side * side)
                .map(|at| field[at % side * side + at / side])
                .collect();
        }
    };
    both_ways(&mut field, false);
    let frequency = |at: usize| (at as f32).min((side - at) as f32);
    for (at, value) in field.iter_mut().enumerate() {
        let radius = frequency(at % side).hypot(frequency(at / side));
        *value = if radius > 0.0 {
            *value / radius
        } else {
            Complex::new(0.0, 0.0)
        };
    }
    both_ways(&mut field, true);
    let power = field.iter().map(|value| value.re * value.re).sum::<f32>() / field.len() as f32;
    field
        .iter()
        .map(|value| (128.0 + value.re / power.sqrt() * 40.0).clamp(0.0, 255.0))
        .collect()
}

fn as_picture(field: &[f32], side: usize) -> Picture {
    let data = field.iter().map(|value| value.round() as u8).collect();
    picture(side as u32, side as u32, Samples::Grey8(data))
}

/// Twofold, by a kernel of four taps.
fn twofold(field: &[f32], side: usize, kernel: impl Fn(f32) -> f32) -> Vec<f32> {
    let clamp = |at: isize| at.clamp(0, side as isize - 1) as usize;
    let weights = |place: f32| {
        let first = place.floor() as isize - 1;
        (0..4)
            .map(move |tap| (first + tap, place - (first + tap) as f32))
            .collect::<Vec<_>>()
    };
    let place = |at: usize| (at as f32 + 0.5) / 2.0 - 0.5;
    let mut wide = vec![0.0; side * side * 2];
    for y in 0..side {
        for x in 0..side * 2 {
            wide[y * side * 2 + x] = weights(place(x))
                .into_iter()
                .map(|(at, off)| field[y * side + clamp(at)] * kernel(off))
                .sum();
        }
    }
    let mut large = vec![0.0_f32; side * side * 4];
    for y in 0..side * 2 {
        for x in 0..side * 2 {
            large[y * side * 2 + x] = weights(place(y))
                .into_iter()
                .map(|(at, off)| wide[clamp(at) * side * 2 + x] * kernel(off))
                .sum::<f32>()
                .clamp(0.0, 255.0);
        }
    }
    large
}

#[test]
fn enlarged_texture_is_told_from_fine_texture() {
    let side = 512;
    let field = texture(1, side);
    let fine = judged(&as_picture(&field, side), None);
    assert!(
        has(&fine, "art-enlarged").is_none() && has(&fine, "art-soft").is_none(),
        "{:?}",
        fine.findings
    );

    let nearest = |off: f32| if (-0.5..0.5).contains(&off) { 1.0 } else { 0.0 };
    let bilinear = |off: f32| (1.0 - off.abs()).max(0.0);
    let bicubic = |off: f32| {
        // Keys, a = -0.5.
        let x = off.abs();
        if x < 1.0 {
            (1.5 * x - 2.5) * x * x + 1.0
        } else if x < 2.0 {
            ((-0.5 * x + 2.5) * x - 4.0) * x + 2.0
        } else {
            0.0
        }
    };
    let kernels: [(&str, &dyn Fn(f32) -> f32); 3] = [
        ("nearest", &nearest),
        ("bilinear", &bilinear),
        ("bicubic", &bicubic),
    ];
    for (name, kernel) in kernels {
        let large = judged(&as_picture(&twofold(&field, side, kernel), side * 2), None);
        assert!(
            has(&large, "art-enlarged").is_some(),
            "{name}: {:?}",
            large.findings
        );
    }
}

#[test]
fn flat_and_line_art_is_never_called_enlarged() {
    let side = 1024;
    let mut lines = vec![255.0_f32; side * side];
    for y in 0..side {
        for x in 0..side {
            let (dx, dy) = (x as f32 - 500.0, y as f32 - 480.0);
            for radius in [60.0, 130.0, 220.0, 330.0, 460.0] {
                let off = (dx.hypot(dy) - radius).abs() - 2.0;
                let cover = (0.5 - off).clamp(0.0, 1.0);
                let value = &mut lines[y * side + x];
                *value = value.min(255.0 * (1.0 - cover));
            }
        }
    }
    // Hatching: smooth slanted lines of swelling width, six pixels apart.
    let hatching: Vec<f32> = (0..side * side)
        .map(|at| {
            let (x, y) = ((at % side) as f32, (at / side) as f32);
            let off = ((y + x * 0.07).rem_euclid(6.0) - 3.0).abs();
            let half = 1.2 + 0.5 * (x / 50.0).sin();
            255.0 * (off - half + 0.5).clamp(0.0, 1.0)
        })
        .collect();
    for one in [
        as_picture(&hatching, side),
        as_picture(&lines, side),
        flat([200, 30, 40]),
        picture(3, 2, Samples::Grey8(vec![1; 6])),
    ] {
        let judgement = judged(&one, None);
        for code in ["art-enlarged", "art-soft", "art-jpeg-blocking"] {
            assert!(has(&judgement, code).is_none(), "{code}");
        }
    }
}

#[test]
fn heavy_jpeg_blocks_are_seen_at_any_phase() {
    let side = 512_usize;
    let smooth: Vec<u8> = (0..side * side)
        .flat_map(|at| {
            let (x, y) = ((at % side) as f64, (at / side) as f64);
            let value =
                128.0 + 60.0 * (x / 31.0).sin() * (y / 47.0).cos() + 25.0 * ((x + y) / 11.0).sin();
            [value as u8, (value * 0.8) as u8, (255.0 - value) as u8]
        })
        .collect();
    let through = |quality: u8| {
        let bytes = jpeg(
            side as u32,
            side as u32,
            jpeg_encoder::ColorType::Rgb,
            quality,
            &smooth,
        );
        art::decode(&bytes, &art::Limits::default()).unwrap()
    };
    assert!(has(&judged(&through(92), None), "art-jpeg-blocking").is_none());
    for (x, y) in [(0.0, 0.0), (3.0, 5.0)] {
        let window = art::Window {
            x,
            y,
            width: 500.0,
            height: 500.0,
        };
        let cut = art::resample(&through(8), window, size(500, 500));
        assert!(
            has(&judged(&cut, None), "art-jpeg-blocking").is_some(),
            "phase {x}, {y}"
        );
    }
}

#[test]
fn copies_are_alike_and_different_pictures_are_not() {
    let side = 300;
    let piece = |name: &str, one: &Picture| Judgement {
        piece: name.to_owned(),
        ..judged(one, None)
    };
    let original = as_picture(&texture(5, side), side);
    let small = shrink(&original, 140);
    let brighter = as_picture(
        &texture(5, side)
            .iter()
            .map(|value| (value * 1.08).min(255.0))
            .collect::<Vec<_>>(),
        side,
    );
    let others: Vec<Judgement> = (10..20)
        .map(|seed| {
            piece(
                &format!("other-{seed}"),
                &as_picture(&texture(seed, side), side),
            )
        })
        .collect();
    let mut all = vec![
        piece("original", &original),
        piece("small", &small),
        piece("brighter", &brighter),
    ];
    assert_eq!(near_duplicates(&all).len(), 3);
    all.extend(others);
    let found = near_duplicates(&all);
    assert_eq!(found.len(), 3, "{found:?}");
    assert_eq!(
        found[0].message,
        "`original` and `small` show almost the same picture."
    );
    // Two blank sheets are the same; a blank and a picture are not.
    let blanks = [
        piece("white", &flat([255; 3])),
        piece("paper", &flat([255; 3])),
        piece("original", &original),
    ];
    assert_eq!(near_duplicates(&blanks).len(), 1);
    assert_eq!(near_duplicates(&[]).len(), 0);
}
