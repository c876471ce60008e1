use thiserror::Error;

/// A measure that could not be read.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum MeasureError {
    /// The text does not begin with a number.
    #[error("expected {expected}, but found `{found}`")]
    Unreadable {
        /// What would have been accepted, with an example.
        expected: &'static str,
        /// What stood there.
        found: String,
    },
    /// The number is fine, its unit is not known.
    #[error("`{unit}` in `{found}` is not a unit known here; use {known}")]
    UnknownUnit {
        /// The unit as written.
        unit: String,
        /// The whole text.
        found: String,
        /// The units that are known.
        known: &'static str,
    },
    /// Outside what the thing can be.
    #[error("`{found}` is outside the range {range}")]
    OutOfRange {
        /// The whole text.
        found: String,
        /// The range in words.
        range: &'static str,
    },
}

/// Splits `12.5 mm` into its number and its unit, both trimmed. A comma is not a decimal point.
pub(crate) fn number_and_unit<'a>(
    text: &'a str,
    expected: &'static str,
) -> Result<(f64, &'a str), MeasureError> {
    let trimmed = text.trim();
    let end = trimmed
        .find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-' || c == '+'))
        .unwrap_or(trimmed.len());
    let (number, unit) = trimmed.split_at(end);
    match number.parse::<f64>() {
        Ok(value) if value.is_finite() => Ok((value, unit.trim())),
        _ => Err(MeasureError::Unreadable {
            expected,
            found: text.to_owned(),
        }),
    }
}

/// The error for a number whose unit is none of those known, or is missing.
pub(crate) fn strange_unit(
    unit: &str,
    text: &str,
    expected: &'static str,
    known: &'static str,
) -> MeasureError {
    if unit.is_empty() {
        MeasureError::Unreadable {
            expected,
            found: text.to_owned(),
        }
    } else {
        MeasureError::UnknownUnit {
            unit: unit.to_owned(),
            found: text.to_owned(),
            known,
        }
    }
}
