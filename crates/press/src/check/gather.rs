//! A picture brought onto the grid: for each cell the inkiest of all its samples that lie there, at
//! the picture's full resolution.

use super::image::Rows;
use super::ink::{Colour, MOST_INKS};
use super::raster::{Budget, Matrix, Window};

/// The picture's inkiest sample in each cell.
pub(super) struct Gathered {
    window: Window,
    places: Vec<usize>,
    named: u32,
    /// Total and one, or 0 where no sample is.
    best: Vec<u16>,
    amounts: Vec<u8>,
    /// Cells in which some sample is not painted.
    holes: Vec<bool>,
    pub(super) damaged: bool,
    /// The work allowed ran out.
    pub(super) cut: bool,
}

impl Gathered {
    /// Reads all rows. `matrix` takes the unit square, which the picture fills, to cells.
    pub(super) fn read(
        rows: &mut Rows<'_>,
        matrix: Matrix,
        window: Window,
        budget: &Budget,
    ) -> Self {
        let places = rows.places();
        let cells = window.width() * window.height();
        let mut gathered = Self {
            window,
            named: places.iter().fold(0, |named, place| named | 1 << place),
            best: vec![0; cells],
            amounts: vec![0; cells * places.len()],
            holes: vec![false; cells],
            places,
            damaged: false,
            cut: false,
        };
        let grid = Grid::new(matrix, rows.width, rows.height, window);
        let mut row = Vec::new();
        let mut totals = Vec::new();
        let work = rows.width as u64
            * if matches!(grid, Grid::Skewed(_)) {
                12
            } else {
                1
            };
        for y in 0..rows.height {
            if !budget.take(work) {
                gathered.cut = true;
                break;
            }
            if !rows.next(&mut row) {
                break;
            }
            gathered.totals(&row, &mut totals);
            let visible = &rows.visible;
            match &grid {
                Grid::Upright { across, down } => {
                    for (column, samples) in across.iter().enumerate() {
                        let x = window.left + column;
                        for cell_y in down[y].clone() {
                            gathered.keep_best(x, cell_y, samples.clone(), &row, &totals, visible);
                        }
                    }
                }
                Grid::Turned { across, down } => {
                    for (line, samples) in down.iter().enumerate() {
                        let cell_y = window.top + line;
                        for x in across[y].clone() {
                            gathered.keep_best(x, cell_y, samples.clone(), &row, &totals, visible);
                        }
                    }
                }
                Grid::Skewed(to_cells) => {
                    for x in 0..rows.width {
                        let (columns, lines) = bounds(*to_cells, x, y, window);
                        for cell_y in lines {
                            for cell_x in columns.clone() {
                                gathered.keep_best(
                                    cell_x,
                                    cell_y,
                                    x..x + 1,
                                    &row,
                                    &totals,
                                    visible,
                                );
                            }
                        }
                    }
                }
            }
        }
        gathered.damaged = rows.damaged;
        gathered
    }

    fn totals(&self, row: &[u8], totals: &mut Vec<u16>) {
        totals.clear();
        match self.places.len() {
            0 => {}
            4 => totals
                .extend(row.chunks_exact(4).map(|s| {
                    u16::from(s[0]) + u16::from(s[1]) + u16::from(s[2]) + u16::from(s[3])
                })),
            count => totals.extend(
                row.chunks_exact(count)
                    .map(|sample| sample.iter().map(|&amount| u16::from(amount)).sum::<u16>()),
            ),
        }
    }

    fn keep_best(
        &mut self,
        x: usize,
        y: usize,
        samples: std::ops::Range<usize>,
        row: &[u8],
        totals: &[u16],
        visible: &[bool],
    ) {
        let at = (y - self.window.top) * self.window.width() + x - self.window.left;
        let mut best = self.best[at];
        let mut found = None;
        for sample in samples {
            if !visible[sample] {
                self.holes[at] = true;
                continue;
            }
            let total = totals.get(sample).copied().unwrap_or(0) + 1;
            if total > best {
                best = total;
                found = Some(sample);
            }
        }
        if let Some(sample) = found {
            self.best[at] = best;
            let count = self.places.len();
            self.amounts[at * count..(at + 1) * count]
                .copy_from_slice(&row[sample * count..(sample + 1) * count]);
        }
    }

    /// Highest ink's place and one.
    pub(super) fn inks(&self) -> usize {
        self.places.iter().max().map_or(0, |place| place + 1)
    }

