//! Shapes laid onto a grid of cells: for each cell whether a shape leaves it free, touches it, or
//! covers it wholly.
//!
//! A cell is about a quarter of a millimetre. Whatever touches a cell is kept, however thin, so that
//! nothing is averaged away; only what covers a cell wholly hides what lies below.

use std::cell::Cell;
use std::sync::Arc;

/// A cell that a shape only touches.
pub(super) const TOUCHED: u8 = 1;
/// A cell that a shape covers.
pub(super) const COVERED: u8 = 2;

/// Lines on which a shape is looked at in each row of cells.
const LINES: usize = 4;
/// What an edge may miss of a cell, in cells: about 5 micrometres.
const SLACK: f64 = 0.02;
/// Coordinates beyond this many cells are brought back to it.
const FARTHEST: f64 = 1e6;
/// Most points of one path.
const MOST_POINTS: usize = 2_000_000;

/// A place in cells, x to the right and y down.
pub(super) type Point = [f64; 2];

/// A transformation: `[a b c d e f]` as in the file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Matrix(pub(super) [f64; 6]);

impl Matrix {
    pub(super) const IDENTITY: Self = Self([1.0, 0.0, 0.0, 1.0, 0.0, 0.0]);

    pub(super) fn from_numbers(numbers: &[f64]) -> Option<Self> {
        let numbers: [f64; 6] = numbers.try_into().ok()?;
        numbers
            .iter()
            .all(|number| number.is_finite())
            .then_some(Self(numbers))
    }

    /// This transformation first, then the other.
    pub(super) fn then(self, other: Self) -> Self {
        let [a, b, c, d, e, f] = self.0;
        let [g, h, i, j, k, l] = other.0;
        Self([
            a * g + b * i,
            a * h + b * j,
            c * g + d * i,
            c * h + d * j,
            e * g + f * i + k,
            e * h + f * j + l,
        ])
    }

    pub(super) fn apply(self, [x, y]: Point) -> Point {
        let [a, b, c, d, e, f] = self.0;
        [a * x + c * y + e, b * x + d * y + f]
    }

    pub(super) fn determinant(self) -> f64 {
        let [a, b, c, d, ..] = self.0;
        a * d - b * c
    }

    pub(super) fn inverse(self) -> Option<Self> {
        let [a, b, c, d, e, f] = self.0;
        let det = self.determinant();
        if !det.is_finite() || det.abs() < 1e-30 {
            return None;
        }
        Some(Self([
            d / det,
            -b / det,
            -c / det,
            a / det,
            (c * f - d * e) / det,
            (b * e - a * f) / det,
        ]))
    }

    /// Mean factor by which lengths grow.
    pub(super) fn scale(self) -> f64 {
        self.determinant().abs().sqrt()
    }
}

/// How much work is still allowed; a hostile page could ask for years of it.
#[derive(Debug)]
pub(super) struct Budget(Cell<u64>);

impl Budget {
    pub(super) fn new(units: u64) -> Self {
        Self(Cell::new(units))
    }

    /// Takes some; `false` when there is not that much left.
    pub(super) fn take(&self, units: u64) -> bool {
        match self.0.get().checked_sub(units) {
            Some(left) => {
                self.0.set(left);
                true
            }
            None => {
                self.0.set(0);
                false
            }
        }
    }

    pub(super) fn is_spent(&self) -> bool {
        self.0.get() == 0
    }

    pub(super) fn left(&self) -> u64 {
        self.0.get()
    }
}

/// Whole cells from (left, top) up to but without (right, bottom).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Window {
    pub(super) left: usize,
    pub(super) top: usize,
    pub(super) right: usize,
    pub(super) bottom: usize,
}

impl Window {
    pub(super) fn width(self) -> usize {
        self.right.saturating_sub(self.left)
    }

    pub(super) fn height(self) -> usize {
        self.bottom.saturating_sub(self.top)
    }

    pub(super) fn is_empty(self) -> bool {
        self.width() == 0 || self.height() == 0
    }

