use colour::{
    Compensation, DuoInk, InkLimit, Intent, Lab, PaperView, PressCondition, Profile, Recipe,
    Separation,
};

use crate::departure::heavy;
use crate::reference::{Random, screen_labs};

const ALL: [DuoInk; 4] = [DuoInk::Alone, DuoInk::Cyan, DuoInk::Magenta, DuoInk::Yellow];

fn recipe(press: &str) -> Recipe {
    let press = PressCondition::built_in(press).unwrap();
    Recipe {
        source: Profile::srgb(),
        ink_limit: press.ink_limit,
        press,
        intent: Intent::Relative,
        compensation: Compensation::NONE,
        departure: None,
    }
}

fn inks(recipe: &Recipe, second: DuoInk, rgb: &[u8]) -> Vec<[u8; 4]> {
    let mut cmyk = vec![0; rgb.len() / 3 * 4];
    Separation::duo(recipe, second)
        .unwrap()
        .convert_rgb8(rgb, &mut cmyk);
    cmyk.as_chunks::<4>().0.to_vec()
}

fn greys() -> Vec<u8> {
    (0..=255).flat_map(|grey| [grey; 3]).collect()
}

#[test]
fn greys_print_as_light_as_they_are_and_in_order() {
    let wanted = screen_labs(&greys());
    for press in PressCondition::built_in_names() {
        for second in ALL {
            for departure in [None, Some(heavy())] {
                let mut recipe = recipe(press);
                recipe.departure = departure;
                let inks = inks(&recipe, second, &greys());
                assert_eq!(inks[255], [0; 4]);
                assert_eq!(inks[0][3], 255);
                let mut printed = recipe.press.lab_of(&inks, PaperView::Adapted).unwrap();
                if let Some(departure) = &recipe.departure {
                    printed
                        .iter_mut()
                        .for_each(|lab| *lab = departure.apply(*lab));
                }
                let darkest = printed[0].l;
                let mut before = f64::MIN;
                for (wanted, printed) in wanted.iter().zip(&printed) {
                    assert!(printed.l > before - 0.3, "{press} {second:?}: {printed:?}");
                    before = before.max(printed.l);
                    // Above the toe that closes up to the darkest there is.
                    if wanted.l > 1.75 * darkest + 9.0 {
                        assert!(
                            (printed.l - wanted.l).abs() < 0.8,
                            "{press} {second:?}: {wanted:?} prints as {printed:?}"
                        );
                    }
                }
            }
        }
    }
}

#[test]
fn only_the_two_plates_are_used_whatever_the_art() {
    let rgb = Random::new(2).bytes(30_000);
    for (second, used) in ALL.into_iter().zip([
        [false, false, false, true],
        [true, false, false, true],
        [false, true, false, true],
        [false, false, true, true],
    ]) {
        for inks in inks(&recipe("coated"), second, &rgb) {
            for (ink, used) in inks.into_iter().zip(used) {
                assert!(used || ink == 0, "{second:?}: {inks:?}");
            }
        }
    }
}

#[test]
fn a_second_ink_tints_the_greys_and_deepens_the_black() {
    let recipe = recipe("coated");
    let printed = |second| {
        let inks = inks(&recipe, second, &[0, 0, 0, 119, 119, 119]);
        recipe.press.lab_of(&inks, PaperView::Adapted).unwrap()
    };
    let alone = printed(DuoInk::Alone);
    for (second, tint) in [
        (DuoInk::Cyan, (|lab: Lab| -lab.b) as fn(Lab) -> f64),
        (DuoInk::Magenta, |lab| lab.a),
        (DuoInk::Yellow, |lab| lab.b),
    ] {
        let with = printed(second);
        assert!(with[0].l < alone[0].l - 2.0, "{second:?}: {with:?}");
        assert!(tint(with[1]) > tint(alone[1]) + 4.0, "{second:?}: {with:?}");
        assert!(with[1].chroma() < 15.0, "{second:?}: {with:?}");
    }
}

#[test]
fn the_ink_limit_and_a_compensation_hold_here_too() {
    let mut recipe = recipe("coated");
    recipe.ink_limit = InkLimit::from_percent(100.0).unwrap();
    recipe.compensation = Compensation::built_in("strong").unwrap();
    let rgb = Random::new(4).bytes(30_000);
    for inks in inks(&recipe, DuoInk::Cyan, &rgb) {
        assert!(inks.iter().map(|&ink| u32::from(ink)).sum::<u32>() <= 255);
    }
    let art = screen_labs(&[119; 3])[0];
    let printed = recipe
        .press
        .lab_of(&inks(&recipe, DuoInk::Alone, &[119; 3]), PaperView::Adapted)
        .unwrap()[0];
    let wished = recipe.compensation.apply(art);
    assert!((printed.l - wished.l).abs() < 0.5, "{printed:?} {wished:?}");
}