    /// The colour in a cell, and whether the picture fills the cell.
    pub(super) fn at(&self, x: usize, y: usize) -> Option<(Colour, bool)> {
        let window = self.window;
        if x < window.left || x >= window.right || y < window.top || y >= window.bottom {
            return None;
        }
        let at = (y - window.top) * window.width() + x - window.left;
        if self.best[at] == 0 {
            return None;
        }
        let mut colour = Colour::none();
        let count = self.places.len();
        for (place, amount) in self.places.iter().zip(&self.amounts[at * count..]) {
            colour.amounts[(*place).min(MOST_INKS - 1)] = *amount;
        }
        colour.named = self.named;
        Some((colour, !self.holes[at]))
    }
}

/// Which samples lie in which cells.
enum Grid {
    /// Rows run across: for each column of cells its samples, for each row of samples its cells.
    Upright {
        across: Vec<std::ops::Range<usize>>,
        down: Vec<std::ops::Range<usize>>,
    },
    /// Rows run down, as on a page turned by a quarter.
    Turned {
        across: Vec<std::ops::Range<usize>>,
        down: Vec<std::ops::Range<usize>>,
    },
    /// Any other way: sample coordinates to cells.
    Skewed(Matrix),
}

impl Grid {
    fn new(matrix: Matrix, width: usize, height: usize, window: Window) -> Self {
        // Samples run down from the top, the unit square up from the bottom.
        let to_cells =
            Matrix([1.0 / width as f64, 0.0, 0.0, -1.0 / height as f64, 0.0, 1.0]).then(matrix);
        let [a, b, c, d, e, f] = to_cells.0;
        let flat = |value: f64, count: usize| (value * count as f64).abs() < 0.02;
        let columns = (window.left, window.right);
        let lines = (window.top, window.bottom);
        if flat(b, width) && flat(c, height) {
            Self::Upright {
                across: samples_of_cells(a, e, width, columns),
                down: cells_of_samples(d, f, height, lines),
            }
        } else if flat(a, width) && flat(d, height) {
            Self::Turned {
                across: cells_of_samples(c, e, height, columns),
                down: samples_of_cells(b, f, width, lines),
            }
        } else {
            Self::Skewed(to_cells)
        }
    }
}

/// How far a sample may reach into a cell without counting there, in cells.
const SLACK: f64 = 0.005;

/// For each sample of a line, placed by `at = step · index + start`, the cells that it touches.
fn cells_of_samples(
    step: f64,
    start: f64,
    count: usize,
    (first, end): (usize, usize),
) -> Vec<std::ops::Range<usize>> {
    (0..count)
        .map(|index| {
            let (one, two) = (
                step * index as f64 + start,
                step * (index + 1) as f64 + start,
            );
            stretch(one.min(two), one.max(two), first, end)
        })
        .collect()
}

/// For each cell, the samples that touch it.
fn samples_of_cells(
    step: f64,
    start: f64,
    count: usize,
    (first, end): (usize, usize),
) -> Vec<std::ops::Range<usize>> {
    (first..end)
        .map(|cell| {
            if step.abs() < 1e-12 {
                return 0..0;
            }
            let one = (cell as f64 + SLACK - start) / step;
            let two = ((cell + 1) as f64 - SLACK - start) / step;
            let low = one.min(two).floor().clamp(0.0, count as f64) as usize;
            let high = one.max(two).ceil().clamp(0.0, count as f64) as usize;
            low..high.max(low)
        })
        .collect()
}

fn stretch(low: f64, high: f64, first: usize, end: usize) -> std::ops::Range<usize> {
    let slack = SLACK.min((high - low) / 4.0);
    let from = (low + slack).floor().clamp(first as f64, end as f64) as usize;
    let to = (high - slack).ceil().clamp(first as f64, end as f64) as usize;
    from..to.max(from)
}

/// Cells around one sample that lies askew.
fn bounds(
    to_cells: Matrix,
    x: usize,
    y: usize,
    window: Window,
) -> (std::ops::Range<usize>, std::ops::Range<usize>) {
    let (left, top) = (x as f64, y as f64);
    let [least, greatest] = to_cells.around([left, top], [left + 1.0, top + 1.0]);
    (
        stretch(least[0], greatest[0], window.left, window.right),
        stretch(least[1], greatest[1], window.top, window.bottom),
    )
}
