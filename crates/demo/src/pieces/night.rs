//! The last train crosses in the dark: most of the spread is deep shadow.

use crate::brush::{GOUACHE, painted, tooth};
use crate::colour::{Rgb, blend, hex, ramp, screen};
use crate::motif::{Carries, houses, lighthouse, person, posts, reeds, train, wire};
use crate::noise::{Dice, clouds, lattice, smooth, value};
use crate::shape::{Outline, fill, flat, hills};
use crate::sheet::{Scene, Sheet};

const HORIZON: f32 = 186.0;
const MOON: (f32, f32) = (392.0, 64.0);
const LAMP: (f32, f32) = (71.0, 232.0);

fn sky(x: f32, y: f32) -> Rgb {
    let paint = ramp(
        &[
            (0.0, hex(0x05080f)),
            (0.45, hex(0x0a1522)),
            (0.8, hex(0x11283a)),
            (1.0, hex(0x1d3d4d)),
        ],
        y / HORIZON,
    );
    let far = (x - MOON.0).hypot(y - MOON.1);
    let halo = (-far / 46.0).exp() * 0.33 + (-far / 150.0).exp() * 0.13;
    let mut paint = screen(paint, [halo * 0.62, halo * 0.82, halo * 0.92]);
    // Cloud that the moon lights at its edges.
    let puff = clouds(x * 0.009 + 4.0, y * 0.024 + x * 0.002, 6, 33);
    let mask = smooth(0.5, 0.63, puff) * smooth(20.0, 80.0, y) * smooth(HORIZON + 10.0, 120.0, y);
    let rim = smooth(0.66, 0.5, puff) * (-far / 110.0).exp();
    paint = blend(
        paint,
        blend(hex(0x0b1420), hex(0xa9c4c2), (rim * 1.3).min(0.85)),
        mask * 0.9,
    );
    paint
}

fn study(sheet: Sheet) -> Scene {
    let mut scene = Scene::new(sheet, Some(hex(0x04070c)));
    scene.wash(|x, y, _| {
        if y < HORIZON {
            return (sky(x, y), 1.0);
        }
        let near = (y - HORIZON) / (306.0 - HORIZON);
        let swell = clouds(x * 0.012 / (0.2 + near), y * 0.2 / (0.3 + near), 4, 3);
        let water = blend(hex(0x16303e), hex(0x04080f), (near * 1.5).min(1.0));
        let water = blend(water, hex(0x02050a), swell * 0.6);
        // The moon's path.
        let off = (x - MOON.0 + (value(y * 0.1, 2.0, 8) - 0.5) * 20.0) / (11.0 + 62.0 * near);
        let glint = smooth(
            0.46,
            0.74,
            clouds(x * 0.05 / (0.3 + near), y * 0.55 / (0.3 + near), 3, 14),
        );
        let path = (-off * off).exp() * glint * (1.0 - near * 0.5);
        (screen(water, [path * 0.66, path * 0.82, path * 0.84]), 1.0)
    });
    scene.add(fill(
        hills(-5.0, 250.0, 186.0, 22.0, 170.0, 190.0, 6),
        |_, y, _| {
            (
                blend(hex(0x0b1824), hex(0x16303e), smooth(170.0, 188.0, y)),
                1.0,
            )
        },
    ));
    scene
}

