//! Strips read from scans whose true colours are known.

use std::time::{Duration, Instant};

use art::{Picture, Samples};
use colour::{Lab, Profile, delta_e_2000};
use measure::PixelSize;
use proof::scan::{self, ColourFrom, ScanError, ScanReading, Wanted};
use proof::{MARK_SIDE, Mark, PatchKind};
use proptest::prelude::*;

use crate::scan_simulated::{Bench, Noise, Scene, bench};

impl Bench {
    fn scan(&self, scene: &Scene, printed: &[Lab]) -> Picture {
        scene.scan(&self.strip, &self.layout, &self.mark, printed)
    }

    fn read(&self, picture: &Picture) -> Result<ScanReading, ScanError> {
        self.read_as(picture, &self.mark)
    }

    fn read_as(&self, picture: &Picture, mark: &Mark) -> Result<ScanReading, ScanError> {
        scan::read(picture, self.wanted(mark), None)
    }

    fn wanted<'a>(&'a self, mark: &'a Mark) -> Wanted<'a> {
        Wanted {
            strip: &self.strip,
            layout: &self.layout,
            mark,
        }
    }

    fn names(&self, patches: &[usize]) -> Vec<&str> {
        let name = |&at: &usize| self.strip.patches[at].name.as_str();
        patches.iter().map(name).collect()
    }
}

/// Mean and greatest ΔE00 against the truth.
fn errors(reading: &ScanReading, truth: &[Lab]) -> (f64, f64) {
    let all: Vec<f64> = reading
        .seen
        .iter()
        .map(|&(at, lab, _)| delta_e_2000(lab, truth[at]))
        .collect();
    let mean = all.iter().sum::<f64>() / all.len() as f64;
    (mean, all.into_iter().fold(0.0, f64::max))
}

fn stated_error(reading: &ScanReading) -> f64 {
    match &reading.colour {
        ColourFrom::Characterised { error, .. } => *error,
        ColourFrom::Profile { .. } => panic!("no profile was given"),
    }
}

fn rgb8(width: u32, height: u32, samples: Vec<u8>) -> Picture {
    assert_eq!(samples.len(), (width * height * 3) as usize);
    Picture {
        size: PixelSize { width, height },
        samples: Samples::Rgb8(samples),
        profile: None,
        remarks: Vec::new(),
    }
}

fn painted(width: u32, height: u32, pixel: impl Fn(u32, u32) -> [u8; 3]) -> Picture {
    let places = (0..height).flat_map(|y| (0..width).map(move |x| (x, y)));
    rgb8(
        width,
        height,
        places.flat_map(|(x, y)| pixel(x, y)).collect(),
    )
}

fn pixel(picture: &Picture, x: u32, y: u32) -> [u8; 3] {
    picture
        .samples
        .rgb8((y * picture.size.width + x) as usize)
        .unwrap()
}

/// A part of a picture, from a corner.
fn part(picture: &Picture, (left, top): (u32, u32), (width, height): (u32, u32)) -> Picture {
    painted(width, height, |x, y| pixel(picture, left + x, top + y))
}

#[test]
fn a_usual_flatbed_is_read_to_half_a_delta_e_and_says_so() {
    let bench = bench();
    let scene = Scene::usual(&bench.layout);
    let reading = bench.read(&bench.scan(&scene, &bench.right)).unwrap();
    let (mean, most) = errors(&reading, &bench.right);
    assert!(mean < 0.5 && most < 1.5, "{mean} {most}");
    let stated = stated_error(&reading);
    assert!(
        mean < stated * 1.5 + 0.1 && stated < 1.0,
        "{mean}, stated {stated}"
    );
    assert_eq!(reading.mark, bench.mark);
    assert!((reading.ppi - 300.0).abs() < 0.5, "{}", reading.ppi);
    assert!(reading.seen.len() >= 44, "{:?}", reading.remarks);
    assert_eq!(
        reading.seen.len() + reading.missing.len(),
        bench.strip.patches.len()
    );
}

