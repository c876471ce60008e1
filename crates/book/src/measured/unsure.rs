//! Figures with what is unsure about them.

use std::fmt;

use measure::{Length, Mass};

/// How far the tools may be off, either way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tools {
    /// The ruler, for widths and heights.
    pub ruler: Length,
    /// What thicknesses are measured with: a ruler too, unless somebody has a caliper gauge.
    pub gauge: Length,
    /// The scale.
    pub scale: Mass,
}

impl Tools {
    /// A ruler that is read to half a millimetre, and kitchen scales of whole grams. Our
    /// assumption.
    pub fn household() -> Self {
        Self {
            ruler: Length::from_nm(500_000),
            gauge: Length::from_nm(500_000),
            scale: Mass::from_grams(1.0),
        }
    }
}

impl Default for Tools {
    fn default() -> Self {
        Self::household()
    }
}

/// A figure in a unit that its name says, with what is unsure about it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Unsure {
    /// The figure.
    pub value: f64,
    /// It lies so far from the truth at most, about 95 of 100 times.
    pub likely: f64,
    /// If everything is off as far as it can be.
    pub lowest: f64,
    /// The same, the other way.
    pub highest: f64,
}

impl Unsure {
    /// A figure known exactly.
    pub const fn exact(value: f64) -> Self {
        Self {
            value,
            likely: 0.0,
            lowest: value,
            highest: value,
        }
    }

    /// Whether another figure can be the true one.
    pub fn allows(&self, other: f64) -> bool {
        (self.lowest..=self.highest).contains(&other)
    }

    /// With so many decimals: `150.2 ± 3.1 (147.0 to 153.5)`.
    pub fn shown(&self, decimals: usize) -> String {
        format!(
            "{:.decimals$} ± {:.decimals$} ({:.decimals$} to {:.decimals$})",
            self.value, self.likely, self.lowest, self.highest
        )
    }
}

impl fmt::Display for Unsure {
    /// With two decimals.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.shown(2))
    }
}

/// Something measured, and how far it may be off either way, in the same unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Input {
    pub(super) value: f64,
    pub(super) off: f64,
}

impl Input {
    pub(super) const fn new(value: f64, off: f64) -> Self {
        Self { value, off }
    }
}

/// Carries the errors of inputs on to a result. Also gives each input's share of the likely error,
/// as parts of one.
///
/// The result must rise or fall steadily with each input as far as that may be off; then the
/// bounds are exact.
pub(super) fn carried<const N: usize>(
    inputs: [Input; N],
    result: impl Fn([f64; N]) -> f64,
) -> (Unsure, [f64; N]) {
    let values = inputs.map(|input| input.value);
    let value = result(values);
    let mut squares = [0.0; N];
    let (mut low, mut high) = (values, values);
    for (index, input) in inputs.iter().enumerate() {
        let at = |moved: f64| {
            let mut moved_values = values;
            moved_values[index] += moved;
            result(moved_values)
        };
        let standard = input.off / 3.0_f64.sqrt();
        let change = (at(standard) - at(-standard)) / 2.0;
        squares[index] = change * change;
        let rises = if change < 0.0 { -input.off } else { input.off };
        low[index] -= rises;
        high[index] += rises;
    }
    let sum: f64 = squares.iter().sum();
    let shares = squares.map(|square| if sum > 0.0 { square / sum } else { 0.0 });
    let unsure = Unsure {
        value,
        likely: 2.0 * sum.sqrt(),
        lowest: result(low),
        highest: result(high),
    };
    (unsure, shares)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sum_and_a_quotient_carry_errors_as_reckoned_by_hand() {
        // 10 ± 0.5 and 20 ± 0.5, both bounds: each has 0.5 ÷ √3 = 0.28868, together 0.40825.
        let inputs = [Input::new(10.0, 0.5), Input::new(20.0, 0.5)];
        let (sum, shares) = carried(inputs, |[a, b]| a + b);
        assert!((sum.likely - 0.816_497).abs() < 1e-6);
        assert_eq!((sum.lowest, sum.highest), (29.0, 31.0));
        assert!((shares[0] - 0.5).abs() < 1e-12);
        // Relative uncertainties of a quotient: 2.88675 % and 1.44338 %, together 3.2275 % of 0.5.
        let (quotient, _) = carried(inputs, |[a, b]| a / b);
        assert!((quotient.likely - 2.0 * 0.5 * 0.032_275).abs() < 1e-4);
        assert!((quotient.lowest - 9.5 / 20.5).abs() < 1e-12);
        assert!((quotient.highest - 10.5 / 19.5).abs() < 1e-12);
    }
}
