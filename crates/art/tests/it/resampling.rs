use art::{Picture, Samples, Window, resample, shrink};
use proptest::prelude::*;

use crate::making::*;

fn rgb16(picture: Picture) -> Vec<u16> {
    match picture.samples {
        Samples::Rgb16(samples) => samples,
        other => panic!("expected 16-bit RGB, found {} channels", other.channels()),
    }
}

fn window(x: f64, y: f64, width: f64, height: f64) -> Window {
    Window {
        x,
        y,
        width,
        height,
    }
}

#[test]
fn the_whole_at_its_own_size_is_untouched() {
    let samples = Samples::Rgb8(noise(1, 40 * 30 * 3));
    let one = picture(40, 30, samples.clone());
    assert_eq!(
        resample(&one, Window::whole(one.size), one.size).samples,
        samples
    );
}

#[test]
fn whole_pixels_are_copied_as_they_are() {
    let data = noise(2, 40 * 30 * 3);
    let one = picture(40, 30, Samples::Rgb8(data.clone()));
    let part = resample(&one, window(7.0, 5.0, 10.0, 2.0), size(10, 2));
    let row = |y: usize| data[(y * 40 + 7) * 3..(y * 40 + 17) * 3].to_vec();
    assert_eq!(part.samples, Samples::Rgb8([row(5), row(6)].concat()));
}

#[test]
fn two_windows_side_by_side_meet_as_if_cut_from_one() {
    // Large enough for several bands of the working memory.
    let (width, height) = (3000, 2400);
    let one = picture(width, height, Samples::Rgb8(noise(3, 3000 * 2400 * 3)));
    for (scale, offset) in [(2.0, 0.0), (1.7, 0.35), (0.8, 0.25)] {
        let (half, rows) = (300_u32, 500_u32);
        let (wide, high) = (f64::from(half) * scale, f64::from(rows) * scale);
        let whole = rgb16(resample(
            &one,
            window(offset, 3.5, 2.0 * wide, high),
            size(2 * half, rows),
        ));
        let left = rgb16(resample(
            &one,
            window(offset, 3.5, wide, high),
            size(half, rows),
        ));
        let right = rgb16(resample(
            &one,
            window(offset + wide, 3.5, wide, high),
            size(half, rows),
        ));
        let row = half as usize * 3;
        for y in 0..rows as usize {
            let joined = [&left[y * row..][..row], &right[y * row..][..row]].concat();
            let expected = &whole[y * 2 * row..][..2 * row];
            for (one, two) in joined.iter().zip(expected) {
                // The weights may be rounded one step of light apart, 17 of 65,535 in the darks.
                assert!(
                    one.abs_diff(*two) <= 40,
                    "scale {scale}, row {y}: {one} {two}"
                );
            }
        }
    }
}

#[test]
fn bands_leave_no_seams() {
    // 48 MiB of light is reached by 8 million grey pixels and more.
    let (width, height) = (1000, 30_000);
    let one = picture(width, height, Samples::Grey8(noise(4, 30_000_000)));
    let tall = resample(&one, Window::whole(one.size), size(500, 15_000));
    let part = resample(&one, window(0.0, 12_000.0, 1000.0, 6000.0), size(500, 3000));
    let (Samples::Grey16(tall), Samples::Grey16(part)) = (tall.samples, part.samples) else {
        panic!("grey stays grey");
    };
    for (one, two) in tall[500 * 6000..].iter().zip(&part) {
        assert!(one.abs_diff(*two) <= 40, "{one} {two}");
    }
}

#[test]
fn flat_colour_and_paper_white_stay_as_they_are() {
    for value in [0, 1, 2, 17, 128, 200, 254, 255_u8] {
        let flat = picture(61, 47, Samples::Rgb8(vec![value; 61 * 47 * 3]));
        for to in [size(20, 31), size(100, 90), size(61, 20)] {
            let samples = rgb16(resample(&flat, Window::whole(flat.size), to));
            let expected = u16::from(value) * 257;
            for sample in samples {
                // A tenth of a step of 8 bits; nothing at all at both ends.
                let tolerance = if matches!(value, 0 | 255) { 0 } else { 26 };
                assert!(sample.abs_diff(expected) <= tolerance, "{value}: {sample}");
            }
        }
        let inks = picture(61, 47, Samples::Cmyk8(vec![value; 61 * 47 * 4]));
        let small = resample(&inks, Window::whole(inks.size), size(20, 31));
        assert_eq!(small.samples, Samples::Cmyk8(vec![value; 20 * 31 * 4]));
    }
}