#[test]
fn a_tilted_strip_seen_a_little_aslant_is_read_as_well() {
    let bench = bench();
    for turn in [-3.0, 3.0] {
        let scene = Scene {
            turn,
            perspective: 0.02,
            glass: (236.0, 62.0),
            sheet: (236.0, 62.0),
            at: (15.0, 18.0),
            ..Scene::usual(&bench.layout)
        };
        let reading = bench.read(&bench.scan(&scene, &bench.right)).unwrap();
        let (mean, most) = errors(&reading, &bench.right);
        assert!(mean < 0.5 && most < 1.5, "{turn}: {mean} {most}");
        let off = (reading.turned - turn).rem_euclid(360.0);
        assert!(!(0.3..=359.7).contains(&off), "{turn}: {}", reading.turned);
    }
}

#[test]
fn a_strip_lying_any_way_round_gives_the_same_colours() {
    let bench = bench();
    let upright = bench.scan(&Scene::usual(&bench.layout), &bench.right);
    let (width, height) = (upright.size.width, upright.size.height);
    let turned = [
        (0.0, upright.clone()),
        (
            90.0,
            painted(height, width, |x, y| pixel(&upright, y, height - 1 - x)),
        ),
        (
            180.0,
            painted(width, height, |x, y| {
                pixel(&upright, width - 1 - x, height - 1 - y)
            }),
        ),
        (
            270.0,
            painted(height, width, |x, y| pixel(&upright, width - 1 - y, x)),
        ),
    ];
    for (angle, picture) in turned {
        let reading = bench.read(&picture).unwrap();
        let (mean, most) = errors(&reading, &bench.right);
        assert!(mean < 0.5 && most < 1.5, "{angle}: {mean} {most}");
        let off = (reading.turned - angle).rem_euclid(360.0);
        assert!(!(0.1..=359.9).contains(&off), "{angle}: {}", reading.turned);
    }
}

#[test]
fn dot_gain_is_not_taken_for_the_scanners_own_tone() {
    let bench = bench();
    let scene = Scene {
        exponent: [0.85; 3],
        ..Scene::usual(&bench.layout)
    };
    let reading = bench.read(&bench.scan(&scene, &bench.heavy)).unwrap();
    assert!(
        reading.remarks.iter().any(|said| said.contains("exponent")),
        "{:?}",
        reading.remarks
    );
    let mut tints = 0;
    for &(at, lab, _) in &reading.seen {
        let patch = &bench.strip.patches[at];
        if matches!(patch.kind, PatchKind::BlackTint | PatchKind::ArtGrey) {
            let (truly, seen) = (
                bench.heavy[at].l - patch.predicted.l,
                lab.l - patch.predicted.l,
            );
            if truly < -3.0 {
                tints += 1;
                assert!(
                    (seen - truly).abs() < 0.3 * truly.abs(),
                    "{}: {seen:.1} instead of {truly:.1} off",
                    patch.name
                );
            }
        }
    }
    assert!(tints >= 5, "{tints}");
}

#[test]
fn inks_that_are_off_do_not_bend_the_tones_in_silence() {
    let bench = bench();
    let mut refused = 0;
    for seed in 1..=5 {
        // Solids as far off as ISO 12647-2 tolerates, tints as they should be.
        let mut noise = Noise(seed * 977);
        let mut printed = bench.right.clone();
        for (lab, patch) in printed.iter_mut().zip(&bench.strip.patches) {
            if matches!(patch.kind, PatchKind::Solid | PatchKind::Overprint) {
                lab.l += 2.0 * noise.normal();
                lab.a += 2.0 * noise.normal();
                lab.b += 2.0 * noise.normal();
            }
        }
        let reading = match bench.read(&bench.scan(&Scene::usual(&bench.layout), &printed)) {
            Ok(reading) => reading,
            Err(ScanError::Colour(why)) => {
                println!("seed {seed}: {why}");
                refused += 1;
                continue;
            }
            Err(other) => panic!("{other}"),
        };
        let tints: Vec<f64> = reading
            .seen
            .iter()
            .filter(|&&(at, ..)| {
                let kind = bench.strip.patches[at].kind;
                matches!(kind, PatchKind::BlackTint | PatchKind::ArtGrey)
            })
            .map(|&(at, lab, _)| delta_e_2000(lab, printed[at]))
            .collect();
        let mean = tints.iter().sum::<f64>() / tints.len() as f64;
        let stated = stated_error(&reading);
        println!(
            "seed {seed}: tints {mean:.2}, stated {stated:.2}, {:?}",
            reading.colour
        );
        assert!(
            mean < stated * 1.5 + 0.2,
            "seed {seed}: {mean:.2}, stated {stated:.2}"
        );
    }
    assert!(refused < 5);
}

