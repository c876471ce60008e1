//! Lines that enclose or follow something.

use super::scan::scan;
use super::{Budget, Clip, FARTHEST, Mask, Matrix, Point};

/// Most points of one path.
const MOST_POINTS: usize = 2_000_000;

/// Lines in cells; curves are already broken into lines.
#[derive(Debug, Clone, Default)]
pub(in crate::check) struct Path {
    lines: Vec<(Vec<Point>, bool)>,
    points: usize,
}

impl Path {
    /// Its lines, each with whether it is closed.
    pub(in crate::check) fn lines(&self) -> &[(Vec<Point>, bool)] {
        &self.lines
    }

    pub(in crate::check) fn is_empty(&self) -> bool {
        self.lines.is_empty()
    }

    pub(in crate::check) fn clear(&mut self) {
        self.lines.clear();
        self.points = 0;
    }

    pub(in crate::check) fn move_to(&mut self, to: Point) {
        let to = tame(to);
        match self.lines.last_mut() {
            // A move straight after a move takes its place.
            Some((line, false)) if line.len() == 1 => line[0] = to,
            _ => {
                if self.points < MOST_POINTS {
                    self.points += 1;
                    self.lines.push((vec![to], false));
                }
            }
        }
    }

    pub(in crate::check) fn line_to(&mut self, to: Point) {
        if self.points >= MOST_POINTS {
            return;
        }
        let to = tame(to);
        match self.lines.last_mut() {
            Some((line, false)) => line.push(to),
            Some((line, true)) => {
                let start = line[0];
                self.lines.push((vec![start, to], false));
            }
            None => self.lines.push((vec![to], false)),
        }
        self.points += 1;
    }

    /// Where the pen is, if it is anywhere.
    pub(in crate::check) fn pen(&self) -> Option<Point> {
        let (line, closed) = self.lines.last()?;
        if *closed {
            line.first().copied()
        } else {
            line.last().copied()
        }
    }

    pub(in crate::check) fn curve_to(&mut self, one: Point, two: Point, to: Point) {
        let from = self.pen().unwrap_or(one);
        let (one, two, to) = (tame(one), tame(two), tame(to));
        let length = [(from, one), (one, two), (two, to)]
            .iter()
            .map(|(a, b)| (a[0] - b[0]).hypot(a[1] - b[1]))
            .sum::<f64>();
        // Half the square root of the length in cells keeps the error far below a cell.
        let steps = (length.sqrt() * 1.5).ceil().clamp(2.0, 200.0) as usize;
        for step in 1..=steps {
            let t = step as f64 / steps as f64;
            let u = 1.0 - t;
            let at = |axis: usize| {
                u * u * u * from[axis]
                    + 3.0 * u * u * t * one[axis]
                    + 3.0 * u * t * t * two[axis]
                    + t * t * t * to[axis]
            };
            self.line_to([at(0), at(1)]);
        }
    }

    pub(in crate::check) fn close(&mut self) {
        if let Some((_, closed)) = self.lines.last_mut() {
            *closed = true;
        }
    }

    pub(in crate::check) fn rectangle(&mut self, matrix: Matrix, [x, y, width, height]: [f64; 4]) {
        self.move_to(matrix.apply([x, y]));
        self.line_to(matrix.apply([x + width, y]));
        self.line_to(matrix.apply([x + width, y + height]));
        self.line_to(matrix.apply([x, y + height]));
        self.close();
    }

    pub(in crate::check) fn append(&mut self, other: &Path, matrix: Matrix) {
        for (line, closed) in &other.lines {
            if self.points + line.len() > MOST_POINTS {
                return;
            }
            self.points += line.len();
            let line = line
                .iter()
                .map(|&point| tame(matrix.apply(point)))
                .collect();
            self.lines.push((line, *closed));
        }
    }

    /// Its edges, if it is a single upright rectangle: left, top, right, bottom.
    pub(in crate::check) fn upright(&self) -> Option<[f64; 4]> {
        let mut lines = self.lines.iter().filter(|(line, _)| line.len() > 1);
        let (line, _) = lines.next()?;
        if lines.next().is_some() {
            return None;
        }
        let mut corners = line.as_slice();
        if let [first, .., last] = corners
            && corners.len() == 5
            && first == last
        {
            corners = &corners[..4];
        }
        let &[a, b, c, d] = corners else { return None };
        let same = |a: f64, b: f64| (a - b).abs() < 1e-6;
        let across_first =
            same(a[1], b[1]) && same(b[0], c[0]) && same(c[1], d[1]) && same(d[0], a[0]);
        let down_first =
            same(a[0], b[0]) && same(b[1], c[1]) && same(c[0], d[0]) && same(d[1], a[1]);
        (across_first || down_first).then(|| {
            [
                a[0].min(c[0]),
                a[1].min(c[1]),
                a[0].max(c[0]),
                a[1].max(c[1]),
            ]
        })
    }

