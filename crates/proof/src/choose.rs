use std::collections::BTreeMap;

use colour::Lab;

/// One colour of the art, with what it weighs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// sRGB in 16 bit.
    pub rgb: [u16; 3],
    /// The same colour seen relative to white, D50.
    pub lab: Lab,
    /// Printed area that it stands for, in any unit; nothing that is not positive counts.
    pub weight: f64,
    /// How far the press pulls it: ΔE00 between art and print.
    pub pull: f64,
}

/// A colour that stands for many of the art.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chosen {
    /// sRGB in 16 bit, a colour that is really in the art.
    pub rgb: [u16; 3],
    /// The same colour seen relative to white, D50.
    pub lab: Lab,
    /// Share of the art's area that is nearer to it than to another chosen one, 0 to 1.
    pub share: f64,
    /// How far the press pulls these colours on average, in ΔE00.
    pub pull: f64,
}

/// Side of the cells by which colours are first counted, in the even space.
const CELL: f64 = 3.0;
/// Most rounds of moving the middles; they settle long before.
const ROUNDS: usize = 60;
/// Colours nearer to each other than this (in the even space) say the same thing twice.
const TOO_NEAR: f64 = 3.0;

/// The colours that matter most in this book, at most `count`, dark to light.
///
/// Weighted clusters (Lloyd's rounds) in a space where steps look about even: chroma is
/// compressed by the chroma weight of CIEDE2000. A colour's say grows with the square root of its
/// area, so that small vivid things are not drowned by skies, and with how far the press pulls it
/// (both our assumption). The same samples in the same order give the same colours.
pub fn choose(samples: &[Sample], count: usize) -> Vec<Chosen> {
    let cells = count_cells(samples);
    let total: f64 = cells.iter().map(|cell| cell.area).sum();
    if count == 0 || total.is_nan() || total <= 0.0 {
        return Vec::new();
    }
    let say: Vec<f64> = cells
        .iter()
        .map(|cell| (cell.area / total).sqrt() * (1.0 + cell.pull / 4.0))
        .collect();
    let mut middles = spread_out(&cells, &say, count);
    for _ in 0..ROUNDS {
        let moved = settle(&cells, &say, &middles);
        let still = moved == middles;
        middles = moved;
        if still {
            break;
        }
    }
    let mut chosen = stand_ins(&cells, &middles, total);
    chosen.sort_by(|one, other| {
        one.lab
            .l
            .total_cmp(&other.lab.l)
            .then(one.rgb.cmp(&other.rgb))
    });
    chosen
}

/// All samples that look nearly the same.
struct Cell {
    /// Mean place in the even space.
    place: [f64; 3],
    /// Area.
    area: f64,
    /// Mean pull.
    pull: f64,
    /// The sample that weighs most.
    best: Sample,
}

fn count_cells(samples: &[Sample]) -> Vec<Cell> {
    let mut cells: BTreeMap<[i32; 3], Cell> = BTreeMap::new();
    for sample in samples {
        let place = even(sample.lab);
        let usable = sample.weight.is_finite()
            && sample.weight > 0.0
            && place.iter().all(|value| value.is_finite());
        if !usable {
            continue;
        }
        // No share may weigh so much that sums overflow.
        let area = sample.weight.min(1e30);
        let pull = if sample.pull.is_finite() {
            sample.pull.clamp(0.0, 100.0)
        } else {
            0.0
        };
        let key = place.map(|value| (value / CELL).round() as i32);
        let cell = cells.entry(key).or_insert(Cell {
            place: [0.0; 3],
            area: 0.0,
            pull: 0.0,
            best: *sample,
        });
        for (sum, value) in cell.place.iter_mut().zip(place) {
            *sum += value * area;
        }
        cell.pull += pull * area;
        cell.area += area;
        let heavier = (sample.weight, sample.rgb) > (cell.best.weight, cell.best.rgb);
        if heavier {
            cell.best = *sample;
        }
    }
    cells
        .into_values()
        .map(|mut cell| {
            cell.place = cell.place.map(|sum| sum / cell.area);
            cell.pull /= cell.area;
            cell
        })
        .collect()
}

/// Lab with chroma compressed, so that distances look about alike everywhere.
fn even(lab: Lab) -> [f64; 3] {
    let chroma = lab.chroma();
    let shrunk = if chroma > 1e-9 {
        (0.045 * chroma).ln_1p() / 0.045 / chroma
    } else {
        1.0
    };
    [lab.l, lab.a * shrunk, lab.b * shrunk]
}

fn distance(one: [f64; 3], other: [f64; 3]) -> f64 {
    one.iter().zip(other).map(|(a, b)| (a - b).powi(2)).sum()
}

/// First middles: the weightiest cell, then each time the one whose say and distance to those
/// taken are greatest.
fn spread_out(cells: &[Cell], say: &[f64], count: usize) -> Vec<[f64; 3]> {
    let mut far = vec![f64::INFINITY; cells.len()];
    let mut middles = Vec::new();
    while middles.len() < count {
        let next = (0..cells.len())
            .filter(|&i| far[i] > TOO_NEAR * TOO_NEAR)
            .max_by(|&i, &j| {
                let worth = |i: usize| say[i] * far[i].min(1e6);
                worth(i).total_cmp(&worth(j)).then(j.cmp(&i))
            });
        let Some(next) = next else { break };
        let place = cells[next].place;
        middles.push(place);
        for (far, cell) in far.iter_mut().zip(cells) {
            *far = far.min(distance(cell.place, place));
        }
    }
    middles
}

fn nearest(place: [f64; 3], middles: &[[f64; 3]]) -> Option<usize> {
    (0..middles.len()).min_by(|&i, &j| {
        distance(place, middles[i])
            .total_cmp(&distance(place, middles[j]))
            .then(i.cmp(&j))
    })
}

/// Each middle moved to the mean of what is nearest to it; middles that nothing is near go.
fn settle(cells: &[Cell], say: &[f64], middles: &[[f64; 3]]) -> Vec<[f64; 3]> {
    let mut sums = vec![([0.0; 3], 0.0); middles.len()];
    for (cell, say) in cells.iter().zip(say) {
        if let Some(i) = nearest(cell.place, middles) {
            for (sum, value) in sums[i].0.iter_mut().zip(cell.place) {
                *sum += value * say;
            }
            sums[i].1 += say;
        }
    }
    sums.into_iter()
        .filter(|(_, weight)| *weight > 0.0)
        .map(|(sum, weight)| sum.map(|value| value / weight))
        .collect()
}

/// For each middle the colour of the art that is nearest to it, with what its cluster weighs.
fn stand_ins(cells: &[Cell], middles: &[[f64; 3]], total: f64) -> Vec<Chosen> {
    let mut clusters: Vec<Vec<&Cell>> = vec![Vec::new(); middles.len()];
    for cell in cells {
        if let Some(i) = nearest(cell.place, middles) {
            clusters[i].push(cell);
        }
    }
    clusters
        .iter()
        .zip(middles)
        .filter_map(|(cluster, middle)| {
            let best = cluster.iter().min_by(|one, other| {
                distance(one.place, *middle).total_cmp(&distance(other.place, *middle))
            })?;
            let area: f64 = cluster.iter().map(|cell| cell.area).sum();
            let pull: f64 = cluster.iter().map(|cell| cell.pull * cell.area).sum();
            Some(Chosen {
                rgb: best.best.rgb,
                lab: best.best.lab,
                share: area / total,
                pull: pull / area,
            })
        })
        .collect()
}
