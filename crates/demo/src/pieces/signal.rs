//! The signal box at Fennick Halt, after sunset: gouache in 16 bits, so that its sky stays smooth.

use crate::brush::{GOUACHE, painted, tooth};
use crate::colour::{Rgb, blend, hex, ramp, screen};
use crate::motif::{gull, reeds};
use crate::noise::{clouds, smooth, value};
use crate::shape::{Outline, fill, flat, hills};
use crate::sheet::{Scene, Sheet};

const WATER: f32 = 236.0;

fn sky(x: f32, y: f32) -> Rgb {
    let paint = ramp(
        &[
            (0.0, hex(0x17324d)),
            (0.35, hex(0x2f6577)),
            (0.6, hex(0x77a59a)),
            (0.78, hex(0xe0b896)),
            (0.9, hex(0xe88f74)),
            (1.0, hex(0xc96a6c)),
        ],
        (y + (clouds(x * 0.008, y * 0.01, 3, 4) - 0.5) * 26.0) / WATER,
    );
    let bar = clouds(x * 0.009, y * 0.06, 4, 12);
    let mask = smooth(0.54, 0.66, bar) * smooth(120.0, 190.0, y);
    blend(
        paint,
        blend(hex(0x7b4f68), hex(0xf7b48a), smooth(0.6, 0.52, bar)),
        mask * 0.7,
    )
}

/// The box on its legs, in the light that is left.
fn house(scene: &mut Scene, mirrored: bool) {
    let place = move |shape: Outline| {
        if mirrored {
            shape.mapped(|(x, y)| {
                (
                    x + (value(y * 0.4, x * 0.02, 7) - 0.5) * 3.0,
                    2.0 * WATER - y,
                )
            })
        } else {
            shape.by_hand(0.12, 1.6, 5)
        }
    };
    let cover = if mirrored { 0.72 } else { 1.0 };
    let mut paint = move |shape: Outline, light: u32, dark: u32| {
        let (light, dark) = (hex(light), hex(dark));
        scene.add(fill(place(shape), move |x, y, _| {
            (
                blend(
                    dark,
                    light,
                    smooth(196.0, 132.0, x) * 0.8 + value(x * 0.6, y * 0.25, 3) * 0.25,
                ),
                cover,
            )
        }));
    };
    // Legs and braces.
    let mut legs = Outline::new();
    for x in [132.0, 148.0, 172.0, 192.0] {
        legs.join(&Outline::polygon(&[
            (x, 244.0),
            (x + 0.8, 152.0),
            (x + 3.6, 152.0),
            (x + 4.4, 244.0),
        ]));
    }
    legs.add_line(&[(134.0, 228.0, 1.5), (194.0, 164.0, 1.5)]);
    legs.add_line(&[(134.0, 164.0, 1.5), (194.0, 228.0, 1.5)]);
    legs.add_line(&[(130.0, 196.0, 2.0), (198.0, 196.0, 2.0)]);
    paint(legs, 0x5a4148, 0x231c2b);
    // Stair.
    let mut stair = Outline::new();
    stair.add_line(&[(196.0, 150.0, 1.8), (230.0, 236.0, 1.8)]);
    stair.add_line(&[(201.0, 146.0, 0.8), (235.0, 222.0, 0.8)]);
    for i in 0..16 {
        let t = i as f32 / 16.0;
        stair.join(&Outline::rect(194.0 + 34.0 * t, 152.0 + 84.0 * t, 7.0, 0.9));
        if i % 4 == 0 {
            stair.add_line(&[
                (199.0 + 34.0 * t, 152.0 + 84.0 * t, 0.7),
                (202.0 + 34.0 * t, 142.0 + 80.0 * t, 0.7),
            ]);
        }
    }
    paint(stair, 0x4a3742, 0x211a28);
    paint(Outline::rect(122.0, 149.0, 84.0, 4.0), 0x6d4d4e, 0x2c2230);
    // Walls, the long window, the roof.
    paint(Outline::rect(130.0, 100.0, 68.0, 50.0), 0x9c5d4e, 0x3b2733);
    for i in 0..9 {
        paint(
            Outline::rect(130.0, 128.0 + i as f32 * 2.6, 68.0, 0.5),
            0x6d4040,
            0x241923,
        );
    }
    paint(
        Outline::polygon(&[(122.0, 101.0), (136.0, 76.0), (192.0, 76.0), (206.0, 101.0)]),
        0x53626e,
        0x1d2635,
    );
    paint(Outline::rect(180.0, 62.0, 7.0, 18.0), 0x7a4c48, 0x2a1d29);
    paint(Outline::rect(121.0, 100.0, 86.0, 2.4), 0x8b8f8d, 0x2a3240);
    let mut rail = Outline::new();
    rail.add_line(&[(122.0, 137.0, 0.8), (130.0, 137.0, 0.8)]);
    rail.add_line(&[(122.4, 137.0, 0.8), (122.4, 150.0, 0.8)]);
    paint(rail, 0x8b8f8d, 0x2a3240);
}

