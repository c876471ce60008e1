//! Curves that only rise: cubic pieces whose slopes are limited so that nothing overshoots.
//!
//! Slopes at the knots are harmonic means of their neighbours' (F. N. Fritsch and J. Butland, "A
//! method for constructing local monotone piecewise cubic interpolants", 1984), so the curve is
//! smooth, rises strictly where its knots do, and is nowhere steeper than twice the steepest straight
//! line between two knots.

/// A rising curve through knots; beyond them it goes on straight.
#[derive(Debug, Clone)]
pub(crate) struct Rising {
    /// Place, value and slope of each knot. Never empty.
    knots: Vec<Knot>,
}

#[derive(Debug, Clone, Copy)]
pub(crate) struct Knot {
    pub at: f64,
    pub value: f64,
    pub slope: f64,
}

impl Rising {
    /// Through knots whose places and values both rise strictly; beyond the ends the slope is one.
    /// `None` for no knots.
    pub(crate) fn through(points: &[(f64, f64)]) -> Option<Self> {
        let secants = secants(points);
        let last = points.len().checked_sub(1)?;
        let knots = points
            .iter()
            .enumerate()
            .map(|(i, &(at, value))| Knot {
                at,
                value,
                slope: match i {
                    _ if last == 0 => 1.0,
                    0 => secants[0],
                    _ if i == last => secants[last - 1],
                    _ => harmonic(secants[i - 1], secants[i]),
                },
            })
            .collect();
        Some(Self { knots })
    }

    /// Once round a circle: `values` at places evenly spread over 0 to `round`, and the first again
    /// at `round`, a whole turn higher. They rise strictly. `None` for no values.
    pub(crate) fn around(values: &[f64], round: f64) -> Option<Self> {
        let count = values.len();
        let first = *values.first()?;
        let width = round / count as f64;
        let value = |i: usize| values.get(i).copied().unwrap_or(first + round);
        let secant = |i: usize| (value(i % count + 1) - value(i % count)) / width;
        let knots = (0..=count)
            .map(|i| Knot {
                at: width * i as f64,
                value: value(i),
                slope: harmonic(secant(i + count - 1), secant(i)),
            })
            .collect();
        Some(Self { knots })
    }

    /// From knots whose slopes somebody has limited already: at least one, rising.
    pub(crate) fn of(knots: Vec<Knot>) -> Self {
        Self { knots }
    }

    /// The value at a place. Beyond the ends it goes on by a slope of one.
    pub(crate) fn value(&self, at: f64) -> f64 {
        let i = self.knots.partition_point(|knot| knot.at <= at);
        match (
            i.checked_sub(1).and_then(|before| self.knots.get(before)),
            self.knots.get(i),
        ) {
            (Some(from), Some(to)) => piece(from, to, at),
            (None, Some(end)) | (Some(end), None) => end.value + (at - end.at),
            (None, None) => at,
        }
    }

    /// The place that has a value.
    pub(crate) fn place(&self, value: f64) -> f64 {
        let i = self.knots.partition_point(|knot| knot.value <= value);
        match (
            i.checked_sub(1).and_then(|before| self.knots.get(before)),
            self.knots.get(i),
        ) {
            (Some(from), Some(to)) => solve(from, to, value),
            (None, Some(end)) | (Some(end), None) => end.at + (value - end.value),
            (None, None) => value,
        }
    }
}

/// A smooth curve through evenly spread values that may rise and fall; between two values it never
/// leaves their range.
#[derive(Debug, Clone)]
pub(crate) struct Smooth {
    /// Two at least.
    knots: Vec<Knot>,
    width: f64,
}

impl Smooth {
    /// Around a circle, at angles evenly spread over 0 to 360; `None` for no values.
    pub(crate) fn around(values: &[f64]) -> Option<Self> {
        let count = values.len();
        let first = *values.first()?;
        let width = 360.0 / count as f64;
        let value = |i: usize| values.get(i % count).copied().unwrap_or(first);
        let secant = |i: usize| (value(i + 1) - value(i)) / width;
        let knots = (0..=count)
            .map(|i| Knot {
                at: width * i as f64,
                value: value(i),
                slope: harmonic(secant(i + count - 1), secant(i)),
            })
            .collect();
        Some(Self { knots, width })
    }

    /// Along a line, at places evenly spread over 0 to 100; beyond, the end's value. `None` for no
    /// values.
    pub(crate) fn along(values: &[f64]) -> Option<Self> {
        let first = *values.first()?;
        let values = if values.len() == 1 {
            &[first, first]
        } else {
            values
        };
        let last = values.len() - 1;
        let width = 100.0 / last as f64;
        let secant = |i: usize| (values[i + 1] - values[i]) / width;
        let knots = values
            .iter()
            .enumerate()
            .map(|(i, &value)| Knot {
                at: width * i as f64,
                value,
                slope: match i {
                    0 => secant(0),
                    _ if i == last => secant(last - 1),
                    _ => harmonic(secant(i - 1), secant(i)),
                },
            })
            .collect();
        Some(Self { knots, width })
    }

    /// The value at a place.
    pub(crate) fn value(&self, at: f64) -> f64 {
        let end = self.width * (self.knots.len() - 1) as f64;
        let at = at.clamp(0.0, end);
        let i = ((at / self.width) as usize).min(self.knots.len() - 2);
        piece(&self.knots[i], &self.knots[i + 1], at)
    }
}

/// The cubic between two knots (Hermite's form).
fn piece(from: &Knot, to: &Knot, at: f64) -> f64 {
    let width = to.at - from.at;
    let t = (at - from.at) / width;
    let rise = to.value - from.value;
    let (s, e) = (from.slope * width, to.slope * width);
    from.value + t * (s + t * ((3.0 * rise - 2.0 * s - e) + t * (s + e - 2.0 * rise)))
}

/// Where a rising piece has a value: halving and Newton's steps by turns, so that it always ends.
fn solve(from: &Knot, to: &Knot, value: f64) -> f64 {
    let (mut low, mut high) = (from.at, to.at);
    let mut at = low + (high - low) * (value - from.value) / (to.value - from.value);
    for _ in 0..60 {
        let off = piece(from, to, at) - value;
        if off > 0.0 {
            high = at;
        } else {
            low = at;
        }
        if off.abs() < 1e-12 || high - low < 1e-13 {
            break;
        }
        let width = to.at - from.at;
        let t = (at - from.at) / width;
        let (s, e) = (from.slope * width, to.slope * width);
        let rise = to.value - from.value;
        let slope =
            (s + t * (2.0 * (3.0 * rise - 2.0 * s - e) + t * 3.0 * (s + e - 2.0 * rise))) / width;
        let newton = at - off / slope;
        at = if newton > low && newton < high {
            newton
        } else {
            f64::midpoint(low, high)
        };
    }
    at
}

fn secants(points: &[(f64, f64)]) -> Vec<f64> {
    points
        .windows(2)
        .map(|pair| (pair[1].1 - pair[0].1) / (pair[1].0 - pair[0].0))
        .collect()
}

fn harmonic(one: f64, other: f64) -> f64 {
    if one * other > 0.0 {
        2.0 * one * other / (one + other)
    } else {
        0.0
    }
}