pub(crate) fn scene(sheet: Sheet) -> Scene {
    let study = study(sheet).study(2.0);
    let mut scene = Scene::new(sheet, Some(hex(0x04070c)));
    scene.add(painted(
        &study,
        sheet,
        GOUACHE,
        |x, y| {
            if y > HORIZON {
                0.0
            } else {
                (clouds(x * 0.006, y * 0.008, 2, 2) - 0.5) * 1.6
            }
        },
        70,
    ));
    // Stars, few and uneven.
    let mut dice = Dice::new(5);
    for _ in 0..420 {
        let (x, y) = (dice.between(0.0, 506.0), 150.0 * dice.unit().powf(1.4));
        let far = (x - MOON.0).hypot(y - MOON.1);
        let size = 0.12 + 0.34 * dice.unit().powi(5);
        let bright = dice.between(0.25, 0.95) * smooth(30.0, 90.0, far);
        scene.add(fill(Outline::ellipse(x, y, size, size), move |x, y, _| {
            let cloud = clouds(x * 0.009 + 4.0, y * 0.024 + x * 0.002, 6, 33);
            (hex(0xdfeaf0), bright * smooth(0.56, 0.5, cloud))
        }));
    }
    // The moon, its seas faint.
    scene.add(fill(
        Outline::ellipse(MOON.0, MOON.1, 13.0, 13.0),
        |x, y, _| {
            let seas = clouds(x * 0.11, y * 0.11, 4, 12);
            let shade = smooth(0.45, 0.62, seas) * 0.3 + 0.1 * smooth(-6.0, 14.0, y - MOON.1);
            (blend(hex(0xf4f3df), hex(0x9fb3b5), shade), 1.0)
        },
    ));
    // The far shore with its lit windows.
    let (town, panes) = houses(150.0, 236.0, 187.0, 13.0, 4);
    scene.add(flat(town, hex(0x060d16)));
    for &(x, y, w, h) in &panes {
        if dice.chance(0.5) {
            scene.add(flat(Outline::rect(x, y, w, h), hex(0xe0a95a)));
        }
    }
    // The lighthouse and its beam.
    let head = (112.0, 122.5);
    scene.wash(move |x, y, under| {
        let (dx, dy) = (x - head.0, y - head.1);
        let mut light = 0.0;
        for (turn, strength) in [(-0.085f32, 0.55f32), (3.02, 0.3)] {
            let (s, c) = turn.sin_cos();
            let (u, v) = (dx * c + dy * s, dy * c - dx * s);
            if u > 0.0 {
                let wide = 1.0 + u * 0.075;
                light += strength * (-(v / wide).powi(2)).exp() * (-u / 190.0).exp();
            }
        }
        light += 0.8 * (-(dx * dx + dy * dy) / 60.0).exp() + 0.16 * (-dx.hypot(dy) / 30.0).exp();
        light *= 0.86 + 0.28 * clouds(x * 0.03, y * 0.03, 3, 90);
        (
            screen(under, [light * 0.95, light * 0.86, light * 0.6]),
            1.0,
        )
    });
    scene.add(fill(
        Outline::polygon(&[
            (70.0, 190.0),
            (92.0, 178.0),
            (104.0, 175.0),
            (124.0, 176.0),
            (140.0, 183.0),
            (158.0, 190.0),
        ])
        .by_hand(0.6, 2.0, 5),
        |x, y, _| {
            (
                blend(
                    hex(0x05090f),
                    hex(0x122430),
                    value(x * 0.3, y * 0.5, 4) * 0.5,
                ),
                1.0,
            )
        },
    ));
    scene.add(fill(lighthouse(112.0, 176.0, 60.0), |x, y, _| {
        let side = smooth(106.0, 117.0, x);
        let band = if (y * 0.072).fract() < 0.5 {
            hex(0x1a2933)
        } else {
            hex(0x0d141c)
        };
        (
            blend(hex(0x05080d), blend(band, hex(0x4a6670), 0.25), side),
            1.0,
        )
    }));
    scene.add(flat(
        Outline::ellipse(head.0, head.1, 1.8, 2.6),
        hex(0xfff2c8),
    ));
    // The causeway: a low black line with its posts, right across.
    let mut bank = hills(-6.0, 512.0, 190.5, 2.2, 60.0, 197.0, 71);
    bank.join(&Outline::rect(-6.0, 189.0, 518.0, 3.0));
    scene.add(flat(bank, hex(0x04070b)));
    let feet: Vec<(f32, f32, f32)> = (0..13)
        .map(|i| (-8.0 + 43.0 * i as f32, 190.0, 22.0))
        .collect();
    let (poles, hooks) = posts(&feet);
    scene.add(flat(poles, hex(0x05090e)));
    for pair in hooks.windows(2) {
        for (near, far) in pair[0].into_iter().zip(pair[1]) {
            scene.add(flat(wire(near, far, 1.6, 0.16), hex(0x060b11)));
        }
    }
    // The train.
    let loco = train(6);
    let (front, rail, tall) = (356.0, 189.6, 11.6);
    let glow = (front - loco.length * tall, front - 40.0);
    scene.wash(move |x, y, under| {
        let steam_x = front - 6.0 - x;
        let mut paint = under;
        if steam_x > -6.0 {
            let along = (steam_x / 210.0).max(0.0);
            let middle = rail - 17.0 - 34.0 * along.powf(0.6);
            let half = 3.0 + 30.0 * along.powf(0.7);
            let puff = clouds(x * 0.045, y * 0.065, 5, 19);
            let cover = smooth(
                0.1,
                0.6,
                1.0 - (y - middle).abs() / half + (puff - 0.55) * 1.6,
            ) * smooth(1.1, 0.1, along)
                * smooth(-6.0, 2.0, steam_x);
            let moonlit = smooth(0.4, -0.8, (y - middle) / half + (puff - 0.5) * 2.0);
            paint = blend(
                paint,
                blend(hex(0x12202c), hex(0x7f9aa2), moonlit * 0.8),
                cover * 0.8,
            );
        }
        // Windows warm the air around them.
        let d = (x - x.clamp(glow.0, glow.1)).hypot((y - 180.0) * 1.2);
        let warm = (-d / 9.0).exp() * 0.22;
        let lamp = (x - front).hypot(y - 179.0);
        let ahead = smooth(0.0, 6.0, x - front)
            * (-((y - 180.0 - (x - front) * 0.03) / (1.6 + (x - front) * 0.08)).powi(2)).exp()
            * (-(x - front) / 52.0).exp();
        let cold = (-lamp / 5.0).exp() * 0.8 + ahead * 0.55;
        (
            screen(
                screen(paint, [warm, warm * 0.66, warm * 0.26]),
                [cold, cold * 0.9, cold * 0.62],
            ),
            1.0,
        )
    });
    scene.add(flat(
        loco.body.placed(front, rail, tall, tall),
        hex(0x05070b),
    ));
    for &(x, y, w, h) in &loco.windows {
        let (px, py) = (front + x * tall, rail + y * tall);
        let bright = 0.75 + 0.25 * lattice(px as i32, 3, 5);
        scene.add(fill(
            Outline::rect(px, py, w * tall, h * tall),
            move |x, y, _| {
                let inside = value(x * 0.9, y * 0.9, 44);
                (
                    blend(hex(0xffd27a), hex(0xd9863a), smooth(0.5, 0.85, inside)),
                    bright,
                )
            },
        ));
        // Its streak on the water, broken by ripples.
        scene.add(fill(
            Outline::polygon(&[
                (px - 0.3, 197.0),
                (px + w * tall + 0.3, 197.0),
                (px + w * tall + 2.2, 252.0),
                (px - 2.2, 252.0),
            ]),
            move |x, y, under| {
                let fade = smooth(252.0, 198.0, y).powi(2);
                let ripple = smooth(0.35, 0.75, value(x * 0.18, y * 0.95, 23));
                let light = fade * ripple * 0.75 * bright;
                (screen(under, [light, light * 0.68, light * 0.28]), 1.0)
            },
        ));
    }
    scene.add(flat(
        Outline::ellipse(
            front + loco.lamp.0 * tall,
            rail + loco.lamp.1 * tall,
            1.0,
            1.0,
        ),
        hex(0xfffbe6),
    ));
    // The keeper on the jetty: one warm lamp in all that blue.
    scene.wash(|x, y, under| {
        let d = (x - LAMP.0).hypot((y - LAMP.1) * 0.95);
        let light = (-d / 26.0).exp() * 0.75 + (-d / 7.0).exp() * 0.4;
        let lit = light * (0.75 + 0.5 * clouds(x * 0.05, y * 0.12, 3, 31));
        (screen(under, [lit * 0.95, lit * 0.56, lit * 0.2]), 1.0)
    });
    let mut jetty =
        Outline::polygon(&[(-6.0, 268.0), (118.0, 262.0), (126.0, 266.0), (-6.0, 276.0)]);
    for x in [10.0, 42.0, 74.0, 104.0, 118.0] {
        jetty.join(&Outline::rect(x, 258.0 - x * 0.02, 3.2, 60.0));
    }
    scene.add(fill(jetty.by_hand(0.3, 2.5, 3), |x, y, _| {
        let d = (x - LAMP.0).hypot(y - 264.0);
        let plank = smooth(0.82, 0.95, (x * 0.16).fract()) * 0.5;
        let lit = (-d / 30.0).exp() * smooth(271.0, 264.0, y) * (1.0 - plank);
        (blend(hex(0x04060a), hex(0xb8783c), lit * 0.8), 1.0)
    }));
    let keeper = person(56.0, 267.0, 46.0, Carries::Nothing, 3);
    scene.add(fill(keeper, |x, y, _| {
        let rim = smooth(57.5, 64.0, x) * 0.75;
        (
            blend(
                hex(0x05070b),
                hex(0xc07a3a),
                rim * (0.6 + 0.4 * value(x, y * 0.4, 2)),
            ),
            1.0,
        )
    }));
    scene.add(flat(
        Outline::line(&[(62.0, 234.0, 2.6), (70.0, 228.0, 1.6)]),
        hex(0x3a2413),
    ));
    let (lx, ly) = LAMP;
    scene.add(flat(
        Outline::rect(lx - 2.6, ly - 3.4, 5.2, 7.0),
        hex(0xffe0a0),
    ));
    let mut cage = Outline::rect(lx - 3.2, ly - 4.2, 6.4, 1.0);
    cage.join(&Outline::rect(lx - 3.2, ly + 3.4, 6.4, 1.2));
    cage.join(&Outline::rect(lx - 0.3, ly - 4.0, 0.6, 8.0));
    cage.join(&Outline::polygon(&[
        (lx - 2.2, ly - 4.0),
        (lx, ly - 6.6),
        (lx + 2.2, ly - 4.0),
    ]));
    scene.add(flat(cage, hex(0x120b06)));
    // Reeds close the corners.
    for (from, to, foot, tall, count, lean, seed) in [
        (-10.0, 120.0, 312.0, 62.0, 120, 0.2, 1),
        (360.0, 520.0, 312.0, 84.0, 190, -0.28, 2),
        (430.0, 520.0, 314.0, 120.0, 80, -0.22, 3),
    ] {
        scene.add(fill(
            reeds(from, to, foot, tall, count, lean, seed),
            |x, y, _| {
                let d = (x - LAMP.0).hypot(y - LAMP.1);
                (blend(hex(0x020408), hex(0x8a5528), (-d / 24.0).exp()), 1.0)
            },
        ));
    }
    scene.add(tooth(0.008, 0.3, 6));
    scene
}
