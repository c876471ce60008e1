//! Weather coming in from the sea: a spread that is nearly all sky.

use crate::brush::{OIL, painted, tooth};
use crate::colour::{Rgb, blend, hex, ramp, screen};
use crate::motif::{posts, train, wire};
use crate::noise::{Dice, clouds, smooth, value};
use crate::shape::{Outline, fill, flat, hills};
use crate::sheet::{Scene, Sheet};

const HORIZON: f32 = 226.0;

/// How thick the cloud is at a point.
fn cloud(x: f32, y: f32) -> f32 {
    let wx = clouds(x * 0.008, y * 0.010, 3, 71) - 0.5;
    let wy = clouds(x * 0.008 + 9.0, y * 0.010, 3, 72) - 0.5;
    let heap = clouds(x * 0.0085 + wx * 1.7, y * 0.0125 + wy * 1.7, 6, 73);
    // The storm's body: an anvil that leans over from the right.
    let tower = smooth(150.0, 330.0, x + (y - 120.0) * 0.55) * 0.34;
    let shelf = smooth(60.0, 120.0, y) * smooth(205.0, 160.0, y) * 0.16 * smooth(60.0, 260.0, x);
    heap + tower + shelf - 0.14
}

fn sky(x: f32, y: f32) -> Rgb {
    let clear = ramp(
        &[
            (0.0, hex(0x2f6273)),
            (0.4, hex(0x6fa3a0)),
            (0.72, hex(0xd9d3a0)),
            (0.92, hex(0xf4c878)),
            (1.0, hex(0xefb765)),
        ],
        y / HORIZON,
    );
    let here = cloud(x, y);
    let mask = smooth(0.44, 0.56, here);
    // Light comes from low on the left.
    let towards = cloud(x - 9.0, y + 3.0);
    let lit = ((here - towards) * 4.6 + 0.42).clamp(0.0, 1.0);
    let deep = smooth(0.55, 0.95, here + (y - 100.0) * 0.0011);
    let bright = blend(hex(0xf6e3bd), hex(0xd9a878), smooth(40.0, 190.0, y));
    let body = blend(
        blend(hex(0x5d7780), hex(0x1f3038), deep),
        bright,
        lit * lit * (1.0 - deep * 0.82),
    );
    let mut paint = blend(clear, body, mask);
    // Curtains of rain under the shelf.
    let slant = x + (y - HORIZON) * 0.32;
    let curtain = smooth(0.46, 0.72, clouds(slant * 0.021, y * 0.0025, 4, 15))
        * smooth(262.0, 330.0, slant)
        * smooth(118.0, 176.0, y);
    paint = blend(paint, hex(0x33454a), curtain * 0.85);
    let break_ = (-((x - 118.0) / 88.0).powi(2) - ((y - 214.0) / 24.0).powi(2)).exp();
    screen(paint, [break_ * 0.42, break_ * 0.3, break_ * 0.08])
}

