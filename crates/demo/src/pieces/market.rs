//! The market on the sand, between two tides: gouache, bright, a spread.

use crate::brush::{GOUACHE, painted, tooth};
use crate::colour::{Rgb, blend, hex, lift, ramp};
use crate::motif::{Carries, Pier, boat, gull, houses, person, train, viaduct};
use crate::noise::{Dice, clouds, smooth, value};
use crate::shape::{Outline, fill, flat, hills};
use crate::sheet::{Scene, Sheet};

const HORIZON: f32 = 112.0;

const CLOTHS: [(u32, u32); 7] = [
    (0xd9573f, 0xf6e6c9),
    (0x1f6f78, 0xf1dfb8),
    (0xe9a93a, 0xfaf0d8),
    (0x2b3f63, 0xe8dcc4),
    (0xb8456a, 0xf7e3cf),
    (0x4f8a5b, 0xf4ead0),
    (0xe27d4a, 0x7a2f3a),
];

fn sky(x: f32, y: f32) -> Rgb {
    let paint = ramp(
        &[
            (0.0, hex(0x66aec4)),
            (0.55, hex(0xa8d3cf)),
            (1.0, hex(0xf0e6c6)),
        ],
        y / HORIZON,
    );
    let puff = clouds(x * 0.0075, y * 0.019, 5, 3);
    let lit = clouds(x * 0.0075 - 0.03, (y + 4.0) * 0.019, 5, 3);
    let mask = smooth(0.53, 0.62, puff);
    blend(
        paint,
        blend(
            hex(0xb4c6cc),
            hex(0xfff6e2),
            smooth(-0.03, 0.035, puff - lit),
        ),
        mask * 0.92,
    )
}

