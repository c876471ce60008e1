//! The first train crosses the wet sands at dawn: oil, a spread.

use crate::brush::{OIL, painted, tooth};
use crate::colour::{Rgb, blend, hex, lift, ramp, screen};
use crate::motif::{Carries, Pier, boat, gull, person, train, viaduct};
use crate::noise::{Dice, clouds, smooth, value};
use crate::shape::{Outline, fill, flat, hills};
use crate::sheet::{Scene, Sheet};

const SUN: (f32, f32) = (148.0, 151.0);
const HORIZON: f32 = 163.0;
/// Where the line meets the horizon.
const VANISH: f32 = 92.0;

fn sky(x: f32, y: f32) -> Rgb {
    let t = y / HORIZON;
    let mut paint = ramp(
        &[
            (0.0, hex(0x3f6f8a)),
            (0.3, hex(0x78a3a6)),
            (0.55, hex(0xc9c3a2)),
            (0.78, hex(0xf2c48a)),
            (0.95, hex(0xf3a070)),
            (1.0, hex(0xe89a78)),
        ],
        t + (clouds(x * 0.006, y * 0.012, 3, 4) - 0.5) * 0.16,
    );
    let far = (x - SUN.0).hypot((y - SUN.1) * 1.25);
    paint = screen(
        paint,
        lift([0.55, 0.38, 0.16], 0.0).map(|c| c * (-far / 70.0).exp()),
    );
    // Streaks of cloud, lit from below.
    let streak = clouds(x * 0.011 + y * 0.008, y * 0.055 - x * 0.004, 5, 21);
    let mask = smooth(0.52, 0.68, streak) * smooth(1.05, 0.5, t) * smooth(-0.1, 0.25, t);
    let under = clouds(x * 0.011 + y * 0.008, (y - 3.0) * 0.055 - x * 0.004, 5, 21) - streak;
    let lit = blend(
        hex(0x8a7f95),
        hex(0xffc79a),
        smooth(-0.05, 0.06, -under) * (0.35 + 0.65 * (-far / 160.0).exp()),
    );
    blend(paint, lit, mask * 0.85)
}

fn depth(x: f32) -> f32 {
    440.0 / (x - VANISH).max(0.5)
}

fn ground(z: f32) -> f32 {
    HORIZON + 60.0 / z
}

fn piers() -> Vec<Pier> {
    let mut list: Vec<Pier> = (0..30)
        .map(|i| {
            let z = 0.78 + i as f32 * 0.235;
            Pier {
                x: VANISH + 440.0 / z,
                deck: HORIZON - 92.0 / z,
                foot: ground(z),
                half: 8.6 / (z * z).max(z),
                thick: 13.0 / z,
            }
        })
        .collect();
    list.reverse();
    list
}

/// Brings the train (heading towards us) into the line's perspective.
fn on_the_line((along, up): (f32, f32)) -> (f32, f32) {
    let z = 1.22 - along * 0.118;
    (VANISH + 440.0 / z, HORIZON - (92.0 - up * 25.0) / z)
}

