//! Things that the pictures have in common: the train, the viaduct, posts, birds and people.

use crate::noise::Dice;
use crate::shape::{Outline, curve};
use crate::sheet::Point;

/// One pier of a viaduct: where it stands and how big it looks from here.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Pier {
    pub(crate) x: f32,
    /// Top of the deck.
    pub(crate) deck: f32,
    /// Foot of the pier.
    pub(crate) foot: f32,
    /// Half its width.
    pub(crate) half: f32,
    /// Depth of deck and parapet over the arch.
    pub(crate) thick: f32,
}

/// A viaduct of round arches over its piers, which stand in order along x.
pub(crate) fn viaduct(piers: &[Pier]) -> Outline {
    let mut points: Vec<Point> = piers.iter().map(|pier| (pier.x, pier.deck)).collect();
    let mut under: Vec<Point> = Vec::new();
    for (index, pier) in piers.iter().enumerate() {
        if index > 0 {
            under.push((pier.x - pier.half, pier.foot));
        }
        under.push((pier.x + pier.half, pier.foot));
        if let Some(next) = piers.get(index + 1) {
            let (x0, x1) = (pier.x + pier.half, next.x - next.half);
            for step in 0..=16 {
                let t = step as f32 / 16.0;
                let local = |a: f32, b: f32| a + (b - a) * t;
                let crown = local(pier.deck + pier.thick, next.deck + next.thick);
                let foot = local(pier.foot, next.foot);
                let rise = ((x1 - x0).abs() * 0.5).min((foot - crown) * 0.62);
                let round = (1.0 - (2.0 * t - 1.0).powi(2)).max(0.0).sqrt();
                under.push((local(x0, x1), crown + rise * (1.0 - round)));
            }
        }
    }
    under.reverse();
    points.extend(under);
    Outline::polygon(&points)
}

/// A train seen from its side.
#[derive(Debug, Clone)]
pub(crate) struct Train {
    /// Engine, tender and coaches.
    pub(crate) body: Outline,
    /// Windows: x, y, width, height.
    pub(crate) windows: Vec<(f32, f32, f32, f32)>,
    /// Mouth of the chimney.
    pub(crate) chimney: Point,
    /// The lamp in front.
    pub(crate) lamp: Point,
    /// Its whole length.
    pub(crate) length: f32,
}

/// A train whose front stands at the origin on rails at y = 0, heading right; a coach is 1 high
/// and 2.7 long. Place it by scaling.
pub(crate) fn train(coaches: usize) -> Train {
    let mut body = Outline::new();
    let disc = |x: f32, y: f32, r: f32| Outline::ellipse(x, y, r, r);
    // Boiler with its round front, footplate, chimney with a lip, dome, cab.
    body.join(&Outline::rect(-1.95, -0.86, 1.68, 0.6));
    body.join(&Outline::ellipse(-0.28, -0.56, 0.14, 0.3));
    body.join(&Outline::rect(-2.75, -0.3, 2.68, 0.12));
    body.join(&Outline::polygon(&[
        (-0.62, -0.8),
        (-0.58, -1.2),
        (-0.36, -1.2),
        (-0.4, -0.8),
    ]));
    body.join(&Outline::rect(-0.66, -1.28, 0.38, 0.1));
    body.join(&Outline::ellipse(-1.12, -0.88, 0.17, 0.18));
    body.join(&Outline::ellipse(-1.55, -0.86, 0.1, 0.14));
    body.ring(&[(-2.62, -0.2), (-2.62, -1.12), (-1.88, -1.12), (-1.88, -0.2)]);
    body.hole(&[(-2.5, -1.0), (-2.5, -0.72), (-2.1, -0.72), (-2.1, -1.0)]);
    body.join(&Outline::polygon(&[
        (-2.76, -1.1),
        (-2.6, -1.22),
        (-1.9, -1.22),
        (-1.78, -1.1),
    ]));
    body.join(&Outline::polygon(&[
        (-0.12, -0.3),
        (0.06, -0.06),
        (-0.3, -0.06),
        (-0.3, -0.3),
    ]));
    body.join(&Outline::rect(-0.22, -0.98, 0.14, 0.14));
    for x in [-0.72, -1.2, -1.68] {
        body.join(&disc(x, -0.23, 0.23));
    }
    for x in [-0.3, -2.2, -2.55] {
        body.join(&disc(x, -0.14, 0.14));
    }
    // Tender with its heap of coal.
    body.join(&Outline::rect(-3.65, -0.74, 0.85, 0.56));
    body.join(&Outline::ellipse(-3.2, -0.74, 0.36, 0.14));
    for x in [-3.45, -3.0] {
        body.join(&disc(x, -0.15, 0.15));
    }
    let mut windows = vec![(-2.5, -1.0, 0.4, 0.28)];
    let mut x = -3.78;
    for _ in 0..coaches {
        let (left, right) = (x - 2.7, x);
        body.ring(&[
            (left, -0.2),
            (left, -0.94),
            (left + 0.12, -1.04),
            (right - 0.12, -1.04),
            (right, -0.94),
            (right, -0.2),
        ]);
        body.join(&Outline::rect(left - 0.14, -0.34, 0.2, 0.08));
        for wheel in [0.35, 0.75, 1.95, 2.35] {
            body.join(&disc(left + wheel, -0.14, 0.14));
        }
        for window in 0..6 {
            windows.push((left + 0.2 + window as f32 * 0.4, -0.84, 0.28, 0.3));
        }
        x = left - 0.12;
    }
    Train {
        body,
        windows,
        chimney: (-0.47, -1.28),
        lamp: (-0.14, -0.92),
        length: -x,
    }
}

