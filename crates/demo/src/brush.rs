//! A brush: strokes with bristles, laid over a study from broad to fine.

use crate::colour::{Rgb, blend, lift, luminance};
use crate::noise::{Dice, lattice, mix, smooth};
use crate::sheet::{Band, Layer, Sheet, Study};

/// One stroke, bent like a bow.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Stroke {
    /// Middle, mm.
    pub(crate) x: f32,
    /// Middle, mm.
    pub(crate) y: f32,
    /// Direction, radians.
    pub(crate) angle: f32,
    /// Half its length, mm.
    pub(crate) reach: f32,
    /// Half its width, mm.
    pub(crate) half: f32,
    /// How far its middle is pushed aside, mm.
    pub(crate) bend: f32,
    /// Paint.
    pub(crate) paint: Rgb,
    /// Cover of a full bristle.
    pub(crate) cover: f32,
    /// How early the paint runs out: 0 wet, 1 dry.
    pub(crate) dry: f32,
    /// Seed of its bristles.
    pub(crate) seed: u32,
}

/// Strokes in the order in which they were laid.
pub(crate) struct Strokes {
    list: Vec<Stroke>,
}

impl Strokes {
    pub(crate) const fn new(list: Vec<Stroke>) -> Self {
        Self { list }
    }
}

impl Layer for Strokes {
    fn paint(&self, band: &mut Band<'_>) {
        let top = band.top as f32 / band.scale;
        let bottom = (band.top + band.rows()) as f32 / band.scale;
        // From the last stroke to the first: what is covered already need not be painted. A pixel
        // holds the paint so far and what share of the layers below still shows.
        let mut wet = vec![[0.0, 0.0, 0.0, 1.0f32]; band.pixels.len()];
        for stroke in self.list.iter().rev() {
            let reach = stroke.reach + stroke.half + stroke.bend.abs();
            if stroke.y + reach < top || stroke.y - reach > bottom {
                continue;
            }
            lay(stroke, band, &mut wet);
        }
        for (pixel, wet) in band.pixels.iter_mut().zip(&wet) {
            let under = pixel[3] * wet[3];
            let cover = 1.0 - wet[3] + under;
            if cover > 0.0 {
                for channel in 0..3 {
                    pixel[channel] = (wet[channel] + pixel[channel] * under) / cover;
                }
            }
            pixel[3] = cover;
        }
    }
}

/// A share of what lies below that nobody sees.
const COVERED: f32 = 0.02;