fn study(sheet: Sheet) -> Scene {
    let mut scene = Scene::new(sheet, Some(hex(0xd8b48c)));
    scene.wash(|x, y, _| (sky(x, y.min(HORIZON)), 1.0));
    scene.add(fill(Outline::ellipse(SUN.0, SUN.1, 9.0, 9.0), |_, _, _| {
        (hex(0xfff3cf), 1.0)
    }));
    // Hills, paler with distance.
    for (index, (base, height, wide, paint)) in [
        (160.0, 24.0, 190.0, 0xc79a92),
        (163.0, 17.0, 120.0, 0xa98796),
        (165.0, 11.0, 90.0, 0x8a7688),
    ]
    .into_iter()
    .enumerate()
    {
        let paint = hex(paint);
        scene.add(fill(
            hills(
                -5.0,
                515.0,
                base,
                height,
                wide,
                HORIZON + 3.0,
                40 + index as u32,
            ),
            move |x, y, _| {
                let glow = (-(x - SUN.0).abs() / 75.0).exp() * 0.6;
                let mist = smooth(base - height, HORIZON, y) * 0.35;
                (blend(paint, hex(0xf2b184), (glow + mist).min(0.85)), 1.0)
            },
        ));
    }
    // Wet sand: the sky again, broken by bars of sand.
    scene.wash(|x, y, _| {
        if y < HORIZON {
            return ([0.0; 3], 0.0);
        }
        let near = (y - HORIZON) / (306.0 - HORIZON);
        let wobble = (value(x * 0.03, y * 0.5 / (0.15 + near), 7) - 0.5) * 14.0 * near;
        let mirrored = sky(x + wobble, HORIZON - (y - HORIZON) * 1.02);
        let water = blend(mirrored, hex(0x5a5566), 0.16 + 0.2 * near);
        let bars = clouds(
            x * 0.012 / (0.3 + near),
            (y - HORIZON) * 0.16 / (0.25 + near * 1.4),
            4,
            77,
        );
        let sand = blend(
            hex(0xb98a6a),
            hex(0x6a5044),
            near * 0.75 + value(x * 0.2, y * 0.7, 3) * 0.2,
        );
        let dry = smooth(0.47, 0.60, bars + near * 0.10) * (0.35 + 0.65 * smooth(0.0, 0.12, near));
        let path = (-((x - SUN.0) / (9.0 + 50.0 * near)).powi(2)).exp() * 0.5;
        (
            blend(
                screen(water, [path, path * 0.72, path * 0.4]),
                sand,
                dry * 0.86,
            ),
            1.0,
        )
    });
    // The viaduct's reflection, then the viaduct.
    let mirror = viaduct(&piers()).mapped(|(x, y)| (x, 2.0 * ground(depth(x)) - y));
    scene.add(fill(mirror, |x, y, under| {
        let ripple = value(x * 0.05, y * 0.9, 15);
        (blend(under, hex(0x4a3a4c), 0.8), 0.3 + 0.3 * ripple)
    }));
    scene.add(fill(viaduct(&piers()), |x, y, _| {
        let t = ((x - VANISH) / 420.0).clamp(0.0, 1.0).powf(0.7);
        let stone = blend(hex(0x5d4654), hex(0x35262f), value(x * 0.25, y * 0.35, 8));
        let warm = smooth(0.0, 50.0, y - (HORIZON - 92.0 / depth(x)));
        let stone = blend(stone, hex(0x7d5346), (1.0 - warm) * 0.45 + 0.1);
        (blend(hex(0xd79d86), stone, smooth(0.0, 0.42, t)), 1.0)
    }));
    // The inner faces of the arches catch the sun.
    for pair in piers().windows(2) {
        let (far, near) = (pair[0], pair[1]);
        let z = depth(near.x);
        let wide = near.half * 1.1;
        let rise = near.deck + near.thick + (near.x - far.x) * 0.42;
        scene.add(fill(
            Outline::polygon(&[
                (near.x - near.half, near.foot),
                (near.x - near.half - wide, near.foot - 2.4 / z),
                (near.x - near.half - wide * 0.9, rise),
                (near.x - near.half, rise - 3.0 / z),
            ]),
            move |_, y, under| {
                let light = smooth(near.deck, near.foot, y);
                (
                    blend(
                        under,
                        blend(hex(0xd08a63), hex(0xa36a5a), light),
                        smooth(4.5, 0.9, z) * 0.8,
                    ),
                    0.9,
                )
            },
        ));
    }
    // Parapet, lit along its edge.
    let rail: Vec<(f32, f32)> = piers().iter().map(|pier| (pier.x, pier.deck)).collect();
    let mut edge = rail.clone();
    edge.extend(
        piers()
            .iter()
            .rev()
            .map(|pier| (pier.x, pier.deck + pier.thick * 0.16)),
    );
    scene.add(fill(Outline::polygon(&edge), |x, _, _| {
        (hex(0xe2a57c), 0.75 * smooth(VANISH, VANISH + 120.0, x))
    }));
    scene
}

