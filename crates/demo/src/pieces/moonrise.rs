//! Moonrise at the viaduct, made for the cover: a calm dark sky above for the words.

use crate::brush::{GOUACHE, painted, tooth};
use crate::colour::{Rgb, blend, hex, ramp, screen};
use crate::motif::{Pier, gull, reeds, train, viaduct};
use crate::noise::{Dice, clouds, smooth, value};
use crate::shape::{Outline, fill, flat, hills};
use crate::sheet::{Scene, Sheet};

/// Middle and radius of the moon, in mm of the picture.
pub(crate) const MOON: (f32, f32, f32) = (128.0, 166.0, 52.0);
const WATER: f32 = 224.0;

fn sky(x: f32, y: f32) -> Rgb {
    let paint = ramp(
        &[
            (0.0, hex(0x0b2233)),
            (0.4, hex(0x123f52)),
            (0.7, hex(0x2c6a74)),
            (0.9, hex(0x7aa08c)),
            (1.0, hex(0xcaa878)),
        ],
        (y + (clouds(x * 0.008, y * 0.012, 3, 2) - 0.5) * 20.0) / WATER,
    );
    let far = (x - MOON.0).hypot(y - MOON.1) - MOON.2;
    let halo = (-far.max(0.0) / 34.0).exp() * 0.42;
    screen(paint, [halo * 0.95, halo * 0.62, halo * 0.3])
}

fn moon(x: f32, y: f32) -> Rgb {
    let seas = clouds(x * 0.03, y * 0.03, 5, 30);
    let t = (y - MOON.1 + MOON.2) / (2.0 * MOON.2);
    let base = ramp(
        &[
            (0.0, hex(0xffe9b0)),
            (0.6, hex(0xf9b462)),
            (1.0, hex(0xe9773f)),
        ],
        t,
    );
    blend(base, hex(0xd9824a), smooth(0.5, 0.66, seas) * 0.45)
}

