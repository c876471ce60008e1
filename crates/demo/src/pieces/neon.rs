//! The night market on platform nine, in the rain: light that no press can print.

use crate::colour::{Rgb, blend, hex, screen};
use crate::motif::{Carries, person};
use crate::noise::{Dice, clouds, smooth, value};
use crate::shape::{Outline, curve, fill, flat};
use crate::sheet::{Point, Scene, Sheet};

const FLOOR: f32 = 214.0;

const CYAN: Rgb = [0.0, 0.98, 1.0];
const MAGENTA: Rgb = [1.0, 0.05, 0.72];
const RED: Rgb = [1.0, 0.08, 0.06];
const GREEN: Rgb = [0.05, 1.0, 0.25];
const VIOLET: Rgb = [0.45, 0.1, 1.0];
const AMBER: Rgb = [1.0, 0.62, 0.02];

/// A bent glass tube.
struct Tube {
    shape: Outline,
    core: Outline,
    light: Rgb,
}

fn tube(points: &[Point], closed: bool, thick: f32, light: Rgb) -> Tube {
    let mut path = curve(points, closed);
    if closed {
        path.push(path[0]);
    }
    let with = |w: f32| {
        let line: Vec<(f32, f32, f32)> = path.iter().map(|&(x, y)| (x, y, w)).collect();
        Outline::line(&line)
    };
    Tube {
        shape: with(thick),
        core: with(thick * 0.36),
        light,
    }
}

fn straight(points: &[Point], thick: f32, light: Rgb) -> Tube {
    let with = |w: f32| {
        let line: Vec<(f32, f32, f32)> = points.iter().map(|&(x, y)| (x, y, w)).collect();
        Outline::line(&line)
    };
    Tube {
        shape: with(thick),
        core: with(thick * 0.36),
        light,
    }
}

fn ring(x: f32, y: f32, r: f32, thick: f32, light: Rgb) -> Tube {
    let points: Vec<Point> = (0..12)
        .map(|i| {
            let a = i as f32 / 12.0 * std::f32::consts::TAU;
            (x + r * a.cos(), y + r * a.sin())
        })
        .collect();
    tube(&points, true, thick, light)
}

