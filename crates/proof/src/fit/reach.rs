//! What a correction can do at all: ink has an end.

use colour::{Lab, PaperView, PressCondition, delta_e_2000};

use super::model::Point;
use super::unseen::Foretold;
use crate::{ProofError, Strip};

/// Steps by which inks are sought; the correction moves them little.
const STEPS: usize = 6;
/// Difference over which a slope is taken, in percent of ink.
const SLOPE: f32 = 2.0;
/// What moving an ink costs against missing the colour, in ΔE per percent, squared.
const STILL: f64 = 0.02;

/// ΔE00 of each of the book's own patches after the correction, as foretold.
///
/// The departure foretells what the press makes of the colour that it is given instead; what it
/// missed at the measured colour it is taken to miss there as well. Colours that no ink reaches
/// stay as near as ink can.
pub(crate) fn foretell(
    strip: &Strip,
    press: &PressCondition,
    paper: Lab,
    points: &[Point],
    foretold: &[Foretold],
) -> Result<Vec<(usize, f64)>, ProofError> {
    let promised_paper = strip.paper();
    let mut inks = Vec::new();
    let mut wanted = Vec::new();
    for one in foretold {
        let patch = &strip.patches[points[one.point].patch];
        inks.push(patch.ink.map(|byte| f32::from(byte) / 2.55));
        let intended = patch.intended.relative_to(promised_paper);
        wanted.push(one.departure.undo(intended));
    }
    let reached = nearest(press, inks, &wanted)?;
    Ok(foretold
        .iter()
        .zip(reached)
        .map(|(one, reached)| {
            let point = &points[one.point];
            let patch = &strip.patches[point.patch];
            let curves = one.departure.curves();
            let missed = minus(point.printed, curves.apply(point.promised));
            let printed = plus(curves.apply(reached), missed).absolute_on(paper);
            (point.patch, delta_e_2000(patch.intended, printed))
        })
        .collect())
}

/// Colours, relative to the paper, that are nearest to those wanted and that inks can print;
/// sought from given inks on, in percent.
fn nearest(
    press: &PressCondition,
    mut inks: Vec<[f32; 4]>,
    wanted: &[Lab],
) -> Result<Vec<Lab>, ProofError> {
    let colours = |inks: &[[f32; 4]]| press.lab_of_percent(inks, PaperView::Adapted);
    let mut found = colours(&inks)?;
    for _ in 0..STEPS {
        // All slopes of all patches at once: setting up the tables costs more than using them.
        let mut moved = Vec::new();
        for ink in &inks {
            for i in 0..4 {
                let mut ink = *ink;
                ink[i] += if ink[i] > 50.0 { -SLOPE } else { SLOPE };
                moved.push(ink);
            }
        }
        let moved = colours(&moved)?;
        let tried: Vec<[f32; 4]> = inks
            .iter()
            .zip(&found)
            .zip(moved.chunks_exact(4))
            .zip(wanted)
            .map(|(((ink, at), moved), wanted)| step(*ink, *at, moved, *wanted))
            .collect();
        let reached = colours(&tried)?;
        for (i, &reached) in reached.iter().enumerate() {
            if far(reached, wanted[i]) < far(found[i], wanted[i]) {
                inks[i] = tried[i];
                found[i] = reached;
            }
        }
    }
    Ok(found)
}

/// One step towards a colour. Inks that stand at their end and would go on are held, and the others
/// go without them.
fn step(ink: [f32; 4], at: Lab, moved: &[Lab], wanted: Lab) -> [f32; 4] {
    let miss = minus(wanted, at);
    let miss = [miss.l, miss.a, miss.b];
    let mut slopes = [[0.0; 3]; 4];
    for i in 0..4 {
        let by = if ink[i] > 50.0 { -SLOPE } else { SLOPE };
        let change = minus(moved[i], at);
        slopes[i] = [change.l, change.a, change.b].map(|value| value / f64::from(by));
    }
    let mut free = [true; 4];
    for _ in 0..4 {
        let change = least(&slopes, miss, free);
        let blocked = (0..4).find(|&i| {
            free[i] && ((ink[i] <= 0.0 && change[i] < 0.0) || (ink[i] >= 100.0 && change[i] > 0.0))
        });
        match blocked {
            Some(i) => free[i] = false,
            None => {
                let mut next = ink;
                for (next, change) in next.iter_mut().zip(change) {
                    *next = (*next + change as f32).clamp(0.0, 100.0);
                }
                return next;
            }
        }
    }
    ink
}

/// The change of the free inks that misses least and moves little: three equations, damped.
fn least(slopes: &[[f64; 3]; 4], miss: [f64; 3], free: [bool; 4]) -> [f64; 4] {
    // change = Jᵀ (J Jᵀ + STILL)⁻¹ miss
    let mut square = [[0.0; 3]; 3];
    for (slope, _) in slopes.iter().zip(free).filter(|(_, free)| *free) {
        for i in 0..3 {
            for j in 0..3 {
                square[i][j] += slope[i] * slope[j];
            }
        }
    }
    for (i, row) in square.iter_mut().enumerate() {
        row[i] += STILL;
    }
    let by = |column: usize| {
        let mut replaced = square;
        for (row, value) in replaced.iter_mut().zip(miss) {
            row[column] = value;
        }
        determinant(&replaced) / determinant(&square)
    };
    let towards = [by(0), by(1), by(2)];
    let mut change = [0.0; 4];
    for i in 0..4 {
        if free[i] {
            change[i] = slopes[i].iter().zip(towards).map(|(s, t)| s * t).sum();
        }
    }
    change
}

/// Positive for the sums of squares it is used on, since they are damped.
fn determinant(m: &[[f64; 3]; 3]) -> f64 {
    m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1])
        - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
        + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0])
}

fn far(one: Lab, other: Lab) -> f64 {
    let Lab { l, a, b } = minus(one, other);
    l * l + a * a + b * b
}

fn minus(one: Lab, other: Lab) -> Lab {
    Lab {
        l: one.l - other.l,
        a: one.a - other.a,
        b: one.b - other.b,
    }
}

fn plus(one: Lab, other: Lab) -> Lab {
    Lab {
        l: one.l + other.l,
        a: one.a + other.a,
        b: one.b + other.b,
    }
}