#[test]
fn under_the_scanners_profile_inks_that_are_too_strong_are_seen_too() {
    let bench = bench();
    // A scanner that writes sRGB exactly, but for noise and blur.
    let scene = Scene {
        noise: 2.0,
        blur: 0.06,
        screen: Some(6.0),
        ..Scene::plain(&bench.layout)
    };
    let picture = bench.scan(&scene, &bench.heavy);
    let srgb = Profile::srgb();
    let reading = scan::read(&picture, bench.wanted(&bench.mark), Some(&srgb)).unwrap();
    let (mean, most) = errors(&reading, &bench.heavy);
    assert!(mean < 0.3 && most < 1.0, "{mean} {most}");
    match &reading.colour {
        ColourFrom::Profile { name, agreement } => {
            assert_eq!(name, srgb.description());
            assert!(*agreement > 0.5 && *agreement < 5.0, "{agreement}");
        }
        other => panic!("{other:?}"),
    }
    // What sRGB cannot hold is named, not guessed.
    let cyan = bench
        .strip
        .patches
        .iter()
        .position(|patch| patch.ink == [255, 0, 0, 0])
        .unwrap();
    assert!(reading.missing.contains(&cyan));
    let said = reading.remarks.join("\n");
    assert!(
        said.contains("stronger than the scan's file can hold"),
        "{said}"
    );
    assert!(said.contains(bench.names(&[cyan])[0]), "{said}");
}

#[test]
fn a_scan_that_cuts_strong_colours_still_tells_the_scanner() {
    let bench = bench();
    for truth in [&bench.right, &bench.heavy] {
        // Written as plain sRGB, which holds neither cyan nor yellow.
        let picture = bench.scan(&Scene::plain(&bench.layout), truth);
        let reading = bench.read(&picture).unwrap();
        let (mean, most) = errors(&reading, truth);
        assert!(mean < 1.2 && most < 3.0, "{mean} {most}");
    }
}

#[test]
fn a_profile_that_is_not_the_scanners_is_refused() {
    let bench = bench();
    let scene = Scene {
        cast: [0.45, 0.8, 0.5],
        ..Scene::usual(&bench.layout)
    };
    let picture = bench.scan(&scene, &bench.right);
    let refused = scan::read(&picture, bench.wanted(&bench.mark), Some(&Profile::srgb()));
    match refused {
        Err(ScanError::Colour(why)) => assert!(why.contains("not this scanner's"), "{why}"),
        other => panic!("{other:?}"),
    }
    // The strip itself tells such a scanner well.
    let reading = bench.read(&picture).unwrap();
    assert!(errors(&reading, &bench.right).0 < 0.6);
}

#[test]
fn a_scanner_that_bends_each_channel_its_own_way_is_refused() {
    let bench = bench();
    let scene = Scene {
        exponent: [0.55, 1.0, 1.8],
        ..Scene::usual(&bench.layout)
    };
    match bench.read(&bench.scan(&scene, &bench.right)) {
        Err(ScanError::Colour(why)) => assert!(why.contains("2.5"), "{why}"),
        other => panic!("{other:?}"),
    }
}