    /// The cells inside, already clipped.
    pub(in crate::check) fn fill(&self, even_odd: bool, clip: &Clip, budget: &Budget) -> Mask {
        let mut mask = scan(&self.lines, even_odd, clip.window(), budget);
        mask.clip(clip);
        mask
    }

    /// The outline of its lines as a shape: each piece a bar, with round joins.
    ///
    /// `width` and `dashes` are in cells. A width under a tenth of a cell is drawn as that.
    pub(in crate::check) fn outline(
        &self,
        width: f64,
        square_caps: bool,
        dashes: &[f64],
        phase: f64,
    ) -> Path {
        let half = (width / 2.0).clamp(0.05, FARTHEST);
        let mut out = Path::default();
        for (line, closed) in &self.lines {
            let mut line = line.clone();
            if *closed && line.len() > 1 {
                line.push(line[0]);
            }
            if dashes.is_empty() {
                out.bars(&line, half, *closed, square_caps);
            } else {
                for dash in cut_dashes(&line, dashes, phase) {
                    out.bars(&dash, half, false, square_caps);
                }
            }
        }
        out
    }

    fn bars(&mut self, line: &[Point], half: f64, closed: bool, square_caps: bool) {
        let last = line.len().saturating_sub(2);
        for (index, pair) in line.windows(2).enumerate() {
            let (mut from, mut to) = (pair[0], pair[1]);
            let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
            let length = dx.hypot(dy);
            if length < 1e-9 {
                continue;
            }
            let (ux, uy) = (dx / length * half, dy / length * half);
            if square_caps && !closed {
                if index == 0 {
                    from = [from[0] - ux, from[1] - uy];
                }
                if index == last {
                    to = [to[0] + ux, to[1] + uy];
                }
            }
            self.polygon(&[
                [from[0] + uy, from[1] - ux],
                [to[0] + uy, to[1] - ux],
                [to[0] - uy, to[1] + ux],
                [from[0] - uy, from[1] + ux],
            ]);
            let joins = closed || index < last;
            if joins && half > 0.3 {
                let round: Vec<Point> = (0..12)
                    .map(|step| {
                        let (sin, cos) = (f64::from(step) * std::f64::consts::TAU / 12.0).sin_cos();
                        [pair[1][0] + half * cos, pair[1][1] + half * sin]
                    })
                    .collect();
                self.polygon(&round);
            }
        }
    }

    /// Adds a closed shape, always turning the same way, so that overlapping ones never cancel.
    fn polygon(&mut self, corners: &[Point]) {
        if self.points + corners.len() > MOST_POINTS {
            return;
        }
        let doubled: f64 = (0..corners.len())
            .map(|index| {
                let (a, b) = (corners[index], corners[(index + 1) % corners.len()]);
                a[0] * b[1] - b[0] * a[1]
            })
            .sum();
        let mut corners: Vec<Point> = corners.iter().map(|&corner| tame(corner)).collect();
        if doubled < 0.0 {
            corners.reverse();
        }
        self.points += corners.len();
        self.lines.push((corners, true));
    }
}

fn tame([x, y]: Point) -> Point {
    let tame = |value: f64| {
        if value.is_finite() {
            value.clamp(-FARTHEST, FARTHEST)
        } else {
            0.0
        }
    };
    [tame(x), tame(y)]
}

fn cut_dashes(line: &[Point], dashes: &[f64], phase: f64) -> Vec<Vec<Point>> {
    let total: f64 = dashes.iter().sum();
    let length: f64 = line
        .windows(2)
        .map(|pair| (pair[1][0] - pair[0][0]).hypot(pair[1][1] - pair[0][1]))
        .sum();
    // Dashes too fine for the grid are one line.
    if !total.is_finite() || total < 0.2 || length / total > 20_000.0 {
        return vec![line.to_vec()];
    }
    let mut index = 0;
    let mut left = phase.rem_euclid(total * 2.0);
    while left >= dashes[index % dashes.len()] {
        left -= dashes[index % dashes.len()];
        index += 1;
    }
    let mut left = dashes[index % dashes.len()] - left;
    let mut out = Vec::new();
    let mut dash: Vec<Point> = line.first().copied().into_iter().collect();
    for pair in line.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        let length = (to[0] - from[0]).hypot(to[1] - from[1]);
        let mut done = 0.0;
        while length - done > left {
            done += left;
            let share = done / length;
            let at = [
                from[0] + (to[0] - from[0]) * share,
                from[1] + (to[1] - from[1]) * share,
            ];
            if index % 2 == 0 {
                dash.push(at);
                out.push(std::mem::take(&mut dash));
            }
            dash = vec![at];
            index += 1;
            left = dashes[index % dashes.len()].max(1e-6);
        }
        left -= length - done;
        if index % 2 == 0 {
            dash.push(to);
        } else {
            dash = vec![to];
        }
    }
    if index % 2 == 0 {
        out.push(dash);
    }
    out
}
