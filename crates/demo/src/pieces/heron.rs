//! The heron of the third mile, engraved: black lines on white, nothing between.

use crate::colour::hex;
use crate::ink::{engraved, stray};
use crate::motif::{posts, reeds, wire};
use crate::noise::{clouds, smooth, value};
use crate::shape::{Outline, curve, fill, flat};
use crate::sheet::{Point, Scene, Sheet};

/// What can still be told apart, mm: one pixel at 300 ppi.
const PIXEL: f32 = 25.4 / 300.0;

/// Fills a shape with engraved lines: their run, spacing and tone at a point.
fn cut(
    scene: &mut Scene,
    shape: Outline,
    apart: f32,
    run: impl Fn(f32, f32) -> f32 + Send + Sync + 'static,
    dark: impl Fn(f32, f32) -> f32 + Send + Sync + 'static,
) {
    scene.add(flat(shape.clone(), hex(0xffffff)));
    scene.add(fill(shape, move |x, y, _| {
        let ink = engraved(run(x, y) + stray(x, y, 0.5, 3), apart, dark(x, y), PIXEL);
        (hex(0x000000), ink)
    }));
}

fn body(points: &[Point]) -> Outline {
    Outline::polygon(&curve(points, true))
}

fn outline(scene: &mut Scene, points: &[Point], closed: bool, thick: f32) {
    let mut path = curve(points, closed);
    if closed {
        path.push(path[0]);
    }
    let n = path.len() as f32;
    let line: Vec<(f32, f32, f32)> = path
        .iter()
        .enumerate()
        .map(|(i, &(x, y))| {
            (
                x,
                y,
                thick * (0.45 + 0.75 * clouds(i as f32 / n * 9.0, 2.0, 2, 7)),
            )
        })
        .collect();
    scene.add(flat(Outline::line(&line), hex(0x000000)));
}