    pub(super) fn shared(self, other: Self) -> Self {
        Self {
            left: self.left.max(other.left),
            top: self.top.max(other.top),
            right: self.right.min(other.right),
            bottom: self.bottom.min(other.bottom),
        }
    }
}

/// A shape on the grid.
#[derive(Debug, Clone)]
pub(super) struct Mask {
    pub(super) window: Window,
    /// Row by row: 0, [`TOUCHED`] or [`COVERED`].
    pub(super) cells: Vec<u8>,
}

impl Mask {
    pub(super) fn row(&self, y: usize) -> &[u8] {
        let width = self.window.width();
        let start = (y - self.window.top) * width;
        &self.cells[start..start + width]
    }

    /// Makes the cells no more covered than the clip leaves them.
    pub(super) fn clip(&mut self, clip: &Clip) {
        let window = self.window;
        if clip.leaves_whole(window) {
            return;
        }
        for y in window.top..window.bottom {
            let start = (y - window.top) * window.width();
            let row = &mut self.cells[start..start + window.width()];
            if let Some(shape) = &clip.shape {
                let from = window.left - shape.window.left;
                let other = &shape.row(y)[from..from + row.len()];
                for (cell, other) in row.iter_mut().zip(other) {
                    *cell = (*cell).min(*other);
                }
            }
            let whole = clip.whole_columns(y);
            for (x, cell) in (window.left..).zip(row) {
                if !whole.contains(&x) {
                    *cell = (*cell).min(TOUCHED);
                }
            }
        }
    }
}

/// What may be painted on: an upright rectangle, and a shape if need be.
#[derive(Debug, Clone)]
pub(super) struct Clip {
    rect: [f64; 4],
    shape: Option<Arc<Mask>>,
}

impl Clip {
    pub(super) fn rect(left: f64, top: f64, right: f64, bottom: f64) -> Self {
        Self {
            rect: [left, top, right, bottom],
            shape: None,
        }
    }

    /// Cells that are at least touched.
    pub(super) fn window(&self) -> Window {
        let [left, top, right, bottom] = self.rect;
        let window = Window {
            left: (left + SLACK).floor().max(0.0) as usize,
            top: (top + SLACK).floor().max(0.0) as usize,
            right: (right - SLACK).ceil().max(0.0) as usize,
            bottom: (bottom - SLACK).ceil().max(0.0) as usize,
        };
        match &self.shape {
            Some(shape) => window.shared(shape.window),
            None => window,
        }
    }

    /// Whether nothing in a window is clipped.
    fn leaves_whole(&self, window: Window) -> bool {
        let [left, top, right, bottom] = self.rect;
        self.shape.is_none()
            && window.left as f64 >= left - SLACK
            && window.top as f64 >= top - SLACK
            && window.right as f64 <= right + SLACK
            && window.bottom as f64 <= bottom + SLACK
    }

    /// Columns of a row that the rectangle leaves whole.
    fn whole_columns(&self, y: usize) -> std::ops::Range<usize> {
        let [left, top, right, bottom] = self.rect;
        let y = y as f64;
        if y < top - SLACK || y + 1.0 > bottom + SLACK {
            return 0..0;
        }
        let from = (left - SLACK).ceil().max(0.0) as usize;
        from..(right + SLACK).floor().max(0.0) as usize
    }

    /// Narrows it by a path.
    pub(super) fn narrow(&mut self, path: &Path, even_odd: bool, budget: &Budget) {
        if let Some([left, top, right, bottom]) = path.upright() {
            let [l, t, r, b] = self.rect;
            self.rect = [l.max(left), t.max(top), r.min(right), b.min(bottom)];
            return;
        }
        let mask = path.fill(even_odd, self, budget);
        self.shape = Some(Arc::new(mask));
    }

    /// Narrows it by a shape that was laid onto the grid already.
    pub(super) fn narrow_to(&mut self, mut mask: Mask) {
        mask.clip(self);
        self.shape = Some(Arc::new(mask));
    }
}

/// Lines in cells; curves are already broken into lines.
#[derive(Debug, Clone, Default)]
pub(super) struct Path {
    lines: Vec<(Vec<Point>, bool)>,
    points: usize,
}

