//! An old postcard of the pier, as it came out of a drawer: too small, and saved too often.

use crate::brush::{OIL, painted};
use crate::colour::{blend, hex, multiply, ramp};
use crate::motif::{Carries, gull, person};
use crate::noise::{Dice, clouds, smooth, value};
use crate::shape::{Outline, fill, flat, hills};
use crate::sheet::{Scene, Sheet};

pub(crate) fn scene(sheet: Sheet) -> Scene {
    let (w, h) = (sheet.width, sheet.height);
    let horizon = h * 0.54;
    let mut under = Scene::new(sheet, Some(hex(0xd8c49a)));
    under.wash(move |x, y, _| {
        if y < horizon {
            let puff = smooth(0.5, 0.62, clouds(x * 0.012, y * 0.03, 5, 7));
            let sky = ramp(
                &[
                    (0.0, hex(0x7fa7a8)),
                    (0.7, hex(0xd9cfa8)),
                    (1.0, hex(0xe8c79a)),
                ],
                y / horizon,
            );
            (blend(sky, hex(0xf4e8cc), puff * 0.8), 1.0)
        } else {
            let near = (y - horizon) / (h - horizon);
            let wave = clouds(x * 0.02, (y - horizon) * 0.2 / (0.3 + near), 4, 3);
            let sea = blend(hex(0x6f9a94), hex(0x3f6a6d), wave);
            let beach = smooth(0.58, 0.66, near + (clouds(x * 0.02, 1.0, 3, 5) - 0.5) * 0.2);
            (
                blend(sea, blend(hex(0xe2cfa0), hex(0xb89a6c), wave), beach),
                1.0,
            )
        }
    });
    under.add(fill(
        hills(-5.0, w + 5.0, horizon, 12.0, 90.0, horizon + 1.0, 6),
        |_, _, _| (hex(0x8fa39a), 1.0),
    ));
    // The pier, its legs and the round pavilion at its head.
    let deck = horizon - 4.0;
    let mut pier = Outline::polygon(&[
        (-4.0, deck + 10.0),
        (w * 0.78, deck),
        (w * 0.78, deck + 2.4),
        (-4.0, deck + 15.0),
    ]);
    for i in 0..22 {
        let t = i as f32 / 21.0;
        let x = w * 0.78 * t;
        pier.join(&Outline::rect(
            x,
            deck + 12.0 - 10.0 * t,
            1.7 - 0.8 * t,
            30.0 - 20.0 * t,
        ));
        pier.add_line(&[
            (x, deck + 10.0 - 10.0 * t, 0.5),
            (x, deck + 4.0 - 8.0 * t, 0.4),
        ]);
    }
    pier.join(&Outline::rect(w * 0.62, deck - 17.0, 36.0, 19.0));
    pier.join(&Outline::polygon(&[
        (w * 0.60, deck - 17.0),
        (w * 0.62 + 18.0, deck - 34.0),
        (w * 0.62 + 40.0, deck - 17.0),
    ]));
    pier.add_line(&[
        (w * 0.62 + 18.0, deck - 32.0, 0.8),
        (w * 0.62 + 18.0, deck - 44.0, 0.6),
    ]);
    under.add(fill(pier, |x, y, _| {
        (
            blend(hex(0x4c4a48), hex(0x8a5a48), value(x * 0.2, y * 0.2, 3)),
            1.0,
        )
    }));
    under.add(flat(
        Outline::polygon(&[
            (w * 0.62 + 18.3, deck - 44.0),
            (w * 0.62 + 30.0, deck - 41.0),
            (w * 0.62 + 18.3, deck - 38.0),
        ]),
        hex(0xb5483a),
    ));
    for i in 0..5 {
        under.add(flat(
            Outline::rect(w * 0.62 + 3.0 + i as f32 * 6.6, deck - 12.0, 3.4, 8.0),
            hex(0xf0dca8),
        ));
    }
    let mut scene = Scene::new(sheet, Some(hex(0xd8c49a)));
    scene.add(painted(&under.study(2.4), sheet, OIL, |_, _| 0.05, 4));
    let mut dice = Dice::new(4);
    for i in 0..9 {
        let (x, foot) = (dice.between(20.0, w - 20.0), h - dice.between(8.0, 34.0));
        let carries = if i % 3 == 0 {
            Carries::Umbrella
        } else {
            Carries::Nothing
        };
        let coat = hex([0x6b3f3a, 0x3d4f5c, 0xa06a48, 0xd7c9a6][dice.below(4)]);
        scene.add(flat(
            person(x, foot, 24.0 - (h - foot) * 0.25, carries, i + 3).by_hand(0.15, 1.0, 3),
            coat,
        ));
    }
    for _ in 0..7 {
        scene.add(flat(
            gull(
                dice.between(10.0, w - 10.0),
                dice.between(10.0, h * 0.4),
                dice.between(4.0, 9.0),
                0.5,
                dice.bell() * 0.3,
            ),
            hex(0xf6efdd),
        ));
    }
    // A white border, foxing, a crease.
    scene.wash(move |x, y, under| {
        let edge = x.min(y).min(w - x).min(h - y);
        let old = multiply(under, hex(0xf3e2bd));
        let fox = smooth(0.68, 0.78, clouds(x * 0.06, y * 0.06, 3, 31)) * 0.3;
        let crease = smooth(0.5, 0.1, (x - w * 0.83 + (y - h) * 0.55).abs()) * 0.5;
        let paper = blend(hex(0xf0e4c8), hex(0xcbb084), fox);
        let inside = smooth(6.6, 7.0, edge);
        (
            blend(blend(paper, old, inside), hex(0xf4ead2), crease + fox * 0.3),
            1.0,
        )
    });
    scene
}