pub(crate) fn scene(sheet: Sheet) -> Scene {
    let (w, h) = (sheet.width, sheet.height);
    let mut scene = Scene::new(sheet, Some(hex(0xffffff)));
    // Sky: level lines that thin out around the sun.
    scene.wash(move |x, y, _| {
        let d = (x - 128.0).hypot(y - 62.0);
        let cloud = clouds(x * 0.013, y * 0.03, 4, 5);
        let tone =
            smooth(26.0, 110.0, d) * 0.34 * smooth(0.62, 0.42, cloud) * smooth(175.0, 60.0, y);
        let ink = engraved(y + stray(x, y, 0.8, 11), 1.45, tone, PIXEL);
        (hex(0x000000), if y < 168.0 { ink } else { 0.0 })
    });
    outline(
        &mut scene,
        &(0..24)
            .map(|i| {
                let a = i as f32 / 24.0 * std::f32::consts::TAU;
                (128.0 + 21.0 * a.cos(), 62.0 + 21.0 * a.sin())
            })
            .collect::<Vec<_>>(),
        true,
        0.5,
    );
    // The line goes off along its posts.
    let feet: Vec<(f32, f32, f32)> = (0..7)
        .map(|i| {
            (
                w - 6.0 - 62.0 * (1.0 - 0.62f32.powi(i)) * 2.1,
                169.0 - 3.0 * (1.0 - 0.6f32.powi(i)),
                74.0 * 0.6f32.powi(i),
            )
        })
        .collect();
    let (poles, hooks) = posts(&feet);
    for pair in hooks.windows(2) {
        for (near, far) in pair[0].into_iter().zip(pair[1]) {
            scene.add(flat(wire(near, far, 2.0, 0.22), hex(0x000000)));
        }
    }
    scene.add(flat(poles, hex(0x000000)));
    scene.add(flat(Outline::rect(0.0, 165.6, w, 0.5), hex(0x000000)));
    // Far bank.
    cut(
        &mut scene,
        crate::shape::hills(-3.0, w + 3.0, 168.0, 9.0, 70.0, 171.0, 8),
        0.9,
        |x, y| y + x * 0.4,
        |x, y| 0.45 + 0.4 * value(x * 0.2, y * 0.3, 4),
    );
    // Water: lines that swell in the troughs, and the sun's path.
    scene.wash(move |x, y, _| {
        if y < 170.0 {
            return ([0.0; 3], 0.0);
        }
        let near = (y - 170.0) / (h - 170.0);
        let swell = clouds(x * 0.02 / (0.4 + near), y * 0.16 / (0.4 + near), 4, 9);
        let path = (-((x - 128.0) / (10.0 + 30.0 * near)).powi(2)).exp();
        let tone = (0.16 + 0.72 * smooth(0.36, 0.7, swell) - path * 0.45).clamp(0.0, 0.92);
        let ripple = (swell - 0.5) * 3.2;
        (
            hex(0x000000),
            engraved(
                y + ripple + stray(x, y, 0.3, 2),
                1.05 + near * 0.55,
                tone,
                PIXEL,
            ),
        )
    });
    // Reeds behind.
    scene.add(flat(
        reeds(-6.0, 52.0, h + 3.0, 118.0, 46, 0.1, 21),
        hex(0x000000),
    ));
    // The heron. Legs first.
    for (x0, x1, foot) in [(98.0, 94.0, h - 17.0), (106.0, 112.0, h - 26.0)] {
        outline(
            &mut scene,
            &[
                (x0, 156.0),
                (x0 + 1.0, 178.0),
                (x1, 199.0),
                (x1 + 1.0, foot),
            ],
            false,
            1.8,
        );
        for toe in [-9.0f32, -3.0, 8.0] {
            outline(
                &mut scene,
                &[
                    (x1 + 1.0, foot),
                    (x1 + 1.0 + toe * 0.5, foot + 1.6),
                    (x1 + 1.0 + toe, foot + 2.6),
                ],
                false,
                1.0,
            );
        }
        for ring in 0..3 {
            let (y, r) = (foot + 3.0, 10.0 + ring as f32 * 6.0);
            outline(
                &mut scene,
                &(0..18)
                    .map(|i| {
                        let a = i as f32 / 18.0 * std::f32::consts::TAU;
                        (x1 + 1.0 + r * a.cos(), y + r * 0.16 * a.sin())
                    })
                    .collect::<Vec<_>>(),
                true,
                0.4,
            );
        }
    }
    // Tail and wing.
    let trunk = [
        (58.0, 166.0),
        (66.0, 150.0),
        (80.0, 132.0),
        (98.0, 118.0),
        (114.0, 116.0),
        (122.0, 126.0),
        (120.0, 142.0),
        (110.0, 155.0),
        (92.0, 161.0),
        (74.0, 165.0),
    ];
    cut(
        &mut scene,
        body(&trunk),
        0.95,
        |x, y| y * 0.8 + x * 0.66,
        |x, y| {
            (0.16
                + 0.55 * smooth(130.0, 162.0, y + (x - 90.0) * 0.1)
                + 0.2 * value(x * 0.12, y * 0.12, 3))
            .min(0.85)
        },
    );
    outline(&mut scene, &trunk, true, 0.95);
    for feather in 0..13 {
        let t = feather as f32 / 12.0;
        let (x, y) = (112.0 - 40.0 * t, 124.0 + 24.0 * t + 5.0 * (t * 3.0).sin());
        let long = 17.0 + 12.0 * t;
        let pen = [
            (x, y),
            (x - long * 0.55, y + long * 0.30),
            (x - long, y + long * 0.66),
            (x - long * 0.78, y + long * 0.74),
            (x - long * 0.3, y + long * 0.52),
            (x + 1.0, y + 5.0),
        ];
        cut(
            &mut scene,
            body(&pen),
            0.62,
            move |gx, gy| (gy - y) * 0.86 - (gx - x) * -0.5,
            move |gx, gy| {
                (0.2 + 0.6 * smooth(0.1, 0.9, ((x - gx) * 0.8 + (gy - y) * 0.5) / long)).min(0.86)
            },
        );
        outline(&mut scene, &pen, true, 0.5);
        outline(
            &mut scene,
            &[
                (x - 1.0, y + 2.4),
                (x - long * 0.5, y + long * 0.4),
                (x - long * 0.95, y + long * 0.69),
            ],
            false,
            0.4,
        );
    }
    // Neck: an S, drawn as a band.
    let spine = curve(
        &[
            (114.0, 128.0),
            (124.0, 116.0),
            (121.0, 100.0),
            (108.0, 88.0),
            (106.0, 73.0),
            (116.0, 63.0),
        ],
        false,
    );
    let n = spine.len() as f32;
    let mut left = Vec::new();
    let mut right = Vec::new();
    for (i, pair) in spine.windows(2).enumerate() {
        let t = i as f32 / n;
        let half = 6.6 * (1.0 - t).powf(0.8) + 2.9;
        let (dx, dy) = (pair[1].0 - pair[0].0, pair[1].1 - pair[0].1);
        let l = dx.hypot(dy).max(1e-4);
        left.push((pair[0].0 - dy / l * half, pair[0].1 + dx / l * half));
        right.push((pair[0].0 + dy / l * half, pair[0].1 - dx / l * half));
    }
    let mut neck = left.clone();
    neck.extend(right.iter().rev());
    cut(
        &mut scene,
        Outline::polygon(&neck),
        0.72,
        |x, y| y + x * 0.3,
        |x, y| {
            0.1 + 0.34 * smooth(0.4, 0.8, value(x * 0.25, y * 0.2, 6))
                + 0.25 * smooth(112.0, 128.0, x) * smooth(88.0, 110.0, y)
        },
    );
    let thin = |side: &[Point]| side.iter().step_by(6).copied().collect::<Vec<_>>();
    outline(&mut scene, &thin(&left), false, 0.8);
    outline(&mut scene, &thin(&right), false, 0.8);
    for i in 0..7 {
        let t = i as f32 / 6.0;
        outline(
            &mut scene,
            &[
                (118.0 - t * 2.0, 110.0 + t * 14.0),
                (120.0 + t * 3.0, 122.0 + t * 14.0),
                (116.0 + t * 6.0, 134.0 + t * 15.0),
            ],
            false,
            0.55,
        );
    }
    // Head, bill, eye, plume.
    let head = [
        (110.0, 66.0),
        (113.0, 58.0),
        (121.0, 55.0),
        (130.0, 58.5),
        (134.0, 62.5),
        (128.0, 66.0),
        (118.0, 69.0),
    ];
    cut(
        &mut scene,
        body(&head),
        0.6,
        |x, y| y * 0.9 + x * 0.2,
        |_, y| 0.14 + 0.3 * smooth(60.0, 68.0, y),
    );
    outline(&mut scene, &head, true, 0.75);
    let bill = Outline::polygon(&[(130.0, 58.6), (168.0, 68.6), (130.0, 66.2)]);
    scene.add(flat(bill.clone(), hex(0xffffff)));
    cut(
        &mut scene,
        bill,
        0.7,
        |x, y| y * 1.0 - x * 0.24,
        |_, y| 0.2 + 0.55 * smooth(61.0, 68.0, y),
    );
    outline(
        &mut scene,
        &[(130.0, 58.6), (149.0, 63.2), (168.0, 68.6)],
        false,
        0.6,
    );
    outline(
        &mut scene,
        &[(128.0, 63.4), (149.0, 66.0), (168.0, 68.6)],
        false,
        0.5,
    );
    outline(
        &mut scene,
        &[(130.0, 66.2), (149.0, 67.6), (168.0, 68.6)],
        false,
        0.6,
    );
    scene.add(flat(Outline::ellipse(125.6, 60.4, 2.1, 2.1), hex(0x000000)));
    scene.add(flat(Outline::ellipse(125.6, 60.4, 1.5, 1.5), hex(0xffffff)));
    scene.add(flat(Outline::ellipse(125.9, 60.4, 0.9, 0.9), hex(0x000000)));
    scene.add(flat(
        Outline::polygon(&curve(
            &[
                (129.0, 58.4),
                (121.0, 55.2),
                (112.0, 58.0),
                (98.0, 66.0),
                (88.0, 78.0),
                (100.0, 68.0),
                (112.0, 62.0),
                (122.0, 60.0),
            ],
            true,
        )),
        hex(0x000000),
    ));
    // Reeds in front.
    scene.add(flat(
        reeds(w - 54.0, w + 6.0, h + 3.0, 92.0, 52, -0.14, 5),
        hex(0x000000),
    ));
    scene.add(flat(
        reeds(-6.0, 40.0, h + 4.0, 70.0, 34, 0.2, 6),
        hex(0x000000),
    ));
    scene
}