/// A gull seen from afar: two bent wings.
pub(crate) fn gull(x: f32, y: f32, span: f32, lift: f32, turn: f32) -> Outline {
    let half = span / 2.0;
    let mut bird = Outline::new();
    for side in [-1.0f32, 1.0] {
        let arm = curve(
            &[
                (x, y),
                (x + side * half * 0.32, y - lift * span * 0.32),
                (x + side * half * 0.62, y - lift * span * 0.24),
                (x + side * half, y + lift * span * 0.08),
            ],
            false,
        );
        let n = arm.len() as f32;
        let wing: Vec<(f32, f32, f32)> = arm
            .iter()
            .enumerate()
            .map(|(i, &(px, py))| {
                let t = i as f32 / n;
                (px, py, span * 0.085 * (1.0 - t).powf(0.7) + span * 0.008)
            })
            .collect();
        bird.add_line(&wing);
    }
    bird.join(&Outline::ellipse(
        x,
        y + span * 0.012,
        span * 0.1,
        span * 0.04,
    ));
    bird.turned((x, y), turn)
}

/// What a person carries.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Carries {
    Nothing,
    Bucket,
    Pole,
    Umbrella,
}

/// A person in a long coat, standing on `foot`, `tall` mm high.
pub(crate) fn person(x: f32, foot: f32, tall: f32, carries: Carries, seed: u32) -> Outline {
    let mut dice = Dice::new(seed);
    let wide = dice.between(0.9, 1.15);
    let lean = dice.between(-0.03, 0.03);
    let mut who = Outline::new();
    let at = |px: f32, py: f32| (x + (px * wide + lean * -py) * tall, foot + py * tall);
    // Boots, coat, shoulders, head, hat.
    let coat: Vec<Point> = [
        (-0.13, -0.14),
        (-0.145, -0.3),
        (-0.1, -0.52),
        (-0.125, -0.74),
        (-0.06, -0.82),
        (0.06, -0.82),
        (0.125, -0.74),
        (0.1, -0.52),
        (0.15, -0.3),
        (0.14, -0.14),
    ]
    .iter()
    .map(|&(a, b)| at(a, b))
    .collect();
    who.join(&Outline::smooth(&coat));
    for side in [-0.055f32, 0.06] {
        let (lx, ly) = at(side, -0.2);
        let (fx, fy) = at(side * 1.25, 0.0);
        who.add_line(&[(lx, ly, tall * 0.07), (fx, fy - tall * 0.03, tall * 0.06)]);
        who.join(&Outline::ellipse(
            fx + tall * 0.02,
            fy - tall * 0.012,
            tall * 0.055,
            tall * 0.022,
        ));
    }
    let (hx, hy) = at(0.0, -0.9);
    who.join(&Outline::ellipse(hx, hy, tall * 0.058, tall * 0.075));
    if dice.chance(0.6) {
        who.join(&Outline::ellipse(
            hx,
            hy - tall * 0.035,
            tall * 0.11,
            tall * 0.018,
        ));
        who.join(&Outline::ellipse(
            hx,
            hy - tall * 0.065,
            tall * 0.055,
            tall * 0.04,
        ));
    } else {
        who.join(&Outline::ellipse(
            hx - tall * 0.01,
            hy - tall * 0.03,
            tall * 0.066,
            tall * 0.06,
        ));
    }
    let side = if dice.chance(0.5) { 1.0 } else { -1.0 };
    let (sx, sy) = at(side * 0.1, -0.74);
    match carries {
        Carries::Nothing => {
            let (wx, wy) = at(side * 0.15, -0.42);
            who.add_line(&[(sx, sy, tall * 0.07), (wx, wy, tall * 0.05)]);
        }
        Carries::Bucket => {
            let (wx, wy) = at(side * 0.19, -0.4);
            who.add_line(&[(sx, sy, tall * 0.07), (wx, wy, tall * 0.05)]);
            let b = tall * 0.07;
            who.join(&Outline::polygon(&[
                (wx - b, wy + b * 1.2),
                (wx + b, wy + b * 1.2),
                (wx + b * 0.75, wy + b * 3.0),
                (wx - b * 0.75, wy + b * 3.0),
            ]));
            who.add_line(&[
                (wx - b * 0.9, wy + b * 1.3, 0.12),
                (wx, wy, 0.12),
                (wx + b * 0.9, wy + b * 1.3, 0.12),
            ]);
        }
        Carries::Pole => {
            let (wx, wy) = at(side * 0.24, -0.62);
            who.add_line(&[(sx, sy, tall * 0.07), (wx, wy, tall * 0.05)]);
            who.add_line(&[
                (wx + side * tall * 0.02, foot, tall * 0.018),
                (wx - side * tall * 0.03, foot - tall * 1.45, tall * 0.014),
            ]);
        }
        Carries::Umbrella => {
            let (wx, wy) = at(side * 0.1, -0.62);
            let top = foot - tall * 1.18;
            who.add_line(&[(sx, sy, tall * 0.06), (wx, wy, tall * 0.05)]);
            who.add_line(&[(wx, wy, tall * 0.02), (wx, top, tall * 0.02)]);
            let r = tall * 0.36;
            let mut dome: Vec<Point> = (0..=20)
                .map(|i| {
                    let a = std::f32::consts::PI * (1.0 + i as f32 / 20.0);
                    (wx + r * a.cos(), top + tall * 0.16 + r * 0.62 * a.sin())
                })
                .collect();
            for scallop in 0..16 {
                let t = scallop as f32 / 16.0;
                let dip = ((t * 4.0).fract() - 0.5).abs() * 2.0;
                dome.push((
                    wx + r * (1.0 - 2.0 * t),
                    top + tall * 0.16 - (1.0 - dip) * tall * 0.03,
                ));
            }
            who.ring(&dome);
        }
    }
    who
}