fn study(sheet: Sheet) -> Scene {
    let mut scene = Scene::new(sheet, Some(hex(0xc98a78)));
    scene.wash(|x, y, _| (sky(x, y.min(WATER)), 1.0));
    for (base, height, wide, paint, seed) in [
        (234.0, 30.0, 150.0, 0xb77f7c, 1),
        (236.0, 17.0, 90.0, 0x7f5f72, 2),
        (237.0, 8.0, 60.0, 0x50465f, 3),
    ] {
        let paint = hex(paint);
        scene.add(fill(
            hills(-5.0, 262.0, base, height, wide, WATER + 1.5, seed),
            move |_, y, _| {
                (
                    blend(paint, hex(0xe39a80), smooth(base - height, WATER, y) * 0.5),
                    1.0,
                )
            },
        ));
    }
    scene.wash(|x, y, under| {
        if y < WATER {
            return (under, 0.0);
        }
        let near = (y - WATER) / 70.0;
        let shift = (value(x * 0.02, y * 0.7, 8) - 0.5) * 10.0 * near;
        let glass = sky(x + shift, WATER - (y - WATER) * 2.3);
        let ripple = smooth(0.52, 0.7, clouds(x * 0.02, y * 0.3, 3, 4));
        (
            blend(
                blend(glass, hex(0x243a52), 0.15 + 0.35 * near),
                hex(0x22384e),
                ripple * 0.35,
            ),
            1.0,
        )
    });
    house(&mut scene, true);
    house(&mut scene, false);
    scene
}

