//! Fits judged by points that they have not seen.

use colour::{Departure, delta_e_2000};
use rayon::prelude::*;

use super::model::{self, Point, Weights};
use super::solve::{self, fit};

/// How strongly weights may be drawn towards zero; the last is "no departure".
const PULLS: [f64; 6] = [0.04, 0.1, 0.25, 0.6, 1.5, f64::INFINITY];
/// Groups of which each in turn is left out, for what is promised and for choosing the pull.
const FOLDS: usize = 8;
const INNER_FOLDS: usize = 5;

/// A fit to all points.
pub(crate) struct Fitted {
    pub weights: Weights,
}

/// What a fit that has not seen a point says of it.
pub(crate) struct Foretold {
    /// Place in the points.
    pub point: usize,
    /// The departure without the point's group.
    pub departure: Departure,
}

impl Fitted {
    pub fn departure(&self) -> Departure {
        model::departure(&self.weights)
    }

    /// Patches that are so far off the curves that they were hardly counted.
    pub fn doubtful(&self, points: &[Point]) -> Vec<usize> {
        let all: Vec<&Point> = points.iter().collect();
        let limit = 6.0 * solve::usual(&all, &self.weights);
        points
            .iter()
            .filter(|point| solve::length(point.off(&self.weights)) > limit)
            .map(|point| point.patch)
            .collect()
    }
}

/// The fit to all points, drawn towards zero as strongly as unseen points ask for.
pub(crate) fn best(points: &[Point]) -> Fitted {
    let all: Vec<&Point> = points.iter().collect();
    let pull = choose_pull(&all, FOLDS);
    Fitted {
        weights: fit(&all, pull),
    }
}

/// For each of the book's own points a departure whose fit has seen neither it nor its group, the
/// choice of the pull included.
pub(crate) fn foretold(points: &[Point]) -> Vec<Foretold> {
    let all: Vec<&Point> = points.iter().collect();
    folds(&all, FOLDS)
        .into_par_iter()
        .flat_map_iter(|left_out| {
            let seen: Vec<&Point> = (0..all.len())
                .filter(|i| !left_out.contains(i))
                .map(|i| all[i])
                .collect();
            let departure = model::departure(&fit(&seen, choose_pull(&seen, INNER_FOLDS)));
            left_out.into_iter().map(move |point| Foretold {
                point,
                departure: departure.clone(),
            })
        })
        .collect()
}

/// The strongest pull whose error on unseen points is not surely worse than the best one's: within
/// one standard error of the paired difference (after Breiman and others 1984).
fn choose_pull(points: &[&Point], count: usize) -> f64 {
    let folds = folds(points, count);
    let tried: Vec<Vec<f64>> = PULLS
        .par_iter()
        .map(|&pull| unseen_errors(points, &folds, pull))
        .collect();
    let mean = |errors: &[f64]| errors.iter().sum::<f64>() / errors.len().max(1) as f64;
    let Some(best) = (0..PULLS.len()).min_by(|&i, &j| mean(&tried[i]).total_cmp(&mean(&tried[j])))
    else {
        return f64::INFINITY;
    };
    let chosen = (0..PULLS.len()).rev().find(|&i| {
        let worse: Vec<f64> = tried[i]
            .iter()
            .zip(&tried[best])
            .map(|(one, other)| one - other)
            .collect();
        let mean = mean(&worse);
        let squares: f64 = worse.iter().map(|value| (value - mean).powi(2)).sum();
        let count = worse.len() as f64;
        mean <= (squares / (count - 1.0).max(1.0) / count.max(1.0)).sqrt()
    });
    chosen.map_or(f64::INFINITY, |i| PULLS[i])
}

/// ΔE00 between foretold and printed at each of the book's own points, by fits without them.
fn unseen_errors(points: &[&Point], folds: &[Vec<usize>], pull: f64) -> Vec<f64> {
    folds
        .iter()
        .flat_map(|left_out| {
            let seen: Vec<&Point> = (0..points.len())
                .filter(|i| !left_out.contains(i))
                .map(|i| points[i])
                .collect();
            let curves = model::departure(&fit(&seen, pull)).curves();
            left_out
                .iter()
                .map(|&i| delta_e_2000(curves.apply(points[i].promised), points[i].printed))
                .collect::<Vec<f64>>()
        })
        .collect()
}

/// Groups of the book's own points, each spread over all lightnesses: strips run dark to light.
fn folds(points: &[&Point], count: usize) -> Vec<Vec<usize>> {
    let mut folds = vec![Vec::new(); count];
    let art = (0..points.len()).filter(|&i| points[i].art);
    for (rank, i) in art.enumerate() {
        folds[rank % count].push(i);
    }
    folds.retain(|fold| !fold.is_empty());
    folds
}
