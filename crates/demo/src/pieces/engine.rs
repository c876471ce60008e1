//! The engine, head on: a linocut in black over vermilion.

use crate::colour::{Rgb, blend, hex};
use crate::noise::{Dice, clouds, smooth, value};
use crate::shape::{Outline, fill};
use crate::sheet::{Scene, Sheet};

const PAPER: Rgb = hex(0xf2e8d3);
const INK: Rgb = hex(0x1b1715);
const RED: Rgb = hex(0xd4452a);

/// Ink as a roller leaves it: a little starved here and there.
fn inked(scene: &mut Scene, shape: Outline, ink: Rgb, starved: f32, seed: u32) {
    scene.add(fill(shape.by_hand(0.35, 2.2, seed), move |x, y, _| {
        let speck =
            value(x * 3.1, y * 3.1, seed ^ 1) * 0.6 + clouds(x * 0.05, y * 0.05, 3, seed ^ 2) * 0.4;
        (ink, smooth(1.0 - starved, 0.86 - starved, speck))
    }));
}

/// Strokes of the gouge that take ink away, out of a middle.
fn gouged(
    middle: (f32, f32),
    from: f32,
    to: f32,
    count: usize,
    ink: Rgb,
    seed: u32,
) -> Vec<(Outline, Rgb)> {
    let mut dice = Dice::new(seed);
    (0..count)
        .map(|i| {
            let a = (i as f32 + dice.between(-0.3, 0.3)) / count as f32 * std::f32::consts::TAU;
            let start = from + (to - from) * dice.between(0.0, 0.75);
            let end = start + (to - from) * dice.between(0.10, 0.32);
            let wide = dice.between(0.5, 1.5);
            let bend = dice.bell() * 0.03;
            let at = |r: f32, turn: f32| {
                (
                    middle.0 + r * (a + turn).cos(),
                    middle.1 + r * (a + turn).sin(),
                )
            };
            let (p, q, r) = (
                at(start, 0.0),
                at((start + end) / 2.0, bend),
                at(end, bend * 1.5),
            );
            (
                Outline::line(&[(p.0, p.1, 0.1), (q.0, q.1, wide), (r.0, r.1, 0.1)]),
                ink,
            )
        })
        .collect()
}

