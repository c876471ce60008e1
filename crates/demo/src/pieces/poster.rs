//! A poster of the line, drawn at page size with its bleed: big shapes, few inks, its own letters.

use crate::colour::{Rgb, hex};
use crate::motif::{Pier, train, viaduct};
use crate::shape::{Outline, fill, flat};
use crate::sheet::{Point, Scene, Sheet};

const SUN: Rgb = hex(0xe5532d);
const SAND: Rgb = hex(0xf4dfb4);
const SKY: Rgb = hex(0xf2a65a);
const SEA: Rgb = hex(0x16697a);
const DEEP: Rgb = hex(0x0e3b4c);
const FOAM: Rgb = hex(0x82c0b5);

/// Letters of strokes on a grid one wide and one high, for the words that this poster needs.
fn letter(c: char) -> Vec<Vec<Point>> {
    let arc = |cx: f32, cy: f32, rx: f32, ry: f32, from: f32, to: f32| -> Vec<Point> {
        (0..=24)
            .map(|i| {
                let a = (from + (to - from) * i as f32 / 24.0) * std::f32::consts::TAU;
                (cx + rx * a.cos(), cy + ry * a.sin())
            })
            .collect()
    };
    match c {
        'A' => vec![
            vec![(0.0, 1.0), (0.5, 0.0), (1.0, 1.0)],
            vec![(0.2, 0.66), (0.8, 0.66)],
        ],
        'D' => vec![vec![(0.0, 0.0), (0.0, 1.0)], {
            let mut p = vec![(0.0, 0.0)];
            p.extend(arc(0.35, 0.5, 0.65, 0.5, -0.25, 0.25));
            p.push((0.0, 1.0));
            p
        }],
        'E' => vec![
            vec![(0.9, 0.0), (0.0, 0.0), (0.0, 1.0), (0.9, 1.0)],
            vec![(0.0, 0.5), (0.75, 0.5)],
        ],
        'F' => vec![
            vec![(0.9, 0.0), (0.0, 0.0), (0.0, 1.0)],
            vec![(0.0, 0.5), (0.75, 0.5)],
        ],
        'H' => vec![
            vec![(0.0, 0.0), (0.0, 1.0)],
            vec![(1.0, 0.0), (1.0, 1.0)],
            vec![(0.0, 0.5), (1.0, 0.5)],
        ],
        'I' => vec![vec![(0.5, 0.0), (0.5, 1.0)]],
        'L' => vec![vec![(0.0, 0.0), (0.0, 1.0), (0.85, 1.0)]],
        'N' => vec![vec![(0.0, 1.0), (0.0, 0.0), (1.0, 1.0), (1.0, 0.0)]],
        'O' => vec![arc(0.5, 0.5, 0.52, 0.5, 0.0, 1.0)],
        'R' => vec![
            vec![(0.0, 1.0), (0.0, 0.0)],
            {
                let mut p = vec![(0.0, 0.0)];
                p.extend(arc(0.58, 0.28, 0.36, 0.28, -0.25, 0.25));
                p.push((0.0, 0.56));
                p
            },
            vec![(0.5, 0.56), (0.98, 1.0)],
        ],
        'S' => vec![{
            let mut p = arc(0.5, 0.26, 0.44, 0.26, -0.06, -0.75);
            p.extend(arc(0.5, 0.75, 0.47, 0.25, -0.25, 0.44));
            p
        }],
        'T' => vec![vec![(0.0, 0.0), (1.0, 0.0)], vec![(0.5, 0.0), (0.5, 1.0)]],
        'U' => vec![{
            let mut p = vec![(0.0, 0.0)];
            p.extend(arc(0.5, 0.55, 0.5, 0.45, 0.5, 0.0));
            p.push((1.0, 0.0));
            p
        }],
        'W' => vec![vec![
            (0.0, 0.0),
            (0.28, 1.0),
            (0.6, 0.15),
            (0.92, 1.0),
            (1.2, 0.0),
        ]],
        '-' => vec![vec![(0.1, 0.5), (0.6, 0.5)]],
        _ => vec![],
    }
}

/// A line of letters, centred.
fn lettered(
    scene: &mut Scene,
    words: &str,
    middle: f32,
    top: f32,
    tall: f32,
    weight: f32,
    ink: Rgb,
) {
    let advance = |c: char| match c {
        ' ' => 0.62,
        'I' => 0.62,
        '-' => 0.98,
        'W' => 1.56,
        _ => 1.36,
    };
    let wide = 0.68 * tall;
    let total: f32 = words.chars().map(advance).sum::<f32>() * wide - 0.36 * wide;
    let mut x = middle - total / 2.0;
    for c in words.chars() {
        for stroke in letter(c) {
            let shift = if c == 'I' { -0.35 } else { 0.0 };
            let line: Vec<(f32, f32, f32)> = stroke
                .iter()
                .map(|&(px, py)| (x + (px + shift) * wide, top + py * tall, weight))
                .collect();
            scene.add(flat(Outline::line(&line), ink));
        }
        x += advance(c) * wide;
    }
}