#[test]
fn another_strip_is_refused_and_named() {
    let bench = bench();
    let picture = bench.scan(&Scene::plain(&bench.layout), &bench.right);
    let other_page = Mark {
        page: Some(4),
        ..bench.mark.clone()
    };
    let other_version = Mark {
        version: 4,
        ..bench.mark.clone()
    };
    let other_file = Mark {
        file: "ffffffff".into(),
        ..bench.mark.clone()
    };
    for (wanted, said) in [
        (other_page, "page 12"),
        (other_version, "version 3"),
        (other_file, "0a1b2c3d"),
    ] {
        match bench.read_as(&picture, &wanted) {
            Err(error @ ScanError::OtherStrip { .. }) => {
                assert!(error.to_string().contains(said), "{error}");
            }
            other => panic!("{other:?}"),
        }
    }
    let any_page = Mark {
        page: None,
        ..bench.mark.clone()
    };
    assert_eq!(bench.read_as(&picture, &any_page).unwrap().mark, bench.mark);
    assert_eq!(scan::marks(&picture).unwrap(), vec![bench.mark.clone()]);
}

#[test]
fn of_two_strips_on_a_scan_the_wanted_page_is_read() {
    let bench = bench();
    let scene = Scene::plain(&bench.layout);
    let second = Mark {
        page: Some(4),
        ..bench.mark.clone()
    };
    let upper = bench.scan(&scene, &bench.right);
    let lower = scene.scan(&bench.strip, &bench.layout, &second, &bench.heavy);
    let (width, height) = (upper.size.width, upper.size.height);
    let both = painted(width, height * 2, |x, y| {
        if y < height {
            pixel(&upper, x, y)
        } else {
            pixel(&lower, x, y - height)
        }
    });
    let mut marks = scan::marks(&both).unwrap();
    marks.sort_by_key(|mark| mark.page);
    assert_eq!(marks, vec![second.clone(), bench.mark.clone()]);
    let reading = bench.read_as(&both, &second).unwrap();
    assert!(reading.outlines[0][0][1] > f64::from(height));
    let any_page = Mark {
        page: None,
        ..second
    };
    match bench.read_as(&both, &any_page) {
        Err(error @ ScanError::Several(_)) => {
            let said = error.to_string();
            assert!(
                said.contains("page 4") && said.contains("page 12"),
                "{said}"
            );
        }
        other => panic!("{other:?}"),
    }
}

#[test]
fn what_is_off_the_scan_is_named_and_the_rest_is_read() {
    let bench = bench();
    let whole = bench.scan(&Scene::usual(&bench.layout), &bench.right);
    let (width, height) = (whole.size.width * 6 / 10, whole.size.height);
    let kept = part(&whole, (0, 0), (width, height));
    let reading = bench.read(&kept).unwrap();
    let (mean, most) = errors(&reading, &bench.right);
    assert!(mean < 0.6 && most < 2.0, "{mean} {most}");
    let said = reading.remarks.join("\n");
    for (at, outline) in reading.outlines.iter().enumerate() {
        if outline[1][0] > f64::from(width) {
            let name = bench.names(&[at])[0];
            assert!(reading.missing.contains(&at), "{name} is off the scan");
            assert!(said.contains(name), "{name} not in {said}");
        }
    }
    assert!(reading.missing.len() >= 14, "{:?}", reading.missing);
    // Without the mark nothing tells which strip it is.
    let rest = part(&whole, (width, 0), (whole.size.width - width, height));
    assert!(matches!(bench.read(&rest), Err(ScanError::NoMark(_))));
}

#[test]
fn patches_beyond_the_papers_edge_are_not_read_off_the_lid() {
    let bench = bench();
    for lid in [0.87, 0.01] {
        let plain = Scene::usual(&bench.layout);
        let scene = Scene {
            sheet: (
                plain.at.0 + bench.layout.size.width.mm() * 0.65,
                plain.sheet.1,
            ),
            lid,
            ..plain
        };
        let reading = bench.read(&bench.scan(&scene, &bench.right)).unwrap();
        let edge = bench.layout.size.width.mm() * 0.65;
        for (at, rect) in bench.layout.patches.iter().enumerate() {
            if rect.x.mm() + rect.width.mm() * 0.2 > edge {
                let name = bench.names(&[at])[0];
                assert!(
                    reading.missing.contains(&at),
                    "lid {lid}: {name} was read off the lid"
                );
            }
        }
        let (mean, most) = errors(&reading, &bench.right);
        assert!(mean < 0.6 && most < 2.5, "lid {lid}: {mean} {most}");
        assert!(reading.seen.len() > 15, "lid {lid}: {:?}", reading.missing);
    }
}