fn lay(stroke: &Stroke, band: &Band<'_>, wet: &mut [[f32; 4]]) {
    let scale = band.scale;
    let (sin, cos) = stroke.angle.sin_cos();
    let wide = stroke.reach * cos.abs() + (stroke.half + stroke.bend.abs()) * sin.abs();
    let tall = stroke.reach * sin.abs() + (stroke.half + stroke.bend.abs()) * cos.abs();
    let across = band.across;
    let left = ((stroke.x - wide) * scale).floor().max(0.0) as usize;
    let right = (((stroke.x + wide) * scale).ceil().max(0.0) as usize).min(across);
    let rows = band.rows();
    let first = ((stroke.y - tall) * scale - band.top as f32)
        .floor()
        .max(0.0) as usize;
    let last = (((stroke.y + tall) * scale - band.top as f32)
        .ceil()
        .max(0.0) as usize)
        .min(rows);
    if left >= right || first >= last {
        return;
    }
    // Bristles across the brush: each has its own length, load and shade.
    const BRISTLES: usize = 24;
    let mut bristles = [(0.0f32, 0.0f32, 0.0f32); BRISTLES + 1];
    for (index, bristle) in bristles.iter_mut().enumerate() {
        let i = index as i32;
        *bristle = (
            0.72 + 0.28 * lattice(i, 1, stroke.seed),
            lattice(i, 2, stroke.seed),
            (lattice(i, 3, stroke.seed) - 0.5) * 0.085,
        );
    }
    let to_bristle = BRISTLES as f32 / (2.0 * stroke.half);
    let soft = (1.2 / scale).max(stroke.half * 0.06);
    for row in first..last {
        let y = ((band.top + row) as f32 + 0.5) / scale - stroke.y;
        // Only the columns between the ends and the sides of the stroke.
        let ends = between(cos, y * sin, stroke.reach);
        let sides = between(
            -sin,
            y * cos + stroke.bend * 0.5,
            stroke.half + stroke.bend.abs(),
        );
        let (from, to) = (ends.0.max(sides.0), ends.1.min(sides.1));
        let from = (((stroke.x + from) * scale - 1.0).max(left as f32) as usize).max(left);
        let to = (((stroke.x + to) * scale + 1.0).max(0.0) as usize).min(right);
        if from >= to {
            continue;
        }
        let line = &mut wet[row * across..(row + 1) * across];
        for (column, pixel) in line[from..to].iter_mut().enumerate() {
            if pixel[3] < COVERED {
                continue;
            }
            let x = ((from + column) as f32 + 0.5) / scale - stroke.x;
            let u = (x * cos + y * sin) / stroke.reach;
            if u.abs() >= 1.0 {
                continue;
            }
            let v = y * cos - x * sin - stroke.bend * (1.0 - u * u) + stroke.bend * 0.5;
            let edge = stroke.half - v.abs();
            if edge <= 0.0 {
                continue;
            }
            let place = (v + stroke.half) * to_bristle;
            let index = (place as usize).min(BRISTLES - 1);
            let t = place - index as f32;
            let (a, b) = (bristles[index], bristles[index + 1]);
            let length = a.0 + (b.0 - a.0) * t;
            let load = a.1 + (b.1 - a.1) * t;
            let shade = a.2 + (b.2 - a.2) * t;
            // Both ends are ragged; the end of the stroke more than its beginning.
            let start = smooth(-length, -length + 0.12, u);
            let end = smooth(length, length - 0.3, u);
            // Paint runs out along dry bristles first.
            let left_over = 1.0 - stroke.dry * smooth(-0.6, 1.0, u) * (0.35 + load);
            let cover =
                stroke.cover * start * end * (edge / soft).min(1.0) * left_over.clamp(0.0, 1.0);
            if cover > 0.01 {
                // A ridge of paint catches the light along its upper edge.
                let relief = (b.1 - a.1) * 0.05;
                let share = cover * pixel[3];
                let paint = lift(stroke.paint, shade + relief);
                for channel in 0..3 {
                    pixel[channel] += paint[channel] * share;
                }
                pixel[3] -= share;
            }
        }
    }
}

/// The x for which |x * slope + offset| stays within a limit.
fn between(slope: f32, offset: f32, limit: f32) -> (f32, f32) {
    if slope.abs() < 1e-4 {
        return if offset.abs() <= limit {
            (-1e6, 1e6)
        } else {
            (1.0, 0.0)
        };
    }
    let (a, b) = ((-limit - offset) / slope, (limit - offset) / slope);
    (a.min(b), a.max(b))
}

/// One going-over of the sheet with one brush.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Pass {
    /// Half the brush's width, mm.
    pub(crate) half: f32,
    /// Length of a stroke in widths.
    pub(crate) long: f32,
    /// Distance between strokes in widths.
    pub(crate) apart: f32,
    /// Cover.
    pub(crate) cover: f32,
    /// How much paint varies from stroke to stroke.
    pub(crate) vary: f32,
    /// Dryness.
    pub(crate) dry: f32,
    /// Strokes are laid only where the study differs by more than this from itself blurred to the
    /// brush's width; 0 lays all.
    pub(crate) detail: f32,
}

/// Oil: broad and lively, then finer where there is something to see.
pub(crate) const OIL: &[Pass] = &[
    Pass {
        half: 6.0,
        long: 3.4,
        apart: 0.66,
        cover: 0.95,
        vary: 0.035,
        dry: 0.5,
        detail: 0.0,
    },
    Pass {
        half: 3.0,
        long: 3.8,
        apart: 0.74,
        cover: 0.9,
        vary: 0.032,
        dry: 0.75,
        detail: 0.0,
    },
    Pass {
        half: 1.3,
        long: 4.2,
        apart: 0.62,
        cover: 0.9,
        vary: 0.024,
        dry: 0.8,
        detail: 0.035,
    },
    Pass {
        half: 0.62,
        long: 4.4,
        apart: 0.66,
        cover: 0.92,
        vary: 0.016,
        dry: 0.6,
        detail: 0.055,
    },
    Pass {
        half: 0.34,
        long: 4.4,
        apart: 0.7,
        cover: 0.92,
        vary: 0.01,
        dry: 0.4,
        detail: 0.085,
    },
];

