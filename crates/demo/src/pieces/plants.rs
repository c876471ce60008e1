//! Four plants of the salt marsh, in watercolour, cut free of their paper.

use crate::colour::{Rgb, blend, hex, scale};
use crate::noise::{Dice, clouds, mix, smooth, value};
use crate::shape::{Outline, curve, fill};
use crate::sheet::{Point, Scene, Sheet};

/// A wash of colour in a shape: pale in the middle, dark where it dried at its edge, with pigment
/// in the valleys of the paper. `axis` runs from the root to the tip.
fn wash(scene: &mut Scene, points: &[Point], paint: (Rgb, Rgb), axis: (Point, Point), seed: u32) {
    let outer = curve(points, true);
    let middle = outer
        .iter()
        .fold((0.0, 0.0), |sum, p| (sum.0 + p.0, sum.1 + p.1));
    let n = outer.len() as f32;
    let middle = (middle.0 / n, middle.1 / n);
    let inner: Vec<Point> = outer
        .iter()
        .map(|&(x, y)| {
            let (dx, dy) = (middle.0 - x, middle.1 - y);
            let l = dx.hypot(dy).max(0.01);
            let by = (0.42 + 0.3 * value(x, y, seed)).min(l * 0.4);
            (x + dx / l * by, y + dy / l * by)
        })
        .collect();
    let (from, to) = axis;
    let (ax, ay) = (to.0 - from.0, to.1 - from.1);
    let length2 = (ax * ax + ay * ay).max(0.01);
    let tone = move |x: f32, y: f32| {
        let t = (((x - from.0) * ax + (y - from.1) * ay) / length2).clamp(0.0, 1.0);
        let bloom = clouds(x * 0.11, y * 0.11, 4, seed);
        let grain = value(x * 4.2, y * 4.2, seed ^ 3) - 0.5;
        (
            blend(paint.0, paint.1, (t + (bloom - 0.5) * 1.1).clamp(0.0, 1.0)),
            bloom,
            grain,
        )
    };
    scene.add(fill(
        Outline::polygon(&outer).by_hand(0.14, 1.2, seed),
        move |x, y, _| {
            let (c, _, grain) = tone(x, y);
            (scale(c, 0.72 + grain * 0.12), 0.85)
        },
    ));
    scene.add(fill(
        Outline::polygon(&inner).by_hand(0.16, 1.2, seed),
        move |x, y, under| {
            let (c, bloom, grain) = tone(x, y);
            let pale = blend(c, [0.99, 0.985, 0.95], smooth(0.45, 0.75, bloom) * 0.45);
            (blend(under, pale, 0.9), 0.9 + grain * 0.1)
        },
    ));
}

fn stem(scene: &mut Scene, points: &[(f32, f32, f32)], paint: Rgb, seed: u32) {
    let path = curve(
        &points.iter().map(|p| (p.0, p.1)).collect::<Vec<_>>(),
        false,
    );
    let last = (points.len() - 1) as f32;
    let n = (path.len() - 1) as f32;
    let line: Vec<(f32, f32, f32)> = path
        .iter()
        .enumerate()
        .map(|(i, &(x, y))| {
            let t = i as f32 / n * last;
            let k = (t as usize).min(points.len() - 2);
            let w = points[k].2 + (points[k + 1].2 - points[k].2) * (t - k as f32);
            (x, y, w)
        })
        .collect();
    scene.add(fill(
        Outline::line(&line).by_hand(0.1, 1.6, seed),
        move |x, y, _| {
            let bloom = clouds(x * 0.13, y * 0.09, 3, seed);
            (
                blend(scale(paint, 0.78), blend(paint, [1.0; 3], 0.3), bloom),
                0.95,
            )
        },
    ));
}