impl Path {
    pub(super) fn is_empty(&self) -> bool {
        self.lines.is_empty()
    }

    pub(super) fn clear(&mut self) {
        self.lines.clear();
        self.points = 0;
    }

    pub(super) fn move_to(&mut self, to: Point) {
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

    pub(super) fn line_to(&mut self, to: Point) {
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
    pub(super) fn pen(&self) -> Option<Point> {
        let (line, closed) = self.lines.last()?;
        if *closed {
            line.first().copied()
        } else {
            line.last().copied()
        }
    }

    pub(super) fn curve_to(&mut self, one: Point, two: Point, to: Point) {
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

    pub(super) fn close(&mut self) {
        if let Some((_, closed)) = self.lines.last_mut() {
            *closed = true;
        }
    }

    pub(super) fn rectangle(&mut self, matrix: Matrix, [x, y, width, height]: [f64; 4]) {
        self.move_to(matrix.apply([x, y]));
        self.line_to(matrix.apply([x + width, y]));
        self.line_to(matrix.apply([x + width, y + height]));
        self.line_to(matrix.apply([x, y + height]));
        self.close();
    }

    pub(super) fn append(&mut self, other: &Path, matrix: Matrix) {
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
    fn upright(&self) -> Option<[f64; 4]> {
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
    pub(super) fn fill(&self, even_odd: bool, clip: &Clip, budget: &Budget) -> Mask {
        let mut mask = scan(&self.lines, even_odd, clip.window(), budget);
        mask.clip(clip);
        mask
    }

    /// The outline of its lines as a shape: each piece a bar, with round joins.
    ///
    /// `width` and `dashes` are in cells. A width under a tenth of a cell is drawn as that.
    pub(super) fn outline(
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

/// An edge from its upper to its lower end.
struct Edge {
    top: Point,
    bottom: Point,
    turn: i32,
}

impl Edge {
    fn x_at(&self, y: f64) -> f64 {
        let share = (y - self.top[1]) / (self.bottom[1] - self.top[1]);
        self.top[0] + (self.bottom[0] - self.top[0]) * share.clamp(0.0, 1.0)
    }
}

fn edges_of(lines: &[(Vec<Point>, bool)]) -> Vec<Edge> {
    let mut edges = Vec::new();
    for (line, _) in lines {
        for (index, &from) in line.iter().enumerate() {
            let to = line[(index + 1) % line.len()];
            if from == to {
                continue;
            }
            let (top, bottom, turn) = if from[1] <= to[1] {
                (from, to, 1)
            } else {
                (to, from, -1)
            };
            edges.push(Edge { top, bottom, turn });
        }
    }
    edges
}

/// Whole cells that a stretch touches by more than the slack.
fn touched(low: f64, high: f64, first: usize, end: usize) -> std::ops::Range<usize> {
    let (low, high) = if high - low > 2.0 * SLACK {
        (low + SLACK, high - SLACK)
    } else {
        let middle = f64::midpoint(low, high);
        let rest = middle - middle.floor();
        if !(SLACK..=1.0 - SLACK).contains(&rest) {
            return 0..0;
        }
        (middle, middle)
    };
    let from = low.floor().max(first as f64) as usize;
    let to = (high.floor() + 1.0).clamp(0.0, end as f64) as usize;
    from..to.max(from)
}

fn scan(lines: &[(Vec<Point>, bool)], even_odd: bool, window: Window, budget: &Budget) -> Mask {
    let mut edges = edges_of(lines);
    let bound = |axis: usize, pick: fn(f64, f64) -> f64, start: f64| {
        edges
            .iter()
            .flat_map(|edge| [edge.top[axis], edge.bottom[axis]])
            .fold(start, pick)
    };
    let across = touched(
        bound(0, f64::min, FARTHEST),
        bound(0, f64::max, -FARTHEST),
        window.left,
        window.right,
    );
    let down = touched(
        bound(1, f64::min, FARTHEST),
        bound(1, f64::max, -FARTHEST),
        window.top,
        window.bottom,
    );
    let empty = Mask {
        window: Window {
            left: 0,
            top: 0,
            right: 0,
            bottom: 0,
        },
        cells: Vec::new(),
    };
    if across.is_empty() || down.is_empty() {
        return empty;
    }
    let window = Window {
        left: across.start,
        top: down.start,
        right: across.end,
        bottom: down.end,
    };
    edges.retain(|edge| edge.bottom[1] >= window.top as f64 && edge.top[1] <= window.bottom as f64);
    let rows: u64 = edges
        .iter()
        .map(|edge| {
            let top = edge.top[1].max(window.top as f64);
            (edge.bottom[1].min(window.bottom as f64) - top).max(0.0) as u64 + 1
        })
        .sum();
    if !budget.take(rows * 16 + 3 * (window.width() * window.height()) as u64) {
        return empty;
    }
    let mut cells = vec![0; window.width() * window.height()];
    scan_lines(&mut edges, even_odd, window, &mut cells);
    for edge in &edges {
        trace(edge, window, &mut cells);
    }
    Mask { window, cells }
}

/// Fills the cells that lie inside on every line, and touches those that do on some.
fn scan_lines(edges: &mut [Edge], even_odd: bool, window: Window, cells: &mut [u8]) {
    edges.sort_by(|a, b| a.top[1].total_cmp(&b.top[1]));
    let width = window.width();
    let mut active: Vec<usize> = Vec::new();
    let mut next = 0;
    let mut crossings: Vec<(f64, i32)> = Vec::new();
    // How the number of covering and of touching lines changes from cell to cell.
    let mut covers = vec![0_i32; width + 1];
    let mut touches = vec![0_i32; width + 1];
    for y in window.top..window.bottom {
        covers.fill(0);
        touches.fill(0);
        for line in 0..LINES {
            let at = y as f64 + (line as f64 + 0.5) / LINES as f64;
            while next < edges.len() && edges[next].top[1] <= at {
                active.push(next);
                next += 1;
            }
            active.retain(|&edge| edges[edge].bottom[1] > at);
            crossings.clear();
            crossings.extend(
                active
                    .iter()
                    .map(|&edge| (edges[edge].x_at(at), edges[edge].turn)),
            );
            crossings.sort_by(|a, b| a.0.total_cmp(&b.0));
            let mut winding = 0;
            let mut from = 0.0;
            for &(x, turn) in &crossings {
                let was_inside = inside(winding, even_odd);
                winding += turn;
                match (was_inside, inside(winding, even_odd)) {
                    (false, true) => from = x,
                    (true, false) => span(from, x, window, &mut covers, &mut touches),
                    _ => {}
                }
            }
        }
        let row = &mut cells[(y - window.top) * width..][..width];
        let (mut covering, mut touching) = (0, 0);
        for (x, cell) in row.iter_mut().enumerate() {
            covering += covers[x];
            touching += touches[x];
            if covering >= LINES as i32 {
                *cell = COVERED;
            } else if touching > 0 {
                *cell = TOUCHED;
            }
        }
    }
}

fn inside(winding: i32, even_odd: bool) -> bool {
    if even_odd {
        winding % 2 != 0
    } else {
        winding != 0
    }
}

fn span(from: f64, to: f64, window: Window, covers: &mut [i32], touches: &mut [i32]) {
    let mark = |range: std::ops::Range<usize>, counts: &mut [i32]| {
        if range.start < range.end {
            counts[range.start - window.left] += 1;
            counts[range.end - window.left] -= 1;
        }
    };
    mark(touched(from, to, window.left, window.right), touches);
    let limit = |value: f64| value.clamp(window.left as f64, window.right as f64) as usize;
    mark(
        limit((from - SLACK).ceil())..limit((to + SLACK).floor()),
        covers,
    );
}

/// Touches every cell that an edge passes through, for shapes thinner than the lines are apart.
fn trace(edge: &Edge, window: Window, cells: &mut [u8]) {
    for y in touched(edge.top[1], edge.bottom[1], window.top, window.bottom) {
        let (x, other) = if edge.bottom[1] - edge.top[1] < 1e-9 {
            (edge.top[0], edge.bottom[0])
        } else {
            (edge.x_at(y as f64), edge.x_at(y as f64 + 1.0))
        };
        for x in touched(x.min(other), x.max(other), window.left, window.right) {
            let cell = &mut cells[(y - window.top) * window.width() + x - window.left];
            *cell = (*cell).max(TOUCHED);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn drawn(path: &Path, even_odd: bool) -> Vec<String> {
        let budget = Budget::new(u64::MAX);
        let mask = path.fill(even_odd, &Clip::rect(0.0, 0.0, 8.0, 6.0), &budget);
        (0..6)
            .map(|y| {
                (0..8)
                    .map(|x| {
                        let window = mask.window;
                        let inside = (window.left..window.right).contains(&x)
                            && (window.top..window.bottom).contains(&y);
                        match if inside {
                            mask.row(y)[x - window.left]
                        } else {
                            0
                        } {
                            COVERED => '#',
                            TOUCHED => '+',
                            _ => '.',
                        }
                    })
                    .collect()
            })
            .collect()
    }

    fn rectangle(x: f64, y: f64, width: f64, height: f64) -> Path {
        let mut path = Path::default();
        path.rectangle(Matrix::IDENTITY, [x, y, width, height]);
        path
    }

    #[test]
    fn a_rectangle_on_the_grid_covers_its_cells_and_no_more() {
        assert_eq!(
            drawn(&rectangle(1.0, 1.0, 3.0, 2.0), false),
            [
                "........", ".###....", ".###....", "........", "........", "........"
            ]
        );
    }

    #[test]
    fn edges_between_cells_only_touch() {
        assert_eq!(
            drawn(&rectangle(0.5, 0.5, 3.0, 2.0), false),
            [
                "++++....", "+##+....", "++++....", "........", "........", "........"
            ]
        );
    }

    #[test]
    fn a_hairline_touches_the_cells_along_it() {
        assert_eq!(
            drawn(&rectangle(1.0, 2.05, 6.0, 0.01), false)[2],
            ".++++++."
        );
        assert_eq!(drawn(&rectangle(3.3, 0.0, 0.01, 6.0), false)[4], "...+....");
    }

    #[test]
    fn the_two_filling_rules_differ_where_shapes_overlap() {
        let mut path = rectangle(0.0, 0.0, 6.0, 6.0);
        path.rectangle(Matrix::IDENTITY, [2.0, 2.0, 2.0, 2.0]);
        assert_eq!(drawn(&path, false)[3], "######..");
        assert_eq!(drawn(&path, true)[3], "##..##..");
    }

    #[test]
    fn a_stroke_is_as_wide_as_it_says_and_dashes_leave_gaps() {
        let mut path = Path::default();
        path.move_to([0.0, 2.0]);
        path.line_to([8.0, 2.0]);
        let stroke = drawn(&path.outline(2.0, false, &[], 0.0), false);
        assert_eq!(
            stroke,
            [
                "........", "########", "########", "........", "........", "........"
            ]
        );
        let dashed = drawn(&path.outline(2.0, false, &[2.0, 1.0], 0.0), false);
        assert_eq!(dashed[1], "##.##.##");
    }

    proptest::proptest! {
        #![proptest_config(proptest::prelude::ProptestConfig::with_cases(48))]

        #[test]
        fn any_path_stays_in_its_window(points in proptest::collection::vec((proptest::num::f64::ANY, proptest::num::f64::ANY), 0..20), width in 0.0..50.0_f64) {
            let mut path = Path::default();
            for (index, (x, y)) in points.iter().enumerate() {
                match index % 4 {
                    0 => path.move_to([*x, *y]),
                    3 => path.curve_to([*x, *y], [x % 9.0, y % 7.0], [1.0, 2.0]),
                    _ => path.line_to([x % 20.0, y % 20.0]),
                }
            }
            let _ = drawn(&path, true);
            let _ = drawn(&path.outline(width, true, &[1.0, width], width), false);
        }
    }
}