#[test]
fn hairs_and_dust_do_not_colour_the_patches() {
    let bench = bench();
    let scene = Scene {
        dust: 80,
        ..Scene::usual(&bench.layout)
    };
    let reading = bench.read(&bench.scan(&scene, &bench.right)).unwrap();
    let (mean, most) = errors(&reading, &bench.right);
    assert!(mean < 0.5 && most < 1.5, "{mean} {most}");
    assert!(reading.seen.len() >= 42, "{:?}", reading.remarks);
}

#[test]
fn a_coarse_scan_is_read_and_told_to_be_coarse() {
    let bench = bench();
    let scene = Scene {
        ppi: 150.0,
        ..Scene::usual(&bench.layout)
    };
    let reading = bench.read(&bench.scan(&scene, &bench.right)).unwrap();
    let (mean, most) = errors(&reading, &bench.right);
    assert!(mean < 0.7 && most < 2.5, "{mean} {most}");
    assert!(reading.remarks.iter().any(|said| said.contains("150 ppi")));
}

#[test]
fn a_whole_a4_sheet_with_pictures_on_it_is_read() {
    let bench = bench();
    let reading = bench
        .read(&bench.scan(&Scene::a4(&bench.layout), &bench.right))
        .unwrap();
    let (mean, most) = errors(&reading, &bench.right);
    assert!(mean < 0.5 && most < 1.5, "{mean} {most}");
}