/// A leaf from `root` to `tip`, `wide` mm at its broadest, with teeth if `teeth` is not nought.
fn leaf(
    scene: &mut Scene,
    root: Point,
    tip: Point,
    wide: f32,
    teeth: f32,
    paint: (Rgb, Rgb),
    seed: u32,
) {
    let (dx, dy) = (tip.0 - root.0, tip.1 - root.1);
    let l = dx.hypot(dy).max(0.1);
    let (nx, ny) = (-dy / l, dx / l);
    let mut dice = Dice::new(seed);
    let bend = dice.bell() * l * 0.07;
    let mut left = Vec::new();
    let mut right = Vec::new();
    let steps = if teeth > 0.0 { 12 } else { 7 };
    for i in 1..steps {
        let t = i as f32 / steps as f32;
        let belly = (std::f32::consts::PI * t.powf(0.8)).sin() * wide * 0.5;
        let tooth = if teeth > 0.0 {
            if i % 2 == 0 {
                1.0 + teeth
            } else {
                1.0 - teeth * 0.6
            }
        } else {
            1.0
        };
        let arc = bend * 4.0 * t * (1.0 - t);
        let (mx, my) = (root.0 + dx * t + nx * arc, root.1 + dy * t + ny * arc);
        left.push((mx + nx * belly * tooth, my + ny * belly * tooth));
        right.push((
            mx - nx * belly * tooth * 0.92,
            my - ny * belly * tooth * 0.92,
        ));
    }
    let mut ring = vec![root];
    ring.extend(left);
    ring.push(tip);
    ring.extend(right.into_iter().rev());
    wash(scene, &ring, paint, (root, tip), seed);
    // The midrib, and veins where the leaf is broad.
    let rib = scale(paint.0, 0.62);
    stem(
        scene,
        &[
            (root.0, root.1, 0.5),
            (
                root.0 + dx * 0.5 + nx * bend,
                root.1 + dy * 0.5 + ny * bend,
                0.34,
            ),
            (tip.0, tip.1, 0.08),
        ],
        rib,
        seed ^ 1,
    );
    if wide > 7.0 {
        for i in 1..6 {
            let t = i as f32 / 6.5;
            let arc = bend * 4.0 * t * (1.0 - t);
            let m = (root.0 + dx * t + nx * arc, root.1 + dy * t + ny * arc);
            for side in [-1.0f32, 1.0] {
                let out = (std::f32::consts::PI * t.powf(0.8)).sin() * wide * 0.4 * side;
                stem(
                    scene,
                    &[
                        (m.0, m.1, 0.22),
                        (
                            m.0 + nx * out * 0.5 + dx * 0.03,
                            m.1 + ny * out * 0.5 + dy * 0.03,
                            0.16,
                        ),
                        (m.0 + nx * out + dx * 0.07, m.1 + ny * out + dy * 0.07, 0.05),
                    ],
                    rib,
                    seed ^ 2,
                );
            }
        }
    }
}

fn clear(sheet: Sheet) -> Scene {
    Scene::new(sheet, None)
}

