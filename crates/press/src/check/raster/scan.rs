//! Which cells lie inside lines.

use super::{Budget, COVERED, FARTHEST, Mask, Point, SLACK, TOUCHED, Window};

/// Lines on which a shape is looked at in each row of cells.
const LINES: usize = 4;

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

pub(super) fn scan(
    lines: &[(Vec<Point>, bool)],
    even_odd: bool,
    window: Window,
    budget: &Budget,
) -> Mask {
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
