use std::sync::LazyLock;

use colour::{
    Compensation, InkLimit, Intent, Lab, PaperView, PressCondition, Profile, Recipe, Separation,
    delta_e_2000,
};
use proptest::prelude::*;

use crate::reference::{self, Random};

/// How far apart two neighbours may be brought at most, for each unit of Lab that they are apart: by
/// the built-in recipes, and by the figures' ends, where a band taken back by 60 percent lies next to
/// one raised by 30. A search of 1.5 million pairs found 2.83 and 34.5 (in sRGB 2.26 and 22.2), the
/// most among blues, which Lab itself spreads wide.
const STEEPEST: (f64, f64) = (3.0, 40.0);

fn grey(l: f64) -> Lab {
    Lab { l, a: 0.0, b: 0.0 }
}

fn distance(one: Lab, other: Lab) -> f64 {
    ((one.l - other.l).powi(2) + (one.a - other.a).powi(2) + (one.b - other.b).powi(2)).sqrt()
}

/// Any figures in range.
fn figures() -> impl Strategy<Value = Compensation> {
    let band = || -60.0..=30.0;
    (
        -40.0..=20.0,
        -10.0..=20.0,
        -60.0..=30.0,
        [band(), band(), band(), band(), band(), band()],
        0.0..=20.0,
        85.0..=100.0,
    )
        .prop_map(
            |(contrast, lightening, saturation, bands, black, white)| Compensation {
                contrast,
                lightening,
                saturation,
                bands,
                black,
                white,
            },
        )
}

/// Colours of art: those of sRGB, and of wider profiles by stretching them.
fn art_colour() -> impl Strategy<Value = Lab> {
    (any::<[u8; 3]>(), 1.0..1.3).prop_map(|(rgb, stretch)| {
        let lab = reference::screen_labs(&rgb)[0];
        Lab {
            l: lab.l,
            a: lab.a * stretch,
            b: lab.b * stretch,
        }
    })
}

proptest! {
    #[test]
    fn greys_stay_grey_and_in_order(figures in figures()) {
        let mut before = f64::MIN;
        for step in 0..=1000 {
            let out = figures.apply(grey(f64::from(step) / 10.0));
            prop_assert!(out.chroma() < 1e-6, "{out:?}");
            prop_assert!(out.l > before, "{before} at {step}: {out:?}");
            prop_assert!((figures.black - 1e-9..=figures.white + 1e-9).contains(&out.l));
            before = out.l;
        }
    }

    /// Of two colours of the same a* and b*, the lighter stays the lighter one.
    #[test]
    fn a_lighter_colour_stays_lighter(figures in figures(), art in art_colour(), more in 0.1..20.0) {
        let lighter = Lab { l: art.l + more, ..art };
        prop_assert!(figures.apply(lighter).l > figures.apply(art).l, "{art:?} {more}");
    }

    #[test]
    fn neighbours_stay_neighbours(
        figures in figures(), art in art_colour(), step in [-1.0..1.0, -1.0..1.0, -1.0..1.0]
    ) {
        let near = Lab { l: art.l + step[0], a: art.a + step[1], b: art.b + step[2] };
        let before = distance(art, near);
        let after = |it: Compensation| distance(it.apply(art), it.apply(near));
        prop_assert!(after(figures) <= STEEPEST.1 * before + 1e-9, "{art:?} {near:?}");
        for name in Compensation::NAMES {
            let built_in = Compensation::built_in(name).unwrap();
            prop_assert!(
                after(built_in) <= STEEPEST.0 * before + 1e-9,
                "{name}: {art:?} {near:?}"
            );
        }
    }

    #[test]
    fn any_floats_give_a_colour(
        art in any::<[f64; 3]>(), figures in any::<[f64; 4]>(), bands in any::<[f64; 6]>()
    ) {
        let compensation = Compensation {
            contrast: figures[0],
            lightening: figures[1],
            saturation: figures[2],
            bands,
            black: figures[3],
            white: figures[0],
        };
        for art in [art, [f64::NAN, f64::INFINITY, art[0]], [50.0, art[1], f64::NEG_INFINITY]] {
            let [l, a, b] = art;
            let out = compensation.apply(Lab { l, a, b });
            prop_assert!(
                compensation.is_none() || (out.l.is_finite() && out.chroma().is_finite()),
                "{out:?}"
            );
            Compensation::band_of(Lab { l, a, b });
        }
        let clamped = compensation.clamped();
        prop_assert_eq!(clamped, clamped.clamped());
    }
}

#[test]
fn nothing_is_nothing() {
    let art = Lab {
        l: 43.21,
        a: -12.3,
        b: 45.6,
    };
    assert_eq!(Compensation::NONE.apply(art), art);
    assert!(Compensation::built_in("none").unwrap().is_none());
    for name in &Compensation::NAMES[1..] {
        let built_in = Compensation::built_in(name).unwrap();
        assert!(!built_in.is_none());
        assert_eq!(built_in, built_in.clamped(), "{name}");
    }
    assert!(Compensation::built_in("mild").is_none());
}