/// Glasswort: jointed, succulent, red at the tips in autumn.
pub(crate) fn glasswort(sheet: Sheet) -> Scene {
    let mut scene = clear(sheet);
    let mut dice = Dice::new(41);
    fn branch(
        scene: &mut Scene,
        dice: &mut Dice,
        at: Point,
        turn: f32,
        joints: usize,
        thick: f32,
        deep: usize,
    ) {
        let (mut x, mut y, mut a) = (at.0, at.1, turn);
        for joint in 0..joints {
            let t = joint as f32 / joints as f32;
            let long = thick * 2.6 * (1.0 - 0.35 * t);
            let half = thick * 0.5 * (1.0 - 0.5 * t);
            a += dice.bell() * 0.09 + (-std::f32::consts::FRAC_PI_2 - a) * 0.10;
            let (s, c) = a.sin_cos();
            let p = |u: f32, v: f32| (x + c * u - s * v, y + s * u + c * v);
            let high = smooth(200.0, 40.0, y);
            let green = blend(hex(0x5f8f4a), hex(0x9ab84e), dice.unit());
            let red = blend(hex(0xc2443e), hex(0xd98a5a), dice.unit());
            let paint = blend(green, red, (high * 1.1 * (0.35 + t)).min(1.0));
            let tip = blend(paint, hex(0xa22f46), 0.3 * t + 0.1);
            let ring = [
                p(0.0, -half * 0.62),
                p(long * 0.4, -half * 0.95),
                p(long * 0.9, -half * 1.12),
                p(long, -half * 0.7),
                p(long, half * 0.7),
                p(long * 0.9, half * 1.12),
                p(long * 0.4, half * 0.95),
                p(0.0, half * 0.62),
            ];
            wash(
                scene,
                &ring,
                (paint, tip),
                (p(0.0, 0.0), p(long, 0.0)),
                dice.below(99_999) as u32,
            );
            if deep > 0 && joint > 0 && joint + 1 < joints {
                for side in [-1.0f32, 1.0] {
                    if dice.chance(0.8) {
                        let left = ((joints - joint) as f32 * dice.between(0.5, 0.85)) as usize;
                        let off = a + side * dice.between(0.5, 0.85);
                        branch(
                            scene,
                            dice,
                            p(long * 0.92, side * half * 0.5),
                            off,
                            left.max(2),
                            thick * 0.66,
                            deep - 1,
                        );
                    }
                }
            }
            (x, y) = p(long * 0.97, 0.0);
        }
    }
    let foot = (sheet.width * 0.5, sheet.height - 26.0);
    for i in 0..7 {
        let off = (i as f32 - 3.0) * 5.0 + dice.bell();
        stem(
            &mut scene,
            &[
                (foot.0, foot.1, 1.6),
                (foot.0 + off * 0.6, foot.1 + 10.0, 0.8),
                (foot.0 + off * 1.6, foot.1 + 14.0 + 7.0 * dice.unit(), 0.15),
            ],
            hex(0xa98a6a),
            5 + i,
        );
    }
    branch(&mut scene, &mut dice, foot, -1.55, 11, 7.4, 2);
    scene
}

/// Sea lavender: a spray of small mauve flowers over broad leaves.
pub(crate) fn sea_lavender(sheet: Sheet) -> Scene {
    let mut scene = clear(sheet);
    let mut dice = Dice::new(90);
    let (mx, foot) = (sheet.width * 0.5, sheet.height - 22.0);
    for (i, (tx, ty, wide)) in [
        (-62.0, -34.0, 17.0),
        (60.0, -30.0, 16.0),
        (-44.0, -62.0, 18.0),
        (42.0, -66.0, 17.0),
        (-20.0, -14.0, 12.0),
        (28.0, -10.0, 12.0),
        (6.0, -58.0, 15.0),
    ]
    .into_iter()
    .enumerate()
    {
        leaf(
            &mut scene,
            (mx + tx * 0.08, foot),
            (mx + tx, foot + ty),
            wide,
            0.0,
            (hex(0x4f7f5c), hex(0x9db86c)),
            300 + i as u32,
        );
    }
    let mut buds: Vec<(Point, f32)> = Vec::new();
    for i in 0..7 {
        let lean = (i as f32 - 3.0) * 0.14 + dice.bell() * 0.04;
        let high = dice.between(104.0, 150.0) - (i as f32 - 3.0).abs() * 7.0;
        let top = (mx + lean * high * 1.15, foot - high);
        let knee = (mx + lean * high * 0.35, foot - high * 0.5);
        stem(
            &mut scene,
            &[
                (mx + lean * 8.0, foot, 1.3),
                (knee.0, knee.1, 0.95),
                (top.0, top.1, 0.4),
            ],
            hex(0x6f8f58),
            30 + i,
        );
        for k in 0..9 {
            let t = 0.45 + 0.55 * k as f32 / 8.0;
            let base = (
                knee.0 + (top.0 - knee.0) * (t - 0.45) / 0.55,
                knee.1 + (top.1 - knee.1) * (t - 0.45) / 0.55,
            );
            let side = if k % 2 == 0 { 1.0 } else { -1.0 };
            let reach = dice.between(9.0, 19.0) * (1.25 - t * 0.7);
            let end = (
                base.0 + side * reach,
                base.1 - reach * dice.between(0.5, 0.95),
            );
            stem(
                &mut scene,
                &[
                    (base.0, base.1, 0.5),
                    ((base.0 + end.0) / 2.0, (base.1 + end.1) / 2.0 + 1.0, 0.4),
                    (end.0, end.1, 0.2),
                ],
                hex(0x7f9a62),
                60 + k,
            );
            for b in 0..5 {
                let q = 0.35 + 0.65 * b as f32 / 4.0;
                buds.push((
                    (
                        base.0 + (end.0 - base.0) * q,
                        base.1 + (end.1 - base.1) * q - 1.4,
                    ),
                    dice.between(1.7, 2.9),
                ));
            }
        }
    }
    for (index, (p, r)) in buds.into_iter().enumerate() {
        let shade = dice.unit();
        let paint = (
            blend(hex(0x7a4fa0), hex(0xb98fd0), shade),
            blend(hex(0xd9b6e4), hex(0x9a6fc0), dice.unit()),
        );
        let petals = 5;
        let turn = dice.unit() * 6.0;
        let ring: Vec<Point> = (0..petals * 2)
            .map(|k| {
                let a = turn + k as f32 / (petals * 2) as f32 * std::f32::consts::TAU;
                let d = if k % 2 == 0 { r } else { r * 0.62 };
                (p.0 + d * a.cos(), p.1 + d * 0.85 * a.sin())
            })
            .collect();
        wash(
            &mut scene,
            &ring,
            paint,
            ((p.0, p.1 + r), (p.0, p.1 - r)),
            mix(index as u32),
        );
        scene.add(fill(
            Outline::ellipse(p.0, p.1, r * 0.2, r * 0.2),
            |_, _, _| (hex(0xf3d36a), 0.95),
        ));
    }
    scene
}

