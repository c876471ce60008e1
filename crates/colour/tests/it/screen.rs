use colour::{PaperView, PressCondition, Profile, ScreenView, SoftProof, delta_e_2000};
use lcms2::{Flags, Intent, PixelFormat, Transform};

use crate::reference::{Random, open, screen_labs};

/// Inks in the lattice of what presses print, most of it within 320 percent, and all inks alone.
fn inks() -> Vec<u8> {
    let mut bytes = Random::new(11).bytes(400_000);
    for pixel in bytes.chunks_exact_mut(4) {
        while pixel.iter().map(|&ink| u32::from(ink)).sum::<u32>() > 816 {
            pixel.iter_mut().for_each(|ink| *ink -= *ink / 8);
        }
    }
    for ink in 0..4 {
        for byte in 0..=255 {
            let mut pixel = [0; 4];
            pixel[ink] = byte;
            bytes.extend(pixel);
        }
    }
    bytes
}

#[test]
fn a_soft_proof_is_the_reference_librarys() {
    let inks = inks();
    for press in PressCondition::built_in_names() {
        let press = PressCondition::built_in(press).unwrap();
        for (paper, intent) in [
            (PaperView::Shown, Intent::AbsoluteColorimetric),
            (PaperView::Adapted, Intent::RelativeColorimetric),
        ] {
            let transform: Transform<u8, u8> = Transform::new_flags(
                &open(&press.profile),
                PixelFormat::CMYK_FLT,
                &open(&Profile::srgb()),
                PixelFormat::RGB_8,
                intent,
                Flags::NO_OPTIMIZE,
            )
            .unwrap();
            let floats: Vec<u8> = inks
                .iter()
                .flat_map(|&ink| (f32::from(ink) / 2.55).to_ne_bytes())
                .collect();
            let mut theirs = vec![0; inks.len() / 4 * 3];
            transform.transform_pixels(&floats, &mut theirs);
            let mut ours = vec![0; theirs.len()];
            SoftProof::build(&press, paper)
                .unwrap()
                .convert(&inks, &mut ours);
            // What the eye gets: the difference of the two screens' colours.
            let (mut sum, mut worst) = (0.0_f64, 0.0_f64);
            for (one, other) in screen_labs(&ours).into_iter().zip(screen_labs(&theirs)) {
                let off = delta_e_2000(one, other);
                sum += off;
                worst = worst.max(off);
            }
            let mean = sum / (ours.len() / 3) as f64;
            println!(
                "{} {paper:?}: mean ΔE00 {mean:.3}, worst {worst:.2}",
                press.name
            );
            assert!(
                mean < 0.2 && worst < 2.0,
                "{} {paper:?}: {mean} {worst}",
                press.name
            );
        }
    }
}

#[test]
fn paper_has_its_tint_or_is_white() {
    let press = PressCondition::built_in("coated").unwrap();
    let mut rgb = [0; 3];
    SoftProof::build(&press, PaperView::Adapted)
        .unwrap()
        .convert(&[0; 4], &mut rgb);
    assert_eq!(rgb, [255; 3]);
    SoftProof::build(&press, PaperView::Shown)
        .unwrap()
        .convert(&[0; 4], &mut rgb);
    // Lab 95 0 -2 is a bluish white.
    assert!(rgb[0] < 245 && rgb[2] > rgb[0] && rgb[2] < 255, "{rgb:?}");
}

#[test]
fn srgb_art_is_shown_as_it_is() {
    let view = ScreenView::build(&Profile::srgb()).unwrap();
    let mut rgb = Random::new(2).bytes(999);
    let before = rgb.clone();
    view.convert_rgb8(&mut rgb);
    assert_eq!(rgb, before);
}

#[test]
fn wider_art_is_shown_by_its_own_profile() {
    // Primaries of Adobe RGB (1998) and its gamma of 563/256 (from memory of that encoding).
    let white = lcms2::CIExyY {
        x: 0.3127,
        y: 0.3290,
        Y: 1.0,
    };
    let primary = |x, y| lcms2::CIExyY { x, y, Y: 1.0 };
    let primaries = lcms2::CIExyYTRIPLE {
        Red: primary(0.64, 0.33),
        Green: primary(0.21, 0.71),
        Blue: primary(0.15, 0.06),
    };
    let curve = lcms2::ToneCurve::new(2.199_218_75);
    let wide = lcms2::Profile::new_rgb(&white, &primaries, &[&curve, &curve, &curve])
        .unwrap()
        .icc()
        .unwrap();
    let wide = Profile::open(&wide).unwrap();
    let view = ScreenView::build(&wide).unwrap();
    let transform: Transform<[u8; 3], [u8; 3]> = Transform::new_flags(
        &open(&wide),
        PixelFormat::RGB_8,
        &open(&Profile::srgb()),
        PixelFormat::RGB_8,
        Intent::RelativeColorimetric,
        Flags::NO_OPTIMIZE | Flags::BLACKPOINT_COMPENSATION,
    )
    .unwrap();
    let rgb = Random::new(5).bytes(30_000);
    let pixels: Vec<[u8; 3]> = rgb.chunks_exact(3).map(|p| p.try_into().unwrap()).collect();
    let mut theirs = vec![[0; 3]; pixels.len()];
    transform.transform_pixels(&pixels, &mut theirs);
    let mut ours = rgb.clone();
    view.convert_rgb8(&mut ours);
    let worst = ours
        .iter()
        .zip(theirs.as_flattened())
        .map(|(one, other)| one.abs_diff(*other))
        .max()
        .unwrap();
    println!("worst {worst} bytes");
    assert!(worst <= 10, "{worst}");
    assert_ne!(ours, rgb);
}

#[test]
fn ink_art_is_shown_by_its_own_profile() {
    let press = PressCondition::built_in("coated").unwrap();
    let view = ScreenView::build(&press.profile).unwrap();
    let mut rgb = [9; 6];
    view.convert_cmyk8(&[0, 0, 0, 0, 0, 255, 255, 0], &mut rgb);
    assert_eq!(rgb[..3], [255; 3]);
    assert!(rgb[3] > 200 && rgb[4] < 60 && rgb[5] < 80, "{rgb:?}");
}