pub(crate) fn scene(sheet: Sheet) -> Scene {
    let mut under = Scene::new(sheet, Some(hex(0xe3c595)));
    under.wash(|x, y, _| {
        if y < HORIZON {
            return (sky(x, y), 1.0);
        }
        let near = (y - HORIZON) / (306.0 - HORIZON);
        let drift = clouds(x * 0.012 / (0.3 + near), y * 0.08 / (0.3 + near), 4, 5);
        let sand = ramp(
            &[
                (0.0, hex(0xf0dcae)),
                (0.5, hex(0xe6c58f)),
                (1.0, hex(0xcf9f68)),
            ],
            near * 0.8 + (drift - 0.5) * 0.9 + 0.1,
        );
        let pool = smooth(
            0.60,
            0.64,
            clouds(x * 0.008 / (0.35 + near), y * 0.085 / (0.35 + near), 3, 29),
        );
        (
            blend(
                sand,
                blend(sky(x, 40.0 + 60.0 * near), hex(0x5aa3ad), 0.35),
                pool * 0.9,
            ),
            1.0,
        )
    });
    // The sea, far out, and what stands on the horizon.
    under.add(fill(Outline::rect(-2.0, 108.6, 512.0, 4.6), |x, y, _| {
        (
            blend(hex(0x3f93a2), hex(0x9fd0c8), value(x * 0.03, y * 1.2, 2)),
            1.0,
        )
    }));
    under.add(fill(
        hills(300.0, 515.0, 111.0, 26.0, 170.0, 113.5, 4),
        |_, y, _| {
            (
                blend(hex(0x7ea9ad), hex(0xbfd3c0), smooth(90.0, 112.0, y)),
                1.0,
            )
        },
    ));
    under.add(fill(
        hills(-5.0, 250.0, 112.0, 15.0, 120.0, 113.5, 5),
        |_, y, _| {
            (
                blend(hex(0x86b0ac), hex(0xc9d8bf), smooth(98.0, 112.0, y)),
                1.0,
            )
        },
    ));
    let piers: Vec<Pier> = (0..20)
        .map(|i| Pier {
            x: 168.0 + i as f32 * 18.4,
            deck: 78.0,
            foot: 114.5,
            half: 1.9,
            thick: 4.0,
        })
        .collect();
    under.add(fill(viaduct(&piers), |x, y, _| {
        (
            blend(
                hex(0x7d8f97),
                hex(0xb7b9a8),
                smooth(78.0, 116.0, y) * 0.6 + value(x * 0.3, y * 0.4, 2) * 0.2,
            ),
            1.0,
        )
    }));
    // The town at the tide's edge, on the left, stands on its legs.
    for (from, to, foot, tall, seed, paint) in [
        (-8.0, 92.0, 106.0, 40.0, 11, 0x9d8d86),
        (-8.0, 62.0, 118.0, 58.0, 12, 0x77656a),
    ] {
        let (shape, panes) = houses(from, to, foot, tall, seed);
        let wall = hex(paint);
        let mut legs = Outline::new();
        let mut x = from;
        while x < to {
            legs.join(&Outline::rect(x, foot - 1.0, tall * 0.03, tall * 0.34));
            x += tall * 0.14;
        }
        under.add(flat(legs, hex(0x5c4a48)));
        under.add(fill(shape, move |x, y, _| {
            let house = value((x / 19.0).floor() * 3.7, 1.0, 3);
            let tint = blend(
                wall,
                hex(if house > 0.5 { 0xc98f6d } else { 0xd8c3a0 }),
                0.45,
            );
            (
                blend(tint, hex(0x54505c), value(x * 0.3, y * 0.5, 9) * 0.25),
                1.0,
            )
        }));
        for (x, y, w, h) in panes {
            under.add(flat(Outline::rect(x, y, w, h), hex(0x3d3f4d)));
        }
    }
    let mut scene = Scene::new(sheet, Some(hex(0xe3c595)));
    scene.add(painted(
        &under.study(2.4),
        sheet,
        GOUACHE,
        |x, y| {
            if y > HORIZON {
                0.0
            } else {
                (clouds(x * 0.007, y * 0.01, 2, 3) - 0.5) * 0.8
            }
        },
        19,
    ));
    let loco = train(4);
    scene.add(fill(
        loco.body
            .placed(430.0, 78.0, 8.4, 8.4)
            .by_hand(0.06, 0.8, 3),
        |_, y, _| {
            (
                blend(hex(0x3a4650), hex(0x8b4a3c), smooth(74.0, 70.0, y)),
                1.0,
            )
        },
    ));
    for &(x, y, w, h) in &loco.windows {
        scene.add(flat(
            Outline::rect(430.0 + x * 8.4, 78.0 + y * 8.4, w * 8.4, h * 8.4),
            hex(0xf7ecd2),
        ));
    }
    scene.wash(|x, y, under| {
        let back = 426.0 - x;
        if !(-3.0..150.0).contains(&back) {
            return (under, 0.0);
        }
        let along = (back / 140.0).max(0.0);
        let middle = 66.0 - 18.0 * along.powf(0.6);
        let puff = clouds(x * 0.07, y * 0.1, 4, 19);
        let cover = smooth(
            0.2,
            0.5,
            1.0 - (y - middle).abs() / (2.0 + 13.0 * along) + (puff - 0.55) * 1.6,
        ) * smooth(1.0, 0.3, along);
        (hex(0xfff8ea), cover * 0.9)
    });
    // Everything on the sand, from far to near.
    let mut dice = Dice::new(2024);
    let mut things: Vec<(f32, f32, u32)> = Vec::new();
    for (row, count) in [
        (128.0f32, 9),
        (146.0, 7),
        (172.0, 6),
        (208.0, 4),
        (254.0, 3),
    ] {
        for i in 0..count {
            let x = (i as f32 + 0.5 + dice.between(-0.28, 0.28)) * 540.0 / count as f32 - 12.0;
            // A lane stays free in the middle, so that the eye can walk in.
            let lane = 262.0 + (row - 128.0) * 0.12;
            let half = 16.0 + (row - HORIZON) * 0.36;
            let x = if (x - lane).abs() < half {
                lane + half * (x - lane).signum() * 1.25
            } else {
                x
            };
            if row < 140.0 && x < 110.0 {
                continue;
            }
            things.push((x, row + dice.between(-3.0, 3.0), 0));
        }
    }
    for _ in 0..46 {
        let near = dice.unit().powf(1.1);
        let foot = 132.0 + 150.0 * near;
        let lane = 262.0 + (foot - 128.0) * 0.12;
        let x = if dice.chance(0.55) {
            lane + dice.bell() * (24.0 + near * 40.0)
        } else {
            dice.between(10.0, 496.0)
        };
        things.push((x, foot, 1));
    }
    for (x, foot) in [
        (128.0, 136.0),
        (420.0, 133.0),
        (478.0, 142.0),
        (96.0, 291.0),
    ] {
        things.push((x, foot, 2));
    }
    things.sort_by(|a, b| a.1.total_cmp(&b.1));
    for (index, &(x, foot, kind)) in things.iter().enumerate() {
        let size = (foot - HORIZON) / 100.0;
        let haze = smooth(1.1, 0.1, size) * 0.45;
        match kind {
            0 => stall(&mut scene, &mut dice, (x, foot), size, haze),
            1 => {
                let carries = match dice.below(4) {
                    0 => Carries::Bucket,
                    1 if dice.chance(0.5) => Carries::Pole,
                    2 if dice.chance(0.3) => Carries::Umbrella,
                    _ => Carries::Nothing,
                };
                let tall = 33.0 * size + 2.0;
                let coat = hex(CLOTHS[dice.below(7)].0);
                let coat = blend(blend(coat, hex(0x2c2f44), 0.35), hex(0xd9cdb0), haze);
                shadow(&mut scene, x, foot, tall * 0.16, tall * 0.62);
                let shape = person(x, foot, tall, carries, index as u32 + 5).by_hand(
                    tall * 0.004,
                    tall * 0.05,
                    3,
                );
                scene.add(fill(shape, move |gx, gy, _| {
                    let skin = gy < foot - tall * 0.86
                        && gy > foot - tall * 0.93
                        && (gx - x).abs() < tall * 0.07;
                    let sun = smooth(x - tall * 0.02, x - tall * 0.1, gx) * 0.25;
                    let paint = if skin {
                        hex(0xb9805c)
                    } else {
                        blend(coat, hex(0xfff0d0), sun)
                    };
                    (
                        blend(
                            paint,
                            lift(paint, -0.12),
                            value(gx * 1.1, gy * 0.5, 8) * 0.8,
                        ),
                        1.0,
                    )
                }));
            }
            _ => {
                let long = 74.0 * size + 10.0;
                shadow(&mut scene, x, foot, long * 0.5, long * 0.12);
                let (main, band) = CLOTHS[dice.below(7)];
                let (main, band) = (
                    blend(hex(main), hex(0xd9cdb0), haze),
                    blend(hex(band), hex(0xd9cdb0), haze),
                );
                if foot < 200.0 {
                    let mut mast = Outline::new();
                    mast.add_line(&[
                        (x, foot - long * 0.05, long * 0.016),
                        (x + long * 0.06, foot - long * 0.85, long * 0.01),
                    ]);
                    mast.add_line(&[
                        (x + long * 0.03, foot - long * 0.2, long * 0.01),
                        (x - long * 0.4, foot - long * 0.26, long * 0.01),
                    ]);
                    scene.add(flat(mast, hex(0x6a5148)));
                }
                let hull = boat(x, foot, long).by_hand(long * 0.004, long * 0.05, 5);
                scene.add(fill(hull, move |gx, gy, _| {
                    let stripe = gy < foot - long * 0.055 - (gx - x).max(0.0) * 0.12;
                    (
                        blend(
                            if stripe { band } else { main },
                            hex(0x2a2a38),
                            value(gx * 0.4, gy * 1.8, 6) * 0.28,
                        ),
                        1.0,
                    )
                }));
            }
        }
    }
    for _ in 0..22 {
        let (x, y) = (dice.between(90.0, 500.0), dice.between(12.0, 104.0));
        let span = dice.between(3.0, 11.0) * (1.3 - y / 130.0);
        scene.add(flat(
            gull(x, y, span, dice.between(0.3, 0.8), dice.bell() * 0.3),
            hex(if dice.chance(0.65) {
                0xfffdf4
            } else {
                0x54646e
            }),
        ));
    }
    scene.add(tooth(0.014, 0.32, 3));
    scene
}

