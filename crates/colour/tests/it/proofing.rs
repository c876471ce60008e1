//! The whole way from art by ink to the screen against the reference library's own proofing
//! transform, in floats.

use colour::{
    Compensation, InkLimit, Intent, Lab, PaperView, PressCondition, Profile, Recipe, Separation,
    SoftProof, delta_e_2000,
};
use lcms2::{Flags, PixelFormat, Transform};

use crate::reference::{Random, lab, open, screen_labs};

const COLOURS: usize = 60_000;

/// What the library shows of art: its input profile, and how its pixels are written.
fn theirs(
    input: (&lcms2::Profile, PixelFormat),
    from: &[[f32; 3]],
    press: &PressCondition,
    intent: lcms2::Intent,
    paper: PaperView,
) -> Vec<Lab> {
    let mut flags = Flags::NO_OPTIMIZE | Flags::SOFT_PROOFING;
    if intent == lcms2::Intent::RelativeColorimetric {
        flags = flags | Flags::BLACKPOINT_COMPENSATION;
    }
    let transform: Transform<[f32; 3], [f32; 3]> = Transform::new_proofing(
        input.0,
        input.1,
        &open(&Profile::srgb()),
        PixelFormat::RGB_FLT,
        &open(&press.profile),
        intent,
        match paper {
            PaperView::Shown => lcms2::Intent::AbsoluteColorimetric,
            PaperView::Adapted => lcms2::Intent::RelativeColorimetric,
        },
        flags,
    )
    .unwrap();
    let mut screen = vec![[0.0; 3]; from.len()];
    transform.transform_pixels(from, &mut screen);
    let bytes: Vec<u8> = screen
        .as_flattened()
        .iter()
        .map(|value| (value.clamp(0.0, 1.0) * 255.0).round() as u8)
        .collect();
    screen_labs(&bytes)
}

/// What we show of art: the fused table, bytes of ink, the soft proof.
fn ours(recipe: &Recipe, paper: PaperView, rgb: &[u8]) -> Vec<Lab> {
    let mut inks = vec![0; rgb.len() / 3 * 4];
    Separation::build(recipe)
        .unwrap()
        .convert_rgb8(rgb, &mut inks);
    let mut screen = vec![0; rgb.len()];
    SoftProof::build(&recipe.press, paper)
        .unwrap()
        .convert(&inks, &mut screen);
    screen_labs(&screen)
}

fn recipe(press: &str, intent: Intent, compensation: Compensation) -> Recipe {
    Recipe {
        source: Profile::srgb(),
        press: PressCondition::built_in(press).unwrap(),
        intent,
        ink_limit: InkLimit::from_percent(400.0).unwrap(),
        compensation,
        departure: None,
    }
}

fn agree(what: &str, ours: Vec<Lab>, theirs: Vec<Lab>) {
    let off: Vec<f64> = ours
        .into_iter()
        .zip(theirs)
        .map(|(one, other)| delta_e_2000(one, other))
        .collect();
    let mean = off.iter().sum::<f64>() / off.len() as f64;
    let worst = off.iter().copied().fold(0.0, f64::max);
    println!("{what}: mean {mean:.3}, worst {worst:.2}");
    assert!(mean < 0.25 && worst < 2.0, "{what}: {mean} {worst}");
}

#[test]
fn agrees_with_the_reference_librarys_proofing() {
    let rgb = Random::new(21).bytes(3 * COLOURS);
    let floats: Vec<[f32; 3]> = rgb
        .as_chunks::<3>()
        .0
        .iter()
        .map(|pixel| pixel.map(|byte| f32::from(byte) / 255.0))
        .collect();
    for press in PressCondition::built_in_names() {
        for (intent, lcms) in [
            (Intent::Perceptual, lcms2::Intent::Perceptual),
            (Intent::Relative, lcms2::Intent::RelativeColorimetric),
        ] {
            for paper in [PaperView::Shown, PaperView::Adapted] {
                let recipe = recipe(press, intent, Compensation::NONE);
                let srgb = open(&Profile::srgb());
                let input = (&srgb, PixelFormat::RGB_FLT);
                agree(
                    &format!("{press} {intent:?} {paper:?}"),
                    ours(&recipe, paper, &rgb),
                    theirs(input, &floats, &recipe.press, lcms, paper),
                );
            }
        }
    }
}

/// With a compensation the library is given the compensated Lab as its art.
#[test]
fn agrees_with_it_about_compensated_art() {
    let rgb = Random::new(22).bytes(3 * COLOURS);
    let compensation = Compensation::built_in("usual").unwrap();
    let wished: Vec<[f32; 3]> = screen_labs(&rgb)
        .into_iter()
        .map(|art| compensation.apply(art))
        .map(|lab| [lab.l as f32, lab.a as f32, lab.b as f32])
        .collect();
    for press in PressCondition::built_in_names() {
        for paper in [PaperView::Shown, PaperView::Adapted] {
            let recipe = recipe(press, Intent::Relative, compensation);
            let lcms = lcms2::Intent::RelativeColorimetric;
            let lab = lab();
            let input = (&lab, PixelFormat::Lab_FLT);
            agree(
                &format!("{press} usual {paper:?}"),
                ours(&recipe, paper, &rgb),
                theirs(input, &wished, &recipe.press, lcms, paper),
            );
        }
    }
}
