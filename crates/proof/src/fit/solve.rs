//! Least squares with all weights drawn towards zero.

use super::model::{Point, WEIGHTS, Weights};

/// Steps of Gauss and Newton; the problem is so nearly linear that three settle it.
const STEPS: usize = 5;
/// A point further off than this many times what is usual counts less and less (Huber 1964).
const USUAL: f64 = 2.5;
/// Least that is usual, in about ΔE00: instruments and papers are no better.
const LEAST_USUAL: f64 = 0.4;

/// Weights for which what is off, squared, plus `pull²` times the weights squared is least.
///
/// Points that are far off count less, so that one scratched patch does not bend the curves.
pub(crate) fn fit(points: &[&Point], pull: f64) -> Weights {
    let mut weights = [0.0; WEIGHTS];
    if points.is_empty() || !pull.is_finite() {
        return weights;
    }
    for step in 0..STEPS {
        // The first steps take all points in, or a large departure would count as dirt.
        let usual = if step < 2 {
            f64::INFINITY
        } else {
            USUAL * usual(points, &weights)
        };
        let Some(next) = step_from(points, &weights, pull, usual) else {
            break;
        };
        let moved = weights
            .iter()
            .zip(next)
            .map(|(one, other)| (one - other).abs())
            .fold(0.0, f64::max);
        weights = next;
        if moved < 1e-4 && step > 2 {
            break;
        }
    }
    weights
}

/// How much a point counts that is off by `off`.
pub(crate) fn trust(off: f64, usual: f64) -> f64 {
    if off <= usual { 1.0 } else { usual / off }
}

/// What points are usually off: their median, from half of which a standard deviation of three
/// axes is about as far as from its whole.
pub(crate) fn usual(points: &[&Point], weights: &Weights) -> f64 {
    let mut off: Vec<f64> = points.iter().map(|p| length(p.off(weights))).collect();
    off.sort_by(f64::total_cmp);
    off.get(off.len() / 2)
        .copied()
        .unwrap_or(0.0)
        .max(LEAST_USUAL)
}

pub(crate) fn length(off: [f64; 3]) -> f64 {
    off.iter().map(|value| value * value).sum::<f64>().sqrt()
}

fn step_from(points: &[&Point], weights: &Weights, pull: f64, usual: f64) -> Option<Weights> {
    let mut normal = [[0.0; WEIGHTS]; WEIGHTS];
    let mut right = [0.0; WEIGHTS];
    let total: f64 = points.iter().map(|point| point.weight).sum();
    if total.is_nan() || total <= 0.0 {
        return None;
    }
    for point in points {
        let slope = point.slope(weights);
        let share = point.weight / total * trust(length(slope.off), usual);
        for (off, by) in slope.off.iter().zip(&slope.by) {
            for i in 0..WEIGHTS {
                if by[i] == 0.0 {
                    continue;
                }
                right[i] += share * by[i] * off;
                for j in 0..=i {
                    normal[i][j] += share * by[i] * by[j];
                }
            }
        }
    }
    for i in 0..WEIGHTS {
        normal[i][i] += pull * pull;
        right[i] -= pull * pull * weights[i];
    }
    let step = solve(normal, right)?;
    let mut next = *weights;
    for (next, step) in next.iter_mut().zip(step) {
        *next += step;
    }
    next.iter().all(|value| value.is_finite()).then_some(next)
}

/// Solves a symmetric positive definite system, of which the lower half is given (Cholesky).
fn solve(mut matrix: [[f64; WEIGHTS]; WEIGHTS], mut right: Weights) -> Option<Weights> {
    for i in 0..WEIGHTS {
        for j in 0..=i {
            let done: f64 = matrix[i][..j]
                .iter()
                .zip(&matrix[j][..j])
                .map(|(one, other)| one * other)
                .sum();
            let value = matrix[i][j] - done;
            matrix[i][j] = if i == j {
                if value.is_nan() || value <= 1e-15 {
                    return None;
                }
                value.sqrt()
            } else {
                value / matrix[j][j]
            };
        }
    }
    for i in 0..WEIGHTS {
        for k in 0..i {
            right[i] -= matrix[i][k] * right[k];
        }
        right[i] /= matrix[i][i];
    }
    for i in (0..WEIGHTS).rev() {
        for k in i + 1..WEIGHTS {
            right[i] -= matrix[k][i] * right[k];
        }
        right[i] /= matrix[i][i];
    }
    Some(right)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_system_is_solved() {
        let mut matrix = [[0.0; WEIGHTS]; WEIGHTS];
        let mut wanted = [0.0; WEIGHTS];
        for i in 0..WEIGHTS {
            wanted[i] = (i as f64 * 1.7).sin();
            for (j, cell) in matrix[i].iter_mut().enumerate() {
                *cell = 1.0 / (1.0 + (i as f64 - j as f64).abs());
            }
            matrix[i][i] += 2.0;
        }
        let mut right = [0.0; WEIGHTS];
        for i in 0..WEIGHTS {
            right[i] = (0..WEIGHTS).map(|j| matrix[i][j] * wanted[j]).sum();
        }
        let found = solve(matrix, right).unwrap();
        for (found, wanted) in found.iter().zip(wanted) {
            assert!((found - wanted).abs() < 1e-10);
        }
    }
}
