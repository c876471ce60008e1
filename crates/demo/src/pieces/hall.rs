//! The hall at Terminus, ten in the morning: dust in the light, oil on a page.

use crate::brush::{OIL, painted, tooth};
use crate::colour::{blend, hex, ramp, screen};
use crate::motif::{Carries, person};
use crate::noise::{Dice, clouds, smooth, value};
use crate::shape::{Outline, fill, flat};
use crate::sheet::{Point, Scene, Sheet};

/// A window with a round head.
fn window(x: f32, sill: f32, wide: f32, tall: f32) -> Outline {
    let r = wide / 2.0;
    let mut points: Vec<Point> = vec![(x - r, sill)];
    points.extend((0..=24).map(|i| {
        let a = std::f32::consts::PI * (1.0 + i as f32 / 24.0);
        (x + r * a.cos(), sill - tall + r + r * a.sin())
    }));
    points.push((x + r, sill));
    Outline::polygon(&points)
}

pub(crate) fn scene(sheet: Sheet) -> Scene {
    let floor = 226.0;
    let mut under = Scene::new(sheet, Some(hex(0x2a1d1c)));
    under.wash(move |x, y, _| {
        let wall = ramp(
            &[
                (0.0, hex(0x1d1820)),
                (0.4, hex(0x4a302b)),
                (0.75, hex(0x7a4d35)),
                (1.0, hex(0x8c6040)),
            ],
            y / floor,
        );
        let block = smooth(0.9, 0.98, (y * 0.075).fract()) * 0.3
            + smooth(0.94, 0.99, (x * 0.04 + (y * 0.075).floor() * 0.5).fract()) * 0.25;
        (
            blend(
                wall,
                hex(0x1a1216),
                block + clouds(x * 0.02, y * 0.02, 4, 3) * 0.3,
            ),
            1.0,
        )
    });
    // Vault: ribs that spring from the sides.
    for i in 0..6 {
        let r = 150.0 - i as f32 * 21.0;
        let arch: Vec<(f32, f32, f32)> = (0..=40)
            .map(|k| {
                let a = std::f32::consts::PI * (1.0 + k as f32 / 40.0);
                (
                    128.0 + r * a.cos() * 0.92,
                    118.0 - i as f32 * 4.0 + r * a.sin() * 0.82,
                    7.5 - i as f32,
                )
            })
            .collect();
        let near = 1.0 - i as f32 / 6.0;
        under.add(fill(Outline::line(&arch), move |x, y, _| {
            (
                blend(
                    blend(hex(0x8a5f45), hex(0x1d151b), near),
                    hex(0xd9a66a),
                    smooth(128.0, 40.0, x) * 0.25 + value(x * 0.1, y * 0.1, 4) * 0.12,
                ),
                1.0,
            )
        }));
    }
    // The great window at the end, and two beside it.
    for (x, sill, wide, tall) in [
        (128.0, 168.0, 62.0, 112.0),
        (70.0, 168.0, 26.0, 72.0),
        (186.0, 168.0, 26.0, 72.0),
    ] {
        under.add(flat(
            window(x, sill + 2.0, wide + 6.0, tall + 6.0),
            hex(0x3a2622),
        ));
        under.add(fill(window(x, sill, wide, tall), move |gx, gy, _| {
            (
                blend(
                    hex(0xfff4d0),
                    hex(0xf2c98a),
                    smooth(sill - tall, sill, gy) * 0.8 + clouds(gx * 0.03, gy * 0.03, 3, 2) * 0.4,
                ),
                1.0,
            )
        }));
        let mut bars = Outline::new();
        let columns = (wide / 9.0) as usize;
        for c in 1..columns {
            let bx = x - wide / 2.0 + wide * c as f32 / columns as f32;
            bars.join(&Outline::rect(bx - 0.55, sill - tall, 1.1, tall));
        }
        for r in 1..(tall / 14.0) as usize {
            bars.join(&Outline::rect(
                x - wide / 2.0,
                sill - r as f32 * 14.0,
                wide,
                1.0,
            ));
        }
        under.add(flat(bars, hex(0x6a4a34)));
    }
    // The clock: no hours, two tides.
    under.add(flat(
        Outline::ellipse(128.0, 44.0, 15.0, 15.0),
        hex(0x1d151b),
    ));
    under.add(flat(
        Outline::ellipse(128.0, 44.0, 12.8, 12.8),
        hex(0xf6e6bd),
    ));
    under.add(fill(
        Outline::ellipse(128.0, 44.0, 12.8, 12.8),
        |x, y, _| {
            (
                hex(0x2f7f86),
                if y > 46.0 + (x * 0.6).sin() * 1.0 {
                    0.85
                } else {
                    0.0
                },
            )
        },
    ));
    under.add(flat(
        Outline::line(&[(128.0, 44.0, 1.6), (134.0, 36.0, 0.9)]),
        hex(0x1d151b),
    ));
    // Floor with long light.
    under.wash(move |x, y, under| {
        if y < floor - 46.0 {
            return (under, 0.0);
        }
        let edge = smooth(floor - 50.0, floor - 46.0, y);
        let near = ((y - (floor - 46.0)) / 126.0).max(0.0);
        let tile_x = ((x - 128.0) / (0.35 + near * 1.1) * 0.055).fract().abs();
        let tile_y = ((near + 0.02).ln() * 4.2).fract().abs();
        let joint = smooth(0.06, 0.02, tile_x.min(tile_y)) * 0.35;
        let stone = blend(
            hex(0x8a5c3c),
            hex(0x2b1c1c),
            near * 0.9 + clouds(x * 0.03, y * 0.05, 3, 5) * 0.3,
        );
        let centre = 128.0 + (y - floor) * 0.34;
        let light = (-((x - centre) / (24.0 + 46.0 * near)).powi(2)).exp();
        let bars =
            0.65 + 0.35 * smooth(0.2, 0.5, ((x - centre) / (6.0 + 11.0 * near)).fract().abs());
        let lit = light * bars * (1.05 - near * 0.35);
        (
            blend(
                blend(stone, hex(0xf7cf8a), lit * 0.85),
                hex(0x2a1a18),
                joint * (1.0 - lit * 0.5),
            ),
            edge,
        )
    });
    let mut scene = Scene::new(sheet, Some(hex(0x2a1d1c)));
    scene.add(painted(
        &under.study(2.4),
        sheet,
        OIL,
        |x, y| {
            if y > 180.0 {
                0.08
            } else {
                ((y - 40.0) / 160.0 - 0.4 + (clouds(x * 0.01, y * 0.01, 2, 8) - 0.5)) * 2.0
            }
        },
        77,
    ));
    // Shafts of light with dust in them.
    scene.wash(|x, y, under| {
        let mut light = 0.0;
        for (sx, sy, half, turn, strength) in [
            (128.0f32, 96.0f32, 22.0f32, 0.34f32, 0.36f32),
            (128.0, 70.0, 11.0, 0.12, 0.2),
            (70.0, 116.0, 9.0, 0.40, 0.26),
            (186.0, 116.0, 9.0, 0.28, 0.2),
        ] {
            if y > sy {
                let middle = sx + (y - sy) * turn;
                let off = (x - middle) / (half + (y - sy) * 0.08);
                light += strength
                    * smooth(1.15, 0.6, off.abs())
                    * smooth(sy, sy + 22.0, y)
                    * smooth(310.0, 190.0, y);
            }
        }
        let dust = 0.7 + 0.6 * clouds(x * 0.022, y * 0.015, 4, 17);
        let glow = (-((x - 128.0) / 46.0).powi(2) - ((y - 112.0) / 60.0).powi(2)).exp() * 0.3;
        let l = light * dust + glow;
        (screen(under, [l, l * 0.78, l * 0.46]), 1.0)
    });
    let mut dice = Dice::new(12);
    for _ in 0..380 {
        let y: f32 = dice.between(90.0, 260.0);
        let x = 128.0 + (y - 96.0) * 0.34 + dice.bell() * 34.0;
        let r = 0.12 + 0.3 * dice.unit().powi(3);
        let cover = dice.between(0.2, 0.8);
        scene.add(fill(Outline::ellipse(x, y, r, r), move |_, _, _| {
            (hex(0xffe9b8), cover)
        }));
    }
    // People: those far off are warm ghosts, those near are dark.
    let mut crowd: Vec<(f32, f32)> = (0..34)
        .map(|_| {
            let near = dice.unit().powf(1.5);
            (dice.between(8.0, 248.0), 190.0 + 92.0 * near)
        })
        .filter(|&(x, foot)| (x - 150.0).abs() > 14.0 || foot < 214.0)
        .collect();
    crowd.push((152.0, 262.0));
    crowd.push((166.0, 263.0));
    crowd.sort_by(|a, b| a.1.total_cmp(&b.1));
    for (index, (x, foot)) in crowd.into_iter().enumerate() {
        let near = ((foot - 186.0) / 90.0).clamp(0.0, 1.0);
        let tall = 19.0 + 46.0 * near;
        let small = index > 4 && (x - 166.0).abs() < 0.1;
        let tall = if small { tall * 0.66 } else { tall };
        let carries = match dice.below(5) {
            0 => Carries::Bucket,
            1 => Carries::Pole,
            _ => Carries::Nothing,
        };
        let shape = person(x, foot, tall, carries, 300 + index as u32).by_hand(0.1, 1.0, 4);
        let lean = 0.34;
        let dark =
            shape.mapped(move |(px, py)| (px + (foot - py) * lean, foot + (foot - py) * 0.62));
        scene.add(fill(dark, move |gx, gy, under| {
            (
                blend(under, hex(0x1d1216), 0.85),
                0.5 + 0.2 * value(gx * 0.2, gy * 0.3, 3),
            )
        }));
        let lit = (-((x - (128.0 + (foot - 226.0) * 0.34)) / 44.0).powi(2)).exp();
        scene.add(fill(shape, move |gx, gy, _| {
            let body = blend(hex(0x9a6a48), hex(0x1b1218), (near * 1.6).min(1.0));
            let rim = smooth(x - tall * 0.02, x - tall * 0.11, gx)
                + smooth(foot - tall * 0.8, foot - tall * 0.95, gy);
            (
                blend(
                    body,
                    hex(0xffd699),
                    rim.min(1.0) * lit * 0.7 * (0.6 + 0.4 * value(gx * 0.5, gy * 0.3, 2)),
                ),
                1.0,
            )
        }));
    }
    scene.add(tooth(0.016, 0.32, 2));
    scene
}
