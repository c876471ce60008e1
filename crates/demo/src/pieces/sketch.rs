//! The station at Saltern Cross, in pencil, from life.

use crate::colour::hex;
use crate::ink::{grain, graphite};
use crate::noise::{Dice, clouds, smooth, value};
use crate::shape::{Outline, fill};
use crate::sheet::{Point, Scene, Sheet};

/// A pencil line drawn twice, as one does when looking.
fn line(scene: &mut Scene, dice: &mut Dice, a: Point, b: Point, dark: f32) {
    for again in 0..2 {
        let off = if again == 0 { 0.12 } else { 0.5 };
        let over = if again == 0 { 0.0 } else { 0.02 };
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let steps = ((dx.hypot(dy) / 3.0) as usize).clamp(2, 60);
        let (ox, oy) = (dice.bell() * off, dice.bell() * off);
        let seed = dice.below(10_000) as u32;
        let points: Vec<(f32, f32, f32)> = (0..=steps)
            .map(|i| {
                let t = i as f32 / steps as f32 * (1.0 + 2.0 * over) - over;
                let wobble = (value(t * 4.0, seed as f32, 3) - 0.5) * 0.7;
                (
                    a.0 + dx * t + ox - dy.signum() * wobble * 0.5,
                    a.1 + dy * t + oy + wobble,
                    0.34 + 0.3 * value(t * 6.0, 9.0, seed),
                )
            })
            .collect();
        let dark = dark * if again == 0 { 1.0 } else { 0.55 };
        scene.add(fill(Outline::line(&points), move |x, y, _| {
            (hex(0x2b2b2b), graphite(x, y, dark, 5))
        }));
    }
}

/// Tone laid with the side of the lead, along a direction.
fn tone(
    scene: &mut Scene,
    shape: Outline,
    dark: impl Fn(f32, f32) -> f32 + Send + Sync + 'static,
    turn: f32,
) {
    let (s, c) = turn.sin_cos();
    scene.add(fill(shape, move |x, y, _| {
        let (u, v) = (x * c + y * s, y * c - x * s);
        let stroke = value(u * 0.06, v * 0.95, 8) * 0.65 + value(u * 0.2, v * 2.1, 9) * 0.35;
        (
            hex(0x353535),
            graphite(x, y, dark(x, y) * (0.45 + 0.85 * stroke), 6),
        )
    }));
}