/// Sea holly: blue-grey, spined, each head in its ruff.
pub(crate) fn sea_holly(sheet: Sheet) -> Scene {
    let mut scene = clear(sheet);
    let mut dice = Dice::new(55);
    let (mx, foot) = (sheet.width * 0.5, sheet.height - 16.0);
    let heads = [
        (mx + 2.0, 62.0, 15.0),
        (mx - 42.0, 96.0, 11.0),
        (mx + 44.0, 88.0, 12.0),
        (mx - 22.0, 128.0, 8.0),
        (mx + 30.0, 132.0, 8.5),
    ];
    let fork = (mx + 1.0, foot - 62.0);
    stem(
        &mut scene,
        &[
            (mx - 2.0, foot, 3.6),
            (mx + 2.0, foot - 30.0, 3.0),
            (fork.0, fork.1, 2.6),
        ],
        hex(0x6f8f94),
        1,
    );
    for (i, &(x, y, r)) in heads.iter().enumerate() {
        stem(
            &mut scene,
            &[
                (fork.0, fork.1 + 2.0, 2.0),
                (
                    (fork.0 + x) / 2.0 + (x - mx) * 0.16,
                    (fork.1 + y) / 2.0 + 8.0,
                    1.7,
                ),
                (x, y + r * 0.6, 1.3),
            ],
            hex(0x6a8a98),
            10 + i as u32,
        );
    }
    for (i, (tx, ty, wide)) in [
        (-66.0, -32.0, 27.0),
        (64.0, -26.0, 26.0),
        (-48.0, 14.0, 22.0),
        (50.0, 18.0, 22.0),
        (-10.0, 6.0, 16.0),
    ]
    .into_iter()
    .enumerate()
    {
        leaf(
            &mut scene,
            (mx, foot - 52.0 + i as f32 * 7.0),
            (mx + tx, foot - 52.0 + ty),
            wide,
            0.42,
            (hex(0x5f8a90), hex(0xb9cfc0)),
            500 + i as u32,
        );
    }
    for (i, &(x, y, r)) in heads.iter().enumerate() {
        for k in 0..9 {
            let a = k as f32 / 9.0 * std::f32::consts::TAU + 0.2 * dice.bell();
            let reach = r * dice.between(1.9, 2.5);
            leaf(
                &mut scene,
                (x + r * 0.3 * a.cos(), y + r * 0.55 + r * 0.2 * a.sin()),
                (x + reach * a.cos(), y + r * 0.5 + reach * 0.62 * a.sin()),
                r * 0.62,
                0.5,
                (hex(0x4f7fa6), hex(0xa9c6cf)),
                700 + (i * 20 + k) as u32,
            );
        }
        let ring: Vec<Point> = (0..14)
            .map(|k| {
                let a = k as f32 / 14.0 * std::f32::consts::TAU;
                (x + r * 0.74 * a.cos(), y + r * 0.95 * a.sin())
            })
            .collect();
        wash(
            &mut scene,
            &ring,
            (hex(0x3a5f9a), hex(0x7fa6cf)),
            ((x, y + r), (x, y - r)),
            40 + i as u32,
        );
        for row in 0..9 {
            for k in 0..9 {
                let v = (row as f32 - 4.0) / 4.6;
                let u = (k as f32 - 4.0 + if row % 2 == 0 { 0.5 } else { 0.0 }) / 4.6;
                if u * u + v * v > 0.9 {
                    continue;
                }
                let (px, py) = (x + u * r * 0.72, y + v * r * 0.92);
                let long = r * 0.16;
                stem(
                    &mut scene,
                    &[
                        (px, py + long * 0.3, r * 0.07),
                        (px + u * long * 0.7, py - long * 0.4, r * 0.05),
                        (px + u * long * 1.6, py - long, r * 0.015),
                    ],
                    blend(hex(0x2f4f8f), hex(0xbcd2e6), dice.unit()),
                    (row * 9 + k) as u32,
                );
            }
        }
    }
    scene
}