/// A rowing boat lying on the ground, bow to the right.
pub(crate) fn boat(x: f32, y: f32, long: f32) -> Outline {
    let l = long / 2.0;
    let mut hull = curve(
        &[
            (x - l, y - long * 0.1),
            (x - l * 0.4, y - long * 0.06),
            (x + l * 0.4, y - long * 0.07),
            (x + l * 1.02, y - long * 0.17),
        ],
        false,
    );
    hull.extend(curve(
        &[
            (x + l * 1.02, y - long * 0.17),
            (x + l * 0.7, y - long * 0.01),
            (x, y + long * 0.045),
            (x - l * 0.75, y + long * 0.03),
            (x - l, y - long * 0.1),
        ],
        false,
    ));
    Outline::polygon(&hull)
}

/// A clump of reeds growing from `foot`.
pub(crate) fn reeds(
    from: f32,
    to: f32,
    foot: f32,
    tall: f32,
    count: usize,
    lean: f32,
    seed: u32,
) -> Outline {
    let mut dice = Dice::new(seed);
    let mut clump = Outline::new();
    for _ in 0..count {
        let x = dice.between(from, to);
        let high = tall * dice.between(0.35, 1.0);
        let over = lean * high + dice.bell() * high * 0.18;
        let thick = dice.between(0.5, 1.1) * tall * 0.012;
        let stem: Vec<(f32, f32, f32)> = (0..=9)
            .map(|i| {
                let t = i as f32 / 9.0;
                (
                    x + over * t * t,
                    foot + dice.between(0.0, 0.2) - high * (t - 0.12 * t * t * over.abs() / high),
                    thick * (1.0 - t * 0.85),
                )
            })
            .collect();
        let tip = stem[9];
        let before = stem[7];
        clump.add_line(&stem);
        if dice.chance(0.4) {
            // A seed head along the last of the stem.
            clump.add_line(&[
                (before.0, before.1, thick * 1.4),
                (
                    (before.0 + tip.0) / 2.0,
                    (before.1 + tip.1) / 2.0,
                    thick * 3.0,
                ),
                (tip.0 + over * 0.04, tip.1, thick * 0.6),
            ]);
        }
    }
    clump
}

