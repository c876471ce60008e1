use colour::{
    Compensation, Departure, DuoInk, InkLimit, Intent, PaperView, PressCondition, Profile, Recipe,
    Separation, SoftProof, Trial, delta_e_2000,
};

use crate::departure::heavy;
use crate::reference::{Random, screen_labs};

fn recipe(press: &str, departure: Option<Departure>) -> Recipe {
    Recipe {
        source: Profile::srgb(),
        press: PressCondition::built_in(press).unwrap(),
        intent: Intent::Perceptual,
        ink_limit: InkLimit::from_percent(280.0).unwrap(),
        compensation: Compensation::NONE,
        departure,
    }
}

#[test]
fn shows_what_the_separation_and_its_soft_proof_show() {
    let rgb = Random::new(31).bytes(90_000);
    for press in PressCondition::built_in_names() {
        for duo in [None, Some(DuoInk::Cyan)] {
            for departure in [None, Some(heavy())] {
                let mut recipe = recipe(press, departure);
                for paper in [PaperView::Shown, PaperView::Adapted] {
                    let trial = Trial::prepare(&recipe, duo, paper).unwrap();
                    recipe.compensation = Compensation::built_in("usual").unwrap();
                    let table = trial.table(&recipe.compensation);
                    let mut tried = vec![0; rgb.len()];
                    table.convert_rgb8(&rgb, &mut tried);

                    let separation = match duo {
                        None => Separation::build(&recipe),
                        Some(second) => Separation::duo(&recipe, second),
                    };
                    let mut inks = vec![0; rgb.len() / 3 * 4];
                    separation.unwrap().convert_rgb8(&rgb, &mut inks);
                    let mut shown = vec![0; rgb.len()];
                    SoftProof::build_with(&recipe.press, paper, recipe.departure.as_ref())
                        .unwrap()
                        .convert(&inks, &mut shown);

                    let mut off: Vec<f64> = screen_labs(&tried)
                        .into_iter()
                        .zip(screen_labs(&shown))
                        .map(|(one, other)| delta_e_2000(one, other))
                        .collect();
                    off.sort_by(f64::total_cmp);
                    let mean = off.iter().sum::<f64>() / off.len() as f64;
                    let most = off[off.len() * 99 / 100];
                    println!("{press} {duo:?} {paper:?}: mean {mean:.2}, 99th {most:.2}");
                    assert!(
                        mean < 0.5 && most < 1.5,
                        "{press} {duo:?} {paper:?}: {mean} {most}"
                    );
                }
            }
        }
    }
}

#[test]
fn takes_any_slices_and_no_inks() {
    let mut recipe = recipe("coated", None);
    let table = Trial::prepare(&recipe, None, PaperView::Adapted)
        .unwrap()
        .table(&Compensation::NONE);
    table.convert_rgb8(&[], &mut [0; 5]);
    let mut screen = [9; 8];
    table.convert_rgb8(&[255; 7], &mut screen);
    assert_eq!(screen[6..], [9; 2]);
    assert!(screen[..6].iter().all(|&byte| byte >= 254), "{screen:?}");
    recipe.source = recipe.press.profile.clone();
    assert!(Trial::prepare(&recipe, None, PaperView::Shown).is_err());
}
