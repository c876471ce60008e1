//! Gulls over the breakwater, painted twice: the second try is the same picture a little otherwise.

use crate::brush::{OIL, painted, tooth};
use crate::colour::{Rgb, blend, hex, ramp};
use crate::motif::gull;
use crate::noise::{Dice, clouds, smooth, value};
use crate::shape::{Outline, fill};
use crate::sheet::{Scene, Sheet};

fn sea(x: f32, y: f32, warm: f32) -> Rgb {
    let swell = clouds(x * 0.013 + (y * 0.02).sin() * 0.3, y * 0.045, 5, 9);
    let paint = ramp(
        &[
            (0.0, hex(0x0f3f55)),
            (0.42, hex(0x1f6a7c)),
            (0.6, hex(0x4aa0a0)),
            (0.72, hex(0xa7d3c4)),
            (0.8, hex(0xf4f4e6)),
            (1.0, hex(0xffffff)),
        ],
        swell * 0.92 + 0.07,
    );
    blend(paint, hex(0xf2c48a), warm * smooth(0.55, 0.8, swell))
}

fn picture(sheet: Sheet, seed: u32, warm: f32) -> Scene {
    let mut under = Scene::new(sheet, Some(hex(0x1f6a7c)));
    under.wash(move |x, y, _| (sea(x, y, warm), 1.0));
    // The breakwater comes in from below, a stair of wet stones, seen from above.
    let wall = Outline::polygon(&[
        (-5.0, 246.0),
        (40.0, 232.0),
        (108.0, 196.0),
        (150.0, 164.0),
        (166.0, 168.0),
        (172.0, 182.0),
        (140.0, 214.0),
        (92.0, 268.0),
        (60.0, 312.0),
        (-5.0, 312.0),
    ])
    .by_hand(1.6, 7.0, 3);
    under.add(fill(
        wall.mapped(|(x, y)| (x + 9.0, y + 9.0)),
        |x, y, under| {
            (
                blend(under, hex(0x0a2a3a), 0.8),
                0.5 + 0.3 * value(x * 0.1, y * 0.1, 3),
            )
        },
    ));
    under.add(fill(wall.mapped(|(x, y)| (x - 3.5, y - 4.0)), |x, y, _| {
        (
            hex(0xf6f6ea),
            0.25 + 0.7 * smooth(0.35, 0.6, clouds(x * 0.09, y * 0.09, 3, 8)),
        )
    }));
    under.add(fill(wall, move |x, y, _| {
        let (u, v) = (x * 0.8 + y * 0.6, y * 0.8 - x * 0.6);
        let row = (v / 11.0).floor();
        let stone = value((u / 15.0 + row * 0.5).floor() * 3.1, row * 2.7, 6);
        let joint = smooth(
            0.08,
            0.02,
            (v / 11.0).fract().min((u / 15.0 + row * 0.5).fract()),
        );
        let face = blend(hex(0x6a5f5c), hex(0xb09a83), stone);
        (
            blend(
                face,
                hex(0x2c2a2e),
                joint * 0.75 + clouds(x * 0.06, y * 0.06, 4, 2) * 0.35,
            ),
            1.0,
        )
    }));
    let mut scene = Scene::new(sheet, Some(hex(0x1f6a7c)));
    scene.add(painted(
        &under.study(2.0),
        sheet,
        OIL,
        |x, y| (clouds(x * 0.01, y * 0.012, 2, 5) - 0.5) * 2.6,
        seed,
    ));
    // The birds, from far to near; those near the eye are larger and cast no shadow.
    let mut dice = Dice::new(61);
    let mut birds: Vec<(f32, f32, f32, f32, f32)> = (0..30)
        .map(|_| {
            let near = dice.unit().powf(2.0);
            (
                dice.between(16.0, 240.0),
                dice.between(16.0, 290.0),
                9.0 + 62.0 * near,
                dice.between(0.2, 0.62),
                dice.bell() * 0.75,
            )
        })
        .collect();
    birds.push((158.0, 92.0, 96.0, 0.4, -0.34));
    birds.sort_by(|a, b| a.2.total_cmp(&b.2));
    for (x, y, span, lift_, turn) in birds {
        let bird = gull(x, y, span, lift_, turn).by_hand(span * 0.004, span * 0.06, 4);
        if span < 60.0 {
            let off = 30.0 - span * 0.2;
            scene.add(fill(
                bird.mapped(move |(px, py)| (px + off * 0.5, py + off)),
                |_, _, under| (blend(under, hex(0x07222f), 0.7), 0.35),
            ));
        }
        scene.add(fill(bird, move |gx, gy, _| {
            let (dx, dy) = (gx - x, gy - y);
            let (s, c) = turn.sin_cos();
            let along = (dx * c + dy * s).abs() / (span * 0.5);
            let across = dy * c - dx * s;
            let shade = smooth(-0.02, 0.05, across / span);
            let wing = blend(
                hex(0xfffdf2),
                hex(0xb9c4c6),
                shade * 0.8 + value(gx * 1.2, gy * 1.2, 3) * 0.12,
            );
            (blend(wing, hex(0x2b3238), smooth(0.84, 0.95, along)), 1.0)
        }));
        if span > 20.0 {
            let (s, c) = turn.sin_cos();
            let at = |u: f32, v: f32| (x + u * c - v * s, y + u * s + v * c);
            let (hx, hy) = at(0.0, -span * 0.075);
            scene.add(fill(
                Outline::ellipse(hx, hy, span * 0.034, span * 0.042),
                |_, _, _| (hex(0xfffdf4), 1.0),
            ));
            let (b0, b1) = (at(0.0, -span * 0.112), at(0.0, -span * 0.15));
            scene.add(fill(
                Outline::line(&[(b0.0, b0.1, span * 0.022), (b1.0, b1.1, span * 0.005)]),
                |_, _, _| (hex(0xf0a63a), 1.0),
            ));
            let (t0, t1) = (at(0.0, span * 0.04), at(0.0, span * 0.13));
            scene.add(fill(
                Outline::line(&[(t0.0, t0.1, span * 0.05), (t1.0, t1.1, span * 0.1)]),
                |_, _, _| (hex(0xf4f2e8), 1.0),
            ));
        }
    }
    scene.add(tooth(0.016, 0.34, 6));
    scene
}

pub(crate) fn scene(sheet: Sheet) -> Scene {
    picture(sheet, 5, 0.0)
}

/// The second try: other strokes, warmer light.
pub(crate) fn second_try(sheet: Sheet) -> Scene {
    picture(sheet, 6, 0.45)
}