#[test]
fn each_figure_does_what_it_says() {
    let figures = Compensation {
        contrast: -20.0,
        lightening: 4.0,
        black: 6.0,
        white: 97.0,
        ..Compensation::NONE
    };
    let l = |art: f64| figures.apply(grey(art)).l;
    assert!((l(0.0) - 6.0).abs() < 1e-9);
    assert!((l(50.0) - 54.0).abs() < 1e-9);
    assert!((l(100.0) - 97.0).abs() < 1e-9);
    // A fifth less than the slope of 91 in 100 that black and white leave.
    let slope = (l(50.01) - l(49.99)) / 0.02;
    assert!((slope - 0.8 * 0.91).abs() < 1e-3, "{slope}");
}

/// Screen red, yellow, green, cyan, blue and magenta, each a band's own middle.
const PRIMARIES: [[u8; 3]; 6] = [
    [255, 0, 0],
    [255, 255, 0],
    [0, 255, 0],
    [0, 255, 255],
    [0, 0, 255],
    [255, 0, 255],
];

#[test]
fn a_band_takes_its_own_hue_and_leaves_the_others() {
    for band in 0..6 {
        let mut figures = Compensation::NONE;
        figures.bands[band] = -50.0;
        for (other, primary) in PRIMARIES.iter().enumerate() {
            let art = reference::screen_labs(primary)[0];
            let out = figures.apply(art);
            assert_eq!(Compensation::band_of(art), other);
            if other == band {
                let share = out.chroma() / art.chroma();
                assert!((0.4..0.65).contains(&share), "{primary:?}: {share}");
            } else {
                // The middles are rounded to a tenth of a degree.
                assert!(delta_e_2000(art, out) < 0.1, "{primary:?}: {art:?} {out:?}");
            }
        }
    }
}

/// A screen blue that pales in CIELAB itself turns violet (its hue should fall by ten degrees on
/// the way to grey to look the same: Hung and Berns, 1995, from memory). Here it does not.
#[test]
fn a_blue_that_pales_stays_blue() {
    let art = reference::screen_labs(&[0, 0, 255])[0];
    let pale = Compensation {
        saturation: -60.0,
        ..Compensation::NONE
    }
    .apply(art);
    let hue = |lab: Lab| lab.b.atan2(lab.a).to_degrees();
    let turned = hue(pale) - hue(art);
    assert!((-25.0..-5.0).contains(&turned), "{turned}");
}

#[test]
fn the_built_in_recipes_lighten_flatten_and_pale_in_order() {
    let figures = |name: &str| Compensation::built_in(name).unwrap();
    let red = reference::screen_labs(&[200, 40, 40])[0];
    let blue = reference::screen_labs(&[40, 60, 180])[0];
    for pair in Compensation::NAMES.windows(2) {
        let (weak, strong) = (figures(pair[0]), figures(pair[1]));
        assert!(strong.apply(grey(50.0)).l > weak.apply(grey(50.0)).l + 1.0);
        let span = |it: Compensation| it.apply(grey(60.0)).l - it.apply(grey(40.0)).l;
        assert!(span(strong) < span(weak));
        let kept = |it: Compensation, art: Lab| it.apply(art).chroma() / art.chroma();
        assert!(kept(strong, red) < kept(weak, red));
        assert!(kept(strong, red) < kept(strong, blue), "reds most of all");
    }
}

fn recipe(press: &str, limit: f64, compensation: Compensation) -> Recipe {
    Recipe {
        source: Profile::srgb(),
        press: PressCondition::built_in(press).unwrap(),
        intent: Intent::Relative,
        ink_limit: InkLimit::from_percent(limit).unwrap(),
        compensation,
        departure: None,
    }
}

fn convert(table: &Separation, rgb: &[u8]) -> Vec<[u8; 4]> {
    let mut cmyk = vec![0; rgb.len() / 3 * 4];
    table.convert_rgb8(rgb, &mut cmyk);
    cmyk.chunks_exact(4)
        .map(|pixel| pixel.try_into().unwrap())
        .collect()
}

/// The fused table against the reference library asked for the compensated Lab colour by colour.
#[test]
fn the_table_prints_the_compensated_colours() {
    let rgb = Random::new(5).bytes(90_000);
    for name in &Compensation::NAMES[1..] {
        let compensation = Compensation::built_in(name).unwrap();
        for press in PressCondition::built_in_names() {
            let recipe = recipe(press, 400.0, compensation);
            let table = Separation::build(&recipe).unwrap();
            let wished: Vec<[f32; 3]> = reference::screen_labs(&rgb)
                .into_iter()
                .map(|art| compensation.apply(art))
                .map(|lab| [lab.l as f32, lab.a as f32, lab.b as f32])
                .collect();
            let profile = &recipe.press.profile;
            let wanted = reference::labs(profile, &reference::inks_of_labs(profile, &wished));
            let ours: Vec<[f32; 4]> = convert(&table, &rgb)
                .into_iter()
                .map(|inks| inks.map(|ink| f32::from(ink) / 2.55))
                .collect();
            let off: Vec<f64> = wanted
                .into_iter()
                .zip(reference::labs(profile, &ours))
                .map(|(one, other)| delta_e_2000(one, other))
                .collect();
            let mean = off.iter().sum::<f64>() / off.len() as f64;
            let worst = off.iter().copied().fold(0.0, f64::max);
            println!("{press} {name}: mean {mean:.3}, worst {worst:.2}");
            assert!(mean < 0.15 && worst < 1.2, "{press} {name}: {mean} {worst}");
        }
    }
}