pub(crate) fn scene(sheet: Sheet) -> Scene {
    let mut under = Scene::new(sheet, Some(hex(0x123f52)));
    under.wash(|x, y, _| (sky(x, y.min(WATER)), 1.0));
    under.add(fill(
        Outline::ellipse(MOON.0, MOON.1, MOON.2, MOON.2),
        |x, y, _| (moon(x, y), 1.0),
    ));
    // Thin cloud before the moon.
    under.wash(|x, y, under| {
        let bar = clouds(x * 0.010, y * 0.075, 4, 15);
        let mask = smooth(0.55, 0.66, bar) * (-((y - 150.0) / 44.0).powi(2)).exp();
        (blend(under, hex(0x2a4f5c), 0.9), mask * 0.75)
    });
    for (base, height, wide, paint, seed) in [
        (222.0, 26.0, 140.0, 0x2b5560, 3),
        (224.0, 15.0, 90.0, 0x1b3e4a, 4),
    ] {
        let paint = hex(paint);
        under.add(fill(
            hills(-5.0, 262.0, base, height, wide, WATER + 1.0, seed),
            move |x, y, _| {
                let glow = (-((x - MOON.0) / 60.0).powi(2)).exp() * 0.3;
                (
                    blend(
                        paint,
                        hex(0xd99a62),
                        glow * smooth(base - height, WATER, y) + 0.05,
                    ),
                    1.0,
                )
            },
        ));
    }
    under.wash(|x, y, under| {
        if y < WATER {
            return (under, 0.0);
        }
        let near = (y - WATER) / 82.0;
        let wobble = (value(x * 0.03, y * 0.8, 4) - 0.5) * 16.0 * near.sqrt();
        let up = WATER - (y - WATER) * 1.5;
        let mirrored = if (x + wobble - MOON.0).hypot(up - MOON.1) < MOON.2 {
            moon(x + wobble, up)
        } else {
            sky(x + wobble, up)
        };
        let ripple = smooth(0.48, 0.66, clouds(x * 0.02, y * 0.32, 3, 7));
        (
            blend(
                blend(mirrored, hex(0x0d2b3b), 0.25 + 0.3 * near),
                hex(0x0b2635),
                ripple * 0.5,
            ),
            1.0,
        )
    });
    let mut scene = Scene::new(sheet, Some(hex(0x123f52)));
    scene.add(painted(
        &under.study(2.4),
        sheet,
        GOUACHE,
        |x, y| {
            if y > WATER {
                0.0
            } else {
                (clouds(x * 0.006, y * 0.009, 2, 5) - 0.5) * 1.1
            }
        },
        3,
    ));
    let piers: Vec<Pier> = (0..10)
        .map(|i| Pier {
            x: -26.0 + i as f32 * 34.0,
            deck: 188.0,
            foot: 226.0,
            half: 3.4,
            thick: 6.0,
        })
        .collect();
    let bridge = viaduct(&piers);
    scene.add(fill(
        bridge.mapped(|(x, y)| (x + (value(y * 0.6, 3.0, 5) - 0.5) * 5.0, 2.0 * 226.0 - y)),
        |x, y, under| {
            (
                blend(under, hex(0x081b26), 0.85),
                0.5 + 0.3 * value(x * 0.05, y * 0.9, 7),
            )
        },
    ));
    scene.add(fill(bridge.by_hand(0.12, 1.8, 3), |x, y, _| {
        let glow = (-((x - MOON.0) / 70.0).powi(2)).exp();
        (
            blend(
                blend(hex(0x081822), hex(0x1b3a44), value(x * 0.4, y * 0.5, 2)),
                hex(0x8a5433),
                glow * smooth(192.0, 188.0, y) * 0.9,
            ),
            1.0,
        )
    }));
    let loco = train(3);
    let (front, rail, tall) = (206.0, 188.0, 11.5);
    scene.wash(move |x, y, under| {
        let back = front - 5.0 - x;
        if !(-4.0..190.0).contains(&back) {
            return (under, 0.0);
        }
        let along = (back / 180.0).max(0.0);
        let middle = rail - 18.0 - 40.0 * along.powf(0.6);
        let puff = clouds(x * 0.05, y * 0.075, 5, 19);
        let cover = smooth(
            0.12,
            0.5,
            1.0 - (y - middle).abs() / (3.0 + 26.0 * along.powf(0.7)) + (puff - 0.55) * 1.6,
        ) * smooth(1.05, 0.3, along);
        let over = (x - MOON.0).hypot(y - MOON.1) < MOON.2;
        let lit = smooth(0.8, -0.6, (y - middle) / 16.0 + (puff - 0.5) * 2.0);
        let paint = if over {
            blend(hex(0x8a4a34), hex(0xffe4b4), lit)
        } else {
            blend(hex(0x12313f), hex(0xa5b0a0), lit * 0.8)
        };
        (paint, cover * 0.9)
    });
    scene.add(fill(
        loco.body
            .placed(front, rail, tall, tall)
            .by_hand(0.04, 0.8, 5),
        |_, _, _| (hex(0x071620), 1.0),
    ));
    for &(x, y, w, h) in &loco.windows {
        scene.add(flat(
            Outline::rect(front + x * tall, rail + y * tall, w * tall, h * tall),
            hex(0xffd88a),
        ));
    }
    scene.wash(move |x, y, under| {
        let d = (x - front).hypot(y - (rail - 10.4));
        let light = (-d / 4.5).exp() * 0.9
            + smooth(0.0, 4.0, x - front)
                * (-((y - rail + 10.0) / (1.5 + (x - front) * 0.09)).powi(2)).exp()
                * (-(x - front) / 30.0).exp()
                * 0.5;
        (screen(under, [light, light * 0.85, light * 0.5]), 1.0)
    });
    let mut dice = Dice::new(8);
    for _ in 0..150 {
        let (x, y) = (dice.between(0.0, 256.0), 130.0 * dice.unit().powf(1.3));
        let r = 0.1 + 0.34 * dice.unit().powi(4);
        let cover =
            dice.between(0.25, 0.9) * smooth(4.0, 40.0, (x - MOON.0).hypot(y - MOON.1) - MOON.2);
        scene.add(fill(Outline::ellipse(x, y, r, r), move |_, _, _| {
            (hex(0xe8efe4), cover)
        }));
    }
    for (x, y, span, turn) in [
        (96.0, 150.0, 9.0, 0.1),
        (106.0, 143.0, 6.0, -0.15),
        (88.0, 141.0, 5.0, 0.2),
        (150.0, 136.0, 5.5, -0.2),
    ] {
        scene.add(flat(gull(x, y, span, 0.5, turn), hex(0x2a3a3c)));
    }
    for (from, to, tall, count, lean, seed) in [
        (-12.0, 84.0, 92.0, 150, 0.2, 1),
        (176.0, 268.0, 112.0, 170, -0.2, 2),
        (60.0, 200.0, 30.0, 110, 0.05, 3),
    ] {
        scene.add(fill(
            reeds(from, to, 312.0, tall, count, lean, seed),
            |_, y, _| {
                (
                    blend(hex(0x04121b), hex(0x173a45), smooth(300.0, 220.0, y) * 0.7),
                    1.0,
                )
            },
        ));
    }
    scene.add(tooth(0.01, 0.3, 5));
    scene
}