pub(crate) fn scene(sheet: Sheet) -> Scene {
    let mut scene = Scene::new(sheet, Some(hex(0xc98a78)));
    scene.add(painted(
        &study(sheet).study(2.6),
        sheet,
        GOUACHE,
        |x, y| {
            if y > WATER {
                0.0
            } else {
                (clouds(x * 0.006, y * 0.008, 2, 3) - 0.5) * 0.9
            }
        },
        31,
    ));
    // The lit window, each pane by itself, and what it throws on the water.
    scene.wash(|x, y, under| {
        let d = (x - x.clamp(136.0, 192.0)).hypot(y - y.clamp(108.0, 124.0));
        let glow = (-d / 16.0).exp() * 0.4;
        let down = if y > WATER {
            let off = (x - 164.0) / 32.0;
            (-off * off).exp()
                * smooth(0.35, 0.7, value(x * 0.08, y * 0.8, 5))
                * (-((y - 356.0) / 46.0).powi(2)).exp()
                * 0.0
                + (-off * off * 1.3).exp()
                    * smooth(0.4, 0.75, value(x * 0.1, y * 0.9, 5))
                    * smooth(306.0, 240.0, y)
                    * 0.32
        } else {
            0.0
        };
        let light = glow + down;
        (screen(under, [light, light * 0.7, light * 0.3]), 1.0)
    });
    for column in 0..8 {
        for row in 0..2 {
            let (x, y) = (134.0 + column as f32 * 7.7, 106.0 + row as f32 * 10.0);
            scene.add(fill(
                Outline::rect(x, y, 6.4, 8.8).by_hand(0.1, 1.5, 2),
                move |x, y, _| {
                    let inside = value(x * 0.22, y * 0.3, 14);
                    (
                        blend(hex(0xffd992), hex(0xe59545), smooth(0.45, 0.85, inside)),
                        0.97,
                    )
                },
            ));
        }
    }
    // The signalman at his levers.
    let mut man = Outline::ellipse(157.0, 110.0, 2.0, 2.5);
    man.join(&Outline::smooth(&[
        (152.5, 125.0),
        (153.5, 115.0),
        (157.0, 112.4),
        (160.6, 115.0),
        (161.6, 125.0),
    ]));
    man.add_line(&[(160.0, 116.0, 1.6), (166.0, 113.0, 1.2)]);
    for x in [166.0, 169.0, 172.0, 175.0] {
        man.add_line(&[(x - 1.0, 125.0, 0.6), (x, 112.6, 0.6)]);
    }
    scene.add(fill(man, |_, _, _| (hex(0x4a2a24), 0.92)));
    // The signal: its arm is down, the way is clear.
    let mut mast = Outline::polygon(&[(69.0, 244.0), (70.4, 92.0), (72.6, 92.0), (74.4, 244.0)]);
    mast.join(&Outline::ellipse(71.5, 90.5, 1.8, 2.6));
    for i in 0..14 {
        mast.join(&Outline::rect(74.0, 132.0 + i as f32 * 8.0, 4.2, 0.7));
    }
    mast.add_line(&[(78.0, 130.0, 0.7), (79.0, 244.0, 0.7)]);
    scene.add(fill(
        mast.mapped(|(x, y)| (x + (value(y * 0.5, 1.0, 3) - 0.5) * 2.4, 2.0 * WATER - y)),
        |_, _, under| (blend(under, hex(0x241c2c), 0.85), 0.6),
    ));
    scene.add(fill(mast.by_hand(0.08, 1.5, 4), |x, _, _| {
        (
            blend(hex(0x7b5a5a), hex(0x251d2c), smooth(70.2, 72.4, x)),
            1.0,
        )
    }));
    let arm = Outline::rect(71.0, 100.0, 36.0, 6.0).turned((71.5, 103.0), 0.72);
    scene.add(fill(arm.by_hand(0.12, 1.5, 6), |x, y, _| {
        (
            blend(hex(0xd9503c), hex(0xb23a38), value(x * 0.4, y * 0.4, 2)),
            1.0,
        )
    }));
    let stripe = Outline::rect(99.0, 100.0, 3.4, 6.0).turned((71.5, 103.0), 0.72);
    scene.add(flat(stripe, hex(0xf3e3c8)));
    scene.wash(|x, y, under| {
        let d = (x - 63.0).hypot(y - 104.0);
        let light = (-d / 7.0).exp() * 0.9;
        (screen(under, [light * 0.35, light, light * 0.75]), 1.0)
    });
    scene.add(flat(Outline::rect(60.4, 100.6, 8.0, 6.6), hex(0x1f1a28)));
    scene.add(flat(Outline::ellipse(63.4, 104.0, 2.2, 2.2), hex(0xc9ffe6)));
    for (x, y, span, turn) in [
        (38.0, 70.0, 10.0, 0.1),
        (50.0, 62.0, 7.0, -0.2),
        (58.0, 76.0, 6.0, 0.15),
        (30.0, 52.0, 5.0, 0.0),
        (214.0, 48.0, 6.0, -0.1),
    ] {
        scene.add(flat(gull(x, y, span, 0.5, turn), hex(0x203347)));
    }
    scene.add(fill(
        reeds(-10.0, 90.0, 312.0, 58.0, 120, 0.18, 5),
        |_, y, _| {
            (
                blend(hex(0x15182a), hex(0x4f3a48), smooth(300.0, 250.0, y)),
                1.0,
            )
        },
    ));
    scene.add(fill(
        reeds(190.0, 266.0, 312.0, 44.0, 80, -0.2, 6),
        |_, y, _| {
            (
                blend(hex(0x15182a), hex(0x4f3a48), smooth(300.0, 260.0, y)),
                1.0,
            )
        },
    ));
    scene.add(tooth(0.01, 0.3, 4));
    scene
}
