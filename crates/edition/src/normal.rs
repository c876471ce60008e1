//! The standard normal distribution.

use statrs::distribution::{ContinuousCDF, Normal};

/// The number with the share `u` below it; at 0 and 1, and beyond, the nearest that has one.
pub(crate) fn quantile(u: f64) -> f64 {
    // The largest float under one is 2^-53 below it.
    Normal::standard().inverse_cdf(u.clamp(1e-300, 1.0 - f64::EPSILON / 2.0))
}