pub(crate) fn scene(sheet: Sheet) -> Scene {
    let mut scene = Scene::new(sheet, Some(PAPER));
    scene.wash(|x, y, under| {
        (
            blend(under, hex(0xe6d8bb), clouds(x * 0.02, y * 0.02, 4, 3) * 0.5),
            1.0,
        )
    });
    let m = (128.0, 150.0);
    // The vermilion block: a sun behind, the buffer beam, the lamp's rays.
    inked(
        &mut scene,
        Outline::ellipse(m.0, 118.0, 104.0, 104.0),
        RED,
        0.12,
        1,
    );
    // The key block: sky of black with the sun cut free.
    let mut night = Outline::rect(10.0, 10.0, 236.0, 286.0);
    let circle: Vec<(f32, f32)> = (0..180)
        .map(|i| {
            let a = i as f32 / 180.0 * std::f32::consts::TAU;
            (m.0 + 100.0 * a.cos(), 118.0 + 100.0 * a.sin())
        })
        .collect();
    night.hole(&circle);
    inked(&mut scene, night, INK, 0.1, 3);
    // Light cut out of the sky, ring by ring.
    for (shape, ink) in gouged((m.0, 118.0), 103.0, 200.0, 420, PAPER, 9) {
        let keep = shape;
        scene.add(fill(keep, move |x, y, _| {
            let inside = (10.5..245.5).contains(&x) && (10.5..236.0).contains(&y);
            (ink, if inside { 1.0 } else { 0.0 })
        }));
    }
    // Steam in heavy curls, cut from the dark.
    let mut dice = Dice::new(44);
    for side in [-1.0f32, 1.0] {
        for i in 0..13 {
            let t = i as f32 / 12.0;
            let (x, y) = (
                m.0 + side * (16.0 + 96.0 * t),
                44.0 - 14.0 * t + dice.bell() * 6.0 + 34.0 * t * t,
            );
            let r = 10.0 + 13.0 * t + dice.between(0.0, 4.0);
            inked(
                &mut scene,
                Outline::ellipse(x, y, r + 1.6, r + 1.6),
                INK,
                0.06,
                70 + i,
            );
            inked(
                &mut scene,
                Outline::ellipse(x, y, r, r),
                PAPER,
                0.02,
                90 + i,
            );
            for k in 0..9 {
                let q = k as f32 / 9.0;
                let a = std::f32::consts::PI * (0.1 + 0.8 * q);
                scene.add(fill(
                    Outline::line(&[
                        (x + r * 0.94 * a.cos(), y + r * 0.94 * a.sin(), 1.5),
                        (
                            x + r * (0.4 + 0.2 * dice.unit()) * (a + side * 0.3).cos(),
                            y + r * 0.5 * (a + side * 0.3).sin(),
                            0.15,
                        ),
                    ]),
                    |_, _, _| (INK, 1.0),
                ));
            }
        }
    }
    // Chimney.
    inked(
        &mut scene,
        Outline::polygon(&[(112.0, 94.0), (116.0, 50.0), (140.0, 50.0), (144.0, 94.0)]),
        INK,
        0.05,
        5,
    );
    inked(
        &mut scene,
        Outline::polygon(&[(107.0, 52.0), (110.0, 42.0), (146.0, 42.0), (149.0, 52.0)]),
        INK,
        0.05,
        6,
    );
    for i in 0..5 {
        inked(
            &mut scene,
            Outline::line(&[
                (119.5 + i as f32 * 1.7, 56.0, 0.5),
                (117.5 + i as f32 * 2.0, 90.0, 0.7),
            ]),
            PAPER,
            0.1,
            20 + i,
        );
    }
    // Boiler: black disc, cut rings, the door with its hinges and dart.
    inked(
        &mut scene,
        Outline::ellipse(m.0, m.1, 66.0, 66.0),
        PAPER,
        0.0,
        7,
    );
    inked(
        &mut scene,
        Outline::ellipse(m.0, m.1, 63.5, 63.5),
        INK,
        0.06,
        8,
    );
    for (shape, ink) in gouged(m, 49.0, 63.0, 150, PAPER, 10) {
        scene.add(fill(shape, move |x, y, _| {
            (ink, smooth(40.0, -30.0, (x - m.0) * 0.6 + (y - m.1)))
        }));
    }
    inked(
        &mut scene,
        Outline::ellipse(m.0, m.1, 49.0, 49.0),
        PAPER,
        0.02,
        11,
    );
    inked(
        &mut scene,
        Outline::ellipse(m.0, m.1, 47.0, 47.0),
        INK,
        0.06,
        12,
    );
    for i in 0..24 {
        let a = i as f32 / 24.0 * std::f32::consts::TAU;
        inked(
            &mut scene,
            Outline::ellipse(m.0 + 56.0 * a.cos(), m.1 + 56.0 * a.sin(), 1.5, 1.5),
            PAPER,
            0.02,
            100 + i,
        );
    }
    for (shape, ink) in gouged(m, 12.0, 46.0, 190, PAPER, 13) {
        scene.add(fill(shape, move |x, y, _| {
            (ink, smooth(26.0, -36.0, (x - m.0) * 0.7 + (y - m.1) * 0.9))
        }));
    }
    for y in [136.0, 160.0] {
        inked(
            &mut scene,
            Outline::rect(84.0, y, 62.0, 5.0),
            PAPER,
            0.02,
            14,
        );
        inked(
            &mut scene,
            Outline::rect(86.0, y + 1.4, 58.0, 2.2),
            INK,
            0.05,
            15,
        );
    }
    inked(
        &mut scene,
        Outline::ellipse(m.0, m.1, 9.0, 9.0),
        RED,
        0.08,
        16,
    );
    inked(
        &mut scene,
        Outline::line(&[(m.0 - 2.0, m.1 + 2.0, 2.8), (m.0 + 15.0, m.1 - 13.0, 2.0)]),
        PAPER,
        0.02,
        17,
    );
    inked(
        &mut scene,
        Outline::line(&[(m.0 + 2.0, m.1 + 1.0, 2.8), (m.0 - 7.0, m.1 + 19.0, 2.0)]),
        PAPER,
        0.02,
        18,
    );
    // Lamps.
    for (x, y, r) in [(m.0, 86.0, 10.0), (62.0, 205.0, 8.0), (194.0, 205.0, 8.0)] {
        inked(
            &mut scene,
            Outline::ellipse(x, y, r + 3.0, r + 3.0),
            INK,
            0.04,
            19,
        );
        inked(
            &mut scene,
            Outline::ellipse(x, y, r + 0.6, r + 0.6),
            PAPER,
            0.0,
            20,
        );
        inked(
            &mut scene,
            Outline::ellipse(x, y, r * 0.45, r * 0.45),
            RED,
            0.05,
            21,
        );
    }
    // Beam, buffers, coupling.
    inked(
        &mut scene,
        Outline::rect(26.0, 212.0, 204.0, 30.0),
        INK,
        0.04,
        2,
    );
    inked(
        &mut scene,
        Outline::rect(28.0, 215.0, 200.0, 24.0),
        RED,
        0.1,
        2,
    );
    let mut beam = Outline::new();
    for i in 0..20 {
        beam.join(&Outline::ellipse(38.0 + i as f32 * 9.5, 227.0, 1.3, 1.3));
    }
    inked(&mut scene, beam, INK, 0.06, 22);
    for x in [58.0, 198.0] {
        inked(
            &mut scene,
            Outline::ellipse(x, 228.0, 19.0, 19.0),
            INK,
            0.04,
            23,
        );
        inked(
            &mut scene,
            Outline::ellipse(x, 228.0, 15.5, 15.5),
            PAPER,
            0.02,
            24,
        );
        inked(
            &mut scene,
            Outline::ellipse(x, 228.0, 13.4, 13.4),
            INK,
            0.05,
            25,
        );
        for (shape, ink) in gouged((x, 228.0), 3.0, 13.0, 46, PAPER, 26 + x as u32) {
            scene.add(fill(shape, move |gx, gy, _| {
                (ink, smooth(8.0, -8.0, gx - x + gy - 228.0))
            }));
        }
    }
    for i in 0..3 {
        let y = 236.0 + i as f32 * 9.0;
        inked(
            &mut scene,
            Outline::ellipse(m.0, y, 5.0, 7.0),
            INK,
            0.04,
            31,
        );
        inked(
            &mut scene,
            Outline::ellipse(m.0, y, 2.4, 4.2),
            PAPER,
            0.02,
            32,
        );
    }
    // Water parts before the wheels in cut waves.
    inked(
        &mut scene,
        Outline::rect(10.0, 262.0, 236.0, 34.0),
        INK,
        0.06,
        33,
    );
    for x in [84.0, 172.0] {
        inked(
            &mut scene,
            Outline::ellipse(x, 262.0, 20.0, 17.0),
            INK,
            0.04,
            34,
        );
    }
    for row in 0..5 {
        for i in 0..15 {
            let x = 16.0 + i as f32 * 16.4 + if row % 2 == 0 { 0.0 } else { 8.0 };
            let y = 264.0 + row as f32 * 7.0;
            if x > 238.0 {
                continue;
            }
            inked(
                &mut scene,
                Outline::line(&[
                    (x - 7.0, y + 1.0, 0.2),
                    (x - 2.0, y - 2.6, 1.5),
                    (x + 3.0, y - 0.6, 1.3),
                    (x + 7.0, y + 1.6, 0.2),
                ]),
                PAPER,
                0.05,
                35 + i,
            );
        }
    }
    scene
}
