//! Lengths, paper weights, masses, resolutions and money, each in one exact unit inside.
//!
//! Any unit may come in at the edge (`8.5in`, `210mm`); inside, a length is a whole number of
//! nanometres, so that inches and millimetres are both exact, and a sum of money is a whole number of
//! its currency's smallest unit.

mod decimal;
mod length;
mod money;
mod paper;
mod parse;
mod percent;
mod rect;
mod resolution;
mod sheet_name;

pub use decimal::{Decimal, divided};
pub use length::Length;
pub use money::{Currency, Money, MoneyError, UnitPrice};
pub use paper::{BasisSheet, Bulk, Grammage, Mass};
pub use parse::MeasureError;
pub use percent::Percent;
pub use rect::{Rect, Size};
pub use resolution::{PixelSize, Resolution};
