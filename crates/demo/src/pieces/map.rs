//! The map of the line, drawn in printing inks: CMYK from the start, type and line in black alone.

use crate::colour::{blend, hex};
use crate::noise::{Dice, clouds, smooth, value};
use crate::shape::{Outline, curve, flat};
use crate::sheet::{Point, Scene, Sheet};

/// Height of the land over low water, about -1 to 1.
fn land(x: f32, y: f32) -> f32 {
    let estuary = (x - 105.0 - 34.0 * (y * 0.019).sin() - (y - 125.0) * 0.12).abs();
    let rough = clouds(x * 0.016, y * 0.016, 5, 21) - 0.5;
    let isles = (-((x - 96.0) / 17.0).powi(2) - ((y - 150.0) / 24.0).powi(2)).exp() * 0.52
        + (-((x - 128.0) / 12.0).powi(2) - ((y - 84.0) / 13.0).powi(2)).exp() * 0.5;
    smooth(22.0, 104.0, estuary) * 1.25 - 0.52 + rough * 0.75 + isles
        - smooth(185.0, 260.0, y) * 0.45
}

/// The line's course.
fn course() -> Vec<Point> {
    curve(
        &[
            (26.0, 30.0),
            (50.0, 48.0),
            (78.0, 66.0),
            (127.0, 84.0),
            (138.0, 112.0),
            (112.0, 132.0),
            (96.0, 150.0),
            (104.0, 180.0),
            (142.0, 196.0),
            (182.0, 214.0),
        ],
        false,
    )
}

fn stations() -> Vec<Point> {
    vec![
        (26.0, 30.0),
        (78.0, 66.0),
        (127.0, 84.0),
        (112.0, 132.0),
        (96.0, 150.0),
        (142.0, 196.0),
        (182.0, 214.0),
    ]
}

/// Cyan, magenta and yellow, as the channels of the scene.
pub(crate) fn colours(sheet: Sheet) -> Scene {
    let (w, h) = (sheet.width, sheet.height);
    let mut scene = Scene::new(sheet, Some([0.0; 3]));
    scene.wash(move |x, y, _| {
        let level = land(x, y);
        let grain = (value(x * 2.3, y * 2.3, 4) - 0.5) * 0.02
            + (clouds(x * 0.03, y * 0.03, 3, 9) - 0.5) * 0.06;
        let tints = [
            (-9.0, [0.62f32, 0.18, 0.20]),
            (-0.42, [0.46, 0.08, 0.18]),
            (-0.22, [0.30, 0.03, 0.16]),
            (-0.06, [0.10, 0.09, 0.30]),
            (0.06, [0.16, 0.04, 0.38]),
            (0.24, [0.22, 0.10, 0.52]),
            (0.46, [0.20, 0.22, 0.56]),
            (0.66, [0.24, 0.32, 0.60]),
        ];
        let mut tint = tints[0].1;
        for &(from, t) in &tints {
            if level > from {
                tint = t;
            }
        }
        // A pale line along the shore, as hand-coloured maps have.
        let shore = smooth(0.022, 0.0, (level + 0.06).abs());
        let tint = blend(tint, [0.04, 0.03, 0.10], shore * 0.8);
        let frame = x < 9.0 || y < 9.0 || x > w - 9.0 || y > h - 9.0;
        if frame {
            return ([0.03, 0.05, 0.14], 1.0);
        }
        (
            [
                (tint[0] + grain).max(0.0),
                (tint[1] + grain).max(0.0),
                (tint[2] + grain).max(0.0),
            ],
            1.0,
        )
    });
    // The line in red, its stations in yellow.
    let line: Vec<(f32, f32, f32)> = course().iter().map(|&(x, y)| (x, y, 2.0)).collect();
    scene.add(flat(Outline::line(&line), [0.0, 0.85, 0.9]));
    for (x, y) in stations() {
        scene.add(flat(Outline::ellipse(x, y, 3.6, 3.6), [0.0, 0.12, 0.75]));
    }
    // The rose.
    for i in 0..8 {
        let a = i as f32 / 8.0 * std::f32::consts::TAU;
        let r = if i % 2 == 0 { 17.0 } else { 10.0 };
        let (cx, cy) = (178.0, 36.0);
        let at = |r: f32, a: f32| (cx + r * a.cos(), cy + r * a.sin());
        scene.add(flat(
            Outline::polygon(&[(cx, cy), at(r * 0.28, a - 0.39), at(r, a)]),
            [0.0, 0.75, 0.85],
        ));
        scene.add(flat(
            Outline::polygon(&[(cx, cy), at(r * 0.28, a + 0.39), at(r, a)]),
            [0.05, 0.08, 0.2],
        ));
    }
    scene
}