/// Gouache: quieter, with smaller brushes.
pub(crate) const GOUACHE: &[Pass] = &[
    Pass {
        half: 5.0,
        long: 4.2,
        apart: 0.7,
        cover: 0.9,
        vary: 0.014,
        dry: 0.3,
        detail: 0.0,
    },
    Pass {
        half: 1.9,
        long: 4.4,
        apart: 0.68,
        cover: 0.85,
        vary: 0.014,
        dry: 0.7,
        detail: 0.018,
    },
    Pass {
        half: 0.85,
        long: 4.2,
        apart: 0.66,
        cover: 0.92,
        vary: 0.012,
        dry: 0.6,
        detail: 0.04,
    },
    Pass {
        half: 0.4,
        long: 4.2,
        apart: 0.7,
        cover: 0.95,
        vary: 0.008,
        dry: 0.3,
        detail: 0.07,
    },
];

/// Paints a study: pass by pass, strokes along the forms where there are forms and along `lie`
/// (radians at x, y) where there are none.
pub(crate) fn painted(
    study: &Study,
    sheet: Sheet,
    passes: &[Pass],
    lie: impl Fn(f32, f32) -> f32,
    seed: u32,
) -> Strokes {
    let mut strokes = Vec::new();
    for (number, pass) in passes.iter().enumerate() {
        let mut dice = Dice::new(seed ^ mix(number as u32 + 1));
        let step = pass.half * 2.0 * pass.apart;
        let flow = study.blurred(pass.half * 0.8, pass.half * 0.8);
        let coarse = study.blurred(pass.half * 2.0, pass.half * 2.0);
        let mut laid = Vec::new();
        let columns = (sheet.width / step).ceil() as usize + 2;
        let rows = (sheet.height / step).ceil() as usize + 2;
        for row in 0..rows {
            for column in 0..columns {
                let x = (column as f32 - 0.5 + dice.unit()) * step;
                let y = (row as f32 - 0.5 + dice.unit()) * step;
                let paint = study.at(x, y);
                let order = dice.unit();
                if pass.detail > 0.0 {
                    let ground = coarse.at(x, y);
                    let differs = (0..3)
                        .map(|c| (paint[c] - ground[c]).abs())
                        .fold(0.0, f32::max);
                    if differs < pass.detail * (0.6 + 0.8 * dice.unit()) {
                        continue;
                    }
                }
                let d = pass.half * 0.7;
                let gx = luminance(flow.at(x + d, y)) - luminance(flow.at(x - d, y));
                let gy = luminance(flow.at(x, y + d)) - luminance(flow.at(x, y - d));
                let strength = gx.hypot(gy);
                let along = lie(x, y);
                let form = gy.atan2(gx) + std::f32::consts::FRAC_PI_2;
                let angle = if strength > 0.035 { form } else { along } + dice.bell() * 0.16;
                // Near an edge a stroke is shorter, so that forms hold.
                let reach = pass.half * pass.long * dice.between(0.75, 1.25)
                    / (1.0 + 5.0 * strength.min(0.2));
                let shade = dice.bell() * pass.vary;
                let warm = dice.bell() * pass.vary * 0.5;
                laid.push((
                    order,
                    Stroke {
                        x,
                        y,
                        angle,
                        reach,
                        half: pass.half * dice.between(0.75, 1.2),
                        bend: dice.bell() * pass.half * 0.5,
                        paint: [
                            paint[0] + shade + warm,
                            paint[1] + shade,
                            paint[2] + shade - warm,
                        ],
                        cover: pass.cover,
                        dry: pass.dry * dice.unit(),
                        seed: mix(laid.len() as u32 ^ seed),
                    },
                ));
            }
        }
        laid.sort_by(|a, b| a.0.total_cmp(&b.0));
        strokes.extend(laid.into_iter().map(|(_, stroke)| stroke));
    }
    Strokes::new(strokes)
}

/// The weave of a canvas or the tooth of a paper, to be laid over a painting.
pub(crate) fn tooth(strength: f32, grain: f32, seed: u32) -> impl Layer {
    crate::sheet::Wash(move |x: f32, y: f32, under: Rgb| {
        let a = crate::noise::value(x / grain, y / grain, seed);
        let b = crate::noise::value(x / (grain * 3.1), y / (grain * 2.3), seed ^ 5);
        let by = (a * 0.6 + b * 0.4 - 0.5) * 2.0 * strength;
        (blend(under, lift(under, by), 1.0), 1.0)
    })
}
