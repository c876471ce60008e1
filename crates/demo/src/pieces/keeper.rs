//! The lamp-keeper: flat shapes in six inks.

use crate::colour::{Rgb, hex};
use crate::noise::Dice;
use crate::shape::{Outline, curve, flat};
use crate::sheet::{Point, Scene, Sheet};

const NIGHT: Rgb = hex(0x16324f);
const DEEP: Rgb = hex(0x0d2138);
const TEAL: Rgb = hex(0x2f7f86);
const CREAM: Rgb = hex(0xf6e7c8);
const CORAL: Rgb = hex(0xe8613f);
const GOLD: Rgb = hex(0xf2b23c);

pub(crate) fn scene(sheet: Sheet) -> Scene {
    let mut scene = Scene::new(sheet, Some(NIGHT));
    let lamp = (150.0, 98.0);
    // Rays in two inks, then the disc of light.
    for i in 0..28 {
        let a = i as f32 / 28.0 * std::f32::consts::TAU;
        let half = std::f32::consts::TAU / 28.0 * 0.25;
        let reach = 420.0;
        scene.add(flat(
            Outline::polygon(&[
                lamp,
                (
                    lamp.0 + reach * (a - half).cos(),
                    lamp.1 + reach * (a - half).sin(),
                ),
                (
                    lamp.0 + reach * (a + half).cos(),
                    lamp.1 + reach * (a + half).sin(),
                ),
            ]),
            hex(0x1d4160),
        ));
    }
    scene.add(flat(Outline::ellipse(lamp.0, lamp.1, 86.0, 86.0), TEAL));
    scene.add(flat(
        Outline::ellipse(lamp.0, lamp.1, 66.0, 66.0),
        hex(0x78a99a),
    ));
    scene.add(flat(Outline::ellipse(lamp.0, lamp.1, 47.0, 47.0), GOLD));
    scene.add(flat(Outline::ellipse(lamp.0, lamp.1, 30.0, 30.0), CREAM));
    // Stars: small diamonds.
    let mut dice = Dice::new(17);
    for _ in 0..46 {
        let (x, y) = (dice.between(6.0, 250.0), dice.between(6.0, 190.0));
        if (x - lamp.0).hypot(y - lamp.1) < 96.0 {
            continue;
        }
        let r = dice.between(0.7, 2.1);
        scene.add(flat(
            Outline::polygon(&[(x, y - r), (x + r * 0.45, y), (x, y + r), (x - r * 0.45, y)]),
            CREAM,
        ));
    }
    // The sleeping town on its stilts.
    let town = [
        (-4.0, 40.0, 34.0, 22.0, CORAL),
        (34.0, 26.0, 46.0, 16.0, CREAM),
        (58.0, 34.0, 28.0, 20.0, TEAL),
        (196.0, 30.0, 30.0, 20.0, CREAM),
        (222.0, 40.0, 42.0, 24.0, CORAL),
    ];
    for (index, &(x, wide, tall, roof, wall)) in town.iter().enumerate() {
        let foot = 232.0;
        for leg in 0..3 {
            scene.add(flat(
                Outline::rect(x + 3.0 + leg as f32 * (wide - 9.0) / 2.0, foot, 2.6, 40.0),
                DEEP,
            ));
        }
        scene.add(flat(Outline::rect(x, foot - tall, wide, tall), wall));
        scene.add(flat(Outline::rect(x - 3.0, foot, wide + 6.0, 2.6), DEEP));
        scene.add(flat(
            Outline::polygon(&[
                (x - 4.0, foot - tall),
                (x + wide / 2.0, foot - tall - roof),
                (x + wide + 4.0, foot - tall),
            ]),
            DEEP,
        ));
        scene.add(flat(
            Outline::rect(x + wide * 0.64, foot - tall - roof * 0.95, 3.4, roof * 0.7),
            DEEP,
        ));
        for row in 0..(tall as usize / 14) {
            for column in 0..2 {
                let lit = (index + row + column) % 3 == 1;
                let (wx, wy) = (
                    x + wide * (0.2 + 0.4 * column as f32),
                    foot - tall + 6.0 + row as f32 * 13.0,
                );
                scene.add(flat(
                    Outline::rect(wx, wy, wide * 0.2, 7.0),
                    if lit { GOLD } else { DEEP },
                ));
            }
        }
    }
    // The post with its lantern and the ladder that leans on it.
    scene.add(flat(
        Outline::polygon(&[
            (146.4, 292.0),
            (148.0, 112.0),
            (152.0, 112.0),
            (153.6, 292.0),
        ]),
        DEEP,
    ));
    scene.add(flat(Outline::rect(140.0, 112.0, 20.0, 3.4), DEEP));
    scene.add(flat(
        Outline::polygon(&[(137.0, 84.0), (150.0, 70.0), (163.0, 84.0)]),
        DEEP,
    ));
    scene.add(flat(Outline::ellipse(150.0, 69.0, 2.2, 2.2), DEEP));
    scene.add(flat(
        Outline::polygon(&[(139.0, 85.0), (161.0, 85.0), (157.0, 112.0), (143.0, 112.0)]),
        GOLD,
    ));
    scene.add(flat(
        Outline::smooth(&[(150.0, 88.0), (154.5, 99.0), (150.0, 107.0), (145.5, 99.0)]),
        CORAL,
    ));
    scene.add(flat(
        Outline::smooth(&[
            (150.0, 94.0),
            (152.0, 100.0),
            (150.0, 105.0),
            (148.0, 100.0),
        ]),
        CREAM,
    ));
    for x in [139.0, 150.0 - 0.6, 159.6] {
        scene.add(flat(
            Outline::polygon(&[
                (x, 85.0),
                (x + 1.4, 85.0),
                (150.0 + (x - 150.0) * 0.66 + 1.0, 112.0),
                (150.0 + (x - 150.0) * 0.66 - 0.4, 112.0),
            ]),
            DEEP,
        ));
    }
    let mut ladder = Outline::new();
    ladder.add_line(&[(84.0, 288.0, 3.0), (137.0, 118.0, 3.0)]);
    ladder.add_line(&[(100.0, 290.0, 3.0), (150.0, 122.0, 3.0)]);
    for i in 0..15 {
        let t = (i as f32 + 0.5) / 15.0;
        ladder.add_line(&[
            (84.0 + 53.0 * t, 288.0 - 170.0 * t, 1.9),
            (100.0 + 50.0 * t, 290.0 - 168.0 * t, 1.9),
        ]);
    }
    scene.add(flat(ladder, CREAM));
    // The keeper: coat, scarf in the wind, cap, one arm up to the flame.
    let body = |points: &[Point]| Outline::polygon(&curve(points, true));
    scene.add(flat(
        body(&[
            (112.0, 236.0),
            (108.0, 206.0),
            (111.0, 178.0),
            (119.0, 160.0),
            (131.0, 158.0),
            (136.0, 172.0),
            (134.0, 204.0),
            (139.0, 234.0),
            (126.0, 241.0),
        ]),
        CORAL,
    ));
    scene.add(flat(
        body(&[
            (126.0, 240.0),
            (128.0, 206.0),
            (131.0, 170.0),
            (136.0, 172.0),
            (134.0, 204.0),
            (139.0, 234.0),
        ]),
        hex(0xb9432c),
    ));
    for (x, y) in [(118.0, 238.0), (131.0, 238.0)] {
        scene.add(flat(
            Outline::line(&[(x, y, 6.4), (x - 5.0, y + 15.0, 5.6)]),
            DEEP,
        ));
        scene.add(flat(
            Outline::line(&[(x - 6.0, y + 16.6, 4.4), (x + 4.0, y + 16.8, 3.6)]),
            DEEP,
        ));
    }
    scene.add(flat(
        Outline::line(&[
            (131.0, 166.0, 7.4),
            (139.0, 146.0, 6.0),
            (143.0, 119.0, 4.4),
        ]),
        CORAL,
    ));
    scene.add(flat(Outline::ellipse(143.6, 115.6, 3.2, 3.6), CREAM));
    scene.add(flat(
        Outline::line(&[
            (118.0, 168.0, 7.2),
            (110.0, 186.0, 6.2),
            (118.0, 200.0, 4.6),
        ]),
        hex(0xb9432c),
    ));
    scene.add(flat(Outline::ellipse(118.8, 202.4, 3.0, 3.2), CREAM));
    scene.add(flat(Outline::ellipse(126.0, 147.0, 8.4, 9.6), CREAM));
    scene.add(flat(
        body(&[
            (116.0, 145.0),
            (118.0, 136.0),
            (127.0, 133.0),
            (135.0, 139.0),
            (134.4, 143.0),
            (140.0, 144.4),
            (134.0, 146.0),
        ]),
        DEEP,
    ));
    scene.add(flat(
        body(&[
            (116.6, 158.0),
            (126.0, 154.0),
            (134.0, 157.0),
            (133.0, 162.0),
            (122.0, 164.0),
            (116.0, 163.0),
        ]),
        TEAL,
    ));
    scene.add(flat(
        body(&[
            (118.0, 160.0),
            (104.0, 158.0),
            (92.0, 164.0),
            (80.0, 160.0),
            (81.0, 166.0),
            (92.0, 170.5),
            (105.0, 164.6),
            (118.0, 165.0),
        ]),
        TEAL,
    ));
    for (x, y) in [(131.6, 146.0), (131.2, 151.2)] {
        scene.add(flat(
            Outline::ellipse(x, y, 0.9, if y > 150.0 { 0.5 } else { 1.2 }),
            DEEP,
        ));
    }
    // The sea in scales, row over row.
    for row in 0..7 {
        let y = 262.0 + row as f32 * 9.0;
        let shift = if row % 2 == 0 { 0.0 } else { 13.0 };
        for column in -1..11 {
            let x = column as f32 * 26.0 + shift;
            let (outer, middle, inner) = match row % 3 {
                0 => (DEEP, TEAL, NIGHT),
                1 => (NIGHT, CREAM, TEAL),
                _ => (TEAL, NIGHT, DEEP),
            };
            for (r, ink) in [(13.4, outer), (9.6, middle), (7.8, outer), (4.4, inner)] {
                scene.add(flat(Outline::ellipse(x, y + 4.0, r, r * 0.92), ink));
            }
        }
    }
    scene
}
