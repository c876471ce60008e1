use colour::{
    InkLimit, Intent, PaperView, PressCondition, Profile, Reach, Recipe, Separation, delta_e_2000,
};

use crate::reference::{Random, screen_labs};

fn recipe(intent: Intent) -> Recipe {
    Recipe {
        source: Profile::srgb(),
        press: PressCondition::built_in("coated").unwrap(),
        intent,
        ink_limit: InkLimit::from_percent(300.0).unwrap(),
        compensation: colour::Compensation::NONE,
        departure: None,
    }
}

#[test]
fn foretells_what_the_separation_does() {
    for intent in [Intent::Perceptual, Intent::Relative] {
        let recipe = recipe(intent);
        let table = Separation::build(&recipe).unwrap();
        let reach = Reach::build(&recipe, &table).unwrap();
        let rgb = Random::new(9).bytes(30_000);
        let mut cmyk = vec![0; 40_000];
        table.convert_rgb8(&rgb, &mut cmyk);
        let inks: Vec<[u8; 4]> = cmyk
            .chunks_exact(4)
            .map(|p| p.try_into().unwrap())
            .collect();
        let printed = recipe.press.lab_of(&inks, PaperView::Adapted).unwrap();
        let (mut sum, mut worst) = (0.0_f64, 0.0_f64);
        for (((rgb, inks), art), printed) in rgb
            .chunks_exact(3)
            .zip(&inks)
            .zip(screen_labs(&rgb))
            .zip(printed)
        {
            let fate = reach.fate([rgb[0], rgb[1], rgb[2]]);
            let off = (f64::from(fate.lost) - delta_e_2000(art, printed)).abs();
            sum += off;
            worst = worst.max(off);
            assert!((f64::from(fate.art_lightness) - art.l).abs() < 1.0);
            assert!((f64::from(fate.print_lightness) - printed.l).abs() < 1.5);
            let ink = inks.iter().map(|&ink| f32::from(ink)).sum::<f32>() / 2.55;
            assert!((fate.ink - ink).abs() < 8.0, "{fate:?} {ink}");
            assert!(fate.beyond <= fate.lost + 1e-3);
        }
        println!(
            "{intent:?}: lost is off by {:.3} mean, {worst:.2} worst",
            sum / 1e4
        );
        assert!(sum / 1e4 < 0.2 && worst < 2.5, "{intent:?}: {sum} {worst}");
    }
}

#[test]
fn a_screen_green_is_beyond_the_press_and_a_grey_is_not() {
    let recipe = recipe(Intent::Perceptual);
    let table = Separation::build(&recipe).unwrap();
    let reach = Reach::build(&recipe, &table).unwrap();
    assert!(reach.fate([0, 255, 0]).beyond > 10.0);
    assert!(reach.fate([128; 3]).beyond < 1.0);
    let white = reach.fate([255; 3]);
    assert!(
        white.lost < 0.1 && white.ink == 0.0 && white.print_lightness > 99.0,
        "{white:?}"
    );
}