#[test]
fn a_mirrored_scan_says_so() {
    let bench = bench();
    let picture = bench.scan(&Scene::plain(&bench.layout), &bench.right);
    let (width, height) = (picture.size.width, picture.size.height);
    let mirrored = painted(width, height, |x, y| pixel(&picture, width - 1 - x, y));
    match bench.read(&mirrored) {
        Err(ScanError::NoMark(why)) => assert!(why.contains("mirror"), "{why}"),
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_code_of_someone_else_is_no_mark() {
    let bench = bench();
    let code = qrcode::QrCode::with_version(
        "SOMETHING ELSE",
        qrcode::Version::Normal(3),
        qrcode::EcLevel::Q,
    )
    .unwrap()
    .to_colors();
    let side = MARK_SIDE as u32 * 6;
    let picture = painted(side + 80, side + 80, |x, y| {
        let (x, y) = (x.wrapping_sub(40) / 6, y.wrapping_sub(40) / 6);
        let dark = (x as usize) < MARK_SIDE
            && (y as usize) < MARK_SIDE
            && code[y as usize * MARK_SIDE + x as usize] == qrcode::Color::Dark;
        [if dark { 20 } else { 240 }; 3]
    });
    match bench.read(&picture) {
        Err(ScanError::NoMark(why)) => assert!(why.contains("not the mark of a strip"), "{why}"),
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_mark_without_its_strip_is_refused() {
    let bench = bench();
    let picture = bench.scan(&Scene::plain(&bench.layout), &bench.right);
    // White over everything but the mark.
    let mark = bench.layout.mark;
    let px = |mm: f64| ((mm + 8.0) * 300.0 / 25.4) as u32;
    let (left, right) = (px(mark.x.mm() - 2.0), px(mark.right().mm() + 2.0));
    let alone = painted(picture.size.width, picture.size.height, |x, y| {
        if x > left && x < right {
            pixel(&picture, x, y)
        } else {
            [240; 3]
        }
    });
    let said = bench.read(&alone).unwrap_err();
    assert!(
        matches!(said, ScanError::Strip(_) | ScanError::Colour(_)),
        "{said}"
    );
}

#[test]
fn hostile_pictures_are_refused_in_bounded_time() {
    let bench = bench();
    let mut noise = Noise(7);
    let mut static_noise: Vec<u8> = Vec::new();
    static_noise.resize_with(1500 * 1500 * 3, || (noise.even() * 256.0) as u8);
    // A wallpaper of nothing but corner patterns.
    let finder = |x: u32, y: u32| {
        let (x, y) = (x % 30 / 3, y % 30 / 3);
        let ring = |at: u32| (1..8).contains(&at);
        let inner = |at: u32| (2..7).contains(&at);
        let core = |at: u32| (3..6).contains(&at);
        let dark = ring(x) && ring(y) && !(inner(x) && inner(y)) || core(x) && core(y);
        [if dark { 10 } else { 245 }; 3]
    };
    let pictures = [
        ("one pixel", painted(1, 1, |_, _| [9; 3])),
        ("a line", painted(20_000, 1, |x, _| [(x % 256) as u8; 3])),
        ("a pole", painted(1, 20_000, |_, y| [(y % 7 * 30) as u8; 3])),
        ("black", painted(3000, 3000, |_, _| [0; 3])),
        ("white", painted(3000, 3000, |_, _| [255; 3])),
        ("static", rgb8(1500, 1500, static_noise)),
        (
            "stripes",
            painted(2000, 2000, |x, _| [(x % 2 * 255) as u8; 3]),
        ),
        (
            "checks",
            painted(2000, 2000, |x, y| [((x / 3 + y / 3) % 2 * 255) as u8; 3]),
        ),
        ("wallpaper", painted(2400, 2400, finder)),
    ];
    for (name, picture) in pictures {
        let start = Instant::now();
        let refused = bench.read(&picture);
        assert!(
            matches!(refused, Err(ScanError::NoMark(_))),
            "{name}: {refused:?}"
        );
        // Twenty times what it takes on a quiet machine.
        assert!(
            start.elapsed() < Duration::from_secs(20),
            "{name}: {:?}",
            start.elapsed()
        );
    }
}

#[test]
fn pictures_without_colour_or_with_lies_are_refused() {
    let bench = bench();
    let size = PixelSize {
        width: 40,
        height: 40,
    };
    let picture = |samples| Picture {
        size,
        samples,
        profile: None,
        remarks: Vec::new(),
    };
    for samples in [
        Samples::Grey8(vec![200; 1600]),
        Samples::Grey16(vec![200; 1600]),
        Samples::Cmyk8(vec![0; 6400]),
        Samples::Rgb8(vec![0; 17]),
        Samples::Rgb16(Vec::new()),
    ] {
        let refused = bench.read(&picture(samples));
        assert!(matches!(refused, Err(ScanError::Picture(_))), "{refused:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn no_picture_brings_the_reader_down(
        width in 1_u32..90,
        height in 1_u32..90,
        seed in any::<u64>(),
        levels in 2_u32..256,
    ) {
        let mut noise = Noise(seed);
        let mut samples = Vec::new();
        samples.resize_with((width * height * 3) as usize, || {
            ((noise.even() * f64::from(levels)) as u32 * 255 / (levels - 1)).min(255) as u8
        });
        prop_assert!(bench().read(&rgb8(width, height, samples)).is_err());
    }

    #[test]
    fn a_part_of_a_scan_is_read_right_or_refused(
        left in 0.0_f64..0.06,
        top in 0.0_f64..0.25,
        across in 0.2_f64..1.0,
        down in 0.5_f64..1.0,
    ) {
        let whole = usual_scan();
        let (width, height) = (f64::from(whole.size.width), f64::from(whole.size.height));
        let corner = ((left * width) as u32, (top * height) as u32);
        let size = (
            ((across * width) as u32).min(whole.size.width - corner.0),
            ((down * height) as u32).min(whole.size.height - corner.1),
        );
        if let Ok(reading) = bench().read(&part(whole, corner, size)) {
            let (mean, most) = errors(&reading, &bench().right);
            prop_assert!(mean < 2.0 && most < 6.0, "{} {}", mean, most);
        }
    }
}

fn usual_scan() -> &'static Picture {
    static SCAN: std::sync::OnceLock<Picture> = std::sync::OnceLock::new();
    SCAN.get_or_init(|| bench().scan(&Scene::usual(&bench().layout), &bench().right))
}