pub(crate) fn scene(sheet: Sheet) -> Scene {
    let mut scene = Scene::new(sheet, Some(hex(0xf1f1f1)));
    scene.wash(|x, y, _| {
        let paper =
            0.945 - 0.03 * clouds(x * 0.02, y * 0.02, 3, 4) - 0.035 * (1.0 - grain(x, y, 6))
                + 0.012;
        ([paper, paper, paper], 1.0)
    });
    let mut dice = Dice::new(33);
    let d = &mut dice;
    // Construction: horizon, two vanishing lines, the plumb lines of the building.
    let (far_left, far_right) = ((-60.0, 118.0), (330.0, 118.0));
    for (a, b, dark) in [
        ((4.0, 118.0), (206.0, 118.0), 0.22),
        (far_left, (128.0, 40.0), 0.16),
        (far_left, (128.0, 146.0), 0.16),
        (far_right, (128.0, 40.0), 0.16),
        (far_right, (128.0, 146.0), 0.16),
    ] {
        line(&mut scene, d, a, b, dark);
    }
    // Points in perspective: along the right wall by t, along the left wall by s, at a height.
    let right = |t: f32, high: f32| -> Point {
        let top = 44.0 + (118.0 - 44.0) * t;
        let foot = 146.0 + (118.0 - 146.0) * t;
        (128.0 + (330.0 - 128.0) * t, foot + (top - foot) * high)
    };
    let left = |t: f32, high: f32| -> Point {
        let top = 44.0 + (118.0 - 44.0) * t;
        let foot = 146.0 + (118.0 - 146.0) * t;
        (128.0 + (-60.0 - 128.0) * t, foot + (top - foot) * high)
    };
    // Sky, loosely.
    tone(
        &mut scene,
        Outline::polygon(&[
            (10.0, 8.0),
            (196.0, 8.0),
            (196.0, 50.0),
            (120.0, 18.0),
            (60.0, 60.0),
            (10.0, 70.0),
        ]),
        |x, y| 0.34 * smooth(0.45, 0.68, clouds(x * 0.022, y * 0.05, 4, 8)),
        -0.5,
    );
    // Walls.
    let wall_right = Outline::polygon(&[
        right(0.0, 0.0),
        right(0.0, 0.72),
        right(0.30, 0.72),
        right(0.30, 0.0),
    ]);
    tone(
        &mut scene,
        wall_right,
        |x, y| 0.30 + 0.2 * smooth(80.0, 140.0, y) + 0.06 * value(x * 0.2, y * 0.2, 3),
        1.15,
    );
    let wall_left = Outline::polygon(&[
        left(0.0, 0.0),
        left(0.0, 0.72),
        left(0.52, 0.72),
        left(0.52, 0.0),
    ]);
    tone(
        &mut scene,
        wall_left,
        |_, y| 0.07 + 0.1 * smooth(70.0, 140.0, y),
        1.3,
    );
    // Roofs with their overhang.
    let ridge_near: Point = (110.0, 26.0);
    let ridge_far: Point = (31.0, 69.0);
    let roof = Outline::polygon(&[(131.0, 76.0), ridge_near, ridge_far, (22.0, 95.0)]);
    tone(
        &mut scene,
        roof,
        |x, y| 0.42 + 0.2 * value(x * 0.1, y * 0.4, 5) + 0.12 * (y * 1.4 + x * 0.7).sin().max(0.0),
        0.36,
    );
    let gable = Outline::polygon(&[(131.0, 76.0), ridge_near, right(0.30, 0.74)]);
    tone(
        &mut scene,
        gable,
        |_, y| 0.5 + 0.1 * smooth(30.0, 80.0, y),
        1.2,
    );
    for (a, b) in [
        ((131.0, 76.0), ridge_near),
        (ridge_near, ridge_far),
        (ridge_far, (22.0, 95.0)),
        ((22.0, 95.0), (131.0, 76.0)),
        (ridge_near, right(0.31, 0.75)),
        (right(0.31, 0.75), (131.0, 76.0)),
    ] {
        line(&mut scene, d, a, b, 0.85);
    }
    for (a, b) in [
        (right(0.0, 0.0), right(0.0, 0.72)),
        (right(0.30, 0.0), right(0.30, 0.73)),
        (right(0.0, 0.0), right(0.30, 0.0)),
        (left(0.52, 0.0), left(0.52, 0.72)),
        (left(0.0, 0.0), left(0.52, 0.0)),
    ] {
        line(&mut scene, d, a, b, 0.8);
    }
    // Windows and the door, on both sides.
    for (from, to, low, high, side) in [
        (0.06, 0.12, 0.26, 0.56, 0),
        (0.18, 0.24, 0.26, 0.56, 0),
        (0.05, 0.13, 0.24, 0.56, 1),
        (0.19, 0.26, 0.02, 0.58, 1),
        (0.32, 0.38, 0.24, 0.56, 1),
        (0.43, 0.48, 0.24, 0.56, 1),
    ] {
        let at = |t: f32, h: f32| if side == 0 { right(t, h) } else { left(t, h) };
        let corners = [at(from, low), at(from, high), at(to, high), at(to, low)];
        tone(
            &mut scene,
            Outline::polygon(&corners),
            |x, y| 0.62 + 0.3 * value(x * 0.25, y * 0.25, 2),
            0.9,
        );
        for i in 0..4 {
            line(&mut scene, d, corners[i], corners[(i + 1) % 4], 0.75);
        }
        let half = (from + to) / 2.0;
        line(&mut scene, d, at(half, low), at(half, high), 0.5);
        line(
            &mut scene,
            d,
            at(from, (low + high) / 2.0),
            at(to, (low + high) / 2.0),
            0.45,
        );
    }
    // Chimneys, the clock, a lamp on a bracket.
    for (x, y, tall) in [(92.0, 35.0, 20.0), (50.0, 58.0, 15.0)] {
        tone(
            &mut scene,
            Outline::rect(x, y - tall, 8.0, tall),
            move |gx, _| 0.35 + 0.35 * smooth(x + 3.0, x + 8.0, gx),
            1.4,
        );
        for (a, b) in [
            ((x, y + 2.0), (x, y - tall)),
            ((x, y - tall), (x + 8.0, y - tall)),
            ((x + 8.0, y - tall), (x + 8.0, y - 2.0)),
            ((x - 1.2, y - tall + 3.0), (x + 9.2, y - tall + 3.0)),
        ] {
            line(&mut scene, d, a, b, 0.75);
        }
    }
    for i in 0..22 {
        let (a, b) = (
            i as f32 / 22.0 * std::f32::consts::TAU,
            (i as f32 + 1.2) / 22.0 * std::f32::consts::TAU,
        );
        line(
            &mut scene,
            d,
            (137.0 + 6.0 * a.cos(), 66.0 + 7.0 * a.sin()),
            (137.0 + 6.0 * b.cos(), 66.0 + 7.0 * b.sin()),
            0.7,
        );
    }
    line(&mut scene, d, (137.0, 66.0), (140.0, 63.0), 0.8);
    line(&mut scene, d, (137.0, 66.0), (136.0, 70.0), 0.8);
    // Platform, rails running off, the edge of the water.
    tone(
        &mut scene,
        Outline::polygon(&[
            left(0.0, -0.02),
            left(0.56, -0.02),
            (12.0, 140.0),
            (150.0, 163.0),
            right(0.2, -0.06),
        ]),
        |_, y| 0.1 + 0.08 * smooth(130.0, 160.0, y),
        0.1,
    );
    for shift in [0.0f32, 5.0, 17.0, 22.0] {
        line(
            &mut scene,
            d,
            (6.0, 134.0 + shift * 0.9),
            (196.0, 158.0 + shift * 1.15),
            if shift < 6.0 { 0.75 } else { 0.6 },
        );
    }
    for i in 0..17 {
        let t = i as f32 / 16.0;
        let (x, y) = (10.0 + 180.0 * t, 138.0 + 23.5 * t);
        line(
            &mut scene,
            d,
            (x, y),
            (x - 5.0 + 2.0 * t, y + 16.0 + 7.0 * t),
            0.5,
        );
    }
    tone(
        &mut scene,
        Outline::polygon(&[(6.0, 156.0), (196.0, 186.0), (196.0, 196.0), (6.0, 172.0)]),
        |x, y| 0.5 * smooth(0.4, 0.62, clouds(x * 0.03, y * 0.2, 3, 4)),
        0.14,
    );
    // A fence, a barrow, two people waiting, a tree by the end wall.
    for i in 0..9 {
        let p = right(0.32 + i as f32 * 0.022, 0.0);
        line(&mut scene, d, p, (p.0, p.1 - 11.0 + i as f32 * 0.5), 0.65);
    }
    line(&mut scene, d, (193.0, 127.0), right(0.31, 0.11), 0.6);
    for (x, foot, tall) in [
        (66.0, 134.0, 27.0),
        (75.0, 135.0, 25.0),
        (162.0, 146.0, 29.0),
    ] {
        let shape = crate::motif::person(x, foot, tall, crate::motif::Carries::Nothing, x as u32);
        tone(
            &mut scene,
            shape,
            |x, y| 0.72 + 0.25 * value(x * 0.5, y * 0.3, 3),
            1.4,
        );
        line(
            &mut scene,
            d,
            (x - 5.0, foot + 0.6),
            (x + 9.0, foot + 1.8),
            0.5,
        );
    }
    for _ in 0..130 {
        let (a, r) = (d.unit() * std::f32::consts::TAU, d.unit().sqrt());
        let (x, y) = (187.0 + 15.0 * r * a.cos(), 88.0 + 22.0 * r * a.sin());
        let dark = d.between(0.25, 0.8);
        let p = (x + d.bell() * 3.0, y - d.unit() * 4.0);
        line(&mut scene, d, (x, y), p, dark);
    }
    line(&mut scene, d, (186.0, 124.0), (187.0, 98.0), 0.85);
    line(&mut scene, d, (188.0, 124.0), (189.0, 99.0), 0.7);
    scene
}
