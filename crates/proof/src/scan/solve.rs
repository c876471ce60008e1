//! Small systems of equations.

/// Solves a square system by elimination with pivots; `None` where it has no single solution.
pub(super) fn solve(mut rows: Vec<Vec<f64>>, mut wanted: Vec<f64>) -> Option<Vec<f64>> {
    let n = wanted.len();
    for column in 0..n {
        let pivot = (column..n).max_by(|&one, &other| {
            rows[one][column]
                .abs()
                .total_cmp(&rows[other][column].abs())
        })?;
        rows.swap(column, pivot);
        wanted.swap(column, pivot);
        let size = rows[column][column];
        if !size.is_finite() || size.abs() < 1e-12 {
            return None;
        }
        let (done, below) = rows.split_at_mut(column + 1);
        let top = &done[column];
        let top_wanted = wanted[column];
        for (row, wanted) in below.iter_mut().zip(&mut wanted[column + 1..]) {
            let share = row[column] / size;
            for (value, top) in row.iter_mut().zip(top).skip(column) {
                *value -= share * top;
            }
            *wanted -= share * top_wanted;
        }
    }
    for row in (0..n).rev() {
        let known: f64 = (row + 1..n).map(|at| rows[row][at] * wanted[at]).sum();
        wanted[row] = (wanted[row] - known) / rows[row][row];
    }
    wanted
        .iter()
        .all(|value| value.is_finite())
        .then_some(wanted)
}

/// Least squares by the method of Levenberg and Marquardt, slopes taken by small `steps` of each
/// parameter. Gives the sum of squares that was reached; `parameters` are never made worse.
pub(super) fn least_squares(
    parameters: &mut [f64],
    steps: &[f64],
    rounds: usize,
    residuals: impl Fn(&[f64]) -> Vec<f64>,
) -> f64 {
    let n = parameters.len();
    let mut now = residuals(parameters);
    let mut sum = squares(&now);
    let mut damping = 1e-3;
    for _ in 0..rounds {
        let slopes: Vec<Vec<f64>> = (0..n)
            .map(|at| {
                let mut moved = parameters.to_vec();
                moved[at] += steps[at];
                let there = residuals(&moved);
                there
                    .iter()
                    .zip(&now)
                    .map(|(there, here)| (there - here) / steps[at])
                    .collect()
            })
            .collect();
        let dot = |one: &[f64], other: &[f64]| -> f64 {
            one.iter().zip(other).map(|(one, other)| one * other).sum()
        };
        let pull: Vec<f64> = slopes.iter().map(|slope| -dot(slope, &now)).collect();
        let normal: Vec<Vec<f64>> = slopes
            .iter()
            .map(|one| slopes.iter().map(|other| dot(one, other)).collect())
            .collect();
        let mut better = false;
        for _ in 0..8 {
            let mut damped = normal.clone();
            for (at, row) in damped.iter_mut().enumerate() {
                row[at] += damping * row[at].max(1e-12);
            }
            let moved: Option<Vec<f64>> = solve(damped, pull.clone()).map(|step| {
                parameters
                    .iter()
                    .zip(step)
                    .map(|(value, step)| value + step)
                    .collect()
            });
            if let Some(moved) = moved {
                let there = residuals(&moved);
                let reached = squares(&there);
                if reached < sum {
                    better = reached < sum * (1.0 - 1e-9);
                    parameters.copy_from_slice(&moved);
                    now = there;
                    sum = reached;
                    damping = (damping * 0.2).max(1e-9);
                    break;
                }
            }
            damping *= 8.0;
        }
        if !better {
            break;
        }
    }
    sum
}

fn squares(values: &[f64]) -> f64 {
    let sum: f64 = values.iter().map(|value| value * value).sum();
    if sum.is_finite() { sum } else { f64::INFINITY }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_system_is_solved_and_a_degenerate_one_refused() {
        let rows = vec![vec![0.0, 2.0], vec![3.0, 1.0]];
        assert_eq!(solve(rows, vec![4.0, 5.0]), Some(vec![1.0, 2.0]));
        let rows = vec![vec![1.0, 2.0], vec![2.0, 4.0]];
        assert_eq!(solve(rows, vec![1.0, 2.0]), None);
    }

    #[test]
    fn a_curve_is_found_from_its_points() {
        // y = a · exp(b · x), the textbook's example of a fit that is not linear.
        let points: Vec<(f64, f64)> = (0..10)
            .map(|i| (f64::from(i) / 3.0, 2.0 * (-0.7 * f64::from(i) / 3.0).exp()))
            .collect();
        let mut found = [1.0, 0.0];
        let left = least_squares(&mut found, &[1e-5, 1e-5], 50, |at| {
            points
                .iter()
                .map(|(x, y)| at[0] * (at[1] * x).exp() - y)
                .collect()
        });
        assert!(left < 1e-12 && (found[0] - 2.0).abs() < 1e-5 && (found[1] + 0.7).abs() < 1e-5);
    }
}