pub(crate) fn scene(sheet: Sheet) -> Scene {
    let mut under = Scene::new(sheet, Some(hex(0x8a7a48)));
    under.wash(|x, y, _| (sky(x, y.min(HORIZON)), 1.0));
    under.add(fill(
        hills(-5.0, 515.0, 227.0, 9.0, 130.0, 232.0, 9),
        |x, _, _| {
            (
                blend(hex(0xb79a62), hex(0x2a3a3c), smooth(70.0, 300.0, x)),
                1.0,
            )
        },
    ));
    under.wash(|x, y, under| {
        if y < HORIZON {
            return (under, 0.0);
        }
        let near = (y - HORIZON) / (306.0 - HORIZON);
        let gust = clouds(x * 0.014 / (0.25 + near), y * 0.12 / (0.3 + near), 4, 6);
        let grass = ramp(
            &[
                (0.0, hex(0x30382a)),
                (0.45, hex(0x7d7335)),
                (0.7, hex(0xc9a648)),
                (1.0, hex(0xf0cf75)),
            ],
            gust + 0.30 * (-((x - 120.0) / 150.0).powi(2)).exp() - 0.18 * near - 0.08,
        );
        let shadow = smooth(210.0, 400.0, x - near * 40.0) * 0.62;
        let mut paint = blend(grass, hex(0x1d2a28), shadow);
        // A creek winds towards us with the sky in it.
        let bend = 205.0 + 58.0 * (near * 5.6).sin() * (0.25 + near) - near * 20.0;
        let wide = 1.2 + 36.0 * near * near;
        let creek = smooth(
            wide,
            wide * 0.72,
            (x - bend).abs() + (value(x * 0.15, y * 0.4, 3) - 0.5) * 3.0,
        );
        let glass = blend(sky(x, HORIZON - (y - HORIZON) * 1.5), hex(0x3d5556), 0.3);
        paint = blend(paint, glass, creek * 0.95);
        (paint, 1.0)
    });
    let lie = |x: f32, y: f32| {
        if y > HORIZON {
            -1.1 + (clouds(x * 0.02, y * 0.03, 2, 9) - 0.5) * 0.9
        } else if x + (y - HORIZON) * 0.32 > 300.0 && y > 130.0 {
            // Rain falls along its slant.
            1.88
        } else {
            (clouds(x * 0.007, y * 0.009, 2, 44) - 0.5) * 3.4
        }
    };
    let mut scene = Scene::new(sheet, Some(hex(0x8a7a48)));
    scene.add(painted(&under.study(2.0), sheet, OIL, lie, 140));
    // A far stroke of lightning.
    let mut dice = Dice::new(21);
    let mut bolt = vec![(404.0f32, 150.0f32, 0.75f32)];
    while let Some(&(x, y, w)) = bolt.last() {
        if y > HORIZON - 4.0 {
            break;
        }
        bolt.push((
            x + dice.bell() * 5.0 - 0.6,
            y + dice.between(2.5, 6.0),
            (w * 0.97).max(0.3),
        ));
    }
    let flash = bolt.clone();
    scene.wash(move |x, y, under| {
        if (x - 404.0).abs() > 90.0 {
            return (under, 0.0);
        }
        let d = flash
            .iter()
            .map(|&(bx, by, _)| (x - bx).hypot((y - by) * 0.8))
            .fold(f32::MAX, f32::min);
        let light = (-d / 12.0).exp() * 0.3;
        (screen(under, [light * 0.9, light, light]), 1.0)
    });
    scene.add(flat(Outline::line(&bolt), hex(0xfdf6e0)));
    // Embankment, posts and the train that will not make it in time.
    let bank = hills(-6.0, 512.0, 232.0, 3.4, 80.0, 238.5, 31);
    scene.add(fill(bank, |x, y, _| {
        let light = smooth(300.0, 60.0, x);
        (
            blend(
                hex(0x1b2426),
                blend(hex(0x6b5a30), hex(0xcfa650), smooth(238.0, 230.0, y)),
                light * 0.9,
            ),
            1.0,
        )
    }));
    let loco = train(5);
    let (front, rail, tall) = (312.0, 230.4, 8.4);
    scene.wash(move |x, y, under| {
        let back = front - 4.0 - x;
        if !(-4.0..190.0).contains(&back) {
            return (under, 0.0);
        }
        let along = (back / 170.0).max(0.0);
        let middle = rail - 13.0 - 12.0 * along.powf(0.6);
        let half = 2.5 + 13.0 * along.powf(0.7);
        let puff = clouds(x * 0.07, y * 0.11, 4, 19);
        let cover = smooth(
            0.15,
            0.55,
            1.0 - (y - middle).abs() / half + (puff - 0.55) * 1.7,
        ) * smooth(1.05, 0.2, along)
            * smooth(-4.0, 1.0, back);
        let lit = smooth(0.8, -0.8, (y - middle) / half + (puff - 0.5) * 2.0);
        (blend(hex(0x9a8466), hex(0xfff0cf), lit), cover * 0.9)
    });
    scene.add(fill(
        loco.body
            .placed(front, rail, tall, tall)
            .by_hand(0.05, 0.8, 2),
        move |x, y, _| {
            (
                blend(
                    hex(0x1a1f22),
                    hex(0x7a4a34),
                    smooth(rail - 5.0, rail - 8.5, y) * smooth(320.0, 200.0, x),
                ),
                1.0,
            )
        },
    ));
    for &(x, y, w, h) in &loco.windows {
        scene.add(flat(
            Outline::rect(front + x * tall, rail + y * tall, w * tall, h * tall),
            hex(0xf2d28c),
        ));
    }
    scene.add(flat(
        Outline::ellipse(
            front + loco.lamp.0 * tall,
            rail + loco.lamp.1 * tall,
            1.0,
            1.0,
        ),
        hex(0xfff4cf),
    ));
    let feet: Vec<(f32, f32, f32)> = (0..9)
        .map(|i| {
            let z = 0.55 + i as f32 * 0.5;
            (
                560.0 - 470.0 / z * 0.62 + 10.0 - 40.0 * (1.0 - 1.0 / z),
                HORIZON + 40.0 / z,
                96.0 / z,
            )
        })
        .collect();
    let (poles, hooks) = posts(&feet);
    for pair in hooks.windows(2) {
        for (near, far) in pair[0].into_iter().zip(pair[1]) {
            scene.add(flat(wire(near, far, 3.0, 0.28), hex(0x1a1d1c)));
        }
    }
    scene.add(fill(poles.by_hand(0.12, 1.4, 9), |x, y, _| {
        (
            blend(
                hex(0x191a18),
                hex(0x6d5230),
                value(x * 1.2, y * 0.2, 4) * 0.5,
            ),
            1.0,
        )
    }));
    // Grass in front, bent by the wind.
    for _ in 0..900 {
        let x = dice.between(-10.0, 516.0);
        let foot = dice.between(272.0, 312.0);
        let tall = dice.between(6.0, 20.0) * (foot - 240.0) / 60.0;
        let lean = dice.between(0.45, 1.05);
        let sun = 0.9 * (-((x - 110.0) / 170.0).powi(2)).exp() + 0.1;
        let paint = blend(
            blend(hex(0x1e2a20), hex(0x4f5a2c), dice.unit()),
            blend(hex(0xd9b04c), hex(0xf5dc8c), dice.unit()),
            sun * dice.unit(),
        );
        let blade = Outline::line(&[
            (x, foot, 0.7),
            (x + tall * lean * 0.35, foot - tall * 0.6, 0.5),
            (x + tall * lean, foot - tall * 0.92, 0.12),
        ]);
        scene.add(fill(blade, move |_, _, _| (paint, 0.9)));
    }
    scene.add(tooth(0.018, 0.34, 8));
    scene
}