pub(crate) fn scene(sheet: Sheet) -> Scene {
    let mut scene = Scene::new(sheet, Some(SKY));
    // Sun and its bands.
    for (index, r) in [104.0f32, 88.0, 73.0].into_iter().enumerate() {
        let paint = [hex(0xf4b569), hex(0xf7c981), hex(0xfadf9f)][index];
        scene.add(flat(Outline::ellipse(128.0, 152.0, r, r), paint));
    }
    scene.add(flat(Outline::ellipse(128.0, 152.0, 58.0, 58.0), SUN));
    // Clouds as bars with round ends.
    for (x, y, wide) in [
        (10.0, 108.0, 66.0),
        (34.0, 116.0, 70.0),
        (176.0, 128.0, 76.0),
        (160.0, 136.0, 58.0),
        (-6.0, 176.0, 60.0),
    ] {
        scene.add(flat(
            Outline::line(&[(x, y, 6.0), (x + wide, y, 6.0)]),
            SAND,
        ));
    }
    // The viaduct strides over the sun; a train on it.
    let piers: Vec<Pier> = (0..7)
        .map(|i| Pier {
            x: -20.0 + i as f32 * 49.5,
            deck: 170.0,
            foot: 262.0,
            half: 6.2,
            thick: 10.0,
        })
        .collect();
    scene.add(fill(viaduct(&piers), |x, y, _| {
        // The lit side of each pier is a second ink.
        let place = (x + 20.0) / 49.5;
        let off = (place - place.round()) * 49.5;
        (
            if y > 183.0 && (-6.3..-1.0).contains(&off) {
                hex(0xb63f2a)
            } else {
                hex(0x7a2a2f)
            },
            1.0,
        )
    }));
    scene.add(flat(Outline::rect(-4.0, 166.0, 264.0, 4.4), DEEP));
    let loco = train(3);
    scene.add(flat(loco.body.placed(220.0, 166.2, 18.5, 18.5), DEEP));
    for &(x, y, w, h) in &loco.windows {
        scene.add(flat(
            Outline::rect(220.0 + x * 18.5, 166.2 + y * 18.5, w * 18.5, h * 18.5),
            hex(0xfadf9f),
        ));
    }
    // Steam: discs in two inks.
    for i in 0..9 {
        let t = i as f32 / 8.0;
        let (x, y, r) = (
            208.0 - 150.0 * t,
            136.0 - 26.0 * t - (i % 2) as f32 * 5.0,
            5.0 + 12.5 * t,
        );
        scene.add(flat(Outline::ellipse(x, y, r, r), hex(0xfff4da)));
        scene.add(flat(
            Outline::ellipse(x + r * 0.1, y + r * 0.36, r * 0.62, r * 0.5),
            hex(0xf6dcae),
        ));
    }
    // The sea in bands, each a row of arcs.
    for (row, (paint, edge)) in [
        (FOAM, hex(0xb9dccb)),
        (SEA, FOAM),
        (DEEP, SEA),
        (hex(0x0a2a38), FOAM),
    ]
    .into_iter()
    .enumerate()
    {
        let y = 236.0 + row as f32 * 17.0;
        let (step, shift) = (32.0, if row % 2 == 0 { 0.0 } else { 16.0 });
        let mut band: Vec<Point> = vec![(-8.0, 330.0)];
        let mut crest: Vec<(f32, f32, f32)> = Vec::new();
        for i in 0..=108 {
            let x = -8.0 + i as f32 * 2.5;
            let wave = ((x + shift) / step * std::f32::consts::PI).sin().abs();
            band.push((x, y - 8.0 + wave * 8.0));
            crest.push((x, y - 8.0 + wave * 8.0, 1.9));
        }
        band.push((264.0, 330.0));
        scene.add(flat(Outline::polygon(&band), paint));
        scene.add(flat(Outline::line(&crest), edge));
    }
    // Two people wave from a boat.
    scene.add(flat(
        Outline::smooth(&[
            (36.0, 262.0),
            (50.0, 266.0),
            (74.0, 266.0),
            (90.0, 260.0),
            (82.0, 274.0),
            (44.0, 274.0),
        ]),
        SUN,
    ));
    for (x, arm) in [(56.0, -1.0f32), (70.0, 1.0)] {
        scene.add(flat(Outline::ellipse(x, 249.0, 3.0, 3.4), SAND));
        scene.add(flat(
            Outline::polygon(&[
                (x - 5.0, 266.0),
                (x - 3.2, 253.0),
                (x + 3.2, 253.0),
                (x + 5.0, 266.0),
            ]),
            SAND,
        ));
        scene.add(flat(
            Outline::line(&[(x + arm * 2.0, 255.0, 2.4), (x + arm * 9.0, 244.0, 1.8)]),
            SAND,
        ));
    }
    // A frame, then the words.
    lettered(
        &mut scene,
        "THE LOW-WATER LINE",
        128.0,
        29.0,
        14.2,
        3.1,
        DEEP,
    );
    lettered(
        &mut scene,
        "WHEN THE SEA IS OUT",
        128.0,
        56.0,
        9.0,
        1.9,
        hex(0x7a2a2f),
    );
    scene.add(flat(Outline::rect(27.0, 72.0, 202.0, 1.2), DEEP));
    scene
}