/// The signs over the stalls: things, not words.
fn signs() -> Vec<Tube> {
    let mut all = Vec::new();
    // A moon with rays.
    all.push(tube(
        &[
            (66.0, 28.0),
            (50.0, 34.0),
            (43.0, 50.0),
            (50.0, 67.0),
            (67.0, 73.0),
            (58.0, 62.0),
            (55.0, 50.0),
            (58.0, 38.0),
        ],
        true,
        2.1,
        CYAN,
    ));
    for i in 0..5 {
        let a = -0.8 + i as f32 * 0.4;
        all.push(straight(
            &[
                (66.0 + 13.0 * a.cos(), 50.0 + 13.0 * a.sin()),
                (66.0 + 21.0 * a.cos(), 50.0 + 21.0 * a.sin()),
            ],
            1.5,
            CYAN,
        ));
    }
    // Waves.
    for row in 0..3 {
        let y = 88.0 + row as f32 * 7.0;
        let points: Vec<Point> = (0..9)
            .map(|i| {
                (
                    28.0 + i as f32 * 8.0,
                    y + if i % 2 == 0 { -2.2 } else { 2.2 },
                )
            })
            .collect();
        all.push(tube(
            &points,
            false,
            1.6,
            if row == 1 { VIOLET } else { CYAN },
        ));
    }
    // A fish.
    all.push(tube(
        &[
            (124.0, 58.0),
            (136.0, 47.0),
            (154.0, 45.0),
            (170.0, 56.0),
            (182.0, 46.0),
            (180.0, 58.0),
            (183.0, 70.0),
            (170.0, 60.0),
            (154.0, 71.0),
            (136.0, 69.0),
        ],
        true,
        2.3,
        MAGENTA,
    ));
    all.push(ring(136.0, 56.0, 1.7, 1.2, CYAN));
    for i in 0..3 {
        let x = 147.0 + i as f32 * 6.5;
        all.push(tube(
            &[(x, 51.0), (x + 3.2, 58.0), (x, 65.0)],
            false,
            1.3,
            RED,
        ));
    }
    // A bowl with steam.
    all.push(tube(
        &[
            (212.0, 74.0),
            (216.0, 88.0),
            (230.0, 94.0),
            (244.0, 88.0),
            (248.0, 74.0),
        ],
        false,
        2.3,
        RED,
    ));
    all.push(straight(&[(208.0, 73.0), (252.0, 73.0)], 2.3, RED));
    for i in 0..3 {
        let x = 220.0 + i as f32 * 10.0;
        all.push(tube(
            &[(x, 66.0), (x + 3.5, 58.0), (x - 3.0, 49.0), (x + 2.0, 39.0)],
            false,
            1.6,
            AMBER,
        ));
    }
    // A lamp on its chain.
    all.push(straight(&[(296.0, 18.0), (296.0, 34.0)], 1.2, GREEN));
    all.push(straight(
        &[(284.0, 48.0), (296.0, 34.0), (308.0, 48.0), (284.0, 48.0)],
        2.1,
        GREEN,
    ));
    all.push(straight(
        &[(286.0, 50.0), (289.0, 80.0), (303.0, 80.0), (306.0, 50.0)],
        2.1,
        GREEN,
    ));
    all.push(tube(
        &[(296.0, 54.0), (301.0, 65.0), (296.0, 74.0), (291.0, 65.0)],
        true,
        1.6,
        AMBER,
    ));
    // A bell.
    all.push(tube(
        &[
            (338.0, 76.0),
            (345.0, 66.0),
            (347.0, 46.0),
            (358.0, 36.0),
            (369.0, 46.0),
            (371.0, 66.0),
            (378.0, 76.0),
        ],
        false,
        2.2,
        AMBER,
    ));
    all.push(straight(&[(334.0, 77.0), (382.0, 77.0)], 2.2, AMBER));
    all.push(ring(358.0, 83.0, 3.0, 1.6, MAGENTA));
    // A tide clock: two rings, eight hours and a hand.
    all.push(ring(430.0, 54.0, 27.0, 2.0, MAGENTA));
    all.push(ring(430.0, 54.0, 6.0, 1.4, VIOLET));
    for i in 0..8 {
        let a = i as f32 / 8.0 * std::f32::consts::TAU;
        let at = |r: f32| (430.0 + r * a.cos(), 54.0 + r * a.sin());
        all.push(straight(&[at(17.0), at(22.0)], 1.5, VIOLET));
    }
    all.push(straight(&[(430.0, 48.0), (430.0, 33.0)], 1.8, CYAN));
    all.push(straight(&[(434.5, 58.0), (443.0, 66.0)], 1.8, CYAN));
    // An arrow to the trains, upright at the right edge.
    all.push(straight(&[(484.0, 40.0), (484.0, 118.0)], 2.3, CYAN));
    all.push(straight(
        &[(474.0, 106.0), (484.0, 119.0), (494.0, 106.0)],
        2.3,
        CYAN,
    ));
    for i in 0..4 {
        let y = 44.0 + i as f32 * 13.0;
        all.push(straight(&[(478.0, y), (490.0, y)], 1.2, MAGENTA));
    }
    // Edges of the stalls' roofs.
    for (from, to, y, light) in [
        (14.0, 108.0, 118.0, CYAN),
        (116.0, 196.0, 112.0, MAGENTA),
        (204.0, 262.0, 116.0, RED),
        (270.0, 326.0, 110.0, GREEN),
        (334.0, 392.0, 116.0, AMBER),
        (400.0, 466.0, 112.0, VIOLET),
    ] {
        all.push(straight(&[(from, y), (to, y)], 1.5, light));
    }
    all
}

/// Stalls: left, right, roof, colour of the light within.
const STALLS: [(f32, f32, f32, Rgb); 6] = [
    (14.0, 108.0, 118.0, [0.1, 0.75, 0.85]),
    (116.0, 196.0, 112.0, [0.95, 0.25, 0.6]),
    (204.0, 262.0, 116.0, [1.0, 0.42, 0.15]),
    (270.0, 326.0, 110.0, [0.35, 0.95, 0.4]),
    (334.0, 392.0, 116.0, [1.0, 0.7, 0.2]),
    (400.0, 466.0, 112.0, [0.55, 0.35, 1.0]),
];

fn lights(sheet: Sheet) -> Scene {
    let mut scene = Scene::new(sheet, Some([0.0; 3]));
    for &(left, right, roof, light) in &STALLS {
        scene.add(fill(
            Outline::rect(left + 3.0, roof + 4.0, right - left - 6.0, 48.0),
            move |_, y, _| (light, 0.5 * smooth(roof + 56.0, roof + 4.0, y)),
        ));
    }
    for tube in signs() {
        let light = tube.light;
        scene.add(flat(tube.shape, light));
    }
    scene
}