/// Black.
pub(crate) fn black(sheet: Sheet) -> Scene {
    let (w, h) = (sheet.width, sheet.height);
    let ink = hex(0xffffff);
    let mut scene = Scene::new(sheet, Some([0.0; 3]));
    // Contours: heavier at the shore, dotted under water.
    scene.wash(move |x, y, _| {
        if x < 9.0 || y < 9.0 || x > w - 9.0 || y > h - 9.0 {
            return ([0.0; 3], 0.0);
        }
        let d = 0.25;
        let level = land(x, y);
        let slope = ((land(x + d, y) - level).hypot(land(x, y + d) - level) / d).max(0.004);
        let at = |value: f32, thick: f32| {
            smooth(thick + 0.09, thick - 0.02, (level - value).abs() / slope)
        };
        let mut cover = at(-0.06, 0.30);
        for step in 1..7 {
            cover = cover.max(at(-0.06 + step as f32 * 0.11, 0.10) * 0.8);
        }
        for step in 1..5 {
            let dots = smooth(0.5, 0.62, (x * 0.9 + y * 0.7).sin() * 0.5 + 0.5);
            cover = cover.max(at(-0.06 - step as f32 * 0.10, 0.10) * dots * 0.7);
        }
        // Marsh: little tufts between high and low water.
        if level > -0.05 && level < 0.12 {
            let (cx, cy) = ((x / 5.0).floor(), (y / 4.0).floor());
            let (jx, jy) = (value(cx * 7.3, cy * 5.1, 2), value(cx * 3.3, cy * 9.1, 3));
            let (u, v) = (
                x - (cx + 0.3 + 0.4 * jx) * 5.0,
                y - (cy + 0.5 + 0.3 * jy) * 4.0,
            );
            if jx > 0.42 {
                let tuft = (u - v * 0.5).abs().min((u + v * 0.5).abs()).min(u.abs());
                if (-1.5..0.2).contains(&v) {
                    cover = cover.max(smooth(0.16, 0.05, tuft) * 0.85);
                }
            }
        }
        (ink, cover)
    });
    // Edge of the line, sleepers, stations.
    let path = course();
    for pair in path.windows(2).step_by(2) {
        let (dx, dy) = (pair[1].0 - pair[0].0, pair[1].1 - pair[0].1);
        let l = dx.hypot(dy).max(0.01);
        let (nx, ny) = (-dy / l * 2.3, dx / l * 2.3);
        scene.add(flat(
            Outline::line(&[
                (pair[0].0 + nx, pair[0].1 + ny, 0.45),
                (pair[0].0 - nx, pair[0].1 - ny, 0.45),
            ]),
            ink,
        ));
    }
    for (x, y) in stations() {
        let mut ring = Outline::ellipse(x, y, 3.9, 3.9);
        let hole: Vec<Point> = (0..48)
            .map(|i| {
                let a = i as f32 / 48.0 * std::f32::consts::TAU;
                (x + 3.1 * a.cos(), y + 3.1 * a.sin())
            })
            .collect();
        ring.hole(&hole);
        scene.add(flat(ring, ink));
        scene.add(flat(Outline::ellipse(x, y, 1.0, 1.0), ink));
    }
    // A creature in the deep water, as there should be.
    let mut coil = Outline::new();
    for i in 0..3 {
        let (x, y) = (40.0 + i as f32 * 14.0, 214.0 + (i % 2) as f32 * 2.0);
        let arch: Vec<(f32, f32, f32)> = (0..=20)
            .map(|k| {
                let a = std::f32::consts::PI * (1.0 + k as f32 / 20.0);
                (x + 6.0 * a.cos(), y + 8.0 * a.sin(), 3.4 - i as f32 * 0.7)
            })
            .collect();
        coil.add_line(&arch);
        coil.add_line(&[
            (x - 10.0, y + 1.2, 0.3),
            (x - 4.0, y + 0.4, 0.6),
            (x + 2.0, y + 1.2, 0.3),
        ]);
    }
    coil.add_line(&[
        (28.0, 214.0, 3.2),
        (25.0, 204.0, 3.0),
        (20.0, 201.0, 2.6),
        (14.0, 204.0, 1.4),
    ]);
    coil.join(&Outline::ellipse(21.0, 200.6, 3.0, 2.2));
    scene.add(flat(coil, ink));
    // Soundings as dots, the frame, the rose's ring.
    let mut dice = Dice::new(3);
    for _ in 0..420 {
        let (x, y) = (dice.between(12.0, w - 12.0), dice.between(12.0, h - 12.0));
        if land(x, y) < -0.2 {
            scene.add(flat(Outline::ellipse(x, y, 0.22, 0.22), ink));
        }
    }
    for (inset, thick) in [(5.0, 0.9), (8.4, 0.35)] {
        scene.add(flat(
            Outline::line(&[
                (inset, inset, thick),
                (w - inset, inset, thick),
                (w - inset, h - inset, thick),
                (inset, h - inset, thick),
                (inset, inset, thick),
            ]),
            ink,
        ));
    }
    let mut scale = Outline::new();
    for i in 0..40 {
        if i % 2 == 0 {
            let t = i as f32 / 40.0;
            scale.join(&Outline::rect(
                5.4 + t * (w - 10.8),
                5.4,
                (w - 10.8) / 40.0,
                2.6,
            ));
            scale.join(&Outline::rect(
                5.4 + t * (w - 10.8),
                h - 8.0,
                (w - 10.8) / 40.0,
                2.6,
            ));
            scale.join(&Outline::rect(
                5.4,
                5.4 + t * (h - 10.8),
                2.6,
                (h - 10.8) / 40.0,
            ));
            scale.join(&Outline::rect(
                w - 8.0,
                5.4 + t * (h - 10.8),
                2.6,
                (h - 10.8) / 40.0,
            ));
        }
    }
    scene.add(flat(scale, ink));
    let ring: Vec<(f32, f32, f32)> = (0..=60)
        .map(|i| {
            let a = i as f32 / 60.0 * std::f32::consts::TAU;
            (178.0 + 12.6 * a.cos(), 36.0 + 12.6 * a.sin(), 0.35)
        })
        .collect();
    scene.add(flat(Outline::line(&ring), ink));
    scene
}