pub(crate) fn scene(sheet: Sheet) -> Scene {
    let mut under = study(sheet);
    let loco = train(4);
    let body = loco.body.by_hand(0.0, 0.2, 1).mapped(on_the_line);
    under.add(fill(body, |x, y, _| {
        let t = smooth(140.0, 430.0, x);
        (
            blend(
                hex(0x8d6064),
                blend(
                    hex(0x2a2029),
                    hex(0x5c3a38),
                    value(x * 0.3, y * 0.5, 2) * 0.6,
                ),
                t,
            ),
            1.0,
        )
    }));
    let mouth = on_the_line(loco.chimney);
    // Steam drifts back over the train and turns rosy where the sun is.
    under.wash(move |x, y, _| {
        let back = mouth.0 - x;
        if back < -9.0 {
            return ([0.0; 3], 0.0);
        }
        let along = (back / 260.0).max(0.0);
        let middle = mouth.1 - 6.0 - 52.0 * along.powf(0.62)
            + (clouds(x * 0.014, 3.0, 2, 5) - 0.5) * 26.0 * along;
        let half = 5.0 + 46.0 * along.powf(0.75);
        let puff = clouds(x * 0.035 / (0.55 + along), y * 0.05 / (0.55 + along), 5, 61);
        let inside = 1.0 - (y - middle).abs() / half;
        let cover = smooth(0.06, 0.42, inside * 0.9 + (puff - 0.5) * 1.15)
            * smooth(1.15, 0.35, along)
            * smooth(-9.0, 2.0, back);
        let light = smooth(0.9, -0.7, (y - middle) / half + (puff - 0.5) * 2.2);
        let paint = blend(hex(0x8f7f92), hex(0xffe6c6), light);
        (blend(paint, hex(0xf7b98c), along * 0.45), cover * 0.93)
    });
    let study = under.study(2.4);
    let mut scene = Scene::new(sheet, Some(hex(0xb27a5c)));
    let lie = |x: f32, y: f32| {
        if y > HORIZON {
            (clouds(x * 0.01, y * 0.02, 2, 9) - 0.5) * 0.3
        } else {
            (clouds(x * 0.008, y * 0.01, 2, 12) - 0.5) * 2.2 - 0.15
        }
    };
    scene.add(painted(&study, sheet, OIL, lie, 11));
    // The windows last, as touches of light.
    for &(x, y, w, h) in &loco.windows {
        let pane = Outline::rect(x, y, w, h)
            .by_hand(0.01, 0.1, 3)
            .mapped(on_the_line);
        scene.add(fill(pane, |_, _, _| (hex(0xffd58a), 0.85)));
    }
    let lamp = on_the_line((loco.lamp.0 + 0.1, loco.lamp.1));
    scene.add(flat(
        Outline::ellipse(lamp.0, lamp.1, 1.5, 1.7),
        hex(0xfff0c4),
    ));
    // A boat, its mooring, and people out early with buckets.
    let hull = boat(88.0, 262.0, 74.0).by_hand(0.35, 2.0, 4);
    // Its reflection in the wet, and the long shadow away from the sun.
    scene.add(fill(
        Outline::smooth(&[
            (58.0, 262.0),
            (90.0, 265.5),
            (122.0, 261.0),
            (128.0, 268.0),
            (112.0, 277.0),
            (78.0, 276.0),
            (60.0, 269.0),
        ])
        .by_hand(1.2, 4.0, 9),
        |x, y, under| {
            let broken = smooth(0.2, 0.62, value(x * 0.06, y * 0.9, 21));
            let fade = smooth(278.0, 264.0, y);
            (
                blend(under, hex(0x2c2632), 0.9),
                fade * (0.35 + 0.5 * broken),
            )
        },
    ));
    scene.add(fill(hull, |x, y, _| {
        let plank = (y * 0.55 + (x - 88.0) * 0.02).fract();
        let body = blend(hex(0x24303c), hex(0x3d5560), value(x * 0.12, y * 1.6, 6));
        let body = blend(body, hex(0x151a22), smooth(0.86, 1.0, plank) * 0.6);
        let lit = smooth(257.0, 251.0, y) * 0.7 * smooth(60.0, 120.0, x);
        (blend(body, hex(0xe0926a), lit), 1.0)
    }));
    // Inside: dark boards, two thwarts, the rim in the light.
    let rim: Vec<(f32, f32)> = vec![
        (52.0, 255.2),
        (66.0, 253.4),
        (90.0, 252.4),
        (110.0, 252.0),
        (124.6, 249.8),
        (112.0, 255.6),
        (88.0, 258.2),
        (64.0, 257.8),
    ];
    scene.add(fill(
        Outline::smooth(&rim).by_hand(0.2, 2.0, 5),
        |x, y, _| {
            (
                blend(hex(0x191a22), hex(0x4a3f42), value(x * 0.1, y * 1.4, 2)),
                1.0,
            )
        },
    ));
    for (x, wide) in [(72.0, 4.6), (98.0, 4.8)] {
        scene.add(fill(
            Outline::polygon(&[
                (x, 253.2),
                (x + wide, 252.9),
                (x + wide + 0.8, 257.6),
                (x + 0.6, 258.0),
            ])
            .by_hand(0.15, 1.5, 3),
            |x, _, _| {
                (
                    blend(hex(0x8a6250), hex(0xc98a62), value(x * 0.8, 1.0, 2)),
                    1.0,
                )
            },
        ));
    }
    let edge: Vec<(f32, f32, f32)> = crate::shape::curve(&rim, true)
        .iter()
        .map(|&(x, y)| (x, y, 0.7))
        .collect();
    scene.add(fill(Outline::line(&edge), |x, _, _| {
        (
            blend(hex(0x5d5a60), hex(0xf0b184), smooth(60.0, 120.0, x)),
            0.95,
        )
    }));
    scene.add(fill(
        crate::motif::wire((124.6, 250.4), (171.0, 256.0), 3.6, 0.5),
        |_, _, _| (hex(0x2a2228), 0.9),
    ));
    for (x, foot, tall) in [
        (171.0, 270.0, 26.0),
        (176.5, 268.0, 17.0),
        (30.0, 286.0, 34.0),
        (21.0, 284.0, 24.0),
    ] {
        scene.add(fill(
            Outline::polygon(&[
                (x - 1.4, foot),
                (x - 1.0, foot - tall),
                (x + 1.1, foot - tall - 0.6),
                (x + 1.6, foot),
            ])
            .by_hand(0.25, 1.5, 8),
            |x, y, _| {
                (
                    blend(hex(0x2b2128), hex(0x6d4a42), value(x * 1.4, y * 0.3, 4)),
                    1.0,
                )
            },
        ));
        scene.add(fill(
            Outline::polygon(&[
                (x - 1.4, foot),
                (x + 1.6, foot),
                (x + 4.0, foot + tall * 0.9),
                (x + 1.2, foot + tall * 0.9),
            ]),
            |x, y, under| {
                (
                    blend(under, hex(0x30242c), 0.8),
                    0.5 * value(x * 0.3, y * 0.8, 9) + 0.15,
                )
            },
        ));
    }
    for (x, foot, tall, carries, seed) in [
        (243.0, 238.0, 22.0, Carries::Bucket, 2),
        (255.0, 241.0, 23.5, Carries::Pole, 5),
        (205.0, 205.0, 11.0, Carries::Bucket, 7),
        (299.0, 211.0, 12.0, Carries::Nothing, 9),
    ] {
        let shape = person(x, foot, tall, carries, seed).by_hand(0.08, 0.8, seed);
        let mirror = shape.mapped(move |(px, py)| (px + (py - foot) * 0.05, 2.0 * foot - py));
        scene.add(fill(mirror, |x, y, under| {
            (
                blend(under, hex(0x35262f), 0.85),
                0.25 + 0.45 * value(x * 0.1, y * 1.1, 4),
            )
        }));
        scene.add(fill(shape, move |x, y, _| {
            let rim = smooth(0.0, -tall * 0.12, x - foot * 0.0 - 243.0) * 0.0;
            (
                blend(
                    blend(hex(0x33232b), hex(0x553a3c), value(x * 0.4, y * 0.6, 4)),
                    hex(0xf0a878),
                    rim,
                ),
                1.0,
            )
        }));
    }
    let mut dice = Dice::new(88);
    for _ in 0..16 {
        let (x, y) = (dice.between(20.0, 330.0), dice.between(40.0, 120.0));
        let span = dice.between(3.0, 8.5);
        let bird = gull(x, y, span, dice.between(0.25, 0.8), dice.bell() * 0.3);
        scene.add(flat(
            bird,
            hex(if dice.chance(0.5) { 0x4c4656 } else { 0xf6e2c8 }),
        ));
    }
    scene.add(tooth(0.018, 0.34, 5));
    scene
}