/// Eelgrass: long ribbons that the water combs.
pub(crate) fn eelgrass(sheet: Sheet) -> Scene {
    let mut scene = clear(sheet);
    let mut dice = Dice::new(12);
    let (mx, foot) = (sheet.width * 0.46, sheet.height - 24.0);
    let root: Vec<(f32, f32, f32)> = (0..7)
        .map(|i| {
            (
                mx - 44.0 + i as f32 * 15.0,
                foot + 3.0 * (i as f32 * 1.3).sin(),
                3.0,
            )
        })
        .collect();
    stem(&mut scene, &root, hex(0xb08a5c), 3);
    for i in 0..24 {
        let x = mx - 44.0 + i as f32 * 3.8;
        let y = foot + dice.between(8.0, 17.0);
        stem(
            &mut scene,
            &[
                (x, foot + 1.0, 0.5),
                (x + dice.bell() * 2.0, (foot + y) / 2.0, 0.35),
                (x + dice.bell() * 4.0, y, 0.1),
            ],
            hex(0xa98a6a),
            50 + i,
        );
    }
    for i in 0..17 {
        let x = mx - 38.0 + (i % 6) as f32 * 15.0 + dice.bell() * 2.5;
        let high = dice.between(96.0, 172.0);
        let sway = dice.between(12.0, 40.0);
        let wide = dice.between(3.2, 5.4);
        let mut left = Vec::new();
        let mut right = Vec::new();
        for k in 0..=14 {
            let t = k as f32 / 14.0;
            let cx = x + sway * t * t + 7.0 * (t * 5.5 + i as f32 * 0.7).sin() * t;
            let cy = foot - high * (t - 0.12 * t * t);
            let half = wide
                * 0.5
                * (1.0 - smooth(0.86, 1.0, t) * 0.75)
                * (0.75 + 0.25 * (t * 9.0 + i as f32).sin().abs());
            left.push((cx - half, cy));
            right.push((cx + half, cy));
        }
        let tip = *left.last().unwrap_or(&(x, foot));
        left.extend(right.into_iter().rev());
        let old = dice.unit();
        let paint = (
            blend(hex(0x2f6a4c), hex(0x4f8a4a), dice.unit()),
            blend(hex(0x9ab04a), hex(0xb9863f), old * old),
        );
        wash(&mut scene, &left, paint, ((x, foot), tip), mix(i));
    }
    scene
}