#[test]
fn light_is_averaged_not_code_values() {
    // Columns of black and white: half the light is 187.5 of 255 in sRGB, not 127.5.
    let columns: Vec<u8> = (0..64 * 64)
        .map(|at| if at % 2 == 0 { 0 } else { 255 })
        .collect();
    let one = picture(64, 64, Samples::Grey8(columns));
    let Samples::Grey16(small) = resample(&one, Window::whole(one.size), size(8, 8)).samples else {
        panic!("grey stays grey");
    };
    let middle = f64::from(small[8 * 4 + 4]) / 257.0;
    assert!((middle - 187.5).abs() < 1.0, "{middle}");
    let Samples::Grey8(tiny) = shrink(&one, 4).samples else {
        panic!("a shrunken copy has 8 bits");
    };
    assert!(tiny.iter().all(|&grey| grey.abs_diff(188) <= 1), "{tiny:?}");
}

#[test]
fn hard_edges_do_not_run_over() {
    // White squares on black, enlarged and shrunk: overshoot is cut, never wrapped around.
    let mut data = vec![0; 64 * 64];
    for y in 16..48 {
        data[y * 64 + 16..y * 64 + 48].fill(255);
    }
    let one = picture(64, 64, Samples::Grey8(data));
    for side in [37, 150] {
        let to = size(side, side);
        let Samples::Grey16(samples) = resample(&one, Window::whole(one.size), to).samples else {
            panic!("grey stays grey");
        };
        let at = |x: f64, y: f64| {
            samples[(y * f64::from(side)) as usize * side as usize + (x * f64::from(side)) as usize]
        };
        assert_eq!(at(0.5, 0.5), 65535);
        assert_eq!(at(0.02, 0.02), 0);
        assert!(at(0.3, 0.5) > 60_000 && at(0.2, 0.5) < 20_000);
    }
}

#[test]
fn fractions_of_a_pixel_shift_the_picture() {
    // A ramp; a window half a pixel on reads half a step more.
    let ramp: Vec<u16> = (0..200).map(|x| 20_000 + x * 100).collect();
    let rows = ramp.iter().copied().cycle().take(200 * 20).collect();
    let one = picture(200, 20, Samples::Grey16(rows));
    let at = |offset: f64| {
        let part = resample(&one, window(50.0 + offset, 5.0, 40.0, 10.0), size(40, 10));
        match part.samples {
            Samples::Grey16(samples) => f64::from(samples[5 * 40 + 20]),
            _ => panic!("grey stays grey"),
        }
    };
    let (here, half, next) = (at(0.0), at(0.5), at(1.0));
    assert_eq!(next - here, 100.0);
    assert!((half - here - 50.0).abs() < 12.0, "{here} {half} {next}");
}

#[test]
fn the_profiles_curve_decides_what_half_the_light_is() {
    // A profile whose three curves are straight lines: then code values are light.
    let mut profile = colour::Profile::srgb().bytes().to_vec();
    let count = u32::from_be_bytes(profile[128..132].try_into().unwrap()) as usize;
    let end = profile.len() as u32;
    profile.extend(b"curv\0\0\0\0\0\0\0\0");
    for entry in 0..count {
        let at = 132 + entry * 12;
        if profile[at + 1..at + 4] == *b"TRC" {
            profile[at + 4..at + 8].copy_from_slice(&end.to_be_bytes());
            profile[at + 8..at + 12].copy_from_slice(&12_u32.to_be_bytes());
        }
    }
    let length = profile.len() as u32;
    profile[..4].copy_from_slice(&length.to_be_bytes());
    let columns: Vec<u8> = (0..128 * 128 * 3)
        .map(|at| if at / 3 % 2 == 0 { 0 } else { 255 })
        .collect();
    let mut one = picture(128, 128, Samples::Rgb8(columns));
    one.profile = Some(colour::Profile::open(&profile).unwrap());
    let samples = rgb16(resample(&one, Window::whole(one.size), size(16, 16)));
    let middle = f64::from(samples[(8 * 16 + 8) * 3]) / 257.0;
    assert!((middle - 127.5).abs() < 1.0, "{middle}");
}

proptest! {
    #[test]
    fn any_window_gives_the_size_asked(
        x in -50.0..50.0_f64, y in prop::num::f64::ANY, width in prop::num::f64::ANY,
        height in -5.0..60.0_f64, to_width in 0..40_u32, to_height in 0..40_u32,
    ) {
        let one = picture(17, 13, Samples::Rgb8(scene(17, 13, 3)));
        let made = resample(&one, window(x, y, width, height), size(to_width, to_height));
        prop_assert_eq!(made.size, size(to_width, to_height));
        prop_assert_eq!(made.samples.len(), (to_width * to_height * 3) as usize);
    }

    #[test]
    fn a_shrunken_copy_keeps_its_proportions(width in 1..300_u32, height in 1..300_u32, longest in 0..200_u32) {
        let one = picture(width, height, Samples::Grey8(vec![9; (width * height) as usize]));
        let small = shrink(&one, longest);
        prop_assert!(small.size.width.max(small.size.height) <= longest.max(1).max(width.min(longest)));
        prop_assert_eq!(small.samples.len() as u64, small.size.count());
        prop_assert!(matches!(&small.samples, Samples::Grey8(samples) if samples.iter().all(|&grey| grey == 9)));
    }
}