/// The least compensation there is goes the other way through the library, and comes out the same.
#[test]
fn a_compensation_of_next_to_nothing_changes_next_to_nothing() {
    let least = Compensation {
        contrast: 1e-9,
        ..Compensation::NONE
    };
    let rgb = Random::new(6).bytes(90_000);
    for press in PressCondition::built_in_names() {
        for intent in [Intent::Perceptual, Intent::Relative] {
            let mut recipe = recipe(press, 300.0, Compensation::NONE);
            recipe.intent = intent;
            let plain = Separation::build(&recipe).unwrap();
            recipe.compensation = least;
            let other = Separation::build(&recipe).unwrap();
            for (one, other) in convert(&plain, &rgb).into_iter().zip(convert(&other, &rgb)) {
                for (a, b) in one.into_iter().zip(other) {
                    assert!(a.abs_diff(b) <= 1, "{press} {intent:?}: {one:?} {other:?}");
                }
            }
        }
    }
}

#[test]
fn compensated_greys_print_as_neutral_as_before_and_in_order() {
    let rgb: Vec<u8> = (0..=255).flat_map(|grey| [grey; 3]).collect();
    for press in PressCondition::built_in_names() {
        let printed = |name: &str| {
            let recipe = recipe(press, 300.0, Compensation::built_in(name).unwrap());
            let inks = convert(&Separation::build(&recipe).unwrap(), &rgb);
            recipe.press.lab_of(&inks, PaperView::Adapted).unwrap()
        };
        let most = |labs: &[Lab]| labs.iter().map(|lab| lab.chroma()).fold(0.0, f64::max);
        let plain = most(&printed("none"));
        for name in &Compensation::NAMES[1..] {
            let labs = printed(name);
            assert!(most(&labs) < plain + 0.1, "{press} {name}: {}", most(&labs));
            let mut lightest = f64::MIN;
            for lab in labs {
                assert!(lab.l > lightest - 0.4, "{press} {name}: {lab:?}");
                lightest = lightest.max(lab.l);
            }
        }
    }
}

#[test]
fn white_stays_bare_unless_it_is_to_be_toned() {
    let strong = Compensation::built_in("strong").unwrap();
    let table = Separation::build(&recipe("coated", 300.0, strong)).unwrap();
    assert_eq!(convert(&table, &[255; 3]), [[0; 4]]);

    let toned = Compensation {
        white: 95.0,
        ..strong
    };
    let recipe = recipe("coated", 300.0, toned);
    let table = Separation::build(&recipe).unwrap();
    let rgb: Vec<u8> = (245..=255).flat_map(|grey| [grey; 3]).collect();
    let labs = recipe
        .press
        .lab_of(&convert(&table, &rgb), PaperView::Adapted)
        .unwrap();
    assert!((labs[10].l - 95.0).abs() < 0.5, "{labs:?}");
    for pair in labs.windows(2) {
        assert!((pair[0].l - pair[1].l).abs() < 1.0, "{pair:?}");
    }
}

/// Tables whose figures are at their ends, under tight limits.
static TIGHT: LazyLock<Vec<(u32, Separation)>> = LazyLock::new(|| {
    let vivid = Compensation {
        contrast: 20.0,
        lightening: -10.0,
        saturation: 30.0,
        bands: [30.0, -60.0, 30.0, 30.0, -60.0, 30.0],
        ..Compensation::NONE
    };
    let pale = Compensation {
        contrast: -40.0,
        lightening: 20.0,
        saturation: -60.0,
        bands: [-60.0; 6],
        black: 20.0,
        white: 85.0,
    };
    [("coated", 239.9, vivid), ("uncoated", 180.0, pale)]
        .into_iter()
        .map(|(press, limit, figures)| {
            let table = Separation::build(&recipe(press, limit, figures)).unwrap();
            ((limit * 2.55 + 1e-9) as u32, table)
        })
        .collect()
});

proptest! {
    #[test]
    fn no_compensation_breaks_the_ink_limit(rgb in proptest::collection::vec(any::<u16>(), 3..600)) {
        for (limit, table) in TIGHT.iter() {
            let mut cmyk = vec![0; rgb.len() / 3 * 4];
            table.convert_rgb16(&rgb, &mut cmyk);
            for pixel in cmyk.chunks_exact(4) {
                let found: u32 = pixel.iter().map(|&ink| u32::from(ink)).sum();
                prop_assert!(found <= *limit, "{} > {}", found, limit);
            }
        }
    }
}