/// A lighthouse standing on `foot`.
pub(crate) fn lighthouse(x: f32, foot: f32, tall: f32) -> Outline {
    let t = tall;
    let mut tower = Outline::polygon(&[
        (x - t * 0.1, foot),
        (x - t * 0.06, foot - t * 0.74),
        (x + t * 0.06, foot - t * 0.74),
        (x + t * 0.1, foot),
    ]);
    tower.join(&Outline::rect(
        x - t * 0.09,
        foot - t * 0.77,
        t * 0.18,
        t * 0.03,
    ));
    tower.join(&Outline::rect(
        x - t * 0.045,
        foot - t * 0.9,
        t * 0.01,
        t * 0.13,
    ));
    tower.join(&Outline::rect(
        x + t * 0.035,
        foot - t * 0.9,
        t * 0.01,
        t * 0.13,
    ));
    tower.join(&Outline::polygon(&[
        (x - t * 0.07, foot - t * 0.89),
        (x, foot - t * 0.99),
        (x + t * 0.07, foot - t * 0.89),
    ]));
    tower.add_line(&[
        (x, foot - t * 0.98, t * 0.012),
        (x, foot - t * 1.05, t * 0.008),
    ]);
    tower
}

/// Telegraph posts along a line from near to far, with their cross arms; also gives where the
/// wires hang, two to a post.
pub(crate) fn posts(feet: &[(f32, f32, f32)]) -> (Outline, Vec<[Point; 2]>) {
    let mut out = Outline::new();
    let mut hooks = Vec::new();
    for &(x, foot, tall) in feet {
        let w = tall * 0.022;
        out.add_line(&[(x, foot, w * 1.3), (x + tall * 0.01, foot - tall, w)]);
        let arm = tall * 0.14;
        for (level, share) in [(0.94, 1.0), (0.84, 0.8)] {
            let y = foot - tall * level;
            out.add_line(&[(x - arm * share, y, w * 0.8), (x + arm * share, y, w * 0.8)]);
        }
        hooks.push([(x - arm, foot - tall * 0.96), (x + arm, foot - tall * 0.96)]);
    }
    (out, hooks)
}

/// A wire hanging between two points.
pub(crate) fn wire(a: Point, b: Point, sag: f32, thick: f32) -> Outline {
    let points: Vec<(f32, f32, f32)> = (0..=24)
        .map(|i| {
            let t = i as f32 / 24.0;
            (
                a.0 + (b.0 - a.0) * t,
                a.1 + (b.1 - a.1) * t + sag * 4.0 * t * (1.0 - t),
                thick,
            )
        })
        .collect();
    let mut out = Outline::new();
    out.add_line(&points);
    out
}

/// A huddle of gabled houses on `foot` from `from` to `to`; also gives their windows.
pub(crate) fn houses(
    from: f32,
    to: f32,
    foot: f32,
    tall: f32,
    seed: u32,
) -> (Outline, Vec<(f32, f32, f32, f32)>) {
    let mut dice = Dice::new(seed);
    let mut out = Outline::new();
    let mut windows = Vec::new();
    let mut x = from;
    while x < to {
        let wide = tall * dice.between(0.28, 0.6);
        let wall = tall * dice.between(0.35, 0.72);
        let roof = tall * dice.between(0.16, 0.34);
        out.ring(&[
            (x, foot),
            (x, foot - wall),
            (x + wide * 0.5, foot - wall - roof),
            (x + wide, foot - wall),
            (x + wide, foot),
        ]);
        if dice.chance(0.7) {
            let cx = x + wide * dice.between(0.15, 0.8);
            out.join(&Outline::rect(
                cx,
                foot - wall - roof * 1.15,
                tall * 0.045,
                roof,
            ));
        }
        let size = tall * 0.055;
        let columns = ((wide / (size * 3.0)) as usize).max(1);
        let rows = ((wall / (size * 3.6)) as usize).max(1);
        for row in 0..rows {
            for column in 0..columns {
                if dice.chance(0.62) {
                    windows.push((
                        x + wide * (column as f32 + 0.5) / columns as f32 - size / 2.0,
                        foot - wall + size * (0.8 + row as f32 * 3.4),
                        size,
                        size * 1.5,
                    ));
                }
            }
        }
        x += wide * dice.between(0.82, 1.02);
    }
    (out, windows)
}
