//! Fog on the causeway: posts that go away one by one, and a lamp that does not.

use crate::brush::{GOUACHE, painted, tooth};
use crate::colour::{Rgb, blend, hex, ramp, screen};
use crate::motif::{Carries, person, posts};
use crate::noise::{clouds, smooth, value};
use crate::shape::{Outline, fill, flat};
use crate::sheet::{Scene, Sheet};

const LAMP: (f32, f32) = (118.5, 196.0);

fn mist(x: f32, y: f32) -> Rgb {
    let drift = clouds(x * 0.008, y * 0.016, 5, 41) - 0.5;
    ramp(
        &[
            (0.0, hex(0x8fa0a4)),
            (0.4, hex(0xbcc3bd)),
            (0.62, hex(0xd3d2c4)),
            (0.8, hex(0xa9b3b1)),
            (1.0, hex(0x6d8188)),
        ],
        y / 306.0 + drift * 0.22,
    )
}

pub(crate) fn scene(sheet: Sheet) -> Scene {
    let mut under = Scene::new(sheet, Some(hex(0xbcc3bd)));
    under.wash(|x, y, _| (mist(x, y), 1.0));
    // A sun that does not get through.
    under.wash(|x, y, under| {
        let d = (x - 182.0).hypot(y - 74.0);
        let light = smooth(23.0, 20.5, d) * 0.5 + (-d / 50.0).exp() * 0.35;
        (screen(under, [light, light * 0.95, light * 0.78]), 1.0)
    });
    // The causeway comes out of nothing.
    for step in 0..31 {
        let z = 3.45 - step as f32 * 0.1;
        let y = 168.0 + 66.0 / z;
        let next = 168.0 + 66.0 / (z - 0.1);
        let half = 50.0 / z;
        let middle = 128.0 + 34.0 * (z * 0.9).sin() / z;
        let near = smooth(3.4, 0.85, z);
        under.add(fill(
            Outline::polygon(&[
                (middle - half, y),
                (middle + half, y),
                (middle + half * 1.14, next + 1.0),
                (middle - half * 1.14, next + 1.0),
            ]),
            move |x, y, under| {
                let wet = clouds(x * 0.03, y * 0.12, 3, 5);
                (
                    blend(under, blend(hex(0x3d4a50), hex(0x76827f), wet), near * near),
                    0.9,
                )
            },
        ));
    }
    // Rails and sleepers.
    for step in 0..40 {
        let z = 2.6 - step as f32 * 0.055;
        if z < 0.4 {
            break;
        }
        let (y, middle) = (168.0 + 66.0 / z, 128.0 + 34.0 * (z * 0.9).sin() / z);
        let (half, near) = (27.0 / z, smooth(2.6, 0.8, z));
        under.add(fill(
            Outline::rect(middle - half, y, half * 2.0, 2.0 / z),
            move |_, _, under| (blend(under, hex(0x252b30), 0.9), near * near * 0.8),
        ));
    }
    for side in [-17.0f32, 17.0] {
        let line: Vec<(f32, f32, f32)> = (0..60)
            .map(|i| {
                let z = 3.0 - i as f32 * 0.0443;
                (
                    128.0 + 34.0 * (z * 0.9).sin() / z + side / z,
                    167.6 + 66.0 / z,
                    1.3 / z,
                )
            })
            .collect();
        under.add(fill(Outline::line(&line), |_, y, under| {
            let near = smooth(185.0, 290.0, y);
            (
                blend(under, blend(hex(0x30383e), hex(0xdfe3da), 0.35), near),
                0.95,
            )
        }));
    }
    // Posts, from far to near.
    for step in 0..9 {
        let z = 3.3 - step as f32 * 0.31;
        let near = smooth(3.5, 0.8, z).powf(1.5);
        let x = 128.0 + 34.0 * (z * 0.9).sin() / z - 74.0 / z;
        let (pole, _) = posts(&[(x, 170.0 + 68.0 / z, 165.0 / z)]);
        under.add(fill(pole.by_hand(0.08, 2.0, step), move |x, y, under| {
            let grain = value(x * 1.4, y * 0.2, 4) * 0.25;
            (
                blend(under, blend(hex(0x222a30), hex(0x4c5555), grain), near),
                0.98,
            )
        }));
    }
    // Banks of fog between what is near and what is far.
    under.wash(|x, y, under| {
        let bank = smooth(0.46, 0.68, clouds(x * 0.010 + 3.0, y * 0.03, 5, 88));
        let where_ = (-((y - 192.0) / 34.0).powi(2)).exp();
        (blend(under, hex(0xdadad0), 0.8), bank * where_ * 0.62)
    });
    let mut scene = Scene::new(sheet, Some(hex(0xbcc3bd)));
    scene.add(painted(
        &under.study(2.4),
        sheet,
        GOUACHE,
        |x, y| (clouds(x * 0.008, y * 0.012, 2, 7) - 0.5) * 0.8,
        12,
    ));
    // The walker and the lamp.
    scene.wash(|x, y, under| {
        let d = (x - LAMP.0).hypot(y - LAMP.1);
        let light = (-d / 21.0).exp() * 0.62 + (-d / 5.0).exp() * 0.5;
        let path = smooth(196.0, 262.0, y) * (-((x - LAMP.0) / 9.0).powi(2)).exp() * 0.2;
        (
            screen(
                under,
                [light + path, (light + path) * 0.66, (light + path) * 0.24],
            ),
            1.0,
        )
    });
    let walker = person(134.0, 247.0, 52.0, Carries::Nothing, 8);
    scene.add(fill(
        walker.mapped(|(x, y)| (x + (y - 247.0) * 0.1, 247.0 + (247.0 - y) * 0.5)),
        |x, y, under| {
            (
                blend(under, hex(0x232a2e), 0.8),
                0.4 * value(x * 0.2, y * 0.7, 5) + 0.15,
            )
        },
    ));
    scene.add(fill(walker.by_hand(0.1, 1.2, 3), |x, y, _| {
        let rim = smooth(135.0, 126.5, x);
        (
            blend(
                hex(0x1d2429),
                hex(0xc98a4c),
                rim * 0.75 * (0.7 + 0.3 * value(x, y * 0.4, 3)),
            ),
            1.0,
        )
    }));
    scene.add(flat(
        Outline::line(&[(129.0, 209.0, 2.8), (119.5, 191.0, 1.6)]),
        hex(0x3a2a20),
    ));
    scene.add(flat(
        Outline::rect(LAMP.0 - 2.4, LAMP.1 - 3.0, 4.8, 6.4),
        hex(0xfff0c2),
    ));
    let mut cage = Outline::rect(LAMP.0 - 3.0, LAMP.1 + 3.2, 6.0, 1.1);
    cage.join(&Outline::polygon(&[
        (LAMP.0 - 2.6, LAMP.1 - 3.0),
        (LAMP.0, LAMP.1 - 5.6),
        (LAMP.0 + 2.6, LAMP.1 - 3.0),
    ]));
    scene.add(flat(cage, hex(0x2a211c)));
    scene.add(tooth(0.014, 0.3, 9));
    scene
}
