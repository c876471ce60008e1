//! Scales of charts: where figures and days fall, round marks, and figures in words.

use desk::figures;
use desk::measure::Currency;
use jiff::civil::Date;

/// A straight scale from figures to places in a drawing.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Axis {
    low: f64,
    high: f64,
    from: f64,
    to: f64,
}

impl Axis {
    /// Figures from `low` to `high` lie from `from` to `to`.
    pub fn new((low, high): (f64, f64), (from, to): (f64, f64)) -> Self {
        let high = if high > low { high } else { low + 1.0 };
        Self {
            low,
            high,
            from,
            to,
        }
    }

    /// Where a figure falls; at the edge where it lies beyond.
    pub fn at(self, figure: f64) -> f64 {
        let share = ((figure - self.low) / (self.high - self.low)).clamp(0.0, 1.0);
        self.from + (self.to - self.from) * share
    }

    /// About so many round figures within the scale.
    pub fn marks(self, about: f64) -> Vec<f64> {
        let step = round_step((self.high - self.low) / about.max(1.0));
        let first = (self.low / step).ceil() as i64;
        let last = (self.high / step).floor() as i64;
        (first..=last).map(|place| place as f64 * step).collect()
    }
}

/// The next step of 1, 2 or 5 and their tenfolds.
fn round_step(wished: f64) -> f64 {
    let tens = 10_f64.powf(wished.max(1e-9).log10().floor());
    let steps = [1.0, 2.0, 5.0].map(|step| step * tens);
    let fits = steps.into_iter().find(|step| *step >= wished);
    fits.unwrap_or(10.0 * tens)
}

/// Days from one to another.
pub(crate) fn days_between(from: Date, to: Date) -> f64 {
    from.until(to)
        .map_or(0.0, |span| f64::from(span.get_days()))
}

/// An estimated sum in whole main units: `EUR −8,400`.
pub(crate) fn about(sum: f64, currency: Currency) -> String {
    format!("{currency} {}", figures::whole(sum))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_round_and_within() {
        let axis = Axis::new((-1300.0, 4100.0), (0.0, 100.0));
        assert_eq!(
            axis.marks(5.0),
            [-0.0, 2000.0, 4000.0].map(|mark: f64| mark + 0.0)
        );
        assert_eq!(axis.at(-1300.0), 0.0);
        assert_eq!(axis.at(9999.0), 100.0);
    }
}
