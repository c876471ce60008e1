//! Lines of a chart: what one good copy costs over quantities, by each answer.

use measure::UnitPrice;
use price::compare::Point;
use price::landed::landed;
use price::request::charges;

use super::compared::{ComparisonView, footing};
use crate::{Desk, DeskError};

/// One quantity on the line of an answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ChartPoint {
    /// Copies ordered.
    pub copies: u64,
    /// What one good copy costs in hand.
    pub each: UnitPrice,
    /// It hardly costs less; as `each` where the printer quoted this quantity.
    pub low: UnitPrice,
    /// It hardly costs more; as `each` where the printer quoted this quantity.
    pub high: UnitPrice,
    /// Whether the printer quoted this very quantity.
    pub quoted: bool,
    /// Whether it lies beyond all that the printer quoted.
    pub beyond: bool,
}

/// The lines of the answers, in the order of the comparison's columns; an empty one where nothing can
/// be reckoned.
pub(super) fn lines(desk: &Desk, view: &ComparisonView) -> Result<Vec<Vec<ChartPoint>>, DeskError> {
    let standing = desk.standing()?;
    let book = &standing.snapshot.book;
    let charges = charges(book);
    let answers = view.answers.iter().zip(&view.comparison.columns);
    Ok(answers
        .map(|(answer, column)| {
            let footing = footing(book, &answer.answer.printer, &charges);
            let of = |point: &Point| {
                let range = match landed(&answer.answer, point.copies, &footing) {
                    Ok(landed) => landed.range,
                    Err(_) => None,
                };
                let bounds = range
                    .and_then(|(low, high)| Some((low.each(point.good)?, high.each(point.good)?)));
                let (low, high) = bounds.unwrap_or((point.each, point.each));
                ChartPoint {
                    copies: point.copies,
                    each: point.each,
                    low,
                    high,
                    quoted: point.quoted,
                    beyond: point.beyond,
                }
            };
            column.chart.iter().map(of).collect()
        })
        .collect())
}