pub(crate) fn scene(sheet: Sheet) -> Scene {
    let emitters = lights(sheet).study(1.4);
    let near = emitters.blurred(2.2, 2.2);
    let wide = emitters.blurred(15.0, 15.0);
    let floor = emitters.blurred(1.3, 15.0);
    let floor_wide = emitters.blurred(9.0, 24.0);
    let mut scene = Scene::new(sheet, Some(hex(0x03040a)));
    let wall_light = wide.clone();
    scene.wash(move |x, y, _| {
        let light = wall_light.at(x, y);
        // Riveted iron and boards.
        let board = smooth(0.9, 0.98, (x * 0.085).fract()) * 0.6;
        let grime = clouds(x * 0.03, y * 0.05, 5, 8);
        let base = blend(hex(0x0b0d1c), hex(0x1c1a33), grime);
        let k = (1.5 + grime * 1.6) * (1.0 - board * 0.7);
        let lit = screen(
            [base[0] * 0.75, base[1] * 0.75, base[2] * 0.9],
            [light[0] * k, light[1] * k, light[2] * k],
        );
        (lit, 1.0)
    });
    // The canopy's girders.
    for i in 0..9 {
        let x = 8.0 + i as f32 * 61.5;
        scene.add(fill(Outline::rect(x, -2.0, 3.6, 218.0), |_, y, under| {
            (blend(under, hex(0x04050c), 0.75 - y * 0.001), 1.0)
        }));
    }
    scene.add(flat(Outline::rect(-2.0, 8.0, 512.0, 4.0), hex(0x05060f)));
    // Stalls with their light, shelves and goods.
    let mut dice = Dice::new(404);
    for (index, &(left, right, roof, light)) in STALLS.iter().enumerate() {
        let wide = right - left;
        scene.add(fill(
            Outline::rect(left + 2.0, roof, wide - 4.0, FLOOR - roof - 14.0),
            move |x, y, _| {
                let deep = smooth(FLOOR - 14.0, roof, y);
                let slats = 0.85 + 0.15 * (x * 0.6).sin();
                let dim = 0.16 + 0.62 * deep;
                (
                    [
                        light[0] * dim * slats,
                        light[1] * dim * slats,
                        light[2] * dim * slats,
                    ],
                    1.0,
                )
            },
        ));
        for shelf in 0..2 {
            let y = roof + 20.0 + shelf as f32 * 15.0;
            scene.add(flat(
                Outline::rect(left + 5.0, y, wide - 10.0, 1.1),
                hex(0x0a0710),
            ));
            let mut x = left + 8.0;
            while x < right - 10.0 {
                let tall = dice.between(4.0, 9.5);
                let w = dice.between(2.2, 4.6);
                let bright = dice.between(0.2, 1.0);
                let jar = match dice.below(3) {
                    0 => Outline::ellipse(x + w / 2.0, y - w * 0.6, w * 0.6, w * 0.6),
                    1 => Outline::smooth(&[
                        (x, y),
                        (x, y - tall * 0.7),
                        (x + w * 0.3, y - tall),
                        (x + w * 0.7, y - tall),
                        (x + w, y - tall * 0.7),
                        (x + w, y),
                    ]),
                    _ => Outline::rect(x, y - tall * 0.8, w, tall * 0.8),
                };
                scene.add(fill(jar, move |_, gy, _| {
                    let glow = smooth(y - tall, y, gy) * 0.4 + 0.6;
                    let paint = [
                        light[0] * bright * glow,
                        light[1] * bright * glow,
                        light[2] * bright * glow,
                    ];
                    (
                        blend(paint, hex(0x0a0614), 0.35 + 0.4 * (1.0 - bright)),
                        0.95,
                    )
                }));
                x += w + dice.between(1.4, 4.5);
            }
        }
        // The keeper of the stall, the counter, a scalloped roof.
        let x = left + wide * dice.between(0.35, 0.65);
        scene.add(flat(
            person(x, FLOOR + 2.0, 52.0, Carries::Nothing, 60 + index as u32),
            hex(0x07040d),
        ));
        scene.add(fill(
            Outline::rect(left, FLOOR - 28.0, wide, 28.0),
            move |x, y, _| {
                let lit = 0.22 * smooth(FLOOR, FLOOR - 28.0, y) + 0.1 * value(x * 0.3, y * 0.2, 5);
                ([light[0] * lit, light[1] * lit, light[2] * lit + 0.02], 1.0)
            },
        ));
        scene.add(fill(
            Outline::rect(left - 1.0, FLOOR - 29.5, wide + 2.0, 2.2),
            move |_, _, _| ([light[0] * 0.75, light[1] * 0.75, light[2] * 0.75], 1.0),
        ));
        let mut roof_shape = vec![(left - 3.0, roof - 7.0), (right + 3.0, roof - 7.0)];
        let scallops = (wide / 9.0) as usize;
        for i in (0..=scallops * 8).rev() {
            let t = i as f32 / (scallops * 8) as f32;
            let dip = (t * scallops as f32 * std::f32::consts::PI).sin().abs();
            roof_shape.push((left - 3.0 + t * (wide + 6.0), roof + 1.0 + dip * 3.4));
        }
        scene.add(fill(Outline::polygon(&roof_shape), move |x, _, _| {
            let stripe = ((x - left) / (wide / scallops as f32) / 2.0).fract() < 0.5;
            let k = if stripe { 0.36 } else { 0.1 };
            ([light[0] * k, light[1] * k, light[2] * k + 0.03], 1.0)
        }));
    }
    // The wet floor: lights drawn out downwards, broken by ripples.
    scene.wash(move |x, y, under| {
        if y < FLOOR {
            return (under, 0.0);
        }
        let down = y - FLOOR;
        let near = down / (306.0 - FLOOR);
        let ripple = clouds(x * 0.035 / (0.4 + near), y * 0.26 / (0.5 + near), 4, 51);
        let shift = (ripple - 0.5) * 16.0 * (0.3 + near);
        let mirrored = FLOOR - down * 1.62;
        let a = floor.at(x + shift, mirrored);
        let b = floor_wide.at(x + shift * 0.5, mirrored - 12.0);
        let shine = 0.25 + 1.1 * smooth(0.36, 0.66, ripple);
        let slab = smooth(0.965, 0.985, ((x - 253.0) / (0.35 + near) * 0.02).fract())
            + smooth(0.93, 0.97, (near.sqrt() * 5.0).fract());
        let stone = blend(hex(0x05060e), hex(0x10101e), value(x * 0.6, y * 0.9, 2));
        let lit = screen(
            stone,
            [
                (a[0] * 4.2 + b[0] * 2.0) * shine,
                (a[1] * 4.2 + b[1] * 2.0) * shine,
                (a[2] * 4.2 + b[2] * 2.0) * shine,
            ],
        );
        (blend(lit, hex(0x020308), slab.min(1.0) * 0.55), 1.0)
    });
    // Glow in the wet air, then the tubes themselves.
    scene.wash(move |x, y, under| {
        let (a, b) = (near.at(x, y), wide.at(x, y));
        let fog = if y < FLOOR { 1.0 } else { 0.35 };
        (
            screen(
                under,
                [
                    a[0] * 0.75 * fog + b[0] * 0.8 * fog,
                    a[1] * 0.75 * fog + b[1] * 0.8 * fog,
                    a[2] * 0.75 * fog + b[2] * 0.8 * fog,
                ],
            ),
            1.0,
        )
    });
    for tube in signs() {
        let light = tube.light;
        scene.add(flat(tube.shape, light));
        scene.add(fill(tube.core, move |_, _, _| {
            (blend(light, [1.0; 3], 0.55), 0.8)
        }));
    }
    // The crowd, black against it all; those nearer stand lower and taller.
    let mut crowd: Vec<(f32, f32, f32, Carries, u32)> = (0..17)
        .map(|i| {
            let foot = dice.between(222.0, 268.0);
            let carries = match dice.below(5) {
                0 | 1 => Carries::Umbrella,
                2 => Carries::Bucket,
                3 => Carries::Pole,
                _ => Carries::Nothing,
            };
            (
                16.0 + i as f32 * 29.0 + dice.bell() * 9.0,
                foot,
                52.0 + (foot - 222.0) * 0.62,
                carries,
                100 + i,
            )
        })
        .collect();
    crowd.sort_by(|a, b| a.1.total_cmp(&b.1));
    let rim = lights(sheet).study(1.0).blurred(9.0, 9.0);
    for (x, foot, tall, carries, seed) in crowd {
        let shape = person(x, foot, tall, carries, seed);
        let mirror = shape.mapped(move |(px, py)| (px, foot + (foot - py) * 0.75));
        scene.add(fill(mirror, move |gx, gy, under| {
            let broken = smooth(0.25, 0.6, value(gx * 0.1, gy * 0.4, 77));
            (
                blend(under, hex(0x020207), 0.9),
                0.75 * broken * smooth(foot + tall * 0.8, foot, gy),
            )
        }));
        let rim = rim.clone();
        let inner = shape
            .placed(0.0, 0.0, 1.0, 1.0)
            .mapped(move |(px, py)| (x + (px - x) * 0.86, py + tall * 0.012));
        scene.add(fill(shape, move |gx, gy, _| {
            let light = rim.at(gx, gy - 40.0);
            (
                [
                    0.02 + light[0] * 3.0,
                    0.015 + light[1] * 3.0,
                    0.04 + light[2] * 3.0,
                ],
                1.0,
            )
        }));
        scene.add(flat(inner, hex(0x04030a)));
    }
    // Rain.
    for _ in 0..1500 {
        let (x, y) = (dice.between(-5.0, 512.0), dice.between(-5.0, 300.0));
        let long = dice.between(3.0, 10.0);
        let bright = dice.between(0.04, 0.17);
        scene.add(fill(
            Outline::polygon(&[
                (x, y),
                (x + 0.16, y),
                (x - long * 0.1 + 0.22, y + long),
                (x - long * 0.1, y + long),
            ]),
            move |_, _, under| {
                (
                    screen(under, [bright * 0.8, bright * 0.95, bright * 1.1]),
                    1.0,
                )
            },
        ));
    }
    scene
}