fn shadow(scene: &mut Scene, x: f32, foot: f32, half: f32, long: f32) {
    scene.add(fill(
        Outline::polygon(&[
            (x - half, foot),
            (x + half, foot),
            (x + half + long, foot + long * 0.16),
            (x - half + long, foot + long * 0.18),
        ]),
        |gx, gy, under| {
            (
                blend(under, hex(0x6a5a72), 0.7),
                0.42 + 0.2 * value(gx * 0.3, gy * 0.6, 4),
            )
        },
    ));
}

/// A stall: poles, a striped cloth, a table with its goods and its keeper.
fn stall(scene: &mut Scene, dice: &mut Dice, (x, foot): (f32, f32), size: f32, haze: f32) {
    let (wide, tall) = (48.0 * size * dice.between(0.85, 1.2), 42.0 * size + 2.0);
    let (left, right) = (x - wide / 2.0, x + wide / 2.0);
    let air = hex(0xe2d6b8);
    let (main, band) = CLOTHS[dice.below(CLOTHS.len())];
    let (main, band) = (blend(hex(main), air, haze), blend(hex(band), air, haze));
    shadow(scene, x, foot, wide * 0.5, tall * 0.5);
    let wood = blend(hex(0x6e4f3f), air, haze);
    scene.add(fill(
        Outline::rect(
            left + wide * 0.03,
            foot - tall * 0.72,
            wide * 0.94,
            tall * 0.68,
        ),
        move |gx, gy, _| {
            (
                blend(
                    blend(hex(0x5a4350), hex(0x8a6a5e), value(gx * 0.2, gy * 0.1, 3)),
                    air,
                    haze,
                ),
                smooth(foot, foot - tall * 0.5, gy) * 0.5 + 0.45,
            )
        },
    ));
    let keeper = person(
        x + wide * dice.between(-0.2, 0.2),
        foot,
        tall * 0.82,
        Carries::Nothing,
        dice.below(900) as u32,
    );
    let coat = blend(
        blend(hex(CLOTHS[dice.below(7)].0), hex(0x20263a), 0.45),
        air,
        haze,
    );
    scene.add(flat(keeper, coat));
    let mut poles = Outline::new();
    for px in [left + wide * 0.02, right - wide * 0.02] {
        poles.add_line(&[
            (px, foot, wide * 0.022),
            (px, foot - tall * 0.95, wide * 0.022),
        ]);
    }
    scene.add(flat(poles, wood));
    // The table with its cloth.
    let cloth = blend(hex(CLOTHS[dice.below(7)].1), air, haze * 0.6);
    scene.add(fill(
        Outline::rect(left, foot - tall * 0.34, wide, tall * 0.32).by_hand(
            size * 0.3,
            size * 3.0 + 0.5,
            3,
        ),
        move |gx, gy, _| {
            let fold = 0.5 + 0.5 * ((gx - left) * 1.3 / size).sin();
            (
                blend(
                    cloth,
                    blend(hex(0x8a6f78), air, haze),
                    fold * 0.22 + smooth(foot - tall * 0.3, foot, gy) * 0.3,
                ),
                1.0,
            )
        },
    ));
    // Goods in heaps.
    let heaps = 4 + dice.below(3);
    for heap in 0..heaps {
        let hx = left + wide * (heap as f32 + 0.5) / heaps as f32;
        let good = blend(
            hex([
                0xe2503a, 0xf0b441, 0x6f9a3f, 0xf2efe2, 0x7a4a8a, 0x3f8a94, 0xd98f56,
            ][dice.below(7)]),
            air,
            haze,
        );
        let r = wide * 0.026;
        for level in 0..3 {
            for k in 0..(4 - level) {
                let gx = hx + (k as f32 - (3 - level) as f32 / 2.0) * r * 1.7;
                let gy = foot - tall * 0.345 - r * (0.7 + level as f32 * 1.35);
                let shade = dice.bell() * 0.06;
                scene.add(fill(
                    Outline::ellipse(gx, gy, r, r * 0.92),
                    move |px, py, _| (lift(good, shade + ((gx - px) + (gy - py)) / r * 0.09), 1.0),
                ));
            }
        }
    }
    // The awning: a sagging strip of stripes with a scalloped hem.
    let (top, hem) = (foot - tall * 1.08, foot - tall * 0.78);
    let scallops = 7usize;
    let mut shape = vec![
        (left + wide * 0.06, top),
        (x, top + tall * 0.02),
        (right - wide * 0.06, top),
    ];
    for i in (0..=scallops * 6).rev() {
        let t = i as f32 / (scallops * 6) as f32;
        let dip = (t * scallops as f32 * std::f32::consts::PI).sin().abs();
        shape.push((left - wide * 0.05 + t * wide * 1.1, hem + dip * tall * 0.06));
    }
    let lean = dice.between(0.0, 1.0);
    scene.add(fill(
        Outline::polygon(&shape).by_hand(size * 0.25, size * 2.5 + 0.4, 7),
        move |gx, gy, _| {
            let down = ((gy - top) / (hem - top)).clamp(0.0, 1.0);
            let spread = (gx - x) / (0.88 + 0.22 * down) / wide + 0.5;
            let stripe = (spread * scallops as f32).floor() as i32 % 2 == 0;
            let paint = if stripe { main } else { band };
            let paint = blend(paint, hex(0xfff5dc), (1.0 - down) * 0.22 * (0.5 + lean));
            (
                blend(
                    paint,
                    blend(hex(0x4a3a55), air, haze),
                    smooth(0.75, 1.0, down) * 0.32 + value(gx * 0.5, gy * 0.9, 3) * 0.12,
                ),
                1.0,
            )
        },
    ));
}
